//! The result as a table.

use std::fmt::Write;
use std::path::Path;

use super::machine;
use super::timing::Timed;

/// Markdown: the table, what the ratios mean.
pub(crate) fn report(size: (u64, u64), field: &[Timed], runs: usize) -> String {
    let (cols, rows) = size;
    let cells = (cols * rows) as f64 / 1e6;
    format!(
        "## Whole programs\n\n{cols} × {rows} cells ({cells:.2} million), median of {runs} runs \
         taken in turns after one that is not counted; elevation in the page cache; files \
         written.\n\n{}\n{SAYS}",
        table(field)
    )
}

/// What all was measured on.
pub(crate) fn measured_on(program: &Path) -> String {
    let (machine, versions) = (machine::description(), machine::versions(program));
    format!("Machine: {machine}.\nVersions: {versions}.")
}

const SAYS: &str = "Ratio: its time ÷ ours, where ours is the time for everything in the first \
                    row. `hillweave` writes tiled, compressed files with overviews, `gdaldem` the \
                    same without overviews; SAGA writes plain ones, and takes a second or two to \
                    load its tools, which counts on small grids. `hillweave` and SAGA use every \
                    core; `gdaldem` computes on one and compresses on all.";

fn table(field: &[Timed]) -> String {
    let ours =
        field.iter().find(|timed| timed.ours).map_or(f64::NAN, |timed| timed.times.median_s());
    let others = field.iter().filter(|timed| !timed.ours);
    let others: f64 = others.map(|timed| timed.times.median_s()).sum();
    let mut text = String::from(
        "| program | makes | median s | fastest–slowest s | ratio | peak MiB |\n\
         |---|---|---:|---:|---:|---:|\n",
    );
    for timed in field {
        let (median, (least, most)) = (timed.times.median_s(), timed.times.range_s());
        let ratio = median / ours;
        let Timed { name, makes, .. } = timed;
        let peak = timed.times.peak_kib();
        let peak = peak.map_or("–".to_owned(), |kib| format!("{:.0}", kib as f64 / 1024.0));
        // writing to a String cannot fail
        let _ = writeln!(
            text,
            "| {name} | {makes} | {median:.3} | {least:.3}–{most:.3} | {ratio:.2} | {peak} |"
        );
    }
    let ratio = others / ours;
    let _ = writeln!(text, "| the others together | | {others:.3} | | {ratio:.2} | |");
    text
}

#[cfg(test)]
mod tests {
    use super::super::timing::tests::of;
    use super::*;

    #[test]
    fn ratios_are_to_our_own_time() {
        let text = table(&[of("a", true, &[2]), of("b", false, &[3]), of("c", false, &[5])]);
        assert!(text.contains("| a | slope | 2.000 | 2.000–2.000 | 1.00 | – |"), "{text}");
        assert!(text.contains("| b | slope | 3.000 | 3.000–3.000 | 1.50 | – |"), "{text}");
        assert!(text.ends_with("| the others together | | 8.000 | | 4.00 | |\n"), "{text}");
    }
}
