//! `completions`: what a shell needs to complete the command line.

use clap::{Args, CommandFactory};
use clap_complete::Shell;

use crate::args::Arguments;
use crate::failure::Failure;
use crate::output::Outcome;

/// What is wanted of `completions`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// For which shell
    shell: Shell,
}

/// Writes the completions.
pub(crate) fn run(wanted: &Wanted) -> Result<Outcome, Failure> {
    let mut page = Vec::new();
    clap_complete::generate(
        wanted.shell,
        &mut Arguments::command(),
        "quietpair",
        &mut page,
    );
    String::from_utf8(page)
        .map(Outcome::page)
        .map_err(|error| Failure::Itself(error.to_string()))
}
