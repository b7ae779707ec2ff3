//! A third-order product of coefficients that add up to one goes along when everything is moved.

use std::collections::BTreeMap;
use std::sync::Arc;

use quietpair::quantity::{Decibels, Frequency, Offset, Span};
use quietpair::radio::Profile;
use quietpair::scenario::{Plan, Use};

use super::encounters::{Met, encounters};
use super::plans::scenarios;
use super::subjects;

/// The same frequency moved.
fn shift(frequency: &mut Frequency, by: Offset) {
    *frequency += by;
}

fn shift_span(span: &mut Span, by: Offset) {
    shift(&mut span.low, by);
    shift(&mut span.high, by);
}

fn shifted_radio(radio: &Profile, by: Offset) -> Arc<Profile> {
    let mut radio = radio.clone();
    for band in &mut radio.bands {
        if let Some(figures) = &mut band.transmitter {
            shift_span(&mut figures.span, by);
        }
        if let Some(figures) = &mut band.receiver {
            shift_span(&mut figures.span, by);
            shift_span(&mut figures.preselector.passband, by);
        }
    }
    Arc::new(radio)
}

fn shift_use(what: &mut Use, by: Offset) {
    match what {
        Use::Talk {
            transmit, receive, ..
        } => {
            shift(&mut transmit.frequency, by);
            shift(&mut receive.frequency, by);
        }
        Use::Watch { channel, .. } => shift(&mut channel.frequency, by),
        Use::CrossBand { legs } => {
            for leg in legs {
                shift(&mut leg.frequency, by);
            }
        }
        Use::Via { .. } => {}
    }
}

/// The plan with every frequency and every edge moved by as much: channels, bands of radios, filters, services.
fn shifted(plan: &Plan, by: Offset) -> Plan {
    let mut plan = plan.clone();
    for station in &mut plan.stations {
        station.radio = shifted_radio(&station.radio, by);
        for (span, _) in &mut station.antenna.gains {
            shift_span(span, by);
        }
        for filter in &mut station.filters {
            shift_span(&mut filter.span, by);
        }
        for one in &mut station.uses {
            shift_use(&mut one.what, by);
        }
    }
    for entry in &mut plan.in_use {
        entry.radio = shifted_radio(&entry.radio, by);
        for frequency in [&mut entry.output, &mut entry.input].into_iter().flatten() {
            shift(frequency, by);
        }
        if let Some(listener) = &mut entry.listener {
            listener.radio = shifted_radio(&listener.radio, by);
        }
    }
    for service in &mut plan.guarded {
        service.radio = shifted_radio(&service.radio, by);
        shift_span(&mut service.span, by);
    }
    for site in &mut plan.sites {
        for measured in &mut site.measured {
            if let Some(span) = &mut measured.at {
                shift_span(span, by);
            }
        }
    }
    for proposal in &mut plan.proposals {
        shift_use(&mut proposal.what, by);
    }
    plan
}

/// The landings on a channel of third-order products that go along with their sources.
fn landings(plan: &Plan, proposal: Option<usize>) -> BTreeMap<(String, Offset), Met> {
    encounters(plan, proposal)
        .into_values()
        .filter(|met| {
            let coefficients = &met.coefficients;
            coefficients.iter().sum::<i64>() == 1
                && coefficients.iter().map(|one| one.abs()).sum::<i64>() == 3
                && met.off.1 == met.off.0
        })
        .map(|met| ((met.moving.clone(), met.off.0), met))
        .collect()
}

#[test]
fn moving_every_frequency_and_every_edge_keeps_third_order_landings() {
    // What is fainter than the horizon is not told; paths and noise change a little with frequency.
    let little = Decibels::db(0.1);
    let mut kept = 0;
    for (name, plan) in scenarios() {
        let horizon = plan.settings.horizon.value;
        for proposal in subjects(&plan) {
            let before = landings(&plan, proposal);
            for hertz in [12_500, -37_500, 100_001] {
                let after = landings(&shifted(&plan, Offset::hz(hertz)), proposal);
                let only = |one: &BTreeMap<(String, Offset), Met>,
                            other: &BTreeMap<(String, Offset), Met>| {
                    let mut gone = one.iter().filter(|(key, met)| {
                        met.margin < horizon - little && !other.contains_key(*key)
                    });
                    gone.next().map(|(key, met)| format!("{key:?}: {met:?}"))
                };
                assert_eq!(only(&before, &after), None, "{name}, {hertz} Hz: gone");
                assert_eq!(only(&after, &before), None, "{name}, {hertz} Hz: new");
                for (key, met) in &before {
                    let Some(now) = after.get(key) else { continue };
                    let moved = (now.level - met.level).as_db().abs();
                    assert!(
                        moved < little.as_db(),
                        "{name}, {hertz} Hz: {key:?}: {moved} dB"
                    );
                    kept += 1;
                }
            }
        }
    }
    assert!(kept > 100, "only {kept} landings were looked at");
}
