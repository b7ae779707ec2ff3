//! What single entries of a pack say of transmissions just inside and just outside of them, and what a file of a pack is
//! refused for. The packs are invented; to the hertz, the day and the hundredth of a decibel.

use std::sync::Arc;

use quietpair::law::{
    Against, Breach, Force, Kind, Law, Pack, Preference, Purpose, Role, Spurious, Transmission,
    read,
};
use quietpair::quantity::{Decibels, Frequency, Level, Offset, Power};

const HEAD: &str = "pack: xx
title: A pack
jurisdiction: Nowhere
edition: of today
checked: 2026-11-25
sources:
  act: {text: An act, standing: published}
  habit: {text: A habit, standing: memory}
zones:
  capital: {name: the capital, shapes: [{circle: {at: [51.5, 0.0], radius: 10 km}}]}
licences:
  - {id: basic, title: Basic, source: act}
  - {id: full, title: Full, source: act}
";

fn text(kind: &str, entries: &str) -> String {
    format!("{HEAD}kind: {kind}\n{entries}")
}

fn refused(entries: &str) -> String {
    match read("xx.yaml", text("law", entries).as_bytes()) {
        Ok(_) => panic!("it was read: {entries}"),
        Err(error) => error.to_string(),
    }
}

fn pack(kind: &str, entries: &str) -> Arc<Pack> {
    match read("xx.yaml", text(kind, entries).as_bytes()) {
        Ok(pack) => Arc::new(pack),
        Err(error) => panic!("{error}"),
    }
}

fn law_for(kind: &str, entries: &str, licence: Option<&str>) -> Law {
    Law::stack([(pack(kind, entries), Role::Binding)], licence).unwrap()
}

/// A law with the whole of 2 m open, and some rules.
fn law(rules: &str) -> Law {
    law_for("law", &format!("{BAND}{rules}"), None)
}

const BAND: &str = "bands: [{name: 2m, span: [144.0, 146.0], status: primary, source: act}]\n";

/// 11 kHz of voice around a carrier.
fn voice(hertz: i64) -> Transmission {
    let emission = "11K0F3E".parse().unwrap();
    Transmission::new(Frequency::hz(hertz), emission, Purpose::Simplex)
}

fn on_days(mut asked: Transmission, first: &str, last: &str) -> Transmission {
    let noon = |day: &str| format!("{day}T12:00:00Z").parse().unwrap();
    asked.period = Some((noon(first), noon(last)));
    asked
}

fn said(law: &Law, asked: &Transmission) -> Vec<(Against, Force)> {
    let found = law.ruling(asked).into_iter();
    found.map(|one| (one.against, one.force)).collect()
}

#[test]
fn a_carrier_beside_a_shut_stretch_is_told_how_far_it_reaches_in_and_one_on_its_edge_that_it_is_shut()
 {
    let law = law(
        "rules: [{id: shut, spans: [[144.5, 144.6]], demand: forbidden, force: forbidden, says: Shut, source: act}]\n",
    );
    let edge = |hertz: i64| match said(&law, &voice(hertz)).as_slice() {
        [(Against::Edge { edge, excess }, Force::Forbidden)] => {
            Some((edge.as_hz(), excess.as_hz()))
        }
        [(Against::Use { stretch: Some(_) }, Force::Forbidden)] => Some((0, 0)),
        [] => None,
        other => panic!("{other:?}"),
    };
    assert_eq!(edge(144_494_499), None);
    assert_eq!(edge(144_495_500), Some((144_500_000, 1_000)));
    assert_eq!(edge(144_499_999), Some((144_500_000, 5_499)));
    assert_eq!(edge(144_500_000), Some((0, 0)));
    assert_eq!(edge(144_600_000), Some((0, 0)));
    assert_eq!(edge(144_600_001), Some((144_600_000, 5_499)));
    assert_eq!(edge(144_604_500), Some((144_600_000, 1_000)));
    assert_eq!(edge(144_605_501), None);
}

#[test]
fn what_is_as_wide_or_as_strong_as_is_allowed_is_allowed() {
    let most = |width: &str| {
        let law = law(&format!(
            "rules: [{{id: most, demand: {{width: {width}}}, force: forbidden, says: Narrow, source: act}}]\n"
        ));
        said(&law, &voice(145_000_000)).len()
    };
    assert_eq!((most("11 kHz"), most("10.999 kHz")), (0, 1));

    let law = law(
        "rules: [{id: most, demand: {power: {most: 10 W, measure: output}}, force: forbidden, says: Weak, source: act}]\n",
    );
    let excess = |over: f64| {
        let mut asked = voice(145_000_000);
        asked.output = Power::of_level(Power::watts(10.0).level() + Decibels::db(over));
        match said(&law, &asked).as_slice() {
            [(Against::Power { excess, .. }, _)] => Some((excess.as_db() * 1000.0).round()),
            [] => None,
            other => panic!("{other:?}"),
        }
    };
    // A hundredth of a decibel is rounding.
    assert_eq!(excess(-3.0), None);
    assert_eq!(excess(0.0), None);
    assert_eq!(excess(0.0099), None);
    assert_eq!(excess(0.0101), Some(10.0));
    assert_eq!(excess(3.0), Some(3000.0));
}

#[test]
fn a_harmonic_at_its_limit_is_allowed_and_one_above_it_is_told_by_how_much() {
    let law = law(
        "rules: [{id: clean, demand: {spurious: {over: 1 W, up_to: 25 W, most: 25 uW, below: 40 dB, enough: 10 uW, enough_below: 70 dB}}, force: forbidden, says: Clean, source: act}]\n",
    );
    let excess = |watts: f64, level: f64| {
        let mut asked = voice(145_000_000);
        asked.output = Power::watts(watts);
        asked.spurious = Some(Spurious {
            frequency: Frequency::hz(290_000_000),
            level: Level::dbm(level),
        });
        match said(&law, &asked).as_slice() {
            [(Against::Spurious { excess, .. }, _)] => Some((excess.as_db() * 10.0).round()),
            [] => None,
            other => panic!("{other:?}"),
        }
    };
    // 25 µW is −16.02 dBm, and 40 dB below 2 W −6.99 dBm: the stricter of them.
    assert_eq!(excess(2.0, -16.1), None);
    assert_eq!(excess(2.0, -16.015), None);
    assert_eq!(excess(2.0, -15.0), Some(10.0));
    // The limit is about transmitters above 1 W up to 25 W.
    assert_eq!(excess(0.9, 0.0), None);
    assert_eq!(excess(26.0, 30.0), None);
    let words = law.layers()[0].pack.rules[0].figures();
    assert_eq!(
        words,
        "Clean [above 1 W, up to 25 W, at most −16.0 dBm, at least 40.0 dB down, −20.0 dBm is enough, 70.0 dB down is \
         enough]"
    );
}

#[test]
fn a_rule_that_begins_or_ends_on_a_day_holds_from_or_until_then() {
    for (days, before, amid, after) in [
        ("from: 2027-06-05", 0, 1, 1),
        ("until: 2027-06-05", 1, 1, 0),
        ("from: 2027-06-05, until: 2027-06-05", 0, 1, 0),
    ] {
        let law = law(&format!(
            "rules: [{{id: shut, spans: [[144.5, 144.6]], {days}, demand: forbidden, force: forbidden, says: Shut, source: act}}]\n"
        ));
        let on = |first: &str, last: &str| {
            let said = said(&law, &on_days(voice(144_550_000), first, last));
            for (against, force) in &said {
                assert_eq!(*force, Force::Forbidden);
                assert!(
                    matches!(
                        against,
                        Against::Time {
                            is_inside: true,
                            ..
                        }
                    ),
                    "{against:?}"
                );
            }
            said.len()
        };
        assert_eq!(on("2027-06-01", "2027-06-04"), before, "{days}");
        assert_eq!(on("2027-06-05", "2027-06-05"), amid, "{days}");
        assert_eq!(on("2027-06-01", "2027-06-09"), 1, "{days}");
        assert_eq!(on("2027-06-06", "2027-06-09"), after, "{days}");
        // Where no day is known it may hold.
        assert!(matches!(
            said(&law, &voice(144_550_000)).as_slice(),
            [(
                Against::Time {
                    is_inside: false,
                    ..
                },
                Force::Caution
            )]
        ));
    }
}

#[test]
fn of_several_duties_to_identify_the_one_that_wants_it_most_often_counts() {
    let law = law("rules:
  - {id: half, demand: {identify: {minutes: 30}}, force: caution, says: Every half hour, source: act}
  - {id: ten, demand: {identify: {minutes: 10}}, force: forbidden, says: Every ten minutes, source: act}
  - {id: quarter, demand: {identify: {minutes: 15}}, force: caution, says: Every quarter, source: act}
");
    let breach = law.identification(&voice(145_000_000)).unwrap();
    assert_eq!(breach.rule, "xx/ten");
    // A ruling only reminds of it; whoever knows how a station identifies hears it in full.
    assert_eq!(breach.force, Force::Forbidden);
    let reminded = said(&law, &voice(145_000_000));
    assert!(reminded.iter().all(|one| one.1 == Force::Note) && reminded.len() == 3);
}

#[test]
fn a_band_that_some_licences_have_is_shut_to_the_others() {
    let bands = "bands:
  - {name: 2m, span: [144.0, 146.0], status: primary, source: act}
  - {name: 70cm, span: [430.0, 440.0], status: secondary, licences: [full], source: act}
";
    let against = |licence: Option<&str>, hertz: i64| {
        let law = law_for("law", bands, licence);
        let mut said = said(&law, &voice(hertz));
        assert!(said.len() < 2);
        said.pop().map(|(against, force)| {
            assert_eq!(force, Force::Forbidden);
            match against {
                Against::NoBand { nearest } => nearest.map(|span| span.low.as_hz()),
                other => panic!("{other:?}"),
            }
        })
    };
    assert_eq!(against(Some("full"), 435_000_000), None);
    assert_eq!(against(Some("basic"), 435_000_000), Some(Some(144_000_000)));
    assert_eq!(against(None, 435_000_000), Some(Some(144_000_000)));
    for licence in [Some("full"), Some("basic"), None] {
        assert_eq!(against(licence, 145_000_000), None);
    }
}

#[test]
fn whatever_a_neighbour_forbids_is_a_caution_here() {
    let text = "rules: [{id: shut, spans: [[144.5, 144.6]], demand: forbidden, force: forbidden, says: Shut, source: act}]\n";
    for (role, force) in [
        (Role::Binding, Force::Forbidden),
        (Role::Neighbour, Force::Caution),
    ] {
        let law = Law::stack([(pack("local", text), role)], None).unwrap();
        let ruling = law.ruling(&voice(144_550_000));
        let heard: Vec<(Force, bool)> = (ruling.iter())
            .map(|breach: &Breach<'_>| (breach.force, breach.is_neighbours))
            .collect();
        assert_eq!(heard, [(force, role == Role::Neighbour)]);
    }
}

#[test]
fn a_permission_may_lift_the_bands_of_a_law_that_has_some() {
    let permission = "permissions: [{name: Letter, lifts: [xx/bands, yy/bands], source: act}]\n";
    let unknown = |entries: &str| -> Vec<String> {
        let law = law_for("law", entries, None);
        let names = law.unknown_lifts().into_iter();
        names.map(|(_, name)| name.to_owned()).collect()
    };
    assert_eq!(unknown(&format!("{BAND}{permission}")), ["yy/bands"]);
    assert_eq!(unknown(permission), ["xx/bands", "yy/bands"]);
}

/// What a rule of some kind leaves of 144 to 146 MHz.
fn open(rule: &str, licence: Option<&str>) -> Vec<(i64, i64)> {
    let rules = format!(
        "rules: [{{id: shut, spans: [[144.5, 144.6]], demand: forbidden, says: Shut, source: act, {rule}}}]\n"
    );
    let law = law_for("law", &format!("{BAND}{rules}"), licence);
    let open = law.open_for("2m", Purpose::Simplex).into_iter();
    open.map(|span| (span.low.as_hz() / 1000, span.high.as_hz() / 1000))
        .collect()
}

#[test]
fn a_search_looks_wherever_nothing_is_shut_to_it_everywhere_and_always() {
    let shut = [(144_000, 144_500), (144_600, 146_000)];
    let whole = [(144_000, 146_000)];
    assert_eq!(open("force: forbidden", None), shut);
    assert_eq!(open("force: forbidden, uses: [simplex]", None), shut);
    assert_eq!(
        open("force: forbidden, licences: [basic]", Some("basic")),
        shut
    );
    for (rule, licence) in [
        ("force: caution", None),
        ("force: forbidden, zone: capital", None),
        ("force: forbidden, from: 2027-06-05", None),
        ("force: forbidden, until: 2027-06-05", None),
        ("force: forbidden, controls: [automatic]", None),
        ("force: forbidden, uses: [packet]", None),
        ("force: forbidden, licences: [basic]", Some("full")),
    ] {
        assert_eq!(open(rule, licence), whole, "{rule}");
    }
}

const STEP: Offset = Offset::hz(12_500);

fn khz([below, above]: [Option<Frequency>; 2]) -> [Option<f64>; 2] {
    [below, above].map(|found| found.map(|one| one.as_hz() as f64 / 1000.0))
}

#[test]
fn the_nearest_open_channels_of_a_narrow_stretch_are_those_that_hold_the_emission_to_the_hertz() {
    let near = |low: f64, high: f64, carrier: i64| {
        let rules = format!(
            "rules:
  - {{id: low, spans: [[144.0, {low}]], demand: forbidden, force: forbidden, says: Shut, source: act}}
  - {{id: high, spans: [[{high}, 146.0]], demand: forbidden, force: forbidden, says: Shut, source: act}}
"
        );
        khz(law(&rules).nearest_open(&voice(carrier), STEP))
    };
    // One channel fits, 145.0000 MHz with 5.5 kHz on either side.
    let (low, high) = (144.9945, 145.0055);
    assert_eq!(near(low, high, 144_900_000), [None, Some(145_000.0)]);
    assert_eq!(near(low, high, 145_100_000), [Some(145_000.0), None]);
    assert_eq!(near(low, high, 145_000_000), [None, None]);
    assert_eq!(near(144.994_501, high, 144_900_000), [None, None]);
    assert_eq!(near(low, 145.005_499, 144_900_000), [None, None]);
    // Three channels: those on either side of the carrier, on the raster or off it.
    let (low, high) = (144.9945, 145.0305);
    assert_eq!(
        near(low, high, 145_012_500),
        [Some(145_000.0), Some(145_025.0)]
    );
    assert_eq!(
        near(low, high, 145_012_501),
        [Some(145_012.5), Some(145_025.0)]
    );
    assert_eq!(
        near(low, high, 145_012_499),
        [Some(145_000.0), Some(145_012.5)]
    );
    assert_eq!(near(low, high, 145_000_000), [None, Some(145_012.5)]);
    assert_eq!(near(low, high, 145_025_000), [Some(145_012.5), None]);
}

#[test]
fn who_must_move_is_shown_the_nearest_channels_that_nobody_forbids_or_keeps() {
    // Ten watts too many change nothing about where one may go, nor does who is in control.
    let rules = "rules:
  - {id: zone, spans: [[145.2, 145.3]], zone: capital, demand: forbidden, force: forbidden, says: Shut, source: act}
  - {id: weak, demand: {power: {most: 100 mW, measure: output}}, force: forbidden, says: Weak, source: act}
  - {id: manned, demand: {control: [remote]}, force: forbidden, says: Remote only, source: act}
";
    let segments = "segments:
  - {span: [144.993, 145.107], title: satellites, uses: [satellite], exclusive: yes, source: act}
";
    let law = pack("law", &format!("{BAND}{rules}"));
    let plan = text("band-plan", segments).replace("pack: xx", "pack: yy");
    let plan = Arc::new(read("yy.yaml", plan.as_bytes()).unwrap());
    let law = Law::stack([(law, Role::Binding), (plan, Role::Binding)], None).unwrap();
    let fit = |hertz: i64, reach: i64| {
        let mut asked = voice(hertz);
        asked.position = Some("51.5, 0.0".parse().unwrap());
        khz(law.nearest_fit(&asked, STEP, Offset::hz(reach)))
    };
    let far = 1_000_000;
    // 144.9875 + 0.0055 = 144.993 and 145.1125 − 0.0055 = 145.107: just clear.
    assert_eq!(fit(145_050_000, far), [Some(144_987.5), Some(145_112.5)]);
    assert_eq!(fit(145_250_000, far), [Some(145_187.5), Some(145_312.5)]);
    // As far as the reach and no further.
    assert_eq!(fit(145_250_000, 62_500), [Some(145_187.5), Some(145_312.5)]);
    assert_eq!(fit(145_250_000, 62_499), [None, None]);
    assert_eq!(fit(145_500_000, far), [Some(145_487.5), Some(145_512.5)]);
}

#[test]
fn a_band_plan_likes_what_is_meant_for_the_purpose_and_on_its_channels() {
    let law = law_for(
        "band-plan",
        "segments:
  - {span: [145.0, 145.1], title: voice, uses: [simplex], raster: {channel: 145.010, step: 20 kHz}, source: act}
  - {span: [145.2, 145.3], title: packet, uses: [packet], source: act}
  - {span: [145.4, 145.5], title: satellites, uses: [satellite], exclusive: yes, source: act}
  - {span: [145.6, 145.7], title: anything, preference: 3, source: act}
coordinated: [{name: Pair A, legs: [145.650, 433.500], source: act}]
",
        None,
    );
    let liked = |hertz: i64| law.preference(Frequency::hz(hertz), Purpose::Simplex);
    // Our own choice of weights: meant 10, off its channels −5, for others −10, kept for others −20, set aside 30.
    for (hertz, expected) in [
        (145_030_000, 10),
        (145_010_000, 10),
        (145_040_000, 5),
        (145_030_001, 5),
        (145_250_000, -10),
        (145_450_000, -20),
        (145_610_000, 3),
        (145_650_000, 33),
        (145_800_000, 0),
    ] {
        assert_eq!(liked(hertz), Preference(expected), "{hertz}");
    }
}

#[test]
fn a_band_plan_says_what_it_has_against_a_carrier_on_and_off_its_channels() {
    let law = law_for(
        "band-plan",
        "segments:
  - {span: [145.0, 145.1], title: voice, uses: [simplex], width: 11 kHz, raster: {step: 12.5 kHz}, source: act}
  - {span: [145.4, 145.5], title: satellites, uses: [satellite], exclusive: yes, source: act}
",
        None,
    );
    let says = |hertz: i64, emission: &str| -> Vec<String> {
        let asked = Transmission::new(
            Frequency::hz(hertz),
            emission.parse().unwrap(),
            Purpose::Simplex,
        );
        let ruling = law.ruling(&asked).into_iter();
        ruling
            .map(|one| format!("{:?} {}", one.force, one.says))
            .collect()
    };
    // As wide as is allowed, on a channel.
    assert!(says(145_050_000, "11K0F3E").is_empty());
    assert_eq!(
        says(145_050_000, "16K0F3E"),
        ["Caution emissions in 145.0000–145.1000 MHz (voice) are at most 11 kHz wide"]
    );
    assert_eq!(
        says(145_055_000, "11K0F3E"),
        ["Note channels in 145.0000–145.1000 MHz (voice) are 12.5 kHz apart"]
    );
    let kept = "Caution 145.4000–145.5000 MHz is kept for satellites";
    assert_eq!(says(145_450_000, "11K0F3E"), [kept]);
    assert_eq!(says(145_398_000, "11K0F3E"), [kept]);
    assert!(says(145_394_499, "11K0F3E").is_empty());
}

#[test]
fn every_entry_is_told_with_its_figures_and_how_much_of_it_was_read() {
    let pack = pack(
        "law",
        "bands: [{name: 2m, span: [144.0, 146.0], status: secondary, licences: [full], source: act}]
rules:
  - {id: plain, demand: forbidden, force: forbidden, says: Shut, source: habit}
  - {id: narrow, uses: [packet], zone: capital, demand: {width: 12 kHz}, force: caution, says: Narrow, source: habit}
segments:
  - {span: [145.0, 145.1], title: voice, uses: [simplex], exclusive: yes, width: 12 kHz, raster: {step: 12.5 kHz}, source: act}
shifts: [{outputs: [145.6, 145.8], shift: -600 kHz, source: act}]
",
    );
    let entries = pack.entries();
    let says: Vec<(&str, &str)> = (entries.iter())
        .map(|entry| (entry.id.as_str(), entry.says.as_str()))
        .collect();
    assert_eq!(
        says,
        [
            ("licence basic", "Basic"),
            ("licence full", "Full"),
            ("band 2m 144.0000–146.0000 MHz", "2m band, secondary"),
            ("plain", "Shut"),
            (
                "narrow",
                "in the capital: Narrow [at most 12 kHz wide] (packet)"
            ),
            (
                "segment 145.0000–145.1000 MHz",
                "voice, nothing else, at most 12 kHz, 12.5 kHz steps"
            ),
            (
                "shift 145.6000–145.8000 MHz −600 kHz",
                "repeater inputs −600 kHz from their outputs"
            ),
        ]
    );
    assert_eq!(entries[2].licences, ["full"]);
    // Five of seven, rounded down.
    assert_eq!(pack.checked_share(), 71);
    let kinds = [Kind::Law, Kind::BandPlan, Kind::Services, Kind::Local];
    let words = kinds.map(|kind| kind.to_string());
    assert_eq!(words, ["law", "band plan", "services", "local file"]);
}

#[test]
fn what_a_pack_says_that_cannot_be_is_told_with_its_cure() {
    let rule = |keys: &str| {
        format!(
            "rules: [{{id: one, says: One, demand: forbidden, force: note, source: act, {keys}}}]\n"
        )
    };
    for (entries, told) in [
        (rule("from: 2027-06-06, until: 2027-06-05"), "this is before `from`: write a later day"),
        (rule("uses: [packets]"), "`packets` is neither a purpose nor what this law takes one for"),
        (rule("zone: nowhere"), "no zone of this file is called `nowhere`"),
        (rule("licences: [novice]"), "no licence of this file is called `novice`"),
        (rule("spans: [[144.0, 144.0]]"), "the lower edge does not lie below the upper one"),
        (
            "segments: [{span: [145.0, 145.1], title: voice, raster: {step: 0 kHz}, source: act}]\n".to_owned(),
            "no step from channel to channel",
        ),
        (
            "services: [{id: tower, title: A tower, emission: 8K33A3E, receiver: airband, listener: -1 m, eirp: 10 W, source: act}]\n"
                .to_owned(),
            "no distance: at least 0 m",
        ),
        (
            "permissions: [{name: Letter, lifts: [xx/one], from: 2027-06-06, until: 2027-06-05, source: act}]\n".to_owned(),
            "this is before `from`",
        ),
    ] {
        let error = refused(&entries);
        assert!(error.contains(told), "{entries}: {error}");
        assert_eq!(error.matches("error:").count(), 1, "{error}");
    }
    // One day is a stretch of days, and a listener may stand at the antenna.
    let day = rule("from: 2027-06-05, until: 2027-06-05");
    let at = "services: [{id: tower, title: A tower, emission: 8K33A3E, receiver: airband, listener: 0 m, eirp: 10 W, source: act}]\n";
    assert_eq!(pack("law", &format!("{day}{at}")).services.len(), 1);
}

#[test]
fn a_zone_has_shapes_that_enclose_something_and_not_too_many() {
    let zone = |shapes: &str| {
        let zones = format!("zones: {{far: {{name: far off, shapes: [{shapes}]}}}}");
        let text = HEAD
            .lines()
            .filter(|line| !line.starts_with("zones:") && !line.starts_with("  capital:"))
            .fold(String::new(), |text, line| format!("{text}{line}\n"));
        let rule = "rules: [{id: one, zone: far, says: One, demand: forbidden, force: note, source: act}]\n";
        match read(
            "xx.yaml",
            format!("{text}kind: law\n{zones}\n{rule}").as_bytes(),
        ) {
            Ok(pack) => Ok(pack.rules[0].zone.as_ref().unwrap().shapes.len()),
            Err(error) => Err(error.to_string()),
        }
    };
    let told = |shapes: &str, what: &str| {
        let error = zone(shapes).unwrap_err();
        assert!(error.contains(what), "{error}");
    };
    let circle = "circle: {at: [51.5, 0.0], radius: 1 m}".to_owned();
    assert_eq!(zone(&format!("{{{circle}}}")), Ok(1));
    told("", "a zone needs a shape");
    told(
        "{circle: {at: [51.5, 0.0], radius: 0 m}}",
        "a circle needs a radius above zero",
    );
    let circles = |count: usize| vec![format!("{{{circle}}}"); count].join(", ");
    assert_eq!(zone(&circles(1_000)), Ok(1_000));
    told(&circles(1_001), "a zone has shapes: at most 1000");
    let corners = |count: usize| {
        let corners = vec!["[51.0, 0.0]", "[52.0, 0.0]", "[51.0, 1.0]"];
        let corners: Vec<&str> = corners.into_iter().cycle().take(count).collect();
        format!("{{polygon: [{}]}}", corners.join(", "))
    };
    assert_eq!(zone(&corners(3)), Ok(1));
    told(&corners(2), "a polygon needs corners: from 3 to 1000");
    let flat = "{box: {south_west: [51.0, 0.0], north_east: [51.0, 1.0]}}";
    assert_eq!(zone(flat), Ok(1));
    told(
        "{box: {south_west: [51.1, 0.0], north_east: [51.0, 1.0]}}",
        "write the lower latitude first",
    );
}

#[test]
fn more_entries_than_any_pack_has_are_refused_and_a_missing_source_is_told_only_so_often() {
    let rules = |count: usize, source: &str| {
        let mut text = "rules:\n".to_owned();
        for number in 0..count {
            text.push_str(&format!(
                "  - {{id: r{number}, says: One, demand: duty, force: note, source: {source}}}\n"
            ));
        }
        text
    };
    // Two licences beside them.
    assert_eq!(pack("law", &rules(9_998, "act")).rules.len(), 9_998);
    assert!(
        refused(&rules(9_999, "act"))
            .contains("the pack has 10001 entries: at most 10000 are read")
    );
    let error = refused(&rules(300, "rumour"));
    assert!(error.contains("no source is called `rumour`"));
}

#[test]
fn the_schema_of_a_pack_knows_every_list_of_it() {
    let schema = quietpair::law::schema(&mut schemars::SchemaGenerator::default());
    let text = serde_json::to_string(&schema).unwrap();
    for key in [
        "pack",
        "sources",
        "zones",
        "licences",
        "bands",
        "rules",
        "segments",
        "spots",
        "pairs",
        "shifts",
        "permissions",
    ] {
        assert!(text.contains(&format!("\"{key}\"")), "{key}");
    }
}
