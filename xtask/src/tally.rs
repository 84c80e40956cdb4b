//! Counts tests from what the test runners print.

use std::fmt;

/// Tests that passed and failed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Tally {
    passed: u64,
    failed: u64,
}

impl Tally {
    /// Adds one line of output, if it closes a run.
    pub(crate) fn read(&mut self, line: &str) {
        let Some(result) = line.trim_start().strip_prefix("test result: ") else { return };
        self.passed += count(result, " passed");
        self.failed += count(result, " failed");
    }

    /// Whether any test ran.
    pub(crate) fn is_empty(self) -> bool {
        self == Self::default()
    }

    /// Whether any test failed.
    pub(crate) fn has_failures(self) -> bool {
        self.failed > 0
    }
}

/// The number before a word: 12 in `ok. 12 passed; 0 failed`.
fn count(result: &str, word: &str) -> u64 {
    let before = result.split(word).next().filter(|before| before.len() < result.len());
    let digits = before.and_then(|before| before.rsplit(' ').next());
    digits.and_then(|digits| digits.parse().ok()).unwrap_or(0)
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} passed, {} failed", self.passed, self.failed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closing_lines_add_up_and_nothing_else_counts() {
        let mut tally = Tally::default();
        for line in [
            "running 3 tests",
            "test a ... ok",
            "test result: ok. 12 passed; 0 failed; 1 ignored; 0 measured; 0 filtered out; finished in 0.01s",
            "test result: FAILED. 3 passed; 2 failed; 0 ignored; 0 measured; 7 filtered out",
            "999 passed, 999 failed",
            "test result: ok.",
        ] {
            tally.read(line);
        }
        assert_eq!(tally.to_string(), "15 passed, 2 failed");
        assert!(tally.has_failures() && !tally.is_empty());
    }

    #[test]
    fn a_run_without_a_test_is_empty() {
        let mut tally = Tally::default();
        tally.read("test result: ok. 0 passed; 0 failed; 0 ignored; 0 measured; 0 filtered out");
        assert!(tally.is_empty());
    }
}
