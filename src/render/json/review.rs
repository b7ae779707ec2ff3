//! The keys of what `review` hands on.

use std::time::Duration;

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

use crate::net::{Spread, Tone};
use crate::overview::{Input, Mend, Operator, Overview, Relay};

use super::super::severity_word;
use super::shapes::{db, tenth};

/// What `review` hands on.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "review")]
pub(super) struct Review<'a> {
    /// `quietpair.review/1`.
    format: &'static str,
    /// Name of the event.
    event: &'a str,
    /// Name of the proposal that is in place; null for the plan as it stands.
    subject: Option<&'a str>,
    /// What is looked at, in a line.
    what: &'a str,
    /// `clear`, `caution` or `conflict`.
    verdict: String,
    /// What to mend first, worst first.
    mend: Vec<ToMend<'a>>,
    /// The channels that ours use, lowest first.
    channels: Vec<OnChannel<'a>>,
    /// Our operators, in the scenario's order.
    operators: Vec<AtTheKey<'a>>,
    /// The way with the least margin.
    weakest: Option<Weak<'a>>,
    /// Our relays.
    relays: Vec<Relays<'a>>,
    /// The inputs of our relays.
    inputs: Vec<Waits<'a>>,
    /// The share of overs that find the channel busy, from 0 to 1.
    found_busy: Option<Shares>,
    /// How long an over waits, on average, in seconds.
    waited_s: Option<f64>,
    /// The share of overs that meet another one on the air, from 0 to 1.
    doubled: Option<Shares>,
    /// How often a station must identify, in seconds; null where no rule says.
    identify_every_s: Option<u64>,
    /// What was not stated and had to be assumed.
    assumed: &'a [String],
}

/// Something to mend.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "mend")]
struct ToMend<'a> {
    /// Id of the check that found it.
    check: &'static str,
    /// `caution` or `conflict`.
    severity: &'static str,
    /// One sentence with its numbers.
    says: &'a str,
    /// The phases of the event in which it is so; null where it is so in all of them.
    when: Option<&'a str>,
    /// The first thing that would mend it.
    remedy: Option<&'a str>,
    /// How many more cautions and conflicts the same check has.
    alike: usize,
}

/// A channel.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "channel")]
struct OnChannel<'a> {
    /// Where.
    frequency_hz: i64,
    /// Tones that ours send there, in hertz.
    tones_hz: Vec<f64>,
    /// Who talks there.
    talk: &'a [String],
    /// Who only listens there.
    listen: &'a [String],
    /// What relays there.
    relays: &'a [String],
}

/// One of our stations with an operator at the key.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "operator")]
struct AtTheKey<'a> {
    /// Its name.
    name: &'a str,
    /// What it is there for.
    role: Option<&'a str>,
    /// Whom its word reaches by a way that may be relied on.
    reaches: &'a [String],
    /// Whom it reaches only while the paths are kind.
    perhaps: &'a [String],
    /// Whom it does not reach.
    misses: &'a [String],
    /// Whom it needs but cannot rely on.
    lacks: &'a [String],
    /// How long to wait after pressing before speaking, in milliseconds.
    wait_ms: u64,
    /// How many words are lost by whoever speaks at once.
    words_lost: u64,
    /// The slowest way.
    slowest: Option<&'a str>,
    /// The share of the event it transmits.
    duty: Option<Shares>,
}

/// The weakest way.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "weakest")]
struct Weak<'a> {
    /// The way in words.
    way: &'a str,
    /// Its margin on the cautious path.
    margin_db: f64,
}

/// A relay.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "relay")]
struct Relays<'a> {
    /// Its name.
    name: &'a str,
    /// How many ways hang on it alone.
    carries: usize,
    /// The share of the event it transmits.
    duty: Option<Shares>,
    /// The same in its busiest half hour.
    busiest_30_minutes: Option<Shares>,
    /// How long it is held after its input closed, in milliseconds.
    hang_ms: u64,
    /// After how long it is stopped, in milliseconds; null where it is not.
    time_out_ms: Option<u64>,
}

/// An input of a relay.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "input")]
struct Waits<'a> {
    /// Which side of which relay.
    name: &'a str,
    /// Where it listens.
    frequency_hz: i64,
    /// The tone it waits for, in hertz.
    tone_hz: Option<f64>,
    /// The tone proposed for it, in hertz; its own where that is good.
    proposed_hz: Option<f64>,
}

/// A share from 0 to 1, over the runs of the event.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "spread")]
struct Shares {
    /// In the run where it was least.
    least: f64,
    /// On average.
    mean: f64,
    /// In the run where it was most.
    most: f64,
}

impl Shares {
    fn of(spread: Spread) -> Self {
        let rounded = |value: f64| (value * 1000.0).round() / 1000.0;
        Self {
            least: rounded(spread.least),
            mean: rounded(spread.mean),
            most: rounded(spread.most),
        }
    }
}

fn millis(duration: Duration) -> u64 {
    u64::try_from(duration.as_millis()).unwrap_or(u64::MAX)
}

fn hertz(tone: Tone) -> f64 {
    f64::from(tone.as_tenths()) / 10.0
}

impl<'a> Review<'a> {
    pub(super) fn of(overview: &'a Overview) -> Self {
        let traffic = overview.traffic;
        Self {
            format: "quietpair.review/1",
            event: &overview.event,
            subject: overview.subject.as_deref(),
            what: &overview.what,
            verdict: overview.verdict.to_string(),
            mend: overview.mend.iter().map(ToMend::of).collect(),
            channels: overview
                .channels
                .iter()
                .map(|channel| OnChannel {
                    frequency_hz: channel.frequency.as_hz(),
                    tones_hz: channel.tones.iter().copied().map(hertz).collect(),
                    talk: &channel.talk,
                    listen: &channel.listen,
                    relays: &channel.relays,
                })
                .collect(),
            operators: overview.operators.iter().map(AtTheKey::of).collect(),
            weakest: overview.weakest.as_ref().map(|weakest| Weak {
                way: &weakest.way,
                margin_db: db(weakest.margin),
            }),
            relays: overview.relays.iter().map(Relays::of).collect(),
            inputs: overview.tones.iter().map(Waits::of).collect(),
            found_busy: traffic.map(|busy| Shares::of(busy.found_busy)),
            waited_s: traffic.map(|busy| tenth(busy.waited_s.mean)),
            doubled: traffic.map(|busy| Shares::of(busy.doubled)),
            identify_every_s: overview.identifies.map(|every| every.as_secs()),
            assumed: &overview.assumed,
        }
    }

    /// Every row of every part, with the part it belongs to.
    pub(super) fn records(&self) -> Vec<Value> {
        let mend = self
            .mend
            .iter()
            .map(|row| json!({"part": "mend", "row": row}));
        let channels = self
            .channels
            .iter()
            .map(|row| json!({"part": "channels", "row": row}));
        let operators = self
            .operators
            .iter()
            .map(|row| json!({"part": "operators", "row": row}));
        let weakest = self
            .weakest
            .iter()
            .map(|row| json!({"part": "weakest", "row": row}));
        let relays = self
            .relays
            .iter()
            .map(|row| json!({"part": "relays", "row": row}));
        let inputs = self
            .inputs
            .iter()
            .map(|row| json!({"part": "inputs", "row": row}));
        mend.chain(channels)
            .chain(operators)
            .chain(weakest)
            .chain(relays)
            .chain(inputs)
            .collect()
    }
}

impl<'a> ToMend<'a> {
    fn of(mend: &'a Mend) -> Self {
        Self {
            check: mend.check,
            severity: severity_word(mend.severity),
            says: &mend.says,
            when: mend.when.as_deref(),
            remedy: mend.remedy.as_deref(),
            alike: mend.alike,
        }
    }
}

impl<'a> AtTheKey<'a> {
    fn of(operator: &'a Operator) -> Self {
        Self {
            name: &operator.name,
            role: operator.role.as_deref(),
            reaches: &operator.reaches,
            perhaps: &operator.perhaps,
            misses: &operator.misses,
            lacks: &operator.lacks,
            wait_ms: millis(operator.wait),
            words_lost: u64::try_from(operator.words_lost).unwrap_or(u64::MAX),
            slowest: operator.slowest.as_deref(),
            duty: operator.duty.map(Shares::of),
        }
    }
}

impl<'a> Relays<'a> {
    fn of(relay: &'a Relay) -> Self {
        Self {
            name: &relay.name,
            carries: relay.carries,
            duty: relay.duty.map(Shares::of),
            busiest_30_minutes: relay.busiest.map(Shares::of),
            hang_ms: millis(relay.hang),
            time_out_ms: relay.time_out.map(millis),
        }
    }
}

impl<'a> Waits<'a> {
    fn of(input: &'a Input) -> Self {
        Self {
            name: &input.name,
            frequency_hz: input.frequency.as_hz(),
            tone_hz: input.tone.map(hertz),
            proposed_hz: input.proposed.map(hertz),
        }
    }
}
