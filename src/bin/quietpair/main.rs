//! The command: parse, run, exit code.

#![warn(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing)]

use std::any::Any;
use std::panic::catch_unwind;
use std::process::ExitCode;

use clap::Parser;

mod args;
mod assign;
mod check;
mod completions;
mod explain;
mod failure;
mod file;
mod input;
mod man;
mod output;
mod products;
mod radios;
mod rank;
mod report;
mod review;
mod rules;
mod schema;

use args::{Arguments, Command};
use failure::Failure;
use output::Outcome;

fn main() -> ExitCode {
    output::keep_panics_quiet();
    match catch_unwind(|| parse().and_then(run).and_then(output::show)) {
        Ok(Ok(outcome)) if outcome.was_found => ExitCode::from(1),
        Ok(Ok(_)) => ExitCode::SUCCESS,
        Ok(Err(failure)) => output::complain(&failure),
        Err(panic) => output::complain(&Failure::of_panic(described(panic.as_ref()))),
    }
}

fn parse() -> Result<Arguments, Failure> {
    Arguments::try_parse().map_err(Failure::Call)
}

fn run(arguments: Arguments) -> Result<Outcome, Failure> {
    match arguments.command {
        Command::Check(wanted) => check::run(&wanted),
        Command::Rank(wanted) => rank::run(&wanted),
        Command::Assign(wanted) => assign::run(&wanted),
        Command::Review(wanted) => review::run(&wanted),
        Command::Report(wanted) => report::run(&wanted),
        Command::Products(wanted) => products::run(&wanted),
        Command::Rules(wanted) => rules::run(&wanted),
        Command::Radios(wanted) => radios::run(&wanted),
        Command::Explain(wanted) => explain::run(&wanted),
        Command::Schema(wanted) => schema::run(&wanted),
        Command::Completions(wanted) => completions::run(&wanted),
        Command::Man => man::run(),
    }
}

/// What a panic says, where it says anything.
fn described(panic: &(dyn Any + Send)) -> &str {
    panic
        .downcast_ref::<&str>()
        .copied()
        .or_else(|| panic.downcast_ref::<String>().map(String::as_str))
        .unwrap_or("no reason given")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failure_of_the_program_is_told_with_its_reason() {
        for panic in [
            catch_unwind(|| panic!("plain")),
            catch_unwind(|| panic!("{}", "plain".to_owned())),
        ] {
            assert_eq!(described(panic.unwrap_err().as_ref()), "plain");
        }
    }
}
