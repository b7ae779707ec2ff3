//! Our stations: each radio with its antenna at its site.

use std::collections::BTreeSet;
use std::sync::Arc;

use jiff::ZonedDateTime;

use super::conduct;
use super::defaults::Defaults;
use super::desk::{Desk, Stated};
use super::names;
use super::operation;
use super::plan::{Antenna, Event, FilterLoss, Operation, Site, Station};
use super::radios::Radios;
use super::signal;
use super::sites::{is_between, is_height, is_loss, is_whole};
use super::time;
use super::words::{AntennaWords, BeamWords, FilterWords, GainWords, ScenarioWords, StationWords};
use crate::document::{Place, Said, nearest};
use crate::law::{Control, Law};
use crate::provenance::Sourced;
use crate::quantity::{Decibels, Emission, Length, Power, Span};
use crate::radio::Profile;

/// More stations of one kind than any event has.
const MOST: u32 = 1_000;

/// No antenna of an event has less or more gain.
const LEAST_GAIN: Decibels = Decibels::db(-40.0);
const MOST_GAIN: Decibels = Decibels::db(40.0);

/// Everything a station rests on.
pub(super) struct Ground<'a> {
    pub(super) defaults: &'a Defaults,
    pub(super) law: &'a Law,
    pub(super) sites: &'a [Site],
    pub(super) event: &'a Event,
    pub(super) operation: &'a Operation,
    pub(super) day: Option<&'a ZonedDateTime>,
}

/// A station as far as it is understood.
pub(super) struct Draft<'w> {
    /// Its name; empty where that was wrong.
    pub(super) name: String,
    /// What is written.
    pub(super) words: &'w StationWords,
    /// Where.
    pub(super) place: Place,
    /// Index of its site.
    pub(super) site: Option<usize>,
    /// Its radio.
    pub(super) radio: Option<Arc<Profile>>,
    /// The station, as yet without uses.
    pub(super) station: Option<Station>,
}

/// The stations in the order of the file.
pub(super) fn drafts<'w>(
    words: &'w ScenarioWords,
    ground: &Ground<'_>,
    radios: &mut Radios,
    desk: &mut Desk,
) -> Vec<Draft<'w>> {
    let stated: Vec<Stated<String>> = words
        .stations
        .iter()
        .filter_map(|said| Stated::in_scenario(Some(&said.value()?.name)))
        .collect();
    names::tell_repeated("station", &stated, desk);
    words
        .stations
        .iter()
        .filter_map(|said| Some(draft(said.value()?, said.place(), ground, radios, desk)))
        .collect()
}

fn draft<'w>(
    words: &'w StationWords,
    place: Place,
    ground: &Ground<'_>,
    radios: &mut Radios,
    desk: &mut Desk,
) -> Draft<'w> {
    let name = words.name.value().cloned().unwrap_or_default();
    let site_names: Vec<&str> = ground.sites.iter().map(|site| site.name.as_str()).collect();
    let site = Stated::in_scenario(Some(&words.site))
        .and_then(|site| names::find("site", &site, &site_names, desk));
    let radio =
        Stated::in_scenario(Some(&words.radio)).and_then(|radio| match &words.radio_overrides {
            Some(changes) => radios.changed(&radio, &name, changes, desk),
            None => radios.profile(&radio, desk),
        });
    let control = control(words, &name, ground.defaults, desk);
    let operation = operation::of_station(words, ground.operation, desk);
    let emission = emission(words, &name, ground, desk);
    let filters = words
        .filters
        .iter()
        .filter_map(|said| filter(said.value()?, desk))
        .collect();
    let radio = radio.map(|radio| {
        let hang = Stated::in_scenario(words.hang.as_ref());
        let time_out = Stated::in_scenario(words.time_out.as_ref());
        conduct::timed(&radio, hang, time_out, desk)
    });
    let windows = time::on_air(&words.on_air, &words.phases, ground.event, ground.day, desk);
    let role = conduct::role(words, desk);
    let battery = conduct::battery(words, &name, ground.defaults, desk);
    let public = conduct::public(words, desk);
    let count = Stated::in_scenario(words.count.as_ref())
        .filter(|count| is_whole(count, 1, MOST, "number of stations", desk))
        .map_or(1, |count| count.value);
    let station = radio.as_ref().and_then(|radio| {
        let (step, power) = power(words, &name, radio, desk);
        Some(Station {
            antenna: antenna(words.antenna.as_ref(), &name, radio, ground.defaults, desk),
            name: name.clone(),
            site: site?,
            radio: Arc::clone(radio),
            step,
            power,
            control: control?,
            operation,
            emission: emission?,
            filters,
            windows,
            uses: Vec::new(),
            count,
            role,
            needs: BTreeSet::new(),
            traffic: conduct::unstated(ground.defaults),
            battery,
            public,
        })
    });
    Draft {
        name,
        words,
        place,
        site,
        radio,
        station,
    }
}

fn control(
    words: &StationWords,
    name: &str,
    defaults: &Defaults,
    desk: &mut Desk,
) -> Option<Sourced<Control>> {
    if let Some(word) = Stated::in_scenario(words.control.as_ref()) {
        let control = signal::control(&word, desk)?;
        return Some(desk.sourced(Stated {
            value: control,
            spot: word.spot,
        }));
    }
    let taken = desk.or_default(None, name, &defaults.station.control);
    let control = signal::control_of(&taken.value)?;
    Some(taken.map(|_| control))
}

fn emission(
    words: &StationWords,
    name: &str,
    ground: &Ground<'_>,
    desk: &mut Desk,
) -> Option<Sourced<Emission>> {
    if let Some(word) = Stated::in_scenario(words.mode.as_ref()) {
        let emission = signal::emission(&word, desk)?;
        return Some(desk.sourced(Stated {
            value: emission,
            spot: word.spot,
        }));
    }
    let figure = &ground.defaults.station.mode;
    if let Some(usual) = ground.law.usual_emission() {
        return Some(desk.noted(name, &figure.what, usual.clone()));
    }
    let taken = desk.or_default(None, name, figure);
    let emission = signal::emission_of(&taken.value)?;
    Some(taken.map(|_| emission))
}

/// The power step or the watts that are stated; where neither is, the usual step of each band is noted.
fn power(
    words: &StationWords,
    name: &str,
    radio: &Profile,
    desk: &mut Desk,
) -> (Option<Sourced<String>>, Option<Sourced<Power>>) {
    let transmitters: Vec<_> = radio
        .bands
        .iter()
        .filter_map(|band| Some((&band.name, band.transmitter.as_ref()?)))
        .collect();
    let Some(stated) = Stated::in_scenario(words.power.as_ref()) else {
        for (band, figures) in transmitters {
            let usual = figures
                .steps
                .iter()
                .find(|step| step.name == figures.usual_step);
            if let Some(step) = usual {
                desk.noted(name, &format!("power on {band}"), step.power.clone());
            }
        }
        return (None, None);
    };
    let text = stated.value.trim().to_owned();
    if transmitters.is_empty() {
        desk.tell(
            stated.spot,
            format!("{} does not transmit, so it has no power: leave it out, or name a radio that transmits", radio.id),
        );
        return (None, None);
    }
    let mut steps: Vec<&str> = Vec::new();
    for step in transmitters.iter().flat_map(|(_, figures)| &figures.steps) {
        if !steps.contains(&step.name.as_str()) {
            steps.push(&step.name);
        }
    }
    if steps.contains(&text.as_str()) {
        return (Some(desk.sourced(stated).map(|_| text)), None);
    }
    match text.parse::<Power>() {
        Ok(power) => (None, Some(desk.sourced(stated).map(|_| power))),
        Err(error) => {
            let is_number =
                text.starts_with(|first: char| first.is_ascii_digit() || "+-.".contains(first));
            let message = match nearest(&text, &steps) {
                _ if is_number => error.to_string(),
                Some(near) => format!("`{text}` is no power step; did you mean `{near}`?"),
                None => format!("`{text}` is neither a power step nor a power"),
            };
            desk.tell_with_help(
                stated.spot,
                message,
                format!(
                    "{} has the steps {}; or write a power such as 25 W",
                    radio.id,
                    steps.join(", ")
                ),
            );
            (None, None)
        }
    }
}

fn antenna(
    words: Option<&Said<AntennaWords>>,
    name: &str,
    radio: &Profile,
    defaults: &Defaults,
    desk: &mut Desk,
) -> Antenna {
    let words = words.and_then(Said::value);
    let height = Stated::in_scenario(words.and_then(|words| words.height.as_ref()))
        .filter(|height| is_height(height, desk));
    let feeder = Stated::in_scenario(words.and_then(|words| words.feeder.as_ref()))
        .filter(|feeder| is_loss(feeder, "feeder loss", desk));
    let gain = Stated::in_scenario(words.and_then(|words| words.gain.as_ref()));
    let gains = Gains::of(gain, desk);
    let offset = words
        .and_then(|words| words.offset.as_ref()?.value())
        .map(|offset| {
            let mut metres = |said: &Said<Length>| {
                Stated::in_scenario(Some(said))
                    .filter(|length| is_offset(length, desk))
                    .map_or(Length::default(), |length| length.value)
            };
            (metres(&offset.east), metres(&offset.north))
        });
    let beam = words
        .and_then(|words| words.beam.as_ref()?.value())
        .and_then(|words| beam(words, name, defaults, desk));
    let elsewhere = if gains.by_stretch.is_empty() {
        "antenna gain"
    } else {
        "antenna gain in other bands"
    };
    Antenna {
        height: desk.or_known(height, name, "antenna height", &radio.antenna_height),
        offset,
        gain: desk.or_known(gains.everywhere, name, elsewhere, &radio.antenna_gain),
        gains: gains.by_stretch,
        feeder: desk.or_known(feeder, name, "feeder loss", &radio.feeder_loss),
        beam,
    }
}

/// An antenna's gain as it is stated.
#[derive(Default)]
struct Gains {
    everywhere: Option<Stated<Decibels>>,
    by_stretch: Vec<(Span, Sourced<Decibels>)>,
}

impl Gains {
    fn of(words: Option<Stated<GainWords>>, desk: &mut Desk) -> Self {
        let Some(Stated { value, spot }) = words else {
            return Self::default();
        };
        match value {
            GainWords::Same(value) => Self {
                everywhere: Some(Stated { value, spot }).filter(|gain| is_gain(gain, desk)),
                by_stretch: Vec::new(),
            },
            GainWords::ByBand(entries) => Self {
                everywhere: None,
                by_stretch: entries
                    .iter()
                    .filter_map(|(band, gain)| {
                        let span = Stated::in_scenario(Some(band))
                            .and_then(|band| signal::stretch(&band, desk));
                        let gain =
                            Stated::in_scenario(Some(gain)).filter(|gain| is_gain(gain, desk))?;
                        Some((span?, desk.sourced(gain)))
                    })
                    .collect(),
            },
        }
    }
}

fn is_gain(gain: &Stated<Decibels>, desk: &mut Desk) -> bool {
    let is_one = (LEAST_GAIN..=MOST_GAIN).contains(&gain.value);
    if !is_one {
        desk.tell(
            gain.spot,
            format!(
                "{} is no gain of an antenna: from {LEAST_GAIN} to {MOST_GAIN}",
                gain.value
            ),
        );
    }
    is_one
}

fn is_offset(length: &Stated<Length>, desk: &mut Desk) -> bool {
    let far = 5_000.0;
    is_between(
        length,
        Length::metres(-far),
        Length::metres(far),
        "an offset within a site",
        desk,
    )
}

fn beam(
    words: &BeamWords,
    name: &str,
    defaults: &Defaults,
    desk: &mut Desk,
) -> Option<(f64, Decibels)> {
    let bearing = Stated::in_scenario(Some(&words.bearing));
    let ratio = Stated::in_scenario(words.front_to_back.as_ref())
        .filter(|ratio| is_loss(ratio, "front-to-back ratio", desk));
    let ratio = desk.or_default(ratio, name, &defaults.station.front_to_back);
    let bearing = bearing?;
    if (0.0..=360.0).contains(&bearing.value) {
        return Some((bearing.value, *ratio));
    }
    desk.tell(
        bearing.spot,
        format!("{} is no bearing: from 0 to 360 degrees", bearing.value),
    );
    None
}

fn filter(words: &FilterWords, desk: &mut Desk) -> Option<FilterLoss> {
    let span = Stated::in_scenario(Some(&words.at)).and_then(|at| signal::stretch(&at, desk));
    let loss =
        Stated::in_scenario(Some(&words.loss)).filter(|loss| is_loss(loss, "filter loss", desk));
    Some(FilterLoss {
        name: words.name.value()?.clone(),
        span: span?,
        loss: desk.sourced(loss?),
    })
}
