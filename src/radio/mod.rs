//! What a radio is: the figures a profile states, each with its source.
//!
//! Profiles are data files in `profiles/`; a profile given by path, or written in a scenario, works like a built-in one.
//! A profile may rest on another and state only what differs.

mod bands;
mod complete;
mod curves;
mod figure;
mod intermediates;
mod library;
mod listing;
mod modes;
mod profile;
mod sources;
mod stack;
mod tones;
mod words;

#[cfg(test)]
mod tests;

pub use bands::{Band, band, bands};
pub use figure::{
    Count, Figure, Known, MilliampereHours, Milliamperes, Milliseconds, Millivolts, Percent, YesNo,
};
pub use intermediates::{common_intermediates, intermediates_authority};
pub use library::{Library, RadioError, read_profile};
pub use listing::Listed;
pub use modes::{Mode, mode, modes};
pub use profile::{
    BandFigures, ConversionFigure, FirstFilter, HarmonicFigure, Injection, NoiseFigure, PowerStep,
    Preselector, Profile, ReceiverFigures, Reference, Skirt, Supply, Timing, TransmitterFigures,
};
pub use tones::{is_standard_tone, nearest_tones, older_tones, tones};
pub use words::{
    AntennaWords, BandWords, ConversionWords, FirstFilterWords, HarmonicWords, NoisePointWords,
    PreselectorWords, ProfileWords, ReceiverWords, SkirtWords, SourceWords, Stated, SupplyWords,
    TimingWords, TransmitterWords,
};

/// The built-in profiles: the id scenarios use, and the file.
const ALL: &[(&str, &str)] = &[
    (
        "dual-band-mobile",
        include_str!("profiles/dual-band-mobile.yaml"),
    ),
    ("mobile-2m", include_str!("profiles/mobile-2m.yaml")),
    ("mobile-70cm", include_str!("profiles/mobile-70cm.yaml")),
    ("handheld", include_str!("profiles/handheld.yaml")),
    ("handheld-2m", include_str!("profiles/handheld-2m.yaml")),
    ("handheld-70cm", include_str!("profiles/handheld-70cm.yaml")),
    (
        "fixed-repeater",
        include_str!("profiles/fixed-repeater.yaml"),
    ),
    (
        "satellite-ground",
        include_str!("profiles/satellite-ground.yaml"),
    ),
    (
        "airband-ground",
        include_str!("profiles/airband-ground.yaml"),
    ),
    (
        "airband-aircraft",
        include_str!("profiles/airband-aircraft.yaml"),
    ),
    ("marine-vhf", include_str!("profiles/marine-vhf.yaml")),
    ("land-mobile", include_str!("profiles/land-mobile.yaml")),
    ("pmr446", include_str!("profiles/pmr446.yaml")),
    (
        "public-handheld",
        include_str!("profiles/public-handheld.yaml"),
    ),
    (
        "short-range-433",
        include_str!("profiles/short-range-433.yaml"),
    ),
    (
        "uhf-tag-reader",
        include_str!("profiles/uhf-tag-reader.yaml"),
    ),
    (
        "wireless-microphone",
        include_str!("profiles/wireless-microphone.yaml"),
    ),
    ("broadcast-fm", include_str!("profiles/broadcast-fm.yaml")),
    ("gnss-receiver", include_str!("profiles/gnss-receiver.yaml")),
    ("beacon-406", include_str!("profiles/beacon-406.yaml")),
    (
        "scanner-receiver",
        include_str!("profiles/scanner-receiver.yaml"),
    ),
    (
        "unknown-receiver",
        include_str!("profiles/unknown-receiver.yaml"),
    ),
];

/// Each built-in profile's id with the text of its file.
pub fn built_in() -> &'static [(&'static str, &'static str)] {
    ALL
}
