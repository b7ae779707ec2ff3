//! Reference levels for exposure to radio waves, by frequency: data, since whose they are is a country's affair.

use std::sync::LazyLock;

use serde::Deserialize;

use super::PowerDensity;
use crate::document::{Source, read};
use crate::provenance::{Authority, Standing};
use crate::quantity::{Frequency, Span};

/// Who is protected by a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum People {
    /// Anybody, who need not know of it.
    Public,
    /// Operators, who know what they do.
    Trained,
}

/// What a limit is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Body {
    /// The whole body.
    Whole,
    /// A part of it, close to the antenna.
    Part,
}

/// A stretch of spectrum in which a limit is `factor·f^exponent/over`, f in megahertz, in watts per square metre.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Segment {
    span: Span,
    factor: f64,
    exponent: f64,
    over: f64,
}

/// One table of reference levels: who is protected, over what time the exposure is averaged, and how much is allowed.
#[derive(Debug, Clone, PartialEq)]
pub struct ExposureLimit {
    /// Its name in output.
    pub id: String,
    /// Its name in words.
    pub title: String,
    /// Who is protected.
    pub people: People,
    /// What it is about.
    pub body: Body,
    /// Where it is published, and how well that is known.
    pub source: Authority,
    /// The time the exposure is averaged over, minutes.
    pub averaging_minutes: u32,
    segments: Vec<Segment>,
}

impl ExposureLimit {
    /// The power density allowed at a frequency; none outside the table.
    ///
    /// At an edge the lower segment speaks; the tables agree there.
    pub fn at(&self, frequency: Frequency) -> Option<PowerDensity> {
        self.segments
            .iter()
            .find(|segment| segment.span.contains(frequency))
            .map(|segment| {
                let power = frequency.as_mhz().powf(segment.exponent);
                PowerDensity::watts_per_m2(segment.factor * power / segment.over)
            })
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LimitWords {
    id: String,
    title: String,
    people: People,
    body: Body,
    source: String,
    standing: String,
    averaging_minutes: u32,
    segments: Vec<SegmentWords>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SegmentWords {
    from: Frequency,
    to: Frequency,
    factor: Option<String>,
    exponent: Option<String>,
    over: Option<String>,
}

impl SegmentWords {
    fn segment(&self) -> Option<Segment> {
        let number = |text: &Option<String>, usual: f64| {
            text.as_ref().map_or(Some(usual), |text| text.parse().ok())
        };
        Some(Segment {
            span: Span::between(self.from, self.to),
            factor: number(&self.factor, 1.0)?,
            exponent: number(&self.exponent, 0.0)?,
            over: number(&self.over, 1.0)?,
        })
    }
}

impl LimitWords {
    fn limit(self) -> Option<ExposureLimit> {
        let &(_, standing) = Standing::ALL
            .iter()
            .find(|(name, _)| *name == self.standing)?;
        Some(ExposureLimit {
            segments: self
                .segments
                .iter()
                .map(SegmentWords::segment)
                .collect::<Option<_>>()?,
            id: self.id,
            title: self.title,
            people: self.people,
            body: self.body,
            source: Authority {
                text: self.source.into(),
                standing,
            },
            averaging_minutes: self.averaging_minutes,
        })
    }
}

static LIMITS: LazyLock<Option<Vec<ExposureLimit>>> = LazyLock::new(|| {
    let source = Source::new("limits.yaml", include_bytes!("limits.yaml")).ok()?;
    let words: Vec<LimitWords> = read(&source).into_result().ok()?;
    words.into_iter().map(LimitWords::limit).collect()
});

/// Every table of reference levels.
pub fn limits() -> &'static [ExposureLimit] {
    LIMITS.as_deref().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_is_silent_outside_its_range_and_joins_at_its_edges() {
        assert_eq!(limits().len(), 6, "the data file is read whole");
        for table in limits() {
            assert_eq!(table.at(Frequency::hz(30_000_000 - 1)), None);
            for segment in &table.segments {
                let high = segment.span.high;
                let at = |hertz| table.at(Frequency::hz(hertz));
                if let (Some(below), Some(above)) = (at(high.as_hz()), at(high.as_hz() + 1)) {
                    let step = below.as_watts_per_m2() / above.as_watts_per_m2();
                    assert!((step - 1.0).abs() < 0.02, "{} at {high}", table.id);
                }
            }
        }
    }
}
