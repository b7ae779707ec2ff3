//! The rule packs, asked as a planner would ask them, and held against the published rows of `law.csv`.
//!
//! Rows whose source ends in "second-hand copy" or whose status is `memory` were not read in the publication itself.

use std::collections::{BTreeMap, BTreeSet};

use quietpair::law::{
    ALL, Against, Breach, Control, Force, Kind, Law, Pack, Pair, Purpose, Transmission, built_in,
    read,
};
use quietpair::quantity::{Frequency, Position, Power, Span};

/// A row's inputs by name.
struct Inputs(BTreeMap<String, String>);

impl Inputs {
    fn read(text: &str) -> Self {
        let pairs = text.split("; ").map(|pair| {
            let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
            (name.to_owned(), value.to_owned())
        });
        Self(pairs.collect())
    }

    fn get(&self, name: &str) -> Option<&str> {
        self.0.get(name).map(String::as_str)
    }

    fn text(&self, name: &str) -> &str {
        self.get(name)
            .unwrap_or_else(|| panic!("no input {name} in {:?}", self.0))
    }

    fn transmission(&self) -> Transmission {
        let purpose = Purpose::of_word(self.get("use").unwrap_or("simplex")).unwrap();
        let mut asked = Transmission::new(
            self.text("frequency").parse().unwrap(),
            self.get("emission").unwrap_or("11K0F3E").parse().unwrap(),
            purpose,
        );
        asked.control = self.control();
        asked.position = self.get("at").map(|at| at.parse().unwrap());
        asked
    }

    fn control(&self) -> Control {
        let word = self.get("control").unwrap_or("attended");
        Control::ALL
            .iter()
            .find(|(name, _)| *name == word)
            .unwrap()
            .1
    }
}

fn law(name: &str) -> Law {
    Law::named(&[name], None).unwrap()
}

fn is_lawful(breaches: &[Breach<'_>]) -> bool {
    breaches
        .iter()
        .all(|breach| breach.is_custom() || breach.force < Force::Forbidden)
}

/// A refused transmission that is free a kilohertz further up only touched the edge.
fn verdict(law: &Law, asked: &Transmission) -> &'static str {
    if is_lawful(&law.ruling(asked)) {
        return "yes";
    }
    let mut above = *asked;
    above.carrier = Frequency::hz(asked.carrier.as_hz() + 1_000);
    above.occupied = Span::around(above.carrier, asked.emission.bandwidth);
    if is_lawful(&law.ruling(&above)) {
        "edge"
    } else {
        "no"
    }
}

fn answer(name: &str, question: &str, inputs: &Inputs) -> String {
    let law = law(name);
    match question {
        "may" => verdict(&law, &inputs.transmission()).to_owned(),
        "band" => {
            let spans = law.band(inputs.text("name"));
            let mhz = |edge: Frequency| edge.as_hz() / 1_000_000;
            spans
                .iter()
                .map(|span| format!("{}-{}", mhz(span.low), mhz(span.high)))
                .collect::<Vec<_>>()
                .join(" ")
        }
        "power" => {
            let mut asked = inputs.transmission();
            asked.output = Power::watts(1e6);
            let most = law
                .ruling(&asked)
                .iter()
                .filter_map(|breach| match breach.against {
                    Against::Power { most, .. } => Some(most),
                    _ => None,
                })
                .min();
            most.unwrap().to_string()
        }
        "identify" => {
            let asked = inputs.transmission();
            match law.identification(&asked).unwrap().against {
                Against::Identify { minutes } => minutes.to_string(),
                other => panic!("{other:?}"),
            }
        }
        // What must be told somewhere, or what the plan calls a frequency: the answer holds every text there is.
        "told" => {
            let said: Vec<String> = law
                .ruling(&inputs.transmission())
                .into_iter()
                .filter(|breach| breach.force == Force::Caution)
                .map(|breach| breach.says)
                .collect();
            said.join("\n")
        }
        "plan" => {
            let frequency = inputs.text("frequency").parse().unwrap();
            let said: Vec<String> = law
                .applies_at(frequency)
                .into_iter()
                .map(|(_, entry)| entry.says)
                .collect();
            said.join("\n")
        }
        "pair" => {
            let legs: Vec<Frequency> = inputs
                .text("legs")
                .split(' ')
                .map(|leg| leg.parse().unwrap())
                .collect();
            let pair = Pair {
                legs: [legs[0], legs[1]],
                purpose: Purpose::CrossBandRelay,
                control: inputs.control(),
                period: None,
            };
            let breaches = law.pair_ruling(&pair);
            assert!(
                breaches.iter().all(Breach::is_custom),
                "a plan note is no law"
            );
            match breaches.iter().map(|breach| breach.force).max() {
                Some(Force::Caution) => "discouraged".to_owned(),
                other => format!("{other:?}"),
            }
        }
        other => panic!("unknown question {other}"),
    }
}

/// Sources: the last but one column of `law.csv`.
#[test]
fn the_packs_answer_as_the_published_rows_do() {
    let text = include_str!("law.csv");
    let mut wrong = Vec::new();
    let mut rows = 0;
    for row in csv::Reader::from_reader(text.as_bytes()).records() {
        let row = row.unwrap();
        let is = answer(&row[1], &row[2], &Inputs::read(&row[3]));
        let agrees = match &row[2] {
            "told" | "plan" => is.contains(&row[4]),
            _ => is == row[4],
        };
        if !agrees {
            wrong.push(format!(
                "{}: {} {} is {is}, not {}",
                &row[0], &row[1], &row[3], &row[4]
            ));
        }
        rows += 1;
    }
    assert!(rows > 50, "{rows} rows");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_built_in_pack_can_be_read_and_carries_its_own_name() {
    for (name, text) in ALL {
        match read(&format!("{name}.yaml"), text.as_bytes()) {
            Ok(pack) => assert_eq!(&*pack.id, *name),
            Err(error) => panic!("{error}"),
        }
    }
    assert_eq!(built_in().len(), ALL.len());
}

#[test]
fn every_entry_has_a_name_of_its_own_a_sentence_and_a_citation() {
    for pack in built_in() {
        let entries = pack.entries();
        assert!(!entries.is_empty(), "{}", pack.id);
        let names: BTreeSet<&str> = entries.iter().map(|entry| entry.id.as_str()).collect();
        assert_eq!(
            names.len(),
            entries.len(),
            "{}: two entries of one name",
            pack.id
        );
        for entry in &entries {
            assert!(!entry.says.is_empty(), "{}/{}", pack.id, entry.id);
            assert!(
                entry.basis.text.len() > 10,
                "{}/{} has no citation",
                pack.id,
                entry.id
            );
        }
    }
}

#[test]
fn every_companion_and_every_service_that_is_named_exists() {
    for pack in built_in() {
        assert!(Law::named(&[&pack.id], None).is_ok(), "{}", pack.id);
        for protected in &pack.protected {
            let law = Law::default();
            let service = law.service(&protected.service);
            assert!(service.is_some(), "{}: {}", pack.id, protected.service);
        }
        for breach in pack
            .permissions
            .iter()
            .flat_map(|permission| &permission.lifts)
        {
            assert!(breach.contains('/'), "{}: {breach}", pack.id);
        }
    }
}

/// A transmission that occupies exactly a stretch, as nothing but a test can.
fn occupying(low: i64, high: i64, purpose: Purpose) -> Transmission {
    let carrier = Frequency::hz(low.midpoint(high));
    let mut asked = Transmission::new(carrier, "16K0F3E".parse().unwrap(), purpose);
    asked.occupied = Span::between(Frequency::hz(low), Frequency::hz(high));
    asked
}

fn at_edge<'a>(law: &'a Law, asked: &Transmission, rule: &str) -> Vec<Breach<'a>> {
    law.ruling(asked)
        .into_iter()
        .filter(|breach| breach.rule == rule)
        .collect()
}

#[test]
fn a_band_ends_at_its_edge_to_the_hertz() {
    for pack in built_in().iter().filter(|pack| pack.kind == Kind::Law) {
        let law = law(&pack.id);
        let rule = format!("{}/bands", pack.id);
        for band in &pack.bands {
            let (low, high) = (band.span.low.as_hz(), band.span.high.as_hz());
            for (from, to, carrier_is_in) in [
                (low, low + 16_000, None),
                (high - 16_000, high, None),
                (low - 1, low + 15_999, Some(true)),
                (high - 15_999, high + 1, Some(true)),
                (low - 2, low, Some(false)),
                (high, high + 2, Some(false)),
            ] {
                let asked = occupying(from, to, Purpose::Simplex);
                let against: Vec<Against> = at_edge(&law, &asked, &rule)
                    .into_iter()
                    .map(|breach| breach.against)
                    .collect();
                match (carrier_is_in, against.as_slice()) {
                    (None, []) => {}
                    (Some(true), [Against::Edge { edge, excess }]) => {
                        assert!(*edge == band.span.low || *edge == band.span.high);
                        assert_eq!(excess.as_hz(), 1);
                    }
                    (Some(false), [Against::NoBand { nearest }]) => {
                        assert_eq!(*nearest, Some(band.span));
                    }
                    (_, other) => panic!("{} {} {from}-{to}: {other:?}", pack.id, band.name),
                }
            }
        }
    }
}

#[test]
fn a_forbidden_stretch_begins_and_ends_at_its_edge_to_the_hertz() {
    let mut tried = 0;
    for pack in built_in() {
        let law = law(&pack.id);
        for rule in &pack.rules {
            let (Some(purpose), true) = (
                purpose_for(pack, &rule.uses),
                rule.zone.is_none() && rule.demand == quietpair::law::Demand::Forbidden,
            ) else {
                continue;
            };
            let name = format!("{}/{}", pack.id, rule.id);
            for span in &rule.spans {
                let (low, high) = (span.low.as_hz(), span.high.as_hz());
                // Where two stretches touch there is no open side.
                let neighbours = |edge: i64| {
                    rule.spans
                        .iter()
                        .filter(|other| other.contains(Frequency::hz(edge)))
                        .count()
                        > 1
                };
                for (from, to, is_shut, edge) in [
                    (low - 16_000, low, false, low),
                    (low - 15_999, low + 1, true, low),
                    (high, high + 16_000, false, high),
                    (high - 1, high + 15_999, true, high),
                ] {
                    let asked = occupying(from, to, purpose);
                    if neighbours(edge) || law.ruling(&asked).iter().any(|b| matches!(b.against, Against::NoBand { .. } if b.rule.starts_with(&*pack.id))) {
                        continue;
                    }
                    let found = at_edge(&law, &asked, &name);
                    assert_eq!(!found.is_empty(), is_shut, "{name} {from}-{to}");
                    tried += 1;
                }
            }
        }
    }
    assert!(tried > 40, "{tried}");
}

/// A purpose that a rule about these uses binds.
fn purpose_for(pack: &Pack, uses: &[String]) -> Option<Purpose> {
    let Some(first) = uses.first() else {
        return Some(Purpose::Simplex);
    };
    Purpose::of_word(first)
        .filter(|_| pack.readings.iter().all(|reading| reading.word != *first))
        .or_else(|| {
            pack.readings
                .iter()
                .find(|reading| {
                    reading.word == *first && reading.purpose != Purpose::CrossBandRelay
                })
                .map(|reading| reading.purpose)
        })
}

/// Every 100 Hz of a band, with an FM emission 16 kHz wide, against a table written down anew.
fn sweep(name: &str, purpose: Purpose, band: [i64; 2], shut: &[[i64; 2]]) {
    const HALF: i64 = 8_000;
    let law = law(name);
    let khz = |edge: i64| edge * 1_000;
    let mut carrier = khz(band[0]) - 20_000;
    while carrier <= khz(band[1]) + 20_000 {
        let mut plain = carrier - HALF >= khz(band[0]) && carrier + HALF <= khz(band[1]);
        for [low, high] in shut {
            if carrier + HALF > khz(*low) && carrier - HALF < khz(*high) {
                plain = false;
            }
        }
        let asked = Transmission::new(Frequency::hz(carrier), "16K0F3E".parse().unwrap(), purpose);
        let is = is_lawful(&law.ruling(&asked));
        assert_eq!(is, plain, "{name} {purpose:?} at {carrier} Hz");
        carrier += 100;
    }
}

/// Source: 47 CFR 97.205(b), 97.201(b), 97.301(a), 97.305(a) (144.0-144.1 Morse only), read anew in kilohertz.
#[test]
fn every_hundred_hertz_of_two_bands_is_open_as_the_us_rules_say() {
    let repeater_2m = [[144_000, 144_500], [145_500, 146_000]];
    let repeater_70cm = [[431_000, 433_000], [435_000, 438_000]];
    let auxiliary_2m = [[144_000, 144_500], [145_800, 146_000]];
    for purpose in [Purpose::RepeaterOutput, Purpose::RepeaterInput] {
        sweep("us", purpose, [144_000, 148_000], &repeater_2m);
        sweep("us", purpose, [420_000, 450_000], &repeater_70cm);
    }
    sweep("us", Purpose::Auxiliary, [144_000, 148_000], &auxiliary_2m);
    sweep("us", Purpose::Auxiliary, [420_000, 450_000], &repeater_70cm);
    // A relay is lawful as the one or the other; the wider opening holds.
    sweep(
        "us",
        Purpose::CrossBandRelay,
        [144_000, 148_000],
        &auxiliary_2m,
    );
    sweep(
        "us",
        Purpose::Simplex,
        [144_000, 148_000],
        &[[144_000, 144_100]],
    );
}

/// Source: the regulator's schedule of bands, from memory; the edges were written down anew.
#[test]
fn every_hundred_hertz_of_two_bands_is_open_as_the_uk_licence_says() {
    sweep("uk", Purpose::Simplex, [144_000, 146_000], &[]);
    sweep("uk", Purpose::CrossBandRelay, [430_000, 440_000], &[]);
}

/// Source: IARU Region 1 plan for 144-146 MHz as republished by a member society, exclusive segments read anew in hertz.
#[test]
fn every_hundred_hertz_of_2m_is_kept_as_the_region_1_plan_says() {
    const EXCLUSIVE: [[i64; 2]; 12] = [
        [144_000_000, 144_110_000],
        [144_110_000, 144_150_000],
        [144_150_000, 144_180_000],
        [144_180_000, 144_360_000],
        [144_360_000, 144_399_000],
        [144_400_000, 144_490_000],
        [144_794_000, 144_990_000],
        [144_994_000, 145_194_000],
        [145_194_000, 145_206_000],
        [145_594_000, 145_793_500],
        [145_794_000, 145_806_000],
        [145_806_000, 146_000_000],
    ];
    const HALF: i64 = 5_500;
    let law = law("iaru-r1");
    for index in 0..=20_000 {
        let carrier = 144_000_000 + index * 100;
        let plain = EXCLUSIVE
            .iter()
            .any(|[low, high]| carrier + HALF > *low && carrier - HALF < *high);
        let asked = Transmission::new(
            Frequency::hz(carrier),
            "11K0F3E".parse().unwrap(),
            Purpose::Simplex,
        );
        let is = law
            .ruling(&asked)
            .iter()
            .any(|breach| matches!(breach.against, Against::Reserved { .. }));
        assert_eq!(is, plain, "at {carrier} Hz");
    }
}

#[test]
fn a_cross_band_relay_at_145_6_is_lawful_only_as_an_auxiliary_station() {
    let law = law("us");
    let asked = Transmission::new(
        Frequency::hz(145_600_000),
        "16K0F3E".parse().unwrap(),
        Purpose::CrossBandRelay,
    );
    let ruling = law.ruling(&asked);
    assert!(is_lawful(&ruling));
    assert!(ruling.iter().any(|breach| {
        matches!(&breach.against, Against::Reading { word } if word == "auxiliary")
    }));
    let mut elsewhere = asked;
    elsewhere.carrier = Frequency::hz(145_300_000);
    elsewhere.occupied = Span::around(elsewhere.carrier, asked.emission.bandwidth);
    let ruling = law.ruling(&elsewhere);
    assert!(
        !ruling
            .iter()
            .any(|breach| matches!(breach.against, Against::Reading { .. }))
    );
}

/// Distances: 1 degree of latitude is about 111 km, so 0.8 degrees is inside 100 km and 1.0 outside.
#[test]
fn the_capital_s_circle_shuts_431_to_432_inside_and_not_outside() {
    let law = law("uk");
    let at = |latitude: f64| {
        let mut asked = Transmission::new(
            Frequency::hz(431_500_000),
            "11K0F3E".parse().unwrap(),
            Purpose::Simplex,
        );
        asked.position = Some(Position::degrees(latitude, -0.1233).unwrap());
        asked
    };
    assert!(!is_lawful(&law.ruling(&at(51.508 + 0.8))));
    assert!(is_lawful(&law.ruling(&at(51.508 + 1.0))));
    let mut nowhere = at(51.5);
    nowhere.position = None;
    let ruling = law.ruling(&nowhere);
    assert!(is_lawful(&ruling));
    assert!(ruling.iter().any(|breach| {
        matches!(
            &breach.against,
            Against::Zone {
                is_inside: false,
                ..
            }
        )
    }));
}

/// Source: 25, 100 and 1000 W by class, a summary of the regulator's decision of 2024 (second-hand); 40 W ERP from memory.
#[test]
fn the_least_power_that_a_class_allows_is_the_one_that_is_told() {
    for (licence, watts) in [
        ("foundation", 25.0),
        ("intermediate", 100.0),
        ("full", 1000.0),
    ] {
        let law = Law::named(&["uk"], Some(licence)).unwrap();
        let mut asked = Transmission::new(
            Frequency::hz(145_500_000),
            "11K0F3E".parse().unwrap(),
            Purpose::Simplex,
        );
        for (output, is_too_much) in [(watts, false), (watts * 1.01, true)] {
            asked.output = Power::watts(output);
            assert_eq!(
                !is_lawful(&law.ruling(&asked)),
                is_too_much,
                "{licence} {output} W"
            );
        }
    }
}

#[test]
fn the_note_of_1978_is_a_caution_and_attended_short_use_eases_it() {
    let law = law("iaru-r1");
    let day = |hours: i64| {
        let at = |second| jiff::Timestamp::from_second(second).unwrap();
        Some((at(1_800_000_000), at(1_800_000_000 + hours * 3_600)))
    };
    let mut pair = Pair {
        legs: [Frequency::hz(433_450_000), Frequency::hz(145_225_000)],
        purpose: Purpose::CrossBandRelay,
        control: Control::Attended,
        period: day(8),
    };
    let force = |pair: &Pair| law.pair_ruling(pair).first().map(|breach| breach.force);
    assert_eq!(force(&pair), Some(Force::Note));
    pair.period = day(73);
    assert_eq!(force(&pair), Some(Force::Caution));
    pair.period = day(8);
    pair.control = Control::Automatic;
    assert_eq!(force(&pair), Some(Force::Caution));
    pair.legs = [Frequency::hz(145_225_000), Frequency::hz(145_825_000)];
    assert_eq!(force(&pair), None, "both legs in one band");
}

#[test]
fn a_search_looks_only_where_the_law_leaves_it_open() {
    let law = law("us");
    let mhz = |spans: Vec<Span>| -> Vec<(i64, i64)> {
        let khz = |edge: Frequency| edge.as_hz() / 1_000;
        spans
            .iter()
            .map(|span| (khz(span.low), khz(span.high)))
            .collect()
    };
    assert_eq!(
        mhz(law.open_for("2m", Purpose::RepeaterOutput)),
        [(144_500, 145_500), (146_000, 148_000)]
    );
    assert_eq!(
        mhz(law.open_for("2m", Purpose::CrossBandRelay)),
        [(144_500, 145_800), (146_000, 148_000)]
    );
    let both = Law::named(&["us", "uk"], None).unwrap();
    assert_eq!(
        mhz(both.open_for("70cm", Purpose::CrossBandRelay)),
        [(430_000, 431_000), (433_000, 435_000), (438_000, 440_000)]
    );
}

#[test]
fn the_nearest_open_channels_keep_the_whole_emission_in() {
    let law = law("us");
    let asked = Transmission::new(
        Frequency::hz(145_900_000),
        "16K0F3E".parse().unwrap(),
        Purpose::RepeaterOutput,
    );
    let nearest = law.nearest_open(&asked, quietpair::quantity::Offset::hz(12_500));
    assert_eq!(
        nearest,
        [
            // 145.5 − 8 kHz = 145.492, and 146.0 + 8 kHz = 146.008, on 12.5 kHz channels.
            Some(Frequency::hz(145_487_500)),
            Some(Frequency::hz(146_012_500)),
        ]
    );
}

#[test]
fn each_law_names_the_exposure_limits_that_apply_and_one_that_names_none_leaves_all_of_them() {
    let limits = |names: &[&str]| -> Vec<String> {
        let law = Law::named(names, None).unwrap();
        law.exposure_limits()
            .into_iter()
            .map(str::to_owned)
            .collect()
    };
    assert_eq!(
        limits(&["us"]),
        ["47cfr-1.1310-public", "47cfr-1.1310-occupational"]
    );
    let uk = limits(&["uk"]);
    assert_eq!(uk[..2], ["icnirp-2020-public", "icnirp-2020-occupational"]);
    assert_eq!(limits(&["us", "uk"]).len(), 2 + uk.len());
    assert!(limits(&["us", "ca"]).is_empty());
    let slip = ALL[0].1.replace("icnirp-2020-public,", "icnirp-public,");
    let error = read("uk.yaml", slip.as_bytes()).unwrap_err().to_string();
    assert!(error.contains("no exposure limit is called"), "{error}");
}

#[test]
fn an_unknown_licence_or_pack_is_refused_with_the_known_ones() {
    let error = Law::named(&["uk"], Some("novice")).unwrap_err().to_string();
    assert!(error.contains("foundation, intermediate, full"), "{error}");
    let error = Law::named(&["atlantis"], None).unwrap_err().to_string();
    assert!(error.contains("uk, us"), "{error}");
}
