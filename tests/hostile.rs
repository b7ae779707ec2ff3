//! Whatever is read, reading ends: no panic, no hang, and of what was understood every level is a number.
//!
//! Sizes are bounded so that the whole file takes seconds; longer hunts are those of `tests/fuzz`.

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use proptest::prelude::*;
use proptest::sample::{Index, select};
use proptest::test_runner::RngSeed;

use quietpair::assess::{Assessment, assess};
use quietpair::document::Source;
use quietpair::import::{Kind, Shape, Unit, Wanted, import};
use quietpair::law;
use quietpair::quantity::{
    Bandwidth, Decibels, Duty, Emission, Frequency, Length, Level, Locator, Offset, Position,
    Power, Tolerance,
};
use quietpair::radio::{self, read_profile};
use quietpair::scenario::{Files, NoFiles, read};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Files beside the scenarios.
struct Beside;

impl Files for Beside {
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        fs::read(root().join("scenarios").join(path))
    }
}

/// The texts of every file of an ending in a folder, by name.
fn texts(folder: &str, ending: &str) -> Vec<(String, String)> {
    let entries = fs::read_dir(root().join(folder)).unwrap();
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|found| found == ending));
    paths.sort();
    let name = |path: &PathBuf| path.file_name().unwrap().to_str().unwrap().to_owned();
    paths
        .iter()
        .map(|path| (name(path), fs::read_to_string(path).unwrap()))
        .collect()
}

/// Reads bytes as everything they could be; what is wrong is shown too.
fn read_as_anything(bytes: &[u8]) {
    if let Err(error) = read("plan.yaml", bytes, &Beside) {
        let _ = (error.to_string(), error.coloured());
    }
    if let Err(error) = law::read("pack.yaml", bytes) {
        let _ = error.to_string();
    }
    if let Ok(source) = Source::new("list", bytes) {
        let _ = read_profile(&source).faults.to_string();
        for kind in [Kind::Csv, Kind::Kml, Kind::Geojson] {
            let _ = import(&source, kind, &Wanted::default());
        }
    }
}

/// Every level of an answer is a number.
fn is_sound(assessment: &Assessment) -> Result<(), TestCaseError> {
    let judged = std::iter::once(&assessment.plan).chain(&assessment.proposals);
    for finding in judged.flat_map(|judged| &judged.findings) {
        let levels = [finding.level, finding.threshold].into_iter().flatten();
        let ratios = [finding.margin, finding.spread].into_iter().flatten();
        let figures = levels.map(Level::as_dbm).chain(ratios.map(Decibels::as_db));
        for figure in figures {
            prop_assert!(figure.is_finite(), "{}: {figure}", finding.says);
        }
        let told = [&finding.says, &finding.arithmetic, &finding.why];
        prop_assert!(!told.iter().any(|text| text.contains("NaN")), "{told:?}");
    }
    Ok(())
}

/// Scalars that somebody could write by mistake or out of malice.
const NASTY: [&str; 50] = [
    "1e308",
    "-0",
    "-1",
    "NaN",
    ".nan",
    ".inf",
    "-.inf",
    "9999999999999999999",
    "-9223372036854775808",
    "0x",
    "0x1F",
    "",
    "~",
    "\"\"",
    "' '",
    "📻",
    "\u{202e}cba",
    "רדיו",
    "e\u{301}",
    "145,5",
    "145.5.5",
    "1e-400",
    "0.0000000001",
    "300 GHz",
    "1 Hz",
    "300000 MHz",
    "-300 GHz",
    "1e9 W",
    "200 dBm",
    "-400 dBm",
    "1e30 m",
    "20000 km",
    "0 m",
    "100 %",
    "0 %",
    "101 %",
    "366 d",
    "1 ms",
    "0 s",
    "9999999999 min",
    "2m-70cm",
    "146-144",
    "*a",
    "&a x",
    "!!str x",
    "{}",
    "[]",
    "[[]]",
    "{a: b}",
    "|\n  x",
];

/// A text with one of its scalars replaced, the `at`-th of them.
fn replaced(text: &str, at: Index, by: &str) -> String {
    let is_word = |one: char| !one.is_whitespace() && !"{}[],#\"'".contains(one);
    let mut ranges = Vec::new();
    let mut begin = None;
    for (index, one) in text.char_indices() {
        match (begin, is_word(one)) {
            (None, true) => begin = Some(index),
            (Some(first), false) => {
                ranges.push(first..index);
                begin = None;
            }
            _ => {}
        }
    }
    // What was cut may have left no scalar.
    let Some(range) = (!ranges.is_empty()).then(|| ranges[at.index(ranges.len())].clone()) else {
        return text.to_owned();
    };
    format!("{}{by}{}", &text[..range.start], &text[range.end..])
}

/// A text with a stretch of it cut, repeated, or put elsewhere.
fn shuffled(text: &str, deed: u8, [one, other, third]: [Index; 3]) -> String {
    let characters: Vec<char> = text.chars().collect();
    let mut ends = [one, other].map(|index| index.index(characters.len() + 1));
    ends.sort_unstable();
    let [from, to] = ends;
    let to = to.min(from + 400);
    let (head, middle, tail) = (
        &characters[..from],
        &characters[from..to],
        &characters[to..],
    );
    let parts: Vec<&[char]> = match deed {
        0 => vec![head, tail],
        1 => vec![head, middle, middle, tail],
        2 => vec![middle, head, tail],
        3 => vec![head],
        _ => {
            let at = third.index(tail.len() + 1);
            vec![head, &tail[..at], middle, &tail[at..]]
        }
    };
    parts.concat().into_iter().collect()
}

/// A whole small plan; what is made of it is judged too.
const SMALL: &str = "\
event: {name: Run, from: '2027-05-16T07:30+01:00[Europe/London]', to: '2027-05-16T09:00+01:00[Europe/London]', phases: [{name: start, from: 08:00, to: 08:30}]}
rules: [uk]
licence: full
traffic: {overs: 6, length: 10 s}
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m, noise: rural, isolation: [{between: [Relay, Base], loss: 38 dB, at: 70cm}]}
  field: {at: IO94ql, ground: 20 m}
paths: [{between: [hill, field], loss: 6 dB, at: 2m}]
radios:
  mine: {based_on: dual-band-mobile, isolation: 50 dB}
stations:
  - {name: Relay, site: hill, radio: mine, power: 10 W, hang: 500 ms, time_out: 3 min, antenna: {height: 5 m, gain: 3 dBi, feeder: 1 dB}, cross_band: [433.4500, 145.2250], tone: 88.5}
  - {name: Base, site: hill, radio: mobile-2m, power: low, antenna: {offset: {east: 30 m, north: 0 m}}, talk: 145.3000, battery: {capacity: 7 Ah}}
  - {name: Car, site: field, radio: handheld, count: 2, via: Relay, leg: 70cm, on_air: [{from: 07:40, to: 08:20}], needs: [Base]}
in_use:
  - {name: Town, output: 145.6500, input: 145.0500, erp: 25 W, distance: 12 km, antenna: 20 m, tone: 88.5, duty: 20 %, listeners: {nearest: 2 km}}
proposals:
  - {name: A, station: Base, talk: 145.5500}
settings: {harm_rise: 1 dB, harmonics: 5, order: 3, closest: 1 m}
";

#[test]
fn the_small_plan_is_sound_itself() {
    let plan =
        read("plan.yaml", SMALL.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"));
    is_sound(&assess(&plan)).unwrap();
}

/// Keys of every file that is read, and words that stand under them.
fn words() -> (Vec<String>, Vec<String>) {
    let mut keys = BTreeSet::new();
    let mut values: BTreeSet<String> = NASTY.iter().map(|&word| word.to_owned()).collect();
    let profiles = texts("src/radio/profiles", "yaml").into_iter().take(2);
    let packs = texts("src/law/packs", "yaml").into_iter().take(2);
    let all = texts("scenarios", "yaml")
        .into_iter()
        .chain(profiles)
        .chain(packs);
    for (_, text) in all {
        for line in text
            .lines()
            .filter(|line| !line.trim_start().starts_with('#'))
        {
            for part in line.split(['{', '}', '[', ']', ',']) {
                let (key, value) = part.split_once(": ").unwrap_or((part, ""));
                let key = key.trim().trim_end_matches(':').trim_start_matches("- ");
                if key
                    .bytes()
                    .all(|byte| byte.is_ascii_lowercase() || byte == b'_')
                    && !key.is_empty()
                {
                    keys.insert(key.to_owned());
                }
                values.insert(value.trim().to_owned());
            }
        }
    }
    (
        keys.into_iter().collect(),
        values
            .into_iter()
            .filter(|value| !value.contains('"'))
            .collect(),
    )
}

/// A tree in the flow style, of known keys, a few levels deep.
fn tree() -> impl Strategy<Value = String> {
    let (keys, values) = words();
    let leaf = select(values);
    leaf.prop_recursive(4, 40, 5, move |inner| {
        let keys = select(keys.clone());
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..4)
                .prop_map(|list| format!("[{}]", list.join(", "))),
            prop::collection::vec((keys, inner), 0..6).prop_map(|pairs| {
                let pairs: Vec<String> = pairs
                    .iter()
                    .map(|(key, value)| format!("{key}: {value}"))
                    .collect();
                format!("{{{}}}", pairs.join(", "))
            }),
        ]
    })
}

/// Some of the keys at the top of a scenario, each with a tree.
fn known_tree() -> impl Strategy<Value = String> {
    let tops = [
        "event",
        "rules",
        "licence",
        "sites",
        "paths",
        "radios",
        "stations",
        "traffic",
        "in_use",
        "absent",
        "proposals",
        "search",
        "assign",
        "settings",
        "pack",
        "zones",
        "sources",
        "segments",
        "bands",
        "receiver",
        "transmitter",
    ];
    prop::collection::vec((select(tops.to_vec()), tree()), 1..5).prop_map(|pairs| {
        let lines = pairs.iter().map(|(key, tree)| format!("{key}: {tree}"));
        lines.collect::<Vec<_>>().join("\n") + "\n"
    })
}

/// A table beside a scenario, whatever it is called.
struct Table<'a>(&'a [u8]);

impl Files for Table<'_> {
    fn read(&self, _: &str) -> io::Result<Vec<u8>> {
        Ok(self.0.to_vec())
    }
}

/// What a hunt with coverage found (see `tests/fuzz`), each the smallest of its kind.
#[test]
fn what_a_hunt_found_is_read_to_an_end() {
    let mut count = 0;
    for target in [
        "entries", "geojson", "kml", "pack", "profile", "scenario", "units",
    ] {
        let folder = root().join("tests/fuzz/found").join(target);
        for entry in fs::read_dir(&folder).unwrap() {
            let bytes = fs::read(entry.unwrap().path()).unwrap();
            read_as_anything(&bytes);
            if target == "entries" {
                let plan = "event: {name: Run}\nrules: []\nin_use: [{from: rows.csv}]\n";
                let _ = read("plan.yaml", plan.as_bytes(), &Table(&bytes));
            }
            let text = String::from_utf8_lossy(&bytes);
            let _ = (
                text.parse::<Emission>(),
                text.parse::<Locator>(),
                text.parse::<Frequency>(),
            );
            if let Ok(plan) = read("plan.yaml", &bytes, &NoFiles) {
                is_sound(&assess(&plan)).unwrap();
            }
            count += 1;
        }
    }
    assert!(count > 50, "{count} files");
}

/// So many cases, the same each time: who changes something else is not to meet a fault by chance. The hunt looks further,
/// and so does another seed here.
fn cases(count: u32) -> ProptestConfig {
    ProptestConfig {
        cases: count,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(1),
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(cases(96))]

    #[test]
    fn any_bytes_are_read_to_an_end(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        read_as_anything(&bytes);
    }

    #[test]
    fn any_text_is_read_to_an_end(text in "(\\PC|[\\n:{}\\[\\],&*#|>'\"%@`! -]){0,200}") {
        read_as_anything(text.as_bytes());
    }

    #[test]
    fn a_tree_of_known_keys_is_read_to_an_end(text in known_tree()) {
        read_as_anything(text.as_bytes());
        let whole = format!("event: {{name: Run}}\nrules: [uk]\nsites: {{hill: {{at: IO94ql}}}}\nstations: []\n{text}");
        read_as_anything(whole.as_bytes());
    }

    #[test]
    fn a_scenario_that_was_cut_or_shuffled_is_read_to_an_end(
        which in any::<Index>(),
        deed in 0u8..5,
        places in any::<[Index; 3]>(),
    ) {
        let all = texts("scenarios", "yaml");
        let (_, text) = &all[which.index(all.len())];
        read_as_anything(shuffled(text, deed, places).as_bytes());
    }

    #[test]
    fn a_scenario_with_nasty_scalars_is_read_to_an_end(
        which in any::<Index>(),
        scalars in prop::collection::vec((any::<Index>(), select(NASTY.to_vec())), 1..4),
    ) {
        let all = texts("scenarios", "yaml");
        let (_, text) = &all[which.index(all.len())];
        let text = scalars.iter().fold(text.clone(), |text, (at, by)| replaced(&text, *at, by));
        read_as_anything(text.as_bytes());
    }

    #[test]
    fn a_pack_or_profile_with_nasty_scalars_is_read_to_an_end(
        is_pack in any::<bool>(),
        which in any::<Index>(),
        scalars in prop::collection::vec((any::<Index>(), select(NASTY.to_vec())), 1..4),
    ) {
        let all = if is_pack { law::ALL } else { radio::built_in() };
        let (_, text) = all[which.index(all.len())];
        let text = scalars.iter().fold(text.to_owned(), |text, (at, by)| replaced(&text, *at, by));
        let _ = law::read("pack.yaml", text.as_bytes()).map_err(|error| error.to_string());
        if let Ok(source) = Source::new("radio.yaml", text.as_bytes()) {
            let _ = read_profile(&source).faults.to_string();
        }
    }

    /// What a planner could write by mistake and the reader takes is judged without a figure that is none.
    #[test]
    fn what_is_understood_is_judged_in_finite_figures(
        at in any::<Index>(),
        by in select(NASTY.to_vec()),
    ) {
        if let Ok(plan) = read("plan.yaml", replaced(SMALL, at, by).as_bytes(), &NoFiles) {
            is_sound(&assess(&plan))?;
        }
    }

    #[test]
    fn any_text_is_a_quantity_or_refused(text in "(\\PC{0,12}|[-+0-9.,eE]{0,24} ?[a-zA-Zµμ%°'\"]{0,5})") {
        let _ = (text.parse::<Frequency>(), text.parse::<Offset>(), text.parse::<Bandwidth>(), text.parse::<Tolerance>());
        let _ = (text.parse::<Decibels>(), text.parse::<Power>(), text.parse::<Length>(), text.parse::<Level>());
        let _ = (text.parse::<Emission>(), text.parse::<Locator>(), text.parse::<Position>(), text.parse::<Duty>());
    }

    #[test]
    fn a_list_of_mangled_rows_is_taken_in_or_refused(
        kind in select(vec![Kind::Csv, Kind::Kml, Kind::Geojson]),
        shape in select(vec![Shape::InUse, Shape::Sites, Shape::Csv]),
        unit in select(vec![Unit::Mhz, Unit::Khz, Unit::Hz]),
        scalars in prop::collection::vec((any::<Index>(), select(NASTY.to_vec())), 0..4),
        deed in 0u8..6,
        places in any::<[Index; 3]>(),
    ) {
        let name = match kind {
            Kind::Csv => "airfields.csv",
            Kind::Kml => "sites.kml",
            Kind::Geojson => "neighbours.geojson",
        };
        let whole = fs::read_to_string(root().join("tests/import").join(name)).unwrap();
        let whole: String = whole.chars().take(6_000).collect();
        let text = if deed == 5 { whole } else { shuffled(&whole, deed, places) };
        let text = scalars.iter().fold(text + " a", |text, (at, by)| replaced(&text, *at, by));
        if let Ok(source) = Source::new(name, text.as_bytes()) {
            let _ = import(&source, kind, &Wanted { shape, unit, ..Wanted::default() });
        }
    }
}

proptest! {
    #![proptest_config(cases(256))]

    /// What is printed is read as the same.
    #[test]
    fn a_quantity_that_is_printed_is_read_back(hertz in 1i64..=300_000_000_000, spacing in -300_000_000_000i64..=300_000_000_000) {
        let frequency = Frequency::hz(hertz);
        prop_assert_eq!(frequency.to_string().parse(), Ok(frequency));
        prop_assert_eq!(frequency.digits().parse(), Ok(frequency));
        let offset = Offset::hz(spacing);
        // A minus sign is printed as planners set it.
        prop_assert_eq!(offset.to_string().replace('−', "-").parse(), Ok(offset));
        let width = Bandwidth::hz(hertz);
        prop_assert_eq!(width.to_string().parse(), Ok(width));
    }

    #[test]
    fn a_designator_that_is_printed_is_read_back(text in "[1-9][0-9]{2}[HKM][A-Z][0-9A-Z][A-Z]|[1-9][0-9]?[HKMG][0-9]{1,2}[A-Z][0-9A-Z][A-Z]") {
        if let Ok(emission) = text.parse::<Emission>() {
            let printed = emission.designator();
            prop_assert_eq!(printed.parse::<Emission>().map(|again| again.designator()), Ok(printed));
        }
    }

    #[test]
    fn the_middle_of_a_locator_lies_in_it(text in "[A-R]{2}[0-9]{2}([a-x]{2}([0-9]{2})?)?") {
        let locator: Locator = text.parse().unwrap();
        prop_assert_eq!(Locator::of(locator.centre(), text.len() / 2), text);
    }
}
