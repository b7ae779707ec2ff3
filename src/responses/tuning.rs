//! Where a receiver's first oscillator runs: as its profile states, or each of the common ways in turn.

use crate::physics::superhet::Superhet;
use crate::radio::{Injection, common_intermediates};
use crate::scene::Receiver;

/// One way the first mixer may be tuned.
pub(super) struct Tuning {
    /// The mixer.
    pub(super) superhet: Superhet,
    /// What was supposed for it, when the profile does not say.
    pub(super) supposed: Option<String>,
}

/// Every way a receiver's first mixer may be tuned; one when its profile states IF and injection.
pub(super) fn tunings(receiver: &Receiver) -> Vec<Tuning> {
    let figures = &receiver.figures;
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
            let Some(superhet) = Superhet::tuned(receiver.frequency, intermediate, injection)
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
                    receiver.name
                )
            });
            found.push(Tuning { superhet, supposed });
        }
    }
    found
}
