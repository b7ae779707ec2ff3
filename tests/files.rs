//! Which files are read and written: what the user named, and nothing else.

use std::collections::BTreeSet;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

const PLAN: &str = "\
event: {name: Harbour run}
rules: [uk]
licence: full
sites: {hill: {at: [54.4150, -0.5320], ground: 118 m}}
stations:
  - {name: Base, site: hill, radio: mobile-2m, power: low, talk: 145.3000}
";

const ROWS: &str = "name,output,input,erp,at\nTown,145.6500,145.0500,25 W,\"54.33, -0.43\"\n";

/// An empty folder of its own for a test.
fn folder(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&path);
    fs::create_dir_all(&path).unwrap();
    path
}

fn run(folder: &Path, arguments: &[&str], input: &[u8]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_quietpair"))
        .current_dir(folder)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A call that is refused early does not read all of it.
    let _ = child.stdin.take().unwrap().write_all(input);
    child.wait_with_output().unwrap()
}

/// Exit code, and everything that was said.
fn told(output: &Output) -> (i32, String) {
    let said = [&output.stdout[..], &output.stderr].concat();
    (
        output.status.code().unwrap(),
        String::from_utf8(said).unwrap(),
    )
}

/// Every file below a folder with what it holds.
fn held(folder: &Path) -> BTreeSet<(PathBuf, Vec<u8>)> {
    let entries = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path());
    entries
        .flat_map(|path| {
            if path.is_dir() {
                held(&path)
            } else {
                let bytes = fs::read(&path).unwrap();
                BTreeSet::from([(path, bytes)])
            }
        })
        .collect()
}

#[test]
fn a_scenario_reaches_what_lies_in_its_folder_and_nothing_else() {
    let around = folder("reach");
    let inside = around.join("plans");
    fs::create_dir_all(inside.join("lists")).unwrap();
    fs::write(around.join("secret.csv"), ROWS.replace("Town", "Secret")).unwrap();
    fs::write(inside.join("lists/rows.csv"), ROWS).unwrap();
    let check = |path: &str, from: &Path, name: &str| {
        let keys = [
            format!("in_use: [{{from: {path:?}}}]\n"),
            format!("radios: {{mine: {{file: {path:?}}}}}\n"),
            format!("neighbouring_rules: [{path:?}]\n"),
        ];
        keys.map(|key| {
            fs::write(inside.join("plan.yaml"), format!("{PLAN}{key}")).unwrap();
            told(&run(from, &["check", name], b""))
        })
    };
    // From wherever the program is started, a path is counted from the folder of the scenario.
    for (from, name) in [
        (inside.as_path(), "plan.yaml"),
        (around.as_path(), "plans/plan.yaml"),
    ] {
        for path in ["lists/rows.csv", "./lists/../lists/rows.csv"] {
            let [(code, said), ..] = check(path, from, name);
            let is_below = !path.contains("..");
            assert_eq!(code < 2, is_below, "{path}: {said}");
        }
        let outside = around.join("secret.csv");
        for path in [
            "../secret.csv",
            "lists/../../secret.csv",
            outside.to_str().unwrap(),
            "/dev/zero",
        ] {
            for (code, said) in check(path, from, name) {
                assert_eq!(code, 2, "{path}: {said}");
                assert!(
                    said.contains("lies outside the folder of the scenario"),
                    "{said}"
                );
                assert!(!said.contains("Secret"), "{said}");
            }
        }
    }
}

#[cfg(unix)]
#[test]
fn a_link_out_of_the_folder_a_folder_and_a_pipe_are_not_read() {
    let around = folder("odd");
    let inside = around.join("plans");
    fs::create_dir_all(inside.join("lists.d")).unwrap();
    fs::write(around.join("secret.csv"), ROWS.replace("Town", "Secret")).unwrap();
    fs::write(inside.join("rows.csv"), ROWS).unwrap();
    std::os::unix::fs::symlink("../secret.csv", inside.join("link.csv")).unwrap();
    std::os::unix::fs::symlink("rows.csv", inside.join("own.csv")).unwrap();
    // Nobody ever writes to it: whoever opened it would wait without end.
    let made = Command::new("mkfifo").arg(inside.join("pipe.csv")).status();
    assert!(made.unwrap().success());
    for (path, wanted) in [
        ("link.csv", Some("a link leads out of the folder")),
        ("lists.d", Some("it is a folder, a pipe or a device")),
        ("pipe.csv", Some("it is a folder, a pipe or a device")),
        ("own.csv", None),
    ] {
        let plan = format!("{PLAN}in_use: [{{from: {path}}}]\n");
        fs::write(inside.join("plan.yaml"), plan).unwrap();
        let (code, said) = told(&run(&inside, &["check", "plan.yaml"], b""));
        match wanted {
            Some(words) => assert!(
                code == 2 && said.contains(words) && !said.contains("Secret"),
                "{said}"
            ),
            None => assert!(code < 2, "{said}"),
        }
    }
}

#[cfg(unix)]
#[test]
fn a_pipe_that_the_user_names_is_read_up_to_the_bound() {
    let folder = folder("pipes");
    fs::write(folder.join("plan.yaml"), PLAN).unwrap();
    fs::write(folder.join("rows.csv"), ROWS).unwrap();
    let (code, whole) = told(&run(&folder, &["check", "-"], PLAN.as_bytes()));
    assert!(code < 2, "{whole}");
    let (code, said) = told(&run(&folder, &["check", "/dev/stdin"], PLAN.as_bytes()));
    assert_eq!(
        (code < 2, said.contains("Harbour run")),
        (true, true),
        "{said}"
    );
    // What a piped scenario names is looked for where the program was started.
    let plan = format!("{PLAN}in_use: [{{from: rows.csv}}]\n");
    let (code, said) = told(&run(&folder, &["check", "/dev/stdin"], plan.as_bytes()));
    assert!(code < 2, "{said}");
    let endless = "# more\n".repeat(2_000_000);
    for arguments in [
        &["check", "-"][..],
        &["check", "/dev/zero"],
        &["rules", "verify", "/dev/zero"],
        &["import", "-"],
    ] {
        let (code, said) = told(&run(&folder, arguments, endless.as_bytes()));
        assert!(
            code == 2 && said.contains("larger than 10 MiB"),
            "{arguments:?}: {said}"
        );
    }
    fs::write(folder.join("large.csv"), endless).unwrap();
    let plan = format!("{PLAN}in_use: [{{from: large.csv}}]\n");
    let (code, said) = told(&run(&folder, &["check", "-"], plan.as_bytes()));
    assert!(
        code == 2 && said.contains("standard input:7:17") && said.contains("larger than 10 MiB"),
        "{said}"
    );
}

#[test]
fn files_that_are_named_again_and_again_come_to_an_end() {
    let folder = folder("again");
    fs::write(folder.join("rows.csv"), ROWS).unwrap();
    let plan = format!("{PLAN}in_use: [{}]\n", "{from: rows.csv}, ".repeat(101));
    let (code, said) = told(&run(&folder, &["check", "-"], plan.as_bytes()));
    assert!(
        code == 2 && said.contains("more than the 100 files"),
        "{said}"
    );
    fs::write(
        folder.join("large.csv"),
        format!("{ROWS}{}", "\n".repeat(6 << 20)),
    )
    .unwrap();
    let plan = format!("{PLAN}in_use: [{}]\n", "{from: large.csv}, ".repeat(2));
    let (code, said) = told(&run(&folder, &["check", "-"], plan.as_bytes()));
    assert!(code == 2 && said.contains("go beyond 10 MiB"), "{said}");
}

#[test]
fn no_command_writes_over_a_file_unasked_or_anywhere_else() {
    let folder = folder("written");
    let search = "search: [{name: s, station: Base, talk: 145.2-145.6, step: 200 kHz}]\n";
    let assign =
        "assign: {channels: [{name: c, stations: [Car], talk: 145.3-145.5, step: 100 kHz}]}\n";
    let car = "  - {name: Car, site: hill, radio: handheld-2m, power: low}\n";
    fs::write(
        folder.join("plan.yaml"),
        format!("{PLAN}{car}{search}{assign}"),
    )
    .unwrap();
    fs::write(folder.join("rows.csv"), ROWS).unwrap();
    fs::write(folder.join("taken"), "mine").unwrap();
    let before = held(&folder);
    for arguments in [
        &["new", "relay", "--rules", "uk"][..],
        &["import", "rows.csv"],
        &["check", "plan.yaml"],
        &["review", "plan.yaml"],
        &["report", "plan.yaml"],
        &["rank", "plan.yaml"],
        &["assign", "plan.yaml"],
        &["products", "145.2", "433.4", "--onto", "435.6"],
        &["explain", "harmonic"],
        &["rules", "list"],
        &["radios", "list"],
        &["schema", "scenario"],
        &["completions", "bash"],
        &["man", "check"],
    ] {
        let (code, said) = told(&run(&folder, &[arguments, &["-o", "taken"]].concat(), b""));
        assert!(
            code == 2 && said.contains("is there already"),
            "{arguments:?}: {said}"
        );
        assert_eq!(held(&folder), before, "{arguments:?}");
        let (code, said) = told(&run(&folder, &[arguments, &["-o", "fresh"]].concat(), b""));
        assert!(code < 2, "{arguments:?}: {said}");
        fs::remove_file(folder.join("fresh")).unwrap();
        assert_eq!(held(&folder), before, "{arguments:?}");
    }
    // All manual pages go into a folder, and a page that is there stays.
    fs::create_dir(folder.join("pages")).unwrap();
    fs::write(folder.join("pages/quietpair-check.1"), "mine").unwrap();
    let (code, said) = told(&run(&folder, &["man", "-o", "pages"], b""));
    assert!(code == 2 && said.contains("is there already"), "{said}");
    assert_eq!(
        fs::read(folder.join("pages/quietpair-check.1")).unwrap(),
        b"mine"
    );
}
