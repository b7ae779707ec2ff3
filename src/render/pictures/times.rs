//! The event with its phases, and one over from the key to silence.

use std::time::Duration;

use crate::net::told;
use crate::report::{Bars, Times};

use super::super::draw::{Anchor, Drawing, Scale, Shape, fitted};
use super::super::moment;
use super::{TYPE, WIDTH};

const LEFT: f64 = 200.0;
const ROW: f64 = 24.0;

/// The event with its phases; none where no time is stated.
pub(super) fn day(times: &Times) -> Option<Drawing> {
    let bars = times.day.as_ref()?;
    let [from, to] = &bars.ends;
    let (from, to) = (moment(from), moment(to));
    let says = format!("From {from} to {to}: the phases, and when each station is on the air.");
    Some(drawn("day", "The event", says, bars, &[]))
}

/// One over along the slowest way; none where nobody reaches anybody.
pub(super) fn over(times: &Times) -> Option<Drawing> {
    let over = times.over.as_ref()?;
    let says = format!(
        "{}: the far end is open {} after the key is pressed; the key is let go after {}, and all is silent after {}.",
        over.way,
        told(over.wait),
        told(over.held),
        told(over.silent)
    );
    let marks = [(over.wait, "speak from here"), (over.held, "key let go")];
    Some(drawn(
        "over",
        "One over, along the slowest way",
        says,
        &over.bars,
        &marks,
    ))
}

fn drawn(id: &str, title: &str, says: String, bars: &Bars, marks: &[(Duration, &str)]) -> Drawing {
    let whole = bars.whole.as_secs_f64().max(1e-3);
    let across = Scale::new([0.0, whole], [LEFT, WIDTH - 12.0]);
    let top = if marks.is_empty() { 6.0 } else { 24.0 };
    let bottom = top + bars.rows.len() as f64 * ROW;
    let mut shapes = Vec::new();
    // A day is counted in hours, an over in seconds.
    let (unit, name) = if whole >= 7_200.0 {
        (3_600.0, "h")
    } else if whole >= 120.0 {
        (60.0, "min")
    } else {
        (1.0, "s")
    };
    for tick in Scale::new([0.0, whole / unit], [0.0, 1.0]).ticks(8.0) {
        let x = across.at(tick * unit);
        shapes.push(Shape::line([x, top], [x, bottom]).class("grid"));
        shapes.push(
            Shape::text(x, bottom + 15.0, &format!("{tick} {name}"))
                .anchored(Anchor::Middle)
                .class("small"),
        );
    }
    for (row, bar) in bars.rows.iter().enumerate() {
        let y = top + row as f64 * ROW;
        let class = match bar.what {
            "sends" => "bar-sends",
            "hears" => "bar-hears",
            "phase" => "bar-phase",
            _ => "bar-on",
        };
        let label = format!("{} {}", bar.name, bar.what);
        shapes.push(Shape::text(0.0, y + 16.0, &fitted(&label, TYPE, LEFT - 10.0)).tip(&label));
        shapes.extend(bar.spans.iter().map(|(from, to)| {
            let (a, b) = (across.at(from.as_secs_f64()), across.at(to.as_secs_f64()));
            Shape::rounded([a, y + 4.0], [(b - a).max(1.5), ROW - 9.0])
                .class(class)
                .tip(&format!("{label} from {} to {}", told(*from), told(*to)))
        }));
    }
    for (at, text) in marks {
        let x = across.at(at.as_secs_f64());
        shapes.push(Shape::line([x, top - 6.0], [x, bottom]).class("zero"));
        let anchor = if x > WIDTH - 90.0 {
            Anchor::End
        } else {
            Anchor::Middle
        };
        shapes.push(
            Shape::text(x, top - 10.0, text)
                .anchored(anchor)
                .class("small strong"),
        );
    }
    let mut drawing = Drawing::new(id, title.to_owned(), says, WIDTH, bottom + 22.0);
    drawing.shapes = shapes;
    drawing
}
