//! The keys of the JSON output: the contract with scripts.

use schemars::JsonSchema;
use serde::Serialize;

use crate::assess::{Assessment, Judged};
use crate::budget::Step;
use crate::finding::{Change, Finding, Remedy, Severity};
use crate::quantity::{Bandwidth, Decibels, Frequency, Level, Offset};
use crate::search::Answer;

use super::views::{Buys, Frees, Stays, Unbeaten, Unwelcome};

use super::super::{CheckReport, ProductsReport, RankReport, matter_word, severity_word};

/// A number with one decimal, and no minus before zero.
pub(super) fn tenth(value: f64) -> f64 {
    let rounded = (value * 10.0).round() / 10.0;
    if rounded == 0.0 { 0.0 } else { rounded }
}

fn dbm(level: Level) -> f64 {
    tenth(level.as_dbm())
}

pub(super) fn db(ratio: Decibels) -> f64 {
    tenth(ratio.as_db())
}

/// What `check` hands on.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "check")]
pub(in crate::render) struct Check<'a> {
    /// `quietpair.check/1`.
    format: &'static str,
    /// Name of the event.
    event: &'a str,
    /// The worst verdict of all subjects: `clear`, `caution` or `conflict`.
    verdict: String,
    /// The plan as it stands.
    pub(in crate::render) plan: Summary<'a>,
    /// Every proposal, in the scenario's order.
    pub(in crate::render) proposals: Vec<Summary<'a>>,
    /// Everything that was found: the plan first, then by proposal, worst first.
    pub(in crate::render) findings: Vec<Found<'a>>,
    /// Defaults that were taken, when asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    defaults: Option<Vec<Taken<'a>>>,
}

/// One thing that was judged.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "subject")]
pub(in crate::render) struct Summary<'a> {
    /// Name of the proposal; null for the plan as it stands.
    subject: Option<&'a str>,
    /// What was judged, in a line.
    what: &'a str,
    /// Its frequencies, as written.
    legs_hz: Vec<i64>,
    /// `clear`, `caution` or `conflict`.
    verdict: String,
    /// The least margin of its encounters; null when nothing came near.
    worst_margin_db: Option<f64>,
    /// Number of conflicts.
    conflicts: usize,
    /// Number of cautions.
    cautions: usize,
    /// Number of notes.
    notes: usize,
}

/// One finding.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "finding")]
pub(in crate::render) struct Found<'a> {
    /// Id of the check, as `explain` knows it.
    check: &'a str,
    /// `note`, `caution` or `conflict`.
    severity: &'static str,
    /// `interference`, `law`, `band-plan`, `net` or `exposure`.
    matter: &'static str,
    /// Name of the proposal; null for the plan as it stands.
    subject: Option<&'a str>,
    /// One sentence with its numbers.
    says: &'a str,
    /// The phases of the event in which it is so; null where it is so in all of them.
    when: Option<&'a str>,
    /// Who suffers.
    victim: Option<Suffers<'a>>,
    /// What makes it.
    sources: Vec<Source<'a>>,
    /// Where the product lies.
    product_hz: Option<i64>,
    /// Product less the middle of what it hits.
    offset_hz: Option<i64>,
    /// Width of the product.
    width_hz: Option<i64>,
    /// What arrives.
    level_dbm: Option<f64>,
    /// What would hurt.
    threshold_dbm: Option<f64>,
    /// Threshold less level; negative hurts.
    margin_db: Option<f64>,
    /// How far the margin may be off, as a standard deviation.
    spread_db: Option<f64>,
    /// The chance that it really hurts, from 0 to 1.
    chance: Option<f64>,
    /// Why it is no worse, though the level may hurt.
    spared: Option<&'a str>,
    /// The sum, as a planner would write it.
    arithmetic: &'a str,
    /// How it arises and how it is heard.
    why: &'a str,
    /// What would mend it, best first.
    remedies: Vec<&'a str>,
    /// The remedies that can be applied to the scenario as they stand.
    changes: Vec<Mend<'a>>,
    /// Whose rule or formula it is.
    citation: &'a str,
    /// What was not stated and had to be assumed.
    assumed: &'a [String],
    /// How the level comes about: the first step is a level in dBm, the others change it.
    budget: Vec<BudgetStep<'a>>,
    /// How the threshold comes about: the first step is a level in dBm, the others change it.
    limit: Vec<BudgetStep<'a>>,
}

/// Who suffers.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "victim")]
struct Suffers<'a> {
    /// The station.
    station: &'a str,
    /// Which of its receivers.
    receiver: &'a str,
    /// Where that receiver listens.
    frequency_hz: i64,
}

/// One source of a product.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "source")]
struct Source<'a> {
    /// Who transmits it.
    name: &'a str,
    /// Its carrier.
    frequency_hz: i64,
    /// How often it enters the sum.
    coefficient: i32,
}

/// A change to the scenario.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "change")]
struct Mend<'a> {
    /// Index of the remedy it belongs to.
    remedy: usize,
    /// `move`, `retune`, `lower-power`, `filter` or `apart`.
    kind: &'static str,
    /// Which leg moves, 0 or 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    leg: Option<usize>,
    /// The channel that is moved.
    #[serde(skip_serializing_if = "Option::is_none")]
    from_hz: Option<i64>,
    /// Where to.
    #[serde(skip_serializing_if = "Option::is_none")]
    to_hz: Option<i64>,
    /// The station it is done at.
    #[serde(skip_serializing_if = "Option::is_none")]
    station: Option<&'a str>,
    /// The most it may send, at the socket.
    #[serde(skip_serializing_if = "Option::is_none")]
    to_dbm: Option<f64>,
    /// Where a filter's loss is needed.
    #[serde(skip_serializing_if = "Option::is_none")]
    at_hz: Option<i64>,
    /// How much loss.
    #[serde(skip_serializing_if = "Option::is_none")]
    loss_db: Option<f64>,
    /// Whose antenna the station's is to be kept away from.
    #[serde(skip_serializing_if = "Option::is_none")]
    from: Option<&'a str>,
    /// How far at least, in metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    apart_m: Option<f64>,
}

/// One step of a level's build-up.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "step")]
struct BudgetStep<'a> {
    /// What it is.
    what: &'a str,
    /// What it adds or takes.
    change_db: f64,
    /// Model, formula or source.
    note: &'a str,
}

/// A default that was taken.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "default")]
struct Taken<'a> {
    /// What for.
    what: &'a str,
    /// Its value.
    value: &'a str,
    /// Where it came from.
    origin: String,
}

impl<'a> Check<'a> {
    pub(super) fn of(report: &CheckReport<'a>) -> Self {
        let Assessment {
            event,
            plan,
            proposals,
        } = report.assessment;
        let subjects = || std::iter::once(plan).chain(proposals);
        Self {
            format: "quietpair.check/1",
            event,
            verdict: subjects()
                .map(|judged| judged.verdict)
                .max()
                .unwrap_or(plan.verdict)
                .to_string(),
            plan: Summary::of(plan),
            proposals: proposals.iter().map(Summary::of).collect(),
            findings: subjects()
                .flat_map(|judged| {
                    let subject = judged.proposal.as_deref();
                    judged
                        .findings
                        .iter()
                        .map(move |finding| Found::of(subject, finding))
                })
                .collect(),
            defaults: report.defaults.map(|defaults| {
                defaults
                    .iter()
                    .map(|(what, value, origin)| Taken {
                        what,
                        value,
                        origin: origin.to_string(),
                    })
                    .collect()
            }),
        }
    }
}

impl<'a> Summary<'a> {
    pub(super) fn of(judged: &'a Judged) -> Self {
        let count = |severity| {
            judged
                .findings
                .iter()
                .filter(|finding| finding.severity == severity)
                .count()
        };
        Self {
            subject: judged.proposal.as_deref(),
            what: &judged.what,
            legs_hz: judged.legs.iter().map(|leg| leg.as_hz()).collect(),
            verdict: judged.verdict.to_string(),
            worst_margin_db: judged.worst_margin.map(db),
            conflicts: count(Severity::Conflict),
            cautions: count(Severity::Caution),
            notes: count(Severity::Note),
        }
    }
}

impl<'a> Found<'a> {
    pub(super) fn of(subject: Option<&'a str>, finding: &'a Finding) -> Self {
        Self {
            check: finding.check,
            severity: severity_word(finding.severity),
            matter: matter_word(finding.matter),
            subject,
            says: &finding.says,
            when: finding.when.as_deref(),
            victim: finding.victim.as_ref().map(|victim| Suffers {
                station: &victim.station,
                receiver: &victim.receiver,
                frequency_hz: victim.frequency.as_hz(),
            }),
            sources: finding
                .sources
                .iter()
                .map(|term| Source {
                    name: &term.name,
                    frequency_hz: term.frequency.as_hz(),
                    coefficient: term.coefficient,
                })
                .collect(),
            product_hz: finding.product.map(Frequency::as_hz),
            offset_hz: finding.offset.map(Offset::as_hz),
            width_hz: finding.width.map(Bandwidth::as_hz),
            level_dbm: finding.level.map(dbm),
            threshold_dbm: finding.threshold.map(dbm),
            margin_db: finding.margin.map(db),
            spread_db: finding.spread.map(db),
            chance: finding
                .chance
                .map(|chance| (chance.as_fraction() * 1000.0).round() / 1000.0),
            spared: finding.spared.as_deref(),
            arithmetic: &finding.arithmetic,
            why: &finding.why,
            remedies: finding
                .remedies
                .iter()
                .map(|remedy| remedy.text.as_str())
                .collect(),
            changes: finding
                .remedies
                .iter()
                .enumerate()
                .filter_map(|(index, remedy)| Mend::of(index, remedy))
                .collect(),
            citation: &finding.citation,
            assumed: &finding.assumed,
            budget: finding.budget.iter().map(BudgetStep::of).collect(),
            limit: finding.limit.iter().map(BudgetStep::of).collect(),
        }
    }
}

impl<'a> BudgetStep<'a> {
    fn of(step: &'a Step) -> Self {
        Self {
            what: &step.what,
            change_db: db(step.change),
            note: &step.note,
        }
    }
}

impl<'a> Mend<'a> {
    fn of(index: usize, remedy: &'a Remedy) -> Option<Self> {
        let mut mend = Self {
            remedy: index,
            kind: "move",
            leg: None,
            to_hz: None,
            station: None,
            to_dbm: None,
            at_hz: None,
            loss_db: None,
            from_hz: None,
            from: None,
            apart_m: None,
        };
        match remedy.change.as_ref()? {
            Change::Move { leg, to } => {
                mend.leg = Some(*leg);
                mend.to_hz = Some(to.as_hz());
            }
            Change::Retune { from, to } => {
                mend.kind = "retune";
                mend.from_hz = Some(from.as_hz());
                mend.to_hz = Some(to.as_hz());
            }
            Change::LowerPower { station, to } => {
                mend.kind = "lower-power";
                mend.station = Some(station);
                mend.to_dbm = Some(dbm(*to));
            }
            Change::Filter { station, at, loss } => {
                mend.kind = "filter";
                mend.station = Some(station);
                mend.at_hz = Some(at.as_hz());
                mend.loss_db = Some(db(*loss));
            }
            Change::Apart { station, from, to } => {
                mend.kind = "apart";
                mend.station = Some(station);
                mend.from = Some(from);
                mend.apart_m = Some(to.as_metres());
            }
        }
        Some(mend)
    }
}

/// What `rank` hands on.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "rank")]
pub(in crate::render) struct Rank<'a> {
    /// `quietpair.rank/1`.
    format: &'static str,
    /// Name of the event.
    event: &'a str,
    /// Every search, in the scenario's order.
    pub(in crate::render) searches: Vec<Searched<'a>>,
}

/// One search.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "search")]
pub(in crate::render) struct Searched<'a> {
    /// Its name.
    search: &'a str,
    /// The station it is for.
    station: &'a str,
    /// What was searched, in a line.
    what: &'a str,
    /// Whether the search ended by itself; otherwise it was stopped, and the rows are the best of what was looked at.
    is_finished: bool,
    /// Whether everything that was asked beside the order was worked out too; what was not is empty or null.
    is_whole: bool,
    /// How many candidates there are.
    considered: usize,
    /// Of how many it is known where they belong or that they do not come among the rows: all, unless the search was stopped.
    looked_at: usize,
    /// How many are known to have a leg that conflicts by itself; channels that promise less than the rows have are not judged.
    refused_by_a_leg: usize,
    /// How many were judged whole, the most promising first, until the rows stood.
    judged: usize,
    /// How many legs and judged pairs were refused, by the check that refused them.
    refused: Vec<Refused<'a>>,
    /// When nothing is safe: what blocks most.
    blocked_by: Option<&'a str>,
    /// The best in order; when nothing is safe, the least bad.
    pub(in crate::render) rows: Vec<Ranked<'a>>,
    /// When nothing is safe: the fewest without whom a candidate would be; null otherwise, or where none can be freed.
    freed: Option<Frees<'a>>,
    /// What changes buy: first the plan as it stands, then each change, then all; null where none was asked about.
    what_if: Option<Vec<Buys<'a>>>,
    /// The candidates that none beats in everything; null where nobody asked.
    front: Option<Unbeaten<'a>>,
    /// Where one more neighbour would spoil the best row; null where nobody asked, or nothing is safe.
    strangers: Option<Unwelcome>,
}

/// A check with the number of candidates it refused.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "refused")]
struct Refused<'a> {
    /// Id of the check.
    check: &'a str,
    /// Legs and judged pairs it refused.
    count: usize,
}

/// One candidate in its place.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "row")]
pub(in crate::render) struct Ranked<'a> {
    /// 1 for the best.
    place: usize,
    /// Its frequencies.
    legs_hz: Vec<i64>,
    /// `clear`, `caution` or `conflict`.
    verdict: String,
    /// Number of conflicts; at least so many, since a search goes no further than the worst of them.
    conflicts: usize,
    /// Number of cautions; at least so many where something conflicts.
    cautions: usize,
    /// The least margin; null when nothing came near.
    worst_margin_db: Option<f64>,
    /// How well the band plan likes it; higher is better.
    preference: i32,
    /// What limits it.
    limited_by: &'a str,
    /// The checks of the plan as a whole that find a caution or worse with it in place.
    of_the_plan: &'a [&'static str],
    /// Whether the search ended by itself, so that no better candidate is left.
    is_finished: bool,
    /// How many candidates the row stands for, itself included; null where every row stands for itself.
    alike: Option<usize>,
    /// The lowest and the highest frequency of each leg among them.
    extent_hz: Option<Vec<[i64; 2]>>,
    /// Whether no more are alike; otherwise not all candidates like it were judged.
    is_whole: Option<bool>,
    /// How it stands the trials; null where nobody asked.
    stays_safe: Option<Stays>,
}

impl<'a> Rank<'a> {
    pub(super) fn of(report: &RankReport<'a>) -> Self {
        Self {
            format: "quietpair.rank/1",
            event: report.event,
            searches: report.answers.iter().map(Searched::of).collect(),
        }
    }
}

impl<'a> Searched<'a> {
    fn of(answer: &'a Answer) -> Self {
        let ranking = &answer.ranking;
        Self {
            search: &ranking.search,
            station: &ranking.station,
            what: &ranking.what,
            is_finished: ranking.is_finished,
            is_whole: answer.is_whole,
            considered: ranking.considered,
            looked_at: ranking.looked_at,
            refused_by_a_leg: ranking.refused_by_a_leg,
            judged: ranking.judged,
            refused: ranking
                .refused
                .iter()
                .map(|(check, count)| Refused {
                    check,
                    count: *count,
                })
                .collect(),
            blocked_by: ranking.blocked_by.as_deref(),
            rows: (0..ranking.rows.len())
                .filter_map(|index| Ranked::of(answer, index))
                .collect(),
            freed: answer.freed.as_ref().map(Frees::of),
            what_if: (!answer.bought.is_empty())
                .then(|| answer.bought.iter().map(Buys::of).collect()),
            front: answer.front.as_ref().map(Unbeaten::of),
            strangers: answer.strangers.as_ref().map(Unwelcome::of),
        }
    }
}

impl<'a> Ranked<'a> {
    fn of(answer: &'a Answer, index: usize) -> Option<Self> {
        let row = answer.ranking.rows.get(index)?;
        let group = answer.groups.get(index);
        Some(Self {
            place: index + 1,
            legs_hz: row.legs.iter().map(|leg| leg.as_hz()).collect(),
            verdict: row.verdict.to_string(),
            conflicts: row.conflicts,
            cautions: row.cautions,
            worst_margin_db: row.worst_margin.map(db),
            preference: row.preference,
            limited_by: &row.limited_by,
            of_the_plan: &row.of_the_plan,
            is_finished: answer.ranking.is_finished,
            alike: group.map(|group| group.alike),
            extent_hz: group.map(|group| {
                let ends = group.extent.iter();
                ends.map(|span| [span.low.as_hz(), span.high.as_hz()])
                    .collect()
            }),
            is_whole: group.map(|group| group.is_whole),
            stays_safe: answer.shares.get(index).copied().map(Stays::of),
        })
    }
}

/// What `products` hands on.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "products")]
pub(in crate::render) struct Products<'a> {
    /// `quietpair.products/1`.
    format: &'static str,
    /// The frequencies combined, as given; coefficients follow their order.
    frequencies_hz: Vec<i64>,
    /// The frequencies watched.
    targets_hz: Vec<i64>,
    /// Highest order.
    order: u32,
    /// Farthest offset that counts.
    within_hz: i64,
    /// How many combinations there are.
    combinations: u64,
    /// Those that land: lowest order first, then nearest, then by coefficients.
    pub(in crate::render) landings: Vec<Lands<'a>>,
}

/// One combination that lands.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "landing")]
pub(in crate::render) struct Lands<'a> {
    /// One coefficient a frequency.
    coefficients: &'a [i64],
    /// Sum of the coefficients without sign.
    order: u32,
    /// Where it lies.
    product_hz: i64,
    /// What it lands on.
    target_hz: i64,
    /// Product less target.
    offset_hz: i64,
}

impl<'a> Products<'a> {
    pub(super) fn of(report: &ProductsReport<'a>) -> Self {
        Self {
            format: "quietpair.products/1",
            frequencies_hz: report.frequencies.iter().map(|one| one.as_hz()).collect(),
            targets_hz: report.targets.iter().map(|one| one.as_hz()).collect(),
            order: report.order,
            within_hz: report.within.as_hz(),
            combinations: report.combinations,
            landings: report
                .landings
                .iter()
                .map(|landing| Lands {
                    coefficients: &landing.coefficients,
                    order: landing.order,
                    product_hz: landing.product.as_hz(),
                    target_hz: landing.target.as_hz(),
                    offset_hz: landing.offset.as_hz(),
                })
                .collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ratio_is_rounded_to_a_tenth_and_zero_has_no_sign() {
        assert!((tenth(-51.649) + 51.6).abs() < f64::EPSILON);
        assert!(tenth(-0.04).is_sign_positive());
    }
}
