//! Searching asks, it does not judge: every verdict comes from the same findings that `assess` gives.

mod answer;
pub mod assign;
mod blockers;
mod candidates;
mod front;
mod groups;
mod judge;
mod leg;
mod pair_map;
mod pairs;
mod promise;
mod rank;
mod robust;
mod strangers;
mod tally;
mod trial;
mod watch;
mod what_if;
mod whole;

pub use answer::{Answer, Question, answer, answer_watched};
pub use blockers::Freed;
pub use front::{Front, Point};
pub use groups::Group;
pub use pair_map::{PairMap, pair_map};
pub use rank::{Ranking, Row, candidate_count, rank};
pub use robust::{Share, Trials};
pub use strangers::Strangers;
pub use watch::{Come, Doing, Watch};
pub use what_if::{Bought, Prospect, Supposed};
