//! Choosing everything at once: published numbers, plain enumeration, and what `check` says of the plan that comes out.

use proptest::prelude::*;
use quietpair::assess::{Verdict, judge};
use quietpair::quantity::Frequency;
use quietpair::scenario::{NoFiles, Plan, read};
use quietpair::search::assign::{
    Assignment, Choice, Graph, Stop, Task, Toll, assign, closest_spacing, fewest_kinds,
    is_free_of_third_order, largest_clique, solve,
};

const NEVER: &Stop<'static> = &|| false;

/// OEIS A003022, and the sets of Babcock 1953 for 3 to 10 channels (both recalled; up to 9 the lengths were searched
/// through by a separate program).
const SHORTEST: [(usize, usize); 8] = [
    (3, 3),
    (4, 6),
    (5, 11),
    (6, 17),
    (7, 25),
    (8, 34),
    (9, 44),
    (10, 55),
];

#[track_caller]
fn assert_shortest(channels: usize, length: usize) {
    let outcome = closest_spacing(channels, NEVER);
    assert!(outcome.is_proved());
    let (places, found) = outcome.best.unwrap();
    assert_eq!(found.0, length, "{channels} channels: {places:?}");
    let places: Vec<i64> = places
        .iter()
        .map(|&place| i64::try_from(place).unwrap())
        .collect();
    assert!(is_free_of_third_order(&places), "{places:?}");
}

#[test]
fn the_closest_sets_free_of_third_order_are_the_published_golomb_rulers() {
    for (channels, length) in SHORTEST {
        assert_shortest(channels, length);
    }
}

#[test]
fn the_published_sets_are_free_of_third_order_and_one_step_spoils_them() {
    // Babcock 1953 by way of OEIS A003022, recalled: 10 channels in 56 places.
    let set = [0, 1, 6, 10, 23, 26, 34, 41, 53, 55];
    assert!(is_free_of_third_order(&set));
    // 2·1 − 0 = 2.
    assert!(!is_free_of_third_order(&[0, 1, 2, 10, 23]));
    // 1 + 10 − 0 = 11.
    assert!(!is_free_of_third_order(&[0, 1, 10, 11]));
}

fn graph(edges: &[(usize, usize)]) -> Graph {
    edges.iter().map(|&(one, other)| (one, other, ())).collect()
}

fn complete(size: usize) -> Graph {
    let edges: Vec<_> = (0..size)
        .flat_map(|one| (0..one).map(move |other| (one, other)))
        .collect();
    graph(&edges)
}

fn ring(size: usize) -> Vec<(usize, usize)> {
    (0..size).map(|node| (node, (node + 1) % size)).collect()
}

/// Mycielski's construction: one colour more, and no larger clique.
fn mycielskian(graph: &Graph) -> Graph {
    let size = graph.node_count();
    let mut larger = graph.clone();
    for (one, other, ()) in graph.all_edges() {
        larger.add_edge(one, size + other, ());
        larger.add_edge(other, size + one, ());
    }
    for node in 0..size {
        larger.add_edge(size + node, 2 * size, ());
    }
    larger
}

/// Queens on a board of five by five attack each other along lines and diagonals.
fn queens() -> Graph {
    let squares = || (0..5usize).flat_map(|row| (0..5usize).map(move |column| (row, column)));
    let mut found = Graph::new();
    for one in squares() {
        for other in squares().filter(|other| *other > one) {
            let (rows, columns) = (one.0.abs_diff(other.0), one.1.abs_diff(other.1));
            if rows == 0 || columns == 0 || rows == columns {
                found.add_edge(5 * one.0 + one.1, 5 * other.0 + other.1, ());
            }
        }
    }
    found
}

#[track_caller]
fn assert_needs(graph: &Graph, kinds: usize, clique: usize) {
    assert_eq!(largest_clique(graph).len(), clique);
    let outcome = fewest_kinds(graph, NEVER);
    assert!(outcome.is_proved());
    let (given, most) = outcome.best.unwrap();
    assert_eq!(most.0, kinds);
    let nodes: Vec<usize> = graph.nodes().collect();
    let kind = |node: usize| given[nodes.iter().position(|one| *one == node).unwrap()];
    assert!(
        graph
            .all_edges()
            .all(|(one, other, ())| kind(one) != kind(other))
    );
}

/// Chromatic numbers: textbook values for complete graphs, rings, Petersen and Grötzsch; the second DIMACS challenge for
/// `myciel3`, `myciel4` and `queen5_5` (recalled).
#[test]
fn known_graphs_need_as_many_colours_as_published() {
    for size in 1..7 {
        if size > 1 {
            assert_needs(&complete(size), size, size);
        }
    }
    assert_needs(&graph(&ring(5)), 3, 2);
    assert_needs(&graph(&ring(9)), 3, 2);
    assert_needs(&graph(&ring(8)), 2, 2);
    let mut petersen = ring(5);
    petersen.extend((0..5).flat_map(|node| [(node, node + 5), (5 + node, 5 + (node + 2) % 5)]));
    assert_needs(&graph(&petersen), 3, 2);
    let groetzsch = mycielskian(&graph(&ring(5)));
    assert_eq!((groetzsch.node_count(), groetzsch.edge_count()), (11, 20));
    assert_needs(&groetzsch, 4, 2);
    let myciel4 = mycielskian(&groetzsch);
    assert_eq!((myciel4.node_count(), myciel4.edge_count()), (23, 71));
    assert_needs(&myciel4, 5, 2);
    let queens = queens();
    assert_eq!((queens.node_count(), queens.edge_count()), (25, 160));
    assert_needs(&queens, 5, 5);
}

/// A cost with a part that adds up and a part of which the worst counts, the worst first.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Cost(u32, u32);

impl Toll for Cost {
    fn nothing() -> Self {
        Self(0, 0)
    }

    fn and(&self, other: &Self) -> Self {
        Self(self.0.max(other.0), self.1 + other.1)
    }

    fn least(&self, other: &Self) -> Self {
        Self(self.0.min(other.0), self.1.min(other.1))
    }
}

/// A problem of numbers: what each choice costs, what each pair costs or forbids, and what a triple costs.
#[derive(Debug, Clone)]
struct Numbers {
    sizes: Vec<usize>,
    seeds: Vec<u32>,
}

impl Numbers {
    fn drawn(&self, parts: &[Choice]) -> u32 {
        let mut mixed = 17u32;
        let mut sorted = parts.to_vec();
        sorted.sort_unstable();
        for one in sorted {
            let at = (one.variable * 7 + one.value * 3) % self.seeds.len();
            mixed = mixed
                .wrapping_mul(31)
                .wrapping_add(self.seeds[at])
                .rotate_left(5);
        }
        mixed % 97
    }

    fn cost(&self, parts: &[Choice]) -> Cost {
        let drawn = self.drawn(parts);
        Cost(drawn % 5, drawn % 7)
    }

    /// Everything that rests on one of some choices, and on others before it.
    fn rests_on(&self, chosen: &[Choice], next: Choice) -> Cost {
        let mut sum = self.cost(&[next]);
        for (index, &one) in chosen.iter().enumerate() {
            sum = sum.and(&self.cost(&[one, next]));
            for &other in &chosen[index + 1..] {
                sum = sum.and(&self.cost(&[one, other, next]));
            }
        }
        sum
    }

    fn is_forbidden(&self, one: Choice, other: Choice) -> bool {
        self.drawn(&[one, other]).is_multiple_of(4)
    }
}

impl Task for Numbers {
    type Toll = Cost;

    fn sizes(&self) -> Vec<usize> {
        self.sizes.clone()
    }

    fn agree(&self, one: Choice, other: Choice) -> bool {
        !self.is_forbidden(one, other)
    }

    fn allows(&self, chosen: &[Choice], next: Choice) -> bool {
        let sum: usize = chosen.iter().chain([&next]).map(|one| one.value).sum();
        sum != 5
    }

    fn alone(&self, choice: Choice) -> Cost {
        self.cost(&[choice])
    }

    fn added(&self, chosen: &[Choice], next: Choice) -> Cost {
        self.rests_on(chosen, next)
    }

    fn is_in_order(&self) -> bool {
        // `allows` asks of every beginning, so that the order is part of the problem.
        true
    }
}

fn enumerated(numbers: &Numbers) -> Option<Cost> {
    let mut partial: Vec<(Vec<Choice>, Cost)> = vec![(Vec::new(), Cost::nothing())];
    for (variable, &size) in numbers.sizes.iter().enumerate() {
        partial = partial
            .iter()
            .flat_map(|(chosen, sum)| {
                (0..size).filter_map(move |value| {
                    let next = Choice { variable, value };
                    let stands = chosen.iter().all(|&one| numbers.agree(one, next))
                        && numbers.allows(chosen, next);
                    stands.then(|| {
                        let mut longer = chosen.clone();
                        longer.push(next);
                        (longer, sum.and(&numbers.rests_on(chosen, next)))
                    })
                })
            })
            .collect();
    }
    partial.into_iter().map(|(_, cost)| cost).min()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn the_best_choice_is_that_of_plain_enumeration(
        sizes in prop::collection::vec(1usize..6, 1..6),
        seeds in prop::collection::vec(0u32..10_000, 5..40),
    ) {
        let numbers = Numbers { sizes, seeds };
        let outcome = solve(&numbers, NEVER);
        prop_assert!(outcome.is_proved());
        prop_assert_eq!(outcome.best.map(|(_, cost)| cost), enumerated(&numbers));
    }

    #[test]
    fn a_search_that_is_stopped_knows_what_it_may_have_missed(
        sizes in prop::collection::vec(2usize..6, 2..6),
        seeds in prop::collection::vec(0u32..10_000, 5..40),
        patience in 0usize..20,
    ) {
        let numbers = Numbers { sizes, seeds };
        let asked = std::sync::atomic::AtomicUsize::new(0);
        let stop = || asked.fetch_add(1, std::sync::atomic::Ordering::Relaxed) >= patience;
        let outcome = solve(&numbers, &stop);
        let best = enumerated(&numbers);
        match (outcome.best, outcome.open_bound) {
            (Some((_, found)), Some(bound)) => {
                prop_assert!(best.as_ref().is_some_and(|best| found >= *best));
                prop_assert!(best.is_some_and(|best| bound <= best || found == best));
            }
            (found, None) => prop_assert_eq!(found.map(|(_, cost)| cost), best),
            (None, Some(bound)) => prop_assert!(best.is_none_or(|best| bound <= best)),
        }
    }
}

const HEAD: &str = "
event: {name: Test}
rules: [uk]
licence: full
settings: {order: 3}
absent: [marine, marine-distress]
sites:
  hill: {at: [54.4150, -0.5320]}
  field: {at: [54.4240, -0.5320]}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile, power: low, control: attended}
  - {name: Base, site: field, radio: mobile-2m, power: low}
  - {name: Car, site: field, radio: mobile-2m, power: low, antenna: {offset: {east: 300 m, north: 0 m}}}
  - {name: Desk, site: field, radio: dual-band-mobile, power: low, antenna: {offset: {east: 0 m, north: 200 m}}, via: Relay, leg: 2m}
in_use:
  - {name: Town repeater, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43]}
";

fn plan(rest: &str) -> Plan {
    read("test.yaml", format!("{HEAD}{rest}").as_bytes(), &NoFiles)
        .unwrap_or_else(|error| panic!("{error}"))
}

fn assigned(plan: &Plan) -> Assignment {
    assign(plan, plan.assign.as_ref().unwrap(), NEVER)
}

fn mhz(text: &str) -> Frequency {
    text.parse().unwrap()
}

const OPEN: &str = "
assign:
  channels:
    - {name: Pair, stations: [Relay], cross_band: [[433.4500, 433.5250], [145.2250, 145.3500, 145.4250]], tone: 77.0}
    - {name: Field, stations: [Base, Car], talk: [145.2250, 145.3500, 145.5000]}
    - {name: Ear, stations: [Desk], watch: [145.6500, 433.4500, 145.2250]}
";

/// The plan of the test with frequencies written where they belong.
fn written(legs: &[Frequency]) -> Plan {
    let [first, second, field, ear] = legs else {
        panic!("four frequencies are open: {legs:?}")
    };
    let digits = |one: &Frequency| format!("{} Hz", one.as_hz());
    let text = HEAD
        .replace(
            "power: low, control: attended}",
            &format!(
                "power: low, control: attended, cross_band: [{}, {}], tone: 77.0}}",
                digits(first),
                digits(second)
            ),
        )
        .replace(
            "{name: Base, site: field, radio: mobile-2m, power: low}",
            &format!(
                "{{name: Base, site: field, radio: mobile-2m, power: low, talk: {}}}",
                digits(field)
            ),
        )
        .replace(
            "north: 0 m}}}",
            &format!("north: 0 m}}}}, talk: {}}}", digits(field)),
        )
        .replace(
            "via: Relay, leg: 2m}",
            &format!(
                "uses: [{{via: Relay, leg: 2m}}, {{watch: {}}}]}}",
                digits(ear)
            ),
        );
    read("written.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn the_plan_that_comes_out_is_judged_as_check_judges_it_when_written_down() {
    let plan = plan(OPEN);
    let assignment = assigned(&plan);
    assert!(assignment.is_proved);
    let found = assignment.found.unwrap();
    let legs: Vec<Frequency> = found
        .given
        .iter()
        .flat_map(|one| one.legs.clone())
        .collect();
    let judged = judge(&written(&legs), None);
    assert_eq!(found.judged.verdict, judged.verdict);
    assert_eq!(found.judged.worst_margin, judged.worst_margin);
    let says = |findings: &[quietpair::finding::Finding]| {
        let mut says: Vec<String> = findings.iter().map(|one| one.says.clone()).collect();
        says.sort_unstable();
        says
    };
    assert_eq!(says(&found.judged.findings), says(&judged.findings));
}

#[test]
fn no_other_way_to_fill_a_small_plan_is_better() {
    let plan = plan(OPEN);
    let found = assigned(&plan).found.unwrap();
    let reserve = plan.settings.reserve.value.as_db();
    let key = |judged: &quietpair::assess::Judged| {
        let margin = judged
            .worst_margin
            .map(|margin| (margin.as_db() / reserve).floor());
        let conflicts = judged
            .findings
            .iter()
            .any(|one| one.severity == quietpair::finding::Severity::Conflict);
        // No conflict first, then the rung of the least margin: higher is better, none the best.
        (conflicts, -margin.unwrap_or(f64::MAX))
    };
    let best = key(&found.judged);
    let mut looked_at = 0;
    for first in ["433.4500", "433.5250"] {
        for second in ["145.2250", "145.3500", "145.4250"] {
            for field in ["145.2250", "145.3500", "145.5000"] {
                for ear in ["145.6500", "433.4500", "145.2250"] {
                    let mut legs = [first, second, field, ear].map(mhz).to_vec();
                    let other = key(&judge(&written(&legs), None));
                    legs.sort_unstable();
                    legs.dedup();
                    if legs.len() == 4 {
                        looked_at += 1;
                        assert!(
                            best <= other,
                            "{first} {second} {field} {ear}: {other:?} < {best:?}"
                        );
                    }
                }
            }
        }
    }
    assert!(looked_at > 20);
    assert_ne!(
        found.judged.verdict,
        Verdict::Clear,
        "a test with nothing to weigh up says little"
    );
}

#[test]
fn with_few_changes_wanted_a_channel_stays_where_it_was_last_year() {
    let open = "
assign:
  aim: fewest-changes
  channels:
    - {name: Pair, stations: [Relay], cross_band: [433.4500, 145.4250], tone: own, last_year: [433.4500, 145.4250]}
    - {name: Field, stations: [Base, Car], talk: [145.2250, 145.3500, 145.5000], last_year: [145.3500]}
";
    let assignment = assigned(&plan(open));
    let found = assignment.found.unwrap();
    assert_eq!(found.changes, 0);
    assert_eq!(found.given[1].legs, [mhz("145.3500")]);
    assert!(found.given[0].tone.is_some());
    let moved = open.replace(
        "talk: [145.2250, 145.3500, 145.5000]",
        "talk: [145.2250, 145.5000]",
    );
    assert_eq!(assigned(&plan(&moved)).found.unwrap().changes, 1);
}

#[test]
fn every_requirement_holds_to_the_hertz() {
    let open = "
assign:
  channels:
    - {name: Pair, stations: [Relay], cross_band: [433.4500, 145.2000-145.3000], step: 12.5 kHz}
    - {name: Field, stations: [Base, Car], talk: 145.2000-145.3000, step: 12.5 kHz}
  apart: [{channels: [Pair, Field], by: BY}]
  together: [{channels: [Field, Ear], within: 100 kHz}]
"
    .replace(
        "  apart",
        "    - {name: Ear, stations: [Desk], watch: 145.1000-145.3000, step: 12.5 kHz}\n  apart",
    );
    let found = assigned(&plan(&open.replace("BY", "100 kHz")))
        .found
        .unwrap();
    let [pair, field, ear] = [0, 1, 2].map(|index: usize| *found.given[index].legs.last().unwrap());
    assert_eq!((pair - field).abs().as_hz(), 100_000);
    assert!((ear - field).abs().as_hz() <= 100_000);
    let beyond = assigned(&plan(&open.replace("BY", "100.001 kHz")));
    let contradiction = beyond.contradiction.unwrap();
    assert!(beyond.found.is_none());
    assert!(contradiction.is_smallest);
    assert_eq!(
        contradiction.asked,
        [
            "Pair on 433.4500 MHz and at one of 9 places in 145.2000–145.3000 MHz",
            "Field at one of 9 places in 145.2000–145.3000 MHz",
            "100.001 kHz between Pair and Field",
        ]
    );
}

#[test]
fn more_channels_than_places_are_refused_at_once_and_only_they_are_named() {
    let channel = |index: usize| {
        format!("{{name: C{index}, stations: [Car], watch: 145.2000-145.2500, step: 12.5 kHz}}")
    };
    let channels: Vec<String> = (0..7).map(channel).collect();
    let channels = channels.join(", ");
    let open = format!("assign: {{channels: [{channels}]}}\n");
    let text = format!("{HEAD}{open}")
        .replace("radio: mobile-2m", "radio: wide")
        .replace(", via: Relay, leg: 2m", "")
        + "radios: {wide: {based_on: mobile-2m, receivers: 9}}\n";
    let plan =
        read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"));
    let assignment = assigned(&plan);
    let contradiction = assignment.contradiction.unwrap();
    // Five places: six of the channels, and that each is to have its own.
    assert_eq!(contradiction.asked.len(), 7);
    assert!(contradiction.is_smallest);
}

#[test]
fn a_set_that_was_looked_for_until_somebody_stopped_it_is_not_proved() {
    let outcome = closest_spacing(6, &|| true);
    assert!(!outcome.is_proved() && outcome.best.is_none());
    assert!(outcome.open_bound.unwrap().0 <= 17);
    assert!(closest_spacing(6, NEVER).is_proved());
}
