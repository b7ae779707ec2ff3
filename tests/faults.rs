//! What goes wrong around the program: a full disk, a closed pipe, a folder that is only for reading, a killed run, a file
//! that changes, nobody there. Nothing is left half written, and the exit codes are those of docs/output.md.

#![cfg(target_os = "linux")]

use std::ffi::OsStr;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

const HERE: &str = env!("CARGO_MANIFEST_DIR");
const CLEAR: &str = "scenarios/pre-event-check.yaml";
const CONFLICT: &str = "scenarios/harbour-half-marathon.yaml";

/// A folder of its own for a test, empty at first and gone afterwards.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("faults-{name}"));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn names(&self) -> Vec<String> {
        let entries = fs::read_dir(&self.0).unwrap();
        let mut names: Vec<String> = entries
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort_unstable();
        names
    }

    fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn quietpair(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quietpair"));
    command.args(arguments).current_dir(HERE);
    command
}

/// A line of a shell, with the program and more as `$1` and so on.
fn shell(line: &str, arguments: &[&str]) -> Command {
    let mut command = Command::new("sh");
    command
        .args(["-c", line, "sh", env!("CARGO_BIN_EXE_quietpair")])
        .args(arguments)
        .current_dir(HERE);
    command
}

/// Exit code (none for a run that was killed), standard output, standard error.
fn told(output: &Output) -> (Option<i32>, String, String) {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (
        output.status.code(),
        text(&output.stdout),
        text(&output.stderr),
    )
}

fn ran(mut command: Command) -> (Option<i32>, String, String) {
    told(&command.output().unwrap())
}

/// A call whose result takes a while to write, and little to work out.
fn long_result() -> Vec<String> {
    let signals = (0..14).map(|number| format!("145.{}", 100 + 7 * number));
    let rest = "--order 5 --within 2GHz --onto 145.5 --format csv".split(' ');
    std::iter::once("products".to_owned())
        .chain(signals)
        .chain(rest.map(str::to_owned))
        .collect()
}

fn text_of(path: &Path) -> &str {
    path.to_str().unwrap()
}

#[test]
fn a_full_disk_is_told_and_leaves_nothing_behind() {
    for arguments in [
        &["check", CLEAR][..],
        &["report", CLEAR],
        &["products", "145.5", "433.5", "--onto", "435.5"],
        &["explain", "harmonic"],
        &["schema", "check"],
        &["completions", "bash"],
        &["radios", "show", "handheld"],
    ] {
        let full = fs::OpenOptions::new().write(true).open("/dev/full");
        let mut command = quietpair(arguments);
        command.stdout(full.unwrap());
        let (code, _, err) = ran(command);
        assert_eq!(code, Some(3), "{arguments:?}: {err}");
        assert!(err.contains("could not be written"), "{arguments:?}: {err}");
    }
    // With standard error as full the exit code still tells.
    let (code, _, _) = ran(shell("exec \"$1\" check \"$2\" > /dev/full 2>&1", &[CLEAR]));
    assert_eq!(code, Some(3));
    // A file may grow to eight blocks of half a kilobyte only; the page of a report needs many more.
    let folder = Folder::new("full");
    let page = folder.file("page.html");
    let limited = "trap '' XFSZ; ulimit -f 8; exec \"$1\" report \"$2\" -o \"$3\" --force";
    for before in [None, Some("what was there")] {
        if let Some(before) = before {
            fs::write(&page, before).unwrap();
        }
        let (code, out, err) = ran(shell(limited, &[CLEAR, text_of(&page)]));
        assert_eq!((code, out.as_str()), (Some(2), ""), "{err}");
        assert!(err.contains("could not be written"), "{err}");
        let expected: &[&str] = if before.is_some() {
            &["page.html"]
        } else {
            &[]
        };
        assert_eq!(folder.names(), expected);
        assert_eq!(fs::read_to_string(&page).ok().as_deref(), before);
    }
    // Killed by the limit itself, it leaves at most its draft; what was there stays.
    let killed = limited.replace("trap '' XFSZ; ", "");
    let (code, ..) = ran(shell(&killed, &[CLEAR, text_of(&page)]));
    assert_eq!(code, None);
    assert_eq!(fs::read_to_string(&page).unwrap(), "what was there");
}

/// Whether a disk of one's own can be mounted here, where nobody else sees it.
fn can_mount() -> bool {
    let tried = Command::new("unshare")
        .args(["-rm", "true"])
        .stderr(Stdio::null())
        .status();
    let can = tried.is_ok_and(|status| status.success());
    if !can {
        eprintln!("left out: no mount of its own can be made here");
    }
    can
}

/// Runs a line of a shell where it may mount what nobody else sees.
fn mounted(line: &str, folder: &Folder) -> (Option<i32>, String, String) {
    let mut command = Command::new("unshare");
    command
        .args([
            "-rm",
            "sh",
            "-c",
            line,
            "sh",
            env!("CARGO_BIN_EXE_quietpair"),
        ])
        .args([text_of(&folder.0), CLEAR])
        .current_dir(HERE);
    ran(command)
}

#[test]
fn on_a_disk_that_is_full_and_in_a_folder_for_reading_a_file_is_there_whole_or_not_at_all() {
    if !can_mount() {
        return;
    }
    let folder = Folder::new("mounts");
    let tried =
        "\"$1\" report \"$3\" -o \"$2/page.html\" --force; code=$?; ls -A \"$2\"; exit $code";
    // A disk of two pages of memory.
    let small =
        format!("mount -t tmpfs -o size=8k none \"$2\"; echo old > \"$2/page.html\"; {tried}");
    let (code, out, err) = mounted(&small, &folder);
    assert_eq!((code, out.as_str()), (Some(2), "page.html\n"), "{err}");
    assert!(err.contains("hint: the disk is full"), "{err}");

    fs::write(folder.file("page.html"), "old").unwrap();
    let locked = format!("mount --bind \"$2\" \"$2\" && mount -o remount,bind,ro \"$2\"; {tried}");
    let (code, out, err) = mounted(&locked, &folder);
    assert_eq!((code, out.as_str()), (Some(2), "page.html\n"), "{err}");
    assert!(
        err.contains("name a file in a folder that you may write to"),
        "{err}"
    );
    assert_eq!(fs::read(folder.file("page.html")).unwrap(), b"old");
    // Reading there is no trouble.
    let (code, ..) = mounted(
        "cp \"$3\" \"$2/plan.yaml\"; mount --bind \"$2\" \"$2\" && mount -o remount,bind,ro \"$2\"; cd \"$2\"; exec \"$1\" check plan.yaml",
        &folder,
    );
    assert_eq!(code, Some(0));
}

#[test]
fn a_device_is_never_replaced_by_a_file() {
    let folder = Folder::new("device");
    let pipe = folder.file("pipe");
    assert!(
        Command::new("mkfifo")
            .arg(&pipe)
            .status()
            .unwrap()
            .success()
    );
    for path in [Path::new("/dev/null"), &pipe] {
        let arguments = ["schema", "check", "-o", text_of(path), "--force"];
        let (code, out, err) = ran(quietpair(&arguments));
        assert_eq!((code, out.as_str()), (Some(2), ""));
        assert!(err.contains("is a device or a pipe and no file"), "{err}");
        assert!(!fs::metadata(path).unwrap().is_file());
    }
}

#[test]
fn a_reader_that_has_seen_enough_changes_no_exit_code() {
    for (arguments, expected) in [
        (&["check", CONFLICT, "--all", "--trace"][..], 1),
        (
            &["check", CONFLICT, "--format", "json", "--fail-on", "never"],
            0,
        ),
        (&["check", CLEAR, "--format", "lines"], 0),
        (&["report", CLEAR], 0),
        (&["review", CONFLICT, "--format", "csv"], 0),
        (&["explain", "harmonic"], 0),
        (&["--help"], 0),
    ] {
        // Nobody reads at all, and somebody reads one byte.
        for line in ["true", "dd bs=1 count=1 2>&3"] {
            let line = format!("{{ \"$@\"; echo $? >&3; }} 3>&2 | {line} > /dev/null");
            let (_, _, err) = ran(shell(&line, arguments));
            assert_eq!(
                err.lines().next(),
                Some(expected.to_string().as_str()),
                "{arguments:?}: {err}"
            );
        }
    }
}

#[test]
fn a_run_that_is_killed_leaves_the_old_file_or_the_new_one() {
    let folder = Folder::new("killed");
    let result = long_result();
    let arguments: Vec<&str> = (result.iter().map(String::as_str)).chain(["-o"]).collect();
    let whole = folder.file("whole.csv");
    let (code, _, err) = ran(quietpair(&[&arguments[..], &[text_of(&whole)]].concat()));
    assert_eq!(code, Some(0), "{err}");
    let whole = fs::read(whole).unwrap();
    assert!(whole.len() > 5_000_000, "writing it takes no time");
    let file = folder.file("result.csv");
    let (mut drafts, mut ended) = (0, 0);
    for round in 0..12 {
        fs::write(&file, "what was there").unwrap();
        let mut child = quietpair(&[&arguments[..], &[text_of(&file), "--force"]].concat())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mark = format!(".{}-", child.id());
        let is_draft = |name: &String| name.contains(&mark);
        let begun = Instant::now();
        while !folder.names().iter().any(is_draft)
            && fs::metadata(&file).unwrap().len() < 100
            && begun.elapsed() < Duration::from_secs(20)
        {
            thread::sleep(Duration::from_micros(100));
        }
        thread::sleep(Duration::from_micros(round * 300));
        child.kill().unwrap();
        let code = child.wait().unwrap().code();
        let now = fs::read(&file).unwrap();
        assert!(
            now == b"what was there" || now == whole,
            "half of it is there: {} bytes",
            now.len()
        );
        ended += usize::from(now == whole);
        assert!(code.is_none() || now == whole);
        for name in folder.names().iter().filter(|name| is_draft(name)) {
            drafts += 1;
            fs::remove_file(folder.file(name)).unwrap();
        }
    }
    assert!(
        drafts > 0,
        "none was killed while it wrote; {ended} had ended"
    );
    // The draft of a run that was killed is in nobody's way.
    fs::write(folder.file(".result.csv.1-0.part"), "half").unwrap();
    let (code, ..) = ran(quietpair(
        &[&arguments[..], &[text_of(&file), "--force"]].concat(),
    ));
    assert_eq!((code, fs::read(&file).unwrap() == whole), (Some(0), true));
}

#[test]
fn a_scenario_that_is_put_in_place_again_and_again_is_read_as_one_or_the_other() {
    let folder = Folder::new("changing");
    let (plan, next) = (folder.file("plan.yaml"), folder.file("next.yaml"));
    let bad =
        fs::read_to_string(Path::new(HERE).join("scenarios/faulty/unknown-key.yaml")).unwrap();
    let good = fs::read_to_string(Path::new(HERE).join(CLEAR)).unwrap();
    fs::write(&plan, &good).unwrap();
    let is_over = AtomicBool::new(false);
    let mut seen = [0; 3];
    thread::scope(|scope| {
        scope.spawn(|| {
            for text in [&bad, &good].into_iter().cycle() {
                if is_over.load(Ordering::Relaxed) {
                    break;
                }
                fs::write(&next, text).unwrap();
                fs::rename(&next, &plan).unwrap();
                thread::sleep(Duration::from_millis(3));
            }
        });
        for _ in 0..14 {
            let (code, _, err) = ran(quietpair(&["check", text_of(&plan), "--quiet"]));
            assert!(!err.contains("panic"), "{err}");
            seen[usize::try_from(code.unwrap()).unwrap()] += 1;
        }
        is_over.store(true, Ordering::Relaxed);
    });
    assert_eq!(seen[1], 0, "neither of them conflicts: {seen:?}");
    assert!(seen[0] > 0 && seen[2] > 0, "{seen:?}");
}

#[test]
fn nobody_at_home_and_no_terminal_change_nothing() {
    const CALL: [&str; 4] = ["check", CONFLICT, "--proposal", "A"];
    let (code, expected, _) = ran(quietpair(&CALL));
    assert_eq!(code, Some(1));
    let same = |command: Command| {
        let (code, out, err) = ran(command);
        assert_eq!((code, err.as_str()), (Some(1), ""));
        assert!(out == expected, "another page:\n{out}");
    };
    let mut bare = quietpair(&CALL);
    bare.env_clear();
    same(bare);
    let mut homeless = quietpair(&CALL);
    homeless
        .env_remove("HOME")
        .env("TMPDIR", "/nowhere")
        .env("TERM", "dumb");
    same(homeless);
    same(shell("exec setsid \"$@\" < /dev/null", &CALL));
    same(shell("exec \"$@\" <&-", &CALL));
    // About a megabyte of environment, and names that no program knows.
    let mut huge = quietpair(&CALL);
    for number in 0..20 {
        huge.env(format!("QUIETPAIR_{number}"), "x".repeat(50_000));
    }
    same(huge);
    let mut odd = quietpair(&CALL);
    let bytes: &OsStr = std::os::unix::ffi::OsStrExt::from_bytes(b"\xff\xfe");
    odd.env("COLUMNS", bytes)
        .env("LANG", bytes)
        .env("TZ", bytes);
    same(odd);
}

#[test]
fn standard_streams_that_are_closed_are_no_crash() {
    // Nothing to read is no scenario.
    let (code, out, err) = ran(shell("exec \"$1\" check - <&-", &[]));
    assert_eq!((code, out.as_str()), (Some(2), ""));
    assert!(err.contains("standard input"), "{err}");
    // Nowhere to write: the exit code tells what was found.
    for (plan, expected) in [(CLEAR, 0), (CONFLICT, 1)] {
        let (code, ..) = ran(shell("exec \"$1\" check \"$2\" >&- 2>&-", &[plan]));
        assert_eq!(code, Some(expected));
    }
    let (code, ..) = ran(shell("exec \"$1\" check no-such-file 2>&-", &[]));
    assert_eq!(code, Some(2));
}

#[test]
fn what_cannot_be_read_is_told_and_is_no_answer() {
    for path in ["no/such/file.yaml", "scenarios", "/proc/self/mem"] {
        let (code, out, err) = ran(quietpair(&["check", path]));
        assert_eq!((code, out.as_str()), (Some(2), ""), "{path}: {err}");
        assert!(err.contains("could not be read"), "{path}: {err}");
    }
    // A pipe that its writer leaves in the middle of a line.
    let mut child = quietpair(&["check", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child
        .stdin
        .take()
        .unwrap()
        .write_all(b"event: {name: Half\n")
        .unwrap();
    let (code, out, _) = told(&child.wait_with_output().unwrap());
    assert_eq!((code, out.as_str()), (Some(2), ""));
}
