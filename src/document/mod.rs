//! A YAML file as the words of a stage, each with its place, and all faults of the file at once.
//!
//! Scenarios, rule packs and radio profiles are read here alike. A stage derives `Deserialize` for its words and wraps
//! them in [`Said`]: a wrong value is then told and left out, and everything else is still read. What the words mean
//! is left to the stage, which adds what it finds to the same [`Faults`].
//!
//! Scalars reach their types as the text that was written, so `145.500` never passes through a float. For that
//! reason, and to keep places, words use neither `flatten` nor untagged or internally tagged enums.

mod access;
mod bounds;
mod desk;
mod entries;
mod excerpt;
mod fault;
mod grow;
mod pairs;
mod quantities;
mod read;
mod refusal;
mod said;
mod source;
mod tree;

#[cfg(test)]
mod tests;

use serde::de::{Deserialize, DeserializeOwned};

pub use bounds::{DEEPEST, LARGEST_FILE, LONGEST_TEXT, MOST_FAULTS, MOST_VALUES};
pub use entries::Entries;
pub use fault::{Fault, Faults};
pub use refusal::{few, nearest};
pub use said::Said;
pub use source::{Place, Source, SourceError};

use desk::Desk;
use read::Reader;

/// What was read of a source: the value as far as there is one, and everything that is wrong.
#[derive(Debug, Clone)]
pub struct Reading<T> {
    /// The value, with gaps where there are faults; nothing where the faults leave none.
    pub value: Option<T>,
    /// The faults so far.
    pub faults: Faults,
}

impl<T> Reading<T> {
    /// The value of a source without faults.
    ///
    /// # Errors
    /// The faults, if there are any.
    pub fn into_result(self) -> Result<T, Faults> {
        match self.value {
            Some(value) => self.faults.or_value(value),
            None => Err(self.faults),
        }
    }
}

/// Reads a source as `T`.
pub fn read<T: DeserializeOwned>(source: &Source) -> Reading<T> {
    let mut told = Vec::new();
    let root = grow::grow(source, &mut told);
    let desk = Desk::with(told);
    let value = root.and_then(|node| {
        let reader = Reader {
            node: &node,
            desk: &desk,
        };
        Said::<T>::deserialize(reader).ok()?.into_value()
    });
    let mut faults = Faults::new(source);
    faults.extend(desk.into_faults());
    Reading { value, faults }
}
