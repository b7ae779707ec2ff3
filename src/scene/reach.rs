//! How much is lost between where a line is born and a receiver's socket.

use super::courses::Bound;
use super::known::Stated;
use super::{Mast, Owner, Receiver, Scene};
use crate::budget::{Ledger, Total};
use crate::physics::coupling::{Separation, isolation};
use crate::physics::geodesic::Bearing;
use crate::physics::path::{
    PathEnd, PathGeometry, PathLoss, Polarisation, Reason, cautious, named, optimistic,
};
use crate::physics::spread;
use crate::provenance::Sourced;
use crate::quantity::{Decibels, Frequency, Length};

/// Where something leaves from, or comes to: the socket of a box, with its antenna.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reach {
    /// The radio box.
    pub unit: usize,
    /// Its antenna, by index into the scene.
    pub mast: usize,
}

/// What a way is judged for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Outlook {
    /// Interference: the path may be as kind as it can be.
    Optimistic,
    /// Service: the path may be as hard as it can be.
    Cautious,
}

impl Scene<'_> {
    /// The loss from a socket to a receiver's socket at a frequency, on the optimistic path.
    pub fn loss(&self, from: Reach, to: &Receiver, frequency: Frequency) -> Decibels {
        let mut total = Total::default();
        self.travel(from, to, frequency, &mut total);
        -total.ratio()
    }

    /// The loss a service has to reckon with, from a socket to a receiver's socket: as [`Self::loss`], but between sites by the
    /// model that loses most.
    pub fn service_loss(&self, from: Reach, to: &Receiver, frequency: Frequency) -> Decibels {
        if from.unit == to.unit {
            return self.loss(from, to, frequency);
        }
        let mut total = Total::default();
        self.over(from, to.reach(), frequency, Outlook::Cautious, &mut total);
        -total.ratio()
    }

    /// Enters the way from a socket to a receiver's socket, step by step, on the optimistic path.
    ///
    /// Inside one box by its isolation, else as [`Scene::over`] does.
    pub fn travel(
        &self,
        from: Reach,
        to: &Receiver,
        frequency: Frequency,
        ledger: &mut impl Ledger,
    ) {
        if from.unit == to.unit {
            ledger.enter(-to.isolation.value, || {
                (
                    "isolation between the sides inside the radio".to_owned(),
                    to.isolation.origin.to_string(),
                )
            });
            if !to.isolation.is_stated() {
                ledger.assume(|| {
                    format!(
                        "{} between the sides of {} ({})",
                        to.isolation.value,
                        to.name,
                        to.isolation.origin.brief()
                    )
                });
            }
            ledger.vary(spread::equipment(&to.isolation));
            return;
        }
        self.over(from, to.reach(), frequency, Outlook::Optimistic, ledger);
    }

    /// Enters the way between the sockets of two boxes, step by step.
    ///
    /// At one site by a measured figure or the separation formulas; between sites by the path model that the outlook
    /// asks for.
    pub fn over(
        &self,
        from: Reach,
        to: Reach,
        frequency: Frequency,
        outlook: Outlook,
        ledger: &mut impl Ledger,
    ) {
        let (Some(start), Some(end)) = (self.masts.get(from.mast), self.masts.get(to.mast)) else {
            return;
        };
        if let Some(measured) = self.measured(from.mast, to.mast, frequency) {
            ledger.enter(-measured.value, || {
                ("measured isolation".to_owned(), measured.origin.to_string())
            });
            ledger.vary(spread::MEASURED);
        } else {
            feeder(start, "its feeder", ledger);
            if start.site.is_some() && start.site == end.site {
                self.across_the_site(start, end, frequency, ledger);
            } else {
                let known = self.stated(from.mast, to.mast, frequency, || {
                    self.way(start, end).distance
                });
                self.between_sites(start, end, frequency, (outlook, known), ledger);
            }
            feeder(end, "the feeder at the far end", ledger);
        }
        for mast in [start, end] {
            for filter in mast
                .filters
                .iter()
                .filter(|filter| filter.span.contains(frequency))
            {
                ledger.enter(-filter.loss.value, || {
                    (
                        format!("filter {}", filter.name),
                        filter.loss.origin.to_string(),
                    )
                });
            }
        }
    }

    /// An isolation that somebody measured between two of our stations.
    fn measured(
        &self,
        one: usize,
        other: usize,
        frequency: Frequency,
    ) -> Option<&Sourced<Decibels>> {
        let pair = (one.min(other), one.max(other));
        let site = self.plan.stations.get(one)?.site;
        let found = self.plan.sites.get(site)?.measured.iter().find(|measured| {
            measured.stations == pair && measured.at.is_none_or(|span| span.contains(frequency))
        });
        found.map(|measured| &measured.loss)
    }

    fn across_the_site(
        &self,
        start: &Mast,
        end: &Mast,
        frequency: Frequency,
        ledger: &mut impl Ledger,
    ) {
        let up = (start.antenna.height.as_metres() - end.antenna.height.as_metres()).abs();
        let closest = &self.plan.settings.closest;
        // One stated place is enough: the other antenna then stands in the middle of the site.
        let places = [start, end].map(|mast| mast.antenna.offset);
        let apart = places.iter().any(Option::is_some).then(|| {
            let [one, other] = places.map(Option::unwrap_or_default);
            let east = one.0.as_metres() - other.0.as_metres();
            let north = one.1.as_metres() - other.1.as_metres();
            east.hypot(north)
        });
        let stated = apart.filter(|apart| apart.hypot(up) >= closest.as_metres());
        let separation = Separation {
            // Unless a place is stated nobody knows that one antenna stands straight above the other, which would
            // help: they are taken side by side, as far apart as their heights and the least distance make them.
            horizontal: stated.map_or(
                Length::metres(closest.as_metres().hypot(up)),
                Length::metres,
            ),
            vertical: Length::metres(if stated.is_some() { up } else { 0.0 }),
            gains: start.antenna.gain_at(frequency, None) + end.antenna.gain_at(frequency, None),
        };
        let is_supposed = stated.is_none();
        let found = isolation(frequency, separation);
        ledger.enter(-found.loss, || {
            let mut note = format!(
                "{}, {} apart and {} in height; common practice",
                found.formula, separation.horizontal, separation.vertical
            );
            for remark in &found.remarks {
                note.push_str("; ");
                note.push_str(remark);
            }
            (
                "isolation between the antennas at one site".to_owned(),
                note,
            )
        });
        ledger.vary(spread::AT_ONE_SITE);
        if is_supposed {
            ledger.assume(|| {
                format!(
                    "the two antennas stand {} apart, as no `offset` tells ({})",
                    closest.value,
                    closest.origin.brief()
                )
            });
        }
    }

    fn between_sites(
        &self,
        start: &Mast,
        end: &Mast,
        frequency: Frequency,
        (outlook, known): (Outlook, Option<Stated<'_>>),
        ledger: &mut impl Ledger,
    ) {
        let way = self.way(start, end);
        let geometry = PathGeometry {
            frequency,
            distance: way.distance,
            ends: [start, end].map(|mast| PathEnd {
                antenna: mast.antenna.height.value,
                ground: mast.ground,
            }),
            polarisation: Polarisation::Vertical,
            environment: self.plan.settings.terrain.value,
            obstacle: match known {
                Some(Stated::Ridge(obstacle, _)) => Some(obstacle),
                _ => None,
            },
        };
        let (out, back) = way
            .bearings
            .map_or((None, None), |(out, back)| (Some(out), Some(back)));
        let sent = start.antenna.gain_at(frequency, out);
        ledger.enter(sent, || {
            (
                "gain of the sending antenna".to_owned(),
                start.antenna.gain.origin.to_string(),
            )
        });
        let settings = &self.plan.settings;
        let (choice, suited) = match outlook {
            Outlook::Optimistic => (&settings.path, optimistic as fn(&_) -> _),
            Outlook::Cautious => (&settings.service_path, cautious as fn(&_) -> _),
        };
        if let Some(Stated::Loss(loss)) = known {
            ledger.enter(-loss.value, || {
                (
                    format!("path of {}, its loss known", way.distance),
                    loss.origin.to_string(),
                )
            });
            ledger.vary(spread::MEASURED);
        } else {
            let path = choice
                .value
                .and_then(|id| named(&geometry, id))
                .map_or_else(|| suited(&geometry), |path| path.or_obstacle(&geometry));
            by_model(&path, choice, way.distance, known, ledger);
            ledger.vary(if path.why == Reason::Obstacle {
                spread::RIDGE
            } else {
                spread::shadowing(frequency)
            });
        }
        let received = end.antenna.gain_at(frequency, back);
        ledger.enter(received, || {
            (
                "gain of the receiving antenna".to_owned(),
                end.antenna.gain.origin.to_string(),
            )
        });
        if let Some(distance) = way.assumed {
            ledger.assume(|| {
                format!(
                    "a distance of {} ({})",
                    distance.value,
                    distance.origin.brief()
                )
            });
        }
    }

    /// How far apart two antennas are reckoned where somebody can change that: two at one site, or a bystander and ours.
    pub fn reckoned_apart(&self, from: Reach, to: Reach) -> Option<Length> {
        let (start, end) = (self.masts.get(from.mast)?, self.masts.get(to.mast)?);
        let beside = |one: &Mast, other: &Mast| one.near.is_some() && one.near == other.site;
        let bystander = [(start, end), (end, start)]
            .into_iter()
            .find(|(one, other)| beside(one, other));
        if let Some((bystander, _)) = bystander {
            return bystander.distance.as_ref().map(|distance| distance.value);
        }
        if start.site.is_none()
            || start.site != end.site
            || self
                .measured(from.mast, to.mast, Frequency::hz(0))
                .is_some()
        {
            return None;
        }
        let [one, other] = [start, end].map(|mast| mast.antenna.offset.unwrap_or_default());
        let (east, north) = (
            one.0.as_metres() - other.0.as_metres(),
            one.1.as_metres() - other.1.as_metres(),
        );
        Some(Length::metres(east.hypot(north)).max(self.plan.settings.closest.value))
    }

    /// A loss that no way between two sockets falls short of, without working it out: what their antennas can gain at
    /// most against free space over the chord between them.
    ///
    /// A bound for leaving out what nobody can hear; it counts neither feeders nor filters nor the ground.
    pub fn least_lost(&self, from: Reach, to: &Receiver) -> Bound {
        if from.unit == to.unit {
            return Bound::Flat(to.isolation.value);
        }
        self.least_lost_between(from.mast, to.mast)
    }

    /// The same between two antennas of different boxes.
    pub fn least_lost_between(&self, from: usize, to: usize) -> Bound {
        self.courses.bound(from, to, || self.bound(from, to))
    }

    /// The same at a frequency.
    pub fn least_loss(&self, from: Reach, to: &Receiver, frequency: Frequency) -> Decibels {
        self.least_lost(from, to).at(frequency)
    }

    /// The same at a frequency between two antennas of different boxes.
    pub fn least_loss_between(&self, from: usize, to: usize, frequency: Frequency) -> Decibels {
        self.least_lost_between(from, to).at(frequency)
    }

    fn bound(&self, from: usize, to: usize) -> Bound {
        let (Some(start), Some(end)) = (self.masts.get(from), self.masts.get(to)) else {
            return Bound::Flat(Decibels::ZERO);
        };
        if start.site.is_some() && start.site == end.site {
            return Bound::Flat(Decibels::ZERO);
        }
        let gains = start.antenna.most_gain() + end.antenna.most_gain();
        // Free space from a tenth of a wavelength on, by its formula; nearer than that it gives nothing away.
        self.nearest(start, end).map_or_else(
            || Bound::Flat(-gains.max(Decibels::ZERO)),
            |nearest| {
                let wavelength = Frequency::hz(1).wavelength_m();
                let turns = 4.0 * std::f64::consts::PI * nearest.as_metres() / wavelength;
                Bound::Free {
                    at_one_hertz: Decibels::db(20.0 * turns.log10()),
                    gains,
                    stated: self.least_stated(from, to),
                }
            },
        )
    }

    /// A distance that two antennas at different sites are not reckoned nearer than, where one is known at once.
    fn nearest(&self, start: &Mast, end: &Mast) -> Option<Length> {
        let closest = self.plan.settings.closest.value;
        let chord = |one: &Mast, other: &Mast| {
            let (one, other) = one.spot.zip(other.spot)?;
            Some(one.chord(other).max(closest))
        };
        let roaming = [(start, end), (end, start)]
            .into_iter()
            .find(|(one, _)| one.near.is_some());
        let Some((roaming, other)) = roaming else {
            return chord(start, end);
        };
        let nearest = roaming.distance.as_ref()?.value.max(closest);
        if other.site.is_some() && other.site == roaming.near {
            return Some(nearest);
        }
        Some(chord(roaming, other).map_or(nearest, |chord| chord.max(nearest)))
    }

    /// What the bound to an antenna hangs on: with two alike in this it is the same from any third.
    pub fn vantage(&self, mast: usize) -> impl Ord + use<> {
        let there = self.masts.get(mast);
        (
            // A path that somebody knows may end at this very antenna.
            (there.is_none() || !self.plan.paths.is_empty()).then_some(mast),
            there.map(|one| {
                let distance = one.distance.as_ref().map(|said| said.value.as_metres());
                let gain = one.antenna.most_gain().as_db().to_bits();
                let spot = one.spot.map(super::Spot::number);
                (one.site, one.near, spot, distance.map(f64::to_bits), gain)
            }),
        )
    }

    /// Whether whatever arrives at the one of two antennas arrives at the other just as strong: those of people near one of
    /// our sites, as far as they are known to be alike.
    pub fn are_alike(&self, one: usize, other: usize) -> bool {
        let (Some(one), Some(other)) = (self.masts.get(one), self.masts.get(other)) else {
            return false;
        };
        let distance = |mast: &Mast| mast.distance.as_ref().map(|distance| distance.value);
        let known = |mast: &Mast| (mast.near, mast.spot, mast.ground, distance(mast));
        one.near.is_some()
            && known(one) == known(other)
            && one.antenna == other.antenna
            && one.filters.is_empty()
            && other.filters.is_empty()
    }

    /// The assumed distance of a listener whose place nobody stated.
    pub fn unplaced(&self, receiver: &Receiver) -> Option<&Sourced<Length>> {
        let mast = self.masts.get(receiver.mast);
        let distance = mast.filter(|mast| mast.near.is_some())?.distance.as_ref();
        distance.filter(|distance| !distance.is_stated())
    }

    /// How far two antennas are apart, in which directions they see each other, and what had to be assumed for that.
    fn way<'a>(&'a self, start: &'a Mast, end: &'a Mast) -> Way<'a> {
        let closest = self.plan.settings.closest.value;
        let roaming = [(start, end), (end, start)]
            .into_iter()
            .find(|(one, _)| one.near.is_some());
        if let Some((roaming, other)) = roaming {
            return self.roam(roaming, other, closest);
        }
        if let (Some(from), Some(to)) = (start.spot, end.spot) {
            let there = self.courses.course(from, to);
            return Way {
                distance: there.distance.max(closest),
                bearings: Some((there.bearing, self.courses.course(to, from).bearing)),
                assumed: None,
            };
        }
        // Of two that are only known by their distance from us, the nearer tells how close they may be.
        let said = [&start.distance, &end.distance]
            .into_iter()
            .flatten()
            .min_by_key(|said| said.value);
        Way::supposed(said.unwrap_or(&self.plan.settings.distance), closest)
    }

    /// The way between somebody near one of our sites and another antenna.
    ///
    /// As near as stated to what stands at that site; to anything else as far as the site is, but never nearer than that.
    fn roam<'a>(&'a self, roaming: &'a Mast, other: &'a Mast, closest: Length) -> Way<'a> {
        let Some(nearest) = &roaming.distance else {
            return Way {
                distance: closest,
                bearings: None,
                assumed: None,
            };
        };
        let way = Way::supposed(nearest, closest);
        if other.site.is_some() && other.site == roaming.near {
            return way;
        }
        let apart = roaming
            .spot
            .zip(other.spot)
            .map(|(one, other)| self.courses.course(one, other).distance);
        let known = apart.or_else(|| other.distance.as_ref().map(|distance| distance.value));
        match known {
            Some(known) => Way {
                distance: way.distance.max(known),
                ..way
            },
            None => way,
        }
    }

    /// Where one of the scene's transmitters leaves from.
    pub fn reach_of_transmitter(&self, index: usize) -> Option<Reach> {
        self.transmitters.get(index).map(|one| Reach {
            unit: one.unit,
            mast: one.mast,
        })
    }

    /// Where a receiver's own oscillator leaves from.
    pub fn reach_of_receiver(&self, index: usize) -> Option<Reach> {
        self.receivers.get(index).map(|one| Reach {
            unit: one.unit,
            mast: one.mast,
        })
    }
}

/// Enters the loss of a path by a model, with the reason for it.
fn by_model(
    path: &PathLoss,
    choice: &Sourced<Option<&'static str>>,
    distance: Length,
    known: Option<Stated<'_>>,
    ledger: &mut impl Ledger,
) {
    ledger.enter(-path.loss, || {
        let mut note = match (choice.value, path.why) {
            (_, Reason::Obstacle) => path.why.to_string(),
            (Some(_), Reason::Named) => format!("chosen in {}", choice.origin.brief()),
            (Some(id), why) => format!(
                "{id}, chosen in {}, cannot speak of this path; {why}",
                choice.origin.brief()
            ),
            (None, why) => why.to_string(),
        };
        if let Some(outside) = &path.outside_range {
            note.push_str("; ");
            note.push_str(outside);
        }
        if let Some(Stated::Ridge(ridge, said)) = known {
            note = format!(
                "{note}; a ridge of {} above the sea, {} along the way: {}",
                ridge.top, ridge.from_first, said.origin
            );
        }
        (format!("path of {distance} by {}", path.model), note)
    });
}

/// The way between two antennas.
struct Way<'a> {
    distance: Length,
    bearings: Option<(Bearing, Bearing)>,
    assumed: Option<&'a Sourced<Length>>,
}

impl<'a> Way<'a> {
    fn supposed(distance: &'a Sourced<Length>, closest: Length) -> Self {
        Self {
            distance: distance.value.max(closest),
            bearings: None,
            assumed: (!distance.is_stated()).then_some(distance),
        }
    }
}

fn feeder(mast: &Mast, what: &'static str, ledger: &mut impl Ledger) {
    let feeder = &mast.antenna.feeder;
    if feeder.value != Decibels::ZERO {
        ledger.enter(-feeder.value, || {
            (what.to_owned(), feeder.origin.to_string())
        });
    }
}

impl Receiver {
    /// Its socket and antenna.
    pub const fn reach(&self) -> Reach {
        Reach {
            unit: self.unit,
            mast: self.mast,
        }
    }
}

impl Owner {
    /// Whether it is one of our stations.
    pub const fn is_ours(self) -> bool {
        matches!(self, Self::Station(_))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Level;
    use crate::scene::sample::{CROWDED, plan};

    /// What is left out by a bound is never asked for again, so that nothing else would notice a bound that is too high.
    #[test]
    fn no_way_loses_less_than_its_bound() {
        let known = "
paths:
  - {between: [hill, Town], loss: 40 dB}
  - {between: [hill, field], ridge: {height: 160 m, at: 3 km}}
  - {between: [hill, Somewhere], loss: 0 dB}
";
        // Of one nothing but a distance is known, and to one site that nothing is lost on the way: the antennas gain.
        let somewhere = "  - {name: Somewhere, frequency: 145.3000, erp: 25 W, distance: 1 km}";
        let plan = plan(&format!("{CROWDED}{somewhere}{known}"));
        let scene = Scene::build(&plan, None);
        let mut ways = 0;
        for index in 0..scene.transmitters.len() {
            let from = scene.reach_of_transmitter(index).unwrap();
            for to in scene.receivers.iter() {
                for megahertz in [30, 118, 145, 290, 433, 866, 1_575, 4_000] {
                    let frequency = Frequency::hz(megahertz * 1_000_000);
                    let least = scene.least_loss(from, to, frequency);
                    let loss = scene.loss(from, to, frequency);
                    assert!(
                        least <= loss + Decibels::db(1e-9),
                        "{from:?} to {}",
                        to.name
                    );
                    ways += 1;
                }
            }
        }
        assert!(ways > 1_000);
    }

    /// Between antennas that gain nothing anywhere; what is left out by a bound that is too low only costs time.
    #[test]
    fn the_bound_is_free_space_over_the_chord_or_less_where_less_is_stated() {
        let text = "
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
  field: {at: [54.4571, -0.6033], ground: 20 m}
stations:
  - {name: A, site: hill, radio: mobile-2m, talk: 145.5000, antenna: {gain: 0 dBi}}
  - {name: B, site: field, radio: mobile-2m, talk: 145.4000, antenna: {gain: 3 dBi}}
  - {name: C, site: hill, radio: mobile-2m, talk: 145.3000, antenna: {gain: 3 dBi}}
";
        let stated = "paths: [{between: [B, C], loss: 60 dB}]\n";
        let plan = plan(&format!("{text}{stated}"));
        let scene = Scene::build(&plan, None);
        let mast = |station: usize| station;
        let at = |from, to, hertz| {
            let bound = scene.least_loss_between(mast(from), mast(to), Frequency::hz(hertz));
            bound.as_db()
        };
        // 4686.6 m north and 4627 m west on a sphere of the mean radius, so 6.59 km: ITU-R P.525, 32.4 + 20 log f + 20 log d.
        let free = |mhz: f64| 32.4 + 20.0 * mhz.log10() + 20.0 * 6.59f64.log10();
        for mhz in [14, 145, 433, 1_300] {
            let bound = at(0, 1, mhz * 1_000_000);
            assert!(
                (bound - (free(mhz as f64) - 3.0)).abs() < 0.1,
                "{mhz}: {bound}"
            );
            assert!(at(1, 0, mhz * 1_000_000).to_bits() == bound.to_bits());
        }
        // Where free space loses more than what is stated, what is stated counts, and both gains.
        assert!((at(1, 2, 145_000_000) - 54.0).abs() < 1e-9);
        assert!((at(1, 2, 1_000_000) - (free(1.0) - 6.0)).abs() < 0.1);
        // At one site anything may be.
        assert!(at(0, 2, 145_000_000) == 0.0);
    }

    #[test]
    fn who_may_stand_near_a_site_is_reckoned_as_near_to_it_as_is_said_and_to_others_as_far_as_the_site()
     {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut roaming = 0;
        for receiver in scene.receivers.iter() {
            let there = scene.masts.get(receiver.mast).unwrap();
            let (Some(near), Some(said)) = (there.near, &there.distance) else {
                continue;
            };
            roaming += 1;
            for (index, mast) in scene.masts.iter().enumerate().take(plan.stations.len()) {
                let gains = mast.antenna.most_gain() + there.antenna.most_gain();
                let free =
                    scene.least_loss_between(index, receiver.mast, Frequency::hz(145_000_000))
                        + gains;
                let metres = said
                    .value
                    .as_metres()
                    .max(plan.settings.closest.value.as_metres());
                // The two sites are 6.59 km apart.
                let metres = if mast.site == Some(near) {
                    metres
                } else {
                    metres.max(6_590.0)
                };
                let expected = 32.4 + 20.0 * 145f64.log10() + 20.0 * (metres / 1_000.0).log10();
                assert!(
                    (free.as_db() - expected.max(0.0)).abs() < 0.1,
                    "{} {expected}",
                    receiver.name
                );
            }
        }
        assert!(roaming > 1);
    }

    #[test]
    fn what_must_be_sent_is_what_must_arrive_and_the_bound_of_the_way() {
        let stated = "\npaths: [{between: [hill, Town], loss: 60 dB}]\n";
        let plan = plan(&format!("{CROWDED}{stated}"));
        let scene = Scene::build(&plan, None);
        let flat = Level::dbm(-120.0);
        let (mut inside, mut flats, mut free) = (0, 0, 0);
        for index in 0..scene.transmitters.len() {
            let from = scene.reach_of_transmitter(index).unwrap();
            for to in scene.receivers.iter() {
                for megahertz in [30, 145, 433, 1_575] {
                    let frequency = Frequency::hz(megahertz * 1_000_000);
                    let tilted = flat + Decibels::db(20.0 * (frequency.as_hz() as f64).log10());
                    let least = scene.least_lost(from, to).sent(flat, tilted);
                    let lost = scene.least_loss(from, to, frequency);
                    assert!(
                        (least - (flat + lost)).as_db().abs() < 1e-6,
                        "{} {megahertz}",
                        to.name
                    );
                    if from.unit == to.unit {
                        inside += 1;
                    } else if lost == Decibels::ZERO {
                        flats += 1;
                    } else {
                        free += 1;
                    }
                }
            }
        }
        assert!(
            inside > 0 && flats > 0 && free > 100,
            "{inside} {flats} {free}"
        );
    }

    #[test]
    fn two_at_one_site_are_as_far_apart_as_their_offsets_and_no_nearer_than_the_least() {
        let text = "
sites:
  hill: {at: [54.4150, -0.5320]}
stations:
  - {name: A, site: hill, radio: mobile-2m, talk: 145.5000, antenna: {height: 10 m, gain: 0 dBi, offset: {east: 33 m, north: 14 m}}}
  - {name: B, site: hill, radio: mobile-2m, talk: 145.4000, antenna: {height: 10 m, gain: 0 dBi, offset: {east: 3 m, north: -26 m}}}
  - {name: C, site: hill, radio: mobile-2m, talk: 145.3000, antenna: {height: 10 m, gain: 0 dBi}}
";
        let plan = plan(text);
        let scene = Scene::build(&plan, None);
        let reach = |station: usize| Reach {
            unit: station,
            mast: station,
        };
        let apart = |one: usize, other: usize| {
            scene
                .reckoned_apart(reach(one), reach(other))
                .unwrap()
                .as_metres()
        };
        // 30 and 40 m make 50 m; one without an offset stands in the middle.
        assert!((apart(0, 1) - 50.0).abs() < 1e-9 && (apart(1, 0) - 50.0).abs() < 1e-9);
        assert!((apart(0, 2) - 33.0f64.hypot(14.0)).abs() < 1e-9);
        let frequency = Frequency::hz(145_000_000);
        for (one, other, metres) in [(0, 1, 50.0), (1, 0, 50.0), (2, 0, 33.0f64.hypot(14.0))] {
            let mut way = Total::default();
            scene.over(
                reach(one),
                reach(other),
                frequency,
                Outlook::Optimistic,
                &mut way,
            );
            let separation = Separation {
                horizontal: Length::metres(metres),
                vertical: Length::metres(0.0),
                gains: Decibels::ZERO,
            };
            let feeders =
                [one, other].map(|mast| scene.masts.get(mast).unwrap().antenna.feeder.value);
            let lost = isolation(frequency, separation).loss + feeders[0] + feeders[1];
            assert!((way.ratio() + lost).as_db().abs() < 1e-9, "{one} {other}");
        }
    }

    #[test]
    fn alike_are_those_who_may_stand_as_near_to_one_site_with_one_antenna_and_no_filter() {
        let plan = plan(CROWDED);
        let mut scene = Scene::build(&plan, None);
        let roaming = scene
            .masts
            .iter()
            .position(|mast| mast.near == Some(0))
            .unwrap();
        let (twin, count) = (scene.masts.get(roaming).unwrap().clone(), scene.masts.len());
        let trap = || crate::scenario::FilterLoss {
            name: "trap".to_owned(),
            span: crate::quantity::Span::between(Frequency::hz(1), Frequency::hz(2)),
            loss: Sourced::new(
                Decibels::db(10.0),
                crate::provenance::Origin::Said("a test".into()),
            ),
        };
        let change = |mast: &mut Mast, which: usize| match which {
            0 => {}
            1 => mast.near = Some(1),
            2 => mast.near = None,
            3 => mast.distance.as_mut().unwrap().value = Length::metres(777.0),
            4 => mast.antenna.height.value = Length::metres(77.0),
            _ => mast.filters.push(trap()),
        };
        for which in 0..6 {
            let mut masts: Vec<Mast> = scene.masts.iter().take(count).cloned().collect();
            let mut other = twin.clone();
            change(&mut other, which);
            masts.push(other);
            scene.masts = crate::scene::Roll::of(masts, count + 1);
            assert_eq!(scene.are_alike(roaming, count), which == 0, "{which}");
            assert_eq!(scene.are_alike(count, roaming), which == 0, "{which}");
        }
        // One of ours stands where it stands.
        assert!(!scene.are_alike(0, 0) && scene.are_alike(roaming, roaming));
        assert!(!scene.are_alike(roaming, usize::MAX));
    }
}
