//! What a long search shows on a terminal while it runs, and how it is told to stop.

use std::io::{self, IsTerminal, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use quietpair::search::{Come, Doing, Watch};
use unicode_width::UnicodeWidthStr;

use crate::failure::Failure;
use crate::output::INTERRUPTED;

/// Sooner than this nobody wonders.
const SOON: Duration = Duration::from_secs(1);

/// How often is looked.
const OFTEN: Duration = Duration::from_millis(100);

/// Columns of a terminal that does not say.
const USUAL_WIDTH: usize = 80;

/// A search under way, with somebody waiting for it.
pub(crate) struct Patience {
    watch: Arc<Watch>,
    is_interrupted: Arc<AtomicBool>,
    is_over: Arc<AtomicBool>,
    teller: Option<JoinHandle<()>>,
}

impl Patience {
    /// Begins to wait: for no longer than so long, if that is said, and until somebody interrupts.
    ///
    /// The first interrupt stops the search with the best it has, the second ends the program at once.
    pub(crate) fn begin(limit: Option<Duration>, is_quiet: bool) -> Result<Self, Failure> {
        let watch = Arc::new(Watch::default());
        let is_interrupted = Arc::new(AtomicBool::new(false));
        let is_over = Arc::new(AtomicBool::new(false));
        if limit.is_some_and(|limit| limit.is_zero()) {
            watch.stop();
        }
        let (stopping, told) = (Arc::clone(&watch), Arc::clone(&is_interrupted));
        ctrlc::set_handler(move || {
            if told.swap(true, Ordering::Relaxed) {
                std::process::exit(i32::from(INTERRUPTED));
            }
            stopping.stop();
        })
        .map_err(|error| Failure::Itself(format!("nobody could interrupt this: {error}")))?;
        let line = Line {
            is_shown: io::stderr().is_terminal() && !is_quiet,
            width: 0,
        };
        let teller = thread::spawn({
            let (watch, is_over) = (Arc::clone(&watch), Arc::clone(&is_over));
            let is_interrupted = Arc::clone(&is_interrupted);
            move || tell(&watch, (&is_over, &is_interrupted), limit, line)
        });
        Ok(Self {
            watch,
            is_interrupted,
            is_over,
            teller: Some(teller),
        })
    }

    /// Where the search says how far it is.
    pub(crate) fn watch(&self) -> &Watch {
        &self.watch
    }

    /// Ends the waiting and takes away what was shown; whether somebody interrupted the search.
    pub(crate) fn end(mut self) -> bool {
        self.leave();
        self.is_interrupted.load(Ordering::Relaxed)
    }

    fn leave(&mut self) {
        self.is_over.store(true, Ordering::Relaxed);
        if let Some(teller) = self.teller.take() {
            teller.thread().unpark();
            // It only shows; what became of it changes nothing.
            let _ = teller.join();
        }
    }
}

impl Drop for Patience {
    fn drop(&mut self) {
        self.leave();
    }
}

/// Shows how far a search is until it is over, and stops it when its time is up.
fn tell(
    watch: &Watch,
    (is_over, is_interrupted): (&AtomicBool, &AtomicBool),
    limit: Option<Duration>,
    mut line: Line,
) {
    let begun = Instant::now();
    let mut before = Come::default();
    let mut since = begun;
    while !is_over.load(Ordering::Relaxed) {
        let left = limit.map(|limit| limit.saturating_sub(begun.elapsed()));
        if left.is_some_and(|left| left.is_zero()) {
            watch.stop();
        }
        let come = watch.come();
        if (&come.search, come.doing, come.of) != (&before.search, before.doing, before.of)
            || come.done < before.done
        {
            since = Instant::now();
        }
        if begun.elapsed() >= SOON {
            let is_stopping = is_interrupted.load(Ordering::Relaxed);
            line.show(&told(&come, since.elapsed(), left, is_stopping));
        }
        before = come;
        thread::park_timeout(left.unwrap_or(OFTEN).clamp(Duration::from_millis(5), OFTEN));
    }
    line.take_away();
}

/// How far a search is, in a line.
fn told(come: &Come, since: Duration, left: Option<Duration>, is_stopping: bool) -> String {
    let name = if come.search.is_empty() {
        String::new()
    } else {
        format!("{}: ", come.search)
    };
    if is_stopping {
        return format!("{name}stopping with the best so far; interrupt again to end at once");
    }
    let counted = |what: &str| match come.of {
        Some(of) => format!("{} of {of} {what}", come.done),
        None => format!("{} {what}", come.done),
    };
    let what = match come.doing {
        Doing::Nothing => "beginning".to_owned(),
        Doing::Channels => counted("channels judged"),
        Doing::Last => counted("asked the last checks"),
        // Most are never looked at: it ends when the order stands.
        Doing::Pairs => format!("{} pairs judged, the best first", come.done),
        Doing::Beside => "order stands; looking at what else was asked".to_owned(),
        Doing::Plans => counted("partial plans looked into"),
    };
    let rest = match (come.doing, come.of) {
        (Doing::Channels, Some(of)) => time_left(come.done, of, since)
            .map_or_else(String::new, |left| format!(", {left} left for these")),
        (Doing::Pairs, Some(of)) => time_left(come.done, of, since)
            .map_or_else(String::new, |left| format!(", {left} left at most")),
        _ => String::new(),
    };
    let limit = left.map_or_else(String::new, |left| {
        format!("; stops in {}", seconds(left.as_secs_f64()))
    });
    format!("{name}{what}{rest}{limit}")
}

/// How long the rest takes if it goes on like this; none before anything is done.
fn time_left(done: usize, of: usize, since: Duration) -> Option<String> {
    let share = of.saturating_sub(done) as f64 / done as f64;
    (done > 0).then(|| seconds(since.as_secs_f64() * share))
}

/// A time as people say it, to the second or the minute.
fn seconds(seconds: f64) -> String {
    if seconds < 90.0 {
        format!("{:.0} s", seconds.ceil())
    } else if seconds < 5_400.0 {
        format!("{:.0} min", seconds / 60.0)
    } else {
        format!("{:.0} h", seconds / 3_600.0)
    }
}

/// A line of a terminal that is written over again and again. It is wiped with blanks, which every terminal knows.
struct Line {
    is_shown: bool,
    /// Columns that what stands there takes.
    width: usize,
}

impl Line {
    fn show(&mut self, text: &str) {
        if !self.is_shown {
            return;
        }
        let room = terminal_size::terminal_size_of(io::stderr())
            .map_or(USUAL_WIDTH, |(width, _)| usize::from(width.0))
            .saturating_sub(1);
        let mut text: String = text.chars().filter(|one| !one.is_control()).collect();
        while text.width() > room && text.pop().is_some() {}
        let wiped = self.width.min(room).saturating_sub(text.width());
        self.width = text.width();
        write(&format!("\r{text}{:wiped$}", ""));
    }

    fn take_away(&mut self) {
        if self.width > 0 {
            write(&format!("\r{:width$}\r", "", width = self.width));
            self.width = 0;
        }
    }
}

/// Writes to standard error; when even that is gone there is nobody to tell.
fn write(text: &str) {
    let mut stderr = io::stderr().lock();
    let _ = stderr
        .write_all(text.as_bytes())
        .and_then(|()| stderr.flush());
}

#[cfg(test)]
mod tests {
    use super::*;

    fn come(doing: Doing, done: usize, of: Option<usize>) -> Come {
        Come {
            search: "pair".to_owned(),
            doing,
            done,
            of,
        }
    }

    #[test]
    fn the_time_left_is_what_the_rest_takes_at_this_pace() {
        let ten = Duration::from_secs(10);
        assert_eq!(
            told(&come(Doing::Channels, 100, Some(400)), ten, None, false),
            "pair: 100 of 400 channels judged, 30 s left for these"
        );
        assert_eq!(
            told(&come(Doing::Pairs, 1_000, Some(128_000)), ten, None, false),
            "pair: 1000 pairs judged, the best first, 21 min left at most"
        );
        let limit = Some(Duration::from_millis(4_200));
        assert_eq!(
            told(&come(Doing::Channels, 0, Some(400)), ten, limit, false),
            "pair: 0 of 400 channels judged; stops in 5 s"
        );
    }

    #[test]
    fn who_interrupts_is_told_that_it_was_heard() {
        let told = told(&come(Doing::Pairs, 3, Some(9)), OFTEN, None, true);
        assert!(told.contains("stopping"), "{told}");
    }
}
