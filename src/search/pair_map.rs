//! How every pair of a search fares, seen from afar: where the quiet is.
//!
//! The channels are thinned out to what a picture can show; each pair that is left is judged as any other candidate.

use rayon::prelude::*;

use super::candidates::channels;
use crate::assess::findings;
use crate::finding::{Finding, Severity};
use crate::quantity::{Decibels, Frequency};
use crate::scenario::{Channel, Legs, Plan, Proposal, Search, SearchRange, Use};
use crate::scene::{Ground, Scene, Trial};

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

/// What a pair, or a leg by itself, comes to.
#[derive(Debug, Clone, Copy, Default)]
struct Fare {
    worst: Option<Decibels>,
    is_refused: bool,
}

impl Fare {
    fn of(findings: &[Finding]) -> Self {
        Self {
            worst: findings.iter().filter_map(Finding::firm_margin).min(),
            is_refused: findings
                .iter()
                .any(|one| one.severity == Severity::Conflict),
        }
    }

    fn and(self, other: Self) -> Self {
        Self {
            worst: [self.worst, other.worst].into_iter().flatten().min(),
            is_refused: self.is_refused || other.is_refused,
        }
    }
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
    let ground = Ground::of(plan);
    let judge = |legs: [Frequency; 2], present: Legs, focus: &[Legs]| {
        let proposal = proposal(search, legs);
        let trial = Trial {
            station: search.station,
            what: &proposal.what,
            present,
        };
        let scene = Scene::on(&ground, plan, Some(trial));
        focus.iter().fold(Fare::default(), |fare, &focus| {
            fare.and(Fare::of(&findings(&scene, Some(&proposal), focus)))
        })
    };
    let anywhere = Frequency::hz(1);
    let of_first: Vec<Fare> = first
        .par_iter()
        .map(|&leg| judge([leg, anywhere], Legs::FIRST, &[Legs::FIRST]))
        .collect();
    let of_second: Vec<Fare> = second
        .par_iter()
        .map(|&leg| judge([anywhere, leg], Legs::SECOND, &[Legs::SECOND]))
        .collect();
    let pairs: Vec<([Frequency; 2], Fare)> = first
        .iter()
        .zip(&of_first)
        .flat_map(|(one, fare)| {
            second
                .iter()
                .zip(&of_second)
                .map(move |(other, more)| ([*one, *other], fare.and(*more)))
        })
        .collect();
    let fares: Vec<Fare> = pairs
        .par_iter()
        .map(|&(legs, alone)| {
            // A leg on a channel of the plan changes who is keyed with whom: such a pair is judged as a whole.
            if legs.iter().any(|leg| plan.is_on(*leg)) {
                let every = [Legs::FIRST, Legs::SECOND, Legs::BOTH];
                judge(legs, Legs::BOTH, &every)
            } else {
                alone.and(judge(legs, Legs::BOTH, &[Legs::BOTH]))
            }
        })
        .collect();
    Some(PairMap {
        search: search.name.clone(),
        station: plan.stations.get(search.station)?.name.clone(),
        first,
        second,
        worst: fares.iter().map(|fare| fare.worst).collect(),
        refused: fares.iter().map(|fare| fare.is_refused).collect(),
        considered,
    })
}

/// At most so many channels, the first among them and the others evenly spread.
fn thinned(channels: &[Frequency], most: usize) -> Vec<Frequency> {
    let step = channels.len().div_ceil(most.max(1)).max(1);
    channels.iter().copied().step_by(step).collect()
}

fn proposal(search: &Search, legs: [Frequency; 2]) -> Proposal {
    Proposal {
        name: search.name.clone(),
        station: search.station,
        what: Use::CrossBand {
            legs: legs.map(|frequency| Channel {
                frequency,
                tone: search.tone,
            }),
        },
        place: "search".into(),
    }
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
}
