//! Progress on a terminal, and how long each stage took.

use std::io::IsTerminal;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::screen::Screen;

/// Watches stages begin.
pub(crate) struct Progress {
    bar: ProgressBar,
    stages: Vec<(&'static str, Instant)>,
}

impl Progress {
    /// A bar of `stages` steps on standard error, drawn only on a terminal.
    pub(crate) fn new(stages: usize, screen: &Screen) -> Self {
        let shown = std::io::stderr().is_terminal() && !screen.quiet;
        let target =
            if shown { ProgressDrawTarget::stderr() } else { ProgressDrawTarget::hidden() };
        let bar = ProgressBar::with_draw_target(Some(stages as u64), target);
        if let Ok(style) = ProgressStyle::with_template("{bar:20} {msg}") {
            bar.set_style(style);
        }
        Self { bar, stages: Vec::new() }
    }

    /// A stage begins.
    pub(crate) fn enter(&mut self, stage: &'static str) {
        self.bar.set_position(self.stages.len() as u64);
        self.bar.set_message(stage);
        self.stages.push((stage, Instant::now()));
    }

    /// All done: the bar goes; the stages and how long each took.
    pub(crate) fn finish(self) -> Vec<(&'static str, Duration)> {
        self.bar.finish_and_clear();
        let end = Instant::now();
        let next = self.stages.iter().skip(1).map(|(_, at)| *at).chain([end]);
        self.stages.iter().zip(next).map(|((name, at), next)| (*name, next - *at)).collect()
    }
}

/// Stage times as a small table for standard error.
pub(crate) fn timings_table(stages: &[(&'static str, Duration)]) -> String {
    let total: Duration = stages.iter().map(|(_, took)| *took).sum();
    let line =
        |name: &str, took: Duration| format!("  {name:<8}{:>8.0} ms\n", took.as_secs_f64() * 1e3);
    let lines: String = stages.iter().map(|(name, took)| line(name, *took)).collect();
    format!("{lines}{}", line("total", total)).trim_end().to_owned()
}
