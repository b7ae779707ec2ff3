//! `assign`: gives every open channel of a scenario a frequency at once.

use std::time::{Duration, Instant};

use clap::Args;
use jiff::SignedDuration;
use quietpair::render::{AssignReport, Look};
use quietpair::search::assign::{Assignment, assign};

use crate::args::{FailOn, Page};
use crate::failure::Failure;
use crate::input;
use crate::output::Outcome;

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
    page: Page,
}

/// Chooses and writes.
pub(crate) fn run(wanted: &Wanted) -> Result<Outcome, Failure> {
    let plan = input::plan(&wanted.scenario)?;
    let Some(open) = &plan.assign else {
        return Err(
            Failure::input("the scenario has no channel to be given a frequency")
                .hint("add `assign:` with its `channels`"),
        );
    };
    let begun = Instant::now();
    let limit = wanted.time_limit;
    let should_stop = || limit.is_some_and(|limit| begun.elapsed() >= limit);
    let assignment = assign(&plan, open, &should_stop);
    let report = AssignReport {
        event: &plan.event.name,
        assignment: &assignment,
    };
    let look = Look {
        shows_all: wanted.all,
        ..wanted.page.look()
    };
    let page = (wanted.page.format.assign)(&report, &look);
    Ok(Outcome::page(page)
        .found(wanted.is_missed(&assignment))
        .detail(format_args!("read {}", plan.summary())))
}

/// Reads a length of time.
fn time(text: &str) -> Result<Duration, String> {
    let told = || format!("`{text}` is no length of time such as `30s` or `5 min`");
    let read: SignedDuration = text.trim().parse().map_err(|_| told())?;
    Duration::try_from(read).map_err(|_| told())
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_is_read_as_people_write_it_and_nonsense_is_refused() {
        assert_eq!(time("30s"), Ok(Duration::from_secs(30)));
        assert_eq!(time("5 min"), Ok(Duration::from_mins(5)));
        assert!(time("-1s").is_err());
        assert!(time("soon").is_err());
    }
}
