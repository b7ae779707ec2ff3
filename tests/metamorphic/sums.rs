//! A level, a threshold and a margin are the sum of what is told of them.

use quietpair::budget::Step;
use quietpair::finding::Matter;

use super::plans::scenarios;
use super::{judged, subjects};

fn total(steps: &[Step]) -> f64 {
    steps.iter().map(|step| step.change.as_db()).sum()
}

#[test]
fn every_level_threshold_and_margin_adds_up() {
    let mut seen = 0;
    for (name, plan) in scenarios() {
        for finding in subjects(&plan).flat_map(|one| judged(&plan, one).findings) {
            let at = format!("{name}: {} {}", finding.check, finding.arithmetic);
            let (Some(level), Some(threshold)) = (finding.level, finding.threshold) else {
                continue;
            };
            if finding.budget.is_empty() && finding.matter != Matter::Interference {
                // A limit of the law has a sum, told in one line.
                continue;
            }
            seen += 1;
            let near = |sum: f64, said: f64| (sum - said).abs() < 0.1;
            assert!(near(total(&finding.budget), level.as_dbm()), "{at}: level");
            assert!(
                near(total(&finding.limit), threshold.as_dbm()),
                "{at}: threshold"
            );
            let apart = (threshold - level).as_db();
            let margin = finding.margin.unwrap().as_db();
            // A wanted signal is to be above its threshold; two ways of one may be told as their difference.
            if finding.matter == Matter::Interference {
                assert!(near(apart, margin), "{at}: margin");
            } else {
                assert!(near(apart.abs(), margin.abs()), "{at}: margin");
            }
        }
    }
    assert!(seen > 100, "only {seen} levels were looked at");
}
