//! What few plans come by, asked of the whole program: rules of one's own with one day alone or a permission, a place that nobody
//! stated, a relay without a timer, a ring of relays, a receiver deafer than its noise, a path to a neighbour. All is invented.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

const RULES: &str = r#"
pack: local
title: Invented club file
kind: local
jurisdiction: an invented county
edition: "1"
checked: 2026-11-25
sources:
  letter: {text: "letter of an invented coordinator, 2027-02-01", standing: choice}
rules:
  - {id: from-may, spans: [[447.0, 447.2]], from: 2027-05-01, demand: forbidden, force: caution, says: taken, source: letter}
  - {id: until-june, spans: [[447.4, 447.6]], until: 2027-06-30, demand: forbidden, force: caution, says: taken, source: letter}
  - {id: fair, spans: [[446.4, 446.6]], demand: forbidden, force: caution, says: the fair has it, source: letter}
  - {id: by-wire, spans: [[445.9, 446.1]], demand: {control: [remote]}, force: caution, says: by wire, source: letter}
permissions:
  - {name: Letter of the fair, lifts: [local/fair], spans: [[446.4, 446.6]], source: letter}
"#;

fn folder(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"))
        .join("seldom")
        .join(name);
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join("local.yaml"), RULES).unwrap();
    folder
}

/// Exit code, standard output, standard error.
fn quietpair(call: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_quietpair"))
        .args(call)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    let code = output.status.code().unwrap();
    (code, text(output.stdout), text(output.stderr))
}

/// A call with a plan at its end.
fn asked(folder: &Path, plan: &str, call: &[&str]) -> (i32, String, String) {
    let path = folder.join("plan.yaml");
    fs::write(&path, plan).unwrap();
    quietpair(&[call, &[path.to_str().unwrap()]].concat())
}

/// What a command says of a plan, whatever it finds.
fn said(folder: &Path, plan: &str, call: &[&str]) -> String {
    let (code, stdout, stderr) = asked(folder, plan, call);
    assert!(code < 2, "{stderr}");
    stdout
}

/// What is said of a plan that is refused.
fn refused(folder: &Path, plan: &str) -> String {
    let (code, stdout, stderr) = asked(folder, plan, &["check"]);
    assert_eq!((code, stdout.as_str()), (2, ""));
    stderr
}

/// What `check` finds in a plan.
fn checked(folder: &Path, plan: &str) -> Vec<Value> {
    let told = said(folder, plan, &["check", "--all", "--format", "json"]);
    let mut answer: Value = serde_json::from_str(&told).unwrap();
    match answer["findings"].take() {
        Value::Array(findings) => findings,
        other => panic!("{other}"),
    }
}

/// The finding of a check whose words hold something.
fn found<'a>(findings: &'a [Value], check: &str, words: &str) -> &'a Value {
    let mut of_it = findings.iter().filter(|one| one["check"] == check);
    let has = |one: &&Value| one["says"].as_str().unwrap().contains(words);
    of_it
        .find(has)
        .unwrap_or_else(|| panic!("{check}: {words}"))
}

/// Whether a finding's field holds some words.
fn holds(finding: &Value, field: &str, words: &str) {
    let text = finding[field].to_string();
    assert!(text.contains(words), "{field}: {text}");
}

#[test]
fn a_rule_that_begins_or_ends_and_an_event_without_days() {
    let plan = "
event: {name: Harbour run}
rules: [us, local.yaml]
licence: general
sites:
  hill: {at: [40.0, -95.0], ground: 100 m}
stations:
  - {name: One, site: hill, radio: dual-band-mobile, talk: 447.1000}
  - {name: Two, site: hill, radio: dual-band-mobile, talk: 447.5000}
  - {name: Three, site: hill, radio: dual-band-mobile, talk: 446.5000}
  - {name: Four, site: hill, radio: dual-band-mobile, talk: 446.0000}
";
    let findings = checked(&folder("days"), plan);
    for (who, holds_when) in [
        (
            "One on 447.1000 MHz",
            "a rule holds from 2027-05-01, and the days of the event are not stated",
        ),
        (
            "Two on 447.5000 MHz",
            "a rule holds until 2027-06-30, and the days of the event are not stated",
        ),
    ] {
        let one = found(&findings, "time-limited", who);
        holds(one, "says", holds_when);
        holds(one, "remedies", "state the event's `from:` and `to:`");
        assert_eq!(one["severity"], "caution");
    }
    // What is lifted is a note, and says by whom.
    let lifted = found(&findings, "purpose", "Three on 446.5000 MHz");
    assert_eq!(lifted["severity"], "note");
    holds(lifted, "says", "; lifted by Letter of the fair");
    holds(
        lifted,
        "why",
        "Lifted by Letter of the fair: letter of an invented coordinator",
    );
    // How a station is controlled was not stated either.
    let control = found(
        &findings,
        "control",
        "Four on 446.0000 MHz is under attended control, and it must be remote",
    );
    holds(control, "assumed", "control of Four: ");
    holds(control, "remedies", "put Four under remote control");
}

#[test]
fn whether_a_place_that_is_not_stated_lies_in_a_zone_is_not_known() {
    let plan = "
event: {name: Harbour run}
rules: [uk]
licence: full
sites:
  somewhere: {ground: 20 m}
stations:
  - {name: Lost, site: somewhere, radio: dual-band-mobile, talk: 431.5000}
";
    let findings = checked(&folder("zone"), plan);
    let zone = found(
        &findings,
        "zone",
        "Lost on 431.5000 MHz: whether it stands in the 100 km",
    );
    assert_eq!(zone["severity"], "note");
    holds(zone, "remedies", "state where the site is (`at:`)");
}

/// A opens B, B opens C, C opens D, D opens A: none of them is held by another alone.
#[test]
fn relays_in_a_ring_and_one_that_no_timer_stops() {
    let plan = "
event: {name: Harbour run}
rules: [uk]
licence: full
sites:
  hill: {at: [54.4150, -0.5320], ground: 100 m}
  moor: {at: [54.4350, -0.5320], ground: 100 m}
  tor: {at: [54.4250, -0.5120], ground: 100 m}
radios:
  no-timer: {based_on: dual-band-mobile, timing: {time_out: none}}
stations:
  - {name: A, site: hill, radio: no-timer, cross_band: [433.5000, 145.2250]}
  - {name: B, site: moor, radio: dual-band-mobile, cross_band: [145.2250, 433.5500]}
  - {name: C, site: tor, radio: dual-band-mobile, cross_band: [433.5500, 145.3250]}
  - {name: D, site: tor, radio: dual-band-mobile, cross_band: [145.3250, 433.5000]}
";
    let findings = checked(&folder("ring"), plan);
    let ring = found(
        &findings,
        "repeat-loop",
        "relays key each other in a ring: A",
    );
    assert_eq!(ring["severity"], "conflict");
    holds(
        ring,
        "says",
        "D, 70cm side, which sends on 433.5000 MHz and opens A, 70cm side",
    );
    let stuck = found(&findings, "time-out", "A has no time-out timer");
    assert_eq!(stuck["severity"], "caution");
    holds(stuck, "remedies", "set a timer of three minutes or less");
    let timed = found(&findings, "time-out", "B stops after 3 min");
    assert_eq!(timed["severity"], "note");
}

/// How many dB a station is short of being heard, on the best path, by one that lies due north of it; both have plain antennas and
/// no feeder.
fn missing(sensitivity: i32, beam: &str) -> f64 {
    let plan = format!(
        "
event: {{name: Harbour run}}
rules: [uk]
licence: full
sites:
  hill: {{at: [54.4150, -0.5320], ground: 100 m}}
  tor: {{at: [54.4650, -0.5320], ground: 100 m}}
radios:
  deaf: {{based_on: mobile-2m, receiver: {{sensitivity: {sensitivity} dBm}}}}
stations:
  - {{name: Near, site: hill, radio: mobile-2m, power: 10 W, talk: 145.4000, antenna: {{height: 5 m, gain: 0 dBi, feeder: 0 dB{beam}}}}}
  - {{name: Deaf, site: tor, radio: deaf, talk: 145.4000, antenna: {{height: 5 m, gain: 0 dBi, feeder: 0 dB}}}}
"
    );
    let findings = checked(&folder("missing"), &plan);
    let service = found(&findings, "service", "Deaf, 2m side does not hear Near");
    let says = service["says"].as_str().unwrap();
    let (_, figure) = says.split_once("best path ").unwrap();
    let (figure, _) = figure.split_once(' ').unwrap();
    figure.parse().unwrap()
}

/// What is asked of the wanted signal is the sensitivity then, not what the noise leaves.
///
/// Free space (ITU-R P.525): 32.4 + 20 log 145.4 MHz + 20 log 5.566 km = 90.6 dB, so that −50.6 dBm arrive of 10 W. Two twentieths
/// of a degree of latitude there are 5.566 km (WGS 84).
#[test]
fn a_receiver_that_is_deafer_than_its_noise_asks_for_its_sensitivity() {
    let arrives = 40.0 - (32.4 + 20.0 * 145.4_f64.log10() + 20.0 * 5.566_f64.log10());
    for sensitivity in [-40, -30] {
        let expected = f64::from(sensitivity) - arrives;
        let found = missing(sensitivity, "");
        assert!(
            (found - expected).abs() < 0.15,
            "{found} dB, {expected} expected"
        );
    }
}

/// The neighbour's place is not stated, only how far it is: a ridge must lie on the way.
#[test]
fn a_ridge_on_the_way_to_a_neighbour_lies_within_its_distance() {
    let plan = |ridge: u32| {
        format!(
            "
event: {{name: Harbour run}}
rules: [uk]
licence: full
sites:
  hill: {{at: [54.4150, -0.5320], ground: 100 m}}
paths:
  - {{between: [hill, Town], ridge: {{height: 400 m, at: {ridge} km}}}}
stations:
  - {{name: Base, site: hill, radio: mobile-2m, talk: 145.4000}}
in_use:
  - {{name: Town, output: 145.6500, input: 145.0500, erp: 25 W, distance: 12 km, ground: 50 m}}
"
        )
    };
    let folder = folder("ridge");
    checked(&folder, &plan(5));
    let told = refused(&folder, &plan(13));
    assert!(
        told.contains("plan.yaml:8:") && told.contains("12 km"),
        "{told}"
    );
}

/// The pattern is common practice for a small beam: full gain within 30° of its bearing, its front-to-back ratio less beyond 90°,
/// a straight line in dB between. The other station lies due north.
#[test]
fn a_beam_loses_towards_its_back_what_is_stated_and_half_of_it_at_sixty_degrees() {
    let missing = |bearing: u32| {
        missing(
            -20,
            &format!(", beam: {{bearing: {bearing}, front_to_back: 15 dB}}"),
        )
    };
    let ahead = missing(0);
    for (bearing, lost) in [
        (25, 0.0),
        (335, 0.0),
        (60, 7.5),
        (300, 7.5),
        (90, 15.0),
        (180, 15.0),
        (250, 15.0),
    ] {
        let found = missing(bearing) - ahead;
        assert!(
            (found - lost).abs() < 0.15,
            "{bearing}°: {found} dB, {lost} expected"
        );
    }
}

/// Phases and times on the air are bars of the day; what lies outside the event is cut off.
#[test]
fn a_report_has_the_day_with_its_phases_and_who_is_on_the_air() {
    let plan = "
event:
  name: Harbour run
  from: 2027-05-16T07:30+01:00[Europe/London]
  to: 2027-05-16T15:00+01:00[Europe/London]
  phases: [{name: start, from: 08:00, to: 09:00}, {name: finish, from: 13:00, to: 15:00}]
rules: [uk]
licence: full
sites:
  hill: {at: [54.4150, -0.5320], ground: 100 m}
stations:
  - {name: Base, site: hill, radio: mobile-2m, talk: 145.4000}
  - {name: Sweep, site: hill, radio: mobile-2m, talk: 145.4000, on_air: [{from: 09:00, to: 12:30}]}
";
    let call = ["report", "--format", "svg", "--picture", "day"];
    let picture = said(&folder("day"), plan, &call);
    for words in ["start", "finish", "Base", "Sweep"] {
        assert!(picture.contains(words), "{words}");
    }
    // An hour is 62.4 wide, and the event begins at 200: the first phase half an hour after that, Sweep an hour and a half.
    let bars: Vec<(f64, f64)> = picture
        .split("<rect class=\"bar-")
        .skip(1)
        .map(|bar| {
            let figure = |name: &str| -> f64 {
                let from = bar.split(&format!(" {name}=\"")).nth(1).unwrap();
                from.split('"').next().unwrap().parse().unwrap()
            };
            (figure("x"), figure("width"))
        })
        .collect();
    let hours = |from: f64, long: f64| (200.0 + 62.4 * from, 62.4 * long);
    let expected = [
        hours(0.5, 1.0),
        hours(5.5, 2.0),
        hours(0.0, 7.5),
        hours(1.5, 3.5),
    ];
    assert_eq!(bars.len(), expected.len(), "{bars:?}");
    for (bar, expected) in bars.iter().zip(expected) {
        assert!(
            (bar.0 - expected.0).abs() < 0.11 && (bar.1 - expected.1).abs() < 0.11,
            "{bars:?}"
        );
    }
}

const SEARCHED: &str = "
event: {name: Harbour run}
rules: [uk]
licence: full
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile}
";

/// The page names the quietest pairs that are shown; where none is safe it says so, as the search itself does.
#[test]
fn a_page_names_the_quietest_pairs_of_a_search_or_that_there_is_none() {
    let folder = folder("pairs");
    // 435.675 is three times 145.225: with it alone everything conflicts.
    let pairs = |second: &str| {
        format!(
            "{SEARCHED}search:\n  - {{name: pair, station: Relay, cross_band: [{second}, 145.225-145.226], step: 25 kHz}}\n"
        )
    };
    let page = said(&folder, &pairs("433.4-433.6"), &["report"]);
    let ranked = said(
        &folder,
        &pairs("433.4-433.6"),
        &["rank", "--format", "json", "--every"],
    );
    let ranked: Value = serde_json::from_str(&ranked).unwrap();
    let rows = ranked["searches"][0]["rows"].as_array().unwrap();
    // All have the same in hand, 25 kHz apart, and the page has them by frequency.
    let in_hand = |row: &Value| row["worst_margin_db"].as_f64().unwrap();
    let margin = in_hand(&rows[0]);
    assert!(rows.iter().all(|row| (in_hand(row) - margin).abs() < 0.05));
    let at = page.find("The quietest of the pairs shown").unwrap();
    let list = &page[at..at + page[at..].find("</ol>").unwrap()];
    let named: Vec<String> = (0..5)
        .map(|n| {
            format!(
                "{:.4} ↔ 145.2250 MHz: {margin:.1} dB in hand",
                433.4 + 0.025 * f64::from(n)
            )
        })
        .collect();
    let listed: Vec<&str> = list.split("<li>").skip(1).collect();
    assert_eq!(listed.len(), named.len(), "{list}");
    assert!(
        listed
            .iter()
            .zip(&named)
            .all(|(one, named)| one.starts_with(named)),
        "{list}"
    );
    let page = said(&folder, &pairs("435.675-435.676"), &["report"]);
    assert!(page.contains("Every pair that was looked at conflicts."));
    let told = said(
        &folder,
        &pairs("435.675-435.676"),
        &["rank", "--format", "markdown"],
    );
    assert!(
        told.contains("Nothing is safe. What blocks most: "),
        "{told}"
    );
}

/// A radio may stand in a file of its own, and what is wrong there is told with the place there.
#[test]
fn a_radio_of_a_file_is_the_radio_of_the_plan() {
    let folder = folder("file");
    let plan = format!(
        "{SEARCHED}  - {{name: Other, site: hill, radio: own, talk: 145.4000, power: whisper}}
radios:
  own: {{file: own.yaml}}
"
    );
    let refused = |own: &str| -> String {
        fs::write(folder.join("own.yaml"), own).unwrap();
        refused(&folder, &plan)
    };
    // The radio is there: only its step is not.
    let told = refused("title: Our mobile\nbased_on: dual-band-mobile\n");
    assert!(
        told.contains("`whisper` is neither a power step nor a power"),
        "{told}"
    );
    assert!(told.contains("own has the steps high, mid, low"), "{told}");
    let told = refused("title: Our mobile\nbased_on: dual-band-mobil\n");
    assert!(
        told.contains("own.yaml:2:") && told.contains("did you mean `dual-band-mobile`?"),
        "{told}"
    );
    let told = refused("title: [\n");
    assert!(told.contains("own.yaml:1:8"), "{told}");
}

/// Invented: a pair that a coordinator gave, and a rule about pairs that forbids at home and only warns across the border.
#[test]
fn a_pack_shows_the_pair_that_was_coordinated_and_a_rule_of_pairs_only_warns_across_the_border() {
    let folder = folder("across");
    let over = RULES.replace("pack: local", "pack: over").replace("kind: local", "kind: law")
        .replace("local/fair", "over/fair")
        + "coordinated:
  - {name: Fair repeater, legs: [433.5250, 145.2250], source: letter}
pairs:
  - {id: far, one: [433.0, 434.0], other_outside: [144.0, 145.0], force: forbidden, says: not that pair, source: letter}
";
    fs::write(folder.join("over.yaml"), over).unwrap();
    let path = folder.join("over.yaml");
    let (_, shown, _) = quietpair(&["rules", "show", path.to_str().unwrap()]);
    assert!(shown.contains("Fair repeater"), "{shown}");
    let plan = SEARCHED
        .replace(
            "radio: dual-band-mobile",
            "radio: dual-band-mobile, cross_band: [433.5250, 145.2250]",
        )
        .replace(
            "rules: [uk]",
            "rules: [uk]\nneighbouring_rules: [over.yaml]",
        );
    let findings = checked(&folder, &plan);
    let across = found(&findings, "relay-pair", "");
    assert_eq!(across["severity"], "caution");
    holds(across, "why", "across the border: not that pair");
}

#[test]
fn a_call_sign_that_is_known_to_come_too_seldom_wants_a_look() {
    let plan = SEARCHED
        .replace(
            "Harbour run}",
            "Harbour run, identification: {by: voice, every: 60 min}}",
        )
        .replace(
            "radio: dual-band-mobile",
            "radio: mobile-2m, talk: 145.4000",
        );
    let findings = checked(&folder("signs"), &plan);
    let signs = found(
        &findings,
        "identification",
        "every 60 minutes, and it is wanted at least every 15 minutes",
    );
    assert_eq!(signs["severity"], "caution");
    holds(
        signs,
        "remedies",
        "give the call sign every 15 minutes or sooner",
    );
}

/// The list of rule packs line by line is the list for a spreadsheet, with keys for headings.
#[test]
fn a_list_line_by_line_holds_what_the_table_holds() {
    let listed = |format: &str| quietpair(&["rules", "--format", format]).1;
    let (lines, table) = (listed("lines"), listed("csv"));
    let mut table = csv::Reader::from_reader(table.as_bytes());
    let headings = table.headers().unwrap().clone();
    let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    assert_eq!(lines.lines().count(), rows.len());
    for (line, row) in lines.lines().zip(&rows) {
        let line: serde_json::Map<String, Value> = serde_json::from_str(line).unwrap();
        assert_eq!(line.len(), headings.len());
        for (heading, cell) in headings.iter().zip(row) {
            assert_eq!(line[heading], cell);
        }
    }
}

#[test]
fn without_any_pack_it_is_said_that_law_was_not_judged() {
    let plan = SEARCHED.replace("rules: [uk]\nlicence: full", "rules: []");
    let findings = checked(&folder("lawless"), &plan);
    let none = found(&findings, "no-law-pack", "law was not judged");
    assert_eq!(none["severity"], "note");
    let said = none.to_string();
    assert!(said.contains("No pack is stacked."), "{said}");
}
