//! Plans that tests judge: every scenario, and a small one whose entries can be left out or turned about.

use std::path::{Path, PathBuf};
use std::{fs, io};

use quietpair::scenario::{Files, NoFiles, Plan, read};

/// Files beside the scenarios.
struct Beside;

impl Files for Beside {
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        fs::read(folder().join(path))
    }
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios")
}

/// The plans of all scenarios, by file name.
pub(crate) fn scenarios() -> Vec<(String, Plan)> {
    let mut names: Vec<String> = fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.split('.').next_back() == Some("yaml"))
        .collect();
    names.sort_unstable();
    let plans = names.into_iter().map(|name| {
        let bytes = fs::read(folder().join(&name)).unwrap();
        let plan = read(&name, &bytes, &Beside).unwrap_or_else(|faults| panic!("{faults}"));
        (name, plan)
    });
    plans.collect()
}

pub(crate) const STATIONS: [&str; 4] = [
    "{name: Relay, site: hill, radio: dual-band-mobile}",
    "{name: Control, site: field, radio: dual-band-mobile, power: low, via: Relay, leg: 2m}",
    "{name: Marshal, site: field, radio: handheld, via: Relay, leg: 70cm}",
    "{name: Packet, site: pier, radio: mobile-2m, power: low, talk: 145.3000}",
];

pub(crate) const NEIGHBOURS: [&str; 5] = [
    "{name: Town, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43], antenna: 30 m, listeners: {nearest: 40 km}}",
    "{name: Coast, output: 433.2250, input: 434.8250, erp: 20 W, at: [54.2797, -0.4113], antenna: 18 m, listeners: {nearest: 40 km}}",
    "{name: Gateway, frequency: 145.2875, power: 5 W, at: [54.40, -0.60], listeners: {nearest: 40 km}}",
    "{name: Harbour, frequency: 156.6000, service: marine, mode: fm, erp: 25 W, at: [54.5070, -0.6330], antenna: 10 m}",
    "{name: Tower, frequency: 119.7050, mode: am-8k33, service: airband, at: [54.3607, -0.4108], antenna: 15 m}",
];

const SEARCHES: &str = "
search:
  - {name: some of it goes, station: Relay, cross_band: [433.4000-433.5750, 145.2000-145.3750], step: 25 kHz}
  - {name: nothing goes, station: Relay, cross_band: [433.4000-433.5000, 145.0500], step: 25 kHz}
proposals:
  - {name: pair, station: Relay, cross_band: [433.4500, 145.2250]}
";

/// A relay, two users, a packet station and five neighbours, in the order given.
pub(crate) fn sample(stations: &[&str], neighbours: &[&str]) -> Plan {
    let list = |items: &[&str]| {
        items
            .iter()
            .map(|item| format!("  - {item}"))
            .collect::<Vec<_>>()
            .join("\n")
            + "\n"
    };
    let text = format!(
        "event: {{name: Sample}}\nrules: [uk]\nlicence: full\nsites:\n  \
         hill: {{at: [54.4150, -0.5320], ground: 118 m}}\n  \
         field: {{at: [54.4571, -0.6033], ground: 20 m}}\n  \
         pier: {{at: [54.9502, 0.1047], ground: 4 m}}\n\
         stations:\n{}in_use:\n{}{SEARCHES}",
        list(stations),
        list(neighbours)
    );
    read("sample.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|faults| panic!("{faults}"))
}
