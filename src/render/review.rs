//! A plan at a glance as parts of a page, each with its rows: what every format but the JSON document is written from.

use std::time::Duration;

use crate::net::{BreakIn, Spread, told};
use crate::overview::{Busy, Interruption, Lasting, Operator, Overview, Relay};

use super::{Listing, severity_word};

/// A part of the page.
pub(super) struct Part {
    /// What programs call it.
    pub(super) id: &'static str,
    /// Its heading.
    pub(super) title: &'static str,
    /// What the cells of a row are, the first of which names the row.
    pub(super) columns: Vec<&'static str>,
    /// Whether the second cell is a sentence that needs no key.
    pub(super) is_sentence: bool,
    /// The rows.
    pub(super) rows: Vec<Vec<String>>,
}

/// The parts in the order a net manager reads them; those with nothing in them are left out.
pub(super) fn parts(overview: &Overview) -> Vec<Part> {
    let parts = [
        proposals(overview),
        mend(overview),
        channels(overview),
        reach(overview),
        waits(overview),
        relays(overview),
        rooms(overview),
        tones(overview),
        figures(overview),
    ];
    parts
        .into_iter()
        .filter(|part| !part.rows.is_empty())
        .collect()
}

/// What the parts are called.
pub const PARTS: [&str; 7] = [
    "mend", "channels", "reach", "waits", "relays", "tones", "figures",
];

/// One part of a review by itself, as a list with the part's own columns; without rows where there is nothing of it.
pub fn part(overview: &Overview, id: &str) -> Listing {
    let part = parts(overview).into_iter().find(|part| part.id == id);
    let (title, columns, rows) = part.map_or_else(
        || ("nothing of it", Vec::new(), Vec::new()),
        |part| (part.title, part.columns, part.rows),
    );
    Listing {
        command: "part",
        title: format!("{}: {title}", overview.event),
        notes: Vec::new(),
        columns,
        rows: rows
            .into_iter()
            .map(|row| {
                row.iter()
                    .map(|cell| cell.trim_matches('–').to_owned())
                    .collect()
            })
            .collect(),
    }
}

/// Names in a row; a dash where there are none.
fn listed(names: &[String]) -> String {
    if names.is_empty() {
        "–".to_owned()
    } else {
        names.join(", ")
    }
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// A share with its spread over the runs.
pub(super) fn share(spread: Option<Spread>) -> String {
    spread.map_or_else(
        || "–".to_owned(),
        |spread| {
            format!(
                "{} ({} to {})",
                percent(spread.mean),
                percent(spread.least),
                percent(spread.most)
            )
        },
    )
}

/// The same in each phase of the event.
fn shares(phases: &[(String, Spread)]) -> String {
    let told = phases
        .iter()
        .map(|(name, spread)| format!("{name} {}", share(Some(*spread))));
    told.collect::<Vec<_>>().join(", ")
}

/// When a second station gets in.
fn interrupted(interruption: Option<&Interruption>) -> String {
    interruption.map_or_else(String::new, |one| {
        let Interruption {
            talks,
            waits,
            answer,
        } = one;
        match answer {
            BreakIn::AtOnce => format!("while {talks} talks, {waits} can get in at once"),
            BreakIn::Doubles => format!("not while {talks} talks: {waits} would only double"),
            BreakIn::After(wait) => format!(
                "not while {talks} talks: {waits} can get in {} after the key is let go",
                told(*wait)
            ),
            BreakIn::Never => {
                format!("not in a minute after {talks} has talked: {waits} cannot get in")
            }
        }
    })
}

/// How long a battery lasts, against what is needed.
fn lasting(battery: Option<Lasting>) -> String {
    battery.map_or_else(String::new, |battery| {
        let whole = |time: Duration| told(Duration::from_secs(time.as_secs() / 60 * 60));
        format!(
            "lasts {} of the {} it is needed for",
            whole(battery.lasts),
            whole(battery.needed)
        )
    })
}

fn proposals(overview: &Overview) -> Part {
    let waiting = overview.waiting.iter().map(|one| {
        vec![
            one.relay.clone(),
            format!(
                "is not in place as the plan stands: {} cannot talk through it yet",
                one.stations.join(", ")
            ),
            String::new(),
        ]
    });
    let put = overview.proposals.iter().map(|one| {
        vec![
            one.name.clone(),
            format!("{}: {}", one.verdict, one.what),
            one.worst.clone().unwrap_or_default(),
        ]
    });
    Part {
        id: "proposals",
        is_sentence: true,
        title: "Proposals, none of them in place here (--proposal NAME puts one in)",
        columns: vec!["proposal", "what", "worst"],
        rows: if overview.proposals.is_empty() {
            Vec::new()
        } else {
            waiting.chain(put).collect()
        },
    }
}

fn rooms(overview: &Overview) -> Part {
    let rows = overview.rooms.iter().map(|room| {
        vec![
            format!("{}, {}", room.name, room.frequency),
            format!(
                "keep the public {} clear while it sends without a break ({} averaged over its busiest {} min)",
                room.public, room.averaged, room.averaging_minutes
            ),
            room.trained.to_string(),
            room.comes.map_or_else(String::new, |comes| comes.to_string()),
            format!("{} EIRP; {}", room.power, room.limit),
        ]
    });
    Part {
        id: "keep-clear",
        is_sentence: true,
        title: "Keep clear of the antennas (no assessment: the licence says what must be assessed)",
        columns: vec![
            "antenna",
            "public",
            "operators",
            "the public comes to",
            "from",
        ],
        rows: rows.collect(),
    }
}

fn mend(overview: &Overview) -> Part {
    let rows = overview.mend.iter().enumerate().map(|(place, mend)| {
        let when = mend
            .when
            .as_ref()
            .map_or_else(String::new, |when| format!(" (in {when})"));
        let more = if mend.alike == 0 {
            String::new()
        } else {
            format!("; {} more of this check", mend.alike)
        };
        let severity = severity_word(mend.severity);
        let spared = mend.spared.as_ref().map_or_else(String::new, |why| {
            format!("; no more than a {severity}: {why}")
        });
        vec![
            (place + 1).to_string(),
            format!("{severity}: {}{when}{spared}{more}", mend.says),
            mend.remedy.clone().unwrap_or_default(),
            mend.check.to_owned(),
        ]
    });
    Part {
        id: "mend",
        is_sentence: true,
        title: "What to mend first",
        columns: vec!["place", "what", "remedy", "check"],
        rows: rows.collect(),
    }
}

fn channels(overview: &Overview) -> Part {
    let rows = overview.channels.iter().map(|channel| {
        let tones: Vec<String> = channel.tones.iter().map(ToString::to_string).collect();
        vec![
            channel.frequency.to_string(),
            listed(&channel.talk),
            listed(&channel.listen),
            listed(&channel.relays),
            listed(&tones),
        ]
    });
    Part {
        id: "channels",
        is_sentence: false,
        title: "Channels",
        columns: vec!["channel", "talk", "only listen", "relays", "tones sent"],
        rows: rows.collect(),
    }
}

fn reach(overview: &Overview) -> Part {
    let row = |one: &Operator| {
        let name = match &one.role {
            Some(role) if *role != one.name => format!("{} ({role})", one.name),
            _ => one.name.clone(),
        };
        let timed = |name: &String| match one.only_in.get(name) {
            Some(phases) => format!("{name} (in {phases})"),
            None => name.clone(),
        };
        let short = |names: &[String]| {
            if names.is_empty() {
                String::new()
            } else {
                names.join(", ")
            }
        };
        vec![
            name,
            listed(&one.reaches.iter().map(timed).collect::<Vec<_>>()),
            short(&one.perhaps.iter().map(timed).collect::<Vec<_>>()),
            short(&one.misses),
            short(&one.lacks),
        ]
    };
    Part {
        id: "reach",
        is_sentence: false,
        title: "Who reaches whom",
        columns: vec![
            "operator",
            "reaches",
            "only on kind paths",
            "does not reach",
            "needs but cannot rely on",
        ],
        rows: overview.operators.iter().map(row).collect(),
    }
}

fn waits(overview: &Overview) -> Part {
    let row = |one: &Operator| {
        let words = if one.words_lost == 1 { "word" } else { "words" };
        vec![
            one.name.clone(),
            format!(
                "wait {} before speaking, or lose {} {words}",
                told(one.wait),
                one.words_lost
            ),
            one.slowest.clone().unwrap_or_default(),
            interrupted(one.break_in.as_ref()),
            share(one.duty),
            shares(&one.phases),
            lasting(one.battery),
        ]
    };
    Part {
        id: "waits",
        is_sentence: true,
        title: "After pressing the key",
        columns: vec![
            "operator",
            "wait",
            "slowest way",
            "break-in",
            "transmits",
            "by phase",
            "battery",
        ],
        rows: overview
            .operators
            .iter()
            .filter(|one| one.slowest.is_some())
            .map(row)
            .collect(),
    }
}

fn relays(overview: &Overview) -> Part {
    let row = |one: &Relay| {
        vec![
            one.name.clone(),
            format!("transmits {} of the event", share(one.duty)),
            share(one.busiest),
            shares(&one.phases),
            one.stands.as_ref().map_or_else(String::new, |stands| {
                format!(
                    "{} of the time at {} power",
                    percent(stands.duty),
                    stands.step
                )
            }),
            lasting(one.battery),
            interrupted(one.break_in.as_ref()),
            stopped(one),
            called(overview, one),
            told(one.hang),
            one.carries.to_string(),
        ]
    };
    Part {
        id: "relays",
        is_sentence: true,
        title: "Relays",
        columns: vec![
            "relay",
            "duty",
            "busiest half hour",
            "by phase",
            "its radio stands",
            "battery",
            "break-in",
            "time-out",
            "call sign",
            "hang time",
            "ways that hang on it alone",
        ],
        rows: overview.relays.iter().map(row).collect(),
    }
}

/// What its time-out timer does.
fn stopped(relay: &Relay) -> String {
    relay.time_out.map_or_else(
        || "none: a stuck key holds the channel".to_owned(),
        |limit| {
            let often = relay.time_outs.map_or_else(String::new, |spread| {
                if spread.mean < 0.05 {
                    "; not reached under this load".to_owned()
                } else {
                    format!("; {:.1} times in the event under this load", spread.mean)
                }
            });
            format!(
                "stops after {}, and the rest of that over is lost{often}",
                told(limit)
            )
        },
    )
}

/// When it must give its call sign, and whether that falls onto somebody's word.
fn called(overview: &Overview, relay: &Relay) -> String {
    overview.identifies.map_or_else(String::new, |every| {
        let over = relay.duty.map_or_else(String::new, |duty| {
            format!(
                ", about {} of them over somebody's word",
                percent(duty.mean)
            )
        });
        format!(
            "due {} after the first word and every {} from then, {} times in the event{over}",
            told(every),
            told(every),
            overview.identifications
        )
    })
}

fn tones(overview: &Overview) -> Part {
    let rows = overview.tones.iter().map(|input| {
        let waits = input.tone.map_or_else(
            || "waits for no tone".to_owned(),
            |tone| format!("waits for {tone}"),
        );
        let proposed = input
            .proposed
            .filter(|tone| Some(*tone) != input.tone)
            .map_or_else(String::new, |tone| tone.to_string());
        vec![
            input.name.clone(),
            format!("{waits} on {}", input.frequency),
            proposed,
        ]
    });
    Part {
        id: "tones",
        is_sentence: true,
        title: "Tones of the relays' inputs",
        columns: vec!["input", "tone", "proposed"],
        rows: rows.collect(),
    }
}

fn figures(overview: &Overview) -> Part {
    let mut rows: Vec<(&str, String)> = Vec::new();
    if let Some(weakest) = &overview.weakest {
        let text = format!("{}: {} in hand", weakest.way, weakest.margin);
        rows.push(("weakest way", text));
    }
    if let Some(Busy {
        found_busy,
        waited_s,
        doubled,
    }) = overview.traffic
    {
        rows.push((
            "busy",
            format!(
                "{} of the overs find the channel busy; an over waits {:.1} s on average; {} meet another on the air",
                percent(found_busy.mean),
                waited_s.mean,
                percent(doubled.mean)
            ),
        ));
    }
    if let Some(every) = overview.identifies {
        rows.push((
            "identify",
            format!(
                "at least every {}, {} times in the event; operators do it within their own overs",
                told(every),
                overview.identifications
            ),
        ));
    }
    if !overview.idle.is_empty() {
        let text = format!(
            "{}: nothing is asked of it, nor put to it",
            overview.idle.join(", ")
        );
        rows.push(("idle", text));
    }
    if !overview.assumed.is_empty() {
        rows.push(("assumed", overview.assumed.join("; ")));
    }
    Part {
        id: "figures",
        is_sentence: true,
        title: "The net as a whole",
        columns: vec!["what", "figure"],
        rows: rows
            .into_iter()
            .map(|(what, figure)| vec![what.to_owned(), figure])
            .collect(),
    }
}
