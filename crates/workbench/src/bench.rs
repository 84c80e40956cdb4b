//! A plan on the bench: files that change, the plan that answers, steps back and again.

use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use spatial::overrides::Override;
use spatial::pipeline::{Heard, hear};
use spatial::plan::{Plan, Reach};
use spatial::problem::Problem;
use spatial::read::present_inputs;
use spatial::start::{self, Answers};
use stock::Library;
use tempfile::TempDir;

use crate::change::Change;
use crate::edit::edited;
use crate::files::{DRAWN, Files, Places};
use crate::history::History;
use crate::plan_now::PlanNow;
use crate::save::{save, unchanged};
use crate::told::{Told, differences};

/// Stock and choices of files that no plan can be made of.
pub(crate) struct Draft {
    /// The stock.
    pub(crate) library: Library,
    /// Choices made by hand.
    pub(crate) choices: Vec<Override>,
}

/// A plan on the bench.
pub(crate) struct Bench {
    places: Places,
    saved: Files,
    steps: History<Files>,
    opened: Arc<PlanNow>,
    now: Arc<PlanNow>,
    /// The plan before it, with the revision that it came with.
    before: Option<(Arc<PlanNow>, u64)>,
    /// The revision that the present plan came with.
    planned_at: u64,
    /// Why the present files have no plan; the plan is then of the last that had one.
    stopped: Vec<Problem>,
    draft: Option<Draft>,
    told: Option<Told>,
    revision: u64,
    geometry_revision: u64,
    ground_revision: u64,
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
            before: None,
            planned_at: 1,
            stopped: Vec::new(),
            draft: None,
            told: None,
            revision: 1,
            geometry_revision: 1,
            ground_revision: 1,
            drafts,
        }
    }

    /// The present plan, or the last that could be made.
    pub(crate) fn now(&self) -> &Arc<PlanNow> {
        &self.now
    }

    /// The plan before the present one, with the revision that it came with.
    pub(crate) fn before(&self) -> Option<&(Arc<PlanNow>, u64)> {
        self.before.as_ref()
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

    /// Counts changes of what the pictures of the ground show.
    pub(crate) fn ground_revision(&self) -> u64 {
        self.ground_revision
    }

    /// The steps.
    pub(crate) fn steps(&self) -> &History<Files> {
        &self.steps
    }

    /// Names of the files that differ from what was saved last.
    pub(crate) fn unsaved(&self) -> Vec<String> {
        self.files().unlike(&self.saved, &self.places)
    }

    /// Stock and choices of the present files where no plan can be made of them.
    pub(crate) fn draft(&self) -> Option<&Draft> {
        self.draft.as_ref()
    }

    /// Makes a change. One that changes no file is no step.
    ///
    /// # Errors
    /// When it cannot be written, or the files would then not be sound; all is then as it was. Files that are sound and
    /// that no plan can be made of are kept, and [`Bench::stopped`] says why.
    pub(crate) fn change(&mut self, change: &Change) -> Result<(), Vec<Problem>> {
        self.is_of_these_zones(change)?;
        let (files, words) = edited(self.files(), &self.places, &self.now, change)?;
        if files == *self.files() {
            return Ok(());
        }
        let answer = self.answer(self.heard(&files)?);
        self.steps.push(files, words.clone());
        self.settle(words, answer);
        Ok(())
    }

    /// Takes a step back; nothing happens where there is none.
    ///
    /// # Errors
    /// When the disk refuses what was drawn; the step is then not taken.
    pub(crate) fn undo(&mut self) -> Result<(), Vec<Problem>> {
        self.go_over(History::before, History::undo, "taken back")
    }

    /// Takes a step again; nothing happens where there is none.
    ///
    /// # Errors
    /// As [`Bench::undo`].
    pub(crate) fn redo(&mut self) -> Result<(), Vec<Problem>> {
        self.go_over(History::after, History::redo, "done again")
    }

    /// Goes to where a step back or onwards leads, once a plan of that has been asked for.
    fn go_over(
        &mut self,
        to: fn(&History<Files>) -> Option<(&Files, &str)>,
        step: fn(&mut History<Files>) -> bool,
        verb: &str,
    ) -> Result<(), Vec<Problem>> {
        let Some((files, words)) = to(&self.steps) else { return Ok(()) };
        let words = format!("{verb}: {words}");
        let answer = self.answer(self.heard(files)?);
        step(&mut self.steps);
        self.settle(words, answer);
        Ok(())
    }

    /// Writes the files that have changed.
    ///
    /// # Errors
    /// When no plan can be made of them, another has changed one of the site's files meanwhile, or the disk refuses; the
    /// files are then as they were.
    pub(crate) fn save(&mut self) -> Result<Vec<PathBuf>, Problem> {
        if let Some(why) = self.stopped.first() {
            return Err(Problem::error("save")
                .found(format!("files that no plan can be made of: {}", why.item))
                .expected("a plan, so that the site can be opened again")
                .remedy("mend what the page names, or take the last step back"));
        }
        let written = save(&self.places, self.steps.now(), &self.saved)?;
        self.saved = self.steps.now().clone();
        Ok(written)
    }

    /// The saved plan with the sums of its inputs as they are now, for handing over.
    ///
    /// # Errors
    /// When something is not saved, no plan can be made, or a file of the site is not what the plan was made from.
    pub(crate) fn handed_over(&self) -> Result<(Arc<PlanNow>, Plan), Vec<Problem>> {
        let problem = Problem::error("hand over");
        if !self.unsaved().is_empty() {
            let found = format!("changes in {} that are not saved", self.unsaved().join(", "));
            return Err(problem
                .found(found)
                .expected("the files that the plan is made of")
                .remedy("save first")
                .into());
        }
        if !self.stopped.is_empty() {
            return Err(problem
                .found("files that no plan can be made of")
                .expected("a plan")
                .remedy("mend what the page names, or take the last step back")
                .into());
        }
        unchanged(&self.places, &self.saved)?;
        let site = self.places.hear(&self.saved)?.site;
        let inputs = present_inputs(&site)?;
        let texts = self.places.with(&self.saved).map(|(file, _)| file.to_path_buf());
        let is_text = |file: &Path| texts.contains(&site.folder().join(file));
        for read in self.now.fitted.ready.inputs.iter().filter(|read| !is_text(&read.file)) {
            let present = inputs.iter().find(|one| one.file == read.file);
            if present.is_some_and(|present| present.sha256 != read.sha256) {
                return Err(problem
                    .file(&read.file)
                    .found("a layer that has changed since the bench read it")
                    .expected("the layer that the plan is made from")
                    .remedy("end this sitting and open the site again")
                    .into());
            }
        }
        let plan = Plan { inputs, ..self.now.plan.clone() };
        Ok((Arc::clone(&self.now), plan))
    }

    /// A zone's name is of the zones that were drawn when it was read.
    fn is_of_these_zones(&self, change: &Change) -> Result<(), Problem> {
        let Change::Choice(choice) = change else { return Ok(()) };
        if choice.geometry_revision.is_none_or(|of| of == self.geometry_revision) {
            return Ok(());
        }
        Err(Problem::error("zone")
            .found(format!("`{}` of zones that have been drawn anew since", choice.zone))
            .expected("a zone of the present plan")
            .remedy("look at the map again, and choose there"))
    }

    fn heard(&self, files: &Files) -> Result<Heard, Vec<Problem>> {
        Ok(with_drawn(self.places.hear(files)?, files, &self.places, &self.drafts)?)
    }

    /// What comes of files; nothing is changed by it.
    fn answer(&self, heard: Heard) -> Answer {
        let draft = Draft { library: heard.library.clone(), choices: heard.choices.clone() };
        PlanNow::of(heard, Some(&*self.now)).map_err(|problems| (problems, draft))
    }

    fn settle(&mut self, words: String, answer: Answer) {
        self.revision += 1;
        match answer {
            Ok(plan) => {
                self.told = Some(differences(words, &self.now, &plan));
                if !plan.has_zones_of(&self.now) {
                    self.geometry_revision += 1;
                }
                if !plan.has_ground_of(&self.now) {
                    self.ground_revision += 1;
                }
                let before = std::mem::replace(&mut self.now, Arc::new(plan));
                self.before = Some((before, self.planned_at));
                self.planned_at = self.revision;
                self.stopped.clear();
                self.draft = None;
            }
            Err((problems, draft)) => {
                self.told = Some(Told::nothing(words));
                let folder = self.now.fitted.site.folder();
                self.stopped = problems.into_iter().map(|one| one.named_from(folder)).collect();
                self.draft = Some(draft);
            }
        }
    }
}

/// A plan, or why there is none and what the files say all the same.
type Answer = Result<PlanNow, (Vec<Problem>, Draft)>;

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
