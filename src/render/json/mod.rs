//! JSON for scripts. The keys are a contract: they change only with the number after the format's name.

use std::collections::BTreeMap;

use schemars::{JsonSchema, SchemaGenerator, generate::SchemaSettings};
use serde::Serialize;
use serde_json::{Map, Value};

use crate::compare::Comparison;
use crate::overview::Overview;

use super::{AssignReport, CheckReport, Format, Listing, Look, ProductsReport, RankReport};

mod assign;
mod compare;
mod review;
mod shapes;
mod views;

pub(super) use assign::Assign;
use compare::Compared;
use review::Review;
pub(super) use shapes::{Check, Products, Rank};

pub(super) const FORMAT: Format = Format {
    name: "json",
    title: "for scripts: one document, described by `schema`",
    check: |report, _: &Look| pretty(&check(report)),
    compare: |comparison, _: &Look| pretty(&compare(comparison)),
    rank: |report, _: &Look| pretty(&rank(report)),
    assign: |report, _: &Look| pretty(&assign(report)),
    review: |overview, _: &Look| pretty(&Review::of(overview)),
    products: |report, _: &Look| pretty(&products(report)),
    list: |listing, _: &Look| pretty(&List::of(listing)),
};

/// A list of what the program knows, as JSON.
#[derive(Debug, Serialize, JsonSchema)]
struct List {
    /// The format's name with its number: `quietpair.rules/1`.
    format: String,
    /// What is listed, in a line.
    title: String,
    /// What a reader must know before relying on it.
    notes: Vec<String>,
    /// The rows; the keys of a row are the columns of the list, its values texts for people.
    rows: Vec<BTreeMap<String, String>>,
}

impl List {
    fn of(listing: &Listing) -> Self {
        Self {
            format: format!("quietpair.{}/1", listing.command),
            title: listing.title.clone(),
            notes: listing.notes.clone(),
            rows: listing
                .rows
                .iter()
                .map(|row| {
                    let cells = listing.columns.iter().zip(row);
                    cells
                        .map(|(key, text)| (key.replace(' ', "_"), text.clone()))
                        .collect()
                })
                .collect(),
        }
    }
}

/// The shape of what `check` hands on.
pub(super) fn check<'a>(report: &CheckReport<'a>) -> Check<'a> {
    Check::of(report)
}

/// The shape of what a comparison hands on.
pub(super) fn compare(comparison: &Comparison) -> Compared<'_> {
    Compared::of(comparison)
}

/// The shape of what `rank` hands on.
pub(super) fn rank<'a>(report: &RankReport<'a>) -> Rank<'a> {
    Rank::of(report)
}

/// The shape of what `assign` hands on.
pub(super) fn assign<'a>(report: &AssignReport<'a>) -> Assign<'a> {
    Assign::of(report)
}

/// The shape of what `products` hands on.
pub(super) fn products<'a>(report: &ProductsReport<'a>) -> Products<'a> {
    Products::of(report)
}

/// The parts of a review, a record a row.
pub(super) fn review_records(overview: &Overview) -> Vec<Value> {
    Review::of(overview).records()
}

/// The rows of a list, each with its keys.
pub(super) fn rows(listing: &Listing) -> impl Iterator<Item = Map<String, Value>> {
    listing.rows.iter().map(|row| {
        let cells = listing.columns.iter().zip(row);
        cells
            .map(|(key, text)| (key.replace(' ', "_"), Value::from(text.as_str())))
            .collect()
    })
}

/// The document, indented, with a line end.
fn pretty(document: &impl Serialize) -> String {
    // Every key is text and every number finite, so that writing cannot fail.
    let mut text = serde_json::to_string_pretty(document).unwrap_or_default();
    text.push('\n');
    text
}

/// The JSON Schema of every output, by the command whose output it describes.
pub fn schemas() -> Vec<(&'static str, Value)> {
    vec![
        ("check", schema::<Check<'static>>()),
        ("rank", schema::<Rank<'static>>()),
        ("assign", schema::<Assign<'static>>()),
        ("review", schema::<Review<'static>>()),
        ("products", schema::<Products<'static>>()),
        ("compare", schema::<Compared<'static>>()),
        ("part", schema::<List>()),
        ("explain", schema::<List>()),
        ("rules", schema::<List>()),
        ("radios", schema::<List>()),
    ]
}

fn schema<T: JsonSchema>() -> Value {
    SchemaGenerator::new(SchemaSettings::draft2020_12().for_serialize())
        .into_root_schema_for::<T>()
        .to_value()
}
