//! What the stacked rules say of a transmission, or of a pair of legs.

use jiff::civil::Date;

use super::breach::{Against, Breach};
use super::demand::{breach_of, past};
use super::pack::{Band, Demand, Force, Kind, Pack, PairRule, Reading};
use super::plan_fit;
use super::purpose::Purpose;
use super::stack::{Law, Role};
use super::transmission::{Pair, Transmission};
use crate::quantity::Span;

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
                (Kind::Law, Role::Neighbour) => abroad(pack, transmission).into_iter().collect(),
                (Kind::Law, Role::Binding) => self.by_best_reading(pack, transmission),
                _ => {
                    let mut said = self.by_rules(pack, transmission, None);
                    said.extend(plan_fit::breaches(pack, transmission));
                    said
                }
            };
            if layer.role == Role::Neighbour {
                said.iter_mut().for_each(Breach::across_the_border);
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
            .flat_map(|layer| layer.pack.pairs.iter().map(move |rule| (layer, rule)))
            .filter(|(_, rule)| {
                (rule.uses.is_empty() || rule.uses.contains(&pair.purpose))
                    && ((rule.one.contains(first) && !rule.other_outside.contains(second))
                        || (rule.one.contains(second) && !rule.other_outside.contains(first)))
            })
            .map(|(layer, rule)| {
                let mut breach = of_pair(&layer.pack, rule, pair);
                if layer.role == Role::Neighbour {
                    breach.across_the_border();
                }
                breach
            })
            .collect();
        let occupied = Span::between(first, second);
        let days = Transmission::days_of(pair.period);
        for breach in &mut found {
            self.lift(breach, occupied, days);
        }
        found
    }

    /// The rule on identification that wants it most often of a transmission, with its full force: [`Self::ruling`] only
    /// reminds of it.
    pub fn identification(&self, asked: &Transmission) -> Option<Breach<'_>> {
        self.binding()
            .flat_map(|pack| {
                let licence = self.licence_in(pack).map(|licence| licence.id.as_str());
                pack.rules
                    .iter()
                    .filter(|rule| matches!(rule.demand, Demand::Identify { .. }))
                    .filter(move |rule| rule.binds_licence(licence))
                    .filter(|rule| rule.binds_use(asked.purpose, None))
                    .filter_map(|rule| {
                        let mut breach = breach_of(pack, rule, asked, None)?;
                        if matches!(breach.against, Against::Identify { .. }) {
                            breach.force = rule.force;
                        }
                        Some(breach)
                    })
            })
            .min_by_key(|breach| match breach.against {
                Against::Identify { minutes } => minutes,
                _ => u32::MAX,
            })
            .map(|mut breach| {
                self.lift(&mut breach, asked.occupied, asked.days());
                breach
            })
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
                    is_general: false,
                    is_neighbours: false,
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
            (
                past(band.span, asked),
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
            is_general: false,
            is_neighbours: false,
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

/// A rule about a pair that two legs go against.
fn of_pair<'a>(pack: &'a Pack, rule: &PairRule, pair: &Pair) -> Breach<'a> {
    let eased_by = rule.eased_by.as_ref();
    Breach {
        pack,
        rule: format!("{}/{}", pack.id, rule.id),
        against: Against::Pair {
            one: rule.one,
            eased_by: eased_by.map(|ease| (ease.control, ease.hours)),
        },
        force: if is_eased(rule, pair) {
            Force::Note
        } else {
            rule.force
        },
        says: rule.says.clone(),
        ways_out: rule.ways_out.clone(),
        is_general: false,
        is_neighbours: false,
        basis: rule.basis.clone(),
        lifted_by: None,
    }
}

/// What a law that holds across the border has to say: its licences bind nobody here, but where it opens no band to
/// amateurs, others may be at home.
fn abroad<'a>(pack: &'a Pack, asked: &Transmission) -> Option<Breach<'a>> {
    if pack
        .bands
        .iter()
        .any(|band| band.span.holds(asked.occupied))
    {
        return None;
    }
    let nearest = pack.bands.iter().min_by_key(|band| {
        (band.span.low - asked.carrier)
            .abs()
            .min((band.span.high - asked.carrier).abs())
    })?;
    Some(Breach {
        pack,
        rule: format!("{}/bands", pack.id),
        against: Against::Abroad {
            nearest: Some(nearest.span),
        },
        force: Force::Caution,
        says: "no amateur band holds the whole emission there, so that other services may use it"
            .to_owned(),
        ways_out: Vec::new(),
        is_general: false,
        is_neighbours: true,
        basis: nearest.basis.clone(),
        lifted_by: None,
    })
}
