//! The plan as tables: channels, who reaches whom, relays, distances.

use maud::{Markup, html};

use crate::net::told;
use crate::quantity::Decibels;
use crate::report::Report;

use super::{name, names, wide};
use crate::render::review::share;
use crate::render::text::clean;

/// The plan.
pub(super) fn section(report: &Report) -> Markup {
    html! {
        (wide("Channels", &channels(report)))
        @if !report.overview.operators.is_empty() { (wide("Who reaches whom", &reach(report))) }
        @if !report.overview.relays.is_empty() { (wide("Relays", &relays(report))) }
        @if let Some(weakest) = &report.overview.weakest {
            p {
                "The weakest way is " (clean(&weakest.way)) ": "
                (weakest.margin.to_string()) " in hand on a hard path"
                @if weakest.margin < Decibels::ZERO { "; do not rely on it" }
                "."
            }
        }
    }
}

fn channels(report: &Report) -> Markup {
    html! {
        table class="stacked" {
            caption { "Channels, lowest first" }
            thead { tr {
                @for head in ["frequency", "tones sent", "talk", "only listen", "relay"] { th scope="col" { (head) } }
            } }
            tbody { @for channel in &report.overview.channels {
                tr {
                    th scope="row" { (channel.frequency.to_string()) }
                    td data-head="tones sent" {
                        @if channel.tones.is_empty() { "–" }
                        (channel.tones.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "))
                    }
                    td data-head="talk" { (names(&channel.talk)) }
                    td data-head="only listen" { (names(&channel.listen)) }
                    td data-head="relay" { (names(&channel.relays)) }
                }
            } }
        }
    }
}

fn reach(report: &Report) -> Markup {
    html! {
        table class="stacked" {
            caption { "Who reaches whom" }
            thead { tr {
                @for head in ["operator", "reaches", "only on a kind path", "does not reach", "wait before speaking", "transmits"] {
                    th scope="col" { (head) }
                }
            } }
            tbody { @for one in &report.overview.operators {
                tr {
                    th scope="row" {
                        (name(&one.name))
                        @if let Some(role) = &one.role { " (" (name(role)) ")" }
                    }
                    td data-head="reaches" { (names(&one.reaches)) }
                    td data-head="only on a kind path" { (names(&one.perhaps)) }
                    td data-head="does not reach" { (names(&one.misses)) }
                    td data-head="wait before speaking" { (told(one.wait)) }
                    td data-head="transmits" { (share(one.duty)) }
                }
            } }
        }
    }
}

fn relays(report: &Report) -> Markup {
    html! {
        table class="stacked" {
            caption { "Relays" }
            thead { tr {
                @for head in ["relay", "transmits", "busiest half hour", "hang time", "time-out", "ways that hang on it alone"] {
                    th scope="col" { (head) }
                }
            } }
            tbody { @for one in &report.overview.relays {
                tr {
                    th scope="row" { (name(&one.name)) }
                    td data-head="transmits" { (share(one.duty)) }
                    td data-head="busiest half hour" { (share(one.busiest)) }
                    td data-head="hang time" { (told(one.hang)) }
                    td data-head="time-out" { (one.time_out.map_or_else(|| "–".to_owned(), told)) }
                    td data-head="ways that hang on it alone" { (one.carries) }
                }
            } }
        }
    }
}

/// The distances of the map in words.
pub(super) fn distances(report: &Report) -> Markup {
    html! {
        @if let Some(map) = &report.map {
            details {
                summary { "Distances in words" }
                (wide("Distances", &html! {
                    table {
                        caption { "Distances" }
                        thead { tr { th scope="col" { "from" } th scope="col" { "to" } th scope="col" class="number" { "distance" } th scope="col" { "direction" } } }
                        tbody {
                            @for stretch in &map.stretches {
                                @let [one, other] = &stretch.between;
                                tr { td { (name(one)) } td { (name(other)) } td class="number" { (stretch.distance.to_string()) } td { "–" } }
                            }
                            @for place in map.places.iter().filter(|one| one.kind == crate::report::Kind::Neighbour) {
                                tr {
                                    td { (name(&map.middle)) } td { (name(&place.name)) }
                                    td class="number" { (place.away.distance.to_string()) } td { (place.away.bearing.to_string()) }
                                }
                            }
                            @for far in &map.far {
                                tr {
                                    td { (name(&map.middle)) } td { (name(&far.name)) }
                                    td class="number" { (far.away.distance.to_string()) } td { (far.away.bearing.to_string()) }
                                }
                            }
                        }
                    }
                }))
            }
            @if !map.unplaced.is_empty() {
                p {
                    "Not on the map, because nobody stated where they are: "
                    @for (place, (one, distance)) in map.unplaced.iter().enumerate() {
                        @if place > 0 { ", " }
                        (name(one))
                        @if let Some(distance) = distance { " (" (distance.to_string()) " away)" }
                    }
                    "."
                }
            }
        }
    }
}
