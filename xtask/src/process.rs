//! Programs that chores start.

use std::env;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use crate::stop::Stop;

/// Whether a program can be started by its name.
pub(crate) fn on_path(program: &str) -> bool {
    find(program).is_some()
}

/// Where a program is, after `PATH`.
fn find(program: &str) -> Option<PathBuf> {
    let folders = env::var_os("PATH")?;
    env::split_paths(&folders).map(|folder| folder.join(program)).find(|file| file.is_file())
}

/// Whether a program starts and succeeds; what it prints is dropped.
pub(crate) fn succeeds(command: &mut Command) -> bool {
    let silent = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    silent.status().is_ok_and(|status| status.success())
}

/// Runs a program in front of the person, without input, and stops when it fails.
pub(crate) fn run(command: &mut Command) -> Result<(), Stop> {
    let status = command
        .stdin(Stdio::null())
        .status()
        .map_err(|error| Stop::unusable(line(command), &error))?;
    if status.success() {
        Ok(())
    } else {
        Err(Stop::finding(format!("failed ({status}): {}", line(command))))
    }
}

/// Runs a program and returns what it printed; what it says on stderr is shown when it fails.
pub(crate) fn capture(command: &mut Command) -> Result<String, Stop> {
    let output = command
        .stdin(Stdio::null())
        .output()
        .map_err(|error| Stop::unusable(line(command), &error))?;
    if output.status.success() {
        return Ok(String::from_utf8_lossy(&output.stdout).into_owned());
    }
    let said = String::from_utf8_lossy(&output.stderr);
    Err(Stop::finding(format!("failed ({}): {}\n{said}", output.status, line(command))))
}

/// The command as a person would type it.
pub(crate) fn line(command: &Command) -> String {
    let program = command.get_program().to_string_lossy().into_owned();
    let arguments = command.get_args().map(|argument| argument.to_string_lossy().into_owned());
    std::iter::once(program).chain(arguments).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn programs_are_found_by_name() {
        assert!(on_path("sh"));
        assert!(!on_path("no-program-has-this-name"));
    }

    #[test]
    fn failures_name_the_command_and_what_it_said() {
        let stop = capture(Command::new("sh").args(["-c", "echo why >&2; exit 3"])).unwrap_err();
        assert!(stop.message().contains("exit status: 3"), "{}", stop.message());
        assert!(stop.message().ends_with("why\n"));
        assert!(run(&mut Command::new("false")).is_err());
        assert!(run(&mut Command::new("no-program-has-this-name")).is_err());
        assert!(succeeds(&mut Command::new("true")) && !succeeds(&mut Command::new("false")));
    }
}
