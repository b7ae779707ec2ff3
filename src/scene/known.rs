//! What the scenario knows of the path between two antennas.

use super::{Mast, Scene};
use crate::physics::path::Obstacle;
use crate::provenance::Sourced;
use crate::quantity::{Decibels, Frequency, Length};
use crate::scenario::{End, Known};

/// What is known of a path.
#[derive(Debug, Clone, Copy)]
pub(super) enum Stated<'a> {
    /// A ridge, as seen from the antenna that sends; and what is said of its height.
    Ridge(Obstacle, &'a Sourced<Length>),
    /// The loss itself.
    Loss(&'a Sourced<Decibels>),
}

impl Scene<'_> {
    /// What is known of the path from one antenna to another at a frequency.
    ///
    /// What is said of a station wins over what is said of its site, and a loss over a ridge. Those who listen
    /// somewhere near a site may stand before any ridge: nothing is known of their paths.
    pub(super) fn stated(
        &self,
        from: usize,
        to: usize,
        frequency: Frequency,
        whole: impl FnOnce() -> Length,
    ) -> Option<Stated<'_>> {
        if self.plan.paths.is_empty() {
            return None;
        }
        let (path, is_turned, _) = self
            .plan
            .paths
            .iter()
            .filter(|path| match &path.what {
                Known::Loss { at, .. } => at.is_none_or(|span| span.contains(frequency)),
                Known::Ridge { .. } => true,
            })
            .filter_map(|path| {
                let [first, second] = path.ends;
                let straight = self.fits(first, from).zip(self.fits(second, to));
                let turned = self.fits(first, to).zip(self.fits(second, from));
                let ((one, other), is_turned) = straight
                    .map(|fit| (fit, false))
                    .or_else(|| turned.map(|fit| (fit, true)))?;
                let is_loss = matches!(path.what, Known::Loss { .. });
                Some((path, is_turned, (one + other, is_loss)))
            })
            // Among equals the first of the file.
            .reduce(|best, next| if next.2 > best.2 { next } else { best })?;
        Some(match &path.what {
            Known::Loss { loss, .. } => Stated::Loss(loss),
            Known::Ridge { top, from_first } => {
                let along = if is_turned {
                    Length::metres(whole().as_metres() - from_first.as_metres())
                } else {
                    *from_first
                };
                let obstacle = Obstacle {
                    from_first: along,
                    top: top.value,
                };
                Stated::Ridge(obstacle, top)
            }
        })
    }

    /// The least loss that is stated between two antennas at any frequency.
    pub(super) fn least_stated(&self, from: usize, to: usize) -> Option<Decibels> {
        let is_between = |ends: [End; 2]| {
            let [first, second] = ends;
            let fits = |one, other| self.fits(first, one).and(self.fits(second, other));
            fits(from, to).or_else(|| fits(to, from)).is_some()
        };
        let losses = self.plan.paths.iter().filter_map(|path| match &path.what {
            Known::Loss { loss, .. } if is_between(path.ends) => Some(loss.value),
            _ => None,
        });
        losses.min()
    }

    /// How closely an end names an antenna; none when it does not.
    fn fits(&self, end: End, mast: usize) -> Option<u8> {
        let stations = self.plan.stations.len();
        let is_at = |site| {
            let there = self.masts.get(mast).and_then(|mast: &Mast| mast.site);
            there == Some(site)
        };
        match end {
            End::Station(index) => (index == mast).then_some(1),
            End::InUse(index) => (stations + index == mast).then_some(1),
            End::Site(site) => is_at(site).then_some(0),
        }
    }
}
