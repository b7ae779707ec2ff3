//! How the net is run: what the plan says of its traffic, its needs and its supply, with every default filled in.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use std::time::Duration;

use super::{Battery, Load, Manner, Need, Network, RadioId, SenderId, Shift, Stretched};
use crate::law::{Demand, Role};
use crate::provenance::{Origin, Sourced};
use crate::quantity::Length;
use crate::scenario::{Identification, Plan, Station, Supply, Traffic, Window};

/// How the net is run.
#[derive(Debug, Clone, PartialEq)]
pub struct Conduct {
    /// Who must be able to talk with whom.
    pub needs: Vec<Need>,
    /// How much the operators of our radios say.
    pub traffic: BTreeMap<RadioId, Traffic>,
    /// How long an over lasts, on average, where no operator of ours is asked.
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

/// A battery as its user states it, with where its usable share comes from.
fn battery(supply: &Supply) -> Sourced<Battery> {
    supply.usable.clone().map(|usable| Battery {
        capacity_mah: supply.capacity_mah.value,
        usable: usable.as_fraction(),
    })
}

/// The exposure limits that the scenario names, or else those that its rules name.
fn limits(plan: &Plan) -> Vec<String> {
    let stated = &plan.settings.exposure_limits;
    if !stated.is_empty() {
        return stated.clone();
    }
    let named = plan.law.exposure_limits();
    named.into_iter().map(str::to_owned).collect()
}

/// How often a station identifies: as one of ours states, if that is more often than the rules want it.
fn identifies(plan: &Plan) -> Option<Sourced<Duration>> {
    let said = plan.stations.iter().filter_map(|station| {
        let stated = station.operation.identification.as_ref()?;
        match stated.value {
            Identification::Every { interval, .. } => Some(stated.clone().map(|_| interval)),
            Identification::Never => None,
        }
    });
    said.chain(must_identify(plan))
        .min_by_key(|every| every.value)
}

/// How often the rules that bind want a station to identify: the strictest.
fn must_identify(plan: &Plan) -> Option<Sourced<Duration>> {
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
        let stations = || {
            let numbered = plan.stations.iter().enumerate();
            numbered.map(|(index, station)| (RadioId(index), station))
        };
        Self {
            needs: stations()
                .flat_map(|(who, station)| {
                    let whom = station.needs.iter().map(|index| RadioId(*index));
                    whom.map(move |whom| Need { who, whom })
                })
                .collect(),
            traffic: stations()
                .map(|(radio, station)| (radio, station.traffic.clone()))
                .collect(),
            over: plan.traffic.over.clone(),
            lasts: plan.lasts.clone(),
            mains: plan.settings.mains.clone(),
            identifies: identifies(plan),
            batteries: stations()
                .filter_map(|(radio, station)| Some((radio, battery(station.battery.as_ref()?))))
                .collect(),
            public: stations()
                .filter_map(|(radio, station)| Some((radio, station.public.clone()?)))
                .collect(),
            limits: limits(plan),
        }
    }

    /// The load of the event: our operators, as many as a station stands for, and those of others whose carriers open
    /// something of ours, as often as they are on the air.
    pub fn load(&self, plan: &Plan, network: &Network) -> Load {
        let operators = || {
            let ours = network
                .talkers()
                .filter(|(id, _)| network.is_our_sender(*id));
            ours.filter_map(|(id, sender)| Some((id, sender, self.traffic.get(&sender.radio)?)))
        };
        let ours = operators().filter_map(|(id, sender, traffic)| {
            let station = plan.stations.get(sender.radio.0)?;
            let many = f64::from(station.count.max(1));
            Some((id, traffic.overs_per_hour.value * many))
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
            own_length: operators()
                .map(|(id, _, traffic)| (id, traffic.over.value))
                .collect(),
            manner: Manner::Waits,
            reaction: REACTION,
            lasts: self.lasts.value,
            shifts: self.shifts(plan, network),
            phases: self.phases(plan),
            runs: RUNS,
            seed: 1,
        }
    }

    /// A stretch of time as a part of the event; none where it lies outside.
    fn within<T>(&self, begin: i64, window: Window, what: T) -> Option<Stretched<T>> {
        let lasts = self.lasts.value;
        let at = |second: i64| {
            let past = u64::try_from(second.saturating_sub(begin)).unwrap_or(0);
            Duration::from_secs(past).min(lasts)
        };
        let (from, to) = (at(window.from), at(window.to));
        (from < to).then_some(Stretched { from, to, what })
    }

    fn shifts(&self, plan: &Plan, network: &Network) -> Vec<Stretched<Shift>> {
        let shifts = || network.shifts().iter();
        let first = || {
            shifts()
                .filter_map(|shift| shift.window)
                .map(|window| window.from)
                .min()
        };
        let Some(begin) = plan.event.window.map(|window| window.from).or_else(first) else {
            return Vec::new();
        };
        shifts()
            .filter_map(|shift| self.within(begin, shift.window?, shift.clone()))
            .collect()
    }

    fn phases(&self, plan: &Plan) -> Vec<Stretched<String>> {
        let Some(event) = plan.event.window else {
            return Vec::new();
        };
        let phases = plan.event.phases.iter();
        phases
            .filter_map(|phase| self.within(event.from, phase.window, phase.name.clone()))
            .collect()
    }

    /// Whether all operators of a plan say how much they say.
    pub fn is_traffic_stated(&self, plan: &Plan) -> bool {
        self.of_operators(plan)
            .all(|traffic| traffic.overs_per_hour.is_stated())
    }

    fn of_operators<'a>(&'a self, plan: &'a Plan) -> impl Iterator<Item = &'a Traffic> {
        let talking = plan.stations.iter().enumerate();
        talking
            .filter(|(_, station)| Station::talks(station))
            .filter_map(|(index, _)| self.traffic.get(&RadioId(index)))
    }

    /// What of the load nobody stated.
    pub fn assumed(&self, plan: &Plan) -> Vec<String> {
        let rates = self
            .of_operators(plan)
            .map(|traffic| &traffic.overs_per_hour);
        let rates: BTreeSet<String> = rates
            .filter(|rate| !rate.is_stated())
            .map(|rate| {
                format!(
                    "{:.1} overs an hour and operator ({})",
                    rate.value, rate.origin
                )
            })
            .collect();
        let lengths = self.of_operators(plan).map(|traffic| &traffic.over);
        let lengths: BTreeSet<String> = lengths
            .filter(|over| !over.is_stated())
            .map(|over| format!("{} an over ({})", super::told(over.value), over.origin))
            .collect();
        let mut assumed: Vec<String> = rates.into_iter().chain(lengths).collect();
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stretch_of_the_event_has_a_length_and_lies_within_it() {
        let text = "
event:
  name: Test
  from: 2027-05-16T08:00+00:00[UTC]
  to: 2027-05-16T14:00+00:00[UTC]
rules: [uk]
licence: full
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Base, site: hill, radio: mobile-2m, talk: 145.4500}
";
        let plan = crate::scenario::read("x.yaml", text.as_bytes(), &crate::scenario::NoFiles)
            .unwrap_or_else(|faults| panic!("{faults}"));
        let conduct = Conduct::of(&plan);
        let hour = 3_600;
        let within = |from: i64, to: i64| {
            let window = Window {
                from: 1_000 + from * hour,
                to: 1_000 + to * hour,
            };
            let found = conduct.within(1_000, window, ())?;
            Some((found.from.as_secs() / 3_600, found.to.as_secs() / 3_600))
        };
        assert_eq!(within(0, 6), Some((0, 6)));
        assert_eq!(within(-2, 9), Some((0, 6)));
        assert_eq!(within(2, 3), Some((2, 3)));
        // Before, after, and of no length.
        assert_eq!(within(-2, 0), None);
        assert_eq!(within(6, 9), None);
        assert_eq!(within(3, 3), None);
    }
}
