//! Every entry of a pack as one line with its authority: what `rules` shows, compares and counts.

use super::pack::{
    Band, Coordinated, Demand, ExposureLimits, Licence, Pack, PairRule, Reading, Rule, Segment,
    Shift, Spot,
};
use super::permission::Permission;
use super::service::{Protected, Service};
use crate::provenance::{Authority, Standing};
use crate::quantity::Span;

/// One entry of a pack.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Its name within the pack; it tells the entry from every other of the pack.
    pub id: String,
    /// Where on the frequency axis it speaks; empty for everywhere.
    pub spans: Vec<Span>,
    /// What it says, with its figures.
    pub says: String,
    /// Licence classes it is for; empty for all.
    pub licences: Vec<String>,
    /// Who says so.
    pub basis: Authority,
}

impl Entry {
    fn new(id: String, spans: &[Span], says: String, basis: &Authority) -> Self {
        Self {
            id,
            spans: spans.to_vec(),
            says,
            licences: Vec::new(),
            basis: basis.clone(),
        }
    }

    fn held_by(mut self, licences: &[String]) -> Self {
        self.licences = licences.to_vec();
        self
    }
}

impl Pack {
    /// Every entry, kind by kind, each kind in the order of the file.
    pub fn entries(&self) -> Vec<Entry> {
        let mut entries: Vec<Entry> = self.licences.iter().map(Licence::entry).collect();
        entries.extend(self.exposure_limits.iter().map(ExposureLimits::entry));
        entries.extend(self.bands.iter().map(Band::entry));
        entries.extend(self.readings.iter().map(Reading::entry));
        entries.extend(self.rules.iter().map(Rule::entry));
        entries.extend(self.segments.iter().map(Segment::entry));
        entries.extend(self.spots.iter().map(Spot::entry));
        entries.extend(self.pairs.iter().map(PairRule::entry));
        entries.extend(self.shifts.iter().map(Shift::entry));
        entries.extend(self.services.iter().map(Service::entry));
        entries.extend(self.protected.iter().map(Protected::entry));
        entries.extend(self.coordinated.iter().map(Coordinated::entry));
        entries.extend(self.permissions.iter().map(Permission::entry));
        entries
    }

    /// Share of the entries that were read in the published text or in a reprint of it, in percent, rounded down.
    pub fn checked_share(&self) -> usize {
        let entries = self.entries();
        let read = entries
            .iter()
            .filter(|entry| {
                matches!(
                    entry.basis.standing,
                    Standing::Published | Standing::SecondHand | Standing::Computed
                )
            })
            .count();
        (read * 100).checked_div(entries.len()).unwrap_or(0)
    }
}

impl Licence {
    fn entry(&self) -> Entry {
        let id = format!("licence {}", self.id);
        Entry::new(id, &[], self.title.clone(), &self.basis)
    }
}

impl ExposureLimits {
    fn entry(&self) -> Entry {
        let says = format!("people are protected by {}", self.apply.join(", "));
        Entry::new("exposure-limits".to_owned(), &[], says, &self.basis)
    }
}

impl Band {
    fn entry(&self) -> Entry {
        let id = format!("band {} {}", self.name, self.span);
        let says = format!("{} band, {}", self.name, self.status);
        Entry::new(id, &[self.span], says, &self.basis).held_by(&self.licences)
    }
}

impl Reading {
    fn entry(&self) -> Entry {
        let id = format!("reading {} {}", self.purpose.word(), self.word);
        let mut says = format!("{} counts as {}", self.purpose.phrase(), self.word);
        if let Some(note) = &self.note {
            says = format!("{says}: {note}");
        }
        Entry::new(id, &[], says, &self.basis)
    }
}

impl Rule {
    fn entry(&self) -> Entry {
        let mut says = self.figures();
        if !self.uses.is_empty() {
            says = format!("{} ({})", says, self.uses.join(", "));
        }
        if let Some(zone) = &self.zone {
            says = format!("in {}: {says}", zone.name);
        }
        Entry::new(self.id.clone(), &self.spans, says, &self.basis).held_by(&self.licences)
    }

    /// What it wants, with its figures.
    pub fn figures(&self) -> String {
        let figure = match &self.demand {
            Demand::Forbidden | Demand::Duty => return self.says.clone(),
            Demand::Only(uses) => format!("only {}", uses.join(", ")),
            Demand::Width(width) => format!("at most {width} wide"),
            Demand::Classes(classes) => format!("classes {}", classes.join(", ")),
            Demand::Power { most, measure } => format!("at most {most} {}", measure.phrase()),
            Demand::Control(controls) => {
                let words: Vec<&str> = controls.iter().map(|control| control.word()).collect();
                format!("control {}", words.join(", "))
            }
            Demand::Identify { minutes } => format!("every {minutes} min"),
            Demand::Spurious(limit) => limit.to_string(),
        };
        format!("{} [{figure}]", self.says)
    }
}

impl Segment {
    fn entry(&self) -> Entry {
        let mut says = self.title.clone();
        if self.is_exclusive {
            says.push_str(", nothing else");
        }
        if let Some(width) = self.width {
            says = format!("{says}, at most {width}");
        }
        if let Some(raster) = self.raster {
            says = format!("{says}, {} steps", raster.step);
        }
        Entry::new(
            format!("segment {}", self.span),
            &[self.span],
            says,
            &self.basis,
        )
    }
}

impl Spot {
    fn entry(&self) -> Entry {
        let says = format!("{}, {} kept clear", self.title, self.width);
        let span = Span::around(self.frequency, self.width);
        Entry::new(
            format!("{} {}", self.title, self.frequency),
            &[span],
            says,
            &self.basis,
        )
    }
}

impl PairRule {
    fn entry(&self) -> Entry {
        Entry::new(self.id.clone(), &[self.one], self.says.clone(), &self.basis)
    }
}

impl Shift {
    fn entry(&self) -> Entry {
        let id = format!("shift {} {}", self.outputs, self.shift);
        let says = format!("repeater inputs {} from their outputs", self.shift);
        Entry::new(id, &[self.outputs], says, &self.basis)
    }
}

impl Service {
    fn entry(&self) -> Entry {
        let says = format!(
            "{}: usually {}, {} EIRP, listeners no nearer than {}",
            self.title, *self.emission, *self.eirp, *self.listener
        );
        Entry::new(format!("service {}", self.id), &[], says, &self.basis)
    }
}

impl Protected {
    fn entry(&self) -> Entry {
        let says = format!(
            "{}, service {}, receivers as near as {}",
            self.name, self.service, *self.nearest
        );
        let id = format!("protected {}", self.name);
        Entry::new(id, &[self.span], says, &self.basis)
    }
}

impl Coordinated {
    fn entry(&self) -> Entry {
        let spans = self.legs.map(|leg| Span::between(leg, leg));
        let id = format!("coordinated {}", self.name);
        Entry::new(id, &spans, self.name.clone(), &self.basis)
    }
}

impl Permission {
    fn entry(&self) -> Entry {
        let id = format!("permission {}", self.name);
        let says = format!("lifts {}", self.lifts.join(", "));
        Entry::new(id, &self.spans, says, &self.basis)
    }
}
