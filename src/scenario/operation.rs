//! How stations are operated as a licence sees it: how they identify, whose messages they pass, which border is near.

use std::time::Duration;

use super::desk::{Desk, Stated};
use super::names;
use super::plan::{Border, Identification, Means, Operation};
use super::sites::is_between;
use super::words::{EventWords, IdentificationWords, StationWords};
use crate::document::Said;
use crate::provenance::Sourced;
use crate::quantity::Length;
use crate::radio::Milliseconds;

/// A call sign is given no less often than once in a day, and no more often than this.
const LONGEST_MS: u64 = 86_400_000;
const SHORTEST_MS: u64 = 1_000;

/// The word for a station that gives no call sign.
const NOTHING: &str = "none";

/// What holds for every station that does not say otherwise.
pub(super) fn of_event(words: &Said<EventWords>, desk: &mut Desk) -> Operation {
    let Some(words) = words.value() else {
        return Operation::default();
    };
    Operation {
        identification: identification(words.identification.as_ref(), desk),
        third_party: stated(words.third_party.as_ref(), desk),
        for_hire: stated(words.for_hire.as_ref(), desk),
    }
}

/// What holds for a station: what it says, or else what the event says.
pub(super) fn of_station(words: &StationWords, usual: &Operation, desk: &mut Desk) -> Operation {
    let own = identification(words.identification.as_ref(), desk);
    Operation {
        identification: own.or_else(|| usual.identification.clone()),
        third_party: stated(words.third_party.as_ref(), desk).or_else(|| usual.third_party.clone()),
        for_hire: usual.for_hire.clone(),
    }
}

/// The border nearby.
pub(super) fn border(words: &Said<EventWords>, desk: &mut Desk) -> Option<Border> {
    let words = words.value()?.border.as_ref()?.value()?;
    let within = Stated::in_scenario(Some(&words.within)).filter(|within| {
        is_between(
            within,
            Length::metres(0.0),
            Length::metres(1_000_000.0),
            "a distance to a border",
            desk,
        )
    })?;
    Some(Border {
        with: words
            .with
            .iter()
            .filter_map(|said| said.value().cloned())
            .collect(),
        within: desk.sourced(within),
    })
}

fn stated(said: Option<&Said<bool>>, desk: &Desk) -> Option<Sourced<bool>> {
    Stated::in_scenario(said).map(|answer| desk.sourced(answer))
}

fn identification(
    said: Option<&Said<IdentificationWords>>,
    desk: &mut Desk,
) -> Option<Sourced<Identification>> {
    let whole = Stated::in_scenario(said)?;
    let by = Stated::in_scenario(Some(&whole.value.by))?;
    let every = Stated::in_scenario(whole.value.every.as_ref());
    let means = Means::ALL.iter().find(|(word, _)| *word == by.value);
    let value = match (means, every) {
        (None, None) if by.value == NOTHING => Identification::Never,
        (None, Some(every)) if by.value == NOTHING => {
            desk.tell(
                every.spot,
                "who gives no call sign has no interval for it: leave `every` out",
            );
            return None;
        }
        (None, _) => {
            let mut known: Vec<&str> = Means::ALL.iter().map(|(word, _)| *word).collect();
            known.push(NOTHING);
            names::tell_unknown("means of identification", &by, &known, desk);
            return None;
        }
        (Some(_), None) => {
            desk.tell_with_help(
                whole.spot,
                "it is not said how often the call sign is given",
                "write `every: 10 min`, for example",
            );
            return None;
        }
        (Some((_, by)), Some(every)) => Identification::Every {
            interval: interval(&every, desk)?,
            by: *by,
        },
    };
    Some(desk.sourced(Stated {
        value,
        spot: whole.spot,
    }))
}

fn interval(every: &Stated<String>, desk: &mut Desk) -> Option<Duration> {
    match every.value.parse::<Milliseconds>() {
        Ok(time) if (SHORTEST_MS..=LONGEST_MS).contains(&time.0) => {
            Some(Duration::from_millis(time.0))
        }
        Ok(_) => {
            desk.tell(
                every.spot,
                "no call sign is given so often or so seldom: from 1 s to 1440 min",
            );
            None
        }
        Err(error) => {
            desk.tell(every.spot, error.to_string());
            None
        }
    }
}
