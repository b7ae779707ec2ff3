//! From values to places on the paper, with round values in between.

/// A straight scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::render) struct Scale {
    values: [f64; 2],
    places: [f64; 2],
}

impl Scale {
    /// A scale that takes the first value to the first place and the last to the last.
    pub(in crate::render) const fn new(values: [f64; 2], places: [f64; 2]) -> Self {
        Self { values, places }
    }

    /// The place of a value, also beyond the ends.
    pub(in crate::render) fn at(self, value: f64) -> f64 {
        let [from, to] = self.values;
        let [start, end] = self.places;
        if (to - from).abs() < f64::EPSILON {
            return f64::midpoint(start, end);
        }
        start + (value - from) / (to - from) * (end - start)
    }

    /// The place of a value, no further than the ends.
    pub(in crate::render) fn within(self, value: f64) -> f64 {
        let [from, to] = self.values;
        self.at(value.max(from.min(to)).min(from.max(to)))
    }

    /// Round values on the scale, about as many as asked for.
    pub(in crate::render) fn ticks(self, about: f64) -> Vec<f64> {
        let [from, to] = self.values;
        let (low, high) = (from.min(to), from.max(to));
        let step = round_step((high - low) / about.max(1.0));
        if !(step.is_finite() && step > 0.0) {
            return vec![low];
        }
        let mut ticks = Vec::new();
        let mut number = (low / step).ceil();
        while number * step <= high + step * 1e-9 && ticks.len() < 100 {
            ticks.push(number * step);
            number += 1.0;
        }
        ticks
    }
}

/// The least of 1, 2, 2.5 and 5 times a power of ten that is not less than a step.
fn round_step(rough: f64) -> f64 {
    let power = 10_f64.powf(rough.log10().floor());
    [1.0, 2.0, 2.5, 5.0, 10.0]
        .map(|times| times * power)
        .into_iter()
        .find(|step| *step >= rough * (1.0 - 1e-9))
        .unwrap_or(rough)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_go_to_ends_and_what_is_beyond_is_held() {
        let scale = Scale::new([144.0, 146.0], [100.0, 500.0]);
        assert!((scale.at(145.0) - 300.0).abs() < 1e-9);
        assert!((scale.at(147.0) - 700.0).abs() < 1e-9);
        assert!((scale.within(147.0) - 500.0).abs() < 1e-9);
        assert!((Scale::new([1.0, 1.0], [0.0, 10.0]).at(1.0) - 5.0).abs() < 1e-9);
    }

    #[test]
    fn ticks_are_round_and_inside() {
        let ticks = Scale::new([-61.0, 22.0], [0.0, 1.0]).ticks(5.0);
        assert_eq!(ticks, [-60.0, -40.0, -20.0, 0.0, 20.0]);
        assert_eq!(Scale::new([5.0, 5.0], [0.0, 1.0]).ticks(5.0), [5.0]);
    }
}
