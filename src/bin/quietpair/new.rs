//! `new`: a commented scenario to begin with.

use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use quietpair::law::{self, Kind, Pack};

use crate::failure::{Failure, unknown};
use crate::output::Outcome;

/// A moment of use: its word, what it is, and the file to begin with.
#[derive(Debug, Clone, Copy)]
struct Moment {
    word: &'static str,
    title: &'static str,
    text: &'static str,
    /// The exit code of `check` on it, which the text tells.
    exit: u8,
}

/// Every moment of use.
const ALL: &[Moment] = &[
    Moment {
        word: "relay",
        title: "a cross-band relay for a day: which pair?",
        text: include_str!("new/relay.yaml"),
        exit: 0,
    },
    Moment {
        word: "watch",
        title: "a second receiver beside the net: what can it listen to?",
        text: include_str!("new/watch.yaml"),
        exit: 0,
    },
    Moment {
        word: "net",
        title: "a whole net: what is wrong with it?",
        text: include_str!("new/net.yaml"),
        exit: 1,
    },
    Moment {
        word: "morning",
        title: "a settled plan, to be checked again by a script",
        text: include_str!("new/morning.yaml"),
        exit: 0,
    },
];

/// What differs from one country to the next, under the id of its pack; and, for countries that are not listed, under that
/// of their band plan. The frequencies are places to begin with and are judged like any others.
const PLACES: &str = include_str!("new/places.csv");

/// What is wanted of `new`.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// What it is for
    #[arg(value_parser = moments())]
    moment: Moment,
    /// Whose rules apply: the id of a rule pack of law, as `quietpair rules` lists it
    #[arg(long, value_name = "PACK")]
    rules: String,
    /// The licence held, as the pack names it [default: the last that the pack lists]
    #[arg(long)]
    licence: Option<String>,
}

/// Reads the word of a moment.
fn moments() -> impl TypedValueParser<Value = Moment> {
    let words = ALL
        .iter()
        .map(|moment| PossibleValue::new(moment.word).help(moment.title));
    PossibleValuesParser::new(words).try_map(|word| {
        let moment = ALL.iter().find(|moment| moment.word == word);
        moment.copied().ok_or("no such moment")
    })
}

/// Fills in what is asked for.
pub(crate) fn run(wanted: &Wanted) -> Result<Outcome, Failure> {
    let of_law = || law::built_in().iter().filter(|pack| pack.kind == Kind::Law);
    let pack = of_law()
        .find(|pack| *pack.id == *wanted.rules)
        .ok_or_else(|| {
            unknown(
                "rule pack of law",
                &wanted.rules,
                of_law().map(|pack| &*pack.id),
            )
        })?;
    let licences: Vec<&str> = pack.licences.iter().map(|one| one.id.as_str()).collect();
    let licence = match &wanted.licence {
        None => licences.last().copied().unwrap_or("none"),
        Some(word) => licences
            .iter()
            .copied()
            .find(|known| known == word)
            .ok_or_else(|| unknown("licence", word, licences.iter().copied()))?,
    };
    let mut page = wanted.moment.text.to_owned();
    let exit = wanted.moment.exit.to_string();
    let mut figures = place(pack).map_err(Failure::Itself)?;
    figures.extend([
        ("exit".to_owned(), exit),
        ("rules".to_owned(), pack.id.to_string()),
        ("licence".to_owned(), licence.to_owned()),
        ("licences".to_owned(), licences.join(", ")),
    ]);
    for (name, text) in figures {
        page = page.replace(&format!("@{name}@"), &text);
    }
    Ok(Outcome::page(page))
}

/// The row of a country, or of the first of its companions that has one.
fn place(pack: &Pack) -> Result<Vec<(String, String)>, String> {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(b';')
        .from_reader(PLACES.as_bytes());
    let headings = reader.headers().map_err(|error| error.to_string())?.clone();
    let rows: Vec<csv::StringRecord> = reader
        .records()
        .collect::<Result<_, _>>()
        .map_err(|error| error.to_string())?;
    let companions = pack.companions.iter().map(String::as_str);
    std::iter::once(&*pack.id)
        .chain(companions)
        .find_map(|id| rows.iter().find(|row| row.get(0) == Some(id)))
        .map(|row| {
            let named = headings.iter().zip(row).skip(1);
            named
                .map(|(name, text)| (name.to_owned(), text.to_owned()))
                .collect()
        })
        .ok_or_else(|| format!("there is no place to begin with for {}", pack.id))
}
