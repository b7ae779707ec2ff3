//! Another channel: for a leg under trial, or for a channel of ours that stands.

use std::collections::BTreeSet;

use super::proof;
use crate::emissions::{Line, Source, place_of_slice};
use crate::encounter::Encounter;
use crate::finding::{Change, Remedy};
use crate::law::{Law, Preference, Purpose};
use crate::quantity::{Decibels, Frequency, Offset, Span};
use crate::responses::Shape;
use crate::scenario::{Legs, Plan, Use};
use crate::scene::{Owner, Receiver, Scene, Transmitter};

/// How many channel steps further a channel is tried where the nearest one that avoids a response meets another.
///
/// # Source
/// Choice: past the adjacent and the alternate channel there is rarely a third place.
const FURTHER: i64 = 8;

/// A move that leaves something to be mended is worth a word if it gains as much.
///
/// # Source
/// Choice: an S unit; for less nobody moves.
const WORTH_A_WORD: Decibels = Decibels::db(6.0);

/// What is added where the band plan likes the new channel less.
const LESS_LIKED: &str = ", though the band plan means that stretch for other uses";

/// Something that can be put on another channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Tuned {
    /// A leg of the thing under trial.
    Leg(usize),
    /// A channel that some of our stations stand on, with all of them.
    Channel(Frequency),
}

impl Tuned {
    fn holds(self, owner: Owner, legs: Legs, frequency: Frequency) -> bool {
        match self {
            Self::Leg(index) => legs.holds(Legs::of(index)),
            Self::Channel(channel) => owner.is_ours() && legs.is_none() && frequency == channel,
        }
    }

    fn sends(self, one: &Transmitter) -> bool {
        self.holds(one.owner, one.legs, one.frequency)
    }

    fn hears(self, one: &Receiver) -> bool {
        self.holds(one.owner, one.legs, one.frequency)
    }

    /// How often it enters the frequency of a line.
    fn enters(self, scene: &Scene<'_>, line: &Line) -> i64 {
        let terms = line.terms.iter();
        let own = terms.filter(|(source, _)| match *source {
            Source::Transmitter(index) => {
                let one = scene.transmitters.get(index);
                one.is_some_and(|one| self.sends(one))
            }
            Source::Oscillator(index) => {
                let one = scene.receivers.get(index);
                one.is_some_and(|one| self.hears(one))
            }
            // A crystal stays where it is, wherever its radio is tuned.
            Source::Reference(_) => false,
        });
        own.map(|&(_, coefficient)| coefficient).sum()
    }

    /// The scene with it on another channel; none where a radio does not reach that.
    fn moved<'plan>(self, scene: &Scene<'plan>, to: Frequency) -> Option<Scene<'plan>> {
        proof::retuned(
            scene,
            (
                |one: &Transmitter| self.sends(one),
                |one: &Receiver| self.hears(one),
            ),
            to,
        )
    }
}

/// Everything behind an encounter that can be put on another channel, with where it is now.
fn tuned(scene: &Scene<'_>, encounter: &Encounter) -> BTreeSet<(Tuned, Frequency)> {
    let sources = encounter
        .line
        .terms
        .iter()
        .filter_map(|&(source, _)| match source {
            Source::Transmitter(index) => {
                let one = scene.transmitters.get(index)?;
                Some((one.owner, one.legs, one.frequency))
            }
            Source::Oscillator(index) => {
                let one = scene.receivers.get(index)?;
                Some((one.owner, one.legs, one.frequency))
            }
            Source::Reference(_) => None,
        });
    let victim = scene.receivers.get(encounter.receiver);
    let victim = victim.map(|one| (one.owner, one.legs, one.frequency));
    sources
        .chain(victim)
        .filter(|(owner, ..)| owner.is_ours())
        .filter_map(|(_, legs, frequency)| {
            let leg = (0..2).find(|&index| legs.holds(Legs::of(index)));
            let tuned = leg.map_or(Tuned::Channel(frequency), Tuned::Leg);
            let may = leg.is_some() || is_our_choice(scene.plan, frequency);
            may.then_some((tuned, frequency))
        })
        .collect()
}

/// Whether a channel is one that we chose: not one that somebody else's repeater has, nor one that is watched.
fn is_our_choice(plan: &Plan, frequency: Frequency) -> bool {
    let mut uses = plan.stations.iter().flat_map(|station| &station.uses);
    uses.any(|one| {
        matches!(one.what, Use::Talk { .. } | Use::CrossBand { .. })
            && one.what.frequencies().contains(&frequency)
    })
}

/// A place where something could go, with what then is met there.
struct Place<'plan> {
    tuned: Tuned,
    here: Frequency,
    shift: Offset,
    scene: Scene<'plan>,
    line: Line,
}

impl Place<'_> {
    fn remedy(&self, then: &str) -> Remedy {
        let (here, shift, to) = (self.here, self.shift, self.here + self.shift);
        Remedy {
            text: format!("move {here} by {shift} to {to}: {then}"),
            change: Some(match self.tuned {
                Tuned::Leg(leg) => Change::Move { leg, to },
                Tuned::Channel(from) => Change::Retune { from, to },
            }),
        }
    }
}

/// The nearest place for each that can be moved, where the line meets one response fewer of its victim.
pub(super) fn nearest(scene: &Scene<'_>, encounter: &Encounter) -> Vec<Remedy> {
    let short_now = proof::short(scene, encounter, &encounter.line);
    let then = match encounter.response.shape {
        Shape::Window(_) if !encounter.line.is_slice() => "the two no longer meet",
        _ => "far enough asunder",
    };
    tuned(scene, encounter)
        .into_iter()
        .filter_map(|(tuned, here)| {
            let is_mended =
                |place: &Place<'_>| proof::short(&place.scene, encounter, &place.line) < short_now;
            let at = |&shift: &Offset| place(scene, encounter, (tuned, here), shift);
            let mended = |shifts: &[Offset]| {
                // What is broad only grows fainter further off: where the last is not enough, none is.
                let mut last = shifts.iter().rev().take(2).filter_map(at);
                if encounter.line.is_slice() && !last.any(|place| is_mended(&place)) {
                    return None;
                }
                shifts.iter().filter_map(at).find(is_mended)
            };
            let (liked, others) = liked_first(scene, encounter, tuned, here);
            let liked = mended(&liked).map(|place| place.remedy(then));
            liked.or_else(|| Some(mended(&others)?.remedy(&format!("{then}{LESS_LIKED}"))))
        })
        .collect()
}

/// Where nothing clears it: the place that makes the most of it, if a carrier is then met by another response only.
pub(super) fn better(scene: &Scene<'_>, encounter: &Encounter) -> Option<Remedy> {
    if !encounter.line.emission().is_some_and(|one| one.is_plain) {
        return None;
    }
    let margin = encounter.margin();
    tuned(scene, encounter)
        .into_iter()
        .flat_map(|(tuned, here)| {
            let (liked, _) = liked_first(scene, encounter, tuned, here);
            let places = liked.into_iter();
            places.filter_map(move |shift| place(scene, encounter, (tuned, here), shift))
        })
        .filter_map(|place| {
            let met = proof::met(&place.scene, encounter, &place.line);
            let is_cleared = met.iter().all(|(kind, _)| *kind != encounter.response.kind);
            let worst = met.iter().map(|&(_, margin)| margin).min()?;
            (is_cleared && worst >= margin + WORTH_A_WORD).then_some((worst, place))
        })
        .max_by(|(one, at), (other, there)| {
            let nearer = |place: &Place<'_>| -place.shift.abs().as_hz();
            one.cmp(other).then(nearer(at).cmp(&nearer(there)))
        })
        .map(|(worst, place)| {
            let then = if worst < Decibels::ZERO {
                format!("{} too strong there instead of {}", -worst, -margin)
            } else {
                format!("{worst} to spare there")
            };
            place.remedy(&then)
        })
}

/// How far something could go where the law allows it as it does here: to channels that the band plan likes no less, and to
/// the others.
fn liked_first(
    scene: &Scene<'_>,
    encounter: &Encounter,
    tuned: Tuned,
    here: Frequency,
) -> (Vec<Offset>, Vec<Offset>) {
    let law = &scene.plan.law;
    let sent = scene.transmitters.iter().filter(|one| tuned.sends(one));
    let purposes: BTreeSet<Purpose> = sent.map(|one| one.purpose).collect();
    // Where it stands against the law already, that is another finding's matter.
    let open: Vec<Vec<Span>> = purposes
        .iter()
        .map(|&purpose| {
            let bands = law.band_names().into_iter();
            bands.flat_map(|name| law.open_for(name, purpose)).collect()
        })
        .filter(|spans: &Vec<Span>| spans.iter().any(|span| span.contains(here)))
        .collect();
    let is_allowed = |to: Frequency| {
        open.iter()
            .all(|spans| spans.iter().any(|span| span.contains(to)))
    };
    let liking = |at: Frequency| {
        purposes
            .iter()
            .map(|&purpose| law.preference(at, purpose))
            .min()
    };
    let wanted = liking(here).min(Some(Preference::default()));
    shifts(scene, encounter, tuned, here)
        .into_iter()
        .filter(|&shift| is_allowed(here + shift))
        .partition(|&shift| liking(here + shift) >= wanted)
}

/// How far something could go to leave a response, the least first, within its band.
fn shifts(scene: &Scene<'_>, encounter: &Encounter, tuned: Tuned, here: Frequency) -> Vec<Offset> {
    let (line, response) = (&encounter.line, &encounter.response);
    let multiple = response.multiple;
    let step = scene.plan.settings.raster.as_hz().max(1);
    let receiver = scene.receivers.get(encounter.receiver);
    let victim_moves = receiver.is_some_and(|one| tuned.hears(one));
    let slope = multiple * (tuned.enters(scene, line) - i64::from(victim_moves));
    let now = multiple * (line.frequency - response.centre).as_hz();
    // The whole line outside the whole response, whatever the tolerances do, and one more hertz.
    let about = multiple * line.tolerance.as_hz() + response.drift.as_hz() + multiple + 2;
    let clear = match response.shape {
        Shape::Window(width) => about + multiple * line.width.as_hz() / 2 + width.as_hz() / 2,
        Shape::Ring { to, .. } => to.as_hz().saturating_add(about),
    };
    // Beyond any band there is nothing to move to.
    if slope == 0 || clear > here.as_hz() {
        return Vec::new();
    }
    let edges = if line.is_slice() {
        // A slice of something broad lies in the victim's channel wherever that is; further off it is fainter.
        [(1, 1), (-1, -1)]
    } else {
        // now + slope·shift must leave ±clear; the nearest whole number of steps on either side.
        let reach = |edge: i64| (edge - now) as f64 / (slope * step) as f64;
        let (one, other) = (reach(clear), reach(-clear));
        #[expect(clippy::cast_possible_truncation, reason = "a number of channel steps")]
        let edges = [
            (one.max(other).ceil() as i64, 1),
            (one.min(other).floor() as i64, -1),
        ];
        edges
    };
    let mut steps: Vec<i64> = edges
        .into_iter()
        .flat_map(|(edge, away)| (0..=FURTHER).map(move |more| edge + away * more))
        .collect();
    steps.sort_unstable_by_key(|steps| (steps.unsigned_abs(), *steps));
    steps
        .into_iter()
        .map(|steps| Offset::hz(steps * step))
        .filter(|&shift| is_within_the_band(&scene.plan.law, here, here + shift))
        .collect()
}

/// What is met where something has gone so far; none where a radio does not reach that.
fn place<'plan>(
    scene: &Scene<'plan>,
    encounter: &Encounter,
    (tuned, here): (Tuned, Frequency),
    shift: Offset,
) -> Option<Place<'plan>> {
    let there = tuned.moved(scene, here + shift)?;
    let mut line = encounter.line.clone();
    line.frequency = if line.is_slice() {
        place_of_slice(&there, &line)?
    } else {
        line.frequency + Offset::hz(tuned.enters(scene, &line) * shift.as_hz())
    };
    Some(Place {
        tuned,
        here,
        shift,
        scene: there,
        line,
    })
}

/// Whether two frequencies lie in one band of the rules; where they name no band for the first, anywhere will do.
fn is_within_the_band(law: &Law, here: Frequency, to: Frequency) -> bool {
    let mut bands = law
        .band_names()
        .into_iter()
        .flat_map(|name| law.band(name))
        .filter(|band| band.contains(here))
        .peekable();
    bands.peek().is_none() || bands.any(|band| band.contains(to))
}
