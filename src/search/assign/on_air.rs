//! The open channels on the air: every cost comes from the findings that `assess` gives.

use std::collections::BTreeMap;
use std::sync::Mutex;

use rayon::prelude::*;

use super::board::Board;
use super::solve::{Choice, Task, Toll};
use super::toll::Price;
use crate::assess::{findings, findings_in};
use crate::checks::Situation;
use crate::finding::Finding;
use crate::law::Purpose;
use crate::quantity::Frequency;
use crate::scenario::{
    Aim, Assign, Channel, Choosing, Legs, OpenChannel, Plan, SearchRange, StationUse, Use,
};
use crate::scene::{Ground, Scene};
use crate::search::tally::Tally;
use crate::search::watch::Watch;

/// The open channels in their plan.
pub(super) struct OnAir<'a> {
    /// The plan without what is put to it.
    plan: Plan,
    assign: &'a Assign,
    board: &'a Board,
    /// By channel.
    tones: &'a [Option<u32>],
    ground: Ground,
    /// By frequency that is open and place: what it costs alone.
    alone: Vec<Vec<Price>>,
    /// What rests on two choices and needs both.
    pairs: Mutex<BTreeMap<(Choice, Choice), Price>>,
}

impl<'a> OnAir<'a> {
    pub(super) fn new(
        plan: &Plan,
        assign: &'a Assign,
        board: &'a Board,
        tones: &'a [Option<u32>],
        watch: &Watch,
    ) -> Self {
        let mut on_air = Self {
            plan: Plan {
                proposals: Vec::new(),
                searches: Vec::new(),
                assign: None,
                defaults: Vec::new(),
                ..plan.clone()
            },
            assign,
            board,
            tones,
            ground: Ground::of(plan),
            alone: Vec::new(),
            pairs: Mutex::new(BTreeMap::new()),
        };
        on_air.alone = (0..board.legs.len())
            .map(|variable| on_air.each_alone(variable, watch))
            .collect();
        on_air
    }

    fn each_alone(&self, variable: usize, watch: &Watch) -> Vec<Price> {
        let places = self
            .board
            .legs
            .get(variable)
            .map_or(0, |leg| leg.places.len());
        let liked: Vec<i32> = (0..places)
            .map(|value| self.liking(Choice { variable, value }))
            .collect();
        let best = liked.iter().copied().max().unwrap_or(0);
        liked
            .into_par_iter()
            .enumerate()
            .map(|(value, liking)| {
                let choice = Choice { variable, value };
                let dislike = usize::try_from(best.saturating_sub(liking)).unwrap_or(0);
                if watch.is_stopped() {
                    // Nothing is less, so what is said to be left is no less than what is.
                    return Price::nothing();
                }
                watch.did(1);
                self.price(&[(choice, Choosing::Tried(Legs::FIRST))], Legs::FIRST)
                    .at(self.changes(choice), dislike)
            })
            .collect()
    }

    /// What it costs that rests on exactly the legs of the focus.
    fn price(&self, choices: &[(Choice, Choosing)], focus: Legs) -> Price {
        let plan = self.filled(choices);
        let scene = Scene::on(&self.ground, &plan, None);
        let tally = Tally::of(&findings_in(&Situation::brief(&scene, None, focus)));
        Price::of(&tally, self.plan.settings.reserve.value)
    }

    fn channel(&self, choice: Choice) -> Option<(&OpenChannel, usize)> {
        let leg = self.board.legs.get(choice.variable)?;
        Some((self.assign.channels.get(leg.channel)?, leg.which))
    }

    /// How well the band plan likes a place.
    fn liking(&self, choice: Choice) -> i32 {
        let at = self.channel(choice).zip(self.board.frequency(choice));
        at.map_or(0, |((open, _), frequency)| {
            liking(&self.plan, open, frequency)
        })
    }

    fn changes(&self, choice: Choice) -> usize {
        let was = self
            .channel(choice)
            .and_then(|(open, leg)| open.last_year.get(leg));
        let is_changed = was.is_some() && was.copied() != self.board.frequency(choice);
        usize::from(is_changed && self.assign.aim == Aim::FewestChanges)
    }

    /// The plan with some choices in place, each standing as it says.
    pub(super) fn filled(&self, choices: &[(Choice, Choosing)]) -> Plan {
        let mut plan = self.plan.clone();
        for (index, open) in self.assign.channels.iter().enumerate() {
            let leg = |which: usize| {
                choices.iter().find_map(|&(choice, choosing)| {
                    let leg = self.board.legs.get(choice.variable)?;
                    ((leg.channel, leg.which) == (index, which))
                        .then_some((self.board.frequency(choice)?, choosing))
                })
            };
            let legs = [leg(0), leg(1)];
            if legs == [None, None] {
                continue;
            }
            let tone = self.tones.get(index).copied().flatten();
            let what = what(open, legs.map(|leg| leg.map(|(at, _)| at)), tone);
            for &station in &open.stations {
                if let Some(station) = plan.stations.get_mut(station) {
                    station.uses.push(StationUse {
                        what: what.clone(),
                        place: open.place.clone(),
                        choosing: legs
                            .map(|leg| leg.map_or(Choosing::Absent, |(_, choosing)| choosing)),
                    });
                }
            }
        }
        plan
    }

    /// What rests on exactly the legs of the focus, in full.
    fn found(&self, choices: &[(Choice, Choosing)], focus: Legs) -> Vec<Finding> {
        let plan = self.filled(choices);
        findings(&Scene::on(&self.ground, &plan, None), None, &[focus])
    }

    /// What rests on one channel of a whole plan.
    pub(super) fn found_of_channel(&self, choices: &[Choice], channel: usize) -> Vec<Finding> {
        let stand = |&choice: &Choice| {
            let is_it = self
                .board
                .legs
                .get(choice.variable)
                .is_some_and(|leg| leg.channel == channel);
            let choosing = if is_it {
                Choosing::Tried(Legs::FIRST)
            } else {
                Choosing::Settled
            };
            (choice, choosing)
        };
        self.found(&choices.iter().map(stand).collect::<Vec<_>>(), Legs::FIRST)
    }

    /// What rests on both of two choices, worked out once.
    fn pair(&self, one: Choice, other: Choice) -> Price {
        let key = (one.min(other), one.max(other));
        let known = self
            .pairs
            .lock()
            .ok()
            .and_then(|pairs| pairs.get(&key).cloned());
        if let Some(known) = known {
            return known;
        }
        let choices = [
            (key.0, Choosing::Tried(Legs::FIRST)),
            (key.1, Choosing::Tried(Legs::SECOND)),
        ];
        let price = self.price(&choices, Legs::BOTH);
        if let Ok(mut pairs) = self.pairs.lock() {
            pairs.insert(key, price.clone());
        }
        price
    }
}

/// How well the band plan likes a channel at a place.
pub(super) fn liking(plan: &Plan, open: &OpenChannel, frequency: Frequency) -> i32 {
    let purpose = match open.range {
        SearchRange::CrossBand(_) => Purpose::CrossBandRelay,
        // Listening needs nobody's leave.
        SearchRange::Watch(_) => return 0,
        SearchRange::Talk(_) => Purpose::Simplex,
    };
    plan.law.preference(frequency, purpose).0
}

/// What a station does on an open channel; a leg that is not chosen lies anywhere.
fn what(open: &OpenChannel, legs: [Option<Frequency>; 2], tone: Option<u32>) -> Use {
    let [first, second] = legs.map(|frequency| Channel {
        frequency: frequency.unwrap_or_default(),
        tone,
    });
    match open.range {
        SearchRange::CrossBand(_) => Use::CrossBand {
            legs: [first, second],
        },
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
    }
}

impl Task for OnAir<'_> {
    type Toll = Price;

    fn sizes(&self) -> Vec<usize> {
        self.board.legs.iter().map(|leg| leg.places.len()).collect()
    }

    fn permits(&self, choice: Choice) -> bool {
        let mut all = self.board.requirements.iter();
        all.all(|one| one.permits(self.board, choice))
    }

    fn agree(&self, one: Choice, other: Choice) -> bool {
        let mut all = self.board.requirements.iter();
        all.all(|rule| rule.agree(self.board, one, other))
    }

    fn allows(&self, chosen: &[Choice], next: Choice) -> bool {
        let mut all = self.board.requirements.iter();
        all.all(|one| one.allows(self.board, chosen, next))
    }

    fn alone(&self, choice: Choice) -> Price {
        self.alone
            .get(choice.variable)
            .and_then(|values| values.get(choice.value))
            .cloned()
            .unwrap_or_else(Price::nothing)
    }

    fn foreseen(&self, chosen: &[Choice], next: Choice) -> Price {
        chosen
            .iter()
            .fold(self.alone(next), |sum, &one| sum.and(&self.pair(one, next)))
    }

    fn added(&self, chosen: &[Choice], next: Choice) -> Price {
        if chosen.len() < 2 {
            return self.foreseen(chosen, next);
        }
        let mut choices: Vec<(Choice, Choosing)> =
            chosen.iter().map(|&one| (one, Choosing::Settled)).collect();
        choices.push((next, Choosing::Tried(Legs::FIRST)));
        let alone = self.alone(next);
        self.price(&choices, Legs::FIRST)
            .at(alone.changes, alone.dislike)
    }

    fn whole(&self, chosen: &[Choice], sum: &Price) -> Price {
        let choices: Vec<(Choice, Choosing)> = chosen
            .iter()
            .map(|&one| (one, Choosing::Tried(Legs::FIRST)))
            .collect();
        self.price(&choices, Legs::FIRST)
            .at(sum.changes, sum.dislike)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use super::super::tones::tones;
    use crate::scenario::{NoFiles, read};

    /// Who listens on 145.4500 MHz beside three who may talk, and one who may listen: 145.6000 + 145.6500 − 145.8000 is 145.4500.
    fn plan() -> Plan {
        let text = "
event: {name: Test}
rules: [uk, iaru-r1]
licence: full
settings: {order: 3}
absent: [marine, marine-distress, airband, emergency-network]
sites:
  hill: {at: [54.4150, -0.5320], ground: 118 m}
  valley: {at: [54.5650, -0.5320], ground: 20 m}
stations:
  - {name: Ear, site: hill, radio: mobile-2m, talk: 145.4500}
  - {name: Partner, site: valley, radio: handheld, talk: 145.4500}
  - {name: A, site: hill, radio: mobile-2m, antenna: {offset: {east: 12 m, north: 0 m}}}
  - {name: B, site: hill, radio: mobile-2m, antenna: {offset: {east: 0 m, north: 12 m}}}
  - {name: C, site: hill, radio: mobile-2m, antenna: {offset: {east: -12 m, north: 0 m}}}
  - {name: D, site: hill, radio: mobile-2m, antenna: {offset: {east: 0 m, north: -12 m}}}
assign:
  channels:
    - {name: Alpha, stations: [A], talk: [145.6000, 145.2500, 145.4500], step: 25 kHz}
    - {name: Bravo, stations: [B], talk: [145.6500, 145.3000], step: 25 kHz}
    - {name: Charlie, stations: [C], talk: [145.8000, 145.3500], step: 25 kHz}
    - {name: Delta, stations: [D], watch: [145.4500, 145.6000], step: 25 kHz}
  third_order_free: [[Alpha, Bravo, Charlie]]
";
        read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"))
    }

    fn with(look: impl Fn(&OnAir<'_>, &Board)) {
        let plan = plan();
        let assign = plan.assign.as_ref().unwrap();
        let board = Board::of(&plan, assign);
        let tones = tones(&plan, assign);
        let on_air = OnAir::new(&plan, assign, &board, &tones, &Watch::default());
        look(&on_air, &board);
    }

    fn choice(variable: usize, value: usize) -> Choice {
        Choice { variable, value }
    }

    /// The choice of a place by its frequency.
    fn on(board: &Board, variable: usize, hertz: i64) -> Choice {
        let places = &board.legs[variable].places;
        let value = places.iter().position(|one| one.as_hz() == hertz);
        choice(variable, value.unwrap())
    }

    /// 145.300 MHz is meant for simplex, 145.650 MHz reserved for repeaters, by the band plan; for listening all are alike.
    #[test]
    fn a_place_to_talk_is_liked_as_the_band_plan_likes_simplex_there_and_one_to_listen_by_nobody() {
        with(|on_air, board| {
            let liked = |variable, hertz| on_air.liking(on(board, variable, hertz));
            let law = &on_air.plan.law;
            for hertz in [145_650_000, 145_300_000] {
                let simplex = law.preference(Frequency::hz(hertz), Purpose::Simplex);
                assert_eq!(liked(1, hertz), simplex.0);
                let open = &on_air.assign.channels[1];
                assert_eq!(liking(&on_air.plan, open, Frequency::hz(hertz)), simplex.0);
            }
            assert!(liked(1, 145_300_000) > 0 && liked(1, 145_650_000) < -1);
            assert_eq!(liked(3, 145_450_000), 0);
            assert_eq!(liked(3, 145_600_000), 0);
            // The best on offer costs nothing by it, and the other the difference.
            let dislike = |variable, hertz| on_air.alone(on(board, variable, hertz)).dislike;
            let apart = liked(1, 145_300_000) - liked(1, 145_650_000);
            assert_eq!(dislike(1, 145_300_000), 0);
            assert_eq!(i32::try_from(dislike(1, 145_650_000)).unwrap(), apart);
        });
    }

    #[test]
    fn what_the_plan_talks_on_is_for_no_other_talker_and_what_is_asked_of_three_is_asked() {
        with(|on_air, board| {
            assert!(!on_air.permits(on(board, 0, 145_450_000)));
            assert!(on_air.permits(on(board, 0, 145_600_000)));
            assert!(on_air.permits(on(board, 3, 145_450_000)));
            // 2 × 145.3000 − 145.2500 = 145.3500 MHz.
            let even = [on(board, 0, 145_250_000), on(board, 1, 145_300_000)];
            assert!(!on_air.allows(&even, on(board, 2, 145_350_000)));
            assert!(on_air.allows(&even, on(board, 2, 145_800_000)));
            // Two on one channel do not agree.
            assert!(!on_air.agree(on(board, 0, 145_600_000), on(board, 3, 145_600_000)));
            assert!(on_air.agree(on(board, 0, 145_600_000), on(board, 1, 145_650_000)));
        });
    }

    #[test]
    fn of_one_or_two_the_price_is_that_of_each_and_of_both_and_three_may_cost_more_than_their_pairs()
     {
        with(|on_air, board| {
            let [a, b, c] = [
                on(board, 0, 145_600_000),
                on(board, 1, 145_650_000),
                on(board, 2, 145_800_000),
            ];
            let d = on(board, 3, 145_450_000);
            let whole = |chosen: &[Choice], next: Choice| {
                let mut choices: Vec<(Choice, Choosing)> =
                    chosen.iter().map(|&one| (one, Choosing::Settled)).collect();
                choices.push((next, Choosing::Tried(Legs::FIRST)));
                let alone = on_air.alone(next);
                on_air
                    .price(&choices, Legs::FIRST)
                    .at(alone.changes, alone.dislike)
            };
            for (chosen, next) in [(&[][..], a), (&[a], b), (&[b], c), (&[c], a)] {
                assert_eq!(on_air.added(chosen, next), whole(chosen, next));
            }
            for chosen in [&[a, b][..], &[a, b, d]] {
                let (added, foreseen) = (on_air.added(chosen, c), on_air.foreseen(chosen, c));
                assert_eq!(added, whole(chosen, c));
                assert!(added > foreseen, "{added:?} {foreseen:?}");
            }
        });
    }
}
