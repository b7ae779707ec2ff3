//! Who is heard by whom, and who passes it on.

use std::collections::BTreeMap;

use crate::quantity::{Decibels, Frequency};
use crate::report::{Edge, Graph, Knot, Part};

use super::super::draw::{Drawing, Mark, Shape, fitted};
use super::super::text::counted;
use super::{TYPE, WIDTH};

const ROW: f64 = 30.0;
const SIDE: f64 = 172.0;
const BOX: f64 = 186.0;
const TOP: f64 = 34.0;

/// Where a relay hears and sends: its box, row by row.
struct Relay {
    top: f64,
    legs: Vec<Frequency>,
}

impl Relay {
    fn row(&self, at: Frequency) -> f64 {
        let place = self.legs.iter().position(|leg| *leg == at).unwrap_or(0);
        self.top + ROW + place as f64 * ROW * 0.8
    }

    fn height(&self) -> f64 {
        ROW * 0.6 + self.legs.len() as f64 * ROW * 0.8 + 8.0
    }
}

/// Draws the graph; none where nobody hears anybody.
pub(super) fn graph(shown: &Graph) -> Option<Drawing> {
    if shown.edges.is_empty() {
        return None;
    }
    let knots: Vec<(usize, &Knot)> = shown.knots.iter().enumerate().collect();
    let column = |is_in: &dyn Fn(usize, &Knot) -> bool| -> Vec<(usize, &Knot)> {
        knots
            .iter()
            .copied()
            .filter(|(index, knot)| is_in(*index, knot))
            .collect()
    };
    let speaks = |index: usize| shown.edges.iter().any(|edge| edge.from == index);
    let hears = |index: usize| shown.edges.iter().any(|edge| edge.to == index);
    let left = column(&|index, knot| knot.part != Part::PassesOn && speaks(index));
    let right = column(&|index, knot| knot.part != Part::PassesOn && hears(index));
    let middle = column(&|_, knot| knot.part == Part::PassesOn);
    let spread = |column: &[(usize, &Knot)]| -> BTreeMap<usize, f64> {
        column
            .iter()
            .enumerate()
            .map(|(place, (index, _))| (*index, TOP + place as f64 * ROW))
            .collect()
    };
    let (from, to) = (spread(&left), spread(&right));
    let mut relays: BTreeMap<usize, Relay> = BTreeMap::new();
    let mut top = TOP - 8.0;
    for (index, _) in &middle {
        let mine = shown
            .edges
            .iter()
            .filter(|edge| edge.from == *index || edge.to == *index);
        let mut legs: Vec<Frequency> = mine.map(|edge| edge.at).collect();
        legs.sort_unstable();
        legs.dedup();
        let relay = Relay { top, legs };
        top += relay.height() + 16.0;
        relays.insert(*index, relay);
    }
    let rows = left.len().max(right.len()) as f64;
    let height = (TOP + rows * ROW).max(top) + 6.0;
    let [box_left, box_right] = [(WIDTH - BOX) / 2.0, f64::midpoint(WIDTH, BOX)];
    let mut shapes = vec![
        Shape::text(0.0, 12.0, "who talks").class("small strong"),
        Shape::text(box_left, 12.0, "who passes on").class("small strong"),
        Shape::text(WIDTH - SIDE, 12.0, "who hears").class("small strong"),
    ];
    for edge in &shown.edges {
        let start = relays
            .get(&edge.from)
            .map(|one| [box_right, one.row(edge.at)])
            .or_else(|| from.get(&edge.from).map(|y| [SIDE, *y]));
        let end = relays
            .get(&edge.to)
            .map(|one| [box_left, one.row(edge.at)])
            .or_else(|| to.get(&edge.to).map(|y| [WIDTH - SIDE, *y]));
        if let (Some(start), Some(end)) = (start, end) {
            shapes.push(drawn(shown, edge, start, end));
        }
    }
    for (index, knot) in &middle {
        if let Some(relay) = relays.get(index) {
            shapes.push(boxed(knot, relay, box_left));
        }
    }
    shapes.extend(
        left.iter()
            .filter_map(|(index, knot)| Some(end(knot, 0.0, *from.get(index)?))),
    );
    shapes.extend(
        right
            .iter()
            .filter_map(|(index, knot)| Some(end(knot, WIDTH - SIDE, *to.get(index)?))),
    );
    let mut drawing = Drawing::new(
        "graph",
        "Who repeats whom".to_owned(),
        format!(
            "{} from a sender to whom it opens, through {}. A broken line works only while the path is kind; \
             a dotted one is not meant. The plan's table says who reaches whom.",
            counted(shown.edges.len(), "way"),
            match middle.len() {
                1 => "1 that passes on".to_owned(),
                several => format!("{several} that pass on"),
            }
        ),
        WIDTH,
        height,
    );
    drawing.shapes = shapes;
    Some(drawing)
}

fn drawn(shown: &Graph, edge: &Edge, start: [f64; 2], end: [f64; 2]) -> Shape {
    let class = if !edge.is_meant {
        "edge stray"
    } else if edge.sure < Decibels::ZERO {
        "edge weak"
    } else {
        "edge"
    };
    let name = |index: usize| shown.knots.get(index).map_or("", |knot| knot.name.as_str());
    let tone = edge
        .tone
        .map_or_else(String::new, |tone| format!(", tone {tone}"));
    let tip = format!(
        "{} opens {} on {}{tone}, {} in hand on a hard path{}",
        name(edge.from),
        name(edge.to),
        edge.at,
        edge.sure,
        if edge.is_meant {
            ""
        } else {
            "; this is not meant"
        }
    );
    let ([x, y], [u, v]) = (start, end);
    let shape = if x <= u {
        Shape::line(start, end)
    } else {
        // From one relay to another: out on the right and round to the left.
        Shape::bow(start, [f64::midpoint(x, u), y.max(v) + 90.0], end)
    };
    shape.class(class).tip(&tip)
}

fn boxed(knot: &Knot, relay: &Relay, left: f64) -> Shape {
    let class = if knot.is_ours {
        "knot knot-ours"
    } else {
        "knot"
    };
    let mut drawn = vec![
        Shape::rounded([left, relay.top], [BOX, relay.height()]).class(class),
        Shape::mark(
            if knot.is_ours {
                Mark::Relay
            } else {
                Mark::Theirs
            },
            [left + 13.0, relay.top + 12.0],
            10.0,
        ),
        Shape::text(
            left + 24.0,
            relay.top + 16.0,
            &fitted(&knot.name, TYPE, BOX - 30.0),
        )
        .class("strong"),
    ];
    drawn.extend(relay.legs.iter().map(|leg| {
        Shape::text(left + 24.0, relay.row(*leg) + 4.0, &leg.to_string()).class("small")
    }));
    Shape::group(drawn).tip(&knot.name)
}

fn end(knot: &Knot, left: f64, y: f64) -> Shape {
    let class = if knot.is_ours {
        "knot knot-ours"
    } else {
        "knot"
    };
    let mark = if knot.is_ours {
        Mark::Ours
    } else {
        Mark::Theirs
    };
    Shape::group(vec![
        Shape::rounded([left, y - 11.0], [SIDE, 22.0]).class(class),
        Shape::mark(mark, [left + 12.0, y], 10.0),
        Shape::text(left + 22.0, y + 4.5, &fitted(&knot.name, TYPE, SIDE - 26.0)),
    ])
    .tip(&knot.name)
}
