//! The whole flow in one short function, and the verdict.

use std::fmt;

use crate::checks::{self, Check, Situation};
use crate::encounter::Standing;
use crate::finding::{Finding, Severity};
use crate::quantity::{Decibels, Frequency};
use crate::scenario::{Legs, Plan, Proposal};
use crate::scene::{Scene, Trial};

/// What comes of it all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// Nothing within reach of what would hurt.
    Clear,
    /// It can go well; somebody must look.
    Caution,
    /// It will hurt, or is not allowed.
    Conflict,
}

impl Verdict {
    /// The verdict that a list of findings adds up to: its worst.
    pub fn of(findings: &[Finding]) -> Self {
        match findings.iter().map(|finding| finding.severity).max() {
            Some(Severity::Conflict) => Self::Conflict,
            Some(Severity::Caution) => Self::Caution,
            Some(Severity::Note) | None => Self::Clear,
        }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Clear => "clear",
            Self::Caution => "caution",
            Self::Conflict => "conflict",
        })
    }
}

/// One thing that was judged: the plan as it stands, or one proposal put to it.
#[derive(Debug, Clone)]
pub struct Judged {
    /// The proposal's name; none for the plan as it stands.
    pub proposal: Option<String>,
    /// What was judged, in a line: `Hill relay repeats 433.4500 ↔ 145.2250 MHz`.
    pub what: String,
    /// Its legs, as written.
    pub legs: Vec<Frequency>,
    /// The worst of its findings.
    pub verdict: Verdict,
    /// The least margin of its encounters; none when nothing came within the horizon.
    pub worst_margin: Option<Decibels>,
    /// What was found, worst first.
    pub findings: Vec<Finding>,
}

/// Everything that was judged.
#[derive(Debug, Clone)]
pub struct Assessment {
    /// Name of the event.
    pub event: String,
    /// The plan as it stands.
    pub plan: Judged,
    /// Every proposal, in the scenario's order.
    pub proposals: Vec<Judged>,
}

/// Judges the plan as it stands and every proposal put to it.
pub fn assess(plan: &Plan) -> Assessment {
    Assessment {
        event: plan.event.name.clone(),
        plan: judge(plan, None),
        proposals: plan
            .proposals
            .iter()
            .map(|proposal| judge(plan, Some(proposal)))
            .collect(),
    }
}

/// Judges the plan as it stands, or what a proposal adds to it.
pub fn judge(plan: &Plan, proposal: Option<&Proposal>) -> Judged {
    let trial = proposal.map(Trial::whole);
    let scene = Scene::build(plan, trial);
    let wanted: &[Legs] = match trial.map(|trial| trial.present) {
        None => &[Legs::NONE],
        Some(Legs::BOTH) => &[Legs::FIRST, Legs::SECOND, Legs::BOTH],
        Some(_) => &[Legs::FIRST],
    };
    let whole = trial.map_or(Legs::NONE, |trial| trial.present);
    let standing = Standing::of(std::slice::from_ref(&scene));
    let all = standing.gather(&scene);
    let among = |&focus: &Legs| Situation::among(&all, proposal, focus);
    let parts: Vec<Situation<'_>> = wanted.iter().map(among).collect();
    let mut findings: Vec<Finding> = parts.iter().flat_map(findings_in).collect();
    let whole = Situation::beside(&parts, &all, (proposal, whole));
    findings.extend(findings_as_a_whole(&whole));
    Judged::of(proposal, plan, findings)
}

/// Everything that is found of the plan with a proposal in place, worst first: what the proposal adds, and what is left of
/// the plan's own where the proposal takes the place of something.
pub fn in_place(plan: &Plan, proposal: &Proposal) -> Vec<Finding> {
    let trial = Trial::whole(proposal);
    let scene = Scene::build(plan, Some(trial));
    let within = |focus: &Legs| trial.present.holds(*focus);
    let standing = Standing::of(std::slice::from_ref(&scene));
    let all = standing.gather(&scene);
    let among = |focus: Legs| Situation::among(&all, Some(proposal), focus);
    let legs = Legs::ALL.into_iter().filter(within);
    let parts: Vec<Situation<'_>> = legs.map(among).collect();
    let mut found: Vec<Finding> = parts.iter().flat_map(findings_in).collect();
    for whole in [Legs::NONE, trial.present] {
        let whole = Situation::beside(&parts, &all, (Some(proposal), whole));
        found.extend(findings_as_a_whole(&whole));
    }
    found.sort_by(Finding::worst_first);
    found
}

/// What the checks of the plan as a whole find with a proposal in place, without any encounter being looked for: what a
/// search that judged the legs one by one still has to ask of the rows it shows.
pub fn judge_as_a_whole(plan: &Plan, proposal: &Proposal) -> Vec<Finding> {
    let trial = Trial::whole(proposal);
    let scene = Scene::build(plan, Some(trial));
    findings_as_a_whole(&Situation::new(&scene, Some(proposal), trial.present))
}

/// Everything the checks find that rests on exactly the legs of one focus or another, in no particular order.
pub fn findings(scene: &Scene<'_>, trial: Option<&Proposal>, foci: &[Legs]) -> Vec<Finding> {
    let standing = Standing::of(std::slice::from_ref(scene));
    let all = standing.gather(scene);
    let among = |&focus: &Legs| findings_in(&Situation::among(&all, trial, focus));
    foci.iter().flat_map(among).collect()
}

/// Everything the checks find in a situation that rests on exactly the legs of its focus, in no particular order.
pub fn findings_in(situation: &Situation<'_>) -> Vec<Finding> {
    let mut found = heard_in(situation);
    found.extend(asked_in(situation));
    found
}

/// Of these, what somebody hears.
pub fn heard_in(situation: &Situation<'_>) -> Vec<Finding> {
    asked(checks::HEARD, situation)
}

/// Of these, everything else: it does not depend on what has been met.
pub fn asked_in(situation: &Situation<'_>) -> Vec<Finding> {
    let hears = |check: &&Check| {
        checks::HEARD
            .iter()
            .any(|one| one.topic.id == check.topic.id)
    };
    asked(checks::ALL.iter().filter(|check| !hears(check)), situation)
}

/// Everything the checks find about the plan as a whole in a situation whose focus is all that is under trial, in no
/// particular order.
pub fn findings_as_a_whole(situation: &Situation<'_>) -> Vec<Finding> {
    asked(checks::WHOLE, situation)
}

/// The same of those checks that look at the net, its load and the people near it.
pub fn findings_of_the_net(situation: &Situation<'_>) -> Vec<Finding> {
    asked(checks::of_the_net(), situation)
}

/// The same of those checks that add up what is met.
pub fn findings_of_sums(situation: &Situation<'_>) -> Vec<Finding> {
    asked(checks::of_sums(), situation)
}

fn asked<'a>(
    checks: impl IntoIterator<Item = &'a Check>,
    situation: &Situation<'_>,
) -> Vec<Finding> {
    let mut found = Vec::new();
    for check in checks {
        (check.run)(situation, &mut found);
    }
    found
}

impl Judged {
    /// A verdict from what was found, the findings put in order.
    fn of(proposal: Option<&Proposal>, plan: &Plan, mut findings: Vec<Finding>) -> Self {
        findings.sort_by(Finding::worst_first);
        Self {
            proposal: proposal.map(|proposal| proposal.name.clone()),
            what: proposal.map_or_else(|| plan.summary(), |proposal| proposal.summary(plan)),
            legs: proposal
                .map(|proposal| proposal.what.frequencies())
                .unwrap_or_default(),
            verdict: Verdict::of(&findings),
            worst_margin: findings.iter().filter_map(Finding::firm_margin).min(),
            findings,
        }
    }
}
