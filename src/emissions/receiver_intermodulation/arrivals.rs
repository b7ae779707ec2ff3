//! What arrives behind a receiver's filter: of those who stand, for all receivers that hear them alike at once.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use rayon::prelude::*;

use super::company::{Arrival, Company, Room};
use super::pattern::Patterns;
use crate::budget::{Ledger, Total, starting_at};
use crate::emissions::{Concern, Listening, Part, Request};
use crate::physics::spread;
use crate::quantity::{Decibels, Level};
use crate::scenario::Legs;
use crate::scene::{Reach, Receiver, Rest, Scene, Transmitter};

/// Receivers who stand and hear every carrier alike: of one kind, at one place.
#[derive(Debug)]
pub(in crate::emissions) struct Class {
    /// By index into the scene.
    pub(super) members: Vec<usize>,
    /// The faintest product that is told at any of them, by kind.
    floors: Vec<(Concern, Level)>,
    /// No carrier of those who stand arrives stronger than this.
    most: Level,
    /// The intercepts of its receivers, by order.
    intercepts: OnceLock<Vec<(u32, Level)>>,
    /// What arrives of those who stand.
    beside_trial: OnceLock<Arc<Company>>,
    /// What arrives of those who are not ours.
    beside_ours: OnceLock<Arc<Company>>,
}

/// The receivers who stand, in classes, and what is kept for them.
#[derive(Debug, Default)]
pub(in crate::emissions) struct Classes {
    pub(super) all: Vec<Class>,
    /// What arrives at receivers under trial of those who stand, each socket worked out once.
    sockets: Mutex<BTreeMap<Socket, Arc<Company>>>,
    /// Where sums may be kept, if many will ask.
    pub(super) room: Option<Room>,
}

/// A receiver of ours in one of its bands, wherever it is tuned there: what the level of an arriving carrier rests on.
type Socket = (usize, usize, usize, Legs, i64);

impl Classes {
    /// The classes of the receivers who stand in a scene, with where each of them listens.
    pub(in crate::emissions) fn of(
        scene: &Scene<'_>,
        listening: &[&Listening],
        are_many_to_ask: bool,
    ) -> Self {
        let mut all: Vec<Class> = Vec::new();
        // By the place they are near, where they may be alike.
        let mut roaming: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for ((index, receiver), listening) in scene.receivers.from(0).zip(listening) {
            let Some(floor) = listening.floor else {
                continue;
            };
            let near = scene.masts.get(receiver.mast).and_then(|mast| mast.near);
            let known = near.and_then(|near| {
                let mut known = roaming.get(&near)?.iter().copied();
                known.find(|&class| {
                    let first = all.get(class).and_then(|class| class.members.first());
                    let first = first.and_then(|&first| scene.receivers.get(first));
                    first.is_some_and(|first| {
                        first.figures == receiver.figures
                            && scene.are_alike(first.mast, receiver.mast)
                    })
                })
            });
            if let Some(class) = known.and_then(|class| all.get_mut(class)) {
                class.members.push(index);
                class.lower(floor, listening.concern);
                continue;
            }
            if let Some(near) = near {
                roaming.entry(near).or_default().push(all.len());
            }
            let mut class = Class {
                members: vec![index],
                floors: Vec::new(),
                most: NOTHING,
                intercepts: OnceLock::new(),
                beside_trial: OnceLock::new(),
                beside_ours: OnceLock::new(),
            };
            class.lower(floor, listening.concern);
            all.push(class);
        }
        all.par_iter_mut().for_each(|class| {
            let first = class.members.first();
            if let Some(receiver) = first.and_then(|&first| scene.receivers.get(first)) {
                let all = scene.transmitters.iter();
                let standing = all.take(scene.transmitters.standing());
                let arriving = standing.map(|one| at_most(scene, one, receiver));
                class.most = arriving.max().unwrap_or(NOTHING);
            }
        });
        Self {
            all,
            sockets: Mutex::default(),
            room: are_many_to_ask.then(Room::default),
        }
    }

    /// The same classes where those who stand may be keyed with others: of what arrives, that is kept which does not hang on it.
    pub(in crate::emissions) fn like(known: &Self) -> Self {
        let class = |class: &Class| Class {
            members: class.members.clone(),
            floors: class.floors.clone(),
            most: class.most,
            intercepts: class.intercepts.clone(),
            beside_trial: class.of_all(&class.beside_trial),
            beside_ours: class.of_all(&class.beside_ours),
        };
        Self {
            all: known.all.iter().map(class).collect(),
            sockets: Mutex::default(),
            room: known.room.is_some().then(Room::default),
        }
    }

    /// The same classes with those of their members who are left.
    pub(in crate::emissions) fn left(known: &Self, rest: &Rest) -> Self {
        let class = |class: &Class| {
            let members = class.members.iter();
            let members: Vec<usize> = members.filter_map(|&was| rest.hearer(was)).collect();
            (!members.is_empty()).then(|| Class {
                members,
                floors: class.floors.clone(),
                most: class.most,
                intercepts: class.intercepts.clone(),
                beside_trial: OnceLock::new(),
                beside_ours: OnceLock::new(),
            })
        };
        Self {
            all: known.all.iter().filter_map(class).collect(),
            sockets: Mutex::default(),
            room: known.room.is_some().then(Room::default),
        }
    }

    /// What arrives at a receiver of no class of those who are no guests, wanted or not.
    pub(super) fn at_socket(&self, request: &Request<'_>, receiver: &Receiver) -> Arc<Company> {
        let found = || {
            let hears = request.company();
            let hears = hears.filter(|&(index, _)| request.scene.coexist(&[index], receiver));
            let found = hears.map(|(index, one)| arrived(request.scene, index, one, receiver));
            Arc::new(Company::of(found.collect()))
        };
        if request.part != Part::OnTrial {
            return found();
        }
        let socket = (
            receiver.unit,
            receiver.side,
            receiver.mast,
            receiver.legs,
            receiver.figures.span.low.as_hz(),
        );
        let known = self.sockets.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = known.get(&socket) {
            return Arc::clone(known);
        }
        drop(known);
        let found = found();
        let mut known = self.sockets.lock().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(known.entry(socket).or_insert(found))
    }
}

impl Class {
    /// The faintest product that is asked for at any of them.
    pub(super) fn floor(&self, request: &Request<'_>) -> Level {
        let floors = self.floors.iter();
        let floors = floors.map(|&(concern, floor)| floor + request.worse.of(concern));
        floors.min().unwrap_or(Level::dbm(f64::INFINITY))
    }

    /// Takes a member's faintest product in.
    fn lower(&mut self, floor: Level, concern: Concern) {
        match self.floors.iter_mut().find(|known| known.0 == concern) {
            Some(known) => known.1 = known.1.min(floor),
            None => self.floors.push((concern, floor)),
        }
    }

    /// The intercepts of its receivers, by order.
    pub(super) fn intercepts(&self, receiver: &Receiver, patterns: &Patterns) -> &[(u32, Level)] {
        (self.intercepts).get_or_init(|| patterns.intercepts(&receiver.figures))
    }

    /// What arrives of those who are no guests.
    pub(super) fn company(&self, request: &Request<'_>, receiver: &Receiver) -> &Company {
        let (scene, company) = match request.part {
            Part::OnTrial => (request.scene, &self.beside_trial),
            Part::Standing | Part::Beside | Part::Plain => (request.scene, &self.beside_ours),
        };
        company.get_or_init(|| {
            // Of several, each hears all but what it wants or cannot hear; one by itself need not ask again.
            let is_alone = self.members.len() == 1;
            let heard = request
                .company()
                .filter(|&(index, one)| !is_alone || can_disturb(scene, index, one, receiver));
            let arrived = heard.map(|(index, one)| arrived(scene, index, one, receiver));
            Arc::new(Company::of(arrived.collect()))
        })
    }

    /// What is known to arrive at several, whoever is keyed with whom: one by itself hears only whom it can.
    fn of_all(&self, known: &OnceLock<Arc<Company>>) -> OnceLock<Arc<Company>> {
        if self.members.len() > 1 {
            known.clone()
        } else {
            OnceLock::new()
        }
    }

    /// Whether carriers that rest on what is under trial could be strong enough here for a product that is told, by a bound for
    /// each.
    pub(super) fn is_concerned(
        &self,
        request: &Request<'_>,
        receiver: &Receiver,
        patterns: &Patterns,
    ) -> bool {
        let all = request.transmitters();
        let all = all.map(|(_, one)| (one.legs, at_most(request.scene, one, receiver)));
        self.are_enough(request, receiver, patterns, &all.collect::<Vec<_>>())
    }

    /// The same by what arrives of them.
    pub(super) fn is_concerned_by(
        &self,
        request: &Request<'_>,
        receiver: &Receiver,
        patterns: &Patterns,
        guests: &[Arrival],
    ) -> bool {
        let all = guests.iter().map(|one| (one.legs, one.level));
        self.are_enough(request, receiver, patterns, &all.collect::<Vec<_>>())
    }

    /// Whether these, with the strongest of those who stand, could make up a product that is told.
    fn are_enough(
        &self,
        request: &Request<'_>,
        receiver: &Receiver,
        patterns: &Patterns,
        able: &[(Legs, Level)],
    ) -> bool {
        if request.part != Part::OnTrial {
            return true;
        }
        let most = |leg: Legs| {
            let able = able.iter().filter(|(legs, _)| legs.holds(leg));
            able.map(|&(_, level)| level).max().unwrap_or(NOTHING)
        };
        // Nobody of a class brings a leg, so the sources must bring each.
        let legs = [Legs::FIRST, Legs::SECOND];
        let needed_legs = legs.into_iter().filter(|&leg| request.focus.holds(leg));
        let (mut strongest, mut scarcest) = (self.most, None);
        for one in needed_legs.map(most) {
            strongest = strongest.max(one);
            scarcest = Some(scarcest.map_or(one, |known: Level| known.min(one)));
        }
        let floor = self.floor(request);
        scarcest.is_some_and(|scarcest| {
            scarcest
                >= needed(
                    self.intercepts(receiver, patterns),
                    floor,
                    strongest,
                    patterns,
                )
        })
    }
}

/// A level that is below any other.
const NOTHING: Level = Level::dbm(f64::NEG_INFINITY);

/// The level that a carrier does not exceed behind a receiver's filter, without working out its way.
fn at_most(scene: &Scene<'_>, transmitter: &Transmitter, receiver: &Receiver) -> Level {
    let from = Reach {
        unit: transmitter.unit,
        mast: transmitter.mast,
    };
    transmitter.power.value
        - scene.least_loss(from, receiver, transmitter.frequency)
        - receiver.figures.preselector.loss_at(transmitter.frequency)
}

/// Whether a transmitter can be keyed while a receiver listens, and is not what that wants: what a receiver wants makes no
/// interference of its own channel.
pub(super) fn can_disturb(
    scene: &Scene<'_>,
    index: usize,
    transmitter: &Transmitter,
    receiver: &Receiver,
) -> bool {
    !scene.is_wanted(transmitter, receiver) && scene.coexist(&[index], receiver)
}

/// What arrives of a transmitter.
pub(super) fn arrived(
    scene: &Scene<'_>,
    index: usize,
    transmitter: &Transmitter,
    receiver: &Receiver,
) -> Arrival {
    let mut level = Total::default();
    arrive(scene, index, receiver, &mut level);
    Arrival {
        transmitter: index,
        frequency: transmitter.frequency,
        level: level.level(),
        legs: transmitter.legs,
        is_ours: transmitter.owner.is_ours(),
    }
}

/// What a carrier must at least have to take part in a product that is told, with all others as strong as the strongest.
///
/// A product cannot exceed what its faintest source allows.
fn needed(
    intercepts: &[(u32, Level)],
    floor: Level,
    strongest: Level,
    patterns: &Patterns,
) -> Level {
    let needed = intercepts.iter().map(|&(order, intercept)| {
        let others = f64::from(order - 1);
        floor - patterns.best_shape(order) - (strongest - intercept) * others
    });
    // The millionth keeps rounding from deciding.
    let least = needed.min().unwrap_or(strongest + Decibels::db(1.0));
    least.max(floor) - Decibels::db(1e-6)
}

/// Enters the way of a carrier to behind a receiver's filter.
pub(super) fn arrive(
    scene: &Scene<'_>,
    transmitter: usize,
    receiver: &Receiver,
    ledger: &mut impl Ledger,
) {
    let Some(source) = scene.transmitters.get(transmitter) else {
        return;
    };
    ledger.enter(starting_at(source.power.value), || {
        ("sent".to_owned(), source.power.origin.to_string())
    });
    ledger.vary(spread::power(&source.power));
    if let Some(from) = scene.reach_of_transmitter(transmitter) {
        scene.travel(from, receiver, source.frequency, ledger);
    }
    let filter = receiver.figures.preselector.loss_at(source.frequency);
    if filter.as_db() > 0.0 {
        ledger.enter(-filter, || {
            ("the receiver's own filter".to_owned(), "profile".to_owned())
        });
    }
}

#[cfg(test)]
mod tests {
    use super::super::combine::limited;
    use super::*;
    use crate::emissions::{Audience, Crowd, Wanted, Within};
    use crate::physics::mixing;
    use crate::quantity::{Frequency, Span};
    use crate::scenario::Use;
    use crate::scene::Trial;
    use crate::scene::sample::{CROWDED, plan};

    /// The strongest product of an order in which one carrier enters once, or as seldom as it can, and all others are alike.
    fn strongest_with(
        one: Level,
        others: Level,
        patterns: &Patterns,
        (order, intercept): (u32, Level),
    ) -> Level {
        let of_order = patterns.all.iter().filter(|pattern| pattern.order == order);
        let products = of_order.map(|pattern| {
            let least = pattern.coefficients.iter().map(|c| c.abs()).min();
            let seldom = pattern
                .coefficients
                .iter()
                .position(|c| Some(c.abs()) == least);
            let levels = pattern.coefficients.iter().enumerate();
            let levels: Vec<(i64, Level)> = levels
                .map(|(at, &c)| (c, if Some(at) == seldom { one } else { others }))
                .collect();
            limited(mixing::intermod_level(&levels, intercept), &levels)
        });
        products.max().unwrap()
    }

    #[test]
    fn a_carrier_with_less_than_is_needed_makes_no_product_that_is_told_and_one_with_as_much_does()
    {
        let patterns = Patterns::up_to(7, 3);
        let step = Decibels::db(0.001);
        for (order, intercept) in [(2, 20.0), (3, 0.0), (5, -10.0), (7, -18.0)] {
            let intercept = Level::dbm(intercept);
            for strongest in [-60.0, -30.0, -10.0, 5.0].map(Level::dbm) {
                for floor in [-140.0, -120.0, -80.0].map(Level::dbm) {
                    let of = (order, intercept);
                    let least = needed(&[of], floor, strongest, &patterns);
                    let with = |one: Level| strongest_with(one, strongest, &patterns, of);
                    let nearly = (least - step).min(strongest);
                    assert!(
                        with(nearly) < floor || nearly == strongest,
                        "{order} {strongest} {floor}"
                    );
                    if least > strongest {
                        assert!(with(strongest) < floor, "{order} {strongest} {floor}");
                    }
                    // Of order 7 the pattern that gains most holds nobody once.
                    let slack = Decibels::db(if order == 7 { 4.0 } else { 0.001 });
                    if least + slack < strongest {
                        assert!(with(least + slack) >= floor, "{order} {strongest} {floor}");
                    }
                }
            }
        }
    }

    #[test]
    fn of_several_orders_the_easiest_decides_and_where_there_is_none_nothing_suffices() {
        let patterns = Patterns::up_to(7, 3);
        let of = |intercepts: &[(u32, Level)]| {
            needed(intercepts, Level::dbm(-120.0), Level::dbm(-20.0), &patterns)
        };
        let [two, three] = [(2, Level::dbm(40.0)), (3, Level::dbm(5.0))];
        assert_eq!(of(&[two, three]), of(&[two]).min(of(&[three])));
        assert!(of(&[two]) != of(&[three]));
        assert!(of(&[]) > Level::dbm(-20.0));
    }

    /// Of each kind of hearer the faintest, with what is asked for of that kind.
    #[test]
    fn a_class_asks_for_the_faintest_that_any_of_its_members_asks_for() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let mut class = Class {
            members: vec![0],
            floors: Vec::new(),
            most: NOTHING,
            intercepts: OnceLock::new(),
            beside_trial: OnceLock::new(),
            beside_ours: OnceLock::new(),
        };
        let (crowd, audience) = (Crowd::default(), Audience::default());
        let floor = |class: &Class, plain: f64, nearby: f64| {
            let horizon = plan.settings.horizon.value;
            let within = Within {
                nearby: horizon - Decibels::db(nearby),
                ..Within::all(horizon - Decibels::db(plain))
            };
            let focus = Legs::FIRST;
            let asked = (Part::OnTrial, Wanted { focus, within });
            let request = Request::new(&scene, &crowd, &[], &audience, asked);
            class.floor(&request).as_dbm()
        };
        // Nobody hears anything.
        assert!(floor(&class, 0.0, 0.0) > 1_000.0);
        for (level, concern) in [
            (-120.0, Concern::Plain),
            (-130.0, Concern::Nearby),
            (-125.0, Concern::Plain),
            (-128.0, Concern::Nearby),
        ] {
            class.lower(Level::dbm(level), concern);
        }
        for (plain, nearby, expected) in [
            (0.0, 0.0, -130.0),
            (10.0, 2.0, -128.0),
            (10.0, 100.0, -115.0),
            (10.0, f64::INFINITY, -115.0),
        ] {
            let floor = floor(&class, plain, nearby);
            assert!((floor - expected).abs() < 1e-9, "{plain} {nearby}: {floor}");
        }
    }

    #[test]
    fn no_carrier_arrives_stronger_than_is_reckoned_before_its_way_is_worked_out() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let (mut inside, mut far) = (0, Decibels::db(1_000.0));
        for receiver in scene.receivers.iter() {
            for (index, transmitter) in scene.transmitters.iter().enumerate() {
                let most = at_most(&scene, transmitter, receiver);
                let spare = most - arrived(&scene, index, transmitter, receiver).level;
                assert!(
                    spare >= Decibels::db(-1e-9),
                    "{} at {}",
                    transmitter.name,
                    receiver.name
                );
                let ends =
                    [transmitter.mast, receiver.mast].map(|mast| scene.masts.get(mast).unwrap());
                if transmitter.unit == receiver.unit {
                    // Inside one box there is nothing to reckon.
                    assert!(spare < Decibels::db(1e-9));
                    inside += 1;
                } else if ends[0].site != ends[1].site {
                    far = far.min(spare);
                }
            }
        }
        assert!(inside > 0 && far < Decibels::db(3.0), "{inside} {far}");
    }

    /// Of all who stand only the trial's own power is changed: from some power on it is strong enough, and not a little below.
    #[test]
    fn a_class_is_concerned_once_the_trial_is_strong_enough_for_a_product_that_is_told() {
        let plan = plan(CROWDED);
        let what = Use::CrossBand {
            legs: [145_350_000, 433_550_000].map(|hertz| crate::scenario::Channel {
                frequency: Frequency::hz(hertz),
                tone: None,
            }),
        };
        let scene = Scene::build(&plan, Some(Trial::of(0, &what)));
        let listening = Listening {
            channel: Span::between(Frequency::hz(0), Frequency::hz(0)),
            floor: Some(Level::dbm(-125.0)),
            concern: Concern::Plain,
            concern_of_slices: Concern::Plain,
            places: Vec::new(),
            keen: Vec::new(),
        };
        let listening = vec![&listening; scene.receivers.len()];
        let crowd = Crowd::of(&scene, &listening, false);
        let patterns = Patterns::up_to(7, 3);
        let audience = Audience::default();
        let mut told = 0;
        for worse in [0.0, 25.0].map(Decibels::db) {
            for class in &crowd.classes.all {
                let receiver = scene.receivers.get(class.members[0]).unwrap();
                let with = |power: f64| {
                    let mut scene = scene.clone();
                    scene.transmitters = scene.transmitters.changed_where(
                        |one| !one.legs.is_none(),
                        |one| one.power.value = Level::dbm(power),
                    );
                    let wanted = Wanted {
                        focus: Legs::FIRST,
                        within: Within::all(plan.settings.horizon.value - worse),
                    };
                    let request = Request::new(
                        &scene,
                        &crowd,
                        &listening,
                        &audience,
                        (Part::OnTrial, wanted),
                    );
                    let is_concerned = class.is_concerned(&request, receiver, &patterns);
                    let on_trial = request.transmitters();
                    let most = on_trial
                        .map(|(_, one)| at_most(&scene, one, receiver))
                        .max()
                        .unwrap();
                    let products = patterns.intercepts(&receiver.figures).into_iter();
                    let products = products
                        .map(|of| strongest_with(most, most.max(class.most), &patterns, of));
                    let spare = products.max().unwrap() - class.floor(&request);
                    (is_concerned, spare)
                };
                for power in -10..12 {
                    let (is_concerned, spare) = with(f64::from(power) * 10.0);
                    assert!(
                        is_concerned || spare < Decibels::ZERO,
                        "{} {power}",
                        receiver.name
                    );
                    // Of order 7 nobody enters the strongest pattern once: see above.
                    assert!(
                        !is_concerned || spare > Decibels::db(-4.0 * 3.0),
                        "{} {power} {spare}",
                        receiver.name
                    );
                    told += usize::from(is_concerned);
                }
            }
        }
        assert!(told > 0);
    }

    /// Whom one by itself hears hangs on who is keyed with him.
    #[test]
    fn of_what_arrives_only_that_at_several_is_kept_where_others_are_keyed() {
        let plan = plan(CROWDED);
        let scene = Scene::build(&plan, None);
        let listening = Listening {
            channel: Span::between(Frequency::hz(0), Frequency::hz(0)),
            floor: Some(Level::dbm(-125.0)),
            concern: Concern::Plain,
            concern_of_slices: Concern::Plain,
            places: Vec::new(),
            keen: Vec::new(),
        };
        let listening = vec![&listening; scene.receivers.len()];
        let crowd = Crowd::of(&scene, &listening, false);
        let audience = Audience::default();
        let wanted = Wanted::of(&scene, Legs::NONE);
        for part in [Part::OnTrial, Part::Standing] {
            let request = Request::new(&scene, &crowd, &listening, &audience, (part, wanted));
            for class in &crowd.classes.all {
                let receiver = scene.receivers.get(class.members[0]).unwrap();
                class.company(&request, receiver);
            }
        }
        let kept = Classes::like(&crowd.classes).all.into_iter().map(|class| {
            let kept = [class.beside_trial, class.beside_ours].map(|kept| kept.get().is_some());
            assert_eq!(kept, [class.members.len() > 1; 2]);
            kept[0]
        });
        let kept: Vec<bool> = kept.collect();
        assert!(kept.contains(&true) && kept.contains(&false), "{kept:?}");
    }
}
