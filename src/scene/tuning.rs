//! Where a receiver's first oscillator runs: as its profile states, or each of the common ways in turn.

use super::Receiver;
use crate::physics::superhet::Superhet;
use crate::radio::{Injection, common_intermediates};

/// One way the first mixer may be tuned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tuning {
    /// The mixer.
    pub superhet: Superhet,
    /// What was supposed for it, when the profile does not say.
    pub supposed: Option<String>,
}

impl Receiver {
    /// Every way its first mixer may be tuned; one when its profile states IF and injection.
    pub fn tunings(&self) -> Vec<Tuning> {
        let figures = &self.figures;
        let is_known = figures.first_if.is_some() && figures.injection.is_some();
        let intermediates = match &figures.first_if {
            Some(stated) => vec![stated.value],
            None => common_intermediates(),
        };
        let injections = match &figures.injection {
            Some(stated) => vec![stated.value],
            None => vec![Injection::Low, Injection::High],
        };
        let mut found = Vec::new();
        for &intermediate in &intermediates {
            for &injection in &injections {
                let Some(superhet) = Superhet::tuned(self.frequency, intermediate, injection)
                else {
                    continue;
                };
                let side = if injection == Injection::Low {
                    "below"
                } else {
                    "above"
                };
                let supposed = (!is_known).then(|| {
                format!(
                    "if {} has its first IF at {intermediate} with the oscillator {side}; its service manual settles it",
                    self.name
                )
            });
                found.push(Tuning { superhet, supposed });
            }
        }
        found
    }
}
