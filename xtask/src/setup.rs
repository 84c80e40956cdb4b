//! Makes the machine ready. Nothing is touched when nothing is missing.

use std::path::PathBuf;

use crate::apt;
use crate::needs::{self, BUILD, GDAL_PROGRAMS, Need, PYTHON};
use crate::python::Venv;
use crate::stop::Stop;

/// What building needs.
pub(crate) fn build() -> Result<(), Stop> {
    provide(BUILD.iter().collect())
}

/// What building and testing need; returns the checkers' Python.
pub(crate) fn test() -> Result<PathBuf, Stop> {
    let mut needs: Vec<&Need> = BUILD.iter().chain([&GDAL_PROGRAMS]).collect();
    let venv = Venv::of_checkers()?;
    if venv.is_ready() {
        provide(needs)?;
    } else {
        needs.push(&PYTHON);
        provide(needs)?;
        venv.make()?;
    }
    Ok(venv.python())
}

/// Both, and says so.
pub(crate) fn all() -> Result<(), Stop> {
    let python = test()?;
    println!("ready to build and test; the checkers' Python is {}", python.display());
    Ok(())
}

/// Installs those that are not there, and makes sure that this helped.
pub(crate) fn provide(needs: Vec<&Need>) -> Result<(), Stop> {
    let missing = needs::missing(needs);
    if missing.is_empty() {
        return Ok(());
    }
    apt::install(&missing)?;
    match needs::missing(missing).first() {
        None => Ok(()),
        Some(need) => Err(Stop::unready(format!(
            "still missing after installing {}: {}. Is this release of the system too old?",
            need.packages.join(" "),
            need.what
        ))),
    }
}
