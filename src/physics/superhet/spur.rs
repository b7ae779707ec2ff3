//! The responses that a mixer of any receiver has in principle, for every multiple of signal and LO.

use super::arithmetic::Sum;
use super::{Place, Superhet, half_up};

/// A mixer response other than the wanted one: `n·f` against `m·LO` gives the IF.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spur {
    /// m: the multiple of the LO.
    pub oscillator_multiple: u32,
    /// n: the multiple of the signal, which is also the order of its level: n dB a dB.
    pub signal_multiple: u32,
    /// Where the signal must be.
    pub place: Place,
}

impl Superhet {
    /// The places where `n·f` meets `m·LO` at the IF, for one m and n: `|m·LO ± IF|/n`, the wanted channel left out.
    ///
    /// m = 1, n = 1 gives the image; m = 2, n = 2 the half-IF and its mirror; m = 0, n = 1 direct pick-up at the IF. A
    /// signal off its place by δ is off by n·δ at the IF, so the response is n times narrower than the channel.
    ///
    /// # Source
    /// Receiver theory: solutions of `|n·f ± m·LO| = IF`.
    pub fn spurs_of(self, oscillator_multiple: u32, signal_multiple: u32) -> Vec<Spur> {
        let n = i64::from(signal_multiple.max(1));
        let Some(oscillator) = self
            .oscillator
            .as_hz()
            .checked_mul(i64::from(oscillator_multiple))
        else {
            return Vec::new();
        };
        let intermediate = self.intermediate.as_hz();
        let sums = [
            oscillator.checked_sub(intermediate).map(|sum| ("−", sum)),
            oscillator.checked_add(intermediate).map(|sum| ("+", sum)),
        ];
        let wanted = self.wanted.as_hz().checked_mul(n);
        sums.into_iter()
            .flatten()
            // Without an LO both signs are the one place.
            .filter(|(sign, _)| oscillator_multiple > 0 || *sign == "+")
            .filter(|(_, sum)| Some(sum.abs()) != wanted)
            .filter_map(|(sign, sum)| {
                let text = Sum::Spur {
                    m: oscillator_multiple,
                    n,
                    sign,
                    turned: sum < 0,
                };
                Some(Spur {
                    oscillator_multiple,
                    signal_multiple: signal_multiple.max(1),
                    place: Place::new(self, half_up(sum.checked_abs()?, n), text)?,
                })
            })
            .collect()
    }

    /// Every response with m up to `highest_oscillator` and n up to `highest_signal`, by frequency.
    pub fn spurs(self, highest_oscillator: u32, highest_signal: u32) -> Vec<Spur> {
        let mut found: Vec<Spur> = (0..=highest_oscillator)
            .flat_map(|m| (1..=highest_signal).flat_map(move |n| self.spurs_of(m, n)))
            .collect();
        found.sort_by_key(|spur| {
            (
                spur.place.frequency,
                spur.signal_multiple,
                spur.oscillator_multiple,
            )
        });
        found
    }

    pub(super) fn spur_text(self, m: u32, n: i64, sign: &str, turned: bool) -> String {
        let intermediate = self.intermediate.digits();
        let oscillator = match m {
            0 => String::new(),
            1 => self.oscillator.digits(),
            _ => format!("{m} × {}", self.oscillator.digits()),
        };
        let sum = match (m, turned) {
            (0, _) => intermediate,
            (_, true) => format!("{intermediate} − {oscillator}"),
            (_, false) => format!("{oscillator} {sign} {intermediate}"),
        };
        match (n, m) {
            (1, _) => sum,
            (_, 0) => format!("{sum} ÷ {n}"),
            _ => format!("({sum}) ÷ {n}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Injection;
    use super::*;
    use crate::quantity::Frequency;

    fn receiver(wanted: i64, intermediate: i64, injection: Injection) -> Superhet {
        Superhet::tuned(
            Frequency::hz(wanted),
            Frequency::hz(intermediate),
            injection,
        )
        .unwrap()
    }

    #[test]
    fn image_half_if_and_if_pick_up_are_spurs_too_and_the_channel_is_none() {
        for injection in [Injection::Low, Injection::High] {
            let receiver = receiver(145_500_000, 21_700_000, injection);
            let spurs = receiver.spurs(3, 3);
            let heard = |m, n, frequency: Frequency| {
                spurs.iter().any(|spur| {
                    spur.oscillator_multiple == m
                        && spur.signal_multiple == n
                        && spur.place.frequency == frequency
                })
            };
            assert!(heard(1, 1, receiver.image().unwrap().frequency));
            assert!(heard(2, 2, receiver.half_if().unwrap().frequency));
            assert!(heard(0, 1, receiver.intermediate()));
            assert!(
                spurs
                    .iter()
                    .all(|spur| spur.place.frequency != receiver.wanted())
            );
        }
    }

    #[test]
    fn a_response_shows_its_sum_with_what_is_larger_first() {
        let receiver = receiver(435_000_000, 45_050_000, Injection::Low);
        let last = |m, n| {
            receiver
                .spurs_of(m, n)
                .pop()
                .unwrap()
                .place
                .arithmetic
                .to_string()
        };
        assert_eq!(last(2, 3), "(2 × 389.9500 + 45.0500) ÷ 3 = 274.983333 MHz");
        assert_eq!(last(0, 2), "45.0500 ÷ 2 = 22.5250 MHz");
        let low = super::Superhet::tuned(
            Frequency::hz(50_000_000),
            Frequency::hz(45_000_000),
            Injection::Low,
        );
        let first = low.unwrap().spurs_of(1, 1).first().cloned().unwrap();
        assert_eq!(
            first.place.arithmetic.to_string(),
            "45.0000 − 5.0000 = 40.0000 MHz"
        );
    }

    #[test]
    fn without_the_oscillator_a_part_of_the_intermediate_frequency_is_one_place() {
        let receiver = receiver(145_500_000, 21_700_000, Injection::Low);
        for (multiple, hertz) in [(1, 21_700_000), (2, 10_850_000)] {
            let found = receiver.spurs_of(0, multiple);
            let [spur] = &found[..] else {
                panic!("{found:?}");
            };
            assert_eq!(spur.place.frequency, Frequency::hz(hertz));
            let Sum::Spur { sign, turned, .. } = spur.place.arithmetic.sum else {
                panic!("{spur:?}");
            };
            assert_eq!((sign, turned), ("+", false));
        }
        // With it there are two: (123.8 ± 21.7) ÷ 2 MHz.
        let found = receiver.spurs_of(1, 2);
        let places: Vec<i64> = found
            .iter()
            .map(|one| one.place.frequency.as_hz())
            .collect();
        assert_eq!(places, [51_050_000, 72_750_000]);
    }
}
