//! How a command ends.

use std::process::ExitCode;

use spatial::problem::Problem;

/// Exit status of a command that ran.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// Done, and nothing to look at: 0.
    Done,
    /// Done, and something to look at: 1.
    Findings,
    /// Nothing done, the input must be mended: 2.
    BadInput,
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        Self::from(match outcome {
            Outcome::Done => 0,
            Outcome::Findings => 1,
            Outcome::BadInput => 2,
        })
    }
}

/// Why a command stopped before its end.
#[derive(Debug)]
pub(crate) enum Stop {
    /// The input or the command is wrong.
    Problems(Vec<Problem>),
    /// Nobody reads standard output any more.
    Pipe,
    /// Standard output takes nothing: the disk behind it is full, for instance.
    Screen(std::io::Error),
}

impl From<Vec<Problem>> for Stop {
    fn from(problems: Vec<Problem>) -> Self {
        Self::Problems(problems)
    }
}

impl From<Problem> for Stop {
    fn from(problem: Problem) -> Self {
        Self::Problems(vec![problem])
    }
}

impl From<std::io::Error> for Stop {
    fn from(error: std::io::Error) -> Self {
        if error.kind() == std::io::ErrorKind::BrokenPipe {
            Self::Pipe
        } else {
            Self::Screen(error)
        }
    }
}
