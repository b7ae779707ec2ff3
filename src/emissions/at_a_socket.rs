//! Two carriers at one transmitter's socket: its own, and one that comes in by the antenna.

use rayon::prelude::*;

use super::request::Socket;
use super::{Birth, Line, Request, Source, Trace};
use crate::budget::{Ledger, Total, starting_at};
use crate::physics::{mixing, spread};
use crate::quantity::{Bandwidth, Frequency, Level, Offset};
use crate::scenario::Legs;
use crate::scene::{Outlook, Scene, Transmitter};

/// A transmitter with a foreign carrier at its socket.
#[derive(Debug, Clone, Copy)]
pub(super) struct Meeting<'a> {
    /// Index of the transmitter.
    pub(super) own: usize,
    /// The transmitter.
    pub(super) ours: &'a Transmitter,
    /// Index of the other one.
    pub(super) foreign: usize,
    /// The other one.
    pub(super) theirs: &'a Transmitter,
    /// What of the other's carrier arrives at the socket at most.
    pub(super) arriving_at_most: Level,
    /// The socket.
    pub(super) socket: Socket,
    /// What a product must at least leave the socket with to matter to anybody.
    pub(super) audible: Level,
    /// How far both may be off.
    off: [Offset; 2],
    /// The legs under trial that both rest on.
    pub(super) legs: Legs,
    /// Whether one of them is ours.
    pub(super) is_ours: bool,
}

/// Every transmitter with every foreign carrier at its socket, as far as both can be on the air at once and the focus
/// has room for their legs.
///
/// The transmitters of one box are never keyed together and meet nowhere.
pub(super) fn meetings<'a>(
    request: &Request<'a>,
    is_of_interest: impl Fn(&Meeting<'_>) -> bool + Sync,
) -> Vec<Meeting<'a>> {
    let scene = request.scene;
    let at_a_host = |&(own, ours): &(usize, &'a Transmitter)| {
        let Some(from) = scene.reach_of_transmitter(own) else {
            return Vec::new();
        };
        let socket = request.socket(from);
        let mut sill = request.sill(socket);
        let mut found = Vec::new();
        for (foreign, theirs) in request.partners(own) {
            let legs = ours.legs.and(theirs.legs);
            if ours.frequency == theirs.frequency {
                continue;
            }
            let lost = scene.least_loss_between(theirs.mast, ours.mast, theirs.frequency);
            let is_ours = ours.owner.is_ours() || theirs.owner.is_ours();
            let mut meeting = Meeting {
                own,
                ours,
                foreign,
                theirs,
                arriving_at_most: theirs.power.value - lost,
                socket,
                audible: sill.audible(is_ours, legs == request.focus),
                off: [Offset::hz(0); 2],
                legs,
                is_ours,
            };
            if is_of_interest(&meeting) && scene.are_keyed_together(own, foreign) {
                meeting.off = [ours, theirs].map(|one| one.figures.tolerance.of(one.frequency));
                found.push(meeting);
            }
        }
        found
    };
    let hosts: Vec<(usize, &Transmitter)> = request.hosts().collect();
    if request.is_for_antennas() {
        let hosts = hosts.par_iter().with_min_len(AT_ONCE);
        return hosts.flat_map_iter(at_a_host).collect();
    }
    // Whoever asks here may hold what another asks for, so that nobody else is to be served meanwhile.
    hosts.iter().flat_map(at_a_host).collect()
}

/// So many hosts are gone through by one processor.
///
/// # Source
/// Choice: a few hundred take less time than to set another processor to them.
const AT_ONCE: usize = 512;

/// Enters the way of a foreign carrier to a transmitter's socket.
pub(super) fn arrive(scene: &Scene<'_>, foreign: usize, own: usize, ledger: &mut impl Ledger) {
    let Some(theirs) = scene.transmitters.get(foreign) else {
        return;
    };
    ledger.enter(starting_at(theirs.power.value), || {
        (
            format!("power of {} at its socket", theirs.name),
            theirs.power.origin.to_string(),
        )
    });
    ledger.vary(spread::power(&theirs.power));
    if let (Some(from), Some(to)) = (
        scene.reach_of_transmitter(foreign),
        scene.reach_of_transmitter(own),
    ) {
        scene.over(from, to, theirs.frequency, Outlook::Optimistic, ledger);
    }
}

impl Meeting<'_> {
    /// What of the other's carrier arrives at the socket.
    pub(super) fn arriving(&self, request: &Request<'_>) -> Level {
        let scene = request.scene;
        let way = (self.foreign, self.ours.mast);
        request.crowd.arriving(scene, way, || {
            let mut arriving = Total::default();
            arrive(scene, self.foreign, self.own, &mut arriving);
            arriving.level()
        })
    }

    /// Where the product `a` times the own carrier and `b` times the foreign one lies, how wide it is and how far it may be
    /// off; none at or below 0 Hz.
    fn place(&self, a: i64, b: i64) -> Option<(Frequency, Bandwidth, Offset)> {
        let terms = [(a, self.ours), (b, self.theirs)];
        let frequency = mixing::combined_frequency(&terms.map(|(c, one)| (c, one.frequency)))?;
        (frequency.as_hz() > 0).then(|| {
            let emissions = terms.map(|(c, one)| (c, one.emission.value));
            let [own, foreign] = self.off;
            (
                frequency,
                mixing::product_width(&emissions),
                mixing::adding_up(&[(a, own), (b, foreign)]),
            )
        })
    }

    /// Whether the product might matter to anybody, as far as a glance tells.
    pub(super) fn might_be_heard(
        &self,
        request: &Request<'_>,
        (a, b): (i64, i64),
        level: Level,
    ) -> bool {
        let hertz = |times: i64, one: &Transmitter| times.saturating_mul(one.frequency.as_hz());
        let frequency = hertz(a, self.ours).saturating_add(hertz(b, self.theirs));
        let place = (Frequency::hz(frequency), a.abs() + b.abs());
        let is_whole = self.legs == request.focus;
        frequency > 0
            && request.might_be_heard(place, level, (&self.socket, self.is_ours, is_whole))
    }

    /// The same product in brief.
    pub(super) fn trace(&self, a: i64, b: i64, level: Level) -> Option<Trace> {
        let (frequency, width, tolerance) = self.place(a, b)?;
        Some(Trace {
            frequency,
            edge: Trace::edge(width, tolerance),
            level,
            legs: self.legs,
            is_ours: self.is_ours,
        })
    }

    /// The same product on its way from the own antenna.
    pub(super) fn product(&self, kind: usize, a: i64, b: i64, level: Level) -> Option<Line> {
        let (frequency, width, tolerance) = self.place(a, b)?;
        Some(Line {
            kind,
            terms: vec![
                (Source::Transmitter(self.own), a),
                (Source::Transmitter(self.foreign), b),
            ],
            frequency,
            width,
            tolerance,
            birth: Birth::Transmitter(self.own),
            heard_by: None,
            supposed: None,
            level,
            legs: self.legs,
            is_ours: self.is_ours,
        })
    }
}

/// The own and the foreign transmitter of a product, each with its index and coefficient.
pub(super) fn pair<'a>(
    scene: &'a Scene<'_>,
    line: &Line,
) -> Option<[(usize, &'a Transmitter, i64); 2]> {
    let of = |place: usize| {
        let &(source, coefficient) = line.terms.get(place)?;
        let Source::Transmitter(index) = source else {
            return None;
        };
        Some((index, scene.transmitters.get(index)?, coefficient))
    };
    Some([of(0)?, of(1)?])
}

/// Every pair of coefficients of one order, both taking part, of one sign for a sum and of two for a difference.
pub(super) fn coefficients(order: i64) -> impl Iterator<Item = (i64, i64)> {
    (1..order).flat_map(move |foreign| {
        let own = order - foreign;
        [(own, foreign), (own, -foreign), (-own, foreign)]
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::emissions::{
        Audience, Concern, Crowd, Heard, Keen, Listening, Part, Sense, Wanted, Within,
    };
    use crate::quantity::{Decibels, Span};
    use crate::scenario::{Channel, Use};
    use crate::scene::sample::{CROWDED, plan};
    use crate::scene::{Receiver, Trial};

    /// Somebody who hears 8 kHz to either side of a channel, down to −120 dBm.
    fn ear(receiver: &Receiver) -> Listening {
        let sense = Sense {
            slope: 1,
            concern: Concern::Plain,
        };
        let place = (receiver.frequency, Offset::hz(8_000));
        let places = vec![Heard::new(place, (Level::dbm(-120.0), sense))];
        Listening {
            channel: Span::between(receiver.frequency, receiver.frequency),
            floor: Some(Level::dbm(-120.0)),
            concern: Concern::Plain,
            concern_of_slices: Concern::Plain,
            keen: Keen::of(&places),
            places,
        }
    }

    /// The relay's 2 m leg goes by where twice it less the packet station's carrier lies on the scout's channel, and three times
    /// it less twice that on another's: each bound is asked whether it lets pass what comes over a way with no more than its bound.
    #[test]
    fn no_glance_leaves_out_what_comes_over_the_best_way_there_could_be() {
        let plan = plan(CROWDED);
        let (mut heard, mut left_out) = (0, 0);
        // And where twice the packet station's carrier less the repeater's lies: on the leg itself.
        for khz in (145_335..145_395)
            .step_by(3)
            .chain((143_930..143_970).step_by(5))
        {
            let legs = [khz * 1_000, 433_550_000].map(|hertz| Channel {
                frequency: Frequency::hz(hertz),
                tone: None,
            });
            let what = Use::CrossBand { legs };
            let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
            let ears: Vec<Listening> = scene.receivers.iter().map(ear).collect();
            let ears: Vec<&Listening> = ears.iter().collect();
            let first = scene.receivers.standing();
            for are_many in [true, false] {
                let crowd = Crowd::of(&scene, &ears, are_many);
                let on_trial = ears.iter().enumerate().skip(first);
                let audience = Audience::of(on_trial.map(|(index, one)| (index, *one)));
                let audience = if are_many {
                    audience.for_many()
                } else {
                    audience
                };
                for (focus, worse) in [(Legs::FIRST, 0.0), (Legs::FIRST, 20.0), (Legs::BOTH, 0.0)] {
                    let within = plan.settings.horizon.value - Decibels::db(worse);
                    let wanted = Wanted {
                        focus,
                        within: Within::all(within),
                    };
                    let asked = (Part::OnTrial, wanted);
                    let request = Request::new(&scene, &crowd, &ears, &audience, asked);
                    for meeting in meetings(&request, |_| true) {
                        let from = scene.reach_of_transmitter(meeting.own).unwrap();
                        let orders = [3, 5].into_iter().flat_map(coefficients);
                        for ((a, b), level) in orders
                            .flat_map(|ab| [20.0, -60.0, -99.0, -119.0].map(|level| (ab, level)))
                        {
                            let level = Level::dbm(level);
                            let Some(line) = meeting.trace(a, b, level) else {
                                continue;
                            };
                            let hears = |(index, receiver): &(usize, &Receiver)| {
                                let lost = scene.least_loss(from, receiver, line.frequency);
                                let place = &ears[*index].places[0];
                                line.legs.and(receiver.legs) == focus
                                    && place.covers(&line)
                                    && line.level - lost >= place.faintest + Decibels::db(worse)
                            };
                            let by: Vec<usize> = scene
                                .receivers
                                .from(0)
                                .filter(hears)
                                .map(|one| one.0)
                                .collect();
                            let glance = meeting.might_be_heard(&request, (a, b), level);
                            // Nothing is left out for a few who ask, and for many hardly anything that anybody might hear.
                            let might = |(index, receiver): (usize, &Receiver)| {
                                let place = &ears[index].places[0];
                                let wider = Heard::new(
                                    (place.middle, place.reach + Offset::hz(75_000)),
                                    (place.faintest, place.sense),
                                );
                                let is_on_trial = index >= first;
                                let lost = scene.least_loss(from, receiver, line.frequency);
                                let best = if is_on_trial {
                                    Decibels::ZERO - request.most_gain
                                } else {
                                    lost
                                };
                                wider.covers(&line)
                                    && (is_on_trial || meeting.legs == focus)
                                    && line.level - best
                                        >= place.faintest + Decibels::db(worse - 2.0)
                            };
                            // The map of the many ends at 1.5 GHz.
                            let might = !are_many
                                || line.frequency > Frequency::hz(1_499_000_000)
                                || scene.receivers.from(0).any(might);
                            assert!(might || !glance, "{khz} {focus:?} {a} {b} {line:?}");
                            assert!(are_many || glance);
                            left_out += usize::from(!glance);
                            if by.is_empty() {
                                continue;
                            }
                            heard += 1;
                            let told = format!("{khz} {focus:?} {are_many}: {a} {b} {line:?}");
                            assert!(glance, "{told}");
                            assert!(level >= meeting.audible, "{told}");
                            assert!(request.is_heard(line, &meeting.socket), "{told}");
                            let near: Vec<usize> =
                                request.near(line).map(|one| one.receiver).collect();
                            assert!(by.iter().all(|one| near.contains(one)), "{told}");
                        }
                    }
                }
            }
        }
        assert!(heard > 500 && left_out > 10_000, "{heard} {left_out}");
    }

    /// The faintest that matters at an antenna from 400 MHz up: a product may lie below that by as much as it reaches.
    #[test]
    fn what_must_leave_a_socket_for_an_antenna_is_what_the_lowest_line_that_reaches_it_needs() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let crowd = Crowd::default();
        let lowest = Frequency::hz(400_000_000);
        let faintest = Level::dbm(-120.0);
        let mut ways = 0;
        for mast in 0..scene.masts.len() {
            let antennas = [crate::emissions::Floor {
                mast,
                faintest,
                lowest,
            }];
            let request = Request::for_antennas(&scene, &crowd, &antennas);
            let order = i64::from(plan.settings.order.value);
            let edge = Offset::hz(request.reach.as_hz() * order);
            for sender in 0..scene.transmitters.len() {
                let from = scene.reach_of_transmitter(sender).unwrap();
                let least = request.sill(request.socket(from)).audible(true, true);
                let line = |frequency: Frequency, level: Level| Trace {
                    frequency,
                    edge,
                    level,
                    legs: Legs::NONE,
                    is_ours: true,
                };
                let lost = |at: Frequency| scene.least_loss_between(from.mast, mast, at);
                let first = lowest - edge;
                for at in [first, lowest, lowest + Offset::hz(300_000_000)] {
                    let needed = faintest + lost(at);
                    assert!(least <= needed, "{from:?} {at}");
                    let (more, less) = (needed + Decibels::db(0.01), needed - Decibels::db(0.01));
                    assert!(request.is_heard(line(at, more), &request.socket(from)));
                    assert!(!request.is_heard(line(at, less), &request.socket(from)));
                }
                assert!(faintest + lost(first) - least < Decibels::db(1e-6));
                let below = line(first - Offset::hz(1), Level::dbm(50.0));
                assert!(!request.is_heard(below, &request.socket(from)));
                ways += usize::from(lost(lowest) > lost(first));
            }
        }
        assert!(ways > 0);
    }

    #[test]
    fn every_third_order_combination_of_two_is_there() {
        let mut found: Vec<(i64, i64)> = coefficients(3).collect();
        found.sort_unstable();
        assert_eq!(found, [(-2, 1), (-1, 2), (1, -2), (1, 2), (2, -1), (2, 1)]);
    }

    /// Twice 145.35 less 144.8 MHz is 145.9 MHz, the edge of a bin of 25 kHz: a product of third order reaches three times 30 kHz from
    /// there, and by that the bin in which a place 95 kHz further up begins, but none beyond.
    #[test]
    fn a_glance_takes_a_product_to_reach_as_often_as_its_order_from_its_middle() {
        let plan = plan(CROWDED);
        let legs = [145_350_000, 433_550_000].map(|hertz| Channel {
            frequency: Frequency::hz(hertz),
            tone: None,
        });
        let what = Use::CrossBand { legs };
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        for (khz, is_heard) in [(95, true), (-95, true), (120, false), (-120, false)] {
            let ears = scene.receivers.iter().map(|receiver| {
                let place = (Frequency::hz(145_900_000 + khz * 1_000), Offset::hz(8_000));
                let mut ear = ear(receiver);
                let sense = ear.places[0].sense;
                ear.places = vec![Heard::new(place, (Level::dbm(-120.0), sense))];
                ear.keen = Keen::of(&ear.places);
                ear
            });
            let ears: Vec<Listening> = ears.collect();
            let ears: Vec<&Listening> = ears.iter().collect();
            let crowd = Crowd::of(&scene, &ears, true);
            let nobody = Audience::default().for_many();
            let wanted = Wanted::of(&scene, Legs::FIRST);
            let part = (Part::OnTrial, wanted);
            let mut request = Request::new(&scene, &crowd, &ears, &nobody, part);
            request.reach = Offset::hz(30_000);
            let mut seen = 0;
            for meeting in meetings(&request, |_| true) {
                let of_both = [meeting.ours, meeting.theirs].map(|one| one.frequency.as_hz());
                if of_both == [145_350_000, 144_800_000] && meeting.legs == Legs::FIRST {
                    let glance = meeting.might_be_heard(&request, (2, -1), Level::dbm(0.0));
                    assert_eq!(glance, is_heard, "{khz}");
                    seen += 1;
                }
            }
            assert!(seen > 0);
        }
    }
}
