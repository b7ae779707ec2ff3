//! Every file in `scenarios/faulty` and every case in `tests/faulty` is refused, and what is said of it is recorded.
//!
//! `QUIETPAIR_WRITE=1` records anew. A case is a base file with one edit: `- ` lines are what is taken out, `+ ` lines what
//! stands there instead (the whole file where nothing is taken out), `> ` lines what is said of it. `␛ff` stands for a byte.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use std::{env, fs, io};

use quietpair::document::{Faults, Source};
use quietpair::import::{self, ImportError, Kind};
use quietpair::law::{self, LawError};
use quietpair::radio::read_profile;
use quietpair::scenario::{Files, ScenarioError, read};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

struct Folder(PathBuf);

impl Files for Folder {
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        // The words of the operating system differ from one to the next.
        fs::read(self.0.join(path)).map_err(|error| io::Error::new(error.kind(), "no such file"))
    }
}

#[test]
fn every_faulty_scenario_is_refused_with_the_message_on_record() {
    let folder = root().join("scenarios/faulty");
    let mut paths: Vec<PathBuf> = fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| {
            path.extension()
                .is_some_and(|extension| extension == "yaml")
        })
        .collect();
    paths.sort();
    assert!(paths.len() >= 20, "the folder holds the cases");
    let files = Folder(folder);
    for path in paths {
        let name = path.file_name().unwrap().to_str().unwrap();
        let error = read(name, &fs::read(&path).unwrap(), &files)
            .err()
            .unwrap_or_else(|| panic!("{name} is refused"));
        insta::assert_snapshot!(name, error.to_string());
    }
}

/// One file of a case: what kind it is, its name, its text.
#[derive(Debug, Clone)]
struct Block {
    kind: String,
    name: String,
    text: String,
}

/// The files of a case with their bytes, the one that is read first.
type Written = Vec<(Block, Vec<u8>)>;

/// One broken file.
#[derive(Debug, Default)]
struct Case {
    title: String,
    out: Vec<String>,
    put: Vec<String>,
    recorded: Vec<String>,
}

/// A family: what stands above its cases as it is written, the files they start from, and the cases.
struct Family {
    head: String,
    blocks: Vec<Block>,
    cases: Vec<Case>,
}

impl Family {
    fn parse(text: &str) -> Self {
        let mut family = Self {
            head: String::new(),
            blocks: Vec::new(),
            cases: Vec::new(),
        };
        for line in text.lines() {
            if let Some(title) = line.strip_prefix("=== ") {
                family.cases.push(Case {
                    title: title.to_owned(),
                    ..Case::default()
                });
                continue;
            }
            let Some(case) = family.cases.last_mut() else {
                family.head += line;
                family.head += "\n";
                if let Some(heading) = line.strip_prefix("--- ") {
                    let (kind, name) = heading.split_once(' ').unwrap();
                    family.blocks.push(Block {
                        kind: kind.to_owned(),
                        name: name.to_owned(),
                        text: String::new(),
                    });
                } else if let Some(block) = family.blocks.last_mut() {
                    block.text += line;
                    block.text += "\n";
                }
                continue;
            };
            let (list, rest) = match line.split_at_checked(2) {
                Some(("- ", rest)) => (&mut case.out, rest),
                Some(("+ ", rest)) => (&mut case.put, rest),
                Some(("> ", rest)) => (&mut case.recorded, rest),
                _ => panic!("{}: what is `{line}`?", case.title),
            };
            list.push(rest.to_owned());
        }
        family
    }
}

impl Case {
    /// The files of this case, the first of which is read; with the name of the one that was edited, and the lines.
    fn files(&self, blocks: &[Block]) -> (Written, String, RangeInclusive<usize>) {
        let mut blocks = blocks.to_vec();
        let (out, put) = (self.out.join("\n"), self.put.join("\n"));
        let edited = if self.title.is_empty() {
            (String::new(), 0..=0)
        } else if out.is_empty() {
            blocks[0].text = put.clone();
            (blocks[0].name.clone(), 1..=put.lines().count().max(1))
        } else {
            let found: usize = blocks
                .iter()
                .map(|block| block.text.matches(&out).count())
                .sum();
            assert_eq!(
                found, 1,
                "{}: `{out}` has to stand in the base once",
                self.title
            );
            let block = blocks
                .iter_mut()
                .find(|block| block.text.contains(&out))
                .unwrap();
            let before = &block.text[..block.text.find(&out).unwrap()];
            let first = before.matches('\n').count() + 1;
            block.text = block.text.replacen(&out, &put, 1);
            (
                block.name.clone(),
                first..=first + put.matches('\n').count(),
            )
        };
        let blocks = blocks.into_iter().map(|block| {
            let bytes = bytes(&block.text);
            (block, bytes)
        });
        (blocks.collect(), edited.0, edited.1)
    }
}

/// File, line, column, message and help of a fault.
type Told = (String, usize, usize, String, String);

impl Case {
    /// Whether a fault points at the edit: at its lines, or at the mapping that lacks a key, or by naming what is wrong.
    fn is_there(&self, fault: &Told, edited: &str, lines: &RangeInclusive<usize>) -> bool {
        let (name, line, _, message, _) = fault;
        let near = lines.start().saturating_sub(1)..=lines.end() + 1;
        let put = self.put.join(" ");
        let put = put.trim().trim_end_matches(':');
        let key = put.split(':').next().unwrap_or("");
        let is_named = message.contains(edited)
            || (!put.is_empty() && message.contains(put))
            || (!key.is_empty() && message.contains(&format!("`{key}`")));
        // What a list as a whole lacks is told at its beginning.
        let is_whole = message.contains("of the list");
        (name == edited && near.contains(line))
            || message.contains("is missing here")
            || is_named
            || is_whole
    }
}

/// The bytes of a text in which `␛ff` stands for one.
fn bytes(text: &str) -> Vec<u8> {
    let mut parts = text.split('␛');
    let mut bytes = parts.next().unwrap_or("").as_bytes().to_vec();
    for part in parts {
        bytes.push(u8::from_str_radix(&part[..2], 16).unwrap());
        bytes.extend(&part.as_bytes()[2..]);
    }
    bytes
}

/// The files beside the one that is read.
struct Beside<'a>(&'a [(Block, Vec<u8>)]);

impl Files for Beside<'_> {
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        let found = self.0.iter().find(|(block, _)| block.name == path);
        found
            .map(|(_, bytes)| bytes.clone())
            .ok_or_else(|| io::Error::new(io::ErrorKind::NotFound, "no such file"))
    }
}

/// What is said of a case: file, line, column, message and help of each fault.
fn told(files: &[(Block, Vec<u8>)]) -> Vec<Told> {
    let (block, bytes) = &files[0];
    let name = block.name.as_str();
    let source = || Source::new(name, bytes);
    match block.kind.as_str() {
        "scenario" => match read(name, bytes, &Beside(files)) {
            Ok(_) => Vec::new(),
            Err(ScenarioError::Faulty(faulty)) => faulty.iter().flat_map(listed).collect(),
            Err(error) => vec![split(&error.to_string(), "")],
        },
        "pack" => match law::read(name, bytes) {
            Ok(_) => Vec::new(),
            Err(LawError::Faults(faults)) => listed(&faults),
            Err(error) => vec![split(&error.to_string(), "")],
        },
        "profile" => match source() {
            Ok(source) => listed(&read_profile(&source).faults),
            Err(error) => vec![split(&error.to_string(), "")],
        },
        "list" => match source() {
            Ok(source) => {
                let wanted = import::Wanted::default();
                match import::import(&source, Kind::of_name(name), &wanted) {
                    Ok(_) => Vec::new(),
                    Err(ImportError { message, help }) => vec![split(&message, &help)],
                }
            }
            Err(error) => vec![split(&error.to_string(), "")],
        },
        other => panic!("what is a {other}?"),
    }
}

fn listed(faults: &Faults) -> Vec<Told> {
    let source = faults.source();
    // What a reader sees is made too, plain and coloured: no file may be too odd to be shown.
    assert!(!faults.to_string().contains('\u{1b}'));
    let _ = faults.coloured();
    let one = |fault: &quietpair::document::Fault| {
        let start = fault.place.start;
        let help = fault.help.clone().unwrap_or_default();
        let name = source.name().to_owned();
        (
            name,
            source.line(start),
            source.column(start),
            fault.message.clone(),
            help,
        )
    };
    faults.list().iter().map(one).collect()
}

/// A message that begins with its place: `race.yaml:3:7: …`.
fn split(message: &str, help: &str) -> Told {
    let mut parts = message.splitn(4, ':');
    let mut next = || parts.next().unwrap_or("");
    let (name, line, column) = (next(), next().parse(), next().parse());
    match (line, column) {
        (Ok(line), Ok(column)) => {
            let rest = next().trim_start().to_owned();
            (name.to_owned(), line, column, rest, help.to_owned())
        }
        _ => (String::new(), 0, 0, message.to_owned(), help.to_owned()),
    }
}

/// Words that a message says what to do with, at the beginning of a clause.
const DEEDS: &str = "add choose close draw fill give indent keep leave list move name put quote rename save say state take use write";

/// Words with which it says what was expected.
const EXPECTED: [&str; 15] = [
    "expected ",
    "did you mean ",
    "known here: ",
    ": from ",
    ": at least ",
    ": at most ",
    "; there is ",
    "such as ",
    "; there are ",
    "; it transmits on ",
    "; it receives ",
    "; it covers ",
    "repeats between different bands: ",
    "goes with ",
    "is it the right one",
];

fn has_cure(message: &str, help: &str) -> bool {
    let all = format!("; {message}; {help}");
    let is_told = |deed: &str| {
        let mut ends = ["; ", ": ", ", ", ", or "].into_iter();
        ends.any(|end| all.contains(&format!("{end}{deed} ")))
    };
    EXPECTED.iter().any(|words| all.contains(words)) || DEEDS.split(' ').any(is_told)
}

#[test]
fn every_broken_file_is_refused_at_its_place_with_what_to_do() {
    let folder = root().join("tests/faulty");
    let mut paths: Vec<PathBuf> = fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "txt"))
        .collect();
    paths.sort();
    let is_recording = env::var_os("QUIETPAIR_WRITE").is_some();
    let mut wrong: Vec<String> = Vec::new();
    let mut titles: BTreeMap<String, usize> = BTreeMap::new();
    for path in paths {
        let family = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let before = fs::read_to_string(&path).unwrap();
        let Family {
            head,
            blocks,
            cases,
        } = Family::parse(&before);
        let sound = Case::default().files(&blocks).0;
        let base = told(&sound);
        if !base.is_empty() {
            wrong.push(format!(
                "{family}: the file to begin with is faulty: {base:?}"
            ));
        }
        let mut after = head;
        for case in &cases {
            let place = format!("{family}: {}", case.title);
            *titles.entry(place.clone()).or_default() += 1;
            let (files, edited, lines) = case.files(&blocks);
            let begun = Instant::now();
            let found = told(&files);
            // Milliseconds are usual; a busy machine may stop us for a while.
            if begun.elapsed() > Duration::from_secs(1) {
                let again = Instant::now();
                told(&files);
                if again.elapsed() > Duration::from_secs(1) {
                    wrong.push(format!("{place}: took {:?}", again.elapsed()));
                }
            }
            let _ = writeln!(after, "=== {}", case.title);
            for (mark, list) in [("-", &case.out), ("+", &case.put)] {
                for line in list {
                    let _ = writeln!(after, "{mark} {line}");
                }
            }
            let mut record = Vec::new();
            for (name, line, column, message, help) in &found {
                record.extend(
                    format!("{name}:{line}:{column}: {message}")
                        .lines()
                        .map(str::to_owned),
                );
                record.extend(help.lines().map(|line| format!("  {line}")));
                if *line == 0 || *column == 0 || name.is_empty() {
                    wrong.push(format!("{place}: no place: {message}"));
                }
                if !has_cure(message, help) {
                    wrong.push(format!("{place}: no cure: {message} / {help}"));
                }
            }
            if found.is_empty() {
                wrong.push(format!("{place}: is not refused"));
            } else if !found
                .iter()
                .any(|fault| case.is_there(fault, &edited, &lines))
            {
                wrong.push(format!("{place}: told elsewhere: {record:?}"));
            }
            for line in &record {
                let _ = writeln!(after, "> {line}");
            }
            if !is_recording && record != case.recorded {
                wrong.push(format!(
                    "{place}: said\n  {}\nrecorded\n  {}",
                    record.join("\n  "),
                    case.recorded.join("\n  ")
                ));
            }
        }
        if is_recording && after != before {
            fs::write(&path, after).unwrap();
        }
    }
    assert!(titles.len() >= 300, "{} broken files", titles.len());
    let repeated = titles.iter().filter(|(_, count)| **count > 1);
    wrong.extend(repeated.map(|(title, _)| format!("{title}: stands twice")));
    assert!(
        wrong.is_empty(),
        "{}\n{} wrong",
        wrong.join("\n"),
        wrong.len()
    );
}
