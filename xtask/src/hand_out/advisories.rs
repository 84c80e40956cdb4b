//! What is known against the crates that are built, by the public database of advisories.

use std::fs;
use std::path::Path;

use crate::stop::Stop;
use crate::{cargo, process, setup};

/// Stops when an advisory stands against a crate of the build. Where the database can neither be fetched nor was fetched
/// before, nothing is known, which is said.
pub(super) fn none_is_known(cargo_home: &Path) -> Result<(), Stop> {
    setup::deny()?;
    let is_fetched = process::succeeds(&mut cargo::command(["deny", "fetch", "db"]));
    if is_fetched || was_fetched(cargo_home) {
        return process::run(&mut cargo::command(["deny", "--offline", "check", "advisories"]));
    }
    eprintln!(
        "advisories: not looked at: their database cannot be fetched, and none is on this machine"
    );
    Ok(())
}

/// Whether a database that was fetched earlier is here; one that is too old is refused by the check itself.
fn was_fetched(cargo_home: &Path) -> bool {
    let folder = fs::read_dir(cargo_home.join("advisory-dbs"));
    folder.is_ok_and(|entries| entries.flatten().any(|entry| entry.path().join(".git").is_dir()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_database_is_a_folder_that_was_cloned() {
        let home =
            std::env::temp_dir().join(format!("hillweave-advisories-{}", std::process::id()));
        assert!(!was_fetched(&home));
        let databases = home.join("advisory-dbs");
        fs::create_dir_all(&databases).unwrap();
        fs::write(databases.join("db.lock"), "").unwrap();
        assert!(!was_fetched(&home), "the lock of a fetch that failed");
        fs::create_dir_all(databases.join("some-database/.git")).unwrap();
        assert!(was_fetched(&home));
        fs::remove_dir_all(home).unwrap();
    }
}
