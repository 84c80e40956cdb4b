//! What the door asks of the disk. Each call is one step, and in tests of this crate any of them can be made to fail.

use std::fs::{self, File};
use std::io;
use std::path::Path;

/// Writes a whole file.
pub(super) fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    step(|| fs::write(path, bytes))
}

/// Flushes a file or a folder to the disk.
pub(super) fn sync(path: &Path) -> io::Result<()> {
    step(|| {
        // Only Unix lets a folder be opened and flushed.
        if cfg!(unix) || path.is_file() { File::open(path)?.sync_all() } else { Ok(()) }
    })
}

/// Moves a file or a folder.
pub(super) fn rename(from: &Path, to: &Path) -> io::Result<()> {
    step(|| fs::rename(from, to))
}

/// Swaps two folders in one step, so that there is no moment without a target.
#[cfg(target_os = "linux")]
pub(super) fn exchange(stage: &Path, target: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    step(|| Ok(renameat_with(CWD, stage, CWD, target, RenameFlags::EXCHANGE)?))
}

#[cfg(not(target_os = "linux"))]
pub(super) fn exchange(_: &Path, _: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

/// One step, unless a test wants it to fail.
#[cfg(not(test))]
fn step<T>(work: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
    work()
}

#[cfg(test)]
pub(super) use faults::{faults, step};

#[cfg(test)]
mod faults {
    use std::cell::Cell;
    use std::io;

    thread_local! {
        /// Steps taken on this thread, and those that fail.
        static STEPS: Cell<(usize, [usize; 2])> = const { Cell::new((0, [usize::MAX; 2])) };
    }

    /// One step, unless it is to fail.
    pub(in crate::write) fn step<T>(work: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
        let (at, failing) = STEPS.get();
        STEPS.set((at + 1, failing));
        if failing.contains(&at) { Err(io::ErrorKind::StorageFull.into()) } else { work() }
    }

    /// Works while the steps of these numbers, from 0, fail; what came of it, and how many were taken.
    pub(in crate::write) fn faults<T>(failing: [usize; 2], work: impl FnOnce() -> T) -> (T, usize) {
        STEPS.set((0, failing));
        let outcome = work();
        let (taken, _) = STEPS.replace((0, [usize::MAX; 2]));
        (outcome, taken)
    }
}
