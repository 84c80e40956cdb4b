//! Readers of style files for Node, under the target folder.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use crate::stop::Stop;
use crate::{process, repository};

/// What the checkers ask for.
const CHECKERS: &str = "tests/outside/package.json";

/// A folder of Node modules.
#[derive(Debug)]
pub(crate) struct NodeModules {
    folder: PathBuf,
    wanted: String,
}

impl NodeModules {
    /// The checkers' folder, made or not.
    pub(crate) fn of_checkers() -> Result<Self, Stop> {
        let asked = repository::root().join(CHECKERS);
        let wanted =
            fs::read_to_string(&asked).map_err(|error| Stop::unusable(asked.display(), &error))?;
        Ok(Self { folder: repository::target_folder()?.join("outside-node"), wanted })
    }

    /// Where they are: `node_modules` is in it.
    pub(crate) fn folder(&self) -> PathBuf {
        self.folder.clone()
    }

    /// Whether it holds what the checkers ask for now.
    pub(crate) fn is_ready(&self) -> bool {
        fs::read_to_string(self.stamp()).is_ok_and(|text| text == self.wanted)
    }

    /// Makes it anew. The stamp comes last: a run that was cut short is made again.
    pub(crate) fn make(&self) -> Result<(), Stop> {
        eprintln!("installing Node modules under {}", self.folder.display());
        let unusable = |error| Stop::unusable(self.folder.display(), &error);
        if self.folder.exists() {
            fs::remove_dir_all(&self.folder).map_err(unusable)?;
        }
        fs::create_dir_all(&self.folder).map_err(unusable)?;
        fs::write(self.folder.join("package.json"), &self.wanted).map_err(unusable)?;
        let mut install = Command::new("npm");
        // No module may run a program of its own while it is installed.
        install.args([
            "install",
            "--no-audit",
            "--no-fund",
            "--ignore-scripts",
            "--loglevel=error",
        ]);
        process::run(install.current_dir(&self.folder))?;
        fs::write(self.stamp(), &self.wanted).map_err(unusable)
    }

    fn stamp(&self) -> PathBuf {
        self.folder.join("package.installed.json")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn other_wishes_make_the_folder_stale() {
        let folder = std::env::temp_dir().join(format!("xtask-node-{}", std::process::id()));
        let modules = |wanted: &str| NodeModules { folder: folder.clone(), wanted: wanted.into() };
        assert!(!modules("{}").is_ready(), "nothing is there yet");
        fs::create_dir_all(&folder).unwrap();
        fs::write(folder.join("package.installed.json"), "{}").unwrap();
        assert!(modules("{}").is_ready() && !modules("{ }").is_ready());
        fs::remove_dir_all(folder).unwrap();
    }
}
