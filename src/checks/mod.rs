//! Checks judge the finished situation and add findings; no check sees another's findings.

use std::sync::OnceLock;

use crate::emissions::Wanted;
use crate::encounter::{Encounter, Gathering, Standing};
use crate::finding::Finding;
use crate::net::View;
use crate::scenario::{Legs, Plan, Proposal};
use crate::scene::{Scene, Trial};
use crate::topic::Topic;

mod handbook;
mod interference;
mod service;

mod lawful;

mod band_edge;
mod band_plan;
mod border;
mod calling_frequency;
mod control;
mod emission_width;
mod identification;
mod idle_permission;
mod likely_neighbour;
mod messages;
mod no_law_pack;
mod operating_duty;
mod power_limit;
mod purpose;
mod relay_pair;
mod reserved_segment;
mod spurious;
mod time_limited;
mod zone;

mod named;

mod break_in;
mod build_up;
mod duty;
mod endurance;
mod exposure;
mod hidden_user;
mod repeat_loop;
mod repeater_lockout;
mod single_point;
mod time_out;
mod timing;
mod tone_close;
mod tone_missing;
mod tone_open;
mod unreachable;

pub use handbook::topics;
pub use interference::would_conflict;

/// Of all that depend on the very frequencies under trial, the checks of what somebody hears.
pub const HEARD: &[Check] = &[interference::CHECK, service::CHECK];

/// Every check that depends on the very frequencies under trial.
pub const ALL: &[Check] = &[
    interference::CHECK,
    service::CHECK,
    band_edge::CHECK,
    band_plan::CHECK,
    border::CHECK,
    calling_frequency::CHECK,
    control::CHECK,
    emission_width::CHECK,
    identification::CHECK,
    idle_permission::CHECK,
    likely_neighbour::CHECK,
    messages::CHECK,
    operating_duty::CHECK,
    power_limit::CHECK,
    purpose::CHECK,
    relay_pair::CHECK,
    reserved_segment::CHECK,
    spurious::CHECK,
    time_limited::CHECK,
    zone::CHECK,
    repeat_loop::CHECK,
    repeater_lockout::CHECK,
    tone_close::CHECK,
    tone_missing::CHECK,
    tone_open::CHECK,
];

/// Every check of the plan as a whole, which a search does not ask of its candidates: the outcome is the same wherever the
/// legs under trial lie, or rests on all legs together with everything else, as what builds up in a receiver does.
pub const WHOLE: &[Check] = &[
    break_in::CHECK,
    build_up::CHECK,
    duty::CHECK,
    endurance::CHECK,
    exposure::CHECK,
    hidden_user::CHECK,
    no_law_pack::CHECK,
    single_point::CHECK,
    time_out::CHECK,
    timing::CHECK,
    unreachable::CHECK,
];

/// Those of the plan as a whole that look at the net, its load and the people near it.
pub fn of_the_net() -> impl Iterator<Item = &'static Check> {
    WHOLE.iter().filter(|check| !adds_up(check))
}

/// Those of the plan as a whole that add up what is met: dearer to ask, and none of them finds a conflict.
pub fn of_sums() -> impl Iterator<Item = &'static Check> {
    WHOLE.iter().filter(|check| adds_up(check))
}

fn adds_up(check: &Check) -> bool {
    check.topic.id == build_up::CHECK.topic.id
}

/// All checks.
pub fn every() -> impl Iterator<Item = &'static Check> {
    ALL.iter().chain(WHOLE)
}

/// What a check looks at.
#[derive(Debug)]
pub struct Situation<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// What is under trial, if anything; its legs are in the scene already.
    pub trial: Option<&'a Proposal>,
    /// Who is on the air, and who listens.
    pub scene: &'a Scene<'a>,
    /// Only findings that rest on exactly these legs are wanted.
    pub focus: Legs,
    /// The scene as a network, worked out when the first check asks for it.
    pub net: OnceLock<View>,
    /// Every encounter that rests on exactly the legs of the focus, worked out when the first check asks for them.
    pub met: OnceLock<Vec<Encounter>>,
    /// Every encounter that rests on legs of the focus, all of them or fewer, and that one of our own has a part in; as far
    /// as receivers go that meet something under trial, if anything is.
    pub met_within: OnceLock<Vec<Encounter>>,
    /// Whether a finding need not say how it comes about and what would mend it, for those who judge thousands of
    /// candidates.
    pub is_brief: bool,
    /// The same scene ready to be asked who is met, where several situations share it.
    pub gathering: Option<&'a Gathering<'a>>,
    /// Situations of the same scene with the same under trial: what they know need not be found again.
    pub beside: &'a [Situation<'a>],
}

impl<'a> Situation<'a> {
    /// A situation to be judged.
    pub const fn new(scene: &'a Scene<'a>, trial: Option<&'a Proposal>, focus: Legs) -> Self {
        Self {
            gathering: None,
            plan: scene.plan,
            trial,
            scene,
            focus,
            net: OnceLock::new(),
            met: OnceLock::new(),
            met_within: OnceLock::new(),
            is_brief: false,
            beside: &[],
        }
    }

    /// The same for those who want to know what is found and how bad it is, and no more.
    pub fn brief(scene: &'a Scene<'a>, trial: Option<&'a Proposal>, focus: Legs) -> Self {
        Self::new(scene, trial, focus).in_brief()
    }

    /// The same where no more than what is found and how bad it is is wanted.
    pub fn in_brief(self) -> Self {
        Self {
            is_brief: true,
            ..self
        }
    }

    /// A situation to be judged in a scene that others ask about too.
    pub fn among(gathering: &'a Gathering<'a>, trial: Option<&'a Proposal>, focus: Legs) -> Self {
        Self {
            gathering: Some(gathering),
            ..Self::new(gathering.scene(), trial, focus)
        }
    }

    /// The same where others of that scene have been judged.
    pub fn beside(
        others: &'a [Self],
        gathering: &'a Gathering<'a>,
        (trial, focus): (Option<&'a Proposal>, Legs),
    ) -> Self {
        Self {
            beside: others,
            ..Self::among(gathering, trial, focus)
        }
    }

    /// The same in brief, with every encounter met and the network known already.
    pub fn having_met(
        scene: &'a Scene<'a>,
        trial: Option<&'a Proposal>,
        focus: Legs,
        (met, net): (Vec<Encounter>, View),
    ) -> Self {
        Self {
            met: OnceLock::from(met),
            net: OnceLock::from(net),
            ..Self::brief(scene, trial, focus)
        }
    }

    /// Every encounter that rests on exactly the legs of the focus and that one of our own has a part in.
    pub fn encounters(&self) -> &[Encounter] {
        self.known_of(self.focus).unwrap_or_else(|| {
            self.met
                .get_or_init(|| self.gathered(|all| all.meet(Wanted::of(self.scene, self.focus))))
        })
    }

    /// What others beside met on just these legs.
    fn known_of(&self, legs: Legs) -> Option<&[Encounter]> {
        let mut beside = self.beside.iter();
        beside
            .find(|one| one.focus == legs)
            .map(Situation::encounters)
    }

    /// Every encounter that rests on legs of the focus, all of them or fewer, and that one of our own has a part in.
    pub fn encounters_within(&self) -> &[Encounter] {
        self.met_within.get_or_init(|| {
            let within = Legs::ALL.into_iter().filter(|legs| self.focus.holds(*legs));
            let met = within.map(|legs| {
                let known = self.known_of(legs);
                let known = known.or_else(|| (legs == self.focus).then(|| self.encounters()));
                match known {
                    Some(known) => known.to_vec(),
                    None => self.gathered(|all| all.meet(Wanted::of(self.scene, legs))),
                }
            });
            met.flatten().collect()
        })
    }

    /// What some receivers of others meet of others.
    pub fn met_beside(&self, receivers: &[usize]) -> Vec<Encounter> {
        self.gathered(|all| all.meet_beside(receivers))
    }

    fn gathered<T>(&self, ask: impl FnOnce(&Gathering<'_>) -> T) -> T {
        match self.gathering {
            Some(gathering) => ask(gathering),
            None => ask(&Standing::of(std::slice::from_ref(self.scene)).gather(self.scene)),
        }
    }

    /// The scene as a network.
    pub fn view(&self) -> &View {
        match self.beside.first() {
            Some(known) => known.view(),
            None => (self.net).get_or_init(|| View::of(self.scene, self.trial.map(Trial::whole))),
        }
    }

    /// All legs of what is under trial.
    pub fn all_legs(&self) -> Legs {
        self.trial
            .map_or(Legs::NONE, |trial| Trial::whole(trial).present)
    }

    /// The legs that a finding about the plan as a whole rests on, which has to do with some legs: none or all.
    pub fn as_a_whole(&self, legs: Legs) -> Legs {
        if legs.is_none() {
            Legs::NONE
        } else {
            self.all_legs()
        }
    }
}

/// A check: what it is called, and what it does.
#[derive(Debug, Clone, Copy)]
pub struct Check {
    /// What `explain` says of it.
    pub topic: Topic,
    /// Judges the situation and adds what it finds.
    pub run: fn(&Situation<'_>, &mut Vec<Finding>),
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::{Channel, Use};
    use crate::scene::sample::{CROWDED, plan};

    #[test]
    fn what_is_asked_of_the_plan_as_a_whole_is_of_the_net_or_of_sums() {
        let ids = |checks: &mut dyn Iterator<Item = &'static Check>| -> Vec<&str> {
            checks.map(|check| check.topic.id).collect()
        };
        assert_eq!(ids(&mut of_sums()), ["build-up"]);
        let mut both = ids(&mut of_the_net());
        assert!(!both.contains(&"build-up"));
        both.push("build-up");
        both.sort_unstable();
        let mut whole = ids(&mut WHOLE.iter());
        whole.sort_unstable();
        assert_eq!(both, whole);
    }

    #[test]
    fn whoever_is_asked_among_others_meets_the_same_and_what_is_known_is_not_met_again() {
        let plan = plan(CROWDED);
        let legs = [145_225_000, 435_675_000].map(|hertz| Channel {
            frequency: crate::quantity::Frequency::hz(hertz),
            tone: None,
        });
        let what = Use::CrossBand { legs };
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        let said = |met: &[Encounter]| format!("{met:?}");
        let standing = Standing::of(std::slice::from_ref(&scene));
        let gathering = standing.gather(&scene);
        let mut sum = 0;
        for focus in Legs::ALL {
            let alone = Situation::new(&scene, None, focus);
            let among = Situation::among(&gathering, None, focus);
            assert!(!alone.is_brief && !among.is_brief && among.gathering.is_some());
            assert_eq!(said(alone.encounters()), said(among.encounters()));
            assert_eq!(
                said(alone.encounters_within()),
                said(among.encounters_within())
            );
            sum += alone.encounters().len();
            // Legs of the focus, all of them or fewer.
            let fewer = alone.encounters_within();
            let exactly = fewer.iter().filter(|one| one.legs == focus).count();
            assert_eq!(exactly, alone.encounters().len());
            assert!(fewer.iter().all(|one| focus.holds(one.legs)));
            if focus == Legs::BOTH {
                assert_eq!(fewer.len(), sum);
            }
            let brief = Situation::brief(&scene, None, focus);
            assert!(brief.is_brief && brief.met.get().is_none());
            let view = View::of(&scene, None);
            let known = Situation::having_met(&scene, None, focus, (Vec::new(), view));
            assert!(known.is_brief && known.net.get().is_some());
            assert!(known.encounters().is_empty());
        }
        // Beside others that were judged nothing is met again, and the whole is the same.
        let among = |focus: Legs| Situation::among(&gathering, None, focus);
        let parts: Vec<Situation<'_>> = [Legs::FIRST, Legs::BOTH].into_iter().map(among).collect();
        let beside = Situation::beside(&parts, &gathering, (None, Legs::BOTH));
        assert_eq!(
            said(beside.encounters_within()),
            said(among(Legs::BOTH).encounters_within())
        );
        assert!(beside.met.get().is_none() && parts.iter().all(|one| one.met.get().is_some()));
        assert!(std::ptr::eq(beside.view(), parts[0].view()));
        // What others do to each other, of those asked for.
        let others: Vec<usize> = (scene.receivers.from(0))
            .filter(|(_, one)| !one.owner.is_ours())
            .map(|(index, _)| index)
            .collect();
        let alone = Situation::new(&scene, None, Legs::NONE);
        let beside = alone.met_beside(&others);
        assert!(!beside.is_empty() && beside.iter().all(|one| !one.concerns_us(&scene)));
        let among = Situation::among(&gathering, None, Legs::NONE);
        assert_eq!(said(&among.met_beside(&others)), said(&beside));
        assert!(alone.met_beside(&[]).is_empty());
    }
}
