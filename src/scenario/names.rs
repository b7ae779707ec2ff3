//! Names: each once, and those that are meant found.

use std::collections::BTreeMap;

use super::desk::{Desk, Spot, Stated};
use crate::document::{MOST_FAULTS, few, nearest};

/// The most names that are listed to choose from; of more, as many are named.
const FEW: usize = 10;

/// Faults of a scenario for which the nearest name is looked for.
const ADVISED: usize = 100;

/// Tells every name that was given before.
pub(super) fn tell_repeated<'n>(
    kind: &str,
    names: impl IntoIterator<Item = &'n Stated<String>>,
    desk: &mut Desk,
) {
    let mut seen: BTreeMap<&str, Spot> = BTreeMap::new();
    for name in names {
        if name.value.trim().is_empty() {
            desk.tell(name.spot, format!("the {kind} needs a name; write one"));
        } else if let Some(first) = seen.get(name.value.as_str()) {
            desk.tell_twice(
                name.spot,
                format!(
                    "there is a {kind} named `{}` already; rename one",
                    name.value
                ),
                *first,
            );
        } else {
            seen.insert(&name.value, name.spot);
        }
    }
}

/// The index of the name that is meant; a name that is not there is told with the nearest one that is.
pub(super) fn find(
    kind: &str,
    wanted: &Stated<String>,
    names: &[&str],
    desk: &mut Desk,
) -> Option<usize> {
    let found = names.iter().position(|name| *name == wanted.value);
    if found.is_none() {
        tell_unknown(kind, wanted, names, desk);
    }
    found
}

/// Tells that there is nothing of this name, and what there is.
pub(super) fn tell_unknown(kind: &str, wanted: &Stated<String>, names: &[&str], desk: &mut Desk) {
    // Looking for the nearest of many names for every one of many faults would take hours.
    let told = desk.told();
    if told >= MOST_FAULTS {
        return;
    }
    let near = (told < ADVISED).then(|| nearest(&wanted.value, names));
    let message = match near.flatten() {
        Some(near) => format!("`{}`: no such {kind}; did you mean `{near}`?", wanted.value),
        None => format!("`{}`: no such {kind}", wanted.value),
    };
    let known: Vec<&str> = (names.iter().copied())
        .filter(|name| !name.is_empty())
        .collect();
    let help = if known.is_empty() {
        format!("there is no {kind} in this plan")
    } else {
        format!("there is {}", few(&known, FEW))
    };
    desk.tell_with_help(wanted.spot, message, help);
}
