//! How the program fits the hand: files to begin with, lists brought in, schemas for editors, results in files, what shells
//! and manuals read, and every command of the guides.

mod compare;
mod contract;
mod documents;
mod files;
mod import;
mod reference;
mod schema;
mod shells;
mod start;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The program, away from whatever the surroundings say of colour.
pub(crate) fn quietpair(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_quietpair"));
    command.args(arguments).current_dir(root());
    for variable in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "TERM"] {
        command.env_remove(variable);
    }
    command
}

/// Exit code, standard output, standard error.
pub(crate) fn run(arguments: &[&str]) -> (i32, String, String) {
    told(&quietpair(arguments).output().unwrap())
}

pub(crate) fn told(output: &Output) -> (i32, String, String) {
    (
        output.status.code().unwrap(),
        String::from_utf8(output.stdout.clone()).unwrap(),
        String::from_utf8(output.stderr.clone()).unwrap(),
    )
}

/// The folder of the project.
pub(crate) fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// An empty folder of this test run, under a name of its own.
pub(crate) fn folder(name: &str) -> PathBuf {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("hand-{name}"));
    let _ = fs::remove_dir_all(&path);
    fs::create_dir_all(&path).unwrap();
    path
}

/// A file in such a folder.
pub(crate) fn file(folder: &Path, name: &str, text: &str) -> String {
    let path = folder.join(name);
    fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

/// The files of a folder that end so, in order.
pub(crate) fn files_in(folder: &str, ending: &str) -> Vec<PathBuf> {
    let mut paths: Vec<PathBuf> = fs::read_dir(root().join(folder))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|known| known == ending))
        .collect();
    paths.sort();
    assert!(!paths.is_empty(), "{folder} has none");
    paths
}

/// Whether a program is installed; where everything must be there, one that is not is a failure.
pub(crate) fn is_installed(program: &str) -> bool {
    let found = Command::new("sh")
        .args(["-c", &format!("command -v {program}")])
        .output()
        .unwrap()
        .status
        .success();
    assert!(
        found || std::env::var_os("QUIETPAIR_ALL_TOOLS").is_none(),
        "{program} is not installed"
    );
    found
}
