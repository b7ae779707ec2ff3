//! `man`: the manual pages, one for every command.

use std::fs;
use std::io;
use std::path::Path;

use clap::{Args, Command, CommandFactory};
use clap_mangen::Man;

use crate::args::Arguments;
use crate::failure::{Failure, unknown};
use crate::file;
use crate::output::Outcome;
use crate::sink::Sink;

/// The day of the pages; the program's output does not depend on when it was built.
const DATE: &str = "2026-11-25";

/// What is wanted of `man`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// The command whose page is wanted, such as `check` or `rules show`; the program's own page when none is named
    command: Vec<String>,
}

/// Writes one page, or with a folder after `--output` all of them into it.
pub(crate) fn run(wanted: &Wanted, sink: &Sink) -> Result<Outcome, Failure> {
    let pages = pages().map_err(|error| Failure::Itself(error.to_string()))?;
    if let (Some(folder), true) = (&sink.output, wanted.command.is_empty()) {
        return into_folder(folder, &pages, sink.force);
    }
    let name = named(&wanted.command);
    pages
        .iter()
        .find(|page| page.name == name)
        .map(|page| Outcome::page(page.text.clone()))
        .ok_or_else(|| {
            let known = pages
                .iter()
                .map(|page| page.name.as_str())
                .filter_map(|name| name.strip_prefix("quietpair-"));
            unknown("page", &wanted.command.join("-"), known)
        })
}

/// The name of the page of a command.
fn named(words: &[String]) -> String {
    let mut name = "quietpair".to_owned();
    for word in words {
        name += "-";
        name += word;
    }
    name
}

fn into_folder(folder: &Path, pages: &[Page], is_forced: bool) -> Result<Outcome, Failure> {
    fs::create_dir_all(folder).map_err(|error| {
        Failure::input(format_args!(
            "{} cannot be used as a folder: {error}",
            folder.display()
        ))
        .hint("without the name of a command, --output names the folder that all pages go into")
    })?;
    for page in pages {
        let path = folder.join(&page.name).with_extension("1");
        file::write(&path, page.text.as_bytes(), is_forced)?;
    }
    Ok(Outcome::written().detail(format_args!(
        "{} pages written to {}",
        pages.len(),
        folder.display()
    )))
}

/// A manual page.
struct Page {
    /// What `man` calls it.
    name: String,
    /// It as it is typeset.
    text: String,
}

/// The page of the program, then those of its commands.
fn pages() -> io::Result<Vec<Page>> {
    // The command `help` has nothing to tell that these pages do not.
    let mut program = without_help(Arguments::command());
    program.build();
    let mut pages = Vec::new();
    collect(&program, &mut pages)?;
    Ok(pages)
}

fn without_help(command: Command) -> Command {
    command
        .disable_help_subcommand(true)
        .mut_subcommands(without_help)
}

fn collect(command: &Command, pages: &mut Vec<Page>) -> io::Result<()> {
    let name = command
        .get_display_name()
        .unwrap_or_else(|| command.get_name());
    let mut text = Vec::new();
    Man::new(command.clone())
        .title(name.to_uppercase())
        .date(DATE)
        .source(concat!("quietpair ", env!("CARGO_PKG_VERSION")))
        .manual("quietpair")
        .render(&mut text)?;
    let text = String::from_utf8(text).map_err(io::Error::other)?;
    pages.push(Page {
        name: name.to_owned(),
        // A space between two breaks is told by typesetters as a slip.
        text: ascii(&text.replace(".br\n\n.br\n", ".sp\n")),
    });
    command
        .get_subcommands()
        .try_for_each(|sub| collect(sub, pages))
}

/// A page in ASCII: every reader of pages knows other characters by their number, not every one by their bytes.
fn ascii(page: &str) -> String {
    let mut text = String::with_capacity(page.len());
    for character in page.chars() {
        if character.is_ascii() {
            text.push(character);
        } else {
            text += &format!("\\[u{:04X}]", u32::from(character));
        }
    }
    text
}
