//! What `products` found, for people.

use crate::physics::mixing::{Landing, arithmetic};
use crate::quantity::{Frequency, Offset};

use super::super::{Look, ProductsReport};
use super::{Paper, Tone, counted, listed};

/// Writes the page.
pub(super) fn write(report: &ProductsReport<'_>, look: &Look) -> String {
    let mut paper = Paper::new(look);
    paper.paragraph(0, Tone::Heading, &headline(report));
    for target in report.targets {
        let mut landings = report
            .landings
            .iter()
            .filter(|landing| landing.target == *target)
            .peekable();
        if landings.peek().is_none() {
            continue;
        }
        paper.blank();
        paper.paragraph(0, Tone::Plain, &format!("On {target}"));
        for landing in landings {
            let text = sum(report.frequencies, landing);
            let order = format!("order {}", landing.order);
            paper.labelled(2, 10, Tone::Label, &order, &text);
        }
    }
    paper.finish()
}

/// How many land where, in a sentence.
fn headline(report: &ProductsReport<'_>) -> String {
    let count = report.landings.len();
    let targets: Vec<String> = report.targets.iter().map(ToString::to_string).collect();
    let targets = if targets.len() > 6 {
        format!("the {} frequencies watched", targets.len())
    } else {
        listed(&targets)
    };
    let combinations = usize::try_from(report.combinations).unwrap_or(usize::MAX);
    let landed = match count {
        0 => format!("Nothing lands within {} of {targets}", report.within),
        1 => format!("1 product lands within {} of {targets}", report.within),
        _ => format!(
            "{} land within {} of {targets}",
            counted(count, "product"),
            report.within
        ),
    };
    format!(
        "{landed}, of {} up to order {}.",
        counted(combinations, "combination"),
        report.order
    )
}

/// `3 × 145.2250 = 435.6750 MHz, 0 Hz off`.
fn sum(frequencies: &[Frequency], landing: &Landing) -> String {
    let terms: Vec<(i64, Frequency)> = landing
        .coefficients
        .iter()
        .copied()
        .zip(frequencies.iter().copied())
        .collect();
    let sum = format!("{} = {}", arithmetic(&terms), landing.product);
    if landing.offset == Offset::default() {
        format!("{sum}, right on it")
    } else {
        format!("{sum}, {} off", landing.offset)
    }
}
