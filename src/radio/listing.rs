//! A radio as a list of its figures, for the table that shows where each comes from.

use std::fmt::Display;

use super::profile::{NoiseFigure, Profile, ReceiverFigures, TransmitterFigures};
use crate::provenance::{Origin, Sourced};

/// One figure of a radio.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listed {
    /// Its key with the way to it, as in a profile: `bands.2m.receiver.image`.
    pub key: String,
    /// The value as a planner would write it.
    pub value: String,
    /// Where it came from.
    pub origin: Origin,
}

struct List<'l> {
    path: String,
    figures: &'l mut Vec<Listed>,
}

impl List<'_> {
    fn put<T: Display>(&mut self, key: &str, figure: &Sourced<T>) {
        self.put_as(key, figure, "");
    }

    fn put_as<T: Display>(&mut self, key: &str, figure: &Sourced<T>, unit: &str) {
        self.figures.push(Listed {
            key: format!("{}{key}", self.path),
            value: format!("{}{unit}", figure.value),
            origin: figure.origin.clone(),
        });
    }

    fn answer(&mut self, key: &str, figure: &Sourced<bool>) {
        let word = if figure.value { "yes" } else { "no" };
        self.put(key, &figure.clone().map(|_| word));
    }

    fn maybe<T: Display>(&mut self, key: &str, figure: Option<&Sourced<T>>) {
        if let Some(figure) = figure {
            self.put(key, figure);
        }
    }
}

impl Profile {
    /// Every figure of the radio, in the order of a profile.
    pub fn listing(&self) -> Vec<Listed> {
        let mut figures = Vec::new();
        let mut list = List {
            path: String::new(),
            figures: &mut figures,
        };
        list.put("receivers", &self.receivers);
        list.answer("repeats_cross_band", &self.repeats_cross_band);
        list.answer("duplex", &self.is_duplex);
        list.answer("hears_while_sending", &self.hears_while_sending);
        list.put("isolation", &self.isolation);
        list.maybe(
            "reference.frequency",
            self.reference.as_ref().map(|one| &one.frequency),
        );
        list.maybe(
            "reference.level",
            self.reference.as_ref().map(|one| &one.level),
        );
        list.put("antenna.height", &self.antenna_height);
        // Relative to an isotropic antenna, as the key says that gives it.
        list.put_as("antenna.gain", &self.antenna_gain, "i");
        list.put("antenna.feeder_loss", &self.feeder_loss);
        let timing = &self.timing;
        for (key, time) in [
            ("timing.squelch_opening", Some(&timing.squelch_opening)),
            ("timing.tone_decode", Some(&timing.tone_decode)),
            ("timing.transmitter_rise", Some(&timing.transmitter_rise)),
            ("timing.squelch_tail", Some(&timing.squelch_tail)),
            ("timing.hang", Some(&timing.hang)),
            ("timing.time_out", timing.time_out.as_ref()),
        ] {
            if let Some(time) = time {
                list.put_as(key, time, " ms");
            }
        }
        let supply = &self.supply;
        list.put_as("supply.voltage", &supply.voltage, " mV");
        list.put_as("supply.receive_current", &supply.receive_current, " mA");
        for (step, current) in &supply.transmit_current {
            list.put_as(&format!("supply.transmit_current.{step}"), current, " mA");
        }
        for (step, share) in &supply.duty {
            list.put_as(&format!("supply.duty.{step}"), share, " %");
        }
        for band in &self.bands {
            if let Some(transmitter) = &band.transmitter {
                list.path = format!("bands.{}.transmitter.", band.name);
                list_transmitter(&mut list, transmitter);
            }
            if let Some(receiver) = &band.receiver {
                list.path = format!("bands.{}.receiver.", band.name);
                list_receiver(&mut list, receiver);
            }
        }
        figures
    }
}

fn list_transmitter(list: &mut List<'_>, figures: &TransmitterFigures) {
    for step in &figures.steps {
        list.put(&format!("steps.{}", step.name), &step.power);
    }
    list.put("tolerance", &figures.tolerance);
    for harmonic in &figures.harmonics {
        list.put(
            &format!("harmonics from {}", harmonic.from),
            &harmonic.suppression,
        );
    }
    list_noise(list, "noise", &figures.noise);
    list.put("adjacent_power", &figures.adjacent_power);
    for conversion in &figures.conversion_loss {
        list.put(
            &format!("conversion_loss at {}", conversion.offset),
            &conversion.loss,
        );
    }
}

fn list_noise(list: &mut List<'_>, name: &str, points: &[NoiseFigure]) {
    for noise in points {
        list.put_as(
            &format!("{name} at {}", noise.offset),
            &noise.density,
            "c/Hz",
        );
    }
}

fn list_receiver(list: &mut List<'_>, figures: &ReceiverFigures) {
    list.put("bandwidth", &figures.bandwidth);
    list.put("channel_spacing", &figures.channel_spacing);
    list.put("noise_figure", &figures.noise_figure);
    list.put("sensitivity", &figures.sensitivity);
    list.put("protection", &figures.protection);
    list.put("adjacent", &figures.adjacent);
    list.put("alternate", &figures.alternate);
    list.put("blocking", &figures.blocking);
    list.maybe("first_if", figures.first_if.as_ref());
    list.maybe("injection", figures.injection.as_ref());
    list.maybe("second_if", figures.second_if.as_ref());
    list.maybe("second_injection", figures.second_injection.as_ref());
    if let Some(filter) = &figures.first_if_filter {
        list.put("first_if_filter.passband", &filter.passband);
        list.put("first_if_filter.poles", &filter.poles);
    }
    list.put("image", &figures.image);
    list.put("half_if", &figures.half_if);
    list.put("second_image", &figures.second_image);
    list.put("if_breakthrough", &figures.if_breakthrough);
    list.put("spurious", &figures.spurious);
    list.put("intermodulation", &figures.intermodulation);
    list.put("intercept_2", &figures.intercept_2);
    list.put("intercept_5", &figures.intercept_5);
    list.put("intercept_7", &figures.intercept_7);
    for skirt in &figures.preselector.skirts {
        list.put(
            &format!("preselector, {} beyond", skirt.beyond),
            &skirt.loss,
        );
    }
    list_noise(list, "oscillator_noise", &figures.oscillator_noise);
    list.put("oscillator_leakage", &figures.oscillator_leakage);
    list.put("tolerance", &figures.tolerance);
}
