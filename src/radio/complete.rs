//! From the words of a profile, and of those it rests on, to a radio with every figure.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::curves::{self, Curve};
use super::figure::Count;
use super::profile::{
    BandFigures, FirstFilter, PowerStep, Preselector, Profile, ReceiverFigures, Reference, Supply,
    Timing, TransmitterFigures,
};
use super::stack::{Sections, Stack, legible};
use super::words::{BandWords, ProfileWords, ReceiverWords, TransmitterWords};
use crate::document::{Entries, Fault, Said};
use crate::provenance::Sourced;
use crate::quantity::{Bandwidth, Decibels, Frequency, Length, Level, Span, Tolerance};

const fn db(low: f64, high: f64) -> (Decibels, Decibels) {
    (Decibels::db(low), Decibels::db(high))
}

const fn dbm(low: f64, high: f64) -> (Level, Level) {
    (Level::dbm(low), Level::dbm(high))
}

/// Rejections of real receivers lie well inside.
const REJECTION: (Decibels, Decibels) = db(0.0, 200.0);
/// Intercepts of real front ends, from a bare mixer to a base station with cavities.
const INTERCEPT: (Level, Level) = dbm(-80.0, 120.0);
/// From a locked reference to a free-running oscillator.
const TOLERANCE: (Tolerance, Tolerance) = (Tolerance::ppb(0), Tolerance::ppb(1_000_000));
/// From slow Morse to a spread signal.
const WIDTH: (Bandwidth, Bandwidth) = (Bandwidth::hz(50), Bandwidth::hz(1_000_000_000));

/// The radio; nothing when a figure is missing or impossible, which the stack has been told.
pub(super) fn complete(id: &str, stack: &Stack<'_>) -> Option<Profile> {
    let whole = stack.sections("", |words| words);
    let text = |get: fn(&ProfileWords) -> &Option<Said<String>>| {
        let found = whole.find(|words| get(words).as_ref()?.value());
        found.map(|(_, text)| text.clone()).unwrap_or_default()
    };
    let antenna = stack.sections("antenna", |words| &words.antenna);
    let receivers = whole.need("receivers", |words| &words.receivers);
    let repeats = whole.need("repeats_cross_band", |words| &words.repeats_cross_band);
    let duplex = whole.need("duplex", |words| &words.duplex);
    let hears = whole.need("hears_while_sending", |words| &words.hears_while_sending);
    let isolation = whole.need_within("isolation", REJECTION, |words| &words.isolation);
    let heights = (Length::metres(0.0), Length::metres(20_000.0));
    let height = antenna.need_within("height", heights, |words| &words.height);
    let gain = antenna.need_within("gain", db(-40.0, 60.0), |words| &words.gain);
    let feeder = antenna.need_within("feeder_loss", db(0.0, 100.0), |words| &words.feeder_loss);
    let reference = reference(stack);
    let bands = bands(stack);
    let timing = timing(stack);
    let supply = supply(stack);
    Some(Profile {
        id: id.to_owned(),
        title: text(|words| &words.title),
        purpose: text(|words| &words.purpose),
        receivers: receivers?.map(|count| count.0),
        repeats_cross_band: repeats?.map(|answer| answer.0),
        is_duplex: duplex?.map(|answer| answer.0),
        hears_while_sending: hears?.map(|answer| answer.0),
        isolation: isolation?,
        reference: match reference {
            Some(reference) => Some(reference?),
            None => None,
        },
        antenna_height: height?,
        antenna_gain: gain?,
        feeder_loss: feeder?,
        bands: bands?,
        timing: timing?,
        supply: supply?,
    })
}

/// The reference, which most profiles do not state; where one half is, the other is needed.
#[expect(clippy::option_option, reason = "stated at all, and readable")]
fn reference(stack: &Stack<'_>) -> Option<Option<Reference>> {
    let words = stack.sections("reference", |words| &words.reference);
    words.find(|words| {
        let is_stated = words.frequency.is_some() || words.level.is_some();
        is_stated.then_some(words)
    })?;
    // From a watch crystal times ten to what a synthesiser is ever locked to.
    let crystals = (Frequency::hz(100_000), Frequency::hz(1_000_000_000));
    let frequency = words.need_within("frequency", crystals, |words| &words.frequency);
    let level = words.need_within("level", dbm(-180.0, 0.0), |words| &words.level);
    Some(
        frequency
            .zip(level)
            .map(|(frequency, level)| Reference { frequency, level }),
    )
}

fn timing(stack: &Stack<'_>) -> Option<Timing> {
    let words = stack.sections("timing", |words| &words.timing);
    let opening = words.need("squelch_opening", |words| &words.squelch_opening);
    let decode = words.need("tone_decode", |words| &words.tone_decode);
    let rise = words.need("transmitter_rise", |words| &words.transmitter_rise);
    let tail = words.need("squelch_tail", |words| &words.squelch_tail);
    let hang = words.need("hang", |words| &words.hang);
    let time_out = words.pick(|words| &words.time_out);
    Some(Timing {
        squelch_opening: opening?.map(|time| time.0),
        tone_decode: decode?.map(|time| time.0),
        transmitter_rise: rise?.map(|time| time.0),
        squelch_tail: tail?.map(|time| time.0),
        hang: hang?.map(|time| time.0),
        time_out: time_out
            .and_then(|known| known_only(known.map(|known| known.0)))
            .map(|known| known.map(|time| time.0)),
    })
}

fn supply(stack: &Stack<'_>) -> Option<Supply> {
    let words = stack.sections("supply", |words| &words.supply);
    let voltage = words.need("voltage", |words| &words.voltage);
    let receive = words.need("receive_current", |words| &words.receive_current);
    let transmit = words.require("transmit_current", |words| words.transmit_current.as_ref());
    let duty = words.require("duty", |words| words.duty.as_ref());
    if let Some((layer, table)) = duty {
        for (_, share) in table.iter() {
            if share.value().is_some_and(|share| share.value.0 > 100) {
                let message = "no share of time: at most 100 %";
                stack.tell(layer, Fault::new(share.place(), message));
            }
        }
    }
    Some(Supply {
        voltage: voltage?.map(|voltage| voltage.0),
        receive_current: receive?.map(|current| current.0),
        transmit_current: by_step(stack, transmit?)
            .map(|(step, current)| (step, current.map(|current| current.0)))
            .collect(),
        duty: by_step(stack, duty?)
            .map(|(step, share)| (step, share.map(|share| share.0)))
            .collect(),
    })
}

/// A table of figures under the names of power steps, in the order of the file.
fn by_step<'a, T: Clone + 'a>(
    stack: &'a Stack<'_>,
    (layer, table): (usize, &'a Entries<super::figure::Figure<T>>),
) -> impl Iterator<Item = (String, Sourced<T>)> + 'a {
    table.iter().filter_map(move |(name, figure)| {
        Some((name.value()?.clone(), stack.stamp(layer, figure)?))
    })
}

/// A figure that is there only when it is known.
fn known_only<T>(figure: Sourced<Option<T>>) -> Option<Sourced<T>> {
    let origin = figure.origin;
    figure.value.map(|value| Sourced::new(value, origin))
}

/// Every band of the radio, lowest first.
fn bands(stack: &Stack<'_>) -> Option<Vec<BandFigures>> {
    let present = present(stack);
    if present.is_empty() {
        stack.tell_whole(
            "the radio has no band",
            "state one under `bands:`, or say with `based_on:` which profile the radio resembles",
        );
        return None;
    }
    let read: Vec<Option<BandFigures>> = present
        .into_iter()
        .map(|(name, parts)| band(stack, &name, &parts))
        .collect();
    let mut bands: Vec<BandFigures> = read.into_iter().collect::<Option<_>>()?;
    bands.sort_by_key(|band| {
        let transmitter = band.transmitter.as_ref().map(|figures| figures.span);
        (
            band.receiver
                .as_ref()
                .map(|figures| figures.span)
                .or(transmitter),
            band.name.clone(),
        )
    });
    Some(bands)
}

/// The bands that are left once each entry has kept what it wants of the one below, with what is said of each.
fn present<'e>(stack: &Stack<'e>) -> BTreeMap<String, Vec<(usize, &'e BandWords)>> {
    let mut present: BTreeMap<String, Vec<(usize, &BandWords)>> = BTreeMap::new();
    for (layer, entry) in stack.layers().rev() {
        if let Some(keep) = &entry.words.keep_bands {
            for name in keep {
                let Some(word) = name.value() else { continue };
                if !present.contains_key(word) {
                    let known: Vec<&str> = present.keys().map(String::as_str).collect();
                    let message = format!("there is no band `{word}` to keep");
                    let help = format!("the bands are {}", known.join(", "));
                    stack.tell(layer, Fault::new(name.place(), message).help(help));
                }
            }
            present.retain(|band, _| keep.iter().any(|name| name.value() == Some(band)));
        }
        for (name, words) in entry.words.bands.iter() {
            if let (Some(name), Some(words)) = (name.value(), words.value()) {
                // The upper entry answers first.
                let parts = present.entry(name.clone()).or_default();
                parts.insert(0, (layer, words));
            }
        }
    }
    present
}

fn band(stack: &Stack<'_>, name: &str, parts: &[(usize, &BandWords)]) -> Option<BandFigures> {
    // An entry's word on the band comes before its word on every band, and both before the entries below.
    let mut transmitters = Vec::new();
    let mut receivers = Vec::new();
    for (layer, entry) in stack.layers() {
        let own = parts.iter().find(|(owner, _)| *owner == layer);
        let own = own.map(|&(_, words)| words);
        transmitters.extend(
            own.and_then(|band| band.transmitter.as_ref())
                .map(|part| (layer, part)),
        );
        transmitters.push((layer, &entry.words.transmitter));
        receivers.extend(
            own.and_then(|band| band.receiver.as_ref())
                .map(|part| (layer, part)),
        );
        receivers.push((layer, &entry.words.receiver));
    }
    let transmits = parts.iter().any(|(_, band)| band.transmitter.is_some());
    let receives = parts.iter().any(|(_, band)| band.receiver.is_some());
    let sending = transmits.then(|| {
        transmitter(&stack.sections_of(&format!("bands.{name}.transmitter"), transmitters))
    });
    let hearing = receives
        .then(|| receiver(&stack.sections_of(&format!("bands.{name}.receiver"), receivers)));
    Some(BandFigures {
        name: name.to_owned(),
        transmitter: match sending {
            Some(figures) => Some(figures?),
            None => None,
        },
        receiver: match hearing {
            Some(figures) => Some(figures?),
            None => None,
        },
    })
}

fn transmitter(words: &Sections<'_, '_, TransmitterWords>) -> Option<TransmitterFigures> {
    let span = words.need("span", |words| &words.span);
    let tolerance = words.need_within("tolerance", TOLERANCE, |words| &words.tolerance);
    let adjacent = words.need_within("adjacent_power", REJECTION, |words| &words.adjacent_power);
    let harmonics = words.require("harmonics", |words| legible(words.harmonics.as_ref()));
    let noise = words.require("noise", |words| legible(words.noise.as_ref()));
    let conversion = words.require("conversion_loss", |words| {
        legible(words.conversion_loss.as_ref())
    });
    let steps = steps(words);
    let harmonics = harmonics.and_then(|found| curves::harmonics(words.stack(), found));
    let noise = noise.and_then(|found| Curve::Falling(db(-250.0, 0.0)).read(words.stack(), found));
    let conversion =
        conversion.and_then(|found| Curve::Rising(db(0.0, 200.0)).read(words.stack(), found));
    let (steps, usual_step) = steps?;
    Some(TransmitterFigures {
        span: span?.value,
        steps,
        usual_step,
        tolerance: tolerance?,
        harmonics: harmonics?,
        noise: noise?,
        adjacent_power: adjacent?,
        conversion_loss: conversion?,
    })
}

/// The power steps, highest first, and the name of the usual one.
fn steps(words: &Sections<'_, '_, TransmitterWords>) -> Option<(Vec<PowerStep>, String)> {
    let table = words.require("steps", |words| words.steps.as_ref());
    let usual = words.require("usual_step", |words| legible(words.usual_step.as_ref()));
    let mut steps: Vec<PowerStep> = by_step(words.stack(), table?)
        .map(|(name, power)| PowerStep { name, power })
        .collect();
    steps.sort_by_key(|step| Reverse(step.power.value));
    let (layer, said) = usual?;
    let usual = said.value()?;
    if !steps.iter().any(|step| step.name == *usual) {
        let known: Vec<&str> = steps.iter().map(|step| step.name.as_str()).collect();
        let message = format!(
            "`{usual}` is none of the power steps {}; name one, or write it under `steps`",
            known.join(", ")
        );
        words.stack().tell(layer, Fault::new(said.place(), message));
        return None;
    }
    Some((steps, usual.clone()))
}

fn receiver(words: &Sections<'_, '_, ReceiverWords>) -> Option<ReceiverFigures> {
    let span = words.need("span", |words| &words.span);
    let bandwidth = words.need_within("bandwidth", WIDTH, |words| &words.bandwidth);
    let spacing = words.need_within("channel_spacing", WIDTH, |words| &words.channel_spacing);
    let noise_figure =
        words.need_within("noise_figure", db(0.0, 60.0), |words| &words.noise_figure);
    let levels = dbm(-160.0, 0.0);
    let sensitivity = words.need_within("sensitivity", levels, |words| &words.sensitivity);
    let protection = words.need_within("protection", db(-30.0, 80.0), |words| &words.protection);
    let adjacent = words.need_within("adjacent", REJECTION, |words| &words.adjacent);
    let alternate = words.need_within("alternate", REJECTION, |words| &words.alternate);
    let blocking = words.need_within("blocking", REJECTION, |words| &words.blocking);
    let image = words.need_within("image", REJECTION, |words| &words.image);
    let half_if = words.need_within("half_if", REJECTION, |words| &words.half_if);
    let second_image = words.need_within("second_image", REJECTION, |words| &words.second_image);
    let breakthrough =
        words.need_within("if_breakthrough", REJECTION, |words| &words.if_breakthrough);
    let spurious = words.need_within("spurious", REJECTION, |words| &words.spurious);
    let third = words.need_within("intermodulation", REJECTION, |words| &words.intermodulation);
    let second = words.need_within("intercept_2", INTERCEPT, |words| &words.intercept_2);
    let fifth = words.need_within("intercept_5", INTERCEPT, |words| &words.intercept_5);
    let seventh = words.need_within("intercept_7", INTERCEPT, |words| &words.intercept_7);
    let leakage = words.need_within("oscillator_leakage", dbm(-150.0, 30.0), |words| {
        &words.oscillator_leakage
    });
    let oscillator_noise = words
        .find(|words| legible(words.oscillator_noise.as_ref()))
        .map_or(Some(Vec::new()), |found| {
            Curve::Falling(db(-250.0, 0.0)).read(words.stack(), found)
        });
    let tolerance = words.need_within("tolerance", TOLERANCE, |words| &words.tolerance);
    let first_if = words.pick(|words| &words.first_if);
    let injection = words.pick(|words| &words.injection);
    let second_if = words.pick(|words| &words.second_if);
    let second_injection = words.pick(|words| &words.second_injection);
    let first_if_filter = first_filter(words);
    let span = span?.value;
    let preselector = preselector(words, span);
    Some(ReceiverFigures {
        span,
        bandwidth: bandwidth?,
        channel_spacing: spacing?,
        noise_figure: noise_figure?,
        sensitivity: sensitivity?,
        protection: protection?,
        adjacent: adjacent?,
        alternate: alternate?,
        blocking: blocking?,
        first_if: first_if.and_then(|known| known_only(known.map(|known| known.0))),
        injection: injection.and_then(|known| known_only(known.map(|known| known.0))),
        second_if: second_if.and_then(|known| known_only(known.map(|known| known.0))),
        second_injection: second_injection.and_then(|known| known_only(known.map(|known| known.0))),
        first_if_filter: match first_if_filter {
            Some(filter) => Some(filter?),
            None => None,
        },
        image: image?,
        half_if: half_if?,
        second_image: second_image?,
        if_breakthrough: breakthrough?,
        spurious: spurious?,
        intermodulation: third?,
        intercept_2: second?,
        intercept_5: fifth?,
        intercept_7: seventh?,
        preselector: preselector?,
        oscillator_noise: oscillator_noise?,
        oscillator_leakage: leakage?,
        tolerance: tolerance?,
    })
}

/// The filter at the first IF, which need not be stated; where one half of it is, the other is needed.
#[expect(clippy::option_option, reason = "stated at all, and readable")]
fn first_filter(words: &Sections<'_, '_, ReceiverWords>) -> Option<Option<FirstFilter>> {
    let words = words.inner("first_if_filter", |words| &words.first_if_filter);
    words.find(|words| {
        let is_stated = words.passband.is_some() || words.poles.is_some();
        is_stated.then_some(words)
    })?;
    let passband = words.need_within("passband", WIDTH, |words| &words.passband);
    // From one resonator to what a chain of ladder filters has.
    let counts = (Count(1), Count(32));
    let poles = words.need_within("poles", counts, |words| &words.poles);
    Some(passband.zip(poles).map(|(passband, poles)| FirstFilter {
        passband,
        poles: poles.map(|count| count.0),
    }))
}

fn preselector(words: &Sections<'_, '_, ReceiverWords>, span: Span) -> Option<Preselector> {
    let words = words.inner("preselector", |words| &words.preselector);
    let passband = words.pick(|words| &words.passband);
    let skirts = words.require("skirts", |words| legible(words.skirts.as_ref()))?;
    Some(Preselector {
        passband: passband.map_or(span, |passband| passband.value),
        skirts: Curve::Rising(db(0.0, 200.0)).read(words.stack(), skirts)?,
    })
}
