//! `report`: one page that holds the verdict, the plan, the operators' cards, the plan form and the pictures.

use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser};
use quietpair::assess::Verdict;
use quietpair::effort::Effort;
use quietpair::finding::Severity;
use quietpair::render::{PAGES, picture, picture_names};
use quietpair::report::{Prepared, Report, report};

use crate::args::FailOn;
use crate::extent::Extent;
use crate::failure::{Failure, unknown};
use crate::input;
use crate::output::Outcome;

/// What single pictures are called among the formats.
const SVG: &str = "svg";

/// What is wanted of `report`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// The scenario file, or `-` for standard input
    scenario: String,
    /// Report on the plan with this proposal in place [default: the best of them]
    #[arg(long, value_name = "NAME")]
    proposal: Option<String>,
    /// What to write
    #[arg(long, value_parser = formats(), default_value = "html")]
    format: String,
    /// Which picture to write as SVG; a name that is not known gets the list
    #[arg(long, value_name = "NAME", required_if_eq("format", SVG))]
    picture: Option<String>,
    /// Who prepared the plan, for its form
    #[arg(long, value_name = "NAME")]
    prepared_by: Option<String>,
    /// When the plan was prepared, for its form: this program reads no clock
    #[arg(long, value_name = "TIME")]
    prepared_at: Option<String>,
    /// From which severity on the exit code is 1
    #[arg(long, value_enum, default_value_t = FailOn::Never, value_name = "SEVERITY")]
    fail_on: FailOn,
    #[command(flatten)]
    extent: Extent,
}

fn formats() -> PossibleValuesParser {
    let pages = PAGES
        .iter()
        .map(|page| PossibleValue::new(page.name).help(page.title));
    let svg = PossibleValue::new(SVG).help("one picture, see --picture");
    PossibleValuesParser::new(pages.chain([svg]))
}

/// Judges, and writes the report.
pub(crate) fn run(wanted: &Wanted) -> Result<Outcome, Failure> {
    if wanted.picture.is_some() && wanted.format != SVG {
        return Err(Failure::input("--picture goes with --format svg"));
    }
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
    let prepared = Prepared {
        by: wanted.prepared_by.clone(),
        at: wanted.prepared_at.clone(),
    };
    wanted
        .extent
        .admit("this report", &plan, Effort::of_report)?;
    let report = report(&plan, proposal, &prepared);
    let page = wanted.written(&report)?;
    let was_found = match report.overview.verdict {
        Verdict::Clear => false,
        Verdict::Caution => wanted.fail_on.holds(Severity::Caution),
        Verdict::Conflict => wanted.fail_on.holds(Severity::Conflict),
    };
    let outcome = Outcome::page(page)
        .found(was_found)
        .detail(format_args!("read {}", plan.summary()));
    Ok(wanted.extent.told(outcome))
}

impl Wanted {
    fn written(&self, report: &Report) -> Result<String, Failure> {
        if let Some(page) = PAGES.iter().find(|page| page.name == self.format) {
            return Ok((page.write)(report));
        }
        let name = self.picture.as_deref().unwrap_or_default();
        picture(report, name).ok_or_else(|| {
            let names = picture_names(report);
            unknown("picture", name, names.iter().map(String::as_str))
        })
    }
}
