//! Sites and settings.

use super::conduct;
use super::defaults::Defaults;
use super::desk::{Desk, Stated};
use super::names;
use super::plan::{MeasuredIsolation, Settings, Site};
use super::signal;
use super::words::{PathWord, ScenarioWords, SettingsWords, SiteWords};
use crate::document::Said;
use crate::quantity::{Decibels, Length, Offset};

/// Nothing that is planned here stands or hangs further from sea level.
const HIGHEST: Length = Length::metres(10_000.0);

/// The lowest dry land is 430 m below sea level.
const LOWEST: Length = Length::metres(-500.0);

/// The places, and their names, in the order of the file.
pub(super) fn sites(
    words: &ScenarioWords,
    settings: &Settings,
    defaults: &Defaults,
    desk: &mut Desk,
) -> Vec<Site> {
    words
        .sites
        .iter()
        .map(|(name, said)| {
            let name = name.value().cloned().unwrap_or_default();
            site(name, said.value(), settings, defaults, desk)
        })
        .collect()
}

fn site(
    name: String,
    words: Option<&SiteWords>,
    settings: &Settings,
    defaults: &Defaults,
    desk: &mut Desk,
) -> Site {
    let ground = Stated::in_scenario(words.and_then(|words| words.ground.as_ref()));
    let ground = ground.filter(|ground| is_ground(ground, desk));
    let noise = Stated::in_scenario(words.and_then(|words| words.noise.as_ref()));
    Site {
        position: words
            .and_then(|words| words.at.as_ref())
            .and_then(|at| at.value().copied()),
        ground: desk.or_default(ground, &name, &defaults.site.ground),
        noise: match noise {
            Some(noise) => desk.sourced(noise).map(Into::into),
            None => settings.noise.clone(),
        },
        measured: Vec::new(),
        name,
    }
}

/// Whether a ground can be so high; told if not.
pub(super) fn is_ground(ground: &Stated<Length>, desk: &mut Desk) -> bool {
    is_between(
        ground,
        LOWEST,
        HIGHEST,
        "a height of ground above sea level",
        desk,
    )
}

/// Whether an antenna can be so high above ground; told if not.
pub(super) fn is_height(height: &Stated<Length>, desk: &mut Desk) -> bool {
    is_between(
        height,
        Length::default(),
        HIGHEST,
        "a height of an antenna above ground",
        desk,
    )
}

/// Whether a length lies between two others; told if not.
pub(super) fn is_between(
    length: &Stated<Length>,
    low: Length,
    high: Length,
    what: &str,
    desk: &mut Desk,
) -> bool {
    let is_inside = (low..=high).contains(&length.value);
    if !is_inside {
        desk.tell(
            length.spot,
            format!("{} is not {what}: from {low} to {high}", length.value),
        );
    }
    is_inside
}

/// Whether a loss is one: not below zero; told if it is.
pub(super) fn is_loss(loss: &Stated<Decibels>, what: &str, desk: &mut Desk) -> bool {
    let is_one = loss.value >= Decibels::ZERO;
    if !is_one {
        desk.tell(
            loss.spot,
            format!("{} is no {what}: at least 0 dB", loss.value),
        );
    }
    is_one
}

/// Fills in what was measured between stations, once those are known.
pub(super) fn measured(
    words: &ScenarioWords,
    sites: &mut [Site],
    stations: &[(&str, Option<usize>)],
    desk: &mut Desk,
) {
    let station_names: Vec<&str> = stations.iter().map(|(name, _)| *name).collect();
    for (index, ((_, said), site)) in words.sites.iter().zip(sites).enumerate() {
        for isolation in said.value().iter().flat_map(|words| &words.isolation) {
            let Some(isolation) = isolation.value() else {
                continue;
            };
            let between = Stated::in_scenario(Some(&isolation.between));
            let span = isolation
                .at
                .as_ref()
                .map(|at| Stated::in_scenario(Some(at)).and_then(|at| signal::stretch(&at, desk)));
            let loss = Stated::in_scenario(Some(&isolation.loss))
                .filter(|loss| is_loss(loss, "isolation", desk));
            let Some(pair) = between
                .and_then(|between| two_stations(&between, index, stations, &station_names, desk))
            else {
                continue;
            };
            if let (Some(loss), Some(at)) = (loss, span.map_or(Some(None), |span| span.map(Some))) {
                site.measured.push(MeasuredIsolation {
                    stations: pair,
                    at,
                    loss: desk.sourced(loss),
                });
            }
        }
    }
}

/// Two different stations of one site, the lower index first.
fn two_stations(
    between: &Stated<Vec<Said<String>>>,
    site: usize,
    stations: &[(&str, Option<usize>)],
    names: &[&str],
    desk: &mut Desk,
) -> Option<(usize, usize)> {
    let [one, other] = between.value.as_slice() else {
        desk.tell(
            between.spot,
            format!(
                "an isolation is between two stations, not {}: name two of this site",
                between.value.len()
            ),
        );
        return None;
    };
    let found = [one, other].map(|said| {
        let stated = Stated::in_scenario(Some(said))?;
        let index = names::find("station", &stated, names, desk)?;
        let is_here = stations.get(index).is_some_and(|(_, at)| *at == Some(site));
        if !is_here {
            desk.tell(
                stated.spot,
                format!(
                    "`{}` is not at this site; name a station that is",
                    stated.value
                ),
            );
        }
        is_here.then_some(index)
    });
    let [Some(one), Some(other)] = found else {
        return None;
    };
    if one == other {
        desk.tell(between.spot, "these are one and the same station: name two");
        return None;
    }
    Some((one.min(other), one.max(other)))
}

/// How strictly to judge.
pub(super) fn settings(words: &SettingsWords, defaults: &Defaults, desk: &mut Desk) -> Settings {
    let figures = &defaults.settings;
    let loss = |said: &Option<Said<Decibels>>, what: &str, desk: &mut Desk| {
        Stated::in_scenario(said.as_ref()).filter(|stated| {
            let is_one = stated.value >= Decibels::ZERO;
            if !is_one {
                desk.tell(
                    stated.spot,
                    format!("{} is no {what}: at least 0 dB", stated.value),
                );
            }
            is_one
        })
    };
    let rise = loss(&words.harm_rise, "rise", desk).filter(|rise| {
        // A rise of nothing would make every signal harmful.
        let is_one = rise.value > Decibels::ZERO;
        if !is_one {
            desk.tell(rise.spot, "a rise of 0 dB would make every signal harmful: write one above zero, such as 1 dB");
        }
        is_one
    });
    let reserve = loss(&words.reserve, "reserve", desk);
    let unplaced = loss(&words.unplaced, "unplaced", desk);
    let safety = loss(&words.safety, "protection", desk);
    let horizon = loss(&words.horizon, "margin", desk);
    let passive = loss(&words.passive, "distance below a carrier", desk);
    let harmonics = whole(words.harmonics.as_ref(), 2, 20, "highest harmonic", desk);
    let order = whole(words.order.as_ref(), 2, 7, "order of intermodulation", desk);
    let signals = whole(words.signals.as_ref(), 2, 4, "number of signals", desk);
    let distance =
        Stated::in_scenario(words.distance.as_ref()).filter(|distance| is_distance(distance, desk));
    let closest =
        Stated::in_scenario(words.closest.as_ref()).filter(|closest| is_distance(closest, desk));
    let raster = Stated::in_scenario(words.raster.as_ref()).filter(|raster| is_step(raster, desk));
    let mains = conduct::mains(words, defaults, desk);
    let exposure_limits = conduct::exposure_limits(words, desk);
    let noise = Stated::in_scenario(words.noise.as_ref());
    let terrain = Stated::in_scenario(words.terrain.as_ref());
    let path = Stated::in_scenario(words.path.as_ref());
    let service_path = Stated::in_scenario(words.service_path.as_ref());
    Settings {
        rise: desk.or_default(rise, "", &figures.harm_rise),
        reserve: desk.or_default(reserve, "", &figures.reserve),
        unplaced: desk.or_default(unplaced, "", &figures.unplaced),
        safety: desk.or_default(safety, "", &figures.safety),
        horizon: desk.or_default(horizon, "", &figures.horizon),
        harmonics: desk.or_default(harmonics, "", &figures.harmonics),
        order: desk.or_default(order, "", &figures.order),
        signals: desk.or_default(signals, "", &figures.signals),
        // Nobody knows a joint: without a figure of the user's there is none to take.
        passive: passive.map(|passive| desk.sourced(passive)),
        noise: desk.or_default(noise, "", &figures.noise).map(Into::into),
        terrain: desk
            .or_default(terrain, "", &figures.terrain)
            .map(Into::into),
        path: desk
            .or_default(path, "", &figures.path)
            .map(PathWord::model),
        service_path: desk
            .or_default(service_path, "", &figures.service_path)
            .map(PathWord::model),
        mains,
        exposure_limits,
        distance: desk.or_default(distance, "", &figures.distance),
        raster: desk.or_default(raster, "", &figures.raster),
        closest: desk.or_default(closest, "", &figures.closest),
    }
}

/// Whether a distance is above nothing and within half the earth's girth; told if not.
pub(super) fn is_distance(distance: &Stated<Length>, desk: &mut Desk) -> bool {
    is_between(
        distance,
        Length::metres(0.1),
        Length::metres(20_000_000.0),
        "a distance between antennas",
        desk,
    )
}

/// Whether an offset leads from one channel to the next; told if not.
pub(super) fn is_step(step: &Stated<Offset>, desk: &mut Desk) -> bool {
    let is_one = step.value.as_hz() > 0;
    if !is_one {
        desk.tell(
            step.spot,
            format!(
                "{} is no step from channel to channel: write one above zero, such as 12.5 kHz",
                step.value
            ),
        );
    }
    is_one
}

fn whole(
    said: Option<&Said<u32>>,
    low: u32,
    high: u32,
    what: &str,
    desk: &mut Desk,
) -> Option<Stated<u32>> {
    Stated::in_scenario(said).filter(|stated| is_whole(stated, low, high, what, desk))
}

/// Whether a count lies within bounds; told if not.
pub(super) fn is_whole(
    stated: &Stated<u32>,
    low: u32,
    high: u32,
    what: &str,
    desk: &mut Desk,
) -> bool {
    let is_inside = (low..=high).contains(&stated.value);
    if !is_inside {
        desk.tell(
            stated.spot,
            format!("{} is no {what}: from {low} to {high}", stated.value),
        );
    }
    is_inside
}
