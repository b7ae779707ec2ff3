#![doc = include_str!("reserved_segment.md")]

use super::lawful::{Once, move_to, told};
use super::{Check, Situation};
use crate::finding::Finding;
use crate::law::Against;
use crate::quantity::{Frequency, Offset};
use crate::topic::Topic;

pub(super) const CHECK: Check = Check {
    topic: Topic {
        id: "reserved-segment",
        title: "Segment kept for satellites, beacons or another use alone",
        text: include_str!("reserved_segment.md"),
    },
    run,
};

fn run(situation: &Situation<'_>, found: &mut Vec<Finding>) {
    let reserved = |against: &Against| matches!(against, Against::Reserved { .. });
    let step = situation.plan.settings.raster.value.as_hz().max(1);
    for told in told(situation, Once::Channel, reserved) {
        let Against::Reserved {
            segment,
            title,
            reaches_in,
        } = &told.breach.against
        else {
            continue;
        };
        let carrier = told.asked.carrier;
        let says = match reaches_in {
            None => format!(
                "{} on {carrier} lies in {segment}, kept for {title}",
                told.who()
            ),
            Some(into) => format!(
                "{} on {carrier} reaches {into} into {segment}, kept for {title}",
                told.who()
            ),
        };
        let mut finding = told.finding(&CHECK.topic, says, told.extent());
        // The nearest channels that clear the segment on either side, the emission's reach included.
        let down = segment.low - (told.asked.occupied.high - carrier);
        let up = segment.high + (carrier - told.asked.occupied.low);
        let channels = [
            Frequency::hz(down.as_hz().div_euclid(step) * step),
            Frequency::hz((up + Offset::hz(step - 1)).as_hz().div_euclid(step) * step),
        ];
        let mut moves: Vec<Frequency> = channels
            .into_iter()
            .filter(|&to| told.station.radio.transmitter_at(to).is_some())
            .collect();
        moves.sort_by_key(|&to| (to - carrier).abs());
        finding.remedies.splice(
            0..0,
            moves
                .into_iter()
                .map(|to| move_to(told.transmitter.legs, carrier, to)),
        );
        found.push(finding);
    }
}
