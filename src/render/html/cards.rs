//! A card for each operator; several to a sheet when printed.

use maud::{Markup, html};

use crate::net::{Tone, told};
use crate::quantity::Frequency;
use crate::report::{Card, Report, Setting};

use super::{name, names};
use crate::render::cards::power;
use crate::render::text::clean;

/// The cards.
pub(super) fn section(report: &Report) -> Markup {
    html! {
        p class="hint screen" { "Printed, they come several to a sheet: cut along the frames." }
        div class="cards" {
            @for card in &report.cards { (told_card(report, card)) }
        }
    }
}

fn told_card(report: &Report, card: &Card) -> Markup {
    html! {
        article class="card" {
            header {
                h3 {
                    (name(&card.name))
                    @if card.count > 1 { " ×" (card.count) }
                }
                p {
                    @if let Some(role) = &card.role { (name(role)) ", " }
                    "at " (name(&card.site)) ", " (clean(&card.radio))
                }
            }
            @for setting in &card.settings { (set(setting)) }
            dl {
                @if !card.call.is_empty() { dt { "Call" } dd { (names(&card.call)) } }
                @if !card.reaches.is_empty() {
                    dt { @if card.call.is_empty() { "You reach" } @else { "You also reach" } }
                    dd { (names(&card.reaches)) }
                }
                @if !card.misses.is_empty() { dt { "Do not count on" } dd { (names(&card.misses)) } }
                @if let Some(wait) = card.wait.filter(|wait| !wait.is_zero()) {
                    dt { "Wait" }
                    dd {
                        "press, wait " strong { (told(wait)) } ", speak"
                        @if card.words_lost > 0 {
                            "; who speaks at once loses " (card.words_lost) @if card.words_lost == 1 { " word" } @else { " words" }
                        }
                    }
                }
                @if let Some(every) = report.overview.identifies.filter(|_| card.wait.is_some() || card.is_relay) {
                    dt { "Identify" } dd { "at least every " (told(every)) }
                }
            }
            @if !card.never.is_empty() {
                ul class="never" { @for one in &card.never { li { (clean(one)) } } }
            }
            @if !card.clear_of.is_empty() {
                details class="keep-clear" {
                    summary { "People and the antenna" }
                    ul { @for one in &card.clear_of { li { (clean(one)) } } }
                }
            }
        }
    }
}

fn set(setting: &Setting) -> Markup {
    html! {
        div class="setting" {
            p class="does" { (setting.does) @if !setting.side.is_empty() { ", " (clean(&setting.side)) } }
            @match (setting.sends, setting.hears) {
                (Some(sent), Some(heard)) if sent == heard => p class="big" { (tuned(sent)) },
                (sent, heard) => {
                    @if let Some(sent) = sent { p class="big" { span class="lead" { "send " } (tuned(sent)) } }
                    @if let Some(heard) = heard { p class="big" { span class="lead" { "hear " } (tuned(heard)) } }
                }
            }
            @if let Some(power) = power(setting) {
                p { "power " strong { (power) } @if let Some(emission) = &setting.emission { ", " (emission) } }
            }
        }
    }
}

/// A channel with its tone; neither is broken in two.
fn tuned((at, tone): (Frequency, Option<Tone>)) -> Markup {
    html! {
        span class="whole" { (at.to_string()) } " "
        span class="whole tone" {
            @match tone { Some(tone) => { "tone " (tone.to_string()) }, None => "no tone" }
        }
    }
}
