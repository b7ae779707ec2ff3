//! A profile as it is written: every key optional, every figure with its place.
//!
//! The same words are a built-in file, a user's file and an entry under `radios` of a scenario.

use schemars::JsonSchema;
use serde::Deserialize;

use super::figure::{Count, Figure, Known, Milliamperes, Milliseconds, Millivolts, Percent, YesNo};
use super::profile::Injection;
use crate::document::{Entries, Said};
use crate::quantity::{
    Bandwidth, Decibels, Frequency, Length, Level, Offset, Power, Span, Tolerance,
};

/// A figure that may be stated.
pub type Stated<T> = Option<Said<Figure<T>>>;

/// A radio, or what differs from the one it is based on.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct ProfileWords {
    /// What it is, in a line.
    pub title: Option<Said<String>>,
    /// What it is for, in a line.
    #[serde(rename = "use")]
    pub purpose: Option<Said<String>>,
    /// The profile whose figures hold where this one states none.
    pub based_on: Option<Said<String>>,
    /// The bands taken over from the profile it is based on; all when not stated.
    pub keep_bands: Option<Vec<Said<String>>>,
    /// Sources by the keys that figures name in parentheses.
    pub sources: Entries<SourceWords>,
    /// How many frequencies it hears at the same time.
    pub receivers: Stated<Count>,
    /// Whether what one side hears the other can transmit.
    pub repeats_cross_band: Stated<YesNo>,
    /// Whether it transmits and receives at the same time in one band.
    pub duplex: Stated<YesNo>,
    /// Whether a side goes on listening while another side transmits.
    pub hears_while_sending: Stated<YesNo>,
    /// Loss from one side's transmitter to another side's receiver.
    pub isolation: Stated<Decibels>,
    /// The crystal that its oscillators are locked to, where its harmonics are heard.
    pub reference: ReferenceWords,
    /// Its usual antenna.
    pub antenna: AntennaWords,
    /// Figures in time.
    pub timing: TimingWords,
    /// Figures of supply and endurance.
    pub supply: SupplyWords,
    /// What holds for the transmitter in every band that does not say otherwise.
    pub transmitter: TransmitterWords,
    /// What holds for the receiver in every band that does not say otherwise.
    pub receiver: ReceiverWords,
    /// Figures by band, under the band's trade name.
    pub bands: Entries<BandWords>,
}

/// Where figures come from.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SourceWords {
    /// The document, or the reason.
    pub text: String,
    /// How well it is known: published, second-hand, computed, common-practice, memory or choice.
    pub standing: Said<String>,
}

/// A reference that the radio hears itself.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct ReferenceWords {
    /// Where the crystal runs.
    pub frequency: Stated<Frequency>,
    /// How strong a harmonic is heard, as a level at the antenna socket would be.
    pub level: Stated<Level>,
}

/// The antenna a radio usually has.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct AntennaWords {
    /// Height above ground.
    pub height: Stated<Length>,
    /// Gain over an isotropic antenna.
    pub gain: Stated<Decibels>,
    /// Loss of its feeder.
    pub feeder_loss: Stated<Decibels>,
}

/// Figures in time.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct TimingWords {
    /// From carrier to open squelch.
    pub squelch_opening: Stated<Milliseconds>,
    /// From tone to open squelch, on top.
    pub tone_decode: Stated<Milliseconds>,
    /// From key to full power.
    pub transmitter_rise: Stated<Milliseconds>,
    /// From loss of carrier to closed squelch.
    pub squelch_tail: Stated<Milliseconds>,
    /// How long a relay stays keyed after its input closed.
    pub hang: Stated<Milliseconds>,
    /// Longest transmission before the time-out timer stops it.
    pub time_out: Stated<Known<Milliseconds>>,
}

/// Figures of supply and endurance.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct SupplyWords {
    /// Supply voltage.
    pub voltage: Stated<Millivolts>,
    /// Current while receiving.
    pub receive_current: Stated<Milliamperes>,
    /// Current while transmitting, by power step.
    pub transmit_current: Option<Entries<Figure<Milliamperes>>>,
    /// Largest share of time it may transmit, by power step.
    pub duty: Option<Entries<Figure<Percent>>>,
}

/// One band of a radio.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct BandWords {
    /// What it transmits there.
    pub transmitter: Option<TransmitterWords>,
    /// What it receives there.
    pub receiver: Option<ReceiverWords>,
}

/// A transmitter.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct TransmitterWords {
    /// Where it can be tuned.
    pub span: Stated<Span>,
    /// Power at the antenna socket by step.
    pub steps: Option<Entries<Figure<Power>>>,
    /// The step taken where the scenario states none.
    pub usual_step: Option<Said<String>>,
    /// How far the carrier may be off.
    pub tolerance: Stated<Tolerance>,
    /// Harmonics below the carrier.
    pub harmonics: Option<Said<Vec<HarmonicWords>>>,
    /// Broadband noise against offset.
    pub noise: Option<Said<Vec<NoisePointWords>>>,
    /// Power in the adjacent channel below the carrier.
    pub adjacent_power: Stated<Decibels>,
    /// Loss from a foreign carrier to the product that leaves the socket.
    pub conversion_loss: Option<Said<Vec<ConversionWords>>>,
}

/// Suppression of harmonics from one multiple upward.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HarmonicWords {
    /// The multiple it begins at.
    pub from: Said<u32>,
    /// Below the carrier.
    pub suppression: Said<Figure<Decibels>>,
}

/// Noise at an offset.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NoisePointWords {
    /// Distance from the carrier.
    pub offset: Said<Offset>,
    /// Density in one hertz against the carrier, negative.
    pub density: Said<Figure<Decibels>>,
}

/// Conversion loss at an offset.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ConversionWords {
    /// Distance between the two carriers.
    pub offset: Said<Offset>,
    /// Third-order conversion loss.
    pub loss: Said<Figure<Decibels>>,
}

/// A receiver.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct ReceiverWords {
    /// Where it can be tuned.
    pub span: Stated<Span>,
    /// Width of the channel filter.
    pub bandwidth: Stated<Bandwidth>,
    /// Distance to the adjacent channel.
    pub channel_spacing: Stated<Bandwidth>,
    /// Noise figure of the whole receiver.
    pub noise_figure: Stated<Decibels>,
    /// Level for the standard's reference output.
    pub sensitivity: Stated<Level>,
    /// How far a wanted signal must stand above a co-channel one.
    pub protection: Stated<Decibels>,
    /// Rejection one channel off.
    pub adjacent: Stated<Decibels>,
    /// Rejection two channels off.
    pub alternate: Stated<Decibels>,
    /// Blocking above the sensitivity.
    pub blocking: Stated<Decibels>,
    /// First intermediate frequency, or `unknown`.
    pub first_if: Stated<Known<Frequency>>,
    /// Side of the oscillator, `low`, `high` or `unknown`.
    pub injection: Stated<Known<Injection>>,
    /// Second intermediate frequency, or `none`.
    pub second_if: Stated<Known<Frequency>>,
    /// Side of the second oscillator against the first intermediate frequency, `low`, `high` or `unknown`.
    pub second_injection: Stated<Known<Injection>>,
    /// The filter at the first intermediate frequency, ahead of the second mixer.
    pub first_if_filter: FirstFilterWords,
    /// First image rejection.
    pub image: Stated<Decibels>,
    /// Half-IF rejection.
    pub half_if: Stated<Decibels>,
    /// Second image rejection.
    pub second_image: Stated<Decibels>,
    /// Rejection of the first intermediate frequency itself.
    pub if_breakthrough: Stated<Decibels>,
    /// Rejection of other spurious responses.
    pub spurious: Stated<Decibels>,
    /// Third-order intermodulation rejection.
    pub intermodulation: Stated<Decibels>,
    /// Second-order input intercept.
    pub intercept_2: Stated<Level>,
    /// Fifth-order input intercept.
    pub intercept_5: Stated<Level>,
    /// Seventh-order input intercept.
    pub intercept_7: Stated<Level>,
    /// What stands before the first stage.
    pub preselector: PreselectorWords,
    /// Noise of the local oscillator against offset, where somebody measured it.
    pub oscillator_noise: Option<Said<Vec<NoisePointWords>>>,
    /// Local oscillator at the antenna socket.
    pub oscillator_leakage: Stated<Level>,
    /// How far the oscillator may be off.
    pub tolerance: Stated<Tolerance>,
}

/// The filter at the first intermediate frequency.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct FirstFilterWords {
    /// Width between its half-power points.
    pub passband: Stated<Bandwidth>,
    /// How many poles it has, all its sections together.
    pub poles: Stated<Count>,
}

/// A passband with losses outside it.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct PreselectorWords {
    /// What passes without loss; the receiver's span when not stated.
    pub passband: Stated<Span>,
    /// Loss outside it.
    pub skirts: Option<Said<Vec<SkirtWords>>>,
}

/// One point of a skirt.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SkirtWords {
    /// Distance beyond the nearer edge of the passband.
    pub beyond: Said<Offset>,
    /// Loss there.
    pub loss: Said<Figure<Decibels>>,
}
