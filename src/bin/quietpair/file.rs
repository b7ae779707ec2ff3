//! A file that is there whole or not at all, and never in place of another unless that was asked for.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process;

use crate::failure::Failure;

/// So many names are tried for the file that is written first.
const NAMES: u32 = 64;

/// Writes a file whole: first under another name in the same folder, then put in its place in one step. A file that is
/// there already stays as it is, unless `is_forced`.
pub(crate) fn write(path: &Path, bytes: &[u8], is_forced: bool) -> Result<(), Failure> {
    if fs::metadata(path).is_ok_and(|there| !there.is_file() && !there.is_dir()) {
        // Put in its place, the finished file would take a device or a pipe away from everybody.
        return Err(Failure::input(format_args!(
            "{} is a device or a pipe and no file",
            path.display()
        ))
        .hint("leave --output away and send standard output there"));
    }
    // Asked first, so that nothing is written for a name that is taken; the last step asks again.
    if !is_forced && fs::symlink_metadata(path).is_ok() {
        return Err(taken(path));
    }
    place(path, bytes, is_forced).map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists if !is_forced => taken(path),
        _ => Failure::input(format_args!(
            "{} could not be written: {error}",
            path.display()
        ))
        .hint(cure(&error)),
    })
}

fn place(path: &Path, bytes: &[u8], is_forced: bool) -> io::Result<()> {
    if path.is_dir() {
        return Err(io::ErrorKind::IsADirectory.into());
    }
    let (file, draft) = draft(path)?;
    let written = fill(file, bytes).and_then(|()| {
        if is_forced {
            fs::rename(&draft, path)
        } else {
            settle(&draft, path)
        }
    });
    // After a rename it is gone already; after anything else it must not stay behind.
    let _ = fs::remove_file(&draft);
    written
}

/// Gives a finished draft its name, and fails where that name is taken.
///
/// A second name for the same file is given in one step and never replaces one. Where the file system has no second
/// names, the name is claimed first and then replaced.
fn settle(draft: &Path, path: &Path) -> io::Result<()> {
    match fs::hard_link(draft, path) {
        Err(error) if error.kind() != io::ErrorKind::AlreadyExists => {
            OpenOptions::new().write(true).create_new(true).open(path)?;
            fs::rename(draft, path).inspect_err(|_| {
                let _ = fs::remove_file(path);
            })
        }
        settled => settled,
    }
}

fn fill(mut file: File, bytes: &[u8]) -> io::Result<()> {
    file.write_all(bytes)?;
    file.sync_all()
}

/// A new file beside the one that is wanted; a rename does not go from one disk to another.
fn draft(path: &Path) -> io::Result<(File, PathBuf)> {
    let name = path.file_name().ok_or(io::ErrorKind::InvalidInput)?;
    let mut last = io::ErrorKind::AlreadyExists.into();
    for number in 0..NAMES {
        let mut hidden = OsString::from(".");
        hidden.push(name);
        hidden.push(format!(".{}-{number}.part", process::id()));
        let draft = path.with_file_name(hidden);
        match OpenOptions::new().write(true).create_new(true).open(&draft) {
            Ok(file) => return Ok((file, draft)),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => last = error,
            Err(error) => return Err(error),
        }
    }
    Err(last)
}

fn taken(path: &Path) -> Failure {
    Failure::input(format_args!("{} is there already", path.display()))
        .hint("name another file, or add --force to replace it")
}

/// What would mend a file that could not be written.
fn cure(error: &io::Error) -> &'static str {
    match error.kind() {
        io::ErrorKind::NotFound => "is the name right, and is its folder there?",
        io::ErrorKind::PermissionDenied => "you may not write there; name another folder",
        io::ErrorKind::IsADirectory => "that is a folder; name a file in it",
        io::ErrorKind::StorageFull => "the disk is full",
        _ => "name a file in a folder that you may write to",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A folder of its own for a test, gone afterwards.
    struct Folder(PathBuf);

    impl Folder {
        fn new(name: &str) -> Self {
            let path =
                std::env::temp_dir().join(format!("quietpair-{name}-{}", std::process::id()));
            fs::create_dir_all(&path).unwrap();
            Self(path)
        }

        fn names(&self) -> Vec<OsString> {
            let entries = fs::read_dir(&self.0).unwrap();
            entries.map(|entry| entry.unwrap().file_name()).collect()
        }
    }

    impl Drop for Folder {
        fn drop(&mut self) {
            let _ = fs::remove_dir_all(&self.0);
        }
    }

    #[test]
    fn a_file_that_is_there_stays_unless_it_is_to_be_replaced() {
        let folder = Folder::new("stays");
        let path = folder.0.join("plan.html");
        write(&path, b"first", false).unwrap();
        let refused = write(&path, b"second", false);
        assert!(
            matches!(refused, Err(Failure::Input { message, .. }) if message.ends_with("is there already"))
        );
        assert_eq!(fs::read(&path).unwrap(), b"first");
        write(&path, b"third", true).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"third");
        assert_eq!(
            folder.names(),
            ["plan.html"],
            "nothing else may be left behind"
        );
    }

    #[test]
    fn a_name_that_was_taken_meanwhile_is_not_replaced() {
        let folder = Folder::new("meanwhile");
        let path = folder.0.join("plan.html");
        fs::write(&path, b"first").unwrap();
        let refused = place(&path, b"second", false).unwrap_err();
        assert_eq!(refused.kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(fs::read(&path).unwrap(), b"first");
        assert_eq!(folder.names(), ["plan.html"]);
    }

    #[test]
    fn where_nothing_can_be_written_nothing_is_left_behind() {
        let folder = Folder::new("nowhere");
        assert!(write(&folder.0.join("no/plan.html"), b"", false).is_err());
        fs::create_dir(folder.0.join("plan.html")).unwrap();
        assert!(write(&folder.0.join("plan.html"), b"", true).is_err());
        assert_eq!(folder.names(), ["plan.html"]);
    }
}
