//! `man`: the manual page, with a section for every command.

use std::io;

use clap::CommandFactory;
use clap_mangen::Man;

use crate::args::Arguments;
use crate::failure::Failure;
use crate::output::Outcome;

/// Writes the manual page.
pub(crate) fn run() -> Result<Outcome, Failure> {
    page()
        .map_err(|error| error.to_string())
        .and_then(|page| String::from_utf8(page).map_err(|error| error.to_string()))
        .map(Outcome::page)
        .map_err(Failure::Itself)
}

fn page() -> io::Result<Vec<u8>> {
    let mut command = Arguments::command();
    command.build();
    let mut page = Vec::new();
    Man::new(command.clone()).render(&mut page)?;
    for sub in command
        .get_subcommands()
        .filter(|sub| sub.get_name() != "help")
    {
        let heading = format!(".SH \"QUIETPAIR {}\"\n", sub.get_name().to_uppercase());
        page.extend(heading.bytes());
        let man = Man::new(sub.clone().disable_help_flag(true));
        man.render_description_section(&mut page)?;
        man.render_options_section(&mut page)?;
    }
    Ok(page)
}
