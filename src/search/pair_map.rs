//! How every pair of a search fares, seen from afar: where the quiet is.
//!
//! The channels are thinned out to what a picture can show; each pair that is left is judged as any other candidate.

use rayon::prelude::*;

use super::candidates::channels;
use super::judge::{Depths, Judge};
use super::leg::{Leg, legs, whole};
use super::promise::Candidate;
use super::watch::Watch;
use crate::quantity::{Decibels, Frequency};
use crate::scenario::{Legs, Plan, Search, SearchRange};

/// The most channels of the first leg, and of the second, that a map looks at.
///
/// # Source
/// Choice: as many cells as a phone can show, in some seconds of work.
const MOST: [usize; 2] = [36, 21];

/// The worst margin of the pairs of a search, the first leg's channels by the second's.
#[derive(Debug, Clone, PartialEq)]
pub struct PairMap {
    /// Name of the search.
    pub search: String,
    /// The station it is for.
    pub station: String,
    /// Channels of the first leg, lowest first.
    pub first: Vec<Frequency>,
    /// Channels of the second leg, lowest first.
    pub second: Vec<Frequency>,
    /// Least margin of each pair, all second channels of the first first channel before those of the next; none where
    /// nothing came within the horizon.
    pub worst: Vec<Option<Decibels>>,
    /// Which of the pairs conflict, in the same order.
    pub refused: Vec<bool>,
    /// How many pairs the search has in all.
    pub considered: usize,
}

/// Looks over the pairs of a search; none where it does not look for pairs.
pub fn pair_map(plan: &Plan, search: &Search) -> Option<PairMap> {
    let SearchRange::CrossBand([first, second]) = &search.range else {
        return None;
    };
    let all = [first, second].map(|stretches| channels(stretches, search.step.value));
    let considered = all.iter().map(Vec::len).product();
    let [most_first, most_second] = MOST;
    let [first, second] = all;
    let (first, second) = (thinned(&first, most_first), thinned(&second, most_second));
    let judge = Judge::new(plan, search, [&first, &second]);
    let watch = Watch::default();
    let depths = &Depths::default();
    let of_first = legs(&judge, &first, (Legs::FIRST, Some(depths)), &watch);
    let of_second = legs(&judge, &second, (Legs::SECOND, Some(depths)), &watch);
    let pairs: Vec<(&Leg, &Leg)> = of_first
        .iter()
        .flat_map(|one| of_second.iter().map(move |other| (one, other)))
        .collect();
    let judged: Vec<Candidate> = pairs
        .par_iter()
        .map(|(one, other)| whole(&judge, one, other))
        .collect();
    Some(PairMap {
        search: search.name.clone(),
        station: plan.stations.get(search.station)?.name.clone(),
        first,
        second,
        worst: judged.iter().map(|one| one.tally.worst_margin).collect(),
        refused: judged.iter().map(|one| one.tally.conflicts > 0).collect(),
        considered,
    })
}

/// At most so many channels, the first among them and the others evenly spread.
fn thinned(channels: &[Frequency], most: usize) -> Vec<Frequency> {
    let step = channels.len().div_ceil(most.max(1)).max(1);
    channels.iter().copied().step_by(step).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_map_has_no_more_channels_than_it_can_show() {
        let channels: Vec<Frequency> = (0..101).map(Frequency::hz).collect();
        let found = thinned(&channels, 25);
        assert_eq!((found.len(), found.first()), (21, channels.first()));
        assert_eq!(thinned(&channels, 200), channels);
        assert_eq!(thinned(&[], 5), []);
    }

    /// The repeater sends on one of the three channels of the second leg.
    #[test]
    fn a_map_refuses_the_pairs_that_conflict_and_no_others() {
        let plan = crate::scene::sample::plan(
            "
settings: {order: 3}
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile}
in_use:
  - {name: Town, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43], antenna: 30 m}
search:
  - {name: pair, station: Relay, cross_band: [433.4000-433.4250, 145.3000-145.6500], step: 175 kHz}
",
        );
        let map = pair_map(&plan, &plan.searches[0]).unwrap();
        assert_eq!(
            (map.first.len(), map.second.len(), map.considered),
            (1, 3, 3)
        );
        assert_eq!(map.refused, [false, false, true]);
        let is_below = |worst: &Option<Decibels>| worst.is_some_and(|worst| worst < Decibels::ZERO);
        assert_eq!(
            map.worst.iter().map(is_below).collect::<Vec<_>>(),
            map.refused
        );
    }
}
