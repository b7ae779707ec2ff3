//! One rule held against one transmission: whether it binds, whether it holds there and then, whether it is met.

use jiff::civil::Date;

use super::breach::{Against, Breach};
use super::pack::{Demand, Force, Measure, Pack, Rule};
use super::purpose::{Concern, Purpose};
use super::transmission::Transmission;
use super::zone::Zone;
use crate::quantity::{Level, Power, Span};

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

/// What a rule that binds this station says of its transmission, if anything.
pub(super) fn breach_of<'a>(
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
    let passes = rule.about.map(|about| (about, asked.passes(about)));
    if in_zone == Some(false) || in_time == Some(false) || matches!(passes, Some((_, Some(false))))
    {
        return None;
    }
    let against = against(rule, stretch, asked, word)?;
    let zone = |zone: &Zone, is_inside| Against::Zone {
        name: zone.name.clone(),
        is_inside,
    };
    let days = |is_inside| Against::Time {
        from: rule.from,
        until: rule.until,
        is_inside,
    };
    let says_where = matches!(rule.demand, Demand::Forbidden | Demand::Duty);
    let has_days = rule.from.is_some() || rule.until.is_some();
    let (against, force) = match &rule.zone {
        // Where it is not known whether the rule holds at all, that is all there is to say.
        Some(named) if in_zone.is_none() => (zone(named, false), Force::Note),
        _ if in_time.is_none() => (days(false), rule.force.min(Force::Caution)),
        _ if passes.is_some() => messages(rule, passes)?,
        // A transmission does not show how its station identifies; whoever knows asks `Law::identification`.
        _ if matches!(rule.demand, Demand::Identify { .. }) => (against, Force::Note),
        Some(named) if says_where => (zone(named, true), rule.force),
        None if says_where && has_days => (days(true), rule.force),
        _ => (against, rule.force),
    };
    Some(Breach {
        pack,
        rule: format!("{}/{}", pack.id, rule.id),
        against,
        force,
        says: rule.says.clone(),
        ways_out: rule.ways_out.clone(),
        is_general: rule.spans.is_empty()
            && rule.uses.is_empty()
            && rule.controls.is_empty()
            && rule.zone.is_none(),
        is_neighbours: false,
        basis: rule.basis.clone(),
        lifted_by: None,
    })
}

/// A rule about somebody's messages that is not met: in full where the plan says that they are passed.
fn messages(rule: &Rule, passes: Option<(Concern, Option<bool>)>) -> Option<(Against, Force)> {
    let (about, passes) = passes?;
    let is_stated = passes == Some(true);
    let against = Against::Messages {
        about,
        is_stated,
        permitted: match &rule.demand {
            Demand::Control(controls) => controls.clone(),
            _ => Vec::new(),
        },
    };
    let force = if is_stated {
        rule.force
    } else {
        rule.force.min(rule.unstated)
    };
    Some((against, force))
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
        Demand::Spurious(limit) => {
            let strongest = asked.spurious?;
            let most = limit.allowed(asked.output.level())?;
            let excess = strongest.level - most;
            (excess.as_db() > 0.01).then_some(Against::Spurious {
                strongest,
                most,
                excess,
            })
        }
        Demand::Duty => Some(Against::Duty),
    }
}

/// A stretch that is shut: the carrier lies in it, or the emission reaches into it.
fn shut(stretch: Option<Span>, asked: &Transmission) -> Against {
    match stretch {
        Some(span) if asked.carrier < span.low => Against::Edge {
            edge: span.low,
            excess: asked.occupied.high - span.low,
        },
        Some(span) if asked.carrier > span.high => Against::Edge {
            edge: span.high,
            excess: span.high - asked.occupied.low,
        },
        stretch => Against::Use { stretch },
    }
}

/// The edge of an open stretch that the emission reaches past furthest.
pub(super) fn past(open: Span, asked: &Transmission) -> Against {
    let below = (open.low - asked.occupied.low, open.low);
    let above = (asked.occupied.high - open.high, open.high);
    let (excess, edge) = below.max(above);
    Against::Edge { edge, excess }
}

/// Power as a rule measures it.
fn measured(measure: Measure, asked: &Transmission) -> Level {
    match measure {
        Measure::Output | Measure::Pep => asked.output.level(),
        Measure::Erp => asked.eirp() - Power::dipole_over_isotropic(),
        Measure::Eirp => asked.eirp(),
    }
}
