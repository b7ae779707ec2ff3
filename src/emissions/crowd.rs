//! Those who stand whatever is under trial, and what is kept of them for all who ask.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use super::audibility::Audibility;
use super::listening::{Keen, Sense};
use super::receiver_intermodulation::{Classes, Patterns};
use super::{Audience, Listening};
use crate::quantity::Level;
use crate::scene::{Bound, Reach, Rest, Scene};

/// Those who stand whatever is under trial, as far as makers of lines have to know them.
#[derive(Debug, Default)]
pub struct Crowd {
    /// Who hears where, whoever is keyed with whom.
    pub(super) around: Arc<Around>,
    /// Its receivers, as far as they hear everybody alike.
    pub(super) classes: Classes,
    /// The shapes of the products that are looked for.
    pub(super) patterns: OnceLock<Patterns>,
    /// Whether so many scenes ask that it pays to keep what they ask for.
    pub(crate) are_many_to_ask: bool,
    /// Whether so many send that a map of who hears is worth while for each of their sockets, where those who hear are few.
    pub(super) are_many_who_send: bool,
}

/// From so many transmitters on a map is made for each of their sockets, where those who hear are few.
///
/// # Source
/// Choice: a map of a hundred receivers takes about as long as a dozen ways, and saves most of them.
const MANY: usize = 200;

/// Who hears where, and what is kept of the ways to them.
#[derive(Debug, Default)]
pub(super) struct Around {
    /// Those who hear.
    pub(super) all: Hearing,
    /// Of these, our own.
    pub(super) ours: Hearing,
    /// By antenna, what arrives there of each transmitter who stands, as far as that was asked for.
    arriving: Vec<OnceLock<Vec<OnceLock<Level>>>>,
}

/// Some who hear.
#[derive(Debug, Default)]
pub(super) struct Hearing {
    /// By index into the scene, in order.
    pub(super) members: Vec<usize>,
    pub(super) audience: Audience,
    /// By antenna, what a line must at least leave there with for any of them to hear it, by sense.
    audible: Vec<OnceLock<Vec<(Sense, Level)>>>,
    /// The same by frequency.
    pub(super) audibility: Vec<OnceLock<Arc<Audibility>>>,
    /// All of them, those together to whom ways have one bound.
    vantages: Vec<Vantage>,
}

/// Some who hear, with one bound for the ways to all of them.
#[derive(Debug)]
struct Vantage {
    /// The antenna of one of them.
    mast: usize,
    /// By index into the scene.
    members: Vec<usize>,
    /// Their boxes, in order: to these the bound is another one.
    units: Vec<usize>,
    /// The keenest of them, by sense.
    keen: Vec<Keen>,
}

impl Hearing {
    fn of(scene: &Scene<'_>, listening: &[&Listening], members: Vec<usize>) -> Self {
        let places = members.iter();
        let places = places.filter_map(|&index| Some((index, *listening.get(index)?)));
        Self {
            audience: Audience::of(places.clone()),
            audible: by_antenna(scene),
            audibility: by_antenna(scene),
            vantages: Vantage::all(scene, places),
            members,
        }
    }

    /// What a line must at least leave an antenna with to be just within the horizon of any of them, by sense.
    pub(super) fn audible_from(
        &self,
        (scene, listening): (&Scene<'_>, &[&Listening]),
        from: Reach,
    ) -> Cow<'_, [(Sense, Level)]> {
        let work_out = || {
            let mut needed = Least::default();
            for vantage in &self.vantages {
                if vantage.units.binary_search(&from.unit).is_ok() {
                    let members = vantage.members.iter().copied();
                    needed.of_each((scene, listening), members, from);
                } else {
                    let lost = scene.least_lost_between(from.mast, vantage.mast);
                    needed.lower(lost, &vantage.keen);
                }
            }
            needed.0
        };
        match self.audible.get(from.mast) {
            Some(known) => Cow::Borrowed(known.get_or_init(work_out)),
            None => Cow::Owned(work_out()),
        }
    }
}

impl Vantage {
    fn all<'a>(
        scene: &Scene<'_>,
        receivers: impl Iterator<Item = (usize, &'a Listening)>,
    ) -> Vec<Self> {
        let mut found = BTreeMap::new();
        for (index, listening) in receivers {
            let Some(receiver) = scene.receivers.get(index) else {
                continue;
            };
            let mast = receiver.mast;
            let alike = found.entry(scene.vantage(mast)).or_insert_with(|| Self {
                mast,
                members: Vec::new(),
                units: Vec::new(),
                keen: Vec::new(),
            });
            alike.members.push(index);
            alike.units.push(receiver.unit);
            for &keen in &listening.keen {
                keen.join(&mut alike.keen);
            }
        }
        let mut found: Vec<Self> = found.into_values().collect();
        for alike in &mut found {
            alike.units.sort_unstable();
            alike.units.dedup();
        }
        found
    }
}

/// What a line must at least leave a socket with to be just within the horizon of some who hear, by sense.
#[derive(Debug, Default)]
pub(super) struct Least(pub(super) Vec<(Sense, Level)>);

impl Least {
    /// Of each of some receivers.
    pub(super) fn of_each(
        &mut self,
        (scene, listening): (&Scene<'_>, &[&Listening]),
        receivers: impl Iterator<Item = usize>,
        from: Reach,
    ) {
        for index in receivers {
            let listening = listening.get(index);
            if let Some((listening, receiver)) = listening.zip(scene.receivers.get(index)) {
                self.lower(scene.least_lost(from, receiver), &listening.keen);
            }
        }
    }

    fn lower(&mut self, lost: Bound, keen: &[Keen]) {
        for keen in keen {
            let least = lost.sent(keen.flat, keen.tilted);
            match self.0.iter_mut().find(|known| known.0 == keen.sense) {
                Some(known) => known.1 = known.1.min(least),
                None => self.0.push((keen.sense, least)),
            }
        }
    }
}

fn by_antenna<T>(scene: &Scene<'_>) -> Vec<OnceLock<T>> {
    unknown(scene.masts.len())
}

fn unknown<T>(count: usize) -> Vec<OnceLock<T>> {
    let cells = std::iter::repeat_with(OnceLock::new);
    cells.take(count).collect()
}

impl Crowd {
    /// Those who stand in a scene, with where each of its standing receivers listens; and whether so many will ask of them
    /// that it pays to keep what they will ask for.
    pub fn of(scene: &Scene<'_>, listening: &[&Listening], are_many_to_ask: bool) -> Self {
        let standing = scene.receivers.iter().take(scene.receivers.standing());
        let ours = standing.enumerate().filter(|(_, one)| one.owner.is_ours());
        let around = Around {
            ours: Hearing::of(scene, listening, ours.map(|(index, _)| index).collect()),
            all: Hearing::of(scene, listening, (0..scene.receivers.standing()).collect()),
            arriving: unknown(if are_many_to_ask {
                scene.masts.len()
            } else {
                0
            }),
        };
        Self {
            around: around.into(),
            classes: Classes::of(scene, listening, are_many_to_ask),
            patterns: OnceLock::new(),
            are_many_to_ask,
            are_many_who_send: scene.transmitters.len() >= MANY,
        }
    }

    /// The same where those who stand may be keyed with others.
    pub fn like(known: &Self) -> Self {
        Self {
            around: Arc::clone(&known.around),
            classes: Classes::like(&known.classes),
            patterns: OnceLock::new(),
            are_many_to_ask: known.are_many_to_ask,
            are_many_who_send: known.are_many_who_send,
        }
    }

    /// The same where some of those who stand are gone, with where each of those hears who are left: what is kept as a bound for
    /// all serves for them too.
    pub fn left(known: &Self, scene: &Scene<'_>, listening: &[&Listening], rest: &Rest) -> Self {
        let standing = scene.receivers.iter().take(scene.receivers.standing());
        let ours = standing.enumerate().filter(|(_, one)| one.owner.is_ours());
        let hearing = |members: Vec<usize>, known: &Hearing| Hearing {
            audible: known.audible.clone(),
            audibility: known.audibility.clone(),
            ..Hearing::of(scene, listening, members)
        };
        let around = Around {
            ours: hearing(ours.map(|(index, _)| index).collect(), &known.around.ours),
            all: hearing((0..scene.receivers.standing()).collect(), &known.around.all),
            arriving: unknown(known.around.arriving.len()),
        };
        Self {
            around: around.into(),
            classes: Classes::left(&known.classes, rest),
            patterns: OnceLock::new(),
            are_many_to_ask: known.are_many_to_ask,
            are_many_who_send: known.are_many_who_send,
        }
    }

    /// What arrives at an antenna of a transmitter, worked out once of each who stands where many will ask.
    pub(super) fn arriving(
        &self,
        scene: &Scene<'_>,
        (sender, at): (usize, usize),
        work_out: impl FnOnce() -> Level,
    ) -> Level {
        let standing = scene.transmitters.standing();
        let known = self.around.arriving.get(at).filter(|_| sender < standing);
        let known = known.map(|known| known.get_or_init(|| unknown(standing)));
        match known.and_then(|known| known.get(sender)) {
            Some(known) => *known.get_or_init(work_out),
            None => work_out(),
        }
    }

    /// Some of those who stand, to be asked what others do to them.
    pub fn beside(scene: &Scene<'_>, listening: &[&Listening], members: Vec<usize>) -> Self {
        let around = Around {
            all: Hearing::of(scene, listening, members),
            ..Around::default()
        };
        Self {
            around: around.into(),
            are_many_who_send: scene.transmitters.len() >= MANY,
            ..Self::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::emissions::{Concern, Heard, Part, Request, Trace, Wanted};
    use crate::quantity::{Decibels, Frequency, Offset, Span};
    use crate::scenario::{Channel, Legs, Use};
    use crate::scene::sample::{CROWDED, plan};
    use crate::scene::{Receiver, Trial};

    /// What is kept of one who is under trial would be told of the next.
    #[test]
    fn what_arrives_of_those_who_stand_is_worked_out_once_where_many_ask_and_of_a_trial_each_time()
    {
        let plan = plan(CROWDED);
        let legs = [145_350_000, 433_550_000].map(|hertz| Channel {
            frequency: Frequency::hz(hertz),
            tone: None,
        });
        let what = Use::CrossBand { legs };
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        let (standing, all) = (scene.transmitters.standing(), scene.transmitters.len());
        assert!(standing > 2 && all > standing && scene.masts.len() > 2);
        for are_many in [true, false] {
            let crowd = Crowd::of(&scene, &[], are_many);
            let figure =
                |sender: usize, at: usize| f64::from(u32::try_from(100 * sender + at).unwrap());
            for turn in 0..2 {
                for sender in 0..all {
                    for at in 0..scene.masts.len() {
                        let mut is_asked = false;
                        let level = crowd.arriving(&scene, (sender, at), || {
                            is_asked = true;
                            Level::dbm(figure(sender, at))
                        });
                        assert_eq!(level, Level::dbm(figure(sender, at)));
                        let is_known = are_many && turn > 0 && sender < standing;
                        assert_eq!(is_asked, !is_known, "{sender} at {at}");
                    }
                }
            }
        }
    }

    fn sense(slope: u32) -> Sense {
        Sense {
            slope,
            concern: Concern::Plain,
        }
    }

    /// Somebody who hears 8 kHz to either side of a channel, down to −120 dBm.
    fn ear(receiver: &Receiver) -> Listening {
        let place = (receiver.frequency, Offset::hz(8_000));
        let places = vec![Heard::new(place, (Level::dbm(-120.0), sense(1)))];
        Listening {
            channel: Span::between(receiver.frequency, receiver.frequency),
            floor: Some(Level::dbm(-120.0)),
            concern: Concern::Plain,
            concern_of_slices: Concern::Plain,
            keen: Keen::of(&places),
            places,
        }
    }

    #[test]
    fn of_each_sense_the_least_that_anybody_needs_is_kept_by_itself() {
        let keen = |slope: u32, flat: f64| Keen {
            sense: sense(slope),
            flat: Level::dbm(flat),
            tilted: Level::dbm(40.0),
        };
        let mut least = Least::default();
        least.lower(
            Bound::Flat(Decibels::db(10.0)),
            &[keen(1, -100.0), keen(3, -50.0)],
        );
        least.lower(
            Bound::Flat(Decibels::db(20.0)),
            &[keen(1, -120.0), keen(3, -30.0)],
        );
        least.lower(
            Bound::Flat(Decibels::db(5.0)),
            &[keen(3, -75.0), keen(2, -60.0)],
        );
        let found: Vec<(u32, f64)> = (least.0.iter())
            .map(|(sense, level)| (sense.slope, level.as_dbm()))
            .collect();
        assert_eq!(found, [(1, -100.0), (3, -70.0), (2, -55.0)]);
    }

    /// What others do to each other is asked of all who hear; only among all who stand it is our own who must hear it.
    #[test]
    fn what_must_leave_a_socket_is_by_whoever_is_asked_about() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let ears: Vec<Listening> = scene.receivers.iter().map(ear).collect();
        let ears: Vec<&Listening> = ears.iter().collect();
        let count = scene.receivers.len();
        let wanted = Wanted::of(&scene, Legs::NONE);
        let nobody = Audience::default();
        let theirs = |index: &usize| !scene.receivers.get(*index).unwrap().owner.is_ours();
        let beside = Crowd::beside(&scene, &ears, (0..count).filter(theirs).collect());
        let all = Crowd::of(&scene, &ears, false);
        let mut higher = 0;
        for sender in 0..scene.transmitters.len() {
            let from = scene.reach_of_transmitter(sender).unwrap();
            let least = |is_asked: &dyn Fn(usize) -> bool| {
                let asked = scene
                    .receivers
                    .from(0)
                    .filter(|(index, _)| is_asked(*index));
                let needed = asked.map(|(index, receiver)| {
                    let keen = ears[index].keen[0];
                    scene
                        .least_lost(from, receiver)
                        .sent(keen.flat, keen.tilted)
                });
                needed.min().unwrap()
            };
            let asked = |crowd, part| {
                let request = Request::new(&scene, crowd, &ears, &nobody, (part, wanted));
                [true, false]
                    .map(|is_ours| request.sill(request.socket(from)).audible(is_ours, true))
            };
            assert_eq!(
                asked(&beside, Part::Beside),
                [least(&|one| theirs(&one)); 2]
            );
            let standing = asked(&all, Part::Standing);
            assert_eq!(standing, [least(&|_| true), least(&|one| !theirs(&one))]);
            higher += usize::from(standing[1] > standing[0]);
            assert_eq!(asked(&all, Part::Plain), [Level::dbm(f64::NEG_INFINITY); 2]);
            // What reaches further than a place is reckoned with may matter however faint.
            let mut wide = Request::new(&scene, &all, &ears, &nobody, (Part::Standing, wanted));
            wide.reach = Offset::hz(1_000_000);
            assert_eq!(
                wide.sill(wide.socket(from)).audible(true, true),
                Level::dbm(f64::NEG_INFINITY)
            );
        }
        assert!(higher > 0);
    }

    /// It covers everybody from 60 MHz, where much less is lost than on the channels themselves.
    #[test]
    fn a_line_of_any_width_is_heard_by_whom_it_covers_at_what_is_lost_where_it_lies() {
        let plan = plan(CROWDED);
        let legs = [145_350_000, 433_550_000].map(|hertz| Channel {
            frequency: Frequency::hz(hertz),
            tone: None,
        });
        let what = Use::CrossBand { legs };
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        let ears: Vec<Listening> = scene.receivers.iter().map(ear).collect();
        let ears: Vec<&Listening> = ears.iter().collect();
        let crowd = Crowd::of(&scene, &ears, true);
        let standing = scene.receivers.standing();
        let nobody = Audience::default().for_many();
        let wanted = Wanted::of(&scene, Legs::FIRST);
        let request = Request::new(&scene, &crowd, &ears, &nobody, (Part::OnTrial, wanted));
        for sender in 0..scene.transmitters.len() {
            let from = scene.reach_of_transmitter(sender).unwrap();
            let at = Frequency::hz(60_000_000);
            let needed = scene.receivers.from(0).take(standing);
            let needed = needed.map(|(index, one)| {
                ears[index].places[0].faintest + scene.least_loss(from, one, at)
            });
            let needed = needed.min().unwrap();
            let is_heard = |more: f64| {
                let line = Trace {
                    frequency: at,
                    edge: Offset::hz(500_000_000),
                    level: needed + Decibels::db(more),
                    legs: Legs::FIRST,
                    is_ours: true,
                };
                request.is_heard(line, &request.socket(from))
            };
            assert!(is_heard(0.01), "{sender}");
            assert!(!is_heard(-0.01), "{sender}");
        }
    }

    /// However much antennas may gain, and however wide a line is, nobody is left out whom it reaches.
    #[test]
    fn who_is_under_trial_is_asked_with_all_that_antennas_may_gain() {
        let plan = plan(CROWDED);
        let legs = [145_350_000, 433_550_000].map(|hertz| Channel {
            frequency: Frequency::hz(hertz),
            tone: None,
        });
        let what = Use::CrossBand { legs };
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        let ears: Vec<Listening> = scene.receivers.iter().map(ear).collect();
        let ears: Vec<&Listening> = ears.iter().collect();
        let crowd = Crowd::of(&scene, &ears, true);
        let first = scene.receivers.standing();
        let on_trial = ears.iter().enumerate().skip(first);
        let audience = Audience::of(on_trial.map(|(index, one)| (index, *one))).for_many();
        let (from, gain) = (scene.reach_of_transmitter(0).unwrap(), Decibels::db(300.0));
        for (index, receiver) in scene.receivers.from(first) {
            let wanted = Wanted::of(&scene, receiver.legs);
            let mut request =
                Request::new(&scene, &crowd, &ears, &audience, (Part::OnTrial, wanted));
            // More than any two gain: a bound that leaves nobody out.
            request.most_gain = gain;
            let socket = request.socket(from);
            let needed = Level::dbm(-120.0) + scene.least_loss(from, receiver, receiver.frequency);
            let sent = |more: f64| Trace {
                frequency: receiver.frequency,
                edge: Offset::hz(8_000),
                level: needed + Decibels::db(more),
                legs: Legs::NONE,
                is_ours: true,
            };
            let might = |line: Trace, order: i64| {
                request.might_be_heard((line.frequency, order), line.level, (&socket, true, false))
            };
            assert!(might(sent(0.01), 1) && !might(sent(-900.0), 1));
            let is_near = |line: Trace| request.near(line).any(|one| one.receiver == index);
            assert!(is_near(sent(0.01)) && !is_near(sent(-900.0)));
            let wide = Keen::FURTHEST.as_hz() / request.reach.as_hz() + 1;
            assert!(might(sent(-900.0), wide));
            assert!(request.is_heard(sent(0.01), &socket));
        }
    }
}
