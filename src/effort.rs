//! How much work a question is, reckoned from the plan before any of it is done.
//!
//! What takes long is products: which carriers on the air add up to where somebody listens. How many there are to look at is
//! known beforehand. Most are given up early, so the figure is an upper one, good to a power of ten; it is told so. Whether a
//! question is too large is for whoever asks it: the library answers all of them.

use std::fmt;

use crate::quantity::{Offset, Span};
use crate::scenario::{Assign, Plan, Search, SearchRange, Use};

/// More products than this are not gone through unasked.
///
/// # Source
/// Measured with plans as in `benches/workload`: so many take `check` and `rank` some ten seconds, the longest that somebody
/// should wait unwarned: choice.
pub const CEILING: Effort = Effort(1_000_000_000_000);

/// A search judges legs by themselves and pairs as a whole, and where nothing is safe asks why: together about as much
/// as so many checks.
///
/// # Source
/// Measured: `rank` for 180 pairs against `check` on plans of 300, 430 and 1 000 neighbours, 3.5, 3.4 and 2.5 times, the channels
/// by themselves included; with fewer it is more, but nobody waits for these.
const CHECKS_IN_A_SEARCH: u128 = 2;

/// A map of pairs judges every channel to the end.
///
/// # Source
/// Choice: by what a search took when it did so too, 25 to 38 times a check.
const CHECKS_IN_A_MAP: u128 = 32;

/// The orders of products that are looked at.
const ORDERS: [u32; 4] = [2, 3, 5, 7];

/// How much work a question is, in products to be looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Effort(u128);

impl Effort {
    /// So many products.
    pub const fn products(count: u128) -> Self {
        Self(count)
    }

    /// Judging the plan as it stands and each of its proposals.
    pub fn of_check(plan: &Plan) -> Self {
        let asked = 1 + plan.proposals.len() as u128;
        Self(Crowd::of(plan).judged().saturating_mul(asked))
    }

    /// Answering a search.
    pub fn of_search(plan: &Plan, search: &Search) -> Self {
        let crowd = Crowd::of(plan);
        let checks = crowd.judged().saturating_mul(CHECKS_IN_A_SEARCH);
        let legs = legs(&search.range, search.step.value);
        let channels = legs.into_iter().fold(0, u128::saturating_add);
        let pairs = legs.into_iter().filter(|&leg| leg > 0);
        let pairs = pairs.fold(1, u128::saturating_mul);
        let alone = crowd.of_a_leg().saturating_mul(channels);
        Self(checks.saturating_add(alone).saturating_add(pairs))
    }

    /// Giving every open channel a frequency: each place of each channel is judged as a plan of its own.
    pub fn of_assign(plan: &Plan, open: &Assign) -> Self {
        let channels = open.channels.iter();
        let places = channels.flat_map(|channel| legs(&channel.range, channel.step.value));
        let places = places.fold(1, u128::saturating_add);
        Self(Crowd::of(plan).judged().saturating_mul(places))
    }

    /// Writing a report: everything judged, one proposal in its place, and a map of the pairs of each search.
    pub fn of_report(plan: &Plan) -> Self {
        let maps = CHECKS_IN_A_MAP.saturating_mul(plan.searches.len() as u128);
        let asked = maps.saturating_add(2 + plan.proposals.len() as u128);
        Self(Crowd::of(plan).judged().saturating_mul(asked))
    }

    /// Both, one after the other.
    pub const fn and(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl fmt::Display for Effort {
    /// `4.2·10⁹ products`: two figures, which is more than it is good for.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const RAISED: [char; 10] = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
        if self.0 < 10_000 {
            return f.pad(&format!("{} products", self.0));
        }
        let (mut hundredths, mut power) = (self.0, 2u32);
        while hundredths >= 1_000 {
            hundredths /= 10;
            power += 1;
        }
        let tenths = (hundredths + 5) / 10;
        let (tenths, power) = if tenths < 100 {
            (tenths, power)
        } else {
            (10, power + 1)
        };
        let power = power.to_string();
        let digits = power.chars().filter_map(|digit| digit.to_digit(10));
        let raised = digits.filter_map(|digit| RAISED.get(digit as usize));
        let raised: String = raised.collect();
        let text = match (tenths / 10, tenths % 10) {
            (figure, 0) => format!("{figure}·10{raised} products"),
            (figure, rest) => format!("{figure}.{rest}·10{raised} products"),
        };
        f.pad(&text)
    }
}

/// Who is on the air, as far as the work goes.
#[derive(Debug, Clone, Copy)]
struct Crowd {
    senders: u128,
    hearers: u128,
    /// Shapes of products: their coefficients up to the order and the number of signals that are looked at.
    shapes: u128,
}

impl Crowd {
    fn of(plan: &Plan) -> Self {
        let sites = plan.sites.len().max(1);
        let mut crowd = Self {
            senders: 0,
            hearers: (plan.guarded.len() * sites) as u128,
            shapes: shapes(plan.settings.order.value, plan.settings.signals.value),
        };
        let uses = plan.stations.iter().flat_map(|station| &station.uses);
        for one in uses {
            let (senders, hearers) = match one.what {
                Use::Talk { .. } | Use::Via { .. } => (1, 1),
                Use::Watch { .. } => (0, 1),
                Use::CrossBand { .. } => (2, 2),
            };
            crowd.senders += senders;
            crowd.hearers += hearers;
        }
        for entry in &plan.in_use {
            crowd.senders += u128::from(entry.output.is_some());
            crowd.hearers += u128::from(entry.input.is_some());
            // Nobody knows where those stand who listen to an output: one is near each site of ours.
            let listens = entry.listener.is_some() && entry.output.is_some();
            crowd.hearers += if listens { sites as u128 } else { 0 };
        }
        // What is under trial comes on top.
        crowd.senders += 2;
        crowd.hearers += 2;
        crowd
    }

    /// Everything judged once: who sends, in pairs, against who hears; further sources are looked up by frequency.
    fn judged(self) -> u128 {
        self.of_a_leg().saturating_mul(self.senders)
    }

    /// One channel judged by itself among those who stand.
    fn of_a_leg(self) -> u128 {
        let pairs = self.senders.saturating_mul(self.hearers);
        pairs.saturating_mul(self.shapes)
    }
}

/// How many shapes of products there are: lists of coefficients, none of them zero, in falling order.
fn shapes(highest_order: u32, most_signals: u32) -> u128 {
    let orders = ORDERS.into_iter().filter(|&order| order <= highest_order);
    orders
        .map(|order| {
            let order = i64::from(order);
            (1..=most_signals)
                .map(|signals| lists(order, order, signals))
                .sum::<u128>()
        })
        .sum()
}

/// How many lists of so many coefficients in falling order, none zero and none above `most`, have sizes that add up to `left`.
fn lists(left: i64, most: i64, count: u32) -> u128 {
    if count == 0 {
        return u128::from(left == 0);
    }
    let coefficients = (-left..=left.min(most)).filter(|&one| one != 0);
    coefficients
        .map(|one| lists(left - one.abs(), one, count - 1))
        .sum()
}

/// How many channels each leg of a search has; the second has none where there is one leg.
fn legs(range: &SearchRange, step: Offset) -> [u128; 2] {
    let count = |spans: &[Span]| {
        let widths = spans.iter().map(|span| span.width().as_hz().unsigned_abs());
        let counts = widths.map(|width| u128::from(width / step.as_hz().unsigned_abs().max(1)) + 1);
        counts.fold(0, u128::saturating_add)
    };
    match range {
        SearchRange::CrossBand([first, second]) => [count(first), count(second)],
        SearchRange::Watch(spans) | SearchRange::Talk(spans) => [count(spans), 0],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{NoFiles, read};

    fn plan(neighbours: usize, settings: &str, search: &str) -> Plan {
        let mut text = format!(
            "event: {{name: Many}}\nrules: [uk]\nlicence: full\nsettings: {{{settings}}}\nsites: {{hill: {{at: IO94ql}}}}\n\
             stations:\n  - {{name: Relay, site: hill, radio: dual-band-mobile}}\nin_use:\n"
        );
        for number in 0..neighbours {
            text += &format!(
                "  - {{name: N{number}, frequency: 145.5000, power: 5 W, distance: 6 km}}\n"
            );
        }
        text += &format!(
            "search:\n  - {{name: pair, station: Relay, cross_band: {search}, step: 12.5 kHz}}\n"
        );
        read("many.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|faults| panic!("{faults}"))
    }

    const ONE_PAIR: &str = "[433.4500, 145.2250]";

    #[test]
    fn an_effort_is_told_with_two_figures() {
        for (count, told) in [
            (0, "0 products"),
            (9_876, "9876 products"),
            (12_345, "1.2·10⁴ products"),
            (3_962_000_000, "4·10⁹ products"),
            (4_250_000_000, "4.3·10⁹ products"),
            (9_960_000_000, "1·10¹⁰ products"),
            (1_000_000_000_000, "1·10¹² products"),
            (u128::MAX, "3.4·10³⁸ products"),
        ] {
            assert_eq!(Effort(count).to_string(), told);
        }
    }

    /// Third order by hand: 3, −3; 2+1, 2−1, 1−2, −1−2; 1+1+1, 1+1−1, 1−1−1, −1−1−1. Second: 2, −2; 1+1, 1−1, −1−1.
    #[test]
    fn shapes_are_counted_as_by_hand() {
        assert_eq!(shapes(2, 1), 2);
        assert_eq!(shapes(2, 4), 5);
        assert_eq!(shapes(3, 2), 5 + 6);
        assert_eq!(shapes(3, 3), 5 + 10);
        assert!(shapes(7, 3) > 2 * shapes(5, 3) && shapes(7, 4) > shapes(7, 3));
    }

    #[test]
    fn work_grows_with_the_square_of_the_senders_and_with_who_hears() {
        let of = |neighbours| Effort::of_check(&plan(neighbours, "", ONE_PAIR)).0;
        let (some, many) = (of(100), of(1_000));
        assert!((100 * some..1_100 * some).contains(&many), "{some} {many}");
        let lower = Effort::of_check(&plan(100, "order: 3, signals: 2", ONE_PAIR)).0;
        assert!(5 * lower < some);
    }

    #[test]
    fn a_search_counts_channels_and_pairs_without_listing_them() {
        let plan = plan(3, "", "[430.0-439.9875, 144.0-145.9875]");
        let search = &plan.searches[0];
        assert_eq!(legs(&search.range, search.step.value), [800, 160]);
        let crowd = Crowd::of(&plan);
        let expected = 2 * crowd.judged() + 960 * crowd.of_a_leg() + 128_000;
        assert_eq!(Effort::of_search(&plan, search).0, expected);
        // However small the steps, it is a number at once.
        let mut search = search.clone();
        search.step.value = Offset::hz(1);
        assert!(Effort::of_search(&plan, &search) > CEILING);
    }
}
