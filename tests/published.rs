//! Check values from outside: every row of `published.csv` is computed and compared, with its source beside it.
//!
//! Rows whose source ends in "second-hand copy" or whose status is `memory` were not read in the publication itself.

use std::collections::BTreeMap;

use quietpair::physics::bandpass::maximally_flat;
use quietpair::physics::coupling;
use quietpair::physics::curve::{Point, density_over, linear_at, logarithmic_at};
use quietpair::physics::exposure::{self, GroundReflection, PowerDensity, keep_clear};
use quietpair::physics::geodesic::course;
use quietpair::physics::horizon::line_of_sight;
use quietpair::physics::mixing;
use quietpair::physics::noise::{Surroundings, man_made_noise, thermal_noise};
use quietpair::physics::path::{
    self, Environment, PathEnd, PathGeometry, Polarisation, knife_edge_loss,
};
use quietpair::physics::superhet::{Injection, Superhet};
use quietpair::quantity::{
    AirbandSpacing, Bandwidth, Decibels, Duty, Emission, Frequency, Length, Level, Offset,
    Position, Power, Span, airband_channel,
};

/// A row's inputs by name; asking for one that is missing ends the test.
struct Inputs(BTreeMap<String, String>);

impl Inputs {
    fn read(text: &str) -> Self {
        let pairs = text.split("; ").map(|pair| {
            let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
            (name.to_owned(), value.to_owned())
        });
        Self(pairs.collect())
    }

    fn text(&self, name: &str) -> &str {
        match self.0.get(name) {
            Some(value) => value,
            None => panic!("no input {name} in {:?}", self.0),
        }
    }

    fn has(&self, name: &str) -> bool {
        self.0.contains_key(name)
    }

    fn of<T: std::str::FromStr>(&self, name: &str) -> T {
        let value = self.text(name).parse().ok();
        value.unwrap_or_else(|| panic!("{name}={} cannot be read", self.text(name)))
    }

    fn side(&self, name: &str) -> Option<Injection> {
        match self.text(name) {
            "low" => Some(Injection::Low),
            "high" => Some(Injection::High),
            _ => None,
        }
    }

    /// `2*145.500 -1*145.700` as coefficients and what they multiply.
    fn terms<T: std::str::FromStr>(&self, name: &str) -> Vec<(i64, T)> {
        let read = |term: &str| {
            let (coefficient, of) = term.split_once('*')?;
            Some((coefficient.parse().ok()?, of.parse().ok()?))
        };
        match self.text(name).split(' ').map(read).collect() {
            Some(terms) => terms,
            None => panic!("{} are no terms", self.text(name)),
        }
    }
}

/// What the library finds: text, or a number in the unit of the row.
enum Found {
    Text(String),
    Number(f64),
}

use Found::{Number, Text};

fn megahertz(frequency: Frequency) -> Found {
    Number(frequency.as_mhz())
}

/// What the library finds for a row, or none where no function answers that topic.
fn found(topic: &str, inputs: &Inputs) -> Option<Found> {
    Some(match topic {
        "offset" => {
            let shift: Offset = inputs.of("shift");
            megahertz(inputs.of::<Frequency>("output") + shift)
        }
        "bandwidth-format" => Text(inputs.of::<Bandwidth>("width").designation()),
        topic if topic.starts_with("bandwidth-") => Text(designator(topic, inputs)?),
        "im-count" => Number(count(inputs)? as f64),
        "im-product" | "harmonic" => megahertz(mixing::combined_frequency(&inputs.terms("terms"))?),
        "im-width" | "harmonic-width" => {
            let terms = inputs.terms::<Emission>("terms");
            Number(mixing::product_width(&terms).as_hz() as f64 / 1e3)
        }
        "im-level" => Number(level(inputs)),
        "harmonic-window" => {
            let span = Span::between(inputs.of("from"), inputs.of("to"));
            let found = mixing::fundamentals(span, inputs.of("multiple"))?;
            Text(format!(
                "{:.3}-{:.3}",
                found.low.as_mhz(),
                found.high.as_mhz()
            ))
        }
        "half-if" if inputs.has("intercept") => Number(
            mixing::rejection_from_intercept(
                inputs.of("order"),
                inputs.of("sensitivity"),
                inputs.of("intercept"),
                inputs.of("co_channel"),
            )
            .as_db(),
        ),
        "image" => megahertz(receiver(inputs)?.image()?.frequency),
        "half-if" => megahertz(receiver(inputs)?.half_if()?.frequency),
        "second-image" => {
            let images = receiver(inputs)?.second_images(inputs.of("second"));
            let away = images.last()?.frequency - inputs.of::<Frequency>("wanted");
            Number(away.as_hz() as f64 / 1e6)
        }
        "second-mixer-spur" => {
            let side = inputs.side("second_side")?;
            let multiple: u32 = inputs.of("multiple");
            let spurs =
                receiver(inputs)?.second_spurs(inputs.of("second"), side, multiple, multiple);
            let like = spurs.iter().filter(|spur| {
                [spur.oscillator_multiple, spur.signal_multiple] == [multiple; 2]
                    && !spur.is_by_image
            });
            megahertz(like.min_by_key(|spur| spur.off)?.place.frequency)
        }
        "crystal-filter" => {
            let (passband, poles) = (inputs.of("passband"), inputs.of("poles"));
            Number(maximally_flat(passband, poles, inputs.of("off")).as_db())
        }
        "power-unit" => Number(power(inputs)),
        "horizon" => Number(line_of_sight(inputs.of("h1"), inputs.of("h2")).as_km()),
        "plane-earth" if inputs.has("crossover") => Number(crossover(inputs)?),
        "free-space" | "plane-earth" | "okumura-hata" => Number(path_loss(inputs)?),
        "knife-edge" => Number(knife_edge_loss(inputs.of("v")).as_db()),
        "geodesic" => {
            let (from, to): (Position, Position) = (inputs.of("from"), inputs.of("to"));
            Number(course(from, to).distance.as_metres())
        }
        topic if topic.starts_with("curve-") => Number(curve(topic, inputs)?.as_db()),
        "thermal-noise" => Number(thermal_noise(inputs.of("width")).as_dbm()),
        "man-made-noise" => {
            let surroundings = match inputs.text("surroundings") {
                "city" => Surroundings::City,
                "residential" => Surroundings::Residential,
                "rural" => Surroundings::Rural,
                "quiet-rural" => Surroundings::QuietRural,
                _ => return None,
            };
            Number(
                man_made_noise(surroundings, inputs.of("f"))
                    .above_thermal
                    .as_db(),
            )
        }
        "antenna-isolation" => {
            let (frequency, distance): (Frequency, Length) = (inputs.of("f"), inputs.of("d"));
            let loss = match inputs.text("formula") {
                "horizontal" => coupling::horizontal(frequency, distance, Decibels::ZERO),
                "vertical" => coupling::vertical(frequency, distance),
                _ => return None,
            };
            Number(loss.as_db())
        }
        "airband-name" => match airband_channel(inputs.of("name")) {
            Some(channel) => megahertz(channel.carrier),
            None => Text("no".to_owned()),
        },
        "airband-count" => Number(airband_names(inputs.text("spacing")) as f64),
        topic if topic.starts_with("exposure-") => exposure_of(topic, inputs)?,
        _ => return None,
    })
}

fn designator(topic: &str, inputs: &Inputs) -> Option<String> {
    let width = match topic {
        "bandwidth-fm" | "bandwidth-afsk" => {
            let class = inputs.text("class").as_bytes().try_into().ok()?;
            let (deviation, modulation) = (inputs.of("deviation"), inputs.of("modulation"));
            return Some(Emission::angle_modulated(deviation, modulation, class).designator());
        }
        "bandwidth-am" => Bandwidth::amplitude_modulated(inputs.of("modulation")),
        "bandwidth-ssb" => Bandwidth::single_sideband(inputs.of("highest"), inputs.of("lowest")),
        "bandwidth-cw" => Bandwidth::keyed(inputs.of("rate")),
        "bandwidth-fsk" => Bandwidth::shift_keyed(inputs.of("rate"), inputs.of("shift")),
        _ => return None,
    };
    let written = format!("{}{}", width.designation(), inputs.text("class"));
    // Read back, so that the class is judged too.
    Some(written.parse::<Emission>().ok()?.designator())
}

/// Products of one form of neighbouring carriers; for `order5`, those of order 5 whose coefficients sum to one.
fn count(inputs: &Inputs) -> Option<usize> {
    // Spaced so that no two products coincide, and close enough that a product in the band has the sum +1.
    let spaced = [0, 100_000, 310_000, 750_000, 1_430_000];
    let signals: Vec<Frequency> = spaced
        .iter()
        .take(inputs.of("signals"))
        .map(|above| Frequency::hz(145_000_000 + above))
        .collect();
    let wanted: Option<Vec<i64>> = match inputs.text("form") {
        "order5" => None,
        form => Some(
            form.split(',')
                .map(str::parse)
                .collect::<Result<_, _>>()
                .ok()?,
        ),
    };
    let products = mixing::products(&signals, 5);
    let fits = products.iter().filter(|product| {
        let mut used: Vec<i64> = product
            .coefficients
            .iter()
            .copied()
            .filter(|c| *c != 0)
            .collect();
        used.sort_unstable_by(|one, other| other.cmp(one));
        match &wanted {
            Some(form) => used == *form,
            None => used.iter().sum::<i64>() == 1 && mixing::order(used) == 5,
        }
    });
    Some(fits.count())
}

fn level(inputs: &Inputs) -> f64 {
    if inputs.has("rejection") {
        let intercept = mixing::intercept_from_rejection(
            inputs.of("order"),
            inputs.of("sensitivity"),
            inputs.of("rejection"),
            inputs.of("co_channel"),
        );
        return intercept.as_dbm();
    }
    // For y = x + c·x³ the two-tone product is as large as the tones at an amplitude of √(4/3c).
    let intercept = if inputs.has("cubic") {
        Level::dbm(10.0 * (4.0 / (3.0 * inputs.of::<f64>("cubic"))).log10())
    } else {
        Level::dbm(inputs.of("intercept"))
    };
    let of = |name| {
        let terms: Vec<(i64, Level)> = inputs
            .terms::<f64>(name)
            .into_iter()
            .map(|(coefficient, level)| (coefficient, Level::dbm(level)))
            .collect();
        mixing::intermod_level(&terms, intercept)
    };
    let product = of("terms");
    if inputs.has("against") {
        (product - of("against")).as_db()
    } else {
        product.as_dbm()
    }
}

fn receiver(inputs: &Inputs) -> Option<Superhet> {
    Superhet::tuned(inputs.of("wanted"), inputs.of("if"), inputs.side("side")?)
}

fn power(inputs: &Inputs) -> f64 {
    if inputs.has("power") {
        inputs.of::<Power>("power").level().as_dbm()
    } else if inputs.has("voltage") {
        inputs.of::<Level>("voltage").as_dbm()
    } else if inputs.has("eirp") {
        exposure::erp_of_eirp(inputs.of("eirp")).as_watts()
    } else {
        // Half of the electromotive force is across a matched load.
        let microvolts = 10f64.powf(inputs.of::<f64>("emf_dbuv") / 20.0) / 2.0;
        Level::microvolts(microvolts).as_dbm()
    }
}

fn geometry(inputs: &Inputs, distance: Length) -> Option<PathGeometry> {
    let environment = match inputs.0.get("environment").map_or("open", String::as_str) {
        "large-city" => Environment::LargeCity,
        "town" => Environment::Town,
        "suburban" => Environment::Suburban,
        "open" => Environment::Open,
        _ => return None,
    };
    let end = |name| PathEnd {
        antenna: inputs.of(name),
        ground: Length::metres(0.0),
    };
    Some(PathGeometry {
        frequency: inputs.of("f"),
        distance,
        ends: [end("h1"), end("h2")],
        polarisation: Polarisation::Vertical,
        environment,
        obstacle: None,
    })
}

fn model_loss(id: &str, path: &PathGeometry) -> Option<f64> {
    let model = path::ALL.iter().find(|model| model.id == id)?;
    Some((model.loss)(path)?.loss.as_db())
}

fn curve(topic: &str, inputs: &Inputs) -> Option<Decibels> {
    let points = points(inputs);
    Some(match topic {
        "curve-linear" => linear_at(points, inputs.of("at")),
        "curve-logarithmic" => logarithmic_at(points, inputs.of("at")),
        "curve-density" => density_over(&points.into_iter(), inputs.of("from"), inputs.of("to")),
        _ => return None,
    })
}

/// `100kHz:-120 1MHz:-150` as offsets with their figures in dB.
fn points(inputs: &Inputs) -> Vec<Point> {
    let read = |point: &str| {
        let (offset, figure) = point.split_once(':')?;
        Some((offset.parse().ok()?, Decibels::db(figure.parse().ok()?)))
    };
    let points: Option<Vec<Point>> = inputs.text("points").split(' ').map(read).collect();
    points.unwrap_or_else(|| panic!("{} are no points", inputs.text("points")))
}

fn path_loss(inputs: &Inputs) -> Option<f64> {
    model_loss(inputs.text("model"), &geometry(inputs, inputs.of("d"))?)
}

/// The first distance, in steps of a centimetre, at which a model loses more than free space.
fn crossover(inputs: &Inputs) -> Option<f64> {
    (1..100_000u32)
        .map(|step| f64::from(step) / 100.0)
        .find(|metres| {
            geometry(inputs, Length::metres(*metres)).is_some_and(|path| {
                model_loss(inputs.text("crossover"), &path) > model_loss("free-space", &path)
            })
        })
}

fn airband_names(spacing: &str) -> usize {
    (117_000_000..138_000_000)
        .step_by(5_000)
        .filter_map(|hertz| airband_channel(Frequency::hz(hertz)))
        .filter(|channel| channel.spacing.to_string() == spacing)
        .count()
}

fn exposure_of(topic: &str, inputs: &Inputs) -> Option<Found> {
    let table = |id: &str| exposure::limits().iter().find(|table| table.id == id);
    let ground = || match inputs.text("ground") {
        "usual" => GroundReflection::Usual,
        _ => GroundReflection::None,
    };
    Some(match topic {
        "exposure-factor" => Number(ground().power_factor()),
        "exposure-distance" => {
            let power: Power = inputs.of("power");
            let eirp = exposure::eirp(power.level(), Decibels::ZERO, inputs.of("gain"));
            let limit = PowerDensity::watts_per_m2(inputs.of("limit"));
            Number(keep_clear(eirp, Duty::CONTINUOUS, ground(), limit).as_metres())
        }
        "exposure-fcc" => {
            let minutes: Option<Vec<String>> = inputs
                .text("tables")
                .split(' ')
                .map(|id| Some(table(id)?.averaging_minutes.to_string()))
                .collect();
            Text(minutes?.join(";"))
        }
        _ => {
            let density = table(inputs.text("table"))?
                .at(inputs.of("f"))?
                .as_watts_per_m2();
            // A milliwatt per square centimetre is ten watts per square metre.
            let in_milliwatts = topic.starts_with("exposure-fcc");
            Number(if in_milliwatts {
                density / 10.0
            } else {
                density
            })
        }
    })
}

/// Why a row fails, or nothing.
fn fault(found: Option<Found>, expected: &str, tolerance: &str) -> Option<String> {
    let right = match &found {
        None => false,
        Some(Text(text)) => text == expected,
        Some(Number(number)) => {
            let allowed = match tolerance {
                "exact" => 1e-6,
                tolerance => tolerance.parse().unwrap_or(0.0),
            };
            // A last digit of slack for what was rounded to the tolerance itself.
            expected
                .parse::<f64>()
                .is_ok_and(|expected| (number - expected).abs() <= allowed * 1.000_001)
        }
    };
    (!right).then(|| match found {
        None => "nothing computes it".to_owned(),
        Some(Text(text)) => text,
        Some(Number(number)) => number.to_string(),
    })
}

#[test]
fn every_published_value_is_what_the_library_computes() {
    let mut faults = Vec::new();
    let mut rows = 0;
    let mut reader = csv::Reader::from_path("tests/published.csv").unwrap();
    for row in reader.records() {
        let row = row.unwrap();
        let field = |index: usize| row.get(index).unwrap();
        let inputs = Inputs::read(field(2));
        if let Some(fault) = fault(found(field(1), &inputs), field(3), field(5)) {
            let (id, topic, source) = (field(0), field(1), field(6));
            faults.push(format!(
                "{id} {topic}: {} should be {} {} ({source}), found {fault}",
                field(2),
                field(3),
                field(4)
            ));
        }
        rows += 1;
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(rows > 150, "only {rows} rows were read");
}

#[test]
fn a_wrong_value_would_be_noticed() {
    let image = || found("image", &Inputs::read("wanted=435; if=45.05; side=low"));
    assert_eq!(fault(image(), "344.900", "1e-6"), None);
    assert!(fault(image(), "344.900002", "1e-6").is_some());
    assert!(fault(found("no such topic", &Inputs::read("")), "1", "exact").is_some());
    assert_eq!(AirbandSpacing::Narrow.to_string(), "8.33 kHz");
}
