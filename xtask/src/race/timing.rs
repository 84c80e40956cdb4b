//! Wall-clock times and peak memory, the contestants taking turns.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use super::contestants::Contestant;
use crate::process;
use crate::stop::Stop;

/// One run.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Run {
    /// Wall-clock time.
    pub(crate) took: Duration,
    /// Peak resident memory, KiB; `None` without GNU time.
    pub(crate) peak_kib: Option<u64>,
}

/// Runs of the same thing.
#[derive(Debug, Clone, Default)]
pub(crate) struct Times {
    /// Shortest first.
    times: Vec<Duration>,
    peak_kib: Option<u64>,
}

impl Times {
    /// Times alone.
    pub(crate) fn new(mut times: Vec<Duration>) -> Self {
        times.sort_unstable();
        Self { times, peak_kib: None }
    }

    /// Times, and the highest peak.
    pub(crate) fn of_runs(runs: &[Run]) -> Self {
        let peak_kib = runs.iter().filter_map(|run| run.peak_kib).max();
        Self { peak_kib, ..Self::new(runs.iter().map(|run| run.took).collect()) }
    }

    /// The middle time; the mean of the two in the middle when they are even in number; NaN of
    /// none.
    pub(crate) fn median_s(&self) -> f64 {
        let count = self.times.len();
        let middle = &self.times[count.saturating_sub(1) / 2..(count / 2 + 1).min(count)];
        middle.iter().sum::<Duration>().as_secs_f64() / middle.len() as f64
    }

    /// Shortest and longest time.
    pub(crate) fn range_s(&self) -> (f64, f64) {
        let seconds = |time: Option<&Duration>| time.map_or(f64::NAN, Duration::as_secs_f64);
        (seconds(self.times.first()), seconds(self.times.last()))
    }

    /// Highest peak resident memory, KiB.
    pub(crate) fn peak_kib(&self) -> Option<u64> {
        self.peak_kib
    }
}

/// Times of one contestant.
#[derive(Debug)]
pub(crate) struct Timed {
    /// Shown in the table.
    pub(crate) name: &'static str,
    /// What it made.
    pub(crate) makes: &'static str,
    /// Whether it is ours.
    pub(crate) ours: bool,
    /// Its runs.
    pub(crate) times: Times,
}

/// Times everyone once, then everyone again: what else the machine does falls on all alike. A round
/// before that is not counted, so that everyone finds the elevation in memory; what it wrote is read.
pub(crate) fn take_turns(
    mut field: Vec<Contestant>,
    size: (u64, u64),
    runs: usize,
) -> Result<Vec<Timed>, Stop> {
    let mut times = vec![Vec::with_capacity(runs); field.len()];
    for round in 0..=runs {
        for (contestant, times) in field.iter_mut().zip(&mut times) {
            let run = time(contestant)?;
            eprintln!("round {round}: {} {:.3} s", contestant.name, run.took.as_secs_f64());
            if round == 0 {
                contestant.check_rasters(size)?;
            } else {
                times.push(run);
            }
        }
    }
    Ok(field.iter().zip(&times).map(|(contestant, runs)| timed(contestant, runs)).collect())
}

/// One run, from nothing written to everything written: some tools fail without saying so.
pub(crate) fn time(contestant: &mut Contestant) -> Result<Run, Stop> {
    for file in contestant.writes.iter().filter(|file| file.exists()) {
        fs::remove_file(file).map_err(|error| Stop::unusable(file.display(), &error))?;
    }
    let peak = peak_file();
    let mut watched = watched(&contestant.command, &peak);
    let start = Instant::now();
    process::capture(&mut watched)?;
    let took = start.elapsed();
    let peak_kib = fs::read_to_string(&peak).ok().and_then(|told| told.trim().parse().ok());
    let _ = fs::remove_file(&peak); // there is none without GNU time
    match contestant.writes.iter().find(|file| !file.exists()) {
        None => Ok(Run { took, peak_kib }),
        Some(file) => {
            let (name, file) = (contestant.name, file.display());
            Err(Stop::finding(format!("{name} says that it is done, but wrote no {file}")))
        }
    }
}

/// A file of its own for each run.
fn peak_file() -> PathBuf {
    static RUNS: AtomicUsize = AtomicUsize::new(0);
    let run = RUNS.fetch_add(1, Ordering::Relaxed);
    std::env::temp_dir().join(format!("hillweave-race-peak-{}-{run}", std::process::id()))
}

/// The command under GNU time, which writes its peak memory to a file, or as it is without.
fn watched(command: &Command, peak: &Path) -> Command {
    let mut copy = Command::new(command.get_program());
    if process::on_path("time") {
        copy = Command::new("time");
        copy.args(["-q", "-f", "%M", "-o"]).arg(peak).arg(command.get_program());
    }
    copy.args(command.get_args());
    if let Some(folder) = command.get_current_dir() {
        copy.current_dir(folder);
    }
    copy
}

/// The runs of one contestant put together.
pub(crate) fn timed(contestant: &Contestant, runs: &[Run]) -> Timed {
    let Contestant { name, makes, ours, .. } = *contestant;
    Timed { name, makes, ours, times: Times::of_runs(runs) }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    fn runner(program: &'static str) -> Contestant {
        let command = Command::new(program);
        Contestant { name: program, makes: "nothing", ours: true, command, writes: Vec::new() }
    }

    pub(in crate::race) fn of(name: &'static str, ours: bool, seconds: &[u64]) -> Timed {
        let times = Times::new(seconds.iter().copied().map(Duration::from_secs).collect());
        Timed { name, makes: "slope", ours, times }
    }

    #[test]
    fn the_median_is_the_middle() {
        let median = |seconds| of("a", true, seconds).times.median_s();
        assert!((median(&[9, 1, 2]) - 2.0).abs() < 1e-9);
        assert!((median(&[9, 1, 2, 4]) - 3.0).abs() < 1e-9);
        assert!((median(&[7]) - 7.0).abs() < 1e-9);
        assert!(median(&[]).is_nan());
        assert_eq!(of("odd", true, &[9, 1, 2]).times.range_s(), (1.0, 9.0));
    }

    #[test]
    fn the_highest_peak_counts() {
        let run = |peak_kib| Run { took: Duration::from_secs(1), peak_kib };
        assert_eq!(Times::of_runs(&[run(Some(5)), run(Some(9)), run(None)]).peak_kib(), Some(9));
        assert_eq!(Times::of_runs(&[run(None)]).peak_kib(), None);
    }

    #[test]
    fn peak_memory_is_told_where_there_is_gnu_time() {
        let run = time(&mut runner("true")).unwrap();
        assert_eq!(run.peak_kib.is_some(), process::on_path("time"));
    }

    #[test]
    fn one_round_is_run_and_not_counted() {
        assert_eq!(take_turns(vec![runner("true")], (1, 1), 3).unwrap()[0].times.times.len(), 3);
    }

    #[test]
    fn who_fails_or_writes_nothing_ends_the_race() {
        assert!(take_turns(vec![runner("false")], (1, 1), 1).is_err());
        let mut silent = runner("true");
        silent.writes.push("no/such/file.tif".into());
        let stop = take_turns(vec![silent], (1, 1), 1).unwrap_err();
        assert!(stop.message().ends_with("but wrote no no/such/file.tif"), "{}", stop.message());
    }
}
