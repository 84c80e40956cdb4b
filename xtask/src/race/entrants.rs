//! Who computes what, computing alone.

use std::path::{Path, PathBuf};
use std::process::Command;

/// A task in the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Task {
    /// As our kernels and the libraries are asked for it.
    pub(crate) name: &'static str,
    /// In words.
    pub(crate) title: &'static str,
}

/// What is timed, in the order of the table; a task of ours must come before those that start
/// from its result.
pub(crate) const TASKS: [Task; 4] = [
    Task { name: "slope_aspect", title: "slope and aspect" },
    Task { name: "fill", title: "hollows filled" },
    Task { name: "d8", title: "steepest-descent flow (D8)" },
    Task { name: "multiple_flow", title: "multiple flow" },
];

/// Libraries by task, and what is to be known of them.
const LIBRARIES: [(&str, &str, &str); 12] = [
    ("slope_aspect", "richdem", ""),
    ("slope_aspect", "xarray-spatial", ""),
    ("fill", "richdem", ""),
    ("fill", "topotoolbox", ""),
    ("fill", "scikit-image", "reconstruction"),
    ("fill", "pyflwdir", ""),
    ("fill", "pysheds", ""),
    ("d8", "richdem", "flats resolved first"),
    ("d8", "topotoolbox", ""),
    ("d8", "pyflwdir", "with the filling that its directions come from"),
    ("d8", "pysheds", "flats resolved first"),
    ("multiple_flow", "richdem", "levels left undrained, no wetness"),
];

/// One who computes a task.
#[derive(Debug)]
pub(crate) struct Entrant {
    /// Of which task.
    pub(crate) task: &'static str,
    /// Shown in the table.
    pub(crate) name: String,
    /// How it is run.
    pub(crate) runner: Runner,
}

impl Entrant {
    /// Whether it is a kernel of ours.
    pub(crate) fn is_ours(&self) -> bool {
        matches!(self.runner, Runner::Kernel(_))
    }
}

/// How an entrant is run.
#[derive(Debug)]
pub(crate) enum Runner {
    /// Our kernel of that name.
    Kernel(&'static str),
    /// A library, by its own time.
    Library(&'static str),
    /// A whole program.
    Program(Program),
}

/// A program or chain of programs.
#[derive(Debug)]
pub(crate) struct Program {
    /// What must be on the path.
    pub(crate) needs: &'static str,
    /// What is timed.
    pub(crate) timed: Vec<Command>,
    /// What is run once to compare results.
    pub(crate) compared: Vec<Command>,
    /// Files it then wrote: the task whose result each holds.
    pub(crate) writes: Vec<(&'static str, PathBuf)>,
}

/// Everyone, ours first in each task. `folder` holds `elevation.tif`, `elevation.f32` and our
/// results, all in memory.
pub(crate) fn entrants(folder: &Path) -> Vec<Entrant> {
    let mut all = Vec::new();
    for task in TASKS {
        all.push(ours(task.name, "hillweave", task.name));
        if task.name == "slope_aspect" {
            all.push(ours(task.name, "hillweave, a plain pass over the same bytes", "plain_pass"));
        }
        let libraries = LIBRARIES.iter().filter(|(of, ..)| *of == task.name);
        all.extend(libraries.map(|&(task, tool, note)| library(task, tool, note)));
        all.extend(programs(task.name, folder));
    }
    all
}

fn ours(task: &'static str, name: &str, kernel: &'static str) -> Entrant {
    Entrant { task, name: name.to_owned(), runner: Runner::Kernel(kernel) }
}

fn library(task: &'static str, tool: &'static str, note: &str) -> Entrant {
    let name = if note.is_empty() { tool.to_owned() } else { format!("{tool} ({note})") };
    Entrant { task, name, runner: Runner::Library(tool) }
}

fn programs(task: &'static str, folder: &Path) -> Vec<Entrant> {
    let entrant = |name: &str, program| Entrant {
        task,
        name: format!("{name}, whole program"),
        runner: Runner::Program(program),
    };
    match task {
        "slope_aspect" => vec![
            entrant("gdaldem slope + gdaldem aspect", gdaldem(folder)),
            entrant("gdal_translate, reading alone", reading(folder)),
        ],
        "fill" => vec![entrant("saga_cmd Wang & Liu XXL", saga_fill(folder))],
        "d8" => vec![entrant("saga_cmd top-down", saga_flow(folder, "d8", "0"))],
        _ => vec![entrant("saga_cmd top-down (no wetness)", saga_flow(folder, task, "4"))],
    }
}

/// Results stay in memory and are dropped, so that it only starts, reads and computes.
fn gdaldem(folder: &Path) -> Program {
    let command = |mode: &str, format: &str, to: PathBuf| {
        let mut command = Command::new("gdaldem");
        command.arg(mode).arg(folder.join("elevation.tif")).arg(to);
        command.args(["-q", "-of", format]).env("GDAL_CACHEMAX", "4096");
        command
    };
    let file = |mode: &str| folder.join(format!("gdaldem_{mode}.f32"));
    let modes = ["slope", "aspect"];
    Program {
        needs: "gdaldem",
        timed: modes.map(|mode| command(mode, "MEM", "none".into())).into(),
        compared: modes.map(|mode| command(mode, "ENVI", file(mode))).into(),
        writes: modes.map(|mode| (mode, file(mode))).into(),
    }
}

/// What starting and reading takes of the times of GDAL's programs.
fn reading(folder: &Path) -> Program {
    let mut command = Command::new("gdal_translate");
    command.args(["-q", "-of", "MEM"]).arg(folder.join("elevation.tif")).arg("none");
    let (compared, writes) = (Vec::new(), Vec::new());
    Program { needs: "gdal_translate", timed: vec![command], compared, writes }
}

fn saga_fill(folder: &Path) -> Program {
    saga(
        folder,
        "fill",
        &["ta_preprocessor", "5", "-MINSLOPE=0"],
        ["-ELEV=elevation.f32", "-FILLED="],
    )
}

fn saga_flow(folder: &Path, task: &'static str, method: &str) -> Program {
    let method = format!("-METHOD={method}");
    let tool = ["ta_hydrology", "0", "-FLOW_UNIT=0", &method];
    saga(folder, task, &tool, ["-ELEVATION=fill.f32", "-FLOW="])
}

/// Bare floats in memory, in and out.
fn saga(folder: &Path, task: &'static str, tool: &[&str], [from, to]: [&str; 2]) -> Program {
    let file = format!("saga_{task}.sdat");
    let command = || {
        let mut command = Command::new("saga_cmd");
        command.arg("-f=s").args(tool).args([from, &format!("{to}{file}")]).current_dir(folder);
        command
    };
    let writes = vec![(task, folder.join(&file))];
    Program { needs: "saga_cmd", timed: vec![command()], compared: vec![command()], writes }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_task_has_ours_first_and_someone_to_race() {
        let all = entrants(Path::new("a"));
        for task in TASKS {
            let names: Vec<_> = all.iter().filter(|entrant| entrant.task == task.name).collect();
            assert!(matches!(names[0].runner, Runner::Kernel(kernel) if kernel == task.name));
            assert!(names.len() > 2, "{}", task.name);
        }
        assert!(LIBRARIES.iter().all(|(of, ..)| TASKS.iter().any(|task| task.name == *of)));
    }
}
