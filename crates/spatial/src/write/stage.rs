//! The hidden folders beside a target: held while a run works in them, cleared away when it is broken off, and after one
//! that was killed.
//!
//! Who works in a folder holds a lock on it, which the system lets go of however the run ends. A folder that nobody
//! holds is of a run that is no more.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// What a hidden folder is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Purpose {
    /// Output that has not taken its place yet.
    Partial,
    /// What a run holds on the disk while it works.
    Scratch,
}

impl Purpose {
    const ALL: [Self; 2] = [Self::Partial, Self::Scratch];

    fn prefix(self, name: &str) -> String {
        format!(".{name}.{}-", ["partial", "scratch"][self as usize])
    }
}

/// Letters and digits that follow a prefix.
const RANDOM_LETTERS: usize = 6;

/// The folders of this process. Who holds them moves, makes and removes one, so that nothing ends half-way.
static STANDING: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());

/// How often a folder is removed into which others still write.
const REMOVALS: usize = 100;

/// A hidden folder that goes with the value.
#[derive(Debug)]
pub struct Stage {
    folder: PathBuf,
    /// Held as long as the folder is; none where the file system has no locks, or where nobody clears away.
    held: Option<File>,
}

impl Stage {
    /// A new folder beside the target of this name, after what earlier runs left behind was cleared away.
    pub(super) fn begin(parent: &Path, name: &str, purpose: Purpose) -> io::Result<Self> {
        // Held until the new folder is: another run that begins meanwhile must not take it for one left behind.
        let order = held(parent);
        if order.is_some() {
            clear_away(parent, name);
        }
        let mut stage = Self::made(&purpose.prefix(name), parent)?;
        stage.held = held(stage.path());
        Ok(stage)
    }

    /// A folder of its own among the system's temporary ones. Nobody clears those away, so that it is not held: output
    /// may be written into it as beside any target.
    ///
    /// # Errors
    /// When it cannot be made.
    pub fn apart() -> io::Result<Self> {
        Self::made("hillweave-", &std::env::temp_dir())
    }

    fn made(prefix: &str, parent: &Path) -> io::Result<Self> {
        let mut standing = undisturbed();
        let mut builder = tempfile::Builder::new();
        let folder = builder.prefix(prefix).rand_bytes(RANDOM_LETTERS).tempdir_in(parent)?.keep();
        standing.insert(folder.clone());
        Ok(Self { folder, held: None })
    }

    /// Where it is.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.folder
    }
}

impl Drop for Stage {
    fn drop(&mut self) {
        let mut standing = undisturbed();
        standing.remove(&self.folder);
        let _ = fs::remove_dir_all(&self.folder); // not there where it has taken its place
    }
}

/// Until this is let go, the process is not broken off.
pub(super) fn undisturbed() -> MutexGuard<'static, BTreeSet<PathBuf>> {
    STANDING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Removes what this process has on the disk on its way to a target; called when the process is about to end. A move
/// that has begun is waited for, and from now on nobody begins or finishes output: who tries waits for the end.
pub fn break_off() {
    let standing = undisturbed();
    for folder in &*standing {
        // Fails where a file is written meanwhile.
        for _ in 0..REMOVALS {
            if fs::remove_dir_all(folder).is_ok() || !folder.exists() {
                break;
            }
        }
    }
    std::mem::forget(standing);
}

/// A lock on a folder, waited for; `None` where there are none.
fn held(folder: &Path) -> Option<File> {
    let folder = File::open(folder).ok()?;
    folder.lock().ok()?;
    Some(folder)
}

/// Removes hidden folders of this target that nobody holds. One that cannot be removed stays, and harms nobody.
fn clear_away(parent: &Path, name: &str) {
    let Ok(entries) = fs::read_dir(parent) else { return };
    for entry in entries.flatten() {
        let found = entry.file_name();
        let is_folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
        let is_ours = found.to_str().is_some_and(|found| is_hidden_folder(found, name));
        if is_folder && is_ours && File::open(entry.path()).is_ok_and(|one| one.try_lock().is_ok())
        {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

fn is_hidden_folder(found: &str, name: &str) -> bool {
    Purpose::ALL.iter().any(|purpose| {
        found.strip_prefix(&purpose.prefix(name)).is_some_and(|rest| {
            rest.len() == RANDOM_LETTERS && rest.bytes().all(|byte| byte.is_ascii_alphanumeric())
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn listed(folder: &Path) -> Vec<String> {
        let name =
            |entry: io::Result<fs::DirEntry>| entry.unwrap().file_name().into_string().unwrap();
        let mut names: Vec<_> = fs::read_dir(folder).unwrap().map(name).collect();
        names.sort();
        names
    }

    #[test]
    fn what_a_killed_run_left_is_cleared_away_and_nothing_else() {
        let room = tempfile::tempdir().unwrap();
        let left = [".plan.partial-aB3dE9", ".plan.scratch-000000"];
        let others = [
            ".other.partial-aB3dE9",
            ".plan.partial-",
            ".plan.partial-notours",
            ".plan.partial-a.b_c-",
            ".plan.replaced",
            "plan.partial-aB3dE9",
        ];
        for name in left.iter().chain(&others) {
            fs::create_dir(room.path().join(name)).unwrap();
            fs::write(room.path().join(name).join("plan.json"), "half").unwrap();
        }
        fs::write(room.path().join(".plan.partial-aFile1"), "a file").unwrap();
        let stage = Stage::begin(room.path(), "plan", Purpose::Partial).unwrap();
        let own = stage.path().file_name().unwrap().to_str().unwrap().to_owned();
        let mut expected: Vec<_> = others.iter().map(|name| (*name).to_owned()).collect();
        expected.extend([own, ".plan.partial-aFile1".to_owned()]);
        expected.sort();
        assert_eq!(listed(room.path()), expected);
    }

    #[test]
    fn what_another_run_works_in_is_left_alone() {
        let room = tempfile::tempdir().unwrap();
        let first = Stage::begin(room.path(), "plan", Purpose::Partial).unwrap();
        let scratch = Stage::begin(room.path(), "plan", Purpose::Scratch).unwrap();
        let second = Stage::begin(room.path(), "plan", Purpose::Partial).unwrap();
        for stage in [&first, &scratch, &second] {
            assert!(stage.path().is_dir());
        }
        drop((first, scratch));
        assert_eq!(listed(room.path()).len(), 1);
        drop(second);
        assert_eq!(listed(room.path()).len(), 0);
    }

    #[test]
    fn output_is_written_into_a_temporary_folder() {
        let apart = Stage::apart().unwrap();
        let stage = Stage::begin(apart.path(), "plan", Purpose::Partial).unwrap();
        assert!(stage.path().starts_with(apart.path()) && stage.path().is_dir());
        let (within, around) = (stage.path().to_path_buf(), apart.path().to_path_buf());
        drop((stage, apart));
        assert!(!within.exists() && !around.exists());
    }

    #[test]
    fn runs_that_begin_at_once_each_keep_their_own() {
        let room = tempfile::tempdir().unwrap();
        std::thread::scope(|scope| {
            for _ in 0..8 {
                scope.spawn(|| {
                    for _ in 0..50 {
                        let stage = Stage::begin(room.path(), "plan", Purpose::Partial).unwrap();
                        fs::write(stage.path().join("plan.json"), "whole").unwrap();
                        std::thread::yield_now();
                        assert_eq!(fs::read(stage.path().join("plan.json")).unwrap(), b"whole");
                    }
                });
            }
        });
        assert_eq!(listed(room.path()).len(), 0);
    }
}
