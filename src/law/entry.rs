//! Every entry of a pack as one line with its authority: what `rules` shows, compares and counts.

use super::pack::{Demand, Pack, Rule};
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

impl Pack {
    /// Every entry, in the order of the file.
    pub fn entries(&self) -> Vec<Entry> {
        let mut entries = Vec::new();
        let mut add =
            |id: String, spans: &[Span], says: String, licences: &[String], basis: &Authority| {
                entries.push(Entry {
                    id,
                    spans: spans.to_vec(),
                    says,
                    licences: licences.to_vec(),
                    basis: basis.clone(),
                });
            };
        for licence in &self.licences {
            add(
                format!("licence {}", licence.id),
                &[],
                licence.title.clone(),
                &[],
                &licence.basis,
            );
        }
        for band in &self.bands {
            let says = format!("{} band {}, {}", band.name, band.span, band.status);
            add(
                format!("band {} {}", band.name, band.span),
                &[band.span],
                says,
                &band.licences,
                &band.basis,
            );
        }
        for reading in &self.readings {
            let mut says = format!("{} counts as {}", reading.purpose.phrase(), reading.word);
            if let Some(note) = &reading.note {
                says = format!("{says}: {note}");
            }
            add(
                format!("reading {} {}", reading.purpose.word(), reading.word),
                &[],
                says,
                &[],
                &reading.basis,
            );
        }
        for rule in &self.rules {
            add(
                rule.id.clone(),
                &rule.spans,
                rule.figures(),
                &rule.licences,
                &rule.basis,
            );
        }
        for segment in &self.segments {
            let mut says = segment.title.clone();
            if segment.is_exclusive {
                says.push_str(", nothing else");
            }
            if let Some(width) = segment.width {
                says = format!("{says}, at most {width}");
            }
            if let Some(raster) = segment.raster {
                says = format!("{says}, {} steps", raster.step);
            }
            add(
                format!("segment {}", segment.span),
                &[segment.span],
                says,
                &[],
                &segment.basis,
            );
        }
        for spot in &self.spots {
            let span = Span::around(spot.frequency, spot.width);
            add(
                format!("{} {}", spot.title, spot.frequency),
                &[span],
                format!("{}: {}", spot.frequency, spot.title),
                &[],
                &spot.basis,
            );
        }
        for pair in &self.pairs {
            add(
                pair.id.clone(),
                &[pair.one],
                pair.says.clone(),
                &[],
                &pair.basis,
            );
        }
        for shift in &self.shifts {
            let says = format!("repeater inputs {} from their outputs", shift.shift);
            add(
                format!("shift {} {}", shift.outputs, shift.shift),
                &[shift.outputs],
                says,
                &[],
                &shift.basis,
            );
        }
        for service in &self.services {
            let says = format!(
                "{}: usually {}, {} EIRP, listeners no nearer than {}",
                service.title, *service.emission, *service.eirp, *service.listener
            );
            add(
                format!("service {}", service.id),
                &[],
                says,
                &[],
                &service.basis,
            );
        }
        for protected in &self.protected {
            let says = format!(
                "{}: receivers as near as {}",
                protected.name, *protected.nearest
            );
            add(
                format!("protected {}", protected.name),
                &[protected.span],
                says,
                &[],
                &protected.basis,
            );
        }
        for pair in &self.coordinated {
            let spans = pair.legs.map(|leg| Span::between(leg, leg));
            add(
                format!("coordinated {}", pair.name),
                &spans,
                pair.name.clone(),
                &[],
                &pair.basis,
            );
        }
        for permission in &self.permissions {
            let says = format!("lifts {}", permission.lifts.join(", "));
            add(
                format!("permission {}", permission.name),
                &permission.spans,
                says,
                &[],
                &permission.basis,
            );
        }
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

impl Rule {
    /// What it wants, with its figures.
    pub fn figures(&self) -> String {
        let figure = match &self.demand {
            Demand::Forbidden | Demand::Duty => None,
            Demand::Only(uses) => Some(format!("only {}", uses.join(", "))),
            Demand::Width(width) => Some(format!("at most {width} wide")),
            Demand::Classes(classes) => Some(format!("classes {}", classes.join(", "))),
            Demand::Power { most, measure } => Some(format!("at most {most} {}", measure.phrase())),
            Demand::Control(controls) => Some(format!(
                "control {}",
                controls
                    .iter()
                    .map(|control| control.word())
                    .collect::<Vec<_>>()
                    .join(", ")
            )),
            Demand::Identify { minutes } => Some(format!("every {minutes} min")),
        };
        match figure {
            Some(figure) => format!("{} ({figure})", self.says),
            None => self.says.clone(),
        }
    }
}
