//! JSON with one record a line, for tools that read line by line. The keys are those of the JSON document.

use serde::Serialize;

use super::{Format, Look, json};

pub(super) const FORMAT: Format = Format {
    name: "lines",
    title: "for scripts: JSON, one finding or row a line",
    check: |report, _: &Look| records(json::check(report).findings),
    compare: |comparison, _: &Look| records(json::compare(comparison).changes),
    rank: |report, _: &Look| {
        records(
            json::rank(report)
                .searches
                .into_iter()
                .flat_map(|search| search.rows),
        )
    },
    assign: |report, _: &Look| records(json::assign(report).channels),
    review: |overview, _: &Look| records(json::review_records(overview)),
    products: |report, _: &Look| records(json::products(report).landings),
    list: |listing, _: &Look| records(json::rows(listing)),
};

fn records(records: impl IntoIterator<Item = impl Serialize>) -> String {
    records
        .into_iter()
        .filter_map(|record| serde_json::to_string(&record).ok())
        .map(|line| line + "\n")
        .collect()
}
