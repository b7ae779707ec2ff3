//! Why nothing is safe: the fewest neighbours, stations of ours, services and rules without which a candidate would be.
//!
//! A conflict is gone when any one of those who take part in it is gone, the candidate's own station apart. So the
//! fewest for one candidate are a smallest set that meets every conflict. As long as a smallest set that meets some of them
//! leaves others, these join the sets to be met. What hides behind a conflict shows when the plan without the set is judged
//! again, until nothing is left.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use super::judge::{Judge, alone, placed};
use super::rank::Sweep;
use super::watch::Watch;
use crate::assess::Verdict;
use crate::finding::{Finding, Matter};
use crate::quantity::{Decibels, Frequency};
use crate::scenario::{Legs, Plan, Search};
use crate::scene::{Owner, Scene};

/// So many of the least bad candidates are looked at where neighbours are up to [`MANY`], and the fewer the more there are.
const MOST: usize = 64;

/// From so many neighbours on fewer candidates are looked at, and [`FEWEST`] at least.
///
/// # Source
/// Choice: among a thousand a candidate takes a second or so.
const MANY: usize = 1_000;

/// So many candidates are looked at among however many.
///
/// # Source
/// Choice: the least bad one alone may be an odd one.
const FEWEST: usize = 4;

/// How many candidates are looked at among so many neighbours.
fn looked_at(neighbours: usize) -> usize {
    (MOST * MANY / neighbours.max(MANY)).max(FEWEST)
}

/// So many partial sets are tried for one candidate before the smallest is no longer proved.
const MOST_TRIED: usize = 20_000;

/// A candidate for which more would have to go is not freed.
///
/// # Source
/// Choice: to ask more than a handful of others to be silent is no plan.
const MOST_TAKEN: usize = 8;

/// Conflicts of single legs with no more margin than this, in dB, are asked for first, and then all of them.
///
/// # Source
/// Choice: among many neighbours there is much that is milder than what decides.
const AT_FIRST: [f64; 2] = [-60.0, -40.0];

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
    /// Its place among all, the least bad first.
    place: usize,
    legs: Vec<Frequency>,
    /// Every set of which one must go.
    to_meet: BTreeSet<Blocks>,
    /// A smallest set that meets them all: fewer cannot do.
    chosen: Blocks,
    /// How many of the questions it was asked.
    asked: usize,
}

/// Finds the fewest without whom a candidate is safe; none where no candidate can be freed, or one is safe already.
///
/// Those with the smallest sets come first; they are asked for what is far too strong before what is milder, then judged in the
/// plan without the set. The first that is safe then needs no more than any other.
pub(super) fn freed(
    plan: &Plan,
    search: &Search,
    sweep: &mut Sweep<'_>,
    watch: &Watch,
) -> Option<Freed> {
    let ranking = sweep.best(looked_at(plan.in_use.len()));
    let least_bad = ranking.rows.first();
    if least_bad.is_none_or(|row| row.verdict != Verdict::Conflict) {
        return None;
    }
    let mut is_proved = ranking.rows.len() == ranking.considered;
    let looked_at = ranking.rows.len();
    let questions = questions();
    // Where nothing is as bad as is asked for, nothing is found.
    let first = |worst: Option<Decibels>| {
        let is_of_use = |one: &Asked| worst.is_some_and(|worst| worst <= one.within());
        let of_use = questions.iter().position(is_of_use);
        of_use.or_else(|| {
            questions
                .iter()
                .position(|one| one.within() == Decibels::ZERO)
        })
    };
    let rows = ranking.rows.into_iter().enumerate();
    let mut left: Vec<Bound> = rows
        .map(|(place, row)| Bound {
            place,
            asked: first(row.worst_margin).unwrap_or(0),
            legs: row.legs,
            to_meet: BTreeSet::new(),
            chosen: Blocks::new(),
        })
        .collect();
    let mut known: Vec<OfLegs> = questions.iter().map(|_| OfLegs::new()).collect();
    let mut at_once = 1;
    while !watch.is_stopped() {
        let next = (left.iter()).min_by_key(|one| (one.chosen.len(), one.place))?;
        let (chosen, asked) = (next.chosen.clone(), next.asked);
        let (mut now, later): (Vec<Bound>, Vec<Bound>) =
            (left.into_iter()).partition(|one| one.chosen == chosen && one.asked == asked);
        left = later;
        let question = questions.get(asked).zip(known.get_mut(asked));
        let is_last = question.is_none();
        // Everybody is asked something. After that the first may do; if it does not, more are asked at once.
        if !chosen.is_empty() {
            let most = if is_last { at_once } else { 2 * at_once };
            now.sort_by_key(|one| one.place);
            left.extend(now.split_off(most.min(now.len())));
        }
        if is_last {
            at_once = MOST.min(at_once * 2);
        }
        let mut hidden = OfLegs::new();
        let found = match question {
            Some((&Asked::Legs(within), known)) => of_legs(sweep.judge(), &now, within, known),
            Some((Asked::Both, _)) => of_both(sweep.judge(), &now, Asked::Both.within()),
            None => everything((plan, search, sweep.judge()), &chosen, &now, &mut hidden),
        };
        for (one, found) in now.into_iter().zip(found) {
            let found = found.into_iter();
            let found: Vec<Blocks> = found.filter(|one| one.is_disjoint(&chosen)).collect();
            if found.is_empty() && is_last {
                return Some(Freed {
                    legs: one.legs,
                    // Nobody is freed by taking nothing away, so one is always the fewest.
                    is_fewest: is_proved || chosen.len() == 1,
                    without: chosen.iter().map(|block| block.name(plan)).collect(),
                    looked_at,
                });
            }
            let asked = questions.len().min(asked + 1);
            match (Bound { asked, ..one }).learning(found) {
                Ok(one) => left.push(one),
                Err(lost) => is_proved &= lost == Lost::ForGood,
            }
        }
        // What shows on a leg when others are gone was there before, for whoever has that leg.
        for one in std::mem::take(&mut left) {
            let found = of_its_legs(sweep.judge(), &one, &hidden);
            let found = found.into_iter();
            let found = found.filter(|set| set.is_disjoint(&one.chosen)).collect();
            match one.learning(found) {
                Ok(one) => left.push(one),
                Err(lost) => is_proved &= lost == Lost::ForGood,
            }
        }
    }
    None
}

/// What is asked of a candidate.
#[derive(Debug, Clone, Copy)]
enum Asked {
    /// What rests on one of its legs and has no more margin than this.
    Legs(Decibels),
    /// What rests on both.
    Both,
}

impl Asked {
    /// Conflicts with no more margin are asked for.
    const fn within(self) -> Decibels {
        match self {
            Self::Legs(within) => within,
            Self::Both => Decibels::ZERO,
        }
    }
}

/// What is asked, in order: what rests on one leg is known for all that have it, so it comes before what rests on both.
fn questions() -> Vec<Asked> {
    let of_legs = AT_FIRST.into_iter().chain([0.0]);
    let of_legs = of_legs.map(|within| Asked::Legs(Decibels::db(within)));
    of_legs.chain([Asked::Both]).collect()
}

/// Why nothing more is asked of a candidate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Lost {
    /// It conflicts with itself, or too many would have to go.
    ForGood,
    /// To know how many would have to go takes too long.
    Unproved,
}

impl Bound {
    /// The same with more sets of which one must go, and a smallest set that meets them all.
    fn learning(mut self, found: Vec<Blocks>) -> Result<Self, Lost> {
        // A conflict of the candidate with itself does not go away.
        if found.iter().any(Blocks::is_empty) {
            return Err(Lost::ForGood);
        }
        if found.is_empty() {
            return Ok(self);
        }
        self.meet(found);
        let mut tried = 0;
        let sets: Vec<&Blocks> = self.to_meet.iter().collect();
        // What meets more sets is no smaller.
        let mut sizes = self.chosen.len().max(1)..=MOST_TAKEN;
        let smallest = sizes.find_map(|size| meeting(&sets, size, &mut tried));
        if tried > MOST_TRIED {
            return Err(Lost::Unproved);
        }
        smallest
            .map(|chosen| Self { chosen, ..self })
            .ok_or(Lost::ForGood)
    }

    /// Adds sets of which one must go. Whoever must go alone meets every other set with him too.
    fn meet(&mut self, found: Vec<Blocks>) {
        self.to_meet.extend(found);
        let alone = self.to_meet.iter().filter(|set| set.len() == 1);
        let alone: Blocks = alone.flatten().copied().collect();
        self.to_meet
            .retain(|set| set.len() == 1 || set.is_disjoint(&alone));
    }
}

/// The conflicts of some candidates in the plan without some, those with the net included, and what rests on one leg of them.
fn everything(
    (plan, search, known): (&Plan, &Search, &Judge<'_>),
    chosen: &Blocks,
    candidates: &[Bound],
    on_legs: &mut OfLegs,
) -> Vec<Vec<Blocks>> {
    let reduced = without(plan, chosen);
    let judge = judge((&reduced, search), known, candidates);
    let within = Decibels::ZERO;
    let mut all = of_legs(&judge, candidates, within, on_legs);
    for (all, more) in all.iter_mut().zip(of_both(&judge, candidates, within)) {
        all.extend(more);
    }
    // To run the event through takes long, and whoever conflicts already is asked again.
    let all = candidates.par_iter().zip(all).map(|(one, mut all)| {
        let placed = placed(&one.legs).filter(|_| all.iter().all(|set| !set.is_disjoint(chosen)));
        all.extend(
            placed
                .map(|placed| judge.conflicts_of_the_net(placed, blocks_in(&judge)))
                .unwrap_or_default(),
        );
        all
    });
    all.collect()
}

/// A judge of some candidates in a plan with the antennas of another.
fn judge<'a>(
    (plan, search): (&'a Plan, &'a Search),
    known: &Judge<'_>,
    candidates: &[Bound],
) -> Judge<'a> {
    let leg = |which: usize| -> BTreeSet<Frequency> {
        let legs = candidates.iter();
        legs.filter_map(|one| one.legs.get(which).copied())
            .collect()
    };
    let legs = [leg(0), leg(1)].map(|legs| legs.into_iter().collect::<Vec<_>>());
    let [first, second] = &legs;
    known.among_fewer(plan, search, [first, second])
}

/// A set of at most so many that meets all of `sets`.
fn meeting(sets: &[&Blocks], most: usize, tried: &mut usize) -> Option<Blocks> {
    *tried += 1;
    let Some(smallest) = sets.iter().min_by_key(|set| set.len()) else {
        return Some(Blocks::new());
    };
    if *tried > MOST_TRIED || apart(sets, most) > most {
        return None;
    }
    smallest.iter().find_map(|block| {
        let rest: Vec<&Blocks> = sets
            .iter()
            .copied()
            .filter(|set| !set.contains(block))
            .collect();
        let mut found = meeting(&rest, most.checked_sub(1)?, tried)?;
        found.insert(*block);
        Some(found)
    })
}

/// At least so many are needed to meet all of `sets`: as many as share no member, counted until there are more than `most`.
fn apart(sets: &[&Blocks], most: usize) -> usize {
    let mut taken = Blocks::new();
    let mut count = 0;
    for set in sets {
        if count > most {
            break;
        }
        if set.is_disjoint(&taken) {
            taken.extend(set.iter().copied());
            count += 1;
        }
    }
    count
}

/// What rests on one leg alone, by which leg and where: it is looked at once for all that have it.
type OfLegs = BTreeMap<(Legs, Frequency), Vec<Blocks>>;

/// Conflicts by those without whom they would be gone.
fn blocks_in(judge: &Judge<'_>) -> impl Fn(&Scene<'_>, Vec<Finding>) -> Vec<Blocks> {
    let candidate = judge.search.station;
    move |scene, found| {
        let names = names(scene);
        let found = found.iter();
        found
            .map(|finding| blocks(finding, &names, candidate))
            .collect()
    }
}

/// The legs of a candidate, where they can be looked at one by one: of a single channel, and of one that shares a channel with
/// the plan, nothing is known from others.
fn legs_apart(judge: &Judge<'_>, one: &Bound) -> Option<[(Legs, Frequency); 2]> {
    let ([first, second], present, _) = placed(&one.legs)?;
    let is_apart = present == Legs::BOTH && !judge.shares([first, second]);
    is_apart.then_some([(Legs::FIRST, first), (Legs::SECOND, second)])
}

/// What of some candidates rests on one leg alone and conflicts with a margin within a limit.
fn of_legs(
    judge: &Judge<'_>,
    candidates: &[Bound],
    within: Decibels,
    known: &mut OfLegs,
) -> Vec<Vec<Blocks>> {
    let legs = candidates.iter().filter_map(|one| legs_apart(judge, one));
    let legs: BTreeSet<(Legs, Frequency)> = legs.flatten().collect();
    let unknown: Vec<(Legs, Frequency)> = (legs.into_iter())
        .filter(|leg| !known.contains_key(leg))
        .collect();
    let found: Vec<Vec<Blocks>> = unknown
        .par_iter()
        .map(|&(leg, at)| judge.conflicts(alone(at, leg), within, blocks_in(judge)))
        .collect();
    known.extend(unknown.into_iter().zip(found));
    let found = candidates.iter();
    found.map(|one| of_its_legs(judge, one, known)).collect()
}

/// What is known of the legs of a candidate, where they can be looked at one by one.
fn of_its_legs(judge: &Judge<'_>, one: &Bound, known: &OfLegs) -> Vec<Blocks> {
    let legs = legs_apart(judge, one).into_iter().flatten();
    let found = legs.filter_map(|leg| known.get(&leg));
    found.flatten().cloned().collect()
}

/// What of some candidates conflicts with a margin within a limit and does not rest on one leg alone, as far as legs can be
/// looked at one by one; the net is not asked.
fn of_both(judge: &Judge<'_>, candidates: &[Bound], within: Decibels) -> Vec<Vec<Blocks>> {
    let of = |one: &Bound| {
        let (legs, present, focuses) = placed(&one.legs)?;
        let both: &[Legs] = &[Legs::BOTH];
        let focuses = legs_apart(judge, one).map_or(focuses, |_| both);
        Some(judge.conflicts((legs, present, focuses), within, blocks_in(judge)))
    };
    let found = candidates.par_iter().map(|one| of(one).unwrap_or_default());
    found.collect()
}

/// Who goes by a name in a finding.
fn names(scene: &Scene<'_>) -> BTreeMap<String, BTreeSet<Owner>> {
    let mut names: BTreeMap<String, BTreeSet<Owner>> = BTreeMap::new();
    for one in scene.transmitters.iter() {
        names.entry(one.name.clone()).or_default().insert(one.owner);
    }
    for one in scene.receivers.iter() {
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
    use crate::provenance::{Origin, Sourced};
    use crate::quantity::Length;
    use itertools::Itertools;
    use std::sync::Arc;

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

    fn neighbours(sets: &[&[usize]]) -> Vec<Blocks> {
        let of = |set: &&[usize]| set.iter().map(|&index| Block::Neighbour(index)).collect();
        sets.iter().map(of).collect()
    }

    #[test]
    fn as_many_are_needed_as_there_are_sets_without_a_common_member() {
        let count = |sets: &[&[usize]], most: usize| {
            let sets = neighbours(sets);
            apart(&sets.iter().collect::<Vec<_>>(), most)
        };
        assert_eq!(count(&[], 8), 0);
        assert_eq!(count(&[&[0, 1], &[1, 2], &[2, 3]], 8), 2);
        assert_eq!(count(&[&[0, 1], &[0, 2], &[0, 3]], 8), 1);
        let four: &[&[usize]] = &[&[0, 1], &[2, 3], &[4], &[5, 6]];
        assert_eq!(count(four, 8), 4);
        // No further than it takes to know that there are more.
        assert_eq!(
            [0, 1, 2, 3, 4].map(|most| count(four, most)),
            [1, 2, 3, 4, 4]
        );
    }

    /// Every set is met, and nothing smaller meets them all: against trying every choice of members.
    #[test]
    fn what_meets_all_sets_is_as_small_as_it_can_be() {
        let cases: [&[&[usize]]; 5] = [
            &[&[0], &[0, 1], &[2, 3]],
            &[&[0, 1], &[1, 2], &[2, 0]],
            &[&[0, 1, 2], &[3, 4, 5], &[0, 3], &[1, 4], &[2, 5]],
            &[&[0, 1], &[2, 3], &[4, 5], &[1, 3, 5]],
            &[&[5]],
        ];
        for case in cases {
            let sets = neighbours(case);
            let sets: Vec<&Blocks> = sets.iter().collect();
            let chosen = |number: usize| (0..6).filter(move |one| number >> one & 1 == 1);
            let meets = |number: &usize| {
                case.iter()
                    .all(|set| chosen(*number).any(|one| set.contains(&one)))
            };
            let fewest = (0..64)
                .filter(meets)
                .map(|number| chosen(number).count())
                .min()
                .unwrap();
            for most in 0..=6 {
                let mut tried = 0;
                let found = meeting(&sets, most, &mut tried);
                assert_eq!(found.is_some(), most >= fewest, "{case:?} {most}");
                if let Some(found) = found {
                    assert!(found.len() <= most && sets.iter().all(|set| !set.is_disjoint(&found)));
                }
                assert!(apart(&sets, most) <= fewest, "{case:?}");
            }
        }
    }

    /// With two sets of two: itself, what is left with the first of the one, and what is left then.
    #[test]
    fn each_partial_set_is_counted_and_beyond_the_most_none_is_looked_into() {
        let sets = neighbours(&[&[0, 1], &[2, 3]]);
        let sets: Vec<&Blocks> = sets.iter().collect();
        let mut tried = 0;
        assert!(meeting(&sets, 2, &mut tried).is_some());
        assert_eq!(tried, 3);
        // Two that share nobody need two, which is seen at once.
        tried = 0;
        assert!(meeting(&sets, 1, &mut tried).is_none());
        assert_eq!(tried, 1);
        tried = MOST_TRIED - 3;
        assert!(meeting(&sets, 2, &mut tried).is_some());
        tried = MOST_TRIED - 1;
        assert!(meeting(&sets, 2, &mut tried).is_none());
        assert!(tried > MOST_TRIED);
    }

    #[test]
    fn the_more_neighbours_there_are_the_fewer_candidates_are_looked_at() {
        let among = [0, 999, 1_000, 1_001, 2_000, 5_000, 16_000, 1_000_000];
        assert_eq!(among.map(looked_at), [64, 64, 64, 63, 32, 12, 4, 4]);
    }

    /// What is far too strong first, of single legs before what rests on both.
    #[test]
    fn what_is_asked_of_candidates_becomes_milder_and_ends_with_both_legs() {
        let questions = questions();
        let within: Vec<f64> = questions.iter().map(|one| one.within().as_db()).collect();
        assert_eq!(within, [-60.0, -40.0, 0.0, 0.0]);
        let of_legs = questions.iter().map(|one| matches!(one, Asked::Legs(_)));
        assert_eq!(of_legs.collect::<Vec<_>>(), [true, true, true, false]);
    }

    /// Whoever must go alone meets every other set with him too.
    #[test]
    fn a_set_that_one_who_must_go_meets_is_not_kept() {
        let mut one = Bound {
            place: 0,
            legs: Vec::new(),
            to_meet: BTreeSet::new(),
            chosen: Blocks::new(),
            asked: 0,
        };
        one.meet(neighbours(&[&[0, 1], &[1, 2], &[3, 4]]));
        assert_eq!(one.to_meet.len(), 3);
        one.meet(neighbours(&[&[1]]));
        let left: Vec<Blocks> = one.to_meet.iter().cloned().collect();
        assert_eq!(left, neighbours(&[&[1], &[3, 4]]));
        one.meet(neighbours(&[&[0, 1], &[5]]));
        assert_eq!(one.to_meet.len(), 3);
    }

    /// A hill with a relay to be, what stands in its way, and a search for its pair.
    fn hill(legs: &str, neighbours: &str) -> Plan {
        crate::scene::sample::plan(&format!(
            "
settings: {{order: 3}}
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {{at: [54.4150, -0.5320], ground: 118 m}}
stations:
  - {{name: Relay, site: hill, radio: dual-band-mobile}}
  - {{name: Packet, site: hill, radio: mobile-2m, power: low, antenna: {{offset: {{east: 300 m, north: 0 m}}}}, talk: 145.3000}}
in_use:
{neighbours}search:
  - {{name: it, station: Relay, cross_band: {legs}, tone: 77.0, step: 12.5 kHz}}
"
        ))
    }

    const NEIGHBOURS: &str = "  - {name: Near, frequency: 145.6500, power: 5 W, at: [54.41, -0.54], listeners: {nearest: 40 km}}
  - {name: Behind, frequency: 145.6500, power: 5 W, at: [54.33, -0.43], listeners: {nearest: 40 km}}
  - {name: Far, frequency: 433.2250, power: 5 W, at: [54.00, -1.10], listeners: {nearest: 40 km}}
";

    /// How few must go at least until something is safe, by trying every choice of them.
    fn fewest(plan: &Plan, judged: &Judge<'_>) -> usize {
        let all: Vec<Block> = (0..plan.in_use.len())
            .map(Block::Neighbour)
            .chain([Block::Station(1)])
            .collect();
        let chosen = |set: u32| -> Blocks {
            let all = all.iter().enumerate();
            let taken = all.filter(|(place, _)| set >> place & 1 == 1);
            taken.map(|(_, block)| *block).collect()
        };
        let is_safe = |gone: &Blocks| {
            let reduced = without(plan, gone);
            let watch = Watch::default();
            let mut sweep = Sweep::of(&reduced, judged.search, &watch);
            let best = sweep.best(1);
            best.rows[0].verdict != Verdict::Conflict
        };
        let sets = (0..1 << all.len()).map(chosen).filter(is_safe);
        sets.map(|gone| gone.len()).min().unwrap()
    }

    /// Of two on one channel who is nearer is told: the other shows once he is gone. Somebody far off need not go.
    #[test]
    fn who_hides_behind_another_must_go_too() {
        for legs in [
            "[433.2250, 145.6500]",
            "[[433.2250, 433.2500], 145.6500]",
            "[433.2250, [145.6500, 145.6625]]",
        ] {
            let plan = hill(legs, NEIGHBOURS);
            let search = &plan.searches[0];
            let watch = Watch::default();
            let mut sweep = Sweep::of(&plan, search, &watch);
            let found = freed(&plan, search, &mut sweep, &watch).unwrap();
            assert!(found.is_fewest);
            let fewest = fewest(&plan, sweep.judge());
            assert_eq!(found.without.len(), fewest, "{legs}: {found:?}");
            assert_eq!(found.without, ["Near", "Behind", "Packet"], "{legs}");
        }
    }

    fn bound(legs: &[i64]) -> Bound {
        Bound {
            place: 0,
            legs: legs.iter().copied().map(Frequency::hz).collect(),
            to_meet: BTreeSet::new(),
            chosen: Blocks::new(),
            asked: 0,
        }
    }

    #[test]
    fn legs_are_looked_at_one_by_one_of_pairs_that_share_no_channel_with_the_plan() {
        let plan = hill("[433.2250, [145.3000, 145.6500]]", NEIGHBOURS);
        let [first, shared, second] = [433_225_000, 145_300_000, 145_650_000];
        let channels = [&[first][..], &[shared, second]]
            .map(|side| side.iter().copied().map(Frequency::hz).collect::<Vec<_>>());
        let judge = Judge::new(&plan, &plan.searches[0], [&channels[0], &channels[1]]);
        let apart = |legs: &[i64]| legs_apart(&judge, &bound(legs));
        let both = [(Legs::FIRST, first), (Legs::SECOND, second)];
        assert_eq!(
            apart(&[first, second]),
            Some(both.map(|(leg, at)| (leg, Frequency::hz(at))))
        );
        assert_eq!(apart(&[first, shared]), None);
        assert_eq!([apart(&[second]), apart(&[shared]), apart(&[])], [None; 3]);
    }

    /// In the plan without some, a candidate is told all that conflicts with it there, the net included.
    #[test]
    fn everything_that_conflicts_is_what_conflicts_with_the_candidate_alone_in_the_plan_without_some()
     {
        let plan = hill("[433.2250, [145.3000, 145.6500]]", NEIGHBOURS);
        let search = &plan.searches[0];
        let pairs = [[433_225_000, 145_300_000], [433_225_000, 145_650_000]];
        let watch = Watch::default();
        let sweep = Sweep::of(&plan, search, &watch);
        for gone in [&[][..], &[0], &[0, 2]] {
            let chosen: Blocks = gone.iter().map(|&index| Block::Neighbour(index)).collect();
            let candidates = pairs.map(|legs| bound(&legs));
            let asked = (&plan, search, sweep.judge());
            let found = everything(asked, &chosen, &candidates, &mut OfLegs::new());
            assert_eq!(found.len(), 2);
            let reduced = without(&plan, &chosen);
            for (legs, found) in pairs.into_iter().zip(found) {
                let [first, second] = legs.map(Frequency::hz);
                let judge = Judge::new(&reduced, search, [&[first], &[second]]);
                let placed = placed(&[first, second]).unwrap();
                let mut expected = judge.conflicts(placed, Decibels::ZERO, blocks_in(&judge));
                expected.extend(judge.conflicts_of_the_net(placed, blocks_in(&judge)));
                assert!(!expected.is_empty(), "{legs:?} without {gone:?}");
                let set = |all: Vec<Blocks>| all.into_iter().collect::<BTreeSet<Blocks>>();
                assert_eq!(set(found), set(expected), "{legs:?} without {gone:?}");
            }
        }
    }

    /// What stands in the way of a pair, with so many on one more channel of the first leg.
    fn beside_a_crowd(legs: &str, crowd: usize) -> Freed {
        let crowd = (0..crowd).map(|step| {
            let khz = 344 + 2 * step;
            format!("  - {{name: One {step}, frequency: 433.{khz}, power: 5 W, at: [54.33, -0.43], listeners: {{nearest: 40 km}}}}\n")
        });
        let two = NEIGHBOURS.lines().take(2).map(|line| format!("{line}\n"));
        let plan = hill(legs, &two.chain(crowd).collect::<String>());
        let search = &plan.searches[0];
        let watch = Watch::default();
        let mut sweep = Sweep::of(&plan, search, &watch);
        freed(&plan, search, &mut sweep, &watch).unwrap()
    }

    /// With those on the other leg more must go for the one channel than are asked for: at once, or when the hidden one shows.
    #[test]
    fn who_is_lost_for_good_leaves_the_fewest_proved_and_proves_nothing_of_those_who_are_not_looked_at()
     {
        for crowd in [5, 6, 7, 9] {
            let found = beside_a_crowd("[[433.2250, 433.3500], 145.6500]", crowd);
            assert_eq!(found.without, ["Near", "Behind", "Packet"], "{found:?}");
            assert_eq!(found.legs, [433_225_000, 145_650_000].map(Frequency::hz));
            assert!(found.is_fewest && found.looked_at == 2);
        }
        for crowd in [5, 6, 7, 9] {
            let found = beside_a_crowd("[[433.0000-433.3000, 433.3500], 145.6375-145.6625]", crowd);
            assert!(found.without.len() > 1, "{found:?}");
            assert_eq!((found.is_fewest, found.looked_at), (false, 64), "{found:?}");
        }
    }

    /// Outside the band the rules refuse; once that is passed over, somebody comes too near to the antenna all the same.
    #[test]
    fn what_the_net_refuses_is_asked_where_only_a_rule_that_is_passed_over_refuses_too() {
        let far: Vec<&str> = NEIGHBOURS.lines().skip(2).collect();
        let far = format!("{}\n", far.join("\n"));
        let mut plan = hill("[433.2250, 147.5000]", &far);
        let near = Length::metres(0.1);
        plan.stations[0].public = Some(Sourced::new(near, Origin::Said(Arc::from("a test"))));
        let search = &plan.searches[0];
        let watch = Watch::default();
        let sweep = Sweep::of(&plan, search, &watch);
        let found = |chosen: &Blocks| {
            let asked = (&plan, search, sweep.judge());
            let candidates = [bound(&[433_225_000, 147_500_000])];
            everything(asked, chosen, &candidates, &mut OfLegs::new()).concat()
        };
        let refused: Blocks = found(&Blocks::new()).into_iter().flatten().collect();
        let is_rule = |block: &Block| matches!(block, Block::Rule(_));
        assert!(refused.iter().any(is_rule), "{refused:?}");
        let found = found(&refused);
        assert!(found.iter().flatten().all(is_rule), "{found:?}");
        assert!(found.contains(&Blocks::new()), "{found:?}");
    }

    /// Of every four of twelve one must go: nine, which is more than are taken, but to prove that would take too long. Of every two
    /// of ten it is nine too, and soon seen.
    #[test]
    fn who_cannot_be_freed_is_lost_for_good_unless_that_takes_too_long_to_prove() {
        let lost = |of: usize, every: usize| {
            let all = (0..of).map(Block::Neighbour).combinations(every);
            let sets = all.map(|set| set.into_iter().collect()).collect();
            bound(&[]).learning(sets).map(|one| one.chosen.len())
        };
        assert_eq!(lost(12, 4), Err(Lost::Unproved));
        assert_eq!(lost(10, 2), Err(Lost::ForGood));
        assert_eq!(lost(9, 2), Ok(8));
        assert_eq!(
            bound(&[]).learning(vec![Blocks::new()]).map(|_| ()),
            Err(Lost::ForGood)
        );
    }
}
