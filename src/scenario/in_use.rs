//! What others have on the air: single entries, and rows of CSV files.

use std::sync::Arc;

use jiff::ZonedDateTime;

use super::conduct;
use super::crowded::MOST_IN_USE;
use super::csv_entries;
use super::defaults::{Defaults, KindFigures};
use super::desk::{Desk, FileId, Spot, Stated};
use super::names;
use super::plan::{Event, InUse, Listener, Site};
use super::radios::Radios;
use super::read::Files;
use super::signal;
use super::sites::{is_distance, is_ground, is_height};
use super::time;
use super::words::{InUseWords, ScenarioWords};
use crate::document::Said;
use crate::law::{Law, Service};
use crate::provenance::Sourced;
use crate::quantity::{Duty, Emission, Frequency, Level, Position, Power};
use crate::radio::Profile;

/// Everything a neighbour rests on.
pub(super) struct Around<'a> {
    pub(super) defaults: &'a Defaults,
    pub(super) law: &'a Law,
    pub(super) sites: &'a [Site],
    pub(super) event: &'a Event,
    pub(super) day: Option<&'a ZonedDateTime>,
    pub(super) files: &'a dyn Files,
}

/// What is known of an entry besides the entry itself, and the entry if nothing is wrong with it.
pub(super) struct Draft {
    /// Its name.
    pub(super) name: String,
    /// What it transmits on.
    pub(super) output: Option<Frequency>,
    /// What it receives on.
    pub(super) input: Option<Frequency>,
    /// The entry.
    pub(super) entry: Option<InUse>,
}

/// The entries in the order of the file, those of a CSV file in its own order.
pub(super) fn drafts(
    words: &ScenarioWords,
    around: &Around<'_>,
    radios: &mut Radios,
    desk: &mut Desk,
) -> Vec<Draft> {
    let mut drafts = Vec::new();
    for said in &words.in_use {
        let Some(shared) = said.value() else { continue };
        let spot = Spot::scenario(said.place());
        if shared.from.is_some() {
            let rows = csv_entries::rows(shared, around.files, desk);
            if drafts.len() + rows.len() > MOST_IN_USE {
                desk.tell_with_help(
                    spot,
                    format!(
                        "with these {} rows there are more than {MOST_IN_USE} neighbours",
                        rows.len()
                    ),
                    "keep what is near the event, as `quietpair import --near … --within …` does",
                );
                break;
            }
            for row in rows {
                let entry = Entry {
                    row: Some((row.file, &row.words)),
                    is_whole: row.is_whole,
                    shared,
                    spot: row.spot,
                };
                drafts.push(draft(&entry, around, radios, desk));
            }
        } else {
            for (key, place) in [
                ("columns", shared.columns.as_ref().map(Said::place)),
                ("delimiter", shared.delimiter.as_ref().map(Said::place)),
            ] {
                if let Some(place) = place {
                    desk.tell(
                        Spot::scenario(place),
                        format!("`{key}` goes with `from`, which names a CSV file: add that, or leave `{key}` out"),
                    );
                }
            }
            let entry = Entry {
                row: None,
                is_whole: true,
                shared,
                spot,
            };
            drafts.push(draft(&entry, around, radios, desk));
        }
    }
    drafts
}

/// An entry as it is written: what its row says goes before what all rows share.
struct Entry<'w> {
    row: Option<(FileId, &'w InUseWords)>,
    /// Whether every cell of its row could be read.
    is_whole: bool,
    shared: &'w InUseWords,
    spot: Spot,
}

impl<'w> Entry<'w> {
    /// One key, from where it is said.
    fn said<T: Clone + 'w>(
        &self,
        key: impl Fn(&'w InUseWords) -> &'w Option<Said<T>>,
    ) -> Option<Stated<T>> {
        let own = self
            .row
            .and_then(|(file, words)| Stated::of(file, key(words).as_ref()));
        own.or_else(|| Stated::in_scenario(key(self.shared).as_ref()))
    }

    /// The words in which any of some keys is said, the row before what is shared.
    fn saying(&self, any: impl Fn(&InUseWords) -> bool) -> (FileId, &'w InUseWords) {
        match self.row {
            Some((file, words)) if any(words) => (file, words),
            _ => (FileId::SCENARIO, self.shared),
        }
    }
}

/// Where an entry is on the frequency axis.
struct Channels {
    output: Option<Stated<Frequency>>,
    input: Option<Stated<Frequency>>,
    is_simplex: bool,
}

fn draft(entry: &Entry<'_>, around: &Around<'_>, radios: &mut Radios, desk: &mut Desk) -> Draft {
    let name = name(entry, desk);
    let channels = channels(entry, desk);
    let mut draft = Draft {
        output: None,
        input: None,
        entry: None,
        name,
    };
    // What says nothing of a kind is judged as a channel.
    let kinds = &around.defaults.neighbour.kinds;
    let kind = match &channels {
        Some(Channels {
            output: Some(_),
            input: Some(_),
            is_simplex: false,
        }) => &kinds.repeater,
        Some(Channels {
            output: Some(_),
            input: None,
            ..
        }) => &kinds.transmitter,
        Some(Channels {
            output: None,
            input: Some(_),
            ..
        }) => &kinds.receiver,
        _ => &kinds.channel,
    };
    let service = service(entry, &draft.name, kind, around, desk);
    // A wrong mode is told; with the usual one the rest can still be looked at.
    let emission = service.as_ref().map(|(_, service)| {
        emission(entry, &draft.name, service, desk).unwrap_or_else(|| service.emission.clone())
    });
    let (Some(channels), Some(emission)) = (channels, emission) else {
        return draft;
    };
    let on_carrier = |stated: Option<Stated<Frequency>>, desk: &mut Desk| match stated {
        Some(stated) => signal::carrier(stated.value, &emission, stated.spot, desk).map(Some),
        None => Some(None),
    };
    let is_simplex = channels.is_simplex;
    let output = on_carrier(channels.output, desk);
    // The same name of a channel would be told twice.
    let input = if is_simplex && output.is_none() {
        None
    } else {
        on_carrier(channels.input, desk)
    };
    let (Some(output), Some(input)) = (output, input) else {
        return draft;
    };
    draft.output = output;
    draft.input = input;
    let Some((service_id, service)) = service else {
        return draft;
    };
    let what = What {
        service,
        service_id,
        emission,
        is_simplex,
    };
    draft.entry = complete(entry, &draft, what, kind, around, radios, desk);
    draft
}

/// What is settled of an entry before the rest is filled in.
struct What<'a> {
    service: &'a Service,
    service_id: Sourced<String>,
    emission: Sourced<Emission>,
    is_simplex: bool,
}

fn complete(
    entry: &Entry<'_>,
    draft: &Draft,
    what: What<'_>,
    kind: &KindFigures,
    around: &Around<'_>,
    radios: &mut Radios,
    desk: &mut Desk,
) -> Option<InUse> {
    let name = &draft.name;
    let defaults = &around.defaults.neighbour;
    let eirp = eirp(entry, draft, what.service, around.defaults, desk);
    let position = position(entry, desk);
    let distance = entry
        .said(|words| &words.distance)
        .filter(|distance| is_distance(distance, desk));
    let is_placed = position.is_some() && around.sites.iter().all(|site| site.position.is_some());
    let settled = &around.defaults.settings.distance;
    let distance = match distance {
        Some(distance) => desk.sourced(distance),
        None if is_placed => settled.sourced(),
        None => desk.or_default(None, name, settled),
    };
    let height = entry
        .said(|words| &words.antenna)
        .filter(|height| is_height(height, desk));
    let ground = entry
        .said(|words| &words.ground)
        .filter(|ground| is_ground(ground, desk));
    let radio = radio(entry, draft, what.service, around.defaults, radios, desk);
    let mut listener = listener(entry, draft, &what, around.defaults, radios, desk);
    // A stated distance holds for those who listen, too, unless they have one of their own.
    if let Some(listener) = &mut listener
        && distance.is_stated()
        && !listener.nearest.is_stated()
    {
        listener.nearest = distance.clone();
    }
    let tone = entry
        .said(|words| &words.tone)
        .and_then(|tone| signal::tone(&tone, desk));
    let output_tone = entry
        .said(|words| &words.output_tone)
        .and_then(|tone| signal::tone(&tone, desk));
    if let Some(stated) = entry.said(|words| &words.output_tone)
        && draft.output.is_none()
    {
        desk.tell(
            stated.spot,
            "`output_tone` has a meaning with an output only: write its `output`, or leave the tone out",
        );
    }
    let hang = entry.said(|words| &words.hang);
    let time_out = entry.said(|words| &words.time_out);
    let radio = radio.map(|radio| conduct::timed(&radio, hang, time_out, desk));
    let windows = time::on_air(
        &entry.shared.windows,
        &entry.shared.phases,
        around.event,
        around.day,
        desk,
    );
    let duty = duty(entry, name, kind, desk);
    let wanted = entry
        .said(|words| &words.wanted)
        .map(|wanted: Stated<Level>| desk.sourced(wanted));
    Some(InUse {
        name: name.clone(),
        is_safety: what.service.is_safety,
        service: what.service_id,
        output: draft.output,
        input: draft.input,
        is_simplex: what.is_simplex,
        emission: what.emission,
        eirp,
        position,
        distance,
        height: desk.or_default(height, name, &kind.height),
        ground: desk.or_default(ground, name, &defaults.ground),
        radio: radio?,
        listener,
        duty: duty?,
        windows,
        tone,
        output_tone,
        wanted,
        place: desk.place(entry.spot),
    })
}

/// The entry's name; a row without one is known by its frequency.
fn name(entry: &Entry<'_>, desk: &mut Desk) -> String {
    if let Some(name) = entry.said(|words| &words.name) {
        if name.value.trim().is_empty() {
            desk.tell(name.spot, "the entry needs a name; write one");
        }
        return name.value;
    }
    let frequency = entry
        .said(|words| &words.output)
        .or_else(|| entry.said(|words| &words.frequency))
        .or_else(|| entry.said(|words| &words.input));
    frequency.map_or_else(
        || "unnamed".to_owned(),
        |frequency| frequency.value.to_string(),
    )
}

fn channels(entry: &Entry<'_>, desk: &mut Desk) -> Option<Channels> {
    // A frequency that was wrong is told; it still counts as given.
    let is_given = |words: &InUseWords| {
        words.output.is_some() || words.input.is_some() || words.frequency.is_some()
    };
    let (file, words) = entry.saying(is_given);
    if !is_given(words) {
        // The frequency may be the cell that was wrong.
        if !entry.is_whole {
            return None;
        }
        desk.tell_with_help(
            entry.spot,
            "this has no frequency",
            "give `frequency` for one channel, or `output` and `input` for a repeater",
        );
        return None;
    }
    let said = |key: &Option<Said<Frequency>>| Stated::of(file, key.as_ref());
    let (output, input, channel) = (
        said(&words.output),
        said(&words.input),
        said(&words.frequency),
    );
    if let (Some(channel), true) = (&channel, output.is_some() || input.is_some()) {
        desk.tell_with_help(
            channel.spot,
            "`frequency` cannot stand beside `output` or `input`",
            "give `frequency` for one channel, or `output` and `input` for a repeater",
        );
        return None;
    }
    let receives_only = entry.said(|words| &words.receives_only);
    let transmits_only = entry.said(|words| &words.transmits_only);
    let is_set = |flag: &Option<Stated<bool>>| flag.as_ref().is_some_and(|flag| flag.value);
    if let (Some(flag), true) = (
        &transmits_only,
        is_set(&receives_only) && is_set(&transmits_only),
    ) {
        desk.tell(
            flag.spot,
            "it cannot both receive only and transmit only: leave one of them out",
        );
        return None;
    }
    let (mut output, mut input) = match channel {
        Some(channel) => (Some(channel.clone()), Some(channel)),
        None => (output, input),
    };
    for (flag, lost, key) in [
        (&receives_only, &mut output, "output"),
        (&transmits_only, &mut input, "input"),
    ] {
        let Some(flag) = flag.as_ref().filter(|flag| flag.value) else {
            continue;
        };
        let is_written = match key {
            "output" => words.output.is_some(),
            _ => words.input.is_some(),
        };
        if is_written {
            desk.tell(
                flag.spot,
                format!("this contradicts the `{key}` of the entry: leave one of them out"),
            );
            return None;
        }
        *lost = None;
    }
    if output.is_none() && input.is_none() {
        return None;
    }
    let is_simplex =
        matches!((&output, &input), (Some(output), Some(input)) if output.value == input.value);
    Some(Channels {
        output,
        input,
        is_simplex,
    })
}

fn service<'a>(
    entry: &Entry<'_>,
    name: &str,
    kind: &KindFigures,
    around: &Around<'a>,
    desk: &mut Desk,
) -> Option<(Sourced<String>, &'a Service)> {
    if let Some(stated) = entry.said(|words| &words.service) {
        let Some(service) = around.law.service(stated.value.trim()) else {
            let known: Vec<&str> = around
                .law
                .services()
                .map(|service| service.id.as_str())
                .collect();
            names::tell_unknown("kind of service", &stated, &known, desk);
            return None;
        };
        return Some((desk.sourced(stated), service));
    }
    let id = desk.or_default(None, name, &kind.service);
    let service = around.law.service(&id)?;
    Some((id, service))
}

fn emission(
    entry: &Entry<'_>,
    name: &str,
    service: &Service,
    desk: &mut Desk,
) -> Option<Sourced<Emission>> {
    match entry.said(|words| &words.mode) {
        Some(word) => {
            let emission = signal::emission(&word, desk)?;
            Some(desk.sourced(Stated {
                value: emission,
                spot: word.spot,
            }))
        }
        None => Some(desk.noted(name, "modulation", service.emission.clone())),
    }
}

/// Radiated power over an isotropic antenna, in whichever way it is stated.
fn eirp(
    entry: &Entry<'_>,
    draft: &Draft,
    service: &Service,
    defaults: &Defaults,
    desk: &mut Desk,
) -> Sourced<Power> {
    let name = &draft.name;
    let is_given =
        |words: &InUseWords| words.erp.is_some() || words.eirp.is_some() || words.power.is_some();
    let (file, words) = entry.saying(is_given);
    let erp = Stated::of(file, words.erp.as_ref());
    let eirp = Stated::of(file, words.eirp.as_ref());
    let power = Stated::of(file, words.power.as_ref());
    let gain = entry.said(|words| &words.gain);
    let given: Vec<Spot> = [&erp, &eirp, &power]
        .into_iter()
        .filter_map(|stated| Some(stated.as_ref()?.spot))
        .collect();
    if let [_, second, ..] = given.as_slice() {
        desk.tell(
            *second,
            "power is stated twice: give one of `erp`, `eirp` and `power`",
        );
    }
    if let (Some(gain), None) = (&gain, &power) {
        desk.tell(
            gain.spot,
            "`gain` goes with `power`: leave it out, since a radiated power has it in it",
        );
    }
    let raised = |power: Power, by| Power::of_level(power.level() + by);
    if let Some(erp) = erp {
        return desk
            .sourced(erp)
            .map(|erp| raised(erp, Power::dipole_over_isotropic()));
    }
    if let Some(power) = power {
        let gain = desk.or_default(gain, name, &defaults.neighbour.gain);
        return desk.sourced(power).map(|power| raised(power, *gain));
    }
    match eirp {
        Some(eirp) => desk.sourced(eirp),
        // What never transmits needs no figure told.
        None if draft.output.is_none() => service.eirp.clone(),
        None => desk.noted(name, "radiated power (EIRP)", service.eirp.clone()),
    }
}

fn position(entry: &Entry<'_>, desk: &mut Desk) -> Option<Position> {
    let (file, words) = entry.saying(|words| words.at.is_some() || words.distance.is_some());
    let at = Stated::of(file, words.at.as_ref())?;
    if let Some(distance) = Stated::of(file, words.distance.as_ref()) {
        desk.tell(
            distance.spot,
            "`distance` cannot stand beside `at`, which tells the distance: leave one of them out",
        );
    }
    Some(at.value)
}

/// The radio that is stated, or the first usual one that covers what the entry does.
fn radio(
    entry: &Entry<'_>,
    draft: &Draft,
    service: &Service,
    defaults: &Defaults,
    radios: &mut Radios,
    desk: &mut Desk,
) -> Option<Arc<Profile>> {
    let covers = |profile: &Profile| match (draft.input, draft.output) {
        (Some(input), _) => profile.receiver_at(input).is_some(),
        (None, Some(output)) => profile.receiver_at(output).is_some(),
        (None, None) => false,
    };
    if let Some(stated) = entry.said(|words| &words.radio) {
        let profile = radios.profile(&stated, desk)?;
        if let Some(input) = draft.input.filter(|_| !covers(&profile)) {
            tell_uncovered(&stated, &profile, input, desk);
            return None;
        }
        return Some(profile);
    }
    let neighbour = &defaults.neighbour;
    usual(
        &draft.name,
        "radio",
        entry.spot,
        &[
            &service.receiver,
            &neighbour.listener_radio.sourced(),
            &neighbour.any_radio.sourced(),
        ],
        covers,
        radios,
        desk,
    )
}

fn tell_uncovered(stated: &Stated<String>, profile: &Profile, at: Frequency, desk: &mut Desk) {
    desk.tell_with_help(
        stated.spot,
        format!("{} does not receive {at}", profile.id),
        format!("it receives {}", super::uses::receives(profile)),
    );
}

/// The first of some radios that does what it must; noted, as nobody stated it.
fn usual(
    name: &str,
    what: &str,
    spot: Spot,
    candidates: &[&Sourced<String>],
    covers: impl Fn(&Profile) -> bool,
    radios: &mut Radios,
    desk: &mut Desk,
) -> Option<Arc<Profile>> {
    for candidate in candidates {
        if let Some(profile) = radios.usual(candidate).filter(|profile| covers(profile)) {
            desk.noted(name, what, (*candidate).clone());
            return Some(profile);
        }
    }
    desk.tell_with_help(
        spot,
        format!("no built-in radio covers the frequency of `{name}`"),
        "write a radio of your own under `radios` and name it here",
    );
    None
}

/// Those who listen to its output, if it has one.
fn listener(
    entry: &Entry<'_>,
    draft: &Draft,
    what: &What<'_>,
    defaults: &Defaults,
    radios: &mut Radios,
    desk: &mut Desk,
) -> Option<Listener> {
    let said = entry.shared.listeners.as_ref();
    let words = said.and_then(Said::value);
    let Some(output) = draft.output else {
        if let Some(said) = said {
            desk.tell(
                Spot::scenario(said.place()),
                "nobody listens to what never transmits: leave `listeners` out, or write its `output`",
            );
        }
        return None;
    };
    let name = &draft.name;
    let nearest = Stated::in_scenario(words.and_then(|words| words.nearest.as_ref()))
        .filter(|nearest| is_distance(nearest, desk));
    let nearest = desk.or_known(nearest, name, "nearest listener", &what.service.listener);
    let covers = |profile: &Profile| profile.receiver_at(output).is_some();
    let stated = Stated::in_scenario(words.and_then(|words| words.radio.as_ref()));
    let radio = if let Some(stated) = stated {
        let profile = radios.profile(&stated, desk)?;
        if !covers(&profile) {
            tell_uncovered(&stated, &profile, output, desk);
            return None;
        }
        profile
    } else {
        let neighbour = &defaults.neighbour;
        let (any, usual_set) = (
            neighbour.any_radio.sourced(),
            neighbour.listener_radio.sourced(),
        );
        // Where output and input differ, the service's radio is the repeater, not its listeners.
        let own = if what.is_simplex || draft.input.is_none() {
            &what.service.receiver
        } else {
            &usual_set
        };
        usual(
            name,
            "radio of its listeners",
            entry.spot,
            &[own, &what.service.receiver, &usual_set, &any],
            covers,
            radios,
            desk,
        )?
    };
    Some(Listener { nearest, radio })
}

/// The share of the time it transmits, in percent.
fn duty(
    entry: &Entry<'_>,
    name: &str,
    kind: &KindFigures,
    desk: &mut Desk,
) -> Option<Sourced<f64>> {
    let stated = entry.said(|words| &words.duty);
    let spot = stated.as_ref().map(|stated| stated.spot);
    let text = desk.or_default(stated, name, &kind.duty);
    match text.value.parse::<Duty>() {
        Ok(duty) => Some(text.map(|_| duty.as_fraction() * 100.0)),
        Err(error) => {
            desk.tell(spot.unwrap_or(entry.spot), error.to_string());
            None
        }
    }
}
