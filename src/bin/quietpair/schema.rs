//! `schema`: the JSON Schema of a file that is read, or of an output.

use clap::Args;
use quietpair::radio::ProfileWords;
use quietpair::render;
use quietpair::{law, scenario};
use schemars::generate::SchemaSettings;
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde_json::Value;

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
    let schemas = all();
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

/// Every schema: first the files that are read, then the outputs by command.
fn all() -> Vec<(&'static str, Value)> {
    let mut schemas = vec![
        ("scenario", of_file("scenario", scenario::schema)),
        ("rule-pack", of_file("rule-pack", law::schema)),
        ("profile", of_file("profile", ProfileWords::json_schema)),
    ];
    schemas.extend(render::schemas());
    schemas
}

/// The schema of a file, with everything that it refers to.
fn of_file(title: &str, schema: fn(&mut SchemaGenerator) -> Schema) -> Value {
    let settings = SchemaSettings::draft2020_12();
    let dialect = settings.meta_schema.clone();
    let mut generator = settings.into_generator();
    let mut schema = schema(&mut generator);
    schema.insert("$schema".to_owned(), dialect.as_deref().into());
    schema.insert("title".to_owned(), title.into());
    let named = generator.take_definitions(true);
    if !named.is_empty() {
        schema.insert("$defs".to_owned(), named.into());
    }
    schema.to_value()
}
