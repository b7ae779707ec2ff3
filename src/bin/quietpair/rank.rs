//! `rank`: searches the candidates of a scenario and puts the safe ones in order.

use clap::Args;
use quietpair::assess::Verdict;
use quietpair::finding::Severity;
use quietpair::render::RankReport;
use quietpair::search::{Ranking, rank};

use crate::args::{FailOn, Page};
use crate::failure::{Failure, unknown};
use crate::input;
use crate::output::Outcome;

/// What is wanted of `rank`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// The scenario file, or `-` for standard input
    scenario: String,
    /// Run only this search; may be given several times
    #[arg(long, value_name = "NAME")]
    name: Vec<String>,
    /// How many of the best to show [default: what the search says]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    top: Option<u32>,
    /// From which severity of its best candidate on a search makes the exit code 1
    #[arg(long, value_enum, default_value_t = FailOn::Conflict, value_name = "SEVERITY")]
    fail_on: FailOn,
    #[command(flatten)]
    page: Page,
}

/// Searches and writes.
pub(crate) fn run(wanted: &Wanted) -> Result<Outcome, Failure> {
    let plan = input::plan(&wanted.scenario)?;
    let names = || plan.searches.iter().map(|search| search.name.as_str());
    for name in &wanted.name {
        if !names().any(|known| known == name) {
            return Err(unknown("search", name, names()));
        }
    }
    if plan.searches.is_empty() {
        return Err(Failure::input("the scenario asks for no search")
            .hint("add `search:` with a station and what it is to find"));
    }
    let rankings: Vec<Ranking> = plan
        .searches
        .iter()
        .filter(|search| wanted.name.is_empty() || wanted.name.contains(&search.name))
        .map(|search| {
            let top = wanted.top.and_then(|top| usize::try_from(top).ok());
            rank(&plan, search, top.unwrap_or(search.keep))
        })
        .collect();
    let report = RankReport {
        event: &plan.event.name,
        rankings: &rankings,
    };
    let page = (wanted.page.format.rank)(&report, &wanted.page.look());
    Ok(Outcome::page(page)
        .found(rankings.iter().any(|ranking| wanted.is_missed(ranking)))
        .detail(format_args!("read {}", plan.summary())))
}

impl Wanted {
    /// Whether even the best candidate of a search is at or above what was named.
    fn is_missed(&self, ranking: &Ranking) -> bool {
        let Some(best) = ranking.rows.first() else {
            return self.fail_on != FailOn::Never;
        };
        match best.verdict {
            Verdict::Clear => false,
            Verdict::Caution => self.fail_on.holds(Severity::Caution),
            Verdict::Conflict => self.fail_on.holds(Severity::Conflict),
        }
    }
}
