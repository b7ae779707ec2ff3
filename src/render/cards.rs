//! Operators' cards as text for a messenger.

use std::fmt::Write;

use crate::net::{Tone, told};
use crate::quantity::Frequency;
use crate::report::{Card, Report, Setting};

use super::text::clean;

/// A channel with its tone.
pub(super) fn channel(set: Option<(Frequency, Option<Tone>)>) -> String {
    match set {
        None => String::new(),
        Some((at, None)) => format!("{at}, no tone"),
        Some((at, Some(tone))) => format!("{at}, tone {tone}"),
    }
}

/// Power with the name of its step.
pub(super) fn power(setting: &Setting) -> Option<String> {
    let power = setting.power?;
    Some(match &setting.step {
        Some(step) => format!("{power} ({})", clean(step)),
        None => power.to_string(),
    })
}

/// Writes every card, with an empty line between them.
pub(super) fn page(report: &Report) -> String {
    let cards: Vec<String> = report.cards.iter().map(|one| card(report, one)).collect();
    cards.join("\n")
}

fn card(report: &Report, card: &Card) -> String {
    let mut lines = vec![
        format!("{}: {}", report.overview.event, card.name),
        format!("at {}, {}", card.site, card.radio),
    ];
    if card.count > 1 {
        lines.push(format!("there are {} of these", card.count));
    }
    for setting in &card.settings {
        lines.push(set(setting));
    }
    let mut named = |what: &str, names: &[String]| {
        if !names.is_empty() {
            lines.push(format!("{what}: {}", names.join(", ")));
        }
    };
    named("Call", &card.call);
    named(
        if card.call.is_empty() {
            "You reach"
        } else {
            "You also reach"
        },
        &card.reaches,
    );
    named("Do not count on", &card.misses);
    // Who has nobody to speak with has nothing to wait for.
    if let Some(wait) = card.wait.filter(|wait| !wait.is_zero()) {
        lines.push(format!("Press, wait {}, speak", told(wait)));
    }
    if let Some(every) = report
        .overview
        .identifies
        .filter(|_| card.wait.is_some() || card.is_relay)
    {
        lines.push(format!("Identify at least every {}", told(every)));
    }
    lines.extend(card.never.iter().map(|one| format!("- {one}")));
    lines.extend(
        card.clear_of
            .iter()
            .map(|one| format!("- {}", as_sentence(one))),
    );
    lines.push("- Distress comes first: stop the net and tell control.".to_owned());
    let mut out = String::new();
    for line in lines {
        // Writing into a string cannot fail.
        let _ = writeln!(out, "{}", clean(&line));
    }
    out
}

fn set(setting: &Setting) -> String {
    let mut parts = vec![format!("{}, {}", setting.does, setting.side)];
    match (setting.sends, setting.hears) {
        (Some(sent), Some(heard)) if sent == heard => parts.push(channel(Some(sent))),
        (sent, heard) => {
            parts.extend(sent.map(|one| format!("send {}", channel(Some(one)))));
            parts.extend(heard.map(|one| format!("hear {}", channel(Some(one)))));
        }
    }
    parts.extend(power(setting));
    format!("* {}", parts.join("; ").trim_start_matches(", "))
}

/// A text with the capital that a line of its own begins with.
fn as_sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).collect()
}
