//! Every pack against a plain reading of its own table: at every edge to the hertz, and every 100 Hz across 2 m and 70 cm.
//!
//! The plain reading takes the YAML as untyped values and decides by the words of `docs/rules.md`, with none of the library's
//! code for rules.

use std::collections::BTreeSet;
use std::sync::Arc;

use quietpair::law::{ALL, Against, Control, Force, Law, Purpose, Role, Transmission, read};
use quietpair::quantity::{Decibels, Emission, Frequency, Position, Power, Span};
use serde_json::Value;

const PACKS: [&str; 7] = ["uk", "us", "de", "ca", "iaru-r1", "iaru-r2", "iaru-r3"];

/// A stretch in hertz.
type Stretch = (i64, i64);

/// Something said: by which rule, how strongly, and what of a segment it is about.
type Said<'a> = (&'a str, Force, &'static str);

struct Plain {
    id: String,
    is_law: bool,
    licences: Vec<String>,
    bands_name: String,
    bands: Vec<Stretch>,
    /// Purpose, word, name of the note where there is one.
    readings: Vec<(String, String, Option<String>)>,
    rules: Vec<PlainRule>,
    segments: Vec<PlainSegment>,
    spots: Vec<PlainSpot>,
}

struct PlainRule {
    name: String,
    spans: Vec<Stretch>,
    uses: Vec<String>,
    licences: Vec<String>,
    controls: Vec<String>,
    force: Force,
    demand: PlainDemand,
}

enum PlainDemand {
    Always,
    Only(Vec<String>),
    Width(i64),
    Classes(Vec<String>),
    /// Met by 1 W into a dipole, which is all that is asked here.
    Met,
    Attended(bool),
}

struct PlainSegment {
    name: String,
    span: Stretch,
    uses: Vec<String>,
    is_exclusive: bool,
    width: Option<i64>,
    /// One channel, and from one to the next.
    raster: Option<(i64, i64)>,
}

struct PlainSpot {
    name: String,
    at: i64,
    kept: Stretch,
    uses: Vec<String>,
}

fn list<'a>(of: &'a Value, key: &str) -> &'a [Value] {
    of.get(key)
        .and_then(Value::as_array)
        .map_or(&[], Vec::as_slice)
}

fn words(of: &Value, key: &str) -> Vec<String> {
    list(of, key).iter().map(text).collect()
}

fn text(of: &Value) -> String {
    match of {
        Value::String(text) => text.clone(),
        other => other.to_string(),
    }
}

/// A number of megahertz, or a text with its unit.
fn hertz(of: &Value) -> i64 {
    let (number, scale) = match of {
        Value::Number(number) => (number.as_f64().unwrap(), 1e6),
        other => {
            let text = text(other);
            let (number, unit) = text.split_once(' ').unwrap();
            let scale = match unit {
                "Hz" => 1.0,
                "kHz" => 1e3,
                "MHz" => 1e6,
                unit => panic!("{unit}"),
            };
            (number.parse::<f64>().unwrap(), scale)
        }
    };
    format!("{:.0}", number * scale).parse().unwrap()
}

fn stretch(of: &Value) -> Stretch {
    (hertz(&of[0]), hertz(&of[1]))
}

fn span_name((low, high): Stretch) -> String {
    Span::between(Frequency::hz(low), Frequency::hz(high)).to_string()
}

fn is_yes(of: Option<&Value>) -> bool {
    of.is_some_and(|value| value.as_bool() == Some(true) || value.as_str() == Some("yes"))
}

impl Plain {
    fn read(id: &str, yaml: &str) -> Self {
        let file: Value = serde_yaml::from_str(yaml).unwrap();
        let spans = |of: &Value, key: &str| list(of, key).iter().map(stretch).collect::<Vec<_>>();
        assert!(
            list(&file, "bands")
                .iter()
                .all(|band| band.get("licences").is_none())
        );
        Self {
            id: id.to_owned(),
            is_law: file["kind"] == "law",
            licences: list(&file, "licences")
                .iter()
                .map(|one| text(&one["id"]))
                .collect(),
            bands_name: format!("{id}/bands"),
            bands: list(&file, "bands")
                .iter()
                .map(|band| stretch(&band["span"]))
                .collect(),
            readings: list(&file, "readings")
                .iter()
                .map(|one| {
                    let word = text(&one["counts_as"]);
                    let note = one.get("note").map(|_| format!("{id}/reading-{word}"));
                    (text(&one["purpose"]), word, note)
                })
                .collect(),
            rules: list(&file, "rules")
                .iter()
                .map(|rule| {
                    let stated = match text(&rule["force"]).as_str() {
                        "note" => Force::Note,
                        "caution" => Force::Caution,
                        "forbidden" => Force::Forbidden,
                        other => panic!("{other}"),
                    };
                    // How a station identifies is not asked: the ruling only reminds of it.
                    let stated = match rule["demand"].get("identify") {
                        Some(_) => Force::Note,
                        None => stated,
                    };
                    // Whose messages are passed is not asked: the rule says how strongly it speaks then.
                    let unstated = rule.get("unstated").map(text);
                    let stated = match (rule.get("about"), unstated.as_deref()) {
                        (None, _) => stated,
                        (Some(_), None | Some("note")) => Force::Note,
                        (Some(_), Some("caution")) => stated.min(Force::Caution),
                        (Some(_), other) => panic!("{other:?}"),
                    };
                    // Nothing is asked about a place or a day: what holds in some only is a note, and a caution at most.
                    let is_dated = rule.get("from").or_else(|| rule.get("until")).is_some();
                    let force = match (rule.get("zone"), is_dated) {
                        (Some(_), _) => Force::Note,
                        (None, true) => stated.min(Force::Caution),
                        (None, false) => stated,
                    };
                    PlainRule {
                        name: format!("{id}/{}", text(&rule["id"])),
                        spans: spans(rule, "spans"),
                        uses: words(rule, "uses"),
                        licences: words(rule, "licences"),
                        controls: words(rule, "controls"),
                        force,
                        demand: PlainDemand::read(&rule["demand"]),
                    }
                })
                .collect(),
            segments: list(&file, "segments")
                .iter()
                .map(|one| {
                    let span = stretch(&one["span"]);
                    PlainSegment {
                        name: format!("{id}/segment {}", span_name(span)),
                        span,
                        uses: words(one, "uses"),
                        is_exclusive: is_yes(one.get("exclusive")),
                        width: one.get("width").map(hertz),
                        raster: one.get("raster").map(|raster| {
                            (
                                raster.get("channel").map_or(0, hertz),
                                hertz(&raster["step"]),
                            )
                        }),
                    }
                })
                .collect(),
            spots: list(&file, "spots")
                .iter()
                .map(|one| {
                    let (at, width) = (hertz(&one["frequency"]), hertz(&one["width"]));
                    let half = (width + 1) / 2;
                    PlainSpot {
                        name: format!("{id}/{} {}", text(&one["title"]), Frequency::hz(at)),
                        at,
                        kept: (at - half, at + half),
                        uses: words(one, "uses"),
                    }
                })
                .collect(),
        }
    }

    /// Everything that the table has to say of a carrier of this width and class, in no order.
    fn said(
        &self,
        carrier: i64,
        width: i64,
        class: &str,
        purpose: &str,
        licence: &str,
    ) -> Vec<Said<'_>> {
        let half = (width + 1) / 2;
        let occupied = (carrier - half, carrier + half);
        if !self.is_law {
            let mut said = self.by_rules(carrier, occupied, width, class, (purpose, None), licence);
            self.by_plan(carrier, occupied, width, purpose, &mut said);
            return said;
        }
        let mut readings: Vec<Option<&(String, String, Option<String>)>> = self
            .readings
            .iter()
            .filter(|one| one.0 == purpose)
            .map(Some)
            .collect();
        if readings.is_empty() {
            readings.push(None);
        }
        let count = |said: &[Said<'_>], force| said.iter().filter(|one| one.1 == force).count();
        readings
            .into_iter()
            .map(|reading| {
                let word = reading.map(|one| one.1.as_str());
                let mut said =
                    self.by_rules(carrier, occupied, width, class, (purpose, word), licence);
                let is_open = self
                    .bands
                    .iter()
                    .any(|band| band.0 <= occupied.0 && occupied.1 <= band.1);
                if !is_open {
                    said.push((&self.bands_name, Force::Forbidden, ""));
                }
                if let Some(note) = reading.and_then(|one| one.2.as_deref()) {
                    said.push((note, Force::Note, ""));
                }
                said
            })
            // The first of equals.
            .min_by_key(|said| (count(said, Force::Forbidden), count(said, Force::Caution)))
            .unwrap()
    }

    fn by_rules(
        &self,
        carrier: i64,
        occupied: Stretch,
        width: i64,
        class: &str,
        (purpose, word): (&str, Option<&str>),
        licence: &str,
    ) -> Vec<Said<'_>> {
        let is_meant = |names: &[String]| {
            names
                .iter()
                .any(|name| name == purpose || Some(name.as_str()) == word)
        };
        self.rules
            .iter()
            .filter(|rule| {
                rule.spans.is_empty()
                    || rule
                        .spans
                        .iter()
                        .any(|&span| touches(span, carrier, occupied))
            })
            .filter(|rule| rule.uses.is_empty() || is_meant(&rule.uses))
            .filter(|rule| {
                rule.licences.is_empty() || rule.licences.iter().any(|one| one == licence)
            })
            .filter(|rule| {
                rule.controls.is_empty() || rule.controls.iter().any(|one| one == "attended")
            })
            .filter(|rule| match &rule.demand {
                PlainDemand::Always => true,
                PlainDemand::Only(uses) => !is_meant(uses),
                PlainDemand::Width(most) => width > *most,
                PlainDemand::Classes(classes) => {
                    !classes.iter().any(|one| class.starts_with(one.as_str()))
                }
                PlainDemand::Met => false,
                PlainDemand::Attended(is_allowed) => !is_allowed,
            })
            .map(|rule| (rule.name.as_str(), rule.force, ""))
            .collect()
    }

    fn by_plan<'a>(
        &'a self,
        carrier: i64,
        occupied: Stretch,
        width: i64,
        purpose: &str,
        said: &mut Vec<Said<'a>>,
    ) {
        for segment in &self.segments {
            let is_for = segment.uses.is_empty() || segment.uses.iter().any(|one| one == purpose);
            let name = segment.name.as_str();
            if segment.span.0 <= carrier && carrier <= segment.span.1 {
                if !is_for {
                    let what = if segment.is_exclusive {
                        "kept"
                    } else {
                        "meant"
                    };
                    said.push((name, Force::Caution, what));
                }
                if segment.width.is_some_and(|most| width > most) {
                    said.push((name, Force::Caution, "width"));
                }
                if is_for
                    && segment
                        .raster
                        .is_some_and(|(channel, step)| (carrier - channel) % step != 0)
                {
                    said.push((name, Force::Note, "channel"));
                }
            } else if segment.is_exclusive && !is_for && overlap(segment.span, occupied) {
                said.push((name, Force::Caution, "kept"));
            }
        }
        for spot in &self.spots {
            if !spot.uses.iter().any(|one| one == purpose) && touches(spot.kept, carrier, occupied)
            {
                said.push((&spot.name, Force::Caution, ""));
            }
        }
    }

    /// Every edge the table names.
    fn edges(&self) -> BTreeSet<i64> {
        let rules = self.rules.iter().flat_map(|rule| &rule.spans);
        let segments = self.segments.iter().map(|one| &one.span);
        let spots = self.spots.iter().map(|one| &one.kept);
        rules
            .chain(&self.bands)
            .chain(segments)
            .chain(spots)
            .flat_map(|&(low, high)| [low, high])
            .chain(self.spots.iter().map(|one| one.at))
            .collect()
    }
}

impl PlainDemand {
    fn read(of: &Value) -> Self {
        if let Some(word) = of.as_str() {
            assert!(["forbidden", "duty"].contains(&word), "{word}");
            return Self::Always;
        }
        let (kind, what) = of.as_object().unwrap().iter().next().unwrap();
        match kind.as_str() {
            "only" => Self::Only(words(of, "only")),
            "width" => Self::Width(hertz(what)),
            "classes" => Self::Classes(words(of, "classes")),
            "control" => Self::Attended(words(of, "control").contains(&"attended".to_owned())),
            "identify" => Self::Always,
            // No harmonic is asked about.
            "spurious" => Self::Met,
            "power" => {
                let most = text(&what["most"]);
                let watts: f64 = most.strip_suffix(" W").unwrap().parse().unwrap();
                assert!(watts > 1.65, "1 W into a dipole may be too much: {most}");
                Self::Met
            }
            other => panic!("{other}"),
        }
    }
}

fn overlap(one: Stretch, other: Stretch) -> bool {
    one.0 < other.1 && other.0 < one.1
}

fn touches(span: Stretch, carrier: i64, occupied: Stretch) -> bool {
    overlap(span, occupied) || (span.0 <= carrier && carrier <= span.1)
}

/// A pack by itself, without what is stacked with it, and its plain reading.
fn both(id: &str) -> (Vec<(String, Law)>, Plain) {
    let yaml = ALL.iter().find(|(name, _)| *name == id).unwrap().1;
    let plain = Plain::read(id, yaml);
    let mut pack = read(&format!("{id}.yaml"), yaml.as_bytes()).unwrap();
    pack.companions.clear();
    let pack = Arc::new(pack);
    let licences: Vec<Option<&str>> = if plain.licences.is_empty() {
        vec![None]
    } else {
        plain
            .licences
            .iter()
            .map(|one| Some(one.as_str()))
            .collect()
    };
    let laws = licences
        .into_iter()
        .map(|licence| {
            let law = Law::stack([(Arc::clone(&pack), Role::Binding)], licence).unwrap();
            (licence.unwrap_or_default().to_owned(), law)
        })
        .collect();
    (laws, plain)
}

/// Holds the library's ruling against the plain reading.
fn compare(
    plain: &Plain,
    (licence, law): &(String, Law),
    carrier: i64,
    emission: Emission,
    (word, purpose): (&str, Purpose),
) {
    let asked = Transmission::new(Frequency::hz(carrier), emission, purpose);
    let ruling = law.ruling(&asked);
    let mut said: Vec<Said<'_>> = ruling
        .iter()
        .map(|breach| {
            let what = match &breach.against {
                Against::Reserved { .. } => "kept",
                Against::Segment { .. } => "meant",
                Against::Raster { .. } => "channel",
                Against::Width { .. } if breach.rule.contains("/segment ") => "width",
                _ => "",
            };
            (breach.rule.as_str(), breach.force, what)
        })
        .collect();
    let mut expected = plain.said(
        carrier,
        emission.bandwidth.as_hz(),
        emission.class(),
        word,
        licence,
    );
    said.sort_unstable();
    expected.sort_unstable();
    assert_eq!(
        said,
        expected,
        "{} {licence} {word} at {carrier} Hz, {}",
        plain.id,
        emission.designator()
    );
}

#[test]
fn one_hertz_on_either_side_of_every_edge_each_pack_rules_as_its_table_reads() {
    let emissions: [Emission; 3] =
        ["11K0F3E", "16K0F3E", "150HA1A"].map(|text| text.parse().unwrap());
    let mut asked = 0;
    for id in PACKS {
        let (laws, plain) = both(id);
        for edge in plain.edges() {
            for emission in emissions {
                let half = (emission.bandwidth.as_hz() + 1) / 2;
                for carrier in [edge - half, edge, edge + half]
                    .into_iter()
                    .flat_map(|at| [at - 1, at, at + 1])
                {
                    for purpose in Purpose::ALL {
                        for law in &laws {
                            compare(&plain, law, carrier, emission, purpose);
                            asked += 1;
                        }
                    }
                }
            }
        }
    }
    assert!(asked > 90_000, "{asked}");
}

#[test]
fn the_whole_emission_may_touch_a_band_edge_and_not_pass_it_by_a_hertz() {
    let emission: Emission = "11K0F3E".parse().unwrap();
    for id in PACKS {
        let (laws, plain) = both(id);
        for &(low, high) in plain.bands.iter().filter(|_| plain.is_law) {
            for (carrier, is_open) in [
                (low + 5_500, true),
                (low + 5_499, false),
                (high - 5_500, true),
                (high - 5_499, false),
            ] {
                let asked = Transmission::new(Frequency::hz(carrier), emission, Purpose::Simplex);
                for (_, law) in &laws {
                    let is_shut = law
                        .ruling(&asked)
                        .iter()
                        .any(|one| one.rule == plain.bands_name);
                    assert_eq!(!is_shut, is_open, "{id} at {carrier} Hz");
                }
            }
        }
    }
}

#[test]
fn every_100_hz_of_2_m_and_70_cm_each_pack_rules_as_its_table_reads() {
    std::thread::scope(|scope| {
        for id in PACKS {
            scope.spawn(move || {
                let (laws, plain) = both(id);
                let law = laws.last().unwrap();
                let emission: Emission = "11K0F3E".parse().unwrap();
                let bands = [(143_900_000, 148_100_000), (419_900_000, 450_100_000)];
                let own = bands.into_iter().filter_map(|(low, high)| {
                    let inside = plain
                        .bands
                        .iter()
                        .filter(|band| overlap(**band, (low, high)));
                    let (low, high) = inside.fold(None, |sum: Option<Stretch>, band| {
                        Some(sum.map_or(*band, |sum| (sum.0.min(band.0), sum.1.max(band.1))))
                    })?;
                    // Ten kilohertz past either edge.
                    Some((low - 10_000)..=(high + 10_000))
                });
                let mut purposes = Purpose::ALL.into_iter().cycle();
                let mut places = 0;
                for carrier in own.flat_map(|stretch| stretch.step_by(100)) {
                    // Eleven purposes in turn: each is asked every 1.1 kHz, every frequency once.
                    compare(&plain, law, carrier, emission, purposes.next().unwrap());
                    places += 1;
                }
                assert!(places > 100_000, "{id}: {places}");
            });
        }
    });
}

/// A limit on power as the table has it.
struct PlainPower {
    name: String,
    spans: Vec<Stretch>,
    uses: Vec<String>,
    licences: Vec<String>,
    controls: Vec<String>,
    is_in_zone: bool,
    watts: f64,
    measure: String,
}

fn powers(id: &str, yaml: &str) -> Vec<PlainPower> {
    let file: Value = serde_yaml::from_str(yaml).unwrap();
    list(&file, "rules")
        .iter()
        .filter_map(|rule| {
            let power = rule["demand"].get("power")?;
            let most = text(&power["most"]);
            Some(PlainPower {
                name: format!("{id}/{}", text(&rule["id"])),
                spans: list(rule, "spans").iter().map(stretch).collect(),
                uses: words(rule, "uses"),
                licences: words(rule, "licences"),
                controls: words(rule, "controls"),
                is_in_zone: rule.get("zone").is_some(),
                watts: most.strip_suffix(" W").unwrap().parse().unwrap(),
                measure: text(&power["measure"]),
            })
        })
        .collect()
}

/// Every measure by its definition: output and PEP at the socket, EIRP with the gain over an isotropic antenna, ERP with
/// the gain over a dipole, which has 2.15 dB (ITU-R BS.561, from memory).
#[test]
fn every_100_hz_of_each_band_each_class_may_send_what_the_table_says_in_each_measure_and_no_more() {
    let controls = [
        ("attended", Control::Attended),
        ("remote", Control::Remote),
        ("automatic", Control::Automatic),
    ];
    let mut measures: BTreeSet<String> = BTreeSet::new();
    let mut refused = 0_u64;
    for id in ["uk", "us", "de", "ca"] {
        let (laws, plain) = both(id);
        let yaml = ALL.iter().find(|(name, _)| *name == id).unwrap().1;
        let limits = powers(id, yaml);
        measures.extend(limits.iter().map(|limit| limit.measure.clone()));
        // A hair below and above each limit, with an antenna that gains and one that loses.
        let mut asks = Vec::new();
        for limit in &limits {
            for gain in [-3.0, 2.15, 8.0] {
                let over = match limit.measure.as_str() {
                    "output" | "pep" => 0.0,
                    "eirp" => gain,
                    "erp" => gain - 2.15,
                    other => panic!("{other}"),
                };
                for factor in [0.99, 1.01] {
                    asks.push((limit.watts * factor / 10_f64.powf(over / 10.0), gain));
                }
            }
        }
        let mut asks = asks.into_iter().cycle();
        let mut purposes = Purpose::ALL.into_iter().cycle();
        let mut classes = laws.iter().cycle();
        let mut controls = controls.into_iter().cycle();
        let emission: Emission = "11K0F3E".parse().unwrap();
        for &(low, high) in plain.bands.iter().filter(|(low, _)| *low < 500_000_000) {
            for carrier in (low..=high).step_by(100) {
                let (watts, gain) = asks.next().unwrap();
                let (word, purpose) = purposes.next().unwrap();
                let (control_word, control) = controls.next().unwrap();
                let (licence, law) = classes.next().unwrap();
                let mut asked = Transmission::new(Frequency::hz(carrier), emission, purpose);
                asked.output = Power::watts(watts);
                asked.gain = Decibels::db(gain);
                asked.control = control;
                let said: BTreeSet<String> = law
                    .ruling(&asked)
                    .into_iter()
                    .filter(|breach| matches!(breach.against, Against::Power { .. }))
                    .map(|breach| breach.rule)
                    .collect();
                let occupied = (carrier - 5_500, carrier + 5_500);
                let expected: BTreeSet<String> = limits
                    .iter()
                    .filter(|limit| {
                        limit.spans.is_empty()
                            || limit
                                .spans
                                .iter()
                                .any(|&span| touches(span, carrier, occupied))
                    })
                    .filter(|limit| {
                        limit.uses.is_empty() || limit.uses.iter().any(|one| one == word)
                    })
                    .filter(|limit| {
                        limit.licences.is_empty() || limit.licences.iter().any(|one| one == licence)
                    })
                    .filter(|limit| {
                        limit.controls.is_empty()
                            || limit.controls.iter().any(|one| one == control_word)
                    })
                    // Nobody says where the station is.
                    .filter(|limit| !limit.is_in_zone)
                    .filter(|limit| {
                        let over = match limit.measure.as_str() {
                            "eirp" => gain,
                            "erp" => gain - 2.15,
                            _ => 0.0,
                        };
                        watts * 10_f64.powf(over / 10.0) > limit.watts * 1.001
                    })
                    .map(|limit| limit.name.clone())
                    .collect();
                assert_eq!(
                    said, expected,
                    "{id} {licence} {word} {control_word} at {carrier} Hz, {watts} W, {gain} dBi"
                );
                refused += u64::from(!expected.is_empty());
            }
        }
    }
    assert_eq!(measures, ["eirp", "erp", "pep"].map(str::to_owned).into());
    assert!(refused > 100_000, "{refused}");
}

/// One place in each part of each zone, worked out from the table, and one in the open Pacific.
#[test]
fn every_rule_of_a_zone_binds_in_each_of_its_parts_and_nowhere_else() {
    let degrees = |of: &Value| -> (f64, f64) { (of[0].as_f64().unwrap(), of[1].as_f64().unwrap()) };
    let at = |(latitude, longitude)| Position::degrees(latitude, longitude).unwrap();
    let mut places = 0;
    for id in ["uk", "us", "de", "ca"] {
        let (laws, _) = both(id);
        let law = &laws[0].1;
        let yaml = ALL.iter().find(|(name, _)| *name == id).unwrap().1;
        let file: Value = serde_yaml::from_str(yaml).unwrap();
        for rule in list(&file, "rules") {
            let Some(zone) = rule.get("zone").map(text) else {
                continue;
            };
            let name = format!("{id}/{}", text(&rule["id"]));
            let purpose = match words(rule, "uses").first().map(String::as_str) {
                None => Purpose::Simplex,
                Some("repeater") => Purpose::RepeaterOutput,
                other => panic!("{other:?}"),
            };
            let (low, high) = list(rule, "spans")
                .first()
                .map_or((438_000_000, 440_000_000), stretch);
            let speaks = |place| {
                let carrier = Frequency::hz(low.midpoint(high));
                let mut asked = Transmission::new(carrier, "11K0F3E".parse().unwrap(), purpose);
                asked.position = Some(at(place));
                asked.output = Power::watts(1_400.0);
                law.ruling(&asked)
                    .into_iter()
                    .find(|breach| breach.rule == name)
                    .map(|breach| breach.force)
            };
            let full = match text(&rule["force"]).as_str() {
                "forbidden" => Force::Forbidden,
                "caution" => Force::Caution,
                other => panic!("{other}"),
            };
            for shape in list(&file["zones"][&zone], "shapes") {
                let inside = if let Some(circle) = shape.get("circle") {
                    degrees(&circle["at"])
                } else if let Some(bounds) = shape.get("box") {
                    let (south, west) = degrees(&bounds["south_west"]);
                    let (north, east) = degrees(&bounds["north_east"]);
                    (south.midpoint(north), west.midpoint(east))
                } else {
                    // North of Lake Superior's western end, and of the 48th parallel.
                    (48.5, -100.0)
                };
                assert_eq!(speaks(inside), Some(full), "{name} at {inside:?}");
                places += 1;
            }
            assert_eq!(speaks((0.0, -160.0)), None, "{name}");
        }
    }
    assert!(places > 15, "{places}");
}
