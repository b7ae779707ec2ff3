//! One candidate after another, with what all of them share worked out once.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, PoisonError};

use rayon::prelude::*;

use super::tally::Tally;
use crate::assess::{asked_in, findings_in, findings_of_the_net, heard_in};
use crate::checks::Situation;
use crate::emissions::{Source, Wanted, Within};
use crate::encounter::{Encounter, Gathering, Standing};
use crate::finding::{Finding, Severity};
use crate::law::Purpose;
use crate::net::{Ends, LoadReport, Network, View};
use crate::quantity::{Decibels, Frequency};
use crate::scenario::{Channel, Legs, Plan, Proposal, Search, SearchRange, Use};
use crate::scene::{Activity, Common, Ground, Rest, Scene, Trial};

/// Judges the candidates of a search.
pub(super) struct Judge<'a> {
    pub(super) plan: &'a Plan,
    pub(super) search: &'a Search,
    pub(super) ground: Ground,
    /// The channels that each leg may lie on.
    channels: [Vec<Frequency>; 2],
    /// Those of them that the plan is on already.
    shared: [Vec<Frequency>; 2],
    /// The setting of the legs that are on no channel of the plan.
    pub(super) usual: Arc<Setting<'a>>,
    /// Settings of others, by the leg that is on a channel of the plan.
    beside: Mutex<BTreeMap<Shared, Arc<Setting<'a>>>>,
    /// What the load of the event comes to, by who hears whom: it asks neither where nor how well.
    loads: Mutex<BTreeMap<(Shared, Heard), LoadReport>>,
}

/// The legs that are on a channel of the plan, each with its channel.
type Shared = [Option<Frequency>; 2];

/// What is the same wherever the legs lie that are on no channel of the plan.
pub(super) struct Setting<'a> {
    pub(super) common: Common<'a>,
    pub(super) standing: Standing,
    pub(super) network: Network,
}

/// So many settings of legs on channels of the plan are kept; of any others each candidate has its own.
///
/// # Source
/// Choice: among a thousand neighbours each takes some dozen megabytes.
const MOST_SETTINGS: usize = 4;

/// Who hears whom with a candidate in place, as far as the candidate takes part.
type Heard = Vec<Ends>;

/// Encounters with no more margin than this, in dB, may be looked for first, and the others only where none of these hurts.
///
/// # Source
/// Choice: what is far too strong is soon found, and among many neighbours there is much of it.
const AT_FIRST: [f64; 3] = [-60.0, -40.0, -20.0];

/// Whether encounters of more margin than this change nothing that is told: all of what is at least as bad is there, so the
/// worst is, and beyond the reserve nothing counts but that and what lands on a safety service. Of what conflicts not
/// everything is counted.
fn is_enough(sum: &Tally, within: Within, reserve: Decibels) -> bool {
    let is_worst_known = sum.worst_margin.is_some_and(|worst| worst <= within.plain);
    is_worst_known && (sum.conflicts > 0 || within.plain >= reserve)
}

/// How bad the worst was of candidates that were judged, so that the next are not asked where little ends.
#[derive(Debug, Clone, Default)]
pub(super) struct Depths {
    /// How many were judged.
    judged: usize,
    /// How many of them conflicted within each of [`AT_FIRST`], and of how many the worst was within the reserve.
    ended: [usize; AT_FIRST.len() + 1],
    /// What has more margin than this changes nothing, since all that they can be paired with has conflicts as bad.
    most: Option<Decibels>,
}

impl Depths {
    /// A depth is left out where fewer than one in so many of those who come to it end there.
    ///
    /// # Source
    /// Choice: each depth takes about half as long as the next.
    const FEW: usize = 2;

    /// Counts one in.
    pub(super) fn learn(&mut self, tally: &Tally, judge: &Judge<'_>) {
        self.judged += 1;
        for (within, ended) in all_depths(judge).into_iter().zip(&mut self.ended) {
            *ended += usize::from(is_enough(tally, within, judge.reserve()));
        }
    }

    /// The same where what has more margin than this changes nothing.
    pub(super) fn at_most(&self, most: Option<Decibels>) -> Self {
        Self {
            most,
            ..self.clone()
        }
    }

    /// The margins within which encounters are looked for, one after the other until that is enough.
    fn worth_asking(&self, judge: &Judge<'_>) -> Vec<Within> {
        let mut before = 0;
        let mut depths = Vec::new();
        for (within, ended) in all_depths(judge).into_iter().zip(self.ended) {
            let came = self.judged - before;
            if self.judged == 0 || (ended - before) * Self::FEW >= came {
                depths.push(within);
                before = ended;
            }
        }
        let horizon = judge.plan.settings.horizon.value;
        let last = self.most.map_or(horizon, |most| most.min(horizon));
        depths.retain(|within| within.plain < last);
        depths.push(judge.within(last));
        depths
    }
}

/// Every depth but the horizon.
fn all_depths(judge: &Judge<'_>) -> [Within; AT_FIRST.len() + 1] {
    let [first, second, third] = AT_FIRST.map(|margin| judge.within(Decibels::db(margin)));
    [first, second, third, judge.within(judge.reserve())]
}

/// Where an absent leg lies; it does not matter.
pub(super) const ANYWHERE: Frequency = Frequency::hz(1);

impl<'a> Judge<'a> {
    /// Judges candidates with legs on these channels.
    pub(super) fn new(plan: &'a Plan, search: &'a Search, channels: [&[Frequency]; 2]) -> Self {
        Self::made((plan, search), Ground::of(plan), channels, None)
    }

    /// The same in a plan in which some of those who stand in this one's are silent, on channels that this one judges.
    pub(super) fn among_fewer<'b>(
        &self,
        plan: &'b Plan,
        search: &'b Search,
        channels: [&[Frequency]; 2],
    ) -> Judge<'b> {
        let known = Some(self.usual.as_ref());
        Judge::made((plan, search), self.ground.clone(), channels, known)
    }

    fn made(
        (plan, search): (&'a Plan, &'a Search),
        ground: Ground,
        channels: [&[Frequency]; 2],
        known: Option<&Setting<'_>>,
    ) -> Self {
        let usual = Setting::of((plan, &ground, search), [ANYWHERE; 2], channels, known);
        let mut judge = Self {
            plan,
            search,
            ground,
            channels: channels.map(<[Frequency]>::to_vec),
            shared: Default::default(),
            usual: Arc::new(usual),
            beside: Mutex::default(),
            loads: Mutex::default(),
        };
        judge.shared = channels.map(|side| {
            let there = side.iter().copied();
            there.filter(|&leg| judge.is_shared(leg)).collect()
        });
        judge
    }

    /// The setting of legs in their places.
    pub(super) fn setting(&self, legs: [Frequency; 2]) -> Arc<Setting<'a>> {
        let shared = self.shared(legs);
        if shared == [None; 2] {
            return Arc::clone(&self.usual);
        }
        let of = |at: [Frequency; 2], channels: [&[Frequency]; 2]| {
            let searched = (self.plan, &self.ground, self.search);
            Arc::new(Setting::of(searched, at, channels, Some(&self.usual)))
        };
        let [first, second] = legs.map(|leg| -> Vec<Frequency> {
            let there = [leg].into_iter();
            there.filter(|leg| *leg != ANYWHERE).collect()
        });
        let of_its_own = || of(legs, [&first, &second]);
        if shared.iter().all(Option::is_some) {
            return of_its_own();
        }
        let known = || self.beside.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(setting) = known().get(&shared) {
            return Arc::clone(setting);
        }
        if known().len() >= MOST_SETTINGS {
            return of_its_own();
        }
        let base = shared.map(|leg| leg.unwrap_or(ANYWHERE));
        let [first, second] = self.channels_beside(shared);
        // Not while others wait: making it may set this thread to another candidate.
        let made = of(base, [&first, &second]);
        Arc::clone(known().entry(shared).or_insert(made))
    }

    /// Where the legs may lie of which one is on a channel of the plan: this one there, the other on none of the plan's.
    fn channels_beside(&self, shared: Shared) -> [Vec<Frequency>; 2] {
        let mut sides = self.channels.clone();
        for (side, leg) in sides.iter_mut().zip(shared) {
            side.retain(|&channel| {
                leg.map_or_else(|| !self.is_shared(channel), |leg| leg == channel)
            });
        }
        sides
    }

    /// What rests on exactly the legs of each focus, with the legs of `present` on the air.
    ///
    /// Where something conflicts, what is milder than the worst of it may be left out: its numbers are then too small.
    pub(super) fn tally(&self, placed: Placed<'_>, depths: &Depths) -> Tally {
        self.tally_at(&depths.worth_asking(self), placed, |_, _| ())
            .0
    }

    /// The same of one leg, with what of it holds beside each channel of the plan that the other leg may lie on, in their order:
    /// that changes who is keyed with whom among those alone who are in a net with the legs.
    /// Without depths no more than a glance is taken at it: it may be worse.
    pub(super) fn tally_of_leg(
        &self,
        placed: Placed<'_>,
        depths: Option<&Depths>,
    ) -> (Tally, Vec<Tally>) {
        let (legs, present, _) = placed;
        let others = self.shared_of(if present == Legs::SECOND {
            Legs::FIRST
        } else {
            Legs::SECOND
        });
        let nets: Vec<Option<usize>> = if others.is_empty() {
            Vec::new()
        } else {
            let common = &self.setting(legs).common;
            others.iter().map(|&other| common.net_on(other)).collect()
        };
        let look = |scene: &Scene<'_>, situations: &mut [Situation<'_>]| {
            let mut firm: BTreeMap<Option<usize>, Tally> = BTreeMap::new();
            for &net in &nets {
                firm.entry(net)
                    .or_insert_with(|| beyond_nets(scene, situations, net));
            }
            let of = |net| firm.get(net).cloned().unwrap_or_default();
            nets.iter().map(of).collect()
        };
        match depths {
            Some(depths) => self.tally_at(&depths.worth_asking(self), placed, look),
            None => self.glance(placed, look),
        }
    }

    /// What is soon found of what is far too strong: no better than this can it be.
    fn glance<T>(
        &self,
        (legs, present, focuses): Placed<'_>,
        look: impl FnOnce(&Scene<'_>, &mut [Situation<'_>]) -> T,
    ) -> (Tally, T) {
        let [first, ..] = AT_FIRST;
        let within = self.within(Decibels::db(first));
        self.on_air(legs, present, focuses, |gathering, situations| {
            let mut found = Vec::new();
            for situation in situations.iter_mut() {
                let focus = situation.focus;
                found.extend(asked_in(situation));
                situation.met = gathering.meet_at_a_glance(Wanted { focus, within }).into();
                found.extend(heard_in(situation));
            }
            (Tally::of(&found), look(gathering.scene(), situations))
        })
    }

    /// The same with only those encounters whose margin is within a limit.
    pub(super) fn tally_within(
        &self,
        within: Within,
        legs: [Frequency; 2],
        present: Legs,
        focuses: &[Legs],
    ) -> Tally {
        self.tally_at(&[within], (legs, present, focuses), |_, _| ())
            .0
    }

    /// The same, the worst first.
    pub(super) fn tally_down_to(&self, last: Within, placed: Placed<'_>) -> Tally {
        let depths = all_depths(self).into_iter();
        let depths = depths.filter(|within| within.plain < last.plain);
        let depths: Vec<Within> = depths.chain([last]).collect();
        self.tally_at(&depths, placed, |_, _| ()).0
    }

    /// The same with encounters of more and more margin, until nothing that follows could matter; and what else is to be seen
    /// in what was met then.
    fn tally_at<T>(
        &self,
        depths: &[Within],
        (legs, present, focuses): Placed<'_>,
        look: impl FnOnce(&Scene<'_>, &mut [Situation<'_>]) -> T,
    ) -> (Tally, T) {
        self.on_air(legs, present, focuses, |gathering, situations| {
            let asked = situations.iter().flat_map(asked_in);
            let asked = Tally::of(&asked.collect::<Vec<_>>());
            let mut sum = asked.clone();
            for &within in depths {
                sum = asked.clone();
                for situation in situations.iter_mut() {
                    let focus = situation.focus;
                    situation.met = gathering.meet(Wanted { focus, within }).into();
                    sum = sum.and(&Tally::of(&heard_in(situation)));
                }
                if is_enough(&sum, within, self.reserve()) {
                    break;
                }
            }
            (sum, look(gathering.scene(), situations))
        })
    }

    /// The conflicts that rest on exactly the legs of each focus, with the scene they arise in; of encounters those whose
    /// margin is within a limit.
    pub(super) fn conflicts<T>(
        &self,
        (legs, present, focuses): Placed<'_>,
        within: Decibels,
        look: impl FnOnce(&Scene<'_>, Vec<Finding>) -> T,
    ) -> T {
        self.on_air(legs, present, focuses, |gathering, situations| {
            let mut found = Vec::new();
            for situation in situations.iter_mut() {
                let focus = situation.focus;
                let within = self.within(within);
                situation.met = gathering.meet(Wanted { focus, within }).into();
                found.extend(findings_in(situation));
            }
            found.retain(|finding| finding.severity == Severity::Conflict);
            look(gathering.scene(), found)
        })
    }

    /// The conflicts of a whole candidate with the net; what adds up in a receiver is no conflict.
    pub(super) fn conflicts_of_the_net<T>(
        &self,
        (legs, present, _): Placed<'_>,
        look: impl FnOnce(&Scene<'_>, Vec<Finding>) -> T,
    ) -> T {
        self.on_air(legs, present, &[present], |gathering, situations| {
            let mut found = Vec::new();
            for situation in situations {
                if let Some(view) = situation.net.take() {
                    situation.net = self.having_run(view, legs).into();
                }
                found.extend(findings_of_the_net(situation));
            }
            found.retain(|finding| finding.severity == Severity::Conflict);
            look(gathering.scene(), found)
        })
    }

    /// A network among those who stand, with what its load comes to, worked out once for all candidates of which the same hear each
    /// other.
    pub(super) fn having_run(&self, view: View, legs: [Frequency; 2]) -> View {
        let heard: Heard = view.network.heard.own().map(|(ends, _)| ends).collect();
        let heard = (self.shared(legs), heard);
        let known = self
            .loads
            .lock()
            .ok()
            .and_then(|loads| loads.get(&heard).cloned());
        if let Some(load) = known {
            return view.having_run(load);
        }
        let load = view.load(self.plan).clone();
        if let Ok(mut loads) = self.loads.lock() {
            loads.insert(heard, load);
        }
        view
    }

    /// Puts legs on the air, with a situation for each focus in which nobody has been heard yet.
    fn on_air<T>(
        &self,
        legs: [Frequency; 2],
        present: Legs,
        focuses: &[Legs],
        look: impl FnOnce(&Gathering<'_>, &mut [Situation<'_>]) -> T,
    ) -> T {
        let proposal = proposal(self.search, legs);
        let whole = Trial::whole(&proposal);
        let setting = self.setting(legs);
        let scene = setting.common.scene(legs, present);
        let mut situations: Vec<Situation<'_>> = focuses
            .iter()
            .map(|&focus| {
                let view = View::among(&setting.network, &scene, Some(whole));
                Situation::having_met(&scene, Some(&proposal), focus, (Vec::new(), view))
            })
            .collect();
        look(&setting.standing.gather(&scene), &mut situations)
    }

    /// Whether the plan is on a channel of one of the legs already.
    pub(super) fn shares(&self, legs: [Frequency; 2]) -> bool {
        self.shared(legs).iter().any(Option::is_some)
    }

    /// The channels that the plan is on already, of those that a leg may lie on.
    pub(super) fn shared_of(&self, leg: Legs) -> &[Frequency] {
        let [first, second] = &self.shared;
        if leg == Legs::SECOND { second } else { first }
    }

    fn shared(&self, legs: [Frequency; 2]) -> Shared {
        legs.map(|leg| Some(leg).filter(|&leg| leg != ANYWHERE && self.is_shared(leg)))
    }

    /// Whether the plan is on a channel already, or waits there for somebody: who is keyed with whom then hangs on it.
    pub(super) fn is_shared(&self, leg: Frequency) -> bool {
        let is_awaited = matches!(self.search.range, SearchRange::Watch(_))
            && (self.plan.in_use.iter()).any(|entry| entry.output == Some(leg));
        is_awaited || self.plan.is_on(leg)
    }

    /// What is further off than this, and further than the worst, matters only where a safety service listens.
    pub(super) const fn reserve(&self) -> Decibels {
        self.plan.settings.reserve.value
    }

    /// What has no more margin than this, and all else that is told as bad: what lands on a safety service's channel is a caution
    /// within the whole horizon. What nobody escapes is never more than a note, nor is what would not hurt somebody of whom
    /// nobody knows where he listens.
    pub(super) fn within(&self, margin: Decibels) -> Within {
        let horizon = self.plan.settings.horizon.value;
        Within {
            plain: margin,
            safety: if margin < self.reserve() {
                margin
            } else {
                horizon
            },
            somewhere: margin.min(Decibels::ZERO),
            nearby: Decibels::db(f64::NEG_INFINITY),
        }
    }

    /// Within which margins something more could change what is told of a candidate.
    pub(super) fn within_which_more_matters(&self, known: &Tally) -> Within {
        let horizon = self.plan.settings.horizon.value;
        let worst = known.worst_margin.unwrap_or(horizon);
        self.within(if known.conflicts > 0 {
            worst
        } else {
            worst.max(self.reserve()).min(horizon)
        })
    }

    /// Margins that differ by less count as equal.
    pub(super) fn coarse(&self) -> Decibels {
        self.plan.settings.reserve.value
    }

    /// How well the band plan likes some channels, together.
    pub(super) fn preference(&self, legs: &[Frequency]) -> i32 {
        let purpose = match self.search.range {
            SearchRange::CrossBand(_) => Purpose::CrossBandRelay,
            // Listening needs nobody's leave.
            SearchRange::Watch(_) => return 0,
            SearchRange::Talk(_) => Purpose::Simplex,
        };
        legs.iter()
            .map(|&leg| self.plan.law.preference(leg, purpose).0)
            .sum()
    }
}

/// What is heard where nobody has a part of those who stand in a net with what is under trial, or in this one.
fn beyond_nets(scene: &Scene<'_>, situations: &mut [Situation<'_>], net: Option<usize>) -> Tally {
    let senders = scene.transmitters.from(scene.transmitters.standing());
    let senders = senders.map(|(_, one)| one.activity.net);
    let hearers = scene.receivers.from(scene.receivers.standing());
    let hearers = hearers.map(|(_, one)| one.activity.net);
    let nets: BTreeSet<usize> = senders.chain(hearers).chain(net).collect();
    // Who depends on nobody is in none.
    let is_in = |activity: &Activity| activity.net != usize::MAX && nets.contains(&activity.net);
    let is_beyond = |legs: Legs, activity: &Activity| !legs.is_none() || !is_in(activity);
    let hears_beyond = |index: usize| {
        let receiver = scene.receivers.get(index);
        receiver.is_some_and(|one| is_beyond(one.legs, &one.activity))
    };
    let is_met_beyond = |one: &&Encounter| {
        hears_beyond(one.receiver)
            && one.line.terms.iter().all(|&(source, _)| match source {
                Source::Transmitter(index) => {
                    let sender = scene.transmitters.get(index);
                    sender.is_some_and(|one| is_beyond(one.legs, &one.activity))
                }
                Source::Oscillator(index) | Source::Reference(index) => hears_beyond(index),
            })
    };
    let mut found = Vec::new();
    for situation in situations {
        let all = std::mem::take(&mut situation.met);
        let beyond = all.get().into_iter().flatten().filter(is_met_beyond);
        situation.met = beyond.cloned().collect::<Vec<_>>().into();
        found.extend(heard_in(situation));
        situation.met = all;
    }
    Tally {
        // What else the two legs bring may change these.
        cautions: 0,
        ..Tally::of(&found)
    }
}

/// A search of a plan.
type Searched<'s, 'a> = (&'a Plan, &'s Ground, &'s Search);

impl<'a> Setting<'a> {
    /// The setting of legs in some places, and on these channels where the plan is on none of them.
    fn of(
        searched: Searched<'_, 'a>,
        at: [Frequency; 2],
        channels: [&[Frequency]; 2],
        known: Option<&Setting<'_>>,
    ) -> Self {
        let (plan, ground, search) = searched;
        let proposal = proposal(search, at);
        let trial = Some(Trial::whole(&proposal));
        let common = Common::built(ground, plan, trial);
        let [one, other] = at;
        let [first, second] = channels;
        let with_first = |&leg: &Frequency| common.scene([leg, other], Legs::FIRST);
        let with_second = |&leg: &Frequency| common.scene([one, leg], Legs::SECOND);
        let scenes = first.par_iter().map(with_first);
        let scenes: Vec<Scene<'_>> = scenes.chain(second.par_iter().map(with_second)).collect();
        let nobody = common.scene(at, Legs::NONE);
        let known = known.map(|known| (known, known.common.scene(at, Legs::NONE)));
        let rest = known.as_ref();
        let rest = rest.and_then(|(_, scene)| Rest::of(&nobody, scene));
        let (standing, network) = match known.zip(rest) {
            Some(((known, scene), _)) if scene.stands_like(&nobody) => rayon::join(
                || Standing::like(&known.standing, &scene, &scenes),
                || Network::like(&known.network, &nobody, trial),
            ),
            Some(((known, scene), rest)) => rayon::join(
                || Standing::left(&known.standing, &scene, (&rest, &scenes)),
                || Network::left(&known.network, &rest, &nobody, trial),
            ),
            None => rayon::join(|| Standing::of(&scenes), || Network::of(&nobody, trial)),
        };
        Self {
            common,
            standing,
            network,
        }
    }
}

/// Where both legs of a candidate lie, which of them there are, and what a finding of it may rest on.
pub(super) type Placed<'a> = ([Frequency; 2], Legs, &'a [Legs]);

/// One leg of a candidate by itself.
pub(super) fn alone(frequency: Frequency, leg: Legs) -> Placed<'static> {
    if leg == Legs::SECOND {
        ([ANYWHERE, frequency], Legs::SECOND, &[Legs::SECOND])
    } else {
        ([frequency, ANYWHERE], Legs::FIRST, &[Legs::FIRST])
    }
}

/// A candidate in its place; none where it has no legs, or more than two.
pub(super) fn placed(legs: &[Frequency]) -> Option<Placed<'static>> {
    match *legs {
        [first, second] => {
            let all: &[Legs] = &[Legs::FIRST, Legs::SECOND, Legs::BOTH];
            Some(([first, second], Legs::BOTH, all))
        }
        [first] => Some(([first, ANYWHERE], Legs::FIRST, &[Legs::FIRST])),
        _ => None,
    }
}

/// What one station would do on some channels; a search for one channel takes the first.
pub(super) fn proposal(search: &Search, legs: [Frequency; 2]) -> Proposal {
    let legs = legs.map(|frequency| Channel {
        frequency,
        tone: search.tone,
    });
    let [first, _] = &legs;
    let first = first.clone();
    let what = match &search.range {
        SearchRange::CrossBand(_) => Use::CrossBand { legs },
        SearchRange::Watch(_) => Use::Watch {
            channel: first,
            wanted: None,
            from: None,
        },
        SearchRange::Talk(_) => Use::Talk {
            transmit: first.clone(),
            receive: first,
            purpose: Purpose::Simplex,
        },
    };
    Proposal {
        name: search.name.clone(),
        station: search.station,
        what,
        place: "search".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::sample::{CROWDED, plan};

    fn tally(conflicts: usize, worst: Option<f64>) -> Tally {
        Tally {
            conflicts,
            worst_margin: worst.map(Decibels::db),
            ..Tally::default()
        }
    }

    /// The relay's own channel, one that is free, and one that the third harmonic of the relay is on.
    const LEGS: [i64; 3] = [433_450_000, 433_550_000, 435_675_000];

    /// The crowded hill with a reserve of 6 dB and a horizon of 20 dB.
    fn asked<T>(look: impl FnOnce(&Judge<'_>) -> T) -> T {
        let search = "search:\n  - {name: pair, station: Control, cross_band: [433.0-434.0, 144.7-146.0], step: 12.5 kHz}\n";
        let mut plan = plan(&format!("{CROWDED}{search}"));
        plan.settings.reserve.value = Decibels::db(6.0);
        plan.settings.horizon.value = Decibels::db(20.0);
        look(&Judge::new(
            &plan,
            &plan.searches[0],
            [&LEGS.map(Frequency::hz), &[]],
        ))
    }

    /// The relay is on 433.45 and 145.225.
    #[test]
    fn beside_a_channel_of_the_plan_the_other_leg_lies_on_none_of_the_plan_s() {
        let search = "search:\n  - {name: pair, station: Control, cross_band: [433.0-434.0, 144.7-146.0], step: 12.5 kHz}\n";
        let plan = plan(&format!("{CROWDED}{search}"));
        let first = LEGS.map(Frequency::hz);
        let second = [145_225_000, 145_350_000].map(Frequency::hz);
        let judge = Judge::new(&plan, &plan.searches[0], [&first, &second]);
        assert_eq!(
            judge.channels_beside([Some(first[0]), None]),
            [vec![first[0]], vec![second[1]]]
        );
        assert_eq!(
            judge.channels_beside([None, Some(second[0])]),
            [vec![first[1], first[2]], vec![second[0]]]
        );
    }

    /// All that is as bad as the worst is known once it was asked for down to there; of what is safe also all within the reserve.
    #[test]
    fn it_is_enough_once_the_worst_is_known_and_all_that_could_still_count() {
        asked(|judge| {
            let is_enough = |conflicts, worst, within| {
                let within = judge.within(Decibels::db(within));
                is_enough(&tally(conflicts, worst), within, judge.reserve())
            };
            assert!(is_enough(1, Some(-30.0), -30.0));
            assert!(is_enough(1, Some(-30.0), -20.0));
            // The worst lies further, or there was none: the law may refuse what nobody hears.
            assert!(!is_enough(1, Some(-10.0), -20.0));
            assert!(!is_enough(1, None, -20.0) && !is_enough(1, None, 20.0));
            // Something safe is only told once the reserve is looked through.
            assert!(!is_enough(0, Some(2.0), 5.9));
            assert!(is_enough(0, Some(2.0), 6.0) && is_enough(0, Some(6.0), 6.0));
            assert!(!is_enough(0, Some(6.1), 6.0) && !is_enough(0, None, 6.0));
        });
    }

    /// By the choice that a depth is worth it where at least one in two of those who come to it end there.
    #[test]
    fn a_depth_is_asked_for_where_enough_of_those_before_ended_there() {
        asked(|judge| {
            let after = |worsts: &[f64], most: Option<f64>| -> Vec<f64> {
                let mut depths = Depths::default();
                for &worst in worsts {
                    depths.learn(&tally(1, Some(worst)), judge);
                }
                let depths = depths.at_most(most.map(Decibels::db)).worth_asking(judge);
                depths.iter().map(|within| within.plain.as_db()).collect()
            };
            assert_eq!(after(&[], None), [-60.0, -40.0, -20.0, 6.0, 20.0]);
            // All end at the second depth; to those behind nobody comes.
            assert_eq!(after(&[-50.0; 4], None), [-40.0, -20.0, 6.0, 20.0]);
            // One of four, one of three: too few. Two of four are enough, and of the two that are left none ends before the last.
            assert_eq!(after(&[-70.0, 15.0, 15.0, 15.0], None), [20.0]);
            assert_eq!(after(&[-70.0, 15.0, 15.0], None), [20.0]);
            assert_eq!(after(&[-70.0, -70.0, 15.0, 15.0], None), [-60.0, 20.0]);
            // Two of five do not do at the first depth; with one more they do at the third.
            assert_eq!(
                after(&[-70.0, -70.0, -30.0, 15.0, 15.0], None),
                [-20.0, 20.0]
            );
            // Beyond what can matter nothing is asked for, and just there once.
            assert_eq!(after(&[], Some(-20.0)), [-60.0, -40.0, -20.0]);
            assert_eq!(after(&[], Some(-50.0)), [-60.0, -50.0]);
            assert_eq!(after(&[-50.0; 4], Some(-30.0)), [-40.0, -30.0]);
            assert_eq!(after(&[], Some(50.0)), [-60.0, -40.0, -20.0, 6.0, 20.0]);
        });
    }

    #[test]
    fn within_the_reserve_and_beyond_it_a_safety_service_counts_as_far_as_the_horizon() {
        asked(|judge| {
            let within = |margin: f64| {
                let within = judge.within(Decibels::db(margin));
                [within.plain, within.safety, within.somewhere].map(Decibels::as_db)
            };
            let same = |one: [f64; 3], other: [f64; 3]| {
                one.iter()
                    .zip(other)
                    .all(|(one, other)| (one - other).abs() < 1e-9)
            };
            assert!(same(within(-20.0), [-20.0, -20.0, -20.0]));
            assert!(same(within(5.9), [5.9, 5.9, 0.0]));
            assert!(same(within(6.0), [6.0, 20.0, 0.0]));
            assert!(same(within(20.0), [20.0, 20.0, 0.0]));
            let more_matters = |conflicts, worst| {
                let known = tally(conflicts, worst);
                judge.within_which_more_matters(&known).plain.as_db()
            };
            // What conflicts: only what is worse. What does not: all within the reserve, and what is worse than the worst.
            assert!((more_matters(1, Some(-30.0)) + 30.0).abs() < 1e-9);
            assert!((more_matters(1, None) - 20.0).abs() < 1e-9);
            assert!((more_matters(0, Some(2.0)) - 6.0).abs() < 1e-9);
            assert!((more_matters(0, Some(9.0)) - 9.0).abs() < 1e-9);
            assert!((more_matters(0, None) - 20.0).abs() < 1e-9);
        });
    }

    /// What rests on one leg is looked for down to any depth, the worst first: the same worst is found.
    #[test]
    fn what_is_looked_for_first_changes_neither_the_worst_nor_whether_anything_conflicts() {
        asked(|judge| {
            for hertz in LEGS {
                let placed = alone(Frequency::hz(hertz), Legs::FIRST);
                let all = judge.tally(placed, &Depths::default().at_most(None));
                let whole = judge.tally_within(
                    judge.within(Decibels::db(20.0)),
                    placed.0,
                    placed.1,
                    placed.2,
                );
                let last = judge.within(Decibels::db(20.0));
                let down_to = judge.tally_down_to(last, placed);
                for one in [&all, &down_to] {
                    assert_eq!(one.worst_margin, whole.worst_margin, "{hertz}");
                    assert_eq!(one.conflicts > 0, whole.conflicts > 0, "{hertz}");
                    assert!(one.conflicts <= whole.conflicts && one.cautions <= whole.cautions);
                }
                // No further than to a margin: nothing that is milder.
                let near = judge.tally_down_to(judge.within(Decibels::db(-40.0)), placed);
                let is_worse = whole
                    .worst_margin
                    .filter(|worst| *worst <= Decibels::db(-40.0));
                assert_eq!(near.worst_margin, is_worse, "{hertz}");
            }
        });
    }

    /// The first depth at which it is enough is the last that is asked for: what is milder is not counted.
    #[test]
    fn down_to_a_margin_no_more_is_counted_than_what_the_first_depth_finds_that_is_enough() {
        asked(|judge| {
            let mut fewer = 0;
            for hertz in LEGS {
                let (legs, present, focuses) = alone(Frequency::hz(hertz), Legs::FIRST);
                let at = |margin: f64| {
                    let within = judge.within(Decibels::db(margin));
                    let sum = judge.tally_within(within, legs, present, focuses);
                    (is_enough(&sum, within, judge.reserve()), sum)
                };
                let depths = [-60.0, -40.0, -20.0, 6.0, 20.0].map(at);
                let whole = depths.last().unwrap().1.clone();
                let expected = depths.into_iter().find(|(is_it, _)| *is_it);
                let expected = expected.map_or_else(|| whole.clone(), |(_, sum)| sum);
                let last = judge.within(Decibels::db(20.0));
                let found = judge.tally_down_to(last, alone(Frequency::hz(hertz), Legs::FIRST));
                assert_eq!(found, expected, "{hertz}");
                fewer += usize::from(found.conflicts < whole.conflicts);
            }
            assert!(fewer > 0);
        });
    }

    const HEARS: &str = "
settings: {order: 3}
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
  field: {at: [54.4571, -0.6033], ground: 20 m}
stations:
  - {name: Relay, site: hill, radio: dual-band-mobile}
  - {name: Field, site: field, radio: dual-band-mobile, cross_band: [433.4500, 144.8000]}
  - {name: Other, site: field, radio: mobile-2m, talk: 145.2250}
in_use:
  - {name: Town, frequency: 145.6500, erp: 25 W, at: [54.33, -0.43], antenna: 30 m}
  - {name: Coast, frequency: 433.2250, erp: 25 W, at: [54.33, -0.43], antenna: 30 m}
  - {name: Same, frequency: 144.8000, erp: 5 W, at: [54.33, -0.43], antenna: 30 m}
  - {name: Shared, frequency: 433.4500, erp: 5 W, at: [54.33, -0.43], antenna: 30 m}
search:
  - {name: pair, station: Relay, cross_band: [433.0-434.0, 144.7-146.0], step: 12.5 kHz}
  - {name: one, station: Relay, watch: 144.7-146.0, step: 12.5 kHz}
";

    /// Whatever the one leg shares with the plan, what others send is met on both.
    #[test]
    fn on_a_leg_and_beside_it_the_same_carriers_of_others_are_met_as_when_the_pair_is_judged_by_itself()
     {
        let plan = plan(HEARS);
        let search = &plan.searches[0];
        let mhz = |hertz: i64| Frequency::hz(hertz);
        let pairs = [
            [433_450_000, 145_650_000],
            [433_225_000, 144_800_000],
            [433_550_000, 144_800_000],
            [433_450_000, 144_800_000],
            [433_225_000, 145_650_000],
        ];
        for legs in pairs {
            let legs = legs.map(mhz);
            let [first, second] = legs;
            let judge = Judge::new(&plan, search, [&[first], &[second]]);
            let met = |judge: &Judge<'_>| {
                let all: &[Legs] = &[Legs::FIRST, Legs::SECOND, Legs::BOTH];
                let told =
                    |_: &Scene<'_>, found: Vec<Finding>| -> Vec<(String, Option<Decibels>)> {
                        let told = |one: &Finding| {
                            let by = one.sources.iter().map(|term| term.name.as_str());
                            let by = by.collect::<Vec<_>>().join(", ");
                            let whom = one.victim.as_ref().map_or("", |one| one.station.as_str());
                            (format!("{}: {by} at {whom}", one.check), one.margin)
                        };
                        let mut told: Vec<_> = found.iter().map(told).collect();
                        told.sort();
                        told
                    };
                judge.conflicts((legs, Legs::BOTH, all), Decibels::ZERO, told)
            };
            let found = met(&judge);
            let trial = proposal(search, legs);
            let alone = crate::assess::judge(&plan, Some(&trial)).findings;
            let alone = alone
                .iter()
                .filter(|one| one.severity == Severity::Conflict);
            let alone = alone.filter(|one| {
                !crate::checks::WHOLE
                    .iter()
                    .any(|check| check.topic.id == one.check)
            });
            assert_eq!(found.len(), alone.count(), "{legs:?}: {found:?}");
            let by = |name: &str| {
                found
                    .iter()
                    .any(|one| one.0.contains(&format!(": {name} at Relay")))
            };
            assert_eq!(
                by("Town"),
                second == mhz(145_650_000),
                "{legs:?}: {found:?}"
            );
            assert_eq!(
                by("Same"),
                second == mhz(144_800_000),
                "{legs:?}: {found:?}"
            );
            assert_eq!(
                by("Coast"),
                first == mhz(433_225_000),
                "{legs:?}: {found:?}"
            );
            assert_eq!(
                by("Shared"),
                first == mhz(433_450_000),
                "{legs:?}: {found:?}"
            );
        }
    }

    /// Settings are kept by the leg that is shared, a few of them; where both are, or none, it is another matter.
    #[test]
    fn a_setting_serves_all_whose_one_leg_is_on_the_same_channel_of_the_plan() {
        let plan = plan(HEARS);
        let (first, second) = (
            [433_225_000, 433_450_000, 433_550_000].map(Frequency::hz),
            [144_800_000, 145_225_000, 145_650_000].map(Frequency::hz),
        );
        let judge = Judge::new(&plan, &plan.searches[0], [&first, &second]);
        let setting = |one: usize, other: usize| judge.setting([first[one], second[other]]);
        for (one, other) in [(0, 2), (2, 2)] {
            assert!(Arc::ptr_eq(&setting(one, other), &judge.usual));
        }
        assert!(Arc::ptr_eq(&setting(0, 0), &setting(2, 0)));
        assert!(!Arc::ptr_eq(&setting(0, 0), &setting(0, 1)));
        assert!(!Arc::ptr_eq(&setting(0, 0), &judge.usual));
        assert!(!Arc::ptr_eq(&setting(1, 2), &setting(0, 0)));
        // With both legs there nothing that is kept holds.
        assert!(!Arc::ptr_eq(&setting(1, 0), &setting(1, 0)));
        let kept = judge.beside.lock().unwrap().len();
        assert_eq!(kept, 3);
    }

    /// Somebody who listens is keyed with whoever is heard there, be it somebody else's.
    #[test]
    fn a_channel_is_shared_that_the_plan_is_on_and_to_listen_also_one_that_others_send_on() {
        let plan = plan(HEARS);
        let is_shared = |search: usize, hertz: i64| {
            let judge = Judge::new(&plan, &plan.searches[search], [&[], &[]]);
            judge.is_shared(Frequency::hz(hertz))
        };
        for (hertz, to_send, to_hear) in [
            (145_225_000, true, true),
            (145_650_000, false, true),
            (145_300_000, false, false),
        ] {
            assert_eq!(
                (is_shared(0, hertz), is_shared(1, hertz)),
                (to_send, to_hear)
            );
        }
    }
}
