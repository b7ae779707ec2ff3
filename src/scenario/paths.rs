//! What is known of single paths, with their ends found.

use super::desk::{Desk, Spot, Stated};
use super::names;
use super::plan::{End, InUse, Known, KnownPath, Site};
use super::signal;
use super::sites::{is_between, is_ground, is_loss};
use super::words::{KnownPathWords, ScenarioWords};
use crate::document::Said;
use crate::physics::geodesic::course;
use crate::quantity::{Length, Position};

/// Everything that an end can be.
pub(super) struct Ends<'a> {
    pub(super) sites: &'a [Site],
    /// Our stations with their sites.
    pub(super) stations: &'a [(&'a str, Option<usize>)],
    /// By index into `in_use`; none for an entry whose fault is told already.
    pub(super) in_use: Vec<(&'a str, Option<&'a InUse>)>,
}

/// What is known of single paths, in the order of the file.
pub(super) fn paths(words: &ScenarioWords, ends: &Ends<'_>, desk: &mut Desk) -> Vec<KnownPath> {
    let mut found: Vec<(KnownPath, Spot)> = Vec::new();
    for said in &words.paths {
        let Some(words) = said.value() else { continue };
        let spot = Spot::scenario(said.place());
        let Some(path) = path(words, spot, ends, desk) else {
            continue;
        };
        match found.iter().find(|(other, _)| is_same(other, &path)) {
            Some((_, first)) => desk.tell_twice(
                spot,
                "this is said of the path already: keep one of the two",
                *first,
            ),
            None => found.push((path, spot)),
        }
    }
    found.into_iter().map(|(path, _)| path).collect()
}

/// Whether two entries say the same kind of thing of the same path.
fn is_same(one: &KnownPath, other: &KnownPath) -> bool {
    let [first, second] = other.ends;
    let is_one_path = one.ends == [first, second] || one.ends == [second, first];
    let is_one_kind = match (&one.what, &other.what) {
        (Known::Ridge { .. }, Known::Ridge { .. }) => true,
        (Known::Loss { at: one, .. }, Known::Loss { at: other, .. }) => one == other,
        _ => false,
    };
    is_one_path && is_one_kind
}

fn path(words: &KnownPathWords, spot: Spot, ends: &Ends<'_>, desk: &mut Desk) -> Option<KnownPath> {
    let between = Stated::in_scenario(Some(&words.between))?;
    let [one, other] = between.value.as_slice() else {
        let count = between.value.len();
        desk.tell(
            between.spot,
            format!("a path has two ends, not {count}: name two sites, stations or neighbours"),
        );
        return None;
    };
    let named = [one, other].map(|said| ends.find(said, desk));
    let [Some(one), Some(other)] = named else {
        return None;
    };
    let sites = [one, other].map(|end| ends.site(end));
    if one == other || (sites[0].is_some() && sites[0] == sites[1]) {
        desk.tell_with_help(
            between.spot,
            "the two ends are at one place",
            "write what is lost between two stations at one site under `isolation` of the site",
        );
        return None;
    }
    let ends_found = [one, other];
    let what = match (&words.ridge, &words.loss) {
        (Some(_), None) => ridge(words, ends_found, ends, desk)?,
        (None, Some(loss)) => {
            let loss = Stated::in_scenario(Some(loss))
                .filter(|loss| is_loss(loss, "loss of a path", desk))?;
            let at = match Stated::in_scenario(words.at.as_ref()) {
                Some(at) => Some(signal::stretch(&at, desk)?),
                None => None,
            };
            Known::Loss {
                loss: desk.sourced(loss),
                at,
            }
        }
        _ => {
            desk.tell(
                spot,
                "give exactly one of `ridge` and `loss`, each in an entry of its own",
            );
            return None;
        }
    };
    Some(KnownPath {
        ends: ends_found,
        what,
    })
}

fn ridge(
    words: &KnownPathWords,
    found: [End; 2],
    ends: &Ends<'_>,
    desk: &mut Desk,
) -> Option<Known> {
    let ridge = Stated::in_scenario(words.ridge.as_ref())?;
    if let Some(at) = Stated::in_scenario(words.at.as_ref()) {
        desk.tell(
            at.spot,
            "a ridge stands in the way at every frequency: `at` here goes with `loss`",
        );
        return None;
    }
    let top = Stated::in_scenario(Some(&ridge.value.height)).filter(|top| is_ground(top, desk))?;
    let whole = ends.distance(found);
    let farthest = whole.unwrap_or(Length::metres(20_000_000.0));
    let nearest = Length::metres(1.0);
    let from_first = Stated::in_scenario(Some(&ridge.value.at))
        .filter(|at| is_between(at, nearest, farthest, "a place on this path", desk))?;
    // Its height is above the sea: without the ground of both ends it says nothing.
    let unknown = found.into_iter().filter_map(|end| ends.without_ground(end));
    let unknown: Vec<String> = unknown.collect();
    if !unknown.is_empty() {
        desk.tell_with_help(
            top.spot,
            format!("the ground of {} is not stated", unknown.join(" and ")),
            "the height of a ridge is above sea level: state `ground` at both ends",
        );
        return None;
    }
    Some(Known::Ridge {
        top: desk.sourced(top),
        from_first: from_first.value,
    })
}

impl Ends<'_> {
    /// The end of a name; told if there is none, or more than one.
    fn find(&self, said: &Said<String>, desk: &mut Desk) -> Option<End> {
        let wanted = Stated::in_scenario(Some(said))?;
        let sites = self.sites.iter().map(|site| site.name.as_str());
        let stations = self.stations.iter().map(|(name, _)| *name);
        let in_use = self.in_use.iter().map(|(name, _)| *name);
        let all: Vec<(&str, End)> = (sites.enumerate())
            .map(|(index, name)| (name, End::Site(index)))
            .chain((stations.enumerate()).map(|(index, name)| (name, End::Station(index))))
            .chain((in_use.enumerate()).map(|(index, name)| (name, End::InUse(index))))
            .collect();
        let mut meant = all.iter().filter(|(name, _)| *name == wanted.value);
        match (meant.next(), meant.next()) {
            (Some(&(_, end)), None) => Some(end),
            (None, _) => {
                let names: Vec<&str> = all.iter().map(|(name, _)| *name).collect();
                names::tell_unknown("site, station or neighbour", &wanted, &names, desk);
                None
            }
            (Some(_), Some(_)) => {
                desk.tell(
                    wanted.spot,
                    format!(
                        "`{}` is the name of more than one thing; rename one",
                        wanted.value
                    ),
                );
                None
            }
        }
    }

    /// The site of an end.
    fn site(&self, end: End) -> Option<usize> {
        match end {
            End::Site(site) => Some(site),
            End::Station(index) => self.stations.get(index)?.1,
            End::InUse(_) => None,
        }
    }

    fn position(&self, end: End) -> Option<Position> {
        match end {
            End::InUse(index) => self.in_use.get(index)?.1?.position,
            End::Site(_) | End::Station(_) => self.sites.get(self.site(end)?)?.position,
        }
    }

    /// From one end to the other, where that is known.
    fn distance(&self, [one, other]: [End; 2]) -> Option<Length> {
        let places = self.position(one).zip(self.position(other));
        if let Some((one, other)) = places {
            return Some(course(one, other).distance);
        }
        let stated = |end| match end {
            End::InUse(index) => {
                let entry = self.in_use.get(index)?.1?;
                (entry.position.is_none() && entry.distance.is_stated())
                    .then_some(entry.distance.value)
            }
            End::Site(_) | End::Station(_) => None,
        };
        stated(one).or_else(|| stated(other))
    }

    /// The name of an end whose ground nobody stated.
    fn without_ground(&self, end: End) -> Option<String> {
        match end {
            End::InUse(index) => {
                let (name, entry) = self.in_use.get(index)?;
                let is_stated = (*entry)?.ground.is_stated();
                (!is_stated).then(|| (*name).to_owned())
            }
            End::Site(_) | End::Station(_) => {
                let site = self.sites.get(self.site(end)?)?;
                (!site.ground.is_stated()).then(|| site.name.clone())
            }
        }
    }
}
