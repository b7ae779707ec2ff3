//! The worked examples of the chapters, computed again: what a chapter shows is what the formulas give.

use quietpair::physics::bandpass::{least_through, maximally_flat};
use quietpair::physics::mixing::{
    self, intercept_from_rejection, intermod_level, rejection_from_intercept,
};
use quietpair::physics::noise::{Surroundings, external_noise, interference_for_rise, noise_floor};
use quietpair::physics::path::{Environment, PathEnd, PathGeometry, Polarisation, optimistic};
use quietpair::physics::superhet::{Injection, Superhet};
use quietpair::quantity::{
    Bandwidth, Decibels, Emission, Frequency, Length, Level, Offset, Power, Tolerance,
};
use quietpair::{checks, emissions, responses};

/// The chapter of an id, white space made single, so that the layout of a sum does not matter.
fn chapter(id: &str) -> String {
    let topics = emissions::ALL.iter().map(|one| one.topic);
    let topics = topics.chain(responses::ALL.iter().map(|one| one.topic));
    let found = topics
        .chain(checks::every().map(|one| one.topic))
        .find(|topic| topic.id == id);
    let text = found.map_or("", |topic| topic.text);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[track_caller]
fn says(id: &str, words: impl std::fmt::Display) {
    let words = words.to_string();
    assert!(chapter(id).contains(&words), "{id} does not say `{words}`");
}

fn at(text: &str) -> Frequency {
    text.parse().unwrap_or_default()
}

/// What would raise the floor of the chapters' receiver by 1 dB: 12 kHz, noise figure 7 dB, residential surroundings.
fn would_hurt(frequency: Frequency) -> Level {
    let external = external_noise(Surroundings::Residential, frequency).above_thermal;
    let floor = noise_floor(Bandwidth::hz(12_000), external, Decibels::db(7.0));
    floor + interference_for_rise(Decibels::db(1.0))
}

/// The share of a line of some width in the chapters' channel, when the two have one middle.
fn share(width: Bandwidth) -> Decibels {
    Decibels::of_power((12_000.0 / width.as_hz() as f64).min(1.0))
}

fn free_space(frequency: Frequency, metres: f64) -> Decibels {
    let end = PathEnd {
        antenna: Length::metres(100.0),
        ground: Length::metres(0.0),
    };
    optimistic(&PathGeometry {
        frequency,
        distance: Length::metres(metres),
        ends: [end, end],
        polarisation: Polarisation::Vertical,
        environment: Environment::Open,
        obstacle: None,
    })
    .loss
}

fn voice() -> Emission {
    Emission::angle_modulated(Bandwidth::hz(5_000), Bandwidth::hz(3_000), *b"F3E")
}

#[test]
fn the_carrier_of_the_chapter_has_its_width_power_and_tolerance() {
    says(
        "carrier",
        format!("{:.2} dBm", Power::watts(25.0).level().as_dbm()),
    );
    says(
        "carrier",
        format!("{} {}", voice().bandwidth, voice().designator()),
    );
    says(
        "carrier",
        format!("{} Hz", Tolerance::ppb(2_500).of(at("145.2250")).as_hz()),
    );
}

#[test]
fn the_third_harmonic_of_the_chapter_is_a_conflict_by_that_much() {
    let width = mixing::product_width(&[(3, voice())]);
    let arriving = Power::watts(20.0).level() - Decibels::db(60.0 + 55.0);
    let level = arriving + share(width);
    let threshold = would_hurt(at("435.6750"));
    says(
        "harmonic",
        format!("3 × 145.2250 = {}", at("145.2250").times(3)),
    );
    says("harmonic", width);
    for words in [arriving, level, threshold] {
        says("harmonic", words);
    }
    says("harmonic", format!("margin {}", threshold - level));
    says(
        "interference",
        format!("level {:.2} dBm", level.as_dbm()).replace('-', "−"),
    );
    says(
        "interference",
        format!("threshold {:.2} dBm", threshold.as_dbm()).replace('-', "−"),
    );
    let margin = (threshold - level).as_db();
    says(
        "interference",
        format!("margin {margin:.2} dB").replace('-', "−"),
    );
}

#[test]
fn the_oscillator_of_the_chapter_disturbs_the_airband_by_that_much() {
    let tuned = Superhet::tuned(at("145.5"), at("21.7"), Injection::Low).unwrap();
    let place = tuned.oscillator().frequency;
    let level = Level::dbm(-57.0) - free_space(place, 100.0);
    let threshold = would_hurt(place) - Decibels::db(20.0);
    says("oscillator-leakage", format!("= {place}"));
    says("oscillator-leakage", format!("= {level}"));
    says(
        "oscillator-leakage",
        format!("margin {}", threshold - level),
    );
}

#[test]
fn the_products_of_the_chapter_have_their_place_and_level() {
    let id = "receiver-intermodulation";
    let in_band = intermod_level(
        &[(2, Level::dbm(-30.0)), (-1, Level::dbm(-30.0))],
        Level::dbm(-5.0),
    );
    says(id, format!("= −{:.0} dBm", -in_band.as_dbm()));
    let terms = [(1, at("435.5")), (-2, at("145.25"))];
    let place = mixing::combined_frequency(&terms).unwrap();
    says(id, format!("{} = {place}", mixing::arithmetic(&terms)));
    let intercept =
        intercept_from_rejection(3, Level::dbm(-120.0), Decibels::db(68.0), Decibels::db(8.0));
    says(id, format!("= {intercept}"));
    let product = intermod_level(
        &[(1, Level::dbm(-70.0)), (-2, Level::dbm(-30.0))],
        intercept,
    );
    says(id, format!("= {product}"));
    let level = product + share(mixing::product_width(&[(1, voice()), (-2, voice())]));
    says(
        id,
        format!("{level} in the channel; {} would hurt", would_hurt(place)),
    );
    says(id, format!("margin {}", would_hurt(place) - level));
}

#[test]
fn the_repeater_on_the_channel_has_that_margin() {
    let frequency = at("145.0");
    let sent = Power::watts(25.0).level() + Power::dipole_over_isotropic();
    let level = sent - free_space(frequency, 10_000.0) + share(voice().bandwidth);
    says("co-channel", format!("{level} in the channel"));
    says(
        "co-channel",
        format!(
            "= {} margin {}",
            would_hurt(frequency),
            would_hurt(frequency) - level
        ),
    );
    let wanted = Level::dbm(-80.0) - Decibels::db(8.0);
    says(
        "co-channel",
        format!("= {wanted} margin {}", wanted - level),
    );
}

#[test]
fn the_neighbours_of_the_chapters_have_these_margins() {
    let cases = [
        ("adjacent-channel", "145.2250", -60.0, 60.0),
        ("alternate-channel", "145.2250", -60.0, 70.0),
        ("image", "435.0", -50.0, 60.0),
        ("second-image", "435.0", -60.0, 60.0),
        (
            "blocking",
            "433.45",
            Power::watts(20.0).level().as_dbm() - 55.0 - 55.0,
            82.0,
        ),
    ];
    for (id, channel, arriving, rejection) in cases {
        let level = Level::dbm(arriving) - Decibels::db(rejection);
        let threshold = would_hurt(at(channel));
        says(id, format!("= {level}"));
        says(
            id,
            format!("would hurt = {threshold} margin {}", threshold - level),
        );
    }
}

#[test]
fn image_half_if_and_second_image_lie_where_the_chapters_put_them() {
    let low = Superhet::tuned(at("435.0"), at("45.05"), Injection::Low).unwrap();
    says("image", low.image().unwrap().arithmetic);
    for place in low.second_images(at("0.455")) {
        says("second-image", place.arithmetic);
    }
    let high = Superhet::tuned(at("145.5"), at("21.7"), Injection::High).unwrap();
    says("half-if", high.half_if().unwrap().arithmetic);
    let (sensitivity, protection) = (Level::dbm(-120.0), Decibels::db(8.0));
    let intercept = intercept_from_rejection(2, sensitivity, Decibels::db(68.0), protection);
    let level = Level::dbm(2.0 * -40.0 - intercept.as_dbm());
    let threshold = would_hurt(at("145.5"));
    says(
        "half-if",
        format!(
            "= {level} would hurt = {threshold} margin {}",
            threshold - level
        ),
    );
    let second = Superhet::tuned(at("145.5"), at("45.05"), Injection::Low).unwrap();
    let spurs = second.second_spurs(at("0.45"), Injection::Low, 2, 2);
    let half = spurs
        .iter()
        .find(|spur| {
            [spur.signal_multiple, spur.oscillator_multiple] == [2; 2]
                && !spur.is_by_image
                && spur.off.as_hz() == 225_000
        })
        .unwrap();
    says("second-mixer-spur", half.place.arithmetic);
    let filter = least_through(Decibels::db(50.0), Offset::hz(900_000), half.off);
    says("second-mixer-spur", format!("= {filter} A"));
    let intercept = intercept_from_rejection(2, sensitivity, Decibels::db(55.0), protection);
    let before = Level::dbm(-30.0) - filter;
    let level = before + (before - intercept);
    says(
        "second-mixer-spur",
        format!(
            "= {level} would hurt = {threshold} margin {}",
            threshold - level
        ),
    );
    let flat = maximally_flat(Bandwidth::hz(15_000), 2, half.off);
    says("second-mixer-spur", format!("would take {flat}"));
    let back = rejection_from_intercept(2, Level::dbm(-116.0), Level::dbm(40.0), protection);
    says("half-if", format!("a rejection of {:.0} dB", back.as_db()));
}
