//! `rank`: searches the candidates of a scenario and puts the safe ones in order.

use std::time::Duration;

use clap::Args;
use quietpair::assess::Verdict;
use quietpair::effort::Effort;
use quietpair::finding::Severity;
use quietpair::quantity::{Decibels, Length};
use quietpair::render::RankReport;
use quietpair::scenario::{Plan, Search};
use quietpair::search::{Answer, Question, Ranking, Supposed, Trials, answer_watched};

use crate::args::{FailOn, Page, time, whole};
use crate::extent::Extent;
use crate::failure::{Failure, unknown};
use crate::input;
use crate::output::Outcome;
use crate::patience::Patience;
use crate::sink::Sink;

/// What is wanted of `rank`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// The scenario file, or `-` for standard input
    scenario: String,
    /// Run only this search; may be given several times
    #[arg(long, value_name = "NAME")]
    name: Vec<String>,
    /// How many of the best to show, those alike counted once [default: what the search says]
    #[arg(long, value_name = "N", value_parser = |text: &str| whole(text, 1..=1_000_000))]
    top: Option<u32>,
    /// Show every candidate in a row of its own, rather than one row for those alike
    #[arg(long)]
    every: bool,
    /// Show also what no other beats in margin, band plan, chance of trouble and balance at once
    #[arg(long)]
    front: bool,
    /// Suppose that a neighbour, a station of ours or a protected service were not there; may be given several times
    #[arg(long, value_name = "NAME")]
    without: Vec<String>,
    /// Suppose that the station sends on this power step, such as `low`
    #[arg(long, value_name = "STEP")]
    power: Option<String>,
    /// Suppose a filter at the station that takes this much outside its bands, such as `20 dB`
    #[arg(long, value_name = "LOSS", value_parser = loss)]
    filter: Option<Decibels>,
    /// Show how well each row stands seeded trials, and which channels nobody else may use beside the best
    #[arg(long)]
    robust: bool,
    /// How many trials
    #[arg(long, value_name = "N", default_value_t = 1000, requires = "robust",
          value_parser = |text: &str| whole(text, 10..=1_000_000))]
    trials: u32,
    /// Where the drawing of the trials begins; the same seed gives the same answer
    #[arg(long, value_name = "SEED", default_value_t = 1, requires = "robust")]
    seed: u64,
    /// How far a surprise neighbour would be
    #[arg(
        long,
        value_name = "DISTANCE",
        default_value = "10 km",
        requires = "robust"
    )]
    stranger: Length,
    /// Stop after so long (`30s`, `5 min`) with the best found, and say how much was looked at [default: never]
    #[arg(long, value_name = "TIME", value_parser = time)]
    time_limit: Option<Duration>,
    /// From which severity of its best candidate on a search makes the exit code 1
    #[arg(long, value_enum, default_value_t = FailOn::Conflict, value_name = "SEVERITY")]
    fail_on: FailOn,
    #[command(flatten)]
    extent: Extent,
    #[command(flatten)]
    page: Page,
}

/// Searches and writes.
pub(crate) fn run(wanted: &Wanted, sink: &Sink) -> Result<Outcome, Failure> {
    let mut plan = input::plan(&wanted.scenario)?;
    wanted.extent.narrow(&mut plan);
    let names = || plan.searches.iter().map(|search| search.name.as_str());
    for name in &wanted.name {
        if !names().any(|known| known == name) {
            return Err(unknown("search", name, names()));
        }
    }
    if plan.searches.is_empty() {
        return Err(Failure::input("the scenario asks for no search")
            .hint("add `search:` with a station and what it is to find"));
    }
    let searches: Vec<&Search> = plan
        .searches
        .iter()
        .filter(|search| wanted.name.is_empty() || wanted.name.contains(&search.name))
        .collect();
    let suppose = wanted.supposed(&plan, &searches)?;
    let reckon = |plan: &Plan| {
        let efforts = searches.iter().map(|one| Effort::of_search(plan, one));
        efforts.fold(Effort::default(), Effort::and)
    };
    wanted.extent.admit_within(
        (wanted.time_limit, sink.quiet),
        "this search",
        &plan,
        reckon,
    )?;
    let patience = Patience::begin(wanted.time_limit, sink.quiet)?;
    let answers: Vec<Answer> = searches
        .iter()
        .map(|search| {
            let question = wanted.question(search, &suppose);
            answer_watched(&plan, search, &question, patience.watch())
        })
        .collect();
    let is_interrupted = patience.end() && answers.iter().any(|answer| !answer.is_whole);
    let report = RankReport {
        event: &plan.event.name,
        answers: &answers,
    };
    let page = (wanted.page.format.rank)(&report, &wanted.page.look());
    let mut rankings = answers.iter().map(|answer| &answer.ranking);
    let outcome = Outcome::page(page)
        .found(rankings.any(|ranking| wanted.is_missed(ranking)))
        .interrupted(is_interrupted)
        .detail(format_args!("read {}", plan.summary()));
    Ok(wanted.extent.told(outcome))
}

/// Reads a loss.
fn loss(text: &str) -> Result<Decibels, String> {
    let loss: Decibels = text.parse().map_err(|fault| format!("{fault}"))?;
    if loss > Decibels::ZERO {
        Ok(loss)
    } else {
        Err("a loss is above 0 dB".to_owned())
    }
}

impl Wanted {
    fn question(&self, search: &Search, suppose: &[Supposed]) -> Question {
        let top = self.top.and_then(|top| usize::try_from(top).ok());
        Question {
            top: top.unwrap_or(search.keep),
            is_every: self.every,
            wants_front: self.front,
            wants_freed: true,
            suppose: suppose.to_vec(),
            trials: self.robust.then_some(Trials {
                count: self.trials,
                seed: self.seed,
            }),
            stranger: self.robust.then_some(self.stranger),
        }
    }

    /// What is supposed, as far as the plan knows the names.
    fn supposed(&self, plan: &Plan, searches: &[&Search]) -> Result<Vec<Supposed>, Failure> {
        let mut found = Vec::new();
        for name in &self.without {
            let theirs = plan.in_use.iter().map(|entry| entry.name.as_str());
            let ours = plan.stations.iter().map(|station| station.name.as_str());
            let services = plan.guarded.iter().map(|service| service.name.as_str());
            let known = theirs.chain(ours).chain(services);
            if !known.clone().any(|known| known == name) {
                return Err(unknown("neighbour, station or service", name, known));
            }
            let is_searched = |search: &&Search| {
                let station = plan.stations.get(search.station);
                station.is_some_and(|station| station.name == *name)
            };
            if searches.iter().any(is_searched) {
                return Err(Failure::input(format_args!(
                    "a search is for {name}, which it cannot do without"
                )));
            }
            found.push(Supposed::Without(name.clone()));
        }
        if let Some(step) = &self.power {
            for search in searches {
                let bands = plan
                    .stations
                    .get(search.station)
                    .into_iter()
                    .flat_map(|station| &station.radio.bands);
                let steps = bands
                    .filter_map(|band| band.transmitter.as_ref())
                    .flat_map(|sends| &sends.steps)
                    .map(|step| step.name.as_str());
                if !steps.clone().any(|known| known == step) {
                    let mut once: Vec<&str> = Vec::new();
                    for known in steps {
                        if !once.contains(&known) {
                            once.push(known);
                        }
                    }
                    return Err(unknown("power step", step, once.into_iter()));
                }
            }
            found.push(Supposed::Power(step.clone()));
        }
        found.extend(self.filter.map(Supposed::Filter));
        Ok(found)
    }

    /// Whether even the best candidate of a search is at or above what was named.
    fn is_missed(&self, ranking: &Ranking) -> bool {
        let Some(best) = ranking.rows.first() else {
            return self.fail_on != FailOn::Never;
        };
        match best.verdict {
            Verdict::Clear => false,
            Verdict::Caution => self.fail_on.holds(Severity::Caution),
            Verdict::Conflict => self.fail_on.holds(Severity::Conflict),
        }
    }
}
