//! Tones through a non-linearity, and the spectrum of what comes out: the same lines at the same levels as the formulas.
//!
//! A hertz is a bin of the transform here, and a level is 20·log₁₀ of an amplitude.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use quietpair::physics::bandpass::maximally_flat;
use quietpair::physics::mixing::{intercept_from_rejection, intermod_level, order, products};
use quietpair::physics::superhet::{Injection, Superhet};
use quietpair::quantity::{Bandwidth, Decibels, Frequency, Level};
use rustfft::{FftPlanner, num_complex::Complex};

/// A tone: its bin and its amplitude.
type Tone = (usize, f64);

/// `y = Σ aₙ·xⁿ` with a₀ first.
fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, a| sum * x + a)
}

/// The value of some tones at one sample; the phase is reduced in whole numbers, so it stays exact.
fn sum_of(tones: &[Tone], sample: usize, length: usize) -> f64 {
    tones
        .iter()
        .map(|(bin, amplitude)| {
            let turn = (bin * sample % length) as f64 / length as f64;
            amplitude * (TAU * turn).cos()
        })
        .sum()
}

/// The amplitude in every bin above zero, up to half the length.
fn spectrum(samples: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut buffer: Vec<Complex<f64>> = samples.map(|value| Complex::new(value, 0.0)).collect();
    let length = buffer.len();
    FftPlanner::new()
        .plan_fft_forward(length)
        .process(&mut buffer);
    let scale = 2.0 / length as f64;
    let half = buffer.iter().take(length / 2);
    half.map(|value| value.norm() * scale).collect()
}

fn level(amplitude: f64) -> Level {
    Level::dbm(20.0 * amplitude.log10())
}

/// The intercept point of an order, from the definition alone: the amplitude A at which the strongest two-tone product,
/// `aₙ·C(n, n/2)/2ⁿ⁻¹·Aⁿ`, equals A.
fn intercept(order: u64, coefficients: [f64; 6]) -> Level {
    let binomial = [1.0, 1.0, 2.0, 3.0, 6.0, 10.0];
    let ((_, coefficient), binomial) = (0..)
        .zip(coefficients)
        .zip(binomial)
        .find(|((power, _), _)| *power == order)
        .unwrap_or_else(|| panic!("no coefficient of order {order}"));
    let steps = order as f64 - 1.0;
    level((2f64.powf(steps) / (coefficient * binomial)).powf(1.0 / steps))
}

/// Every line of some tones through the polynomial is where enumeration puts it, as strong as its formula says, and there is
/// no other.
fn same_lines_at_the_same_levels(tones: &[Tone]) {
    const LENGTH: usize = 1 << 17;
    const COEFFICIENTS: [f64; 6] = [0.0, 1.0, 0.8, 0.6, 1.5, 2.5];
    // Far below the weakest product looked for, far above what doubles add.
    const FLOOR: f64 = 1e-17;

    let signals: Vec<Frequency> = tones.iter().map(|tone| hertz(tone.0)).collect();
    let mut expected: BTreeMap<usize, Level> =
        tones.iter().map(|tone| (tone.0, level(tone.1))).collect();
    for product in products(&signals, 5) {
        let terms: Vec<(i64, Level)> = product
            .coefficients
            .iter()
            .zip(tones)
            .map(|(coefficient, tone)| (*coefficient, level(tone.1)))
            .collect();
        let order = order(product.coefficients.iter().copied());
        let strength = intermod_level(&terms, intercept(order, COEFFICIENTS));
        let bin = bin(product.frequency);
        // The bins are chosen so that no two products coincide: each level is one product's own.
        assert_eq!(
            expected.insert(bin, strength),
            None,
            "two products in bin {bin}"
        );
    }

    let out = spectrum((0..LENGTH).map(|n| polynomial(&COEFFICIENTS, sum_of(tones, n, LENGTH))));
    for (bin, amplitude) in out.iter().enumerate().skip(1) {
        match expected.get(&bin) {
            Some(strength) => {
                let off = (level(*amplitude) - *strength).as_db();
                assert!(off.abs() < 0.01, "bin {bin}: off by {off} dB");
            }
            None => assert!(
                *amplitude < FLOOR,
                "a line nobody foretold in bin {bin}: {amplitude:e}"
            ),
        }
    }
}

fn hertz(bin: usize) -> Frequency {
    Frequency::hz(i64::try_from(bin).unwrap_or(i64::MAX))
}

fn bin(frequency: Frequency) -> usize {
    usize::try_from(frequency.as_hz()).unwrap_or(usize::MAX)
}

#[test]
fn two_tones_make_the_lines_and_levels_of_the_formulas() {
    same_lines_at_the_same_levels(&[(3_001, 2e-3), (3_457, 1.3e-3)]);
}

#[test]
fn three_tones_of_two_bands_make_the_lines_and_levels_of_the_formulas() {
    same_lines_at_the_same_levels(&[(3_001, 2e-3), (3_457, 1.3e-3), (9_733, 1.7e-3)]);
}

/// A receiver: what its filter passes, its first stage, its mixer and its intermediate frequency.
struct Receiver {
    /// How much of an amplitude at a bin comes through the filter ahead of everything.
    preselector: fn(usize) -> f64,
    /// The first stage, a₀ first.
    front: [f64; 6],
    /// The mixer: a polynomial of signal plus LO.
    mixer: [f64; 6],
    oscillator: usize,
    intermediate: usize,
}

impl Receiver {
    const LENGTH: usize = 1 << 14;

    /// The amplitude at the intermediate frequency, through a filter one bin wide.
    fn hears(&self, tones: &[Tone]) -> f64 {
        let passed: Vec<Tone> = tones
            .iter()
            .map(|(bin, amplitude)| (*bin, amplitude * (self.preselector)(*bin)))
            .collect();
        let mixed = (0..Self::LENGTH).map(|n| {
            let first = polynomial(&self.front, sum_of(&passed, n, Self::LENGTH));
            let oscillator = sum_of(&[(self.oscillator, 1.0)], n, Self::LENGTH);
            polynomial(&self.mixer, first + oscillator)
        });
        let sum: Complex<f64> = mixed
            .enumerate()
            .map(|(n, value)| {
                let turn = (self.intermediate * n % Self::LENGTH) as f64 / Self::LENGTH as f64;
                Complex::from_polar(value, -TAU * turn)
            })
            .sum();
        sum.norm() * 2.0 / Self::LENGTH as f64
    }
}

const LINEAR: [f64; 6] = [0.0, 1.0, 0.0, 0.0, 0.0, 0.0];
/// A first stage with a third order and nothing else.
const CUBIC: [f64; 6] = [0.0, 1.0, 0.0, 0.4, 0.0, 0.0];
/// Every (m, n) with m + n up to five.
const POOR_MIXER: [f64; 6] = [0.0, 1.0, 0.5, 0.3, 0.2, 0.1];
/// A product of signal and LO, and no other.
const GOOD_MIXER: [f64; 6] = [0.0, 0.0, 1.0, 0.0, 0.0, 0.0];

/// The IF and both oscillators divide by 12, so every (m, n) response with n up to 4 is a whole bin.
const WANTED: usize = 408;
const INTERMEDIATE: usize = 60;

fn receiver(injection: Injection, front: [f64; 6], mixer: [f64; 6]) -> (Receiver, Superhet) {
    let tuned = Superhet::tuned(hertz(WANTED), hertz(INTERMEDIATE), injection)
        .unwrap_or_else(|| panic!("no such receiver"));
    let receiver = Receiver {
        preselector: |_| 1.0,
        front,
        mixer,
        oscillator: bin(tuned.oscillator().frequency),
        intermediate: INTERMEDIATE,
    };
    (receiver, tuned)
}

#[test]
fn a_receiver_hears_where_the_formulas_say_and_nowhere_else() {
    const FLOOR: f64 = 1e-11;
    for injection in [Injection::Low, Injection::High] {
        let (receiver, tuned) = receiver(injection, LINEAR, POOR_MIXER);
        let mut expected: BTreeMap<Frequency, u32> = BTreeMap::from([(tuned.wanted(), 1)]);
        for spur in tuned.spurs(4, 5) {
            if spur.oscillator_multiple + spur.signal_multiple <= 5 {
                let lowest = expected.entry(spur.place.frequency).or_insert(u32::MAX);
                *lowest = spur.signal_multiple.min(*lowest);
            }
        }
        assert!(expected.len() > 15, "{expected:?}");
        for bin in 1..1_500 {
            let amplitude = receiver.hears(&[(bin, 0.02)]);
            assert_eq!(
                amplitude > FLOOR,
                expected.contains_key(&hertz(bin)),
                "{injection:?} injection, bin {bin}: {amplitude:e}"
            );
        }
        for (frequency, order) in &expected {
            let bin = bin(*frequency);
            let at = |amplitude| level(receiver.hears(&[(bin, amplitude)]));
            let slope = (at(0.04) - at(0.02)).as_db() / (20.0 * 2f64.log10());
            assert!(
                (slope - f64::from(*order)).abs() < 0.05,
                "{frequency}: {slope} dB a dB"
            );
        }
        assert_eq!(expected.get(&tuned.image().unwrap().frequency), Some(&1));
        assert_eq!(expected.get(&tuned.half_if().unwrap().frequency), Some(&2));
    }
}

/// The land-mobile measurement: two equal signals one and two channels up, raised until their product in the channel is
/// as strong as a co-channel signal the receiver just tolerates.
fn measured_rejection(receiver: &Receiver, sensitivity: Level, co_channel: Decibels) -> Decibels {
    const SPACING: usize = 3;
    let amplitude = |level: Level| 10f64.powf(level.as_dbm() / 20.0);
    let tolerated = receiver.hears(&[(WANTED, amplitude(sensitivity - co_channel))]);
    let (mut low, mut high) = (Decibels::ZERO, Decibels::db(120.0));
    for _ in 0..40 {
        let middle = (low + high) * 0.5;
        let each = amplitude(sensitivity + middle);
        let heard = receiver.hears(&[(WANTED + SPACING, each), (WANTED + 2 * SPACING, each)]);
        if heard < tolerated {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

#[test]
fn a_measured_intermodulation_rejection_gives_back_the_intercept_point_of_the_first_stage() {
    let (receiver, _) = receiver(Injection::High, CUBIC, GOOD_MIXER);
    for (sensitivity, co_channel) in [(-107.0, 8.0), (-116.0, 8.0), (-100.0, 12.0)] {
        let (sensitivity, co_channel) = (Level::dbm(sensitivity), Decibels::db(co_channel));
        let rejection = measured_rejection(&receiver, sensitivity, co_channel);
        let found = intercept_from_rejection(3, sensitivity, rejection, co_channel);
        let off = (found - intercept(3, CUBIC)).as_db();
        assert!(
            off.abs() < 0.02,
            "off by {off} dB at a rejection of {rejection}"
        );
    }
}

#[test]
fn a_filter_ahead_takes_its_loss_from_each_source_as_often_as_it_takes_part() {
    const EACH: f64 = 1e-3;
    let (plain, _) = receiver(Injection::Low, CUBIC, GOOD_MIXER);
    let filtered = Receiver {
        preselector: |bin| if bin > WANTED + 4 { 0.1 } else { 0.5 },
        ..plain
    };
    let reference = level(filtered.hears(&[(WANTED, EACH)])) - level(EACH * 0.5);
    let heard = level(filtered.hears(&[(WANTED + 3, EACH), (WANTED + 6, EACH)])) - reference;
    let sources = [(2, level(EACH * 0.5)), (-1, level(EACH * 0.1))];
    let expected = intermod_level(&sources, intercept(3, CUBIC));
    assert!(
        (heard - expected).as_db().abs() < 0.01,
        "{heard} against {expected}"
    );
}

/// A receiver of two conversions: a first mixer that only multiplies, a filter at the first IF, and a second mixer.
struct Twice {
    first: usize,
    intermediate: usize,
    /// Passband and poles of the filter at the first IF; none lets everything below the first LO pass.
    filter: Option<(i64, u32)>,
    mixer: [f64; 6],
    second: usize,
}

impl Twice {
    const LENGTH: usize = 1 << 13;
    const SECOND_INTERMEDIATE: usize = 12;

    /// The loss of the filter for what comes to it at a bin.
    fn loss_at(&self, bin: usize) -> Decibels {
        let off = hertz(bin) - hertz(self.intermediate);
        self.filter.map_or(Decibels::ZERO, |(passband, poles)| {
            maximally_flat(Bandwidth::hz(passband), poles, off)
        })
    }

    /// The amplitude at the second IF of a tone at the antenna.
    fn hears(&self, (bin, amplitude): Tone) -> f64 {
        // cos·cos is half the sum and half the difference; the sum lies above the first LO and is filtered out.
        let converted = bin.abs_diff(self.first);
        let loss = 10f64.powf(-self.loss_at(converted).as_db() / 20.0);
        let passed = [(converted, amplitude * 0.5 * loss)];
        let sum: Complex<f64> = (0..Self::LENGTH)
            .map(|n| {
                let oscillator = sum_of(&[(self.second, 1.0)], n, Self::LENGTH);
                let mixed = polynomial(&self.mixer, sum_of(&passed, n, Self::LENGTH) + oscillator);
                let turn =
                    (Self::SECOND_INTERMEDIATE * n % Self::LENGTH) as f64 / Self::LENGTH as f64;
                Complex::from_polar(mixed, -TAU * turn)
            })
            .sum();
        sum.norm() * 2.0 / Self::LENGTH as f64
    }

    /// The amplitude that is heard as strongly as `heard`.
    fn amplitude_for(&self, bin: usize, heard: f64) -> f64 {
        let (mut low, mut high) = (-200.0, 40.0);
        for _ in 0..50 {
            let middle = f64::midpoint(low, high);
            if self.hears((bin, 10f64.powf(middle / 20.0))) < heard {
                low = middle;
            } else {
                high = middle;
            }
        }
        10f64.powf(low / 20.0)
    }
}

/// IFs and oscillators divide by 12, so every response with n up to 4 is a whole bin.
fn twice(injection: Injection, side: Injection) -> (Twice, Superhet) {
    let tuned = Superhet::tuned(hertz(396), hertz(96), injection).unwrap();
    let away = Twice::SECOND_INTERMEDIATE;
    let receiver = Twice {
        first: bin(tuned.oscillator().frequency),
        intermediate: 96,
        filter: None,
        mixer: POOR_MIXER,
        second: if side == Injection::Low {
            96 - away
        } else {
            96 + away
        },
    };
    (receiver, tuned)
}

const SIDES: [Injection; 2] = [Injection::Low, Injection::High];

#[test]
fn behind_two_conversions_it_hears_where_the_formulas_say_and_nowhere_else() {
    const FLOOR: f64 = 1e-11;
    for (injection, side) in SIDES
        .iter()
        .flat_map(|one| SIDES.map(|other| (*one, other)))
    {
        let (receiver, tuned) = twice(injection, side);
        let image = tuned.image().unwrap().frequency;
        let mut expected = BTreeMap::from([(tuned.wanted(), 1), (image, 1)]);
        let second = hertz(Twice::SECOND_INTERMEDIATE);
        for spur in tuned.second_spurs(second, side, 4, 4) {
            if spur.oscillator_multiple + spur.signal_multiple <= 5 {
                let lowest = expected.entry(spur.place.frequency).or_insert(u32::MAX);
                *lowest = spur.signal_multiple.min(*lowest);
            }
        }
        assert!(expected.len() > 20, "{expected:?}");
        for bin in 1..2 * receiver.first {
            let amplitude = receiver.hears((bin, 0.04));
            assert_eq!(
                amplitude > FLOOR,
                expected.contains_key(&hertz(bin)),
                "{injection:?} and {side:?}, bin {bin}: {amplitude:e}"
            );
        }
        for (frequency, order) in &expected {
            let bin = bin(*frequency);
            if bin >= 2 * receiver.first {
                continue;
            }
            let at = |amplitude| level(receiver.hears((bin, amplitude)));
            let slope = (at(0.08) - at(0.04)).as_db() / (20.0 * 2f64.log10());
            let off = slope - f64::from(*order);
            assert!(off.abs() < 0.05, "{frequency}: {slope} dB a dB");
        }
    }
}

/// The law of the chapter: the filter once before the mixer, then n dB a dB from the intercept behind the measured rejection.
#[test]
fn what_the_filter_ahead_of_the_second_mixer_takes_is_borne_once_and_heard_n_times_less() {
    const SENSITIVITY: f64 = -110.0;
    let protection = Decibels::db(8.0);
    let amplitude = |level: Level| 10f64.powf(level.as_dbm() / 20.0);
    let sensitivity = Level::dbm(SENSITIVITY);
    for side in SIDES {
        let (open, tuned) = twice(Injection::Low, side);
        let filtered = Twice {
            filter: Some((6, 2)),
            ..twice(Injection::Low, side).0
        };
        let channel = |level: Level| open.hears((396, amplitude(level)));
        let reference = level(channel(sensitivity)) - sensitivity;
        let borne = channel(sensitivity - protection);
        let spurs = tuned.second_spurs(hertz(Twice::SECOND_INTERMEDIATE), side, 4, 3);
        let near = spurs
            .iter()
            .filter(|spur| spur.oscillator_multiple == spur.signal_multiple && !spur.is_by_image);
        let mut orders = Vec::new();
        for spur in near.filter(|spur| spur.signal_multiple < 3) {
            let place = bin(spur.place.frequency);
            let filter = maximally_flat(Bandwidth::hz(6), 2, spur.off);
            let bears = [&open, &filtered].map(|one| level(one.amplitude_for(place, borne)));
            assert!(
                (bears[1] - bears[0] - filter).as_db().abs() < 0.01,
                "{bears:?}"
            );
            let order = spur.signal_multiple;
            orders.push(order);
            if order == 1 {
                continue;
            }
            let rejection = bears[0] - sensitivity;
            let intercept = intercept_from_rejection(order, sensitivity, rejection, protection);
            for more in [-10.0, 0.0, 10.0] {
                let arriving = bears[1] + Decibels::db(more);
                let before = arriving - filter;
                let expected = before + (before - intercept) * (f64::from(order) - 1.0);
                let heard = level(filtered.hears((place, amplitude(arriving)))) - reference;
                assert!(
                    (heard - expected).as_db().abs() < 0.05,
                    "{heard} against {expected}"
                );
            }
        }
        assert_eq!(orders.iter().max(), Some(&2));
    }
}
