//! Who can be keyed at the same instant.
//!
//! A net is everything that one talker can key. It has one talker at a time, so its states are its talkers; a relay's
//! or repeater's transmitter is keyed in the states of those who open it. Two nets are independent of each other.

use std::collections::{BTreeMap, BTreeSet};

use fixedbitset::FixedBitSet;

use crate::scenario::Window;

/// Where talk is passed on: one frequency of our own, a leg under trial, or a repeater of somebody else's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Place {
    /// A channel of the plan, in hertz.
    Channel(i64),
    /// A leg under trial, wherever it lies.
    Leg(usize),
    /// The input of an entry in use by others.
    Input(usize),
    /// The output of an entry in use by others.
    Output(usize),
}

/// Everything that is needed to know who is keyed with whom.
#[derive(Debug, Default)]
pub(super) struct Traffic {
    talkers: Vec<(Place, usize)>,
    /// From where to where, and the transmitter that does it, if it is in the scene.
    repeats: Vec<(Place, Place)>,
}

/// The nets of a scene.
#[derive(Debug)]
pub(super) struct Nets {
    net_of: BTreeMap<Place, usize>,
    /// By net: the places active in each of its states, and the talker who makes the state.
    states: Vec<Vec<State>>,
}

#[derive(Debug)]
struct State {
    keyed: BTreeSet<Place>,
    origin: Place,
    talker: Option<usize>,
}

impl Traffic {
    /// Somebody transmits into a place; `talker` tells talkers apart.
    pub(super) fn talks(&mut self, place: Place, talker: usize) {
        self.talkers.push((place, talker));
    }

    /// What arrives at one place is sent out at another.
    pub(super) fn repeats(&mut self, from: Place, to: Place) {
        self.repeats.push((from, to));
    }

    /// Works out the nets and their states.
    ///
    /// Where a repeater listens there is always a talker, named or not, or it would never be keyed.
    pub(super) fn nets(&self) -> Nets {
        let mut places: BTreeSet<Place> = self.talkers.iter().map(|&(place, _)| place).collect();
        places.extend(self.repeats.iter().flat_map(|&(from, to)| [from, to]));
        let net_of = connected(&places, &self.repeats);
        let count = net_of.values().max().map_or(0, |&last| last + 1);
        let mut states: Vec<Vec<State>> = (0..count).map(|_| Vec::new()).collect();
        let unnamed = self.repeats.iter().map(|&(from, _)| (from, None));
        let named = self
            .talkers
            .iter()
            .map(|&(place, talker)| (place, Some(talker)));
        let beginnings: BTreeSet<(Place, Option<usize>)> = unnamed.chain(named).collect();
        for (origin, talker) in beginnings {
            let keyed = self.keyed_from(origin);
            if let Some(of_net) = net_of.get(&origin).and_then(|&net| states.get_mut(net)) {
                of_net.push(State {
                    keyed,
                    origin,
                    talker,
                });
            }
        }
        Nets { net_of, states }
    }

    /// Every place that repeaters send to when somebody talks at `origin`.
    fn keyed_from(&self, origin: Place) -> BTreeSet<Place> {
        let mut heard = BTreeSet::from([origin]);
        let mut keyed = BTreeSet::new();
        let mut open = vec![origin];
        while let Some(place) = open.pop() {
            for &(from, to) in &self.repeats {
                if from == place && to != origin {
                    keyed.insert(to);
                    if heard.insert(to) {
                        open.push(to);
                    }
                }
            }
        }
        keyed
    }
}

/// Numbers the groups of places that repeats connect, in the order of their first place.
fn connected(places: &BTreeSet<Place>, repeats: &[(Place, Place)]) -> BTreeMap<Place, usize> {
    let mut net_of = BTreeMap::new();
    let mut next = 0;
    for &place in places {
        if net_of.contains_key(&place) {
            continue;
        }
        let mut open = vec![place];
        while let Some(place) = open.pop() {
            if net_of.insert(place, next).is_none() {
                open.extend(repeats.iter().filter_map(|&(from, to)| match place {
                    place if place == from => Some(to),
                    place if place == to => Some(from),
                    _ => None,
                }));
            }
        }
        next += 1;
    }
    net_of
}

impl Nets {
    /// The net a place belongs to.
    pub(super) fn of(&self, place: Place) -> Option<usize> {
        self.net_of.get(&place).copied()
    }

    /// The net a place belongs to, and its states.
    fn net(&self, place: Place) -> Option<(usize, &[State])> {
        let net = self.of(place)?;
        Some((net, self.states.get(net)?))
    }

    /// The activity of a talker's transmitter.
    pub(super) fn talking(&self, place: Place, talker: usize, windows: &[Window]) -> Activity {
        self.activity(place, windows, |state| {
            state.origin == place && state.talker == Some(talker)
        })
    }

    /// The activity of a repeater's transmitter that sends to a place.
    pub(super) fn repeating(&self, to: Place, windows: &[Window]) -> Activity {
        self.activity(to, windows, |state| state.keyed.contains(&to))
    }

    /// The activity of a receiver at a place whose own side sends `own` (by talker) or repeats there.
    pub(super) fn listening(
        &self,
        place: Place,
        talker: Option<usize>,
        repeats_here: bool,
        windows: &[Window],
    ) -> Activity {
        self.activity(place, windows, |state| {
            !(repeats_here && state.keyed.contains(&place))
                && (talker.is_none() || state.talker != talker)
        })
    }

    fn activity(
        &self,
        place: Place,
        windows: &[Window],
        is_active: impl Fn(&State) -> bool,
    ) -> Activity {
        let Some((net, states)) = self.net(place) else {
            return Activity {
                net: usize::MAX,
                states: FixedBitSet::new(),
                windows: windows.to_vec(),
            };
        };
        let mut active = FixedBitSet::with_capacity(states.len());
        for (index, state) in states.iter().enumerate() {
            active.set(index, is_active(state));
        }
        Activity {
            net,
            states: active,
            windows: windows.to_vec(),
        }
    }
}

/// When something is on the air: a net, the states of that net it is active in, and stretches of time.
#[derive(Debug, Clone)]
pub struct Activity {
    /// Index of the net; things outside any net have one to themselves.
    pub net: usize,
    /// States of the net it is active in; none where it is outside any net, and then it may always be active.
    pub states: FixedBitSet,
    /// When; empty for always.
    pub windows: Vec<Window>,
}

impl Activity {
    /// Something that depends on nobody.
    pub fn always(windows: &[Window]) -> Self {
        Self {
            net: usize::MAX,
            states: FixedBitSet::new(),
            windows: windows.to_vec(),
        }
    }

    /// Whether all of them can be active at the same instant.
    pub fn coexist(all: &[&Self]) -> bool {
        share_a_state(all) && share_a_moment(all)
    }
}

/// Whether, net by net, one state has all of them active.
fn share_a_state(all: &[&Activity]) -> bool {
    all.iter().enumerate().all(|(index, first)| {
        if first.net == usize::MAX {
            return true;
        }
        // The first of each net answers for all of that net.
        if all
            .iter()
            .take(index)
            .any(|earlier| earlier.net == first.net)
        {
            return true;
        }
        let mut rest = all
            .iter()
            .skip(index + 1)
            .filter(|other| other.net == first.net)
            .peekable();
        if rest.peek().is_none() {
            return !first.states.is_clear();
        }
        let rest: Vec<&&Activity> = rest.collect();
        first
            .states
            .ones()
            .any(|state| rest.iter().all(|other| other.states.contains(state)))
    })
}

/// Whether some instant lies in a window of every one of them.
fn share_a_moment(all: &[&Activity]) -> bool {
    let windows = all.iter().map(|activity| activity.windows.as_slice());
    Window::common(windows).is_none_or(|common| !common.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    const U: Place = Place::Leg(0);
    const V: Place = Place::Leg(1);

    fn relay_net() -> Nets {
        let mut traffic = Traffic::default();
        traffic.repeats(U, V);
        traffic.repeats(V, U);
        traffic.talks(U, 7);
        traffic.talks(U, 8);
        traffic.talks(V, 9);
        traffic.nets()
    }

    #[test]
    fn the_two_sides_of_a_half_duplex_relay_are_never_keyed_together() {
        let nets = relay_net();
        let (u_side, v_side) = (nets.repeating(U, &[]), nets.repeating(V, &[]));
        assert!(!Activity::coexist(&[&u_side, &v_side]));
        assert!(Activity::coexist(&[&u_side]) && Activity::coexist(&[&v_side]));
    }

    #[test]
    fn the_listening_side_hears_while_the_other_side_sends() {
        let nets = relay_net();
        let u_receiver = nets.listening(U, None, true, &[]);
        assert!(Activity::coexist(&[
            &nets.repeating(V, &[]),
            &nets.talking(U, 7, &[]),
            &u_receiver
        ]));
        assert!(!Activity::coexist(&[&nets.repeating(U, &[]), &u_receiver]));
    }

    #[test]
    fn two_talkers_of_one_net_are_never_keyed_together() {
        let nets = relay_net();
        let (one, other, far) = (
            nets.talking(U, 7, &[]),
            nets.talking(U, 8, &[]),
            nets.talking(V, 9, &[]),
        );
        assert!(!Activity::coexist(&[&one, &other]));
        assert!(!Activity::coexist(&[&one, &far]));
    }

    #[test]
    fn a_talker_and_the_relay_it_keys_are_on_the_air_together() {
        let nets = relay_net();
        assert!(Activity::coexist(&[
            &nets.talking(U, 7, &[]),
            &nets.repeating(V, &[])
        ]));
        assert!(!Activity::coexist(&[
            &nets.talking(U, 7, &[]),
            &nets.repeating(U, &[])
        ]));
    }

    #[test]
    fn three_windows_need_one_common_instant() {
        let window = |from, to| vec![Window { from, to }];
        let at = |windows: Vec<Window>| Activity::always(&windows);
        assert!(Activity::coexist(&[
            &at(window(0, 10)),
            &at(window(5, 15)),
            &at(window(9, 20))
        ]));
        assert!(!Activity::coexist(&[
            &at(window(0, 10)),
            &at(window(5, 15)),
            &at(window(10, 20))
        ]));
        assert!(Activity::coexist(&[&at(window(0, 10)), &at(Vec::new())]));
    }

    #[test]
    fn a_repeater_without_named_users_is_keyed_by_somebody() {
        let mut traffic = Traffic::default();
        traffic.repeats(Place::Input(0), Place::Output(0));
        let nets = traffic.nets();
        assert!(Activity::coexist(&[&nets.repeating(Place::Output(0), &[])]));
    }

    #[test]
    fn what_repeats_connect_is_one_net_whichever_way_they_go() {
        let places: BTreeSet<Place> = (0..6).map(Place::Leg).collect();
        let of = |repeats: &[(usize, usize)]| -> Vec<usize> {
            let repeats: Vec<(Place, Place)> = repeats
                .iter()
                .map(|&(from, to)| (Place::Leg(from), Place::Leg(to)))
                .collect();
            connected(&places, &repeats).into_values().collect()
        };
        assert_eq!(of(&[]), [0, 1, 2, 3, 4, 5]);
        assert_eq!(of(&[(0, 3)]), [0, 1, 2, 0, 3, 4]);
        assert_eq!(of(&[(3, 0)]), [0, 1, 2, 0, 3, 4]);
        assert_eq!(of(&[(3, 0), (3, 5), (2, 5)]), [0, 1, 0, 0, 2, 0]);
    }

    #[test]
    fn of_three_in_one_net_and_one_in_another_every_net_must_have_a_state_for_its_own() {
        let of = |net: usize, states: &[usize]| {
            let mut active = FixedBitSet::with_capacity(8);
            active.extend(states.iter().copied());
            Activity {
                net,
                states: active,
                windows: Vec::new(),
            }
        };
        let together = |all: &[Activity]| Activity::coexist(&all.iter().collect::<Vec<_>>());
        assert!(together(&[of(0, &[1, 2]), of(0, &[2, 3]), of(0, &[2])]));
        assert!(!together(&[of(0, &[1, 2]), of(0, &[2, 3]), of(0, &[1, 3])]));
        assert!(together(&[
            of(0, &[1]),
            of(1, &[2]),
            of(0, &[1]),
            of(1, &[2])
        ]));
        assert!(!together(&[
            of(0, &[1]),
            of(1, &[2]),
            of(0, &[1]),
            of(1, &[3])
        ]));
        assert!(!together(&[of(0, &[1]), of(1, &[]), of(0, &[1])]));
        assert!(!together(&[of(1, &[2]), of(0, &[1]), of(0, &[2])]));
    }
}
