//! The repeat graph: who is heard by whom, and who passes it on.

use petgraph::graphmap::DiGraphMap;

use super::{HearerId, Network, SenderId};

/// A place in the repeat graph.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Node {
    /// Something that sends.
    Sender(SenderId),
    /// Something that listens.
    Hearer(HearerId),
}

/// The repeat graph, all of it: a sender leads to the hearers it opens, a hearer to the senders it keys.
pub fn repeat_graph(network: &Network) -> DiGraphMap<Node, ()> {
    let mut graph = DiGraphMap::new();
    for (id, _) in network.all_senders() {
        graph.add_node(Node::Sender(id));
        for (hearer, _) in network.opened_by(id) {
            graph.add_edge(Node::Sender(id), Node::Hearer(hearer), ());
        }
    }
    for repeat in &network.repeats {
        graph.add_edge(Node::Hearer(repeat.from), Node::Sender(repeat.to), ());
    }
    graph
}

/// The part of the repeat graph that those lead to who rest on legs under trial: every circle through one of them is in it.
pub fn repeat_graph_of_the_trial(network: &Network) -> DiGraphMap<Node, ()> {
    let senders = network.all_senders().filter(|(_, one)| !one.legs.is_none());
    let hearers = network.all_hearers().filter(|(_, one)| !one.legs.is_none());
    let mut open: Vec<Node> = senders
        .map(|(id, _)| Node::Sender(id))
        .chain(hearers.map(|(id, _)| Node::Hearer(id)))
        .collect();
    let mut graph = DiGraphMap::new();
    for &node in &open {
        graph.add_node(node);
    }
    while let Some(from) = open.pop() {
        let next: Vec<Node> = match from {
            Node::Sender(id) => {
                let opened = network.opened_by(id);
                opened.map(|(id, _)| Node::Hearer(id)).collect()
            }
            Node::Hearer(id) => {
                let keyed = network.repeats_of(id);
                keyed.map(|repeat| Node::Sender(repeat.to)).collect()
            }
        };
        for to in next {
            if !graph.contains_node(to) {
                open.push(to);
            }
            graph.add_edge(from, to, ());
        }
    }
    graph
}

#[cfg(test)]
mod tests {
    use super::super::model::small::{Sketch, U, V};
    use super::*;
    use crate::net::circuits;
    use crate::scenario::Legs;

    #[test]
    fn every_circle_through_what_is_under_trial_is_in_its_part_of_the_graph() {
        let mut sketch = Sketch::default();
        for name in ["Hill", "Valley", "Ridge"] {
            sketch.relay(name, [(U, None), (V, None)], 0);
        }
        sketch.repeater("Town", V, U, None, 0);
        let mut network = sketch.all_within_earshot(&[("Valley", "Ridge")]);
        for hearer in network.hearers.on_trial() {
            if hearer.name.contains("Hill") && hearer.frequency.as_hz() == U {
                hearer.legs = Legs::FIRST;
            }
        }
        let is_on_trial = |node: &Node| matches!(node, Node::Hearer(id) if network.hearer(*id).is_some_and(|one| !one.legs.is_none()));
        let through = |graph: DiGraphMap<Node, ()>| {
            let mut all = circuits(&graph, 1_000).all;
            all.retain(|circuit| circuit.iter().any(is_on_trial));
            all
        };
        let found = through(repeat_graph(&network));
        assert!(found.len() > 2, "{found:?}");
        assert_eq!(through(repeat_graph_of_the_trial(&network)), found);
    }

    #[test]
    fn what_nobody_under_trial_leads_to_is_no_part_of_the_graph_of_the_trial() {
        let mut sketch = Sketch::default();
        sketch.relay("Hill", [(U, None), (V, None)], 0);
        let mut network = sketch.all_within_earshot(&[]);
        assert!(repeat_graph(&network).node_count() > 2);
        assert_eq!(repeat_graph_of_the_trial(&network).node_count(), 0);
        // A hearer leads to the sender that it keys, and a sender to whom it opens.
        let mut name = String::new();
        for hearer in network.hearers.on_trial() {
            if hearer.frequency.as_hz() == U {
                hearer.legs = Legs::FIRST;
                name.clone_from(&hearer.name);
            }
        }
        assert!(!name.is_empty());
        let nodes: Vec<Node> = repeat_graph_of_the_trial(&network).nodes().collect();
        let heard = nodes.iter().filter(|node| matches!(node, Node::Hearer(_)));
        assert!(heard.count() > 0 && nodes.len() < repeat_graph(&network).node_count());
    }
}
