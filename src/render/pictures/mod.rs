//! The pictures of a report. They only draw: what they show is in the report.

use crate::report::Report;

use super::draw::Drawing;

mod graph;
mod map;
mod margins;
mod pairs;
mod spectrum;
mod times;

pub(super) use margins::{budget, margins};

/// Width of every picture.
const WIDTH: f64 = 680.0;

/// Size of the type.
const TYPE: f64 = 13.0;

/// The pictures that show the whole plan, in the order of the page.
pub(super) fn all(report: &Report) -> Vec<Drawing> {
    let mut found: Vec<Drawing> = report
        .pairs
        .iter()
        .zip(1..)
        .map(|(one, number)| pairs::pairs(one, number))
        .collect();
    found.extend(report.spectra.iter().map(spectrum::spectrum));
    found.extend(margins(&report.findings));
    found.extend(report.map.as_ref().map(map::map));
    found.extend(graph::graph(&report.graph));
    found.extend(times::day(&report.times));
    found.extend(times::over(&report.times));
    found
}
