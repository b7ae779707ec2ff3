//! Where a superheterodyne receiver hears besides its channel.
//!
//! The mixer turns `|m·LO ± n·f|` into the intermediate frequency (IF) for every m and n it is not perfect enough to
//! refuse. Places are rounded to the nearest hertz where a division does not come out: a thousandth of any channel width.

use crate::quantity::{Frequency, Offset};

/// Which side of the wanted signal the local oscillator (LO) is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Injection {
    /// The LO is below the wanted signal.
    Low,
    /// The LO is above the wanted signal.
    High,
}

/// A place where a receiver hears, with how it comes about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Where on the frequency axis, above zero.
    pub frequency: Frequency,
    /// The sum behind it, as `2 × 389.9500 − 435.0000 = 344.9000 MHz`.
    pub arithmetic: String,
}

impl Place {
    fn new(hertz: i64, sum: &str) -> Option<Self> {
        let frequency = Frequency::hz(hertz);
        (hertz > 0).then(|| Self {
            frequency,
            arithmetic: format!("{sum} = {frequency}"),
        })
    }
}

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

/// The first mixer of a receiver tuned to a channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Superhet {
    wanted: Frequency,
    intermediate: Frequency,
    oscillator: Frequency,
    injection: Injection,
}

impl Superhet {
    /// A receiver tuned to `wanted` with the given IF and side of its LO; none if its LO would not be above zero.
    ///
    /// # Source
    /// Receiver theory: `LO = f − IF` (low side) or `f + IF` (high side).
    pub fn tuned(wanted: Frequency, intermediate: Frequency, injection: Injection) -> Option<Self> {
        let oscillator = match injection {
            Injection::Low => wanted.as_hz().checked_sub(intermediate.as_hz())?,
            Injection::High => wanted.as_hz().checked_add(intermediate.as_hz())?,
        };
        (oscillator > 0 && intermediate.as_hz() > 0 && wanted.as_hz() > 0).then_some(Self {
            wanted,
            intermediate,
            oscillator: Frequency::hz(oscillator),
            injection,
        })
    }

    /// The channel it is tuned to.
    pub const fn wanted(self) -> Frequency {
        self.wanted
    }

    /// Its intermediate frequency.
    pub const fn intermediate(self) -> Frequency {
        self.intermediate
    }

    /// Its local oscillator, as a place, because it may leak from there.
    pub fn oscillator(self) -> Place {
        let sign = match self.injection {
            Injection::Low => "−",
            Injection::High => "+",
        };
        Place {
            frequency: self.oscillator,
            arithmetic: format!(
                "{} {sign} {} = {}",
                self.wanted.digits(),
                self.intermediate.digits(),
                self.oscillator
            ),
        }
    }

    /// The image: as far from the LO as the wanted signal, on the other side. None when that is below zero.
    ///
    /// # Source
    /// Receiver theory: `2·LO − f`.
    ///
    /// # Example
    /// 435.000 MHz, IF 45.05 MHz, LO below: 344.900 MHz.
    pub fn image(self) -> Option<Place> {
        let hertz = self
            .oscillator
            .as_hz()
            .checked_mul(2)?
            .checked_sub(self.wanted.as_hz())?;
        let sum = format!(
            "2 × {} − {}",
            self.oscillator.digits(),
            self.wanted.digits()
        );
        Place::new(hertz, &sum)
    }

    /// The half-IF response: halfway between the LO and the wanted signal.
    ///
    /// Twice the signal against twice the LO gives the IF, so the level goes with the second-order intercept.
    ///
    /// # Source
    /// Receiver theory: `LO + IF/2` with the LO below, `LO − IF/2` with the LO above.
    ///
    /// # Example
    /// 435.000 MHz, IF 45.05 MHz, LO below: 412.475 MHz.
    pub fn half_if(self) -> Option<Place> {
        let twice = self.oscillator.as_hz().checked_mul(2)?;
        let intermediate = self.intermediate.as_hz();
        let (sign, sum) = match self.injection {
            Injection::Low => ("+", twice.checked_add(intermediate)?),
            Injection::High => ("−", twice.checked_sub(intermediate)?),
        };
        let text = format!(
            "{} {sign} {} ÷ 2",
            self.oscillator.digits(),
            self.intermediate.digits()
        );
        Place::new(half_up(sum, 2), &text)
    }

    /// The two places where the image of a second mixer can be: twice the second IF either side of the channel.
    ///
    /// Which of the two depends on the side of the second LO.
    ///
    /// # Source
    /// Receiver theory: `f ± 2·IF₂`.
    pub fn second_images(self, second_intermediate: Frequency) -> Vec<Place> {
        let away = Offset::hz(second_intermediate.as_hz().saturating_mul(2));
        [("−", -away), ("+", away)]
            .into_iter()
            .filter_map(|(sign, offset)| {
                let hertz = self.wanted.as_hz().checked_add(offset.as_hz())?;
                let sum = format!(
                    "{} {sign} 2 × {}",
                    self.wanted.digits(),
                    second_intermediate.digits()
                );
                Place::new(hertz, &sum)
            })
            .collect()
    }

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
                let text = self.spur_text(oscillator_multiple, n, sign, sum < 0);
                Some(Spur {
                    oscillator_multiple,
                    signal_multiple: signal_multiple.max(1),
                    place: Place::new(half_up(sum.checked_abs()?, n), &text)?,
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

    fn spur_text(self, m: u32, n: i64, sign: &str, turned: bool) -> String {
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

/// `number / parts` to the nearest whole, a half upwards, for numbers not below zero.
fn half_up(number: i64, parts: i64) -> i64 {
    let (whole, rest) = (number.div_euclid(parts), number.rem_euclid(parts));
    whole + i64::from(rest >= parts - rest)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn receiver(wanted: i64, intermediate: i64, injection: Injection) -> Superhet {
        Superhet::tuned(
            Frequency::hz(wanted),
            Frequency::hz(intermediate),
            injection,
        )
        .unwrap()
    }

    #[test]
    fn every_place_shows_its_sum() {
        let receiver = receiver(435_000_000, 45_050_000, Injection::Low);
        assert_eq!(
            receiver.oscillator().arithmetic,
            "435.0000 − 45.0500 = 389.9500 MHz"
        );
        assert_eq!(
            receiver.image().unwrap().arithmetic,
            "2 × 389.9500 − 435.0000 = 344.9000 MHz"
        );
        assert_eq!(
            receiver.half_if().unwrap().arithmetic,
            "389.9500 + 45.0500 ÷ 2 = 412.4750 MHz"
        );
        let spurs = receiver.spurs_of(2, 3);
        assert_eq!(
            spurs.last().unwrap().place.arithmetic,
            "(2 × 389.9500 + 45.0500) ÷ 3 = 274.983333 MHz"
        );
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
    fn an_oscillator_below_zero_is_no_receiver() {
        let (wanted, intermediate) = (Frequency::hz(45_050_000), Frequency::hz(45_050_000));
        assert_eq!(Superhet::tuned(wanted, intermediate, Injection::Low), None);
        assert!(Superhet::tuned(wanted, intermediate, Injection::High).is_some());
        let extreme = Frequency::hz(i64::MAX);
        assert_eq!(Superhet::tuned(extreme, extreme, Injection::High), None);
    }

    #[test]
    fn places_are_rounded_to_the_nearest_hertz() {
        assert_eq!(half_up(7, 2), 4);
        assert_eq!(half_up(7, 3), 2);
        assert_eq!(half_up(8, 3), 3);
    }
}
