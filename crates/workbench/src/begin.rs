//! The files of a folder that is no site yet: what they hold, and how one arrives.

use std::fs;
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::{Path, PathBuf};

use serde_json::{Map, Value as Json, json};
use spatial::problem::Problem;
use spatial::read::FoundLayer;
use spatial::start::{
    Answers, FoundFile, Guess, Role, guess, guess_drainage, guess_treatment, is_plain_name,
    layer_of, look, presets, systems,
};
use spatial::write::beside;
use tempfile::NamedTempFile;

/// Largest file that is taken in, bytes.
const LARGEST_FILE: u64 = 8 << 30;

/// What a folder with these files holds, what its layers may be for, and what may be said of them.
#[must_use]
pub(crate) fn told(path: &Path, files: &[FoundFile]) -> Json {
    let guesses = guess(files);
    let layers: Vec<&FoundLayer> = files.iter().flat_map(FoundFile::layers).collect();
    let home = home(files, &guesses);
    let trials = files.iter().flat_map(|file| {
        let lost = file.layers().filter(|layer| layer.crs.is_none() && layer.extent.is_some());
        let (layers, name) = (&layers, &file.name);
        lost.map(move |layer| {
            json!({ "file": name, "layer": layer.layer, "trials": systems(layer, layers, home) })
        })
    });
    let trials: Vec<Json> = trials.collect();
    let role = |role: &Role| json!({ "role": role, "title": role.title(), "may_repeat": role.may_repeat() });
    let roles: Vec<Json> = Role::ALL.iter().map(role).collect();
    let name = path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
    json!({
        "folder": name.display().to_string(),
        "name": name.file_name().map(|name| name.to_string_lossy().replace(['-', '_'], " ")),
        "files": files,
        "guesses": guesses,
        "trials": trials,
        "roles": roles,
        "presets": presets(),
        "version": env!("CARGO_PKG_VERSION"),
    })
}

/// Where the property seems to be: what looks like its boundary, or else any layer that says where it lies.
fn home(files: &[FoundFile], guesses: &[Guess]) -> Option<[f64; 4]> {
    let boundary = guesses.iter().find(|guess| guess.role == Role::Boundary);
    let boundary = boundary.and_then(|one| layer_of(files, &one.file, one.layer.as_deref()));
    let all = files.iter().flat_map(FoundFile::layers);
    boundary.into_iter().chain(all).find_map(|layer| layer.on_globe)
}

/// What `check` says of answers about these files, with what codes may stand for by their words.
#[must_use]
pub(crate) fn looked(path: &Path, files: &[FoundFile], answers: &Answers) -> Json {
    let look = look(path, files, answers);
    let cover =
        look.codes.cover.iter().map(|one| (one.code.clone(), json!(guess_treatment(&one.code))));
    let drainage =
        look.codes.drainage.iter().map(|one| (one.code.clone(), json!(guess_drainage(&one.code))));
    let (cover, drainage): (Map<String, Json>, Map<String, Json>) =
        (cover.collect(), drainage.collect());
    json!({ "look": look, "cover": cover, "drainage": drainage })
}

/// A file on its way into the folder.
#[derive(Debug)]
pub(crate) struct Arriving {
    target: PathBuf,
    bytes: u64,
    so_far: NamedTempFile,
}

impl Arriving {
    /// Begins a file of a name, beside its place.
    ///
    /// # Errors
    /// When the name is not that of a file in the folder, or the disk refuses.
    pub(crate) fn new(folder: &Path, name: &str) -> Result<Self, Problem> {
        if !is_plain_name(name) {
            return Err(Problem::error("file")
                .found(format!("the name `{name}`"))
                .expected("the name of a file, without folders and without a dot before it")
                .remedy("give it another name"));
        }
        let target = folder.join(name);
        let so_far = beside(folder).map_err(|error| refused(&target, &error.to_string()))?;
        Ok(Self { target, bytes: 0, so_far })
    }

    /// Takes in a part.
    ///
    /// # Errors
    /// When it grows beyond what is taken in, or the disk refuses.
    pub(crate) fn write(&mut self, part: &[u8]) -> Result<(), Problem> {
        self.bytes = self.bytes.saturating_add(part.len() as u64);
        if self.bytes > LARGEST_FILE {
            return Err(Problem::error("file")
                .file(&self.target)
                .found(format!("more than {} GB", LARGEST_FILE >> 30))
                .expected("a layer of one property")
                .remedy("clip it to the property, or copy it into the folder yourself"));
        }
        self.so_far.write_all(part).map_err(|error| refused(&self.target, &error.to_string()))
    }

    /// A problem of a file that stopped on its way.
    pub(crate) fn cut_short(&self, reason: &str) -> Problem {
        Problem::error("file")
            .file(&self.target)
            .found(format!("a file that stopped on its way: {reason}"))
            .expected("the whole file")
            .remedy("drop it again")
    }

    /// Puts the whole file in its place; its name. The same file again is no fault.
    ///
    /// # Errors
    /// When another file of that name is there, or the disk refuses.
    pub(crate) fn arrived(self) -> Result<String, Problem> {
        let Self { target, mut so_far, .. } = self;
        let flushed = so_far.flush().and_then(|()| so_far.as_file().sync_all());
        flushed.map_err(|error| refused(&target, &error.to_string()))?;
        let name = target.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if target.symlink_metadata().is_ok() {
            let same = is_same(&target, so_far.path()).unwrap_or(false);
            return if same { Ok(name) } else { Err(another(&target)) };
        }
        match so_far.persist_noclobber(&target) {
            Ok(_) => Ok(name),
            Err(error) => Err(refused(&target, &error.error.to_string())),
        }
    }
}

/// Whether two files hold the same, read piece by piece.
fn is_same(one: &Path, other: &Path) -> std::io::Result<bool> {
    let about = one.symlink_metadata()?;
    if !about.is_file() || about.len() != fs::metadata(other)?.len() {
        return Ok(false);
    }
    let [mut one, mut other] = [one, other].map(|file| fs::File::open(file).map(BufReader::new));
    let (one, other) = (one.as_mut(), other.as_mut());
    let (Ok(one), Ok(other)) = (one, other) else { return Ok(false) };
    loop {
        let (here, there) = (one.fill_buf()?, other.fill_buf()?);
        let count = here.len().min(there.len());
        if count == 0 {
            return Ok(here.len() == there.len());
        }
        if here[..count] != there[..count] {
            return Ok(false);
        }
        one.consume(count);
        other.consume(count);
    }
}

fn another(target: &Path) -> Problem {
    Problem::error("file")
        .file(target)
        .found("another file of that name in the folder")
        .expected("a name that is free; no file is written over")
        .remedy("give one of the two another name")
}

fn refused(target: &Path, reason: &str) -> Problem {
    Problem::error("file")
        .file(target)
        .found(reason)
        .expected("a folder that can be written to")
        .remedy("see that there is room on the disk and that you may write there")
}
