//! Trade names of bands: `2m`, `70cm`, `airband`.

use std::sync::LazyLock;

use serde::Deserialize;

use super::figure::Figure;
use super::sources::authority;
use super::words::SourceWords;
use crate::document::{Entries, Source, read};
use crate::provenance::Authority;
use crate::quantity::Span;

/// A stretch of spectrum that the trade has a name for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Band {
    /// Its name.
    pub name: String,
    /// The widest range it has anywhere; where it may be used is a matter of the rules.
    pub span: Span,
    /// Whose it is.
    pub title: String,
    /// Who says so.
    pub authority: Authority,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Words {
    sources: Entries<SourceWords>,
    bands: Entries<BandWords>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BandWords {
    span: Figure<Span>,
    source: String,
    title: String,
}

static BANDS: LazyLock<Vec<Band>> = LazyLock::new(|| {
    let source = Source::new("bands.yaml", include_bytes!("bands.yaml")).ok();
    let words = source.and_then(|source| read::<Words>(&source).into_result().ok());
    words.map(listed).unwrap_or_default()
});

fn listed(words: Words) -> Vec<Band> {
    let Words { sources, bands } = words;
    bands
        .into_iter()
        .filter_map(|(name, band)| {
            let band = band.into_value()?;
            Some(Band {
                name: name.into_value()?,
                span: band.span.value,
                title: band.title,
                authority: authority(&sources, &band.source)?,
            })
        })
        .collect()
}

/// Every band with a name.
pub fn bands() -> &'static [Band] {
    &BANDS
}

/// The band of a name.
pub fn band(name: &str) -> Option<&'static Band> {
    bands().iter().find(|band| band.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Frequency;

    /// Source: 47 CFR 97.301(a), ITU Regions 1 to 3, and ECC/DEC(15)05.
    #[test]
    fn a_band_has_the_widest_range_of_any_region() {
        let two = band("2m").unwrap().span;
        assert_eq!(
            (two.low, two.high),
            (Frequency::hz(144_000_000), Frequency::hz(148_000_000))
        );
        let seventy = band("70cm").unwrap().span;
        assert_eq!(
            (seventy.low, seventy.high),
            (Frequency::hz(420_000_000), Frequency::hz(450_000_000))
        );
        assert!(
            band("pmr446")
                .unwrap()
                .span
                .contains(Frequency::hz(446_193_750))
        );
        assert!(band("2 m").is_none());
    }

    #[test]
    fn every_line_of_the_file_is_read() {
        let lines = include_str!("bands.yaml").lines();
        let written = lines.filter(|line| line.contains("{span:")).count();
        assert_eq!(bands().len(), written);
    }
}
