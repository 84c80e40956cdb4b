//! Plans the sample property.

use std::fs;
use std::path::Path;
use std::process::{Command, ExitCode, Stdio};

use crate::cargo::{self, Profile};
use crate::stop::Stop;
use crate::{repository, setup};

const SITE: &str = "sample-layers/site.toml";

/// Builds and plans. The plan's own exit status is passed on: 0, or 1 when it was written but a
/// rule is broken.
pub(crate) fn run() -> Result<ExitCode, Stop> {
    setup::build()?;
    let program = cargo::build(Profile::Release)?;
    let root = repository::root();
    let target = repository::target_folder()?;
    let demo = target.join("demo");
    fs::create_dir_all(&demo).map_err(|error| Stop::unusable(demo.display(), &error))?;
    let folder = shown(&demo.join("plan"), &root);
    eprintln!("\nhillweave plan {SITE} -o {folder} --overwrite --timings\n");
    let status = Command::new(program)
        .args(["plan", SITE, "-o", &folder, "--overwrite", "--timings"])
        .current_dir(&root)
        .stdin(Stdio::null())
        .status()
        .map_err(|error| Stop::unusable("hillweave", &error))?;
    match status.code() {
        Some(code @ (0 | 1)) => {
            println!("\n{}", next(&folder));
            Ok(ExitCode::from(code.unsigned_abs() as u8))
        }
        Some(code) => Ok(ExitCode::from(code.unsigned_abs() as u8)),
        None => Err(Stop::finding(format!("hillweave was stopped: {status}"))),
    }
}

/// What to open next.
fn next(folder: &str) -> String {
    format!(
        "Next: open {folder}/plan.gpkg in any GIS; beside it are plan.json (all figures), \
         orders.csv (for the nursery), cards.csv (for the crew) and schedule.csv (block by block)."
    )
}

/// A path as seen from the repository, when it is inside.
fn shown(path: &Path, root: &Path) -> String {
    path.strip_prefix(root).unwrap_or(path).display().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_line_names_the_files() {
        let line = next("target/demo/plan");
        assert!(!line.contains('\n') && line.contains("target/demo/plan/plan.gpkg"), "{line}");
        assert!(line.contains("plan.json") && line.contains("schedule.csv"), "{line}");
        assert!(line.contains("orders.csv") && line.contains("cards.csv"), "{line}");
    }

    #[test]
    fn paths_are_short_when_they_can_be() {
        let root = Path::new("/home/me/hillweave");
        let inside = root.join("target/demo/plan");
        assert_eq!(shown(&inside, root), "target/demo/plan");
        assert_eq!(shown(Path::new("/tmp/t/demo/plan"), root), "/tmp/t/demo/plan");
    }
}
