//! How a transmission fits a band plan: segments, frequencies kept clear, channels.

use super::breach::{Against, Breach};
use super::pack::{Coordinated, Force, Pack, Segment, Spot};
use super::purpose::Purpose;
use super::stack::Law;
use super::transmission::Transmission;
use crate::quantity::{Frequency, Offset, Span};

/// How well a band plan likes a frequency for a purpose; higher is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Preference(pub i32);

impl Preference {
    /// The segment is kept for this purpose, or meant for it.
    const MEANT: i32 = 10;
    /// The segment is meant for something else.
    const ELSE: i32 = -10;
    /// The segment is kept for something else.
    const RESERVED: i32 = -20;
    /// Off the plan's channels.
    const OFF_RASTER: i32 = -5;
    /// One of a pair that a coordinator has set aside.
    const SET_ASIDE: i32 = 30;
}

impl Segment {
    fn is_for(&self, purpose: Purpose) -> bool {
        self.uses.is_empty() || self.uses.contains(&purpose)
    }
}

impl Spot {
    /// How far a carrier must be from it for its emission to stay off what is kept clear.
    fn clear_of(&self, asked: &Transmission) -> Offset {
        let reach = (asked.occupied.high - asked.carrier).max(asked.carrier - asked.occupied.low);
        reach + self.width.half()
    }
}

/// What a pack's segments, kept frequencies and channels have against a transmission.
pub(super) fn breaches<'a>(pack: &'a Pack, asked: &Transmission) -> Vec<Breach<'a>> {
    let mut found = Vec::new();
    for segment in &pack.segments {
        if segment.span.contains(asked.carrier) {
            inside(pack, segment, asked, &mut found);
        } else if segment.is_exclusive
            && segment.span.overlaps(asked.occupied)
            && !segment.is_for(asked.purpose)
        {
            let into = (asked.occupied.high - segment.span.low)
                .min(segment.span.high - asked.occupied.low);
            found.push(of_segment(pack, segment, reserved(segment, Some(into))));
        }
    }
    for spot in &pack.spots {
        let kept = Span::around(spot.frequency, spot.width);
        let is_for = spot.uses.contains(&asked.purpose);
        if !is_for && (kept.overlaps(asked.occupied) || kept.contains(asked.carrier)) {
            found.push(Breach {
                pack,
                rule: format!("{}/{} {}", pack.id, spot.title, spot.frequency),
                against: Against::Spot {
                    frequency: spot.frequency,
                    title: spot.title.clone(),
                    clear: spot.clear_of(asked),
                },
                force: Force::Caution,
                says: format!("{} is kept clear as {}", spot.frequency, spot.title),
                ways_out: Vec::new(),
                is_general: false,
                is_neighbours: false,
                basis: spot.basis.clone(),
                lifted_by: None,
            });
        }
    }
    found
}

/// What a segment has against a carrier inside it.
///
/// On an edge that two segments share, a carrier is inside both, and the stricter one is heard too.
fn inside<'a>(
    pack: &'a Pack,
    segment: &'a Segment,
    asked: &Transmission,
    found: &mut Vec<Breach<'a>>,
) {
    if !segment.is_for(asked.purpose) {
        found.push(of_segment(
            pack,
            segment,
            if segment.is_exclusive {
                reserved(segment, None)
            } else {
                Against::Segment {
                    segment: segment.span,
                    title: segment.title.clone(),
                }
            },
        ));
    }
    if let Some(most) = segment.width
        && asked.emission.bandwidth > most
    {
        found.push(of_segment(pack, segment, Against::Width { most }));
    }
    if let Some(raster) = segment.raster
        && segment.is_for(asked.purpose)
    {
        let step = raster.step.as_hz();
        let past = (asked.carrier - raster.channel).as_hz().rem_euclid(step);
        if past != 0 {
            let below = asked.carrier - Offset::hz(past);
            found.push(of_segment(
                pack,
                segment,
                Against::Raster {
                    step: raster.step,
                    nearest: [below, below + raster.step],
                },
            ));
        }
    }
}

fn reserved(segment: &Segment, reaches_in: Option<Offset>) -> Against {
    Against::Reserved {
        segment: segment.span,
        title: segment.title.clone(),
        reaches_in,
    }
}

fn of_segment<'a>(pack: &'a Pack, segment: &'a Segment, against: Against) -> Breach<'a> {
    let says = match &against {
        Against::Reserved { .. } => format!("{} is kept for {}", segment.span, segment.title),
        Against::Width { most } => format!(
            "emissions in {} ({}) are at most {most} wide",
            segment.span, segment.title
        ),
        Against::Raster { step, .. } => format!(
            "channels in {} ({}) are {step} apart",
            segment.span, segment.title
        ),
        _ => format!("{} is meant for {}", segment.span, segment.title),
    };
    let force = match &against {
        Against::Raster { .. } => Force::Note,
        _ => Force::Caution,
    };
    Breach {
        pack,
        rule: format!("{}/segment {}", pack.id, segment.span),
        against,
        force,
        says,
        ways_out: Vec::new(),
        is_general: false,
        is_neighbours: false,
        basis: segment.basis.clone(),
        lifted_by: None,
    }
}

impl Law {
    /// How well the stacked band plans like a frequency for a purpose.
    pub fn preference(&self, frequency: Frequency, purpose: Purpose) -> Preference {
        let is_set_aside = self
            .coordinated()
            .any(|(_, pair)| pair.legs.contains(&frequency));
        let score: i32 = self
            .binding()
            .flat_map(|pack| &pack.segments)
            .filter(|segment| segment.span.contains(frequency))
            .map(|segment| {
                let fit = match (segment.is_for(purpose), segment.is_exclusive) {
                    (true, _) if segment.uses.is_empty() => 0,
                    (true, _) => Preference::MEANT,
                    (false, false) => Preference::ELSE,
                    (false, true) => Preference::RESERVED,
                };
                let is_off = segment.raster.is_some_and(|raster| {
                    (frequency - raster.channel).as_hz() % raster.step.as_hz().max(1) != 0
                });
                fit + segment.preference + if is_off { Preference::OFF_RASTER } else { 0 }
            })
            .sum();
        let aside = if is_set_aside {
            Preference::SET_ASIDE
        } else {
            0
        };
        Preference(score + aside)
    }

    /// The pairs that coordinators have set aside.
    pub fn coordinated(&self) -> impl Iterator<Item = (&Pack, &Coordinated)> {
        self.binding().flat_map(|pack| {
            pack.coordinated
                .iter()
                .map(move |pair| (pack.as_ref(), pair))
        })
    }
}
