//! From what arrives to the products that land where the receiver listens.
//!
//! Sources that must take part, because a leg under trial would otherwise be missing, are placed first; the last free
//! source is found by its frequency. Both only save work: the plain enumeration in the tests finds the same products.

use super::arrivals::{Arrival, Arrivals};
use super::pattern::Pattern;
use crate::physics::mixing;
use crate::quantity::{Frequency, Level, Span};
use crate::scenario::Legs;
use crate::scene::Receiver;

/// What is looked for.
#[derive(Debug, Clone)]
pub(super) struct Hunt<'a> {
    /// Where a product would be heard.
    pub(super) spans: &'a [Span],
    /// The faintest product that is still told.
    pub(super) floor: Level,
    /// Sources may rest on these legs only.
    pub(super) focus: Legs,
    /// What the sources must bring.
    pub(super) needs: Vec<Need>,
}

/// Something that a source of the product must bring.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Need {
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

    /// What the sources must bring that the victim does not. A leg under trial is ours.
    pub(super) fn beyond(receiver: &Receiver, focus: Legs) -> Vec<Self> {
        let legs: Vec<Self> = [Legs::FIRST, Legs::SECOND]
            .into_iter()
            .filter(|&leg| focus.holds(leg) && !receiver.legs.holds(leg))
            .map(Self::Leg)
            .collect();
        if legs.is_empty() && !receiver.owner.is_ours() {
            vec![Self::Ours]
        } else {
            legs
        }
    }
}

/// A product: for each source its place in the arrivals by level and its coefficient, and the level.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Found {
    /// Transmitters of the scene with their coefficients.
    pub(super) terms: Vec<(usize, i64)>,
    /// Level before the first stage.
    pub(super) level: Level,
}

/// Every product that lands in one of the spans and is strong enough to be told, pattern by pattern.
pub(super) fn combine(arrivals: &Arrivals, patterns: &[Pattern], hunt: &Hunt<'_>) -> Vec<Found> {
    let mut found = Vec::new();
    let Some(strongest) = arrivals.by_level.first() else {
        return found;
    };
    // By need, who can bring it.
    let bringers: Vec<Vec<usize>> = hunt
        .needs
        .iter()
        .map(|need| {
            let all = arrivals.by_level.iter().enumerate();
            all.filter(|(_, one)| need.is_met_by(one) && hunt.focus.holds(one.legs))
                .map(|(place, _)| place)
                .collect()
        })
        .collect();
    if bringers.iter().any(Vec::is_empty) {
        return found;
    }
    for pattern in patterns {
        let Some(intercept) = arrivals.intercept(pattern.order) else {
            continue;
        };
        let order = f64::from(pattern.order);
        // What the levels of the sources, each times its coefficient, must add up to.
        let needed =
            hunt.floor.as_dbm() + (order - 1.0) * intercept.as_dbm() - pattern.shape.as_db();
        if order * strongest.level.as_dbm() < needed
            || hunt.needs.len() > pattern.coefficients.len()
        {
            continue;
        }
        let mut search = Search {
            arrivals,
            coefficients: &pattern.coefficients,
            focus: hunt.focus,
            needed,
            strongest: strongest.level.as_dbm(),
            spans: hunt.spans,
            chosen: vec![NOBODY; pattern.coefficients.len()],
            found: Vec::new(),
        };
        search.place_required(
            &bringers,
            Begun {
                sum: 0.0,
                left: order,
                hertz: 0,
            },
        );
        // Which way a product was found must not show.
        search.found.sort_unstable();
        search.found.dedup();
        found.extend(search.found.iter().filter_map(|chosen| {
            let found = product(arrivals, pattern, intercept, chosen);
            (found.level >= hunt.floor).then_some(found)
        }));
    }
    found
}

/// A product cannot leave a stage stronger than the faintest of its sources entered it: past compression the power
/// series that the intercept stands for no longer holds.
///
/// # Source
/// Common practice: saturation of a limiting stage.
pub(super) fn limited(product: Level, sources: &[(i64, Level)]) -> Level {
    sources
        .iter()
        .map(|&(_, level)| level)
        .min()
        .map_or(product, |faintest| product.min(faintest))
}

/// The product of some arrivals in a pattern.
fn product(arrivals: &Arrivals, pattern: &Pattern, intercept: Level, chosen: &[usize]) -> Found {
    let sources = || {
        chosen
            .iter()
            .filter_map(|&place| arrivals.by_level.get(place))
            .zip(&pattern.coefficients)
    };
    let levels: Vec<(i64, Level)> = sources().map(|(arrival, &c)| (c, arrival.level)).collect();
    Found {
        terms: sources()
            .map(|(arrival, &c)| (arrival.transmitter, c))
            .collect(),
        level: limited(mixing::intermod_level(&levels, intercept), &levels),
    }
}

/// Where no source stands yet.
const NOBODY: usize = usize::MAX;

/// What the chosen sources of a product come to.
#[derive(Debug, Clone, Copy)]
struct Begun {
    /// The sum of their levels, each times its coefficient.
    sum: f64,
    /// How many times the strongest could still enter.
    left: f64,
    /// The sum of their frequencies, each times its coefficient.
    hertz: i64,
}

struct Search<'a> {
    arrivals: &'a Arrivals,
    coefficients: &'a [i64],
    focus: Legs,
    needed: f64,
    strongest: f64,
    spans: &'a [Span],
    /// The place in `by_level` of the source at each position.
    chosen: Vec<usize>,
    found: Vec<Vec<usize>>,
}

impl Search<'_> {
    /// Puts a source of every missing leg at each position in turn, then fills the rest.
    fn place_required(&mut self, missing: &[Vec<usize>], begun: Begun) {
        let Some((bringers, rest)) = missing.split_first() else {
            self.fill(begun);
            return;
        };
        for position in 0..self.chosen.len() {
            if self.chosen.get(position) != Some(&NOBODY) {
                continue;
            }
            for &place in bringers {
                let Some(next) = self.with(position, place, begun) else {
                    break;
                };
                if self.is_free(place) {
                    self.choose(position, place);
                    self.place_required(rest, next);
                    self.choose(position, NOBODY);
                }
            }
        }
    }

    /// Fills the first empty position in every way; the last one by frequency.
    fn fill(&mut self, begun: Begun) {
        let empty = |chosen: &[usize]| chosen.iter().position(|&place| place == NOBODY);
        let Some(position) = empty(&self.chosen) else {
            self.keep(begun);
            return;
        };
        let after = self.chosen.get(position + 1..).unwrap_or_default();
        if empty(after).is_none() {
            self.fill_last(position, begun);
            return;
        }
        for place in 0..self.arrivals.by_level.len() {
            let Some(next) = self.with(position, place, begun) else {
                break;
            };
            if self.is_allowed(place) {
                self.choose(position, place);
                self.fill(next);
                self.choose(position, NOBODY);
            }
        }
    }

    /// The last source must bring the product into a span: only a stretch of frequencies can.
    fn fill_last(&mut self, position: usize, begun: Begun) {
        let coefficient = self.coefficient(position);
        let arrivals = self.arrivals;
        for span in self.spans {
            let (one, other) = (
                span.low.as_hz() - begun.hertz,
                span.high.as_hz() - begun.hertz,
            );
            let (low, high) = if coefficient > 0 {
                (one, other)
            } else {
                (-other, -one)
            };
            let size = coefficient.abs();
            let (low, high) = (low.div_euclid(size), high.div_euclid(size) + 1);
            let begin = arrivals.by_frequency.partition_point(|one| one.0 < low);
            let near = arrivals.by_frequency.iter().skip(begin);
            for &(_, place) in near.take_while(|one| one.0 <= high) {
                if let Some(whole) = self.with(position, place, begun)
                    && self.is_allowed(place)
                {
                    self.choose(position, place);
                    self.keep(whole);
                    self.choose(position, NOBODY);
                }
            }
        }
    }

    /// What it comes to once a source stands at a position; none when the product can no longer be strong enough.
    fn with(&self, position: usize, place: usize, begun: Begun) -> Option<Begun> {
        let arrival = self.arrivals.by_level.get(place)?;
        let coefficient = self.coefficient(position);
        #[expect(
            clippy::cast_precision_loss,
            reason = "a coefficient is a small number"
        )]
        let times = coefficient.unsigned_abs() as f64;
        let sum = begun.sum + times * arrival.level.as_dbm();
        let left = begun.left - times;
        // The millionth keeps rounding from deciding.
        (sum + left * self.strongest >= self.needed - 1e-6).then(|| Begun {
            sum,
            left,
            hertz: begun.hertz + coefficient * arrival.frequency.as_hz(),
        })
    }

    fn coefficient(&self, position: usize) -> i64 {
        self.coefficients.get(position).copied().unwrap_or(1)
    }

    fn choose(&mut self, position: usize, place: usize) {
        if let Some(slot) = self.chosen.get_mut(position) {
            *slot = place;
        }
    }

    fn is_free(&self, place: usize) -> bool {
        !self.chosen.contains(&place)
    }

    fn is_allowed(&self, place: usize) -> bool {
        let arrival = self.arrivals.by_level.get(place);
        self.is_free(place) && arrival.is_some_and(|arrival| self.focus.holds(arrival.legs))
    }

    /// Keeps a full choice that is the one spelling of its product and lands where the receiver listens.
    fn keep(&mut self, whole: Begun) {
        let product = Frequency::hz(whole.hertz);
        if self.spans.iter().any(|span| span.contains(product))
            && self.is_the_one_spelling(&self.chosen)
        {
            self.found.push(self.chosen.clone());
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::pattern::patterns;
    use super::*;

    /// Every choice of distinct arrivals for every pattern, one after the other.
    fn plain(arrivals: &Arrivals, patterns: &[Pattern], hunt: &Hunt<'_>) -> Vec<Found> {
        let mut found = Vec::new();
        for pattern in patterns {
            let Some(intercept) = arrivals.intercept(pattern.order) else {
                continue;
            };
            let count = arrivals.by_level.len();
            let signals = pattern.coefficients.len();
            for number in 0..count.pow(u32::try_from(signals).unwrap()) {
                let chosen: Vec<usize> = (0..signals)
                    .rev()
                    .map(|at| number / count.pow(u32::try_from(at).unwrap()) % count)
                    .collect();
                let of = |place: usize| arrivals.by_level[place];
                let distinct = (0..signals).all(|one| {
                    (one + 1..signals).all(|other| {
                        of(chosen[one]).frequency != of(chosen[other]).frequency
                            && (pattern.coefficients[one] != pattern.coefficients[other]
                                || chosen[one] < chosen[other])
                    })
                });
                let sum: i64 = chosen
                    .iter()
                    .zip(&pattern.coefficients)
                    .map(|(&place, c)| c * of(place).frequency.as_hz())
                    .sum();
                let lands = hunt
                    .spans
                    .iter()
                    .any(|span| span.contains(Frequency::hz(sum)));
                let allowed = chosen.iter().all(|&place| hunt.focus.holds(of(place).legs));
                let needed = hunt
                    .needs
                    .iter()
                    .all(|need| chosen.iter().any(|&place| need.is_met_by(&of(place))));
                let product = product(arrivals, pattern, intercept, &chosen);
                if distinct && lands && allowed && needed && product.level >= hunt.floor {
                    found.push(product);
                }
            }
        }
        found
    }

    fn arrivals() -> impl Strategy<Value = Arrivals> {
        // A coarse raster makes landings and equal frequencies common.
        let one = (1i64..60, -60i32..0, 0usize..4, any::<bool>());
        proptest::collection::vec(one, 1..7).prop_map(|all| {
            let arrivals =
                all.into_iter()
                    .enumerate()
                    .map(|(transmitter, (place, level, leg, is_ours))| Arrival {
                        transmitter,
                        frequency: Frequency::hz(100_000 + place * 100),
                        level: Level::dbm(f64::from(level)),
                        legs: if leg < 2 { Legs::of(leg) } else { Legs::NONE },
                        is_ours: is_ours || leg < 2,
                    });
            Arrivals::sorted(
                arrivals.collect(),
                vec![(2, 20.0), (3, 0.0), (5, -2.0), (7, -3.0)],
            )
        })
    }

    proptest! {
        #[test]
        fn the_guided_search_finds_what_plain_enumeration_finds(
            arrivals in arrivals(),
            low in 0i64..1_000,
            width in 0i64..40,
            floor in -200i32..-60,
            need in 0usize..5,
        ) {
            let patterns = patterns(7, 3);
            let low = Frequency::hz(95_000 + low * 10);
            let high = Frequency::hz(low.as_hz() + width * 10);
            let (focus, needs) = match need {
                0 => (Legs::NONE, vec![]),
                1 => (Legs::FIRST, vec![Need::Leg(Legs::FIRST)]),
                2 => (Legs::BOTH, vec![Need::Leg(Legs::SECOND)]),
                3 => (Legs::BOTH, vec![Need::Leg(Legs::FIRST), Need::Leg(Legs::SECOND)]),
                _ => (Legs::NONE, vec![Need::Ours]),
            };
            let spans = [Span::between(low, high), Span::between(Frequency::hz(1_000), Frequency::hz(6_000))];
            let hunt = Hunt { spans: &spans, floor: Level::dbm(f64::from(floor)), focus, needs };
            prop_assert_eq!(combine(&arrivals, &patterns, &hunt), plain(&arrivals, &patterns, &hunt));
        }
    }
}
