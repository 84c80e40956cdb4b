//! Pythons of the chores' own, under the target folder.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::needs::SYSTEM_PYTHON;
use crate::stop::Stop;
use crate::{process, repository};

/// The libraries that the checkers use.
const CHECKERS: &str = "tests/outside/requirements.txt";
/// The libraries of the checkers of files for mapping packages.
const GIS: &str = "tests/outside/gis-requirements.txt";
/// The libraries that our kernels race against.
const RACERS: &str = "xtask/race/requirements.txt";

/// A folder of Python libraries.
#[derive(Debug)]
pub(crate) struct Venv {
    folder: PathBuf,
    wanted: String,
    requirements: PathBuf,
    /// The interpreter that makes it.
    maker: &'static str,
    /// Whether it sees the libraries that the system has.
    sees_system: bool,
}

impl Venv {
    /// The checkers' folder, made or not.
    pub(crate) fn of_checkers() -> Result<Self, Stop> {
        Self::new("outside-venv", CHECKERS)
    }

    /// The folder of the libraries that race, made or not.
    pub(crate) fn of_racers() -> Result<Self, Stop> {
        Self::new("race-venv", RACERS)
    }

    /// The folder of the checkers of files for mapping packages: of the system's own Python, beside whose libraries
    /// it stands.
    pub(crate) fn of_gis_checkers() -> Result<Self, Stop> {
        Ok(Self { maker: SYSTEM_PYTHON, sees_system: true, ..Self::new("gis-venv", GIS)? })
    }

    fn new(name: &str, requirements: &str) -> Result<Self, Stop> {
        let requirements = repository::root().join(requirements);
        let wanted = fs::read_to_string(&requirements)
            .map_err(|error| Stop::unusable(requirements.display(), &error))?;
        let folder = repository::target_folder()?.join(name);
        Ok(Self { folder, wanted, requirements, maker: "python3", sees_system: false })
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
        eprintln!("installing Python libraries under {}", self.folder.display());
        let mut make = Command::new(self.maker);
        make.args(["-m", "venv", "--clear"]);
        if self.sees_system {
            make.arg("--system-site-packages");
        }
        process::run(make.arg(&self.folder))?;
        let mut install = Command::new(self.python());
        // Built wheels only: a library without one would want compilers of its own.
        install.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check"]);
        install.args(["--no-input", "--only-binary", ":all:", "--requirement"]);
        process::run(install.arg(&self.requirements))?;
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
        let venv = |wanted: &str| {
            let (folder, requirements) = (folder.clone(), PathBuf::new());
            let wanted = wanted.to_owned();
            Venv { folder, wanted, requirements, maker: "python3", sees_system: false }
        };
        let newer = venv("shapely>=3\n");
        let venv = venv("shapely>=2.1\n");
        assert!(!venv.is_ready(), "nothing is there yet");
        fs::create_dir_all(folder.join("bin")).unwrap();
        write(&venv.python(), "").unwrap();
        write(&venv.stamp(), "shapely>=2.1\n").unwrap();
        assert!(venv.is_ready());
        assert!(!newer.is_ready());
        fs::remove_dir_all(folder).unwrap();
    }
}
