//! The sum behind a place, made into text only when somebody reads it.

use std::fmt;

use super::{Injection, Superhet};
use crate::quantity::Frequency;

/// How a place comes about, shown as `2 × 389.9500 − 435.0000 = 344.9000 MHz`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Arithmetic {
    pub(super) receiver: Superhet,
    pub(super) sum: Sum,
    /// What it comes to.
    pub(super) place: Frequency,
}

/// Which sum it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sum {
    /// The local oscillator.
    Oscillator,
    /// The first image.
    Image,
    /// The half-IF response.
    HalfIf,
    /// Twice the second IF above the channel, or below it.
    SecondImage { second: Frequency, is_above: bool },
    /// `(m·LO ± IF)/n`.
    Spur {
        m: u32,
        n: i64,
        sign: &'static str,
        turned: bool,
    },
    /// So many n-ths of the second IF above the channel, or below it.
    NearSecond {
        second: Frequency,
        parts: i64,
        of: i64,
        is_upper: bool,
    },
    /// A response of the second mixer, above the first oscillator or below it.
    BySecond {
        mixer: Superhet,
        sum: (u32, i64, &'static str, bool),
        is_above: bool,
    },
}

impl fmt::Display for Arithmetic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let receiver = self.receiver;
        let wanted = receiver.wanted.digits();
        let intermediate = receiver.intermediate.digits();
        let oscillator = receiver.oscillator.digits();
        match self.sum {
            Sum::Oscillator => {
                let sign = match receiver.injection {
                    Injection::Low => "−",
                    Injection::High => "+",
                };
                write!(f, "{wanted} {sign} {intermediate}")?;
            }
            Sum::Image => write!(f, "2 × {oscillator} − {wanted}")?,
            Sum::HalfIf => {
                let sign = match receiver.injection {
                    Injection::Low => "+",
                    Injection::High => "−",
                };
                write!(f, "{oscillator} {sign} {intermediate} ÷ 2")?;
            }
            Sum::SecondImage { second, is_above } => {
                let sign = if is_above { "+" } else { "−" };
                write!(f, "{wanted} {sign} 2 × {}", second.digits())?;
            }
            Sum::Spur { m, n, sign, turned } => {
                f.write_str(&receiver.spur_text(m, n, sign, turned))?;
            }
            Sum::NearSecond {
                second,
                parts,
                of,
                is_upper,
            } => {
                let sign = if is_upper { "+" } else { "−" };
                write!(f, "{wanted} {sign} ")?;
                if parts != 1 {
                    write!(f, "{parts} × ")?;
                }
                f.write_str(&second.digits())?;
                if of != 1 {
                    write!(f, " ÷ {of}")?;
                }
            }
            Sum::BySecond {
                mixer,
                sum: (m, n, sign, turned),
                is_above,
            } => {
                let way = if is_above { "+" } else { "−" };
                let sum = mixer.spur_text(m, n, sign, turned);
                if n == 1 {
                    write!(f, "{oscillator} {way} ({sum})")?;
                } else {
                    write!(f, "{oscillator} {way} {sum}")?;
                }
            }
        }
        write!(f, " = {}", self.place)
    }
}
