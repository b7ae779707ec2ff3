//! `schema`: the JSON Schema of an output.

use clap::Args;
use quietpair::render::schemas;

use crate::failure::{Failure, unknown};
use crate::output::Outcome;

/// What is wanted of `schema`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// Which one; without a name, all are listed
    name: Option<String>,
}

/// Finds the schema and writes it.
pub(crate) fn run(wanted: &Wanted) -> Result<Outcome, Failure> {
    let schemas = schemas();
    let Some(name) = &wanted.name else {
        let names = schemas.iter().flat_map(|(name, _)| [*name, "\n"]);
        return Ok(Outcome::page(names.collect()));
    };
    schemas
        .iter()
        .find(|(known, _)| known == name)
        .map(|(_, schema)| Outcome::page(format!("{schema:#}\n")))
        .ok_or_else(|| unknown("schema", name, schemas.iter().map(|(known, _)| *known)))
}
