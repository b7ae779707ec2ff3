//! Other services: what is usual for each, and which are protected wherever they are.

use crate::provenance::{Authority, Sourced};
use crate::quantity::{Decibels, Emission, Length, Power, Span};

/// A kind of service, with what is taken where a scenario states nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Service {
    /// The word scenarios use.
    pub id: String,
    /// What it is called.
    pub title: String,
    /// Whether life may hang on it.
    pub is_safety: bool,
    /// Its usual emission.
    pub emission: Sourced<Emission>,
    /// The radio profile of its receivers.
    pub receiver: Sourced<String>,
    /// How near its listeners may be to one of our antennas.
    pub listener: Sourced<Length>,
    /// Its usual radiated power.
    pub eirp: Sourced<Power>,
    /// Who says that it exists.
    pub basis: Authority,
}

/// A service that is protected wherever the event is.
#[derive(Debug, Clone, PartialEq)]
pub struct Protected {
    /// What it is called.
    pub name: String,
    /// Where it listens.
    pub span: Span,
    /// The kind of service, as in [`Service::id`].
    pub service: String,
    /// How near one of its receivers may be to one of our antennas.
    pub nearest: Sourced<Length>,
    /// The radio profile of its receivers.
    pub receiver: Sourced<String>,
    /// Protection on top of the ordinary, where the pack asks for another than the settings.
    pub extra: Option<Sourced<Decibels>>,
    /// Who says that it exists.
    pub basis: Authority,
}
