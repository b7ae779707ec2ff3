//! Who meets whom: every line that somebody hears, each pair looked at once.
//!
//! What stands whatever is under trial is heard once for all scenes of a search; a scene then adds only what its legs add.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use itertools::Itertools;
use rayon::prelude::*;

use super::{Ear, Encounter, ear::Listener};
use crate::emissions::{
    self, Audience, Crowd, Emission, Floor, Heard, Line, LineBook, Listening, Part, Request, Wanted,
};
use crate::quantity::Frequency;
use crate::scenario::Legs;
use crate::scene::{Activity, Owner, Receiver, Rest, Scene};

/// From so many scenes on it pays to keep what pairs of those who stand come to.
///
/// # Source
/// Choice: keeping it takes about as long as asking for it some dozen times.
const MANY: usize = 16;

/// What stands in all scenes of a search, as far as lines and receivers go.
#[derive(Debug)]
pub struct Standing {
    ears: Arc<[Ear]>,
    crowd: Crowd,
    /// What the standing transmitters and oscillators radiate, as far as a receiver under trial might hear it.
    lines: Arc<LineBook>,
    /// By receiver of others, what it meets of others, as far as that was asked for.
    beside: Mutex<BTreeMap<usize, Arc<[Encounter]>>>,
    /// The ears of those who rest on one leg under trial, as far as they were asked for: they are the same whatever the other
    /// leg is.
    on_trial: Mutex<BTreeMap<Pupil, Arc<Ear>>>,
}

/// Who rests on a leg under trial, and where it listens.
type Pupil = (Frequency, Legs, Owner, String);

/// So many ears of those under trial are kept.
///
/// # Source
/// Choice: each takes some kilobytes.
const MOST_KEPT: usize = 4_096;

impl Standing {
    /// What stands in all of some scenes that differ by what is under trial alone.
    pub fn of(scenes: &[Scene<'_>]) -> Self {
        let Some(scene) = scenes.first() else {
            return Self::with(Arc::new([]), Crowd::default());
        };
        let count = scene.receivers.standing();
        let standing: Vec<&Receiver> = scene.receivers.iter().take(count).collect();
        let ears: Vec<Ear> = standing
            .par_iter()
            .map(|receiver| Ear::of(scene, receiver))
            .collect();
        let ears: Arc<[Ear]> = ears.into();
        let listening: Vec<&Listening> = ears.iter().map(|ear| &ear.listening).collect();
        let crowd = Crowd::of(scene, &listening, scenes.len() >= MANY);
        let mut found = Self::with(ears, crowd);
        found.lines = LineBook::of(found.heard_on_trial(scene, scenes)).into();
        found
    }

    /// The same in other scenes of those who stand, in which they may be keyed with others; nobody is under trial there who was
    /// not here. `known_scene` is one of those that this was made of.
    pub fn like(known: &Self, known_scene: &Scene<'_>, scenes: &[Scene<'_>]) -> Self {
        let Some(scene) = scenes.first() else {
            return Self::of(scenes);
        };
        let mut found = Self::with(Arc::clone(&known.ears), Crowd::like(&known.crowd));
        // Who hears a line asks himself whether it can be.
        found.lines = if keys_no_more((scene, known_scene), |index| index) {
            Arc::clone(&known.lines)
        } else {
            LineBook::of(found.heard_on_trial(scene, scenes)).into()
        };
        found
    }

    /// The same in other scenes in which some of those who stood are gone; nobody is under trial there who was not here.
    pub fn left(
        known: &Self,
        known_scene: &Scene<'_>,
        (rest, scenes): (&Rest, &[Scene<'_>]),
    ) -> Self {
        let Some(scene) = scenes.first() else {
            return Self::of(scenes);
        };
        let ears = rest.hearers().iter();
        let ears: Arc<[Ear]> = ears
            .filter_map(|&was| known.ears.get(was).cloned())
            .collect();
        let listening: Vec<&Listening> = ears.iter().map(|ear| &ear.listening).collect();
        let crowd = Crowd::left(&known.crowd, scene, &listening, rest);
        let mut found = Self::with(ears, crowd);
        let was = |index: usize| rest.senders().get(index).copied().unwrap_or(usize::MAX);
        found.lines = if keys_no_more((scene, known_scene), was) {
            LineBook::left(&known.lines, rest).into()
        } else {
            LineBook::of(found.heard_on_trial(scene, scenes)).into()
        };
        found
    }

    fn with(ears: Arc<[Ear]>, crowd: Crowd) -> Self {
        Self {
            ears,
            crowd,
            lines: Arc::default(),
            beside: Mutex::default(),
            on_trial: Mutex::default(),
        }
    }

    /// The lines among what stands that some receiver under trial in any of some scenes might hear.
    fn heard_on_trial(&self, scene: &Scene<'_>, scenes: &[Scene<'_>]) -> Vec<Line> {
        // By antenna and by decade, the faintest that anybody under trial hears there: low down little is lost on the way.
        type Floors = BTreeMap<(usize, u32), Floor>;
        let join = |floors: &mut Floors, decade: (usize, u32), floor: Floor| {
            let known = floors.entry(decade).or_insert(floor);
            known.faintest = known.faintest.min(floor.faintest);
            known.lowest = known.lowest.min(floor.lowest);
        };
        let of_scene = |scene: &Scene<'_>| -> Floors {
            let mut floors = Floors::new();
            for (_, receiver) in scene.receivers.from(scene.receivers.standing()) {
                for heard in &self.ear_of(scene, receiver).listening.places {
                    let floor = floor(receiver.mast, heard);
                    let decade = floor.lowest.as_hz().unsigned_abs().checked_ilog10();
                    join(&mut floors, (floor.mast, decade.unwrap_or(0)), floor);
                }
            }
            floors
        };
        let all: Vec<Floors> = scenes.par_iter().map(of_scene).collect();
        let mut floors = Floors::new();
        for (decade, floor) in all.into_iter().flatten() {
            join(&mut floors, decade, floor);
        }
        let floors: Vec<Floor> = floors.into_values().collect();
        let mut lines = Vec::new();
        let request = Request::for_antennas(scene, &self.crowd, &floors);
        for emission in emissions::ALL.iter().filter(|one| !one.is_for_one) {
            (emission.generate)(&request, &mut lines);
        }
        lines
    }

    /// The ear of one under trial.
    fn ear_of(&self, scene: &Scene<'_>, receiver: &Receiver) -> Arc<Ear> {
        if !matches!(receiver.legs, Legs::FIRST | Legs::SECOND) {
            return Arc::new(Ear::of(scene, receiver));
        }
        let pupil = (
            receiver.frequency,
            receiver.legs,
            receiver.owner,
            receiver.name.clone(),
        );
        let known = || (self.on_trial.lock()).unwrap_or_else(PoisonError::into_inner);
        if let Some(ear) = known().get(&pupil) {
            return Arc::clone(ear);
        }
        let ear = Arc::new(Ear::of(scene, receiver));
        let mut known = known();
        if known.len() < MOST_KEPT {
            known.insert(pupil, Arc::clone(&ear));
        }
        ear
    }
}

/// What is to be heard at an antenna for a place: as faint, and from its lower edge on.
fn floor(mast: usize, heard: &Heard) -> Floor {
    Floor {
        mast,
        faintest: heard.faintest,
        lowest: (heard.middle - heard.reach).max(Frequency::hz(1)),
    }
}

/// Every encounter that rests on exactly the legs of the focus, comes within the horizon, and one of our own has a part in.
pub fn meet(scene: &Scene<'_>, focus: Legs) -> Vec<Encounter> {
    let standing = Standing::of(std::slice::from_ref(scene));
    standing.gather(scene).meet(Wanted::of(scene, focus))
}

/// A scene with everybody who listens there, ready to be asked for encounters.
#[derive(Debug)]
pub struct Gathering<'a> {
    standing: &'a Standing,
    scene: &'a Scene<'a>,
    /// Those under trial.
    on_trial: Vec<Arc<Ear>>,
    audience: Audience,
}

impl Standing {
    /// A scene in which these stand, with who is under trial in it.
    pub fn gather<'a>(&'a self, scene: &'a Scene<'a>) -> Gathering<'a> {
        let first = scene.receivers.standing();
        let on_trial: Vec<Arc<Ear>> = scene
            .receivers
            .from(first)
            .map(|(_, receiver)| self.ear_of(scene, receiver))
            .collect();
        let ears = on_trial.iter().enumerate();
        let audience = Audience::of(ears.map(|(place, ear)| (first + place, &ear.listening)));
        let audience = if self.crowd.are_many_to_ask {
            audience.for_many()
        } else {
            audience
        };
        Gathering {
            standing: self,
            scene,
            on_trial,
            audience,
        }
    }
}

impl<'a> Gathering<'a> {
    /// The scene.
    pub const fn scene(&self) -> &'a Scene<'a> {
        self.scene
    }

    /// Every encounter that is wanted and that one of our own has a part in.
    pub fn meet(&self, wanted: Wanted) -> Vec<Encounter> {
        self.met(
            &self.standing.crowd,
            (part_of(wanted), wanted),
            emissions::ALL,
        )
    }

    /// Some of these, soon found: with the carriers of what is under trial, and with everything that others send.
    pub fn meet_at_a_glance(&self, wanted: Wanted) -> Vec<Encounter> {
        let carriers = emissions::ALL.iter().filter(|one| one.is_plain);
        self.met(&self.standing.crowd, (part_of(wanted), wanted), carriers)
    }

    /// Every encounter within the horizon of some receivers of others who stand with what others who stand send, by index
    /// of the receiver in the scene: what happens between others counts only where something of ours is met as well.
    ///
    /// It is the same whatever is under trial, so each receiver is asked once.
    pub fn meet_beside(&self, receivers: &[usize]) -> Vec<Encounter> {
        let known = &self.standing.beside;
        let mut known = known.lock().unwrap_or_else(PoisonError::into_inner);
        let unknown = receivers.iter().filter(|one| !known.contains_key(one));
        let unknown: Vec<usize> = unknown.copied().collect();
        let found = self.met_beside(unknown.clone());
        for one in unknown {
            let met = found.iter().filter(|met| met.receiver == one);
            known.insert(one, met.cloned().collect());
        }
        let met = receivers.iter().filter_map(|one| known.get(one));
        met.flat_map(|met| met.iter().cloned()).collect()
    }

    fn met_beside(&self, receivers: Vec<usize>) -> Vec<Encounter> {
        if receivers.is_empty() {
            return Vec::new();
        }
        let standing = self.standing.ears.iter();
        let listening: Vec<&Listening> = standing.map(|ear| &ear.listening).collect();
        let crowd = Crowd::beside(self.scene, &listening, receivers);
        let wanted = Wanted::of(self.scene, Legs::NONE);
        self.met(&crowd, (Part::Beside, wanted), emissions::ALL)
    }

    fn met<'e>(
        &self,
        crowd: &Crowd,
        (part, wanted): (Part, Wanted),
        kinds: impl IntoIterator<Item = &'e Emission>,
    ) -> Vec<Encounter> {
        let (standing, scene) = (self.standing, self.scene);
        let focus = wanted.focus;
        let first = scene.receivers.standing();
        let on_trial = self.on_trial.iter().map(AsRef::as_ref);
        let ears = standing.ears.iter().chain(on_trial);
        let listening: Vec<&Listening> = ears.map(|ear| &ear.listening).collect();
        let request = Request::new(scene, crowd, &listening, &self.audience, (part, wanted));
        let mut lines = Vec::new();
        for emission in kinds {
            (emission.generate)(&request, &mut lines);
        }
        let listener = |index: usize| {
            let ear = match index.checked_sub(first) {
                None => standing.ears.get(index),
                Some(place) => self.on_trial.get(place).map(AsRef::as_ref),
            };
            Some(Listener {
                scene,
                index,
                receiver: scene.receivers.get(index)?,
                ear: ear?,
                wanted,
            })
        };
        let mut found = Vec::new();
        let mut hear = |line: &Line, index: usize, place: usize| {
            let listener = listener(index).filter(|one| one.is_concerned(line));
            found.extend(listener.and_then(|one| one.hear(line, place)));
        };
        for line in &lines {
            if let Some(index) = line.heard_by {
                // What one receiver alone hears, it hears on its channel.
                hear(line, index, 0);
                continue;
            }
            for heard in request.near(line.trace()) {
                hear(line, heard.receiver, heard.place);
            }
        }
        let on_trial = self.on_trial.iter().enumerate();
        for (place, ear) in on_trial.filter(|_| part == Part::OnTrial) {
            let index = first + place;
            let is_met = |receiver: &Receiver| receiver.legs == focus;
            if !scene.receivers.get(index).is_some_and(is_met) {
                continue;
            }
            for (place, heard) in ear.listening.places.iter().enumerate() {
                let near = standing.lines.near(heard, request.most_gain, request.worse);
                for line in near {
                    hear(line, index, place);
                }
            }
        }
        // Which way an encounter was found must not show.
        found.sort_by(Encounter::in_order);
        found
    }
}

/// Whether nobody who stands is keyed in a scene, or together with another, who is not so in another scene; `was` says which place
/// each had there.
pub(super) fn keys_no_more(
    (scene, known): (&Scene<'_>, &Scene<'_>),
    was: impl Fn(usize) -> usize + Copy,
) -> bool {
    let is_ever_keyed = |scene: &Scene<'_>, index: usize| {
        let sender = scene.transmitters.get(index);
        sender.is_some_and(|one| Activity::coexist(&[&one.activity]))
    };
    let is_no_newcomer =
        |index: usize| !is_ever_keyed(scene, index) || is_ever_keyed(known, was(index));
    // Those of different nets are keyed together whenever each is keyed at all, so they only need be asked about who are in one
    // net in either scene.
    let standing = 0..scene.transmitters.standing();
    let nets = |scene: &Scene<'_>, place: &dyn Fn(usize) -> usize| -> Vec<Vec<usize>> {
        let in_net = |index: usize| {
            let net = scene.transmitters.get(place(index))?.activity.net;
            (net != usize::MAX).then_some((net, index))
        };
        let nets = standing.clone().filter_map(in_net).into_group_map();
        nets.into_values().collect()
    };
    let of_one_net = nets(scene, &|index| index).into_iter();
    let mut of_one_net = of_one_net.chain(nets(known, &was));
    standing.clone().all(is_no_newcomer)
        && of_one_net.all(|net| {
            net.iter().array_combinations().all(|[&one, &other]| {
                !scene.are_keyed_together(one, other)
                    || known.are_keyed_together(was(one), was(other))
            })
        })
}

/// Among whom encounters that are wanted arise.
const fn part_of(wanted: Wanted) -> Part {
    if wanted.focus.is_none() {
        Part::Standing
    } else {
        Part::OnTrial
    }
}

#[cfg(test)]
pub(super) use plain::meet_plainly;

#[cfg(test)]
mod plain {
    use super::*;

    /// Every line against every response of every receiver, one after the other, with nothing left out beforehand.
    pub(in crate::encounter) fn meet_plainly(scene: &Scene<'_>, wanted: Wanted) -> Vec<Encounter> {
        let ears: Vec<Ear> = scene
            .receivers
            .iter()
            .map(|receiver| Ear::of(scene, receiver))
            .collect();
        let listening: Vec<&Listening> = ears.iter().map(|ear| &ear.listening).collect();
        let crowd = Crowd::default();
        let audience = Audience::default();
        let request = Request::plain(scene, &crowd, &listening, &audience, wanted);
        let mut lines = Vec::new();
        for emission in emissions::ALL {
            (emission.generate)(&request, &mut lines);
        }
        let mut found = Vec::new();
        for (index, receiver) in scene.receivers.iter().enumerate() {
            let listener = Listener {
                scene,
                index,
                receiver,
                ear: &ears[index],
                wanted,
            };
            for line in lines.iter().filter(|line| listener.is_concerned(line)) {
                let places = match line.heard_by {
                    Some(one) if one == index => 0..1,
                    Some(_) => 0..0,
                    None => 0..ears[index].places(),
                };
                found.extend(places.filter_map(|place| listener.hear(line, place)));
            }
        }
        found.sort_by(Encounter::in_order);
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::emissions::{Concern, Sense};
    use crate::quantity::{Level, Offset};
    use crate::scenario::{Channel, Use};
    use crate::scene::Trial;
    use crate::scene::sample::{CROWDED, plan};

    /// The relay of the crowded hill on a pair of its own, and the receivers that rest on one leg of it.
    fn on_trial(look: impl FnOnce(&Scene<'_>, &Standing, Vec<Receiver>)) {
        let plan = plan(CROWDED);
        let legs = [145_350_000, 433_550_000].map(|hertz| Channel {
            frequency: Frequency::hz(hertz),
            tone: None,
        });
        let what = Use::CrossBand { legs };
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        let standing = Standing::of(std::slice::from_ref(&scene));
        let all = scene.receivers.from(scene.receivers.standing());
        let all: Vec<Receiver> = all.map(|(_, one)| one.clone()).collect();
        assert!(all.len() > 1);
        look(&scene, &standing, all);
    }

    #[test]
    fn what_is_to_be_heard_for_a_place_begins_at_its_lower_edge_and_above_nothing() {
        let lowest = |hertz: i64, reach: i64| {
            let sense = Sense {
                slope: 1,
                concern: Concern::Plain,
            };
            let place = (Frequency::hz(hertz), Offset::hz(reach));
            let heard = Heard::new(place, (Level::dbm(-120.0), sense));
            let floor = floor(3, &heard);
            assert!(floor.mast == 3 && floor.faintest == heard.faintest);
            floor.lowest.as_hz()
        };
        assert_eq!(lowest(145_000_000, 8_000), 144_992_000);
        assert_eq!(lowest(8_001, 8_000), 1);
        assert_eq!([lowest(8_000, 8_000), lowest(5, i64::MAX / 4)], [1, 1]);
    }

    /// Whoever rests on both legs hears by where both of them are, so nothing that is kept of another serves.
    #[test]
    fn an_ear_on_one_leg_is_worked_out_once_and_of_any_other_each_time() {
        on_trial(|scene, standing, all| {
            for mut receiver in all {
                assert!(matches!(receiver.legs, Legs::FIRST | Legs::SECOND));
                let ear = standing.ear_of(scene, &receiver);
                assert!(Arc::ptr_eq(&ear, &standing.ear_of(scene, &receiver)));
                for legs in [Legs::BOTH, Legs::NONE] {
                    receiver.legs = legs;
                    let ear = standing.ear_of(scene, &receiver);
                    assert!(!Arc::ptr_eq(&ear, &standing.ear_of(scene, &receiver)));
                }
            }
        });
    }

    /// The packet station is alone in its net: silent in one scene, keyed in the other.
    #[test]
    fn whoever_is_keyed_and_was_not_is_noticed_and_whoever_falls_silent_is_nothing_new() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut senders = scene.transmitters.iter();
        let packet = senders.position(|one| one.name == "Packet").unwrap();
        let net = scene.transmitters.get(packet).unwrap().activity.net;
        let mut others = scene.transmitters.iter().filter(|one| one.name != "Packet");
        assert!(others.all(|one| one.activity.net != net));
        let mut silent = scene.clone();
        let fall_silent = |one: &mut crate::scene::Transmitter| one.activity.states.clear();
        silent.transmitters = scene.transmitters.changed_at(&[packet], fall_silent);
        let no_more = |now: &Scene<'_>, was: &Scene<'_>| keys_no_more((now, was), |index| index);
        assert!(no_more(&scene, &scene) && no_more(&silent, &silent) && no_more(&silent, &scene));
        assert!(!no_more(&scene, &silent));
    }
}
