//! The plan as a radio communications plan, in the field order of the public incident form ICS 205.
//!
//! # Source
//! ICS Form 205, Incident Radio Communications Plan, of the US Federal Emergency Management Agency: a government work. Field
//! names and order from memory; only the fields are taken.

use std::collections::BTreeMap;

use super::Prepared;
use crate::law::Purpose;
use crate::net::{SenderId, Tone, View, told};
use crate::quantity::{Bandwidth, Frequency};
use crate::scene::{Owner, Scene};

/// A radio communications plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Form {
    /// 1. Incident name: the event.
    pub incident: String,
    /// 2. Date and time prepared; none to be filled in by hand.
    pub prepared_at: Option<String>,
    /// 3. Operational period; none to be filled in by hand.
    pub period: Option<(String, String)>,
    /// 4. Basic radio channel use.
    pub rows: Vec<FormRow>,
    /// 5. Special instructions, a sentence each.
    pub instructions: Vec<String>,
    /// 6. Prepared by; none to be filled in by hand.
    pub prepared_by: Option<String>,
}

/// One channel as one kind of user sets it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormRow {
    /// Zone group, for radios that have zones.
    pub zone: String,
    /// Channel number.
    pub number: usize,
    /// What it is for.
    pub function: String,
    /// Channel name.
    pub name: String,
    /// Who is assigned to it.
    pub assignment: String,
    /// Receive frequency.
    pub receives: Option<Frequency>,
    /// Narrow or wide receive channel.
    pub receive_width: Option<char>,
    /// Tone waited for.
    pub receive_tone: Option<Tone>,
    /// Transmit frequency.
    pub sends: Option<Frequency>,
    /// Narrow or wide emission.
    pub send_width: Option<char>,
    /// Tone sent.
    pub send_tone: Option<Tone>,
    /// Mode: analogue, digital or mixed.
    pub mode: char,
    /// Remarks.
    pub remarks: String,
}

/// An emission up to this width is narrow.
///
/// # Source
/// Common practice of the form: `N` for channels of 12.5 kHz, `W` for 20 and 25 kHz.
const NARROW: Bandwidth = Bandwidth::hz(12_500);

/// What tells one row from another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Key {
    order: u8,
    sends: Option<(Frequency, Option<u32>)>,
    receives: Option<(Frequency, Option<u32>)>,
}

/// What is gathered of a row.
struct Row {
    function: String,
    users: Vec<String>,
    width: Option<char>,
    mode: char,
    remarks: String,
}

fn width(bandwidth: Bandwidth) -> char {
    if bandwidth <= NARROW { 'N' } else { 'W' }
}

/// The mode of a class of emission: its second character tells the nature of the signal, 1 and 2 digital, 3 analogue.
///
/// # Source
/// ITU Radio Regulations, Appendix 1 (from memory).
fn mode(class: &str) -> char {
    match class.chars().nth(1) {
        Some('1' | '2' | '7') => 'D',
        Some('9') => 'M',
        _ => 'A',
    }
}

fn function(purpose: Purpose, is_repeated: bool) -> &'static str {
    match purpose {
        Purpose::CrossBandRelay if is_repeated => "Relay",
        Purpose::CrossBandRelay => "Through relay",
        Purpose::RepeaterInput => "Through repeater",
        Purpose::RepeaterOutput => "Repeater",
        Purpose::Packet => "Packet",
        Purpose::Simplex => "Simplex",
        other => other.phrase(),
    }
}

/// Fills in the form.
pub(super) fn form(scene: &Scene<'_>, view: &View, prepared: &Prepared) -> Form {
    let mut rows: BTreeMap<Key, Row> = BTreeMap::new();
    for (index, sender) in scene.transmitters.iter().enumerate() {
        let Owner::Station(station) = sender.owner else {
            continue;
        };
        let hearer = scene
            .receivers
            .iter()
            .find(|one| one.owner == sender.owner && one.side == sender.side);
        let is_repeated = view.network.is_repeated(SenderId(index));
        let key = Key {
            order: u8::from(!is_repeated),
            sends: Some((sender.frequency, sender.tone)),
            receives: hearer.map(|one| (one.frequency, one.tone)),
        };
        let row = rows.entry(key).or_insert_with(|| Row {
            function: function(sender.purpose, is_repeated).to_owned(),
            users: Vec::new(),
            width: Some(width(sender.emission.value.bandwidth)),
            mode: mode(sender.emission.value.class()),
            remarks: format!(
                "{}{}",
                sender.emission.value.designator(),
                if is_repeated {
                    ", keyed by the other leg"
                } else {
                    ""
                }
            ),
        });
        row.users.extend(user(scene, station));
    }
    for hearer in scene.receivers.iter() {
        let Owner::Station(station) = hearer.owner else {
            continue;
        };
        let sends =
            |one: &crate::scene::Transmitter| one.owner == hearer.owner && one.side == hearer.side;
        if scene.transmitters.iter().any(sends) {
            continue;
        }
        let key = Key {
            order: 2,
            sends: None,
            receives: Some((hearer.frequency, hearer.tone)),
        };
        let row = rows.entry(key).or_insert_with(|| Row {
            function: "Watch".to_owned(),
            users: Vec::new(),
            width: Some(width(hearer.figures.bandwidth.value)),
            mode: 'A',
            remarks: "receive only".to_owned(),
        });
        row.users.extend(user(scene, station));
    }
    Form {
        incident: scene.plan.event.name.clone(),
        prepared_at: prepared.at.clone(),
        period: scene.plan.event.when.clone(),
        rows: rows
            .into_iter()
            .zip(1..)
            .map(|((key, row), number)| filled(key, row, number))
            .collect(),
        instructions: instructions(view),
        prepared_by: prepared.by.clone(),
    }
}

fn filled(key: Key, row: Row, number: usize) -> FormRow {
    let frequency = |one: Option<(Frequency, Option<u32>)>| one.map(|(at, _)| at);
    let tone =
        |one: Option<(Frequency, Option<u32>)>| one.and_then(|(_, tone)| tone.map(Tone::tenths));
    let at = frequency(key.sends).or(frequency(key.receives));
    FormRow {
        zone: String::new(),
        number,
        name: at
            .map(|at| format!("{} {}", row.function, at.digits()))
            .unwrap_or_default(),
        function: row.function,
        assignment: row.users.join(", "),
        receives: frequency(key.receives),
        receive_width: key.receives.and(row.width),
        receive_tone: tone(key.receives),
        sends: frequency(key.sends),
        send_width: key.sends.and(row.width),
        send_tone: tone(key.sends),
        mode: row.mode,
        remarks: row.remarks,
    }
}

/// A station as the form names it: with how many there are of it.
fn user(scene: &Scene<'_>, station: usize) -> Option<String> {
    let station = scene.plan.stations.get(station)?;
    Some(if station.count > 1 {
        format!("{} (×{})", station.name, station.count)
    } else {
        station.name.clone()
    })
}

fn instructions(view: &View) -> Vec<String> {
    let mut found = vec![
        "Distress comes first: whoever hears a distress call stops the net and tells control."
            .to_owned(),
        "Keep people clear of every antenna while it sends; the cards say how far.".to_owned(),
    ];
    if let Some(every) = &view.conduct.identifies {
        found.insert(
            0,
            format!(
                "Every station identifies at least every {}.",
                told(every.value)
            ),
        );
    }
    found.push("The licence text itself decides what each operator may do.".to_owned());
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_second_character_of_a_class_of_emission_tells_the_mode() {
        for (class, expected) in [
            ("F3E", 'A'),
            ("F1D", 'D'),
            ("F2D", 'D'),
            ("F9W", 'M'),
            ("", 'A'),
        ] {
            assert_eq!(mode(class), expected, "{class}");
        }
    }

    #[test]
    fn a_channel_of_12_and_a_half_kilohertz_is_still_narrow() {
        assert_eq!(width(Bandwidth::hz(12_500)), 'N');
        assert_eq!(width(Bandwidth::hz(12_501)), 'W');
    }
}
