//! The plan in the field order of the public form ICS 205.

use maud::{Markup, html};

use crate::quantity::Frequency;
use crate::report::Form;

use super::{name, wide};
use crate::render::moment;
use crate::render::text::clean;

/// The form.
pub(super) fn section(form: &Form) -> Markup {
    html! {
        p class="hint" { "In the field order of the public form ICS 205. Empty fields are to be filled in by hand." }
        dl class="boxes" {
            div { dt { "1. Incident name" } dd { (name(&form.incident)) } }
            div { dt { "2. Date and time prepared" } dd { (form.prepared_at.as_deref().map(clean).unwrap_or_default()) } }
            div {
                dt { "3. Operational period" }
                dd { @if let Some((from, to)) = &form.period { "from " (moment(from)) " to " (moment(to)) } }
            }
        }
        (wide("4. Basic radio channel use", &rows(form)))
        h3 { "5. Special instructions" }
        ul { @for one in &form.instructions { li { (clean(one)) } } }
        dl class="boxes" {
            div { dt { "6. Prepared by" } dd { (form.prepared_by.as_deref().map(clean).unwrap_or_default()) } }
            div { dt { "Signature" } dd {} }
        }
    }
}

const HEADS: [&str; 11] = [
    "Zone group",
    "Ch #",
    "Function",
    "Channel name",
    "Assignment",
    "RX freq, N or W",
    "RX tone",
    "TX freq, N or W",
    "TX tone",
    "Mode (A, D, M)",
    "Remarks",
];

fn rows(form: &Form) -> Markup {
    html! {
        table class="form" {
            caption { "4. Basic radio channel use" }
            thead { tr { @for head in HEADS { th scope="col" { (head) } } } }
            tbody { @for row in &form.rows {
                tr {
                    td { (row.zone) }
                    td { (row.number) }
                    td { (row.function) }
                    th scope="row" { (row.name) }
                    td { (clean(&row.assignment)) }
                    td class="number" { (at(row.receives, row.receive_width)) }
                    td { (row.receive_tone.map(|tone| tone.to_string()).unwrap_or_default()) }
                    td class="number" { (at(row.sends, row.send_width)) }
                    td { (row.send_tone.map(|tone| tone.to_string()).unwrap_or_default()) }
                    td { (row.mode) }
                    td { (row.remarks) }
                }
            } }
        }
    }
}

fn at(frequency: Option<Frequency>, width: Option<char>) -> String {
    let digits = frequency.map(Frequency::digits).unwrap_or_default();
    width.map_or(digits.clone(), |width| format!("{digits} {width}"))
}
