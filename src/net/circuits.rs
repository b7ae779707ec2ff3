//! Every elementary circuit of a directed graph.

use std::collections::{BTreeMap, BTreeSet};
use std::hash::Hash;

use petgraph::Direction;
use petgraph::algo::tarjan_scc;
use petgraph::graphmap::DiGraphMap;

/// The circuits of a graph.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Circuits<N> {
    /// Each from its least node onward; shortest first, then by its nodes.
    pub all: Vec<Vec<N>>,
    /// Whether none was left out.
    pub is_complete: bool,
}

/// The elementary circuits of a graph, up to `cap` of them.
///
/// A graph can have exponentially many. When the cap stops the search, [`Circuits::is_complete`] is false; the
/// shortest circuit through each node is among those found even then.
///
/// # Source
/// D. B. Johnson, "Finding all the elementary circuits of a directed graph", SIAM Journal on Computing 4 (1975)
/// (from memory); checked against plain enumeration.
pub fn circuits<N>(graph: &DiGraphMap<N, ()>, cap: usize) -> Circuits<N>
where
    N: Copy + Ord + Hash,
{
    let mut found: BTreeSet<Vec<N>> = BTreeSet::new();
    let mut is_complete = true;
    let mut open = components(graph, &passed(graph));
    while let Some(mut component) = open.pop() {
        let Some(root) = component.first().copied() else {
            continue;
        };
        is_complete &= through_root(graph, root, &component, cap, &mut found);
        if !is_complete {
            break;
        }
        component.remove(&root);
        open.extend(components(graph, &component));
    }
    if !is_complete {
        found.extend(
            graph
                .nodes()
                .filter_map(|node| shortest_through(graph, node)),
        );
    }
    let mut all: Vec<Vec<N>> = found.into_iter().collect();
    all.sort_by(|one, other| (one.len(), one).cmp(&(other.len(), other)));
    Circuits { all, is_complete }
}

/// The nodes that something leads to and that lead somewhere, over and over among themselves: a circuit has no others.
fn passed<N: Copy + Ord + Hash>(graph: &DiGraphMap<N, ()>) -> BTreeSet<N> {
    let mut left: BTreeSet<N> = graph.nodes().collect();
    loop {
        let is_passed = |node: &N| {
            let mut ways = [Direction::Incoming, Direction::Outgoing].into_iter();
            ways.all(|way| {
                let mut others = graph.neighbors_directed(*node, way);
                others.any(|other| left.contains(&other))
            })
        };
        let now: BTreeSet<N> = left.iter().copied().filter(is_passed).collect();
        if now.len() == left.len() {
            return now;
        }
        left = now;
    }
}

/// The strongly connected parts that can hold a circuit, among some of the nodes.
fn components<N: Copy + Ord + Hash>(
    graph: &DiGraphMap<N, ()>,
    among: &BTreeSet<N>,
) -> Vec<BTreeSet<N>> {
    let mut part = DiGraphMap::<N, ()>::new();
    for &node in among {
        for next in graph.neighbors(node).filter(|next| among.contains(next)) {
            part.add_edge(node, next, ());
        }
    }
    tarjan_scc(&part)
        .into_iter()
        .map(BTreeSet::from_iter)
        .filter(|nodes: &BTreeSet<N>| {
            nodes.len() > 1 || nodes.iter().any(|&node| part.contains_edge(node, node))
        })
        .collect()
}

/// Johnson's search with an explicit stack; false when the cap was reached.
fn through_root<N: Copy + Ord + Hash>(
    graph: &DiGraphMap<N, ()>,
    root: N,
    component: &BTreeSet<N>,
    cap: usize,
    found: &mut BTreeSet<Vec<N>>,
) -> bool {
    let nexts = |node: N| -> Vec<N> {
        let mut nexts: Vec<N> = graph
            .neighbors(node)
            .filter(|next| component.contains(next))
            .collect();
        nexts.sort_unstable_by(|one, other| other.cmp(one));
        nexts
    };
    let mut blocked = BTreeSet::from([root]);
    let mut waiting: BTreeMap<N, BTreeSet<N>> = BTreeMap::new();
    let mut closes = BTreeSet::new();
    let mut path = vec![root];
    let mut stack = vec![(root, nexts(root))];
    while let Some((node, left)) = stack.last_mut() {
        let node = *node;
        if let Some(next) = left.pop() {
            if next == root {
                if found.len() >= cap {
                    return false;
                }
                found.insert(path.clone());
                closes.extend(path.iter().copied());
            } else if blocked.insert(next) {
                closes.remove(&next);
                path.push(next);
                stack.push((next, nexts(next)));
            }
            continue;
        }
        if closes.contains(&node) {
            unblock(node, &mut blocked, &mut waiting);
        } else {
            for next in nexts(node) {
                waiting.entry(next).or_default().insert(node);
            }
        }
        stack.pop();
        path.pop();
    }
    true
}

fn unblock<N: Copy + Ord>(
    node: N,
    blocked: &mut BTreeSet<N>,
    waiting: &mut BTreeMap<N, BTreeSet<N>>,
) {
    let mut open = vec![node];
    while let Some(node) = open.pop() {
        if blocked.remove(&node) {
            open.extend(waiting.remove(&node).unwrap_or_default());
        }
    }
}

/// The shortest circuit through a node, turned so that it begins with its least node.
fn shortest_through<N: Copy + Ord + Hash>(graph: &DiGraphMap<N, ()>, root: N) -> Option<Vec<N>> {
    let mut before: BTreeMap<N, N> = BTreeMap::new();
    let mut layer = vec![root];
    while !layer.is_empty() {
        let mut further = Vec::new();
        for node in layer {
            let mut nexts: Vec<N> = graph.neighbors(node).collect();
            nexts.sort_unstable();
            for next in nexts {
                if next == root {
                    return Some(traced(root, node, &before));
                }
                if let std::collections::btree_map::Entry::Vacant(place) = before.entry(next) {
                    place.insert(node);
                    further.push(next);
                }
            }
        }
        layer = further;
    }
    None
}

fn traced<N: Copy + Ord>(root: N, last: N, before: &BTreeMap<N, N>) -> Vec<N> {
    let mut back = vec![last];
    let mut at = last;
    while at != root {
        let Some(&earlier) = before.get(&at) else {
            break;
        };
        back.push(earlier);
        at = earlier;
    }
    back.reverse();
    let least = (0..back.len())
        .min_by_key(|&index| back.get(index).copied())
        .unwrap_or(0);
    back.rotate_left(least);
    back
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn complete(size: u32) -> DiGraphMap<u32, ()> {
        DiGraphMap::from_edges(
            (0..size)
                .flat_map(|one| (0..size).map(move |other| (one, other)))
                .filter(|(a, b)| a != b),
        )
    }

    /// The number of circuits of the complete directed graph of n nodes is the sum over k of C(n, k)·(k − 1)!.
    #[test]
    fn complete_graphs_have_as_many_circuits_as_the_closed_formula_says() {
        for (size, count) in [(2, 1), (3, 5), (4, 20), (5, 84), (6, 409), (7, 2_365)] {
            let circuits = circuits(&complete(size), 10_000);
            assert_eq!(
                (circuits.all.len(), circuits.is_complete),
                (count, true),
                "size {size}"
            );
        }
    }

    #[test]
    fn a_cap_is_told_and_still_keeps_the_shortest() {
        let circuits = circuits(&complete(9), 50);
        assert!(!circuits.is_complete);
        assert_eq!(circuits.all[0].len(), 2);
    }

    /// Plain search: every path from each node through greater nodes, back to it.
    fn plainly(graph: &DiGraphMap<u32, ()>) -> BTreeSet<Vec<u32>> {
        fn extend(
            graph: &DiGraphMap<u32, ()>,
            path: &mut Vec<u32>,
            found: &mut BTreeSet<Vec<u32>>,
        ) {
            let (first, last) = (path[0], path[path.len() - 1]);
            for next in graph.neighbors(last) {
                if next == first {
                    found.insert(path.clone());
                } else if next > first && !path.contains(&next) {
                    path.push(next);
                    extend(graph, path, found);
                    path.pop();
                }
            }
        }
        let mut found = BTreeSet::new();
        for node in graph.nodes() {
            extend(graph, &mut vec![node], &mut found);
        }
        found
    }

    proptest! {
        #[test]
        fn circuits_are_those_of_plain_search(edges in prop::collection::vec((0u32..7, 0u32..7), 0..22)) {
            let graph = DiGraphMap::from_edges(edges);
            let circuits = circuits(&graph, usize::MAX);
            prop_assert!(circuits.is_complete);
            prop_assert!(circuits.all.is_sorted_by_key(Vec::len));
            prop_assert_eq!(circuits.all.into_iter().collect::<BTreeSet<_>>(), plainly(&graph));
        }
    }
}
