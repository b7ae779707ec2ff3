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

#[cfg(test)]
mod tests {
    use super::*;

    use crate::scenario::{NoFiles, read};

    #[test]
    fn every_tone_that_is_sent_or_waited_for_in_the_plan_and_beside_it_is_taken() {
        let text = "
event: {name: Test}
rules: [uk]
licence: full
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile, cross_band: [433.4500, 145.2250], tone: 77.0}
  - {name: Talker, site: hill, radio: mobile-2m, talk: 145.4500, tone: 88.5}
  - {name: Ear, site: hill, radio: mobile-2m, watch: 145.3500}
in_use:
  - {name: Town, output: 145.6500, input: 145.0500, tone: 94.8, output_tone: 103.5, erp: 25 W, at: [54.33, -0.43]}
";
        let plan =
            read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"));
        let tenths: Vec<u32> = taken(&plan).into_iter().map(Tone::as_tenths).collect();
        assert_eq!(tenths, [770, 885, 948, 1035]);
    }
}
