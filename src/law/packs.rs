//! The packs that come with the program.

use std::sync::{Arc, LazyLock};

use super::pack::Pack;
use super::read::read;

/// Every built-in pack: its name, and its file.
pub const ALL: &[(&str, &str)] = &[
    ("uk", include_str!("packs/uk.yaml")),
    ("us", include_str!("packs/us.yaml")),
    ("de", include_str!("packs/de.yaml")),
    ("ca", include_str!("packs/ca.yaml")),
    ("iaru-r1", include_str!("packs/iaru-r1.yaml")),
    ("iaru-r2", include_str!("packs/iaru-r2.yaml")),
    ("iaru-r3", include_str!("packs/iaru-r3.yaml")),
    ("safety", include_str!("packs/safety.yaml")),
    ("safety-r1", include_str!("packs/safety-r1.yaml")),
    ("safety-r2", include_str!("packs/safety-r2.yaml")),
    ("services", include_str!("packs/services.yaml")),
    ("neighbours-r1", include_str!("packs/neighbours-r1.yaml")),
    ("neighbours-r2", include_str!("packs/neighbours-r2.yaml")),
];

/// A built-in pack that could be read; that all of them can is a test.
static READ: LazyLock<Vec<Arc<Pack>>> = LazyLock::new(|| {
    ALL.iter()
        .filter_map(|(name, text)| read(&format!("{name}.yaml"), text.as_bytes()).ok())
        .map(Arc::new)
        .collect()
});

/// The built-in packs, read once.
pub fn built_in() -> &'static [Arc<Pack>] {
    &READ
}
