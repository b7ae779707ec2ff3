//! The quantities everything else is written in: a type is named for the quantity, its constructors and readers for
//! the unit, so that dBm and dB, or a frequency and an offset, cannot be mixed.
//!
//! Text is read here and nowhere else, as decimal digits for anything that is exact.

mod airband;
mod decimal;
mod duty;
mod emission;
mod frequency;
mod length;
mod level;
mod necessary;
mod position;
mod power;
mod span;

pub use airband::{AirbandChannel, AirbandSpacing, airband_channel};
pub use decimal::{QuantityError, decimal_scaled};
pub use duty::Duty;
pub use emission::{Bandwidth, Emission};
pub use frequency::{Frequency, Offset, Tolerance};
pub use length::Length;
pub use level::{Decibels, Level, power_sum};
pub use necessary::SymbolRate;
pub use position::{Locator, Position};
pub use power::Power;
pub use span::Span;
