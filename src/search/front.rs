//! The candidates that no other beats in everything a planner weighs: least margin, the band plan's liking, the chance of
//! trouble, and how evenly a relay hears and is heard.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::groups::settle_ties;
use super::rank::{Row, Sweep};
use super::trial::in_place;
use crate::assess::{Verdict, findings};
use crate::budget::Total;
use crate::encounter::noise;
use crate::finding::{Finding, Matter};
use crate::physics::statistics::Chance;
use crate::quantity::{Decibels, Frequency, Level};
use crate::scenario::{Plan, Search, SearchRange};
use crate::scene::{Ground, Reach, Receiver, Scene};

/// So many safe candidates are weighed at most, the best of the order first.
const MOST: usize = 256;

/// Candidates of which none beats another in everything.
#[derive(Debug, Clone, PartialEq)]
pub struct Front {
    /// The candidates, in the order of the ranking.
    pub points: Vec<Point>,
    /// How many safe candidates were weighed.
    pub weighed: usize,
    /// Whether that is all of them; otherwise the first of the order.
    pub is_all: bool,
}

/// A candidate with what it is weighed by.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// The candidate.
    pub row: Row,
    /// The largest chance of all its findings that it really hurts.
    pub chance: Chance,
    /// Of a relay: how far the weakest way in and the weakest way out are apart, under the interference there.
    pub balance: Option<Decibels>,
    /// How many candidates weigh the same, this one included.
    pub alike: usize,
}

/// The weights of a candidate in whole decibels and per cent, as no figure is known better; less is better.
type Weights = [i64; 4];

/// Finds the front of a search.
pub(super) fn front(plan: &Plan, search: &Search, sweep: &mut Sweep<'_>) -> Front {
    let ground = Ground::of(plan);
    let mut rows = sweep.best(MOST + 1).rows;
    rows.retain(|row| row.verdict != Verdict::Conflict);
    let is_all = rows.len() <= MOST;
    rows.truncate(MOST);
    settle_ties(plan, search, &mut rows);
    let weighed: Vec<Point> = rows
        .into_par_iter()
        .filter_map(|row| weigh(plan, &ground, search, row))
        .collect();
    Front {
        weighed: weighed.len(),
        is_all,
        points: unbeaten(weighed),
    }
}

/// Keeps what no other beats; of those that weigh the same, the first.
fn unbeaten(points: Vec<Point>) -> Vec<Point> {
    let mut by_weight: BTreeMap<Weights, usize> = BTreeMap::new();
    for point in &points {
        *by_weight.entry(weights(point)).or_default() += 1;
    }
    let is_beaten = |own: &Weights| {
        let mut others = by_weight.keys();
        others.any(|other| other != own && other.iter().zip(own).all(|(a, b)| a <= b))
    };
    let mut told: Vec<Weights> = Vec::new();
    let mut found = Vec::new();
    for mut point in points {
        let own = weights(&point);
        if !told.contains(&own) && !is_beaten(&own) {
            point.alike = by_weight.get(&own).copied().unwrap_or(1);
            told.push(own);
            found.push(point);
        }
    }
    found
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a ratio is within ±10⁶ dB and a chance within 100 per cent"
)]
fn weights(point: &Point) -> Weights {
    let whole = |ratio: Decibels| ratio.as_db().floor() as i64;
    [
        // Nothing within the horizon is better than any margin.
        point
            .row
            .worst_margin
            .map_or(i64::MIN, |margin| -whole(margin)),
        -i64::from(point.row.preference),
        (point.chance.as_fraction() * 100.0).round() as i64,
        point.balance.map_or(0, whole),
    ]
}

fn weigh(plan: &Plan, ground: &Ground, search: &Search, row: Row) -> Option<Point> {
    let legs = row.legs.clone();
    in_place(plan, ground, search, &legs, |scene, proposal, focus| {
        let found = findings(scene, Some(proposal), focus);
        let chances = found.iter().filter_map(|finding| {
            finding
                .chance
                .filter(|_| finding.matter == Matter::Interference && finding.spared.is_none())
        });
        let chance = chances.map(Chance::as_fraction).fold(0.0, f64::max);
        Point {
            row,
            chance: Chance::fraction(chance),
            balance: matches!(search.range, SearchRange::CrossBand(_))
                .then(|| balance(scene, search.station, &found))
                .flatten(),
            alike: 1,
        }
    })
}

/// How far the weakest way into a relay and the weakest way out of it are apart; none where nobody works through it.
fn balance(scene: &Scene<'_>, relay: usize, found: &[Finding]) -> Option<Decibels> {
    let mut worst: BTreeMap<(&str, Frequency), Level> = BTreeMap::new();
    let heard = found
        .iter()
        .filter(|finding| finding.matter == Matter::Interference);
    for (victim, level) in heard.filter_map(|one| Some((one.victim.as_ref()?, one.level?))) {
        let at = worst
            .entry((&victim.station, victim.frequency))
            .or_insert(level);
        *at = (*at).max(level);
    }
    let ways = scene.receivers.iter().flat_map(|receiver| {
        let senders = scene.transmitters.iter().enumerate();
        let wanted = senders.filter(move |&(index, one)| {
            one.unit != receiver.unit
                && (one.unit == relay) != (receiver.unit == relay)
                && scene.is_wanted(one, receiver)
                && scene.coexist(&[index], receiver)
        });
        wanted.map(move |(_, one)| (receiver, one))
    });
    let mut least: [Option<Decibels>; 2] = [None, None];
    for (receiver, sender) in ways {
        let from = Reach {
            unit: sender.unit,
            mast: sender.mast,
        };
        let arrives = sender.power.value - scene.service_loss(from, receiver, sender.frequency);
        let spoilt = worst
            .get(&(receiver.station.as_str(), receiver.frequency))
            .map(|&level| level + receiver.figures.protection.value);
        let margin = arrives - spoilt.map_or(need(receiver), |level| level.max(need(receiver)));
        let [way_in, way_out] = &mut least;
        let way = if receiver.unit == relay {
            way_in
        } else {
            way_out
        };
        *way = Some(way.map_or(margin, |known| known.min(margin)));
    }
    let [way_in, way_out] = least;
    let apart = way_in? - way_out?;
    Some(apart.max(-apart))
}

/// What a wanted signal must reach at a receiver without any interference.
fn need(receiver: &Receiver) -> Level {
    let mut floor = Total::default();
    noise(receiver, &mut floor);
    let figures = &receiver.figures;
    (floor.level() + figures.protection.value).max(figures.sensitivity.value)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(margin: f64, preference: i32, chance: f64) -> Point {
        Point {
            row: Row {
                legs: vec![Frequency::hz(1)],
                verdict: Verdict::Clear,
                conflicts: 0,
                cautions: 0,
                worst_margin: Some(Decibels::db(margin)),
                preference,
                limited_by: String::new(),
                limit: String::new(),
                of_the_plan: Vec::new(),
            },
            chance: Chance::fraction(chance),
            balance: None,
            alike: 1,
        }
    }

    #[test]
    fn what_another_beats_in_everything_is_left_out_and_equals_are_told_once() {
        let points = vec![
            point(12.0, 1, 0.2),
            point(12.3, 1, 0.2),
            point(9.0, 2, 0.2),
            point(9.0, 1, 0.2),
            point(9.0, 2, 0.1),
        ];
        let kept = unbeaten(points);
        let told: Vec<(i32, usize)> = kept
            .iter()
            .map(|one| (one.row.preference, one.alike))
            .collect();
        assert_eq!(told, [(1, 2), (2, 1)]);
        assert!((kept[1].chance.as_fraction() - 0.1).abs() < 1e-12);
    }
}
