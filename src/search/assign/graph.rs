//! Who must differ from whom, as a graph: the largest set in which all must, and the fewest kinds that are enough.

use std::collections::BTreeSet;

use petgraph::graphmap::UnGraphMap;

use super::solve::{Choice, Outcome, Stop, Task, Toll, solve};

/// Things by number, joined where they must differ.
pub type Graph = UnGraphMap<usize, ()>;

/// The largest set of things that must all differ from each other; of several, one that is the same each time.
///
/// # Source
/// Bron and Kerbosch 1973 with a pivot: every clique that cannot be enlarged is met once.
pub fn largest_clique(graph: &Graph) -> Vec<usize> {
    let mut best = Vec::new();
    let all: BTreeSet<usize> = graph.nodes().collect();
    enlarge(graph, &mut Vec::new(), all, BTreeSet::new(), &mut best);
    best.sort_unstable();
    best
}

fn enlarge(
    graph: &Graph,
    clique: &mut Vec<usize>,
    mut may_join: BTreeSet<usize>,
    mut done: BTreeSet<usize>,
    best: &mut Vec<usize>,
) {
    if clique.len() + may_join.len() <= best.len() {
        return;
    }
    if may_join.is_empty() {
        if done.is_empty() {
            best.clone_from(clique);
        }
        return;
    }
    let neighbours = |node: usize| graph.neighbors(node).collect::<BTreeSet<usize>>();
    let pivot = may_join
        .union(&done)
        .copied()
        .max_by_key(|&node| neighbours(node).intersection(&may_join).count());
    let spared = pivot.map(neighbours).unwrap_or_default();
    let branches: Vec<usize> = may_join.difference(&spared).copied().collect();
    for node in branches {
        let near = neighbours(node);
        clique.push(node);
        enlarge(
            graph,
            clique,
            may_join.intersection(&near).copied().collect(),
            done.intersection(&near).copied().collect(),
            best,
        );
        clique.pop();
        may_join.remove(&node);
        done.insert(node);
    }
}

/// The fewest kinds with which no two things that must differ are alike, and a kind for each in the order of the nodes.
///
/// # Errors
/// The search was stopped: the most that is known is the outcome.
pub fn fewest_kinds(graph: &Graph, should_stop: &Stop<'_>) -> Outcome<Highest> {
    let nodes: Vec<usize> = graph.nodes().collect();
    let clique = largest_clique(graph);
    solve(
        &Colouring {
            graph,
            nodes: &nodes,
            clique: clique.len(),
        },
        should_stop,
    )
}

/// A cost of which only the highest counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Highest(pub usize);

impl Toll for Highest {
    fn nothing() -> Self {
        Self(0)
    }

    fn and(&self, other: &Self) -> Self {
        *self.max(other)
    }

    fn least(&self, other: &Self) -> Self {
        *self.min(other)
    }
}

struct Colouring<'a> {
    graph: &'a Graph,
    nodes: &'a [usize],
    clique: usize,
}

impl Task for Colouring<'_> {
    type Toll = Highest;

    fn sizes(&self) -> Vec<usize> {
        vec![self.nodes.len(); self.nodes.len()]
    }

    fn agree(&self, one: Choice, other: Choice) -> bool {
        let ends = self
            .nodes
            .get(one.variable)
            .zip(self.nodes.get(other.variable));
        one.value != other.value
            || ends.is_none_or(|(&one, &other)| !self.graph.contains_edge(one, other))
    }

    fn alone(&self, choice: Choice) -> Highest {
        Highest(choice.value + 1)
    }

    fn floor(&self) -> Highest {
        Highest(self.clique)
    }

    fn values_are_alike(&self) -> bool {
        true
    }
}
