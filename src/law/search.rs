//! Where the law lets a search look.

use std::sync::Arc;

use super::breach::Against;
use super::pack::{Demand, Force, Pack, Rule};
use super::purpose::Purpose;
use super::stack::{Law, meet};
use super::transmission::Transmission;
use crate::quantity::{Frequency, Offset, Span};

/// Channels tried on either side before giving up.
const MOST_STEPS: usize = 200;

impl Law {
    /// The stretches of a band that the law, and whatever else forbids without exception, leaves open for a purpose, lowest
    /// first.
    ///
    /// Rules that hold only in a zone, for some days or under some control are left to the judging: where a station is
    /// may differ from candidate to candidate. Near an edge the emission may still reach out; that too is judged.
    pub fn open_for(&self, band: &str, purpose: Purpose) -> Vec<Span> {
        let band = self.band(band);
        self.binding().fold(band, |open, pack| {
            meet(&open, &self.open_in(pack, &open, purpose))
        })
    }

    /// The nearest carriers below and above a transmission's own that keep its whole emission in what the law leaves open
    /// to its purpose, on whole multiples of `step`.
    pub fn nearest_open(&self, asked: &Transmission, step: Offset) -> [Option<Frequency>; 2] {
        let reach_down = asked.carrier - asked.occupied.low;
        let reach_up = asked.occupied.high - asked.carrier;
        let step = step.as_hz().max(1);
        let (mut below, mut above) = (None, None);
        for name in self.band_names() {
            for span in self.open_for(name, asked.purpose) {
                // Rounded up to the raster: the channel above the hertz below.
                let first = on_raster_above(span.low + reach_down - Offset::hz(1), step).as_hz();
                let last = (span.high - reach_up).as_hz().div_euclid(step) * step;
                if first > last {
                    continue;
                }
                let (first, last) = (Frequency::hz(first), Frequency::hz(last));
                if first < asked.carrier {
                    below = below.max(Some(last.min(on_raster_below(asked.carrier, step))));
                }
                if asked.carrier < last {
                    let next = first.max(on_raster_above(asked.carrier, step));
                    above = Some(above.map_or(next, |found: Frequency| found.min(next)));
                }
            }
        }
        [below, above]
    }

    /// The nearest carriers below and above, within `reach`, that no stacked rule forbids and no band plan keeps for
    /// others: what to propose to somebody who must move.
    pub fn nearest_fit(
        &self,
        asked: &Transmission,
        step: Offset,
        reach: Offset,
    ) -> [Option<Frequency>; 2] {
        [0, 1].map(|side| {
            let mut from = *asked;
            for _ in 0..MOST_STEPS {
                let next = self.nearest_open(&from, step).get(side).copied()??;
                if (next - asked.carrier).abs() > reach {
                    return None;
                }
                let there = asked.moved_to(next);
                let ruling = self.ruling(&there);
                let kept = ruling.iter().find_map(|breach| match breach.against {
                    Against::Reserved { segment, .. } => Some(segment),
                    _ => None,
                });
                let is_forbidden = ruling.iter().any(|breach| {
                    breach.force == Force::Forbidden
                        && !matches!(
                            breach.against,
                            Against::Power { .. } | Against::Control { .. }
                        )
                });
                from = match kept {
                    // One hertz short of clear, so that a channel that is just clear is found next.
                    Some(segment) if side == 0 => asked.moved_to(
                        segment.low - (asked.occupied.high - asked.carrier) + Offset::hz(1),
                    ),
                    Some(segment) => asked.moved_to(
                        segment.high + (asked.carrier - asked.occupied.low) - Offset::hz(1),
                    ),
                    None if is_forbidden => there,
                    None => return Some(next),
                };
            }
            None
        })
    }

    /// What one pack leaves of the band: what any of its readings of the purpose leaves.
    fn open_in(&self, pack: &Arc<Pack>, band: &[Span], purpose: Purpose) -> Vec<Span> {
        let words: Vec<Option<&str>> = pack.words_for(purpose);
        let mut open: Vec<Span> = words
            .iter()
            .flat_map(|word| {
                pack.rules
                    .iter()
                    .filter(|rule| {
                        closes(
                            rule,
                            purpose,
                            *word,
                            self.licence_in(pack).map(|licence| licence.id.as_str()),
                        )
                    })
                    .flat_map(|rule| &rule.spans)
                    .fold(band.to_vec(), |open, closed| without(&open, *closed))
            })
            .collect();
        open.sort_unstable();
        joined(&open)
    }
}

/// Whether a rule closes its stretches to a purpose everywhere and always.
fn closes(rule: &Rule, purpose: Purpose, word: Option<&str>, licence: Option<&str>) -> bool {
    let everywhere = rule.zone.is_none()
        && rule.from.is_none()
        && rule.until.is_none()
        && rule.controls.is_empty();
    let shut = match &rule.demand {
        Demand::Forbidden => rule.binds_use(purpose, word),
        Demand::Only(uses) => {
            rule.binds_use(purpose, word)
                && !uses
                    .iter()
                    .any(|name| name == purpose.word() || Some(name.as_str()) == word)
        }
        _ => false,
    };
    everywhere && shut && rule.force == Force::Forbidden && rule.binds_licence(licence)
}

/// The channel below a carrier.
fn on_raster_below(carrier: Frequency, step: i64) -> Frequency {
    Frequency::hz((carrier.as_hz() - 1).div_euclid(step) * step)
}

/// The channel above a carrier.
fn on_raster_above(carrier: Frequency, step: i64) -> Frequency {
    Frequency::hz((carrier.as_hz().div_euclid(step) + 1) * step)
}

/// What is left of some stretches when one is taken out.
fn without(open: &[Span], closed: Span) -> Vec<Span> {
    open.iter()
        .flat_map(|span| {
            if !span.overlaps(closed) {
                return vec![*span];
            }
            let mut left = Vec::new();
            if span.low < closed.low {
                left.push(Span::between(span.low, closed.low));
            }
            if closed.high < span.high {
                left.push(Span::between(closed.high, span.high));
            }
            left
        })
        .collect()
}

/// Sorted stretches with those that touch made one.
fn joined(spans: &[Span]) -> Vec<Span> {
    let mut whole: Vec<Span> = Vec::new();
    for span in spans {
        match whole.last_mut() {
            Some(last) if span.low <= last.high => last.high = last.high.max(span.high),
            _ => whole.push(*span),
        }
    }
    whole
}
