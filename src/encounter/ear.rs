//! What one receiver hears of a line.

use super::{Encounter, carry, departure, share, threshold};
use crate::budget::{Ledger, Total, starting_at};
use crate::emissions::{Birth, Concern, Heard, Keen, Line, Listening, Sense, Wanted};
use crate::quantity::{Decibels, Level, Offset, Span};
use crate::responses::{Response, Shape, Strength, responses};
use crate::scene::{Activity, Receiver, Scene};

/// A receiver's responses, each with the level that would hurt there: the same in every scene that the receiver is part of.
#[derive(Debug, Clone)]
pub(super) struct Ear {
    responses: Vec<(Response, Level)>,
    /// Where it listens, for those who make lines.
    pub(super) listening: Listening,
}

impl Ear {
    pub(super) fn of(scene: &Scene<'_>, receiver: &Receiver) -> Self {
        let responses: Vec<(Response, Level)> = responses(receiver)
            .into_iter()
            .map(|response| {
                let mut limit = Total::default();
                threshold(scene, receiver, &response, &mut limit);
                (response, limit.level())
            })
            .collect();
        let horizon = scene.plan.settings.horizon.value;
        let own = receiver.figures.tolerance.of(receiver.frequency).as_hz();
        let channel = Span::around(receiver.frequency, receiver.figures.bandwidth.value);
        let channel = receiver.anywhere_in.unwrap_or(channel);
        let concern = concern(receiver);
        // What lands nowhere in particular, and what is as broad, is merely strong.
        let broad = match scene.unplaced(receiver) {
            Some(_) => Concern::Nearby,
            None => concern,
        };
        let places: Vec<Heard> = responses
            .iter()
            .map(|(response, threshold)| {
                let reach = match response.shape {
                    Shape::Window(bandwidth) => bandwidth.as_hz() / 2 + response.drift.as_hz() + 1,
                    Shape::Ring { to, .. } => to.as_hz().min(i64::MAX / 4),
                };
                let faintest = response.faintest(floor(*threshold, horizon));
                Heard::new(
                    (response.centre, Offset::hz(reach)),
                    (
                        faintest,
                        Sense {
                            slope: response.slope(),
                            concern: if response.is_landing() {
                                concern
                            } else {
                                broad
                            },
                        },
                    ),
                )
            })
            .collect();
        Self {
            listening: Listening {
                channel: channel.widened(Offset::hz(own + 1)),
                floor: responses.first().map(|&(_, threshold)| threshold - horizon),
                concern,
                concern_of_slices: broad,
                keen: Keen::of(&places),
                places,
            },
            responses,
        }
    }

    /// How many responses it has.
    #[cfg(test)]
    pub(super) fn places(&self) -> usize {
        self.responses.len()
    }
}

/// What something on a receiver's channel comes to.
const fn concern(receiver: &Receiver) -> Concern {
    if receiver.anywhere_in.is_some() {
        Concern::Somewhere
    } else if receiver.safety.is_some() {
        Concern::Safety
    } else {
        Concern::Plain
    }
}

/// The faintest level on the channel whose margin is still within a limit, where this would hurt.
fn floor(threshold: Level, within: Decibels) -> Level {
    // The millionth keeps rounding from deciding.
    threshold - within - Decibels::db(1e-6)
}

/// A receiver of a scene, about to hear lines that may rest on some legs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Listener<'a> {
    pub(super) scene: &'a Scene<'a>,
    pub(super) index: usize,
    pub(super) receiver: &'a Receiver,
    pub(super) ear: &'a Ear,
    pub(super) wanted: Wanted,
}

impl Listener<'_> {
    /// Whether a line makes up, with this receiver, exactly the legs of the focus, and is not its own oscillator's.
    pub(super) fn is_concerned(&self, line: &Line) -> bool {
        line.legs.and(self.receiver.legs) == self.wanted.focus
            && line.birth != Birth::Oscillator(self.index)
    }

    /// What a line amounts to on one response, if it can happen and its margin is one that is wanted.
    pub(super) fn hear(&self, line: &Line, place: usize) -> Option<Encounter> {
        let &(ref response, threshold) = self.ear.responses.get(place)?;
        let listening = &self.ear.listening;
        let concern = if line.is_slice() {
            listening.concern_of_slices
        } else {
            listening.places.get(place)?.sense.concern
        };
        let within = self.wanted.within.of(concern);
        // Cheap questions come before the way is worked out: can it be strong enough, is it there, can it be at all.
        if let Some(from) = departure(self.scene, line) {
            let lost = self.scene.least_loss(from, self.receiver, line.frequency);
            if line.level - lost < response.faintest(floor(threshold, within)) {
                return None;
            }
        }
        if share(self.receiver, line, response).is_none()
            || self.is_wanted(line, response)
            || self.is_told_by_the_channel(line, response)
            || !self.can_happen(line)
        {
            return None;
        }
        let mut level = Total::default();
        level.enter(starting_at(line.level), || (String::new(), String::new()));
        carry(self.scene, self.receiver, line, response, &mut level);
        let level = level.level();
        (threshold - level <= within).then(|| Encounter {
            receiver: self.index,
            line: line.clone(),
            response: response.clone(),
            level,
            threshold,
            legs: self.wanted.focus,
        })
    }

    /// A line beside the channel that reaches into it further than through the filter's skirt is told there.
    fn is_told_by_the_channel(&self, line: &Line, response: &Response) -> bool {
        let channel = self
            .ear
            .responses
            .first()
            .filter(|_| matches!(response.strength, Strength::Skirt { .. }));
        let inside = channel.and_then(|(channel, _)| share(self.receiver, line, channel));
        inside
            .is_some_and(|inside| Decibels::of_power(inside) >= -response.skirt_at(line.frequency))
    }

    /// Whether the receiver can be listening while everything behind the line is on the air.
    fn can_happen(&self, line: &Line) -> bool {
        match line.birth {
            Birth::Oscillator(other) => self.scene.receivers.get(other).is_some_and(|other| {
                Activity::coexist(&[&other.activity, &self.receiver.activity])
            }),
            Birth::Transmitter(_) => {
                let sources: Vec<usize> = line.transmitters().collect();
                self.scene.coexist(&sources, self.receiver)
            }
            // The generator has looked already.
            Birth::InsideReceiver(_) => true,
        }
    }

    /// A carrier of the receiver's own net on its own channel is what it is there to hear, not interference.
    fn is_wanted(&self, line: &Line, response: &Response) -> bool {
        let is_plain = line.emission().is_some_and(|emission| emission.is_plain);
        let is_channel = response.centre == self.receiver.frequency;
        is_plain
            && is_channel
            && line
                .transmitters()
                .filter_map(|index| self.scene.transmitters.get(index))
                .all(|transmitter| self.scene.is_wanted(transmitter, self.receiver))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Frequency;
    use crate::scene::sample::{CROWDED, plan};

    /// What is left out by this bound is never asked for again, so that nothing else need notice one that is too high.
    #[test]
    fn what_a_socket_must_send_to_be_heard_is_never_reckoned_above_what_it_must() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut nearest = Decibels::db(1_000.0);
        for sender in 0..scene.transmitters.len() {
            let from = scene.reach_of_transmitter(sender).unwrap();
            for receiver in scene.receivers.iter() {
                let listening = Ear::of(&scene, receiver).listening;
                let least = |sense: Sense| {
                    let mut keen = listening.keen.iter();
                    let keen = keen.find(|keen| keen.sense == sense).unwrap();
                    scene
                        .least_lost(from, receiver)
                        .sent(keen.flat, keen.tilted)
                };
                for heard in &listening.places {
                    for at in [heard.middle - heard.reach, heard.middle + heard.reach] {
                        let at = at.max(Frequency::hz(1));
                        let needed = heard.faintest + scene.least_loss(from, receiver, at);
                        assert!(
                            least(heard.sense) <= needed + Decibels::db(1e-9),
                            "{heard:?}"
                        );
                        nearest = nearest.min(needed - least(heard.sense));
                    }
                }
            }
        }
        // And it is of use: somewhere it is as good as exact.
        assert!(nearest < Decibels::db(1.0), "{nearest}");
    }

    /// One that sends so wide on the next channel that it reaches into this one.
    #[test]
    fn what_reaches_into_the_channel_further_than_through_the_skirt_is_told_there_alone() {
        let near = "  - {name: Near, frequency: 145.9425, erp: 25 W, at: [54.4160, -0.5320]}\n";
        let plan = plan(&format!("{CROWDED}{near}"));
        let scene = Scene::build(&plan, None);
        let near = scene
            .transmitters
            .iter()
            .position(|one| one.name == "Near")
            .unwrap();
        let scout = scene
            .receivers
            .iter()
            .position(|one| one.name.starts_with("Scout"))
            .unwrap();
        // Whether it is heard on the channel, and whether through the skirt.
        let heard = |width: i64| {
            let mut scene = scene.clone();
            scene.transmitters = scene.transmitters.changed_where(
                |one| one.name == "Near",
                |one| one.emission.value.bandwidth = crate::quantity::Bandwidth::hz(width),
            );
            let met = super::super::meet(&scene, crate::scenario::Legs::NONE);
            let is_near = |one: &&Encounter| {
                one.receiver == scout && !one.line.is_slice() && one.line.transmitters().eq([near])
            };
            let is_skirt =
                |one: &Encounter| matches!(one.response.strength, Strength::Skirt { .. });
            let on_channel = |one: &Encounter| {
                one.response.centre == Frequency::hz(145_930_000)
                    && !is_skirt(one)
                    && one.response.is_landing()
            };
            let near: Vec<&Encounter> = met.iter().filter(is_near).collect();
            (
                near.iter().any(|one| on_channel(one)),
                near.iter().any(|one| is_skirt(one)),
            )
        };
        // 12.5 kHz off: 8 kHz to either side reach into 6 kHz, 2 kHz do not.
        assert_eq!(heard(16_000), (true, false));
        assert_eq!(heard(4_000), (false, true));
    }

    /// Whose oscillator never drifts hears as far as its filter reaches.
    #[test]
    fn a_receiver_without_any_tolerance_listens_over_its_whole_channel() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut receiver = scene.receivers.iter().next().unwrap().clone();
        let mut figures = (*receiver.figures).clone();
        figures.tolerance.value = crate::quantity::Tolerance::ppb(0);
        receiver.figures = figures.into();
        let ear = Ear::of(&scene, &receiver);
        for ((response, _), place) in ear.responses.iter().zip(&ear.listening.places) {
            if let Shape::Window(bandwidth) = response.shape {
                let half = Offset::hz(bandwidth.as_hz() / 2);
                assert!(place.reach >= half, "{response:?}");
                assert!(
                    place.reach <= half + response.drift + Offset::hz(2),
                    "{response:?}"
                );
            }
        }
    }
}
