//! What lies in each band: who sends, who listens, what lands, and what the plan of the band and the law say of it.

use std::collections::BTreeMap;

use crate::finding::{Finding, Severity};
use crate::law::{Demand, Kind, Law};
use crate::quantity::{Decibels, Frequency, Offset, Span};
use crate::radio;
use crate::scene::Scene;

/// One band.
#[derive(Debug, Clone, PartialEq)]
pub struct Spectrum {
    /// Its trade name.
    pub band: String,
    /// The stretch of it that is worth a look.
    pub view: Span,
    /// Who sends, lowest first.
    pub carriers: Vec<Carrier>,
    /// Who listens, lowest first.
    pub hearings: Vec<Hearing>,
    /// What lands there, lowest first.
    pub landings: Vec<Landing>,
    /// What the plans of the band and the rules say, in the order they were asked.
    pub segments: Vec<Segment>,
    /// Margin below which a finding is still a caution.
    pub reserve: Decibels,
}

/// A carrier.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Carrier {
    /// Where.
    pub at: Frequency,
    /// Whether it is ours.
    pub is_ours: bool,
    /// Who sends there.
    pub names: Vec<String>,
}

/// Somebody listens.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Hearing {
    /// Where: a channel, or the stretch it may be tuned to anywhere in.
    pub span: Span,
    /// Whether it is ours.
    pub is_ours: bool,
    /// Whether life may hang on it.
    pub is_safety: bool,
    /// Who listens there.
    pub names: Vec<String>,
}

/// Something lands on somebody's receiver.
#[derive(Debug, Clone, PartialEq)]
pub struct Landing {
    /// Where the receiver is that it lands on.
    pub at: Frequency,
    /// Its margin.
    pub margin: Decibels,
    /// How bad it is.
    pub severity: Severity,
    /// Index of its finding.
    pub finding: usize,
    /// The finding in a sentence.
    pub says: String,
}

/// A stretch that somebody has something to say of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Segment {
    /// From edge to edge.
    pub span: Span,
    /// What it is for, or what is not allowed there.
    pub title: String,
    /// How it is kept.
    pub keep: Keep,
    /// Which pack says so.
    pub pack: String,
}

/// How a stretch is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Keep {
    /// The plan of the band means it for something: custom.
    Meant,
    /// The plan of the band keeps it for something: custom.
    Kept,
    /// The law does not allow it, or not everything.
    Excluded,
}

/// The least that is shown of a band.
const LEAST: Offset = Offset::hz(400_000);

/// Carriers nearer together than this are on one channel, as far as a picture goes.
const TOGETHER: i64 = 1_000;

/// The bands that ours use, lowest first.
pub(super) fn spectra(scene: &Scene<'_>, findings: &[Finding]) -> Vec<Spectrum> {
    let ours = || {
        let sent = scene.transmitters.iter().filter(|one| one.owner.is_ours());
        let heard = scene.receivers.iter().filter(|one| one.owner.is_ours());
        sent.map(|one| one.frequency)
            .chain(heard.map(|one| one.frequency))
    };
    // A band that the licence knows, before a narrower one that happens to lie in it.
    let licensed = scene.plan.law.band_names();
    let narrowest = |at: Frequency| {
        let holding = radio::bands().iter().filter(|band| band.span.contains(at));
        holding.min_by_key(|band| {
            let is_known = licensed.contains(&band.name.as_str());
            (!is_known, band.span.width())
        })
    };
    let mut bands: Vec<&radio::Band> = ours().filter_map(narrowest).collect();
    bands.sort_by_key(|band| band.span.low);
    bands.dedup_by_key(|band| band.span.low);
    bands
        .into_iter()
        .map(|band| {
            let licensed = scene.plan.law.band(&band.name);
            let edges = hull(&licensed).unwrap_or(band.span);
            spectrum(scene, findings, band, edges)
        })
        .collect()
}

/// The least stretch that holds all of some.
fn hull(spans: &[Span]) -> Option<Span> {
    let low = spans.iter().map(|span| span.low).min()?;
    let high = spans.iter().map(|span| span.high).max()?;
    Some(Span::between(low, high))
}

fn spectrum(scene: &Scene<'_>, findings: &[Finding], band: &radio::Band, edges: Span) -> Spectrum {
    let is_here = |at: Frequency| band.span.contains(at);
    let mut carriers: BTreeMap<(i64, bool), Carrier> = BTreeMap::new();
    for one in scene
        .transmitters
        .iter()
        .filter(|one| is_here(one.frequency))
    {
        let key = (one.frequency.as_hz() / TOGETHER, !one.owner.is_ours());
        let carrier = carriers.entry(key).or_insert_with(|| Carrier {
            at: one.frequency,
            is_ours: one.owner.is_ours(),
            names: Vec::new(),
        });
        add(&mut carrier.names, &one.name);
    }
    let mut hearings: BTreeMap<(Span, bool), Hearing> = BTreeMap::new();
    for one in scene.receivers.iter() {
        let span = one
            .anywhere_in
            .unwrap_or_else(|| Span::between(one.frequency, one.frequency));
        if !is_here(one.frequency) && !span.overlaps(band.span) {
            continue;
        }
        let hearing = hearings
            .entry((span, !one.owner.is_ours()))
            .or_insert_with(|| Hearing {
                span,
                is_ours: one.owner.is_ours(),
                is_safety: one.safety.is_some(),
                names: Vec::new(),
            });
        add(&mut hearing.names, &one.name);
    }
    let mut landings: Vec<Landing> = findings
        .iter()
        .enumerate()
        .filter_map(|(index, finding)| {
            let at = finding.victim.as_ref()?.frequency;
            Some(Landing {
                at,
                margin: finding.margin.filter(|_| is_here(at))?,
                severity: finding.severity,
                finding: index,
                says: finding.says.clone(),
            })
        })
        .collect();
    landings.sort_by_key(|one| (one.at, one.margin, one.finding));
    let carriers: Vec<Carrier> = carriers.into_values().collect();
    let hearings: Vec<Hearing> = hearings.into_values().collect();
    let points = carriers
        .iter()
        .map(|one| one.at)
        .chain(landings.iter().map(|one| one.at))
        .chain(
            hearings
                .iter()
                .filter(|one| one.span.width() == Offset::default())
                .map(|one| one.span.low),
        );
    let view = view(points, edges, band.span);
    Spectrum {
        band: band.name.clone(),
        segments: segments(&scene.plan.law, view),
        view,
        carriers,
        hearings: hearings
            .into_iter()
            .filter(|one| one.span.overlaps(view) || view.contains(one.span.low))
            .collect(),
        landings,
        reserve: scene.plan.settings.reserve.value,
    }
}

fn add(names: &mut Vec<String>, name: &str) {
    if !names.iter().any(|known| known == name) {
        names.push(name.to_owned());
    }
}

/// The edges of a picture lie on whole multiples of this, in hertz.
const ROUND: i64 = 5_000;

/// All that is there with some room on either side; not less than a least width, and not beyond the band but for what
/// lies there.
fn view(points: impl Iterator<Item = Frequency>, edges: Span, band: Span) -> Span {
    let points: Vec<Frequency> = points.collect();
    let (Some(&low), Some(&high)) = (points.iter().min(), points.iter().max()) else {
        return edges;
    };
    let room = Offset::hz(((high - low).as_hz() / 12).max(25_000));
    let missing = Offset::hz((LEAST.as_hz() - (high - low).as_hz()).max(0) / 2);
    let wanted = Span::between(low, high).widened(room.max(missing));
    let most = Span::between(edges.low.min(low), edges.high.max(high));
    let most = most.widened(Offset::hz(most.width().as_hz() / 40));
    let most = Span::between(
        most.low.max(band.low.min(low)),
        most.high.min(band.high.max(high)),
    );
    let (low, high) = (wanted.low.max(most.low), wanted.high.min(most.high));
    // Nobody reads the edge of a picture to the hertz.
    let past = |edge: Frequency| Offset::hz(edge.as_hz().rem_euclid(ROUND));
    Span::between(
        low - past(low),
        high + Offset::hz(ROUND - 1) - past(high + Offset::hz(ROUND - 1)),
    )
}

fn segments(law: &Law, view: Span) -> Vec<Segment> {
    let mut found = Vec::new();
    for layer in law.layers() {
        let pack = &layer.pack;
        let of = |span: Span, title: &str, keep: Keep| Segment {
            span,
            title: title.to_owned(),
            keep,
            pack: pack.title.clone(),
        };
        let seen = pack.segments.iter().filter(|one| one.span.overlaps(view));
        found.extend(seen.map(|one| {
            let keep = if one.is_exclusive {
                Keep::Kept
            } else {
                Keep::Meant
            };
            of(one.span, &one.title, keep)
        }));
        let spots = pack.spots.iter().filter(|one| view.contains(one.frequency));
        found.extend(spots.map(|one| {
            let kept = Span::around(one.frequency, one.width);
            of(kept, &one.title, Keep::Kept)
        }));
        let held = law.licence_in(pack).map(|licence| licence.id.clone());
        let binds = pack.rules.iter().filter(|rule| {
            pack.kind == Kind::Law
                && rule.zone.is_none()
                && matches!(rule.demand, Demand::Forbidden | Demand::Only(_))
                && (rule.licences.is_empty()
                    || held.as_ref().is_some_and(|id| rule.licences.contains(id)))
        });
        for rule in binds {
            let seen = rule.spans.iter().filter(|span| span.overlaps(view));
            found.extend(seen.map(|span| of(*span, &rule.figures(), Keep::Excluded)));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn khz(value: i64) -> Frequency {
        Frequency::hz(value * 1_000)
    }

    #[test]
    fn a_view_holds_all_that_is_there_and_stays_in_the_band() {
        let band = Span::between(khz(144_000), khz(148_000));
        let edges = Span::between(khz(144_000), khz(146_000));
        let seen = view([khz(145_300), khz(145_350)].into_iter(), edges, band);
        assert_eq!(seen.width(), LEAST);
        assert!(seen.contains(khz(145_300)));
        let seen = view([khz(144_000), khz(147_900)].into_iter(), edges, band);
        assert!(band.holds(seen), "{seen}");
        assert!(seen.contains(khz(144_000)) && seen.contains(khz(147_900)));
    }
}
