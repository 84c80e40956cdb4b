//! A watch over what reads a file: it must come to an end in time, without a panic, and what it says must help.

use std::cell::RefCell;
use std::io::Read;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::{Once, mpsc};
use std::thread;
use std::time::{Duration, Instant};

use spatial::problem::Problem;

use crate::support::names;

/// No reading of a small file takes longer.
pub const LONGEST: Duration = Duration::from_secs(10);

/// Nobody reads more of one thing, characters.
const LONGEST_TEXT: usize = 2_100;

/// How it ended well.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// It was read.
    Read,
    /// It was refused in words that help.
    Refused,
}

/// What a reader of ours hands back.
pub type Outcome = Result<(), Vec<Problem>>;

/// Lets a reader read.
///
/// # Errors
/// What is wrong with how it ended: a panic, no end in time, or a refusal that does not help.
pub fn watch(
    longest: Duration,
    read: impl FnOnce() -> Outcome + Send + 'static,
) -> Result<Ended, String> {
    quiet_readers();
    let (tell, told) = mpsc::channel();
    // A reader that hangs keeps its thread; the test fails and the process ends.
    thread::Builder::new()
        .name(READER.to_owned())
        .stack_size(8 << 20) // as the main thread of a program has it
        .spawn(move || {
            let outcome = catch_unwind(AssertUnwindSafe(read)).map_err(|_panic| PANIC.take());
            let _ = tell.send(outcome);
        })
        .unwrap();
    match told.recv_timeout(longest) {
        Ok(Ok(Ok(()))) => Ok(Ended::Read),
        Ok(Ok(Err(problems))) => helpful(&problems).map(|()| Ended::Refused),
        Ok(Err(panic)) => Err(format!("a panic: {panic}")),
        Err(_) => Err(format!("no end within {longest:?}")),
    }
}

const READER: &str = "reader";

thread_local! {
    /// What a panic on this thread said, with its place.
    static PANIC: RefCell<String> = const { RefCell::new(String::new()) };
}

/// Keeps the panics of readers off the screen, and where they came about.
fn quiet_readers() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let usual = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |panic| match thread::current().name() {
            Some(READER) => PANIC.set(panic.to_string()),
            _ => usual(panic),
        }));
    });
}

/// Whether a refusal says where, what was found, what was expected and the remedy.
///
/// # Errors
/// What it leaves out.
pub fn helpful(problems: &[Problem]) -> Result<(), String> {
    if !problems.iter().any(Problem::is_error) {
        return Err("a refusal without an error".to_owned());
    }
    for problem in problems.iter().filter(|problem| problem.is_error()) {
        let file = problem.file.as_deref().unwrap_or(Path::new("")).to_string_lossy();
        let parts = [
            ("file", &*file),
            ("item", &problem.item),
            ("found", &problem.found),
            ("expected", &problem.expected),
            ("remedy", &problem.remedy),
        ];
        for (part, text) in parts {
            if text.trim().is_empty() {
                return Err(format!("no {part} in\n{problem}"));
            }
            if text.chars().count() > LONGEST_TEXT {
                return Err(format!("too long a text as `{part}` of {}", problem.item));
            }
        }
        if problem.remedy.contains("fault of the program") {
            return Err(format!(
                "a file that was spoilt is taken for a fault of the program:\n{problem}"
            ));
        }
    }
    Ok(())
}

/// What a command did.
pub struct Did {
    /// Its exit status; `None`: it was ended by a signal.
    pub status: Option<i32>,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

/// Runs a command to its end.
///
/// # Errors
/// When it does not end in time; it is killed then.
pub fn run(mut command: Command, longest: Duration) -> Result<Did, String> {
    let begun = Instant::now();
    let mut child =
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // Both are read while it runs: a full pipe would hold it up.
    let read = |mut from: Box<dyn Read + Send>| {
        thread::spawn(move || {
            let mut bytes = Vec::new();
            let _ = from.read_to_end(&mut bytes);
            String::from_utf8_lossy(&bytes).into_owned()
        })
    };
    let out = read(Box::new(child.stdout.take().unwrap()));
    let err = read(Box::new(child.stderr.take().unwrap()));
    let status = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        if begun.elapsed() > longest {
            let _ = child.kill();
            let _ = child.wait();
            return Err(format!("no end within {longest:?}"));
        }
        thread::sleep(Duration::from_millis(2));
    };
    Ok(Did { status: status.code(), out: out.join().unwrap(), err: err.join().unwrap() })
}

/// Runs the program with `--json` in a folder and looks at how it ends: in time, with a documented status, without a
/// panic; refused, with nothing new in the folder and in words that help.
///
/// # Errors
/// What is wrong with how it ended.
pub fn run_program(folder: &Path, arguments: &[&str], longest: Duration) -> Result<Ended, String> {
    let mut command = Command::new(env!("CARGO_BIN_EXE_hillweave"));
    command.args(arguments).arg("--json").current_dir(folder);
    judge(folder, command, longest)
}

/// Runs a command that stands for the program; see [`run_program`].
///
/// # Errors
/// What is wrong with how it ended.
pub fn judge(folder: &Path, command: Command, longest: Duration) -> Result<Ended, String> {
    let before = names(folder);
    let did = run(command, longest)?;
    for sign in ["panicked", "has a fault", "overflowed its stack"] {
        if did.err.contains(sign) {
            return Err(format!("a panic: {}", did.err));
        }
    }
    match did.status {
        Some(0 | 1) => Ok(Ended::Read),
        Some(2) => {
            let after = names(folder);
            if after != before {
                return Err(format!(
                    "refused, and yet something was written: {before:?}, now {after:?}"
                ));
            }
            told(&did.out).map(|()| Ended::Refused)
        }
        other => Err(format!("status {other:?}: {}{}", did.out, did.err)),
    }
}

/// Whether what a script is told of a refusal helps.
///
/// # Errors
/// What is wrong with it.
pub fn told(out: &str) -> Result<(), String> {
    let told: serde_json::Value = serde_json::from_str(out)
        .map_err(|error| format!("{error}: a refusal that is no JSON: {out}"))?;
    let problems = told["problems"].as_array().ok_or("a refusal without problems")?;
    let text =
        |problem: &serde_json::Value, key: &str| problem[key].as_str().unwrap_or("").to_owned();
    let problem = |one: &serde_json::Value| {
        let problem = match one["severity"].as_str() {
            Some("error") => Problem::error(text(one, "item")),
            _ => Problem::warning(text(one, "item")),
        };
        problem
            .file(text(one, "file"))
            .found(text(one, "found"))
            .expected(text(one, "expected"))
            .remedy(text(one, "remedy"))
    };
    helpful(&problems.iter().map(problem).collect::<Vec<_>>())
}
