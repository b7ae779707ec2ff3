//! What is put to the plan, and what is to be searched for.

use super::defaults::Defaults;
use super::desk::{Desk, Spot, Stated};
use super::names;
use super::plan::{Proposal, Search, SearchRange};
use super::signal;
use super::sites::{is_step, is_whole};
use super::stations::Draft;
use super::uses::{self, Around, Asked, can_repeat, must_hear_all};
use super::words::{PlacesWords, ProposalWords, ScenarioWords, SearchWords};
use crate::document::Said;
use crate::law::{Law, Purpose};
use crate::quantity::{Frequency, Offset, Span};
use crate::radio::{self, Profile};

/// More candidates than a search gets through in a time anybody waits.
const MOST_CANDIDATES: i64 = 20_000_000;

/// More rows than anybody reads.
const MOST_ROWS: u32 = 10_000;

/// What is put to the plan, each for a station that is there.
pub(super) fn proposals(
    words: &ScenarioWords,
    stations: &[Draft<'_>],
    around: &Around<'_>,
    desk: &mut Desk,
) -> Vec<Proposal> {
    let stated: Vec<Stated<String>> = words
        .proposals
        .iter()
        .filter_map(|said| Stated::in_scenario(Some(&said.value()?.name)))
        .collect();
    names::tell_repeated("proposal", &stated, desk);
    words
        .proposals
        .iter()
        .filter_map(|said| proposal(said.value()?, said, stations, around, desk))
        .collect()
}

fn proposal(
    words: &ProposalWords,
    said: &Said<ProposalWords>,
    stations: &[Draft<'_>],
    around: &Around<'_>,
    desk: &mut Desk,
) -> Option<Proposal> {
    let station = Stated::in_scenario(Some(&words.station))
        .and_then(|station| names::find("station", &station, around.stations, desk))?;
    let draft = stations.get(station)?;
    let asked = Asked::of_proposal(words, said.place());
    let Some(radio) = &draft.radio else {
        asked.tell_without_radio(desk);
        return None;
    };
    let what = uses::understand(&asked, radio, around, desk)?;
    must_hear_all(radio, needed(&asked, draft), said.place(), desk);
    Some(Proposal {
        name: words.name.value()?.clone(),
        station,
        what,
        place: desk.place(Spot::scenario(said.place())),
    })
}

/// How many frequencies the station hears with the proposal: it takes the place of what is of its own kind, and a relay
/// takes the whole radio.
fn needed(asked: &Asked<'_>, draft: &Draft<'_>) -> u32 {
    if asked.cross_band.is_some() {
        return asked.receivers();
    }
    let others = Asked::all_of(draft.words, draft.place)
        .into_iter()
        .filter(|other| {
            let is_replaced = (asked.watch.is_some() && other.watch.is_some())
                || (asked.talk.is_some() && (other.talk.is_some() || other.via.is_some()));
            !is_replaced
        })
        .map(|other| other.receivers())
        .sum::<u32>();
    others.saturating_add(asked.receivers())
}

/// What is to be searched for, each for a station that is there.
pub(super) fn searches(
    words: &ScenarioWords,
    stations: &[Draft<'_>],
    names_of_stations: &[&str],
    law: &Law,
    defaults: &Defaults,
    desk: &mut Desk,
) -> Vec<Search> {
    let stated: Vec<Stated<String>> = words
        .search
        .iter()
        .filter_map(|said| Stated::in_scenario(Some(&said.value()?.name)))
        .collect();
    names::tell_repeated("search", &stated, desk);
    words
        .search
        .iter()
        .filter_map(|said| {
            let words = said.value()?;
            let station = Stated::in_scenario(Some(&words.station))
                .and_then(|station| names::find("station", &station, names_of_stations, desk))?;
            let radio = stations.get(station)?.radio.as_ref()?;
            search(
                words,
                Spot::scenario(said.place()),
                station,
                radio,
                law,
                defaults,
                desk,
            )
        })
        .collect()
}

fn search(
    words: &SearchWords,
    spot: Spot,
    station: usize,
    radio: &Profile,
    law: &Law,
    defaults: &Defaults,
    desk: &mut Desk,
) -> Option<Search> {
    let name = words.name.value()?.clone();
    let tone = match Stated::in_scenario(words.tone.as_ref()) {
        Some(tone) => Some(signal::tone(&tone, desk)?),
        None => None,
    };
    let step = Stated::in_scenario(words.step.as_ref()).filter(|step| is_step(step, desk));
    let keep = Stated::in_scenario(words.keep.as_ref())
        .filter(|keep| is_whole(keep, 1, MOST_ROWS, "number of rows to keep", desk));
    let range = range(Looked::of(words), spot, radio, law, desk);
    let step_spot = step.as_ref().map_or(spot, |step| step.spot);
    let step = desk.or_default(step, &name, &defaults.search.step);
    let keep = desk.or_default(keep, &name, &defaults.search.keep);
    let range = range?;
    let candidates = candidates(&range, step.value);
    if candidates > MOST_CANDIDATES {
        desk.tell_with_help(
            step_spot,
            format!("a step of {} makes {candidates} candidates", step.value),
            format!(
                "up to {MOST_CANDIDATES} are searched: take a larger step, or less of the band"
            ),
        );
        return None;
    }
    Some(Search {
        name,
        station,
        range,
        step,
        keep: usize::try_from(keep.value).unwrap_or(usize::MAX),
        tone,
    })
}

/// How many candidates a search has.
fn candidates(range: &SearchRange, step: Offset) -> i64 {
    let count = |spans: &[Span]| {
        spans.iter().fold(0i64, |count, span| {
            count.saturating_add(span.width().as_hz() / step.as_hz().max(1) + 1)
        })
    };
    match range {
        SearchRange::CrossBand([one, other]) => count(one).saturating_mul(count(other)),
        SearchRange::Watch(spans) | SearchRange::Talk(spans) => count(spans),
    }
}

/// Where to look, as it is written: one of the three.
#[derive(Debug, Clone, Copy)]
pub(super) struct Looked<'w> {
    pub(super) cross_band: Option<&'w Said<Vec<Said<PlacesWords>>>>,
    pub(super) watch: Option<&'w Said<PlacesWords>>,
    pub(super) talk: Option<&'w Said<PlacesWords>>,
}

impl<'w> Looked<'w> {
    const fn of(words: &'w SearchWords) -> Self {
        Self {
            cross_band: words.cross_band.as_ref(),
            watch: words.watch.as_ref(),
            talk: words.talk.as_ref(),
        }
    }
}

/// What is to be looked through, as far as the radio goes there.
pub(super) fn range(
    words: Looked<'_>,
    spot: Spot,
    radio: &Profile,
    law: &Law,
    desk: &mut Desk,
) -> Option<SearchRange> {
    let pair = Stated::in_scenario(words.cross_band);
    let given = usize::from(words.cross_band.is_some())
        + usize::from(words.watch.is_some())
        + usize::from(words.talk.is_some());
    if given != 1 {
        desk.tell(
            spot,
            "a search is for one thing: give one of `cross_band`, `watch` and `talk`",
        );
        return None;
    }
    if let Some(watch) = words.watch {
        return spans(watch, None, radio, law, desk).map(SearchRange::Watch);
    }
    if let Some(talk) = words.talk {
        return spans(talk, Some(Purpose::Simplex), radio, law, desk).map(SearchRange::Talk);
    }
    let pair = pair?;
    can_repeat(radio, pair.spot, desk)?;
    let [one, other] = pair.value.as_slice() else {
        desk.tell_with_help(
            pair.spot,
            format!("a cross-band pair has two legs, not {}", pair.value.len()),
            "write it as in [70cm, 2m]",
        );
        return None;
    };
    let purpose = Some(Purpose::CrossBandRelay);
    let legs = [one, other].map(|leg| spans(leg, purpose, radio, law, desk));
    let [Some(one), Some(other)] = legs else {
        return None;
    };
    let is_shared = one.iter().any(|a| {
        other
            .iter()
            .any(|b| uses::are_in_one_band(radio, a.low, b.low))
    });
    if is_shared {
        desk.tell(
            pair.spot,
            "both legs reach into the same band of the radio: write stretches in two bands",
        );
        return None;
    }
    Some(SearchRange::CrossBand([one, other]))
}

/// The stretches of one leg; nothing when a fault was told.
fn spans(
    places: &Said<PlacesWords>,
    purpose: Option<Purpose>,
    radio: &Profile,
    law: &Law,
    desk: &mut Desk,
) -> Option<Vec<Span>> {
    let listed = Stated::in_scenario(Some(places))?;
    let words: Vec<Stated<String>> = match listed.value {
        PlacesWords::One(word) => vec![Stated {
            value: word,
            spot: listed.spot,
        }],
        PlacesWords::Many(words) => words
            .iter()
            .filter_map(|word| Stated::in_scenario(Some(word)))
            .collect(),
    };
    if words.is_empty() {
        desk.tell(
            listed.spot,
            "nothing is listed here to search: write a band, a stretch or a frequency",
        );
        return None;
    }
    let found: Vec<Option<Vec<Span>>> = words
        .iter()
        .map(|word| stretches(word, purpose, radio, law, desk))
        .collect();
    let mut spans: Vec<Span> = found.into_iter().collect::<Option<Vec<_>>>()?.concat();
    spans.sort_unstable();
    spans.dedup();
    Some(spans)
}

/// What one word of a search stands for, as far as the radio goes there.
fn stretches(
    word: &Stated<String>,
    purpose: Option<Purpose>,
    radio: &Profile,
    law: &Law,
    desk: &mut Desk,
) -> Option<Vec<Span>> {
    let text = word.value.trim();
    let tuned = tuned(radio, purpose.is_some());
    if let Some(band) = radio::band(text) {
        let open = purpose.map_or_else(Vec::new, |purpose| law.open_for(text, purpose));
        let candidates = [open, law.band(text), vec![band.span]];
        let wanted = candidates.iter().find(|spans| !spans.is_empty())?;
        let spans = common(wanted, &tuned);
        if spans.is_empty() {
            tell_out_of_reach(word, radio, purpose.is_some(), desk);
            return None;
        }
        return Some(spans);
    }
    let span = match (text.parse::<Frequency>(), text.parse::<Span>()) {
        (Ok(one), _) => Span::between(one, one),
        (Err(_), Ok(span)) => span,
        (Err(_), Err(error)) => {
            signal::tell_no_band(word, &error.to_string(), desk);
            return None;
        }
    };
    if tuned.iter().any(|tuned| tuned.holds(span)) {
        return Some(vec![span]);
    }
    tell_out_of_reach(word, radio, purpose.is_some(), desk);
    None
}

fn tell_out_of_reach(word: &Stated<String>, radio: &Profile, sends: bool, desk: &mut Desk) {
    let (verb, spans) = if sends {
        ("transmit on", uses::transmits(radio))
    } else {
        ("receive", uses::receives(radio))
    };
    desk.tell_with_help(
        word.spot,
        format!("{} does not {verb} all of {}", radio.id, word.value.trim()),
        format!("it covers {spans}"),
    );
}

/// Where a radio receives, and transmits too when it must.
fn tuned(radio: &Profile, sends: bool) -> Vec<Span> {
    let receives: Vec<Span> = radio
        .bands
        .iter()
        .filter_map(|band| Some(band.receiver.as_ref()?.span))
        .collect();
    if !sends {
        return receives;
    }
    let transmits: Vec<Span> = radio
        .bands
        .iter()
        .filter_map(|band| Some(band.transmitter.as_ref()?.span))
        .collect();
    common(&transmits, &receives)
}

/// What two lists of stretches have in common.
pub(super) fn common(one: &[Span], other: &[Span]) -> Vec<Span> {
    one.iter()
        .flat_map(|a| {
            other
                .iter()
                .filter(|b| a.low <= b.high && b.low <= a.high)
                .map(|b| Span::between(a.low.max(b.low), a.high.min(b.high)))
        })
        .collect()
}

/// Where the legs of a search lie, as widely as its words say; nothing for words that say nothing.
pub(super) fn legs_of(words: &SearchWords) -> Option<[Span; 2]> {
    pair_of(words.cross_band.as_ref()?)
}

/// The same of a pair by itself.
pub(super) fn pair_of(pair: &Said<Vec<Said<PlacesWords>>>) -> Option<[Span; 2]> {
    let pair = pair.value()?;
    let [one, other] = pair.as_slice() else {
        return None;
    };
    let widest = |leg: &Said<PlacesWords>| {
        let texts: Vec<&str> = match leg.value()? {
            PlacesWords::One(word) => vec![word.as_str()],
            PlacesWords::Many(words) => words
                .iter()
                .filter_map(|word| word.value().map(String::as_str))
                .collect(),
        };
        texts
            .into_iter()
            .filter_map(|text| {
                let text = text.trim();
                signal::band(text)
                    .or_else(|| {
                        text.parse::<Frequency>()
                            .ok()
                            .map(|one| Span::between(one, one))
                    })
                    .or_else(|| text.parse().ok())
            })
            .reduce(|a, b| Span::between(a.low.min(b.low), a.high.max(b.high)))
    };
    Some([widest(one)?, widest(other)?])
}
