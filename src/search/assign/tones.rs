//! A tone of its own for every open channel that wants one.

use std::collections::BTreeSet;
use std::time::Duration;

use crate::net::{Tone, clear_tone};
use crate::radio;
use crate::scenario::{Assign, Channel, OpenTone, Plan, Use};

/// The tone of each open channel, by index. Tones have to do with who hears whom and not with where the channels lie, so
/// that they are given first: each as far as can be from those of the plan, of its neighbours and of each other.
pub(super) fn tones(plan: &Plan, assign: &Assign) -> Vec<Option<u32>> {
    let mut taken = taken(plan);
    taken.extend(assign.channels.iter().filter_map(|open| match open.tone {
        OpenTone::Stated(tone) => Some(Tone::tenths(tone)),
        OpenTone::None | OpenTone::Own => None,
    }));
    let table: Vec<Tone> = radio::tones().iter().copied().map(Tone::tenths).collect();
    assign
        .channels
        .iter()
        .map(|open| match open.tone {
            OpenTone::None => None,
            OpenTone::Stated(tone) => Some(tone),
            OpenTone::Own => {
                let slowest = open
                    .stations
                    .iter()
                    .filter_map(|&station| plan.stations.get(station))
                    .map(|station| station.radio.timing.tone_decode.value)
                    .min()
                    .unwrap_or(0);
                let decode = Duration::from_millis(slowest);
                let given = clear_tone(&taken, decode, &table, &plan.settings.mains.value)?;
                taken.insert(given);
                Some(given.as_tenths())
            }
        })
        .collect()
}

/// The tones that are on the air or waited for already.
fn taken(plan: &Plan) -> BTreeSet<Tone> {
    let tone_of = |channel: &Channel| channel.tone;
    let ours = plan
        .stations
        .iter()
        .flat_map(|station| &station.uses)
        .flat_map(|one| match &one.what {
            Use::Talk {
                transmit, receive, ..
            } => vec![tone_of(transmit), tone_of(receive)],
            Use::Watch { channel, .. } => vec![tone_of(channel)],
            Use::CrossBand { legs } => legs.iter().map(tone_of).collect(),
            Use::Via { .. } => Vec::new(),
        });
    let theirs = plan
        .in_use
        .iter()
        .flat_map(|entry| [entry.tone, entry.output_tone]);
    ours.chain(theirs).flatten().map(Tone::tenths).collect()
}
