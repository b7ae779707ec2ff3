use serde::Deserialize;

use super::*;
use crate::quantity::{Bandwidth, Frequency, Length, Position, Power};

#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Mode {
    Fm,
    NarrowFm,
    Width(Bandwidth),
}

#[derive(Debug, PartialEq, Deserialize)]
struct Plan {
    name: Said<String>,
    #[serde(default)]
    stations: Vec<Said<Station>>,
    #[serde(default)]
    sites: Entries<Site>,
}

#[derive(Debug, PartialEq, Deserialize)]
struct Station {
    name: Said<String>,
    frequency: Said<Frequency>,
    power: Option<Said<Power>>,
    mode: Option<Said<Mode>>,
    tone: Option<Said<u8>>,
    attended: Option<Said<bool>>,
    pair: Option<Said<[Said<Frequency>; 2]>>,
}

#[derive(Debug, PartialEq, Deserialize)]
struct Site {
    at: Said<Position>,
    ground: Option<Said<Length>>,
}

fn source(text: &str) -> Source {
    Source::new("plan.yaml", text.as_bytes()).unwrap()
}

fn plan(text: &str) -> Plan {
    read(&source(text))
        .into_result()
        .unwrap_or_else(|faults| panic!("{faults}"))
}

/// Line, column and message of each fault.
fn faults(text: &str) -> Vec<String> {
    let source = source(text);
    let faults = read::<Plan>(&source).faults;
    let at = |fault: &Fault| {
        (
            source.line(fault.place.start),
            source.column(fault.place.start),
        )
    };
    faults
        .list()
        .iter()
        .map(|fault| {
            let (line, column) = at(fault);
            format!("{line}:{column} {}", fault.message)
        })
        .collect()
}

#[test]
fn a_plan_is_read_with_its_places() {
    let text = "name: Run\nsites:\n  hill: {at: [54.4, -0.5], ground: 118 m}\n  shore: {at: IO94ql}\nstations:\n  - {name: 146, frequency: 145.500, mode: fm}\n  - name: B\n    frequency: '433450 kHz'\n    mode: {width: 12.5 kHz}\n    pair: [145.2250, 433.4500]\n    attended: no\n";
    let plan = plan(text);
    let [first, second] = plan.stations.as_slice() else {
        panic!("{plan:?}")
    };
    let first = first.value().unwrap();
    assert_eq!(first.name.value().unwrap(), "146");
    assert_eq!(first.frequency.value(), Some(&Frequency::hz(145_500_000)));
    let place = first.frequency.place();
    assert_eq!(text.get(place.start..place.end), Some("145.500"));
    let second = second.value().unwrap();
    assert_eq!(second.frequency.value(), Some(&Frequency::hz(433_450_000)));
    assert_eq!(
        second.mode.unwrap().value(),
        Some(&Mode::Width(Bandwidth::hz(12_500)))
    );
    assert_eq!(second.attended.unwrap().value(), Some(&false));
    let names: Vec<_> = plan
        .sites
        .iter()
        .map(|(name, _)| name.value().unwrap().as_str())
        .collect();
    assert_eq!(names, ["hill", "shore"]);
}

#[test]
fn all_faults_of_a_file_are_told_at_once() {
    let text = "\
nmae: Run
stations:
  - name: A
    frequency: 145,5
    power: [5 W]
    mode: narow-fm
    tone: 300
    attended: maybe
    pair: [145.2250]
    colour: red
  - frequency: 145.1234567
    name: {a: b}
    name: again
  - mode: {width: wide}
  - 145.5
sites:
  hill: {at: [91, 0], ground: high}
  shore: {at: [54]}
";
    let told = faults(text);
    let expected = [
        "1:1 the key `name` is missing here",
        "1:1 unknown key `nmae`; did you mean `name`?",
        "4:16 `145,5` is not a plain decimal number such as 145.2250 (write a point for the comma); expected a frequency such as 145.2250 or \"433450 kHz\"",
        "5:12 expected a power such as \"25 W\", \"500 mW\" or \"44 dBm\", found a list",
        "6:11 unknown value `narow-fm`; did you mean `narrow-fm`?",
        "7:11 expected a whole number up to 255, found `300`",
        "8:15 expected `yes` or `no`, found `maybe`",
        "9:11 expected a list of 2, found a list of 1",
        "10:5 unknown key `colour`",
        "11:16 `145.1234567` has more decimals than can be kept: 6 at most in this unit; expected a frequency such as 145.2250 or \"433450 kHz\"",
        "12:11 expected a text, found a mapping",
        "13:5 the key `name` stands here twice",
        "14:5 the key `frequency` is missing here",
        "14:5 the key `name` is missing here",
        "14:19 `wide` is not a width; expected a bandwidth such as \"12.5 kHz\"",
        "15:5 expected a mapping with keys such as `name`, `frequency`, `power`, `mode`, found `145.5`",
        "17:14 latitude 91 is out of range: from −90 to 90 degrees",
        "17:31 there is no number here; expected a length such as \"5 m\", \"6 km\" or \"1500 ft\"",
        "18:15 expected a position such as [54.4150, -0.5320] or IO94ql, found a list of 1",
    ];
    assert_eq!(told, expected);
}

#[test]
fn a_fault_is_shown_with_its_line_and_the_cure() {
    let source = source(
        "name: Run\nstations:\n  - name: Ä\n    frequency: 145.5\n    mode: fmm\n    name: B\n",
    );
    let shown = read::<Plan>(&source).faults.to_string();
    assert_eq!(
        shown,
        "\
error: unknown value `fmm`; did you mean `fm`?
 --> plan.yaml:5:11
  |
5 |     mode: fmm
  |           ^^^
  |
  = help: known here: fm, narrow-fm, width

error: the key `name` stands here twice
 --> plan.yaml:6:5
  |
6 |     name: B
  |     ^^^^
  |
 ::: plan.yaml:3:5
  |
3 |   - name: Ä
  |     ---- first here
  |
  = help: keep one of the two; what is to be both stands in a list"
    );
}

#[test]
fn merge_keys_and_anchors_fill_in_what_is_not_said() {
    let plan = plan(
        "name: Run\nstations:\n  - &a {name: A, frequency: 145.5, power: 5 W}\n  - {<<: *a, name: B}\n  - {<<: [*a], frequency: 433.5}\n",
    );
    let told: Vec<_> = plan
        .stations
        .iter()
        .map(|station| {
            let station = station.value().unwrap();
            let name = station.name.value().unwrap().as_str();
            (
                name,
                station.frequency.value().unwrap().as_hz(),
                station.power.unwrap().into_value(),
            )
        })
        .collect();
    let five = Some(Power::watts(5.0));
    assert_eq!(
        told,
        [
            ("A", 145_500_000, five),
            ("B", 145_500_000, five),
            ("A", 433_500_000, five)
        ]
    );
}

#[test]
fn what_yaml_allows_and_a_plan_does_not_need_is_refused() {
    for (text, told) in [
        (
            "name: A\n---\nname: B\n",
            "2:1 a second document begins here",
        ),
        ("name: !secret A\n", "1:7 a tag has no meaning in this file"),
        ("name: *a\n", "1:7 no anchor `&a` stands above this"),
        (
            "name: &a [*a]\n",
            "1:11 this alias stands inside what it repeats",
        ),
        (
            "name: A\n[a]: B\n",
            "2:1 a key is a word, not a list or a mapping",
        ),
        (
            "name: A\n<<: B\n",
            "2:5 `<<` brings in a mapping or a list of mappings, and this is neither",
        ),
        ("# nothing\n", "1:1 the file holds nothing but comments"),
    ] {
        assert!(
            faults(text).contains(&told.to_owned()),
            "{text}: {:?}",
            faults(text)
        );
    }
    assert!(
        faults("name: [A\n")
            .iter()
            .any(|told| told.contains("not valid YAML"))
    );
}

#[test]
fn an_empty_key_is_nothing_and_an_empty_list_is_empty() {
    assert_eq!(faults("name:\n"), ["1:5 expected a text, found nothing"]);
    assert!(plan("name: A\nstations:\n").stations.is_empty());
}

#[test]
fn columns_count_characters_after_a_byte_order_mark_and_windows_line_breaks() {
    let told = faults("\u{FEFF}name: Ä\r\nstations:\r\n  - {name: ÄÖÜ, frequency: x}\r\n");
    assert_eq!(told.len(), 1);
    assert!(told[0].starts_with("3:28 "), "{told:?}");
}

#[test]
fn hostile_files_end_in_a_fault_and_soon() {
    let lines = |count: usize, line: &dyn Fn(usize) -> String| {
        (0..count).map(line).collect::<Vec<_>>().join("\n")
    };
    let bomb = lines(12, &|level| {
        let alias = format!("*a{}, ", level.saturating_sub(1)).repeat(9);
        let list = if level == 0 { "x" } else { &alias };
        format!("a{level}: &a{level} [{list}]")
    });
    let keys = "k0: 1, k1: 1, k2: 1, k3: 1, k4: 1, k5: 1, k6: 1, k7: 1, k8: 1";
    let bomb_of_merges =
        format!("a: &a {{{keys}}}\n") + &lines(150_000, &|n| format!("b{n}: {{<<: *a}}"));
    for (text, told) in [
        (bomb, "grows beyond"),
        (bomb_of_merges, "grows beyond"),
        ("[".repeat(100_000), "deep"),
        ("{a: ".repeat(100_000), "deep"),
        (format!("name: {}", "[".repeat(100_000)), "deep"),
        (lines(1000, &|n| format!("{}a:", " ".repeat(n))), "deep"),
        (
            format!(
                "stations: {}",
                "[{}, {nmae: x, frequency: no}], ".repeat(20_000)
            ),
            "not valid",
        ),
        (
            format!(
                "stations: [{}]",
                "{}, {nmae: x, frequency: no}, ".repeat(20_000)
            ),
            "`frequency` is missing",
        ),
    ] {
        let begun = std::time::Instant::now();
        let faults = faults(&text);
        assert!(
            faults.iter().any(|fault| fault.contains(told)),
            "{faults:?}"
        );
        // Never a stopwatch on a busy machine: what is not proportional takes minutes.
        assert!(
            begun.elapsed().as_secs() < 60,
            "{told}: {:?}",
            begun.elapsed()
        );
    }
}

#[test]
fn an_alias_cannot_hide_how_deep_it_is() {
    let deep = |levels: usize| format!("{}{}", "[".repeat(levels), "]".repeat(levels));
    let text = format!("a: &a {}\nb: [[[*a]]]\n", deep(30));
    assert!(faults(&text).iter().any(|fault| fault.contains("deep")));
    let text = format!("a: &a {}\nb: [*a]\n", deep(29));
    assert!(!faults(&text).iter().any(|fault| fault.contains("deep")));
}

#[test]
fn a_long_line_is_shown_in_part_and_a_long_text_is_cut() {
    let text = format!(
        "name: A\nstations: [{{name: {}, frequency: 1.5, mode: fmm}}, {{mode: {0}}}]\n",
        "x".repeat(1_000_000)
    );
    let shown = read::<Plan>(&source(&text)).faults.to_string();
    assert!(
        shown.contains("plan.yaml:2:1000043\n")
            && shown.contains("frequency: 1.5, mode: fmm}, {mode: xxx")
            && shown.len() < 3_000,
        "{shown}"
    );
}

#[test]
fn a_message_shows_control_characters_and_does_not_send_them() {
    let shown = read::<Plan>(&source("name: A\nstations: [{mode: \"\\e[31m\\u202e\"}]\n")).faults;
    assert!(
        !shown.to_string().contains(['\u{1b}', '\u{202e}']),
        "{shown}"
    );
    assert!(shown.to_string().contains("\\u{1b}"), "{shown}");
    assert!(shown.coloured().contains('\u{1b}'));
}

#[test]
fn the_schema_of_a_said_value_is_that_of_the_value() {
    let said = schemars::schema_for!(Entries<Said<Frequency>>);
    let plain = schemars::schema_for!(std::collections::BTreeMap<String, Frequency>);
    assert_eq!(said, plain);
    assert!(said.as_value().to_string().contains("145.2250"));
}

mod properties {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
            if let Ok(source) = Source::new("x", &bytes) {
                let _ = read::<Plan>(&source).faults.to_string();
            }
        }

        #[test]
        fn no_yaml_makes_it_panic_and_every_gap_has_its_fault(text in "([a-c&*!<]|name|stations|: |- |\n|\n  |[\\[\\]{},'\"#|>?]|ä|\u{202e}|\t|\r){0,40}") {
            if let Ok(source) = Source::new("x", text.as_bytes()) {
                let reading = read::<Plan>(&source);
                let _ = reading.faults.coloured();
                for fault in reading.faults.list() {
                    prop_assert!(fault.place.start <= source.text().len());
                    prop_assert!(reading.faults.to_string().contains("x:"));
                }
                if let Ok(plan) = reading.into_result() {
                    prop_assert!(plan.name.value().is_some());
                }
            }
        }
    }
}
