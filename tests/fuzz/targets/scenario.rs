//! A scenario of any bytes; a small one that is understood is judged too.
#![no_main]

use libfuzzer_sys::fuzz_target;
use quietpair::assess::assess;
use quietpair::scenario::{NoFiles, read};

fuzz_target!(|bytes: &[u8]| match read("plan.yaml", bytes, &NoFiles) {
    Ok(plan) if plan.stations.len() + plan.in_use.len() + plan.proposals.len() <= 6 => {
        let assessment = assess(&plan);
        let judged = std::iter::once(&assessment.plan).chain(&assessment.proposals);
        for finding in judged.flat_map(|judged| &judged.findings) {
            assert!(finding.level.is_none_or(|level| level.as_dbm().is_finite()));
            assert!(
                finding
                    .margin
                    .is_none_or(|margin| margin.as_db().is_finite())
            );
        }
    }
    Ok(_) => {}
    Err(error) => drop((error.to_string(), error.coloured())),
});
