//! Published formulas on quantities, each with its source: nothing here knows a scenario, a radio or a rule.
//!
//! A formula that has a range of validity returns it with the figure, so that a later stage can say when it was left.

pub mod bandpass;
pub mod build_up;
pub mod coupling;
pub mod curve;
pub mod exposure;
pub mod geodesic;
pub mod horizon;
pub mod mixing;
pub mod noise;
pub mod path;
pub mod spread;
pub mod statistics;
pub mod superhet;
