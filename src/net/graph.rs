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

/// The repeat graph: a sender leads to the hearers it opens, a hearer to the senders it keys.
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
