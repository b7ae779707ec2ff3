//! `review`: the plan at a glance, as a net manager reads it first.

use clap::Args;
use clap::builder::PossibleValuesParser;
use quietpair::effort::Effort;
use quietpair::overview::overview;
use quietpair::render::{PARTS, part};

use crate::args::Page;
use crate::extent::Extent;
use crate::failure::{Failure, unknown};
use crate::input;
use crate::output::Outcome;

/// What is wanted of `review`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// The scenario file, or `-` for standard input
    scenario: String,
    /// Review the plan with this proposal in place
    #[arg(long, value_name = "NAME")]
    proposal: Option<String>,
    /// Show only this part, with columns of its own in CSV
    #[arg(long, value_name = "PART", value_parser = PossibleValuesParser::new(PARTS))]
    part: Option<String>,
    #[command(flatten)]
    extent: Extent,
    #[command(flatten)]
    page: Page,
}

/// Looks over the plan and writes.
pub(crate) fn run(wanted: &Wanted) -> Result<Outcome, Failure> {
    let mut plan = input::plan(&wanted.scenario)?;
    wanted.extent.narrow(&mut plan);
    let proposal = match &wanted.proposal {
        None => None,
        Some(name) => {
            let found = plan.proposals.iter().find(|one| one.name == *name);
            let names = plan.proposals.iter().map(|one| one.name.as_str());
            Some(found.ok_or_else(|| unknown("proposal", name, names))?)
        }
    };
    wanted
        .extent
        .admit("this review", &plan, Effort::of_check)?;
    let seen = overview(&plan, proposal);
    let look = wanted.page.look();
    let page = match &wanted.part {
        None => (wanted.page.format.review)(&seen, &look),
        Some(id) => (wanted.page.format.list)(&part(&seen, id), &look),
    };
    let outcome = Outcome::page(page).detail(format_args!("read {}", plan.summary()));
    Ok(wanted.extent.told(outcome))
}
