//! The responses that a second mixer has in principle, seen from the antenna.

use super::arithmetic::Sum;
use super::{Injection, Place, Spur, Superhet, half_up};
use crate::quantity::{Frequency, Offset};

/// A response of the second mixer other than the wanted one: `n·f₁` against `m·LO₂` gives the second IF, f₁ being what the
/// first mixer made of the signal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SecondSpur {
    /// m: the multiple of the second LO.
    pub oscillator_multiple: u32,
    /// n: the multiple of the signal, which is also the order of its level: n dB a dB.
    pub signal_multiple: u32,
    /// The second LO.
    pub oscillator: Frequency,
    /// How far from the first IF the signal comes to the second mixer, either side: what the filter there tells it by.
    pub off: Offset,
    /// Whether the signal came by the image of the first mixer.
    pub is_by_image: bool,
    /// Where the signal must be at the antenna.
    pub place: Place,
}

impl Superhet {
    /// The places whose signal the second mixer turns into the second IF, with m and n up to the stated ones, by frequency.
    ///
    /// The second mixer hears `f₁ = |m·LO₂ ± IF₂|/n`, as the first does; the first mixer puts there what lies f₁ above its LO
    /// and what lies f₁ below. With m = n these are `n ∓ 1` n-ths of the second IF from the channel, whatever the first IF is:
    /// m = n = 1 is the second image, m = n = 2 lies half the second IF away and one and a half times. None where the second
    /// LO would not be above zero.
    ///
    /// # Source
    /// Receiver theory: solutions of `|n·f₁ ± m·LO₂| = IF₂` with `f₁ = |f − LO₁|`.
    ///
    /// # Example
    /// 145.500 MHz, IFs 45.05 MHz and 455 kHz, both LOs below, m = n = 2: 145.2725 and 144.8175 MHz.
    pub fn second_spurs(
        self,
        second: Frequency,
        side: Injection,
        highest_oscillator: u32,
        highest_signal: u32,
    ) -> Vec<SecondSpur> {
        let anywhere = Offset::hz(i64::MAX);
        self.second_spurs_within(second, side, (highest_oscillator, highest_signal), anywhere)
    }

    /// Those of [`Superhet::second_spurs`] whose signal comes to the second mixer no further than `furthest` from the first IF.
    pub fn second_spurs_within(
        self,
        second: Frequency,
        side: Injection,
        (highest_oscillator, highest_signal): (u32, u32),
        furthest: Offset,
    ) -> Vec<SecondSpur> {
        let Some(mixer) = Self::tuned(self.intermediate, second, side) else {
            return Vec::new();
        };
        let spurs = mixer.spurs(highest_oscillator, highest_signal);
        let is_near = |spur: &&Spur| (spur.place.frequency - self.intermediate).abs() <= furthest;
        let ways = spurs.iter().filter(is_near).flat_map(|spur| {
            [false, true].map(|is_by_image| self.by_way_of(mixer, spur, is_by_image))
        });
        by_frequency(ways.flatten().collect())
    }

    /// Those of [`Superhet::second_spurs`] that go with the channel whatever the first IF is: m = n, and not by the image of
    /// the first mixer.
    pub fn second_spurs_near(
        self,
        second: Frequency,
        side: Injection,
        highest: u32,
    ) -> Vec<SecondSpur> {
        let Some(mixer) = Self::tuned(self.intermediate, second, side) else {
            return Vec::new();
        };
        let spurs = (1..=highest).flat_map(|multiple| mixer.spurs_of(multiple, multiple));
        let near = spurs.filter_map(|spur| self.by_way_of(mixer, &spur, false));
        by_frequency(near.collect())
    }

    /// What a response of the second mixer is at the antenna, on the channel's side of the first LO or on the image's.
    fn by_way_of(self, mixer: Self, spur: &Spur, is_by_image: bool) -> Option<SecondSpur> {
        let heard = spur.place.frequency.as_hz();
        let is_above = (self.injection == Injection::Low) != is_by_image;
        let Sum::Spur { m, n, sign, turned } = spur.place.arithmetic.sum else {
            return None;
        };
        let off = Offset::hz(heard.checked_sub(self.intermediate.as_hz())?);
        let (hertz, sum) = if i64::from(m) == n && !is_by_image {
            let is_upper = (off.as_hz() > 0) == (self.injection == Injection::Low);
            let is_far = off.abs().as_hz() > mixer.intermediate.as_hz();
            let parts = if is_far { n + 1 } else { n - 1 };
            let sum = Sum::NearSecond {
                second: mixer.intermediate,
                parts,
                of: n,
                is_upper,
            };
            // From the channel, so that it is rounded alike for every first IF.
            let away = half_up(mixer.intermediate.as_hz().checked_mul(parts)?, n);
            let signed = if is_upper { away } else { -away };
            (self.wanted.as_hz().checked_add(signed)?, sum)
        } else {
            let sum = Sum::BySecond {
                mixer,
                sum: (m, n, sign, turned),
                is_above,
            };
            let signed = if is_above { heard } else { -heard };
            (self.oscillator.as_hz().checked_add(signed)?, sum)
        };
        Some(SecondSpur {
            oscillator_multiple: spur.oscillator_multiple,
            signal_multiple: spur.signal_multiple,
            oscillator: mixer.oscillator,
            off: off.abs(),
            is_by_image,
            place: Place::new(self, hertz, sum)?,
        })
    }
}

fn by_frequency(mut spurs: Vec<SecondSpur>) -> Vec<SecondSpur> {
    spurs.sort_by_key(|spur| {
        (
            spur.place.frequency,
            spur.signal_multiple,
            spur.oscillator_multiple,
        )
    });
    spurs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn receiver(injection: Injection) -> Superhet {
        let (wanted, intermediate) = (Frequency::hz(145_500_000), Frequency::hz(45_050_000));
        Superhet::tuned(wanted, intermediate, injection).unwrap()
    }

    fn sums(
        injection: Injection,
        side: Injection,
        multiple: u32,
        is_by_image: bool,
    ) -> Vec<String> {
        let spurs = receiver(injection).second_spurs(Frequency::hz(455_000), side, 4, 3);
        spurs
            .iter()
            .filter(|spur| [spur.oscillator_multiple, spur.signal_multiple] == [multiple; 2])
            .filter(|spur| spur.is_by_image == is_by_image)
            .map(|spur| spur.place.arithmetic.to_string())
            .collect()
    }

    #[test]
    fn every_place_shows_its_sum_from_the_channel_and_by_the_image_from_the_oscillators() {
        use Injection::{High, Low};
        assert_eq!(
            sums(Low, Low, 2, false),
            [
                "145.5000 − 3 × 0.4550 ÷ 2 = 144.8175 MHz",
                "145.5000 − 0.4550 ÷ 2 = 145.2725 MHz"
            ]
        );
        assert_eq!(
            sums(High, Low, 3, false),
            [
                "145.5000 + 2 × 0.4550 ÷ 3 = 145.803333 MHz",
                "145.5000 + 4 × 0.4550 ÷ 3 = 146.106667 MHz"
            ]
        );
        // Both oscillators on the other side, and all is where it was.
        assert_eq!(sums(High, High, 2, false), sums(Low, Low, 2, false));
        assert_eq!(
            sums(Low, Low, 1, true),
            ["100.4500 − (44.5950 − 0.4550) = 56.3100 MHz"]
        );
        assert_eq!(
            sums(High, Low, 2, true),
            [
                "190.5500 + (2 × 44.5950 − 0.4550) ÷ 2 = 234.9175 MHz",
                "190.5500 + (2 × 44.5950 + 0.4550) ÷ 2 = 235.3725 MHz"
            ]
        );
    }

    #[test]
    fn one_to_one_is_the_image_of_the_second_mixer() {
        let second = Frequency::hz(455_000);
        for injection in [Injection::Low, Injection::High] {
            let receiver = receiver(injection);
            let mut images: Vec<Frequency> = [Injection::High, Injection::Low]
                .into_iter()
                .flat_map(|side| receiver.second_spurs(second, side, 1, 1))
                .filter(|spur| spur.oscillator_multiple == 1 && !spur.is_by_image)
                .map(|spur| spur.place.frequency)
                .collect();
            images.sort_unstable();
            let known = receiver.second_images(second);
            assert!(known.iter().map(|place| place.frequency).eq(images));
        }
    }

    /// Enumeration. What else the second mixer hears lies megahertz off, where other chapters speak.
    #[test]
    fn near_any_usual_first_if_it_hears_only_like_multiples() {
        for first in [10_700_000, 21_400_000, 45_050_000, 58_050_000] {
            let (wanted, first) = (Frequency::hz(435_000_000), Frequency::hz(first));
            let receiver = Superhet::tuned(wanted, first, Injection::Low).unwrap();
            let second = Frequency::hz(455_000);
            for side in [Injection::Low, Injection::High] {
                let near: Vec<SecondSpur> = receiver
                    .second_spurs(second, side, 4, 3)
                    .into_iter()
                    .filter(|spur| spur.off.as_hz() <= 910_000 && !spur.is_by_image)
                    .collect();
                assert_eq!(near.len(), 5);
                for spur in near {
                    assert_eq!(spur.oscillator_multiple, spur.signal_multiple);
                }
            }
        }
    }

    #[test]
    fn those_near_the_channel_are_those_of_like_multiples_that_come_by_no_image() {
        let second = Frequency::hz(455_000);
        for (injection, side) in [
            (Injection::Low, Injection::Low),
            (Injection::Low, Injection::High),
            (Injection::High, Injection::Low),
            (Injection::High, Injection::High),
        ] {
            let receiver = receiver(injection);
            let mut all = receiver.second_spurs(second, side, 4, 3);
            all.retain(|spur| {
                !spur.is_by_image && spur.oscillator_multiple == spur.signal_multiple
            });
            assert_eq!(all.len(), 5);
            assert_eq!(receiver.second_spurs_near(second, side, 3), all);
        }
    }

    #[test]
    fn those_within_a_distance_are_those_of_all_that_come_no_further_from_the_first_if() {
        let (second, side) = (Frequency::hz(455_000), Injection::Low);
        let receiver = receiver(Injection::High);
        let all = receiver.second_spurs(second, side, 4, 3);
        let within = |furthest: i64| {
            let furthest = Offset::hz(furthest);
            let found = receiver.second_spurs_within(second, side, (4, 3), furthest);
            let near = all.iter().filter(|spur| spur.off <= furthest);
            assert!(found.iter().eq(near));
            found.len()
        };
        // Its image lies 910 kHz off, and by the first mixer's image again.
        assert_eq!(within(910_000), within(909_999) + 2);
        assert!(within(0) < within(909_999));
        assert!(within(910_000) < all.len());
        assert_eq!(within(i64::MAX), all.len());
    }
}
