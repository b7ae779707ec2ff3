//! The plan as a network: small scenarios with known answers, each check once tripped and once not.

use quietpair::assess::{Assessment, assess, findings};
use quietpair::finding::{Finding, Severity};
use quietpair::scenario::{self, Legs, NoFiles, Plan};
use quietpair::scene::{Scene, Trial};

/// The checks of the network that depend on the frequencies under trial.
const OF_THE_PAIR: [&str; 5] = [
    "repeat-loop",
    "repeater-lockout",
    "tone-close",
    "tone-missing",
    "tone-open",
];

fn plan(rest: &str) -> Plan {
    let head = "rules: [uk]\nlicence: full\nevent: {name: Test, from: \"2027-05-16T08:00+01:00[Europe/London]\", \
                to: \"2027-05-16T14:00+01:00[Europe/London]\"}\n\
                sites:\n  hill: {at: [54.4150, -0.5320], ground: 118 m}\n  town: {at: [54.4300, -0.5400], ground: 20 m}\n  \
                far: {at: [57.4300, -0.5400], ground: 20 m}\n";
    let text = format!("{head}{rest}");
    scenario::read("test.yaml", text.as_bytes(), &NoFiles)
        .unwrap_or_else(|error| panic!("{error}\n{text}"))
}

fn of<'a>(assessment: &'a Assessment, check: &str) -> Vec<&'a Finding> {
    let all = assessment.proposals.iter().chain([&assessment.plan]);
    all.flat_map(|judged| &judged.findings)
        .filter(|finding| finding.check == check)
        .collect()
}

fn relay(name: &str, site: &str, uses: &str) -> String {
    format!("  - {{name: {name}, site: {site}, radio: dual-band-mobile, uses: [{{{uses}}}]}}\n")
}

fn handheld(name: &str, uses: &str) -> String {
    format!("  - {{name: {name}, site: town, radio: handheld, uses: [{{{uses}}}]}}\n")
}

const TOWN: &str = "in_use:\n  - {name: Town repeater, output: 145.6500, input: 145.0500, erp: 25 W, at: [54.33, -0.43], \
                    antenna: 30 m, tone: 77.0}\n";

#[test]
fn two_relays_on_one_pair_without_tones_key_each_other() {
    let pair = "cross_band: [433.4500, 145.2250]";
    let looping = plan(&format!(
        "stations:\n{}{}",
        relay("One", "hill", pair),
        relay("Two", "town", pair)
    ));
    let assessment = assess(&looping);
    let loops = of(&assessment, "repeat-loop");
    assert_eq!(loops.len(), 2, "one way round and the other");
    assert!(
        loops
            .iter()
            .all(|finding| finding.severity == Severity::Conflict)
    );
    let apart = plan(&format!(
        "stations:\n{}{}",
        relay("One", "hill", pair),
        relay("Two", "far", pair)
    ));
    assert!(
        of(&assess(&apart), "repeat-loop").is_empty(),
        "out of earshot"
    );
    let toned = "cross_band: [433.4500, 145.2250], tone: 77.0";
    let quiet = plan(&format!(
        "stations:\n{}{}",
        relay("One", "hill", pair),
        relay("Two", "town", toned)
    ));
    assert!(
        of(&assess(&quiet), "repeat-loop").is_empty(),
        "the first relay sends no tone that opens the second"
    );
}

/// The profiles' figures: hang time of the repeater, squelch tail and hang time of the relay.
#[test]
fn a_relay_parked_on_a_repeaters_output_locks_its_users_out() {
    let stations = |tone: &str| {
        let uses = format!("cross_band: [433.4500, 145.6500]{tone}");
        format!(
            "stations:\n{}{}{TOWN}",
            relay("Hill", "hill", &uses),
            handheld("Marshal", &format!("talk: 433.4500{tone}"))
        )
    };
    let parked = plan(&stations(""));
    let assessment = assess(&parked);
    let held = of(&assessment, "repeater-lockout");
    assert_eq!(held.len(), 1);
    assert_eq!(held[0].severity, Severity::Conflict);
    let timing = |name: &str| {
        let station = parked
            .stations
            .iter()
            .find(|station| station.name == name)
            .map(|one| &one.radio);
        station.unwrap_or(&parked.in_use[0].radio).timing.clone()
    };
    let (town, hill) = (timing("Town repeater"), timing("Hill"));
    let sum = town.hang.value + hill.squelch_tail.value + hill.hang.value;
    let told = quietpair::net::told(std::time::Duration::from_millis(sum));
    assert!(
        held[0].arithmetic.ends_with(&format!("= {told}")),
        "{}",
        held[0].arithmetic
    );
    assert!(
        of(
            &assess(&plan(&stations(", tone: 88.5"))),
            "repeater-lockout"
        )
        .is_empty(),
        "the output sends no tone"
    );
}

#[test]
fn a_tone_that_a_strangers_repeater_waits_for_opens_it() {
    let with = |tone: &str| {
        plan(&format!(
            "stations:\n{}{TOWN}",
            relay("Control", "town", &format!("talk: 145.0500, tone: {tone}"))
        ))
    };
    let opened = assess(&with("77.0"));
    assert_eq!(of(&opened, "tone-open").len(), 1);
    assert_eq!(of(&opened, "tone-open")[0].severity, Severity::Conflict);
    assert!(of(&assess(&with("79.7")), "tone-open").is_empty());
}

#[test]
fn a_user_without_the_relays_tone_is_told_and_one_with_it_is_not() {
    let with = |tone: &str| {
        let hill = relay(
            "Hill",
            "hill",
            "cross_band: [433.4500, 145.2250], tone: 77.0",
        );
        plan(&format!(
            "stations:\n{hill}{}",
            handheld("Marshal", &format!("talk: 433.4500{tone}"))
        ))
    };
    let without = assess(&with(""));
    let told = of(&without, "tone-missing");
    assert_eq!(told.len(), 1);
    assert!(
        told[0].says.contains("cannot open Hill"),
        "{}",
        told[0].says
    );
    assert!(of(&assess(&with(", tone: 77.0")), "tone-missing").is_empty());
}

#[test]
fn tones_that_practice_keeps_apart_are_told_and_the_next_ones_are_not() {
    let with = |tone: &str| {
        let hill = relay(
            "Hill",
            "hill",
            "cross_band: [433.4500, 145.2250], tone: 67.0",
        );
        plan(&format!(
            "stations:\n{hill}{}",
            relay("Stranger", "town", &format!("talk: 145.2250, tone: {tone}"))
        ))
    };
    let close = |plan: &Plan| {
        let assessment = assess(plan);
        of(&assessment, "tone-close")
            .iter()
            .filter(|one| one.severity == Severity::Caution)
            .count()
    };
    assert!(close(&with("69.3")) > 0);
    assert_eq!(close(&with("88.5")), 0);
}

/// A half-duplex relay between two sides: waits are told, and nobody breaks in before tail and hang time are over.
#[test]
fn a_relay_in_use_has_its_waits_duty_and_distances_told() {
    let hill = relay(
        "Hill",
        "hill",
        "cross_band: [433.4500, 145.2250], tone: 77.0",
    );
    let users = handheld("Marshal", "talk: 433.4500, tone: 77.0")
        + &relay("Control", "town", "talk: 145.2250, tone: 77.0");
    let assessment = assess(&plan(&format!("stations:\n{hill}{users}")));
    for check in ["timing", "break-in", "time-out", "duty", "single-point"] {
        assert_eq!(of(&assessment, check).len(), 1, "{check}");
    }
    assert_eq!(
        of(&assessment, "exposure").len(),
        4,
        "two sides of the relay, marshal and control"
    );
    let timing = of(&assessment, "timing")[0];
    assert!(
        timing.says.contains("Marshal and Control"),
        "{}",
        timing.says
    );
}

/// A finding rests on exactly the legs it names: what rests on one leg is the same with and without the other.
#[test]
fn what_rests_on_one_leg_is_the_same_without_the_other() {
    let pair = "cross_band: [433.4500, 145.2250]";
    let rest = format!(
        "stations:\n{}{}{}{}{TOWN}proposals:\n  - {{name: A, station: Hill, cross_band: [433.4500, 145.0500], tone: 77.0}}\n  \
         - {{name: B, station: Hill, cross_band: [434.0000, 145.6500]}}\n",
        relay("Hill", "hill", "cross_band: [434.5000, 145.5000]"),
        relay("Two", "town", pair),
        handheld("Marshal", "talk: 433.4500, tone: 79.7"),
        handheld("Guide", "talk: 434.0000")
    );
    let plan = plan(&rest);
    let mut compared = 0;
    for proposal in &plan.proposals {
        let whole = Scene::build(&plan, Some(Trial::whole(proposal)));
        for leg in [Legs::FIRST, Legs::SECOND] {
            let alone = Scene::build(
                &plan,
                Some(Trial {
                    present: leg,
                    ..Trial::whole(proposal)
                }),
            );
            let told = |scene: &Scene<'_>| -> Vec<String> {
                let mut told: Vec<String> = findings(scene, Some(proposal), &[leg])
                    .into_iter()
                    .filter(|finding| OF_THE_PAIR.contains(&finding.check))
                    .map(|finding| format!("{finding:?}"))
                    .collect();
                told.sort_unstable();
                told
            };
            assert_eq!(told(&whole), told(&alone), "{} {leg:?}", proposal.name);
            compared += told(&whole).len();
        }
    }
    assert!(
        compared >= 4,
        "the comparison must have something to compare: {compared}"
    );
}
