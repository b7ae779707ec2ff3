//! Every pair of a search: where the quiet is.

use crate::quantity::{Decibels, Frequency};
use crate::report::Pairs;

use super::super::draw::{Anchor, Drawing, Scale, Shape};
use super::super::text::grouped;
use super::WIDTH;

const LEFT: f64 = 78.0;
const TOP: f64 = 26.0;
const CELL: f64 = 14.0;

/// The steps of shade: from this margin on, its class, and what it is called.
const STEPS: [(f64, &str, &str); 5] = [
    (20.0, "shade-4", "20 dB and more"),
    (12.0, "shade-3", "12 to 20 dB"),
    (6.0, "shade-2", "6 to 12 dB"),
    (0.0, "shade-1", "0 to 6 dB"),
    (f64::MIN, "shade-0", "below 0 dB"),
];

/// What a pair in conflict is drawn as.
const REFUSED: (&str, &str) = ("shade-refused", "conflict");

fn shade(worst: Option<Decibels>, is_refused: bool) -> (&'static str, &'static str) {
    if is_refused {
        return REFUSED;
    }
    let margin = worst.map_or(f64::MAX, Decibels::as_db);
    STEPS
        .iter()
        .find(|(from, ..)| margin >= *from)
        .map_or(REFUSED, |(_, class, name)| (*class, *name))
}

/// Draws the pairs of a search.
pub(super) fn pairs(shown: &Pairs, number: usize) -> Drawing {
    let map = &shown.map;
    let (columns, rows) = (map.first.len(), map.second.len());
    let across = Scale::new([0.0, columns.max(1) as f64], [LEFT, WIDTH - 12.0]);
    let height = rows as f64 * CELL;
    let up = Scale::new([0.0, rows.max(1) as f64], [TOP + height, TOP]);
    let mut shapes = vec![Shape::text(0.0, 14.0, "second leg, MHz").class("small strong")];
    for (row, second) in map.second.iter().enumerate() {
        for run in runs(shown, row) {
            let (x, y) = (across.at(run.from as f64), up.at(row as f64 + 1.0));
            let width = across.at(run.to as f64) - x;
            let tip = format!(
                "{} with {}: {}",
                stretch(&map.first, run.from, run.to),
                second,
                run.name
            );
            // A hair wider, so that no seam shows between neighbours of one shade.
            shapes.push(
                Shape::boxed([x, y], [width + 0.4, CELL + 0.4])
                    .class(run.class)
                    .tip(&tip),
            );
        }
    }
    shapes.extend(ticks(&map.first, 7).map(|(place, at)| {
        let x = across.at(place as f64 + 0.5);
        Shape::text(x, TOP + height + 16.0, &at)
            .anchored(Anchor::Middle)
            .class("small")
    }));
    shapes.extend(ticks(&map.second, 8).map(|(place, at)| {
        let y = up.at(place as f64 + 0.5);
        Shape::text(LEFT - 6.0, y + 4.0, &at)
            .anchored(Anchor::End)
            .class("small")
    }));
    shapes.push(
        Shape::text(WIDTH - 12.0, TOP + height + 32.0, "first leg, MHz")
            .anchored(Anchor::End)
            .class("small strong"),
    );
    if let Some(chosen) = shown.chosen {
        shapes.extend(marked(shown, chosen, across, up));
    }
    let legend = TOP + height + 46.0;
    let mut x = 0.0;
    for (class, name) in STEPS
        .iter()
        .map(|(_, class, name)| (*class, *name))
        .chain([REFUSED])
    {
        shapes.push(Shape::boxed([x, legend], [16.0, 14.0]).class(class));
        shapes.push(Shape::text(x + 21.0, legend + 11.5, name).class("small"));
        x += 34.0 + name.chars().count() as f64 * 6.6;
    }
    let refused = map.refused.iter().filter(|one| **one).count();
    let mut drawing = Drawing::new(
        &format!("pairs-{number}"),
        format!("{}, every pair: where the quiet is", map.search),
        format!(
            "{} channels of the first leg against {} of the second, {} pairs of the {} that the search has; {refused} of them \
             conflict. The lighter, the more is in hand; hatched pairs conflict.",
            columns,
            rows,
            grouped(map.worst.len()),
            grouped(map.considered)
        ),
        WIDTH,
        legend + 20.0,
    );
    drawing.shapes = shapes;
    drawing
}

/// Neighbouring pairs of one shade.
struct Run {
    from: usize,
    to: usize,
    class: &'static str,
    name: &'static str,
}

fn runs(shown: &Pairs, row: usize) -> Vec<Run> {
    let map = &shown.map;
    let rows = map.second.len();
    let mut found: Vec<Run> = Vec::new();
    for column in 0..map.first.len() {
        let place = column * rows + row;
        let worst = map.worst.get(place).copied().flatten();
        let (class, name) = shade(worst, map.refused.get(place).copied().unwrap_or(true));
        match found.last_mut() {
            Some(run) if run.class == class => run.to = column + 1,
            _ => found.push(Run {
                from: column,
                to: column + 1,
                class,
                name,
            }),
        }
    }
    found
}

fn stretch(channels: &[Frequency], from: usize, to: usize) -> String {
    let at = |place: usize| {
        channels
            .get(place)
            .map_or_else(String::new, |one| one.digits())
    };
    if to > from + 1 {
        format!("{} to {} MHz", at(from), at(to - 1))
    } else {
        format!("{} MHz", at(from))
    }
}

/// So many channels to write beside an axis, with their places.
fn ticks(channels: &[Frequency], about: usize) -> impl Iterator<Item = (usize, String)> {
    let step = channels.len().div_ceil(about.max(1)).max(1);
    channels
        .iter()
        .enumerate()
        .step_by(step)
        .map(|(place, at)| (place, format!("{:.3}", at.as_mhz())))
}

/// The pair in place: where it lies among the channels shown, also between two of them.
fn marked(shown: &Pairs, [first, second]: [Frequency; 2], across: Scale, up: Scale) -> Vec<Shape> {
    let place = |channels: &[Frequency], wanted: Frequency| -> Option<f64> {
        let after = channels
            .iter()
            .position(|one| *one > wanted)
            .unwrap_or(channels.len());
        let before = after.checked_sub(1)?;
        let low = channels.get(before)?;
        let high = channels.get(after).copied();
        let part = high.map_or(0.0, |high| {
            (wanted - *low).as_hz() as f64 / (high - *low).as_hz().max(1) as f64
        });
        // Beyond the last channel by more than its step it is not on the map.
        let is_on = high.is_some() || (wanted - *low).as_hz() <= 100_000;
        is_on.then_some(before as f64 + 0.5 + part)
    };
    let found = place(&shown.map.first, first).zip(place(&shown.map.second, second));
    let Some((x, y)) = found.map(|(column, row)| (across.at(column), up.at(row))) else {
        return Vec::new();
    };
    let tip = format!("In place: {first} and {second}");
    vec![
        Shape::group(vec![
            Shape::circle([x, y], 10.0).class("chosen-halo"),
            Shape::circle([x, y], 10.0).class("chosen"),
            Shape::line([x - 15.0, y], [x + 15.0, y]).class("chosen"),
            Shape::line([x, y - 15.0], [x, y + 15.0]).class("chosen"),
        ])
        .tip(&tip),
    ]
}
