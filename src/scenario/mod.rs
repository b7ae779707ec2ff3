//! What the user wrote: the file as words, then as a plan with every default filled in.
//!
//! [`read()`] takes the bytes of a scenario and a way to the files it names, and gives the [`Plan`] or everything that is
//! wrong. What the plan means for anybody is left to the stages after it.

mod assign;
mod choosing;
mod conduct;
mod crowded;
mod csv_entries;
mod csv_rows;
mod defaults;
mod desk;
mod error;
mod guarded;
mod in_use;
mod legs;
mod names;
mod open;
mod operation;
mod paths;
mod plan;
mod proposals;
mod radios;
mod read;
mod relays;
mod resolve;
mod rules;
mod signal;
mod sites;
mod stations;
mod time;
mod uses;
mod words;

#[cfg(test)]
mod tests;

pub use choosing::Choosing;
pub use error::ScenarioError;
pub use legs::Legs;
pub use open::{Aim, Apart, Assign, OpenChannel, OpenTone, Together};
pub use plan::{
    Antenna, Border, Channel, End, Event, FilterLoss, Guarded, Identification, InUse, Known,
    KnownPath, Listener, Means, MeasuredIsolation, Operation, Phase, Plan, Proposal, Search,
    SearchRange, Settings, Site, Station, StationUse, Supply, Target, Traffic, Use, Window,
};
pub use read::{Files, NoFiles, read, schema};
