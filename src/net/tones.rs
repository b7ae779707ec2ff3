//! Sub-audible tones: which are too close to be told apart, which hum sets off, and one for every relay.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::time::Duration;

use super::{HearerId, Network, SenderId, told};
use crate::scenario::Legs;

/// A sub-audible tone, in tenths of a hertz.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tone(u32);

impl Tone {
    /// A tone in tenths of a hertz.
    pub const fn tenths(value: u32) -> Self {
        Self(value)
    }

    /// This tone in tenths of a hertz.
    pub const fn as_tenths(self) -> u32 {
        self.0
    }

    /// How far two tones are apart, in tenths of a hertz.
    pub const fn apart(self, other: Self) -> u32 {
        self.0.abs_diff(other.0)
    }
}

impl fmt::Display for Tone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{}.{} Hz", self.0 / 10, self.0 % 10))
    }
}

/// Tones nearer than this are not told apart by every decoder, in tenths of a hertz.
///
/// # Source
/// Common practice: 67.0 and 69.3 Hz (2.3 Hz apart) are avoided on one channel, 97.4 and 100.0 Hz (2.6 Hz) are used.
const PRACTICE_APART: u32 = 25;

/// How near a tone may come to a multiple of the mains frequency, in tenths of a hertz.
///
/// # Source
/// Common practice avoids 100.0 Hz with 50 Hz mains and 118.8 Hz (1.2 Hz from 120) with 60 Hz; the width is our choice.
const HUM_APART: u32 = 15;

/// Multiples of the mains frequency up to here are looked at: beyond, hum is weak and no tone is standard.
const HIGHEST: u32 = 2_600;

/// Further apart than this, further is no better, in tenths of a hertz.
///
/// # Source
/// Our choice: four times what practice asks for.
const AMPLE: u32 = 100;

/// Where planners like to have tones, in tenths of a hertz: slow to recognise below, and above heard by some as a hum, since
/// voice filters pass from about 300 Hz on and begin to before that.
///
/// # Source
/// Our choice, from common practice.
const LIKED: std::ops::RangeInclusive<u32> = 770..=1_413;

/// How far two tones must be apart for a decoder that decides in a given time, in tenths of a hertz.
///
/// `1/(2T)`: within the time T two tones drift half a cycle against each other, the least that a decoder can tell by. At
/// 200 ms it is the 2.5 Hz of practice, and less than that is never asked.
///
/// # Source
/// Arithmetic; that half a cycle is enough is our choice.
fn least_apart(decode: Duration) -> u32 {
    let millis = u32::try_from(decode.as_millis()).unwrap_or(u32::MAX).max(1);
    (5_000 / millis).max(PRACTICE_APART)
}

/// The multiple of a mains frequency that a tone is too near to, with the mains frequency, both in hertz.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MainsHum {
    /// The mains frequency.
    pub mains: u32,
    /// The multiple, in hertz.
    pub multiple: u32,
}

/// The mains hum that a tone is too near to, among the mains frequencies (hertz) that must be reckoned with.
fn hum(tone: Tone, mains: &[u32]) -> Option<MainsHum> {
    mains.iter().filter(|mains| **mains > 0).find_map(|&mains| {
        let nearest = (tone.as_tenths() + mains * 5) / (mains * 10) * mains;
        let is_near = nearest > 0
            && nearest * 10 <= HIGHEST
            && tone.apart(Tone::tenths(nearest * 10)) <= HUM_APART;
        is_near.then_some(MainsHum {
            mains,
            multiple: nearest,
        })
    })
}

/// Something about a tone that can go wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ToneTrouble {
    /// A sender's tone is so near that the hearer may take it for its own.
    TooClose {
        /// Who sends the other tone.
        sender: SenderId,
        /// Who may be opened by it.
        hearer: HearerId,
        /// How far apart they would have to be, in tenths of a hertz.
        needed: u32,
        /// Legs under trial it rests on.
        legs: Legs,
    },
    /// A sender's tone has a second or third harmonic at a hearer's tone, which a distorting transmitter may send.
    Harmonic {
        /// Who sends the lower tone.
        sender: SenderId,
        /// Who waits for the higher one.
        hearer: HearerId,
        /// Which harmonic.
        multiple: u32,
        /// Legs under trial it rests on.
        legs: Legs,
    },
    /// A hearer's tone is near a multiple of the mains frequency.
    Hum {
        /// Who waits for it.
        hearer: HearerId,
        /// Which multiple.
        hum: MainsHum,
        /// Legs under trial it rests on.
        legs: Legs,
    },
}

impl ToneTrouble {
    /// Legs under trial it rests on.
    pub const fn legs(&self) -> Legs {
        match self {
            Self::TooClose { legs, .. } | Self::Harmonic { legs, .. } | Self::Hum { legs, .. } => {
                *legs
            }
        }
    }

    /// The trouble in a sentence.
    pub fn told(&self, network: &Network) -> String {
        let sent = |id: &SenderId| {
            network.sender(*id).map_or_else(String::new, |sender| {
                format!(
                    "{} sends {}",
                    sender.name,
                    sender
                        .tone
                        .map_or_else(String::new, |tone| tone.to_string())
                )
            })
        };
        let awaited = |id: &HearerId| {
            network.hearer(*id).map_or_else(String::new, |hearer| {
                format!(
                    "{} waits for {}",
                    hearer.name,
                    hearer
                        .tone
                        .map_or_else(String::new, |tone| tone.to_string())
                )
            })
        };
        match self {
            Self::TooClose {
                sender,
                hearer,
                needed,
                ..
            } => {
                let decode = network
                    .hearer(*hearer)
                    .map_or(Duration::ZERO, |hearer| hearer.decode);
                format!(
                    "{}, {} on the same channel: to be told apart within {} they must be {} apart",
                    sent(sender),
                    awaited(hearer),
                    told(decode),
                    Tone::tenths(*needed)
                )
            }
            Self::Harmonic {
                sender,
                hearer,
                multiple,
                ..
            } => format!(
                "{}, {} on the same channel, which is {multiple} times that to within {}",
                sent(sender),
                awaited(hearer),
                Tone::tenths(HUM_APART)
            ),
            Self::Hum { hearer, hum, .. } => {
                format!(
                    "{}, near {} Hz, a multiple of {} Hz mains",
                    awaited(hearer),
                    hum.multiple,
                    hum.mains
                )
            }
        }
    }
}

/// What may go wrong with tones that our hearers wait for, on channels where others are within earshot.
///
/// `mains` are the mains frequencies, in hertz, that must be reckoned with.
pub fn tone_troubles(network: &Network, mains: &[u32]) -> Vec<ToneTrouble> {
    let mut found = Vec::new();
    for (id, hearer) in network
        .all_hearers()
        .filter(|(id, _)| network.is_our_hearer(*id))
    {
        let Some(awaited) = hearer.tone else { continue };
        let needed = least_apart(hearer.decode);
        for (sender_id, sender) in network.all_senders() {
            let Some(sent) = sender.tone.filter(|tone| *tone != awaited) else {
                continue;
            };
            if !network.heard.has((sender_id, id)) || network.deafens(sender_id, id) {
                continue;
            }
            let legs = hearer.legs.and(sender.legs);
            if sent.apart(awaited) < needed {
                found.push(ToneTrouble::TooClose {
                    sender: sender_id,
                    hearer: id,
                    needed,
                    legs,
                });
            } else if let Some(multiple) = harmonic_of(sent, awaited) {
                found.push(ToneTrouble::Harmonic {
                    sender: sender_id,
                    hearer: id,
                    multiple,
                    legs,
                });
            }
        }
        if let Some(hum) = hum(awaited, mains) {
            found.push(ToneTrouble::Hum {
                hearer: id,
                hum,
                legs: hearer.legs,
            });
        }
    }
    found
}

/// Which harmonic of the lower tone the higher one is, if it is the second or third.
fn harmonic_of(lower: Tone, higher: Tone) -> Option<u32> {
    [2, 3]
        .into_iter()
        .find(|multiple| Tone::tenths(lower.as_tenths() * multiple).apart(higher) <= HUM_APART)
}

/// A tone for every input of our relays, no two alike: for each its own where it has a good one, else [`free_tone`].
///
/// An input for which nothing is left is not in the result.
pub fn propose_tones(network: &Network, table: &[Tone], mains: &[u32]) -> BTreeMap<HearerId, Tone> {
    let mut given: BTreeMap<HearerId, Tone> = BTreeMap::new();
    let inputs = network.all_hearers().map(|(id, _)| id);
    for id in inputs.filter(|id| network.is_our_hearer(*id) && network.is_relay_input(*id)) {
        let taken: BTreeSet<Tone> = given.values().copied().collect();
        if let Some(tone) = not_taken(network, id, table, mains, taken) {
            given.insert(id, tone);
        }
    }
    given
}

/// A tone for one input of a relay: its own where that is good, else one from the table that no other net and no relay
/// within earshot sends or comes near to, clear of the mains and of harmonics, as [`clear_tone`] chooses.
pub fn free_tone(
    network: &Network,
    input: HearerId,
    table: &[Tone],
    mains: &[u32],
) -> Option<Tone> {
    not_taken(network, input, table, mains, BTreeSet::new())
}

fn not_taken(
    network: &Network,
    input: HearerId,
    table: &[Tone],
    mains: &[u32],
    mut taken: BTreeSet<Tone>,
) -> Option<Tone> {
    let hearer = network.hearer(input)?;
    let strangers = network
        .all_senders()
        .filter(|(sender, _)| network.heard.has((*sender, input)))
        .filter(|(_, sender)| sender.net != hearer.net || network.is_relay(sender.radio));
    taken.extend(strangers.filter_map(|(_, sender)| sender.tone));
    let own = hearer
        .tone
        .filter(|tone| is_clear(*tone, &taken, hearer.decode, mains));
    own.or_else(|| clear_tone(&taken, hearer.decode, table, mains))
}

/// The tone of a table that is clear of the mains, of those taken and of their harmonics, for a decoder that decides in a
/// given time: far enough from all that are taken, then where planners like to have tones, then the one furthest from every
/// multiple of the mains, and of two the higher, which is recognised sooner.
pub fn clear_tone(
    taken: &BTreeSet<Tone>,
    decode: Duration,
    table: &[Tone],
    mains: &[u32],
) -> Option<Tone> {
    let distance = |tone: &Tone| {
        taken
            .iter()
            .map(|other| other.apart(*tone))
            .min()
            .unwrap_or(AMPLE)
            .min(AMPLE)
    };
    let is_liked = |tone: &Tone| LIKED.contains(&tone.as_tenths());
    table
        .iter()
        .copied()
        .filter(|tone| is_clear(*tone, taken, decode, mains))
        .max_by_key(|tone| {
            (
                distance(tone),
                is_liked(tone),
                from_hum(*tone, mains),
                *tone,
            )
        })
}

/// How far a tone is from the nearest multiple of any of the mains, in tenths of a hertz.
fn from_hum(tone: Tone, mains: &[u32]) -> u32 {
    let away = mains.iter().filter(|mains| **mains > 0).map(|mains| {
        let whole = mains * 10;
        let nearest = ((tone.as_tenths() + whole / 2) / whole).max(1) * whole;
        tone.apart(Tone::tenths(nearest))
    });
    away.min().unwrap_or(u32::MAX)
}

fn is_clear(tone: Tone, taken: &BTreeSet<Tone>, decode: Duration, mains: &[u32]) -> bool {
    hum(tone, mains).is_none()
        && taken.iter().all(|&other| {
            other.apart(tone) >= least_apart(decode)
                && harmonic_of(other, tone).is_none()
                && harmonic_of(tone, other).is_none()
        })
}

#[cfg(test)]
mod tests {
    use super::super::model::small::{Sketch, U, V, ms};
    use super::*;

    #[test]
    fn neighbours_that_practice_avoids_are_too_close_and_the_next_pair_is_not() {
        for (sent, is_close) in [(693, true), (719, false)] {
            let mut sketch = Sketch::default();
            sketch.talker("Stranger", U, Some(sent));
            sketch.relay("Hill", [(U, Some(670)), (V, None)], 0);
            let found = tone_troubles(&sketch.all_within_earshot(&[]), &[]);
            assert_eq!(
                found
                    .iter()
                    .any(|one| matches!(one, ToneTrouble::TooClose { .. })),
                is_close,
                "{sent}"
            );
        }
    }

    #[test]
    fn a_faster_decoder_needs_tones_further_apart() {
        assert_eq!(least_apart(ms(100)), 50);
        assert_eq!(least_apart(ms(200)), 25);
        assert_eq!(least_apart(ms(400)), 25);
        assert_eq!(least_apart(ms(0)), 5_000);
    }

    #[test]
    fn hum_depends_on_the_mains() {
        assert_eq!(
            hum(Tone::tenths(1_000), &[50]),
            Some(MainsHum {
                mains: 50,
                multiple: 100
            })
        );
        assert_eq!(hum(Tone::tenths(1_000), &[60]), None);
        assert_eq!(
            hum(Tone::tenths(1_188), &[60]),
            Some(MainsHum {
                mains: 60,
                multiple: 120
            })
        );
        assert_eq!(hum(Tone::tenths(1_188), &[50]), None);
        assert_eq!(hum(Tone::tenths(770), &[50, 60]), None);
    }

    #[test]
    fn of_the_whole_table_a_tone_is_proposed_that_a_planner_would_take() {
        let table: Vec<Tone> = [
            670, 693, 719, 744, 770, 797, 825, 854, 885, 915, 948, 974, 1_000, 1_035, 1_072, 1_109,
            1_148, 1_188, 1_230, 1_273, 1_318, 1_365, 1_413, 1_462, 1_514, 1_567, 1_622, 2_257,
            2_418, 2_503, 2_541,
        ]
        .into_iter()
        .map(Tone::tenths)
        .collect();
        let proposed = |taken: &[u32], mains: &[u32]| {
            let taken = taken.iter().copied().map(Tone::tenths).collect();
            clear_tone(&taken, ms(200), &table, mains).map(Tone::as_tenths)
        };
        // 23 Hz from 100 Hz, as 77.0 Hz is; 28.5 Hz from 120 Hz; 19.7 Hz from 60 Hz.
        assert_eq!(proposed(&[], &[50]), Some(1_230));
        assert_eq!(proposed(&[], &[60]), Some(915));
        assert_eq!(proposed(&[], &[50, 60]), Some(797));
        // 127.3 Hz is too near to 123.0 Hz to be ample, as 79.7 Hz is to 77.0 Hz; 136.5 Hz is 13.5 Hz from 150 Hz.
        assert_eq!(proposed(&[1_230], &[50]), Some(770));
        assert_eq!(proposed(&[770], &[50, 60]), Some(1_365));
    }

    #[test]
    fn every_relay_input_gets_a_tone_of_its_own() {
        let table: Vec<Tone> = [670, 693, 770, 885, 1_000, 1_188, 1_318, 1_622, 2_035]
            .into_iter()
            .map(Tone::tenths)
            .collect();
        let mut sketch = Sketch::default();
        sketch.relay("Hill", [(U, Some(770)), (V, None)], 0);
        sketch.relay("Valley", [(U, Some(770)), (V, None)], 0);
        let network = sketch.all_within_earshot(&[]);
        let given = propose_tones(&network, &table, &[50]);
        let distinct: BTreeSet<Tone> = given.values().copied().collect();
        assert_eq!((given.len(), distinct.len()), (4, 4));
        assert!(!distinct.contains(&Tone::tenths(1_000)));
    }

    #[test]
    fn exactly_as_far_apart_as_is_needed_is_far_enough() {
        let close = |sent: u32, but: &[(&str, &str)]| {
            let mut sketch = Sketch::default();
            sketch.talker("Stranger", U, Some(sent));
            sketch.relay("Hill", [(U, Some(1_000)), (V, None)], 0);
            let found = tone_troubles(&sketch.all_within_earshot(but), &[]);
            let hill = found.iter().filter(|one| {
                matches!(one, ToneTrouble::TooClose { hearer, needed: 25, .. } if hearer.0 == 1)
            });
            hill.count()
        };
        // A decoder of 200 ms needs 2.5 Hz.
        assert_eq!((close(1_024, &[]), close(1_025, &[])), (1, 0));
        assert_eq!((close(976, &[]), close(975, &[])), (1, 0));
        assert_eq!(close(1_000, &[]), 0);
        // Who is not heard sets off nothing.
        assert_eq!(close(1_024, &[("Stranger", "Hill")]), 0);
    }

    #[test]
    fn each_trouble_is_told_with_who_sends_and_who_waits() {
        let told = |sent: u32, awaited: u32| -> Vec<String> {
            let mut sketch = Sketch::default();
            sketch.repeater("Town", 145_050_000, U, None, 0);
            sketch.network.senders.on_trial()[0].tone = Some(Tone::tenths(sent));
            sketch.relay("Hill", [(U, Some(awaited)), (V, None)], 0);
            let network = sketch.all_within_earshot(&[]);
            let found = tone_troubles(&network, &[50]);
            found.iter().map(|one| one.told(&network)).collect()
        };
        assert_eq!(
            told(693, 670),
            [
                "Town sends 69.3 Hz, Hill waits for 67.0 Hz on the same channel: to be told apart within 200 ms they must \
                 be 2.5 Hz apart"
            ]
        );
        assert_eq!(
            told(670, 1_344),
            [
                "Town sends 67.0 Hz, Hill waits for 134.4 Hz on the same channel, which is 2 times that to within 1.5 Hz"
            ]
        );
        assert_eq!(
            told(770, 1_000),
            ["Hill waits for 100.0 Hz, near 100 Hz, a multiple of 50 Hz mains"]
        );
        assert!(told(770, 1_230).is_empty());
    }

    #[test]
    fn hum_reaches_a_hertz_and_a_half_from_every_multiple_up_to_260_hertz() {
        let near =
            |tenths: u32, mains: &[u32]| hum(Tone::tenths(tenths), mains).map(|hum| hum.multiple);
        for multiple in 1..=5 {
            let middle = multiple * 500;
            for off in [0, 15] {
                assert_eq!(near(middle - off, &[50]), Some(multiple * 50));
                assert_eq!(near(middle + off, &[50]), Some(multiple * 50));
            }
            assert_eq!(near(middle - 16, &[50]), None);
            assert_eq!(near(middle + 16, &[50]), None);
        }
        assert_eq!(near(3_000, &[50]), None);
        assert_eq!(near(2_400, &[60]), Some(240));
        assert_eq!(near(2_600, &[65]), Some(260));
        // No mains hums at nothing.
        assert_eq!(near(10, &[50]), None);
        assert_eq!(near(1_200, &[0, 60]), Some(120));
        assert_eq!(near(1_200, &[0]), None);
    }

    #[test]
    fn a_tone_is_as_far_from_hum_as_from_the_nearest_multiple() {
        let away = |tenths: u32, mains: &[u32]| from_hum(Tone::tenths(tenths), mains);
        assert_eq!(away(1_230, &[50]), 230);
        assert_eq!(away(1_230, &[60]), 30);
        assert_eq!(away(1_230, &[0, 60, 50]), 30);
        assert_eq!(away(770, &[50]), 230);
        // Nought is no multiple.
        assert_eq!(away(200, &[50]), 300);
        assert_eq!(away(770, &[]), u32::MAX);
    }

    #[test]
    fn the_second_and_third_harmonic_count_to_within_a_hertz_and_a_half() {
        let of = |lower, higher| harmonic_of(Tone::tenths(lower), Tone::tenths(higher));
        assert_eq!(of(670, 1_340), Some(2));
        assert_eq!((of(670, 1_325), of(670, 1_355)), (Some(2), Some(2)));
        assert_eq!((of(670, 1_324), of(670, 1_356)), (None, None));
        assert_eq!((of(670, 2_010), of(670, 2_026)), (Some(3), None));
        assert_eq!(
            (of(670, 670), of(1_340, 670), of(670, 2_680)),
            (None, None, None)
        );
    }

    #[test]
    fn only_inputs_of_our_relays_are_given_tones_and_none_that_others_there_send() {
        let table: Vec<Tone> = [770, 1_230].into_iter().map(Tone::tenths).collect();
        let given = |name: &str, net: usize, but: &[(&str, &str)]| {
            let mut sketch = Sketch::default();
            sketch.talker(name, U, Some(1_230));
            sketch.network.senders.on_trial()[0].net = net;
            sketch.repeater("Town", 145_050_000, 145_650_000, None, 0);
            sketch.relay("Hill", [(U, None), (V, None)], 0);
            let network = sketch.all_within_earshot(but);
            let given = propose_tones(&network, &table, &[50]);
            let names: Vec<&str> = given
                .keys()
                .map(|id| network.radio_name(network.hearer(*id).unwrap().radio))
                .collect();
            assert_eq!(names, ["Hill", "Hill"]);
            given.values().next().copied().map(Tone::as_tenths)
        };
        // Of another net within earshot; of the same net, whose tone is its users' own; out of earshot.
        assert_eq!(given("Stranger", 1, &[]), Some(770));
        assert_eq!(given("User", 0, &[]), Some(1_230));
        assert_eq!(given("Stranger", 1, &[("Stranger", "Hill")]), Some(1_230));
    }
}
