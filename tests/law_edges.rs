//! Where rules of two kinds of transmitter meet, exactly one of them holds.

use quietpair::law::SpuriousLimit;
use quietpair::quantity::{Decibels, Power};

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
