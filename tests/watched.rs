//! Several repeaters on one output, and whom somebody hears who listens there: the one that arrives strongest, wherever it stands in
//! the file; of equals the first.

use std::collections::BTreeSet;

use quietpair::assess::assess;
use quietpair::scenario::{NoFiles, read};

/// The sources that the service of one listener is judged by.
fn heard(in_use: &[String]) -> BTreeSet<String> {
    heard_over(in_use, "[]")
}

/// The same with what is known of paths.
fn heard_over(in_use: &[String], paths: &str) -> BTreeSet<String> {
    let lines: Vec<String> = in_use.iter().map(|one| format!("  - {one}")).collect();
    let lines = lines.join("\n");
    let text = format!(
        "event: {{name: Walk}}
rules: [uk]
licence: full
settings: {{reserve: 60 dB}}
sites:
  hill: {{at: [54.4150, -0.5320]}}
stations:
  - {{name: Ear, site: hill, radio: mobile-2m, watch: 145.6500}}
  - {{name: Other, site: hill, radio: mobile-2m, talk: 144.5000, antenna: {{offset: {{east: 5000 m, north: 0 m}}}}}}
paths: {paths}
in_use:
{lines}"
    );
    let plan =
        read("walk.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|faults| panic!("{faults}"));
    let found = assess(&plan).plan.findings;
    let service = found.iter().filter(|one| one.check == "service");
    service.map(|one| one.sources[0].name.clone()).collect()
}

fn repeater(name: &str, power: &str, latitude: &str) -> String {
    format!(
        "{{name: {name}, output: 145.6500, input: 145.0500, erp: {power}, at: [{latitude}, -0.5320]}}"
    )
}

#[test]
fn the_strongest_arrives_wherever_it_stands_in_the_file() {
    let far = repeater("Far", "25 W", "54.0");
    let weak = repeater("Weak", "1 W", "54.34");
    let near = repeater("Near", "25 W", "54.34");
    let only = |name: &str| BTreeSet::from([name.to_owned()]);
    for order in [
        [&far, &weak, &near],
        [&near, &far, &weak],
        [&weak, &near, &far],
        [&far, &near, &weak],
    ] {
        assert_eq!(heard(&order.map(Clone::clone)), only("Near"), "{order:?}");
    }
    // A weak one nearby against a strong one far away.
    assert_eq!(heard(&[far.clone(), weak.clone()]), only("Weak"));
    assert_eq!(heard(&[weak, far]), only("Weak"));
}

#[test]
fn of_two_that_arrive_alike_the_first_is_heard() {
    let one = repeater("One", "5 W", "54.34");
    let other = repeater("Other one", "5 W", "54.34");
    let heard_first = |pair: [&String; 2]| heard(&pair.map(Clone::clone));
    assert_eq!(
        heard_first([&one, &other]),
        BTreeSet::from(["One".to_owned()])
    );
    assert_eq!(
        heard_first([&other, &one]),
        BTreeSet::from(["Other one".to_owned()])
    );
}

#[test]
fn a_loss_known_between_the_two_decides_who_arrives_strongest() {
    let near = repeater("Near", "25 W", "54.34");
    let far = repeater("Far", "25 W", "54.30");
    let known = "[{between: [Ear, Near], loss: 170 dB}]";
    for order in [[&far, &near], [&near, &far]] {
        let order = order.map(Clone::clone);
        assert_eq!(heard(&order), BTreeSet::from(["Near".to_owned()]));
        assert_eq!(
            heard_over(&order, known),
            BTreeSet::from(["Far".to_owned()])
        );
    }
}
