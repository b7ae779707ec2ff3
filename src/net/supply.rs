//! What a station's radio stands, and how long its battery lasts, under the load of the event.

use std::time::Duration;

use super::{Battery, Endurance, RadioId, View};
use crate::provenance::Sourced;
use crate::scenario::{Plan, Station};

/// The power step a station uses: the one it names, the one nearest to the power it states, or its radio's usual one.
pub fn power_step(station: &Station) -> Option<String> {
    if let Some(step) = &station.step {
        return Some(step.value.clone());
    }
    let figures = station
        .radio
        .bands
        .iter()
        .find_map(|band| band.transmitter.as_ref())?;
    let Some(power) = &station.power else {
        return Some(figures.usual_step.clone());
    };
    let stated = power.as_watts();
    figures
        .steps
        .iter()
        .min_by(|one, other| {
            let off = |watts: f64| (watts / stated).ln().abs();
            off(one.power.as_watts()).total_cmp(&off(other.power.as_watts()))
        })
        .map(|step| step.name.clone())
}

/// The share of the time, from 0 to 1, that a station's radio stands transmitting at the step it uses; none where its
/// profile does not say.
pub fn stood_duty(station: &Station) -> Option<f64> {
    let step = power_step(station)?;
    let mut duties = station.radio.supply.duty.iter();
    let (_, share) = duties.find(|(name, _)| *name == step)?;
    Some(share_of_percent(share.value))
}

/// A share in percent as a share from 0 to 1.
pub fn share_of_percent(value: u64) -> f64 {
    f64::from(u32::try_from(value).unwrap_or(100)) / 100.0
}

/// How long a battery lasts under the load of the event, and what that was reckoned from.
#[derive(Debug, Clone, PartialEq)]
pub struct Drain {
    /// The battery.
    pub battery: Sourced<Battery>,
    /// The share of the time that the radio transmits while it is on the air: that of the most talkative run.
    pub duty: f64,
    /// Current while it transmits, in milliamperes.
    pub transmit_ma: u64,
    /// Current while it listens, in milliamperes.
    pub receive_ma: u64,
    /// What comes of it.
    pub found: Endurance,
    /// The same for one who only listens.
    pub idle: Endurance,
    /// How long it has to last: as long as the station is on the air.
    pub needed: Duration,
}

impl View {
    /// How long the battery of a station lasts; none where it has none, or nothing is known of its currents.
    pub fn drain(&self, plan: &Plan, radio: RadioId) -> Option<Drain> {
        let battery = self.conduct.batteries.get(&radio)?;
        let station = plan.stations.get(radio.0)?;
        let load = self.load(plan);
        let report = load.radios.get(&radio)?;
        let event = self.conduct.lasts.value;
        let needed = load.present.get(&radio).copied().unwrap_or(event);
        let supply = &station.radio.supply;
        let step = power_step(station)?;
        let mut currents = supply.transmit_current.iter();
        let (_, transmit) = currents.find(|(name, _)| *name == step)?;
        // The share of the one of several radios that stands for the station.
        let shared = if self.network.is_relay(radio) {
            1.0
        } else {
            f64::from(station.count.max(1))
        };
        let there = needed.as_secs_f64() / event.as_secs_f64().max(1.0);
        let duty = (report.duty.most / shared / there.max(1e-9)).min(1.0);
        let (transmit_ma, receive_ma) = (transmit.value, supply.receive_current.value);
        Some(Drain {
            found: battery.endurance(duty, transmit_ma, receive_ma),
            idle: battery.endurance(0.0, transmit_ma, receive_ma),
            battery: battery.clone(),
            duty,
            transmit_ma,
            receive_ma,
            needed,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::provenance::Origin;
    use crate::quantity::Power;
    use crate::scene::sample::plan;

    const SHARED: &str = "
sites:
  hill: {at: [54.4150, -0.5320]}
  field: {at: [54.4250, -0.5320]}
stations:
  - {name: Control, site: hill, radio: mobile-2m, talk: 145.5000}
  - {name: Marshals, site: field, count: 4, radio: handheld, talk: 145.5000, battery: {capacity: 2 Ah}}
";

    fn said<T>(value: T) -> Sourced<T> {
        Sourced::new(value, Origin::Said("a test".into()))
    }

    #[test]
    fn a_stated_power_is_taken_for_the_step_nearest_by_ratio() {
        let mut station = plan(SHARED).stations[0].clone();
        let mut radio = (*station.radio).clone();
        let figures = radio.bands[0].transmitter.as_mut().unwrap();
        figures.steps.truncate(2);
        for (step, (name, watts)) in figures.steps.iter_mut().zip([("low", 5.0), ("high", 50.0)]) {
            step.name = name.into();
            step.power.value = Power::watts(watts);
        }
        radio.bands.truncate(1);
        station.radio = radio.into();
        station.step = None;
        let step = |watts: f64| {
            let mut station = station.clone();
            station.power = Some(said(Power::watts(watts)));
            power_step(&station)
        };
        // 15.8 W lies in the middle between 5 and 50 W.
        for (watts, name) in [
            (0.1, "low"),
            (5.0, "low"),
            (15.0, "low"),
            (17.0, "high"),
            (50.0, "high"),
            (400.0, "high"),
        ] {
            assert_eq!(step(watts).as_deref(), Some(name), "{watts} W");
        }
    }

    #[test]
    fn several_who_share_a_channel_share_what_is_sent_and_each_has_a_battery() {
        let drained = |count: &str| {
            let plan = plan(&SHARED.replace("count: 4", count));
            let scene = crate::scene::Scene::build(&plan, None);
            let view = View::of(&scene, None);
            let radio = RadioId(1);
            let most = view.load(&plan).radios[&radio].duty.most;
            let drain = view.drain(&plan, radio).unwrap();
            assert!(most > 0.0);
            drain.duty / most
        };
        assert!((drained("count: 4") - 0.25).abs() < 1e-9);
        assert!((drained("count: 1") - 1.0).abs() < 1e-9);
    }
}
