//! Why a chore stopped.

use std::fmt::Display;
use std::process::ExitCode;

/// A chore that cannot go on: what to tell the person, and the exit status.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Stop {
    message: String,
    status: u8,
}

impl Stop {
    /// Something that was checked does not hold: exit status 1.
    pub(crate) fn finding(message: impl Into<String>) -> Self {
        Self { message: message.into(), status: 1 }
    }

    /// A finding that the person has been told of already: exit status 1.
    pub(crate) fn told() -> Self {
        Self::finding("")
    }

    /// The machine or the command is not as it must be: exit status 2.
    pub(crate) fn unready(message: impl Into<String>) -> Self {
        Self { message: message.into(), status: 2 }
    }

    /// A file or program that could not be used.
    pub(crate) fn unusable(what: impl Display, error: &std::io::Error) -> Self {
        Self::unready(format!("{what}: {error}"))
    }

    /// What to tell the person.
    pub(crate) fn message(&self) -> &str {
        &self.message
    }

    /// Says why, and gives the exit status.
    pub(crate) fn report(&self) -> ExitCode {
        if !self.message.is_empty() {
            eprintln!("{}", self.message);
        }
        ExitCode::from(self.status)
    }
}
