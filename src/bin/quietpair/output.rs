//! Results to standard output, everything else to standard error.

use std::io::{self, IsTerminal, Write};
use std::process::ExitCode;

use anstream::{AutoStream, ColorChoice};
use quietpair::render::Look;

use crate::failure::Failure;

/// Columns taken where the output is no terminal.
const PIPED_WIDTH: usize = 80;

/// Wider than this no line is read with ease.
const WIDEST: usize = 132;

/// What a command hands back.
#[derive(Debug)]
pub(crate) struct Outcome {
    /// What goes to standard output.
    pub(crate) page: String,
    /// Whether something was found that the exit code tells.
    pub(crate) was_found: bool,
}

impl Outcome {
    /// A page that finds nothing.
    pub(crate) const fn page(page: String) -> Self {
        Self {
            page,
            was_found: false,
        }
    }
}

/// How a page for people should look here: as wide as asked for or as the terminal is, coloured where that is wanted.
pub(crate) fn look(width: Option<usize>) -> Look {
    Look {
        width: width.unwrap_or_else(terminal_width),
        is_coloured: AutoStream::choice(&io::stdout()) != ColorChoice::Never,
        ..Look::default()
    }
}

/// Whether what goes to standard error is coloured.
pub(crate) fn is_coloured_for_errors() -> bool {
    AutoStream::choice(&io::stderr()) != ColorChoice::Never
}

fn terminal_width() -> usize {
    if !io::stdout().is_terminal() {
        return PIPED_WIDTH;
    }
    terminal_size::terminal_size()
        .map_or(PIPED_WIDTH, |(width, _)| usize::from(width.0).min(WIDEST))
}

/// Writes the page. A reader that has seen enough closes the pipe; that is no failure, and the exit code still tells
/// what was found.
pub(crate) fn show(outcome: Outcome) -> Result<Outcome, Failure> {
    let mut out = anstream::stdout().lock();
    let written = out
        .write_all(outcome.page.as_bytes())
        .and_then(|()| out.flush());
    match written {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(Failure::Itself(format!(
            "the result could not be written: {error}"
        ))),
        _ => Ok(outcome),
    }
}

/// Tells why there is no result, and gives the exit code for it.
pub(crate) fn complain(failure: &Failure) -> ExitCode {
    let mut stderr = anstream::stderr().lock();
    // When even standard error is gone there is nobody left to tell; the exit code remains.
    match failure {
        Failure::Call(error) => {
            let _ = error.print();
            // Help and version are no mistake.
            if error.use_stderr() {
                ExitCode::from(2)
            } else {
                ExitCode::SUCCESS
            }
        }
        Failure::Input { message, hint } => {
            let _ = writeln!(stderr, "quietpair: {message}");
            if let Some(hint) = hint {
                let _ = writeln!(stderr, "  hint: {hint}");
            }
            ExitCode::from(2)
        }
        Failure::File(faults) => {
            let _ = writeln!(stderr, "{faults}");
            ExitCode::from(2)
        }
        Failure::Itself(message) => {
            let _ = writeln!(stderr, "quietpair: {message}");
            ExitCode::from(3)
        }
    }
}

/// Leaves the telling of a panic to `main`, which says it in words for a user.
pub(crate) fn keep_panics_quiet() {
    std::panic::set_hook(Box::new(|_| {}));
}
