//! Times as they are written, into seconds.

use jiff::civil::{DateTime, Time};
use jiff::fmt::temporal::DateTimeParser;
use jiff::tz::Disambiguation;
use jiff::{Timestamp, ZonedDateTime};

use super::desk::{Desk, Spot, Stated};
use super::names;
use super::plan::{Event, Phase, Window};
use super::words::{EventWords, PhaseWords, WindowWords};
use crate::document::Said;

/// How a time must look.
const EXPECTED: &str =
    "write date, time, offset and zone, as in 2027-05-16T07:30+01:00[Europe/London]";

/// The longest event, in days: what is said in it is run through over by over.
const LONGEST_DAYS: i64 = 100;

/// Reads whole times.
const READER: DateTimeParser = DateTimeParser::new().disambiguation(Disambiguation::Reject);

/// The event, and the day and zone in which its clock times are read.
pub(super) fn event(words: &Said<EventWords>, desk: &mut Desk) -> (Event, Option<ZonedDateTime>) {
    let Some(words) = words.value() else {
        let event = Event {
            name: String::new(),
            window: None,
            when: None,
            phases: Vec::new(),
            border: None,
        };
        return (event, stand_in());
    };
    let name = Stated::in_scenario(Some(&words.name));
    if let Some(stated) = name.as_ref().filter(|name| name.value.trim().is_empty()) {
        desk.tell(stated.spot, "the event needs a name; write one");
    }
    let from = Stated::in_scenario(words.from.as_ref());
    let to = Stated::in_scenario(words.to.as_ref());
    let mut read = |stated: &Option<Stated<String>>| {
        let stated = stated.as_ref()?;
        match zoned(&stated.value) {
            Ok(time) => Some(time),
            Err(message) => {
                desk.tell_with_help(stated.spot, message, EXPECTED);
                None
            }
        }
    };
    let (begin, end) = (read(&from), read(&to));
    let mut window = None;
    let mut when = None;
    match (&from, &to, &begin, &end) {
        (Some(from), Some(to), Some(begin), Some(end)) => {
            window = ordered(begin.timestamp(), end.timestamp(), to.spot, desk)
                .filter(|window| is_bearable(*window, to.spot, desk));
            when = Some((from.value.clone(), to.value.clone()));
        }
        (Some(from), None, ..) if words.to.is_none() => {
            desk.tell_with_help(
                from.spot,
                "the event has a `from` but no `to`",
                "give both, or leave both out",
            );
        }
        (None, Some(to), ..) if words.from.is_none() => {
            desk.tell_with_help(
                to.spot,
                "the event has a `to` but no `from`",
                "give both, or leave both out",
            );
        }
        _ => {}
    }
    let name = name.map(|name| name.value).unwrap_or_default();
    // A beginning that is wrong is told; clock times are read all the same, for what is wrong with themselves.
    let day = begin.or_else(|| words.from.as_ref().and_then(|_| stand_in()));
    let phases = phases(&words.phases, day.as_ref(), desk);
    let event = Event {
        name,
        window,
        when,
        phases,
        border: None,
    };
    (event, day)
}

/// Any day, where a scenario does not stand for want of the right one.
fn stand_in() -> Option<ZonedDateTime> {
    zoned("2000-01-01T00:00+00:00[UTC]").ok()
}

/// The phases of the event.
fn phases(words: &[Said<PhaseWords>], day: Option<&ZonedDateTime>, desk: &mut Desk) -> Vec<Phase> {
    let words: Vec<&PhaseWords> = words.iter().filter_map(Said::value).collect();
    let stated: Vec<Stated<String>> = words
        .iter()
        .filter_map(|words| Stated::in_scenario(Some(&words.name)))
        .collect();
    names::tell_repeated("phase", &stated, desk);
    words
        .into_iter()
        .filter_map(|words| {
            let times = WindowWords {
                from: words.from.clone(),
                to: words.to.clone(),
            };
            // A phase whose times are wrong is there all the same for those who name it.
            let window = window(&times, day, desk).unwrap_or(Window { from: 0, to: 1 });
            Some(Phase {
                name: words.name.value()?.clone(),
                window,
            })
        })
        .collect()
}

/// When something is on the air: the windows that are written, and those of the phases that are named.
pub(super) fn on_air(
    written: &[Said<WindowWords>],
    named: &[Said<String>],
    event: &Event,
    day: Option<&ZonedDateTime>,
    desk: &mut Desk,
) -> Vec<Window> {
    let mut found = windows(written, day, desk);
    let names: Vec<&str> = event
        .phases
        .iter()
        .map(|phase| phase.name.as_str())
        .collect();
    for name in named {
        let phase = Stated::in_scenario(Some(name))
            .and_then(|name| names::find("phase", &name, &names, desk))
            .and_then(|index| event.phases.get(index));
        found.extend(phase.map(|phase| phase.window));
    }
    found
}

/// Stretches of time: whole times, or clock times of the event's day.
fn windows(
    words: &[Said<WindowWords>],
    day: Option<&ZonedDateTime>,
    desk: &mut Desk,
) -> Vec<Window> {
    words
        .iter()
        .filter_map(|said| window(said.value()?, day, desk))
        .collect()
}

fn window(words: &WindowWords, day: Option<&ZonedDateTime>, desk: &mut Desk) -> Option<Window> {
    let from = Stated::in_scenario(Some(&words.from));
    let to = Stated::in_scenario(Some(&words.to));
    let begin = from.and_then(|from| moment(&from, day, desk));
    let to = to?;
    let end = moment(&to, day, desk);
    let (begin, mut end) = (begin?, end?);
    if let Some(clock) = end.clock.filter(|_| end.time <= begin.time) {
        let Ok(date) = end.time.date().tomorrow() else {
            desk.tell(
                to.spot,
                "the calendar ends before this: write an earlier day",
            );
            return None;
        };
        end.time = single(date.to_datetime(clock), &end.time, &to, desk)?;
    }
    ordered(begin.time.timestamp(), end.time.timestamp(), to.spot, desk)
}

/// A moment, and the time of the day where it was written as that only.
struct Moment {
    time: ZonedDateTime,
    clock: Option<Time>,
}

fn moment(stated: &Stated<String>, day: Option<&ZonedDateTime>, desk: &mut Desk) -> Option<Moment> {
    let text = stated.value.trim();
    let Some(clock) = clock_time(text) else {
        return match zoned(text) {
            Ok(time) => Some(Moment { time, clock: None }),
            Err(message) => {
                desk.tell_with_help(
                    stated.spot,
                    message,
                    format!("{EXPECTED}, or HH:MM for the day the event begins"),
                );
                None
            }
        };
    };
    let Some(day) = day else {
        desk.tell_with_help(
            stated.spot,
            format!("`{text}` is a time of the day the event begins, but the event has no `from`"),
            "give `from` and `to` of the event, or write the date here too",
        );
        return None;
    };
    let time = single(DateTime::from_parts(day.date(), clock), day, stated, desk)?;
    Some(Moment {
        time,
        clock: Some(clock),
    })
}

/// A time of the clock in the zone of a day; told where the clocks change, so that it is no moment or two.
fn single(
    wanted: DateTime,
    day: &ZonedDateTime,
    stated: &Stated<String>,
    desk: &mut Desk,
) -> Option<ZonedDateTime> {
    let zone = day.time_zone();
    let time = zone.to_ambiguous_zoned_datetime(wanted).unambiguous().ok();
    if time.is_none() {
        desk.tell_with_help(
            stated.spot,
            format!(
                "`{}` is no single moment of that day: the clocks change then",
                stated.value.trim()
            ),
            EXPECTED,
        );
    }
    time
}

/// `HH:MM`, and nothing else.
fn clock_time(text: &str) -> Option<Time> {
    let (hour, minute) = text.split_once(':')?;
    let two_digits = |part: &str| {
        let digits =
            (1..=2).contains(&part.len()) && part.bytes().all(|byte| byte.is_ascii_digit());
        digits.then(|| part.parse::<i8>().ok()).flatten()
    };
    Time::new(two_digits(hour)?, two_digits(minute)?, 0, 0).ok()
}

fn zoned(text: &str) -> Result<ZonedDateTime, String> {
    let text = text.trim();
    if is_leap_second(text) {
        return Err(format!(
            "`{text}` is a leap second, which clocks and their times leave out"
        ));
    }
    // Where the clocks change, a time without an offset may be two moments, or none: nobody guesses which is meant.
    READER.parse_zoned_datetime(text).map_err(|_| {
        // The parser's own words speak of its options; what a planner can act on is which part does not fit.
        let is_offset = text
            .split_once('[')
            .is_some_and(|(before, _)| before.parse::<Timestamp>().is_ok());
        if text.parse::<ZonedDateTime>().is_ok() {
            format!("`{text}` is no single moment: the clocks change then")
        } else if is_offset {
            format!("`{text}`: there is no such zone, or its offset is another at that time")
        } else {
            format!("`{text}` is not a time with its zone")
        }
    })
}

/// Whether a time names a sixty-first second.
fn is_leap_second(text: &str) -> bool {
    let clock = text
        .split_once(['T', 't', ' '])
        .map_or("", |(_, clock)| clock);
    let mut parts = clock.splitn(3, ':').skip(2);
    parts.next().is_some_and(|second| second.starts_with("60"))
}

/// Whether an event is one that can be run through; told if it is longer.
fn is_bearable(window: Window, spot: Spot, desk: &mut Desk) -> bool {
    let days = (window.to - window.from) / 86_400;
    if days < LONGEST_DAYS {
        return true;
    }
    desk.tell_with_help(
        spot,
        format!("the event lasts {days} days: at most {LONGEST_DAYS} are read"),
        "write a scenario for each part, or leave the times out where it has no end",
    );
    false
}

fn ordered(from: Timestamp, to: Timestamp, spot: Spot, desk: &mut Desk) -> Option<Window> {
    let window = Window {
        from: from.as_second(),
        to: to.as_second(),
    };
    if window.from < window.to {
        return Some(window);
    }
    desk.tell_with_help(
        spot,
        "this is not after the beginning",
        "write an end that comes later, with its date where it is another day",
    );
    None
}
