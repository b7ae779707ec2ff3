//! Every pack against a plain reading of its own table: at every edge to the hertz, and every 100 Hz across 2 m and 70 cm.
//!
//! The plain reading takes the YAML as untyped values and decides by the words of `docs/rules.md`, with none of the library's
//! code for rules.

use std::collections::BTreeSet;
use std::sync::Arc;

use quietpair::law::{ALL, Against, Force, Law, Purpose, Role, Transmission, read};
use quietpair::quantity::{Emission, Frequency, Span};
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
