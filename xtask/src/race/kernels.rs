//! Computing alone: our kernels, libraries by their own time, and whole programs whose files stay
//! in memory, taking turns.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use super::answers::{Answer, Answering};
use super::entrants::{self, Entrant, Program, Runner};
use super::kernel_table;
use super::timing::Times;
use crate::python::Venv;
use crate::stop::Stop;
use crate::{cargo, dem, process, repository};

/// What one entrant did.
#[derive(Debug)]
pub(crate) struct Outcome {
    /// Of which task.
    pub(crate) task: &'static str,
    /// Shown in the table.
    pub(crate) name: String,
    /// Whether it is our kernel for the task.
    pub(crate) ours: bool,
    /// Times, or why there are none.
    pub(crate) times: Result<Times, String>,
    /// How its result agrees with ours.
    pub(crate) agrees: String,
}

/// An outsider that took longer than this in the round that is not counted is not run again: that
/// time stands, compiling included, and the table says so.
const PATIENCE_S: f64 = 60.0;

/// Those who answer.
struct Rivals {
    kernels: Answering,
    libraries: Result<Answering, String>,
}

/// A folder in memory where the system has one; gone at the end, however that comes.
struct Memory(PathBuf);

/// Races on about so many cells of invented ground, without some of the others; the table in
/// Markdown.
pub(crate) fn race(
    maker: &Path,
    cells: f64,
    runs: usize,
    without: &[String],
) -> Result<String, Stop> {
    let memory = Memory::new()?;
    let size = prepare(maker, cells, &memory.0)?;
    let mut rivals = Rivals::start(&memory.0, size)?;
    let mut entrants = entrants::entrants(&memory.0);
    entrants.retain(|entrant| {
        entrant.is_ours() || !without.iter().any(|one| entrant.name.contains(one))
    });
    let mut outcomes = Vec::new();
    for entrant in &entrants {
        let outcome = rivals.introduce(entrant)?;
        eprintln!("round 0: {} {}: {}", entrant.task, entrant.name, outcome.agrees);
        if entrant.task == "fill" && outcome.ours {
            beside(&memory.0)?;
        }
        outcomes.push(outcome);
    }
    let mut times = vec![Vec::with_capacity(runs); entrants.len()];
    for round in 1..=runs {
        let able = entrants.iter().zip(&outcomes).zip(&mut times);
        for ((entrant, _), times) in able.filter(|((_, outcome), _)| outcome.runs_again()) {
            let took = rivals.time(entrant)?;
            eprintln!(
                "round {round}: {} {} {:.3} s",
                entrant.task,
                entrant.name,
                took.as_secs_f64()
            );
            times.push(took);
        }
    }
    for (outcome, times) in outcomes.iter_mut().zip(times).filter(|(_, times)| !times.is_empty()) {
        outcome.times = Ok(Times::new(times));
    }
    Ok(kernel_table::report(size, &outcomes, runs, without, &rivals.versions()))
}

/// Invented ground as a GeoTIFF and as bare floats.
fn prepare(maker: &Path, cells: f64, folder: &Path) -> Result<(u64, u64), Stop> {
    let tif = folder.join("elevation.tif");
    let size = dem::make(maker, cells, &tif)?;
    let mut bare = Command::new("gdal_translate");
    bare.args(["-q", "-of", "ENVI"]).arg(tif).arg(folder.join("elevation.f32"));
    process::run(&mut bare)?;
    Ok(size)
}

/// What SAGA must know of our filled surface: the same as of the elevation.
fn beside(folder: &Path) -> Result<(), Stop> {
    let header = folder.join("elevation.hdr");
    let copied = fs::copy(&header, folder.join("fill.hdr"));
    copied.map(|_| ()).map_err(|error| Stop::unusable(header.display(), &error))
}

impl Outcome {
    /// Able, and not too slow to be timed again.
    fn runs_again(&self) -> bool {
        self.times.as_ref().is_ok_and(|times| times.median_s().is_nan())
    }
}

impl Rivals {
    fn start(folder: &Path, (cols, rows): (u64, u64)) -> Result<Self, Stop> {
        let course = |command: &mut Command| {
            let size = [cols.to_string(), rows.to_string(), "1".to_owned()];
            Answering::start(command.arg(folder.join("elevation.f32")).args(size).arg(folder))
        };
        let kernels = course(&mut Command::new(cargo::example("terrain", "kernels")?))?;
        let python = python().map_err(|stop| stop.message().to_owned());
        let libraries = python.and_then(|python| {
            let driver = repository::root().join("xtask/race/kernels.py");
            course(Command::new(python).arg(driver)).map_err(|stop| stop.message().to_owned())
        });
        Ok(Self { kernels, libraries })
    }

    fn versions(&mut self) -> String {
        let told = self.libraries.as_mut().ok().and_then(|all| all.tell("versions").ok());
        told.and_then(|told| crate::json::text(&told, "versions")).unwrap_or_default()
    }

    /// The round that is not counted: who is able, and whether their results agree with ours.
    fn introduce(&mut self, entrant: &Entrant) -> Result<Outcome, Stop> {
        let Entrant { task, name, runner } = entrant;
        let answer = match runner {
            Runner::Kernel(kernel) => self.kernels.ask(&format!("{kernel} save"))?,
            Runner::Library(tool) => self.library(&format!("{task} {tool} compare"))?,
            Runner::Program(program) => self.compare(program)?,
        };
        let ours = matches!(runner, Runner::Kernel(kernel) if kernel == task);
        let outcome = |times, agrees| Outcome { task, name: name.clone(), ours, times, agrees };
        let kernel = matches!(runner, Runner::Kernel(_));
        Ok(match answer {
            Answer::Done(_, agrees) if kernel => {
                let longhand = if ours { self.longhand(task)? } else { None };
                outcome(Ok(Times::default()), longhand.or(agrees).unwrap_or_default())
            }
            Answer::Done(seconds, agrees) if seconds > PATIENCE_S => {
                let times = Times::new(vec![Duration::from_secs_f64(seconds)]);
                outcome(Ok(times), format!("{} (one run)", agrees.unwrap_or_default()))
            }
            Answer::Done(_, agrees) => outcome(Ok(Times::default()), agrees.unwrap_or_default()),
            Answer::Missing(why) => outcome(Err(why.clone()), format!("missing: {why}")),
        })
    }

    /// Our flow beside a slow, obvious one; nothing for other tasks.
    fn longhand(&mut self, task: &str) -> Result<Option<String>, Stop> {
        if !["d8", "multiple_flow"].contains(&task) {
            return Ok(None);
        }
        match self.library(&format!("{task} longhand compare"))? {
            Answer::Done(_, agrees) => Ok(agrees),
            Answer::Missing(why) => Ok(Some(format!("not compared: {why}"))),
        }
    }

    fn library(&mut self, request: &str) -> Result<Answer, Stop> {
        match &mut self.libraries {
            Ok(libraries) => libraries.ask(request),
            Err(why) => Ok(Answer::Missing(why.clone())),
        }
    }

    /// Runs a program once with its files kept, and holds them beside ours.
    fn compare(&mut self, program: &Program) -> Result<Answer, Stop> {
        if !process::on_path(program.needs) {
            return Ok(Answer::Missing(format!("no {}", program.needs)));
        }
        run_all(&program.compared)?;
        let start = Instant::now();
        run_all(&program.timed)?;
        let took = start.elapsed().as_secs_f64();
        let mut words = Vec::new();
        for (task, file) in &program.writes {
            let request = format!("{task} file {}", file.display());
            if let Answer::Done(_, Some(agrees)) = self.library(&request)? {
                words.push(agrees);
            }
        }
        Ok(Answer::Done(took, Some(words.join(", "))))
    }

    fn time(&mut self, entrant: &Entrant) -> Result<Duration, Stop> {
        let answer = match &entrant.runner {
            Runner::Kernel(kernel) => self.kernels.ask(kernel)?,
            Runner::Library(tool) => self.library(&format!("{} {tool}", entrant.task))?,
            Runner::Program(program) => {
                let start = Instant::now();
                run_all(&program.timed)?;
                return Ok(start.elapsed());
            }
        };
        match answer {
            Answer::Done(seconds, _) => Ok(Duration::from_secs_f64(seconds)),
            Answer::Missing(why) => Err(Stop::finding(format!("{}: {why}", entrant.name))),
        }
    }
}

fn run_all(commands: &[Command]) -> Result<(), Stop> {
    commands.iter().try_for_each(|command| process::capture(&mut again(command)).map(|_| ()))
}

/// The same command once more.
fn again(command: &Command) -> Command {
    let mut copy = Command::new(command.get_program());
    copy.args(command.get_args());
    copy.envs(command.get_envs().filter_map(|(name, value)| Some((name, value?))));
    if let Some(folder) = command.get_current_dir() {
        copy.current_dir(folder);
    }
    copy
}

/// The libraries' Python, made when it is not there.
fn python() -> Result<PathBuf, Stop> {
    let venv = Venv::of_racers()?;
    if !venv.is_ready() {
        crate::setup::provide(vec![&crate::needs::PYTHON])?;
        venv.make()?;
    }
    Ok(venv.python())
}

impl Memory {
    fn new() -> Result<Self, Stop> {
        let shared = Path::new("/dev/shm");
        let home = if shared.is_dir() { shared.into() } else { repository::target_folder()? };
        let folder = home.join(format!("hillweave-race-{}", std::process::id()));
        let made = fs::create_dir_all(&folder);
        made.map_err(|error| Stop::unusable(folder.display(), &error))?;
        Ok(Self(folder))
    }
}

impl Drop for Memory {
    fn drop(&mut self) {
        // nothing more can be done about what does not go away
        let _ = fs::remove_dir_all(&self.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commands_can_be_run_again() {
        let mut command = Command::new("sh");
        command.args(["-c", "echo $A $PWD"]).env("A", "b").current_dir("/");
        for _ in 0..2 {
            assert_eq!(process::capture(&mut again(&command)).unwrap(), "b /\n");
        }
    }

    #[test]
    fn only_the_able_and_quick_run_again() {
        let outcome = |times| {
            let (name, agrees) = (String::new(), String::new());
            Outcome { task: "d8", name, ours: false, times, agrees }
        };
        assert!(outcome(Ok(Times::default())).runs_again());
        assert!(!outcome(Ok(Times::new(vec![Duration::from_secs(90)]))).runs_again());
        assert!(!outcome(Err(String::new())).runs_again());
    }

    #[test]
    fn memory_is_given_back() {
        let memory = Memory::new().unwrap();
        let folder = memory.0.clone();
        assert!(folder.is_dir());
        drop(memory);
        assert!(!folder.exists());
    }
}
