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
