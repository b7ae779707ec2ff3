//! From the words of a scenario to a plan: every name looked up, every default filled in.

use super::assign;
use super::choosing::Choosing;
use super::conduct;
use super::defaults::Defaults;
use super::desk::{Desk, Spot};
use super::guarded;
use super::in_use;
use super::operation;
use super::paths::{self, Ends};
use super::plan::{InUse, Plan, Site, StationUse};
use super::proposals;
use super::radios::Radios;
use super::read::Files;
use super::relays::Relays;
use super::rules;
use super::sites;
use super::stations::{self, Draft, Ground};
use super::time;
use super::uses::{self, Around, Asked, Neighbour, must_hear_all};
use super::words::ScenarioWords;
use crate::document::{Said, Source};
use crate::quantity::{Frequency, Span};

/// The plan, its defaults left to the desk. Where something is wrong, which is told, the plan is not to be used.
pub(super) fn resolve(
    words: &ScenarioWords,
    source: &Source,
    defaults: &Defaults,
    files: &dyn Files,
    desk: &mut Desk,
) -> Plan {
    let (mut event, day) = time::event(&words.event, desk);
    event.border = operation::border(&words.event, desk);
    let operation = operation::of_event(&words.event, desk);
    let law = rules::law(words, files, desk);
    let mut radios = Radios::new(words, source, files, desk);
    let settings = sites::settings(&words.settings, defaults, desk);
    let mut sites = sites::sites(words, &settings, defaults, desk);
    let ground = Ground {
        defaults,
        law: &law,
        sites: &sites,
        event: &event,
        operation: &operation,
        day: day.as_ref(),
    };
    let mut drafts = stations::drafts(words, &ground, &mut radios, desk);
    let neighbours = in_use::drafts(
        words,
        &in_use::Around {
            defaults,
            law: &law,
            sites: &sites,
            event: &event,
            day: day.as_ref(),
            files,
        },
        &mut radios,
        desk,
    );
    let placed: Vec<(String, Option<usize>)> = drafts
        .iter()
        .map(|draft| (draft.name.clone(), draft.site))
        .collect();
    let placed: Vec<(&str, Option<usize>)> = placed
        .iter()
        .map(|(name, site)| (name.as_str(), *site))
        .collect();
    let station_names: Vec<&str> = placed.iter().map(|(name, _)| *name).collect();
    sites::measured(words, &mut sites, &placed, desk);
    let ends = Ends {
        sites: &sites,
        stations: &placed,
        in_use: neighbours
            .iter()
            .map(|draft| (draft.name.as_str(), draft.entry.as_ref()))
            .collect(),
    };
    let known_paths = paths::paths(words, &ends, desk);
    let known: Vec<Neighbour> = neighbours
        .iter()
        .map(|draft| Neighbour {
            name: draft.name.clone(),
            output: draft.output,
            input: draft.input,
        })
        .collect();
    let relays = relays(words, &drafts, &station_names);
    let around = Around {
        stations: &station_names,
        in_use: &known,
        relays: &relays,
    };
    for draft in &mut drafts {
        take_up(draft, &around, desk);
    }
    let lasts = conduct::lasts(&event, defaults, desk);
    let traffic = conduct::run(words, &mut drafts, defaults, desk);
    conduct::bound(words, &drafts, &lasts, desk);
    let proposals = proposals::proposals(words, &drafts, &around, desk);
    let searches = proposals::searches(words, &drafts, &station_names, &law, defaults, desk);
    let assign = assign::assign(words, &drafts, &station_names, &law, defaults, desk);
    let in_use = on_level_ground(
        neighbours.into_iter().filter_map(|draft| draft.entry),
        &sites,
    );
    let guarded = guarded::guarded(&law, &words.absent, &settings, defaults, &mut radios, desk);
    Plan {
        event,
        law,
        sites,
        paths: known_paths,
        lasts,
        traffic,
        stations: drafts
            .into_iter()
            .filter_map(|draft| draft.station)
            .collect(),
        in_use,
        guarded,
        proposals,
        searches,
        assign,
        settings,
        defaults: Vec::new(),
    }
}

/// Neighbours whose ground nobody stated: level ground means the level of our sites, not of the sea.
fn on_level_ground(entries: impl Iterator<Item = InUse>, sites: &[Site]) -> Vec<InUse> {
    let lowest = sites
        .iter()
        .filter(|site| site.ground.is_stated())
        .map(|site| site.ground.value)
        .min();
    let level = |mut entry: InUse| {
        if let Some(lowest) = lowest.filter(|_| !entry.ground.is_stated()) {
            entry.ground.value = lowest;
        }
        entry
    };
    entries.map(level).collect()
}

/// Puts what a station is asked to do into it.
fn take_up(draft: &mut Draft<'_>, around: &Around<'_>, desk: &mut Desk) {
    let asked = Asked::all_of(draft.words, draft.place);
    let Some(radio) = &draft.radio else {
        for one in &asked {
            one.tell_without_radio(desk);
        }
        return;
    };
    let mut uses = Vec::new();
    for asked in &asked {
        if let Some(what) = uses::understand(asked, radio, around, desk) {
            uses.push(StationUse {
                what,
                place: desk.place(Spot::scenario(asked.place)),
                choosing: [Choosing::Settled; 2],
            });
        }
    }
    if let Some(last) = asked.last() {
        let needed = asked.iter().map(Asked::receivers).sum();
        must_hear_all(radio, needed, last.place, desk);
    }
    if let Some(station) = &mut draft.station {
        station.uses = uses;
    }
}

/// Which stations repeat, wherever that is said.
fn relays(words: &ScenarioWords, drafts: &[Draft<'_>], names: &[&str]) -> Relays {
    let mut relays = Relays::default();
    for (index, draft) in drafts.iter().enumerate() {
        for asked in Asked::all_of(draft.words, draft.place) {
            match asked.cross_band.map(legs) {
                Some(Some(legs)) => relays.add(index, "the plan".to_owned(), legs),
                Some(None) => relays.add_unreadable(index),
                None => {}
            }
        }
    }
    for (station, what, legs) in assign::relays(words) {
        if let Some(index) = names.iter().position(|name| *name == station) {
            relays.add(index, what, legs);
        }
    }
    let index_of = |station: &Said<String>| {
        let station = station.value()?;
        names.iter().position(|name| name == station)
    };
    for words in words.proposals.iter().filter_map(Said::value) {
        let Some((pair, index)) = words.cross_band.as_ref().zip(index_of(&words.station)) else {
            continue;
        };
        if let Some(legs) = legs(pair) {
            let name = words.name.value().map_or("", String::as_str);
            relays.add(index, format!("proposal {name}"), legs);
        } else {
            relays.add_unreadable(index);
        }
    }
    for words in words.search.iter().filter_map(Said::value) {
        if let Some(legs) = proposals::legs_of(words)
            && let Some(index) = index_of(&words.station)
        {
            let name = words.name.value().map_or("", String::as_str);
            relays.add(index, format!("search {name}"), legs);
        }
    }
    relays
}

/// Where the two legs of a pair are.
fn legs(pair: &Said<Vec<Said<Frequency>>>) -> Option<[Span; 2]> {
    let [one, other] = pair.value()?.as_slice() else {
        return None;
    };
    let (one, other) = (*one.value()?, *other.value()?);
    Some([Span::between(one, one), Span::between(other, other)])
}
