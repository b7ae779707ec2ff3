//! What the stacked rules say of a transmission, or of a pair of legs.

use jiff::civil::Date;

use super::pack::{Band, Demand, Force, Kind, Measure, Pack, PairRule, Reading, Rule};
use super::permission::Permission;
use super::plan_fit;
use super::purpose::{Control, Purpose};
use super::stack::{Law, Role};
use super::transmission::{Pair, Transmission};
use crate::provenance::Authority;
use crate::quantity::{Bandwidth, Decibels, Frequency, Level, Offset, Power, Span};

/// What a transmission goes against.
#[derive(Debug, Clone, PartialEq)]
pub enum Against {
    /// The licence opens no band here.
    NoBand {
        /// The nearest stretch it opens.
        nearest: Option<Span>,
    },
    /// The emission reaches past the edge of what is open.
    Edge {
        /// What is open.
        inside: Span,
        /// How far it reaches out.
        excess: Offset,
    },
    /// This use is not made here.
    Use {
        /// The stretch the rule is about, when it is about one.
        stretch: Option<Span>,
    },
    /// The emission is too wide.
    Width {
        /// The most.
        most: Bandwidth,
    },
    /// The class of emission is not among these.
    Class {
        /// What is.
        permitted: Vec<String>,
    },
    /// The power is too high.
    Power {
        /// The most, as the rule measures it.
        most: Power,
        /// Measured how.
        measure: Measure,
        /// What it is, measured so.
        is: Power,
        /// What must come off.
        excess: Decibels,
    },
    /// The station is not controlled as it must be.
    Control {
        /// How it may be.
        permitted: Vec<Control>,
    },
    /// The station must identify, which the plan does not show.
    Identify {
        /// In minutes.
        minutes: u32,
    },
    /// Something to heed.
    Duty,
    /// The rule holds in a part of the map.
    Zone {
        /// What it is called.
        name: String,
        /// Whether the station is known to be in it; otherwise its place is not known.
        is_inside: bool,
    },
    /// The rule holds for some days.
    Time {
        /// First day.
        from: Option<Date>,
        /// Last day.
        until: Option<Date>,
        /// Whether the event is known to fall in them; otherwise its days are not known.
        is_inside: bool,
    },
    /// What the law takes the purpose for.
    Reading {
        /// Its word.
        word: String,
    },
    /// The segment is kept for other uses alone.
    Reserved {
        /// The segment.
        segment: Span,
        /// What it is for.
        title: String,
        /// How far the emission reaches in; none when the carrier itself lies in it.
        reaches_in: Option<Offset>,
    },
    /// The segment is meant for other uses.
    Segment {
        /// The segment.
        segment: Span,
        /// What it is for.
        title: String,
    },
    /// The carrier is off the plan's channels.
    Raster {
        /// From channel to channel.
        step: Offset,
        /// The channels on either side.
        nearest: [Frequency; 2],
    },
    /// The emission covers a frequency that is kept clear.
    Spot {
        /// The frequency.
        frequency: Frequency,
        /// What it is for.
        title: String,
        /// How far the carrier must be from it.
        clear: Offset,
    },
    /// The other leg must not be where it is.
    Pair {
        /// Where one leg lies.
        one: Span,
        /// Who must be in control, and for how many hours at most, for it to be a note.
        eased_by: Option<(Control, u32)>,
    },
}

/// One rule that a transmission goes against, or that must be heeded.
#[derive(Debug, Clone, PartialEq)]
pub struct Breach<'a> {
    /// The pack whose rule it is.
    pub pack: &'a Pack,
    /// The rule's name, as permissions name it: `pack/rule`.
    pub rule: String,
    /// What it is about.
    pub against: Against,
    /// How strongly the rule speaks.
    pub force: Force,
    /// What the rule wants, in one sentence.
    pub says: String,
    /// What a planner may do about it, as the pack has it.
    pub ways_out: Vec<String>,
    /// Who says so.
    pub basis: Authority,
    /// The permission that lifts it.
    pub lifted_by: Option<&'a Permission>,
}

impl Breach<'_> {
    /// Whether it is custom and not law.
    pub fn is_custom(&self) -> bool {
        self.pack.kind != Kind::Law
    }
}

impl Rule {
    /// Whether it binds this use, a purpose and what the law takes it for.
    pub(super) fn binds_use(&self, purpose: Purpose, word: Option<&str>) -> bool {
        self.uses.is_empty()
            || self
                .uses
                .iter()
                .any(|name| name == purpose.word() || Some(name.as_str()) == word)
    }

    /// Whether it binds this licence class.
    pub(super) fn binds_licence(&self, licence: Option<&str>) -> bool {
        self.licences.is_empty()
            || licence.is_some_and(|id| self.licences.iter().any(|name| name == id))
    }
}

impl Pack {
    /// What the pack may take a purpose for; one entry without a word when it says nothing of it.
    pub(super) fn words_for(&self, purpose: Purpose) -> Vec<Option<&str>> {
        let words: Vec<Option<&str>> = self
            .readings_of(purpose)
            .map(|reading| Some(reading.word.as_str()))
            .collect();
        if words.is_empty() { vec![None] } else { words }
    }

    fn readings_of(&self, purpose: Purpose) -> impl Iterator<Item = &Reading> {
        self.readings
            .iter()
            .filter(move |reading| reading.purpose == purpose)
    }
}

impl Law {
    /// Everything that the stacked rules have to say of a transmission, in the order of the packs.
    ///
    /// Where a law may take the purpose for several things, the reading that leaves least is taken.
    pub fn ruling(&self, transmission: &Transmission) -> Vec<Breach<'_>> {
        let mut found = Vec::new();
        for layer in self.layers() {
            let pack = layer.pack.as_ref();
            let mut said = match (pack.kind, layer.role) {
                (Kind::Law, Role::Neighbour) => continue,
                (Kind::Law, Role::Binding) => self.by_best_reading(pack, transmission),
                _ => {
                    let mut said = self.by_rules(pack, transmission, None);
                    said.extend(plan_fit::breaches(pack, transmission));
                    said
                }
            };
            if layer.role == Role::Neighbour {
                for breach in &mut said {
                    breach.force = breach.force.min(Force::Caution);
                }
            }
            found.extend(said);
        }
        for breach in &mut found {
            self.lift(breach, transmission.occupied, transmission.days());
        }
        found
    }

    /// Everything that the stacked rules have to say of two legs together.
    pub fn pair_ruling(&self, pair: &Pair) -> Vec<Breach<'_>> {
        let [first, second] = pair.legs;
        let mut found: Vec<Breach<'_>> = self
            .layers()
            .iter()
            .map(|layer| layer.pack.as_ref())
            .flat_map(|pack| pack.pairs.iter().map(move |rule| (pack, rule)))
            .filter(|(_, rule)| {
                (rule.uses.is_empty() || rule.uses.contains(&pair.purpose))
                    && ((rule.one.contains(first) && !rule.other_outside.contains(second))
                        || (rule.one.contains(second) && !rule.other_outside.contains(first)))
            })
            .map(|(pack, rule)| Breach {
                pack,
                rule: format!("{}/{}", pack.id, rule.id),
                against: Against::Pair {
                    one: rule.one,
                    eased_by: rule
                        .eased_by
                        .as_ref()
                        .map(|ease| (ease.control, ease.hours)),
                },
                force: if is_eased(rule, pair) {
                    Force::Note
                } else {
                    rule.force
                },
                says: rule.says.clone(),
                ways_out: rule.ways_out.clone(),
                basis: rule.basis.clone(),
                lifted_by: None,
            })
            .collect();
        let occupied = Span::between(first, second);
        let days = Transmission::days_of(pair.period);
        for breach in &mut found {
            self.lift(breach, occupied, days);
        }
        found
    }

    /// Marks a breach that a permission lifts.
    fn lift<'a>(&'a self, breach: &mut Breach<'a>, occupied: Span, days: Option<(Date, Date)>) {
        breach.lifted_by = self
            .permissions()
            .find(|permission| permission.lifts(&breach.rule, occupied, days));
        if breach.lifted_by.is_some() {
            breach.force = Force::Note;
        }
    }

    /// The breaches of the reading of the purpose that leaves the fewest and the mildest.
    fn by_best_reading<'a>(&'a self, pack: &'a Pack, asked: &Transmission) -> Vec<Breach<'a>> {
        let mut best: Option<((usize, usize), Vec<Breach<'a>>)> = None;
        for word in pack.words_for(asked.purpose) {
            let mut said = self.by_bands(pack, asked);
            said.extend(self.by_rules(pack, asked, word));
            if let Some(reading) = pack
                .readings_of(asked.purpose)
                .find(|reading| Some(reading.word.as_str()) == word)
                && let Some(note) = &reading.note
            {
                said.push(Breach {
                    pack,
                    rule: format!("{}/reading-{}", pack.id, reading.word),
                    against: Against::Reading {
                        word: reading.word.clone(),
                    },
                    force: Force::Note,
                    says: note.clone(),
                    ways_out: Vec::new(),
                    basis: reading.basis.clone(),
                    lifted_by: None,
                });
            }
            let weight = |force| {
                said.iter()
                    .filter(|breach| {
                        breach.force == force
                            && !self.permissions().any(|permission| {
                                permission.lifts(&breach.rule, asked.occupied, asked.days())
                            })
                    })
                    .count()
            };
            let weight = (weight(Force::Forbidden), weight(Force::Caution));
            if best.as_ref().is_none_or(|(least, _)| weight < *least) {
                best = Some((weight, said));
            }
        }
        best.map(|(_, said)| said).unwrap_or_default()
    }

    /// Whether the whole emission lies in what the licence opens.
    fn by_bands<'a>(&self, pack: &'a Pack, asked: &Transmission) -> Vec<Breach<'a>> {
        let licence = self.licence_in(pack).map(|licence| licence.id.as_str());
        let open: Vec<&Band> = pack
            .bands
            .iter()
            .filter(|band| {
                band.licences.is_empty()
                    || licence.is_some_and(|id| band.licences.iter().any(|name| name == id))
            })
            .collect();
        if pack.bands.is_empty() || open.iter().any(|band| band.span.holds(asked.occupied)) {
            return Vec::new();
        }
        let inside = open.iter().find(|band| band.span.contains(asked.carrier));
        let nearest = open.iter().min_by_key(|band| {
            (band.span.low - asked.carrier)
                .abs()
                .min((band.span.high - asked.carrier).abs())
        });
        let Some(band) = inside.or(nearest).copied().or_else(|| pack.bands.first()) else {
            return Vec::new();
        };
        let (against, says) = if inside.is_some() {
            let excess =
                (band.span.low - asked.occupied.low).max(asked.occupied.high - band.span.high);
            (
                Against::Edge {
                    inside: band.span,
                    excess,
                },
                format!("the whole emission must lie inside {}", band.span),
            )
        } else {
            (
                Against::NoBand {
                    nearest: nearest.map(|band| band.span),
                },
                "a licence allows transmissions only in the bands that it names".to_owned(),
            )
        };
        vec![Breach {
            pack,
            rule: format!("{}/bands", pack.id),
            against,
            force: Force::Forbidden,
            says,
            ways_out: Vec::new(),
            basis: band.basis.clone(),
            lifted_by: None,
        }]
    }

    /// What the rules of a pack say when the purpose is taken for `word`.
    fn by_rules<'a>(
        &self,
        pack: &'a Pack,
        asked: &Transmission,
        word: Option<&str>,
    ) -> Vec<Breach<'a>> {
        let licence = self.licence_in(pack).map(|licence| licence.id.as_str());
        pack.rules
            .iter()
            .filter(|rule| rule.binds_licence(licence) && rule.binds_use(asked.purpose, word))
            .filter(|rule| rule.controls.is_empty() || rule.controls.contains(&asked.control))
            .filter_map(|rule| breach_of(pack, rule, asked, word))
            .collect()
    }
}

/// What a rule that binds this station says of its transmission, if anything.
fn breach_of<'a>(
    pack: &'a Pack,
    rule: &'a Rule,
    asked: &Transmission,
    word: Option<&str>,
) -> Option<Breach<'a>> {
    let stretch = match rule.spans.as_slice() {
        [] => None,
        spans => Some(*spans.iter().find(|span| touches(**span, asked))?),
    };
    let in_zone = match (&rule.zone, asked.position) {
        (None, _) => Some(true),
        (Some(zone), Some(place)) => Some(zone.holds(place)),
        (Some(_), None) => None,
    };
    let in_time = in_days(rule, asked.days());
    if in_zone == Some(false) || in_time == Some(false) {
        return None;
    }
    let against = against(rule, stretch, asked, word)?;
    let (against, force) = match (&rule.zone, in_zone, in_time) {
        // Where it is not known whether the rule holds at all, that is all there is to say.
        (Some(zone), None, _) => (
            Against::Zone {
                name: zone.name.clone(),
                is_inside: false,
            },
            Force::Note,
        ),
        (_, _, None) => (
            Against::Time {
                from: rule.from,
                until: rule.until,
                is_inside: false,
            },
            rule.force.min(Force::Caution),
        ),
        (Some(zone), ..) if rule.demand == Demand::Forbidden => (
            Against::Zone {
                name: zone.name.clone(),
                is_inside: true,
            },
            rule.force,
        ),
        _ if rule.demand == Demand::Forbidden && (rule.from.is_some() || rule.until.is_some()) => (
            Against::Time {
                from: rule.from,
                until: rule.until,
                is_inside: true,
            },
            rule.force,
        ),
        _ => (against, rule.force),
    };
    Some(Breach {
        pack,
        rule: format!("{}/{}", pack.id, rule.id),
        against,
        force,
        says: rule.says.clone(),
        ways_out: rule.ways_out.clone(),
        basis: rule.basis.clone(),
        lifted_by: None,
    })
}

/// Whether any of the emission falls into a stretch; a carrier inside counts however narrow the emission is.
fn touches(span: Span, asked: &Transmission) -> bool {
    span.overlaps(asked.occupied) || span.contains(asked.carrier)
}

/// Whether a rule holds on these days; nothing when that is not known.
fn in_days(rule: &Rule, days: Option<(Date, Date)>) -> Option<bool> {
    if rule.from.is_none() && rule.until.is_none() {
        return Some(true);
    }
    let (first, last) = days?;
    Some(rule.from.is_none_or(|from| from <= last) && rule.until.is_none_or(|until| first <= until))
}

/// What of the transmission goes against the demand of a rule that holds here.
fn against(
    rule: &Rule,
    stretch: Option<Span>,
    asked: &Transmission,
    word: Option<&str>,
) -> Option<Against> {
    match &rule.demand {
        Demand::Forbidden => Some(shut(stretch, asked)),
        Demand::Only(uses) => {
            let is_among = uses
                .iter()
                .any(|name| name == asked.purpose.word() || Some(name.as_str()) == word);
            (!is_among).then(|| shut(stretch, asked))
        }
        Demand::Width(most) => {
            (asked.emission.bandwidth > *most).then_some(Against::Width { most: *most })
        }
        Demand::Classes(classes) => {
            let class = asked.emission.class();
            let is_among = classes
                .iter()
                .any(|start| class.starts_with(start.as_str()));
            (!is_among).then(|| Against::Class {
                permitted: classes.clone(),
            })
        }
        Demand::Power { most, measure } => {
            let is = measured(*measure, asked);
            let excess = is - most.level();
            // A hundredth of a decibel is far below what any meter shows, and above what rounding makes.
            (excess.as_db() > 0.01).then(|| Against::Power {
                most: *most,
                measure: *measure,
                is: Power::of_level(is),
                excess,
            })
        }
        Demand::Control(controls) => {
            (!controls.contains(&asked.control)).then(|| Against::Control {
                permitted: controls.clone(),
            })
        }
        Demand::Identify { minutes } => Some(Against::Identify { minutes: *minutes }),
        Demand::Duty => Some(Against::Duty),
    }
}

/// A stretch that is shut: the carrier lies in it, or the emission reaches into it.
fn shut(stretch: Option<Span>, asked: &Transmission) -> Against {
    match stretch {
        Some(span) if !span.contains(asked.carrier) => {
            let from_below = asked.carrier < span.low;
            let (inside, excess) = if from_below {
                (
                    Span::between(asked.carrier, span.low),
                    asked.occupied.high - span.low,
                )
            } else {
                (
                    Span::between(span.high, asked.carrier),
                    span.high - asked.occupied.low,
                )
            };
            Against::Edge { inside, excess }
        }
        stretch => Against::Use { stretch },
    }
}

/// Power as a rule measures it.
fn measured(measure: Measure, asked: &Transmission) -> Level {
    match measure {
        Measure::Output | Measure::Pep => asked.output.level(),
        Measure::Erp => asked.eirp() - Power::dipole_over_isotropic(),
        Measure::Eirp => asked.eirp(),
    }
}

/// Whether control and duration make a rule about a pair a note only.
fn is_eased(rule: &PairRule, pair: &Pair) -> bool {
    let Some(ease) = &rule.eased_by else {
        return false;
    };
    let is_short = pair.period.is_some_and(|(from, to)| {
        to.as_second().saturating_sub(from.as_second()) <= i64::from(ease.hours) * 3600
    });
    ease.control == pair.control && is_short
}
