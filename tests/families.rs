//! Every open-ended family is a folder with an `ALL`: each member is registered there, named after its file, and has its
//! chapter. A forgotten file is named here, since the compiler never sees it.

use std::collections::{BTreeMap, BTreeSet};

use quietpair::topic::Topic;
use quietpair::{checks, emissions, physics, responses};

mod tree;

/// The headings of every chapter, in this order.
const HEADINGS: [&str; 6] = [
    "What it looks for",
    "Why it hurts",
    "Arithmetic",
    "Worked example",
    "Usual remedies",
    "What it cannot see",
];

/// Ids that are not their file's name: the trade's own word for the finding, and the plain one for the place.
const NAMED_OTHERWISE: [(&str, &str); 1] = [("co-channel", "channel")];

type Files = BTreeMap<String, String>;

/// The file name, without its ending, that an id stands for.
fn stem_of(id: &str) -> String {
    NAMED_OTHERWISE
        .iter()
        .find(|(named, _)| *named == id)
        .map_or_else(|| id.replace('-', "_"), |(_, stem)| (*stem).to_owned())
}

/// The families that have chapters: their folder, and their topics in the order of `ALL`.
fn families() -> [(&'static str, Vec<Topic>); 3] {
    [
        (
            "emissions",
            emissions::ALL.iter().map(|one| one.topic).collect(),
        ),
        (
            "responses",
            responses::ALL.iter().map(|one| one.topic).collect(),
        ),
        ("checks", checks::every().map(|one| one.topic).collect()),
    ]
}

/// The names of the files right in a folder with an ending, without it.
fn stems<'a>(files: &'a Files, folder: &'a str, ending: &'a str) -> impl Iterator<Item = &'a str> {
    files.keys().filter_map(move |path| {
        let name = path.strip_prefix(folder)?.strip_prefix('/')?;
        name.strip_suffix(ending).filter(|stem| !stem.contains('/'))
    })
}

fn text<'a>(files: &'a Files, path: &str) -> &'a str {
    files.get(path).map_or("", String::as_str)
}

/// Text with all white space taken out, so that rustfmt's line breaks do not matter.
fn packed(text: &str) -> String {
    text.split_whitespace().collect()
}

/// The type of a family's records and what its lists of them hold, from a `mod.rs`; none where that has no `ALL`.
fn registered(module: &str) -> Option<(String, BTreeSet<String>)> {
    let module = packed(module);
    let (_, rest) = module.split_once("constALL:&[")?;
    let (kind, _) = rest.split_once("]=&[")?;
    let listed: BTreeSet<String> = module
        .split(&format!(":&[{kind}]=&["))
        .skip(1)
        .filter_map(|rest| rest.split_once("];"))
        .flat_map(|(list, _)| list.split(','))
        .filter(|entry| entry.contains("::"))
        .map(str::to_owned)
        .collect();
    (!listed.is_empty()).then(|| (kind.to_owned(), listed))
}

/// The constant of a family's type that a file declares.
fn declared<'a>(text: &'a str, kind: &str) -> Option<&'a str> {
    text.lines().find_map(|line| {
        let (_, rest) = line.split_once("const ")?;
        let (name, rest) = rest.split_once(": ")?;
        (line.starts_with("pub") && rest.starts_with(&format!("{kind} ="))).then_some(name)
    })
}

/// Files that are no module of their folder, and members that are not in its `ALL`.
fn forgotten(files: &Files) -> Vec<String> {
    let mut found = Vec::new();
    for (path, module) in files.iter().filter(|(path, _)| path.ends_with("/mod.rs")) {
        let folder = path.trim_end_matches("/mod.rs");
        let Some((kind, listed)) = registered(module) else {
            continue;
        };
        for stem in stems(files, folder, ".rs").filter(|stem| *stem != "mod") {
            let declares = [format!("mod {stem};"), format!("pub mod {stem};")];
            if !module
                .lines()
                .any(|line| declares.iter().any(|one| one == line.trim()))
            {
                found.push(format!("{folder}/{stem}.rs is no `mod` of {path}"));
            }
            let file = text(files, &format!("{folder}/{stem}.rs"));
            if let Some(name) = declared(file, &kind)
                && !listed.contains(&format!("{stem}::{name}"))
            {
                found.push(format!("{folder}/{stem}.rs is not in the ALL of {path}"));
            }
        }
    }
    found
}

/// Data files that no list beside their folder takes in under their own name.
fn data_forgotten(files: &Files) -> Vec<String> {
    let mut found = Vec::new();
    for path in files.keys().filter(|path| tree::is_kind(path, "yaml")) {
        let Some((folder, name)) = path.rsplit_once('/') else {
            continue;
        };
        let Some((above, last)) = folder.rsplit_once('/') else {
            continue;
        };
        let stem = name.trim_end_matches(".yaml");
        let is_family = files
            .keys()
            .filter(|other| other.starts_with(&format!("{folder}/")))
            .all(|other| tree::is_kind(other, "yaml"));
        let entry = format!("(\"{stem}\",include_str!(\"{last}/{name}\")");
        let is_listed = stems(files, above, ".rs")
            .any(|stem| packed(text(files, &format!("{above}/{stem}.rs"))).contains(&entry));
        if is_family && !is_listed {
            found.push(format!("{path} is in no ALL of {above}"));
        }
    }
    found
}

/// What a chapter of a title lacks.
fn lacking(title: &str, chapter: &str) -> Option<String> {
    let mut lines = chapter.lines();
    if lines.next().and_then(|line| line.strip_prefix("# ")) != Some(title) {
        return Some(format!("it does not begin with `# {title}`"));
    }
    let mut sections: Vec<(&str, String)> = Vec::new();
    for line in lines {
        if let Some(heading) = line.strip_prefix("## ") {
            sections.push((heading, String::new()));
        } else if let Some((_, body)) = sections.last_mut() {
            body.push_str(line.trim());
        }
    }
    let headings: Vec<&str> = sections.iter().map(|(heading, _)| *heading).collect();
    if headings != HEADINGS {
        return Some(format!("its headings are {headings:?}"));
    }
    sections
        .iter()
        .find(|(_, body)| body.is_empty())
        .map(|(heading, _)| format!("nothing is said under `{heading}`"))
}

/// Topics without a file of their name, chapters that are not what `explain` shows, and what those lack.
fn unexplained(files: &Files, folder: &str, topics: &[Topic]) -> Vec<String> {
    let mut found = Vec::new();
    let known: BTreeSet<String> = topics.iter().map(|topic| stem_of(topic.id)).collect();
    for topic in topics {
        let stem = stem_of(topic.id);
        if !files.contains_key(&format!("{folder}/{stem}.rs")) {
            found.push(format!("`{}`: there is no {folder}/{stem}.rs", topic.id));
        }
        if files
            .get(&format!("{folder}/{stem}.md"))
            .map(String::as_str)
            != Some(topic.text)
        {
            found.push(format!(
                "`{}`: its text is not {folder}/{stem}.md",
                topic.id
            ));
        }
        if let Some(what) = lacking(topic.title, topic.text) {
            found.push(format!("{folder}/{stem}.md: {what}"));
        }
    }
    let orphans = stems(files, folder, ".md").filter(|stem| !known.contains(*stem));
    found.extend(orphans.map(|stem| format!("{folder}/{stem}.md belongs to nothing in ALL")));
    found
}

fn assert_none(found: &[String]) {
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn every_member_is_a_module_of_its_family_and_in_its_list() {
    let files = tree::files_in("src");
    for folder in ["emissions", "responses", "checks", "physics/path"] {
        let module = text(&files, &format!("{folder}/mod.rs"));
        assert!(registered(module).is_some(), "{folder} has no ALL");
    }
    assert_none(&forgotten(&files));
    assert_none(&data_forgotten(&files));
}

#[test]
fn every_emission_response_and_check_has_its_chapter_with_all_headings() {
    let files = tree::files_in("src");
    for (folder, topics) in families() {
        assert_none(&unexplained(&files, folder, &topics));
    }
}

#[test]
fn every_path_model_is_named_after_its_file() {
    let files = tree::files_in("src");
    for model in physics::path::ALL {
        let file = format!("physics/path/{}.rs", stem_of(model.id));
        assert!(files.contains_key(&file), "{} has no {file}", model.id);
    }
}

#[test]
fn no_two_topics_share_an_id_or_a_title() {
    let topics: Vec<Topic> = families()
        .into_iter()
        .flat_map(|(_, topics)| topics)
        .collect();
    let ids: BTreeSet<&str> = topics.iter().map(|topic| topic.id).collect();
    let titles: BTreeSet<&str> = topics.iter().map(|topic| topic.title).collect();
    assert_eq!((ids.len(), titles.len()), (topics.len(), topics.len()));
}

#[test]
fn a_forgotten_file_is_noticed() {
    let files = |list: &[(&str, &str)]| -> Files {
        list.iter()
            .map(|(path, text)| ((*path).to_owned(), (*text).to_owned()))
            .collect()
    };
    let module = "mod one;\nmod helper;\npub const ALL: &[Kind] =\n    &[one::KIND];\n";
    let one = ("kinds/one.rs", "pub(super) const KIND: Kind = Kind {};\n");
    let helper = (
        "kinds/helper.rs",
        "pub(super) const LIMIT: Offset = Offset::hz(1);\n",
    );
    let list = ("kinds/mod.rs", module);
    assert_none(&forgotten(&files(&[list, one, helper])));
    let other = ("kinds/other.rs", "pub(super) const KIND: Kind = Kind {};\n");
    assert_eq!(forgotten(&files(&[list, one, helper, other])).len(), 2);
    let now_a_member = ("kinds/helper.rs", one.1);
    assert_eq!(forgotten(&files(&[list, one, now_a_member])).len(), 1);

    let pack = ("law/packs/xx.yaml", "pack: xx\n");
    let taken_in = (
        "law/packs.rs",
        "ALL = &[(\n    \"xx\",\n    include_str!(\"packs/xx.yaml\"),\n)];",
    );
    assert_none(&data_forgotten(&files(&[taken_in, pack])));
    let other = ("law/packs/yy.yaml", "pack: yy\n");
    assert_eq!(data_forgotten(&files(&[taken_in, pack, other])).len(), 1);
}

#[test]
fn a_chapter_with_a_missing_empty_or_misplaced_part_is_noticed() {
    let parts: Vec<String> = HEADINGS
        .iter()
        .map(|one| format!("## {one}\n\nWords.\n"))
        .collect();
    let whole = format!("# Title\n\n{}", parts.concat());
    assert_eq!(lacking("Title", &whole), None);
    assert!(lacking("Title", whole.trim_start_matches("# Title")).is_some());
    assert!(lacking("Other title", &whole).is_some());
    assert!(lacking("Title", &whole.replace("## Worked example\n", "")).is_some());
    assert!(lacking("Title", &whole.replacen("Words.", "", 1)).is_some());
    let mut turned = parts;
    turned.swap(0, 1);
    assert!(lacking("Title", &format!("# Title\n\n{}", turned.concat())).is_some());
}
