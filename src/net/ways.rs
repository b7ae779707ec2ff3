//! Which way a word takes from one radio to another, and who is out of reach.

use std::cmp::{Ordering, Reverse};
use std::collections::{BTreeMap, BTreeSet};

use super::loops::legs;
use super::{Heard, Hop, Need, Network, RadioId, SenderId, Shift};
use crate::quantity::Decibels;
use crate::scenario::{Legs, Window};

/// A way from one radio to another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Way {
    /// Its steps, first talker first.
    pub hops: Vec<Hop>,
    /// Margin of its weakest step, when the paths are not kind; below zero it may not be relied on.
    pub margin: Decibels,
    /// Which step is the weakest.
    pub weakest: usize,
    /// When there is a way as good, all its radios being on the air; none where nobody comes or goes.
    pub windows: Option<Vec<Window>>,
}

impl Way {
    /// Takes another way where that is better, and the time too where both are as good.
    fn or_else(&mut self, other: Self) {
        let is_sure = |way: &Self| way.margin >= Decibels::ZERO;
        let rank = |way: &Self| (!is_sure(way), way.hops.len(), Reverse(way.margin));
        let is_better = rank(&other) < rank(self);
        let windows = match is_sure(&other).cmp(&is_sure(self)) {
            Ordering::Less => self.windows.take(),
            Ordering::Greater => other.windows.clone(),
            Ordering::Equal => {
                let both = self.windows.take().zip(other.windows.clone());
                both.map(|(before, more)| [before, more].concat())
            }
        };
        if is_better {
            *self = other;
        }
        self.windows = windows;
    }

    fn after(&self, hop: Hop, margin: Decibels) -> Self {
        let mut hops = self.hops.clone();
        hops.push(hop);
        if margin < self.margin {
            Self {
                weakest: hops.len() - 1,
                hops,
                margin,
                ..self.clone()
            }
        } else {
            Self {
                hops,
                ..self.clone()
            }
        }
    }

    /// Legs under trial it rests on.
    pub fn legs(&self, network: &Network) -> Legs {
        legs(network, &self.hops)
    }

    /// The way in words: `Finish, Hill relay, Control`.
    pub fn told(&self, network: &Network) -> String {
        let first = self
            .hops
            .first()
            .and_then(|hop| network.sender(hop.from))
            .map(|sender| sender.radio);
        let rest = self
            .hops
            .iter()
            .filter_map(|hop| network.hearer(hop.by))
            .map(|hearer| hearer.radio);
        let names: Vec<&str> = first
            .into_iter()
            .chain(rest)
            .map(|radio| network.radio_name(radio))
            .collect();
        names.join(" → ")
    }

    fn uses(&self, network: &Network, radio: RadioId) -> bool {
        self.hops.iter().any(|hop| {
            network
                .sender(hop.from)
                .is_some_and(|sender| sender.radio == radio)
        })
    }
}

/// The ways from a radio's operator to every radio that hears them: those that may be relied on, and where there is none
/// the one that may work; of each sort fewest steps first, then the better weakest step.
///
/// A way uses each radio once, since a half-duplex box does not send on two sides at once, and all its radios are on the
/// air at one time.
pub fn ways_from(network: &Network, from: RadioId) -> BTreeMap<RadioId, Way> {
    let mut ways: BTreeMap<RadioId, Way> = BTreeMap::new();
    for shift in network.shifts() {
        for (radio, mut way) in ways_in(network, shift, from) {
            way.windows = shift.window.map(|window| vec![window]);
            if let Some(known) = ways.get_mut(&radio) {
                known.or_else(way);
            } else {
                ways.insert(radio, way);
            }
        }
    }
    ways
}

/// The same while nobody comes or goes.
fn ways_in(network: &Network, shift: &Shift, from: RadioId) -> BTreeMap<RadioId, Way> {
    let mut ways = ways_by(network, shift, from, |heard| heard.sure >= Decibels::ZERO);
    for (radio, way) in ways_by(network, shift, from, |_| true) {
        ways.entry(radio).or_insert(way);
    }
    ways
}

fn ways_by(
    network: &Network,
    shift: &Shift,
    from: RadioId,
    counts: fn(&Heard) -> bool,
) -> BTreeMap<RadioId, Way> {
    let mut arrived: BTreeMap<RadioId, Way> = BTreeMap::new();
    let mut seen: BTreeSet<SenderId> = BTreeSet::new();
    let begin = Way {
        hops: Vec::new(),
        margin: Decibels::db(f64::INFINITY),
        weakest: 0,
        windows: None,
    };
    let mut layer: BTreeMap<SenderId, Way> = network
        .talkers()
        .filter(|(_, sender)| sender.radio == from && shift.has(from))
        .map(|(id, _)| (id, begin.clone()))
        .collect();
    while !layer.is_empty() {
        seen.extend(layer.keys().copied());
        let mut next: BTreeMap<SenderId, Way> = BTreeMap::new();
        let mut here: BTreeMap<RadioId, Way> = BTreeMap::new();
        for (&sender, way) in &layer {
            for (by, heard) in network.opened_by(sender).filter(|(_, heard)| counts(heard)) {
                let Some(hearer) = network.hearer(by) else {
                    continue;
                };
                let is_there = shift.has(hearer.radio);
                if !is_there || hearer.radio == from || way.uses(network, hearer.radio) {
                    continue;
                }
                let longer = way.after(Hop { from: sender, by }, heard.sure);
                for repeat in network
                    .repeats_of(by)
                    .filter(|repeat| !seen.contains(&repeat.to))
                {
                    keep_better(&mut next, repeat.to, &longer);
                }
                keep_better(&mut here, hearer.radio, &longer);
            }
        }
        for (radio, way) in here {
            arrived.entry(radio).or_insert(way);
        }
        layer = next;
    }
    arrived
}

fn keep_better<K: Ord>(kept: &mut BTreeMap<K, Way>, key: K, way: &Way) {
    let is_better = kept
        .get(&key)
        .is_none_or(|before| before.margin < way.margin);
    if is_better {
        kept.insert(key, way.clone());
    }
}

/// The way from one radio to another, if there is one.
pub fn way(network: &Network, from: RadioId, to: RadioId) -> Option<Way> {
    ways_from(network, from).remove(&to)
}

/// Whether a word gets from one to the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Arrives {
    /// There is no way.
    No,
    /// There is one that works while the paths are kind.
    Perhaps,
    /// There is one that may be relied on.
    Surely,
}

impl Arrives {
    fn by(way: Option<&Way>) -> Self {
        match way {
            None => Self::No,
            Some(way) if way.margin < Decibels::ZERO => Self::Perhaps,
            Some(_) => Self::Surely,
        }
    }
}

/// Every pair of our operators, who to whom, for which there is a way in a shift that may be relied on, with that way.
fn reachable(network: &Network, shift: &Shift) -> BTreeMap<(RadioId, RadioId), Way> {
    let operators = our_operators(network);
    operators
        .iter()
        .flat_map(|&from| {
            let ways = sure_ways(network, shift, from).into_iter();
            ways.map(move |(to, way)| ((from, to), way))
        })
        .filter(|((_, to), _)| operators.contains(to))
        .collect()
}

fn sure_ways(network: &Network, shift: &Shift, from: RadioId) -> BTreeMap<RadioId, Way> {
    ways_by(network, shift, from, |heard| heard.sure >= Decibels::ZERO)
}

fn our_operators(network: &Network) -> BTreeSet<RadioId> {
    network
        .talkers()
        .map(|(_, sender)| sender.radio)
        .filter(|id| network.is_ours(*id))
        .collect()
}

/// A need that is not surely met.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unmet {
    /// The need.
    pub need: Need,
    /// Whether the word arrives.
    pub there: Arrives,
    /// Whether the answer comes back.
    pub back: Arrives,
    /// When it is so while both are on the air, none of them where they never are; none where nobody comes or goes.
    pub windows: Option<Vec<Window>>,
}

/// The needs that may not be relied on, there or back, each once for every way in which it is not met.
pub fn unmet_needs(network: &Network) -> Vec<Unmet> {
    let mut unmet = Vec::new();
    for &need in &network.needs {
        let Need { who, whom } = need;
        let mut times: BTreeMap<(Arrives, Arrives), Option<Vec<Window>>> = BTreeMap::new();
        let shifts = network.shifts().iter();
        for shift in shifts.filter(|shift| shift.has(who) && shift.has(whom)) {
            let arrives = |from, to| Arrives::by(ways_in(network, shift, from).get(&to));
            let windows = times
                .entry((arrives(who, whom), arrives(whom, who)))
                .or_insert_with(|| shift.window.map(|_| Vec::new()));
            if let Some(windows) = windows {
                windows.extend(shift.window);
            }
        }
        if times.is_empty() {
            times.insert((Arrives::No, Arrives::No), Some(Vec::new()));
        }
        let lacking = times
            .into_iter()
            .filter(|((there, back), _)| (*there).min(*back) < Arrives::Surely);
        unmet.extend(lacking.map(|((there, back), windows)| Unmet {
            need,
            there,
            back,
            windows,
        }));
    }
    unmet
}

/// Two operators who both open one relay but do not hear each other, on their own or by any relay, so that they
/// talk at the same time and never know. With the relay's name; lower radio first.
pub fn hidden_users(network: &Network) -> BTreeSet<(RadioId, RadioId, RadioId)> {
    let shifts = network.shifts().iter();
    shifts.flat_map(|shift| hidden_in(network, shift)).collect()
}

fn hidden_in(network: &Network, shift: &Shift) -> BTreeSet<(RadioId, RadioId, RadioId)> {
    let hears: BTreeMap<RadioId, BTreeMap<RadioId, Way>> = our_operators(network)
        .into_iter()
        .map(|from| (from, sure_ways(network, shift, from)))
        .collect();
    let reaches = |from: RadioId, to: RadioId| {
        hears
            .get(&from)
            .is_some_and(|heard| heard.contains_key(&to))
    };
    let mut hidden = BTreeSet::new();
    for (input, hearer) in network
        .all_hearers()
        .filter(|(id, hearer)| network.is_relay_input(*id) && shift.has(hearer.radio))
    {
        let users: BTreeSet<RadioId> = network
            .talkers()
            .filter(|(id, _)| network.is_our_sender(*id) && network.opens(*id, input))
            .map(|(_, sender)| sender.radio)
            .filter(|user| shift.has(*user))
            .collect();
        for &one in &users {
            for &other in users.iter().filter(|other| **other > one) {
                if !reaches(one, other) && !reaches(other, one) {
                    hidden.insert((one, other, hearer.radio));
                }
            }
        }
    }
    hidden
}

/// The relays without which some who reach each other no longer would, at some time of the event, with the pairs that
/// are lost.
///
/// Where needs are stated, only they count.
pub fn single_points(network: &Network) -> Vec<(RadioId, Vec<(RadioId, RadioId)>)> {
    let needs = network.needs.iter();
    let needed = needs.flat_map(|need| [(need.who, need.whom), (need.whom, need.who)]);
    let needed: BTreeSet<(RadioId, RadioId)> = needed.collect();
    let wanted = |shift: &Shift| -> BTreeMap<(RadioId, RadioId), Way> {
        let mut all = reachable(network, shift);
        all.retain(|pair, _| needed.is_empty() || needed.contains(pair));
        all
    };
    let mut lost: BTreeMap<RadioId, BTreeSet<(RadioId, RadioId)>> = BTreeMap::new();
    for shift in network.shifts() {
        let whole = wanted(shift);
        // A relay that no way passes takes none with it.
        let hops = whole.values().flat_map(|way| &way.hops);
        let passed = hops.filter_map(|hop| Some(network.sender(hop.from)?.radio));
        let passed: BTreeSet<RadioId> = passed.collect();
        for id in passed.into_iter().filter(|id| network.is_relay(*id)) {
            let mut without = shift.clone();
            without.absent.insert(id);
            let rest = wanted(&without);
            let gone = whole.keys().filter(|pair| !rest.contains_key(pair));
            let gone = gone.copied();
            let gone: Vec<_> = gone.filter(|(from, to)| *from != id && *to != id).collect();
            if !gone.is_empty() {
                lost.entry(id).or_default().extend(gone);
            }
        }
    }
    lost.into_iter()
        .map(|(id, pairs)| (id, pairs.into_iter().collect()))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::model::small::{Sketch, U, V};
    use super::*;
    use std::sync::Arc;

    #[test]
    fn a_chain_of_three_relays_carries_a_word_through() {
        let channels = [433_450_000, 145_225_000, 433_550_000, 145_325_000];
        let mut sketch = Sketch::default();
        let first = sketch.talker("Summit", channels[0], None);
        for (name, pair) in ["One", "Two", "Three"].iter().zip(channels.windows(2)) {
            sketch.relay(name, [(pair[0], None), (pair[1], None)], 0);
        }
        let last = sketch.talker("Control", channels[3], None);
        let network = sketch.all_within_earshot(&[]);
        let found = way(&network, first, last).unwrap();
        assert_eq!(found.told(&network), "Summit → One → Two → Three → Control");
        assert_eq!(single_points(&network).len(), 3);
    }

    #[test]
    fn a_user_whose_tone_does_not_fit_has_no_way() {
        let mut sketch = Sketch::default();
        let silent = sketch.talker("Marshal", U, None);
        let control = sketch.talker("Control", V, None);
        sketch.relay("Hill", [(U, Some(770)), (V, None)], 0);
        let mut network = sketch.all_within_earshot(&[]);
        network.needs.push(Need {
            who: silent,
            whom: control,
        });
        assert_eq!(way(&network, silent, control), None);
        // The answer does arrive: the marshal waits for no tone.
        assert!(way(&network, control, silent).is_some());
        let unmet = unmet_needs(&network);
        assert_eq!(
            (unmet[0].there, unmet[0].back),
            (Arrives::No, Arrives::Surely)
        );
    }

    #[test]
    fn users_of_one_leg_out_of_earshot_are_hidden_from_each_other() {
        let mut sketch = Sketch::default();
        let east = sketch.talker("East", U, None);
        let west = sketch.talker("West", U, None);
        let relay = sketch.relay("Hill", [(U, None), (V, None)], 0);
        let hidden = hidden_users(&sketch.all_within_earshot(&[("East", "West")]));
        assert_eq!(hidden, BTreeSet::from([(east, west, relay)]));
    }

    #[test]
    fn a_duplex_repeater_hides_nobody() {
        let mut sketch = Sketch::default();
        sketch.user("East", 145_050_000, 145_650_000, None);
        sketch.user("West", 145_050_000, 145_650_000, None);
        sketch.repeater("Town", 145_050_000, 145_650_000, None, 2_000);
        assert!(hidden_users(&sketch.all_within_earshot(&[])).is_empty());
    }

    /// A network in which some hear some, each so much above what may be relied on.
    fn heard(mut sketch: Sketch, sure: &[(&str, &str, f64)]) -> Network {
        let network = &sketch.network;
        let mut found = Vec::new();
        for &(from, to, sure) in sure {
            let senders = network.all_senders().filter(|(_, one)| one.name == from);
            for (sender, sent) in senders {
                let hearers = network.all_hearers().filter(|(_, one)| one.name == to);
                for (hearer, _) in hearers.filter(|(_, one)| one.frequency == sent.frequency) {
                    let heard = Heard {
                        margin: Decibels::db(30.0),
                        sure: Decibels::db(sure),
                        through: None,
                    };
                    found.push(((sender, hearer), heard));
                }
            }
        }
        sketch.network.heard = found.into_iter().collect();
        sketch.network
    }

    #[test]
    fn a_way_is_as_good_as_its_weakest_step_and_the_first_of_equals_is_named() {
        let of = |steps: [f64; 3]| {
            let mut sketch = Sketch::default();
            let from = sketch.talker("Summit", U, None);
            sketch.relay("One", [(U, None), (V, None)], 0);
            sketch.relay("Two", [(V, None), (433_550_000, None)], 0);
            let to = sketch.talker("Control", 433_550_000, None);
            let [a, b, c] = steps;
            let all = [
                ("Summit", "One", a),
                ("One", "Two", b),
                ("Two", "Control", c),
            ];
            let found = way(&heard(sketch, &all), from, to).unwrap();
            assert_eq!(found.hops.len(), 3);
            (found.margin.as_db(), found.weakest)
        };
        assert_eq!(of([12.0, 5.0, 9.0]), (5.0, 1));
        assert_eq!(of([4.0, 5.0, 9.0]), (4.0, 0));
        assert_eq!(of([12.0, 5.0, 3.0]), (3.0, 2));
        assert_eq!(of([12.0, 5.0, 5.0]), (5.0, 1));
        assert_eq!(of([6.0, 6.0, 6.0]), (6.0, 0));
        assert_eq!(of([6.0, -2.0, 6.0]), (-2.0, 1));
    }

    #[test]
    fn of_two_ways_as_short_the_one_with_the_better_weakest_step_is_taken() {
        let by = |one: f64, two: f64| {
            let mut sketch = Sketch::default();
            let from = sketch.talker("Summit", U, None);
            sketch.relay("One", [(U, None), (V, None)], 0);
            sketch.relay("Two", [(U, None), (V, None)], 0);
            let to = sketch.talker("Control", V, None);
            let all = [
                ("Summit", "One", one),
                ("Summit", "Two", two),
                ("One", "Control", 20.0),
                ("Two", "Control", 20.0),
            ];
            let network = heard(sketch, &all);
            way(&network, from, to).unwrap().told(&network)
        };
        assert_eq!(by(4.0, 8.0), "Summit → Two → Control");
        assert_eq!(by(8.0, 4.0), "Summit → One → Control");
        assert_eq!(by(8.0, 8.0), "Summit → One → Control");
    }

    #[test]
    fn what_just_arrives_on_a_poor_path_surely_arrives() {
        let arrives = |sure: f64| {
            let mut sketch = Sketch::default();
            let from = sketch.talker("Summit", U, None);
            let to = sketch.talker("Control", U, None);
            let network = heard(sketch, &[("Summit", "Control", sure)]);
            Arrives::by(ways_from(&network, from).get(&to))
        };
        assert_eq!(arrives(0.0), Arrives::Surely);
        assert_eq!(arrives(-0.1), Arrives::Perhaps);
        assert_eq!(Arrives::by(None), Arrives::No);
    }

    #[test]
    fn a_word_that_comes_back_to_its_speaker_has_got_nowhere() {
        let mut sketch = Sketch::default();
        let east = sketch.user("East", 145_050_000, 145_650_000, None);
        let town = sketch.repeater("Town", 145_050_000, 145_650_000, None, 0);
        let network = sketch.all_within_earshot(&[]);
        assert!(network.opens(SenderId(1), super::super::HearerId(0)));
        assert_eq!(
            ways_from(&network, east).into_keys().collect::<Vec<_>>(),
            [town]
        );
    }

    #[test]
    fn a_surer_way_counts_before_a_shorter_one_and_that_before_a_stronger_one() {
        let of = |hops: usize, margin: f64, from: i64| Way {
            hops: vec![
                Hop {
                    from: SenderId(0),
                    by: super::super::HearerId(0)
                };
                hops
            ],
            margin: Decibels::db(margin),
            weakest: 0,
            windows: Some(vec![Window {
                from,
                to: from + 10,
            }]),
        };
        for ((hops, margin), is_taken, begins) in [
            ((1, 3.0), true, vec![0, 50]),
            ((2, 7.0), true, vec![0, 50]),
            ((2, 5.0), false, vec![0, 50]),
            ((2, 3.0), false, vec![0, 50]),
            ((3, 9.0), false, vec![0, 50]),
            // A way that may not be relied on is no way while there is one that may.
            ((1, -1.0), false, vec![0]),
        ] {
            let mut way = of(2, 5.0, 0);
            let other = of(hops, margin, 50);
            way.or_else(other.clone());
            assert_eq!(
                (way.hops == other.hops && way.margin == other.margin),
                is_taken || (hops, margin) == (2, 5.0)
            );
            let windows: Vec<i64> = way.windows.unwrap().iter().map(|one| one.from).collect();
            assert_eq!(windows, begins, "{hops} {margin}");
        }
        // And the other way round.
        let mut way = of(1, -1.0, 0);
        way.or_else(of(3, 0.0, 50));
        assert_eq!((way.hops.len(), way.margin.as_db()), (3, 0.0));
        assert_eq!(way.windows, Some(vec![Window { from: 50, to: 60 }]));
        // Of equals the first stays.
        let mut way = of(2, 5.0, 0);
        way.weakest = 1;
        way.or_else(of(2, 5.0, 50));
        assert_eq!(way.weakest, 1);
    }

    #[test]
    fn who_hears_one_of_two_users_waits_for_them_and_who_is_not_ours_does_not_count() {
        let hidden = |also: &[(&str, &str, f64)], is_ours: bool| {
            let mut sketch = Sketch::default();
            sketch.talker("East", U, None);
            sketch.talker("West", U, None);
            sketch.relay("Hill", [(U, None), (V, None)], 0);
            Arc::make_mut(&mut sketch.network.radios)[1].is_ours = is_ours;
            let mut all = vec![("East", "Hill", 10.0), ("West", "Hill", 10.0)];
            all.extend(also);
            hidden_users(&heard(sketch, &all)).len()
        };
        assert_eq!(hidden(&[], true), 1);
        assert_eq!(hidden(&[], false), 0);
        assert_eq!(hidden(&[("East", "West", 3.0)], true), 0);
        assert_eq!(hidden(&[("West", "East", 3.0)], true), 0);
        // What only works on a good day is nothing to rely on.
        assert_eq!(hidden(&[("West", "East", -3.0)], true), 1);
    }

    #[test]
    fn a_relay_whose_operator_talks_too_is_missed_by_the_others_only() {
        let mut sketch = Sketch::default();
        let east = sketch.talker("East", U, None);
        let west = sketch.talker("West", V, None);
        let hill = sketch.relay("Hill", [(U, None), (V, None)], 0);
        let mut operator = sketch.network.senders.on_trial()[2].clone();
        operator.is_relay_side = false;
        sketch.network.senders.on_trial().push(operator);
        let network = sketch.all_within_earshot(&[]);
        assert!(way(&network, hill, east).is_some());
        assert_eq!(
            single_points(&network),
            [(hill, vec![(east, west), (west, east)])]
        );
    }

    #[test]
    fn a_need_counts_while_both_are_on_the_air() {
        let mut sketch = Sketch::default();
        let east = sketch.talker("East", U, None);
        let west = sketch.talker("West", U, None);
        let mut network = sketch.all_within_earshot(&[]);
        network.needs.push(Need {
            who: east,
            whom: west,
        });
        let shift = |from: i64, absent: &[RadioId]| Shift {
            window: Some(Window {
                from,
                to: from + 10,
            }),
            absent: absent.iter().copied().collect(),
        };
        network.shifts = vec![shift(0, &[west]), shift(10, &[]), shift(20, &[east])];
        assert!(unmet_needs(&network).is_empty());
        // Never both there: there is no time at which it could be met.
        network.shifts.remove(1);
        let unmet = unmet_needs(&network);
        assert_eq!(unmet.len(), 1);
        assert_eq!((unmet[0].there, unmet[0].back), (Arrives::No, Arrives::No));
        assert_eq!(unmet[0].windows, Some(Vec::new()));
    }

    #[test]
    fn a_box_passes_a_word_on_once_on_either_side() {
        let third = 433_550_000;
        let mut sketch = Sketch::default();
        let from = sketch.talker("Summit", U, None);
        sketch.relay("One", [(U, None), (V, None)], 0);
        sketch.relay("Two", [(V, None), (third, None)], 0);
        sketch.relay("Three", [(third, None), (V, None)], 0);
        let far = sketch.talker("Far", U, None);
        // Back to One by another relay, which would have to send on its other side meanwhile.
        let round = [
            ("Summit", "One", 10.0),
            ("One", "Two", 10.0),
            ("Two", "Three", 10.0),
            ("Three", "One", 10.0),
            ("One", "Far", 10.0),
        ];
        let network = heard(sketch, &round);
        let ways = ways_from(&network, from);
        assert_eq!(ways.len(), 3);
        assert!(!ways.contains_key(&far) && !ways.contains_key(&from));
    }

    /// Somebody in the middle hears both, and passes nothing on.
    #[test]
    fn two_are_hidden_from_each_other_at_the_input_of_a_relay_and_at_no_other_ear() {
        let mut sketch = Sketch::default();
        for name in ["East", "Middle", "West"] {
            sketch.talker(name, U, None);
        }
        let network = sketch.all_within_earshot(&[("East", "West")]);
        assert!(hidden_users(&network).is_empty());
    }
}
