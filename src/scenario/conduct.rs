//! How the net is run: its traffic, who needs whom, what the radios run from, and who may come near them.

use std::collections::BTreeSet;
use std::str::FromStr;
use std::sync::Arc;
use std::time::Duration;

use super::defaults::{Defaults, Figure};
use super::desk::{Desk, Spot, Stated};
use super::names;
use super::plan::{Event, Station, Supply, Traffic};
use super::sites::is_between;
use super::stations::Draft;
use super::words::{ScenarioWords, SettingsWords, StationWords, TrafficWords};
use crate::document::Said;
use crate::physics::exposure::{self, Body, ExposureLimit, People};
use crate::provenance::{Origin, Sourced};
use crate::quantity::{Duty, Length, QuantityError};
use crate::radio::{MilliampereHours, Milliseconds, Profile};

/// Nobody begins more overs in an hour: one every second.
const MOST_OVERS: f64 = 3_600.0;

/// Overs of one event: each is run through, several times.
const MOST_IN_ALL: f64 = 500_000.0;

/// No over is shorter, or longer, than this.
const SHORTEST_MS: u64 = 100;
const LONGEST_MS: u64 = 3_600_000;

/// A mains frequency lies between these, in hertz.
const MAINS: std::ops::RangeInclusive<u32> = 10..=400;

/// What a text stands for; told where it stands for nothing.
fn parsed<T: FromStr<Err = QuantityError>>(
    stated: Option<Stated<String>>,
    desk: &mut Desk,
) -> Option<Stated<T>> {
    let Stated { value, spot } = stated?;
    match value.parse() {
        Ok(value) => Some(Stated { value, spot }),
        Err(error) => {
            desk.tell(spot, error.to_string());
            None
        }
    }
}

/// A default that is written as a text. The file is tested, so that what stands for nothing is never met.
fn figure<T: FromStr>(figure: &Figure<String>, fallback: T) -> Sourced<T> {
    figure
        .sourced()
        .map(|text| text.parse().unwrap_or(fallback))
}

/// How long the event lasts.
pub(super) fn lasts(event: &Event, defaults: &Defaults, desk: &mut Desk) -> Sourced<Duration> {
    let stated = event
        .window
        .and_then(|window| u64::try_from(window.to - window.from).ok());
    if let Some(seconds) = stated {
        return Sourced::new(
            Duration::from_secs(seconds),
            Origin::Said(Arc::from("the event's times")),
        );
    }
    desk.or_default(None, "", &defaults.event.lasts);
    figure(&defaults.event.lasts, Milliseconds(0)).map(|time| Duration::from_millis(time.0))
}

/// The traffic of one operator of whom nothing is stated.
pub(super) fn unstated(defaults: &Defaults) -> Traffic {
    Traffic {
        overs_per_hour: defaults.traffic.each.sourced().map(f64::from),
        over: figure(&defaults.traffic.over, Milliseconds(0))
            .map(|time| Duration::from_millis(time.0)),
    }
}

/// Fills in what needs all stations to be known: who needs whom, and how much each operator says; gives the plan's traffic.
pub(super) fn run(
    words: &ScenarioWords,
    drafts: &mut [Draft<'_>],
    defaults: &Defaults,
    desk: &mut Desk,
) -> Traffic {
    let operators: f64 = drafts
        .iter()
        .filter_map(|draft| draft.station.as_ref())
        .filter(|station| station.talks())
        .map(|station| f64::from(station.count))
        .sum();
    let stated = words.traffic.as_ref().and_then(Said::value);
    let whole = stated
        .map(|words| Spoken::of(words, desk))
        .unwrap_or_default();
    let is_assumed = |of: fn(&TrafficWords) -> bool| {
        stated.is_none_or(|words| !of(words))
            && drafts.iter().any(|draft| {
                let own = draft.words.traffic.as_ref().and_then(Said::value);
                draft.station.as_ref().is_some_and(Station::talks) && own.is_none_or(|own| !of(own))
            })
    };
    let is_rate_assumed = is_assumed(|words| words.overs.is_some());
    let is_length_assumed = is_assumed(|words| words.length.is_some());
    let mut usual = unstated(defaults);
    let shared = defaults
        .traffic
        .together
        .sourced()
        .map(|all| f64::from(all) / operators.max(1.0));
    if shared.value < usual.overs_per_hour.value {
        usual.overs_per_hour = shared;
    }
    if is_rate_assumed {
        let rounded = usual
            .overs_per_hour
            .clone()
            .map(|rate| format!("{rate:.1}"));
        desk.noted("", &defaults.traffic.each.what, rounded);
    }
    if is_length_assumed {
        desk.or_default(None, "", &defaults.traffic.over);
    }
    let whole = whole.or(&usual, desk);
    let needs: Vec<BTreeSet<usize>> = drafts
        .iter()
        .enumerate()
        .map(|(index, draft)| needs(index, draft.words, drafts, desk))
        .collect();
    for (draft, needs) in drafts.iter_mut().zip(needs) {
        let own = draft.words.traffic.as_ref().and_then(Said::value);
        let own = own.map(|words| Spoken::of(words, desk)).unwrap_or_default();
        if let Some(station) = &mut draft.station {
            station.traffic = own.or(&whole, desk);
            station.needs = needs;
        }
    }
    whole
}

/// Tells traffic of which the event would hold more than can be run through.
pub(super) fn bound(
    words: &ScenarioWords,
    drafts: &[Draft<'_>],
    lasts: &Sourced<Duration>,
    desk: &mut Desk,
) {
    let hours = lasts.value.as_secs_f64() / 3_600.0;
    let stations = drafts.iter().filter_map(|draft| draft.station.as_ref());
    let all: f64 = stations
        .filter(|station| station.talks())
        .map(|station| f64::from(station.count) * station.traffic.overs_per_hour.value * hours)
        .sum();
    if all <= MOST_IN_ALL {
        return;
    }
    let own = drafts.iter().find_map(|draft| draft.words.traffic.as_ref());
    let place = (words.traffic.as_ref().or(own)).map_or(words.event.place(), Said::place);
    desk.tell_with_help(
        Spot::scenario(place),
        format!("this comes to {all:.0} overs in the event: at most {MOST_IN_ALL} are run through"),
        "state fewer `overs`, fewer stations (`count`), or the times of one day",
    );
}

/// Traffic as far as it is stated.
#[derive(Default)]
struct Spoken {
    overs: Option<Stated<f64>>,
    length: Option<Stated<Milliseconds>>,
}

impl Spoken {
    fn of(words: &TrafficWords, desk: &mut Desk) -> Self {
        let overs = Stated::in_scenario(words.overs.as_ref()).filter(|overs| {
            let is_one = (0.0..=MOST_OVERS).contains(&overs.value);
            if !is_one {
                desk.tell(
                    overs.spot,
                    format!(
                        "{} is no number of overs in an hour: from 0 to {MOST_OVERS}",
                        overs.value
                    ),
                );
            }
            is_one
        });
        let length = parsed(Stated::in_scenario(words.length.as_ref()), desk);
        let length = length.filter(|length: &Stated<Milliseconds>| {
            let is_one = (SHORTEST_MS..=LONGEST_MS).contains(&length.value.0);
            if !is_one {
                desk.tell(length.spot, "no over lasts so long: from 100 ms to 60 min");
            }
            is_one
        });
        Self { overs, length }
    }

    fn or(self, otherwise: &Traffic, desk: &Desk) -> Traffic {
        let length = self.length.map(|length| {
            desk.sourced(length)
                .map(|time| Duration::from_millis(time.0))
        });
        Traffic {
            overs_per_hour: self.overs.map_or_else(
                || otherwise.overs_per_hour.clone(),
                |overs| desk.sourced(overs),
            ),
            over: length.unwrap_or_else(|| otherwise.over.clone()),
        }
    }
}

/// The stations that one station needs; a role stands for every station that has it.
fn needs(
    index: usize,
    words: &StationWords,
    drafts: &[Draft<'_>],
    desk: &mut Desk,
) -> BTreeSet<usize> {
    let role_of = |draft: &Draft<'_>| {
        draft
            .words
            .role
            .as_ref()
            .and_then(|role| role.value().cloned())
    };
    let mut found = BTreeSet::new();
    for wanted in words
        .needs
        .iter()
        .filter_map(|said| Stated::in_scenario(Some(said)))
    {
        let meant: BTreeSet<usize> = drafts
            .iter()
            .enumerate()
            .filter(|(_, draft)| {
                draft.name == wanted.value || role_of(draft).as_ref() == Some(&wanted.value)
            })
            .map(|(other, _)| other)
            .collect();
        if meant.is_empty() {
            let mut known: BTreeSet<String> = drafts.iter().filter_map(role_of).collect();
            known.extend(drafts.iter().map(|draft| draft.name.clone()));
            let known: Vec<&str> = known.iter().map(String::as_str).collect();
            names::tell_unknown("station or role", &wanted, &known, desk);
        } else if meant.iter().all(|other| *other == index) {
            desk.tell(
                wanted.spot,
                format!("`{}` is this station itself; name another", wanted.value),
            );
        }
        found.extend(meant.into_iter().filter(|other| *other != index));
    }
    found
}

/// What a station is there for.
pub(super) fn role(words: &StationWords, desk: &mut Desk) -> Option<String> {
    let role = Stated::in_scenario(words.role.as_ref())?;
    if role.value.trim().is_empty() {
        desk.tell(
            role.spot,
            "the role needs a name; write one, or leave the key out",
        );
        return None;
    }
    Some(role.value)
}

/// The battery that a station runs from.
pub(super) fn battery(
    words: &StationWords,
    name: &str,
    defaults: &Defaults,
    desk: &mut Desk,
) -> Option<Supply> {
    let words = words.battery.as_ref()?.value()?;
    let capacity = parsed(Stated::in_scenario(Some(&words.capacity)), desk);
    let usable = if let Some(said) = words.usable.as_ref() {
        let usable = parsed::<Duty>(Stated::in_scenario(Some(said)), desk)?;
        desk.sourced(usable)
    } else {
        desk.or_default(None, name, &defaults.station.battery_usable);
        figure(&defaults.station.battery_usable, Duty::CONTINUOUS)
    };
    let capacity: Stated<MilliampereHours> = capacity?;
    if capacity.value.0 == 0 {
        desk.tell(
            capacity.spot,
            "a battery without capacity is none: write one such as 7 Ah",
        );
        return None;
    }
    Some(Supply {
        capacity_mah: desk.sourced(capacity).map(|charge| charge.0),
        usable,
    })
}

/// How near the public may come to a station's antenna.
pub(super) fn public(words: &StationWords, desk: &mut Desk) -> Option<Sourced<Length>> {
    let public = Stated::in_scenario(words.public.as_ref()).filter(|length| {
        let (low, high) = (Length::default(), Length::metres(10_000.0));
        is_between(
            length,
            low,
            high,
            "a distance of the public from an antenna",
            desk,
        )
    })?;
    Some(desk.sourced(public))
}

/// A radio with its times as they are set, where that is stated.
pub(super) fn timed(
    radio: &Arc<Profile>,
    hang: Option<Stated<String>>,
    time_out: Option<Stated<String>>,
    desk: &mut Desk,
) -> Arc<Profile> {
    let hang: Option<Stated<Milliseconds>> = parsed(hang, desk);
    let time_out: Option<Stated<Milliseconds>> = parsed(time_out, desk);
    if hang.is_none() && time_out.is_none() {
        return Arc::clone(radio);
    }
    let mut radio = Profile::clone(radio);
    if let Some(hang) = hang {
        radio.timing.hang = desk.sourced(hang).map(|time| time.0);
    }
    if let Some(time_out) = time_out {
        radio.timing.time_out = Some(desk.sourced(time_out).map(|time| time.0));
    }
    Arc::new(radio)
}

/// Mains frequencies, in hertz.
pub(super) fn mains(
    words: &SettingsWords,
    defaults: &Defaults,
    desk: &mut Desk,
) -> Sourced<Vec<u32>> {
    let stated = Stated::in_scenario(words.mains.as_ref());
    let spot = stated.as_ref().map(|stated| stated.spot);
    let text = desk.or_default(stated, "", &defaults.settings.mains);
    let mut found = Vec::new();
    for part in text.value.split(',') {
        let digits = part.trim().trim_end_matches("Hz").trim_end();
        match digits.parse() {
            Ok(hertz) if MAINS.contains(&hertz) => found.push(hertz),
            _ => {
                if let Some(spot) = spot {
                    desk.tell(
                        spot,
                        format!("`{}` is no mains frequency such as 50 Hz", part.trim()),
                    );
                }
            }
        }
    }
    text.map(|_| found)
}

/// The exposure limits that are named, which must protect the public and operators alike.
pub(super) fn exposure_limits(words: &SettingsWords, desk: &mut Desk) -> Vec<String> {
    let ids: Vec<&str> = exposure::limits()
        .iter()
        .map(|limit| limit.id.as_str())
        .collect();
    let stated: Vec<Stated<String>> = words
        .exposure_limits
        .iter()
        .filter_map(|said| Stated::in_scenario(Some(said)))
        .collect();
    let named: Vec<&ExposureLimit> = stated
        .iter()
        .filter_map(|id| names::find("exposure limit", id, &ids, desk))
        .filter_map(|index| exposure::limits().get(index))
        .collect();
    let protects = |people| {
        named
            .iter()
            .any(|limit| limit.people == people && limit.body == Body::Whole)
    };
    if let Some(first) = stated.first().filter(|_| named.len() == stated.len())
        && !(protects(People::Public) && protects(People::Trained))
    {
        desk.tell_with_help(
            first.spot,
            "the limits named here leave the public or operators without one for the whole body",
            format!("there is {}", ids.join(", ")),
        );
    }
    named.iter().map(|limit| limit.id.clone()).collect()
}
