use super::*;
use crate::document::{Source, read};
use crate::provenance::{Origin, Standing};
use crate::quantity::{Decibels, Frequency};

fn source(text: &str) -> Source {
    Source::new("race.yaml", text.as_bytes()).unwrap()
}

/// The radio `mine`, as a scenario would hold it.
fn mine(text: &str) -> Result<Profile, String> {
    let source = source(text);
    let words = read::<ProfileWords>(&source).into_result();
    let words = words.map_err(|faults| faults.to_string())?;
    let mut library = Library::new();
    library.add("mine", crate::document::Place::default(), words, &source);
    library.profile("mine").map_err(|error| error.to_string())
}

fn every() -> impl Iterator<Item = Profile> {
    built_in()
        .iter()
        .map(|(id, _)| Profile::built_in(id).unwrap_or_else(|error| panic!("{id}: {error}")))
}

fn receivers(profile: &Profile) -> impl Iterator<Item = &ReceiverFigures> {
    profile
        .bands
        .iter()
        .filter_map(|band| band.receiver.as_ref())
}

#[test]
fn every_built_in_profile_reads_without_a_fault() {
    for (id, text) in built_in() {
        let source = Source::new(&format!("{id}.yaml"), text.as_bytes()).unwrap();
        let reading = read_profile(&source);
        assert!(reading.faults.is_empty(), "{}", reading.faults);
        let profile = reading.value.unwrap();
        assert_eq!(profile.id, *id);
        assert!(
            !profile.title.is_empty() && !profile.purpose.is_empty(),
            "{id}"
        );
    }
}

#[test]
fn every_figure_of_a_built_in_profile_names_its_source() {
    for profile in every() {
        for figure in profile.listing() {
            let Origin::Profile { authority, .. } = &figure.origin else {
                panic!("{}: {} has no source", profile.id, figure.key);
            };
            assert!(authority.text.len() > 20, "{}: {}", profile.id, figure.key);
        }
    }
}

#[test]
fn every_band_has_a_trade_name_and_the_bands_of_a_radio_rise() {
    for profile in every() {
        for band in &profile.bands {
            assert!(
                super::band(&band.name).is_some(),
                "{}: {}",
                profile.id,
                band.name
            );
        }
        let lows: Vec<_> = receivers(&profile)
            .map(|figures| figures.span.low)
            .collect();
        assert!(lows.is_sorted(), "{}", profile.id);
    }
}

#[test]
fn power_steps_descend_and_have_a_current_and_a_duty() {
    for profile in every() {
        let transmitters = profile
            .bands
            .iter()
            .filter_map(|band| band.transmitter.as_ref());
        for figures in transmitters {
            let powers: Vec<_> = figures.steps.iter().map(|step| step.power.value).collect();
            assert!(
                powers.is_sorted_by(|one, next| one > next),
                "{}",
                profile.id
            );
            for step in &figures.steps {
                let named = |list: &[(String, crate::provenance::Sourced<u64>)]| {
                    list.iter().any(|(name, _)| *name == step.name)
                };
                assert!(
                    named(&profile.supply.transmit_current),
                    "{}: {}",
                    profile.id,
                    step.name
                );
                assert!(named(&profile.supply.duty), "{}: {}", profile.id, step.name);
            }
        }
    }
}

/// Source: −174 dBm + 10 log B + NF + C/N, with 4 to 8 dB of carrier to noise for FM and up to 16 dB for AM; trade
/// practice.
#[test]
fn sensitivity_and_noise_figure_tell_the_same() {
    for profile in every().filter(|profile| profile.id != "gnss-receiver") {
        for figures in receivers(&profile) {
            let width = figures.bandwidth.as_hz() as f64;
            let floor = -174.0 + 10.0 * width.log10() + figures.noise_figure.as_db();
            let needed = figures.sensitivity.as_dbm() - floor;
            assert!(
                (4.0..=16.0).contains(&needed),
                "{}: {needed:.1} dB",
                profile.id
            );
        }
    }
}

/// Source: two equal tones through y = tanh x = x − x³/3 + 2x⁵/15 − 17x⁷/315; the amplitudes at which the products of
/// order 3, 5 and 7 would equal the tones are 2, 12^(1/4) = 1.861 and 1.799. Arithmetic.
#[test]
fn higher_intercepts_follow_from_the_third_by_a_hyperbolic_tangent() {
    // Two-tone products: 3/4·a₃, 5/8·a₅ and 35/64·a₇ times the amplitude to the order.
    let third = (1.0_f64 / (0.75 / 3.0)).powf(1.0 / 2.0);
    let fifth = (1.0_f64 / (0.625 * 2.0 / 15.0)).powf(1.0 / 4.0);
    let seventh = (1.0_f64 / (35.0 / 64.0 * 17.0 / 315.0)).powf(1.0 / 6.0);
    let below = |amplitude: f64| 20.0 * (third / amplitude).log10();
    for profile in every() {
        for figures in receivers(&profile) {
            let intercept_3 = figures.sensitivity.as_dbm()
                + 1.5 * figures.intermodulation.as_db()
                + figures.protection.as_db() / 2.0;
            for (figure, amplitude) in [
                (&figures.intercept_5, fifth),
                (&figures.intercept_7, seventh),
            ] {
                let expected = intercept_3 - below(amplitude);
                // Stated to a tenth, from a difference that is itself rounded to a tenth.
                assert!(
                    (figure.as_dbm() - expected).abs() < 0.11,
                    "{}: {expected:.2}",
                    profile.id
                );
            }
        }
    }
}

/// Source: 47 CFR 97.307(e): above 25 W 60 dB; else at most 25 µW and at least 40 dB, but not below 10 µW.
#[test]
fn harmonics_of_amateur_2_m_transmitters_keep_to_the_regulation_on_the_highest_step() {
    for id in [
        "dual-band-mobile",
        "handheld",
        "fixed-repeater",
        "satellite-ground",
    ] {
        let profile = Profile::built_in(id).unwrap();
        let figures = profile.transmitter_at(Frequency::hz(145_500_000)).unwrap();
        let power = figures.steps.first().unwrap().power.as_watts();
        let limit = if power > 25.0 {
            60.0
        } else {
            (10.0 * (power / 25e-6).log10()).max(40.0)
        };
        let stated = figures.harmonics.first().unwrap().suppression.as_db();
        assert!(
            (stated - limit).abs() < 0.5,
            "{id}: {stated} against {limit:.1}"
        );
    }
}

/// What makes a cross-band relay work at all: its own 2 m carrier neither blocks its 70 cm receiver nor covers it with
/// noise, at the usual step.
#[test]
fn a_relay_does_not_deafen_its_own_other_side() {
    let radio = Profile::built_in("dual-band-mobile").unwrap();
    let (two, seventy) = (Frequency::hz(145_225_000), Frequency::hz(433_450_000));
    for (sends, hears) in [(two, seventy), (seventy, two)] {
        let transmitter = radio.transmitter_at(sends).unwrap();
        let receiver = radio.receiver_at(hears).unwrap();
        let step = transmitter
            .steps
            .iter()
            .find(|step| step.name == transmitter.usual_step);
        let carrier =
            10.0 * (step.unwrap().power.as_watts() * 1e3).log10() - radio.isolation.as_db();
        let front = receiver.preselector.skirts.last().unwrap().loss.as_db();
        let blocks = receiver.sensitivity.as_dbm() + receiver.blocking.as_db();
        assert!(carrier - front < blocks - 15.0);
        let noise = carrier + transmitter.noise.last().unwrap().density.as_db();
        assert!(noise < -174.0 + receiver.noise_figure.as_db() - 10.0);
        // The third harmonic is another matter: nothing between holds it back enough.
        let harmonic = carrier - transmitter.harmonics.first().unwrap().suppression.as_db();
        assert!(harmonic > receiver.sensitivity.as_dbm());
    }
}

#[test]
fn an_override_changes_one_figure_and_says_whose_it_is() {
    let base = Profile::built_in("dual-band-mobile").unwrap();
    let radio = mine(
        "based_on: dual-band-mobile\nbands:\n  70cm:\n    receiver: {image: 72 dB, first_if: unknown}\n",
    )
    .unwrap();
    let at = Frequency::hz(433_450_000);
    let (changed, before) = (
        radio.receiver_at(at).unwrap(),
        base.receiver_at(at).unwrap(),
    );
    assert_eq!(changed.image.value, Decibels::db(72.0));
    assert_eq!(
        changed.image.origin.to_string(),
        "stated in race.yaml, line 4"
    );
    assert_eq!(changed.first_if, None);
    let restored = ReceiverFigures {
        image: before.image.clone(),
        first_if: before.first_if.clone(),
        ..changed.clone()
    };
    assert_eq!(&restored, before);
    assert_eq!(radio.transmitter_at(at), base.transmitter_at(at));
    assert_eq!(
        radio.receiver_at(Frequency::hz(145_500_000)),
        base.receiver_at(Frequency::hz(145_500_000))
    );
}

#[test]
fn a_figure_for_every_band_comes_before_what_the_base_says_of_one() {
    let radio = mine(
        "based_on: dual-band-mobile\nreceiver: {image: 41 dB}\nbands: {2m: {receiver: {image: 42 dB}}}\n",
    );
    let radio = radio.unwrap();
    let image = |hertz| {
        radio
            .receiver_at(Frequency::hz(hertz))
            .unwrap()
            .image
            .as_db()
    };
    assert!((image(433_450_000) - 41.0).abs() < 1e-9);
    assert!((image(145_500_000) - 42.0).abs() < 1e-9);
}

#[test]
fn a_profile_under_a_built_in_name_changes_that_one() {
    let text = source(
        "isolation: 60 dB (bench)\nsources: {bench: {text: our own bench, standing: published}}\n",
    );
    let words = read::<ProfileWords>(&text).into_result().unwrap();
    let mut library = Library::new();
    library.add("handheld", crate::document::Place::default(), words, &text);
    let radio = library.profile("handheld-2m").unwrap();
    assert_eq!(radio.isolation.value, Decibels::db(60.0));
    let Origin::Profile { authority, .. } = radio.isolation.origin else {
        panic!("the source is named");
    };
    assert_eq!(authority.standing, Standing::Published);
    assert_eq!(radio.bands.len(), 1);
}

#[test]
fn what_is_wrong_is_told_with_its_line_and_a_way_to_mend_it() {
    for (text, expected) in [
        ("based_on: dual-band-mobile\nisolatoin: 3 dB\n", "isolation"),
        (
            "based_on: dual-band-mobil\n",
            "did you mean `dual-band-mobile`?",
        ),
        ("isolation: 3 dB\n", "the radio has no `receivers`"),
        (
            "based_on: handheld\nkeep_bands: [6m]\n",
            "there is no band `6m` to keep",
        ),
        (
            "based_on: handheld\nisolation: 3 dB (bench)\n",
            "no source `bench`",
        ),
        (
            "based_on: handheld\nreceiver: {noise_figure: 75 dB}\n",
            "cannot be 75.0 dB",
        ),
        (
            "based_on: handheld\ntransmitter: {usual_step: turbo}\n",
            "none of the power steps high, mid, low",
        ),
        (
            "based_on: handheld\nkeep_bands: []\n",
            "the radio has no band",
        ),
        (
            "based_on: handheld\ntransmitter: {noise: [{offset: 1 MHz, density: -130}, {offset: 5 MHz, density: -120}]}\n",
            "would rise again",
        ),
        (
            "based_on: handheld\nsupply: {duty: {high: 120 %}}\n",
            "at most 100 %",
        ),
    ] {
        let message = mine(text).unwrap_err();
        assert!(message.contains(expected), "{text}\n{message}");
        assert!(message.contains("race.yaml"), "{message}");
    }
}

#[test]
fn radios_that_rest_on_each_other_are_refused() {
    let text = source("based_on: other\n");
    let back = source("based_on: mine\n");
    let mut library = Library::new();
    for (id, source) in [("mine", &text), ("other", &back)] {
        let words = read::<ProfileWords>(source).into_result().unwrap();
        library.add(id, crate::document::Place::default(), words, source);
    }
    let message = library.profile("mine").unwrap_err().to_string();
    assert!(message.contains("based on itself"), "{message}");
}

#[test]
fn the_radios_of_protected_services_hear_where_these_listen() {
    for pack in ["uk", "us"] {
        let law = crate::law::Law::named(&[pack], None).unwrap();
        assert!(!law.protected().is_empty());
        for service in law.protected() {
            let radio = Profile::built_in(&service.receiver).unwrap();
            let (low, high) = (service.span.low, service.span.high);
            let hears = radio.receiver_at(low).is_some() && radio.receiver_at(high).is_some();
            assert!(hears, "{} with {}", service.name, radio.id);
        }
        for service in law.services() {
            assert!(
                Profile::built_in(&service.receiver).is_ok(),
                "{}",
                service.id
            );
        }
    }
}
