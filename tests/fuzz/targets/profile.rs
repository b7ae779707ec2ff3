//! A radio profile of any bytes.
#![no_main]

use libfuzzer_sys::fuzz_target;
use quietpair::document::Source;
use quietpair::radio::read_profile;

fuzz_target!(
    |bytes: &[u8]| if let Ok(source) = Source::new("radio.yaml", bytes) {
        drop(read_profile(&source).faults.to_string());
    }
);
