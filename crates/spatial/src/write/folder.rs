//! The one door for output: a folder that appears whole or not at all.
//!
//! Files are written into a hidden folder beside the target, on the same file system, and take the
//! target's place in one move. A failed or killed run leaves the target as it was.

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::columns::Column;
use super::disk;
use super::json::{PLAN_JSON, pretty_json};
use super::schedule::{SCHEDULE_CSV, csv_of};
use super::stage::{Purpose, Stage, undisturbed};
use super::{
    BLOCKS_GEOJSON, CARDS_CSV, COUNTING_CSV, ORDERS_CSV, PLAN_GPKG, PLAN_QGS, PLANTS_CSV,
    PLANTS_GPX, PLOTS_CSV, PLOTS_GPX, REPORT_HTML, REPORT_JSON, REPORT_PDF, SCHEDULE_XLSX,
    ZONES_GEOJSON,
};
use crate::calendar::{CALENDAR_CSV, CALENDAR_HTML, CALENDAR_ICS, CALENDAR_JSON};
use crate::chances::{CHANCE_LINES_CSV, CHANCE_ZONES_CSV, CHANCES_CSV, CHANCES_JSON};
use crate::checks::cover::{
    COVER_BY_YEAR_CSV, COVER_GPKG, COVER_HTML, COVER_JSON, COVER_NOW_TIF, COVER_PIECES_CSV,
    COVER_THEN_TIF,
};
use crate::checks::eligible::{ELIGIBLE_CSV, ELIGIBLE_GPKG, ELIGIBLE_JSON};
use crate::compare::{COMPARE_JSON, is_compare_file};
use crate::export::{EXPORT_JSON, is_export_file};
use crate::landform::{GROUND_JSON, LandformOutput};
use crate::money::{CASH_FLOW_CSV, COSTS_CSV, MONEY_HTML, MONEY_JSON, SENSITIVITY_CSV};
use crate::problem::Problem;
use crate::season::{
    BLOOM_BLOCKS_CSV, BLOOM_WEEKS_CSV, HIVE_SITES_CSV, HIVE_SITES_GPKG, HIVE_SITES_GPX,
    SEASON_HTML, SEASON_JSON,
};
use crate::seed::rank::{
    MOTHERS_CSV, MOTHERS_GPX, PILOT_CSV, SEED_LINE_TOML, SEED_RANK_GPKG, SEED_RANK_HTML,
    SEED_RANK_JSON, STOCK_TOML, TRADE_OFF_CSV, TREES_CSV,
};
use crate::seed::{
    FIELD_SHEET_CSV, FIELD_SHEET_GPKG, FIELD_SHEET_GPX, FIELD_SHEET_HTML, SEED_SITES_JSON,
    refuse_filled,
};

/// A file that was written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Written {
    /// Name inside the folder.
    pub file: PathBuf,
    /// Size.
    pub bytes: u64,
}

/// Output on its way: nothing of it is seen until [`StagedFolder::commit`]; dropped before that,
/// it leaves no trace.
#[derive(Debug)]
pub struct StagedFolder {
    stage: Stage,
    target: PathBuf,
    overwrite: bool,
}

impl StagedFolder {
    /// A hidden folder beside `target`, named `.NAME.partial-XXXXXX`. Such folders of runs that were killed are
    /// cleared away.
    ///
    /// # Errors
    /// - `target` is not empty and `overwrite` is not set;
    /// - `overwrite` is set and `target` holds anything that this program does not write, or is not
    ///   plainly an earlier output of it: a home or a working folder is never replaced;
    /// - `target` is a file, or its parent is missing or cannot be written.
    pub fn begin(target: &Path, overwrite: bool) -> Result<Self, Problem> {
        let (parent, name) = parent_and_name(target)?;
        let target = parent.join(&name);
        let name = name.to_string_lossy();
        put_back(&parent, &name, &target).map_err(|error| cannot_write(&target, &error))?;
        if may_exist(&target)? {
            check_replaceable(&target, overwrite)?;
        }
        let stage = Stage::begin(&parent, &name, Purpose::Partial)
            .map_err(|error| cannot_write(&target, &error))?;
        Ok(Self { stage, target, overwrite })
    }

    /// A folder beside the target for what a run holds on the disk while it works; it goes with the
    /// value.
    ///
    /// # Errors
    /// When it cannot be made.
    pub fn scratch(&self) -> Result<Stage, Problem> {
        let parent = self.target.parent().unwrap_or(Path::new("."));
        let name = self.target.file_name().unwrap_or_default().to_string_lossy();
        Stage::begin(parent, &name, Purpose::Scratch)
            .map_err(|error| cannot_write(&self.target, &error))
    }

    /// Lets a function write the file of this name; a problem it meets names the file's final place.
    ///
    /// # Errors
    /// Those of the function.
    pub fn make(
        &self,
        name: &str,
        write: impl FnOnce(&Path) -> Result<(), Problem>,
    ) -> Result<(), Problem> {
        write(&self.stage.path().join(name)).map_err(|problem| problem.file(self.target.join(name)))
    }

    /// Writes a record as JSON.
    ///
    /// # Errors
    /// When a number of it is not finite, or the disk refuses.
    pub fn record<T: Serialize>(&self, name: &str, value: &T) -> Result<(), Problem> {
        self.write(name, &pretty_json(value).map_err(|problem| problem.file(name))?)
    }

    /// Writes rows of a whole as CSV.
    ///
    /// # Errors
    /// When a number of them is not finite, or the disk refuses.
    pub(crate) fn table<Row, Whole>(
        &self,
        name: &str,
        columns: &[Column<Row, Whole>],
        rows: &[Row],
        whole: &Whole,
    ) -> Result<(), Problem> {
        let rows = rows.iter().map(|row| (row, []));
        self.write(name, &csv_of(columns, rows, whole, name, [])?)
    }

    /// Writes a whole file.
    ///
    /// # Errors
    /// When the disk refuses, for instance because it is full.
    pub fn write(&self, name: &str, bytes: &[u8]) -> Result<(), Problem> {
        self.make(name, |path| disk::write(path, bytes).map_err(|error| cannot_write(path, &error)))
    }

    /// Puts the folder in the target's place and says what is in it, sorted by name.
    ///
    /// Every file is on the disk before the move. An old folder is swapped out in one step where
    /// the system can do that, and deleted afterwards.
    ///
    /// # Errors
    /// When a file cannot be stored or the folder cannot be moved; the old folder is then in place.
    pub fn commit(self) -> Result<Vec<Written>, Problem> {
        let refused = |error: &io::Error| cannot_write(&self.target, error);
        let written = stored(self.stage.path()).map_err(|error| refused(&error))?;
        let undisturbed = undisturbed();
        let is_swap = may_exist(&self.target)?;
        if is_swap {
            check_replaceable(&self.target, self.overwrite)?;
            exchange(self.stage.path(), &self.target).map_err(|error| refused(&error))?;
            // The stage now holds the old folder: its removal on drop is the clearing away.
        } else {
            disk::rename(self.stage.path(), &self.target).map_err(|error| refused(&error))?;
        }
        let parent = self.target.parent().unwrap_or(Path::new("."));
        if let Err(error) = disk::sync(parent) {
            // Nothing is told as refused while it stands there.
            let _ = if is_swap {
                exchange(self.stage.path(), &self.target)
            } else {
                disk::rename(&self.target, self.stage.path())
            };
            return Err(refused(&error));
        }
        drop(undisturbed);
        Ok(written)
    }
}

/// Flushes every file and the folder itself to the disk.
fn stored(folder: &Path) -> io::Result<Vec<Written>> {
    let mut written = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        disk::sync(&entry.path())?;
        written.push(Written { file: entry.file_name().into(), bytes: entry.metadata()?.len() });
    }
    written.sort_by(|a, b| a.file.cmp(&b.file));
    disk::sync(folder)?;
    Ok(written)
}

/// Swaps two folders, in one step where the file system can.
fn exchange(stage: &Path, target: &Path) -> io::Result<()> {
    disk::exchange(stage, target).or_else(|_| exchange_by_turns(stage, target))
}

/// Swaps two folders in three moves; undoes the first when the second fails.
fn exchange_by_turns(stage: &Path, target: &Path) -> io::Result<()> {
    let aside = stage.with_extension("replaced");
    disk::rename(target, &aside)?;
    if let Err(error) = disk::rename(stage, target) {
        disk::rename(&aside, target)?;
        return Err(error);
    }
    if disk::rename(&aside, stage).is_err() {
        let _ = fs::remove_dir_all(&aside); // the new folder stands: the old one goes here rather than there
    }
    Ok(())
}

/// Puts a folder back that a run had set aside when it was killed between two moves.
fn put_back(parent: &Path, name: &str, target: &Path) -> io::Result<()> {
    let aside = parent.join(format!(".{name}.replaced"));
    if aside.is_dir() && fs::symlink_metadata(target).is_err() && has_mark(&aside) {
        disk::rename(&aside, target)?;
    }
    Ok(())
}

/// The existing parent of a target, without links, and the target's own name.
fn parent_and_name(target: &Path) -> Result<(PathBuf, std::ffi::OsString), Problem> {
    // A name such as `.` or `..` or a link stands for another folder.
    let resolved =
        if target.exists() { fs::canonicalize(target) } else { Ok(target.to_path_buf()) }
            .map_err(|error| cannot_write(target, &error))?;
    let Some(name) = resolved.file_name() else {
        return Err(not_a_place(target, "no folder name"));
    };
    let parent = match resolved.parent() {
        Some(parent) if parent.as_os_str().is_empty() => Path::new("."),
        Some(parent) => parent,
        None => return Err(not_a_place(target, "the root of the file system")),
    };
    match fs::canonicalize(parent) {
        Ok(parent) => Ok((parent, name.to_owned())),
        Err(error) => Err(cannot_write(target, &error)),
    }
}

fn may_exist(target: &Path) -> Result<bool, Problem> {
    match fs::symlink_metadata(target) {
        Ok(found) if found.is_dir() => Ok(true),
        Ok(found) if found.is_symlink() => Err(not_a_place(target, "a link that leads nowhere")),
        Ok(_) => Err(not_a_place(target, "a file")),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(false),
        Err(error) => Err(cannot_write(target, &error)),
    }
}

/// Whether an existing folder may be replaced.
fn check_replaceable(target: &Path, overwrite: bool) -> Result<(), Problem> {
    let names = names_in(target).map_err(|error| cannot_write(target, &error))?;
    let here = std::env::current_dir().and_then(fs::canonicalize);
    if here.is_ok_and(|here| here.starts_with(target)) {
        return Err(not_a_place(target, "the folder that the program runs in, or one above it"));
    }
    if names.is_empty() {
        return Ok(());
    }
    if !overwrite {
        return Err(Problem::error("output folder")
            .file(target)
            .found(format!("a folder that is not empty: it holds {}", some_of(&names)))
            .expected("a folder that does not exist yet, or an empty one")
            .remedy("name another folder, or pass `--overwrite` to replace an earlier plan"));
    }
    let strange: Vec<String> = names.iter().filter(|name| !is_ours(name)).cloned().collect();
    if !strange.is_empty() {
        return Err(foreign(
            target,
            &format!("files that are not of a plan: {}", some_of(&strange)),
        ));
    }
    if !has_mark(target) {
        return Err(foreign(
            target,
            "no record of this program, such as `plan.json` or `season.json`",
        ));
    }
    refuse_filled(target)
}

fn names_in(folder: &Path) -> io::Result<Vec<String>> {
    let mut names = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let mut name = entry.file_name().to_string_lossy().into_owned();
        if !entry.file_type()?.is_file() {
            name.push('/'); // no folder and no link is ours
        }
        names.push(name);
    }
    names.sort();
    Ok(names)
}

/// Files of a plan, of the ground, of seed and of a season, and what mapping packages and desktops put beside them.
fn is_ours(name: &str) -> bool {
    const OURS: &[&str] = &[
        PLAN_GPKG,
        PLAN_QGS,
        ZONES_GEOJSON,
        BLOCKS_GEOJSON,
        SCHEDULE_CSV,
        SCHEDULE_XLSX,
        ORDERS_CSV,
        CARDS_CSV,
        PLANTS_CSV,
        PLANTS_GPX,
        PLOTS_CSV,
        PLOTS_GPX,
        COUNTING_CSV,
        PLAN_JSON,
        FIELD_SHEET_CSV,
        FIELD_SHEET_GPX,
        FIELD_SHEET_GPKG,
        FIELD_SHEET_HTML,
        SEED_SITES_JSON,
        TREES_CSV,
        MOTHERS_CSV,
        MOTHERS_GPX,
        PILOT_CSV,
        TRADE_OFF_CSV,
        SEED_RANK_GPKG,
        SEED_RANK_HTML,
        SEED_RANK_JSON,
        SEED_LINE_TOML,
        STOCK_TOML,
        MONEY_JSON,
        COSTS_CSV,
        CASH_FLOW_CSV,
        SENSITIVITY_CSV,
        MONEY_HTML,
        CALENDAR_JSON,
        CALENDAR_CSV,
        CALENDAR_ICS,
        CALENDAR_HTML,
        BLOOM_BLOCKS_CSV,
        BLOOM_WEEKS_CSV,
        HIVE_SITES_CSV,
        HIVE_SITES_GPX,
        HIVE_SITES_GPKG,
        SEASON_HTML,
        SEASON_JSON,
        CHANCES_JSON,
        CHANCES_CSV,
        CHANCE_LINES_CSV,
        CHANCE_ZONES_CSV,
        COVER_JSON,
        COVER_BY_YEAR_CSV,
        COVER_PIECES_CSV,
        COVER_GPKG,
        COVER_NOW_TIF,
        COVER_THEN_TIF,
        COVER_HTML,
        ELIGIBLE_JSON,
        ELIGIBLE_CSV,
        ELIGIBLE_GPKG,
        REPORT_HTML,
        REPORT_PDF,
        REPORT_JSON,
    ];
    const LITTER: [&str; 3] = [".DS_Store", "Thumbs.db", "desktop.ini"];
    let file = name.strip_suffix(".aux.xml").unwrap_or(name);
    OURS.contains(&file)
        || file == GROUND_JSON
        || is_export_file(file)
        || is_compare_file(file)
        || LandformOutput::all().any(|output| output.files().iter().any(|one| one == file))
        || LITTER.contains(&name)
}

/// Whether a folder is plainly an earlier output: the record of a plan, of a ground, of sites for seed or
/// of a season is in it.
fn has_mark(folder: &Path) -> bool {
    let begins = |file: &str, schema: &str| {
        let mut start = String::new();
        let read =
            File::open(folder.join(file)).and_then(|file| file.take(64).read_to_string(&mut start));
        read.is_ok() && start.contains(&format!("\"schema\": \"{schema}/"))
    };
    begins(PLAN_JSON, "hillweave.plan")
        || begins(GROUND_JSON, "hillweave.ground")
        || begins(SEED_SITES_JSON, "hillweave.seed_sites")
        || begins(SEED_RANK_JSON, "hillweave.seed_rank")
        || begins(MONEY_JSON, "hillweave.money")
        || begins(CALENDAR_JSON, "hillweave.calendar")
        || begins(SEASON_JSON, "hillweave.season")
        || begins(CHANCES_JSON, "hillweave.chances")
        || begins(COVER_JSON, "hillweave.cover")
        || begins(ELIGIBLE_JSON, "hillweave.eligible")
        || begins(REPORT_JSON, "hillweave.report")
        || begins(EXPORT_JSON, "hillweave.export")
        || begins(COMPARE_JSON, "hillweave.compare")
}

fn some_of(names: &[String]) -> String {
    let shown = names.iter().take(3).map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
    if names.len() > 3 { format!("{shown} and {} more", names.len() - 3) } else { shown }
}

fn foreign(target: &Path, found: &str) -> Problem {
    Problem::error("output folder")
        .file(target)
        .found(found)
        .expected("an earlier output of this program and nothing else, as `--overwrite` deletes it")
        .remedy("name another folder, or move what is in this one")
}

fn not_a_place(target: &Path, found: &str) -> Problem {
    Problem::error("output folder")
        .file(target)
        .found(found)
        .expected("a folder that can be made or replaced")
        .remedy("name a new folder, such as `-o plan`")
}

/// The disk's own words, and what to do about the usual ones.
pub(crate) fn cannot_write(path: &Path, error: &io::Error) -> Problem {
    let remedy = match error.kind() {
        io::ErrorKind::NotFound => "make the folder above it first, or mend the path",
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            "choose a folder that you may write in"
        }
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
            "make room on the disk, or choose another one"
        }
        io::ErrorKind::NotADirectory => "a part of the path is a file: mend the path",
        _ => "see that the disk is sound and that no other program holds the folder",
    };
    Problem::error("output")
        .file(path)
        .found(error.to_string())
        .expected("a place to write")
        .remedy(remedy)
}

#[cfg(test)]
mod tests;
