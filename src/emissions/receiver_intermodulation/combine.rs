//! From what arrives to the products that land where the receiver listens.
//!
//! Sources that must take part, because a leg under trial would otherwise be missing, are placed first; the last free
//! source is found by its frequency. Both only save work: the plain enumeration in the tests finds the same products.

use super::arrivals::{Arrival, Arrivals};
use super::pattern::Pattern;
use crate::emissions::Listening;
use crate::quantity::{Frequency, Level, Span};
use crate::scenario::Legs;
use crate::scene::{Receiver, Scene};

/// Where products are shown: transmitters with their coefficients, and the level.
pub(super) type Show<'a> = &'a mut dyn FnMut(&[(usize, i64)], Level);

/// Shows every product that lands in one of the receiver's spans, is strong enough to be told, and can happen.
pub(super) fn combine(
    scene: &Scene<'_>,
    receiver: &Receiver,
    arrivals: &Arrivals,
    listening: &Listening,
    focus: Legs,
    patterns: &[Pattern],
    show: Show<'_>,
) {
    let Some(floor) = listening.floor else { return };
    let missing = missing(receiver, focus);
    let Some(strongest) = arrivals.by_level.first() else {
        return;
    };
    for pattern in patterns {
        let Some(intercept) = arrivals.intercept(pattern.order) else {
            continue;
        };
        let order = f64::from(pattern.order);
        // What the levels of the sources, each times its coefficient, must add up to.
        let needed = floor.as_dbm() + (order - 1.0) * intercept.as_dbm() - pattern.shape.as_db();
        if order * strongest.level.as_dbm() < needed || missing.len() > pattern.coefficients.len() {
            continue;
        }
        let mut search = Search {
            arrivals,
            pattern,
            focus,
            needed,
            strongest: strongest.level.as_dbm(),
            spans: &listening.spans,
            chosen: vec![None; pattern.coefficients.len()],
            found: Vec::new(),
        };
        search.place_required(&missing, 0.0, order);
        for chosen in search.found {
            let terms: Vec<(usize, i64)> = chosen
                .iter()
                .zip(&pattern.coefficients)
                .filter_map(|(&place, &c)| Some((arrivals.by_level.get(place)?.transmitter, c)))
                .collect();
            let sources: Vec<usize> = terms.iter().map(|&(transmitter, _)| transmitter).collect();
            if scene.coexist(&sources, receiver) {
                let levels: Vec<(i64, Level)> = chosen
                    .iter()
                    .zip(&pattern.coefficients)
                    .filter_map(|(&place, &c)| Some((c, arrivals.by_level.get(place)?.level)))
                    .collect();
                show(
                    &terms,
                    crate::physics::mixing::intermod_level(&levels, intercept),
                );
            }
        }
    }
}

/// Something that a source of the product must bring.
#[derive(Debug, Clone, Copy)]
enum Need {
    /// A leg under trial.
    Leg(Legs),
    /// One of our own transmitters: what others do to each other is not our concern.
    Ours,
}

impl Need {
    fn is_met_by(self, arrival: &Arrival) -> bool {
        match self {
            Self::Leg(leg) => arrival.legs.holds(leg),
            Self::Ours => arrival.is_ours,
        }
    }
}

/// What the sources must bring that the victim does not. A leg under trial is ours.
fn missing(receiver: &Receiver, focus: Legs) -> Vec<Need> {
    let legs: Vec<Need> = [Legs::FIRST, Legs::SECOND]
        .into_iter()
        .filter(|&leg| focus.holds(leg) && !receiver.legs.holds(leg))
        .map(Need::Leg)
        .collect();
    if legs.is_empty() && !receiver.owner.is_ours() {
        vec![Need::Ours]
    } else {
        legs
    }
}

struct Search<'a> {
    arrivals: &'a Arrivals,
    pattern: &'a Pattern,
    focus: Legs,
    needed: f64,
    strongest: f64,
    spans: &'a [Span],
    /// The place in `by_level` of the source at each position.
    chosen: Vec<Option<usize>>,
    found: Vec<Vec<usize>>,
}

impl Search<'_> {
    /// Puts a source of every missing leg at each position in turn, then fills the rest.
    ///
    /// `sum` is what the chosen sources bring, `left` how many times the strongest could still enter.
    fn place_required(&mut self, missing: &[Need], sum: f64, left: f64) {
        let Some((&need, rest)) = missing.split_first() else {
            self.fill(sum, left);
            return;
        };
        for position in 0..self.chosen.len() {
            if self.chosen.get(position).is_some_and(Option::is_some) {
                continue;
            }
            for (place, arrival) in self.arrivals.by_level.iter().enumerate() {
                if !need.is_met_by(arrival)
                    || !self.focus.holds(arrival.legs)
                    || !self.is_free(place)
                {
                    continue;
                }
                let Some((sum, left)) = self.with(position, arrival, sum, left) else {
                    break;
                };
                self.choose(position, Some(place));
                self.place_required(rest, sum, left);
                self.choose(position, None);
            }
        }
    }

    /// Fills the first empty position in every way; the last one by frequency.
    fn fill(&mut self, sum: f64, left: f64) {
        let mut empty = self
            .chosen
            .iter()
            .enumerate()
            .filter(|(_, place)| place.is_none())
            .map(|(at, _)| at);
        let Some(position) = empty.next() else {
            self.keep();
            return;
        };
        if empty.next().is_none() {
            self.fill_last(position, sum, left);
            return;
        }
        for (place, arrival) in self.arrivals.by_level.iter().enumerate() {
            let Some((sum, left)) = self.with(position, arrival, sum, left) else {
                break;
            };
            if self.focus.holds(arrival.legs) && self.is_free(place) {
                self.choose(position, Some(place));
                self.fill(sum, left);
                self.choose(position, None);
            }
        }
    }

    /// The last source must bring the product into a span: only a stretch of frequencies can.
    fn fill_last(&mut self, position: usize, sum: f64, left: f64) {
        let coefficient = self.coefficient(position);
        let partial: i64 = self.partial();
        for span_index in 0..self.spans.len() {
            let Some(span) = self.spans.get(span_index) else {
                return;
            };
            let (one, other) = (span.low.as_hz() - partial, span.high.as_hz() - partial);
            let (low, high) = if coefficient > 0 {
                (one, other)
            } else {
                (-other, -one)
            };
            let size = coefficient.abs();
            let (low, high) = (low.div_euclid(size), high.div_euclid(size) + 1);
            let by_frequency = &self.arrivals.by_frequency;
            let at = |place: usize| {
                self.arrivals
                    .by_level
                    .get(place)
                    .map_or(0, |one| one.frequency.as_hz())
            };
            let begin = by_frequency.partition_point(|&place| at(place) < low);
            let places: Vec<usize> = by_frequency
                .iter()
                .skip(begin)
                .copied()
                .take_while(|&place| at(place) <= high)
                .collect();
            for place in places {
                let Some(arrival) = self.arrivals.by_level.get(place) else {
                    continue;
                };
                let is_strong = self.with(position, arrival, sum, left).is_some();
                if is_strong && self.focus.holds(arrival.legs) && self.is_free(place) {
                    self.choose(position, Some(place));
                    self.keep();
                    self.choose(position, None);
                }
            }
        }
    }

    /// Sum and rest once a source stands at a position; none when the product can no longer be strong enough.
    fn with(&self, position: usize, arrival: &Arrival, sum: f64, left: f64) -> Option<(f64, f64)> {
        #[expect(
            clippy::cast_precision_loss,
            reason = "a coefficient is a small number"
        )]
        let times = self.coefficient(position).unsigned_abs() as f64;
        let sum = sum + times * arrival.level.as_dbm();
        let left = left - times;
        // The millionth keeps rounding from deciding.
        (sum + left * self.strongest >= self.needed - 1e-6).then_some((sum, left))
    }

    fn coefficient(&self, position: usize) -> i64 {
        self.pattern
            .coefficients
            .get(position)
            .copied()
            .unwrap_or(1)
    }

    fn choose(&mut self, position: usize, place: Option<usize>) {
        if let Some(slot) = self.chosen.get_mut(position) {
            *slot = place;
        }
    }

    fn is_free(&self, place: usize) -> bool {
        !self.chosen.contains(&Some(place))
    }

    fn partial(&self) -> i64 {
        self.chosen
            .iter()
            .zip(&self.pattern.coefficients)
            .filter_map(|(place, c)| {
                Some(c * self.arrivals.by_level.get((*place)?)?.frequency.as_hz())
            })
            .sum()
    }

    /// Keeps a full choice that is the one spelling of its product and lands where the receiver listens.
    fn keep(&mut self) {
        let chosen: Vec<usize> = self.chosen.iter().copied().flatten().collect();
        let product = Frequency::hz(self.partial());
        if self.is_the_one_spelling(&chosen)
            && self.spans.iter().any(|span| span.contains(product))
            && !self.found.contains(&chosen)
        {
            self.found.push(chosen);
        }
    }

    /// Sources of equal coefficients stand in order, and no two sources share a frequency: such a product is the same
    /// as one of fewer signals.
    fn is_the_one_spelling(&self, chosen: &[usize]) -> bool {
        let frequency = |place: usize| self.arrivals.by_level.get(place).map(|one| one.frequency);
        chosen.iter().enumerate().all(|(index, &place)| {
            chosen
                .iter()
                .enumerate()
                .skip(index + 1)
                .all(|(later, &other)| {
                    frequency(place) != frequency(other)
                        && (self.coefficient(index) != self.coefficient(later) || place < other)
                })
        })
    }
}
