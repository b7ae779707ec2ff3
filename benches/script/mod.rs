//! The same workloads beside the script that a skilled user would write, where Python and its arrays are at hand.

use std::io::Write;
use std::process::{Command, Stdio};
use std::time::Instant;

use quietpair::quantity::{Frequency, Span};
use quietpair::scenario::{Plan, SearchRange};
use quietpair::search::rank;
use serde_json::{Value, json};

use crate::workload::Workload;

/// The script.
const SCRIPT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/script/enumerate.py");

/// So many pairs are timed; the rest takes as long each.
const TIMED: usize = 3;

/// Says of each workload how long a search takes and how long the script would. `PYTHON` names an interpreter that has
/// numpy.
pub(crate) fn beside(workloads: &[Workload]) {
    for &workload in workloads {
        let plan = crate::plan(workload);
        let Some(told) = asked(&plan, workload.order) else {
            println!("no Python with numpy here: nothing to compare with");
            return;
        };
        let pairs = told["all"].as_f64().unwrap_or(0.0);
        let number = |key: &str| told[key].as_f64().unwrap_or(0.0);
        let each = number("seconds") / number("pairs").max(1.0);
        let begun = Instant::now();
        for search in &plan.searches {
            divan::black_box(rank(&plan, search, 10));
        }
        let ranked = begun.elapsed().as_secs_f64();
        println!(
            "{}: rank {ranked:.1} s; the script {each:.3} s a pair of {:.0} products, {:.0} s for {pairs:.0} pairs: {:.0} times",
            workload.name,
            number("products") / number("pairs").max(1.0),
            each * pairs,
            each * pairs / ranked
        );
    }
}

/// What the script says of a plan; none where it cannot be run.
fn asked(plan: &Plan, order: u32) -> Option<Value> {
    let search = plan.searches.first()?;
    let SearchRange::CrossBand([first, second]) = &search.range else {
        return None;
    };
    let step = search.step.value.as_hz();
    let channels = |stretches: &[Span]| -> Vec<i64> {
        let ends = stretches
            .iter()
            .map(|one| (one.low.as_hz(), one.high.as_hz()));
        ends.flat_map(|(low, high)| (0..=(high - low) / step).map(move |n| low + n * step))
            .collect()
    };
    let in_use = plan
        .in_use
        .iter()
        .flat_map(|one| one.output.into_iter().chain(one.input));
    let in_use: Vec<i64> = in_use.map(Frequency::as_hz).collect();
    let (first, second) = (channels(first), channels(second));
    let all = first.len() * second.len();
    let question = json!({
        "order": order, "first_hz": first, "second_hz": second, "in_use_hz": in_use, "within_hz": 8_000, "pairs": TIMED,
    });
    let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let mut child = Command::new(python)
        .arg(SCRIPT)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .ok()?;
    child
        .stdin
        .take()?
        .write_all(question.to_string().as_bytes())
        .ok()?;
    let out = child.wait_with_output().ok()?;
    let mut told: Value = serde_json::from_slice(&out.stdout).ok()?;
    told["all"] = all.into();
    Some(told)
}
