//! Where rules of two kinds of transmitter meet, exactly one of them holds.

use std::sync::Arc;

use quietpair::law::{ALL, Law, Purpose, Role, SpuriousLimit, read};
use quietpair::quantity::{Decibels, Frequency, Power};

/// As 47 CFR 97.307(e) does at 25 W: one limit up to a power, another one above it.
#[test]
fn every_carrier_falls_under_exactly_one_of_two_limits_that_meet() {
    let edge = Power::watts(25.0);
    let below = SpuriousLimit {
        up_to: Some(edge),
        below: Some(Decibels::db(40.0)),
        ..SpuriousLimit::default()
    };
    let above = SpuriousLimit {
        over: Some(edge),
        below: Some(Decibels::db(60.0)),
        ..SpuriousLimit::default()
    };
    // A thousandth of a decibel is what rounding may make; at it, just within it and just beyond it.
    for (off, is_above) in [
        (-1.0, false),
        (-0.0005, false),
        (0.0, false),
        (0.0005, false),
        (0.001, false),
        (0.0011, true),
        (1.0, true),
    ] {
        let carrier = edge.level() + Decibels::db(off);
        let held = (
            below.allowed(carrier).is_some(),
            above.allowed(carrier).is_some(),
        );
        assert_eq!(held, (!is_above, is_above), "{off} dB beyond the edge");
    }
}

/// A rule whose source is left out is told as that, and no source without a name is looked for.
#[test]
fn a_rule_without_its_source_is_told_once() {
    let text = "pack: xx
title: A pack
kind: law
jurisdiction: Nowhere
edition: of today
checked: 2026-11-25
sources:
  act: {text: An act, standing: memory}
bands:
  - {name: 2m, span: [144.0, 146.0], status: primary}
";
    let error = read("xx.yaml", text.as_bytes()).unwrap_err().to_string();
    assert_eq!(error.matches("error:").count(), 1, "{error}");
    assert!(error.contains("the key `source` is missing"), "{error}");
    let sound = text.replace("status: primary", "status: primary, source: act");
    assert!(read("xx.yaml", sound.as_bytes()).is_ok());
}

/// Stretches that are shut at either edge of a band leave what lies between, and no stretch of one hertz at an edge.
#[test]
fn what_is_shut_at_the_edges_of_a_band_leaves_the_middle_alone() {
    let open = |shut: &[&str]| -> Vec<(i64, i64)> {
        let rules: Vec<String> = shut
            .iter()
            .enumerate()
            .map(|(index, at)| {
                format!(
                    "  - {{id: r{index}, says: shut, spans: [[{at}]], demand: forbidden, force: forbidden, source: act}}\n"
                )
            })
            .collect();
        let text = format!(
            "pack: xx
title: A pack
kind: law
jurisdiction: Nowhere
edition: of today
checked: 2026-11-25
sources:
  act: {{text: An act, standing: memory}}
bands:
  - {{name: 2m, span: [144.0, 146.0], status: primary, source: act}}
rules:
{}",
            rules.concat()
        );
        let pack = read("xx.yaml", text.as_bytes()).unwrap_or_else(|error| panic!("{error}"));
        let law = Law::stack([(Arc::new(pack), Role::Binding)], None).unwrap();
        let open = law.open_for("2m", Purpose::Simplex);
        let khz = open
            .iter()
            .map(|span| (span.low.as_hz() / 1000, span.high.as_hz() / 1000));
        khz.collect()
    };
    assert_eq!(open(&["144.0, 144.5"]), [(144_500, 146_000)]);
    assert_eq!(open(&["145.5, 146.0"]), [(144_000, 145_500)]);
    assert_eq!(
        open(&["144.0, 144.5", "145.5, 146.0"]),
        [(144_500, 145_500)]
    );
    assert_eq!(
        open(&["144.0, 144.5", "145.0, 145.2", "145.5, 146.0"]),
        [(144_500, 145_000), (145_200, 145_500)]
    );
    assert!(open(&["144.0, 146.0"]).is_empty());
}

/// What is told of a frequency lies there, or is a rule that holds everywhere: nothing else of a pack has no stretch.
#[test]
fn what_applies_at_a_frequency_lies_there_or_is_a_rule_for_everywhere() {
    let mut everywhere = 0;
    for (name, _) in ALL {
        let law = Law::named(&[name], None).unwrap();
        for hertz in [145_225_000, 433_450_000, 10_000_000_000] {
            let frequency = Frequency::hz(hertz);
            for (pack, entry) in law.applies_at(frequency) {
                let is_there = entry.spans.iter().any(|span| span.contains(frequency));
                let is_rule = pack.rules.iter().any(|rule| rule.id == entry.id);
                assert!(
                    is_there || (entry.spans.is_empty() && is_rule),
                    "{name}: {} at {frequency}",
                    entry.id
                );
                everywhere += usize::from(entry.spans.is_empty());
            }
        }
    }
    assert!(everywhere > 0);
}
