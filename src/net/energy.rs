//! How long a battery keeps a radio on the air.

use std::time::Duration;

/// A battery.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Battery {
    /// What is written on it, in milliampere-hours.
    pub capacity_mah: u64,
    /// The share of that which may be used, from 0 to 1.
    pub usable: f64,
}

/// What a battery has to give.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Endurance {
    /// Mean current, in milliamperes.
    pub mean_ma: f64,
    /// How long it lasts.
    pub lasts: Duration,
}

/// No battery is reckoned to last longer than this: it discharges itself.
const LONGEST_S: f64 = 366.0 * 86_400.0;

impl Battery {
    /// How long it lasts at a transmit duty (0 to 1) and two currents in milliamperes.
    ///
    /// `t = usable·C/(duty·I_t + (1 − duty)·I_r)`. Peukert's effect and cold are left to the usable share.
    ///
    /// # Source
    /// Arithmetic.
    ///
    /// # Example
    /// 20 Ah, of which 80 % usable, 50 % duty at 5 A and 0.5 A: 5.82 h.
    pub fn endurance(&self, duty: f64, transmit_ma: u64, receive_ma: u64) -> Endurance {
        let duty = duty.clamp(0.0, 1.0);
        let mean_ma = duty * milli(transmit_ma) + (1.0 - duty) * milli(receive_ma);
        let usable = self.usable.clamp(0.0, 1.0) * milli(self.capacity_mah);
        let seconds = if mean_ma > 0.0 {
            usable / mean_ma * 3_600.0
        } else {
            LONGEST_S
        };
        Endurance {
            mean_ma,
            lasts: Duration::from_secs_f64(seconds.min(LONGEST_S)),
        }
    }
}

fn milli(value: u64) -> f64 {
    value as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sixteen_usable_ampere_hours_at_two_and_three_quarter_amperes_last_under_six_hours() {
        let battery = Battery {
            capacity_mah: 20_000,
            usable: 0.8,
        };
        let found = battery.endurance(0.5, 5_000, 500);
        assert!((found.mean_ma - 2_750.0).abs() < 1e-9);
        assert_eq!(found.lasts.as_secs(), 20_945);
        assert_eq!(
            battery.endurance(f64::INFINITY, 5_000, 500),
            battery.endurance(1.0, 5_000, 500)
        );
        assert!(battery.endurance(0.0, 0, 0).lasts.as_secs() > 86_400);
    }
}
