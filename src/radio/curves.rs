//! Figures that change along an axis: harmonics by multiple, noise, conversion loss and filter skirts by offset.

use super::figure::Figure;
use super::profile::{ConversionFigure, HarmonicFigure, NoiseFigure, Skirt};
use super::stack::Stack;
use super::words::{ConversionWords, HarmonicWords, NoisePointWords, SkirtWords};
use crate::document::{Fault, Said};
use crate::provenance::Sourced;
use crate::quantity::{Decibels, Offset};

/// How a curve goes with increasing offset, and between which values.
#[derive(Debug, Clone, Copy)]
pub(super) enum Curve {
    /// Never upward.
    Falling((Decibels, Decibels)),
    /// Never downward.
    Rising((Decibels, Decibels)),
}

/// A point of a curve as it is written, and as it is used.
pub(super) trait Point {
    /// The point as it is used.
    type Out;
    /// Where on the axis.
    fn at(&self) -> &Said<Offset>;
    /// The value there.
    fn figure(&self) -> &Said<Figure<Decibels>>;
    /// The point made of both.
    fn point(at: Offset, figure: Sourced<Decibels>) -> Self::Out;
}

impl Point for NoisePointWords {
    type Out = NoiseFigure;
    fn at(&self) -> &Said<Offset> {
        &self.offset
    }
    fn figure(&self) -> &Said<Figure<Decibels>> {
        &self.density
    }
    fn point(offset: Offset, density: Sourced<Decibels>) -> NoiseFigure {
        NoiseFigure { offset, density }
    }
}

impl Point for ConversionWords {
    type Out = ConversionFigure;
    fn at(&self) -> &Said<Offset> {
        &self.offset
    }
    fn figure(&self) -> &Said<Figure<Decibels>> {
        &self.loss
    }
    fn point(offset: Offset, loss: Sourced<Decibels>) -> ConversionFigure {
        ConversionFigure { offset, loss }
    }
}

impl Point for SkirtWords {
    type Out = Skirt;
    fn at(&self) -> &Said<Offset> {
        &self.beyond
    }
    fn figure(&self) -> &Said<Figure<Decibels>> {
        &self.loss
    }
    fn point(beyond: Offset, loss: Sourced<Decibels>) -> Skirt {
        Skirt { beyond, loss }
    }
}

impl Curve {
    /// The points of a curve, in order; nothing when one of them is wrong, which the stack is told.
    pub(super) fn read<P: Point>(
        self,
        stack: &Stack<'_>,
        (layer, said): (usize, &Said<Vec<P>>),
    ) -> Option<Vec<P::Out>> {
        let points = said.value()?;
        let (Self::Falling((low, high)) | Self::Rising((low, high))) = self;
        if points.is_empty() {
            stack.tell(
                layer,
                Fault::new(said.place(), "the list needs at least one point")
                    .help("write a point, or leave the key out"),
            );
        }
        let mut read = Vec::new();
        let mut before: Option<(Offset, Decibels)> = None;
        for point in points {
            let &at = point.at().value()?;
            let figure = stack.stamp(layer, point.figure())?;
            let value = figure.value;
            let wrong = |said: &Said<_>, message: String, cure: &str| {
                stack.tell(layer, Fault::new(said.place(), message).help(cure));
            };
            if at < Offset::hz(0) || before.is_some_and(|(last, _)| at <= last) {
                let message = format!(
                    "{at} is not beyond the point before it; write the points in order, none twice"
                );
                stack.tell(layer, Fault::new(point.at().place(), message));
                return None;
            }
            if value < low || value > high {
                wrong(
                    point.figure(),
                    format!("{value} is not possible here; {low} to {high} is"),
                    "write it with its sign, and in its unit",
                );
                return None;
            }
            let turns = before.is_some_and(|(_, last)| match self {
                Self::Falling(_) => value > last,
                Self::Rising(_) => value < last,
            });
            if turns {
                let way = if matches!(self, Self::Falling(_)) {
                    "rise"
                } else {
                    "fall"
                };
                wrong(
                    point.figure(),
                    format!("{value} would {way} again with distance"),
                    "one of the two points is wrong, or stands at the wrong offset: leave it out or mend it",
                );
                return None;
            }
            before = Some((at, value));
            read.push(P::point(at, figure));
        }
        (!read.is_empty()).then_some(read)
    }
}

/// The suppression of harmonics; nothing when it is wrong, which the stack is told.
pub(super) fn harmonics(
    stack: &Stack<'_>,
    (layer, said): (usize, &Said<Vec<HarmonicWords>>),
) -> Option<Vec<HarmonicFigure>> {
    let mut read: Vec<HarmonicFigure> = Vec::new();
    for point in said.value()? {
        let &from = point.from.value()?;
        let suppression = stack.stamp(layer, &point.suppression)?;
        let is_next = read.last().map_or(from == 2, |last| from > last.from);
        if !is_next {
            let message = "the multiples begin at 2 and increase: write them in that order";
            stack.tell(layer, Fault::new(point.from.place(), message));
            return None;
        }
        if suppression.value < Decibels::ZERO || suppression.value > Decibels::db(200.0) {
            let message = format!(
                "a harmonic is not {} below the carrier: from 0 dB to 200 dB",
                suppression.value
            );
            stack.tell(layer, Fault::new(point.suppression.place(), message));
            return None;
        }
        read.push(HarmonicFigure { from, suppression });
    }
    if read.is_empty() {
        stack.tell(
            layer,
            Fault::new(
                said.place(),
                "the list needs at least one multiple: write one",
            ),
        );
        return None;
    }
    Some(read)
}
