//! Where a result goes, and how much is said beside it: the same for every command.

use std::path::PathBuf;

use clap::Args;

/// Where the result goes, and how much is said beside it.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Everywhere")]
pub(crate) struct Sink {
    /// Write the result to this file instead of standard output: whole or not at all, and never over another file
    #[arg(short, long, global = true, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
    /// Let --output replace a file that is there
    #[arg(long, global = true)]
    pub(crate) force: bool,
    /// Say nothing but faults: no result on standard output, no remarks; the exit code tells
    #[arg(short, long, global = true, conflicts_with = "verbose")]
    pub(crate) quiet: bool,
    /// Say on standard error what was read, what came of it and how long it took
    #[arg(short, long, global = true)]
    pub(crate) verbose: bool,
}
