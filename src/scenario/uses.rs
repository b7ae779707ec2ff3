//! What a station does, or would do: whether the radio can, and through whom.

use super::desk::{Desk, FileId, Spot, Stated};
use super::names;
use super::plan::{Channel, Target, Use};
use super::relays::Relays;
use super::signal;
use super::words::{ProposalWords, StationWords, TalkWords, UseWords, WantedWords};
use crate::document::{Place, Said};
use crate::law::Purpose;
use crate::quantity::{Frequency, Span};
use crate::radio::Profile;

/// The keys that say what a station does.
const VERBS: &[&str] = &["talk", "watch", "cross_band", "via"];

/// Where something is asked of a station.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Written {
    /// In the station itself.
    InStation,
    /// There too, but the station has `uses` as well.
    BesideUses,
    /// In an entry of `uses`.
    InUses,
    /// In a proposal.
    InProposal,
}

/// One thing asked of a station, wherever it is written.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked<'w> {
    pub(super) talk: Option<&'w Said<TalkWords>>,
    pub(super) watch: Option<&'w Said<Frequency>>,
    pub(super) cross_band: Option<&'w Said<Vec<Said<Frequency>>>>,
    pub(super) via: Option<&'w Said<String>>,
    leg: Option<&'w Said<String>>,
    tone: Option<&'w Said<String>>,
    wanted: Option<&'w Said<WantedWords>>,
    purpose: Option<&'w Said<String>>,
    /// Where it is written.
    written: Written,
    pub(super) place: Place,
}

impl<'w> Asked<'w> {
    /// One entry of `uses`.
    pub(super) fn of_use(words: &'w UseWords, place: Place) -> Self {
        Self {
            talk: words.talk.as_ref(),
            watch: words.watch.as_ref(),
            cross_band: words.cross_band.as_ref(),
            via: words.via.as_ref(),
            leg: words.leg.as_ref(),
            tone: words.tone.as_ref(),
            wanted: words.wanted.as_ref(),
            purpose: words.purpose.as_ref(),
            written: Written::InUses,
            place,
        }
    }

    /// What stands in the station itself.
    fn of_station(words: &'w StationWords, place: Place) -> Self {
        Self {
            talk: words.talk.as_ref(),
            watch: words.watch.as_ref(),
            cross_band: words.cross_band.as_ref(),
            via: words.via.as_ref(),
            leg: words.leg.as_ref(),
            tone: words.tone.as_ref(),
            wanted: words.wanted.as_ref(),
            purpose: words.purpose.as_ref(),
            written: if words.uses.is_empty() {
                Written::InStation
            } else {
                Written::BesideUses
            },
            place,
        }
    }

    /// What a proposal asks.
    pub(super) fn of_proposal(words: &'w ProposalWords, place: Place) -> Self {
        Self {
            talk: words.talk.as_ref(),
            watch: words.watch.as_ref(),
            cross_band: words.cross_band.as_ref(),
            via: None,
            leg: None,
            tone: words.tone.as_ref(),
            wanted: words.wanted.as_ref(),
            purpose: words.purpose.as_ref(),
            written: Written::InProposal,
            place,
        }
    }

    /// Everything a station is asked to do: what stands in it, then its `uses`.
    pub(super) fn all_of(words: &'w StationWords, place: Place) -> Vec<Self> {
        let short = Self::of_station(words, place);
        let is_written = [
            short.talk.is_some(),
            short.watch.is_some(),
            short.cross_band.is_some(),
            short.via.is_some(),
            short.leg.is_some(),
            short.tone.is_some(),
            short.wanted.is_some(),
            short.purpose.is_some(),
        ]
        .contains(&true);
        is_written
            .then_some(short)
            .into_iter()
            .chain(
                words
                    .uses
                    .iter()
                    .filter_map(|said| Some(Self::of_use(said.value()?, said.place()))),
            )
            .collect()
    }

    /// How many frequencies it hears.
    pub(super) const fn receivers(&self) -> u32 {
        if self.cross_band.is_some() { 2 } else { 1 }
    }

    /// Tells what is wrong whatever the radio, where nobody knows the radio.
    pub(super) fn tell_without_radio(&self, desk: &mut Desk) {
        if let Some(pair) = Stated::in_scenario(self.cross_band) {
            two_of(&pair, desk);
        }
    }

    /// Tells keys that contradict each other; whether exactly one thing is asked.
    fn is_one_thing(&self, desk: &mut Desk) -> bool {
        let places: Vec<Place> = [
            self.talk.map(Said::place),
            self.watch.map(Said::place),
            self.cross_band.map(Said::place),
            self.via.map(Said::place),
        ]
        .into_iter()
        .flatten()
        .collect();
        let strays = [
            ("leg", self.leg.map(Said::place)),
            ("wanted", self.wanted.map(Said::place)),
            ("purpose", self.purpose.map(Said::place)),
            ("tone", self.tone.map(Said::place)),
        ];
        if places.is_empty() && self.written == Written::BesideUses {
            for (key, place) in strays {
                if let Some(place) = place {
                    desk.tell_with_help(
                        Spot::scenario(place),
                        format!("`{key}` stands beside `uses`, where it is about nothing"),
                        "put it into the entry of `uses` that it belongs to",
                    );
                }
            }
            return false;
        }
        let is_misspelt = desk.may_have_meant(self.place, VERBS);
        let mut tell_stray = |key: &str, place: Option<Place>, owner: &str, is_with_owner: bool| {
            if let Some(place) = place.filter(|_| !is_with_owner) {
                desk.tell(
                    Spot::scenario(place),
                    format!("`{key}` goes with {owner}: add that, or leave `{key}` out"),
                );
            }
        };
        tell_stray(
            "leg",
            self.leg.map(Said::place),
            "`via`",
            self.via.is_some(),
        );
        tell_stray(
            "wanted",
            self.wanted.map(Said::place),
            "`watch`",
            self.watch.is_some(),
        );
        tell_stray(
            "purpose",
            self.purpose.map(Said::place),
            "`talk`",
            self.talk.is_some(),
        );
        tell_stray(
            "tone",
            self.tone.map(Said::place),
            "`talk`, `watch` or `cross_band`",
            self.via.is_none(),
        );
        match places.as_slice() {
            [_] => true,
            [] if is_misspelt => false,
            [] => {
                let via = match self.written {
                    Written::InProposal => "",
                    _ => ", `via`",
                };
                desk.tell(
                    Spot::scenario(self.place),
                    format!(
                        "nothing is asked here: give one of `talk`, `watch`, `cross_band`{via}"
                    ),
                );
                false
            }
            [_, second, ..] => {
                desk.tell_with_help(
                    Spot::scenario(*second),
                    "this asks for a second thing in the same place",
                    "put each into an entry of its own under `uses`",
                );
                false
            }
        }
    }
}

/// What a use may lean on.
#[derive(Debug, Clone, Copy)]
pub(super) struct Around<'a> {
    /// The names of our stations, by index.
    pub(super) stations: &'a [&'a str],
    /// What others have on the air: name, output, input.
    pub(super) in_use: &'a [Neighbour],
    /// Which stations are relays, or would be.
    pub(super) relays: &'a Relays,
}

/// What a use must know of somebody else's station.
#[derive(Debug, Clone)]
pub(super) struct Neighbour {
    /// Its name.
    pub(super) name: String,
    /// What it transmits on.
    pub(super) output: Option<Frequency>,
    /// What it receives on.
    pub(super) input: Option<Frequency>,
}

/// What is asked, if the radio can do it.
pub(super) fn understand(
    asked: &Asked<'_>,
    radio: &Profile,
    around: &Around<'_>,
    desk: &mut Desk,
) -> Option<Use> {
    if !asked.is_one_thing(desk) {
        return None;
    }
    let tone = Stated::in_scenario(asked.tone).and_then(|tone| signal::tone(&tone, desk));
    if let Some(talk) = Stated::in_scenario(asked.talk) {
        return talk_on(&talk, tone, asked.purpose, radio, desk);
    }
    if let Some(watch) = Stated::in_scenario(asked.watch) {
        must_receive(radio, &watch, desk)?;
        let channel = Channel {
            frequency: watch.value,
            tone,
        };
        let (mut wanted, mut from) = (None, None);
        if let Some(Stated { value, spot }) = Stated::in_scenario(asked.wanted) {
            match value {
                WantedWords::Level(value) => wanted = Some(desk.sourced(Stated { value, spot })),
                WantedWords::Name(value) => {
                    from = Some(listened_to(
                        &Stated { value, spot },
                        watch.value,
                        around,
                        desk,
                    )?);
                }
            }
        }
        return Some(Use::Watch {
            channel,
            wanted,
            from,
        });
    }
    if let Some(pair) = Stated::in_scenario(asked.cross_band) {
        return repeat_between(&pair, tone, radio, desk);
    }
    via(
        &Stated::in_scenario(asked.via)?,
        Stated::in_scenario(asked.leg),
        asked.leg.is_some(),
        radio,
        around,
        desk,
    )
}

/// Whom a watch names, who must be on that frequency.
fn listened_to(
    wanted: &Stated<String>,
    watched: Frequency,
    around: &Around<'_>,
    desk: &mut Desk,
) -> Option<usize> {
    let others = around.in_use.iter();
    let names: Vec<&str> = others.map(|other| other.name.as_str()).collect();
    let named: Vec<usize> = (0..names.len())
        .filter(|&index| names.get(index) == Some(&wanted.value.as_str()))
        .collect();
    if named.is_empty() {
        names::tell_unknown("level such as -90 dBm, or neighbour", wanted, &names, desk);
        return None;
    }
    let on_it = named.into_iter().find(|&index| {
        let other = around.in_use.get(index);
        other.is_some_and(|other| other.output == Some(watched))
    });
    if on_it.is_none() {
        desk.tell(
            wanted.spot,
            format!("`{}` does not transmit on {watched}; name who does, or write a level such as -90 dBm", wanted.value),
        );
    }
    on_it
}

fn talk_on(
    talk: &Stated<TalkWords>,
    tone: Option<u32>,
    purpose: Option<&Said<String>>,
    radio: &Profile,
    desk: &mut Desk,
) -> Option<Use> {
    let (transmit, receive) = match &talk.value {
        TalkWords::Simplex(frequency) => {
            let stated = Stated {
                value: *frequency,
                spot: talk.spot,
            };
            (stated.clone(), stated)
        }
        TalkWords::Split(split) => {
            let transmit = Stated::in_scenario(Some(&split.transmit));
            let receive = Stated::in_scenario(Some(&split.receive));
            (transmit?, receive?)
        }
    };
    let sends = must_transmit(radio, &transmit, desk);
    let hears = match sends {
        // One fault is enough for a frequency that is out of every reach.
        None if transmit.value == receive.value => None,
        _ => must_receive(radio, &receive, desk),
    };
    let purpose = match Stated::in_scenario(purpose) {
        Some(word) => signal::purpose(&word, desk)?,
        None if transmit.value == receive.value => Purpose::Simplex,
        None => Purpose::RepeaterInput,
    };
    sends?;
    hears?;
    let on = |stated: &Stated<Frequency>| Channel {
        frequency: stated.value,
        tone,
    };
    Some(Use::Talk {
        transmit: on(&transmit),
        receive: on(&receive),
        purpose,
    })
}

fn repeat_between(
    pair: &Stated<Vec<Said<Frequency>>>,
    tone: Option<u32>,
    radio: &Profile,
    desk: &mut Desk,
) -> Option<Use> {
    let can_repeat = can_repeat(radio, pair.spot, desk);
    let [one, other] = two_of(pair, desk)?;
    can_repeat?;
    let one = Stated::in_scenario(Some(one))?;
    let other = Stated::in_scenario(Some(other))?;
    let can = [&one, &other].map(|leg| {
        let sends = must_transmit(radio, leg, desk);
        sends.and_then(|()| must_receive(radio, leg, desk))
    });
    if can.contains(&None) {
        return None;
    }
    if are_in_one_band(radio, one.value, other.value) {
        desk.tell_with_help(
            other.spot,
            format!(
                "both legs are in one band: {} and {}",
                one.value, other.value
            ),
            format!(
                "{} repeats between different bands: {}",
                radio.id,
                transmits(radio)
            ),
        );
        return None;
    }
    let legs = [one, other].map(|leg| Channel {
        frequency: leg.value,
        tone,
    });
    Some(Use::CrossBand { legs })
}

/// The two frequencies of a pair; tells a list of any other length.
fn two_of<'p>(
    pair: &'p Stated<Vec<Said<Frequency>>>,
    desk: &mut Desk,
) -> Option<[&'p Said<Frequency>; 2]> {
    if let [one, other] = pair.value.as_slice() {
        return Some([one, other]);
    }
    let written = "write it as in [433.4500, 145.2250]";
    // Decimal commas make four entries of two numbers.
    let help = if pair.value.len() > 2 {
        format!("{written}: decimals with a point, as a comma begins a new entry here")
    } else {
        written.to_owned()
    };
    let message = format!(
        "a cross-band pair has two frequencies, not {}",
        pair.value.len()
    );
    desk.tell_with_help(pair.spot, message, help);
    None
}

/// Tells a radio that does not repeat between its bands.
pub(super) fn can_repeat(radio: &Profile, spot: Spot, desk: &mut Desk) -> Option<()> {
    if *radio.repeats_cross_band {
        return Some(());
    }
    desk.tell_with_help(
        spot,
        format!("{} cannot repeat from one band to another", radio.id),
        "take a radio whose profile has `repeats_cross_band: yes`, such as a dual-band mobile",
    );
    None
}

/// Whether the radio has both frequencies in the same band.
pub(super) fn are_in_one_band(radio: &Profile, one: Frequency, other: Frequency) -> bool {
    radio
        .bands
        .iter()
        .filter_map(|band| band.transmitter.as_ref())
        .any(|figures| figures.span.contains(one) && figures.span.contains(other))
}

fn via(
    through: &Stated<String>,
    leg: Option<Stated<String>>,
    is_leg_written: bool,
    radio: &Profile,
    around: &Around<'_>,
    desk: &mut Desk,
) -> Option<Use> {
    let station = around
        .stations
        .iter()
        .position(|name| *name == through.value);
    let mut others = around
        .in_use
        .iter()
        .enumerate()
        .filter(|(_, neighbour)| neighbour.name == through.value);
    let other = others.next();
    if others.next().is_some() || (station.is_some() && other.is_some()) {
        desk.tell(
            through.spot,
            format!(
                "`{}` is the name of more than one station; rename one",
                through.value
            ),
        );
        return None;
    }
    if let Some((in_use, neighbour)) = other {
        if let Some(leg) = leg {
            desk.tell(
                leg.spot,
                "a repeater in use has no legs to choose from: leave `leg` out",
            );
        }
        return through_repeater(through, in_use, neighbour, radio, desk);
    }
    let Some(station) = station else {
        let relays = around.stations.iter().enumerate();
        let relays = relays.filter(|(index, _)| around.relays.has(*index));
        let repeaters = around
            .in_use
            .iter()
            .filter(|neighbour| neighbour.output.is_some() && neighbour.input.is_some());
        let names: Vec<&str> = relays
            .map(|(_, name)| *name)
            .chain(repeaters.map(|neighbour| neighbour.name.as_str()))
            .collect();
        names::tell_unknown("relay or repeater", through, &names, desk);
        return None;
    };
    if around.relays.is_unreadable(station) {
        return None;
    }
    if !around.relays.has(station) {
        desk.tell_with_help(
            through.spot,
            format!("`{}` repeats nothing", through.value),
            "give it `cross_band` in the plan, in a proposal or in a search",
        );
        return None;
    }
    let Some(leg) = leg else {
        if !is_leg_written {
            desk.tell_with_help(
                through.spot,
                format!("`{}` has two legs", through.value),
                "add `leg:` with a band such as 70cm, or `first` or `second`",
            );
        }
        return None;
    };
    let index = around.relays.leg(station, &leg, desk)?;
    for (what, span) in around.relays.spans(station, index) {
        if !reaches(radio, span) {
            desk.tell_with_help(
                leg.spot,
                format!(
                    "{} does not transmit on {what} of `{}`",
                    radio.id, through.value
                ),
                transmits_help(radio),
            );
            return None;
        }
    }
    Some(Use::Via {
        target: Target::Relay {
            station,
            leg: index,
        },
    })
}

fn through_repeater(
    through: &Stated<String>,
    in_use: usize,
    neighbour: &Neighbour,
    radio: &Profile,
    desk: &mut Desk,
) -> Option<Use> {
    let (Some(output), Some(input)) = (neighbour.output, neighbour.input) else {
        desk.tell(
            through.spot,
            format!(
                "`{}` is no repeater: it lacks an input or an output",
                neighbour.name
            ),
        );
        return None;
    };
    let at = |value| Stated {
        value,
        spot: through.spot,
    };
    must_transmit(radio, &at(input), desk)?;
    must_receive(radio, &at(output), desk)?;
    Some(Use::Via {
        target: Target::Repeater { in_use },
    })
}

/// Tells a frequency that a radio cannot transmit on.
fn must_transmit(radio: &Profile, at: &Stated<Frequency>, desk: &mut Desk) -> Option<()> {
    if radio.transmitter_at(at.value).is_some() {
        return Some(());
    }
    desk.tell_with_help(
        at.spot,
        format!("{} does not transmit on {}", radio.id, at.value),
        transmits_help(radio),
    );
    None
}

/// Tells a frequency that a radio cannot receive.
fn must_receive(radio: &Profile, at: &Stated<Frequency>, desk: &mut Desk) -> Option<()> {
    if radio.receiver_at(at.value).is_some() {
        return Some(());
    }
    desk.tell_with_help(
        at.spot,
        format!("{} does not receive {}", radio.id, at.value),
        format!("it receives {}", receives(radio)),
    );
    None
}

fn reaches(radio: &Profile, span: Span) -> bool {
    radio
        .bands
        .iter()
        .filter_map(|band| band.transmitter.as_ref())
        .any(|figures| figures.span.low <= span.high && span.low <= figures.span.high)
}

fn transmits_help(radio: &Profile) -> String {
    let spans = transmits(radio);
    if spans.is_empty() {
        "it does not transmit at all".to_owned()
    } else {
        format!("it transmits on {spans}")
    }
}

/// Where a radio transmits, for a reader.
pub(super) fn transmits(radio: &Profile) -> String {
    listed(radio.bands.iter().filter_map(|band| {
        let figures = band.transmitter.as_ref()?;
        Some((band.name.as_str(), figures.span))
    }))
}

/// Where a radio receives, for a reader.
pub(super) fn receives(radio: &Profile) -> String {
    listed(radio.bands.iter().filter_map(|band| {
        let figures = band.receiver.as_ref()?;
        Some((band.name.as_str(), figures.span))
    }))
}

fn listed<'b>(spans: impl Iterator<Item = (&'b str, Span)>) -> String {
    spans
        .map(|(name, span)| format!("{name} ({span})"))
        .collect::<Vec<_>>()
        .join(", ")
}

/// Tells a station that is asked to hear more at once than its radio can.
pub(super) fn must_hear_all(radio: &Profile, needed: u32, place: Place, desk: &mut Desk) {
    if needed > *radio.receivers {
        desk.tell(
            Spot::of(FileId::SCENARIO, place),
            format!(
                "{} hears {} at a time, and {needed} are asked of it: give it fewer uses, or name another radio",
                radio.id,
                match *radio.receivers {
                    1 => "one frequency".to_owned(),
                    many => format!("{many} frequencies"),
                }
            ),
        );
    }
}
