#![doc = include_str!("tone_close.md")]

use super::{Check, Situation};
use crate::finding::{Finding, Matter, Severity};
use crate::net::{ToneTrouble, tone_troubles};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "tone-close",
        title: "Tones that may be taken for each other, or for hum",
        text: include_str!("tone_close.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let view = situation.view();
    let mains = &view.conduct.mains;
    let troubles = tone_troubles(&view.network, &mains.value);
    for trouble in troubles
        .iter()
        .filter(|trouble| trouble.legs() == situation.focus)
    {
        let severity = match trouble {
            ToneTrouble::TooClose { .. } => Severity::Caution,
            ToneTrouble::Harmonic { .. } | ToneTrouble::Hum { .. } => Severity::Note,
        };
        let says = trouble.told(&view.network);
        let mut finding = Finding::new(CHECK.topic.id, severity, Matter::Net, trouble.legs(), says);
        match trouble {
            ToneTrouble::TooClose { sender, hearer, .. }
            | ToneTrouble::Harmonic { sender, hearer, .. } => {
                finding.when = situation.when_both(*sender, *hearer);
                finding.sources = situation.term(*sender).into_iter().collect();
                finding.victim = situation.victim(*hearer);
                "a decoder may open on the wrong one".clone_into(&mut finding.why);
            }
            ToneTrouble::Hum { hearer, .. } => {
                finding.victim = situation.victim(*hearer);
                "hum on a transmission may open the decoder, or hide the tone"
                    .clone_into(&mut finding.why);
                if !mains.is_stated() {
                    finding
                        .assumed
                        .push(format!("mains of 50 or 60 Hz ({})", mains.origin));
                }
            }
        }
        "common practice".clone_into(&mut finding.citation);
        found.push(finding.remedy("use another tone"));
    }
}
