//! What the user wrote: the file as words, then as a plan with every default filled in.

mod legs;
mod plan;

pub use legs::Legs;
pub use plan::{
    Antenna, Channel, Event, FilterLoss, Guarded, InUse, Listener, MeasuredIsolation, Plan,
    Proposal, Search, SearchRange, Settings, Site, Station, StationUse, Target, Use, Window,
};
