//! `hillweave ground` by size: does the time per cell stay, and the memory bounded?

use std::fmt::Write;
use std::fs;
use std::path::Path;

use super::contestants;
use super::timing::{self, Times};
use crate::dem;
use crate::stop::Stop;

/// From here on one run counts, and none goes before it.
const LONG: f64 = 50e6;

/// Cells of a raster on which the program takes little but what it takes for itself.
const HARDLY_ANY: f64 = 4096.0;

/// One size.
#[derive(Debug)]
struct Sized {
    cols: u64,
    rows: u64,
    times: Times,
}

/// Makes invented ground of each size, and times; the table in Markdown.
pub(crate) fn race(
    maker: &Path,
    program: &Path,
    folder: &Path,
    sizes: &[f64],
    runs: usize,
) -> Result<String, Stop> {
    let own = measure(maker, program, folder, HARDLY_ANY, 1)?.times.peak_kib();
    let measured: Result<Vec<_>, _> =
        sizes.iter().map(|cells| measure(maker, program, folder, *cells, runs)).collect();
    Ok(table(&measured?, own))
}

fn measure(
    maker: &Path,
    program: &Path,
    folder: &Path,
    cells: f64,
    runs: usize,
) -> Result<Sized, Stop> {
    let elevation = folder.join("sized_m.tif");
    let (cols, rows) = dem::make(maker, cells, &elevation)?;
    let mut ours = contestants::ours(program, &elevation, folder);
    let (unchecked, counted) = if cells < LONG { (1, runs) } else { (0, 1) };
    let mut times = Vec::new();
    for round in 0..unchecked + counted {
        let took = timing::time(&mut ours)?;
        eprintln!("{cells:e} cells: {:.3} s", took.took.as_secs_f64());
        if round + 1 > unchecked {
            times.push(took);
        }
    }
    ours.check_rasters((cols, rows))?;
    for file in ours.writes.iter().chain([&elevation]) {
        fs::remove_file(file).map_err(|error| Stop::unusable(file.display(), &error))?;
    }
    Ok(Sized { cols, rows, times: Times::of_runs(&times) })
}

/// `own_kib`: memory that the program takes for itself.
fn table(sizes: &[Sized], own_kib: Option<u64>) -> String {
    let mut text = String::from(
        "## `hillweave ground` by size\n\n\
         | cells | millions | median s | s per million cells | peak memory MiB | ÷ elevation | \
         without its own |\n\
         |---|---:|---:|---:|---:|---:|---:|\n",
    );
    let mut paces = Vec::new();
    for Sized { cols, rows, times } in sizes {
        let millions = (cols * rows) as f64 / 1e6;
        let (median, pace) = (times.median_s(), times.median_s() / millions);
        let bytes = millions * 4e6;
        let memory =
            times.peak_kib().zip(own_kib).map_or("– | – | –".to_owned(), |(kib, own)| {
                let rasters = |kib: u64| kib as f64 * 1024.0 / bytes;
                let above = rasters(kib.saturating_sub(own));
                format!("{:.0} | {:.2} | {above:.2}", kib as f64 / 1024.0, rasters(kib))
            });
        // writing to a String cannot fail
        let _ = writeln!(
            text,
            "| {cols} × {rows} | {millions:.2} | {median:.3} | {pace:.3} | {memory} |"
        );
        paces.push(pace);
    }
    let slowest = paces.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let fastest = paces.iter().copied().fold(f64::INFINITY, f64::min);
    let _ = write!(
        text,
        "\nInvented ground, 1 m; whole program, reading and writing. ÷ elevation: peak memory by \
         the elevation in 32-bit floats; without its own: the same without the {} MiB that the \
         program and its libraries take for {HARDLY_ANY} cells. Time per cell, slowest size ÷ \
         fastest: {:.2}.",
        own_kib.map_or("–".to_owned(), |kib| format!("{:.0}", kib as f64 / 1024.0)),
        slowest / fastest
    );
    text
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    #[test]
    fn the_pace_of_sizes_is_compared() {
        let sized = |cols, seconds| {
            let times = Times::new(vec![Duration::from_secs(seconds)]);
            Sized { cols, rows: 1000, times }
        };
        let text = table(&[sized(1000, 1), sized(4000, 6)], Some(65_536));
        assert!(text.contains("| 1000 × 1000 | 1.00 | 1.000 | 1.000 | – | – | – |"), "{text}");
        assert!(text.contains("| 4000 × 1000 | 4.00 | 6.000 | 1.500 | – | – | – |"), "{text}");
        assert!(text.contains("the 64 MiB that"), "{text}");
        assert!(text.ends_with("slowest size ÷ fastest: 1.50."), "{text}");
    }
}
