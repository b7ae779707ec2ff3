//! Every command of the guides is run, and prints what the guide says it prints.
//!
//! A block ```` ```sh ```` is run by bash, all blocks of a page in one folder that holds the examples. ```` ```sh exit=1 ````
//! ends with that code, any other with 0. A block ```` ```text ```` right after it shows what is printed; `[…]` stands for what
//! was left out.

use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::Value;

use super::{folder, is_installed, root};

/// A block of a page.
struct Block {
    line: usize,
    head: String,
    text: String,
    /// Whether nothing but blank lines lies between it and the block before.
    follows: bool,
}

fn blocks(page: &str) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    let mut open: Option<Block> = None;
    let mut follows = false;
    for (number, line) in (1..).zip(page.lines()) {
        match (line.strip_prefix("```"), open.take()) {
            (Some(head), None) => {
                open = Some(Block {
                    line: number,
                    head: head.trim().to_owned(),
                    text: String::new(),
                    follows,
                });
            }
            (Some(_), Some(block)) => {
                blocks.push(block);
                follows = true;
            }
            (None, Some(mut block)) => {
                block.text += line;
                block.text += "\n";
                open = Some(block);
            }
            (None, None) => follows &= line.is_empty(),
        }
    }
    assert!(open.is_none(), "a block is not closed");
    blocks
}

/// A folder with the examples, as a reader has it.
fn desk(name: &str) -> std::path::PathBuf {
    let desk = folder(name);
    let scenarios = desk.join("scenarios");
    fs::create_dir(&scenarios).unwrap();
    for entry in fs::read_dir(root().join("scenarios")).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() {
            fs::copy(&path, scenarios.join(path.file_name().unwrap())).unwrap();
        }
    }
    desk
}

fn bash(script: &str, desk: &Path) -> (i32, String, String) {
    let program = Path::new(env!("CARGO_BIN_EXE_quietpair"));
    let path = std::env::var("PATH").unwrap();
    let output = Command::new("bash")
        .args(["-u", "-o", "pipefail", "-c", script])
        .current_dir(desk)
        .env(
            "PATH",
            format!("{}:{path}", program.parent().unwrap().display()),
        )
        .env_remove("CLICOLOR_FORCE")
        .output()
        .unwrap();
    super::told(&output)
}

/// Runs a page from top to bottom.
///
/// With `QUIETPAIR_WRITE=1` lines whose figures changed are written anew; what to leave out stays as it was.
fn follow(page: &str) {
    let text = fs::read_to_string(root().join(page)).unwrap();
    let mut anew = text.clone();
    let desk = desk(&page.replace('/', "-"));
    let mut printed: Option<String> = None;
    let mut count = 0;
    for block in blocks(&text) {
        let at = format!("{page}:{}", block.line);
        match block.head.split_once(' ').unwrap_or((&block.head, "")) {
            ("sh", exit) => {
                printed = None;
                if block.text.contains("jq ") && !is_installed("jq") {
                    continue;
                }
                let expected: i32 = exit
                    .strip_prefix("exit=")
                    .map_or(0, |code| code.parse().unwrap());
                let (code, stdout, stderr) = bash(&block.text, &desk);
                assert_eq!(code, expected, "{at}: {stdout}{stderr}");
                printed = Some(stdout + &stderr);
                count += 1;
            }
            ("text", _) if block.follows => {
                let Some(printed) = &printed else { continue };
                let fresh = held_to(&block.text, printed, &at);
                anew = anew.replacen(&block.text, &fresh, 1);
            }
            _ => {}
        }
    }
    assert!(count > 0, "{page} has no command");
    if anew != text {
        fs::write(root().join(page), anew).unwrap();
    }
}

/// What a block is to show: what it shows, where that is what is printed.
fn held_to(block: &str, printed: &str, at: &str) -> String {
    match shown(block, printed, |shown, line| shown == line) {
        Ok(_) => block.to_owned(),
        Err(_) if std::env::var_os("QUIETPAIR_WRITE").is_some() => {
            let is_like = |shown: &str, line: &str| alike(shown) == alike(line);
            shown(block, printed, is_like)
                .unwrap_or_else(|line| panic!("{at}: nothing is like `{line}`"))
        }
        Err(line) => panic!("{at}: `{line}` is not printed there, but\n{printed}"),
    }
}

/// The lines of a block as they are printed, or the first that is not. The lines up to the next `[…]` come one after the
/// other, except for the first, which is looked for.
fn shown(
    block: &str,
    printed: &str,
    is_same: impl Fn(&str, &str) -> bool,
) -> Result<String, String> {
    let mut lines = printed.lines().filter(|line| !line.trim().is_empty());
    let mut fresh = String::new();
    let mut is_sought = true;
    for shown in block.lines() {
        let Some((before, rest)) = shown.split_once("[…]") else {
            if !shown.is_empty() {
                let found = if is_sought {
                    lines.find(|line| is_same(shown, line.trim_end()))
                } else {
                    lines.next().filter(|line| is_same(shown, line.trim_end()))
                };
                fresh += found.ok_or_else(|| shown.to_owned())?.trim_end();
                is_sought = false;
            }
            fresh += "\n";
            continue;
        };
        if !before.is_empty() && !lines.any(|line| line.starts_with(before)) {
            return Err(shown.to_owned());
        }
        fresh += &format!("{before}[…]{rest}\n");
        is_sought = true;
    }
    Ok(fresh)
}

/// A line without its figures.
fn alike(line: &str) -> String {
    let mut text = String::new();
    for character in line.chars() {
        let is_figure = character.is_ascii_digit() || ".−-".contains(character);
        if !is_figure {
            text.push(character);
        } else if !text.ends_with('#') {
            text.push('#');
        }
    }
    text
}

#[test]
fn the_guide_can_be_followed() {
    follow("docs/guide.md");
}

#[test]
fn every_example_for_scripts_runs() {
    follow("docs/scripting.md");
}

#[test]
fn every_moment_can_be_followed() {
    for moment in ["relay", "watch", "net", "morning"] {
        follow(&format!("docs/moments/{moment}.md"));
    }
}

/// Its commands are written for somebody who has no `quietpair` yet, so they stand here in the order of what they print.
#[test]
fn the_first_page_shows_what_is_printed() {
    let text = fs::read_to_string(root().join("README.md")).unwrap();
    let mut anew = text.clone();
    let desk = desk("readme");
    let commands = [
        "quietpair check scenarios/harbour-half-marathon.yaml",
        "quietpair rank scenarios/harbour-half-marathon.yaml --top 3",
    ];
    let all = blocks(&text);
    let shown: Vec<&Block> = all
        .iter()
        .filter(|block| block.text.contains("[…]"))
        .collect();
    assert_eq!(shown.len(), commands.len());
    for (block, command) in shown.into_iter().zip(commands) {
        let (_, printed, _) = bash(command, &desk);
        let fresh = held_to(&block.text, &printed, &format!("README.md:{}", block.line));
        anew = anew.replacen(&block.text, &fresh, 1);
    }
    if anew != text {
        fs::write(root().join("README.md"), anew).unwrap();
    }
}

/// The finding that the contract shows is one that the program finds.
#[test]
fn the_contract_s_example_is_a_finding() {
    let page = fs::read_to_string(root().join("docs/output.md")).unwrap();
    let example = blocks(&page)
        .into_iter()
        .find(|block| block.head == "json")
        .unwrap();
    let example: Value = serde_json::from_str(&example.text).unwrap();
    let (_, printed, _) = bash(
        "quietpair check scenarios/harbour-half-marathon.yaml --format json",
        &desk("contract-example"),
    );
    let printed: Value = serde_json::from_str(&printed).unwrap();
    let example = example.as_object().unwrap();
    let is_it = |finding: &&Value| {
        let mut keys = ["check", "severity", "subject", "victim"].into_iter();
        keys.all(|key| finding[key] == example[key])
    };
    let found = printed["findings"].as_array().unwrap();
    let found = found.iter().find(is_it).unwrap();
    for (key, value) in example {
        assert_eq!(found[key], *value, "{key}");
    }
}

#[test]
fn a_page_that_says_something_else_is_found_out() {
    let page = "```sh exit=1\nfalse\n```\n\n```text\na\n```\ntext\n```text\nb\n```\n";
    let found: Vec<bool> = blocks(page).iter().map(|block| block.follows).collect();
    assert_eq!(found, [false, true, false]);
    let same = |shown: &str, line: &str| shown == line;
    assert_eq!(shown("a\nc\n", "a\nb\nc\n", same), Err("c".to_owned()));
    assert!(shown("a\n[…]\nc\n", "a\nb\nc\n", same).is_ok());
    assert!(shown("c\n[…]\na\n", "a\nb\nc\n", same).is_err());
}
