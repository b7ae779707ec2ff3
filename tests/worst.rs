//! The worst files of a size that we could think of: how long reading them takes, and how much memory.
//!
//! `cargo test --release --test worst -- --ignored --nocapture` measures 10 MiB of each, for `docs/limits.md`.

use std::fs;
use std::io;
use std::time::{Duration, Instant};

use quietpair::document::{LARGEST_FILE, Source};
use quietpair::import::{Kind, Wanted, import};
use quietpair::law;
use quietpair::radio::read_profile;
use quietpair::scenario::{Files, read};

/// What stands before, what is repeated up to the size (with its number for `@`), and what stands behind.
struct Worst {
    what: &'static str,
    kind: &'static str,
    head: &'static str,
    each: &'static str,
    tail: &'static str,
}

const fn worst(
    what: &'static str,
    kind: &'static str,
    head: &'static str,
    each: &'static str,
    tail: &'static str,
) -> Worst {
    Worst {
        what,
        kind,
        head,
        each,
        tail,
    }
}

/// A scenario up to a list.
macro_rules! plan {
    ($rest:literal) => {
        concat!(
            "event: {name: Run}\nrules: [uk]\nlicence: full\nsites: {hill: {at: IO94ql}}\nstations: []\n",
            $rest
        )
    };
}

const ALL: [Worst; 40] = [
    worst("one line of letters", "plan", "", "abcdefgh", ""),
    worst("one text", "plan", "event: {name: \"", "abcdefgh", "\"}\n"),
    worst(
        "a text of lines",
        "plan",
        "event: {name: |\n",
        "  abc\n",
        "",
    ),
    worst("escapes", "plan", "event: {name: \"", "\\u00e9", "\"}\n"),
    worst("comments", "plan", "", "# a\n", ""),
    worst("empty lines", "plan", "event: {}", "\n", ""),
    worst("brackets", "plan", "a: ", "[", ""),
    worst("braces", "plan", "a: ", "{a: ", ""),
    worst("dashes", "plan", "a:\n", "- ", "a\n"),
    worst("empty lists", "plan", "a: [", "[],", "]\n"),
    worst("scalars", "plan", "rules: [", "a,", "]\n"),
    worst("lines of a list", "plan", "rules:\n", "- a\n", ""),
    worst("tags", "plan", "a: [", "!a b,", "]\n"),
    worst("anchors", "plan", "a: [", "&a b,", "]\n"),
    worst(
        "aliases of a text",
        "plan",
        "a: &a aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa\nrules: [",
        "*a,",
        "]\n",
    ),
    worst("aliases of nothing", "plan", "rules: [", "*a,", "]\n"),
    worst(
        "merge keys",
        "plan",
        "a: &a {b: c}\nstations: [",
        "{<<: *a},",
        "]\n",
    ),
    worst("complex keys", "plan", "", "? [a]\n: b\n", ""),
    worst("unknown keys", "plan", plan!(""), "k@: 1\n", ""),
    worst(
        "unknown keys of neighbours",
        "plan",
        plan!("in_use: ["),
        "{outptu: 1},",
        "]\n",
    ),
    worst(
        "one key again and again",
        "plan",
        plan!(""),
        "licence: a\n",
        "",
    ),
    worst(
        "stations without keys",
        "plan",
        plan!("radios: {}\nproposals: ["),
        "{},",
        "]\n",
    ),
    worst(
        "sites",
        "plan",
        "event: {name: Run}\nrules: [uk]\nsites:\n",
        " s@: {at: IO94ql}\n",
        "",
    ),
    worst(
        "radios",
        "plan",
        plan!("radios:\n"),
        " r@: {based_on: handheld}\n",
        "",
    ),
    worst(
        "neighbours",
        "plan",
        plan!("in_use:\n"),
        " - {name: n@, frequency: 145.5}\n",
        "",
    ),
    worst(
        "neighbours far away",
        "plan",
        plan!("in_use:\n"),
        " - {name: n@, output: 145.5, input: 145.0, service: amateur-repeater, erp: 25 W, at: [54.1, -0.5], tone: 88.5, duty: 20 %}\n",
        "",
    ),
    worst(
        "neighbours of no service",
        "plan",
        plan!("in_use:\n"),
        " - {frequency: 145.5, service: nn@}\n",
        "",
    ),
    worst(
        "neighbours of no radio",
        "plan",
        plan!("in_use:\n"),
        " - {frequency: 145.5, radio: handhedl@}\n",
        "",
    ),
    worst(
        "rows of a table",
        "rows",
        "name,frequency\n",
        "n@,145.5\n",
        "",
    ),
    worst(
        "rows of a table, all wrong",
        "rows",
        "name,frequency\n",
        "n@,x\n",
        "",
    ),
    worst("commas", "rows", "name,frequency\n", ",", "\n"),
    worst("quotation marks", "rows", "name,frequency\n", "\"\"", "\n"),
    worst(
        "entries of a pack",
        "pack",
        "pack: p\ntitle: t\nkind: local\njurisdiction: j\nedition: 1\nchecked: 2026-11-25\nsources: {s: {text: t, standing: choice}}\nspots:\n",
        " - {frequency: 145.5, width: 16 kHz, title: t, source: x@}\n",
        "",
    ),
    worst(
        "corners of a zone",
        "pack",
        "pack: p\ntitle: t\nkind: local\njurisdiction: j\nedition: 1\nchecked: 2026-11-25\nsources: {s: {text: t, standing: choice}}\nzones: {z: {name: z, shapes: [{polygon: [",
        "[54.4, -0.5],",
        "]}]}}\n",
    ),
    worst(
        "steps of a radio",
        "radio",
        "title: t\nuse: u\nbased_on: handheld\nbands: {2m: {transmitter: {steps: {",
        "s@: 5 W (x),",
        "}}}}\n",
    ),
    worst(
        "rows of a list",
        "csv",
        "name,frequency\n",
        "n@,145.5\n",
        "",
    ),
    worst("elements of a map", "kml", "<kml>", "<a/>", "</kml>"),
    worst(
        "placemarks",
        "kml",
        "<kml>",
        "<Placemark><name>n@</name><Point><coordinates>1,2</coordinates></Point></Placemark>",
        "</kml>",
    ),
    worst(
        "numbers of a map",
        "geojson",
        "{\"type\": \"FeatureCollection\", \"features\": [",
        "0,",
        "0]}",
    ),
    worst(
        "features",
        "geojson",
        "{\"type\": \"FeatureCollection\", \"features\": [",
        "{\"type\": \"Feature\", \"properties\": {\"name\": \"n@\", \"frequency\": \"145.5\"}},",
        "{}]}",
    ),
];

impl Worst {
    fn bytes(&self, size: usize) -> Vec<u8> {
        let mut text = self.head.to_owned();
        let room = size - self.tail.len() - 20;
        for number in 0.. {
            if text.len() + self.each.len() > room {
                break;
            }
            match self.each.split_once('@') {
                Some((before, after)) => text += &format!("{before}{number}{after}"),
                None => text += self.each,
            }
        }
        text += self.tail;
        assert!(text.len() <= size, "{}", self.what);
        text.into_bytes()
    }

    /// Reads it; gives how much was said of it.
    fn read(&self, bytes: &[u8]) -> String {
        let list = |kind| {
            let source = Source::new("list", bytes).map_err(|error| error.to_string())?;
            import(&source, kind, &Wanted::default()).map_err(|error| error.to_string())
        };
        let plan = |text: &[u8]| match read("plan.yaml", text, &Rows(bytes)) {
            Ok(plan) => plan.summary(),
            Err(error) => error.to_string(),
        };
        match self.kind {
            "plan" => plan(bytes),
            "rows" => plan(concat!(plan!("in_use: [{from: rows.csv}]\n")).as_bytes()),
            "pack" => law::read("pack.yaml", bytes)
                .map_or_else(|error| error.to_string(), |pack| pack.title),
            "radio" => Source::new("radio.yaml", bytes).map_or_else(
                |error| error.to_string(),
                |source| read_profile(&source).faults.to_string(),
            ),
            "csv" => list(Kind::Csv).map_or_else(|error| error, |imported| imported.report),
            "kml" => list(Kind::Kml).map_or_else(|error| error, |imported| imported.report),
            _ => list(Kind::Geojson).map_or_else(|error| error, |imported| imported.report),
        }
    }
}

/// The processor's seconds that this program had so far; a busy machine does not count. Only Linux tells them.
fn worked() -> Option<f64> {
    let stat = fs::read_to_string("/proc/self/stat").ok()?;
    let mut fields = stat.rsplit(')').next()?.split_whitespace().skip(11);
    let user: f64 = fields.next()?.parse().ok()?;
    let system: f64 = fields.next()?.parse().ok()?;
    Some((user + system) / 100.0)
}

/// A table beside the scenario.
struct Rows<'a>(&'a [u8]);

impl Files for Rows<'_> {
    fn read(&self, _: &str) -> io::Result<Vec<u8>> {
        Ok(self.0.to_vec())
    }
}

#[test]
fn a_small_file_of_the_worst_kinds_is_read_at_once() {
    for worst in &ALL {
        let bytes = worst.bytes(100_000);
        let begun = Instant::now();
        worst.read(&bytes);
        // Tenths of a second are usual. Never a stopwatch on a busy machine: what is not proportional takes minutes.
        assert!(
            begun.elapsed() < Duration::from_secs(20),
            "{}: {:?}",
            worst.what,
            begun.elapsed()
        );
    }
}

#[test]
#[ignore = "measures for a minute; the figures stand in docs/limits.md"]
fn the_largest_file_of_the_worst_kinds_is_read_in_time() {
    println!("{:>7} {:>6}  what", "seconds", "MiB");
    for worst in &ALL {
        let bytes = worst.bytes(LARGEST_FILE);
        // Linux forgets the peak so far; elsewhere no memory is told.
        let _ = fs::write("/proc/self/clear_refs", "5");
        let (begun, before) = (Instant::now(), worked());
        let said = worst.read(&bytes);
        let wall = begun.elapsed().as_secs_f64();
        let took = worked()
            .zip(before)
            .map_or(wall, |(after, before)| after - before);
        let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
        let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let peak =
            peak.and_then(|line| line.trim().strip_suffix(" kB")?.trim().parse::<u64>().ok());
        let first = said.lines().next().unwrap_or("");
        let first: String = first.chars().take(90).collect();
        println!(
            "{:>7.2} {:>6}  {} ({first})",
            took,
            peak.unwrap_or(0) / 1024,
            worst.what
        );
        assert!(took < 60.0, "{}: {took} s", worst.what);
        assert!(
            peak.unwrap_or(0) < 2 * 1024 * 1024,
            "{}: {peak:?} kB",
            worst.what
        );
    }
}
