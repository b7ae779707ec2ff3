//! Sources named once in a data file of this stage.

use super::words::SourceWords;
use crate::document::{Entries, Said};
use crate::provenance::{Authority, Standing};

/// What stands under a key.
pub(super) fn named<'e>(
    sources: &'e Entries<SourceWords>,
    key: &str,
) -> Option<&'e Said<SourceWords>> {
    sources
        .iter()
        .find(|(name, _)| name.value().is_some_and(|name| name == key))
        .map(|(_, source)| source)
}

/// What a source says; nothing when its standing is none that is known.
pub(super) fn authority_of(source: &SourceWords) -> Option<Authority> {
    let word = source.standing.value()?;
    let &(_, standing) = Standing::ALL.iter().find(|(name, _)| name == word)?;
    Some(Authority {
        text: source.text.as_str().into(),
        standing,
    })
}

/// The authority under a key; nothing when the key or its standing is not known.
pub(super) fn authority(sources: &Entries<SourceWords>, key: &str) -> Option<Authority> {
    authority_of(named(sources, key)?.value()?)
}
