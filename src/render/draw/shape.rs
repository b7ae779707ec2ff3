//! Shapes, and how each is written.

use maud::{Markup, Render, html};

use super::written;
use crate::render::text::clean;

/// Which part of a text its place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::render) enum Anchor {
    /// Where it begins.
    Start,
    /// Its middle.
    Middle,
    /// Where it ends.
    End,
}

/// A mark that tells what it stands for without colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::render) enum Mark {
    /// A cross in a filled square: it will hurt.
    Conflict,
    /// A triangle: somebody must look.
    Caution,
    /// A ring: worth knowing.
    Note,
    /// A filled diamond: a relay.
    Relay,
    /// A filled disc: ours.
    Ours,
    /// An empty square: somebody else's.
    Theirs,
}

/// What is drawn, and where.
#[derive(Debug, Clone, PartialEq)]
enum Figure {
    Line([f64; 2], [f64; 2]),
    Box {
        at: [f64; 2],
        size: [f64; 2],
        round: f64,
    },
    Circle([f64; 2], f64),
    Polygon(Vec<[f64; 2]>),
    /// From one place to another, bent to the left by a third point.
    Bow([f64; 2], [f64; 2], [f64; 2]),
    Text {
        at: [f64; 2],
        anchor: Anchor,
        text: String,
    },
    Mark(Mark, [f64; 2], f64),
    Group(Vec<Shape>),
}

/// A shape: a figure, the class its look comes from, what it says when it is pointed at, and where it leads.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::render) struct Shape {
    figure: Figure,
    class: Option<String>,
    tip: Option<String>,
    link: Option<String>,
}

impl Shape {
    const fn of(figure: Figure) -> Self {
        Self {
            figure,
            class: None,
            tip: None,
            link: None,
        }
    }

    /// A straight line.
    pub(in crate::render) const fn line(from: [f64; 2], to: [f64; 2]) -> Self {
        Self::of(Figure::Line(from, to))
    }

    /// A box from its upper left corner.
    pub(in crate::render) const fn boxed(at: [f64; 2], size: [f64; 2]) -> Self {
        Self::of(Figure::Box {
            at,
            size,
            round: 0.0,
        })
    }

    /// A box with round corners.
    pub(in crate::render) const fn rounded(at: [f64; 2], size: [f64; 2]) -> Self {
        Self::of(Figure::Box {
            at,
            size,
            round: 4.0,
        })
    }

    /// A circle.
    pub(in crate::render) const fn circle(middle: [f64; 2], radius: f64) -> Self {
        Self::of(Figure::Circle(middle, radius))
    }

    /// A closed line through some points.
    pub(in crate::render) const fn polygon(points: Vec<[f64; 2]>) -> Self {
        Self::of(Figure::Polygon(points))
    }

    /// A bent line, drawn towards a third point.
    pub(in crate::render) const fn bow(from: [f64; 2], towards: [f64; 2], to: [f64; 2]) -> Self {
        Self::of(Figure::Bow(from, towards, to))
    }

    /// Text that begins at a place on its base line.
    pub(in crate::render) fn text(x: f64, y: f64, text: &str) -> Self {
        Self::of(Figure::Text {
            at: [x, y],
            anchor: Anchor::Start,
            text: clean(text),
        })
    }

    /// A mark around a place.
    pub(in crate::render) const fn mark(mark: Mark, at: [f64; 2], size: f64) -> Self {
        Self::of(Figure::Mark(mark, at, size))
    }

    /// Some shapes as one.
    pub(in crate::render) const fn group(shapes: Vec<Self>) -> Self {
        Self::of(Figure::Group(shapes))
    }

    /// The same text from another of its parts.
    pub(in crate::render) fn anchored(mut self, wanted: Anchor) -> Self {
        if let Figure::Text { anchor, .. } = &mut self.figure {
            *anchor = wanted;
        }
        self
    }

    /// The same with a class.
    pub(in crate::render) fn class(mut self, class: &str) -> Self {
        self.class = Some(class.to_owned());
        self
    }

    /// The same, saying something when it is pointed at.
    pub(in crate::render) fn tip(mut self, tip: &str) -> Self {
        self.tip = Some(clean(tip));
        self
    }

    /// The same, leading somewhere.
    pub(in crate::render) fn leads_to(mut self, link: &str) -> Self {
        self.link = Some(link.to_owned());
        self
    }

    /// The same without leading anywhere: for a drawing that is not on the page.
    pub(in crate::render) fn unlinked(mut self) -> Self {
        self.link = None;
        if let Figure::Group(shapes) = &mut self.figure {
            *shapes = shapes.drain(..).map(Self::unlinked).collect();
        }
        self
    }

    fn figure(&self, tip: Option<&str>) -> Markup {
        let class = self.class.as_deref();
        let tip = html! { @if let Some(tip) = tip { title { (tip) } } };
        let at = |value: &f64| written(*value);
        match &self.figure {
            Figure::Line([x1, y1], [x2, y2]) => html! {
                line class=[class] x1=(at(x1)) y1=(at(y1)) x2=(at(x2)) y2=(at(y2)) { (tip) }
            },
            Figure::Box {
                at: [x, y],
                size: [width, height],
                round,
            } => {
                let round = (*round > 0.0).then(|| written(*round));
                html! {
                    rect class=[class] x=(at(x)) y=(at(y)) width=(written(width.max(0.0)))
                        height=(written(height.max(0.0))) rx=[round] { (tip) }
                }
            }
            Figure::Circle([x, y], radius) => html! {
                circle class=[class] cx=(at(x)) cy=(at(y)) r=(written(radius.max(0.0))) { (tip) }
            },
            Figure::Polygon(points) => html! {
                path class=[class] d=(closed(points)) { (tip) }
            },
            Figure::Bow([x, y], [a, b], [u, v]) => {
                let [x, y, a, b, u, v] = [x, y, a, b, u, v].map(at);
                html! { path class=[class] d=(format!("M{x} {y}Q{a} {b} {u} {v}")) { (tip) } }
            }
            Figure::Text {
                at: [x, y],
                anchor,
                text,
            } => {
                let anchor = match anchor {
                    Anchor::Start => None,
                    Anchor::Middle => Some("middle"),
                    Anchor::End => Some("end"),
                };
                html! { text class=[class] x=(at(x)) y=(at(y)) text-anchor=[anchor] { (tip) (text) } }
            }
            Figure::Mark(mark, place, size) => {
                let shapes = marked(*mark, *place, *size);
                html! { g class=[class] { (tip) @for shape in &shapes { (shape) } } }
            }
            Figure::Group(shapes) => html! {
                g class=[class] { (tip) @for shape in shapes { (shape) } }
            },
        }
    }
}

impl Render for Shape {
    fn render(&self) -> Markup {
        match &self.link {
            None => self.figure(self.tip.as_deref()),
            // What it says is then the name of the link.
            Some(link) => html! {
                a href=(link) {
                    @if let Some(tip) = &self.tip { title { (tip) } }
                    (self.figure(None))
                }
            },
        }
    }
}

fn closed(points: &[[f64; 2]]) -> String {
    let mut out = String::new();
    for (index, [x, y]) in points.iter().enumerate() {
        let letter = if index == 0 { "M" } else { "L" };
        out.extend([letter, &written(*x), " ", &written(*y)]);
    }
    out.push('Z');
    out
}

fn marked(mark: Mark, [x, y]: [f64; 2], size: f64) -> Vec<Shape> {
    let half = size / 2.0;
    match mark {
        Mark::Conflict => {
            let arm = half * 0.55;
            vec![
                Shape::boxed([x - half, y - half], [size, size]).class("mark-conflict"),
                Shape::line([x - arm, y - arm], [x + arm, y + arm]).class("mark-cross"),
                Shape::line([x - arm, y + arm], [x + arm, y - arm]).class("mark-cross"),
            ]
        }
        Mark::Caution => vec![
            Shape::polygon(vec![
                [x, y - half],
                [x + half, y + half],
                [x - half, y + half],
            ])
            .class("mark-caution"),
        ],
        Mark::Note => vec![Shape::circle([x, y], half * 0.7).class("mark-note")],
        Mark::Relay => vec![
            Shape::polygon(vec![
                [x, y - half],
                [x + half, y],
                [x, y + half],
                [x - half, y],
            ])
            .class("mark-ours"),
        ],
        Mark::Ours => vec![Shape::circle([x, y], half * 0.8).class("mark-ours")],
        Mark::Theirs => {
            let half = half * 0.75;
            vec![Shape::boxed([x - half, y - half], [half * 2.0, half * 2.0]).class("mark-theirs")]
        }
    }
}
