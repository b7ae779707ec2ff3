//! Completions as shells load them, manual pages as manual readers typeset them.

use std::fs;
use std::process::Command;

use super::{file, folder, is_installed, run};

fn completions(shell: &str, name: &str) -> String {
    let (code, text, _) = run(&["completions", shell]);
    assert_eq!(code, 0);
    file(&folder(&format!("complete-{shell}")), name, &text)
}

fn said(program: &str, arguments: &[&str]) -> String {
    let output = Command::new(program).args(arguments).output().unwrap();
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(
        output.status.success() && errors.is_empty(),
        "{program}: {errors}"
    );
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn bash_completes_a_command() {
    if !is_installed("bash") {
        return;
    }
    let path = completions("bash", "quietpair.bash");
    let script = format!(
        "source '{path}'; COMP_WORDS=(quietpair pro); COMP_CWORD=1; _quietpair quietpair pro quietpair; \
         echo \"${{COMPREPLY[@]}}\"; COMP_WORDS=(quietpair check --ag); COMP_CWORD=2; \
         _quietpair quietpair --ag check; echo \"${{COMPREPLY[@]}}\""
    );
    assert_eq!(
        said("bash", &["--norc", "-c", &script]),
        "products\n--against\n"
    );
}

#[test]
fn fish_completes_a_command_and_a_value() {
    if !is_installed("fish") {
        return;
    }
    let path = completions("fish", "quietpair.fish");
    let script = format!(
        "source '{path}'; complete -C 'quietpair pro'; complete -C 'quietpair check --fail-on cau'"
    );
    let told = said("fish", &["--no-config", "-c", &script]);
    assert!(
        told.contains("products\t") && told.contains("caution"),
        "{told}"
    );
}

#[test]
fn zsh_takes_the_completions_as_its_own() {
    if !is_installed("zsh") {
        return;
    }
    let path = completions("zsh", "_quietpair");
    let folder = path.trim_end_matches("/_quietpair");
    let script = format!(
        "fpath=('{folder}' $fpath); autoload -Uz compinit; compinit -u -D; \
         echo $_comps[quietpair]; autoload +X _quietpair; functions _quietpair | wc -l"
    );
    let told = said("zsh", &["-f", "-c", &script]);
    let (name, lines) = told.trim().split_once('\n').unwrap();
    assert_eq!(name, "_quietpair");
    assert!(lines.trim().parse::<u32>().unwrap() > 50, "{told}");
    // And in a terminal of its own, at the press of a key.
    let script = PRESSED.replace("FOLDER", folder);
    let output = Command::new("timeout")
        .args(["60", "zsh", "-f", "-c", &script])
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(told.contains("quietpair products"), "{told}");
}

/// A zsh in a terminal of its own, in which somebody types `quietpair prod` and presses the tabulator key.
const PRESSED: &str = r#"
zmodload zsh/zpty
zpty shell zsh -f -i
zpty -w shell 'PS1=; fpath=("FOLDER" $fpath); autoload -Uz compinit; compinit -u -D; echo rea''dy'
zpty -r -m shell line '*ready*'
zpty -w -n shell $'quietpair prod\t'
all=
for i in {1..100}; do
  if zpty -r -t shell line; then all+=$line; fi
  [[ $all == *products* ]] && break
  sleep 0.2
done
print -r -- "$all"
zpty -d shell
"#;

#[test]
fn every_manual_page_is_typeset_without_a_warning_and_names_only_pages_there_are() {
    let folder = folder("man");
    let pages = folder.join("man1");
    let (code, stdout, stderr) = run(&["man", "-o", pages.to_str().unwrap()]);
    assert_eq!((code, stdout.as_str(), stderr.as_str()), (0, "", ""));
    let mut names: Vec<String> = fs::read_dir(&pages)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    let (_, help, _) = run(&["--help"]);
    let commands = help.split("Commands:\n").nth(1).unwrap();
    let commands = commands.split("\n\n").next().unwrap();
    // A description may go on below, further in.
    for line in commands.lines().filter(|line| !line.starts_with("   ")) {
        let command = line.split_whitespace().next().unwrap();
        let is_there = names.contains(&format!("quietpair-{command}.1"));
        assert!(is_there || command == "help", "{command}");
    }
    assert!(
        names.contains(&"quietpair-rules-show.1".to_owned()),
        "{names:?}"
    );
    for name in &names {
        let text = fs::read_to_string(pages.join(name)).unwrap();
        for line in text.lines().filter(|line| line.ends_with("(1)")) {
            let page = line.replace("\\-", "-").replace("(1)", ".1");
            assert!(names.contains(&page), "{name} speaks of {page}");
        }
        let path = pages.join(name);
        let path = path.to_str().unwrap();
        if is_installed("groff") {
            let told = said("groff", &["-man", "-Tutf8", "-ww", path]);
            assert!(told.contains("QUIETPAIR"), "{name}");
        }
        if is_installed("mandoc") {
            assert_eq!(said("mandoc", &["-Tlint", "-Wwarning", path]), "", "{name}");
        }
    }
    let (code, page, _) = run(&["man", "rules", "show"]);
    assert_eq!(code, 0);
    assert_eq!(
        page,
        fs::read_to_string(pages.join("quietpair-rules-show.1")).unwrap()
    );
    let (code, _, stderr) = run(&["man", "-o", pages.to_str().unwrap()]);
    assert_eq!(code, 2, "pages that are there are not replaced unasked");
    assert!(stderr.contains("--force"), "{stderr}");
    let (code, _, stderr) = run(&["man", "chekc"]);
    assert_eq!(code, 2);
    assert!(stderr.contains("did you mean `check`?"), "{stderr}");
}
