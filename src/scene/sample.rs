//! Small plans for tests, written as a user would.

use crate::scenario::{NoFiles, Plan, read};

/// The plan behind sites, stations and neighbours.
pub(crate) fn plan(text: &str) -> Plan {
    let text = format!("event: {{name: Sample}}\nrules: [uk]\nlicence: full\n{text}");
    match read("sample.yaml", text.as_bytes(), &NoFiles) {
        Ok(plan) => plan,
        Err(faults) => panic!("{faults}"),
    }
}

/// A relay with a packet station 10 m away, its users, a repeater, and a tower on a mixer response of one receiver:
/// (145.9300 + 2 × 45.05) ÷ 2 = 118.0150 MHz.
pub(crate) const CROWDED: &str = "
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
  field: {at: [54.4571, -0.6033], ground: 20 m}
stations:
  - name: Relay
    site: hill
    radio: dual-band-mobile
    cross_band: [433.4500, 145.2250]
  - {name: Packet, site: hill, radio: mobile-2m, antenna: {offset: {east: 10 m, north: 0 m}}, talk: 144.8000}
  - {name: Control, site: field, radio: dual-band-mobile, uses: [{via: Relay, leg: 2m}, {watch: 145.6500}]}
  - {name: Marshal, site: field, radio: handheld, via: Relay, leg: 70cm}
  - {name: Scout, site: field, radio: mobile-2m, watch: 145.9300}
in_use:
  - {name: Tower, frequency: 118.0150, mode: am-8k33, service: airband, at: [54.4572, -0.6100]}
  - {name: Town, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43], antenna: 30 m}
";
