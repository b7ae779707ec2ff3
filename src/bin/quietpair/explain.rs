//! `explain`: the chapter of a check.

use clap::Args;
use quietpair::checks::topics;
use quietpair::render::{Paper, Tone, chapter};

use crate::failure::{Failure, unknown};
use crate::output::{self, Outcome};

/// Column that the titles begin in.
const TITLES: usize = 28;

/// What is wanted of `explain`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// The id of a check, as findings carry it; without one, all are listed
    check: Option<String>,
    /// Columns a line may fill [default: those of the terminal, 80 in a pipe]
    #[arg(long, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(40..=1000))]
    width: Option<u16>,
}

/// Finds the chapter and writes it.
pub(crate) fn run(wanted: &Wanted) -> Result<Outcome, Failure> {
    let look = output::look(wanted.width.map(usize::from));
    let topics = topics();
    let Some(id) = &wanted.check else {
        let mut paper = Paper::new(&look);
        for topic in &topics {
            paper.labelled(0, TITLES, Tone::Heading, topic.id, topic.title);
        }
        return Ok(Outcome::page(paper.finish()));
    };
    topics
        .iter()
        .find(|topic| topic.id == id)
        .map(|topic| Outcome::page(chapter(topic, &look)))
        .ok_or_else(|| unknown("check", id, topics.iter().map(|topic| topic.id)))
}
