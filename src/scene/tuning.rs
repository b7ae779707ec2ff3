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

    /// What has to be supposed for its second oscillator to be on a side, where its first one is on another; none where the
    /// profile states both.
    ///
    /// Where it does not state the first, what counts is how the two go together.
    pub fn second_supposed(&self, first: Injection, second: Injection) -> Option<String> {
        let figures = &self.figures;
        let has = match (&figures.injection, &figures.second_injection) {
            (Some(_), Some(_)) => return None,
            (Some(_), None) if second == Injection::Low => {
                "its second oscillator below its first IF"
            }
            (Some(_), None) => "its second oscillator above its first IF",
            (None, _) if first == second => "its oscillators on like sides",
            (None, _) => "its oscillators on unlike sides",
        };
        Some(format!(
            "if {} has {has}; its service manual settles it",
            self.name
        ))
    }
}
