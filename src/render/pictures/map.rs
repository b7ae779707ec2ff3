//! Sites and neighbours from above, to scale.

use crate::physics::geodesic::Course;
use crate::quantity::Length;
use crate::report::{Kind, Map, Place};

use super::super::draw::{Anchor, Drawing, Labels, Mark, Scale, Shape, fitted, width_of};
use super::{TYPE, WIDTH};

const HEIGHT: f64 = 560.0;
const MIDDLE: [f64; 2] = [WIDTH / 2.0, HEIGHT / 2.0];
/// From the middle to the frame.
const RADIUS: f64 = 250.0;

/// Draws the map.
pub(super) fn map(shown: &Map) -> Drawing {
    let scale = Scale::new([0.0, shown.reach.as_metres()], [0.0, RADIUS]);
    let mut shapes = Vec::new();
    let mut labels = Labels::default();
    let every = rings(scale, &mut labels, &mut shapes);
    places(shown, scale, &mut labels, &mut shapes);
    beyond(shown, &mut labels, &mut shapes);
    shapes.push(Shape::group(vec![
        Shape::polygon(vec![[22.0, 12.0], [28.0, 30.0], [16.0, 30.0]]).class("arrow"),
        Shape::text(22.0, 45.0, "N")
            .anchored(Anchor::Middle)
            .class("strong"),
    ]));
    let mut drawing = Drawing::new(
        "map",
        "Where everybody is".to_owned(),
        format!(
            "Sites and neighbours to scale around {}, north up, a ring every {every}; neighbours beyond the frame are arrows on \
             it. The table of distances holds the same in words.",
            shown.middle
        ),
        WIDTH,
        HEIGHT,
    );
    drawing.shapes = shapes;
    drawing
}

/// Where a place is on the paper.
fn at(scale: Scale, place: &Place) -> [f64; 2] {
    let [x, y] = MIDDLE;
    [
        x + scale.at(place.east.as_metres()),
        y - scale.at(place.north.as_metres()),
    ]
}

/// The rings, and how far they are apart.
fn rings(scale: Scale, labels: &mut Labels, shapes: &mut Vec<Shape>) -> Length {
    let [x0, y0] = MIDDLE;
    let rings = scale.ticks(4.0);
    let every = Length::metres(rings.get(1).copied().unwrap_or_default());
    for ring in rings.into_iter().filter(|ring| *ring > 0.0) {
        let radius = scale.at(ring);
        shapes.push(Shape::circle(MIDDLE, radius).class("ring"));
        let text = Length::metres(ring).to_string();
        shapes.push(
            Shape::text(x0, y0 - radius - 3.0, &text)
                .anchored(Anchor::Middle)
                .class("small ring-text"),
        );
        let half = width_of(&text, 11.0) / 2.0;
        labels.keep_free([x0 - half, x0 + half], [y0 - radius - 13.0, y0 - radius]);
    }
    shapes.push(Shape::circle(MIDDLE, RADIUS + 8.0).class("frame"));
    every
}

/// Sites and neighbours within the frame.
fn places(shown: &Map, scale: Scale, labels: &mut Labels, shapes: &mut Vec<Shape>) {
    let links = shown
        .places
        .iter()
        .filter(|one| one.kind != Kind::Neighbour && one.away.distance.as_metres() > 0.0);
    shapes.extend(links.map(|one| {
        Shape::line(MIDDLE, at(scale, one))
            .class("link")
            .tip(&format!(
                "{} to {}: {}",
                shown.middle,
                one.name,
                course(one.away)
            ))
    }));
    for place in &shown.places {
        let [x, y] = at(scale, place);
        labels.keep_free([x - 7.0, x + 7.0], [y - 7.0, y + 7.0]);
    }
    for place in &shown.places {
        let [x, y] = at(scale, place);
        let (mark, class) = match place.kind {
            Kind::RelaySite => (Mark::Relay, "ours strong"),
            Kind::Site => (Mark::Ours, "ours strong"),
            Kind::Neighbour => (Mark::Theirs, "theirs"),
        };
        let away = if place.away.distance.as_metres() > 0.0 {
            format!(" {}", place.away.distance)
        } else {
            String::new()
        };
        let text = fitted(&format!("{}{away}", place.name), TYPE, 230.0);
        let [start, base] = labels.beside([x, y], &text, TYPE, [WIDTH, HEIGHT]);
        let who = if place.stations.is_empty() {
            String::new()
        } else {
            format!(": {}", place.stations.join(", "))
        };
        shapes.push(
            Shape::group(vec![
                Shape::mark(
                    mark,
                    [x, y],
                    if place.kind == Kind::RelaySite {
                        16.0
                    } else {
                        12.0
                    },
                ),
                Shape::text(start, base, &text).class(class),
            ])
            .class("halo")
            .tip(&format!(
                "{}, {} from {}{who}",
                place.name,
                course(place.away),
                shown.middle
            )),
        );
    }
}

/// Neighbours beyond the frame, as arrows on it.
fn beyond(shown: &Map, labels: &mut Labels, shapes: &mut Vec<Shape>) {
    let [x0, y0] = MIDDLE;
    for far in &shown.far {
        let turn = far.away.bearing.as_degrees().to_radians();
        let [along, up] = [libm::sin(turn), libm::cos(turn)];
        let on = |radius: f64| [x0 + along * radius, y0 - up * radius];
        let [x, y] = on(RADIUS + 16.0);
        let [a, b] = on(RADIUS + 4.0);
        let wing = |side: f64| [a + up * side * 5.0, b + along * side * 5.0];
        let text = fitted(&format!("{} {}", far.name, far.away.distance), 12.0, 190.0);
        labels.keep_free(
            [x.min(a) - 5.0, x.max(a) + 5.0],
            [y.min(b) - 5.0, y.max(b) + 5.0],
        );
        let [start, base] = labels.beside([x, y], &text, 12.0, [WIDTH, HEIGHT]);
        shapes.push(
            Shape::group(vec![
                Shape::polygon(vec![[x, y], wing(1.0), wing(-1.0)]).class("arrow"),
                Shape::text(start, base, &text).class("theirs small"),
            ])
            .class("halo")
            .tip(&format!(
                "{}, beyond the frame: {} from {}",
                far.name,
                course(far.away),
                shown.middle
            )),
        );
    }
}

fn course(away: Course) -> String {
    format!("{} at {}", away.distance, away.bearing)
}
