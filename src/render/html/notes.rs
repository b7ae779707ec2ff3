//! What the report rests on, and the usual cautions.

use maud::{Markup, html};

use crate::report::Report;

use super::wide;
use crate::render::text::clean;

/// Rules asked, what was assumed, what was not stated.
pub(super) fn section(report: &Report) -> Markup {
    html! {
        p {
            "Levels are arithmetic on limits and habits of the trade, not measurements; they can be off by 10 dB and more. Who else \
             is on the air, nobody here knows: listen on the channels before the event and on the day."
        }
        @if !report.packs.is_empty() {
            (wide("Rules asked", &html! {
                table {
                    caption { "Rules asked" }
                    thead { tr {
                        th scope="col" { "rules" } th scope="col" { "kind" } th scope="col" { "edition" }
                        th scope="col" { "read in print" }
                    } }
                    tbody { @for pack in &report.packs {
                        tr {
                            th scope="row" { (clean(&pack.title)) @if pack.is_neighbours { " (across the border)" } }
                            td { (clean(&pack.kind)) }
                            td { (clean(&pack.edition)) }
                            td { (pack.checked_percent) " % of the entries; the rest is recalled or habit" }
                        }
                    } }
                }
            }))
        }
        @if !report.overview.assumed.is_empty() {
            h3 { "Assumed of the net" }
            ul { @for one in &report.overview.assumed { li { (clean(one)) } } }
        }
        @if !report.defaults.is_empty() {
            details {
                summary { "Every value that was not stated (" (report.defaults.len()) ")" }
                (wide("Values that were not stated", &html! {
                    table {
                        caption { "Values that were not stated" }
                        thead { tr { th scope="col" { "what" } th scope="col" { "taken" } th scope="col" { "from" } } }
                        tbody { @for (what, value, from) in &report.defaults {
                            tr { td { (clean(what)) } td { (clean(value)) } td { (clean(from)) } }
                        } }
                    }
                }))
            }
        }
    }
}

/// The usual cautions.
pub(super) fn safety() -> Markup {
    html! {
        ul {
            li {
                strong { "Exposure: " }
                "keep people clear of antennas, most of all where a relay transmits nearly all the time. The distances shown are \
                 arithmetic, no assessment; the licence and local codes decide."
            }
            li {
                strong { "Distress frequencies: " }
                "never transmit there outside an emergency, and stay clear of what lands there. Whoever hears a distress call stops \
                 the net."
            }
            li {
                strong { "Masts: " }
                "no work near power lines, no work alone, guys and helmets; lightning ends it."
            }
            li { strong { "Vehicles: " } "nobody operates while driving; antennas and cables are tied down." }
            li { strong { "The licence text itself decides" } ", and so do the regulator and the coordinator." }
        }
    }
}
