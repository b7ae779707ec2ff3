//! A long search that somebody interrupts: it ends with the best so far and says so, and at the second time at once.

#![cfg(target_os = "linux")]

use std::fs;
use std::path::PathBuf;
use std::process::{Child, Command, Output, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

#[path = "../benches/workload/mod.rs"]
#[expect(
    dead_code,
    reason = "only one of the workloads takes long enough, and not too long"
)]
mod workload;

/// A search of minutes.
fn long_search(name: &str) -> PathBuf {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let workload = workload::Workload {
        neighbours: 60,
        ..workload::L
    };
    fs::write(&path, workload.scenario()).unwrap();
    path
}

/// The command at work, once it can be interrupted.
fn begun(arguments: &[&str]) -> Child {
    let child = Command::new(env!("CARGO_BIN_EXE_quietpair"))
        .args(arguments)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let status = format!("/proc/{}/status", child.id());
    let is_ready = || {
        let status = fs::read_to_string(&status).unwrap();
        let caught = status.lines().find_map(|line| line.strip_prefix("SigCgt:"));
        let caught = u64::from_str_radix(caught.unwrap().trim(), 16).unwrap();
        // The second signal is the one of the interrupt key.
        caught & 0b10 != 0
    };
    let begun = Instant::now();
    while !is_ready() {
        assert!(
            begun.elapsed() < Duration::from_mins(2),
            "it cannot be interrupted"
        );
        sleep(Duration::from_millis(20));
    }
    child
}

fn interrupt(child: &Child) {
    let status = Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status();
    assert!(status.unwrap().success());
}

fn ended(child: Child) -> (Option<i32>, String, String) {
    let Output {
        status,
        stdout,
        stderr,
    } = child.wait_with_output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (status.code(), text(stdout), text(stderr))
}

#[test]
fn an_interrupted_ranking_shows_the_best_so_far_in_every_format_and_is_no_answer() {
    let file = long_search("interrupted.yaml");
    for (format, label) in [
        ("json", "\"is_finished\": false"),
        ("text", "Not finished"),
        ("markdown", "Not finished"),
        ("csv", ",false"),
        ("lines", "\"is_finished\":false"),
    ] {
        let child = begun(&["rank", file.to_str().unwrap(), "--format", format]);
        sleep(Duration::from_millis(300));
        interrupt(&child);
        let (code, out, err) = ended(child);
        assert_eq!((code, err.as_str()), (Some(130), ""), "{format}: {out}");
        assert!(out.contains(label), "{format}: {out}");
        if format == "json" {
            let told: serde_json::Value = serde_json::from_str(&out).unwrap();
            let search = &told["searches"][0];
            let rows = search["rows"].as_array().unwrap();
            assert!(!rows.is_empty() && rows.len() <= 10);
            assert!(search["looked_at"].as_u64() < search["considered"].as_u64());
        }
    }
}

#[test]
fn a_second_interrupt_ends_it_at_once_with_nothing_on_standard_output() {
    let file = long_search("twice.yaml");
    let child = begun(&["rank", file.to_str().unwrap()]);
    interrupt(&child);
    // Two of a kind that wait to be seen count as one.
    sleep(Duration::from_millis(50));
    interrupt(&child);
    let (code, out, err) = ended(child);
    assert_eq!((code, out.as_str(), err.as_str()), (Some(130), "", ""));
}

#[test]
fn an_interrupted_assignment_says_that_it_was_stopped() {
    let file = long_search("assigned.yaml");
    let text = fs::read_to_string(&file).unwrap();
    let (plan, _) = text.split_once("search:\n").unwrap();
    let open = "assign:\n  channels:\n    \
                - {name: Pair, stations: [Relay], cross_band: [430.0-439.9875, 144.0-145.9875], step: 12.5 kHz}\n";
    fs::write(&file, format!("{plan}{open}")).unwrap();
    let child = begun(&["assign", file.to_str().unwrap(), "--format", "json"]);
    sleep(Duration::from_millis(300));
    interrupt(&child);
    let (code, out, err) = ended(child);
    assert_eq!((code, err.as_str()), (Some(130), ""), "{out}");
    let told: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(told["outcome"], "stopped");
}

#[test]
fn a_ranking_that_runs_out_of_time_is_told_as_such_and_answers_for_what_it_found() {
    let file = long_search("limited.yaml");
    let file = file.to_str().unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_quietpair"))
        .args(["rank", file, "--time-limit", "0s", "--fail-on", "never"])
        .output()
        .unwrap();
    let out = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(
        out.contains("Not finished: the search was stopped."),
        "{out}"
    );
    assert!(!out.contains("Nothing is safe"), "{out}");
}
