//! What can be asked for on the command line.

use std::ops::RangeInclusive;
use std::time::Duration;

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};
use jiff::SignedDuration;
use quietpair::finding::Severity;
use quietpair::render::{self, Format, Look};

use crate::sink::Sink;
use crate::{
    assign, check, completions, explain, import, man, new, output, products, radios, rank, report,
    review, rules, schema,
};

/// What every page of help ends with.
const CONTRACT: &str = "\
Exit codes:
  0    nothing at or above --fail-on
  1    something was found at or above --fail-on
  2    the call or the input is wrong
  3    the program itself failed
  130  interrupted; `rank` and `assign` printed the best so far, if anything

Results go to standard output, everything else to standard error. A reader that closes the pipe early is no failure: \
the exit code still tells what was found. `-` reads the scenario from standard input.

Frequencies without a unit are in MHz. NO_COLOR is respected.

The licence text itself, the coordinator and the operator decide; this program only does the arithmetic.";

/// Finds frequencies that stay quiet together: interference, law and band plan for a temporary amateur radio event.
#[derive(Debug, Parser)]
#[command(name = "quietpair", version, after_help = CONTRACT, arg_required_else_help = true)]
pub(crate) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
    #[command(flatten)]
    pub(crate) sink: Sink,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Write a commented scenario to begin with; asks nothing
    New(new::Wanted),
    /// Turn a list of neighbours (CSV, KML or GeoJSON) into `in_use:` of a scenario
    Import(import::Wanted),
    /// Judge the plan as it stands, and each proposal put to it
    #[command(after_help = CONTRACT)]
    Check(check::Wanted),
    /// Show the plan at a glance: channels, who reaches whom, what to mend first
    Review(review::Wanted),
    /// Write the report: verdict, cards, plan form and pictures on one page
    #[command(after_help = CONTRACT)]
    Report(report::Wanted),
    /// Search the candidates of a scenario and rank the safe ones
    #[command(after_help = CONTRACT)]
    Rank(rank::Wanted),
    /// Give every open channel of a scenario a frequency at once
    #[command(after_help = CONTRACT)]
    Assign(assign::Wanted),
    /// Say which combinations of some frequencies land on others, without a scenario
    #[command(after_help = CONTRACT)]
    Products(products::Wanted),
    /// Explain what a check looks for, its formula, its source and the usual remedies
    Explain(explain::Wanted),
    /// List the rule packs, show or compare them, or verify a file of your own
    Rules(rules::Wanted),
    /// List the radio profiles, or show every figure of one with its source
    Radios(radios::Wanted),
    /// Print the JSON Schema of a file or of an output
    Schema(schema::Wanted),
    /// Print completions for a shell
    Completions(completions::Wanted),
    /// Print the manual page of a command, or write all of them into a folder
    Man(man::Wanted),
}

/// How the result is written.
#[derive(Debug, Args)]
pub(crate) struct Page {
    /// How to write the result
    #[arg(long, value_parser = format_parser(), default_value = "text")]
    pub(crate) format: &'static Format,
    /// Columns a line may fill [default: those of the terminal, 80 in a pipe]
    #[arg(long, value_name = "COLUMNS", value_parser = |text: &str| whole(text, 40..=1000))]
    width: Option<u32>,
}

impl Page {
    /// How a page for people should look.
    pub(crate) fn look(&self) -> Look {
        output::look(self.width.and_then(|width| usize::try_from(width).ok()))
    }
}

/// Reads the name of a format.
fn format_parser() -> impl TypedValueParser<Value = &'static Format> {
    let names = render::ALL
        .iter()
        .map(|format| PossibleValue::new(format.name).help(format.title));
    PossibleValuesParser::new(names).try_map(|name| {
        render::ALL
            .iter()
            .find(|format| format.name == name)
            .ok_or("no such format")
    })
}

/// Reads a whole number between two.
pub(crate) fn whole(text: &str, within: RangeInclusive<u32>) -> Result<u32, String> {
    let read = text.parse().ok().filter(|number| within.contains(number));
    read.ok_or_else(|| {
        format!(
            "expected a whole number from {} to {}",
            within.start(),
            within.end()
        )
    })
}

/// Reads a length of time.
pub(crate) fn time(text: &str) -> Result<Duration, String> {
    let told = || format!("`{text}` is no length of time such as `30s` or `5 min`");
    let read: SignedDuration = text.trim().parse().map_err(|_| told())?;
    Duration::try_from(read).map_err(|_| told())
}

/// From which severity on the exit code is 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum FailOn {
    /// Anything at all was found
    Note,
    /// Something needs a look, or worse
    Caution,
    /// Something will hurt or is not allowed
    Conflict,
    /// Never
    Never,
}

impl FailOn {
    /// Whether a severity is at or above it.
    pub(crate) fn holds(self, severity: Severity) -> bool {
        match self {
            Self::Note => true,
            Self::Caution => severity >= Severity::Caution,
            Self::Conflict => severity >= Severity::Conflict,
            Self::Never => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_is_sound() {
        Arguments::command().debug_assert();
    }

    #[test]
    fn a_time_is_read_as_people_write_it_and_nonsense_is_refused() {
        assert_eq!(time("30s"), Ok(Duration::from_secs(30)));
        assert_eq!(time("5 min"), Ok(Duration::from_mins(5)));
        assert!(time("-1s").is_err());
        assert!(time("soon").is_err());
    }

    #[test]
    fn a_number_is_held_to_its_bounds_and_the_message_names_them() {
        assert_eq!(whole("2", 2..=7), Ok(2));
        assert_eq!(whole("7", 2..=7), Ok(7));
        let told = Err("expected a whole number from 2 to 7".to_owned());
        for wrong in ["1", "8", "many", "-3", "2.5", ""] {
            assert_eq!(whole(wrong, 2..=7), told, "{wrong}");
        }
    }

    #[test]
    fn a_severity_is_held_from_its_own_step_on() {
        assert!(FailOn::Conflict.holds(Severity::Conflict));
        assert!(!FailOn::Conflict.holds(Severity::Caution));
        assert!(FailOn::Caution.holds(Severity::Caution));
        assert!(!FailOn::Caution.holds(Severity::Note));
        assert!(FailOn::Note.holds(Severity::Note));
        assert!(!FailOn::Never.holds(Severity::Conflict));
    }
}
