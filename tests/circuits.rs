//! Circuits of a graph that has more of them than anybody wants to read.

use petgraph::graphmap::DiGraphMap;
use quietpair::net::circuits;

/// Everybody leads to everybody: of nine there are 125 664 circuits, and a search that ends early has seen few of them.
#[test]
fn the_shortest_circuit_through_each_is_told_even_where_a_cap_ends_the_search() {
    let edges = (0..9).flat_map(|one| (0..9).map(move |other| (one, other)));
    let all: Vec<(u32, u32)> = edges.filter(|(one, other)| one != other).collect();
    let graph: DiGraphMap<u32, ()> = all.iter().map(|&(one, other)| (one, other, ())).collect();
    let found = circuits(&graph, 50);
    assert!(!found.is_complete);
    for node in 0..9 {
        let shortest = found.all.iter().filter(|circuit| circuit.contains(&node));
        assert_eq!(shortest.map(Vec::len).min(), Some(2), "{node}");
    }
}

/// A ring with one way back: the shortest through a node of the ring alone is the ring, from its least node onward.
#[test]
fn a_circuit_is_told_from_its_least_node_onward() {
    let ring = [(4, 2), (2, 7), (7, 3), (3, 4)];
    let graph: DiGraphMap<u32, ()> = ring.iter().map(|&(one, other)| (one, other, ())).collect();
    let found = circuits(&graph, 10);
    assert!(found.is_complete);
    assert_eq!(found.all, [vec![2, 7, 3, 4]]);
    // No room for any: each is the shortest through its nodes.
    let found = circuits(&graph, 0);
    assert!(!found.is_complete);
    assert_eq!(found.all, [vec![2, 7, 3, 4]]);
}
