//! Sub-audible tones, in tenths of a hertz.

use std::sync::LazyLock;

use serde::Deserialize;

use super::sources::authority;
use super::words::SourceWords;
use crate::document::{Entries, Source, read};
use crate::quantity::decimal_scaled;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Words {
    sources: Entries<SourceWords>,
    standard: ListWords,
    older: ListWords,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ListWords {
    source: String,
    tones: Vec<String>,
}

/// The standard's and the older ones.
static LISTS: LazyLock<Option<[Vec<u32>; 2]>> = LazyLock::new(|| {
    let source = Source::new("tones.yaml", include_bytes!("tones.yaml")).ok()?;
    let words: Words = read(&source).into_result().ok()?;
    let list = |list: &ListWords| {
        // A list that names no source of the file is none.
        authority(&words.sources, &list.source)?;
        Some(tenths(&list.tones))
    };
    Some([list(&words.standard)?, list(&words.older)?])
});

fn tenths(tones: &[String]) -> Vec<u32> {
    tones
        .iter()
        .filter_map(|text| u32::try_from(decimal_scaled(text, 1).ok()?).ok())
        .collect()
}

/// The standard's tones, lowest first.
pub fn tones() -> &'static [u32] {
    LISTS
        .as_ref()
        .map_or(&[], |[standard, _]| standard.as_slice())
}

/// Those of them that older radios have, lowest first.
pub fn older_tones() -> &'static [u32] {
    LISTS.as_ref().map_or(&[], |[_, older]| older.as_slice())
}

/// Whether a tone is one of the standard's.
pub fn is_standard_tone(tone: u32) -> bool {
    tones().binary_search(&tone).is_ok()
}

/// The standard's tones next below and next above one that is none of them; the tone itself, once, when it is one.
pub fn nearest_tones(tone: u32) -> Vec<u32> {
    match tones().binary_search(&tone) {
        Ok(_) => vec![tone],
        Err(at) => {
            let below = at.checked_sub(1).and_then(|below| tones().get(below));
            below.into_iter().chain(tones().get(at)).copied().collect()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the tones of TIA-603 and its later additions, counted in several public listings.
    #[test]
    fn there_are_fifty_tones_and_thirty_eight_of_them_are_old() {
        assert_eq!(tones().len(), 50);
        assert_eq!(older_tones().len(), 38);
        assert!(tones().is_sorted() && older_tones().is_sorted());
        assert!(older_tones().iter().all(|tone| is_standard_tone(*tone)));
        assert!(is_standard_tone(2541) && !is_standard_tone(2542));
    }

    #[test]
    fn the_nearest_tones_are_the_neighbours() {
        assert_eq!(nearest_tones(750), [744, 770]);
        assert_eq!(nearest_tones(770), [770]);
        assert_eq!(nearest_tones(100), [670]);
        assert_eq!(nearest_tones(9_999), [2541]);
    }
}
