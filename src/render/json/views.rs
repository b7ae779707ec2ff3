//! The keys of what `rank` tells beside its rows.

use schemars::JsonSchema;
use serde::Serialize;

use crate::quantity::Frequency;
use crate::search::{Bought, Freed, Front, Point, Share, Strangers};

use super::shapes::{db, tenth};

/// Three decimals of a share or a chance.
fn thousandth(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

fn hertz(legs: &[Frequency]) -> Vec<i64> {
    legs.iter().map(|leg| leg.as_hz()).collect()
}

/// How a row stands the trials.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "stays-safe")]
pub(super) struct Stays {
    /// How many trials there were.
    trials: u32,
    /// The share of them that stayed safe, from 0 to 1.
    share: f64,
    /// From where the true share lies, nineteen times in twenty.
    from: f64,
    /// Up to where.
    to: f64,
}

impl Stays {
    pub(super) fn of(share: Share) -> Self {
        let (from, to) = share.interval();
        Self {
            trials: share.trials,
            share: thousandth(share.fraction()),
            from: thousandth(from),
            to: thousandth(to),
        }
    }
}

/// Without whom a candidate would be safe.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "freed")]
pub(super) struct Frees<'a> {
    /// The candidate.
    legs_hz: Vec<i64>,
    /// Without whom it is safe, each by name.
    without: &'a [String],
    /// Whether fewer are proved not to do, for any candidate.
    is_fewest: bool,
    /// How many candidates were looked at, the least bad first.
    looked_at: usize,
}

impl<'a> Frees<'a> {
    pub(super) fn of(freed: &'a Freed) -> Self {
        Self {
            legs_hz: hertz(&freed.legs),
            without: &freed.without,
            is_fewest: freed.is_fewest,
            looked_at: freed.looked_at,
        }
    }
}

/// A search under a change.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "what-if")]
pub(super) struct Buys<'a> {
    /// The change.
    what: &'a str,
    /// At least so many candidates are safe.
    safe_at_least: usize,
    /// At most so many are; the same where all were judged.
    safe_at_most: usize,
    /// The best of them; null when nothing is safe.
    best_hz: Option<Vec<i64>>,
    /// Its least margin; null when nothing came near.
    worst_margin_db: Option<f64>,
}

impl<'a> Buys<'a> {
    pub(super) fn of(bought: &'a Bought) -> Self {
        let best = bought.then.best.as_ref();
        Self {
            what: &bought.what,
            safe_at_least: bought.then.at_least,
            safe_at_most: bought.then.at_most,
            best_hz: best.map(|row| hertz(&row.legs)),
            worst_margin_db: best.and_then(|row| row.worst_margin).map(db),
        }
    }
}

/// The candidates that none beats in everything.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "front")]
pub(super) struct Unbeaten<'a> {
    /// How many safe candidates were weighed.
    weighed: usize,
    /// Whether that is all of them; otherwise the first of the order.
    is_all: bool,
    /// The candidates, in the order of the ranking.
    points: Vec<Weighed<'a>>,
}

/// One of them.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "point")]
struct Weighed<'a> {
    /// Its frequencies.
    legs_hz: Vec<i64>,
    /// The least margin; null when nothing came near.
    worst_margin_db: Option<f64>,
    /// How well the band plan likes it; higher is better.
    preference: i32,
    /// The largest chance of its findings that it really hurts, from 0 to 1.
    chance: f64,
    /// How far the weakest way in and the weakest way out of a relay are apart; null where there is none.
    balance_db: Option<f64>,
    /// What limits it.
    limited_by: &'a str,
    /// How many candidates weigh the same, itself included.
    alike: usize,
}

impl<'a> Unbeaten<'a> {
    pub(super) fn of(front: &'a Front) -> Self {
        let weighed = |point: &'a Point| Weighed {
            legs_hz: hertz(&point.row.legs),
            worst_margin_db: point.row.worst_margin.map(db),
            preference: point.row.preference,
            chance: thousandth(point.chance.as_fraction()),
            balance_db: point.balance.map(db),
            limited_by: &point.row.limited_by,
            alike: point.alike,
        };
        Self {
            weighed: front.weighed,
            is_all: front.is_all,
            points: front.points.iter().map(weighed).collect(),
        }
    }
}

/// Where one more neighbour would spoil the best row.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "strangers")]
pub(super) struct Unwelcome {
    /// The row.
    legs_hz: Vec<i64>,
    /// How far the neighbour would be from each site.
    distance_m: f64,
    /// How many channels were tried.
    tried: usize,
    /// On how many of them it would conflict.
    channels: usize,
    /// These, as runs from their lowest to their highest channel.
    spoilt_hz: Vec<[i64; 2]>,
}

impl Unwelcome {
    pub(super) fn of(strangers: &Strangers) -> Self {
        let runs = strangers.spoilt.iter();
        Self {
            legs_hz: hertz(&strangers.legs),
            distance_m: tenth(strangers.distance.as_metres()),
            tried: strangers.tried,
            channels: strangers.channels,
            spoilt_hz: runs
                .map(|run| [run.low.as_hz(), run.high.as_hz()])
                .collect(),
        }
    }
}
