//! Neither the order of entries nor what they are called changes what is found.

use std::collections::BTreeSet;

use quietpair::finding::Finding;
use quietpair::scenario::Plan;

use super::plans::{NEIGHBOURS, STATIONS, sample, scenarios};
use super::{judged, subjects};

/// A finding without the order that its sources are told in, with every name put through `rename`.
fn told(findings: &[Finding], rename: impl Fn(&str) -> String) -> BTreeSet<String> {
    findings
        .iter()
        .map(|one| {
            let mut sources = one.sources.clone();
            for term in &mut sources {
                term.name = rename(&term.name);
                if one.victim.is_none() {
                    // What is said of a channel names the first who uses it.
                    term.name.clear();
                }
            }
            sources.sort_unstable();
            let margin = one.margin.map(|margin| margin.to_string());
            let victim = one.victim.as_ref().map(|victim| {
                let names = (rename(&victim.station), rename(&victim.receiver));
                (names, victim.frequency)
            });
            format!(
                "{} {:?} {:?} {victim:?} {sources:?} {:?} {margin:?} {:?}",
                one.check, one.severity, one.legs, one.product, one.chance
            )
        })
        .collect()
}

fn assert_same(one: &BTreeSet<String>, other: &BTreeSet<String>, what: &str) {
    let only_one: Vec<&String> = one.difference(other).collect();
    let only_other: Vec<&String> = other.difference(one).collect();
    assert!(
        only_one.is_empty() && only_other.is_empty(),
        "{what}: only before:\n{only_one:#?}\nonly after:\n{only_other:#?}"
    );
}

#[test]
fn the_order_in_the_file_does_not_change_what_is_found() {
    let stations = STATIONS;
    let mut turned = (stations, NEIGHBOURS);
    turned.0.reverse();
    turned.1.rotate_left(2);
    turned.1.swap(0, 3);
    let (one, other) = (sample(&stations, &NEIGHBOURS), sample(&turned.0, &turned.1));
    for proposal in [None, Some(0)] {
        let (one, other) = (judged(&one, proposal), judged(&other, proposal));
        assert!(one.findings.len() > 5);
        assert_eq!(
            (one.verdict, one.worst_margin),
            (other.verdict, other.worst_margin)
        );
        let (one, other) = (
            told(&one.findings, str::to_owned),
            told(&other.findings, str::to_owned),
        );
        assert_same(&one, &other, "turned about");
    }
}

/// The plan where the station at each index bears the name of that number, and so do sites and neighbours; counted from the
/// last where they are `turned`.
fn numbered(plan: &Plan, turned: bool) -> Plan {
    let mut plan = plan.clone();
    let number = |letter: char, index: usize, of: usize| {
        let index = if turned { of - 1 - index } else { index };
        format!("{letter}{index:03}x")
    };
    let (sites, stations, in_use) = (plan.sites.len(), plan.stations.len(), plan.in_use.len());
    for (index, one) in plan.sites.iter_mut().enumerate() {
        one.name = number('P', index, sites);
    }
    for (index, one) in plan.stations.iter_mut().enumerate() {
        one.name = number('S', index, stations);
        one.role = None;
    }
    for (index, one) in plan.in_use.iter_mut().enumerate() {
        one.name = number('N', index, in_use);
    }
    plan
}

/// The name that stands at the same place counted from the other end, wherever it stands in a text.
fn turned_back(plan: &Plan, text: &str) -> String {
    let mut turned = text.to_owned();
    for (letter, of) in [
        ('P', plan.sites.len()),
        ('S', plan.stations.len()),
        ('N', plan.in_use.len()),
    ] {
        for index in 0..of {
            let one = format!("{letter}{index:03}x");
            turned = turned.replace(&one, &format!("{letter}{:03}y", of - 1 - index));
        }
        for index in 0..of {
            let one = format!("{letter}{index:03}y");
            turned = turned.replace(&one, &format!("{letter}{index:03}x"));
        }
    }
    turned
}

#[test]
fn swapping_the_names_changes_nothing() {
    for (name, plan) in scenarios() {
        let (one, other) = (numbered(&plan, false), numbered(&plan, true));
        for proposal in subjects(&plan) {
            let (before, after) = (judged(&one, proposal), judged(&other, proposal));
            assert_eq!(
                (before.verdict, before.worst_margin, before.findings.len()),
                (after.verdict, after.worst_margin, after.findings.len()),
                "{name}"
            );
            let before = told(&before.findings, str::to_owned);
            let after = told(&after.findings, |text| turned_back(&plan, text));
            assert_same(&before, &after, &format!("{name}, {proposal:?}"));
        }
    }
}
