//! The questions asked of rules, and the packs that answer them.
//!
//! A pack is a data file in `packs/`, or one that the user names by path; both work alike. A [`Law`] is a stack of packs
//! with the licence held and the permissions held. What law forbids and what a band plan advises against are told apart by
//! the kind of the pack that says it, and every answer carries the citation of its entry.

mod breach;
mod compare;
mod demand;
mod entry;
mod pack;
mod packs;
mod permission;
mod plan_fit;
mod purpose;
mod read;
mod ruling;
mod search;
mod service;
mod spurious;
mod stack;
mod translate;
mod transmission;
mod words;
mod zone;

pub use breach::{Against, Breach};
pub use compare::{Difference, compare};
pub use entry::Entry;
pub use pack::{
    Band, Coordinated, Demand, Ease, ExposureLimits, Force, Kind, Licence, Measure, Pack, PairRule,
    Raster, Reading, Rule, Segment, Shift, Spot, Status,
};
pub use packs::{ALL, built_in};
pub use permission::Permission;
pub use plan_fit::Preference;
pub use purpose::{Concern, Control, Purpose};
pub use read::{LawError, read, schema};
pub use service::{Protected, Service};
pub use spurious::{Spurious, SpuriousLimit};
pub use stack::{Law, Layer, Role};
pub use transmission::{Pair, Transmission};
pub use zone::{Shape, Zone};
