//! Makes the machine ready. Nothing is touched when nothing is missing.

use std::path::PathBuf;

use crate::apt;
use crate::cargo;
use crate::needs::{self, BROWSER, BUILD, GDAL_PROGRAMS, NODE, Need, POPPLER, PYTHON, QGIS};
use crate::node::NodeModules;
use crate::process;
use crate::python::Venv;
use crate::stop::Stop;

/// What building needs.
pub(crate) fn build() -> Result<(), Stop> {
    provide(BUILD.iter().collect())
}

/// What the checkers run with.
#[derive(Debug)]
pub(crate) struct Checkers {
    /// Their Python.
    pub(crate) python: PathBuf,
    /// The Python of those that look at files for mapping packages.
    pub(crate) gis_python: PathBuf,
    /// Folder of Node modules.
    pub(crate) node_modules: PathBuf,
}

/// What building and testing need; returns what the checkers run with.
pub(crate) fn test() -> Result<Checkers, Stop> {
    let others = [&GDAL_PROGRAMS, &QGIS, &NODE, &BROWSER, &POPPLER];
    let mut needs: Vec<&Need> = BUILD.iter().chain(others).collect();
    let venv = Venv::of_checkers()?;
    if venv.is_ready() {
        provide(needs)?;
    } else {
        needs.push(&PYTHON);
        provide(needs)?;
        venv.make()?;
    }
    let gis = Venv::of_gis_checkers()?;
    if !gis.is_ready() {
        gis.make()?;
    }
    let node = NodeModules::of_checkers()?;
    if !node.is_ready() {
        node.make()?;
    }
    let (python, gis_python) = (venv.python(), gis.python());
    Ok(Checkers { python, gis_python, node_modules: node.folder() })
}

/// What looks at dependencies, in the version that `deny.toml` is written for.
pub(crate) fn deny() -> Result<(), Stop> {
    cargo_tool("deny", "0.20.2")
}

/// What writes bills of materials.
pub(crate) fn cyclonedx() -> Result<(), Stop> {
    cargo_tool("cyclonedx", "0.5.9")
}

/// A command of cargo's, installed where it is missing.
fn cargo_tool(name: &str, version: &str) -> Result<(), Stop> {
    if process::succeeds(&mut cargo::command([name, "--version"])) {
        return Ok(());
    }
    let mut install = cargo::command(["install", "--locked", "--version", version]);
    process::run(install.arg(format!("cargo-{name}")))
}

/// Both, and says so.
pub(crate) fn all() -> Result<(), Stop> {
    let checkers = test()?;
    println!("ready to build and test; the checkers' Python is {}", checkers.python.display());
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
