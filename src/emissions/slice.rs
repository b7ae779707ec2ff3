//! Something broad beside a carrier, cut into the slices that fall into somebody's channel.
//!
//! Each slice is a line of its own that its receiver alone hears: in another place another slice counts.

use super::{Birth, Line, Part, Request, Source};
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
    /// Where the emission and this receiver's channel just touch.
    pub(super) touch: Offset,
    /// Where the power in the next channel is stated.
    pub(super) adjacent: Offset,
    /// Where the next channel ends.
    pub(super) beyond_adjacent: Offset,
}

impl Slice {
    /// What of a transmitter falls into a receiver's channel; of one that may be tuned anywhere, into its channel
    /// nearest to the carrier.
    fn between(transmitter: &Transmitter, receiver: &Receiver) -> Self {
        let place = receiver.anywhere_in.map_or(receiver.frequency, |stretch| {
            let half = receiver.figures.bandwidth.half();
            let (low, high) = (stretch.low + half, stretch.high - half);
            if low < high {
                transmitter.frequency.clamp(low, high)
            } else {
                receiver.frequency
            }
        });
        let spacing = receiver.figures.channel_spacing.as_hz();
        Self {
            place,
            off: (place - transmitter.frequency).abs(),
            width: receiver.figures.bandwidth.value,
            touch: Offset::hz(i64::midpoint(
                receiver.figures.bandwidth.as_hz(),
                transmitter.emission.bandwidth.as_hz(),
            )),
            adjacent: Offset::hz(spacing),
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

/// Where the slice of something broad lies that a line is; none for any other line.
pub fn place_of_slice(scene: &Scene<'_>, line: &Line) -> Option<Frequency> {
    Slice::of(scene, line)
        .filter(|_| line.is_slice())
        .map(|(_, slice)| slice.place)
}

/// Adds a line for every transmitter and every receiver that could hear it, at the level that is given at the
/// transmitter's socket, where one that it does not exceed is given.
pub(super) fn slices(
    request: &Request<'_>,
    kind: usize,
    lines: &mut Vec<Line>,
    at_most: impl Fn(&Transmitter, &Slice) -> Option<Level>,
    level: impl Fn(&Transmitter, &Slice) -> Level,
) {
    let scene = request.scene;
    for (sender, transmitter) in request.hosts() {
        let Some(from) = scene.reach_of_transmitter(sender) else {
            continue;
        };
        for (index, receiver) in request.audience_of(sender, transmitter) {
            if transmitter.legs.and(receiver.legs) != request.focus {
                continue;
            }
            let Some(listening) = request.listening.get(index) else {
                continue;
            };
            let slice = Slice::between(transmitter, receiver);
            let Some((most, floor)) =
                at_most(transmitter, &slice).zip(request.floor_of_slices(listening))
            else {
                continue;
            };
            let lost = scene.least_loss(from, receiver, slice.place);
            let is_heard = |level| request.part == Part::Plain || level - lost >= floor;
            if !is_heard(most) {
                continue;
            }
            let level = level(transmitter, &slice);
            if !is_heard(level) {
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
                is_ours: transmitter.owner.is_ours(),
            });
        }
    }
}
