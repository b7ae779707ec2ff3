//! Each check of the net that rests on what a scenario says of its running, on one plan that trips it and one that just
//! does not (`tests/checks/<id>/`); and what is wrong in what it says.

use std::fs;
use std::io;
use std::path::Path;
use std::time::Duration;

use quietpair::assess::{Assessment, assess, judge, judge_as_a_whole};
use quietpair::checks::WHOLE;
use quietpair::finding::{Finding, Matter, Severity};
use quietpair::net::{Conduct, RadioId};
use quietpair::overview::overview;
use quietpair::scenario::{Files, NoFiles, Plan, read};

/// The checks, with how bad the plan that trips it is and which kind of "no" it is.
const CHECKS: [(&str, Severity, Matter); 4] = [
    ("unreachable", Severity::Conflict, Matter::Net),
    ("hidden-user", Severity::Caution, Matter::Net),
    ("endurance", Severity::Conflict, Matter::Net),
    ("exposure", Severity::Conflict, Matter::Exposure),
];

fn plan(check: &str, which: &str) -> Plan {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/checks")
        .join(check);
    let bytes = fs::read(folder.join(which)).unwrap();
    read(which, &bytes, &NoFiles).unwrap_or_else(|error| panic!("{check}/{which}: {error}"))
}

fn written(rest: &str) -> Result<Plan, String> {
    let head =
        "rules: [uk]\nlicence: full\nsites:\n  hill: {at: [54.4150, -0.5320], ground: 118 m}\n";
    let event = if rest.contains("event:") {
        ""
    } else {
        "event: {name: Test}\n"
    };
    let text = format!("{event}{head}{rest}");
    read("test.yaml", text.as_bytes(), &NoFiles).map_err(|error| error.to_string())
}

fn of(assessment: Assessment, check: &str) -> Vec<Finding> {
    let of_plan = assessment.plan.findings.into_iter();
    of_plan.filter(|finding| finding.check == check).collect()
}

fn found(check: &str, which: &str) -> Vec<Finding> {
    of(assess(&plan(check, which)), check)
}

#[test]
fn each_check_fires_on_the_plan_that_trips_it_and_at_most_notes_the_one_that_just_does_not() {
    for (check, severity, matter) in CHECKS {
        let fired = found(check, "fires.yaml");
        let worst = fired.iter().max_by_key(|finding| finding.severity);
        let worst = worst.map(|finding| (finding.severity, finding.matter));
        assert_eq!(worst, Some((severity, matter)), "{check}");
        let quiet = found(check, "quiet.yaml");
        let loud = quiet
            .iter()
            .find(|finding| finding.severity > Severity::Note);
        assert_eq!(loud, None, "{check}");
    }
}

#[test]
fn who_is_needed_but_comes_in_another_phase_is_told_as_that() {
    let found = found("unreachable", "phases.yaml");
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].severity, Severity::Conflict);
    assert_eq!(
        found[0].says,
        "Course needs Doctor, but they are never on the air at the same time"
    );
}

#[test]
fn a_need_by_way_of_a_relay_without_a_pair_is_a_note_and_judged_with_each_pair() {
    let assessment = assess(&plan("unreachable", "proposed.yaml"));
    let unreachable = |findings: &[Finding]| -> Vec<(Severity, String)> {
        let of_it = findings.iter().filter(|one| one.check == "unreachable");
        of_it.map(|one| (one.severity, one.says.clone())).collect()
    };
    assert_eq!(
        unreachable(&assessment.plan.findings),
        [(
            Severity::Note,
            "Course needs Doctor by way of Hill, which has no frequencies in the plan as it stands"
                .to_owned()
        )]
    );
    let [heard, deaf] = assessment.proposals.as_slice() else {
        panic!("{:?}", assessment.proposals);
    };
    assert_eq!(unreachable(&heard.findings), []);
    assert!(
        matches!(
            unreachable(&deaf.findings).as_slice(),
            [(Severity::Conflict, _)]
        ),
        "{:?}",
        deaf.findings
    );
}

#[test]
fn users_of_a_relay_are_hidden_from_each_other_in_the_phase_they_share_only() {
    let shared = found("hidden-user", "fires.yaml");
    assert_eq!(shared.len(), 1);
    assert_eq!(shared[0].when.as_deref(), Some("race"));
    assert_eq!(found("hidden-user", "phases.yaml"), Vec::new());
}

#[test]
fn an_encounter_names_its_phase_and_one_of_the_whole_event_names_none() {
    let assessment = assess(&plan("adjacent-channel", "phases.yaml"));
    let by_rigging = |finding: &&Finding| {
        let mut sources = finding.sources.iter();
        finding.matter == Matter::Interference && sources.any(|term| term.name.contains("Rigging"))
    };
    let findings = assessment.plan.findings;
    assert!(findings.iter().filter(by_rigging).count() > 0);
    for finding in findings.iter().filter(by_rigging) {
        assert_eq!(finding.when.as_deref(), Some("set-up"), "{}", finding.says);
    }
    let of_net_alone = findings.iter().filter(|finding| {
        let mut sources = finding.sources.iter();
        finding.matter == Matter::Interference && sources.all(|term| term.name.starts_with("Net"))
    });
    for finding in of_net_alone {
        assert_eq!(finding.when, None, "{}", finding.says);
    }
}

const PAIR: &str =
    "stations:\n  - {name: One, site: hill, radio: handheld, count: 3, talk: 145.5000, ";

#[test]
fn traffic_is_the_stations_own_then_the_plans_then_a_default_shared_by_all() {
    let conduct = |text: &str| {
        let plan = written(text).unwrap();
        let conduct = Conduct::of(&plan);
        (conduct.is_traffic_stated(&plan), conduct)
    };
    let rate = |conduct: &Conduct| conduct.traffic[&RadioId(0)].overs_per_hour.value;
    let (is_stated, own) = conduct(&format!(
        "traffic: {{overs: 20, length: 5 s}}\n{PAIR}traffic: {{overs: 30}}}}\n"
    ));
    assert!(is_stated && (rate(&own) - 30.0).abs() < 1e-9);
    assert_eq!(own.traffic[&RadioId(0)].over.value, Duration::from_secs(5));
    let (is_stated, whole) = conduct(&format!("traffic: {{overs: 20}}\n{PAIR}}}\n"));
    assert!(is_stated && (rate(&whole) - 20.0).abs() < 1e-9);
    let (is_stated, none) = conduct(&format!("{PAIR}}}\n"));
    assert!(!is_stated && (rate(&none) - 12.0).abs() < 1e-9);
    let (_, many) = conduct(&format!("{}}}\n", PAIR.replace("count: 3", "count: 30")));
    assert!(
        (rate(&many) - 4.0).abs() < 1e-9,
        "two overs a minute of all together"
    );
}

#[test]
fn a_role_stands_for_every_station_that_has_it() {
    let plan = written(&format!(
        "{PAIR}needs: [medical, Two]}}\n  - {{name: Two, site: hill, radio: handheld, talk: 145.5}}\n  \
         - {{name: Three, site: hill, radio: handheld, talk: 145.5, role: medical}}\n  \
         - {{name: Four, site: hill, radio: handheld, talk: 145.5, role: medical}}\n"
    ))
    .unwrap();
    let whom: Vec<usize> = plan.stations[0].needs.iter().copied().collect();
    assert_eq!(whom, [1, 2, 3]);
}

#[test]
fn what_cannot_be_meant_is_told_with_its_place_and_the_nearest_name() {
    let event = "event: {name: T, from: \"2027-05-16T08:00+00:00[UTC]\", to: \"2027-05-16T14:00+00:00[UTC]\", phases: \
                 [{name: race, from: \"10:00\", to: \"14:00\"}]}\n";
    let phase = format!("{event}{PAIR}phases: [rase]}}\n");
    let cases = [
        (phase, "did you mean `race`?"),
        (format!("{PAIR}needs: [On]}}\n"), "did you mean `One`?"),
        (format!("{PAIR}needs: [One]}}\n"), "is this station itself"),
        (
            format!("{PAIR}battery: {{capacity: 20 V}}}}\n"),
            "is not a charge",
        ),
        (
            format!("{PAIR}battery: {{capacity: 0 Ah}}}}\n"),
            "without capacity",
        ),
        (
            format!("{PAIR}battery: {{capacity: 7 Ah, usable: 120 %}}}}\n"),
            "is not a share",
        ),
        (
            format!("{PAIR}public: -1 m}}\n"),
            "is not a distance of the public",
        ),
        (format!("{PAIR}hang: 3}}\n"), "is not a time"),
        (
            format!("{PAIR}traffic: {{overs: -1}}}}\n"),
            "is no number of overs",
        ),
        (
            format!("{PAIR}traffic: {{length: 0 ms}}}}\n"),
            "no over lasts so long",
        ),
        (format!("{PAIR}role: \" \"}}\n"), "the role needs a name"),
        (
            format!("settings: {{exposure_limits: [icnirp-2020-publi]}}\n{PAIR}}}\n"),
            "did you mean `icnirp-2020-public`?",
        ),
        (
            format!("settings: {{exposure_limits: [icnirp-2020-public]}}\n{PAIR}}}\n"),
            "leave the public or operators without one",
        ),
        (
            format!("settings: {{mains: 50 MHz}}\n{PAIR}}}\n"),
            "is no mains frequency",
        ),
    ];
    for (text, expected) in cases {
        let told = written(&text).unwrap_err();
        assert!(told.contains(expected), "{expected}: {told}");
        assert!(told.contains("test.yaml"), "{told}");
    }
}

#[test]
fn a_relay_on_an_output_that_sends_its_tone_is_locked_out_as_long_as_the_stated_hang_says() {
    let on_output = |output: &str| {
        let text = format!(
            "stations:\n  - {{name: Hill, site: hill, radio: dual-band-mobile, cross_band: [433.4500, 145.6500], tone: 88.5, \
             hang: 500 ms}}\n  - {{name: One, site: hill, radio: handheld, talk: 433.4500, tone: 88.5}}\n\
             in_use:\n  - {{name: Town, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43], antenna: 30 m, \
             tone: 77.0, hang: 7 s{output}}}\n"
        );
        of(assess(&written(&text).unwrap()), "repeater-lockout")
    };
    assert_eq!(on_output(""), Vec::new());
    let held = on_output(", output_tone: 88.5");
    assert_eq!(held.len(), 1);
    let sum = &held[0].arithmetic;
    assert!(
        sum.starts_with("held 7 s") && sum.contains("own hang 500 ms"),
        "{sum}"
    );
}

#[test]
fn a_review_tells_who_is_missed_and_what_to_mend() {
    let seen = overview(&plan("unreachable", "fires.yaml"), None);
    let course = &seen.operators[0];
    assert_eq!(
        (course.misses.as_slice(), course.lacks.as_slice()),
        (&["Doctor".to_owned()][..], &["Doctor".to_owned()][..])
    );
    assert!(seen.mend.iter().any(|mend| mend.check == "unreachable"));
    let good = overview(&plan("unreachable", "quiet.yaml"), None);
    assert_eq!(good.operators[0].reaches, ["Doctor"]);
    assert!(good.operators[0].lacks.is_empty());
    assert!(good.weakest.is_some());
}

const DAY: &str = "event: {name: T, from: \"2027-05-16T08:00+00:00[UTC]\", to: \"2027-05-16T16:00+00:00[UTC]\", phases: \
                   [{name: set-up, from: \"08:00\", to: \"10:00\"}, {name: race, from: \"10:00\", to: \"16:00\"}]}\n";

/// A relay on the hill with one user on either side of it.
fn relayed(of_relay: &str, of_course: &str) -> String {
    format!(
        "stations:\n  - {{name: Hill, site: hill, radio: dual-band-mobile, tone: 77.0, cross_band: [433.4500, 145.2250]{of_relay}}}\n  \
         - {{name: Course, site: hill, radio: handheld-70cm, via: Hill, leg: 70cm{of_course}}}\n  \
         - {{name: Doctor, site: hill, radio: handheld-2m, via: Hill, leg: 2m}}\n"
    )
}

#[test]
fn a_need_that_the_relay_meets_in_one_phase_is_told_for_the_other() {
    let with = |of_relay: &str| {
        let stations = relayed(of_relay, ", needs: [Doctor]");
        written(&format!("{DAY}{stations}")).unwrap()
    };
    let found = of(assess(&with(", phases: [race]")), "unreachable");
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].when.as_deref(), Some("set-up"));
    assert_eq!(found[0].severity, Severity::Conflict);
    assert_eq!(of(assess(&with("")), "unreachable"), Vec::new());
    let seen = overview(&with(", phases: [race]"), None);
    assert_eq!(seen.operators[0].only_in["Doctor"], "race");
    assert_eq!(seen.operators[0].lacks, ["Doctor"]);
    let duty = |phase: usize| seen.relays[0].phases[phase].1.mean;
    assert!(duty(0).abs() < 1e-12 && duty(1) > 0.05, "{}", duty(1));
    assert!(seen.relays[0].break_in.is_some());
    assert_eq!(seen.rooms.len(), 4);
}

#[test]
fn a_review_without_the_relay_says_who_waits_for_it_and_what_is_proposed() {
    let text = relayed("", "").replace(", tone: 77.0, cross_band: [433.4500, 145.2250]", "")
        + "  - {name: Spare, site: hill, radio: handheld}\nproposals:\n  \
           - {name: A, station: Hill, cross_band: [433.4500, 145.2250], tone: 77.0}\n";
    let plan = written(&text).unwrap();
    let seen = overview(&plan, None);
    assert_eq!(seen.waiting.len(), 1);
    assert_eq!(seen.waiting[0].stations, ["Course", "Doctor"]);
    assert_eq!(seen.proposals.len(), 1);
    assert_eq!(
        seen.proposals[0].verdict,
        judge(&plan, Some(&plan.proposals[0])).verdict
    );
    assert_eq!(seen.idle, ["Spare"]);
    let placed = overview(&plan, plan.proposals.first());
    assert!(placed.waiting.is_empty() && placed.proposals.is_empty());
    assert_eq!(placed.relays.len(), 1);
}

#[test]
fn the_checks_of_the_whole_say_the_same_alone_as_beside_all_others() {
    let text = relayed("", "").replace(", tone: 77.0, cross_band: [433.4500, 145.2250]", "")
        + "proposals:\n  - {name: A, station: Hill, cross_band: [433.4500, 145.2250], tone: 77.0}\n";
    let plan = written(&text).unwrap();
    let told = |findings: Vec<Finding>| -> Vec<String> {
        let whole = findings.into_iter().filter(|finding| {
            let mut ids = WHOLE.iter().map(|check| check.topic.id);
            ids.any(|id| id == finding.check)
        });
        let mut told: Vec<String> = whole.map(|finding| format!("{finding:?}")).collect();
        told.sort_unstable();
        told
    };
    let alone = told(judge_as_a_whole(&plan, &plan.proposals[0]));
    assert!(alone.len() >= 5, "{alone:?}");
    assert_eq!(alone, told(judge(&plan, Some(&plan.proposals[0])).findings));
}

/// A folder with one list of neighbours in it.
struct Neighbours(&'static str);

impl Files for Neighbours {
    fn read(&self, _: &str) -> io::Result<Vec<u8>> {
        Ok(self.0.as_bytes().to_vec())
    }
}

#[test]
fn a_list_of_neighbours_may_say_how_long_a_repeater_hangs_and_what_tone_it_sends() {
    let list = Neighbours(
        "name,output,input,erp,distance,tone,output_tone,hang,time_out\n\
         Town,145.6500,145.0500,25 W,5 km,77.0,88.5,7 s,4 min\n",
    );
    let text = "event: {name: T}\nrules: [uk]\nlicence: full\nsites:\n  hill: {at: [54.4150, -0.5320], ground: 118 m}\n\
                stations:\n  - {name: One, site: hill, radio: handheld, talk: 145.5000}\nin_use:\n  - {from: list.csv}\n";
    let plan = read("test.yaml", text.as_bytes(), &list).unwrap();
    let town = &plan.in_use[0];
    assert_eq!(town.output_tone, Some(885));
    assert_eq!(town.radio.timing.hang.value, 7_000);
    let time_out = town.radio.timing.time_out.as_ref().map(|limit| limit.value);
    assert_eq!(time_out, Some(240_000));
}

#[test]
fn the_limits_that_the_scenario_names_are_the_ones_reckoned_by() {
    let cited = |settings: &str| {
        let plan = written(&format!("{settings}{PAIR}}}\n")).unwrap();
        let found = of(assess(&plan), "exposure");
        assert_eq!(found.len(), 1);
        found[0].citation.clone()
    };
    let icnirp = "settings: {exposure_limits: [icnirp-2020-public, icnirp-2020-occupational]}\n";
    let cfr = "settings: {exposure_limits: [47cfr-1.1310-public, 47cfr-1.1310-occupational]}\n";
    assert!(cited(icnirp).contains("ICNIRP") && !cited(icnirp).contains("1.1310"));
    assert!(cited(cfr).contains("1.1310") && !cited(cfr).contains("ICNIRP"));
    // Where the scenario names none, the rule pack does.
    assert_eq!(cited(""), cited(icnirp));
}

#[test]
fn who_identifies_more_often_than_the_rules_want_is_reckoned_with_that() {
    let every = |stated: &str| {
        let text = format!(
            "
event: {{name: Identification{stated}}}
rules: [uk]
licence: full
sites:
  hill: {{at: [54.4150, -0.5320]}}
stations:
  - {{name: A, site: hill, radio: handheld, talk: 145.5500}}
"
        );
        let plan = read("identification", text.as_bytes(), &NoFiles).unwrap();
        Conduct::of(&plan).identifies.map(|every| every.value)
    };
    let minutes = |count| Some(Duration::from_mins(count));
    assert_eq!(every(""), minutes(15));
    assert_eq!(
        every(", identification: {by: voice, every: 5 min}"),
        minutes(5)
    );
    assert_eq!(
        every(", identification: {by: voice, every: 20 min}"),
        minutes(15)
    );
}

/// The sentence, the sum and the verdict of a battery agree with each other, whatever its size; an event of six hours.
#[test]
fn how_long_a_battery_lasts_is_what_its_sum_says_and_decides_the_verdict() {
    let mut severities = Vec::new();
    for ampere_hours in 2..24 {
        let text = format!(
            "event:
  name: Test
  from: 2027-05-16T08:00+00:00[UTC]
  to: 2027-05-16T14:00+00:00[UTC]
traffic: {{overs: 20, length: 10 s}}
stations:
  - {{name: Hill, site: hill, radio: dual-band-mobile, power: low, cross_band: [433.4500, 145.2250], tone: 77.0, battery: {{capacity: {ampere_hours} Ah}}}}
  - {{name: User, site: hill, radio: handheld, via: Hill, leg: 70cm}}
"
        );
        let found = of(assess(&written(&text).unwrap()), "endurance");
        let [finding] = found.as_slice() else {
            panic!("one battery, {} findings", found.len())
        };
        let number = |text: &str| text.trim().parse::<f64>().unwrap();
        let (sum, hours) = finding.arithmetic.split_once(" = ").unwrap();
        let hours = number(hours.trim_end_matches(" h"));
        let figures: Vec<f64> = sum
            .split(|one: char| !one.is_ascii_digit() && one != '.')
            .filter(|part| !part.is_empty())
            .map(number)
            .collect();
        let [usable, capacity, sends, transmit, listens, receive] = figures[..] else {
            panic!("{sum}")
        };
        assert!((capacity - 1e3 * f64::from(ampere_hours)).abs() < 1e-9);
        assert!((sends + listens - 100.0).abs() < 1.1, "{sum}");
        let lasts = usable * capacity / (sends * transmit + listens * receive);
        assert!((lasts / hours - 1.0).abs() < 0.1, "{sum}: {lasts} {hours}");
        // `lasts 7 h 30 min at`, rounded down to whole minutes.
        let (_, said) = finding.says.split_once(" lasts ").unwrap();
        let (said, _) = said.split_once(" at ").unwrap();
        let words: Vec<&str> = said.split(' ').collect();
        let said: f64 = words
            .chunks(2)
            .map(|part| number(part[0]) / if part[1] == "h" { 1.0 } else { 60.0 })
            .sum();
        assert!((said - hours).abs() < 0.05 + 1.0 / 60.0, "{}", finding.says);
        let expected = match hours {
            short if short < 6.0 => Severity::Conflict,
            scarce if scarce < 7.5 => Severity::Caution,
            _ => Severity::Note,
        };
        assert_eq!(finding.severity, expected, "{}", finding.says);
        severities.push(expected);
    }
    severities.dedup();
    assert_eq!(
        severities,
        [Severity::Conflict, Severity::Caution, Severity::Note]
    );
}
