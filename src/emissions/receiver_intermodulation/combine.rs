//! From what arrives to the products that land where the receiver listens.
//!
//! Who must take part, because a leg under trial would otherwise be missing, is seated first, in every way. Of the others
//! the last is found by its frequency, and the last two, where the sums of pairs are kept, by theirs. All of it only saves
//! work: the plain enumeration in the tests finds the same products.

use std::sync::Arc;

use super::company::{Arrival, Company, Room, Sums};
use super::pattern::Pattern;
use crate::physics::mixing;
use crate::quantity::{Level, Offset, Span};
use crate::scenario::Legs;
use crate::scene::Receiver;

/// Who may take part in a product.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cast<'a> {
    /// Those who can bring what must be brought, and others.
    pub(super) guests: &'a [Arrival],
    /// Those who cannot.
    pub(super) company: &'a Company,
    /// Where the sums of pairs may be kept, for many who ask.
    pub(super) room: Option<&'a Room>,
    /// The intercepts of the receiver, by order.
    pub(super) intercepts: &'a [(u32, Level)],
}

/// What is looked for.
#[derive(Debug, Clone)]
pub(super) struct Hunt {
    /// Where a bare product would be heard.
    pub(super) span: Span,
    /// How far the widest product reaches from its middle, for each time a source enters.
    pub(super) reach: Offset,
    /// The faintest product that is still told.
    pub(super) floor: Level,
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

    /// The legs that a focus holds.
    pub(super) fn legs(focus: Legs) -> Vec<Self> {
        let legs = [Legs::FIRST, Legs::SECOND].into_iter();
        legs.filter(|&leg| focus.holds(leg))
            .map(Self::Leg)
            .collect()
    }

    /// What the sources must bring that the victim does not. A leg under trial is ours.
    pub(super) fn beyond(receiver: &Receiver, focus: Legs) -> Vec<Self> {
        let mut legs = Self::legs(focus);
        legs.retain(|need| !matches!(*need, Self::Leg(leg) if receiver.legs.holds(leg)));
        if legs.is_empty() && !receiver.owner.is_ours() {
            vec![Self::Ours]
        } else {
            legs
        }
    }
}

/// A product.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Found {
    /// Transmitters of the scene with their coefficients.
    pub(super) terms: Vec<(usize, i64)>,
    /// Level before the first stage.
    pub(super) level: Level,
}

impl Cast<'_> {
    /// So many of the strongest, with their levels in dBm.
    fn strongest_few(&self, count: usize) -> Vec<(Seat, f64)> {
        let guests = self.guests.iter().enumerate();
        let guests = guests.map(|(guest, one)| (Seat::Guest(guest), one.level.as_dbm()));
        let company = self.company.by_level().iter().enumerate();
        let company = company.map(|(place, one)| (Seat::Taken(place), one.level.as_dbm()));
        let mut all: Vec<(Seat, f64)> = guests.chain(company.take(count)).collect();
        all.sort_by(|one, other| other.1.total_cmp(&one.1));
        all.truncate(count);
        all
    }

    fn strongest(&self) -> Option<f64> {
        let guests = self.guests.iter();
        let all = guests.chain(self.company.by_level().first());
        all.map(|arrival| arrival.level).max().map(Level::as_dbm)
    }

    fn intercept(&self, order: u32) -> Option<Level> {
        let mut all = self.intercepts.iter();
        all.find(|(of, _)| *of == order).map(|&(_, level)| level)
    }

    /// The lowest and the highest frequency of any of them, in hertz.
    fn extremes(&self) -> (i64, i64) {
        let guests = self.guests.iter().map(|guest| guest.frequency.as_hz());
        let all = guests.chain(self.company.extremes().into_iter().flatten());
        all.fold((i64::MAX, 0), |(low, high), one| {
            (low.min(one), high.max(one))
        })
    }

    /// The level of the strongest that can bring what is hardest to bring: one of the sources is no stronger.
    fn scarcest(&self, needs: &[Need]) -> Option<f64> {
        let most = |need: &Need| {
            let able = self.guests.iter().filter(|guest| need.is_met_by(guest));
            able.map(|guest| guest.level.as_dbm())
                .fold(f64::NEG_INFINITY, f64::max)
        };
        let strongest = self.strongest()?;
        Some(needs.iter().map(most).fold(strongest, f64::min))
    }

    /// Those of some patterns whose products could be as strong as a floor.
    pub(super) fn audible<'p>(
        &self,
        patterns: &[&'p Pattern],
        (floor, needs): (Level, &[Need]),
    ) -> Vec<&'p Pattern> {
        let Some(scarcest) = self.scarcest(needs).filter(|&most| most >= floor.as_dbm()) else {
            return Vec::new();
        };
        let strongest = self.strongest_few(most_signals(patterns)).into_iter();
        let strongest: Vec<f64> = strongest.map(|one| one.1).collect();
        let is_audible = |pattern: &&Pattern| {
            let intercept = self.intercept(pattern.order);
            intercept.is_some_and(|intercept| {
                pattern.might_come_to(pattern.needed(intercept, floor), &strongest, scarcest)
            })
        };
        patterns.iter().copied().filter(is_audible).collect()
    }
}

/// Of how many signals the product with the most of them is.
fn most_signals(patterns: &[&Pattern]) -> usize {
    let signals = patterns.iter().map(|one| one.coefficients.len());
    signals.max().unwrap_or(0)
}

/// Every product that lands where it is looked for and is strong enough to be told, pattern by pattern.
pub(super) fn combine(cast: &Cast<'_>, patterns: &[&Pattern], hunt: &Hunt) -> Vec<Found> {
    let mut found = Vec::new();
    let strongest = &cast.strongest_few(most_signals(patterns));
    let extremes = cast.extremes();
    // Where a product of a pattern would be heard.
    let stretch = |pattern: &Pattern| {
        let reach = hunt.reach.as_hz().saturating_mul(i64::from(pattern.order));
        (
            hunt.span.low.as_hz().saturating_sub(reach),
            hunt.span.high.as_hz().saturating_add(reach),
        )
    };
    let patterns = patterns.iter().copied();
    let near: Vec<&Pattern> = patterns
        .filter(|pattern| pattern.reaches(stretch(pattern), extremes))
        .collect();
    let mut kept = Vec::new();
    for pattern in cast.audible(&near, (hunt.floor, &hunt.needs)) {
        let Some(intercept) = cast.intercept(pattern.order) else {
            continue;
        };
        let (low, high) = stretch(pattern);
        let mut search = Search {
            cast,
            hunt,
            coefficients: &pattern.coefficients,
            by_size: &pattern.by_size,
            needed: pattern.needed(intercept, hunt.floor),
            strongest,
            low,
            high,
            seats: Vec::with_capacity(pattern.coefficients.len()),
            kept: &mut kept,
            found: Vec::new(),
        };
        search.seat(Begun { sum: 0.0, hertz: 0 });
        found.extend(search.found.into_iter().filter_map(|chosen| {
            let found = product(&pattern.coefficients, intercept, chosen);
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

/// The product of some arrivals, one for each coefficient; those of equal ones are put in order.
fn product(coefficients: &[i64], intercept: Level, mut chosen: Vec<Arrival>) -> Found {
    let mut begin = 0;
    for run in coefficients.chunk_by(|one, other| one == other) {
        let end = begin + run.len();
        if let Some(alike) = chosen.get_mut(begin..end) {
            alike.sort_by_key(Arrival::place);
        }
        begin = end;
    }
    let sources = || chosen.iter().zip(coefficients);
    let levels: Vec<(i64, Level)> = sources().map(|(arrival, &c)| (c, arrival.level)).collect();
    Found {
        terms: sources()
            .map(|(arrival, &c)| (arrival.transmitter, c))
            .collect(),
        level: limited(mixing::intermod_level(&levels, intercept), &levels),
    }
}

/// What the chosen sources of a product come to.
#[derive(Debug, Clone, Copy)]
struct Begun {
    /// The sum of their levels, each times its coefficient.
    sum: f64,
    /// The sum of their frequencies, each times its coefficient.
    hertz: i64,
}

/// Who is at a position of a pattern.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Seat {
    /// A guest, by place.
    Guest(usize),
    /// Somebody of the company, found later.
    Open,
    /// One of the company, by place.
    Taken(usize),
}

struct Search<'a> {
    cast: &'a Cast<'a>,
    hunt: &'a Hunt,
    coefficients: &'a [i64],
    /// Positions, the one with the largest coefficient first.
    by_size: &'a [usize],
    needed: f64,
    /// As many of the strongest as there are positions, or more.
    strongest: &'a [(Seat, f64)],
    /// Where a product of this order would be heard.
    low: i64,
    high: i64,
    /// By position.
    seats: Vec<Seat>,
    /// The sums that were asked for already, by coefficients: many ask for the same ones.
    kept: &'a mut Vec<((i64, i64), Arc<Sums>)>,
    found: Vec<Vec<Arrival>>,
}

impl Search<'_> {
    /// What pairs of the company come to, as far as their levels add up to a least one.
    fn sums(&mut self, coefficients: (i64, i64), least: f64) -> Option<Arc<Sums>> {
        let known = |one: &((i64, i64), Arc<Sums>)| one.0 == coefficients && one.1.holds(least);
        if let Some((_, sums)) = self.kept.iter().find(|one| known(one)) {
            return Some(Arc::clone(sums));
        }
        let (p, q) = coefficients;
        let sums = self.cast.company.sums(p, q, least, self.cast.room?)?;
        self.kept.push((coefficients, Arc::clone(&sums)));
        Some(sums)
    }

    /// Seats guests in every way, then the company where they left room. Where coefficients are equal, guests come first
    /// and in their order: so each product is spelt once.
    fn seat(&mut self, begun: Begun) {
        let position = self.seats.len();
        if position == self.coefficients.len() {
            if self.has_all() {
                self.fill(0, begun);
            }
            return;
        }
        let before = position.checked_sub(1);
        let before =
            before.filter(|&before| self.coefficient(before) == self.coefficient(position));
        let before = before.and_then(|before| self.seats.get(before).copied());
        let first = match before {
            None => 0,
            Some(Seat::Guest(guest)) => guest + 1,
            Some(_) => usize::MAX,
        };
        let guests = self.cast.guests;
        for (guest, arrival) in guests.iter().enumerate().skip(first) {
            if !self.seats.contains(&Seat::Guest(guest))
                && let Some(next) = self.with((position, Seat::Guest(guest)), arrival, begun)
            {
                self.seats.push(Seat::Guest(guest));
                self.seat(next);
                self.seats.pop();
            }
        }
        if self.hunt.needs.len() <= self.seats_left(position) {
            self.seats.push(Seat::Open);
            self.seat(begun);
            self.seats.pop();
        }
    }

    /// How many guests can still be seated when the company takes a position.
    fn seats_left(&self, position: usize) -> usize {
        let seated = self.seats.iter();
        let seated = seated.filter(|seat| matches!(seat, Seat::Guest(_))).count();
        seated + self.coefficients.len() - position - 1
    }

    /// Whether the guests who are seated bring all that is needed.
    fn has_all(&self) -> bool {
        self.hunt.needs.iter().all(|need| {
            self.seats.iter().any(|seat| match *seat {
                Seat::Guest(guest) => {
                    let guest = self.cast.guests.get(guest);
                    guest.is_some_and(|guest| need.is_met_by(guest))
                }
                _ => false,
            })
        })
    }

    /// Puts the company at the open positions in every way, from one on.
    fn fill(&mut self, from: usize, begun: Begun) {
        let Some(position) = self.open(from) else {
            self.keep(begun);
            return;
        };
        let Some(other) = self.open(position + 1) else {
            self.fill_last(position, begun);
            return;
        };
        if self.open(other + 1).is_none() && self.fill_two(position, other, begun) {
            return;
        }
        let company = self.cast.company;
        // Whoever sits here, the others come to no more than this; who sits here does not sit there too.
        let rest = self.rest(position, Seat::Open);
        for (place, arrival) in company.by_level().iter().enumerate() {
            let most = begun.sum + self.times(position) * arrival.level.as_dbm() + rest;
            if most < self.needed {
                break;
            }
            let seat = Seat::Taken(place);
            if self.may_sit(position, place)
                && let Some(next) = self.with((position, seat), arrival, begun)
            {
                self.put(position, Seat::Taken(place));
                self.fill(position + 1, next);
                self.put(position, Seat::Open);
            }
        }
    }

    /// The last source must bring the product where it is heard: only a stretch of frequencies can.
    fn fill_last(&mut self, position: usize, begun: Begun) {
        let coefficient = self.coefficient(position);
        let (one, other) = (self.low - begun.hertz, self.high - begun.hertz);
        let (low, high) = if coefficient > 0 {
            (one, other)
        } else {
            (-other, -one)
        };
        let size = coefficient.abs().max(1);
        let (low, high) = (low.div_euclid(size), high.div_euclid(size) + 1);
        let company = self.cast.company;
        for (place, arrival) in company.between(low, high) {
            if self.may_sit(position, place)
                && let Some(whole) = self.with((position, Seat::Taken(place)), arrival, begun)
            {
                self.put(position, Seat::Taken(place));
                self.keep(whole);
                self.put(position, Seat::Open);
            }
        }
    }

    /// The last two by what they add up to, where that is kept.
    fn fill_two(&mut self, position: usize, other: usize, begun: Begun) -> bool {
        let least = self.needed - begun.sum;
        let coefficients = (self.coefficient(position), self.coefficient(other));
        let Some(sums) = self.sums(coefficients, least) else {
            return false;
        };
        let (low, high) = (self.low - begun.hertz, self.high - begun.hertz);
        for sum in sums.between(low, high, least) {
            let [one, two] = sum.places.map(|place| place as usize);
            if self.may_sit(position, one) {
                self.put(position, Seat::Taken(one));
                if self.may_sit(other, two) {
                    self.put(other, Seat::Taken(two));
                    self.keep(Begun {
                        hertz: begun.hertz + sum.hertz,
                        ..begun
                    });
                    self.put(other, Seat::Open);
                }
                self.put(position, Seat::Open);
            }
        }
        true
    }

    /// The first open position from one on.
    fn open(&self, from: usize) -> Option<usize> {
        let mut seats = self.seats.iter().enumerate().skip(from);
        seats
            .find(|(_, seat)| **seat == Seat::Open)
            .map(|(position, _)| position)
    }

    /// Whether one of the company may sit at a position: sits nowhere else, and comes after those at equal coefficients.
    fn may_sit(&self, position: usize, place: usize) -> bool {
        self.seats.iter().enumerate().all(|(at, seat)| match *seat {
            Seat::Taken(taken) => {
                taken != place
                    && (self.coefficient(at) != self.coefficient(position)
                        || (at < position) == (taken < place))
            }
            Seat::Guest(_) | Seat::Open => true,
        })
    }

    /// What it comes to once a source stands at a position; none when the product can no longer be strong enough.
    fn with(
        &self,
        (position, seat): (usize, Seat),
        arrival: &Arrival,
        begun: Begun,
    ) -> Option<Begun> {
        let sum = begun.sum + self.times(position) * arrival.level.as_dbm();
        (sum + self.rest(position, seat) >= self.needed).then(|| Begun {
            sum,
            hertz: begun.hertz + self.coefficient(position) * arrival.frequency.as_hz(),
        })
    }

    /// What the levels of all who are still to come add up to at most, each times its coefficient, once a source stands at a
    /// position: the strongest at the largest coefficient, and each once.
    fn rest(&self, position: usize, seat: Seat) -> f64 {
        let is_left = |one: &&(Seat, f64)| one.0 != seat && !self.seats.contains(&one.0);
        let mut left = self.strongest.iter().filter(is_left);
        let open = self
            .by_size
            .iter()
            .filter(|&&at| at != position && matches!(self.seats.get(at), None | Some(Seat::Open)));
        let levels = open.map(|&at| {
            let level = left.next().map_or(f64::NEG_INFINITY, |one| one.1);
            self.times(at) * level
        });
        levels.sum()
    }

    /// How often the source at a position enters.
    #[expect(
        clippy::cast_precision_loss,
        reason = "a coefficient is a small number"
    )]
    fn times(&self, position: usize) -> f64 {
        self.coefficient(position).unsigned_abs() as f64
    }

    fn coefficient(&self, position: usize) -> i64 {
        self.coefficients.get(position).copied().unwrap_or(1)
    }

    fn put(&mut self, position: usize, seat: Seat) {
        if let Some(place) = self.seats.get_mut(position) {
            *place = seat;
        }
    }

    /// Keeps a full choice that lands where it is heard and of which no two sources share a frequency: such a product is
    /// the same as one of fewer signals.
    fn keep(&mut self, whole: Begun) {
        if whole.hertz < self.low || whole.hertz > self.high {
            return;
        }
        let seats = self.seats.iter().filter_map(|seat| match *seat {
            Seat::Guest(guest) => self.cast.guests.get(guest),
            Seat::Taken(place) => self.cast.company.by_level().get(place),
            Seat::Open => None,
        });
        let chosen: Vec<Arrival> = seats.copied().collect();
        let shares = |one: usize| {
            let later = chosen.iter().skip(one + 1);
            let own = chosen.get(one).map(|own| own.frequency);
            later
                .map(|other| Some(other.frequency))
                .any(|other| other == own)
        };
        if !(0..chosen.len()).any(shares) {
            self.found.push(chosen);
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::pattern::patterns;
    use super::*;
    use crate::quantity::Frequency;
    use crate::scene::Scene;
    use crate::scene::sample::{CROWDED, plan};

    /// Every choice of distinct arrivals for every pattern, one after the other.
    fn plain(cast: &Cast<'_>, patterns: &[Pattern], hunt: &Hunt) -> Vec<Found> {
        let mut all = cast.guests.to_vec();
        all.extend(cast.company.by_level());
        all.sort_by_key(Arrival::place);
        let mut found = Vec::new();
        for pattern in patterns {
            let Some(intercept) = cast.intercept(pattern.order) else {
                continue;
            };
            let count = all.len();
            let signals = pattern.coefficients.len();
            let reach = Offset::hz(hunt.reach.as_hz() * i64::from(pattern.order));
            let span = hunt.span.widened(reach);
            for number in 0..count.pow(u32::try_from(signals).unwrap()) {
                let chosen: Vec<usize> = (0..signals)
                    .rev()
                    .map(|at| number / count.pow(u32::try_from(at).unwrap()) % count)
                    .collect();
                let of = |place: usize| all[place];
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
                let needed = hunt
                    .needs
                    .iter()
                    .all(|need| chosen.iter().any(|&place| need.is_met_by(&of(place))));
                let chosen = chosen.into_iter().map(of).collect();
                let product = product(&pattern.coefficients, intercept, chosen);
                let lands = span.contains(Frequency::hz(sum));
                if distinct && lands && needed && product.level >= hunt.floor {
                    found.push(product);
                }
            }
        }
        found
    }

    fn in_order(mut found: Vec<Found>) -> Vec<Found> {
        found.sort_by(|one, other| one.terms.cmp(&other.terms));
        found
    }

    fn arrivals() -> impl Strategy<Value = Vec<Arrival>> {
        // A coarse raster makes landings and equal frequencies common.
        let one = (1i64..60, -60i32..20, 0usize..4, any::<bool>());
        proptest::collection::vec(one, 1..7).prop_map(|all| {
            let arrivals = all.into_iter().enumerate();
            let of = |(transmitter, (place, level, leg, is_ours))| Arrival {
                transmitter,
                frequency: Frequency::hz(100_000 + place * 100),
                level: Level::dbm(f64::from(level)),
                legs: if leg < 2 { Legs::of(leg) } else { Legs::NONE },
                is_ours: is_ours || leg < 2,
            };
            arrivals.map(of).collect()
        })
    }

    #[test]
    fn what_the_victim_does_not_bring_its_sources_must() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let with = |is_ours: bool, legs: Legs| {
            let mut all = scene.receivers.iter();
            let mut one = all
                .find(|one| one.owner.is_ours() == is_ours)
                .unwrap()
                .clone();
            one.legs = legs;
            one
        };
        let [first, second] = [Legs::FIRST, Legs::SECOND].map(Need::Leg);
        for (is_ours, legs, focus, needs) in [
            (true, Legs::NONE, Legs::NONE, vec![]),
            (false, Legs::NONE, Legs::NONE, vec![Need::Ours]),
            (true, Legs::NONE, Legs::FIRST, vec![first]),
            (false, Legs::NONE, Legs::SECOND, vec![second]),
            (false, Legs::NONE, Legs::BOTH, vec![first, second]),
            (true, Legs::FIRST, Legs::FIRST, vec![]),
            (true, Legs::FIRST, Legs::BOTH, vec![second]),
            (true, Legs::SECOND, Legs::BOTH, vec![first]),
            (true, Legs::BOTH, Legs::BOTH, vec![]),
        ] {
            let receiver = with(is_ours, legs);
            assert_eq!(Need::beyond(&receiver, focus), needs, "{legs:?} {focus:?}");
        }
    }

    fn arrival(level: f64, legs: Legs, is_ours: bool) -> Arrival {
        Arrival {
            transmitter: 0,
            frequency: Frequency::hz(145_000_000),
            level: Level::dbm(level),
            legs,
            is_ours,
        }
    }

    #[test]
    fn a_leg_is_brought_by_whoever_rests_on_it_and_ours_by_one_of_ours() {
        let need = Need::Leg(Legs::FIRST);
        assert!(need.is_met_by(&arrival(0.0, Legs::FIRST, true)));
        assert!(need.is_met_by(&arrival(0.0, Legs::BOTH, true)));
        assert!(!need.is_met_by(&arrival(0.0, Legs::SECOND, true)));
        assert!(!need.is_met_by(&arrival(0.0, Legs::NONE, true)));
        assert!(Need::Ours.is_met_by(&arrival(0.0, Legs::NONE, true)));
        assert!(!Need::Ours.is_met_by(&arrival(0.0, Legs::NONE, false)));
    }

    /// One of the sources is no stronger than the strongest who can bring what fewest can bring strongly.
    #[test]
    fn the_scarcest_is_the_weakest_of_the_strongest_that_can_bring_each_need() {
        let of = |guests: &[Arrival], company: &[f64], needs: &[Need]| {
            let others = company
                .iter()
                .map(|&level| arrival(level, Legs::NONE, false));
            let cast = Cast {
                guests,
                company: &Company::of(others.collect()),
                room: None,
                intercepts: &[],
            };
            (cast.strongest(), cast.scarcest(needs))
        };
        let guests = [
            arrival(-30.0, Legs::FIRST, true),
            arrival(-42.0, Legs::SECOND, true),
            arrival(-37.0, Legs::SECOND, true),
        ];
        let [first, second] = [Legs::FIRST, Legs::SECOND].map(Need::Leg);
        assert_eq!(
            of(&guests, &[-50.0, -25.0], &[first]),
            (Some(-25.0), Some(-30.0))
        );
        assert_eq!(
            of(&guests, &[-50.0], &[first, second]),
            (Some(-30.0), Some(-37.0))
        );
        // Nothing need be brought: no source is stronger than the strongest.
        assert_eq!(of(&guests, &[-25.0], &[]), (Some(-25.0), Some(-25.0)));
        assert_eq!(of(&[], &[], &[first]), (None, None));
        // Nobody can bring it.
        assert_eq!(
            of(&guests[..1], &[-25.0], &[second]).1,
            Some(f64::NEG_INFINITY)
        );
    }

    /// With nothing to spare: what is left out by a bound that is a little too low is not found again.
    #[test]
    fn each_product_is_found_where_only_its_very_frequency_and_level_are_looked_for() {
        let places = [100_000, 100_700, 101_900, 104_100, 107_300];
        for (levels, intercept) in [
            ([20.0, 14.0, 11.0, 6.0, 3.0], 60.0),
            ([-20.0, -26.0, -29.0, -34.0, -47.0], 20.0),
        ] {
            let all: Vec<Arrival> = (places.into_iter().zip(levels).enumerate())
                .map(|(transmitter, (place, level))| Arrival {
                    transmitter,
                    frequency: Frequency::hz(place),
                    ..arrival(level, Legs::NONE, transmitter == 1)
                })
                .collect();
            for (guests, needs) in [(0, vec![]), (2, vec![]), (2, vec![Need::Ours])] {
                let (company, room) = (Company::of(all[guests..].to_vec()), Room::default());
                for room in [None, Some(&room)] {
                    let cast = Cast {
                        guests: &all[..guests],
                        company: &company,
                        room,
                        intercepts: &[2, 3, 5, 7].map(|order| (order, Level::dbm(intercept))),
                    };
                    let hunt = |low: i64, high: i64, floor: Level| Hunt {
                        span: Span::between(Frequency::hz(low), Frequency::hz(high)),
                        reach: Offset::hz(0),
                        floor,
                        needs: needs.clone(),
                    };
                    for pattern in patterns(5, 3) {
                        let anything = hunt(1, 1_000_000, Level::dbm(-2_000.0));
                        for one in plain(&cast, std::slice::from_ref(&pattern), &anything) {
                            let terms = one.terms.iter();
                            let hertz = terms.map(|&(at, c)| c * places[at]).sum();
                            let found = combine(&cast, &[&pattern], &hunt(hertz, hertz, one.level));
                            assert!(found.contains(&one), "{one:?} of {found:?}");
                        }
                    }
                }
            }
        }
    }

    proptest! {
        #[test]
        fn the_guided_search_finds_what_plain_enumeration_finds(
            arrivals in arrivals(),
            low in 0i64..1_000,
            width in 0i64..4_000,
            reach in 0i64..40,
            floor in -200i32..-60,
            need in 0usize..5,
            are_all_guests in any::<bool>(),
            are_sums_kept in any::<bool>(),
        ) {
            let patterns = patterns(7, 3);
            let needs = match need {
                0 => vec![],
                1 => vec![Need::Leg(Legs::FIRST)],
                2 => vec![Need::Leg(Legs::SECOND)],
                3 => vec![Need::Leg(Legs::FIRST), Need::Leg(Legs::SECOND)],
                _ => vec![Need::Ours],
            };
            let low = Frequency::hz(90_000 + low * 10);
            let hunt = Hunt {
                span: Span::between(low, low + Offset::hz(width * 10)),
                reach: Offset::hz(reach),
                floor: Level::dbm(f64::from(floor)),
                needs,
            };
            let is_guest = |one: &Arrival| are_all_guests || hunt.needs.iter().any(|need| need.is_met_by(one));
            let (guests, others): (Vec<Arrival>, Vec<Arrival>) = arrivals.into_iter().partition(is_guest);
            let (company, room) = (Company::of(others), Room::default());
            let cast = Cast {
                guests: &guests,
                company: &company,
                room: are_sums_kept.then_some(&room),
                intercepts: &[2, 3, 5, 7].map(|order| (order, Level::dbm(20.0 - 4.0 * f64::from(order)))),
            };
            // The sums that were kept for a higher floor serve a lower one as well.
            let higher = Hunt { floor: hunt.floor + crate::quantity::Decibels::db(30.0), ..hunt.clone() };
            for hunt in [&higher, &hunt] {
                let found = in_order(combine(&cast, &patterns.iter().collect::<Vec<_>>(), hunt));
                prop_assert_eq!(&found, &in_order(plain(&cast, &patterns, hunt)));
            }
        }
    }
}
