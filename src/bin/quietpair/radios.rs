//! `radios`: the radio profiles, with the source of every figure.

use clap::{Args, Subcommand};
use quietpair::document::Source;
use quietpair::radio::{Library, Profile, RadioError, read_profile};
use quietpair::render::Listing;

use crate::args::Page;
use crate::failure::Failure;
use crate::input;
use crate::output::Outcome;

/// What is wanted of `radios`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    #[command(subcommand)]
    deed: Option<Deed>,
    #[command(flatten)]
    page: Page,
}

/// What to do with radio profiles. A profile is named by its id or by the path of a file.
#[derive(Debug, Subcommand)]
enum Deed {
    /// List the built-in profiles
    List,
    /// Show every figure of a profile with its source
    Show {
        /// Id or file of the profile
        radio: String,
    },
}

/// Does it and writes.
pub(crate) fn run(wanted: &Wanted) -> Result<Outcome, Failure> {
    let listing = match wanted.deed.as_ref().unwrap_or(&Deed::List) {
        Deed::List => list()?,
        Deed::Show { radio } => show(&find(radio)?),
    };
    Ok(Outcome::page((wanted.page.format.list)(
        &listing,
        &wanted.page.look(),
    )))
}

/// A built-in profile, or one read from a file.
fn find(name: &str) -> Result<Profile, Failure> {
    let library = Library::new();
    let ids = library.ids();
    if ids.contains(&name) {
        return library.profile(name).map_err(wrong);
    }
    let bytes = input::bytes(name).map_err(|failure| {
        failure.hint(format_args!(
            "a radio is named by the path of its file, or is one of {}",
            ids.join(", ")
        ))
    })?;
    let source = Source::new(name, &bytes).map_err(Failure::input)?;
    let read = read_profile(&source).into_result();
    read.map_err(|faults| Failure::faults(&faults, || faults.coloured()))
}

fn wrong(error: RadioError) -> Failure {
    Failure::input(error)
}

fn list() -> Result<Listing, Failure> {
    let library = Library::new();
    let mut rows = Vec::new();
    for id in library.ids() {
        let profile = library.profile(id).map_err(wrong)?;
        let bands: Vec<&str> = profile
            .bands
            .iter()
            .map(|band| band.name.as_str())
            .collect();
        rows.push(vec![id.to_owned(), profile.title.clone(), bands.join(", ")]);
    }
    Ok(Listing {
        command: "radios",
        title: "Built-in radio profiles".to_owned(),
        notes: vec![
            "None is a make or a model: each is what its kind of radio can be relied on for. A figure measured on your \
             own radio is better."
                .to_owned(),
        ],
        columns: vec!["radio", "title", "bands"],
        rows,
    })
}

fn show(profile: &Profile) -> Listing {
    let rows = profile
        .listing()
        .into_iter()
        .map(|figure| vec![figure.key, figure.value, figure.origin.to_string()]);
    Listing {
        command: "radios",
        title: format!("{}: {}", profile.id, profile.title),
        notes: Vec::new(),
        columns: vec!["figure", "value", "source"],
        rows: rows.collect(),
    }
}
