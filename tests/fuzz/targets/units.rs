//! Any text as each of the quantities; what is printed of one is read back.
#![no_main]

use libfuzzer_sys::fuzz_target;
use quietpair::quantity::{
    Bandwidth, Decibels, Duty, Emission, Frequency, Length, Level, Locator, Offset, Position,
    Power, Tolerance,
};

fuzz_target!(|text: &str| {
    if let Ok(frequency) = text.parse::<Frequency>() {
        assert_eq!(frequency.to_string().parse(), Ok(frequency));
    }
    if let Ok(emission) = text.parse::<Emission>() {
        let printed = emission.designator();
        assert_eq!(printed.parse::<Emission>().unwrap().designator(), printed);
    }
    if let Ok(locator) = text.parse::<Locator>() {
        let again = Locator::of(locator.centre(), text.len() / 2);
        assert!(again.eq_ignore_ascii_case(text), "{again} {text}");
    }
    let _ = (
        text.parse::<Offset>(),
        text.parse::<Bandwidth>(),
        text.parse::<Tolerance>(),
        text.parse::<Duty>(),
    );
    let _ = (
        text.parse::<Decibels>(),
        text.parse::<Power>(),
        text.parse::<Length>(),
    );
    let _ = (text.parse::<Level>(), text.parse::<Position>());
});
