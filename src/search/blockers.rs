//! Why nothing is safe: the fewest neighbours, stations of ours, services and rules without which a candidate would be.
//!
//! A conflict is gone when any one of those who take part in it is gone, the candidate's own station apart. So the
//! fewest for one candidate are a smallest set that meets every conflict. What hides behind a conflict shows when the
//! plan without that set is judged again; it then joins the sets to be met, until nothing is left.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use super::judge::{Judge, Placed, alone, placed};
use super::rank::Sweep;
use super::watch::Watch;
use crate::assess::Verdict;
use crate::finding::{Finding, Matter};
use crate::quantity::Frequency;
use crate::scenario::{Legs, Plan, Search};
use crate::scene::{Owner, Scene};

/// So many of the least bad candidates are looked at.
const MOST: usize = 64;

/// So many partial sets are tried for one candidate before the smallest is no longer proved.
const MOST_TRIED: usize = 200_000;

/// What would make a candidate safe.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Freed {
    /// The candidate.
    pub legs: Vec<Frequency>,
    /// Without whom it is safe, each by name.
    pub without: Vec<String>,
    /// Whether fewer are proved not to do, for this candidate or any other.
    pub is_fewest: bool,
    /// How many candidates were looked at, the least bad first.
    pub looked_at: usize,
}

/// Something without which a conflict would be gone; neighbours are tried first, rules last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Block {
    Neighbour(usize),
    Station(usize),
    Service(usize),
    Rule(&'static str),
}

type Blocks = BTreeSet<Block>;

/// A candidate on its way to being freed.
struct Bound {
    legs: Vec<Frequency>,
    /// Every set of which one must go.
    to_meet: BTreeSet<Blocks>,
    /// A smallest set that meets them all: fewer cannot do.
    chosen: Blocks,
}

/// Finds the fewest without whom a candidate is safe; none where no candidate can be freed, or one is safe already.
///
/// Those with the smallest sets are judged first, all with the same set at once. The first that is safe then needs no more
/// than any other.
pub(super) fn freed(
    plan: &Plan,
    search: &Search,
    sweep: &mut Sweep<'_>,
    watch: &Watch,
) -> Option<Freed> {
    let ranking = sweep.best(MOST);
    let least_bad = ranking.rows.first();
    if least_bad.is_none_or(|row| row.verdict != Verdict::Conflict) {
        return None;
    }
    let mut is_proved = ranking.rows.len() == ranking.considered;
    let looked_at = ranking.rows.len();
    let mut left: Vec<Bound> = ranking
        .rows
        .into_iter()
        .map(|row| Bound {
            legs: row.legs,
            to_meet: BTreeSet::new(),
            chosen: Blocks::new(),
        })
        .collect();
    while !watch.is_stopped() {
        // Among sets of one size, that of the least bad candidate.
        let next = left.iter().min_by_key(|one| one.chosen.len())?;
        let chosen = next.chosen.clone();
        let (now, later): (Vec<Bound>, Vec<Bound>) =
            left.into_iter().partition(|one| one.chosen == chosen);
        left = later;
        let reduced = without(plan, &chosen);
        let judge = judge(&reduced, search, &now);
        let found = conflicts(&judge, &now);
        for (mut one, found) in now.into_iter().zip(found) {
            let found = found.into_iter();
            let found: Vec<Blocks> = found.filter(|one| one.is_disjoint(&chosen)).collect();
            if found.is_empty() {
                return Some(Freed {
                    legs: one.legs,
                    // Nobody is freed by taking nothing away, so one is always the fewest.
                    is_fewest: is_proved || chosen.len() == 1,
                    without: chosen.iter().map(|block| block.name(plan)).collect(),
                    looked_at,
                });
            }
            // A conflict of the candidate with itself, or one that was met and does not go away.
            let is_stuck = found.iter().all(|one_set| one.to_meet.contains(one_set));
            if is_stuck || found.iter().any(Blocks::is_empty) {
                continue;
            }
            one.to_meet.extend(found);
            let mut tried = 0;
            let sets: Vec<&Blocks> = one.to_meet.iter().collect();
            let smallest = (1..=sets.len()).find_map(|size| meeting(&sets, size, &mut tried));
            match smallest.filter(|_| tried <= MOST_TRIED) {
                Some(chosen) => left.push(Bound { chosen, ..one }),
                None => is_proved = false,
            }
        }
    }
    None
}

/// A judge of some candidates in a plan.
fn judge<'a>(plan: &'a Plan, search: &'a Search, candidates: &[Bound]) -> Judge<'a> {
    let leg = |which: usize| -> BTreeSet<Frequency> {
        let legs = candidates.iter();
        legs.filter_map(|one| one.legs.get(which).copied())
            .collect()
    };
    let legs = [leg(0), leg(1)].map(|legs| legs.into_iter().collect::<Vec<_>>());
    let [first, second] = &legs;
    Judge::new(plan, search, [first, second])
}

/// A set of at most so many that meets all of `sets`.
fn meeting(sets: &[&Blocks], most: usize, tried: &mut usize) -> Option<Blocks> {
    *tried += 1;
    let Some(first) = sets.first() else {
        return Some(Blocks::new());
    };
    if most == 0 || *tried > MOST_TRIED {
        return None;
    }
    first.iter().find_map(|block| {
        let rest: Vec<&Blocks> = sets
            .iter()
            .copied()
            .filter(|set| !set.contains(block))
            .collect();
        let mut found = meeting(&rest, most - 1, tried)?;
        found.insert(*block);
        Some(found)
    })
}

/// The conflicts of some candidates, each by those without whom it would be gone. What rests on one leg alone is looked at
/// once for all that have it.
fn conflicts(judge: &Judge<'_>, candidates: &[Bound]) -> Vec<Vec<Blocks>> {
    let blocks = |scene: &Scene<'_>, found: Vec<Finding>| -> Vec<Blocks> {
        let names = names(scene);
        let found = found.iter();
        let found = found.map(|finding| blocks(finding, &names, judge.search.station));
        found.collect()
    };
    let placed: Vec<Option<Placed<'_>>> = candidates.iter().map(|one| placed(&one.legs)).collect();
    // Of one that shares a channel with the plan nothing is known from others.
    let legs_of = |&([first, second], present, _): &Placed<'_>| {
        let legs = [(Legs::FIRST, first), (Legs::SECOND, second)];
        let is_apart = present == Legs::BOTH && !judge.shares([first, second]);
        legs.into_iter().filter(move |_| is_apart)
    };
    let legs: BTreeSet<(Legs, Frequency)> = placed.iter().flatten().flat_map(legs_of).collect();
    let legs: Vec<(Legs, Frequency)> = legs.into_iter().collect();
    let of_legs = legs
        .par_iter()
        .map(|&(leg, at)| judge.conflicts(alone(at, leg), blocks));
    let of_legs: BTreeMap<(Legs, Frequency), Vec<Blocks>> = legs
        .iter()
        .copied()
        .zip(of_legs.collect::<Vec<_>>())
        .collect();
    let found = placed.par_iter().map(|placed| {
        let Some(placed @ (legs, present, focuses)) = *placed else {
            return Vec::new();
        };
        let mut found: Vec<Blocks> = legs_of(&placed)
            .filter_map(|leg| of_legs.get(&leg))
            .flatten()
            .cloned()
            .collect();
        let both: &[Legs] = if legs_of(&placed).next().is_none() {
            focuses
        } else {
            &[Legs::BOTH]
        };
        found.extend(judge.conflicts((legs, present, both), blocks));
        found.extend(judge.conflicts_of_the_net(placed, blocks));
        found
    });
    found.collect()
}

/// Who goes by a name in a finding.
fn names(scene: &Scene<'_>) -> BTreeMap<String, BTreeSet<Owner>> {
    let mut names: BTreeMap<String, BTreeSet<Owner>> = BTreeMap::new();
    for one in &scene.transmitters {
        names.entry(one.name.clone()).or_default().insert(one.owner);
    }
    for one in &scene.receivers {
        for name in [
            one.name.clone(),
            one.station.clone(),
            format!("oscillator of {}", one.name),
        ] {
            names.entry(name).or_default().insert(one.owner);
        }
    }
    names
}

fn blocks(
    finding: &Finding,
    names: &BTreeMap<String, BTreeSet<Owner>>,
    candidate: usize,
) -> Blocks {
    if matches!(finding.matter, Matter::Law | Matter::BandPlan) {
        return Blocks::from([Block::Rule(finding.check)]);
    }
    let sources = finding.sources.iter().map(|term| &term.name);
    let victim = finding.victim.iter().map(|victim| &victim.station);
    sources
        .chain(victim)
        .filter_map(|name| names.get(name))
        .flatten()
        .filter(|&&owner| owner != Owner::Station(candidate))
        .map(|&owner| match owner {
            Owner::InUse(index) => Block::Neighbour(index),
            Owner::Station(index) => Block::Station(index),
            Owner::Protected(index) => Block::Service(index),
        })
        .collect()
}

/// The plan without some: neighbours and stations fall silent and keep their numbers. Services and rules stay; what
/// they refuse is passed over.
fn without(plan: &Plan, blocks: &Blocks) -> Plan {
    let mut plan = plan.clone();
    for block in blocks {
        match *block {
            Block::Neighbour(index) => {
                if let Some(entry) = plan.in_use.get_mut(index) {
                    entry.output = None;
                    entry.input = None;
                    entry.listener = None;
                }
            }
            Block::Station(index) => {
                if let Some(station) = plan.stations.get_mut(index) {
                    station.uses.clear();
                }
            }
            Block::Service(_) | Block::Rule(_) => {}
        }
    }
    plan
}

impl Block {
    fn name(self, plan: &Plan) -> String {
        let name = match self {
            Self::Neighbour(index) => plan.in_use.get(index).map(|one| one.name.clone()),
            Self::Station(index) => plan.stations.get(index).map(|one| one.name.clone()),
            Self::Service(index) => plan.guarded.get(index).map(|one| one.name.clone()),
            Self::Rule(check) => Some(format!("the rule behind {check}")),
        };
        name.unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_smallest_set_that_meets_all_is_found_where_the_greedy_one_is_larger() {
        // The greedy choice is 0, which three sets share, and then needs two more.
        let sets: Vec<Blocks> = [&[0, 1][..], &[0, 2], &[0, 1, 2], &[1, 3], &[2, 4]]
            .iter()
            .map(|set| set.iter().map(|&index| Block::Neighbour(index)).collect())
            .collect();
        let sets: Vec<&Blocks> = sets.iter().collect();
        let mut tried = 0;
        assert_eq!(meeting(&sets, 1, &mut tried), None);
        assert_eq!(
            meeting(&sets, 2, &mut tried),
            Some(Blocks::from([Block::Neighbour(1), Block::Neighbour(2)]))
        );
    }
}
