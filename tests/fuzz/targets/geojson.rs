//! A map of any bytes, as a list that is taken in: as neighbours, and as places.
#![no_main]

use libfuzzer_sys::fuzz_target;
use quietpair::document::Source;
use quietpair::import::{Kind, Shape, Wanted, import};

fuzz_target!(
    |bytes: &[u8]| if let Ok(source) = Source::new("map", bytes) {
        for shape in [Shape::InUse, Shape::Sites] {
            let wanted = Wanted {
                shape,
                ..Wanted::default()
            };
            let _ = import(&source, Kind::Geojson, &wanted);
        }
    }
);
