//! The channels that are to be given a frequency together: for which stations, from where, under which conditions.

use super::defaults::Defaults;
use super::desk::{Desk, Spot, Stated};
use super::names;
use super::open::{Aim, Apart, Assign, OpenChannel, OpenTone, Together};
use super::plan::SearchRange;
use super::proposals::{Looked, common, pair_of, range};
use super::signal;
use super::sites::is_step;
use super::stations::Draft;
use super::uses::{Asked, must_hear_all};
use super::words::{AimWord, AssignWords, OpenWords, ScenarioWords};
use crate::document::Said;
use crate::law::Law;
use crate::quantity::{Offset, Span};

/// More frequencies at once than anybody plans; two legs of a relay count as two.
const MOST_LEGS: usize = 24;

/// More places for one frequency than a search of this kind gets through.
const MOST_PLACES: i64 = 2_000;

/// The word for a tone that nobody else has.
const OWN: &str = "own";

/// The open channels; nothing when there are none or a fault was told.
pub(super) fn assign(
    words: &ScenarioWords,
    stations: &[Draft<'_>],
    station_names: &[&str],
    law: &Law,
    defaults: &Defaults,
    desk: &mut Desk,
) -> Option<Assign> {
    let said = words.assign.as_ref()?;
    let words_of_assign = said.value()?;
    let stated: Vec<Stated<String>> = words_of_assign
        .channels
        .iter()
        .filter_map(|said| Stated::in_scenario(Some(&said.value()?.name)))
        .collect();
    names::tell_repeated("channel", &stated, desk);
    let around = Around {
        stations,
        names: station_names,
        law,
        defaults,
    };
    let mut channels = Vec::new();
    for said in &words_of_assign.channels {
        if let Some(words) = said.value() {
            channels.push(channel(words, Spot::scenario(said.place()), &around, desk));
        }
    }
    let spot = Spot::scenario(said.place());
    if channels.is_empty() {
        desk.tell(
            spot,
            "no channel is listed here: write one under `channels`, or leave `assign` out",
        );
    }
    can_hear(words_of_assign, &around, desk);
    let channels: Vec<OpenChannel> = channels.into_iter().collect::<Option<_>>()?;
    let legs: usize = channels.iter().map(|one| one.legs().len()).sum();
    if legs > MOST_LEGS {
        desk.tell(
            spot,
            format!("{legs} frequencies are open at once: at most {MOST_LEGS} are looked for; give some channels their frequency"),
        );
        return None;
    }
    let site_names: Vec<String> = words
        .sites
        .iter()
        .map(|(name, _)| name.value().cloned().unwrap_or_default())
        .collect();
    let named: Vec<&str> = channels.iter().map(|one| one.name.as_str()).collect();
    Some(Assign {
        apart: apart(words_of_assign, &named, &site_names, desk),
        together: together(words_of_assign, &named, desk),
        third_order_free: words_of_assign
            .third_order_free
            .iter()
            .filter_map(|set| several(set, &named, desk))
            .collect(),
        aim: match words_of_assign.aim.as_ref().and_then(Said::value) {
            Some(AimWord::FewestChanges) => Aim::FewestChanges,
            Some(AimWord::Quietest) | None => Aim::Quietest,
        },
        channels,
    })
}

/// What a channel may lean on.
struct Around<'a> {
    stations: &'a [Draft<'a>],
    names: &'a [&'a str],
    law: &'a Law,
    defaults: &'a Defaults,
}

fn channel(
    words: &OpenWords,
    spot: Spot,
    around: &Around<'_>,
    desk: &mut Desk,
) -> Option<OpenChannel> {
    let found: Vec<Option<usize>> = words
        .stations
        .iter()
        .filter_map(|said| Stated::in_scenario(Some(said)))
        .map(|name| names::find("station", &name, around.names, desk))
        .collect();
    let stations: Vec<usize> = found.into_iter().collect::<Option<_>>()?;
    if stations.is_empty() {
        desk.tell(spot, "nobody is on this channel: name its `stations`");
        return None;
    }
    if words.cross_band.is_some() && stations.len() > 1 {
        desk.tell(
            spot,
            "one station repeats between two legs, not several: name one in `stations`",
        );
        return None;
    }
    let tone = tone(words, desk)?;
    let step = Stated::in_scenario(words.step.as_ref()).filter(|step| is_step(step, desk));
    let looked = Looked {
        cross_band: words.cross_band.as_ref(),
        watch: words.watch.as_ref(),
        talk: words.talk.as_ref(),
    };
    // Every station must be able to; what is common to all is where the channel may lie.
    let mut ranges = Vec::new();
    for &index in &stations {
        let radio = around.stations.get(index)?.radio.as_ref()?;
        ranges.push(range(looked, spot, radio, around.law, desk)?);
    }
    let range = ranges.into_iter().reduce(narrower)?;
    let name = words.name.value()?.clone();
    let step = desk.or_default(step, &name, &around.defaults.search.step);
    let last_year = words
        .last_year
        .iter()
        .filter_map(|said| said.value().copied())
        .collect();
    let channel = OpenChannel {
        name,
        stations,
        range,
        step,
        tone,
        last_year,
        place: desk.place(spot),
    };
    is_sensible(&channel, spot, desk).then_some(channel)
}

fn is_sensible(channel: &OpenChannel, spot: Spot, desk: &mut Desk) -> bool {
    let legs = channel.legs();
    if !channel.last_year.is_empty() && channel.last_year.len() != legs.len() {
        desk.tell(
            spot,
            format!(
                "`last_year` has {} frequencies, and the channel {}: write one for each leg",
                channel.last_year.len(),
                legs.len()
            ),
        );
        return false;
    }
    let step = channel.step.value.as_hz().max(1);
    for spans in legs {
        let places = spans.iter().fold(0i64, |count, span| {
            count.saturating_add(span.width().as_hz() / step + 1)
        });
        if places == 0 {
            desk.tell(
                spot,
                "no frequency is common to all stations of this channel: name stations or places that share a band",
            );
            return false;
        }
        if places > MOST_PLACES {
            desk.tell_with_help(
                spot,
                format!("a step of {} makes {places} places for one frequency", channel.step.value),
                format!("up to {MOST_PLACES} are looked through: take a larger step, or less of the band"),
            );
            return false;
        }
    }
    true
}

fn tone(words: &OpenWords, desk: &mut Desk) -> Option<OpenTone> {
    match Stated::in_scenario(words.tone.as_ref()) {
        None => Some(OpenTone::None),
        Some(word) if word.value.trim() == OWN => Some(OpenTone::Own),
        Some(word) => signal::tone(&word, desk).map(OpenTone::Stated),
    }
}

/// What two ranges of the same kind have in common.
fn narrower(one: SearchRange, other: SearchRange) -> SearchRange {
    match (one, other) {
        (SearchRange::Talk(one), SearchRange::Talk(other)) => {
            SearchRange::Talk(common(&one, &other))
        }
        (SearchRange::Watch(one), SearchRange::Watch(other)) => {
            SearchRange::Watch(common(&one, &other))
        }
        (one, _) => one,
    }
}

/// Tells a station whose radio cannot hear all that is asked of it and all of its open channels.
fn can_hear(words: &AssignWords, around: &Around<'_>, desk: &mut Desk) {
    for (draft, name) in around.stations.iter().zip(around.names) {
        let Some(radio) = &draft.radio else { continue };
        let settled: u32 = Asked::all_of(draft.words, draft.place)
            .iter()
            .map(Asked::receivers)
            .sum();
        let mut needed = settled;
        for channel in words.channels.iter().filter_map(Said::value) {
            let named = channel
                .stations
                .iter()
                .filter(|said| said.value().is_some_and(|one| one == name));
            for said in named {
                needed += if channel.cross_band.is_some() { 2 } else { 1 };
                must_hear_all(radio, needed, said.place(), desk);
            }
        }
    }
}

fn apart(
    words: &AssignWords,
    named: &[&str],
    site_names: &[String],
    desk: &mut Desk,
) -> Vec<Apart> {
    let mut found = Vec::new();
    for said in &words.apart {
        let Some(one) = said.value() else { continue };
        let spot = Spot::scenario(said.place());
        let Some(by) = distance(&one.by, desk) else {
            continue;
        };
        match (&one.channels, Stated::in_scenario(one.site.as_ref())) {
            (Some(listed), None) => {
                let channels = several(listed, named, desk);
                found.extend(channels.map(|channels| Apart {
                    channels,
                    site: None,
                    by,
                }));
            }
            (None, Some(name)) => {
                let known: Vec<&str> = site_names.iter().map(String::as_str).collect();
                let Some(site) = names::find("site", &name, &known, desk) else {
                    continue;
                };
                found.push(Apart {
                    channels: Vec::new(),
                    site: Some(site),
                    by,
                });
            }
            _ => desk.tell(
                spot,
                "a distance holds for one of `channels` and `site`: give exactly one",
            ),
        }
    }
    found
}

fn together(words: &AssignWords, named: &[&str], desk: &mut Desk) -> Vec<Together> {
    let mut found = Vec::new();
    for one in words.together.iter().filter_map(Said::value) {
        let within = distance(&one.within, desk);
        let channels = several(&one.channels, named, desk);
        if let (Some(within), Some(channels)) = (within, channels) {
            found.push(Together { channels, within });
        }
    }
    found
}

fn distance(said: &Said<Offset>, desk: &mut Desk) -> Option<Offset> {
    let stated = Stated::in_scenario(Some(said))?;
    if stated.value.as_hz() > 0 {
        return Some(stated.value);
    }
    desk.tell(
        stated.spot,
        "no distance between channels: write one above zero, such as 25 kHz",
    );
    None
}

/// Two channels or more, by name.
fn several(
    listed: &Said<Vec<Said<String>>>,
    named: &[&str],
    desk: &mut Desk,
) -> Option<Vec<usize>> {
    let words = Stated::in_scenario(Some(listed))?;
    let found: Vec<Option<usize>> = words
        .value
        .iter()
        .filter_map(|said| Stated::in_scenario(Some(said)))
        .map(|name| names::find("open channel", &name, named, desk))
        .collect();
    let mut found: Vec<usize> = found.into_iter().collect::<Option<_>>()?;
    found.sort_unstable();
    found.dedup();
    if found.len() < 2 {
        desk.tell(words.spot, "name at least two channels here");
        return None;
    }
    Some(found)
}

/// The relays that open channels would make: the station's name, who says so, and where the legs may lie.
pub(super) fn relays(words: &ScenarioWords) -> Vec<(&str, String, [Span; 2])> {
    let open = words.assign.as_ref().and_then(Said::value);
    open.into_iter()
        .flat_map(|open| open.channels.iter().filter_map(Said::value))
        .filter_map(|channel| {
            let legs = pair_of(channel.cross_band.as_ref()?)?;
            let station = channel.stations.first()?.value()?;
            let name = channel.name.value().map_or("", String::as_str);
            Some((station.as_str(), format!("open channel {name}"), legs))
        })
        .collect()
}
