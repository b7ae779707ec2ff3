//! `assign`: gives every open channel of a scenario a frequency at once.

use std::time::Duration;

use clap::Args;
use quietpair::effort::Effort;
use quietpair::render::{AssignReport, Look};
use quietpair::search::assign::{Assignment, assign_watched};

use crate::args::{FailOn, Page, time};
use crate::extent::Extent;
use crate::failure::Failure;
use crate::input;
use crate::output::Outcome;
use crate::patience::Patience;
use crate::sink::Sink;

/// What is wanted of `assign`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// The scenario file, or `-` for standard input
    scenario: String,
    /// Stop after so long (`30s`, `5 min`) with the best plan found, and say what is not proved [default: never]
    #[arg(long, value_name = "TIME", value_parser = time)]
    time_limit: Option<Duration>,
    /// From which severity of what is found in the plan on the exit code is 1; it also is when there is no plan
    #[arg(long, value_enum, default_value_t = FailOn::Conflict, value_name = "SEVERITY")]
    fail_on: FailOn,
    /// Show every finding in full, also where many are alike
    #[arg(long)]
    all: bool,
    #[command(flatten)]
    extent: Extent,
    #[command(flatten)]
    page: Page,
}

/// Chooses and writes.
pub(crate) fn run(wanted: &Wanted, sink: &Sink) -> Result<Outcome, Failure> {
    let mut plan = input::plan(&wanted.scenario)?;
    wanted.extent.narrow(&mut plan);
    let Some(open) = &plan.assign else {
        return Err(
            Failure::input("the scenario has no channel to be given a frequency")
                .hint("add `assign:` with its `channels`"),
        );
    };
    wanted.extent.admit_within(
        (wanted.time_limit, sink.quiet),
        "this assignment",
        &plan,
        |plan| Effort::of_assign(plan, open),
    )?;
    let patience = Patience::begin(wanted.time_limit, sink.quiet)?;
    let assignment = assign_watched(&plan, open, patience.watch());
    let is_interrupted = patience.end() && !assignment.is_proved;
    let report = AssignReport {
        event: &plan.event.name,
        assignment: &assignment,
    };
    let look = Look {
        shows_all: wanted.all,
        ..wanted.page.look()
    };
    let page = (wanted.page.format.assign)(&report, &look);
    let outcome = Outcome::page(page)
        .found(wanted.is_missed(&assignment))
        .interrupted(is_interrupted)
        .detail(format_args!("read {}", plan.summary()));
    Ok(wanted.extent.told(outcome))
}

impl Wanted {
    /// Whether there is no plan, or something in it is at or above what was named.
    fn is_missed(&self, assignment: &Assignment) -> bool {
        match &assignment.found {
            None => self.fail_on != FailOn::Never,
            Some(found) => {
                let mut findings = found.judged.findings.iter();
                findings.any(|finding| self.fail_on.holds(finding.severity))
            }
        }
    }
}
