//! A Python of the checkers' own, under the target folder.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::stop::Stop;
use crate::{process, repository};

/// The libraries that the checkers use.
const REQUIREMENTS: &str = "tests/outside/requirements.txt";

/// A folder of Python libraries.
#[derive(Debug)]
pub(crate) struct Venv {
    folder: PathBuf,
    wanted: String,
}

impl Venv {
    /// The checkers' folder, made or not.
    pub(crate) fn of_checkers() -> Result<Self, Stop> {
        let wanted = fs::read_to_string(repository::root().join(REQUIREMENTS))
            .map_err(|error| Stop::unusable(REQUIREMENTS, &error))?;
        Ok(Self { folder: repository::target_folder()?.join("outside-venv"), wanted })
    }

    /// Its interpreter.
    pub(crate) fn python(&self) -> PathBuf {
        self.folder.join("bin/python")
    }

    /// Whether it holds what the checkers ask for now.
    pub(crate) fn is_ready(&self) -> bool {
        let stamped = fs::read_to_string(self.stamp()).is_ok_and(|text| text == self.wanted);
        stamped && self.python().is_file()
    }

    /// Makes it anew. The stamp comes last: a run that was cut short is made again.
    pub(crate) fn make(&self) -> Result<(), Stop> {
        eprintln!("installing the checkers' Python libraries under {}", self.folder.display());
        let venv = ["-m", "venv", "--clear"];
        process::run(Command::new("python3").args(venv).arg(&self.folder))?;
        let mut install = Command::new(self.python());
        // Built wheels only: a library without one would want compilers of its own.
        install.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check"]);
        install.args(["--no-input", "--only-binary", ":all:", "--requirement"]);
        process::run(install.arg(repository::root().join(REQUIREMENTS)))?;
        write(&self.stamp(), &self.wanted)
    }

    fn stamp(&self) -> PathBuf {
        self.folder.join("requirements.installed.txt")
    }
}

fn write(file: &Path, text: &str) -> Result<(), Stop> {
    fs::write(file, text).map_err(|error| Stop::unusable(file.display(), &error))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn other_requirements_make_the_folder_stale() {
        let folder = std::env::temp_dir().join(format!("xtask-venv-{}", std::process::id()));
        let venv = Venv { folder: folder.clone(), wanted: "shapely>=2.1\n".to_owned() };
        assert!(!venv.is_ready(), "nothing is there yet");
        fs::create_dir_all(folder.join("bin")).unwrap();
        write(&venv.python(), "").unwrap();
        write(&venv.stamp(), "shapely>=2.1\n").unwrap();
        assert!(venv.is_ready());
        let newer = Venv { folder: folder.clone(), wanted: "shapely>=3\n".to_owned() };
        assert!(!newer.is_ready());
        fs::remove_dir_all(folder).unwrap();
    }
}
