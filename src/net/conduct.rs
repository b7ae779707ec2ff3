//! How the net is run: what the plan says of its traffic, its needs and its supply, with every default filled in.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

use super::{Battery, Load, Manner, Need, Network, RadioId, SenderId};
use crate::law::{Demand, Role};
use crate::provenance::{Authority, Origin, Sourced, Standing};
use crate::quantity::Length;
use crate::scenario::{Plan, Station, Use};

/// How the net is run.
#[derive(Debug, Clone, PartialEq)]
pub struct Conduct {
    /// Who must be able to talk with whom.
    pub needs: Vec<Need>,
    /// How many overs an operator begins in an hour.
    pub overs_per_hour: Sourced<f64>,
    /// How long an over lasts, on average.
    pub over: Sourced<Duration>,
    /// How long the event lasts.
    pub lasts: Sourced<Duration>,
    /// Mains frequencies to be reckoned with, in hertz.
    pub mains: Sourced<Vec<u32>>,
    /// How often a station must identify; none where no rule says.
    pub identifies: Option<Sourced<Duration>>,
    /// What a radio runs from, where it is a battery.
    pub batteries: BTreeMap<RadioId, Sourced<Battery>>,
    /// How near the public may come to a radio's antenna.
    pub public: BTreeMap<RadioId, Sourced<Length>>,
    /// Ids of the exposure limits that apply; empty for all that are known.
    pub limits: Vec<String>,
}

/// How often the event is run through under load.
///
/// # Source
/// Our choice: the spread of ten runs shows what chance does.
const RUNS: u32 = 10;

/// How long operators take to press the key once the channel is free, on average.
///
/// # Source
/// Our choice.
const REACTION: Duration = Duration::from_millis(700);

fn default<T>(value: T, standing: Standing, why: &str) -> Sourced<T> {
    Sourced::new(
        value,
        Origin::Default(Authority {
            text: Arc::from(why),
            standing,
        }),
    )
}

/// Overs an hour that are assumed of one operator, and of all together.
///
/// # Source
/// Our choice, as the default says.
const MOST_EACH: f64 = 12.0;
const MOST_TOGETHER: f64 = 120.0;

/// How many operators of ours have a key in hand.
fn operators(plan: &Plan) -> f64 {
    let talks = |station: &&Station| {
        station
            .uses
            .iter()
            .any(|one| matches!(one.what, Use::Talk { .. } | Use::Via { .. }))
    };
    plan.stations
        .iter()
        .filter(talks)
        .map(|station| f64::from(station.count.max(1)))
        .sum()
}

/// How often the rules that bind want a station to identify: the strictest.
fn identifies(plan: &Plan) -> Option<Sourced<Duration>> {
    let binding = plan
        .law
        .layers()
        .iter()
        .filter(|layer| layer.role == Role::Binding);
    let rules = binding.flat_map(|layer| layer.pack.rules.iter().map(move |rule| (layer, rule)));
    let wanted = rules.filter_map(|(layer, rule)| match rule.demand {
        Demand::Identify { minutes } => Some((minutes, layer, rule)),
        _ => None,
    });
    wanted
        .min_by_key(|(minutes, ..)| *minutes)
        .map(|(minutes, layer, rule)| {
            let origin = Origin::Pack {
                pack: Arc::clone(&layer.pack.id),
                authority: rule.basis.clone(),
            };
            Sourced::new(Duration::from_mins(u64::from(minutes)), origin)
        })
}

impl Conduct {
    /// How the net of a plan is run.
    pub fn of(plan: &Plan) -> Self {
        let seconds = plan
            .event
            .window
            .and_then(|window| u64::try_from(window.to - window.from).ok());
        Self {
            needs: Vec::new(),
            overs_per_hour: default(
                (MOST_TOGETHER / operators(plan).max(1.0)).min(MOST_EACH),
                Standing::Choice,
                "a lively net: from each one every five minutes, from all together two a minute at most",
            ),
            over: default(
                Duration::from_secs(10),
                Standing::CommonPractice,
                "a short report takes about ten seconds",
            ),
            lasts: seconds.map_or_else(
                || default(Duration::from_hours(8), Standing::Choice, "a day's event"),
                |seconds| {
                    Sourced::new(
                        Duration::from_secs(seconds),
                        Origin::Said(Arc::from("the event's times")),
                    )
                },
            ),
            mains: default(
                vec![50, 60],
                Standing::Choice,
                "both mains frequencies in use, where none is stated",
            ),
            identifies: identifies(plan),
            batteries: BTreeMap::new(),
            public: BTreeMap::new(),
            limits: Vec::new(),
        }
    }

    /// The load of the event: our operators, as many as a station stands for, and those of others whose carriers open
    /// something of ours, as often as they are on the air.
    pub fn load(&self, plan: &Plan, network: &Network) -> Load {
        let ours = network
            .talkers()
            .filter(|(id, _)| network.is_our_sender(*id))
            .filter_map(|(id, sender)| {
                let station = plan.stations.get(sender.radio.0)?;
                Some((
                    id,
                    self.overs_per_hour.value * f64::from(station.count.max(1)),
                ))
            });
        let theirs = network
            .all_senders()
            .filter(|(id, _)| !network.is_our_sender(*id))
            .filter(|(id, _)| {
                network
                    .opened_by(*id)
                    .any(|(hearer, _)| network.is_our_hearer(hearer))
            })
            .filter_map(|(id, sender)| {
                let entry = plan
                    .in_use
                    .get(sender.radio.0.checked_sub(plan.stations.len())?)?;
                let share = (entry.duty.value / 100.0).clamp(0.0, 1.0);
                Some((id, share * 3_600.0 / self.over.as_secs_f64().max(1.0)))
            });
        let overs_per_hour: BTreeMap<SenderId, f64> = ours.chain(theirs).collect();
        Load {
            overs_per_hour,
            length: self.over.value,
            manner: Manner::Waits,
            reaction: REACTION,
            lasts: self.lasts.value,
            runs: RUNS,
            seed: 1,
        }
    }

    /// What of the load nobody stated.
    pub fn assumed(&self) -> Vec<String> {
        let mut assumed = Vec::new();
        if !self.overs_per_hour.is_stated() {
            let rate = &self.overs_per_hour;
            assumed.push(format!(
                "{:.1} overs an hour and operator ({})",
                rate.value, rate.origin
            ));
        }
        if !self.over.is_stated() {
            assumed.push(format!(
                "{} an over ({})",
                super::told(self.over.value),
                self.over.origin
            ));
        }
        if !self.lasts.is_stated() {
            assumed.push(format!(
                "an event of {} ({})",
                super::told(self.lasts.value),
                self.lasts.origin
            ));
        }
        assumed
    }
}
