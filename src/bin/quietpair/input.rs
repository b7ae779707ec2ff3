//! Files and standard input, as the library wants them: bytes under a name.

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use quietpair::document::Source;
use quietpair::scenario::{self, Files, Plan};

use crate::failure::Failure;
use crate::output;

/// What stands for standard input.
const STDIN: &str = "-";

/// A larger file is no scenario; a device that never ends must not fill the memory.
const LARGEST: u64 = 64 * 1024 * 1024;

/// Reads a scenario and everything it names.
pub(crate) fn plan(path: &str) -> Result<Plan, Failure> {
    let bytes = bytes(path)?;
    let beside = Beside(folder(path));
    scenario::read(name(path), &bytes, &beside).map_err(|error| {
        Failure::File(if output::is_coloured_for_errors() {
            error.coloured()
        } else {
            error.to_string()
        })
    })
}

/// The folder of a scenario, where the files it names are looked for.
struct Beside(PathBuf);

impl Files for Beside {
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        File::open(self.0.join(path)).and_then(|file| steady(&file, |file| limited(file)))
    }
}

/// The bytes of a file, or of standard input.
pub(crate) fn bytes(path: &str) -> Result<Vec<u8>, Failure> {
    let read = if path == STDIN {
        limited(io::stdin().lock())
    } else {
        File::open(path).and_then(|file| steady(&file, |file| limited(file)))
    };
    read.map_err(|error| {
        let message = format!("{} could not be read: {error}", name(path));
        Failure::input(message).hint(cure(&error))
    })
}

/// The text of a file, or of standard input.
pub(crate) fn text(path: &str) -> Result<String, Failure> {
    let source = Source::new(name(path), &bytes(path)?).map_err(Failure::input)?;
    Ok(source.text().to_owned())
}

/// What messages call the input.
pub(crate) fn name(path: &str) -> &str {
    if path == STDIN {
        "standard input"
    } else {
        path
    }
}

/// The folder that the files a scenario names are looked for in.
fn folder(path: &str) -> PathBuf {
    Path::new(path)
        .parent()
        .map(Path::to_path_buf)
        .unwrap_or_default()
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
fn limited(reader: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    reader.take(LARGEST + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LARGEST {
        return Err(io::Error::other("it is larger than 64 MiB"));
    }
    Ok(bytes)
}

/// What would mend a file that could not be read.
fn cure(error: &io::Error) -> &'static str {
    match error.kind() {
        io::ErrorKind::NotFound => "is the name right, and are you in the right folder?",
        io::ErrorKind::PermissionDenied => "you may not read it; look at its permissions",
        io::ErrorKind::IsADirectory => "that is a folder; name the scenario file in it",
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
        assert!(limited(io::repeat(b'a')).is_err());
        assert_eq!(limited(&b"event:"[..]).unwrap(), b"event:");
    }

    #[test]
    fn a_file_that_is_changed_while_it_is_read_is_refused() {
        let path = std::env::temp_dir().join(format!("quietpair-steady-{}", std::process::id()));
        fs::write(&path, "event:").unwrap();
        let file = File::open(&path).unwrap();
        let meanwhile = steady(&file, |file| {
            let bytes = limited(file);
            fs::write(&path, "event: {name: Another}").unwrap();
            bytes
        });
        assert_eq!(meanwhile.unwrap_err().kind(), io::ErrorKind::ResourceBusy);
        let file = File::open(&path).unwrap();
        let undisturbed = steady(&file, |file| limited(file)).unwrap();
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
