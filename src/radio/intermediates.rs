//! First intermediate frequencies that are common, for a receiver whose own is not known.

use std::sync::LazyLock;

use serde::Deserialize;

use super::sources::authority;
use super::words::SourceWords;
use crate::document::{Entries, Source, read};
use crate::provenance::Authority;
use crate::quantity::Frequency;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Words {
    sources: Entries<SourceWords>,
    source: String,
    first: Vec<Frequency>,
}

static COMMON: LazyLock<Option<(Vec<Frequency>, Authority)>> = LazyLock::new(|| {
    let source = Source::new("intermediates.yaml", include_bytes!("intermediates.yaml")).ok()?;
    let words: Words = read(&source).into_result().ok()?;
    Some((words.first, authority(&words.sources, &words.source)?))
});

/// The first intermediate frequencies that receivers of this kind commonly have, lowest first.
pub fn common_intermediates() -> Vec<Frequency> {
    COMMON
        .as_ref()
        .map(|(frequencies, _)| frequencies.clone())
        .unwrap_or_default()
}

/// Who says which intermediate frequencies are common.
pub fn intermediates_authority() -> Option<&'static Authority> {
    COMMON.as_ref().map(|(_, authority)| authority)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: trade practice, eight frequencies from 21.4 to 58.05 MHz.
    #[test]
    fn the_common_intermediate_frequencies_are_there() {
        let common = common_intermediates();
        assert_eq!(common.len(), 8);
        assert!(common.is_sorted());
        assert_eq!(common.first(), Some(&Frequency::hz(21_400_000)));
        assert!(intermediates_authority().is_some());
    }
}
