//! A table of any bytes: as neighbours that a scenario names, and as a list that is taken in.
#![no_main]

use std::io;

use libfuzzer_sys::fuzz_target;
use quietpair::document::Source;
use quietpair::import::{Kind, Wanted, import};
use quietpair::scenario::{Files, read};

struct Table<'a>(&'a [u8]);

impl Files for Table<'_> {
    fn read(&self, _: &str) -> io::Result<Vec<u8>> {
        Ok(self.0.to_vec())
    }
}

const PLAN: &str = "event: {name: Run}\nrules: []\nin_use:\n  - {from: rows.csv}\n  - {from: rows.csv, delimiter: ';', \
                    columns: {name: name, output: output, latitude: lat, longitude: lon, tone: tone}}\n";

fuzz_target!(|bytes: &[u8]| {
    if let Err(error) = read("plan.yaml", PLAN.as_bytes(), &Table(bytes)) {
        drop(error.to_string());
    }
    if let Ok(source) = Source::new("rows.csv", bytes) {
        let _ = import(&source, Kind::Csv, &Wanted::default());
    }
});
