//! How far a command goes: what it leaves out when asked to, and when it asks back because it would take very long.

use std::io::Write;
use std::time::Duration;

use clap::Args;
use quietpair::effort::{CEILING, Effort};
use quietpair::scenario::Plan;

use crate::args::whole;
use crate::failure::Failure;
use crate::output::Outcome;

/// How far a command goes.
#[derive(Debug, Args)]
pub(crate) struct Extent {
    /// Look at products of intermodulation up to this order only [default: what the scenario says]
    #[arg(long, value_name = "N", value_parser = |text: &str| whole(text, 2..=7))]
    order: Option<u32>,
    /// Look at products of so many signals at most [default: what the scenario says]
    #[arg(long, value_name = "N", value_parser = |text: &str| whole(text, 2..=4))]
    signals: Option<u32>,
    /// Begin even where it will take very long
    #[arg(long)]
    however_long: bool,
}

impl Extent {
    /// Leaves out of a plan what is not to be looked at.
    pub(crate) fn narrow(&self, plan: &mut Plan) {
        plan.look_no_further(self.order, self.signals);
    }

    /// Says beside a result what was left out.
    pub(crate) fn told(&self, outcome: Outcome) -> Outcome {
        let order = self.order.map(|order| format!("up to order {order}"));
        let signals = self
            .signals
            .map(|most| format!("of {most} signals at most"));
        let said: Vec<String> = order.into_iter().chain(signals).collect();
        if said.is_empty() {
            return outcome;
        }
        outcome.remark(&format!(
            "quietpair: products {} were looked at, as the call says",
            said.join(" and ")
        ))
    }

    /// Lets a question pass that is not too large, or that somebody wants answered all the same.
    ///
    /// # Errors
    /// The question is too large: how large, and what would make it smaller.
    pub(crate) fn admit(
        &self,
        what: &str,
        plan: &Plan,
        reckon: impl Fn(&Plan) -> Effort,
    ) -> Result<(), Failure> {
        self.admit_unless(what, reckon(plan), || {
            format!("{}; {ALL_THE_SAME}", cures(plan, &reckon))
        })
    }

    /// The same of a question that somebody may have set a limit of time to: under one it passes, and is told how large it is
    /// unless nothing is to be said.
    ///
    /// # Errors
    /// The same, without a limit of time.
    pub(crate) fn admit_within(
        &self,
        (limit, is_quiet): (Option<Duration>, bool),
        what: &str,
        plan: &Plan,
        reckon: impl Fn(&Plan) -> Effort,
    ) -> Result<(), Failure> {
        let effort = reckon(plan);
        let admitted = self.admit_unless(what, effort, || {
            format!(
                "{}, search less of the bands or in larger steps; --time-limit stops `rank` and `assign` with the best they \
                 have, {ALL_THE_SAME}",
                cures(plan, &reckon)
            )
        });
        if admitted.is_ok() || limit.is_none() {
            return admitted;
        }
        if !is_quiet {
            let mut stderr = anstream::stderr().lock();
            // When even standard error is gone there is nobody left to tell.
            let _ = writeln!(
                stderr,
                "quietpair: {what} is about {effort}; it will hardly end before its time is up"
            );
        }
        Ok(())
    }

    fn admit_unless(
        &self,
        what: &str,
        effort: Effort,
        cures: impl Fn() -> String,
    ) -> Result<(), Failure> {
        if effort <= CEILING || self.however_long {
            return Ok(());
        }
        let message = format!("{what} is about {effort}; up to {CEILING} are gone through unasked");
        Err(Failure::input(message).hint(cures()))
    }
}

/// What every question that is too large leaves to the user.
const ALL_THE_SAME: &str = "--however-long begins all the same";

/// What would make a question smaller, the options that suffice first.
fn cures(plan: &Plan, reckon: impl Fn(&Plan) -> Effort) -> String {
    let (order, signals) = (plan.settings.order.value, plan.settings.signals.value);
    let tried = [
        ("--order 5", Some(5), None),
        ("--signals 2", None, Some(2)),
        ("--order 5 --signals 2", Some(5), Some(2)),
        ("--order 3 --signals 2", Some(3), Some(2)),
    ];
    let suffices = tried.into_iter().find_map(|(call, most, of)| {
        let is_less = most.is_none_or(|most| most < order) && of.is_none_or(|of| of < signals);
        let mut smaller = plan.clone();
        smaller.look_no_further(most, of);
        let effort = reckon(&smaller);
        (is_less && effort <= CEILING).then(|| format!("use {call} (about {effort}), or "))
    });
    format!(
        "{}leave out neighbours that are out of reach (there are {})",
        suffices.unwrap_or_default(),
        plan.in_use.len()
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use quietpair::scenario::{NoFiles, read};

    fn plan() -> Plan {
        let text = "event: {name: A}\nrules: [uk]\nsites: {hill: {at: IO94ql}}\nstations:\n  - {name: A, site: hill, radio: handheld}\n";
        read("a.yaml", text.as_bytes(), &NoFiles).unwrap()
    }

    fn extent(however_long: bool) -> Extent {
        Extent {
            order: None,
            signals: None,
            however_long,
        }
    }

    #[test]
    fn only_what_is_too_large_and_unwanted_is_refused() {
        let plan = plan();
        let large = |_: &Plan| CEILING.and(Effort::products(1));
        let small = |_: &Plan| CEILING;
        assert!(extent(false).admit("this", &plan, small).is_ok());
        assert!(extent(false).admit("this", &plan, large).is_err());
        assert!(extent(true).admit("this", &plan, large).is_ok());
        let within = |limit| extent(false).admit_within((limit, true), "this", &plan, large);
        assert!(within(Some(Duration::from_secs(1))).is_ok());
        assert!(within(None).is_err());
    }

    #[test]
    fn a_cure_is_named_only_where_it_suffices() {
        let plan = plan();
        let never = cures(&plan, |_| CEILING.and(CEILING));
        assert!(!never.contains("use --"), "{never}");
        let by_signals = cures(&plan, |plan| {
            let is_less = plan.settings.signals.value < 3;
            if is_less {
                CEILING
            } else {
                CEILING.and(CEILING)
            }
        });
        assert!(
            by_signals.starts_with("use --signals 2 (about "),
            "{by_signals}"
        );
        let stated = cures(&plan, |plan| {
            let is_less = plan.settings.order.value < 7;
            if is_less {
                CEILING
            } else {
                CEILING.and(CEILING)
            }
        });
        assert!(stated.starts_with("use --order 5 (about "), "{stated}");
    }
}
