//! Where a superheterodyne receiver hears besides its channel.
//!
//! The mixer turns `|m·LO ± n·f|` into the intermediate frequency (IF) for every m and n it is not perfect enough to
//! refuse. Places are rounded to the nearest hertz where a division does not come out: a thousandth of any channel width.

mod arithmetic;
mod second;
mod spur;

pub use arithmetic::Arithmetic;
pub use second::SecondSpur;
pub use spur::Spur;

use arithmetic::Sum;

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
    /// The sum behind it.
    pub arithmetic: Arithmetic,
}

impl Place {
    fn new(receiver: Superhet, hertz: i64, sum: Sum) -> Option<Self> {
        let frequency = Frequency::hz(hertz);
        (hertz > 0).then_some(Self {
            frequency,
            arithmetic: Arithmetic {
                receiver,
                sum,
                place: frequency,
            },
        })
    }
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

    /// Which side of the channel its local oscillator is on.
    pub const fn injection(self) -> Injection {
        self.injection
    }

    /// Its local oscillator, as a place, because it may leak from there.
    pub fn oscillator(self) -> Place {
        Place {
            frequency: self.oscillator,
            arithmetic: Arithmetic {
                receiver: self,
                sum: Sum::Oscillator,
                place: self.oscillator,
            },
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
        Place::new(self, hertz, Sum::Image)
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
        let sum = match self.injection {
            Injection::Low => twice.checked_add(intermediate)?,
            Injection::High => twice.checked_sub(intermediate)?,
        };
        Place::new(self, half_up(sum, 2), Sum::HalfIf)
    }

    /// The two places where the image of a second mixer can be: twice the second IF either side of the channel.
    ///
    /// Which of the two depends on the side of the second LO.
    ///
    /// # Source
    /// Receiver theory: `f ± 2·IF₂`.
    pub fn second_images(self, second_intermediate: Frequency) -> Vec<Place> {
        let away = Offset::hz(second_intermediate.as_hz().saturating_mul(2));
        [(false, -away), (true, away)]
            .into_iter()
            .filter_map(|(is_above, offset)| {
                let hertz = self.wanted.as_hz().checked_add(offset.as_hz())?;
                let sum = Sum::SecondImage {
                    second: second_intermediate,
                    is_above,
                };
                Place::new(self, hertz, sum)
            })
            .collect()
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
            receiver.oscillator().arithmetic.to_string(),
            "435.0000 − 45.0500 = 389.9500 MHz"
        );
        assert_eq!(
            receiver.image().unwrap().arithmetic.to_string(),
            "2 × 389.9500 − 435.0000 = 344.9000 MHz"
        );
        assert_eq!(
            receiver.half_if().unwrap().arithmetic.to_string(),
            "389.9500 + 45.0500 ÷ 2 = 412.4750 MHz"
        );
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

    #[test]
    fn without_a_channel_or_without_an_intermediate_frequency_there_is_no_receiver() {
        for injection in [Injection::Low, Injection::High] {
            let tuned = |wanted: i64, intermediate: i64| {
                let [wanted, intermediate] = [wanted, intermediate].map(Frequency::hz);
                Superhet::tuned(wanted, intermediate, injection).is_some()
            };
            assert!(tuned(145_000_000, 21_400_000) && tuned(145_000_000, 1));
            assert!(!tuned(145_000_000, 0) && !tuned(0, 21_400_000));
        }
        // An oscillator at nought is none.
        let same = Frequency::hz(21_400_000);
        assert!(Superhet::tuned(same, same, Injection::Low).is_none());
    }
}
