//! The words of a pack's file as a pack; what names nothing is told.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::pack::{
    Band, Coordinated, Demand, Ease, ExposureLimits, Force, Kind, Licence, Pack, PairRule, Raster,
    Reading, Rule, Segment, Shift, Spot,
};
use super::permission::Permission;
use super::purpose::Purpose;
use super::service::{Protected, Service};
use super::spurious::SpuriousLimit;
use super::words::{
    BandWords, CoordinatedWords, Day, DemandWords, ExposureWords, LicenceWords, PackWords,
    PairWords, PermissionWords, ProtectedWords, RasterWords, ReadingWords, RuleWords, SegmentWords,
    ServiceWords, ShapeWords, ShiftWords, SpotWords, Stretch, UsualWords,
};
use super::zone::{Shape, Zone};
use crate::document::{Fault, Faults, MOST_FAULTS, Said, few};
use crate::physics::exposure::limits;
use crate::provenance::{Authority, Origin, Sourced, Standing};
use crate::quantity::{Emission, Length, Span};

/// The most words that are listed to choose from.
const FEW: usize = 20;

/// Corners of a polygon, and shapes of a zone: each rule that holds there carries them.
const MOST_CORNERS: usize = 1_000;

/// Turns words into entries; what names nothing is told.
pub(super) struct Translator<'f> {
    id: Arc<str>,
    sources: BTreeMap<String, Authority>,
    zones: BTreeMap<String, Zone>,
    licences: BTreeSet<String>,
    uses: BTreeSet<String>,
    ids: BTreeSet<(&'static str, String)>,
    faults: &'f mut Faults,
}

impl<'f> Translator<'f> {
    /// Reads what other entries refer to: sources, zones, licences, uses.
    pub(super) fn new(words: &PackWords, faults: &'f mut Faults) -> Self {
        let mut sources = BTreeMap::new();
        for (name, source) in words.sources.iter() {
            if let (Some(name), Some(source)) = (name.value(), source.value())
                && let (Some(text), Some(standing)) = (source.text.value(), source.standing.value())
            {
                sources.insert(
                    name.clone(),
                    Authority {
                        text: text.trim().into(),
                        standing: Standing::from(*standing),
                    },
                );
            }
        }
        let mut uses: BTreeSet<String> = Purpose::ALL
            .iter()
            .map(|(word, _)| (*word).to_owned())
            .collect();
        uses.extend(
            words
                .readings
                .iter()
                .filter_map(|reading| reading.value()?.counts_as.value().cloned()),
        );
        let licences = words
            .licences
            .iter()
            .filter_map(|licence| licence.value()?.id.value().cloned())
            .collect();
        let mut translator = Self {
            id: words.pack.value().map_or("", String::as_str).into(),
            sources,
            zones: BTreeMap::new(),
            licences,
            uses,
            ids: BTreeSet::new(),
            faults,
        };
        translator.zones(words);
        translator
    }

    fn zones(&mut self, words: &PackWords) {
        for (name, shapes) in words.zones.iter() {
            let (Some(id), Some(zone)) = (name.value(), shapes.value()) else {
                continue;
            };
            if zone.shapes.is_empty() {
                self.tell(name, "a zone needs a shape: write one under `shapes`");
            }
            if zone.shapes.len() > MOST_CORNERS {
                self.tell(name, &format!("a zone has shapes: at most {MOST_CORNERS}"));
                continue;
            }
            let shapes: Vec<Shape> = zone
                .shapes
                .iter()
                .filter_map(Said::value)
                .filter_map(|shape| self.shape(shape, name))
                .collect();
            self.zones.insert(
                id.clone(),
                Zone {
                    name: zone.name.value().cloned().unwrap_or_else(|| id.clone()),
                    shapes,
                },
            );
        }
    }

    fn shape(&mut self, shape: &ShapeWords, zone: &Said<String>) -> Option<Shape> {
        match shape {
            ShapeWords::Circle { radius, .. } if *radius <= Length::default() => {
                self.tell(
                    zone,
                    "a circle needs a radius above zero: write one such as 5 km",
                );
                None
            }
            ShapeWords::Circle { at, radius } => Some(Shape::Circle {
                centre: *at,
                radius: *radius,
            }),
            ShapeWords::Box {
                south_west,
                north_east,
            } => {
                if south_west.latitude() > north_east.latitude() {
                    self.tell(
                        zone,
                        "the southern edge of a box lies north of its northern edge: write the lower latitude first",
                    );
                    return None;
                }
                Some(Shape::Box {
                    south_west: *south_west,
                    north_east: *north_east,
                })
            }
            ShapeWords::Polygon(corners) => {
                if !(3..=MOST_CORNERS).contains(&corners.len()) {
                    let message = format!("a polygon needs corners: from 3 to {MOST_CORNERS}");
                    self.tell(zone, &message);
                    return None;
                }
                Some(Shape::Polygon(corners.clone()))
            }
        }
    }

    fn tell<T>(&mut self, said: &Said<T>, message: &str) {
        self.faults.add(Fault::new(said.place(), message));
    }

    /// The authority an entry names.
    fn basis(&mut self, said: &Said<String>) -> Authority {
        let name = said.value().cloned().unwrap_or_default();
        if let Some(authority) = self.sources.get(&name) {
            return authority.clone();
        }
        if said.value().is_some() && self.faults.list().len() < MOST_FAULTS {
            let known: Vec<&str> = self.sources.keys().map(String::as_str).collect();
            let known = few(&known, FEW);
            self.faults.add(
                Fault::new(said.place(), format!("no source is called `{name}`")).help(format!(
                    "there is {known}; add it under `sources` with its text and standing"
                )),
            );
        }
        Authority {
            text: name.into(),
            standing: Standing::Memory,
        }
    }

    fn origin(&mut self, said: &Said<String>) -> Origin {
        let authority = self.basis(said);
        Origin::Pack {
            pack: Arc::clone(&self.id),
            authority,
        }
    }

    fn span(&mut self, said: &Said<Stretch>) -> Option<Span> {
        let Stretch(low, high) = *said.value()?;
        if low >= high {
            self.tell(
                said,
                "the lower edge does not lie below the upper one: write the lower one first",
            );
            return None;
        }
        Some(Span::between(low, high))
    }

    fn spans(&mut self, list: &[Said<Stretch>]) -> Vec<Span> {
        list.iter().filter_map(|said| self.span(said)).collect()
    }

    fn known_licences(&mut self, list: &[Said<String>]) -> Vec<String> {
        for said in list {
            if let Some(name) = said.value()
                && !self.licences.contains(name)
            {
                let message =
                    format!("no licence of this file is called `{name}`; add it under `licences`");
                self.tell(said, &message);
            }
        }
        values(list)
    }

    fn known_uses(&mut self, list: &[Said<String>]) -> Vec<String> {
        for said in list {
            if let Some(name) = said.value()
                && !self.uses.contains(name)
                && self.faults.list().len() < MOST_FAULTS
            {
                let known: Vec<&str> = self.uses.iter().map(String::as_str).collect();
                let known = few(&known, FEW);
                self.faults.add(
                    Fault::new(
                        said.place(),
                        format!("`{name}` is neither a purpose nor what this law takes one for"),
                    )
                    .help(format!("known here: {known}")),
                );
            }
        }
        values(list)
    }

    /// Notes the name of an entry, which must be its own among those of its kind.
    fn name(&mut self, kind: &'static str, said: &Said<String>) -> String {
        let name = said.value().cloned().unwrap_or_default();
        if said.value().is_some() && !self.ids.insert((kind, name.clone())) {
            let message = format!(
                "a {kind} called `{name}` stands above already; give this one a name of its own"
            );
            self.tell(said, &message);
        }
        name
    }

    /// The whole pack.
    pub(super) fn pack(mut self, words: &PackWords) -> Pack {
        Pack {
            id: Arc::clone(&self.id),
            title: text(&words.title),
            kind: words.kind.value().copied().unwrap_or(Kind::Local),
            jurisdiction: text(&words.jurisdiction),
            edition: text(&words.edition),
            effective: day(words.effective.as_ref()),
            checked: day(Some(&words.checked)).unwrap_or_default(),
            note: words.note.as_ref().map(text),
            companions: values(&words.with),
            usual_emission: words
                .usual_emission
                .as_ref()
                .and_then(|usual| self.usual_emission(usual.value()?)),
            exposure_limits: words
                .exposure_limits
                .as_ref()
                .and_then(|limits| Some(self.exposure_limits(limits.value()?))),
            licences: each(&words.licences, |licence| Some(self.licence(licence))),
            bands: each(&words.bands, |band| self.band(band)),
            readings: each(&words.readings, |reading| self.reading(reading)),
            rules: each(&words.rules, |rule| self.rule(rule)),
            segments: each(&words.segments, |segment| self.segment(segment)),
            spots: each(&words.spots, |spot| self.spot(spot)),
            pairs: each(&words.pairs, |pair| self.pair(pair)),
            shifts: each(&words.shifts, |shift| self.shift(shift)),
            services: each(&words.services, |service| self.service(service)),
            protected: each(&words.protected, |protected| self.protected(protected)),
            coordinated: each(&words.coordinated, |pair| self.coordinated(pair)),
            permissions: each(&words.permissions, |permission| {
                Some(self.permission(permission))
            }),
        }
    }

    fn usual_emission(&mut self, usual: &UsualWords) -> Option<Sourced<Emission>> {
        Some(Sourced::new(
            *usual.value.value()?,
            self.origin(&usual.source),
        ))
    }

    fn exposure_limits(&mut self, words: &ExposureWords) -> ExposureLimits {
        for said in &words.apply {
            if let Some(name) = said.value()
                && limits().iter().all(|limit| limit.id != *name)
            {
                let known: Vec<&str> = limits().iter().map(|limit| limit.id.as_str()).collect();
                self.faults.add(
                    Fault::new(
                        said.place(),
                        format!("no exposure limit is called `{name}`"),
                    )
                    .help(format!("known here: {}", known.join(", "))),
                );
            }
        }
        ExposureLimits {
            apply: values(&words.apply),
            basis: self.basis(&words.source),
        }
    }

    /// Tells two days of which the second comes first.
    fn days(&mut self, from: Option<&Said<Day>>, until: Option<&Said<Day>>) {
        if let (Some(first), Some(last), Some(said)) = (day(from), day(until), until)
            && last < first
        {
            self.tell(said, "this is before `from`: write a later day");
        }
    }

    fn licence(&mut self, licence: &LicenceWords) -> Licence {
        Licence {
            id: self.name("licence", &licence.id),
            title: text(&licence.title),
            basis: self.basis(&licence.source),
        }
    }

    fn band(&mut self, band: &BandWords) -> Option<Band> {
        Some(Band {
            name: text(&band.name),
            span: self.span(&band.span)?,
            status: *band.status.value()?,
            licences: self.known_licences(&band.licences),
            basis: self.basis(&band.source),
        })
    }

    fn reading(&mut self, reading: &ReadingWords) -> Option<Reading> {
        Some(Reading {
            purpose: *reading.purpose.value()?,
            word: text(&reading.counts_as),
            note: reading.note.as_ref().map(text),
            basis: self.basis(&reading.source),
        })
    }

    fn segment(&mut self, segment: &SegmentWords) -> Option<Segment> {
        Some(Segment {
            span: self.span(&segment.span)?,
            title: text(&segment.title),
            uses: values(&segment.uses),
            is_exclusive: segment.exclusive,
            width: segment
                .width
                .as_ref()
                .and_then(|width| width.value().copied()),
            raster: segment
                .raster
                .as_ref()
                .and_then(|raster| self.raster(raster.value()?)),
            preference: segment.preference.unwrap_or(0),
            basis: self.basis(&segment.source),
        })
    }

    fn raster(&mut self, raster: &RasterWords) -> Option<Raster> {
        let step = *raster.step.value()?;
        if step.as_hz() <= 0 {
            self.tell(
                &raster.step,
                "no step from channel to channel: write one above zero, such as 12.5 kHz",
            );
            return None;
        }
        let channel = raster.channel.as_ref().and_then(|said| said.value());
        Some(Raster {
            channel: channel.copied().unwrap_or_default(),
            step,
        })
    }

    fn spot(&mut self, spot: &SpotWords) -> Option<Spot> {
        Some(Spot {
            frequency: *spot.frequency.value()?,
            width: *spot.width.value()?,
            title: text(&spot.title),
            uses: values(&spot.uses),
            basis: self.basis(&spot.source),
        })
    }

    fn pair(&mut self, pair: &PairWords) -> Option<PairRule> {
        Some(PairRule {
            id: self.name("rule", &pair.id),
            one: self.span(&pair.one)?,
            other_outside: self.span(&pair.other_outside)?,
            uses: values(&pair.uses),
            force: *pair.force.value()?,
            eased_by: pair.eased_by.as_ref().and_then(|said| {
                let ease = said.value()?;
                Some(Ease {
                    control: *ease.control.value()?,
                    hours: *ease.hours.value()?,
                    basis: self.basis(&ease.source),
                })
            }),
            says: text(&pair.says),
            ways_out: values(&pair.ways_out),
            basis: self.basis(&pair.source),
        })
    }

    fn shift(&mut self, shift: &ShiftWords) -> Option<Shift> {
        Some(Shift {
            outputs: self.span(&shift.outputs)?,
            shift: *shift.shift.value()?,
            basis: self.basis(&shift.source),
        })
    }

    fn service(&mut self, service: &ServiceWords) -> Option<Service> {
        let origin = self.origin(&service.source);
        if service
            .listener
            .value()
            .is_some_and(|nearest| *nearest < Length::default())
        {
            self.tell(&service.listener, "no distance: at least 0 m");
        }
        Some(Service {
            id: self.name("service", &service.id),
            title: text(&service.title),
            is_safety: service.safety,
            emission: Sourced::new(*service.emission.value()?, origin.clone()),
            receiver: Sourced::new(text(&service.receiver), origin.clone()),
            listener: Sourced::new(*service.listener.value()?, origin.clone()),
            eirp: Sourced::new(*service.eirp.value()?, origin),
            basis: self.basis(&service.source),
        })
    }

    fn protected(&mut self, protected: &ProtectedWords) -> Option<Protected> {
        let origin = self.origin(&protected.nearest_source);
        let extra = protected.extra.as_ref().and_then(|said| said.value());
        Some(Protected {
            name: text(&protected.name),
            span: self.span(&protected.span)?,
            service: text(&protected.service),
            nearest: Sourced::new(*protected.nearest.value()?, origin.clone()),
            receiver: Sourced::new(text(&protected.receiver), origin.clone()),
            extra: extra.map(|extra| Sourced::new(*extra, origin)),
            basis: self.basis(&protected.source),
        })
    }

    fn coordinated(&mut self, pair: &CoordinatedWords) -> Option<Coordinated> {
        Some(Coordinated {
            name: text(&pair.name),
            legs: *pair.legs.value()?,
            basis: self.basis(&pair.source),
        })
    }

    fn permission(&mut self, permission: &PermissionWords) -> Permission {
        self.days(permission.from.as_ref(), permission.until.as_ref());
        if permission.lifts.is_empty() {
            self.tell(
                &permission.name,
                "this permission lifts nothing: name a rule in `lifts`, such as uk/busy-hours",
            );
        }
        Permission {
            name: text(&permission.name),
            lifts: values(&permission.lifts),
            spans: self.spans(&permission.spans),
            from: day(permission.from.as_ref()),
            until: day(permission.until.as_ref()),
            basis: self.basis(&permission.source),
        }
    }

    fn rule(&mut self, rule: &RuleWords) -> Option<Rule> {
        self.days(rule.from.as_ref(), rule.until.as_ref());
        let zone = rule.zone.as_ref().and_then(|said| {
            let name = said.value()?;
            let zone = self.zones.get(name).cloned();
            if zone.is_none() {
                let message =
                    format!("no zone of this file is called `{name}`; add it under `zones`");
                self.tell(said, &message);
            }
            zone
        });
        let demand = match rule.demand.value()? {
            DemandWords::Forbidden => Demand::Forbidden,
            DemandWords::Duty => Demand::Duty,
            DemandWords::Only(uses) => Demand::Only(self.known_uses(uses)),
            DemandWords::Width(width) => Demand::Width(*width),
            DemandWords::Classes(classes) => Demand::Classes(classes.clone()),
            DemandWords::Power { most, measure } => Demand::Power {
                most: *most,
                measure: *measure,
            },
            DemandWords::Control(controls) => Demand::Control(controls.clone()),
            DemandWords::Identify { minutes } => Demand::Identify { minutes: *minutes },
            DemandWords::Spurious(words) => {
                let limit = SpuriousLimit::from(*words);
                if limit.most.is_none() && limit.below.is_none() {
                    self.tell(
                        &rule.demand,
                        "a limit on spurious emissions needs `most`, `below` or both: write one of them",
                    );
                    return None;
                }
                Demand::Spurious(limit)
            }
        };
        if rule.unstated.is_some() && rule.about.is_none() {
            self.tell(&rule.id, "`unstated` goes with `about`");
        }
        Some(Rule {
            id: self.name("rule", &rule.id),
            spans: self.spans(&rule.spans),
            uses: self.known_uses(&rule.uses),
            licences: self.known_licences(&rule.licences),
            controls: values(&rule.controls),
            about: rule.about.as_ref().and_then(|said| said.value().copied()),
            unstated: rule
                .unstated
                .as_ref()
                .and_then(|said| said.value().copied())
                .unwrap_or(Force::Note),
            zone,
            from: day(rule.from.as_ref()),
            until: day(rule.until.as_ref()),
            demand,
            force: *rule.force.value()?,
            says: text(&rule.says),
            ways_out: values(&rule.ways_out),
            basis: self.basis(&rule.source),
        })
    }
}

/// The entries of a list that could be read and understood.
fn each<T, U>(list: &[Said<T>], mut change: impl FnMut(&T) -> Option<U>) -> Vec<U> {
    list.iter()
        .filter_map(Said::value)
        .filter_map(&mut change)
        .collect()
}

fn values<T: Clone>(list: &[Said<T>]) -> Vec<T> {
    list.iter()
        .filter_map(|said| said.value().cloned())
        .collect()
}

fn text(said: &Said<String>) -> String {
    said.value()
        .map(|text| text.trim().to_owned())
        .unwrap_or_default()
}

fn day(said: Option<&Said<Day>>) -> Option<jiff::civil::Date> {
    said.and_then(|said| said.value()).map(|day| day.date())
}
