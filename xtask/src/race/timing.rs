//! Wall-clock times, the contestants taking turns.

use std::fs;
use std::time::{Duration, Instant};

use super::contestants::Contestant;
use crate::process;
use crate::stop::Stop;

/// Times of one contestant.
#[derive(Debug)]
pub(crate) struct Timed {
    /// Shown in the table.
    pub(crate) name: &'static str,
    /// What it made.
    pub(crate) makes: &'static str,
    /// Whether it is ours.
    pub(crate) ours: bool,
    /// Shortest first, at least one.
    times: Vec<Duration>,
}

impl Timed {
    /// The middle time; the mean of the two in the middle when they are even in number.
    pub(crate) fn median_s(&self) -> f64 {
        let count = self.times.len();
        let middle = &self.times[(count - 1) / 2..=count / 2];
        middle.iter().sum::<Duration>().as_secs_f64() / middle.len() as f64
    }

    /// Shortest and longest time.
    pub(crate) fn range_s(&self) -> (f64, f64) {
        (self.times[0].as_secs_f64(), self.times[self.times.len() - 1].as_secs_f64())
    }
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
            let took = time(contestant)?;
            eprintln!("round {round}: {} {:.3} s", contestant.name, took.as_secs_f64());
            if round == 0 {
                contestant.check_rasters(size)?;
            } else {
                times.push(took);
            }
        }
    }
    Ok(field.iter().zip(times).map(|(contestant, times)| timed(contestant, times)).collect())
}

/// One run, from nothing written to everything written: some tools fail without saying so.
fn time(contestant: &mut Contestant) -> Result<Duration, Stop> {
    for file in contestant.writes.iter().filter(|file| file.exists()) {
        fs::remove_file(file).map_err(|error| Stop::unusable(file.display(), &error))?;
    }
    let start = Instant::now();
    process::capture(&mut contestant.command)?;
    let took = start.elapsed();
    match contestant.writes.iter().find(|file| !file.exists()) {
        None => Ok(took),
        Some(file) => {
            let (name, file) = (contestant.name, file.display());
            Err(Stop::finding(format!("{name} says that it is done, but wrote no {file}")))
        }
    }
}

fn timed(contestant: &Contestant, mut times: Vec<Duration>) -> Timed {
    times.sort_unstable();
    let Contestant { name, makes, ours, .. } = *contestant;
    Timed { name, makes, ours, times }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    fn runner(program: &'static str) -> Contestant {
        let command = std::process::Command::new(program);
        Contestant { name: program, makes: "nothing", ours: true, command, writes: Vec::new() }
    }

    pub(in crate::race) fn of(name: &'static str, ours: bool, seconds: &[u64]) -> Timed {
        let contestant = Contestant { name, makes: "slope", ours, ..runner("true") };
        timed(&contestant, seconds.iter().copied().map(Duration::from_secs).collect())
    }

    #[test]
    fn the_median_is_the_middle() {
        assert!((of("odd", true, &[9, 1, 2]).median_s() - 2.0).abs() < 1e-9);
        assert!((of("even", true, &[9, 1, 2, 4]).median_s() - 3.0).abs() < 1e-9);
        assert!((of("one", true, &[7]).median_s() - 7.0).abs() < 1e-9);
        assert_eq!(of("odd", true, &[9, 1, 2]).range_s(), (1.0, 9.0));
    }

    #[test]
    fn one_round_is_run_and_not_counted() {
        assert_eq!(take_turns(vec![runner("true")], (1, 1), 3).unwrap()[0].times.len(), 3);
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
