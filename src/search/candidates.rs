//! The channels a search looks at.

use crate::quantity::{Frequency, Offset, Span};

/// Every channel of some stretches: from each lower edge by steps, each channel once, lowest first.
pub(super) fn channels(stretches: &[Span], step: Offset) -> Vec<Frequency> {
    let step = step.as_hz().max(1);
    let mut found: Vec<Frequency> = stretches
        .iter()
        .flat_map(|stretch| {
            let count = stretch.width().as_hz() / step;
            (0..=count).map(|index| stretch.low + Offset::hz(index * step))
        })
        .collect();
    found.sort_unstable();
    found.dedup();
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_edges_are_channels_and_none_is_listed_twice() {
        let mhz = |value: i64| Frequency::hz(value * 1_000_000);
        let stretches = [
            Span::between(mhz(145), mhz(146)),
            Span::between(mhz(146), mhz(146)),
        ];
        let found = channels(&stretches, Offset::hz(12_500));
        assert_eq!(found.len(), 81);
        assert_eq!(
            found.first().copied().zip(found.last().copied()),
            Some((mhz(145), mhz(146)))
        );
    }
}
