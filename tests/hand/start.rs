//! What `new` writes can be read, and says what comes of it.

use quietpair::law::{Kind, built_in};

use super::{file, folder, run};

const MOMENTS: [&str; 4] = ["relay", "watch", "net", "morning"];

/// Every moment under every law: the word, the pack, the text.
pub(crate) fn all() -> Vec<(String, String)> {
    let laws = built_in().iter().filter(|pack| pack.kind == Kind::Law);
    let mut texts = Vec::new();
    for pack in laws {
        for moment in MOMENTS {
            let (code, text, stderr) = run(&["new", moment, "--rules", &pack.id]);
            assert_eq!((code, stderr.as_str()), (0, ""), "{moment} {}", pack.id);
            texts.push((format!("{moment}-{}", pack.id), text));
        }
    }
    assert!(texts.len() >= 16);
    texts
}

#[test]
fn every_moment_under_every_law_ends_as_its_own_text_says() {
    let folder = folder("start");
    for (name, text) in all() {
        assert!(!text.contains('@'), "{name} has something left to fill in");
        assert!(text.starts_with("# yaml-language-server: $schema=scenario.schema.json\n"));
        let told = text.split("ends with exit code ").nth(1).unwrap();
        let expected: i32 = told[..1].parse().unwrap();
        let path = file(&folder, &format!("{name}.yaml"), &text);
        let (code, page, stderr) = run(&["check", &path]);
        assert_eq!((code, stderr.as_str()), (expected, ""), "{name}: {page}");
        let (code, _, stderr) = run(&["review", &path]);
        assert_eq!((code, stderr.as_str()), (0, ""), "{name}");
        if text.contains("\nsearch:") {
            let (code, rows, stderr) = run(&["rank", &path, "--top", "1", "--format", "csv"]);
            assert_eq!((code, stderr.as_str()), (0, ""), "{name}: {rows}");
            assert_eq!(rows.lines().count(), 2, "{name}: {rows}");
        }
    }
}

#[test]
fn a_licence_is_taken_as_the_pack_names_it() {
    let (code, text, _) = run(&["new", "relay", "--rules", "uk", "--licence", "foundation"]);
    assert_eq!(code, 0);
    assert!(text.contains("\nlicence: foundation "), "{text}");
    let (code, stdout, stderr) = run(&["new", "relay", "--rules", "uk", "--licence", "fondation"]);
    assert_eq!((code, stdout.as_str()), (2, ""));
    assert!(stderr.contains("did you mean `foundation`?"), "{stderr}");
    let (code, _, stderr) = run(&["new", "relay", "--rules", "iaru-r1"]);
    assert_eq!(code, 2);
    assert!(stderr.contains("rule pack of law"), "{stderr}");
}
