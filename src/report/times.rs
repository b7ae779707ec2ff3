//! What happens when: the phases of the event, and one over from the key to the far end and back to silence.

use std::time::Duration;

use crate::net::{
    Happening, HearerId, Network, Press, Review, SenderId, Timeline, View, opening_delay,
};
use crate::scenario::{Plan, Window};

/// What happens when.
#[derive(Debug, Clone, PartialEq)]
pub struct Times {
    /// The event with its phases, and who is on the air; none where no time is stated.
    pub day: Option<Bars>,
    /// One over along the slowest way; none where nobody reaches anybody.
    pub over: Option<Over>,
    /// How often a station must identify.
    pub identifies: Option<Duration>,
}

/// Rows of bars on one line of time.
#[derive(Debug, Clone, PartialEq)]
pub struct Bars {
    /// How long it all is.
    pub whole: Duration,
    /// What the beginning is called, and the end.
    pub ends: [String; 2],
    /// The rows.
    pub rows: Vec<Bar>,
}

/// One row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bar {
    /// Its name.
    pub name: String,
    /// In a word, what the bars are.
    pub what: &'static str,
    /// From when to when, from the beginning.
    pub spans: Vec<(Duration, Duration)>,
}

/// One over.
#[derive(Debug, Clone, PartialEq)]
pub struct Over {
    /// The way in words.
    pub way: String,
    /// From the press to when the far end is open.
    pub wait: Duration,
    /// How long the key is held.
    pub held: Duration,
    /// When all is silent again, from the press.
    pub silent: Duration,
    /// Who sends and who hears, in the order of the way.
    pub bars: Bars,
}

/// How long the key is held in the example, beyond the wait.
const HELD: Duration = Duration::from_secs(2);

/// The run is given up after this.
const GIVEN_UP: Duration = Duration::from_mins(1);

/// Works out the times.
pub(super) fn times(plan: &Plan, view: &View) -> Times {
    Times {
        day: day(plan),
        over: over(&view.network),
        identifies: view.conduct.identifies.as_ref().map(|every| every.value),
    }
}

fn seconds(from: i64, to: i64) -> Duration {
    Duration::from_secs(u64::try_from(to - from).unwrap_or(0))
}

fn day(plan: &Plan) -> Option<Bars> {
    let whole = plan.event.window?;
    let ends = plan.event.when.clone()?;
    let span = |window: &Window| {
        let (from, to) = (window.from.max(whole.from), window.to.min(whole.to));
        (from < to).then(|| (seconds(whole.from, from), seconds(whole.from, to)))
    };
    let mut rows: Vec<Bar> = plan
        .event
        .phases
        .iter()
        .map(|phase| Bar {
            name: phase.name.clone(),
            what: "phase",
            spans: span(&phase.window).into_iter().collect(),
        })
        .collect();
    rows.extend(plan.stations.iter().map(|station| Bar {
        name: station.name.clone(),
        what: "on the air",
        spans: if station.windows.is_empty() {
            vec![(Duration::ZERO, seconds(whole.from, whole.to))]
        } else {
            station.windows.iter().filter_map(span).collect()
        },
    }));
    Some(Bars {
        whole: seconds(whole.from, whole.to),
        ends: [ends.0, ends.1],
        rows,
    })
}

fn over(network: &Network) -> Option<Over> {
    let review = Review::of(network);
    let way = review
        .ways
        .values()
        .max_by_key(|way| opening_delay(network, way))?;
    let wait = opening_delay(network, way);
    let held = wait + HELD;
    let press = Press {
        sender: way.hops.first()?.from,
        at: Duration::ZERO,
        until: held,
    };
    let run = Timeline::run(network, &[press], GIVEN_UP);
    let silent = run.events.last().map_or(held, |event| event.at);
    let mut rows = Vec::new();
    for hop in &way.hops {
        let sender = network.sender(hop.from)?;
        rows.push(Bar {
            name: sender.name.clone(),
            what: "sends",
            spans: spans(&run, silent, |what| sends(what, hop.from)),
        });
        let hearer = network.hearer(hop.by)?;
        rows.push(Bar {
            name: hearer.name.clone(),
            what: "hears",
            spans: spans(&run, silent, |what| hears(what, hop.by)),
        });
    }
    Some(Over {
        way: way.told(network),
        wait,
        held,
        silent,
        bars: Bars {
            whole: silent,
            ends: ["key pressed".to_owned(), "all silent".to_owned()],
            rows,
        },
    })
}

/// Whether something begins (true) or ends (false) a sender's transmission.
fn sends(what: Happening, id: SenderId) -> Option<bool> {
    match what {
        Happening::Keyed(one) if one == id => Some(true),
        Happening::Unkeyed(one) | Happening::TimedOut(one) if one == id => Some(false),
        _ => None,
    }
}

fn hears(what: Happening, id: HearerId) -> Option<bool> {
    match what {
        Happening::Opened(one) if one == id => Some(true),
        Happening::Closed(one) if one == id => Some(false),
        _ => None,
    }
}

/// The stretches between what begins and what ends.
fn spans(
    run: &Timeline,
    end: Duration,
    is_begun: impl Fn(Happening) -> Option<bool>,
) -> Vec<(Duration, Duration)> {
    let mut found = Vec::new();
    let mut since = None;
    for event in &run.events {
        match is_begun(event.what) {
            Some(true) => since = since.or(Some(event.at)),
            Some(false) => found.extend(since.take().map(|from| (from, event.at))),
            None => {}
        }
    }
    found.extend(since.map(|from| (from, end)));
    found
}
