//! A rule pack of any bytes.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(
    |bytes: &[u8]| match quietpair::law::read("pack.yaml", bytes) {
        Ok(pack) => drop(pack.entries()),
        Err(error) => drop(error.to_string()),
    }
);
