//! `explain`: the chapter of a check.

use clap::Args;
use quietpair::checks::topics;
use quietpair::render::{Listing, chapter};
use quietpair::topic::Topic;

use crate::args::Page;
use crate::failure::{Failure, unknown};
use crate::output::Outcome;

/// What is wanted of `explain`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// The id of a check, as findings carry it; without one, all are listed
    check: Option<String>,
    #[command(flatten)]
    page: Page,
}

/// Finds the chapter and writes it.
pub(crate) fn run(wanted: &Wanted) -> Result<Outcome, Failure> {
    let look = wanted.page.look();
    let topics = topics();
    let Some(id) = &wanted.check else {
        return Ok(Outcome::page((wanted.page.format.list)(
            &list(&topics),
            &look,
        )));
    };
    topics
        .iter()
        .find(|topic| topic.id == id)
        .map(|topic| Outcome::page(chapter(topic, &look)))
        .ok_or_else(|| unknown("check", id, topics.iter().map(|topic| topic.id)))
}

/// Everything that can be explained.
fn list(topics: &[Topic]) -> Listing {
    Listing {
        command: "explain",
        title: "What can be explained".to_owned(),
        notes: Vec::new(),
        columns: vec!["check", "title"],
        rows: topics
            .iter()
            .map(|topic| vec![topic.id.to_owned(), topic.title.to_owned()])
            .collect(),
    }
}
