//! Names of modes, with the emission each stands for.

use std::sync::LazyLock;

use serde::Deserialize;

use super::sources::authority;
use super::words::SourceWords;
use crate::document::{Entries, Source, read};
use crate::provenance::Authority;
use crate::quantity::{Bandwidth, Emission};

/// A mode with a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mode {
    /// Its name.
    pub name: String,
    /// What it emits.
    pub emission: Emission,
    /// What it is.
    pub title: String,
    /// Who says so.
    pub authority: Authority,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Words {
    sources: Entries<SourceWords>,
    modes: Entries<ModeWords>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ModeWords {
    emission: Emission,
    deviation: Option<Bandwidth>,
    modulation: Bandwidth,
    source: String,
    title: String,
}

static MODES: LazyLock<Vec<Mode>> = LazyLock::new(|| {
    let source = Source::new("modes.yaml", include_bytes!("modes.yaml")).ok();
    let words = source.and_then(|source| read::<Words>(&source).into_result().ok());
    words.map(listed).unwrap_or_default()
});

fn listed(words: Words) -> Vec<Mode> {
    let Words { sources, modes } = words;
    modes
        .into_iter()
        .filter_map(|(name, mode)| {
            let mode = mode.into_value()?;
            let mut emission = mode.emission;
            emission.deviation = mode.deviation;
            emission.modulation = mode.modulation;
            Some(Mode {
                name: name.into_value()?,
                emission,
                title: mode.title,
                authority: authority(&sources, &mode.source)?,
            })
        })
        .collect()
}

/// Every mode with a name.
pub fn modes() -> &'static [Mode] {
    &MODES
}

/// The emission that a name or a designator stands for.
pub fn mode(name: &str) -> Option<Emission> {
    modes()
        .iter()
        .find(|mode| mode.name == name)
        .map(|mode| mode.emission)
        .or_else(|| name.parse().ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: ITU-R SM.1138 and 47 CFR 2.202(g), worked cases; the standing of each is in `modes.yaml`.
    #[test]
    fn a_name_gives_the_designator_of_its_formula() {
        for (name, designator) in [
            ("fm", "16K0F3E"),
            ("nfm", "11K0F3E"),
            ("fm-20k", "14K0F3E"),
            ("wfm", "180KF3E"),
            ("am", "6K00A3E"),
            ("am-8k33", "5K00A3E"),
            ("ssb", "2K70J3E"),
            ("rtty", "249HF1B"),
            ("morse", "100HA1A"),
            ("packet-1200", "10K4F2D"),
        ] {
            assert_eq!(mode(name).unwrap().designator(), designator, "{name}");
        }
    }

    #[test]
    fn the_width_of_frequency_modulation_is_what_deviation_and_modulation_make() {
        let angle = modes()
            .iter()
            .filter(|mode| mode.emission.class().starts_with('F'));
        for mode in angle.filter(|mode| mode.name != "rtty") {
            let deviation = mode.emission.deviation.unwrap();
            let width = Bandwidth::frequency_modulated(deviation, mode.emission.modulation);
            assert_eq!(
                width.designation(),
                mode.emission.bandwidth.designation(),
                "{}",
                mode.name
            );
        }
    }

    #[test]
    fn a_designator_is_a_mode_and_a_word_nobody_knows_is_none() {
        assert_eq!(mode("12K5F3E").unwrap().designator(), "12K5F3E");
        assert_eq!(mode("fmm"), None);
        let written = include_str!("modes.yaml").lines();
        let written = written.filter(|line| line.contains("{emission:")).count();
        assert_eq!(modes().len(), written);
    }
}
