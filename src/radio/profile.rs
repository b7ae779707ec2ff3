//! A radio with all its figures, as every later stage uses it.

use std::sync::LazyLock;

use crate::physics::bandpass::{least_through, maximally_flat};
use crate::physics::mixing::intercept_from_rejection;
pub use crate::physics::superhet::Injection;
use crate::provenance::{Authority, Origin, Sourced, Standing};
use crate::quantity::{
    Bandwidth, Decibels, Frequency, Length, Level, Offset, Power, Span, Tolerance,
};

/// A radio: one box with one or more sides, its figures by band.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// The name scenarios use.
    pub id: String,
    /// What it is, in a line.
    pub title: String,
    /// What it is for, in a line; empty when nobody said.
    pub purpose: String,
    /// How many frequencies it hears at the same time.
    pub receivers: Sourced<u32>,
    /// Whether what one side hears the other can transmit.
    pub repeats_cross_band: Sourced<bool>,
    /// Whether it can transmit on one frequency while it receives on another in the same band (a duplex repeater).
    pub is_duplex: Sourced<bool>,
    /// Whether a side goes on listening while another side of the same box transmits.
    pub hears_while_sending: Sourced<bool>,
    /// Loss from one side's transmitter to another side's receiver inside the box (internal diplexer), for any line.
    pub isolation: Sourced<Decibels>,
    /// The crystal that its oscillators are locked to, when it is known to be heard in its own receivers.
    pub reference: Option<Reference>,
    /// Height of its antenna above ground where the scenario states none.
    pub antenna_height: Sourced<Length>,
    /// Gain of its usual antenna over an isotropic one, where the scenario states none.
    pub antenna_gain: Sourced<Decibels>,
    /// Loss of its usual feeder, where the scenario states none.
    pub feeder_loss: Sourced<Decibels>,
    /// Figures by band, lowest band first.
    pub bands: Vec<BandFigures>,
    /// Figures in time.
    pub timing: Timing,
    /// Figures of supply and endurance.
    pub supply: Supply,
}

/// A reference whose harmonics the same radio's receivers hear.
#[derive(Debug, Clone, PartialEq)]
pub struct Reference {
    /// Where the crystal runs.
    pub frequency: Sourced<Frequency>,
    /// How strong any one of its harmonics is heard, as a level at the antenna socket.
    pub level: Sourced<Level>,
}

/// One band of a radio.
#[derive(Debug, Clone, PartialEq)]
pub struct BandFigures {
    /// The band's trade name (`2m`, `70cm`, `airband`), as in `bands.yaml`.
    pub name: String,
    /// What it transmits, if it does.
    pub transmitter: Option<TransmitterFigures>,
    /// What it receives, if it does.
    pub receiver: Option<ReceiverFigures>,
}

/// A transmitter's figures in one band.
#[derive(Debug, Clone, PartialEq)]
pub struct TransmitterFigures {
    /// Where it can be tuned.
    pub span: Span,
    /// Power steps at the antenna socket, highest first.
    pub steps: Vec<PowerStep>,
    /// The step taken where the scenario states none.
    pub usual_step: String,
    /// How far the carrier may be off.
    pub tolerance: Sourced<Tolerance>,
    /// Harmonics below the carrier: from this multiple upward, until the next entry. Ordered by multiple, first is 2.
    pub harmonics: Vec<HarmonicFigure>,
    /// Broadband noise at increasing offsets from the carrier, in dBc in one hertz of bandwidth.
    pub noise: Vec<NoiseFigure>,
    /// Power in the adjacent channel below the carrier.
    pub adjacent_power: Sourced<Decibels>,
    /// Loss from a foreign carrier at the socket to the third-order product that leaves it, at increasing offsets.
    pub conversion_loss: Vec<ConversionFigure>,
}

/// One power step.
#[derive(Debug, Clone, PartialEq)]
pub struct PowerStep {
    /// Its name on the radio: `high`, `mid`, `low`.
    pub name: String,
    /// Power at the antenna socket.
    pub power: Sourced<Power>,
}

/// Suppression of harmonics from one multiple upward.
#[derive(Debug, Clone, PartialEq)]
pub struct HarmonicFigure {
    /// The multiple it begins at.
    pub from: u32,
    /// Below the carrier.
    pub suppression: Sourced<Decibels>,
}

/// Transmitter noise at an offset.
#[derive(Debug, Clone, PartialEq)]
pub struct NoiseFigure {
    /// Distance from the carrier.
    pub offset: Offset,
    /// Density below the carrier, dBc/Hz, a negative number.
    pub density: Sourced<Decibels>,
}

/// Transmitter intermodulation conversion loss at an offset.
#[derive(Debug, Clone, PartialEq)]
pub struct ConversionFigure {
    /// Distance between the two carriers.
    pub offset: Offset,
    /// Third-order conversion loss.
    pub loss: Sourced<Decibels>,
}

/// A receiver's figures in one band.
#[derive(Debug, Clone, PartialEq)]
pub struct ReceiverFigures {
    /// Where it can be tuned.
    pub span: Span,
    /// Width of the channel filter.
    pub bandwidth: Sourced<Bandwidth>,
    /// Distance to the adjacent channel that its selectivity is stated for.
    pub channel_spacing: Sourced<Bandwidth>,
    /// Noise figure of the whole receiver.
    pub noise_figure: Sourced<Decibels>,
    /// Level at the socket for the standard's reference output.
    pub sensitivity: Sourced<Level>,
    /// How far a wanted signal must stand above a co-channel one.
    pub protection: Sourced<Decibels>,
    /// Rejection one channel off.
    pub adjacent: Sourced<Decibels>,
    /// Rejection two channels off and further, up to where blocking is stated.
    pub alternate: Sourced<Decibels>,
    /// Blocking, stated from 1 MHz off.
    pub blocking: Sourced<Decibels>,
    /// First intermediate frequency; none when it is not known.
    pub first_if: Option<Sourced<Frequency>>,
    /// Side of the local oscillator; none when it is not known.
    pub injection: Option<Sourced<Injection>>,
    /// Second intermediate frequency; none when it is not known, or there is none.
    pub second_if: Option<Sourced<Frequency>>,
    /// Side of the second oscillator against the first intermediate frequency; none when it is not known.
    pub second_injection: Option<Sourced<Injection>>,
    /// The filter ahead of the second mixer; none when it is not known.
    pub first_if_filter: Option<FirstFilter>,
    /// First image rejection.
    pub image: Sourced<Decibels>,
    /// Half-IF rejection, measured at the standard's level.
    pub half_if: Sourced<Decibels>,
    /// Second image rejection.
    pub second_image: Sourced<Decibels>,
    /// Rejection of the first intermediate frequency at the socket.
    pub if_breakthrough: Sourced<Decibels>,
    /// Rejection of any other spurious response.
    pub spurious: Sourced<Decibels>,
    /// Third-order intermodulation response rejection, two equal signals.
    pub intermodulation: Sourced<Decibels>,
    /// Input intercept of second order, in band.
    pub intercept_2: Sourced<Level>,
    /// Input intercept of fifth order, in band.
    pub intercept_5: Sourced<Level>,
    /// Input intercept of seventh order, in band.
    pub intercept_7: Sourced<Level>,
    /// What stands before the first stage.
    pub preselector: Preselector,
    /// Noise of the local oscillator at increasing offsets, in dBc in one hertz; empty when it is not known, and then
    /// blocking speaks for it.
    pub oscillator_noise: Vec<NoiseFigure>,
    /// Local oscillator at the antenna socket.
    pub oscillator_leakage: Sourced<Level>,
    /// How far the oscillator may be off.
    pub tolerance: Sourced<Tolerance>,
}

/// The filter at the first intermediate frequency.
#[derive(Debug, Clone, PartialEq)]
pub struct FirstFilter {
    /// Width between its half-power points.
    pub passband: Sourced<Bandwidth>,
    /// How many poles it has, all its sections together.
    pub poles: Sourced<u32>,
}

/// A passband with losses outside it.
#[derive(Debug, Clone, PartialEq)]
pub struct Preselector {
    /// What passes without loss.
    pub passband: Span,
    /// Loss from this distance beyond the passband's edge outward, increasing; interpolated linearly between.
    pub skirts: Vec<Skirt>,
}

/// One point of a filter's skirt.
#[derive(Debug, Clone, PartialEq)]
pub struct Skirt {
    /// Distance beyond the nearer edge of the passband.
    pub beyond: Offset,
    /// Loss there.
    pub loss: Sourced<Decibels>,
}

/// A radio's figures in time, in milliseconds.
#[derive(Debug, Clone, PartialEq)]
pub struct Timing {
    /// From carrier to open squelch.
    pub squelch_opening: Sourced<u64>,
    /// From tone to open squelch, on top.
    pub tone_decode: Sourced<u64>,
    /// From key to full power.
    pub transmitter_rise: Sourced<u64>,
    /// From loss of carrier to closed squelch.
    pub squelch_tail: Sourced<u64>,
    /// How long a relay stays keyed after its input closed.
    pub hang: Sourced<u64>,
    /// Longest transmission before the time-out timer stops it; none when it has none.
    pub time_out: Option<Sourced<u64>>,
}

/// A radio's figures of supply and endurance.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    /// Supply voltage in millivolts.
    pub voltage: Sourced<u64>,
    /// Current while receiving, in milliamperes.
    pub receive_current: Sourced<u64>,
    /// Current while transmitting by step name, in milliamperes.
    pub transmit_current: Vec<(String, Sourced<u64>)>,
    /// Largest share of time it may transmit, in percent, by step name.
    pub duty: Vec<(String, Sourced<u64>)>,
}

impl Profile {
    /// The band that a frequency can be transmitted in.
    pub fn transmitter_at(&self, frequency: Frequency) -> Option<&TransmitterFigures> {
        self.bands
            .iter()
            .filter_map(|band| band.transmitter.as_ref())
            .find(|figures| figures.span.contains(frequency))
    }

    /// The band that a frequency can be received in.
    pub fn receiver_at(&self, frequency: Frequency) -> Option<&ReceiverFigures> {
        self.bands
            .iter()
            .filter_map(|band| band.receiver.as_ref())
            .find(|figures| figures.span.contains(frequency))
    }
}

/// What speaks for a filter at the first IF that nobody stated.
static SUPPOSED_FILTER: LazyLock<Origin> = LazyLock::new(|| {
    Origin::Default(Authority {
        text: "the filter at the first IF is not known: two poles, the fewest, that just reach the second image rejection at \
               twice the second IF"
            .into(),
        standing: Standing::Choice,
    })
});

impl ReceiverFigures {
    /// The third-order input intercept behind the stated intermodulation rejection: `S + 1.5·R + C/2`.
    pub fn intercept_3(&self) -> Sourced<Level> {
        self.intermodulation.clone().map(|rejection| {
            intercept_from_rejection(3, self.sensitivity.value, rejection, self.protection.value)
        })
    }

    /// What the filter at the first IF takes from a signal that comes this far beside it, with the second IF that is stated.
    ///
    /// The second image lies twice the second IF off, and nothing else weakens it: its rejection is what leaks past the
    /// filter, and the filter gives no more anywhere.
    pub fn first_filter_at(&self, off: Offset) -> Option<Sourced<Decibels>> {
        let second = self.second_if.as_ref()?;
        let at = Offset::hz(second.as_hz().saturating_mul(2));
        let leaks = &self.second_image;
        let (loss, origin) = match &self.first_if_filter {
            Some(filter) => (
                maximally_flat(filter.passband.value, filter.poles.value, off),
                filter.passband.origin.clone(),
            ),
            None => (least_through(leaks.value, at, off), SUPPOSED_FILTER.clone()),
        };
        Some(if loss < leaks.value {
            Sourced::new(loss, origin)
        } else {
            leaks.clone()
        })
    }
}

impl Preselector {
    /// Loss at a frequency: none in the passband, then along the skirts, with a straight line in dB between points.
    pub fn loss_at(&self, frequency: Frequency) -> Decibels {
        let beyond = (self.passband.low - frequency)
            .max(frequency - self.passband.high)
            .max(Offset::hz(0));
        let (mut from, mut lost) = (Offset::hz(0), Decibels::ZERO);
        for skirt in &self.skirts {
            if beyond <= skirt.beyond {
                let whole = (skirt.beyond.as_hz() - from.as_hz()).max(1) as f64;
                let part = (beyond.as_hz() - from.as_hz()) as f64 / whole;
                return lost + (skirt.loss.value - lost) * part;
            }
            (from, lost) = (skirt.beyond, skirt.loss.value);
        }
        lost
    }
}
