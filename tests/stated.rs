//! What is stated of a site, a set or a signal enters the arithmetic with its size and on its side.

use quietpair::assess::assess;
use quietpair::budget::Step;
use quietpair::finding::Finding;
use quietpair::quantity::Level;
use quietpair::scenario::{NoFiles, read};

/// Two sets 12.5 kHz apart at one site, with what else is said.
fn beside(site: &str, watch: &str) -> Vec<Finding> {
    found(&format!(
        "event: {{name: Walk}}
rules: [uk]
licence: full
settings: {{horizon: 190 dB}}
radios:
  mine: {{based_on: mobile-2m, bands: {{2m: {{receiver: {{protection: 7 dB}}}}}}}}
sites:
  hill: {{at: [54.4150, -0.5320], ground: 100 m{site}}}
stations:
  - {{name: Hill, site: hill, radio: mobile-2m, talk: 145.5250}}
  - {{name: Third, site: hill, radio: mobile-2m, talk: 145.7500}}
  - {{name: Beside, site: hill, radio: mine, {watch}}}
"
    ))
}

fn found(text: &str) -> Vec<Finding> {
    let plan =
        read("walk.yaml", text.as_bytes(), &NoFiles).unwrap_or_else(|faults| panic!("{faults}"));
    assess(&plan).plan.findings
}

/// The findings of a check whose victim is one station.
fn of<'a>(found: &'a [Finding], check: &str, whom: &str) -> Vec<&'a Finding> {
    found
        .iter()
        .filter(|one| one.check == check)
        .filter(|one| {
            one.victim
                .as_ref()
                .is_some_and(|victim| victim.station == whom)
        })
        .collect()
}

fn change(steps: &[Step], what: &str) -> Option<f64> {
    let step = steps.iter().find(|step| step.what.contains(what));
    step.map(|step| step.change.as_db())
}

#[test]
fn a_loss_measured_between_two_stations_wins_where_it_was_measured_and_nowhere_else() {
    let measured = |isolation: &str| {
        let found = beside(
            &format!(", isolation: [{{{isolation}}}]"),
            "watch: 145.5375",
        );
        let heard = of(&found, "adjacent-channel", "Beside");
        let Some(heard) = heard.first() else {
            panic!("Hill is heard beside its channel")
        };
        (
            change(&heard.budget, "measured isolation"),
            heard.level.map_or(f64::NAN, Level::as_dbm),
        )
    };
    let (none, formula) = measured("between: [Hill, Third], loss: 38 dB");
    assert_eq!(none, None, "of another pair");
    let (some, level) = measured("between: [Beside, Hill], loss: 38 dB");
    assert_eq!(some, Some(-38.0));
    let (some, more) = measured("between: [Hill, Beside], loss: 41 dB, at: 145-146");
    assert_eq!(some, Some(-41.0));
    assert!((level - more - 3.0).abs() < 1e-9, "{level} {more}");
    let (none, elsewhere) = measured("between: [Hill, Beside], loss: 38 dB, at: 70cm");
    assert_eq!(none, None, "on another band");
    assert!((elsewhere - formula).abs() < 1e-9);
}

#[test]
fn a_wanted_signal_can_stand_what_is_below_it_by_the_protection() {
    for wanted in [-101.0, -87.0] {
        let found = beside("", &format!("watch: 145.5375, wanted: {wanted} dBm"));
        let heard = of(&found, "adjacent-channel", "Beside");
        let Some(heard) = heard.first() else {
            panic!("Hill is heard beside its channel")
        };
        assert_eq!(heard.threshold, Some(Level::dbm(wanted - 7.0)));
        assert_eq!(change(&heard.limit, "wants"), Some(wanted));
        assert_eq!(change(&heard.limit, "co-channel protection"), Some(-7.0));
    }
}

/// Three marshals who work through a relay; one of them so far from another that they could never talk directly.
#[test]
fn users_of_one_leg_of_a_relay_need_not_hear_each_other_and_those_of_a_channel_must() {
    let service = |use_of: &str, relay: &str| {
        found(&format!(
            "event: {{name: Walk}}
rules: [uk]
licence: full
sites:
  hill: {{at: [54.4150, -0.5320], ground: 300 m}}
  north: {{at: [54.5950, -0.5320], ground: 20 m}}
  south: {{at: [54.2350, -0.5320], ground: 20 m}}
stations:
  - {{name: Relay, site: hill, radio: dual-band-mobile, {relay}}}
  - {{name: North, site: north, radio: handheld, {use_of}}}
  - {{name: South, site: south, radio: handheld, {use_of}}}
"
        ))
        .into_iter()
        .filter(|one| one.check == "service")
        .filter(|one| !one.says.contains("Relay"))
        .count()
    };
    let relayed = "via: Relay, leg: 70cm";
    assert_eq!(service(relayed, "cross_band: [433.4500, 145.2250]"), 0);
    assert_ne!(service("talk: 433.4500", "talk: 145.2250"), 0);
}

/// A loss known between a station and one of several neighbours.
#[test]
fn a_known_loss_is_that_of_the_neighbour_it_names() {
    for named in ["Near", "Far"] {
        let found = found(&format!(
            "event: {{name: Walk}}
rules: [uk]
licence: full
sites:
  hill: {{at: [54.4150, -0.5320], ground: 100 m}}
  shore: {{at: [54.4950, -0.5320], ground: 5 m}}
stations:
  - {{name: Hill, site: hill, radio: mobile-2m, watch: 145.5250}}
  - {{name: Shore, site: shore, radio: mobile-2m, watch: 145.5250}}
in_use:
  - {{name: Near, frequency: 145.5375, power: 25 W, at: [54.4300, -0.5320], antenna: 10 m}}
  - {{name: Far, frequency: 145.5125, power: 25 W, at: [54.5300, -0.5320], antenna: 10 m}}
paths:
  - {{between: [{named}, Hill], loss: 90 dB}}
"
        ));
        let heard = |whom: &str, whose: &str| {
            let heard = found.iter().find(|one| {
                one.check == "co-channel"
                    && one
                        .victim
                        .as_ref()
                        .is_some_and(|victim| victim.station == whom)
                    && one.sources.iter().any(|source| source.name == whose)
            });
            let Some(heard) = heard else {
                panic!("{whom} hears {whose}")
            };
            change(&heard.budget, "its loss known")
        };
        for whose in ["Near", "Far"] {
            assert_eq!(
                heard("Hill", whose),
                (whose == named).then_some(-90.0),
                "{whose}"
            );
        }
        assert_eq!(heard("Shore", "Far"), None);
    }
}

#[test]
fn of_two_losses_known_of_one_path_the_first_of_the_file_counts() {
    let lost = |first: &str, second: &str| {
        let at = ", at: 2m";
        let text = format!(
            "event: {{name: Walk}}
rules: [uk]
licence: full
settings: {{horizon: 190 dB}}
sites:
  hill: {{at: [54.4150, -0.5320], ground: 100 m}}
  shore: {{at: [54.4250, -0.5320], ground: 10 m}}
stations:
  - {{name: Hill, site: hill, radio: mobile-2m, talk: 145.5250}}
  - {{name: Shore, site: shore, radio: mobile-2m, watch: 145.5375}}
paths:
  - {{between: [hill, shore], loss: {first} dB{at}}}
  - {{between: [hill, shore], loss: {second} dB}}
"
        );
        let found = found(&text);
        let heard = of(&found, "adjacent-channel", "Shore");
        change(&heard[0].budget, "its loss known").unwrap()
    };
    assert!((lost("95", "90") + 95.0).abs() < 1e-9);
    assert!((lost("90", "95") + 90.0).abs() < 1e-9);
}

/// A bad joint: what is stated below two carriers of 20 W at third order, and 10 dB more for each two orders (our choice).
#[test]
fn a_bad_joint_makes_each_higher_order_ten_decibels_weaker() {
    let text = "event: {name: Walk}
rules: [uk]
licence: full
settings: {horizon: 190 dB, order: 7, passive: 60 dB}
sites:
  hill: {at: [54.4150, -0.5320], ground: 100 m}
  field: {at: [54.4250, -0.5320], ground: 100 m}
stations:
  - {name: One, site: hill, radio: mobile-2m, talk: 145.3000}
  - {name: Two, site: hill, radio: mobile-2m, talk: 145.4000, antenna: {height: 8 m}}
  - {name: Third, site: field, radio: mobile-2m, watch: 145.5000}
  - {name: Fifth, site: field, radio: mobile-2m, watch: 145.6000}
  - {name: Seventh, site: field, radio: mobile-2m, watch: 145.7000}
";
    let found = found(text);
    for (whom, below) in [("Third", -60.0), ("Fifth", -70.0), ("Seventh", -80.0)] {
        let heard = of(&found, "passive-intermodulation", whom);
        let on_channel = heard
            .iter()
            .find(|one| !one.arithmetic.contains("meets"))
            .unwrap_or_else(|| panic!("{whom}: {heard:#?}"));
        let joint = change(&on_channel.budget, "a bad joint").unwrap();
        assert!((joint - below).abs() < 1e-9, "{whom}: {joint}");
    }
}
