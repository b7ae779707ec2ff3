//! How many entries a list of a scenario may hold: more than any event has, and few enough that looking them up ends.

use super::desk::{Desk, Spot};
use super::words::ScenarioWords;
use crate::document::{Place, Said};

/// Neighbours, those of files included.
pub(super) const MOST_IN_USE: usize = 100_000;

/// Whether a list holds more than is read, which is told.
pub(super) fn is_crowded(words: &ScenarioWords, desk: &mut Desk) -> bool {
    fn list<T>(entries: &[Said<T>]) -> Vec<Place> {
        entries.iter().map(Said::place).collect()
    }
    let names = |places: &mut dyn Iterator<Item = Place>| places.collect::<Vec<_>>();
    let lists = [
        ("rules", 100, list(&words.rules)),
        ("neighbouring_rules", 100, list(&words.neighbouring_rules)),
        (
            "sites",
            1_000,
            names(&mut words.sites.iter().map(|(name, _)| name.place())),
        ),
        ("paths", 1_000, list(&words.paths)),
        (
            "radios",
            200,
            names(&mut words.radios.iter().map(|(name, _)| name.place())),
        ),
        ("stations", 1_000, list(&words.stations)),
        ("in_use", MOST_IN_USE, list(&words.in_use)),
        ("absent", 1_000, list(&words.absent)),
        ("proposals", 1_000, list(&words.proposals)),
        ("search", 100, list(&words.search)),
    ];
    let stations = words.stations.iter().filter_map(Said::value);
    let of_stations = stations.flat_map(|station| {
        [
            ("uses", 20, list(&station.uses)),
            ("on_air", 100, list(&station.on_air)),
            ("phases", 100, list(&station.phases)),
            ("needs", 1_000, list(&station.needs)),
            ("filters", 100, list(&station.filters)),
        ]
    });
    let sites = words.sites.iter().filter_map(|(_, site)| site.value());
    let of_sites = sites.map(|site| ("isolation", 1_000, list(&site.isolation)));
    let event = words.event.value();
    let of_event = event.map(|event| ("phases", 100, list(&event.phases)));
    let lists = lists
        .into_iter()
        .chain(of_event)
        .chain(of_stations)
        .chain(of_sites);
    let mut is_crowded = false;
    for (key, most, places) in lists {
        if let Some(&first) = places.get(most) {
            is_crowded = true;
            desk.tell_with_help(
                Spot::scenario(first),
                format!(
                    "`{key}` has {} entries, and no more than {most} are read",
                    places.len()
                ),
                "keep what is near the event, or put it into a scenario for each part",
            );
        }
    }
    is_crowded
}
