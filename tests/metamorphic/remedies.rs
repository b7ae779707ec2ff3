//! A remedy, applied to the plan and judged again, clears its finding.

use std::collections::{BTreeMap, BTreeSet};

use quietpair::assess::Judged;
use quietpair::finding::{Change, Finding, Matter, Severity};
use quietpair::quantity::{Bandwidth, Decibels, Length, Power, Span};
use quietpair::scenario::{FilterLoss, Legs, Plan, Use};
use quietpair::scene::{Owner, Scene, Trial};
use rayon::prelude::*;

use super::plans::scenarios;
use super::{judged, said, subjects};

/// The plan with a change made.
fn changed(plan: &Plan, proposal: Option<usize>, change: &Change) -> Plan {
    let mut plan = plan.clone();
    let station = |name: &str| {
        let found = plan.stations.iter().position(|one| one.name == name);
        found.unwrap_or_else(|| panic!("no station is called {name}"))
    };
    match change {
        Change::Move { leg, to } => match &mut plan.proposals[proposal.unwrap()].what {
            Use::CrossBand { legs } => legs[*leg].frequency = *to,
            Use::Watch { channel, .. } => channel.frequency = *to,
            Use::Talk {
                transmit, receive, ..
            } => {
                transmit.frequency = *to;
                receive.frequency = *to;
            }
            Use::Via { .. } => panic!("nothing to be moved"),
        },
        Change::Retune { from, to } => {
            let uses = plan.stations.iter_mut().flat_map(|one| &mut one.uses);
            for one in uses {
                let channels = match &mut one.what {
                    Use::CrossBand { legs } => legs.iter_mut().collect(),
                    Use::Talk {
                        transmit, receive, ..
                    } => vec![transmit, receive],
                    Use::Watch { channel, .. } => vec![channel],
                    Use::Via { .. } => Vec::new(),
                };
                for channel in channels.into_iter().filter(|one| one.frequency == *from) {
                    channel.frequency = *to;
                }
            }
        }
        Change::LowerPower { station: name, to } => {
            let index = station(name);
            plan.stations[index].power = Some(said(Power::of_level(*to)));
        }
        Change::Filter {
            station: name,
            at,
            loss,
        } => {
            let index = station(name);
            plan.stations[index].filters.push(FilterLoss {
                name: "remedy".to_owned(),
                span: Span::around(*at, Bandwidth::hz(25_000)),
                loss: said(*loss),
            });
        }
        Change::Apart {
            station: name,
            from,
            to,
        } => {
            let index = station(name);
            if let Some(other) = plan.stations.iter().position(|one| one.name == *from) {
                let (east, north) = plan.stations[other].antenna.offset.unwrap_or_default();
                let there = (Length::metres(east.as_metres() + to.as_metres()), north);
                plan.stations[index].antenna.offset = Some(there);
            } else if let Some(service) = plan.guarded.iter_mut().find(|one| one.name == *from) {
                service.nearest = said(*to);
            } else {
                let entry = plan.in_use.iter_mut().find(|one| one.name == *from);
                let listener = entry.and_then(|entry| entry.listener.as_mut());
                listener
                    .unwrap_or_else(|| panic!("{from} has no listener"))
                    .nearest = said(*to);
            }
        }
    }
    plan
}

/// Whether a filter leaves the station what it sends and hears itself.
fn leaves_its_own(plan: &Plan, proposal: Option<usize>, change: &Change) -> bool {
    let Change::Filter { station, at, .. } = change else {
        return true;
    };
    let trial = proposal.map(|index| Trial::whole(&plan.proposals[index]));
    let scene = Scene::build(plan, trial);
    let is_its = |owner: Owner| match owner {
        Owner::Station(index) => plan.stations[index].name == *station,
        Owner::InUse(_) | Owner::Protected(_) => false,
    };
    let sent = scene
        .transmitters
        .iter()
        .map(|one| (one.owner, one.frequency));
    let heard = scene.receivers.iter().map(|one| (one.owner, one.frequency));
    sent.chain(heard)
        .filter(|&(owner, _)| is_its(owner))
        .all(|(_, own)| (own - *at).abs().as_hz() > 100_000)
}

/// What stays of a finding when frequencies move: check, legs, victim, sources with their coefficients.
type Key = (
    &'static str,
    Legs,
    Option<(String, String)>,
    Vec<(String, i32)>,
);

fn key(finding: &Finding) -> Key {
    let victim = finding.victim.clone();
    let mut sources: Vec<(String, i32)> = finding
        .sources
        .iter()
        .map(|term| (term.name.clone(), term.coefficient))
        .collect();
    sources.sort_unstable();
    (
        finding.check,
        finding.legs,
        victim.map(|victim| (victim.station, victim.receiver)),
        sources,
    )
}

/// How many findings of a key, of any severity, fall short of a margin or have none. Several may: one line on several
/// responses of one receiver.
fn short(findings: &[Finding], of: &Key, margin: Decibels) -> usize {
    findings
        .iter()
        .filter(|one| key(one) == *of && one.margin.is_none_or(|its| its < margin))
        .count()
}

/// Whether a finding that no frequency moved for is still there and still short of a margin.
fn stays(findings: &[Finding], of: &Finding, margin: Decibels) -> bool {
    findings
        .iter()
        .filter(|one| key(one) == key(of) && one.arithmetic == of.arithmetic)
        .filter(|one| (one.product, one.offset) == (of.product, of.offset))
        .any(|one| one.margin.is_none_or(|its| its < margin))
}

/// What came of the remedies of one subject.
#[derive(Debug, Default)]
struct Outcome {
    /// How many changes of each kind were tried.
    tried: BTreeMap<&'static str, usize>,
    /// The checks that have a remedy in words only.
    in_words: BTreeSet<&'static str>,
    /// What stayed although its remedy was applied.
    failed: Vec<String>,
}

fn tried(name: &str, plan: &Plan, proposal: Option<usize>) -> Outcome {
    let enough = plan.settings.reserve.value - Decibels::db(0.05);
    let before = judged(plan, proposal);
    let mut outcome = Outcome::default();
    // The same change is often proposed for many findings; it is judged once.
    let mut after: Vec<(Change, Judged)> = Vec::new();
    for finding in &before.findings {
        // A landing on a safety service is a caution however much is in hand.
        let is_mended = finding.margin.is_some_and(|margin| margin >= enough);
        assert!(
            finding.severity == Severity::Note || is_mended || !finding.remedies.is_empty(),
            "{name}: nothing is said of how to mend {finding:?}"
        );
        for remedy in &finding.remedies {
            let Some(change) = remedy.change.as_ref() else {
                outcome.in_words.insert(finding.check);
                continue;
            };
            let kind = match change {
                Change::Move { .. } => "move",
                Change::Retune { .. } => "retune",
                Change::LowerPower { .. } => "less power",
                Change::Filter { .. } => "filter",
                Change::Apart { .. } => "apart",
            };
            *outcome.tried.entry(kind).or_default() += 1;
            assert!(leaves_its_own(plan, proposal, change), "{name}: {change:?}");
            if !after.iter().any(|(known, _)| known == change) {
                let plan = changed(plan, proposal, change);
                after.push((change.clone(), judged(&plan, proposal)));
            }
            let (_, then) = after.iter().find(|(known, _)| known == change).unwrap();
            let key = key(finding);
            let was = short(&before.findings, &key, enough);
            let is = short(&then.findings, &key, enough);
            let is_cleared = match change {
                // Where it lies has changed with everything: there is one fewer of its kind.
                Change::Move { .. } | Change::Retune { .. } => is < was,
                _ => !stays(&then.findings, finding, enough),
            };
            // A channel that the law forbids is no cure.
            let forbidden = |judged: &Judged| {
                let by_law = judged.findings.iter().filter(|finding| {
                    finding.matter == Matter::Law && finding.severity == Severity::Conflict
                });
                by_law.count()
            };
            let is_lawful = forbidden(then) <= forbidden(&before);
            if !is_cleared || !is_lawful {
                outcome.failed.push(format!(
                    "{name}, {}: {:?} {} {} {:?}: {change:?}: {was} before, {is} after",
                    before.what,
                    finding.severity,
                    finding.check,
                    finding.arithmetic,
                    finding.margin
                ));
            }
        }
    }
    outcome
}

#[test]
fn every_remedy_that_can_be_applied_clears_its_finding() {
    let plans = scenarios();
    let asked: Vec<_> = plans
        .iter()
        .flat_map(|(name, plan)| subjects(plan).map(move |proposal| (name, plan, proposal)))
        .collect();
    let outcomes: Vec<Outcome> = asked
        .par_iter()
        .map(|&(name, plan, proposal)| tried(name, plan, proposal))
        .collect();
    let failed: Vec<&str> = outcomes
        .iter()
        .flat_map(|one| &one.failed)
        .map(String::as_str)
        .collect();
    assert!(
        failed.is_empty(),
        "{} stay:\n{}",
        failed.len(),
        failed.join("\n")
    );
    let mut tried: BTreeMap<&str, usize> = BTreeMap::new();
    for (kind, count) in outcomes.iter().flat_map(|one| &one.tried) {
        *tried.entry(kind).or_default() += count;
    }
    assert_eq!(tried.len(), 5, "{tried:?}");
    // What is left to people: practice, figures that are theirs to state, and what no figure within reach mends.
    let words: BTreeSet<&str> = outcomes
        .iter()
        .flat_map(|one| &one.in_words)
        .copied()
        .collect();
    let practice = BTreeSet::from([
        "band-plan",
        "break-in",
        "build-up",
        "calling-frequency",
        "likely-neighbour",
        "messages",
        "operating-duty",
        "relay-pair",
        "service",
        "single-point",
        "time-out",
        "timing",
        "tone-close",
    ]);
    let beyond_reach = BTreeSet::from([
        "adjacent-channel",
        "adjacent-power",
        "alternate-channel",
        "blocking",
        "co-channel",
        "receiver-intermodulation",
        "transmitter-noise",
    ]);
    assert_eq!(words, &practice | &beyond_reach);
}
