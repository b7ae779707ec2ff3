//! One band: who sends, what lands on whom, who listens, and what the plan of the band and the law say.

use crate::finding::Severity;
use crate::quantity::{Frequency, Span};
use crate::report::{Keep, Segment, Spectrum};

use super::super::draw::{Anchor, Drawing, Lanes, Mark, Scale, Shape, fitted, width_of};
use super::super::text::counted;
use super::{TYPE, WIDTH};

const LEFT: f64 = 62.0;
const RIGHT: f64 = 14.0;
const LANE: f64 = 17.0;
/// Height of the part that shows what lands.
const DEEP: f64 = 150.0;

/// The mark of a severity.
pub(super) const fn mark_of(severity: Severity) -> Mark {
    match severity {
        Severity::Conflict => Mark::Conflict,
        Severity::Caution => Mark::Caution,
        Severity::Note => Mark::Note,
    }
}

/// Draws a band.
pub(super) fn spectrum(shown: &Spectrum) -> Drawing {
    let across = Scale::new(
        [shown.view.low.as_mhz(), shown.view.high.as_mhz()],
        [LEFT, WIDTH - RIGHT],
    );
    let mut shapes = Vec::new();
    let mut y = carriers(shown, across, &mut shapes);
    y = landings(shown, across, y + 22.0, &mut shapes);
    y = hearings(shown, across, y + 14.0, &mut shapes);
    y = segments(shown, across, y + 6.0, &mut shapes);
    y = axis(across, y + 4.0, &mut shapes);
    let mut drawing = Drawing::new(
        &format!("spectrum-{}", shown.band),
        format!("The {} band", shown.band),
        told(shown),
        WIDTH,
        y,
    );
    drawing.shapes = shapes;
    drawing
}

fn told(shown: &Spectrum) -> String {
    let hurt = shown
        .landings
        .iter()
        .filter(|one| one.severity == Severity::Conflict)
        .count();
    format!(
        "{}: {} with a carrier, {} with a listener, {}, {hurt} of them in conflict. The tables and the findings of the report \
         hold the same in words.",
        shown.view,
        counted(shown.carriers.len(), "channel"),
        shown.hearings.len(),
        counted(shown.landings.len(), "landing"),
    )
}

/// The first name, and how many more there are.
fn short(names: &[String]) -> String {
    let first = names.first().map_or("", String::as_str);
    let first = first.split_once(',').map_or(first, |(station, _)| station);
    if names.len() > 1 {
        format!("{first} +{}", names.len() - 1)
    } else {
        first.to_owned()
    }
}

fn all_of(names: &[String]) -> String {
    names.join("; ")
}

fn heading(shapes: &mut Vec<Shape>, y: f64, text: &str) {
    shapes.push(Shape::text(0.0, y, text).class("small strong"));
}

fn carriers(shown: &Spectrum, across: Scale, shapes: &mut Vec<Shape>) -> f64 {
    let mut lanes = Lanes::default();
    let labels: Vec<(f64, f64, usize, String)> = shown
        .carriers
        .iter()
        .map(|carrier| {
            let x = across.within(carrier.at.as_mhz());
            let text = fitted(
                &format!("{} {}", short(&carrier.names), carrier.at.digits()),
                TYPE,
                250.0,
            );
            let width = width_of(&text, TYPE);
            let start = if x + width + 8.0 > WIDTH {
                x - width - 6.0
            } else {
                x + 5.0
            };
            let lane = lanes.place(start.min(x) - 4.0, (start + width).max(x) + 6.0);
            (x, start, lane, text)
        })
        .collect();
    let base = lanes.count() as f64 * LANE + 34.0;
    heading(shapes, 12.0, "Who sends");
    for (carrier, (x, start, lane, text)) in shown.carriers.iter().zip(labels) {
        let top = 22.0 + lane as f64 * LANE;
        let class = if carrier.is_ours { "ours" } else { "theirs" };
        shapes.push(
            Shape::group(vec![
                Shape::line([x, top + 4.0], [x, base]).class(&format!("stem {class}")),
                Shape::mark(
                    if carrier.is_ours {
                        Mark::Ours
                    } else {
                        Mark::Theirs
                    },
                    [x, top + 4.0],
                    9.0,
                ),
                Shape::text(start + 3.0, top + 8.0, &text).class(class),
            ])
            .class("halo")
            .tip(&format!(
                "{} is sent by {}",
                carrier.at,
                all_of(&carrier.names)
            )),
        );
    }
    shapes.push(Shape::line([LEFT, base], [WIDTH - RIGHT, base]).class("rule"));
    base
}

fn landings(shown: &Spectrum, across: Scale, top: f64, shapes: &mut Vec<Shape>) -> f64 {
    heading(
        shapes,
        top - 6.0,
        "What lands on whom: margin in dB, below the thick line it hurts",
    );
    let reserve = shown.reserve.as_db();
    let least = shown
        .landings
        .iter()
        .map(|one| one.margin.as_db())
        .fold(-10.0, f64::min)
        .max(-90.0);
    let most = shown
        .landings
        .iter()
        .map(|one| one.margin.as_db())
        .fold(reserve * 2.0, f64::max)
        .min(60.0);
    let down = Scale::new([most, least], [top + 8.0, top + DEEP - 8.0]);
    let zero = down.at(0.0);
    let width = WIDTH - RIGHT - LEFT;
    shapes.push(Shape::boxed([LEFT, zero], [width, top + DEEP - zero]).class("hurts"));
    shapes.push(
        Shape::boxed([LEFT, down.at(reserve)], [width, zero - down.at(reserve)]).class("reserve"),
    );
    for tick in down.ticks(5.0) {
        let y = down.at(tick);
        shapes.push(Shape::line([LEFT, y], [WIDTH - RIGHT, y]).class("grid"));
        let text = format!("{tick:.0}").replace('-', "−");
        shapes.push(
            Shape::text(LEFT - 6.0, y + 4.0, &text)
                .anchored(Anchor::End)
                .class("small"),
        );
    }
    shapes.push(Shape::line([LEFT, zero], [WIDTH - RIGHT, zero]).class("zero"));
    // The worst last, so that it lies on top.
    for landing in shown.landings.iter().rev() {
        let (x, y) = (
            across.within(landing.at.as_mhz()),
            down.within(landing.margin.as_db()),
        );
        let text = format!(
            "{} on {}, margin {}: {}",
            word(landing.severity),
            landing.at,
            landing.margin,
            landing.says
        );
        shapes.push(
            Shape::group(vec![
                Shape::line([x, zero], [x, y]).class("stem landing"),
                Shape::mark(mark_of(landing.severity), [x, y], 11.0),
            ])
            .tip(&text)
            .leads_to(&format!("#finding-{}", landing.finding + 1)),
        );
    }
    top + DEEP
}

const fn word(severity: Severity) -> &'static str {
    match severity {
        Severity::Conflict => "Conflict",
        Severity::Caution => "Caution",
        Severity::Note => "Note",
    }
}

fn hearings(shown: &Spectrum, across: Scale, top: f64, shapes: &mut Vec<Shape>) -> f64 {
    heading(shapes, top + 4.0, "Who listens");
    let rows = [
        ("ours", "hear-ours"),
        ("others", "hear-theirs"),
        ("safety", "hear-safety"),
    ];
    let mut y = top + 10.0;
    for (row, (name, class)) in rows.into_iter().enumerate() {
        let here = shown.hearings.iter().filter(|one| {
            let its_row = if one.is_ours {
                0
            } else if one.is_safety {
                2
            } else {
                1
            };
            its_row == row
        });
        let found: Vec<_> = here.collect();
        if found.is_empty() {
            continue;
        }
        shapes.push(
            Shape::text(LEFT - 6.0, y + 11.0, name)
                .anchored(Anchor::End)
                .class("small"),
        );
        for hearing in found {
            let (from, to) = (
                across.within(hearing.span.low.as_mhz()),
                across.within(hearing.span.high.as_mhz()),
            );
            let width = (to - from).max(4.0);
            let where_to = place(hearing.span);
            shapes.push(
                Shape::rounded(
                    [from - if to - from < 4.0 { 2.0 } else { 0.0 }, y],
                    [width, 13.0],
                )
                .class(class)
                .tip(&format!(
                    "{where_to} is heard by {}",
                    all_of(&hearing.names)
                )),
            );
        }
        y += LANE;
    }
    y
}

fn place(span: Span) -> String {
    if span.low == span.high {
        span.low.to_string()
    } else {
        span.to_string()
    }
}

fn segments(shown: &Spectrum, across: Scale, top: f64, shapes: &mut Vec<Shape>) -> f64 {
    if shown.segments.is_empty() {
        return top;
    }
    let mut y = top + 14.0;
    for (keeps, title) in [
        (
            &[Keep::Meant, Keep::Kept][..],
            "Plan of the band: custom, not law",
        ),
        (
            &[Keep::Excluded][..],
            "Rules: not allowed, or not everything",
        ),
    ] {
        let mut wanted: Vec<&Segment> = shown
            .segments
            .iter()
            .filter(|one| keeps.contains(&one.keep))
            .collect();
        if wanted.is_empty() {
            continue;
        }
        wanted.sort_by_key(|one| (one.span.low, one.span.high, one.title.clone()));
        heading(shapes, y, title);
        let start = y + 6.0;
        let mut lanes = Lanes::default();
        for segment in wanted {
            let at = |frequency: Frequency| across.within(frequency.as_mhz());
            let (from, to) = (at(segment.span.low), at(segment.span.high));
            let to = to.max(from + 3.0);
            let lane = lanes.place(from, to);
            let place_y = start + lane as f64 * LANE;
            let class = match segment.keep {
                Keep::Meant => "segment",
                Keep::Kept => "segment kept",
                Keep::Excluded => "segment excluded",
            };
            let text = fitted(&segment.title, 11.0, to - from - 8.0);
            let mut drawn =
                vec![Shape::boxed([from, place_y], [to - from - 1.0, LANE - 3.0]).class(class)];
            if text.chars().count() > 3 {
                drawn.push(Shape::text(from + 4.0, place_y + 11.0, &text).class("tiny"));
            }
            shapes.push(Shape::group(drawn).tip(&format!(
                "{}: {} ({})",
                segment.span, segment.title, segment.pack
            )));
        }
        y = start + lanes.count() as f64 * LANE + 16.0;
    }
    y - 12.0
}

fn axis(across: Scale, top: f64, shapes: &mut Vec<Shape>) -> f64 {
    shapes.push(Shape::line([LEFT, top], [WIDTH - RIGHT, top]).class("rule"));
    for tick in across.ticks(6.0) {
        let x = across.at(tick);
        shapes.push(Shape::line([x, top], [x, top + 5.0]).class("rule"));
        let text = format!("{tick:.3}");
        let anchor = if x > WIDTH - 30.0 {
            Anchor::End
        } else if x < LEFT + 24.0 {
            Anchor::Start
        } else {
            Anchor::Middle
        };
        shapes.push(
            Shape::text(x, top + 18.0, &text)
                .anchored(anchor)
                .class("small"),
        );
    }
    shapes.push(
        Shape::text(LEFT - 6.0, top + 18.0, "MHz")
            .anchored(Anchor::End)
            .class("small"),
    );
    top + 26.0
}
