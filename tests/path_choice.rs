//! A path model chosen in the scenario speaks for every path it can, and the budget says where it was chosen.

use std::io;

use quietpair::assess::assess;
use quietpair::physics::path;
use quietpair::scenario::{Files, Plan, read};

struct Nothing;

impl Files for Nothing {
    fn read(&self, _: &str) -> io::Result<Vec<u8>> {
        Err(io::ErrorKind::NotFound.into())
    }
}

/// Two channels 12.5 kHz apart, 9 km from each other, and what is set.
fn plan(settings: &str) -> Plan {
    let text = format!(
        "event: {{name: Walk}}
rules: [uk]
licence: full
settings: {{{settings}}}
sites:
  hill: {{at: [54.4150, -0.5320], ground: 100 m}}
  shore: {{at: [54.4950, -0.5320], ground: 5 m}}
stations:
  - {{name: Hill, site: hill, radio: mobile-2m, talk: 145.5250}}
  - {{name: Shore, site: shore, radio: mobile-2m, talk: 145.5250}}
  - {{name: Beside, site: shore, radio: mobile-2m, talk: 145.5375}}
"
    );
    match read("walk.yaml", text.as_bytes(), &Nothing) {
        Ok(plan) => plan,
        Err(error) => panic!("{error}"),
    }
}

/// The paths in the budgets of the findings of a check, each with its note.
fn paths(settings: &str, check: fn(&str) -> bool) -> Vec<(String, String)> {
    let found = assess(&plan(settings)).plan.findings;
    found
        .iter()
        .filter(|finding| check(finding.check))
        .flat_map(|finding| &finding.budget)
        .filter(|step| step.what.starts_with("path of "))
        .map(|step| (step.what.clone(), step.note.clone()))
        .collect()
}

#[test]
fn the_chosen_model_speaks_and_the_budget_says_where_it_was_chosen() {
    for model in ["free-space", "plane-earth", "okumura-hata", "smooth-earth"] {
        assert!(path::ALL.iter().any(|one| one.id == model));
        let settings = format!("path: {model}, horizon: 90 dB");
        let found = paths(&settings, |check| check == "adjacent-channel");
        assert!(!found.is_empty(), "{model}");
        for (what, note) in found {
            assert!(what.ends_with(&format!("by {model}")), "{what}: {note}");
            assert!(note.starts_with("chosen in walk.yaml, line 4"), "{note}");
        }
    }
}

#[test]
fn without_a_choice_the_reason_is_the_model_s_own() {
    for settings in ["", "path: auto"] {
        let settings = format!(
            "{settings}{}horizon: 90 dB",
            if settings.is_empty() { "" } else { ", " }
        );
        let found = paths(&settings, |check| check == "adjacent-channel");
        assert!(!found.is_empty());
        assert!(found.iter().all(|(what, note)| {
            what.ends_with("by free-space")
                && note.starts_with("interference is judged by free space")
        }));
    }
}
