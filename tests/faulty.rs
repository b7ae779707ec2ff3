//! Every file in `scenarios/faulty` is refused, and what is said of it is recorded.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use quietpair::scenario::{Files, read};

struct Folder(PathBuf);

impl Files for Folder {
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        // The words of the operating system differ from one to the next.
        fs::read(self.0.join(path)).map_err(|error| io::Error::new(error.kind(), "no such file"))
    }
}

#[test]
fn every_faulty_scenario_is_refused_with_the_message_on_record() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/faulty");
    let mut paths: Vec<PathBuf> = fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| {
            path.extension()
                .is_some_and(|extension| extension == "yaml")
        })
        .collect();
    paths.sort();
    assert!(paths.len() >= 20, "the folder holds the cases");
    let files = Folder(folder);
    for path in paths {
        let name = path.file_name().unwrap().to_str().unwrap();
        let error = read(name, &fs::read(&path).unwrap(), &files)
            .err()
            .unwrap_or_else(|| panic!("{name} is refused"));
        insta::assert_snapshot!(name, error.to_string());
    }
}
