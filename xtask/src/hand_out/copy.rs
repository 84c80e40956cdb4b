//! Copies the sources: every file of the repository that is kept or could be, and nothing that was built.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::process;
use crate::stop::Stop;

/// Copies into a folder that holds nothing else afterwards; how many files there were.
pub(super) fn sources(root: &Path, to: &Path) -> Result<usize, Stop> {
    if to.exists() {
        fs::remove_dir_all(to).map_err(|error| Stop::unusable(to.display(), &error))?;
    }
    let mut list = Command::new("git");
    list.args(["ls-files", "-z", "--cached", "--others", "--exclude-standard"]).current_dir(root);
    let listed = process::capture(&mut list)?;
    let names = listed.split('\0').filter(|name| !name.is_empty() && root.join(name).is_file());
    let mut copied = 0;
    for name in names {
        let target = to.join(name);
        let made = target.parent().map_or(Ok(()), fs::create_dir_all);
        made.and_then(|()| fs::copy(root.join(name), &target))
            .map_err(|error| Stop::unusable(target.display(), &error))?;
        copied += 1;
    }
    Ok(copied)
}
