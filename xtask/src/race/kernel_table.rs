//! The result of computing alone as tables.

use std::fmt::Write;

use super::entrants::TASKS;
use super::kernels::Outcome;
use super::timing::Times;

const SAYS: &str = "Ratio: its time ÷ ours for the task. Libraries tell their own time for the \
                    call, without importing, compiling and copying in; whole programs start, read \
                    and compute, GDAL's drop their result and SAGA writes its into memory. Flow \
                    starts from our filled surface, unless a library fills first as part of it; \
                    ours finds the directions and drains the levels in its time. One run: its \
                    uncounted run took over a minute, so it stands, compiling included.";

/// Markdown: a table for each task.
pub(crate) fn report(
    (cols, rows): (u64, u64),
    outcomes: &[Outcome],
    runs: usize,
    without: &[String],
    versions: &str,
) -> String {
    let cells = (cols * rows) as f64 / 1e6;
    let mut text = format!(
        "## Computing alone\n\n{cols} × {rows} cells ({cells:.2} million) of invented ground, \
         1 m, in centimetres; median of {runs} runs taken in turns after one that is not counted.\n\n"
    );
    if !without.is_empty() {
        let _ = writeln!(text, "Not taking part: {}.\n", without.join(", "));
    }
    // writing to a String cannot fail
    for task in TASKS {
        let of: Vec<_> = outcomes.iter().filter(|outcome| outcome.task == task.name).collect();
        let _ = writeln!(text, "{}", table(task.title, &of));
    }
    if let (Some(d8), Some(multiple)) = (ours_s(outcomes, "d8"), ours_s(outcomes, "multiple_flow"))
    {
        let _ = writeln!(text, "Multiple flow with wetness takes {:.2} × our D8.\n", multiple / d8);
    }
    let _ = write!(text, "{SAYS}\nLibraries: {versions}.");
    text
}

fn ours_s(outcomes: &[Outcome], task: &str) -> Option<f64> {
    let ours = outcomes.iter().find(|outcome| outcome.task == task && outcome.ours)?;
    Some(ours.times.as_ref().ok()?.median_s())
}

fn table(title: &str, outcomes: &[&Outcome]) -> String {
    let mut text = format!(
        "| {title} | median s | fastest–slowest s | ratio | its result beside ours |\n\
         |---|---:|---:|---:|---|\n"
    );
    let ours = outcomes.iter().find(|outcome| outcome.ours);
    let ours = ours.and_then(|ours| ours.times.as_ref().ok()).map_or(f64::NAN, Times::median_s);
    for Outcome { name, times, agrees, .. } in outcomes {
        let figures = times.as_ref().map_or_else(
            |_| "– | – | –".to_owned(),
            |times| {
                let (median, (least, most)) = (times.median_s(), times.range_s());
                format!("{median:.3} | {least:.3}–{most:.3} | {:.2}", median / ours)
            },
        );
        // writing to a String cannot fail
        let _ = writeln!(text, "| {name} | {figures} | {} |", agrees.replace('|', "/"));
    }
    text
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    fn outcome(name: &str, ours: bool, times: Result<u64, &str>) -> Outcome {
        let times = times.map(|seconds| Times::new(vec![Duration::from_secs(seconds)]));
        let (name, times) = (name.to_owned(), times.map_err(str::to_owned));
        Outcome { task: "d8", name, ours, times, agrees: "the same".to_owned() }
    }

    #[test]
    fn the_missing_are_in_the_table() {
        let all =
            [outcome("a", true, Ok(2)), outcome("b", false, Ok(5)), outcome("c", false, Err(""))];
        let text = report((10, 10), &all, 1, &["d".to_owned()], "c 1");
        assert!(text.contains("| a | 2.000 | 2.000–2.000 | 1.00 | the same |"), "{text}");
        assert!(text.contains("| b | 5.000 | 5.000–5.000 | 2.50 | the same |"), "{text}");
        assert!(text.contains("| c | – | – | – | the same |"), "{text}");
        assert!(text.ends_with("Libraries: c 1."));
    }
}
