//! Something broad beside a carrier, cut into the slices that fall into somebody's channel.
//!
//! Each slice is a line of its own that its receiver alone hears: in another place another slice counts.

use super::{Birth, Line, Request, Source};
use crate::quantity::{Bandwidth, Frequency, Level, Offset};
use crate::scene::{Receiver, Scene, Transmitter};

/// What of a transmitter falls into a receiver's channel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Slice {
    /// The channel it falls into.
    pub(super) place: Frequency,
    /// From the carrier to the channel, without sign.
    pub(super) off: Offset,
    /// Width of the channel.
    pub(super) width: Bandwidth,
    /// Where the channel next to the carrier begins, as seen from this receiver.
    pub(super) adjacent: Offset,
    /// Where it ends.
    pub(super) beyond_adjacent: Offset,
}

impl Slice {
    /// What of a transmitter falls into a receiver's channel; of one that may be tuned anywhere, into its channel
    /// nearest to the carrier.
    fn between(transmitter: &Transmitter, receiver: &Receiver) -> Self {
        let place = receiver.anywhere_in.map_or(receiver.frequency, |stretch| {
            transmitter.frequency.clamp(stretch.low, stretch.high)
        });
        let spacing = receiver.figures.channel_spacing.as_hz();
        Self {
            place,
            off: (place - transmitter.frequency).abs(),
            width: receiver.figures.bandwidth.value,
            adjacent: Offset::hz((spacing + 1) / 2),
            beyond_adjacent: Offset::hz(spacing + spacing / 2),
        }
    }

    /// The transmitter and the slice behind a line.
    pub(super) fn of<'a>(scene: &'a Scene<'_>, line: &Line) -> Option<(&'a Transmitter, Self)> {
        let transmitter = scene.transmitters.get(line.transmitters().next()?)?;
        let receiver = scene.receivers.get(line.heard_by?)?;
        Some((transmitter, Self::between(transmitter, receiver)))
    }
}

/// Adds a line for every transmitter and every receiver that could hear it, at the level that is given at the
/// transmitter's socket, where one is given.
pub(super) fn slices(
    request: &Request<'_>,
    kind: usize,
    lines: &mut Vec<Line>,
    level: impl Fn(&Transmitter, &Slice) -> Option<Level>,
) {
    let scene = request.scene;
    for (sender, transmitter) in scene.transmitters.iter().enumerate() {
        let Some(from) = scene.reach_of_transmitter(sender) else {
            continue;
        };
        for (index, (receiver, listening)) in
            scene.receivers.iter().zip(request.listening).enumerate()
        {
            if transmitter.legs.and(receiver.legs) != request.focus {
                continue;
            }
            let slice = Slice::between(transmitter, receiver);
            let Some(level) = level(transmitter, &slice) else {
                continue;
            };
            let arriving = level - scene.least_loss(from, receiver, slice.place);
            if listening.floor.is_none_or(|floor| arriving < floor) {
                continue;
            }
            lines.push(Line {
                kind,
                terms: vec![(Source::Transmitter(sender), 1)],
                frequency: slice.place,
                width: slice.width,
                tolerance: transmitter.figures.tolerance.of(transmitter.frequency),
                birth: Birth::Transmitter(sender),
                heard_by: Some(index),
                supposed: None,
                level,
                legs: transmitter.legs,
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::encounter::meet;
    use crate::scenario::Legs;
    use crate::scene::sample::plan;

    /// What reaches a listener 1 km away, so many hertz beside a carrier.
    fn kinds(off: i64) -> Vec<&'static str> {
        let heard = 145_500_000 + off;
        let plan = plan(&format!(
            "
sites:
  hill: {{at: [54.4150, -0.5320]}}
  field: {{at: [54.4240, -0.5320]}}
stations:
  - {{name: A, site: hill, radio: mobile-2m, power: 20 W, talk: 145.5000}}
  - {{name: B, site: field, radio: mobile-2m, watch: {heard} Hz}}
"
        ));
        let scene = Scene::build(&plan, None);
        let victim = scene.receivers.iter().position(|one| one.station == "B");
        meet(&scene, Legs::NONE)
            .into_iter()
            .filter(|one| Some(one.receiver) == victim && one.line.heard_by.is_some())
            .map(|one| one.id())
            .collect()
    }

    #[test]
    fn from_one_and_a_half_channels_on_noise_takes_over_to_the_hertz() {
        assert_eq!(kinds(37_500), ["transmitter-noise"]);
        assert_eq!(kinds(37_499), ["adjacent-power"]);
    }

    #[test]
    fn within_half_a_channel_the_carrier_itself_is_told() {
        assert_eq!(kinds(12_500), ["adjacent-power"]);
        assert!(kinds(12_499).is_empty());
    }
}
