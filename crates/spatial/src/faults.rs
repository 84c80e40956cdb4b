//! What is wrong with one file that people write, as far as anyone will read on.

use std::path::Path;

use crate::problem::Problem;

/// Most faults that are listed: one slip may be in every row, and a file with more is another kind of file.
const MOST: usize = 200;

/// What is wrong with one file, in the order in which it was met.
pub(crate) struct Faults<'f> {
    file: &'f Path,
    problems: Vec<Problem>,
    /// How many errors there are beyond what is listed.
    left_out: usize,
}

impl<'f> Faults<'f> {
    pub(crate) fn new(file: &'f Path) -> Self {
        Self { file, problems: Vec::new(), left_out: 0 }
    }

    /// Keeps a problem at a line and column, both from 1. Beyond the list errors are counted, and
    /// warnings are not told.
    pub(crate) fn report(&mut self, line: usize, column: usize, problem: Problem) {
        if self.is_full() {
            self.leave_out(usize::from(problem.is_error()));
        } else {
            self.problems.push(problem.file(self.file).place(line, column));
        }
    }

    /// Whether no more is listed; what is worked out only to be listed need not be.
    pub(crate) fn is_full(&self) -> bool {
        self.problems.len() >= MOST
    }

    /// Counts errors that are not listed.
    pub(crate) fn leave_out(&mut self, errors: usize) {
        self.left_out += errors;
    }

    /// Whether no error was met.
    pub(crate) fn is_sound(&self) -> bool {
        self.left_out == 0 && !self.problems.iter().any(Problem::is_error)
    }

    /// In the order of the text.
    pub(crate) fn in_order(mut self) -> Self {
        self.problems.sort_by_key(|one| one.place);
        self
    }

    /// What was read and the warnings about it, or everything that is wrong.
    pub(crate) fn or_warned<T>(mut self, read: T) -> Result<(T, Vec<Problem>), Vec<Problem>> {
        if self.is_sound() {
            return Ok((read, self.problems));
        }
        if self.left_out > 0 {
            self.problems.push(
                Problem::error("the rest of the file")
                    .file(self.file)
                    .found(format!("{} more faults, not listed", self.left_out))
                    .expected("a file without a fault")
                    .remedy("mend the ones above first"),
            );
        }
        Err(self.problems)
    }

    /// What was read, where nothing is wrong with it; of readers that do not warn.
    pub(crate) fn or<T>(self, read: T) -> Result<T, Vec<Problem>> {
        self.or_warned(read).map(|(read, _)| read)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn so_many_are_listed_and_the_errors_beyond_are_counted() {
        let file = Path::new("slips.toml");
        let mut faults = Faults::new(file);
        for line in (1..=MOST).rev() {
            assert!(!faults.is_full());
            faults.report(line, 1, Problem::warning("a key"));
        }
        assert!(faults.is_full() && faults.is_sound());
        faults.report(9, 9, Problem::warning("one more key"));
        assert!(faults.is_sound());
        faults.report(9, 9, Problem::error("a wrong key"));
        faults.leave_out(2);
        assert!(!faults.is_sound());
        let told = faults.in_order().or(()).unwrap_err();
        assert_eq!(told.len(), MOST + 1);
        assert_eq!(told[0].place, Some((1, 1)));
        assert_eq!(told[MOST].found, "3 more faults, not listed");
        assert_eq!(told[MOST].file.as_deref(), Some(file));
    }

    #[test]
    fn what_is_only_warned_of_is_read() {
        let mut faults = Faults::new(Path::new("a.toml"));
        faults.report(1, 1, Problem::warning("a key"));
        assert_eq!(faults.or_warned(7).map(|(read, warned)| (read, warned.len())), Ok((7, 1)));
    }
}
