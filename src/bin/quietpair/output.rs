//! Results to standard output, everything else to standard error.

use std::fmt::Arguments;
use std::io::{self, IsTerminal, Write};
use std::process::ExitCode;
use std::time::Instant;

use anstream::adapter::strip_str;
use anstream::{AutoStream, ColorChoice};
use quietpair::render::Look;

use crate::failure::Failure;
use crate::file;
use crate::sink::Sink;

/// Columns taken where the output is no terminal.
pub(crate) const PIPED_WIDTH: usize = 80;

/// Wider than this no line is read with ease.
const WIDEST: usize = 132;

/// Exit code of a search that was interrupted, whatever it found before: the one that shells know for it.
pub(crate) const INTERRUPTED: u8 = 130;

/// What a command hands back.
#[derive(Debug, Default)]
pub(crate) struct Outcome {
    /// The result; none where the command wrote its files itself.
    page: Option<String>,
    /// Whether something was found that the exit code tells.
    pub(crate) was_found: bool,
    /// Whether somebody interrupted it, so that the result is the best so far.
    pub(crate) is_interrupted: bool,
    /// What a person should know beside the result.
    remarks: Vec<String>,
    /// What only somebody wants to know who asks for it.
    details: Vec<String>,
}

impl Outcome {
    /// A page that finds nothing.
    pub(crate) fn page(page: String) -> Self {
        Self {
            page: Some(page),
            ..Self::default()
        }
    }

    /// Files that the command wrote itself.
    pub(crate) fn written() -> Self {
        Self::default()
    }

    /// The same, with whether something was found.
    pub(crate) fn found(self, was_found: bool) -> Self {
        Self { was_found, ..self }
    }

    /// The same, with whether somebody interrupted it.
    pub(crate) fn interrupted(self, is_interrupted: bool) -> Self {
        Self {
            is_interrupted,
            ..self
        }
    }

    /// The same with something that a person should know.
    pub(crate) fn remark(mut self, text: &str) -> Self {
        self.remarks.push(text.to_owned());
        self
    }

    /// The same with something that `--verbose` tells.
    pub(crate) fn detail(mut self, text: Arguments<'_>) -> Self {
        self.details.push(text.to_string());
        self
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

/// Hands the result on, and says beside it what was asked for.
pub(crate) fn show(outcome: Outcome, sink: &Sink, began: Instant) -> Result<Outcome, Failure> {
    let took = began.elapsed();
    match (&outcome.page, &sink.output) {
        (Some(page), Some(path)) => {
            file::write(path, strip_str(page).to_string().as_bytes(), sink.force)?;
        }
        (Some(page), None) if !sink.quiet => print(page)?,
        _ => {}
    }
    let mut stderr = anstream::stderr().lock();
    // When even standard error is gone there is nobody left to tell; the exit code remains.
    for remark in outcome.remarks.iter().filter(|_| !sink.quiet) {
        let _ = writeln!(stderr, "{remark}");
    }
    if sink.verbose {
        for detail in &outcome.details {
            let _ = writeln!(stderr, "quietpair: {detail}");
        }
        if let (Some(_), Some(path)) = (&outcome.page, &sink.output) {
            let _ = writeln!(stderr, "quietpair: written to {}", path.display());
        }
        let _ = writeln!(stderr, "quietpair: it took {:.3} s", took.as_secs_f64());
    }
    Ok(outcome)
}

/// Writes a page to standard output. A reader that has seen enough closes the pipe; that is no failure, and the exit code
/// still tells what was found.
fn print(page: &str) -> Result<(), Failure> {
    let mut out = anstream::stdout().lock();
    let written = out.write_all(page.as_bytes()).and_then(|()| out.flush());
    match written {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(Failure::Itself(format!(
            "the result could not be written: {error}"
        ))),
        _ => Ok(()),
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
