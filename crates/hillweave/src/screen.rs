//! What people and scripts see: data on standard output, talk on standard error.

use std::io::{self, IsTerminal, Write};

use serde::Serialize;
use spatial::problem::{Problem, Severity};

use crate::arguments::{ColorChoice, General};

/// Where and how to print.
#[expect(clippy::struct_excessive_bools, reason = "each is one option of the command line")]
pub(crate) struct Screen {
    /// JSON instead of words.
    pub(crate) json: bool,
    /// Nothing but errors.
    pub(crate) quiet: bool,
    colour_out: bool,
    colour_err: bool,
}

/// The meaning of a colour; each is also said in words.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Ink {
    /// Errors.
    Error,
    /// Warnings.
    Warning,
    /// Headings.
    Strong,
    /// Paths and hints.
    Hint,
}

impl Ink {
    fn code(self) -> &'static str {
        match self {
            Self::Error => "\x1b[1;31m",
            Self::Warning => "\x1b[1;33m",
            Self::Strong => "\x1b[1m",
            Self::Hint => "\x1b[36m",
        }
    }
}

impl Screen {
    /// From the options typed and the terminals at hand.
    pub(crate) fn new(general: &General) -> Self {
        let allowed = std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
            && std::env::var_os("TERM").is_none_or(|term| term != "dumb");
        let colour = |terminal: bool| match general.color {
            ColorChoice::Always => true,
            ColorChoice::Never => false,
            ColorChoice::Auto => allowed && terminal,
        };
        Self {
            json: general.json,
            quiet: general.quiet,
            colour_out: colour(io::stdout().is_terminal()),
            colour_err: colour(io::stderr().is_terminal()),
        }
    }

    /// A text in an ink, for standard output.
    pub(crate) fn ink(&self, ink: Ink, text: &str) -> String {
        inked(self.colour_out, ink, text)
    }

    /// Prints words to standard output, unless quiet or JSON was asked for.
    pub(crate) fn words(&self, text: &str) -> io::Result<()> {
        if self.quiet || self.json { Ok(()) } else { self.data(text) }
    }

    /// Prints a text that was asked for to standard output.
    #[expect(clippy::unused_self, reason = "printing goes through the screen")]
    pub(crate) fn data(&self, text: &str) -> io::Result<()> {
        let mut out = io::stdout().lock();
        out.write_all(text.as_bytes())?;
        out.flush()
    }

    /// Prints a value as JSON to standard output, if JSON was asked for.
    pub(crate) fn json(&self, value: &impl Serialize) -> io::Result<()> {
        if !self.json {
            return Ok(());
        }
        let mut text = serde_json::to_string_pretty(value).map_err(io::Error::other)?;
        text.push('\n');
        self.data(&text)
    }

    /// Says a line on standard error, unless quiet.
    pub(crate) fn talk(&self, text: &str) {
        if !self.quiet {
            // Talk is best effort: a closed standard error must not stop the work.
            let _ = writeln!(io::stderr().lock(), "{text}");
        }
    }

    /// Says what stopped the command: every problem, as words or as JSON, and their number last.
    pub(crate) fn problems(&self, problems: &[Problem]) {
        if self.json {
            #[derive(Serialize)]
            struct Problems<'a> {
                schema: &'static str,
                problems: &'a [Problem],
            }
            let _ = self.json(&Problems { schema: "hillweave.problems/1", problems });
            return;
        }
        let mut err = io::stderr().lock();
        for problem in problems {
            let _ = writeln!(err, "{}\n", problem_words(problem, self.colour_err));
        }
        let errors = problems.iter().filter(|problem| problem.is_error()).count();
        let _ = writeln!(err, "nothing was written: {}", counted(errors, "error"));
    }

    /// Warnings as words for standard output, and their number last; empty where there are none.
    pub(crate) fn to_look_at(&self, warnings: &[Problem]) -> String {
        if warnings.is_empty() {
            return String::new();
        }
        let number = counted(warnings.len(), "warning");
        format!("\n{}{number} to look at\n", self.problem_list(warnings))
    }

    /// Problems as words for standard output.
    pub(crate) fn problem_list(&self, problems: &[Problem]) -> String {
        problems
            .iter()
            .flat_map(|one| [problem_words(one, self.colour_out), "\n\n".to_owned()])
            .collect()
    }
}

/// A line of words under its label.
pub(crate) fn put_line(text: &mut String, label: &str, words: &str) {
    // Writing to a String cannot fail.
    let _ = std::fmt::Write::write_fmt(text, format_args!("  {label:<11} {words}\n"));
}

/// A problem with its severity in front.
fn problem_words(problem: &Problem, colour: bool) -> String {
    let (ink, label) = match problem.severity {
        Severity::Error => (Ink::Error, "error"),
        Severity::Warning => (Ink::Warning, "warning"),
    };
    format!("{}: {problem}", inked(colour, ink, label))
}

fn inked(colour: bool, ink: Ink, text: &str) -> String {
    if colour { format!("{}{text}\x1b[0m", ink.code()) } else { text.to_owned() }
}

/// `1 error`, `2 errors`, `2 days`, `2 deliveries`: a `y` after a consonant alone is changed.
pub(crate) fn counted(number: usize, noun: &str) -> String {
    let after_consonant = |stem: &&str| !stem.ends_with(['a', 'e', 'i', 'o', 'u']);
    match noun.strip_suffix('y').filter(after_consonant) {
        _ if number == 1 => format!("1 {noun}"),
        Some(stem) => format!("{number} {stem}ies"),
        None => format!("{number} {noun}s"),
    }
}

/// Rows of as many cells each in columns, indented; texts to the left, figures to the right.
pub(crate) fn columns<const CELLS: usize>(
    rows: &[[String; CELLS]],
    is_text: impl Fn(usize) -> bool,
) -> String {
    let width = |at: usize| rows.iter().map(|row| row[at].chars().count()).max().unwrap_or(0);
    let widths: [usize; CELLS] = std::array::from_fn(width);
    let line = |row: &[String; CELLS]| {
        let cell = |(at, cell): (usize, &String)| {
            let width = widths[at];
            if is_text(at) { format!("{cell:<width$}") } else { format!("{cell:>width$}") }
        };
        let line = row.iter().enumerate().map(cell).collect::<Vec<_>>().join("  ");
        format!("  {}\n", line.trim_end())
    };
    rows.iter().map(line).collect()
}

/// Says that what was told got lost.
pub(crate) fn say_unheard(error: &io::Error) {
    let problem = Problem::error("standard output")
        .found(error.to_string())
        .expected("a place that takes what is told")
        .remedy("make room where it goes, and run again; a folder that was written is whole");
    let _ = writeln!(io::stderr().lock(), "{}", problem_words(&problem, false));
}

/// A panic is a fault of ours: says so, and what to send.
pub(crate) fn say_bug(fault: &std::panic::PanicHookInfo<'_>) {
    let _ = writeln!(
        io::stderr().lock(),
        "hillweave {} has a fault: {fault}\n  remedy    please report it with this text, the command and, if you may, the site folder",
        env!("CARGO_PKG_VERSION")
    );
}

#[cfg(test)]
mod tests {
    use super::counted;

    #[test]
    fn a_y_after_a_vowel_stays() {
        for (number, noun, told) in [
            (1, "day", "1 day"),
            (365, "day", "365 days"),
            (2, "delivery", "2 deliveries"),
            (0, "error", "0 errors"),
        ] {
            assert_eq!(counted(number, noun), told);
        }
    }
}
