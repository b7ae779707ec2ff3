//! Lines set out so that those near a place where somebody hears are found quickly.

use super::{Heard, Line, Within};
use crate::quantity::{Decibels, Offset};

/// Lines by frequency and by level.
#[derive(Debug, Default)]
pub struct LineBook {
    /// Lowest frequency first.
    lines: Vec<Line>,
    /// Places in `lines`, strongest first.
    by_level: Vec<usize>,
    /// How far the widest of them reaches from its middle.
    edge: Offset,
}

impl LineBook {
    /// A place that reaches further than this is searched by level.
    const NARROW: Offset = Offset::hz(1_000_000);

    /// Sets out some lines.
    pub fn of(mut lines: Vec<Line>) -> Self {
        lines.sort_by(|one, other| {
            let key = |one: &Line| (one.frequency, one.kind);
            key(one)
                .cmp(&key(other))
                .then_with(|| one.terms.cmp(&other.terms))
        });
        let mut by_level: Vec<usize> = (0..lines.len()).collect();
        by_level.sort_by_key(|&place| {
            let level = lines.get(place).map(|line| line.level);
            (std::cmp::Reverse(level), place)
        });
        let edges = lines.iter().map(|line| line.trace().edge);
        let edge = edges.max().unwrap_or_default();
        Self {
            lines,
            by_level,
            edge,
        }
    }

    /// The lines that a place covers and that may be strong enough there when a way can gain so much at most and only what
    /// is worse by so much matters.
    pub fn near(
        &self,
        heard: &Heard,
        most_gain: Decibels,
        worse: Within,
    ) -> impl Iterator<Item = &Line> {
        let is_narrow = heard.reach <= Self::NARROW;
        let reach = heard.reach + self.edge;
        let (low, high) = (heard.middle - reach, heard.middle + reach);
        let begin = if is_narrow {
            self.lines.partition_point(|line| line.frequency < low)
        } else {
            self.lines.len()
        };
        let narrow = self
            .lines
            .iter()
            .skip(begin)
            .take_while(move |line| line.frequency <= high);
        let faintest = heard.faintest(worse);
        let by_level = if is_narrow { &[][..] } else { &self.by_level };
        let wide = by_level
            .iter()
            .filter_map(|&place| self.lines.get(place))
            .take_while(move |line| line.level + most_gain >= faintest);
        narrow
            .chain(wide)
            .filter(move |line| line.level + most_gain >= faintest && heard.covers(&line.trace()))
    }
}
