//! Services that the rule packs protect wherever one is, with the radios they are heard by.

use super::defaults::Defaults;
use super::desk::{Desk, Stated};
use super::names::tell_unknown;
use super::plan::{Guarded, Settings};
use super::radios::Radios;
use crate::document::Said;
use crate::law::{Law, Protected};
use crate::quantity::Frequency;

/// Every protected service of the law but those that the scenario states are not about.
pub(super) fn guarded(
    law: &Law,
    absent: &[Said<String>],
    settings: &Settings,
    defaults: &Defaults,
    radios: &mut Radios,
    desk: &mut Desk,
) -> Vec<Guarded> {
    let known: Vec<&str> = law.services().map(|service| service.id.as_str()).collect();
    for stated in absent
        .iter()
        .filter_map(|said| Stated::in_scenario(Some(said)))
    {
        if !known.contains(&stated.value.as_str()) {
            tell_unknown("service", &stated, &known, desk);
        }
    }
    let is_absent = |service: &&Protected| {
        absent
            .iter()
            .any(|said| said.value() == Some(&service.service))
    };
    law.protected()
        .iter()
        .filter(|service| !is_absent(service))
        .filter_map(|service| guard(service, law, settings, defaults, radios, desk))
        .collect()
}

fn guard(
    service: &Protected,
    law: &Law,
    settings: &Settings,
    defaults: &Defaults,
    radios: &mut Radios,
    desk: &mut Desk,
) -> Option<Guarded> {
    let middle = Frequency::hz(service.span.low.as_hz() + service.span.width().as_hz() / 2);
    let any = defaults.neighbour.any_radio.sourced();
    let radio = [&service.receiver, &any].into_iter().find_map(|name| {
        let profile = radios.usual(name)?;
        profile
            .receiver_at(middle)
            .is_some()
            .then_some((name, profile))
    });
    let (taken, radio) = radio?;
    desk.noted(&service.name, "radio of its receivers", taken.clone());
    desk.noted(&service.name, "nearest receiver", service.nearest.clone());
    let is_safety = law
        .service(&service.service)
        .is_some_and(|service| service.is_safety);
    Some(Guarded {
        name: service.name.clone(),
        span: service.span,
        nearest: service.nearest.clone(),
        radio,
        extra: match &service.extra {
            Some(extra) => Some(extra.clone()),
            None => is_safety.then(|| settings.safety.clone()),
        },
    })
}
