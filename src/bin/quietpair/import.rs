//! `import`: a list of neighbours from a table, or of places from a map, as a part of a scenario.

use clap::{Args, ValueEnum};
use quietpair::import::{self, ImportError};
use quietpair::quantity::{Length, Position};

use crate::failure::Failure;
use crate::input;
use crate::output::Outcome;

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
    #[arg(long, value_enum, ignore_case = true, default_value_t = Unit::Mhz, value_name = "UNIT")]
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
    let source = input::source(&wanted.file)?;
    let imported = import::import(
        &source,
        wanted.kind(),
        &import::Wanted {
            columns: &wanted.columns,
            set: &wanted.set,
            unit: wanted.unit.into(),
            delimiter: wanted.delimiter.as_deref(),
            circle: wanted.near.zip(wanted.within),
            shape: wanted.shape.into(),
        },
    )
    .map_err(|ImportError { message, help }| Failure::input(message).hint(help))?;
    Ok(Outcome::page(imported.page).remark(imported.report.trim_end()))
}

impl Wanted {
    fn kind(&self) -> import::Kind {
        match self.kind {
            Some(Kind::Csv) => import::Kind::Csv,
            Some(Kind::Kml) => import::Kind::Kml,
            Some(Kind::Geojson) => import::Kind::Geojson,
            None => import::Kind::of_name(&self.file),
        }
    }
}

impl From<Unit> for import::Unit {
    fn from(unit: Unit) -> Self {
        match unit {
            Unit::Mhz => Self::Mhz,
            Unit::Khz => Self::Khz,
            Unit::Hz => Self::Hz,
        }
    }
}

impl From<Shape> for import::Shape {
    fn from(shape: Shape) -> Self {
        match shape {
            Shape::InUse => Self::InUse,
            Shape::Sites => Self::Sites,
            Shape::Csv => Self::Csv,
        }
    }
}
