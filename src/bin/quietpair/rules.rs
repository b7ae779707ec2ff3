//! `rules`: the rule packs, with who says what.

use std::sync::Arc;

use clap::{Args, Subcommand};
use quietpair::law::{self, Difference, Entry, Law, Pack, Role};
use quietpair::quantity::Frequency;
use quietpair::render::Listing;

use crate::args::Page;
use crate::failure::Failure;
use crate::input;
use crate::output::Outcome;

/// What is wanted of `rules`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    #[command(subcommand)]
    deed: Option<Deed>,
    #[command(flatten)]
    page: Page,
}

/// What to do with rule packs. A pack is named by its id or by the path of a file.
#[derive(Debug, Subcommand)]
enum Deed {
    /// List the built-in packs
    List,
    /// Show every entry of a pack with its source, or what applies at a frequency
    Show {
        /// Id or file of the pack
        pack: String,
        /// Show what the pack and what is stacked with it say at this frequency
        #[arg(long, value_name = "FREQUENCY")]
        at: Option<Frequency>,
        /// The licence class held; the least one when left out
        #[arg(long, value_name = "CLASS", requires = "at")]
        licence: Option<String>,
    },
    /// Show what differs between two packs; the exit code is 1 when something does
    Diff {
        /// Id or file of the first pack
        before: String,
        /// Id or file of the second pack
        after: String,
    },
    /// Read a pack file and tell its faults, or how many of its entries were checked
    Verify {
        /// Id or file of the pack
        pack: String,
    },
}

/// Does it and writes.
pub(crate) fn run(wanted: &Wanted) -> Result<Outcome, Failure> {
    let mut was_found = false;
    let listing = match wanted.deed.as_ref().unwrap_or(&Deed::List) {
        Deed::List => list(),
        Deed::Show { pack, at: None, .. } => show(&*find(pack)?),
        Deed::Show {
            pack,
            at: Some(at),
            licence,
        } => show_at(&find(pack)?, *at, licence.as_deref())?,
        Deed::Diff { before, after } => {
            let listing = diff(&*find(before)?, &*find(after)?);
            was_found = !listing.rows.is_empty();
            listing
        }
        Deed::Verify { pack } => verified(&*find(pack)?),
    };
    let page = (wanted.page.format.list)(&listing, &wanted.page.look());
    Ok(Outcome::page(page).found(was_found))
}

/// A built-in pack, or one read from a file.
fn find(name: &str) -> Result<Arc<Pack>, Failure> {
    let built_in = law::built_in().iter().find(|pack| &*pack.id == name);
    if let Some(pack) = built_in {
        return Ok(Arc::clone(pack));
    }
    let bytes = input::bytes(name).map_err(|failure| {
        let known: Vec<&str> = law::built_in().iter().map(|pack| &*pack.id).collect();
        failure.hint(format_args!(
            "a pack is named by the path of its file, or is one of {}",
            known.join(", ")
        ))
    })?;
    law::read(name, &bytes)
        .map(Arc::new)
        .map_err(|error| Failure::File(error.to_string()))
}

const PACKS: [&str; 7] = [
    "pack",
    "title",
    "kind",
    "edition",
    "gone_through",
    "checked",
    "beware",
];

/// How much of a pack was read, and what of the rest; the share is rounded down, so a whole one is whole.
fn checked(pack: &Pack) -> String {
    let (share, entries) = (pack.checked_share(), pack.entries().len());
    let rest = if share == 100 {
        ""
    } else {
        ", the others recalled or habit"
    };
    format!("{share} % of {entries} entries read in the published text or a reprint{rest}")
}

/// A pack in a row.
fn pack_row(pack: &Pack) -> Vec<String> {
    vec![
        pack.id.to_string(),
        pack.title.clone(),
        pack.kind.to_string(),
        pack.edition.clone(),
        pack.checked.to_string(),
        checked(pack),
        pack.note.clone().unwrap_or_default(),
    ]
}

fn list() -> Listing {
    Listing {
        command: "rules",
        title: "Built-in rule packs".to_owned(),
        notes: vec![disclaimer()],
        columns: PACKS.to_vec(),
        rows: law::built_in().iter().map(|pack| pack_row(pack)).collect(),
    }
}

fn disclaimer() -> String {
    "The licence text itself decides; a pack is a reading of it on the day it was gone through."
        .to_owned()
}

fn show(pack: &Pack) -> Listing {
    let mut notes = vec![format!(
        "{}, {}, edition {}, gone through on {}.",
        pack.kind, pack.jurisdiction, pack.edition, pack.checked
    )];
    notes.extend(pack.note.clone());
    notes.push(disclaimer());
    Listing {
        command: "rules",
        title: format!("{}: {}", pack.id, pack.title),
        notes,
        columns: vec!["entry", "says", "where", "licences", "source"],
        rows: pack.entries().iter().map(entry_row).collect(),
    }
}

/// What applies at a frequency for a licence.
fn show_at(
    pack: &Arc<Pack>,
    frequency: Frequency,
    licence: Option<&str>,
) -> Result<Listing, Failure> {
    let law = Law::stack([(Arc::clone(pack), Role::Binding)], licence).map_err(Failure::input)?;
    let held = law.licence_in(pack).map_or_else(String::new, |licence| {
        format!(" with the licence {}", licence.title)
    });
    let mut notes = Vec::new();
    if !pack.bands.is_empty() && !pack.bands.iter().any(|band| band.span.contains(frequency)) {
        notes.push(format!("{} opens no band at {frequency}.", pack.id));
    }
    notes.extend(pack.note.clone());
    notes.push(disclaimer());
    Ok(Listing {
        command: "rules",
        title: format!("{}: what applies at {frequency}{held}", pack.id),
        notes,
        columns: vec!["entry", "says", "where", "licences", "source"],
        rows: law
            .applies_at(frequency)
            .into_iter()
            .map(|(pack, entry)| {
                let mut row = entry_row(&entry);
                if let Some(name) = row.first_mut() {
                    name.insert_str(0, &format!("{}/", pack.id));
                }
                row
            })
            .collect(),
    })
}

/// An entry in a row.
fn entry_row(entry: &Entry) -> Vec<String> {
    let spans: Vec<String> = entry.spans.iter().map(ToString::to_string).collect();
    vec![
        entry.id.clone(),
        entry.says.clone(),
        spans.join(", "),
        entry.licences.join(", "),
        entry.basis.to_string(),
    ]
}

fn diff(before: &Pack, after: &Pack) -> Listing {
    let differences = law::compare(before, after);
    let title = if differences.is_empty() {
        format!("{} and {} say the same", before.id, after.id)
    } else {
        format!("From {} to {}", before.id, after.id)
    };
    Listing {
        command: "rules",
        title,
        notes: Vec::new(),
        columns: vec!["entry", "change", "before", "after"],
        rows: differences.iter().map(difference_row).collect(),
    }
}

/// A difference in a row.
fn difference_row(difference: &Difference) -> Vec<String> {
    let (name, change, before, after) = match difference {
        Difference::Added(after) => (&after.id, "added", None, Some(after)),
        Difference::Removed(before) => (&before.id, "removed", Some(before), None),
        Difference::Changed { before, after } => (&after.id, "changed", Some(before), Some(after)),
    };
    let told = |entry: Option<&Entry>| {
        let cells = entry.map(entry_row).unwrap_or_default();
        let mut cells: Vec<String> = cells.into_iter().skip(1).collect();
        cells.retain(|cell| !cell.is_empty());
        cells.join("; ")
    };
    vec![name.clone(), change.to_owned(), told(before), told(after)]
}

fn verified(pack: &Pack) -> Listing {
    Listing {
        command: "rules",
        title: format!("{} can be used", pack.id),
        notes: Vec::new(),
        columns: PACKS.to_vec(),
        rows: vec![pack_row(pack)],
    }
}
