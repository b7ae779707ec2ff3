#![doc = include_str!("transmitter_noise.md")]

use super::carrier::send;
use super::slice::{Slice, slices};
use super::{Emission, Line, Request, Source, index_of};
use crate::budget::{Budget, Ledger, Total};
use crate::physics::curve::{Point, density_over, logarithmic_at};
use crate::physics::spread;
use crate::provenance::Sourced;
use crate::quantity::{Decibels, Level, Offset};
use crate::scene::{Scene, Transmitter};
use crate::topic::Topic;

pub(super) const KIND: Emission = Emission {
    topic: TOPIC,
    generate,
    tell,
    called,
    why,
    // Stated below the carrier, it falls with the carrier.
    slope: |_, _, _| 1.0,
    is_plain: false,
    is_for_one: true,
};

const TOPIC: Topic = Topic {
    id: "transmitter-noise",
    title: "The noise of a transmitter beside its carrier",
    text: include_str!("transmitter_noise.md"),
};

fn generate(request: &Request<'_>, lines: &mut Vec<Line>) {
    let kind = index_of(&TOPIC);
    let at_most = |transmitter: &Transmitter, slice: &Slice| {
        // Nearer, the power in the adjacent channel is what is stated.
        (slice.off >= slice.beyond_adjacent).then(|| densest(transmitter, slice))
    };
    slices(request, kind, lines, at_most, |transmitter, slice| {
        let mut level = Total::default();
        hiss(transmitter, slice, &mut level);
        level.level()
    });
}

/// What the noise in a slice does not exceed: its greatest density there, all over the slice.
fn densest(transmitter: &Transmitter, slice: &Slice) -> Level {
    let points = points(transmitter);
    let half = Offset::hz(slice.width.as_hz() / 2);
    let (from, to) = (slice.off + -half, slice.off + half);
    let between = points.clone();
    let between = between.filter(|(offset, _)| (from..=to).contains(offset));
    let between = between.map(|(_, density)| density);
    let densest = between
        .chain([
            logarithmic_at(points.clone(), from),
            logarithmic_at(points, to),
        ])
        .max()
        .unwrap_or(Decibels::ZERO);
    // The hundredth covers the rounding of the mean.
    let all_over = Decibels::of_power(slice.width.as_hz().max(1) as f64) + Decibels::db(0.01);
    transmitter.power.value + densest + all_over
}

fn points(transmitter: &Transmitter) -> impl Iterator<Item = Point> + Clone {
    let points = transmitter.figures.noise.iter();
    points.map(|point| (point.offset, point.density.value))
}

/// The noise that falls into a slice, at the transmitter's socket.
fn hiss(transmitter: &Transmitter, slice: &Slice, ledger: &mut impl Ledger) {
    send(transmitter, ledger);
    let points = points(transmitter);
    let half = Offset::hz(slice.width.as_hz() / 2);
    let in_slice = density_over(&points, slice.off + -half, slice.off + half);
    let nearest = nearest(transmitter, slice.off);
    ledger.enter(in_slice, || {
        (
            format!("its noise in {} at {} off", slice.width, slice.off),
            format!(
                "{} in one hertz there; {}",
                logarithmic_at(points.clone(), slice.off),
                nearest.map_or_else(String::new, |point| point.origin.to_string())
            ),
        )
    });
    if let Some(point) = nearest {
        ledger.vary(spread::equipment(point));
        if !point.is_stated() {
            ledger.assume(|| {
                format!(
                    "noise of {} {} off: {} in one hertz ({})",
                    transmitter.name,
                    slice.off,
                    logarithmic_at(points.clone(), slice.off),
                    point.origin.brief()
                )
            });
        }
    }
}

/// The stated point nearest to an offset.
fn nearest(transmitter: &Transmitter, off: Offset) -> Option<&Sourced<Decibels>> {
    transmitter
        .figures
        .noise
        .iter()
        .min_by_key(|point| (point.offset + -off).abs())
        .map(|point| &point.density)
}

fn tell(scene: &Scene<'_>, line: &Line, budget: &mut Budget) {
    if let Some((transmitter, slice)) = Slice::of(scene, line) {
        hiss(transmitter, &slice, budget);
    }
}

fn why(scene: &Scene<'_>, line: &Line) -> String {
    Slice::of(scene, line).map_or_else(String::new, |(transmitter, slice)| {
        format!(
            "{} transmits on {}, and {} off its noise is still radiated",
            transmitter.name, transmitter.frequency, slice.off
        )
    })
}

fn called(scene: &Scene<'_>, line: &Line) -> String {
    let name = line.terms.iter().find_map(|&(source, _)| match source {
        Source::Transmitter(index) => scene.transmitters.get(index),
        Source::Oscillator(_) | Source::Reference(_) => None,
    });
    format!("the noise of {}", name.map_or("", |one| one.name.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Bandwidth, Frequency};
    use crate::scene::sample::{CROWDED, plan};

    #[test]
    fn the_noise_in_a_slice_is_never_more_than_is_reckoned_before_it_is_added_up() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        for transmitter in scene.transmitters.iter() {
            for step in 1..2_000 {
                let slice = Slice {
                    place: transmitter.frequency,
                    off: Offset::hz(step * 7_919),
                    width: Bandwidth::hz(12_000),
                    touch: Offset::hz(0),
                    adjacent: Offset::hz(12_500),
                    beyond_adjacent: Offset::hz(37_500),
                };
                let mut level = Total::default();
                hiss(transmitter, &slice, &mut level);
                assert!(level.level() <= densest(transmitter, &slice), "{slice:?}");
            }
        }
    }

    /// Arithmetic: 43 dBm − 140 dBc/Hz + 10·log₁₀ 12 000 = −56.2 dBm.
    #[test]
    fn flat_noise_adds_up_over_the_channel() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut transmitter = scene.transmitters.get(0).unwrap().clone();
        let mut figures = (*transmitter.figures).clone();
        figures.noise.truncate(1);
        figures.noise[0].density.value = Decibels::db(-140.0);
        transmitter.figures = figures.into();
        transmitter.power.value = crate::quantity::Level::dbm(43.0);
        let slice = Slice {
            place: Frequency::hz(150_000_000),
            off: Offset::hz(5_000_000),
            width: Bandwidth::hz(12_000),
            touch: Offset::hz(0),
            adjacent: Offset::hz(12_500),
            beyond_adjacent: Offset::hz(37_500),
        };
        let mut level = Total::default();
        hiss(&transmitter, &slice, &mut level);
        assert!((level.level().as_dbm() + 56.2).abs() < 0.05);
    }

    #[test]
    fn of_the_points_at_which_noise_is_stated_the_nearest_counts() {
        let plan = plan(CROWDED);
        let scene = crate::scene::Scene::build(&plan, None);
        let transmitter = scene.transmitters.iter().next().unwrap();
        let stated = &transmitter.figures.noise;
        assert!(stated.len() > 1);
        for (at, point) in stated.iter().enumerate() {
            let near = |off: Offset| nearest(transmitter, off).map(std::ptr::from_ref);
            let this = Some(std::ptr::from_ref(&point.density));
            assert_eq!(near(point.offset), this);
            // Up to half of the way to the next.
            if let Some(next) = stated.get(at + 1) {
                let apart = next.offset.as_hz() - point.offset.as_hz();
                assert_eq!(near(point.offset + Offset::hz(apart / 2 - 1)), this);
                assert_ne!(near(point.offset + Offset::hz(apart / 2 + 1)), this);
            } else {
                assert_eq!(near(point.offset + point.offset), this);
            }
        }
    }
}
