//! Pages for people: the verdict first, then subject by subject what was found, worst first.

use std::fmt::Display;

use super::{Format, Look, compare};

mod assign;
mod chapter;
mod check;
mod list;
mod paper;
mod products;
mod rank;
mod review;

pub use chapter::chapter;
pub(super) use paper::clean;
use paper::{Paper, Tone, wrap};

pub(super) const FORMAT: Format = Format {
    name: "text",
    title: "for people, wrapped to the width of the page",
    check: check::write,
    compare: |comparison, look: &Look| list::write(&compare::told(comparison), look),
    rank: rank::write,
    assign: assign::write,
    review: review::write,
    products: products::write,
    list: list::write,
};

/// `count` things: `1 conflict`, `3 conflicts`.
pub(super) fn counted(count: usize, one: &str) -> String {
    if count == 1 {
        format!("1 {one}")
    } else {
        format!("{} {one}s", grouped(count))
    }
}

/// A count with its thousands set apart by a space that no line is broken at.
pub(super) fn grouped(count: impl Display) -> String {
    let digits = count.to_string();
    let mut out = String::new();
    for (place, digit) in digits.chars().enumerate() {
        // Four digits are read at a glance.
        if place > 0 && digits.len() > 4 && (digits.len() - place).is_multiple_of(3) {
            out.push('\u{a0}');
        }
        out.push(digit);
    }
    out
}

/// Several things as a sentence names them: `A, B and C`.
pub(super) fn listed(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [head @ .., last] => format!("{} and {last}", head.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn large_counts_are_set_in_groups_of_three() {
        assert_eq!(grouped(9_999), "9999");
        assert_eq!(grouped(101_441), "101\u{a0}441");
        assert_eq!(grouped(1_234_567), "1\u{a0}234\u{a0}567");
    }
}
