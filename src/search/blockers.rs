//! Why nothing is safe: the fewest neighbours, stations of ours, services and rules without which a candidate would be.
//!
//! A conflict is gone when any one of those who take part in it is gone, the candidate's own station apart. So the
//! fewest for one candidate are a smallest set that meets every conflict. What hides behind a conflict shows when the
//! plan without that set is judged again; it then joins the sets to be met, until nothing is left.

use std::collections::{BTreeMap, BTreeSet};

use super::rank::{Row, rank};
use super::trial::in_place;
use crate::assess::{Verdict, findings};
use crate::finding::{Finding, Matter, Severity};
use crate::quantity::Frequency;
use crate::scenario::{Plan, Search};
use crate::scene::{Ground, Owner, Scene};

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

/// Finds the fewest without whom a candidate is safe; none where no candidate can be freed, or one is safe already.
pub(super) fn freed(plan: &Plan, search: &Search) -> Option<Freed> {
    let ranking = rank(plan, search, MOST);
    if ranking
        .rows
        .first()
        .is_none_or(|row| row.verdict != Verdict::Conflict)
    {
        return None;
    }
    let ground = Ground::of(plan);
    let mut best: Option<(&Row, Blocks)> = None;
    let mut is_proved = ranking.rows.len() == ranking.considered;
    let mut looked_at = 0;
    for row in &ranking.rows {
        let fewer_than = best.as_ref().map_or(usize::MAX, |(_, blocks)| blocks.len());
        if fewer_than <= 1 {
            break;
        }
        looked_at += 1;
        let (found, is_exact) = fewest(plan, &ground, search, row, fewer_than);
        is_proved &= is_exact;
        best = found.map(|blocks| (row, blocks)).or(best);
    }
    let (row, blocks) = best?;
    Some(Freed {
        legs: row.legs.clone(),
        // Nobody is freed by taking nothing away, so one is always the fewest.
        is_fewest: is_proved || blocks.len() == 1,
        without: blocks.iter().map(|block| block.name(plan)).collect(),
        looked_at,
    })
}

/// The fewest for one candidate, if fewer than so many do; and whether that is proved.
fn fewest(
    plan: &Plan,
    ground: &Ground,
    search: &Search,
    row: &Row,
    fewer_than: usize,
) -> (Option<Blocks>, bool) {
    let mut chosen = Blocks::new();
    let mut to_meet: BTreeSet<Blocks> = BTreeSet::new();
    let mut tried = 0;
    loop {
        let reduced = without(plan, &chosen);
        let left: Vec<Blocks> = conflicts(&reduced, ground, search, &row.legs)
            .into_iter()
            .filter(|blocks| blocks.is_disjoint(&chosen))
            .collect();
        if left.is_empty() {
            return (Some(chosen), true);
        }
        // A conflict of the candidate with itself, or one that was met and does not go away.
        if left.iter().any(Blocks::is_empty) || left.iter().all(|one| to_meet.contains(one)) {
            return (None, true);
        }
        to_meet.extend(left);
        let sets: Vec<&Blocks> = to_meet.iter().collect();
        let most = sets.len().min(fewer_than.saturating_sub(1));
        let smallest = (1..=most).find_map(|size| meeting(&sets, size, &mut tried));
        match smallest {
            Some(blocks) => chosen = blocks,
            None => return (None, tried <= MOST_TRIED),
        }
    }
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

/// The conflicts of a candidate, each by those without whom it would be gone.
fn conflicts(plan: &Plan, ground: &Ground, search: &Search, legs: &[Frequency]) -> Vec<Blocks> {
    in_place(plan, ground, search, legs, |scene, proposal, focus| {
        let names = names(scene);
        let found = focus
            .iter()
            .flat_map(|&focus| findings(scene, Some(proposal), focus));
        found
            .filter(|finding| finding.severity == Severity::Conflict)
            .map(|finding| blocks(&finding, &names, search.station))
            .collect()
    })
    .unwrap_or_default()
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
