//! `import`: a list of neighbours from a table, or of places from a map, as a part of a scenario.

use std::collections::BTreeMap;
use std::fmt::Write;

use clap::{Args, ValueEnum};
use quietpair::quantity::{Length, Position};

use crate::failure::Failure;
use crate::input;
use crate::output::Outcome;

mod columns;
mod entry;
mod geojson;
mod kml;
mod proof;
mod record;
mod table;

use columns::Columns;
use entry::{Around, Entry};
use record::{Record, Skipped};

/// A list with more rows is no list of neighbours.
const MOST: usize = 100_000;

/// So many skipped rows are told one by one.
const TOLD: usize = 100;

/// From more rows on that are skipped for the same reason, they are told together.
const ALIKE: usize = 10;

/// What is wanted of `import`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// The list, or `-` for standard input
    file: String,
    /// How the list is written [default: by the ending of its name, else csv]
    #[arg(long, value_enum, value_name = "KIND")]
    kind: Option<Kind>,
    /// Which of its columns or properties holds which key of `in_use`, as in `name=Call,output=TX MHz`; `name=A+B` joins
    /// two, `shift` is the input less the output [default: those that are named like the key]
    #[arg(long, value_name = "KEY=COLUMN", value_delimiter = ',')]
    columns: Vec<String>,
    /// What holds for every row that does not say otherwise, as in `service=airband,mode=am-8k33`
    #[arg(long, value_name = "KEY=VALUE", value_delimiter = ',')]
    set: Vec<String>,
    /// The unit of frequencies that carry none
    #[arg(long, value_enum, default_value_t = Unit::Mhz, value_name = "UNIT")]
    unit: Unit,
    /// What separates the columns of a table: `,`, `;`, `|` or `tab` [default: the one that its heading has most of]
    #[arg(long, value_name = "CHARACTER")]
    delimiter: Option<String>,
    /// Take only what is near this place: `54.41,-0.53` or a locator
    #[arg(
        long,
        value_name = "POSITION",
        requires = "within",
        allow_hyphen_values = true
    )]
    near: Option<Position>,
    /// How near
    #[arg(long, value_name = "LENGTH", requires = "near")]
    within: Option<Length>,
    /// What to write
    #[arg(long = "as", value_enum, default_value_t = Shape::InUse, value_name = "SHAPE")]
    shape: Shape,
}

/// How a list is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Kind {
    /// A table with a heading
    Csv,
    /// Placemarks of a map (OGC KML)
    Kml,
    /// Features of a map (RFC 7946)
    Geojson,
}

/// The unit of a frequency that carries none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Unit {
    /// Megahertz
    Mhz,
    /// Kilohertz
    Khz,
    /// Hertz
    Hz,
}

/// What is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Shape {
    /// Entries of `in_use:` for a scenario
    InUse,
    /// Places of `sites:` for a scenario
    Sites,
    /// A table that `in_use: [{from: …}]` reads as it stands
    Csv,
}

/// Reads the list and writes what can be used of it.
pub(crate) fn run(wanted: &Wanted) -> Result<Outcome, Failure> {
    let columns = Columns::new(&wanted.columns, &wanted.set, wanted.shape)?;
    let text = input::text(&wanted.file)?;
    let records = match wanted.kind() {
        Kind::Csv => table::records(&text, wanted.delimiter.as_deref())?,
        Kind::Kml => kml::records(&text)?,
        Kind::Geojson => geojson::records(&text)?,
    };
    if records.len() > MOST {
        return Err(Failure::input(format_args!(
            "{} rows are more than the {MOST} that are read",
            records.len()
        ))
        .hint("cut the list down to what is near the event"));
    }
    columns.suit(&records)?;
    let around = Around {
        unit: wanted.unit.name(),
        circle: wanted.near.zip(wanted.within),
        shape: wanted.shape,
    };
    let (taken, skipped) = take(&records, &columns, &around);
    let report = report(
        records.len(),
        taken.len(),
        &skipped,
        input::name(&wanted.file),
    );
    if taken.is_empty() {
        let names: Vec<&str> = record::names(&records).into_iter().collect();
        return Err(Failure::input(report.trim_end()).hint(format_args!(
            "the list has {}; say which is which with --columns, and see --set and --unit",
            names.join(", ")
        )));
    }
    let page = match wanted.shape {
        Shape::Csv => entry::table(&taken),
        shape => commented(&report) + &entry::list(shape, &taken),
    };
    Ok(Outcome::page(page).remark(report.trim_end()))
}

impl Wanted {
    fn kind(&self) -> Kind {
        let ending = self.file.rsplit('.').next().unwrap_or("").to_lowercase();
        self.kind.unwrap_or(match ending.as_str() {
            "kml" => Kind::Kml,
            "geojson" | "json" => Kind::Geojson,
            _ => Kind::Csv,
        })
    }
}

impl Unit {
    const fn name(self) -> &'static str {
        match self {
            Self::Mhz => "MHz",
            Self::Khz => "kHz",
            Self::Hz => "Hz",
        }
    }
}

/// What can be used, and what cannot with the reason.
fn take(records: &[Record], columns: &Columns, around: &Around) -> (Vec<Entry>, Vec<Skipped>) {
    let mut taken = Vec::new();
    let mut skipped = Vec::new();
    for record in records {
        match Entry::of(record, columns, around) {
            Ok(entry) => taken.push(entry),
            Err(reason) => skipped.push(Skipped::new(record, reason)),
        }
    }
    entry::tell_apart(&mut taken);
    // What the scenario's own reader refuses is no use in a scenario.
    let refused = proof::refused(around.shape, &taken);
    let mut sound = Vec::new();
    for (index, entry) in taken.into_iter().enumerate() {
        match refused.get(&index) {
            None => sound.push(entry),
            Some(reason) => skipped.push(Skipped {
                line: entry.line,
                place: entry.place,
                reason: reason.clone(),
            }),
        }
    }
    skipped.sort_by_key(|one| one.line);
    (sound, skipped)
}

/// What was taken, and what was not and why.
fn report(all: usize, taken: usize, skipped: &[Skipped], name: &str) -> String {
    let mut text = format!("{taken} of {all} rows of {name} taken");
    if skipped.is_empty() {
        return text + "\n";
    }
    text += ", skipped:\n";
    let mut alike: BTreeMap<&str, Vec<&Skipped>> = BTreeMap::new();
    for one in skipped {
        alike.entry(&one.reason).or_default().push(one);
    }
    let is_told = |one: &&Skipped| {
        alike
            .get(one.reason.as_str())
            .is_none_or(|same| same.len() <= ALIKE)
    };
    let single: Vec<&Skipped> = skipped.iter().filter(is_told).collect();
    for one in single.iter().take(TOLD) {
        let _ = writeln!(text, "  {}: {}", one.place, one.reason);
    }
    if single.len() > TOLD {
        let _ = writeln!(text, "  and {} more", single.len() - TOLD);
    }
    for (reason, same) in alike
        .iter()
        .filter(|(_, same)| same.len() > ALIKE)
        .take(TOLD)
    {
        let first = same.first().map_or("", |one| &one.place);
        let _ = writeln!(text, "  {} rows, {first} the first: {reason}", same.len());
    }
    text
}

/// A text as comments of YAML.
fn commented(text: &str) -> String {
    let lines = text.lines().flat_map(|line| ["# ", line, "\n"]);
    lines.collect()
}
