//! `products`: which combinations of some frequencies land on others, without a scenario.

use clap::Args;
use quietpair::physics::mixing::{LandingError, combinations, landings};
use quietpair::quantity::{Frequency, Offset};
use quietpair::render::ProductsReport;

use crate::args::{Page, whole};
use crate::failure::Failure;
use crate::output::Outcome;

/// What is wanted of `products`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// The frequencies that are combined: `145.2250`, `"433450 kHz"`; they stand before `--onto`, or after `--`
    #[arg(value_name = "FREQUENCY")]
    frequencies: Vec<Frequency>,
    /// The frequencies that somebody listens on: all that follow, up to the next option or `--`
    #[arg(long, required = true, num_args = 1.., value_delimiter = ',', value_name = "FREQUENCY")]
    onto: Vec<Frequency>,
    /// Highest order: the sum of the coefficients without sign
    #[arg(long, default_value_t = 5, value_name = "N", value_parser = |text: &str| whole(text, 2..=99))]
    order: u32,
    /// Farthest a product may be from a frequency to count; a bare number is in megahertz
    #[arg(long, default_value = "12.5kHz", value_name = "WIDTH", value_parser = distance)]
    within: Offset,
    #[command(flatten)]
    page: Page,
}

/// Reads a distance between frequencies, which has no sign.
fn distance(text: &str) -> Result<Offset, String> {
    let offset: Offset = text.parse().map_err(|error| format!("{error}"))?;
    if offset < Offset::default() {
        Err("a distance is not below zero".to_owned())
    } else {
        Ok(offset)
    }
}

/// Combines and writes.
pub(crate) fn run(wanted: &Wanted) -> Result<Outcome, Failure> {
    if wanted.frequencies.is_empty() {
        let all: Vec<String> = wanted.onto.iter().map(|one| one.digits()).collect();
        let failure =
            Failure::input("no frequency is left to combine: all of them follow `--onto`");
        return Err(failure.hint(match all.as_slice() {
            [first, rest @ ..] if !rest.is_empty() => format!(
                "write them first, as in `products {} --onto {first}`, or after `--`",
                rest.join(" ")
            ),
            _ => "write them before `--onto`".to_owned(),
        }));
    }
    let found = landings(
        &wanted.frequencies,
        &wanted.onto,
        wanted.order,
        wanted.within,
    )
    .map_err(|error| Failure::input(error).hint(cure(error)))?;
    let report = ProductsReport {
        frequencies: &wanted.frequencies,
        targets: &wanted.onto,
        order: wanted.order,
        within: wanted.within,
        combinations: combinations(wanted.frequencies.len(), wanted.order),
        landings: &found,
    };
    Ok(Outcome::page((wanted.page.format.products)(
        &report,
        &wanted.page.look(),
    )))
}

/// How to make the question smaller.
const fn cure(error: LandingError) -> &'static str {
    match error {
        LandingError::Combinations { .. } => "lower --order, or give fewer frequencies at a time",
        LandingError::Landings => "narrow --within, lower --order, or watch fewer frequencies",
    }
}
