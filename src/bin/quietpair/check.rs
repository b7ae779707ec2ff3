//! `check`: judges the plan as it stands and each proposal put to it.

use clap::Args;
use quietpair::assess::{Assessment, Judged, Verdict, assess};
use quietpair::checks::topics;
use quietpair::compare::{Shift, compare};
use quietpair::effort::Effort;
use quietpair::finding::Finding;
use quietpair::render::{CheckReport, Look};
use quietpair::scenario::Plan;

use crate::args::{FailOn, Page};
use crate::extent::Extent;
use crate::failure::{Failure, unknown};
use crate::input;
use crate::output::Outcome;

/// What is wanted of `check`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// The scenario file, or `-` for standard input
    scenario: String,
    /// Judge only this proposal beside the plan; may be given several times
    #[arg(long, value_name = "NAME")]
    proposal: Vec<String>,
    /// From which severity on the exit code is 1
    #[arg(long, value_enum, default_value_t = FailOn::Conflict, value_name = "SEVERITY")]
    fail_on: FailOn,
    /// Tell only what these checks find: ids as `explain` lists them, set apart by commas
    #[arg(long, value_name = "CHECKS", value_delimiter = ',')]
    only: Vec<String>,
    /// Tell nothing of what these checks find: ids as `explain` lists them, set apart by commas
    #[arg(
        long,
        value_name = "CHECKS",
        value_delimiter = ',',
        conflicts_with = "only"
    )]
    skip: Vec<String>,
    /// Print every value that was not stated, and where it came from
    #[arg(long)]
    show_defaults: bool,
    /// Show how every level comes about, step by step
    #[arg(long)]
    trace: bool,
    /// Show every finding in full, also where many are alike
    #[arg(long)]
    all: bool,
    /// Tell only what became better or worse since an earlier check, whose JSON is in this file; the exit code is then 1
    /// where something at or above --fail-on is new or worse
    #[arg(long, value_name = "FILE", conflicts_with_all = ["show_defaults", "trace", "all"])]
    against: Option<String>,
    #[command(flatten)]
    extent: Extent,
    #[command(flatten)]
    page: Page,
}

/// Judges and writes.
pub(crate) fn run(wanted: &Wanted) -> Result<Outcome, Failure> {
    for id in wanted.only.iter().chain(&wanted.skip) {
        let topics = topics();
        if !topics.iter().any(|topic| topic.id == id) {
            return Err(unknown("check", id, topics.iter().map(|topic| topic.id)));
        }
    }
    let mut plan = input::plan(&wanted.scenario)?;
    let names: Vec<&str> = plan.proposals.iter().map(|one| one.name.as_str()).collect();
    for name in &wanted.proposal {
        if !names.contains(&name.as_str()) {
            return Err(unknown("proposal", name, names.iter().copied()));
        }
    }
    if !wanted.proposal.is_empty() {
        plan.proposals
            .retain(|one| wanted.proposal.contains(&one.name));
    }
    wanted.extent.narrow(&mut plan);
    wanted.extent.admit("this check", &plan, Effort::of_check)?;
    let mut assessment = assess(&plan);
    wanted.narrow(&mut assessment);
    if let Some(path) = &wanted.against {
        return against(wanted, &plan, &assessment, path);
    }
    let report = CheckReport {
        assessment: &assessment,
        defaults: wanted.show_defaults.then_some(plan.defaults.as_slice()),
    };
    let look = Look {
        shows_all: wanted.all,
        shows_budget: wanted.trace,
        ..wanted.page.look()
    };
    let findings = || subjects(&assessment).flat_map(|judged| &judged.findings);
    let outcome = Outcome::page((wanted.page.format.check)(&report, &look))
        .found(findings().any(|finding| wanted.fail_on.holds(finding.severity)))
        .detail(format_args!("read {}", plan.summary()))
        .detail(format_args!(
            "judged the plan and {}: {}",
            counted(assessment.proposals.len(), "proposal"),
            counted(findings().count(), "finding")
        ));
    Ok(wanted.extent.told(wanted.told(outcome, &plan)))
}

/// Says what is not as it was.
fn against(
    wanted: &Wanted,
    plan: &Plan,
    assessment: &Assessment,
    path: &str,
) -> Result<Outcome, Failure> {
    let earlier = input::answer(path)?;
    let comparison = compare(assessment, &earlier).map_err(|error| {
        Failure::input(format_args!("{path} cannot be compared with: {error}"))
            .hint("write it with `quietpair check … --format json -o FILE`")
    })?;
    let is_worse = |shift: &Shift| shift.is_worse_where(|severity| wanted.fail_on.holds(severity));
    let page = (wanted.page.format.compare)(&comparison, &wanted.page.look());
    let outcome = Outcome::page(page).found(comparison.shifts.iter().any(is_worse));
    Ok(wanted.extent.told(wanted.told(outcome, plan)))
}

fn subjects(assessment: &Assessment) -> impl Iterator<Item = &Judged> {
    std::iter::once(&assessment.plan).chain(&assessment.proposals)
}

fn counted(count: usize, one: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{count} {one}{ending}")
}

impl Wanted {
    /// Says beside a result what nobody may take for judged.
    fn told(&self, mut outcome: Outcome, plan: &Plan) -> Outcome {
        if plan.stations.is_empty() {
            outcome = outcome.remark("quietpair: the scenario has no stations; nothing was judged");
        }
        if !self.only.is_empty() {
            outcome = outcome.remark(&format!(
                "quietpair: only what {} finds is told, and the verdicts are of that alone",
                self.only.join(", ")
            ));
        }
        if !self.skip.is_empty() {
            outcome = outcome.remark(&format!(
                "quietpair: what {} finds is left out, of the verdicts too",
                self.skip.join(", ")
            ));
        }
        outcome
    }

    /// Leaves out what is not to be told; the verdicts are then those of what is left.
    fn narrow(&self, assessment: &mut Assessment) {
        if self.only.is_empty() && self.skip.is_empty() {
            return;
        }
        for judged in std::iter::once(&mut assessment.plan).chain(&mut assessment.proposals) {
            judged.findings.retain(|finding| {
                let is_among = |ids: &[String]| ids.iter().any(|id| id == finding.check);
                (self.only.is_empty() || is_among(&self.only)) && !is_among(&self.skip)
            });
            judged.verdict = Verdict::of(&judged.findings);
            judged.worst_margin = judged
                .findings
                .iter()
                .filter_map(Finding::firm_margin)
                .min();
        }
    }
}
