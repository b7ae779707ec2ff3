//! Ranking at scale, beside one pair judged by itself as `check` does.
//!
//! Run with `cargo bench`; docs/performance.md says what came out and where the time goes.

mod workload;

use divan::Bencher;
use quietpair::assess::judge;
use quietpair::quantity::Frequency;
use quietpair::scenario::{Channel, NoFiles, Plan, Proposal, Use, read};
use quietpair::search::rank;
use workload::{L, M, REGIONAL, S, Workload, XL};

mod script;

fn main() {
    divan::main();
    script::beside(&[S, M, L]);
}

fn plan(workload: Workload) -> Plan {
    match read(workload.name, workload.scenario().as_bytes(), &NoFiles) {
        Ok(plan) => plan,
        Err(error) => panic!("a workload is no scenario: {error}"),
    }
}

fn ranked(bencher: Bencher<'_, '_>, workload: Workload) {
    let plan = plan(workload);
    bencher.bench(|| {
        let searches = plan.searches.iter();
        let found: Vec<_> = searches.map(|search| rank(&plan, search, 10)).collect();
        found
    });
}

#[divan::bench(sample_count = 10, sample_size = 1)]
fn small(bencher: Bencher<'_, '_>) {
    ranked(bencher, S);
}

#[divan::bench(sample_count = 3, sample_size = 1)]
fn medium(bencher: Bencher<'_, '_>) {
    ranked(bencher, M);
}

#[divan::bench(sample_count = 2, sample_size = 1)]
fn large(bencher: Bencher<'_, '_>) {
    ranked(bencher, L);
}

/// A thousand neighbours; minutes, so only when it is named: `cargo bench -- --ignored very_large`.
#[divan::bench(sample_count = 1, sample_size = 1, ignore)]
fn very_large(bencher: Bencher<'_, '_>) {
    ranked(bencher, XL);
}

/// A whole region; minutes, so only when it is named.
#[divan::bench(sample_count = 1, sample_size = 1, ignore)]
fn regional(bencher: Bencher<'_, '_>) {
    ranked(bencher, REGIONAL);
}

/// One pair of the large workload, nothing kept from pair to pair: the plain way.
#[divan::bench(sample_count = 5, sample_size = 1)]
fn one_pair_by_itself(bencher: Bencher<'_, '_>) {
    let plan = plan(L);
    let channel = |hertz| Channel {
        frequency: Frequency::hz(hertz),
        tone: None,
    };
    let proposal = Proposal {
        name: "one".to_owned(),
        station: 0,
        what: Use::CrossBand {
            legs: [channel(433_575_000), channel(145_387_500)],
        },
        place: "bench".into(),
    };
    bencher.bench(|| judge(&plan, Some(&proposal)));
}
