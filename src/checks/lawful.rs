//! What the checks of law and band plan share: our transmissions as the law sees them, and a finding from a breach.

use std::collections::BTreeMap;

use jiff::Timestamp;

use super::Situation;
use crate::finding::{Change, Finding, Matter, Remedy, Severity, Term};
use crate::law::{Against, Breach, Force, Kind, Spurious, Transmission};
use crate::provenance::{Origin, Sourced, Standing};
use crate::quantity::{Decibels, Frequency, Offset, Power, Span};
use crate::radio;
use crate::scenario::{Choosing, Legs, Plan, Station, Use};
use crate::scene::{Owner, Transmitter};
use crate::topic::Topic;

/// The furthest move that is proposed: a band's width.
const FURTHEST: Offset = Offset::hz(20_000_000);

/// A breach with whose transmission it is.
#[derive(Debug)]
pub(super) struct Told<'a> {
    /// What the rules say.
    pub(super) breach: Breach<'a>,
    /// The transmission they were asked about.
    pub(super) asked: Transmission,
    /// The transmitter.
    pub(super) transmitter: &'a Transmitter,
    /// The station it belongs to.
    pub(super) station: &'a Station,
    /// Every station of which the same is to be said, in the plan's order.
    pub(super) names: Vec<String>,
}

/// Whether the same is told once for a channel, or for each station, or once for them all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Once {
    /// All stations of a channel break the rule alike.
    Channel,
    /// It is about the station itself.
    Station,
    /// It is the same for all of them.
    Rule,
}

/// What the rules have against our transmissions that rest on exactly the wanted legs, as far as `wanted` asks for it.
pub(super) fn told<'a>(
    situation: &Situation<'a>,
    once: Once,
    wanted: impl Fn(&Against) -> bool,
) -> Vec<Told<'a>> {
    let mut found: BTreeMap<_, Told<'a>> = BTreeMap::new();
    for transmitter in situation.scene.transmitters.iter() {
        let Owner::Station(index) = transmitter.owner else {
            continue;
        };
        let Some(station) = situation.plan.stations.get(index) else {
            continue;
        };
        if transmitter.legs != situation.focus {
            continue;
        }
        let asked = transmission(situation, transmitter);
        for breach in situation.plan.law.ruling(&asked) {
            if !wanted(&breach.against) {
                continue;
            }
            let key = (
                breach.rule.clone(),
                (once != Once::Rule).then_some(transmitter.frequency),
                (once == Once::Station).then_some(index),
                kind_of(&breach.against),
                breach.force,
            );
            found
                .entry(key)
                .or_insert_with(|| Told {
                    breach,
                    asked,
                    transmitter,
                    station,
                    names: Vec::new(),
                })
                .add(&station.name);
        }
    }
    found.into_values().collect()
}

impl Told<'_> {
    fn add(&mut self, name: &str) {
        if self.names.iter().all(|known| known != name) {
            self.names.push(name.to_owned());
        }
    }

    /// The stations, as a sentence has them.
    pub(super) fn who(&self) -> String {
        match self.names.as_slice() {
            [] => String::new(),
            [one] => one.clone(),
            [one, other] => format!("{one} and {other}"),
            [first, rest @ ..] => format!("{first} and {} more", rest.len()),
        }
    }

    /// A finding that says so, with the rule, its authority and what the pack itself advises.
    pub(super) fn finding(&self, topic: &Topic, says: String, arithmetic: String) -> Finding {
        let mut finding = of_breach(&self.breach, topic, says, arithmetic);
        finding.legs = self.transmitter.legs;
        finding.sources = vec![Term {
            name: self.transmitter.name.clone(),
            frequency: self.transmitter.frequency,
            coefficient: 1,
        }];
        finding
    }

    /// The emission, where it was assumed and the finding hangs on its width.
    pub(super) fn assumed_emission(&self) -> Option<String> {
        let emission = &self.transmitter.emission;
        (!emission.is_stated()).then(|| {
            format!(
                "emission {} of {}: {}",
                **emission, self.station.name, emission.origin
            )
        })
    }

    /// Channels on either side that nothing forbids and no plan keeps for others, nearest first, as moves of the leg under
    /// trial where there is one.
    pub(super) fn moves(&self, situation: &Situation<'_>) -> Vec<Remedy> {
        let step = situation.plan.settings.raster.value;
        let mut fit: Vec<Frequency> = situation
            .plan
            .law
            .nearest_fit(&self.asked, step, FURTHEST)
            .into_iter()
            .flatten()
            .filter(|&carrier| self.station.radio.transmitter_at(carrier).is_some())
            .collect();
        fit.sort_by_key(|&carrier| (carrier - self.asked.carrier).abs());
        fit.into_iter()
            .map(|carrier| move_to(self.transmitter.legs, self.asked.carrier, carrier))
            .collect()
    }

    /// Whether nothing forbids the same transmission on another channel; power and control are the same wherever it goes.
    pub(super) fn is_allowed_at(&self, situation: &Situation<'_>, carrier: Frequency) -> bool {
        let there = situation.plan.law.ruling(&self.asked.moved_to(carrier));
        there.iter().all(|breach| {
            breach.force != Force::Forbidden
                || matches!(
                    breach.against,
                    Against::Power { .. } | Against::Control { .. }
                )
        })
    }

    /// The emission with its tolerance, as arithmetic.
    pub(super) fn extent(&self) -> String {
        let Span { low, high } = self.asked.occupied;
        let half = self.asked.emission.bandwidth.half();
        let tolerance = (high - self.asked.carrier).as_hz() - half.as_hz();
        format!(
            "{} ± {half} ± {} = {}–{}",
            self.asked.carrier,
            Offset::hz(tolerance),
            low.digits(),
            high
        )
    }
}

/// A move of the leg under trial, or of whoever sends on the channel.
pub(super) fn move_to(legs: Legs, from: Frequency, to: Frequency) -> Remedy {
    let leg = match legs {
        Legs::FIRST => Some(0),
        Legs::SECOND => Some(1),
        _ => None,
    };
    Remedy {
        text: format!("move {from} by {} to {to}", to - from),
        change: leg.map(|leg| Change::Move { leg, to }),
    }
}

/// A finding from a breach, about nobody in particular yet.
pub(super) fn of_breach(
    breach: &Breach<'_>,
    topic: &Topic,
    says: String,
    arithmetic: String,
) -> Finding {
    let pack = breach.pack;
    let (matter, decides) = match pack.kind {
        Kind::Law => (Matter::Law, "the licence text itself decides"),
        Kind::BandPlan | Kind::Local => (Matter::BandPlan, "custom, not law"),
        Kind::Services => (Matter::Interference, "worth asking about"),
    };
    let across = if breach.is_neighbours {
        " across the border"
    } else {
        ""
    };
    let mut why = format!("The rule ({}){across}: {}.", breach.rule, breach.says);
    let mut severity = match breach.force {
        Force::Forbidden => Severity::Conflict,
        Force::Caution => Severity::Caution,
        Force::Note => Severity::Note,
    };
    let mut says = says;
    if let Some(permission) = breach.lifted_by {
        severity = Severity::Note;
        says = format!("{says}; lifted by {}", permission.name);
        why = format!("{why} Lifted by {}: {}.", permission.name, permission.basis);
    }
    let mut assumed = Vec::new();
    if breach.basis.standing == Standing::Memory {
        assumed.push(format!(
            "the rule {} was recalled and not read; check it before relying on it",
            breach.rule
        ));
    }
    Finding {
        arithmetic,
        why,
        remedies: breach.ways_out.iter().map(in_words).collect(),
        citation: format!("{}: {}; {decides}", pack.title, breach.basis),
        assumed,
        ..plain(topic, severity, matter, says)
    }
}

/// A finding that says one sentence and rests on nothing under trial.
pub(super) fn plain(topic: &Topic, severity: Severity, matter: Matter, says: String) -> Finding {
    Finding::new(topic.id, severity, matter, Legs::NONE, says)
}

/// A remedy in words alone.
pub(super) fn in_words(text: impl Into<String>) -> Remedy {
    Remedy {
        text: text.into(),
        change: None,
    }
}

/// A transmitter of ours as the law sees it.
fn transmission(situation: &Situation<'_>, transmitter: &Transmitter) -> Transmission {
    let carrier = transmitter.frequency;
    let emission = transmitter.emission.value;
    let mast = situation.scene.masts.get(transmitter.mast);
    let gain = mast.map_or_else(Power::dipole_over_isotropic, |mast| {
        let filters = mast
            .filters
            .iter()
            .filter(|filter| filter.span.contains(carrier))
            .map(|filter| filter.loss.value)
            .sum();
        mast.antenna.gain_at(carrier, None) - mast.antenna.feeder.value - filters
    });
    let operation = match transmitter.owner {
        Owner::Station(index) => situation.plan.stations.get(index),
        _ => None,
    }
    .map(|station| &station.operation);
    let says = |answer: Option<&Sourced<bool>>| answer.map(|answer| answer.value);
    Transmission {
        carrier,
        occupied: Span::around(carrier, emission.bandwidth)
            .widened(transmitter.figures.tolerance.of(carrier)),
        emission,
        purpose: transmitter.purpose,
        control: transmitter.control,
        output: Power::of_level(transmitter.power.value),
        gain,
        position: mast.and_then(|mast| mast.position),
        period: period(situation.plan),
        third_party: says(operation.and_then(|one| one.third_party.as_ref())),
        for_hire: says(operation.and_then(|one| one.for_hire.as_ref())),
        spurious: strongest_harmonic(situation, transmitter),
    }
}

/// The strongest harmonic behind the filters, of those whose level somebody stated for this radio.
///
/// The built-in profiles take what the limits allow at the usual power of their kind of radio: nothing that a limit gave can
/// be held against a limit.
fn strongest_harmonic(situation: &Situation<'_>, transmitter: &Transmitter) -> Option<Spurious> {
    let mast = situation.scene.masts.get(transmitter.mast)?;
    let figures = &transmitter.figures.harmonics;
    (2..=i64::from(situation.plan.settings.harmonics.value))
        .filter_map(|multiple| {
            let mut known = figures.iter().rev();
            let figure = known.find(|figure| i64::from(figure.from) <= multiple)?;
            if let Origin::Profile { profile, .. } = &figure.suppression.origin
                && radio::built_in().iter().any(|(id, _)| *id == &**profile)
            {
                return None;
            }
            let frequency = transmitter.frequency.times(multiple);
            let filters: Decibels = mast
                .filters
                .iter()
                .filter(|filter| filter.span.contains(frequency))
                .map(|filter| filter.loss.value)
                .sum();
            Some(Spurious {
                frequency,
                level: transmitter.power.value - figure.suppression.value - filters,
            })
        })
        .max_by(|one, other| {
            one.level
                .cmp(&other.level)
                .then(other.frequency.cmp(&one.frequency))
        })
}

/// When the event is.
pub(super) fn period(plan: &Plan) -> Option<(Timestamp, Timestamp)> {
    let window = plan.event.window?;
    let at = |second| Timestamp::from_second(second).ok();
    // The end is the first second no longer in it.
    at(window.from).zip(at(window.to.saturating_sub(1).max(window.from)))
}

/// Every cross-band relay that rests on exactly the wanted legs, with its station.
pub(super) fn relays<'a>(situation: &Situation<'a>) -> Vec<(&'a Station, [Frequency; 2])> {
    let legs_of = |what: &Use| match what {
        Use::CrossBand { legs } => Some([0, 1].map(|leg| {
            legs.get(leg)
                .map_or(Frequency::default(), |channel| channel.frequency)
        })),
        _ => None,
    };
    let under_trial = situation.trial.map(|trial| trial.station);
    let chosen = situation
        .plan
        .stations
        .iter()
        .flat_map(|station| station.uses.iter().map(move |one| (station, one)))
        .filter(|(_, one)| {
            // Only where the focus has legs: what rests on none is told of the plan.
            let [first, second] = one.choosing;
            let is_whole = !one.choosing.contains(&Choosing::Absent);
            is_whole && first.legs().and(second.legs()) == situation.focus
        })
        .filter_map(|(station, one)| Some((station, legs_of(&one.what)?)));
    match situation.focus {
        Legs::BOTH => situation
            .trial
            .and_then(|trial| {
                let station = situation.plan.stations.get(trial.station)?;
                Some((station, legs_of(&trial.what)?))
            })
            .into_iter()
            .chain(chosen)
            .collect(),
        Legs::NONE => situation
            .plan
            .stations
            .iter()
            .enumerate()
            // What is under trial takes the place of what the station does.
            .filter(|(index, _)| Some(*index) != under_trial)
            .flat_map(|(_, station)| station.uses.iter().map(move |one| (station, one)))
            .filter(|(_, one)| one.choosing == [Choosing::Settled; 2])
            .filter_map(|(station, one)| Some((station, legs_of(&one.what)?)))
            .collect(),
        _ => chosen.collect(),
    }
}

/// A number that tells what kind of thing a breach is about, so that two kinds of one rule are told apart.
fn kind_of(against: &Against) -> u8 {
    match against {
        Against::NoBand { .. } => 0,
        Against::Edge { .. } => 1,
        Against::Use { .. } => 2,
        Against::Width { .. } => 3,
        Against::Class { .. } => 4,
        Against::Power { .. } => 5,
        Against::Control { .. } => 6,
        Against::Identify { .. } => 7,
        Against::Duty => 8,
        Against::Zone { .. } => 9,
        Against::Time { .. } => 10,
        Against::Reading { .. } => 11,
        Against::Reserved { .. } => 12,
        Against::Segment { .. } => 13,
        Against::Raster { .. } => 14,
        Against::Spot { .. } => 15,
        Against::Pair { .. } => 16,
        Against::Messages { .. } => 17,
        Against::Spurious { .. } => 18,
        Against::Abroad { .. } => 19,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::scenario::Channel;
    use crate::scenario::Proposal;
    use crate::scene::Scene;
    use crate::scene::sample::{CROWDED, plan};

    #[test]
    fn a_move_is_one_of_the_leg_that_it_rests_on_and_of_no_leg_where_it_rests_on_none_or_both() {
        let [from, to] = [145_225_000, 145_300_000].map(Frequency::hz);
        let leg = |legs| match move_to(legs, from, to).change {
            Some(Change::Move { leg, to: there }) if there == to => Some(leg),
            None => None,
            other => panic!("{other:?}"),
        };
        assert_eq!(leg(Legs::FIRST), Some(0));
        assert_eq!(leg(Legs::SECOND), Some(1));
        assert_eq!(leg(Legs::NONE), None);
        assert_eq!(leg(Legs::BOTH), None);
        let text = move_to(Legs::NONE, to, from).text;
        assert_eq!(text, "move 145.3000 MHz by −75 kHz to 145.2250 MHz");
    }

    /// What the plan settles rests on nothing; what is put to it takes the place of what its station does, on both legs; of one leg
    /// alone there is no relay.
    #[test]
    fn a_relay_is_told_of_the_plan_or_with_both_legs_of_what_is_under_trial() {
        let plan = plan(&CROWDED.replace(
            "  - {name: Packet,",
            "  - {name: Second, site: field, radio: dual-band-mobile, cross_band: [433.5000, 145.3000]}\n  - {name: Packet,",
        ));
        let legs = [435_675_000, 145_375_000].map(|hertz| Channel {
            frequency: Frequency::hz(hertz),
            tone: None,
        });
        let proposal = Proposal {
            name: "it".to_owned(),
            station: 0,
            what: Use::CrossBand { legs },
            place: "here".into(),
        };
        let named = |trial: Option<&Proposal>, focus: Legs| {
            let scene = Scene::build(&plan, None);
            let situation = Situation::new(&scene, trial, focus);
            let told = relays(&situation).into_iter();
            told.map(|(station, [first, second])| {
                let megahertz = |at: Frequency| at.as_hz() as f64 / 1e6;
                (station.name.clone(), megahertz(first), megahertz(second))
            })
            .collect::<Vec<_>>()
        };
        let second = ("Second".to_owned(), 433.5, 145.3);
        assert_eq!(
            named(None, Legs::NONE),
            [("Relay".to_owned(), 433.45, 145.225), second.clone()]
        );
        assert_eq!(named(None, Legs::BOTH), []);
        assert_eq!(named(Some(&proposal), Legs::NONE), [second]);
        assert_eq!(
            named(Some(&proposal), Legs::BOTH),
            [("Relay".to_owned(), 435.675, 145.375)]
        );
        assert_eq!(named(Some(&proposal), Legs::FIRST), []);
    }

    /// While channels are being chosen: of a relay each leg may be under trial, settled or not there yet.
    #[test]
    fn a_relay_that_is_being_chosen_is_told_with_exactly_the_legs_that_it_rests_on() {
        let [first, second] = [Legs::FIRST, Legs::SECOND].map(Choosing::Tried);
        let told = |choosing: [Choosing; 2], focus: Legs| {
            let mut plan = plan(CROWDED);
            plan.stations[0].uses[0].choosing = choosing;
            let scene = Scene::build(&plan, None);
            relays(&Situation::new(&scene, None, focus)).len()
        };
        for (choosing, told_with) in [
            ([Choosing::Settled; 2], Some(Legs::NONE)),
            ([first; 2], Some(Legs::FIRST)),
            ([first, Choosing::Settled], Some(Legs::FIRST)),
            ([Choosing::Settled, second], Some(Legs::SECOND)),
            ([first, second], Some(Legs::BOTH)),
            ([first, Choosing::Absent], None),
            ([Choosing::Absent, second], None),
        ] {
            for focus in [Legs::NONE, Legs::FIRST, Legs::SECOND, Legs::BOTH] {
                let expected = usize::from(told_with == Some(focus));
                assert_eq!(told(choosing, focus), expected, "{choosing:?} {focus:?}");
            }
        }
    }

    /// What a built-in profile takes from the limits themselves is held against nobody.
    #[test]
    fn a_harmonic_counts_where_a_profile_of_somebodys_own_states_it_and_not_where_a_built_in_one_does()
     {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let situation = Situation::new(&scene, None, Legs::NONE);
        let mut packet = scene
            .transmitters
            .iter()
            .find(|one| one.name == "Packet")
            .unwrap()
            .clone();
        packet.power.value = crate::quantity::Level::dbm(40.0);
        let mut figures = (*packet.figures).clone();
        figures.harmonics.truncate(1);
        figures.harmonics[0].from = 2;
        figures.harmonics[0].suppression.value = Decibels::db(30.0);
        let Origin::Profile { authority, .. } = figures.harmonics[0].suppression.origin.clone()
        else {
            panic!("{:?}", figures.harmonics[0]);
        };
        let mut told = |profile: &str| {
            figures.harmonics[0].suppression.origin = Origin::Profile {
                profile: profile.into(),
                authority: authority.clone(),
            };
            packet.figures = figures.clone().into();
            let found = strongest_harmonic(&situation, &packet)?;
            Some((found.frequency, found.level.as_dbm().round()))
        };
        // 40 dBm less 30 dB on twice 144.8 MHz, the lowest of equals.
        assert_eq!(told("own.yaml"), Some((Frequency::hz(289_600_000), 10.0)));
        for (built_in, _) in radio::built_in() {
            assert_eq!(told(built_in), None, "{built_in}");
        }
    }
}
