//! What cannot all hold, where there are too many sets to try for a smallest one.

use quietpair::scenario::{NoFiles, read};
use quietpair::search::assign::assign;

/// Sixteen channels of which every one wants one of eight places: nine of them and that each has its own are a smallest set, and
/// there are more than twenty thousand sets of fewer.
#[test]
fn nothing_can_be_left_out_of_what_is_told_even_where_no_smallest_set_is_proved() {
    let channel = |index: usize| {
        format!("{{name: C{index}, stations: [Car], watch: 145.2000-145.2875, step: 12.5 kHz}}")
    };
    let channels: Vec<String> = (0..16).map(channel).collect();
    let text = format!(
        "event: {{name: Test}}
rules: [uk]
licence: full
sites:
  field: {{at: [54.4240, -0.5320]}}
radios: {{wide: {{based_on: mobile-2m, receivers: 20}}}}
stations:
  - {{name: Car, site: field, radio: wide}}
assign: {{channels: [{}]}}
",
        channels.join(", ")
    );
    let plan =
        read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"));
    let assignment = assign(&plan, plan.assign.as_ref().unwrap(), &|| false);
    assert!(assignment.found.is_none());
    let contradiction = assignment.contradiction.unwrap();
    assert!(!contradiction.is_smallest);
    assert_eq!(contradiction.asked.len(), 10, "{:?}", contradiction.asked);
    let own = "a frequency of its own for every channel";
    assert_eq!(contradiction.asked.last().unwrap(), own);
}

/// 2B − A = C of three that are evenly spaced, whichever of them is which.
#[test]
fn three_places_evenly_spaced_are_never_free_of_third_order() {
    let asked = |places: &str| {
        let channels: Vec<String> = ["A", "B", "C"]
            .iter()
            .map(|name| {
                format!("{{name: {name}, stations: [Car], watch: [{places}], step: 12.5 kHz}}")
            })
            .collect();
        let text = format!(
            "event: {{name: Test}}
rules: [uk]
licence: full
sites:
  field: {{at: [54.4240, -0.5320]}}
radios: {{wide: {{based_on: mobile-2m, receivers: 4}}}}
stations:
  - {{name: Car, site: field, radio: wide}}
assign: {{channels: [{}], third_order_free: [[A, B, C]]}}
",
            channels.join(", ")
        );
        let plan =
            read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"));
        assign(&plan, plan.assign.as_ref().unwrap(), &|| false)
    };
    let even = asked("145.2000, 145.3000, 145.4000");
    assert!(even.found.is_none());
    let told = even.contradiction.unwrap().asked;
    assert_eq!(
        told.last().unwrap(),
        "no third-order product of A, B and C on one of them"
    );
    let uneven = asked("145.2000, 145.3000, 145.4125");
    assert!(uneven.found.is_some() && uneven.contradiction.is_none());
}
