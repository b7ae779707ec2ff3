#![doc = include_str!("passive_intermodulation.md")]

use super::at_a_socket::{Meeting, arrive, coefficients, meetings, pair};
use super::{Emission, Line, Request, index_of};
use crate::budget::{Budget, Ledger, Total, starting_at};
use crate::physics::spread;
use crate::quantity::{Decibels, Level};
use crate::scene::{Scene, Transmitter};
use crate::topic::Topic;

pub(super) const KIND: Emission = Emission {
    topic: TOPIC,
    generate,
    tell,
    called,
    why,
    slope: |_, _, coefficient| coefficient.unsigned_abs() as f64,
    is_plain: false,
    is_for_one: false,
};

const TOPIC: Topic = Topic {
    id: "passive-intermodulation",
    title: "A bad joint at a mast mixes two carriers",
    text: include_str!("passive_intermodulation.md"),
};

/// The level of each of the two carriers that the setting is stated for, 20 W.
///
/// # Source
/// IEC 62037 measures passive intermodulation with two carriers of 43 dBm (from memory).
const REFERENCE: Level = Level::dbm(43.0);

/// What each two orders more take.
///
/// # Source
/// Common practice: fifth-order products of joints lie some 10 to 20 dB below the third; the strong side is taken.
const PER_TWO_ORDERS: Decibels = Decibels::db(10.0);

fn generate(request: &Request<'_>, lines: &mut Vec<Line>) {
    let Some(figure) = &request.scene.plan.settings.passive else {
        return;
    };
    let kind = index_of(&TOPIC);
    let scene = request.scene;
    let site = |one: &Transmitter| scene.masts.get(one.mast).and_then(|mast| mast.site);
    let meetings = meetings(request, |meeting| {
        site(meeting.ours).is_some() && site(meeting.ours) == site(meeting.theirs)
    });
    for meeting in meetings {
        let arriving = meeting.arriving(request);
        let highest = i64::from(scene.plan.settings.order.value);
        for order in [3, 5, 7].into_iter().filter(|&order| order <= highest) {
            for (a, b) in coefficients(order) {
                let level = level(&meeting, arriving, figure.value, (a, b));
                if !meeting.might_be_heard(request, (a, b), level) {
                    continue;
                }
                let line = meeting.trace(a, b, level);
                if line.is_some_and(|line| request.is_heard(line, &meeting.socket)) {
                    lines.extend(meeting.product(kind, a, b, level));
                }
            }
        }
    }
}

fn level(meeting: &Meeting<'_>, arriving: Level, below: Decibels, times: (i64, i64)) -> Level {
    let mut total = Total::default();
    total.enter(starting_at(arriving), || (String::new(), String::new()));
    join(meeting.ours, below, times, arriving, &mut total);
    total.level()
}

/// Enters what a joint at the own antenna makes of the own carrier and of one that arrives.
///
/// From `REFERENCE − below` at two carriers of `REFERENCE`, each carrier counting as often as it enters.
fn join(
    ours: &Transmitter,
    below: Decibels,
    (a, b): (i64, i64),
    arriving: Level,
    ledger: &mut impl Ledger,
) {
    let foreign = (arriving - REFERENCE) * b.abs() as f64;
    let own = (ours.power.value - REFERENCE) * a.abs() as f64;
    ledger.steepen(b.abs() as f64);
    ledger.enter(
        starting_at(REFERENCE) + foreign + own - starting_at(arriving),
        || {
            (
                format!(
                    "a joint at the antenna of {}: the carriers against {REFERENCE} each",
                    ours.name
                ),
                format!(
                    "{} × {} and {} × {arriving}; n dB a dB",
                    a.abs(),
                    ours.power.value,
                    b.abs()
                ),
            )
        },
    );
    ledger.vary(spread::power(&ours.power) * a.abs() as f64);
    let order = a.abs() + b.abs();
    let more = PER_TWO_ORDERS * ((order - 3).max(0) as f64 / 2.0);
    ledger.enter(-(below + more), || {
        (
            format!("a bad joint, order {order}"),
            format!("{below} below two carriers of {REFERENCE}, {PER_TWO_ORDERS} for each two orders more; rough"),
        )
    });
    // Nobody knows the joint.
    ledger.vary(spread::CONVERSION * 2.0);
    ledger.assume(|| format!("a joint at the mast that makes products {below} below its carriers"));
}

fn tell(scene: &Scene<'_>, line: &Line, budget: &mut Budget) {
    let Some([(own, ours, a), (foreign, _, b)]) = pair(scene, line) else {
        return;
    };
    if let Some(below) = &scene.plan.settings.passive {
        arrive(scene, foreign, own, budget);
        let arriving = budget.level();
        join(ours, below.value, (a, b), arriving, budget);
    }
}

fn why(scene: &Scene<'_>, line: &Line) -> String {
    pair(scene, line).map_or_else(String::new, |[(_, ours, _), (_, theirs, _)]| {
        format!(
            "a corroded or loose joint near the antenna of {} would mix its carrier with that of {}; a rough figure",
            ours.name, theirs.name
        )
    })
}

fn called(scene: &Scene<'_>, line: &Line) -> String {
    pair(scene, line).map_or_else(String::new, |[(_, ours, _), (_, theirs, _)]| {
        format!(
            "what a bad joint makes of {} and {}",
            ours.name, theirs.name
        )
    })
}
