//! Where everybody is, seen from above: to scale, without a map beneath.

use crate::net::{Network, SenderId};
use crate::physics::geodesic::{Bearing, Course, course};
use crate::quantity::{Length, Position};
use crate::scene::Scene;

/// Places around a middle.
#[derive(Debug, Clone, PartialEq)]
pub struct Map {
    /// The site in the middle: where a relay is, or else the first.
    pub middle: String,
    /// Places within the frame.
    pub places: Vec<Place>,
    /// Neighbours beyond it.
    pub far: Vec<Far>,
    /// From the middle to the frame.
    pub reach: Length,
    /// Distances between our sites, shortest first.
    pub stretches: Vec<Stretch>,
    /// Those of whom only a distance is known, or nothing.
    pub unplaced: Vec<(String, Option<Length>)>,
}

/// A place.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Its name.
    pub name: String,
    /// Whose it is.
    pub kind: Kind,
    /// Our stations there.
    pub stations: Vec<String>,
    /// East of the middle; negative is west.
    pub east: Length,
    /// North of the middle; negative is south.
    pub north: Length,
    /// From the middle.
    pub away: Course,
}

/// Whose a place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A site of ours.
    Site,
    /// A site of ours with a relay.
    RelaySite,
    /// Somebody else's.
    Neighbour,
}

/// A neighbour beyond the frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Far {
    /// Its name.
    pub name: String,
    /// How far from the middle, and which way.
    pub away: Course,
}

/// The way between two sites of ours.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// The sites.
    pub between: [String; 2],
    /// How far they are apart.
    pub distance: Length,
}

/// The frame goes so many times as far as our farthest site.
const ROOM: f64 = 1.6;

/// The least that the frame reaches, in metres.
const LEAST_M: f64 = 1_000.0;

/// Draws up the map; none where no site of ours has a place.
pub(super) fn map(scene: &Scene<'_>, network: &Network) -> Option<Map> {
    let plan = scene.plan;
    let repeats = |site: usize| {
        let mut senders = scene.transmitters.iter().enumerate();
        senders.any(|(index, one)| {
            let mast = scene.masts.get(one.mast);
            network.is_repeated(SenderId(index))
                && one.owner.is_ours()
                && mast.is_some_and(|mast| mast.site == Some(site))
        })
    };
    let sites: Vec<(usize, &str, Position)> = plan
        .sites
        .iter()
        .enumerate()
        .filter_map(|(index, site)| Some((index, site.name.as_str(), site.position?)))
        .collect();
    let &(_, middle, origin) = sites
        .iter()
        .find(|(index, ..)| repeats(*index))
        .or(sites.first())?;
    let mut places: Vec<Place> = sites
        .iter()
        .map(|&(index, name, at)| {
            let here = plan.stations.iter().filter(|station| station.site == index);
            let kind = if repeats(index) {
                Kind::RelaySite
            } else {
                Kind::Site
            };
            place(
                name,
                kind,
                here.map(|one| one.name.clone()).collect(),
                course(origin, at),
            )
        })
        .collect();
    let farthest = places
        .iter()
        .map(|one| one.away.distance.as_metres())
        .fold(0.0, f64::max);
    let reach = (farthest * ROOM).max(LEAST_M);
    let mut far = Vec::new();
    let mut unplaced = Vec::new();
    for entry in &plan.in_use {
        let Some(at) = entry.position else {
            let stated = entry.distance.is_stated().then_some(entry.distance.value);
            unplaced.push((entry.name.clone(), stated));
            continue;
        };
        let away = course(origin, at);
        if away.distance.as_metres() <= reach {
            places.push(place(&entry.name, Kind::Neighbour, Vec::new(), away));
        } else {
            far.push(Far {
                name: entry.name.clone(),
                away,
            });
        }
    }
    far.sort_by_key(|one| (one.away.distance, one.name.clone()));
    Some(Map {
        middle: middle.to_owned(),
        stretches: stretches(&sites),
        places,
        far,
        reach: Length::metres(reach),
        unplaced,
    })
}

fn place(name: &str, kind: Kind, stations: Vec<String>, away: Course) -> Place {
    let (east, north) = offset(away);
    Place {
        name: name.to_owned(),
        kind,
        stations,
        east,
        north,
        away,
    }
}

/// How far east and north something is: over the few kilometres of an event the earth is taken as flat.
fn offset(away: Course) -> (Length, Length) {
    let metres = away.distance.as_metres();
    let (sine, cosine) = bearing_parts(away.bearing);
    (
        Length::metres(metres * sine),
        Length::metres(metres * cosine),
    )
}

fn bearing_parts(bearing: Bearing) -> (f64, f64) {
    let turn = bearing.as_degrees().to_radians();
    (libm::sin(turn), libm::cos(turn))
}

fn stretches(sites: &[(usize, &str, Position)]) -> Vec<Stretch> {
    let mut found: Vec<Stretch> = sites
        .iter()
        .enumerate()
        .flat_map(|(index, &(_, one, from))| {
            sites
                .iter()
                .skip(index + 1)
                .map(move |&(_, other, to)| Stretch {
                    between: [one.to_owned(), other.to_owned()],
                    distance: course(from, to).distance,
                })
        })
        .collect();
    found.sort_by(|one, other| (one.distance, &one.between).cmp(&(other.distance, &other.between)));
    found
}
