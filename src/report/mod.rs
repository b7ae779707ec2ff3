//! Everything that goes into a report on one plan: the verdict in a sentence, what each operator must set, the plan as a
//! form, and what every picture shows. What it looks like is left to rendering.

use std::cmp::Reverse;

use crate::assess::{Assessment, Verdict, assess, in_place};
use crate::finding::{Finding, Severity};
use crate::law::Role;
use crate::net::View;
use crate::overview::{Overview, overview_of};
use crate::quantity::{Decibels, Frequency};
use crate::scenario::{Plan, Proposal, Use};
use crate::scene::{Scene, Trial};
use crate::search::{PairMap, pair_map};

mod cards;
mod form;
mod graph;
mod map;
mod spectrum;
mod times;

pub use cards::{Card, Setting};
pub use form::{Form, FormRow};
pub use graph::{Edge, Graph, Knot, Part};
pub use map::{Far, Kind, Map, Place, Stretch};
pub use spectrum::{Carrier, Hearing, Keep, Landing, Segment, Spectrum};
pub use times::{Bar, Bars, Over, Times};

/// What the reader of a report says of it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Prepared {
    /// Who prepared it.
    pub by: Option<String>,
    /// When it was prepared, in their words: nothing here reads a clock.
    pub at: Option<String>,
}

/// A report on one plan.
#[derive(Debug, Clone)]
pub struct Report {
    /// The plan at a glance, with what is reckoned to be in place.
    pub overview: Overview,
    /// The verdict in one sentence.
    pub sentence: String,
    /// When the event is, as the scenario says.
    pub when: Option<(String, String)>,
    /// Everything that was judged: the plan as it stands, then each proposal.
    pub subjects: Vec<Subject>,
    /// What was found of what is in place, worst first.
    pub findings: Vec<Found>,
    /// Names of our stations.
    pub stations: Vec<String>,
    /// A card for each station that does something.
    pub cards: Vec<Card>,
    /// The plan as a form.
    pub form: Form,
    /// What lies in each band.
    pub spectra: Vec<Spectrum>,
    /// Where everybody is; none where no place is known.
    pub map: Option<Map>,
    /// Who repeats whom.
    pub graph: Graph,
    /// What happens when.
    pub times: Times,
    /// How the pairs of each search fare.
    pub pairs: Vec<Pairs>,
    /// The rule packs that were asked.
    pub packs: Vec<PackAsked>,
    /// Every value that was not stated: what, value, where it came from.
    pub defaults: Vec<(String, String, String)>,
}

/// One thing that was judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Subject {
    /// The proposal's name; none for the plan as it stands.
    pub name: Option<String>,
    /// What it is, in a line.
    pub what: String,
    /// The worst of its findings.
    pub verdict: Verdict,
    /// Its least margin.
    pub worst_margin: Option<Decibels>,
    /// Whether it is reckoned to be in place in this report.
    pub is_chosen: bool,
}

/// A finding, and which of our stations it has to do with.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The finding.
    pub finding: Finding,
    /// Indexes into [`Report::stations`].
    pub stations: Vec<usize>,
}

/// How the pairs of a search fare, and which pair is in place.
#[derive(Debug, Clone, PartialEq)]
pub struct Pairs {
    /// The pairs.
    pub map: PairMap,
    /// The pair in place, first leg and second as the search has them; none where there is none.
    pub chosen: Option<[Frequency; 2]>,
    /// The pairs with most in hand that do not conflict, best first: legs and margin.
    pub best: Vec<([Frequency; 2], Option<Decibels>)>,
}

/// A rule pack that was asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PackAsked {
    /// What it is.
    pub title: String,
    /// Which kind of rules.
    pub kind: String,
    /// Which edition.
    pub edition: String,
    /// Share of its entries that were read in the published text or a reprint, in percent.
    pub checked_percent: usize,
    /// Whether it is a neighbour's only.
    pub is_neighbours: bool,
}

/// How many of the best pairs are named.
const NAMED: usize = 5;

/// Makes a report with a proposal in place; without one, with the best of the plan's proposals.
pub fn report(plan: &Plan, proposal: Option<&Proposal>, prepared: &Prepared) -> Report {
    let assessment = assess(plan);
    let proposal = proposal.or_else(|| best(plan, &assessment));
    let findings = match proposal {
        Some(proposal) => in_place(plan, proposal),
        None => assessment.plan.findings.clone(),
    };
    let trial = proposal.map(Trial::whole);
    let scene = Scene::build(plan, trial);
    let view = View::of(&scene, trial);
    let overview = overview_of(proposal, &findings, &scene, &view);
    let cards = cards::cards(&scene, &view, &overview, &findings);
    let form = form::form(&scene, &view, prepared);
    let stations: Vec<String> = plan
        .stations
        .iter()
        .map(|station| station.name.clone())
        .collect();
    Report {
        sentence: sentence(overview.verdict, &findings),
        when: plan.event.when.clone(),
        subjects: subjects(&assessment, proposal),
        spectra: spectrum::spectra(&scene, &findings),
        map: map::map(&scene, &view.network),
        graph: graph::graph(&view.network),
        times: times::times(plan, &view),
        pairs: pairs(plan, proposal),
        packs: packs(plan),
        defaults: plan
            .defaults
            .iter()
            .map(|(what, value, origin)| (what.clone(), value.clone(), origin.to_string()))
            .collect(),
        findings: findings
            .into_iter()
            .map(|finding| Found {
                stations: touched(&stations, &finding),
                finding,
            })
            .collect(),
        stations,
        overview,
        cards,
        form,
    }
}

/// The proposal with the mildest verdict and, among those, the most in hand; the scenario's order decides between equals.
fn best<'a>(plan: &'a Plan, assessment: &Assessment) -> Option<&'a Proposal> {
    let judged = plan.proposals.iter().zip(&assessment.proposals);
    judged
        .min_by_key(|(_, judged)| {
            let is_near = judged.worst_margin.is_some();
            (judged.verdict, is_near, Reverse(judged.worst_margin))
        })
        .map(|(proposal, _)| proposal)
}

/// A number of things in words.
fn counted(count: usize, one: &str) -> String {
    if count == 1 {
        format!("1 {one}")
    } else {
        format!("{count} {one}s")
    }
}

fn sentence(verdict: Verdict, findings: &[Finding]) -> String {
    let count = |severity: Severity| {
        let are_so = findings.iter().filter(|one| one.severity == severity);
        are_so.count()
    };
    let (conflicts, cautions) = (count(Severity::Conflict), count(Severity::Caution));
    let margin = findings.iter().filter_map(Finding::firm_margin).min();
    let in_hand = margin.map_or_else(String::new, |margin| {
        format!("; the least margin is {margin}")
    });
    match verdict {
        Verdict::Clear => format!(
            "Nothing that was looked at comes near enough to hurt or is against the rules asked{in_hand}."
        ),
        Verdict::Caution => format!(
            "Nothing conflicts, but somebody must look at {} before the event{in_hand}.",
            counted(cautions, "point")
        ),
        Verdict::Conflict => format!(
            "Not like this: {} will hurt or {} not allowed, and {} more {} a look{in_hand}.",
            counted(conflicts, "point"),
            if conflicts == 1 { "is" } else { "are" },
            counted(cautions, "point"),
            if cautions == 1 { "wants" } else { "want" },
        ),
    }
}

fn subjects(assessment: &Assessment, chosen: Option<&Proposal>) -> Vec<Subject> {
    std::iter::once(&assessment.plan)
        .chain(&assessment.proposals)
        .map(|judged| Subject {
            name: judged.proposal.clone(),
            what: judged.what.clone(),
            verdict: judged.verdict,
            worst_margin: judged.worst_margin,
            is_chosen: judged.proposal.as_ref() == chosen.map(|one| &one.name),
        })
        .collect()
}

/// Which of our stations a finding has to do with: those that suffer, and those that take part in it.
fn touched(stations: &[String], finding: &Finding) -> Vec<usize> {
    let is_named = |name: &String| {
        let side = |text: &str| {
            text == name
                || text
                    .strip_prefix(name.as_str())
                    .is_some_and(|rest| rest.starts_with(','))
        };
        finding
            .victim
            .as_ref()
            .is_some_and(|victim| side(&victim.station))
            || finding.sources.iter().any(|source| side(&source.name))
    };
    (0..stations.len())
        .filter(|&index| stations.get(index).is_some_and(is_named))
        .collect()
}

fn pairs(plan: &Plan, proposal: Option<&Proposal>) -> Vec<Pairs> {
    let legs_of = |what: &Use| match what {
        Use::CrossBand { legs: [one, other] } => Some([one.frequency, other.frequency]),
        _ => None,
    };
    let searches = plan.searches.iter();
    searches
        .filter_map(|search| {
            let map = pair_map(plan, search)?;
            let proposed = proposal.filter(|one| one.station == search.station);
            let planned = plan.stations.get(search.station);
            let chosen = proposed.and_then(|one| legs_of(&one.what)).or_else(|| {
                let mut uses = planned?.uses.iter();
                uses.find_map(|one| legs_of(&one.what))
            });
            Some(Pairs {
                best: quietest(&map),
                chosen,
                map,
            })
        })
        .collect()
}

/// The pairs with most in hand that do not conflict.
fn quietest(map: &PairMap) -> Vec<([Frequency; 2], Option<Decibels>)> {
    let legs = map
        .first
        .iter()
        .flat_map(|one| map.second.iter().map(move |other| [*one, *other]));
    let mut found: Vec<_> = legs
        .zip(map.worst.iter().copied().zip(&map.refused))
        .filter(|(_, (_, is_refused))| !**is_refused)
        .map(|(legs, (worst, _))| (legs, worst))
        .collect();
    found.sort_by_key(|(legs, worst)| (worst.is_some(), Reverse(*worst), *legs));
    found.truncate(NAMED);
    found
}

fn packs(plan: &Plan) -> Vec<PackAsked> {
    plan.law
        .layers()
        .iter()
        .map(|layer| PackAsked {
            title: layer.pack.title.clone(),
            kind: layer.pack.kind.to_string(),
            edition: layer.pack.edition.clone(),
            checked_percent: layer.pack.checked_share(),
            is_neighbours: layer.role == Role::Neighbour,
        })
        .collect()
}
