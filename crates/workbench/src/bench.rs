//! A plan on the bench: files that change, the plan that answers, steps back and again.

use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use spatial::pipeline::{Heard, hear};
use spatial::plan::Reach;
use spatial::problem::Problem;
use spatial::start::{self, Answers};
use tempfile::TempDir;

use crate::change::Change;
use crate::edit::edited;
use crate::files::{DRAWN, Files, Places};
use crate::history::History;
use crate::plan_now::PlanNow;
use crate::save::save;
use crate::told::{Told, differences};

/// A plan on the bench.
pub(crate) struct Bench {
    places: Places,
    saved: Files,
    steps: History<Files>,
    opened: Arc<PlanNow>,
    now: Arc<PlanNow>,
    /// Why the present files have no plan; the plan is then of the last that had one.
    stopped: Vec<Problem>,
    told: Option<Told>,
    revision: u64,
    geometry_revision: u64,
    drafts: TempDir,
}

impl Bench {
    /// Lays a site on the bench.
    ///
    /// # Errors
    /// Every problem that stops its plan.
    pub(crate) fn open(site_file: &Path) -> Result<Self, Vec<Problem>> {
        let heard = hear(site_file, Reach::Orders)?;
        let places = Places::of(&heard.site);
        let files = places.read()?;
        let drafts = drafts()?;
        let heard = with_drawn(heard, &files, &places, &drafts)?;
        let plan = PlanNow::of(heard, None)?;
        Ok(Self::laid(places, files, drafts, plan))
    }

    /// Lays the site on the bench that answers about the files of a folder make, and writes it there once it has a plan.
    ///
    /// # Errors
    /// Every problem that stops its plan, and then nothing is written; a disk that refuses.
    pub(crate) fn begin(folder: &Path, answers: &Answers) -> Result<Self, Vec<Problem>> {
        let heard = start::heard(folder, answers)?;
        let places = Places::of(&heard.site);
        let plan = PlanNow::of(heard, None)?;
        let drafts = drafts()?;
        start::write_site(folder, answers)?;
        let files = places.read()?;
        Ok(Self::laid(places, files, drafts, plan))
    }

    fn laid(places: Places, files: Files, drafts: TempDir, plan: PlanNow) -> Self {
        let plan = Arc::new(plan);
        Self {
            places,
            saved: files.clone(),
            steps: History::new(files),
            opened: Arc::clone(&plan),
            now: plan,
            stopped: Vec::new(),
            told: None,
            revision: 1,
            geometry_revision: 1,
            drafts,
        }
    }

    /// The present plan, or the last that could be made.
    pub(crate) fn now(&self) -> &Arc<PlanNow> {
        &self.now
    }

    /// The plan as it was opened.
    pub(crate) fn opened(&self) -> &Arc<PlanNow> {
        &self.opened
    }

    /// The present texts.
    pub(crate) fn files(&self) -> &Files {
        self.steps.now()
    }

    /// Why the present files have no plan; empty where they have one.
    pub(crate) fn stopped(&self) -> &[Problem] {
        &self.stopped
    }

    /// What the last step did.
    pub(crate) fn told(&self) -> Option<&Told> {
        self.told.as_ref()
    }

    /// Counts steps.
    pub(crate) fn revision(&self) -> u64 {
        self.revision
    }

    /// Counts changes of zones, stands and ground kept clear.
    pub(crate) fn geometry_revision(&self) -> u64 {
        self.geometry_revision
    }

    /// The steps.
    pub(crate) fn steps(&self) -> &History<Files> {
        &self.steps
    }

    /// Names of the files that differ from what was saved last.
    pub(crate) fn unsaved(&self) -> Vec<String> {
        self.files().unlike(&self.saved, &self.places)
    }

    /// Makes a change.
    ///
    /// # Errors
    /// When it cannot be written, or the files would then not be sound; all is then as it was. Files that are sound and
    /// that no plan can be made of are kept, and [`Bench::stopped`] says why.
    pub(crate) fn change(&mut self, change: &Change) -> Result<(), Vec<Problem>> {
        let (files, words) = edited(self.files(), &self.places, &self.now, change)?;
        let heard = self.heard(&files)?;
        self.steps.push(files, words.clone());
        self.answer(words, heard);
        Ok(())
    }

    /// Takes a step back; nothing happens where there is none.
    ///
    /// # Errors
    /// When the disk refuses what was drawn.
    pub(crate) fn undo(&mut self) -> Result<(), Vec<Problem>> {
        let words = self.steps.undo_words().map(|words| format!("taken back: {words}"));
        if self.steps.undo() { self.plan_again(words) } else { Ok(()) }
    }

    /// Takes a step again; nothing happens where there is none.
    ///
    /// # Errors
    /// When the disk refuses what was drawn.
    pub(crate) fn redo(&mut self) -> Result<(), Vec<Problem>> {
        let words = self.steps.redo_words().map(|words| format!("done again: {words}"));
        if self.steps.redo() { self.plan_again(words) } else { Ok(()) }
    }

    /// Writes the files that have changed.
    ///
    /// # Errors
    /// When another has changed them meanwhile, or the disk refuses; the files are then as they were.
    pub(crate) fn save(&mut self) -> Result<Vec<PathBuf>, Problem> {
        let written = save(&self.places, self.steps.now(), &self.saved)?;
        self.saved = self.steps.now().clone();
        Ok(written)
    }

    fn plan_again(&mut self, words: Option<String>) -> Result<(), Vec<Problem>> {
        let heard = self.heard(self.files())?;
        self.answer(words.unwrap_or_default(), heard);
        Ok(())
    }

    fn heard(&self, files: &Files) -> Result<Heard, Vec<Problem>> {
        Ok(with_drawn(self.places.hear(files)?, files, &self.places, &self.drafts)?)
    }

    fn answer(&mut self, words: String, heard: Heard) {
        self.revision += 1;
        match PlanNow::of(heard, Some(&*self.now)) {
            Ok(plan) => {
                self.told = Some(differences(words, &self.now, &plan));
                if !plan.has_zones_of(&self.now) {
                    self.geometry_revision += 1;
                }
                self.now = Arc::new(plan);
                self.stopped.clear();
            }
            Err(problems) => {
                self.told = Some(Told::nothing(words));
                let folder = self.now.fitted.site.folder();
                self.stopped = problems.into_iter().map(|one| one.named_from(folder)).collect();
            }
        }
    }
}

/// A folder for what is drawn, gone with the bench.
fn drafts() -> Result<TempDir, Problem> {
    tempfile::tempdir().map_err(|error| {
        Problem::error("temporary folder")
            .found(error.to_string())
            .expected("a folder for what is drawn")
            .remedy("see that there is room on the disk")
    })
}

/// Has what is drawn read from a copy whose name changes when it does, so that no draft is in the folder of the site and
/// none is taken for another.
fn with_drawn(
    heard: Heard,
    files: &Files,
    places: &Places,
    drafts: &TempDir,
) -> Result<Heard, Problem> {
    let Some(text) = &files.drawn else { return Ok(heard) };
    let mut sum = DefaultHasher::new();
    text.hash(&mut sum);
    let folder = drafts.path().join(format!("{:016x}", sum.finish()));
    let copy = folder.join(DRAWN);
    let write = || {
        fs::create_dir_all(&folder)?;
        fs::write(&copy, text)
    };
    write().map_err(|error: std::io::Error| {
        Problem::error("temporary file")
            .file(&copy)
            .found(error.to_string())
            .expected("a copy of what is drawn")
            .remedy("see that there is room on the disk")
    })?;
    Ok(places.drawn_in(&copy, heard))
}
