//! A program that is kept running and asked to time one thing after another.

use std::io::{BufRead, BufReader, Write};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

use crate::stop::Stop;
use crate::{json, process};

/// The program, and the line that started it.
#[derive(Debug)]
pub(crate) struct Answering {
    child: Child,
    requests: ChildStdin,
    answers: BufReader<ChildStdout>,
    line: String,
}

/// What it was asked for.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Answer {
    /// Seconds, and how the result agrees with ours when that was asked for.
    Done(f64, Option<String>),
    /// Why there is none.
    Missing(String),
}

impl Answering {
    /// Starts it; what it says on stderr is dropped.
    pub(crate) fn start(command: &mut Command) -> Result<Self, Stop> {
        let line = process::line(command);
        let piped = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null());
        let mut child = piped.spawn().map_err(|error| Stop::unusable(&line, &error))?;
        match (child.stdin.take(), child.stdout.take()) {
            (Some(requests), Some(answers)) => {
                Ok(Self { child, requests, answers: BufReader::new(answers), line })
            }
            _ => Err(Stop::unready(format!("no pipe to {line}"))),
        }
    }

    /// Asks one thing, and waits for the answer.
    pub(crate) fn ask(&mut self, request: &str) -> Result<Answer, Stop> {
        let told = self.tell(request)?;
        let text = |key| json::text(&told, key);
        match text("seconds").and_then(|seconds| seconds.parse().ok()) {
            Some(seconds) => Ok(Answer::Done(seconds, text("agrees"))),
            None => Ok(Answer::Missing(text("missing").unwrap_or(told))),
        }
    }

    /// Asks one thing, and returns the answer as it stands.
    pub(crate) fn tell(&mut self, request: &str) -> Result<String, Stop> {
        let asked = writeln!(self.requests, "{request}").and_then(|()| self.requests.flush());
        let mut told = String::new();
        let read = asked.and_then(|()| self.answers.read_line(&mut told));
        match read {
            Ok(bytes) if bytes > 0 => Ok(told.trim_end().to_owned()),
            _ => Err(Stop::finding(format!("ended when asked `{request}`: {}", self.line))),
        }
    }
}

impl Drop for Answering {
    fn drop(&mut self) {
        // it has nothing to lose, and may be past answering
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shell(script: &str) -> Answering {
        Answering::start(Command::new("sh").args(["-c", script])).unwrap()
    }

    #[test]
    fn answers_are_read() {
        let mut program = shell(
            r#"read a; echo '{"seconds":"1.5","agrees":"the same"}'; read a; echo '{"seconds":"2"}'
            read a; echo '{"missing":"no such library"}'"#,
        );
        assert_eq!(program.ask("a"), Ok(Answer::Done(1.5, Some("the same".to_owned()))));
        assert_eq!(program.ask("b"), Ok(Answer::Done(2.0, None)));
        assert_eq!(program.ask("c"), Ok(Answer::Missing("no such library".to_owned())));
    }

    #[test]
    fn an_end_without_an_answer_is_told() {
        let stop = shell("read a").ask("fill richdem").unwrap_err();
        assert!(stop.message().contains("when asked `fill richdem`"), "{}", stop.message());
    }
}
