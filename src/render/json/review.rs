//! The keys of what `review` hands on.

use std::collections::BTreeMap;
use std::time::Duration;

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

use crate::net::{BreakIn, Spread, Tone};
use crate::overview::{
    Alternative, Input, Interruption, Lasting, Mend, Operator, Overview, Relay, Room, Waiting,
};

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
    /// How often that is in the event.
    identifications: u64,
    /// The room around each of our antennas.
    keep_clear: Vec<Around<'a>>,
    /// Those who work through a relay that has no frequencies yet.
    waiting: Vec<Idle<'a>>,
    /// Stations of which nothing is asked, in the plan or in what is put to it.
    idle: &'a [String],
    /// The proposals, where none of them is in place.
    proposals: Vec<Proposed<'a>>,
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
    /// Why it is no worse, though its margin is; null where nothing speaks for it.
    spared: Option<&'a str>,
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
    /// The phases in which it reaches somebody, where that is not all of them, by name.
    only_in: &'a BTreeMap<String, String>,
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
    /// Who gets in worst while it talks; null where nobody is reached.
    break_in: Option<Broken<'a>>,
    /// The share of the event it transmits.
    duty: Option<Shares>,
    /// The share of each phase it transmits.
    phases: Vec<InPhase<'a>>,
    /// Its battery; null where none is stated.
    battery: Option<Cells>,
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
    /// The share of each phase it transmits.
    phases: Vec<InPhase<'a>>,
    /// The power step in use; null where its profile says nothing of it.
    step: Option<&'a str>,
    /// The share of the time its radio stands transmitting at that step, from 0 to 1.
    stands: Option<f64>,
    /// Its battery; null where none is stated.
    battery: Option<Cells>,
    /// Who gets in worst while somebody talks through it.
    break_in: Option<Broken<'a>>,
    /// How often its timer stops it in the event, on average.
    time_outs: Option<f64>,
    /// How long it is held after its input closed, in milliseconds.
    hang_ms: u64,
    /// After how long it is stopped, in milliseconds; null where it is not.
    time_out_ms: Option<u64>,
}

/// Who gets in while somebody talks.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "break-in")]
struct Broken<'a> {
    /// Who talks.
    talks: &'a str,
    /// Who gets in worst.
    waits: &'a str,
    /// `at-once`, `doubles`, `after` or `never`.
    answer: &'static str,
    /// How long after the key was let go, in milliseconds; null where the answer is another.
    after_ms: Option<u64>,
}

/// The share of a phase.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "in-phase")]
struct InPhase<'a> {
    /// The phase.
    phase: &'a str,
    /// The share of it.
    duty: Shares,
}

/// A battery.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "battery")]
struct Cells {
    /// How long it lasts, in seconds.
    lasts_s: u64,
    /// How long it has to, in seconds.
    needed_s: u64,
}

/// The room around an antenna.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "keep-clear")]
struct Around<'a> {
    /// The transmitter.
    name: &'a str,
    /// Where it sends.
    frequency_hz: i64,
    /// How far the public must keep while it sends without a break.
    public_m: f64,
    /// The same averaged over its busiest minutes.
    averaged_m: f64,
    /// Over how many minutes.
    averaging_minutes: u32,
    /// How far operators must keep.
    operators_m: f64,
    /// How near the public comes; null where nobody stated it.
    comes_m: Option<f64>,
    /// The limit for the public that asks for most.
    limit: &'a str,
}

/// Those who work through a relay that has no frequencies yet.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "waiting")]
struct Idle<'a> {
    /// The relay.
    relay: &'a str,
    /// Who works through it.
    stations: &'a [String],
}

/// A proposal.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "proposed")]
struct Proposed<'a> {
    /// Its name.
    name: &'a str,
    /// What it would do.
    what: &'a str,
    /// `clear`, `caution` or `conflict`.
    verdict: String,
    /// The worst it would bring; null where nothing needs a look.
    worst: Option<&'a str>,
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
            identifications: overview.identifications,
            keep_clear: overview.rooms.iter().map(Around::of).collect(),
            waiting: overview.waiting.iter().map(Idle::of).collect(),
            idle: &overview.idle,
            proposals: overview.proposals.iter().map(Proposed::of).collect(),
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
        let rooms = self
            .keep_clear
            .iter()
            .map(|row| json!({"part": "keep-clear", "row": row}));
        let proposals = self
            .proposals
            .iter()
            .map(|row| json!({"part": "proposals", "row": row}));
        mend.chain(channels)
            .chain(operators)
            .chain(weakest)
            .chain(relays)
            .chain(inputs)
            .chain(rooms)
            .chain(proposals)
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
            spared: mend.spared.as_deref(),
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
            only_in: &operator.only_in,
            misses: &operator.misses,
            lacks: &operator.lacks,
            wait_ms: millis(operator.wait),
            words_lost: u64::try_from(operator.words_lost).unwrap_or(u64::MAX),
            slowest: operator.slowest.as_deref(),
            break_in: operator.break_in.as_ref().map(Broken::of),
            duty: operator.duty.map(Shares::of),
            phases: InPhase::all(&operator.phases),
            battery: operator.battery.map(Cells::of),
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
            phases: InPhase::all(&relay.phases),
            step: relay.stands.as_ref().map(|stands| stands.step.as_str()),
            stands: relay.stands.as_ref().map(|stands| stands.duty),
            battery: relay.battery.map(Cells::of),
            break_in: relay.break_in.as_ref().map(Broken::of),
            time_outs: relay.time_outs.map(|spread| tenth(spread.mean)),
            hang_ms: millis(relay.hang),
            time_out_ms: relay.time_out.map(millis),
        }
    }
}

impl<'a> Broken<'a> {
    fn of(interruption: &'a Interruption) -> Self {
        let (answer, after_ms) = match interruption.answer {
            BreakIn::AtOnce => ("at-once", None),
            BreakIn::Doubles => ("doubles", None),
            BreakIn::After(wait) => ("after", Some(millis(wait))),
            BreakIn::Never => ("never", None),
        };
        Self {
            talks: &interruption.talks,
            waits: &interruption.waits,
            answer,
            after_ms,
        }
    }
}

impl<'a> InPhase<'a> {
    fn all(phases: &'a [(String, Spread)]) -> Vec<Self> {
        let each = phases.iter();
        each.map(|(phase, duty)| Self {
            phase,
            duty: Shares::of(*duty),
        })
        .collect()
    }
}

impl Cells {
    fn of(battery: Lasting) -> Self {
        Self {
            lasts_s: battery.lasts.as_secs(),
            needed_s: battery.needed.as_secs(),
        }
    }
}

impl<'a> Around<'a> {
    fn of(room: &'a Room) -> Self {
        Self {
            name: &room.name,
            frequency_hz: room.frequency.as_hz(),
            public_m: tenth(room.public.as_metres()),
            averaged_m: tenth(room.averaged.as_metres()),
            averaging_minutes: room.averaging_minutes,
            operators_m: tenth(room.trained.as_metres()),
            comes_m: room.comes.map(|comes| tenth(comes.as_metres())),
            limit: &room.limit,
        }
    }
}

impl<'a> Idle<'a> {
    fn of(waiting: &'a Waiting) -> Self {
        Self {
            relay: &waiting.relay,
            stations: &waiting.stations,
        }
    }
}

impl<'a> Proposed<'a> {
    fn of(proposal: &'a Alternative) -> Self {
        Self {
            name: &proposal.name,
            what: &proposal.what,
            verdict: proposal.verdict.to_string(),
            worst: proposal.worst.as_deref(),
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
