//! What fuzzing has met, replayed: every file of `tests/fuzz/corpus` goes through its target again.
#![allow(clippy::unwrap_used, reason = "a test that stops has failed")]

#[path = "fuzz/src/lib.rs"]
mod targets;

use std::collections::BTreeSet;
use std::fs;
use std::panic::catch_unwind;
use std::path::Path;

fn corpus() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/fuzz/corpus")
}

fn names(folder: &Path) -> BTreeSet<String> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name());
    entries.map(|name| name.to_string_lossy().into_owned()).collect()
}

#[test]
fn every_file_of_the_corpus_is_taken_or_refused_in_words() {
    let mut broken = Vec::new();
    for (name, target) in targets::TARGETS {
        let folder = corpus().join(name);
        let files = names(&folder);
        assert!(!files.is_empty(), "{name}: no corpus");
        for file in files {
            let bytes = fs::read(folder.join(&file)).unwrap();
            if catch_unwind(|| target(&bytes)).is_err() {
                broken.push(format!("{name}/{file}"));
            }
        }
    }
    assert!(broken.is_empty(), "{broken:?}");
}

#[test]
fn every_corpus_and_every_program_has_its_target() {
    let targets: BTreeSet<String> =
        targets::TARGETS.iter().map(|(name, _)| (*name).to_owned()).collect();
    assert_eq!(names(&corpus()), targets);
    let programs = names(&corpus().join("../targets"));
    let programs: BTreeSet<String> =
        programs.iter().filter_map(|name| Some(name.strip_suffix(".rs")?.to_owned())).collect();
    assert_eq!(programs, targets);
}

/// A target that is met by what it does not hold fails.
#[test]
fn a_target_that_does_not_hold_its_word_is_found() {
    assert!(catch_unwind(|| targets::partition(&[0, 0, 0])).is_ok());
    assert!(catch_unwind(targets::break_word).is_err());
}
