//! The command: parse, run, exit code.

#![warn(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing)]

use std::any::Any;
use std::io::{self, IsTerminal};
use std::panic::catch_unwind;
use std::process::ExitCode;
use std::time::Instant;

use clap::{CommandFactory, FromArgMatches};

mod args;
mod assign;
mod check;
mod completions;
mod explain;
mod extent;
mod failure;
mod file;
mod import;
mod input;
mod man;
mod new;
mod output;
mod patience;
mod products;
mod radios;
mod rank;
mod report;
mod review;
mod rules;
mod schema;
mod sink;

use args::{Arguments, Command};
use failure::Failure;
use output::Outcome;
use sink::Sink;

fn main() -> ExitCode {
    output::keep_panics_quiet();
    match catch_unwind(|| parse().and_then(|arguments| run(&arguments))) {
        Ok(Ok(outcome)) if outcome.is_interrupted => ExitCode::from(output::INTERRUPTED),
        Ok(Ok(outcome)) if outcome.was_found => ExitCode::from(1),
        Ok(Ok(_)) => ExitCode::SUCCESS,
        Ok(Err(failure)) => output::complain(&failure),
        Err(panic) => output::complain(&Failure::of_panic(described(panic.as_ref()))),
    }
}

fn parse() -> Result<Arguments, Failure> {
    // In a terminal help is as wide as that; elsewhere it keeps to what every page keeps to.
    let command = if io::stdout().is_terminal() {
        Arguments::command()
    } else {
        Arguments::command().term_width(output::PIPED_WIDTH)
    };
    command
        .try_get_matches()
        .and_then(|matches| Arguments::from_arg_matches(&matches))
        .map_err(Failure::Call)
}

fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let sink = &arguments.sink;
    let began = Instant::now();
    let outcome = deed(&arguments.command, sink)?;
    output::show(outcome, sink, began)
}

fn deed(command: &Command, sink: &Sink) -> Result<Outcome, Failure> {
    match command {
        Command::New(wanted) => new::run(wanted),
        Command::Import(wanted) => import::run(wanted),
        Command::Check(wanted) => check::run(wanted),
        Command::Rank(wanted) => rank::run(wanted, sink),
        Command::Assign(wanted) => assign::run(wanted, sink),
        Command::Review(wanted) => review::run(wanted),
        Command::Report(wanted) => report::run(wanted),
        Command::Products(wanted) => products::run(wanted),
        Command::Rules(wanted) => rules::run(wanted),
        Command::Radios(wanted) => radios::run(wanted),
        Command::Explain(wanted) => explain::run(wanted),
        Command::Schema(wanted) => schema::run(wanted),
        Command::Completions(wanted) => completions::run(wanted),
        Command::Man(wanted) => man::run(wanted, sink),
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
