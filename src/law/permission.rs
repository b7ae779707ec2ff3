//! Permissions held: what lifts a named rule, and only that.

use jiff::civil::Date;

use crate::provenance::Authority;
use crate::quantity::Span;

/// A permission held: a notice of variation, a coordinator's letter.
#[derive(Debug, Clone, PartialEq)]
pub struct Permission {
    /// What it is called.
    pub name: String,
    /// The rules it lifts, as `pack/rule`.
    pub lifts: Vec<String>,
    /// Where it holds; empty for wherever the rule does.
    pub spans: Vec<Span>,
    /// First day it holds.
    pub from: Option<Date>,
    /// Last day it holds.
    pub until: Option<Date>,
    /// The paper itself.
    pub basis: Authority,
}

impl Permission {
    /// Whether it lifts this rule for an emission that occupies `occupied` on these days.
    ///
    /// Without known days a permission with an end lifts nothing, because nobody can say that it still holds.
    pub(super) fn lifts(&self, rule: &str, occupied: Span, days: Option<(Date, Date)>) -> bool {
        let in_time = match (self.from, self.until, days) {
            (None, None, _) => true,
            (from, until, Some((first, last))) => {
                from.is_none_or(|from| from <= first) && until.is_none_or(|until| last <= until)
            }
            _ => false,
        };
        in_time
            && self.lifts.iter().any(|name| name == rule)
            && (self.spans.is_empty() || self.spans.iter().any(|span| span.holds(occupied)))
    }
}
