//! A small drawing board: shapes with places and classes, written as SVG. Text is escaped where it is written, so that no
//! name of a scenario can become part of the drawing.

mod label;
mod scale;
mod shape;

pub(super) use label::{Labels, Lanes, fitted, width_of};
pub(super) use scale::Scale;
pub(super) use shape::{Anchor, Mark, Shape};

use maud::{Markup, PreEscaped, Render, html};

/// A drawing with what it shows in words.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Drawing {
    /// Tells it from every other drawing of a page.
    pub(super) id: String,
    /// What it shows, in a few words.
    pub(super) title: String,
    /// What it shows, for whoever does not see it.
    pub(super) says: String,
    /// Width, in units of about a pixel.
    pub(super) width: f64,
    /// Height, in the same units.
    pub(super) height: f64,
    /// What is drawn, the first undermost.
    pub(super) shapes: Vec<Shape>,
}

impl Drawing {
    /// An empty drawing.
    pub(super) fn new(id: &str, title: String, says: String, width: f64, height: f64) -> Self {
        Self {
            id: id.to_owned(),
            title,
            says,
            width,
            height,
            shapes: Vec::new(),
        }
    }

    /// The drawing as a file of its own, with the style it needs.
    pub(super) fn alone(mut self, style: &str) -> String {
        self.shapes = self.shapes.into_iter().map(Shape::unlinked).collect();
        let drawn = self.drawn(Some(style)).into_string();
        format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{drawn}\n")
    }

    fn drawn(&self, style: Option<&str>) -> Markup {
        let (title, says) = (format!("{}-title", self.id), format!("{}-says", self.id));
        let frame = format!("0 0 {} {}", written(self.width), written(self.height));
        let namespace = style.map(|_| "http://www.w3.org/2000/svg");
        html! {
            svg #(self.id) class="picture" xmlns=[namespace] viewBox=(frame) width=(written(self.width))
                height=(written(self.height)) role="group" aria-labelledby=(format!("{title} {says}")) {
                title #(title) { (self.title) }
                desc #(says) { (self.says) }
                @if let Some(style) = style {
                    // The style is ours, from a file of the program.
                    style { (PreEscaped(style)) }
                    (patterns())
                    rect class="paper" width="100%" height="100%" {}
                }
                @for shape in &self.shapes { (shape) }
            }
        }
    }
}

/// The hatchings that the style fills boxes with; once a page.
pub(super) fn patterns() -> Markup {
    let hatch = |id: &str, turn: &str, gap: &str| {
        html! {
            pattern #(id) width=(gap) height=(gap) patternUnits="userSpaceOnUse" patternTransform=(turn) {
                rect class="hatch-ground" width=(gap) height=(gap) {}
                line class="hatch-line" x1="0" y1="0" x2="0" y2=(gap) {}
            }
        }
    };
    html! {
        defs {
            (hatch("hatch", "rotate(45)", "6"))
            (hatch("hatch-close", "rotate(-45)", "4"))
        }
    }
}

impl Render for Drawing {
    fn render(&self) -> Markup {
        self.drawn(None)
    }
}

/// A coordinate to a tenth, without what it does not need.
fn written(value: f64) -> String {
    let value = if value.is_finite() {
        value.clamp(-1e6, 1e6)
    } else {
        0.0
    };
    let text = format!("{value:.1}");
    let short = text.strip_suffix(".0").unwrap_or(&text);
    if short == "-0" { "0" } else { short }.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_of_a_drawing_becomes_part_of_it() {
        let evil = "<script>alert(1)</script> & \"quoted\"";
        let mut drawing = Drawing::new("d", evil.to_owned(), evil.to_owned(), 10.0, 10.0);
        drawing.shapes = vec![
            Shape::text(1.0, 2.0, evil),
            Shape::line([0.0, 0.0], [1.0, 1.0])
                .class(evil)
                .tip(evil)
                .leads_to(evil),
        ];
        let written = drawing.clone().alone("");
        assert!(!written.contains("<script"), "{written}");
        assert!(!written.contains("\"quoted\""), "{written}");
        assert_eq!(written.matches("&lt;script&gt;").count(), 5, "{written}");
        assert!(!maud::html! { (drawing) }.into_string().contains("<script"));
    }

    #[test]
    fn a_coordinate_is_short_and_always_a_number() {
        assert_eq!(
            [3.0, -0.04, 2.25, f64::NAN, f64::INFINITY].map(written),
            ["3", "0", "2.2", "0", "0"]
        );
    }
}
