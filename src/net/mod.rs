//! The plan as a system: who hears whom, who passes it on, when, and who is locked out.
//!
//! This stage has a small model of its own, so that a network can be written down in a test without a plan behind it.
//! [`Network::from_scene`] fills it from a scene.

mod circuits;
mod conduct;
mod earshot;
mod energy;
mod from_scene;
mod graph;
mod keep_clear;
mod lockout;
mod loops;
mod model;
mod queueing;
mod review;
mod shifts;
mod supply;
mod time;
mod timeline;
mod tones;
mod traffic;
mod view;
mod waits;
mod ways;

pub use circuits::{Circuits, circuits};
pub use conduct::Conduct;
pub use earshot::{Earshot, Ends};
pub use energy::{Battery, Endurance};
pub use graph::{Node, repeat_graph, repeat_graph_of_the_trial};
pub use keep_clear::{Distances, KeepClear};
pub use lockout::{Lockout, lockouts};
pub use loops::{Hop, Loop, LoopKind, Loops, loops};
pub use model::{
    Heard, Hearer, HearerId, Need, Network, Radio, RadioId, Repeat, Sender, SenderId, same_channel,
};
pub use queueing::{erlang_b, erlang_c, offered_load};
pub use review::{ChannelRow, Review};
pub use shifts::Shift;
pub use supply::{Drain, power_step, share_of_percent, stood_duty};
pub use time::told;
pub use timeline::{Event, Happening, Press, Timeline};
pub use tones::{MainsHum, Tone, ToneTrouble, clear_tone, free_tone, propose_tones, tone_troubles};
pub use traffic::{KeyedReport, Load, LoadReport, Manner, Spread, Stretched, run_load};
pub use view::View;
pub use waits::{BreakIn, break_in, opening_delay, words_lost};
pub use ways::{Arrives, Unmet, Way, hidden_users, single_points, unmet_needs, way, ways_from};
