//! Names of modes, bands, tones and purposes into what they stand for.

use super::desk::{Desk, Spot, Stated};
use crate::document::nearest;
use crate::law::{Control, Purpose};
use crate::quantity::{
    AirbandSpacing, Bandwidth, Emission, Frequency, Span, airband_channel, decimal_scaled,
};
use crate::radio;

/// The emission of a mode's name, or of a designator.
pub(super) fn emission(word: &Stated<String>, desk: &mut Desk) -> Option<Emission> {
    let text = word.value.trim();
    if let Some(emission) = emission_of(text) {
        return Some(emission);
    }
    let names: Vec<&str> = radio::modes()
        .iter()
        .map(|mode| mode.name.as_str())
        .collect();
    let near =
        nearest(text, &names).map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
    desk.tell_with_help(
        word.spot,
        format!("`{text}` is no mode{near}"),
        format!(
            "write an emission designator such as 16K0F3E, or one of {}",
            names.join(", ")
        ),
    );
    None
}

/// The emission of a mode's name, or of a designator; none if it is neither.
pub(super) fn emission_of(text: &str) -> Option<Emission> {
    radio::mode(text)
}

/// A sub-audible tone, in tenths of a hertz.
pub(super) fn tone(word: &Stated<String>, desk: &mut Desk) -> Option<u32> {
    let text = word.value.trim();
    let digits = text.strip_suffix("Hz").map_or(text, str::trim_end);
    let tenths = decimal_scaled(digits, 1)
        .ok()
        .and_then(|tenths| u32::try_from(tenths).ok());
    let Some(tenths) = tenths else {
        desk.tell(
            word.spot,
            format!("`{text}` is not a tone in hertz such as 77.0"),
        );
        return None;
    };
    if radio::is_standard_tone(tenths) {
        return Some(tenths);
    }
    let near: Vec<String> = radio::nearest_tones(tenths)
        .into_iter()
        .map(|near| format!("{}.{}", near / 10, near % 10))
        .collect();
    let nearest = match near.as_slice() {
        [one] => format!("the nearest is {one} Hz"),
        several => format!("the nearest are {} Hz", several.join(" and ")),
    };
    desk.tell(
        word.spot,
        format!("`{text}`: not a standard tone; use one that is: {nearest}"),
    );
    None
}

/// Where a band lies at its widest.
pub(super) fn band(name: &str) -> Option<Span> {
    radio::band(name).map(|band| band.span)
}

/// A band by name, or a stretch such as `430-440`.
pub(super) fn stretch(word: &Stated<String>, desk: &mut Desk) -> Option<Span> {
    if let Some(span) = band(word.value.trim()) {
        return Some(span);
    }
    match word.value.parse::<Span>() {
        Ok(span) => Some(span),
        Err(error) => {
            tell_no_band(word, &error.to_string(), desk);
            None
        }
    }
}

/// Tells that a word is no band, with the nearest one, or else what is wrong with its figures.
pub(super) fn tell_no_band(word: &Stated<String>, error: &str, desk: &mut Desk) {
    let text = word.value.trim();
    let names: Vec<&str> = radio::bands()
        .iter()
        .map(|band| band.name.as_str())
        .collect();
    let message = match nearest(text, &names) {
        Some(near) => format!("`{text}` is no band; did you mean `{near}`?"),
        None if text.starts_with(|first: char| first.is_ascii_digit()) => error.to_owned(),
        None => format!("`{text}` is no band and no stretch"),
    };
    desk.tell_with_help(
        word.spot,
        message,
        "write a band such as 70cm, or a stretch such as 433.4-434.0",
    );
}

/// What a transmission is for.
pub(super) fn purpose(word: &Stated<String>, desk: &mut Desk) -> Option<Purpose> {
    let found = Purpose::of_word(word.value.trim());
    if found.is_none() {
        let names: Vec<&str> = Purpose::ALL.iter().map(|(name, _)| *name).collect();
        super::names::tell_unknown("purpose", word, &names, desk);
    }
    found
}

/// Who is in control.
pub(super) fn control(word: &Stated<String>, desk: &mut Desk) -> Option<Control> {
    let found = control_of(word.value.trim());
    if found.is_none() {
        let names: Vec<&str> = Control::ALL.iter().map(|(name, _)| *name).collect();
        super::names::tell_unknown("kind of control", word, &names, desk);
    }
    found
}

/// The kind of control a word stands for.
pub(super) fn control_of(word: &str) -> Option<Control> {
    Control::ALL
        .iter()
        .find(|(name, _)| *name == word)
        .map(|&(_, control)| control)
}

/// Where airband channels have names of their own.
///
/// # Source
/// ICAO Annex 10, volume V (second-hand): voice channels from 118 to 137 MHz.
const NAMED_CHANNELS: Span = Span {
    low: Frequency::hz(118_000_000),
    high: Frequency::hz(136_999_999),
};

/// Widest emission in an 8.33 kHz channel of the airband.
///
/// # Source
/// ITU-R SM.1138, 2M with the 2.5 kHz of such a channel (from memory).
const NARROW_AIRBAND: Bandwidth = Bandwidth::hz(5_000);

/// The carrier of an AM voice frequency: in the airband what is written is the name of a channel, not always its carrier.
pub(super) fn carrier(
    frequency: Frequency,
    emission: &Emission,
    spot: Spot,
    desk: &mut Desk,
) -> Option<Frequency> {
    if !NAMED_CHANNELS.contains(frequency) || emission.class() != "A3E" {
        return Some(frequency);
    }
    let is_narrow = emission.bandwidth <= NARROW_AIRBAND;
    match airband_channel(frequency) {
        Some(channel) if channel.spacing == AirbandSpacing::Narrow && !is_narrow => {
            desk.tell_with_help(
                spot,
                format!(
                    "{} is the name of an 8.33 kHz channel, whose carrier is {}",
                    frequency, channel.carrier
                ),
                "write `mode: am-8k33` for it, or the frequency of a 25 kHz channel",
            );
            None
        }
        Some(channel) => Some(channel.carrier),
        None => {
            desk.tell_with_help(
                spot,
                format!("no airband channel has the name {frequency}"),
                "write the channel as it is announced, such as 119.705; its carrier is worked out",
            );
            None
        }
    }
}
