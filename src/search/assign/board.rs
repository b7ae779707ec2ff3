//! The open channels as places to choose from, and what must hold between them whatever is on the air.

use itertools::Itertools;

use super::graph::{Graph, largest_clique};
use super::solve::{Choice, Stop, Task, Toll, solve};
use super::spacing::are_free_of_third_order;
use crate::quantity::{Frequency, Offset};
use crate::scenario::{Assign, Plan, Target, Use};
use crate::search::candidates::channels;

/// One frequency that is open.
#[derive(Debug, Clone)]
pub(super) struct Leg {
    /// Of which channel.
    pub(super) channel: usize,
    /// Which of its legs.
    pub(super) which: usize,
    /// Where it may lie.
    pub(super) places: Vec<Frequency>,
}

/// What must hold between open frequencies.
#[derive(Debug, Clone)]
pub(super) struct Requirement {
    /// In words.
    pub(super) says: String,
    /// The frequencies it binds, by index.
    legs: Vec<usize>,
    kind: Kind,
}

#[derive(Debug, Clone)]
enum Kind {
    /// No two alike, and none that the plan talks on already.
    Own { taken: Vec<Frequency> },
    /// So far from each other and from what is there.
    Apart { by: Offset, there: Vec<Frequency> },
    /// All in one block.
    Together { within: Offset },
    /// No third-order product of members on a member.
    ThirdOrderFree,
}

/// Everything that is open, and everything that must hold.
#[derive(Debug, Clone)]
pub(super) struct Board {
    pub(super) legs: Vec<Leg>,
    pub(super) requirements: Vec<Requirement>,
    /// What each channel itself asks, in words.
    pub(super) channels: Vec<String>,
}

impl Board {
    pub(super) fn of(plan: &Plan, assign: &Assign) -> Self {
        let legs: Vec<Leg> = assign
            .channels
            .iter()
            .enumerate()
            .flat_map(|(channel, open)| {
                open.legs()
                    .into_iter()
                    .enumerate()
                    .map(move |(leg, spans)| Leg {
                        channel,
                        which: leg,
                        places: channels(spans, open.step.value),
                    })
            })
            .collect();
        let requirements = requirements(plan, assign, &legs);
        let channels = (0..assign.channels.len())
            .map(|channel| asks(assign, &legs, channel))
            .collect();
        Self {
            legs,
            requirements,
            channels,
        }
    }

    pub(super) fn frequency(&self, choice: Choice) -> Option<Frequency> {
        let leg = self.legs.get(choice.variable)?;
        leg.places.get(choice.value).copied()
    }

    /// How many places there are in all.
    pub(super) fn places(&self) -> usize {
        self.legs.iter().map(|leg| leg.places.len()).sum()
    }

    /// How many ways there are to choose, if nothing had to hold.
    pub(super) fn ways(&self) -> u128 {
        self.legs.iter().fold(1u128, |ways, leg| {
            ways.saturating_mul(leg.places.len() as u128)
        })
    }
}

impl Requirement {
    pub(super) fn permits(&self, board: &Board, choice: Choice) -> bool {
        let Some(frequency) = board
            .frequency(choice)
            .filter(|_| self.legs.contains(&choice.variable))
        else {
            return true;
        };
        match &self.kind {
            Kind::Own { taken } => !taken.contains(&frequency),
            Kind::Apart { by, there } => there.iter().all(|one| (*one - frequency).abs() >= *by),
            Kind::Together { .. } | Kind::ThirdOrderFree => true,
        }
    }

    pub(super) fn agree(&self, board: &Board, one: Choice, other: Choice) -> bool {
        let binds = self.legs.contains(&one.variable) && self.legs.contains(&other.variable);
        let pair = board.frequency(one).zip(board.frequency(other));
        let Some(apart) = pair
            .filter(|_| binds)
            .map(|(one, other)| (one - other).abs())
        else {
            return true;
        };
        match &self.kind {
            Kind::Own { .. } | Kind::ThirdOrderFree => apart > Offset::hz(0),
            Kind::Apart { by, .. } => apart >= *by,
            Kind::Together { within } => apart <= *within,
        }
    }

    pub(super) fn allows(&self, board: &Board, chosen: &[Choice], next: Choice) -> bool {
        if !matches!(self.kind, Kind::ThirdOrderFree) || !self.legs.contains(&next.variable) {
            return true;
        }
        let members: Vec<Frequency> = chosen
            .iter()
            .chain([&next])
            .filter(|one| self.legs.contains(&one.variable))
            .filter_map(|one| board.frequency(*one))
            .collect();
        are_free_of_third_order(&members)
    }

    /// The least distance it keeps between any two of its frequencies, where it keeps one.
    fn distance(&self) -> Option<Offset> {
        match self.kind {
            Kind::Own { .. } | Kind::ThirdOrderFree => Some(Offset::hz(1)),
            Kind::Apart { by, .. } => Some(by),
            Kind::Together { .. } => None,
        }
    }
}

fn requirements(plan: &Plan, assign: &Assign, legs: &[Leg]) -> Vec<Requirement> {
    let of = |channels: &[usize]| -> Vec<usize> {
        (0..legs.len())
            .filter(|&index| {
                legs.get(index)
                    .is_some_and(|leg| channels.contains(&leg.channel))
            })
            .collect()
    };
    let names = |channels: &[usize]| {
        let names = channels.iter().filter_map(|&one| assign.channels.get(one));
        let names: Vec<&str> = names.map(|one| one.name.as_str()).collect();
        match names.split_last() {
            Some((last, first)) if !first.is_empty() => format!("{} and {last}", first.join(", ")),
            _ => names.concat(),
        }
    };
    let mut found = vec![Requirement {
        says: "a frequency of its own for every channel".to_owned(),
        legs: (0..legs.len()).collect(),
        kind: Kind::Own { taken: Vec::new() },
    }];
    let talking = legs_that_talk(assign, legs);
    let taken = talked_on(plan);
    if !taken.is_empty() && !talking.is_empty() {
        found.push(Requirement {
            says: "no channel that the plan talks on already".to_owned(),
            legs: talking,
            kind: Kind::Own { taken },
        });
    }
    for one in &assign.apart {
        let (legs, there, says) = match one.site {
            Some(site) => (
                used_at(plan, assign, legs, site),
                settled_at(plan, site),
                format!(
                    "{} between the channels at {}",
                    one.by,
                    plan.sites.get(site).map_or("", |site| site.name.as_str())
                ),
            ),
            None => (
                of(&one.channels),
                Vec::new(),
                format!("{} between {}", one.by, names(&one.channels)),
            ),
        };
        found.push(Requirement {
            says,
            legs,
            kind: Kind::Apart { by: one.by, there },
        });
    }
    found.extend(assign.together.iter().map(|one| Requirement {
        says: format!("{} within {}", names(&one.channels), one.within),
        legs: of(&one.channels),
        kind: Kind::Together { within: one.within },
    }));
    found.extend(assign.third_order_free.iter().map(|set| Requirement {
        says: format!("no third-order product of {} on one of them", names(set)),
        legs: of(set),
        kind: Kind::ThirdOrderFree,
    }));
    found
}

fn legs_that_talk(assign: &Assign, legs: &[Leg]) -> Vec<usize> {
    let talks = |leg: &Leg| {
        let open = assign.channels.get(leg.channel);
        open.is_some_and(|open| !matches!(open.range, crate::scenario::SearchRange::Watch(_)))
    };
    (0..legs.len())
        .filter(|&index| legs.get(index).is_some_and(talks))
        .collect()
}

/// Where the plan as it stands talks.
fn talked_on(plan: &Plan) -> Vec<Frequency> {
    let uses = plan.stations.iter().flat_map(|station| &station.uses);
    let mut found: Vec<Frequency> = uses
        .filter(|one| !matches!(one.what, Use::Watch { .. }))
        .flat_map(|one| one.what.frequencies())
        .collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// The open frequencies that somebody at a site uses.
fn used_at(plan: &Plan, assign: &Assign, legs: &[Leg], site: usize) -> Vec<usize> {
    let is_there = |station: usize| {
        plan.stations
            .get(station)
            .is_some_and(|one| one.site == site)
    };
    let works_through = |relay: usize, leg: usize| {
        plan.stations
            .iter()
            .filter(|one| one.site == site)
            .any(|one| {
                one.uses.iter().any(|one| {
                    one.what
                        == Use::Via {
                            target: Target::Relay {
                                station: relay,
                                leg,
                            },
                        }
                })
            })
    };
    let is_used = |leg: &Leg| {
        assign.channels.get(leg.channel).is_some_and(|open| {
            open.stations.iter().any(|&station| {
                is_there(station) || (open.legs().len() == 2 && works_through(station, leg.which))
            })
        })
    };
    (0..legs.len())
        .filter(|&index| legs.get(index).is_some_and(is_used))
        .collect()
}

/// What the plan as it stands has on the air or hears at a site.
fn settled_at(plan: &Plan, site: usize) -> Vec<Frequency> {
    let uses = plan
        .stations
        .iter()
        .filter(|station| station.site == site)
        .flat_map(|station| &station.uses);
    uses.flat_map(|one| match one.what {
        Use::Via {
            target: Target::Repeater { in_use },
        } => plan
            .in_use
            .get(in_use)
            .map(|entry| entry.output.into_iter().chain(entry.input).collect())
            .unwrap_or_default(),
        _ => one.what.frequencies(),
    })
    .collect()
}

/// What a channel itself asks.
fn asks(assign: &Assign, legs: &[Leg], channel: usize) -> String {
    let name = assign
        .channels
        .get(channel)
        .map_or("", |one| one.name.as_str());
    let places: Vec<String> = legs
        .iter()
        .filter(|leg| leg.channel == channel)
        .map(|leg| match leg.places.as_slice() {
            [] => "nowhere".to_owned(),
            [one] => format!("on {one}"),
            [first, .., last] => format!(
                "at one of {} places in {}–{last}",
                leg.places.len(),
                first.digits()
            ),
        })
        .collect();
    format!("{name} {}", places.join(" and "))
}

/// Whether some channels can be placed so that some requirements hold, whatever is on the air. None when stopped.
pub(super) fn can_be_placed(
    board: &Board,
    channels: &[usize],
    requirements: &[usize],
    should_stop: &Stop<'_>,
) -> Option<bool> {
    let legs: Vec<usize> = (0..board.legs.len())
        .filter(|&index| {
            board
                .legs
                .get(index)
                .is_some_and(|leg| channels.contains(&leg.channel))
        })
        .collect();
    let placing = Placing {
        board,
        legs,
        requirements: requirements
            .iter()
            .filter_map(|&one| board.requirements.get(one))
            .collect(),
    };
    if placing.is_crowded() {
        return Some(false);
    }
    let outcome = solve(&placing, should_stop);
    match (outcome.best.is_some(), outcome.is_proved()) {
        (true, _) => Some(true),
        (false, true) => Some(false),
        (false, false) => None,
    }
}

struct Placing<'a> {
    board: &'a Board,
    legs: Vec<usize>,
    requirements: Vec<&'a Requirement>,
}

impl Placing<'_> {
    fn whole(&self, choice: Choice) -> Choice {
        Choice {
            variable: self
                .legs
                .get(choice.variable)
                .copied()
                .unwrap_or(usize::MAX),
            value: choice.value,
        }
    }

    /// Whether those that must all keep a distance from each other are more than their places hold: a bound that a
    /// search would need long to find.
    fn is_crowded(&self) -> bool {
        let distances: Vec<Offset> = self
            .requirements
            .iter()
            .filter_map(|one| one.distance())
            .sorted()
            .dedup()
            .collect();
        distances.into_iter().any(|distance| {
            let mut graph = Graph::new();
            for &leg in &self.legs {
                graph.add_node(leg);
            }
            for one in self
                .requirements
                .iter()
                .filter(|one| one.distance() >= Some(distance))
            {
                let bound = one.legs.iter().filter(|leg| self.legs.contains(leg));
                for [&one, &other] in bound.array_combinations() {
                    graph.add_edge(one, other, ());
                }
            }
            let clique = largest_clique(&graph);
            let places = clique
                .iter()
                .filter_map(|&leg| self.board.legs.get(leg))
                .flat_map(|leg| leg.places.iter().copied())
                .sorted()
                .dedup();
            let mut last: Option<Frequency> = None;
            let held = places
                .filter(|&place| {
                    let is_far = last.is_none_or(|last| (place - last).abs() >= distance);
                    if is_far {
                        last = Some(place);
                    }
                    is_far
                })
                .count();
            held < clique.len()
        })
    }
}

/// A cost that is always nothing: any choice that holds is as good as another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Free;

impl Toll for Free {
    fn nothing() -> Self {
        Self
    }

    fn and(&self, _: &Self) -> Self {
        Self
    }

    fn least(&self, _: &Self) -> Self {
        Self
    }
}

impl Task for Placing<'_> {
    type Toll = Free;

    fn sizes(&self) -> Vec<usize> {
        let legs = self.legs.iter().filter_map(|&leg| self.board.legs.get(leg));
        legs.map(|leg| leg.places.len()).collect()
    }

    fn permits(&self, choice: Choice) -> bool {
        let choice = self.whole(choice);
        self.requirements
            .iter()
            .all(|one| one.permits(self.board, choice))
    }

    fn agree(&self, one: Choice, other: Choice) -> bool {
        let (one, other) = (self.whole(one), self.whole(other));
        self.requirements
            .iter()
            .all(|rule| rule.agree(self.board, one, other))
    }

    fn allows(&self, chosen: &[Choice], next: Choice) -> bool {
        let chosen: Vec<Choice> = chosen.iter().map(|one| self.whole(*one)).collect();
        let next = self.whole(next);
        self.requirements
            .iter()
            .all(|one| one.allows(self.board, &chosen, next))
    }

    fn alone(&self, _: Choice) -> Free {
        Free
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::scenario::{NoFiles, read};

    /// A plan that talks on 145.3000 MHz, and what is open on it: a channel to listen to (variable 0), one to talk on (1) and a pair
    /// (2 and 3).
    fn plan(rules: &str) -> Plan {
        let text = format!(
            "
event: {{name: Test}}
rules: [uk]
licence: full
sites:
  hill: {{at: [54.4150, -0.5320], ground: 118 m}}
radios: {{wide: {{based_on: mobile-2m, receivers: 4}}}}
stations:
  - {{name: Relay, site: hill, radio: dual-band-mobile}}
  - {{name: Car, site: hill, radio: wide, talk: 145.3000, antenna: {{offset: {{east: 9 m, north: 0 m}}}}}}
  - {{name: Base, site: hill, radio: mobile-2m, antenna: {{offset: {{east: 0 m, north: 9 m}}}}}}
assign:
  channels:
    - {{name: Ear, stations: [Car], watch: [145.3000, 145.4000], step: 25 kHz}}
    - {{name: Talk, stations: [Base], talk: [145.2500, 145.3000, 145.3500], step: 25 kHz}}
    - {{name: Pair, stations: [Relay], cross_band: [433.4500, [145.2750, 145.3000, 145.4000, 145.4500]], step: 25 kHz}}
{rules}"
        );
        read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"))
    }

    fn board(rules: &str) -> Board {
        let plan = plan(rules);
        Board::of(&plan, plan.assign.as_ref().unwrap())
    }

    fn choice(variable: usize, value: usize) -> Choice {
        Choice { variable, value }
    }

    #[test]
    fn a_board_counts_its_places_and_its_ways() {
        let board = board("");
        let places: Vec<usize> = board.legs.iter().map(|leg| leg.places.len()).collect();
        assert_eq!(places, [2, 3, 1, 4]);
        assert_eq!((board.places(), board.ways()), (10, 24));
    }

    #[test]
    fn who_only_listens_may_be_where_the_plan_talks_and_nobody_who_sends() {
        let board = board("");
        let says: Vec<&str> = board
            .requirements
            .iter()
            .map(|one| one.says.as_str())
            .collect();
        assert_eq!(
            says,
            [
                "a frequency of its own for every channel",
                "no channel that the plan talks on already"
            ]
        );
        let taken = &board.requirements[1];
        assert_eq!(taken.legs, [1, 2, 3]);
        // 145.3000 MHz is the first place to listen to and the second of those who talk.
        assert!(taken.permits(&board, choice(0, 0)));
        assert!(!taken.permits(&board, choice(1, 1)) && taken.permits(&board, choice(1, 0)));
        assert!(!taken.permits(&board, choice(3, 1)) && taken.permits(&board, choice(3, 0)));
    }

    #[test]
    fn a_plan_that_talks_nowhere_or_in_which_only_listeners_are_open_keeps_nobody_off() {
        let says = |plan: &Plan| -> Vec<String> {
            let board = Board::of(plan, plan.assign.as_ref().unwrap());
            board.requirements.into_iter().map(|one| one.says).collect()
        };
        let own = ["a frequency of its own for every channel"];
        let mut silent = plan("");
        silent.stations[1].uses.clear();
        assert_eq!(says(&silent), own);
        let mut listening = plan("");
        listening.assign.as_mut().unwrap().channels.truncate(1);
        assert_eq!(says(&listening), own);
    }

    #[test]
    fn what_is_asked_of_several_is_told_by_their_names() {
        let board = board(
            "  apart:
    - {channels: [Talk, Pair], by: 100 kHz}
  together:
    - {channels: [Ear, Talk, Pair], within: 1 MHz}
  third_order_free: [[Ear, Talk, Pair]]
",
        );
        let says: Vec<&str> = board.requirements[2..]
            .iter()
            .map(|one| one.says.as_str())
            .collect();
        assert_eq!(
            says,
            [
                "100 kHz between Talk and Pair",
                "Ear, Talk and Pair within 1 MHz",
                "no third-order product of Ear, Talk and Pair on one of them"
            ]
        );
        let distances: Vec<Option<i64>> = board
            .requirements
            .iter()
            .map(|one| one.distance().map(Offset::as_hz))
            .collect();
        assert_eq!(distances, [Some(1), Some(1), Some(100_000), None, Some(1)]);
    }

    /// 2 × 145.3500 − 145.3000 = 145.4000 MHz.
    #[test]
    fn a_set_that_must_be_free_of_third_order_refuses_the_member_that_closes_a_product() {
        let board = board("  third_order_free: [[Ear, Talk, Pair]]\n");
        let rule = board.requirements.last().unwrap();
        let chosen = [choice(0, 0), choice(1, 2)];
        assert!(!rule.allows(&board, &chosen, choice(3, 2)));
        assert!(rule.allows(&board, &chosen, choice(3, 3)));
        assert!(rule.allows(&board, &chosen[..1], choice(3, 2)));
        // The others ask nothing of three.
        assert!(board.requirements[0].allows(&board, &chosen, choice(3, 2)));
        let placing = Placing {
            board: &board,
            legs: vec![0, 1, 3],
            requirements: vec![rule],
        };
        let chosen = [choice(0, 0), choice(1, 2)];
        assert!(!Task::allows(&placing, &chosen, choice(2, 2)));
        assert!(Task::allows(&placing, &chosen, choice(2, 3)));
    }

    #[test]
    fn more_than_there_is_room_for_at_a_distance_is_seen_at_once() {
        let is_crowded = |by: &str| {
            let board = board(&format!(
                "  apart: [{{channels: [Talk, Pair], by: {by}}}]\n"
            ));
            let placing = |legs: &[usize]| {
                let placing = Placing {
                    board: &board,
                    legs: legs.to_vec(),
                    requirements: board.requirements.iter().collect(),
                };
                placing.is_crowded()
            };
            (placing(&[1, 3]), placing(&[1]), placing(&[0, 3]))
        };
        // 145.2500 and 145.4500 MHz are 200 kHz apart, and nothing is further.
        assert_eq!(is_crowded("200 kHz"), (false, false, false));
        assert_eq!(is_crowded("200.001 kHz"), (true, false, false));
    }
}
