//! Files and standard input, as the library wants them: bytes under a name.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use quietpair::document::{LARGEST_FILE, Source};
use quietpair::scenario::{self, Files, Plan};

use crate::failure::Failure;

/// What stands for standard input.
const STDIN: &str = "-";

/// An earlier answer of the program may be larger than what is written by hand.
const LARGEST_ANSWER: usize = 64 * 1024 * 1024;

/// Reads a scenario and everything it names.
pub(crate) fn plan(path: &str) -> Result<Plan, Failure> {
    let bytes = bytes(path)?;
    let beside = Beside(folder(path));
    scenario::read(name(path), &bytes, &beside)
        .map_err(|error| Failure::faults(&error, || error.coloured()))
}

/// The folder of a scenario, where the files it names are looked for.
struct Beside(PathBuf);

impl Files for Beside {
    /// A pipe that nobody writes to would be waited for without end, and a device may never end: what a scenario names is a
    /// regular file, and lies in the folder, links followed.
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        let is_here = self.0.as_os_str().is_empty();
        let folder = fs::canonicalize(if is_here { Path::new(".") } else { &self.0 })?;
        let place = fs::canonicalize(self.0.join(path))?;
        if !place.starts_with(folder) {
            return Err(not_so("a link leads out of the folder of the scenario"));
        }
        if !fs::metadata(&place)?.is_file() {
            return Err(not_so("it is a folder, a pipe or a device"));
        }
        File::open(&place).and_then(|file| steady(&file, |file| limited(file, LARGEST_FILE)))
    }
}

fn not_so(message: &str) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidFilename, message)
}

/// The bytes of a file, of a pipe or of standard input.
pub(crate) fn bytes(path: &str) -> Result<Vec<u8>, Failure> {
    up_to(LARGEST_FILE, path)
}

fn up_to(most: usize, path: &str) -> Result<Vec<u8>, Failure> {
    let read = if path == STDIN {
        limited(io::stdin().lock(), most)
    } else {
        File::open(path).and_then(|file| steady(&file, |file| limited(file, most)))
    };
    read.map_err(|error| {
        let message = format!("{} could not be read: {error}", name(path));
        Failure::input(message).hint(cure(&error))
    })
}

/// The text of a file, or of standard input.
pub(crate) fn source(path: &str) -> Result<Source, Failure> {
    Source::new(name(path), &bytes(path)?).map_err(Failure::input)
}

/// The text of an answer that the program gave earlier.
pub(crate) fn answer(path: &str) -> Result<String, Failure> {
    let bytes = up_to(LARGEST_ANSWER, path)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// What messages call the input.
pub(crate) fn name(path: &str) -> &str {
    if path == STDIN {
        "standard input"
    } else {
        path
    }
}

/// The folder that the files a scenario names are looked for in; for a pipe that is where the program was started.
fn folder(path: &str) -> PathBuf {
    let path = Path::new(path);
    let is_beside = !path.exists() || path.is_file();
    let folder = path.parent().filter(|_| is_beside);
    folder.map(Path::to_path_buf).unwrap_or_default()
}

/// What is read of a file, unless somebody writes to it meanwhile: half of the old and half of the new is no scenario.
fn steady(file: &File, read: impl FnOnce(&File) -> io::Result<Vec<u8>>) -> io::Result<Vec<u8>> {
    // A pipe is read as it comes.
    let state = || -> io::Result<_> {
        let told = file.metadata()?;
        Ok(told.is_file().then(|| (told.len(), told.modified().ok())))
    };
    let before = state()?;
    let bytes = read(file)?;
    if state()? == before {
        Ok(bytes)
    } else {
        Err(io::Error::new(
            io::ErrorKind::ResourceBusy,
            "it was changed while it was read",
        ))
    }
}

/// Everything a reader gives, as long as that is a sensible amount.
fn limited(reader: impl Read, most: usize) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    reader.take(most as u64 + 1).read_to_end(&mut bytes)?;
    if bytes.len() > most {
        let message = format!("it is larger than {} MiB", most / (1024 * 1024));
        return Err(io::Error::new(io::ErrorKind::FileTooLarge, message));
    }
    Ok(bytes)
}

/// What would mend a file that could not be read.
fn cure(error: &io::Error) -> &'static str {
    match error.kind() {
        io::ErrorKind::NotFound => "is the name right, and are you in the right folder?",
        io::ErrorKind::PermissionDenied => "you may not read it; look at its permissions",
        io::ErrorKind::IsADirectory => "that is a folder; name the scenario file in it",
        io::ErrorKind::FileTooLarge => {
            "keep what is near the event; no file of a plan is that large"
        }
        io::ErrorKind::ResourceBusy => "wait until it is written, then try again",
        _ => "a scenario is a YAML file, or `-` for standard input",
    }
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    #[test]
    fn a_file_without_an_end_is_refused() {
        assert!(limited(io::repeat(b'a'), LARGEST_FILE).is_err());
        assert_eq!(limited(&b"event:"[..], 6).unwrap(), b"event:");
        assert!(limited(&b"event:"[..], 5).is_err());
    }

    #[test]
    fn a_file_that_is_changed_while_it_is_read_is_refused() {
        let path = std::env::temp_dir().join(format!("quietpair-steady-{}", std::process::id()));
        fs::write(&path, "event:").unwrap();
        let file = File::open(&path).unwrap();
        let meanwhile = steady(&file, |file| {
            let bytes = limited(file, LARGEST_FILE);
            fs::write(&path, "event: {name: Another}").unwrap();
            bytes
        });
        assert_eq!(meanwhile.unwrap_err().kind(), io::ErrorKind::ResourceBusy);
        let file = File::open(&path).unwrap();
        let undisturbed = steady(&file, |file| limited(file, LARGEST_FILE)).unwrap();
        fs::remove_file(&path).unwrap();
        assert_eq!(undisturbed, b"event: {name: Another}");
    }

    #[test]
    fn files_are_looked_for_beside_the_scenario() {
        assert_eq!(folder("plans/race.yaml"), Path::new("plans"));
        assert_eq!(folder("race.yaml"), Path::new(""));
        assert_eq!(folder("-"), Path::new(""));
    }
}
