//! What is told beside the rows of a search, against the same asked of `check` one candidate at a time.

use std::collections::BTreeMap;

use quietpair::assess::{Verdict, judge};
use quietpair::finding::{Finding, Matter, Severity};
use quietpair::physics::statistics::Chance;
use quietpair::quantity::{Frequency, Length};
use quietpair::scenario::{NoFiles, Plan, Proposal, read};
use quietpair::search::{Answer, Front, Question, Supposed, Trials, answer};

/// A relay that nobody works through, and two neighbours.
fn plan(more: &str) -> Plan {
    let text = format!(
        "
event: {{name: Test}}
rules: [uk]
licence: full
settings: {{order: 3}}
absent: [marine, marine-distress]
sites:
  hill: {{at: [54.4150, -0.5320], ground: 118 m}}
  field: {{at: [54.4571, -0.6033], ground: 20 m}}
stations:
  - {{name: Relay, site: hill, radio: dual-band-mobile, power: low}}
in_use:
  - {{name: Gateway, frequency: 145.2875, power: 5 W, at: [54.40, -0.60], listeners: {{nearest: 40 km}}}}
  - {{name: Town, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43], antenna: 30 m, listeners: {{nearest: 40 km}}}}
{more}"
    );
    read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"))
}

fn answered(plan: &Plan, question: Question) -> Answer {
    let top = 1000;
    let every = Question {
        top,
        is_every: true,
        ..question
    };
    answer(plan, &plan.searches[0], &every)
}

/// A pair written down as a proposal, for `check`.
fn proposal(legs: &[Frequency], more: &str) -> (Plan, Proposal) {
    let [first, second] = legs else {
        panic!("{legs:?}");
    };
    let (first, second) = (first.as_hz(), second.as_hz());
    let rest = format!(
        "{more}proposals:\n  - {{name: it, station: Relay, cross_band: [{first} Hz, {second} Hz]}}\n"
    );
    let plan = plan(&rest);
    let proposal = plan.proposals[0].clone();
    (plan, proposal)
}

fn checked(legs: &[Frequency], more: &str) -> Vec<Finding> {
    let (plan, proposal) = proposal(legs, more);
    judge(&plan, Some(&proposal)).findings
}

#[test]
fn a_stranger_spoils_the_channels_on_which_check_finds_a_conflict_with_it() {
    let search = "search:\n  - {name: pair, station: Relay, cross_band: [433.4000-433.5000, [145.2000, 145.3500-145.4250]], step: 25 kHz}\n";
    let plan = plan(search);
    let distance = Length::metres(10_000.0);
    let found = answered(
        &plan,
        Question {
            stranger: Some(distance),
            ..Question::default()
        },
    );
    let best = &found.ranking.rows[0];
    let strangers = found.strangers.unwrap();
    assert_eq!(strangers.legs, best.legs);
    assert_eq!(strangers.distance, distance);
    let channels: Vec<i64> = (433_400_000..=433_500_000)
        .chain([145_200_000])
        .chain(145_350_000..=145_425_000)
        .filter(|hertz| hertz % 25_000 == 0)
        .collect();
    assert_eq!(strangers.tried, channels.len());
    let spoilt: Vec<i64> = channels
        .into_iter()
        .filter(|hertz| {
            let stranger = format!(
                "  - {{name: Stranger, frequency: {hertz} Hz, erp: 25 W, distance: 10 km, antenna: 10 m, ground: 0 m}}\n"
            );
            checked(&best.legs, &stranger).iter().any(|finding| {
                let sources = finding.sources.iter().map(|term| &term.name);
                let victim = finding.victim.iter().map(|victim| &victim.station);
                let mut names = sources.chain(victim);
                finding.severity == Severity::Conflict && names.any(|name| name.contains("Stranger"))
            })
        })
        .collect();
    assert!(!spoilt.is_empty() && spoilt.len() < strangers.tried);
    let told: Vec<i64> = strangers
        .spoilt
        .iter()
        .flat_map(|run| (run.low.as_hz()..=run.high.as_hz()).step_by(25_000))
        .collect();
    let mut sorted = spoilt;
    sorted.sort_unstable();
    assert_eq!(told, sorted);
    assert_eq!(strangers.channels, sorted.len());
    // One run for channels that are one step apart, and not for others.
    for pair in strangers.spoilt.windows(2) {
        assert!((pair[1].low - pair[0].high).as_hz() > 25_000);
    }
}

/// What a candidate is weighed by, worked out from what `check` finds of it: least margin, liking, chance; less is better.
fn weights(legs: &[Frequency], preference: i32) -> [i64; 3] {
    let found = checked(legs, "");
    let met: Vec<&Finding> = found
        .iter()
        .filter(|one| one.matter == Matter::Interference && one.spared.is_none())
        .collect();
    let margin = met.iter().filter_map(|one| one.margin).min();
    let chance = met.iter().filter_map(|one| one.chance);
    let chance = chance.map(Chance::as_fraction).fold(0.0, f64::max);
    let whole = |value: f64| format!("{value:.0}").parse::<i64>().unwrap();
    [
        margin.map_or(i64::MIN, |margin| -whole(margin.as_db().floor())),
        -i64::from(preference),
        whole((chance * 100.0).round()),
    ]
}

fn front() -> (Answer, Front) {
    let search = "search:\n  - {name: pair, station: Relay, cross_band: [433.4000-433.5000, 145.2000-145.4500], step: 25 kHz}\n";
    let plan = plan(search);
    let mut found = answered(
        &plan,
        Question {
            wants_front: true,
            ..Question::default()
        },
    );
    let front = found.front.take().unwrap();
    (found, front)
}

#[test]
fn the_front_is_what_no_other_safe_pair_beats_by_the_findings_of_check() {
    let (found, front) = front();
    let safe = found
        .ranking
        .rows
        .iter()
        .filter(|row| row.verdict != Verdict::Conflict);
    let all: Vec<(Vec<Frequency>, [i64; 3])> = safe
        .map(|row| (row.legs.clone(), weights(&row.legs, row.preference)))
        .collect();
    assert_eq!(front.weighed, all.len());
    assert!(front.is_all);
    let is_beaten = |own: &[i64; 3]| {
        all.iter()
            .any(|(_, other)| other != own && other.iter().zip(own).all(|(a, b)| a <= b))
    };
    let mut unbeaten: Vec<[i64; 3]> = all.iter().map(|(_, own)| *own).collect();
    let weighed = unbeaten.len();
    unbeaten.retain(|own| !is_beaten(own));
    assert!(unbeaten.len() < weighed, "nothing is beaten");
    // Nobody works through the relay, so that there is no balance.
    assert!(front.points.iter().all(|point| point.balance.is_none()));
    let told: Vec<(usize, [i64; 3])> = front
        .points
        .iter()
        .map(|point| {
            let row = &point.row;
            (point.alike, weights(&row.legs, row.preference))
        })
        .collect();
    let alike = |own: &[i64; 3]| unbeaten.iter().filter(|other| *other == own).count();
    for (count, own) in &told {
        assert_eq!(*count, alike(own));
    }
    assert_eq!(
        told.iter().map(|(count, _)| count).sum::<usize>(),
        unbeaten.len()
    );
}

/// How often a pair stays safe, from the chances that `check` tells: what one receiver hears of one set of sources comes true
/// together, all else by itself.
fn reckoned(legs: &[Frequency]) -> f64 {
    let mut ways: BTreeMap<(String, Vec<String>), f64> = BTreeMap::new();
    for finding in checked(legs, "") {
        let is_danger = finding.matter == Matter::Interference && finding.spared.is_none();
        if let (true, Some(chance), Some(victim)) = (is_danger, finding.chance, finding.victim) {
            let mut sources: Vec<String> =
                finding.sources.into_iter().map(|term| term.name).collect();
            sources.sort_unstable();
            let known = ways.entry((victim.station, sources)).or_default();
            *known = known.max(chance.as_fraction());
        }
    }
    ways.values().map(|chance| 1.0 - chance).product()
}

#[test]
fn trials_stay_safe_as_often_as_the_chances_of_check_leave_them() {
    let mut least = f64::MAX;
    for second in ["145.0750", "145.0875", "145.1000"] {
        let search = format!(
            "search:\n  - {{name: pair, station: Relay, cross_band: [433.4500, {second}], step: 12.5 kHz}}\n"
        );
        let trials = Trials {
            count: 4000,
            seed: 3,
        };
        let question = Question {
            trials: Some(trials),
            ..Question::default()
        };
        let found = answered(&plan(&search), question);
        let ([row], [share]) = (&found.ranking.rows[..], &found.shares[..]) else {
            panic!("{found:?}");
        };
        assert_eq!(share.trials, 4000);
        let expected = reckoned(&row.legs);
        // Three standard deviations of 4000 trials are 0.024 at most.
        assert!(
            (share.fraction() - expected).abs() < 0.025,
            "{second}: {share:?}, reckoned {expected}"
        );
        least = least.min(expected);
    }
    assert!(least < 0.1, "nothing was in danger");
}

/// How far the weakest way into a relay and the weakest way out are apart, by the margins that `check` tells of service: with
/// these powers of the relay and of its user at 70 cm, far off.
fn assert_balanced_as_served(relay: &str, user: &str) {
    let text = format!(
        "
event: {{name: Test}}
rules: [uk]
licence: full
settings: {{order: 3, reserve: 40 dB, horizon: 40 dB}}
sites:
  hill: {{at: [54.4150, -0.5320], ground: 118 m}}
  field: {{at: [54.7571, -0.9033], ground: 20 m}}
stations:
  - {{name: Relay, site: hill, radio: dual-band-mobile, power: {relay}}}
  - {{name: Control, site: field, radio: dual-band-mobile, power: {relay}, via: Relay, leg: 2m}}
  - {{name: Marshal, site: field, radio: dual-band-mobile, power: {user}, via: Relay, leg: 70cm, antenna: {{offset: {{east: 900 m, north: 0 m}}}}}}
search:
  - {{name: pair, station: Relay, cross_band: [433.4000, 145.2500], step: 25 kHz}}
proposals:
  - {{name: it, station: Relay, cross_band: [433.4000, 145.2500]}}
"
    );
    let plan =
        read("test.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|error| panic!("{error}"));
    let question = Question {
        wants_front: true,
        ..Question::default()
    };
    let front = answered(&plan, question).front.unwrap();
    let told = front.points[0].balance.unwrap();
    let found = judge(&plan, Some(&plan.proposals[0])).findings;
    let least = |is_relay: bool| {
        let ways = found.iter().filter(|one| {
            one.check == "service" && (one.victim.as_ref().unwrap().station == "Relay") == is_relay
        });
        ways.filter_map(|one| one.margin).min().unwrap()
    };
    let apart = (least(true) - least(false)).as_db().abs();
    assert!(apart > 3.0, "the ways are too much alike: {apart}");
    assert!((told.as_db() - apart).abs() < 1e-9, "{told} and {apart}");
}

#[test]
fn a_relay_is_as_evenly_heard_as_the_margins_of_service_say() {
    assert_balanced_as_served("high", "low");
    assert_balanced_as_served("low", "high");
}

/// No licence opens 147 MHz here: however the levels fall out, such a pair is not safe.
#[test]
fn what_is_refused_by_more_than_levels_stays_safe_in_no_trial() {
    let share = |second: &str| {
        let search = format!(
            "search:\n  - {{name: pair, station: Relay, cross_band: [433.4500, {second}], step: 12.5 kHz}}\n"
        );
        let question = Question {
            trials: Some(Trials {
                count: 200,
                seed: 3,
            }),
            ..Question::default()
        };
        let found = answered(&plan(&search), question);
        let ([row], [share]) = (&found.ranking.rows[..], &found.shares[..]) else {
            panic!("{found:?}");
        };
        assert_eq!(share.trials, 200);
        (row.verdict, share.safe)
    };
    let (verdict, safe) = share("145.4250");
    assert!(verdict != Verdict::Conflict && safe > 50, "{safe}");
    assert_eq!(share("147.0000"), (Verdict::Conflict, 0));
    let levels = checked(&[433_450_000, 147_000_000].map(Frequency::hz), "");
    let hurts = |one: &&Finding| one.severity == Severity::Conflict;
    let mut hurt = levels.iter().filter(hurts);
    assert!(
        hurt.all(|one| one.matter == Matter::Law),
        "the levels refuse it too"
    );
}

#[test]
fn a_change_is_told_by_itself_and_several_also_all_together() {
    let search = "search:\n  - {name: pair, station: Relay, cross_band: [433.4500, 145.4250], step: 12.5 kHz}\n";
    let plan = plan(search);
    let told = |names: &[&str]| {
        let suppose = names.iter().map(|name| (*name).to_owned());
        let question = Question {
            suppose: suppose.map(Supposed::Without).collect(),
            ..Question::default()
        };
        let bought = answered(&plan, question).bought;
        bought.into_iter().map(|one| one.what).collect::<Vec<_>>()
    };
    assert!(told(&[]).is_empty());
    assert_eq!(told(&["Town"]), ["as planned", "without Town"]);
    assert_eq!(
        told(&["Town", "Gateway"]),
        [
            "as planned",
            "without Town",
            "without Gateway",
            "all together"
        ]
    );
}
