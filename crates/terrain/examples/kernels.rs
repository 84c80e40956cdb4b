//! Times single kernels on request: `cargo xtask race` runs this beside other libraries.
//!
//! `kernels ELEVATION.f32 COLS ROWS CELL_M FOLDER`
//!
//! ELEVATION.f32 holds bare little-endian float32 heights, row by row. Reads tasks from standard
//! input, one a line, and answers each with a line of JSON: `{"seconds":"0.123456"}`, or
//! `{"missing":"why"}`. `TASK save` also writes the result to FOLDER as bare floats. Tasks that
//! start from a result of another (flow from the filled surface, wetness from slope) compute that
//! once, uncounted.

use std::error::Error;
use std::io::{BufRead, Write};
use std::path::{Path, PathBuf};
use std::time::Instant;

use rayon::prelude::*;
use terrain::{
    GENTLEST_SLOPE_DEG, Grid, Raster, Routing, SlopeMethod, fill_hollows, flow_area_m2,
    slope_aspect, wetness_index,
};

/// The ground, what later tasks start from, and where results are saved.
struct Course {
    elevation: Raster<f32>,
    filled: Option<Raster<f32>>,
    slope_deg: Option<Raster<f32>>,
    folder: PathBuf,
}

/// Results by name, and the seconds they took.
type Timed = (f64, Vec<(&'static str, Raster<f32>)>);

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [file, cols, rows, cell_m, folder] = arguments.as_slice() else {
        return Err("expected ELEVATION.f32 COLS ROWS CELL_M FOLDER".into());
    };
    let cell_m = cell_m.parse()?;
    let grid = Grid::new(cols.parse()?, rows.parse()?, 0.0, 0.0, cell_m, cell_m)?;
    let elevation = Raster::new(grid, floats(&std::fs::read(file)?))?;
    let mut course =
        Course { elevation, filled: None, slope_deg: None, folder: PathBuf::from(folder) };
    for line in std::io::stdin().lock().lines() {
        let line = line?;
        let (task, save) = line.split_once(' ').map_or((&*line, false), |(task, _)| (task, true));
        let answer = match course.run(task)? {
            Some((seconds, results)) => {
                if save {
                    course.save(&results)?;
                }
                format!("{{\"seconds\":\"{seconds:.6}\"}}")
            }
            None => format!("{{\"missing\":\"no task {task}\"}}"),
        };
        let mut out = std::io::stdout().lock();
        writeln!(out, "{answer}")?;
        out.flush()?;
    }
    Ok(())
}

impl Course {
    /// `None` when there is no such task.
    fn run(&mut self, task: &str) -> Result<Option<Timed>, Box<dyn Error>> {
        Ok(Some(match task {
            "plain_pass" => timed(|| plain_pass(&self.elevation)),
            "slope_aspect" => timed(|| slope_and_aspect(&self.elevation)),
            "fill" => timed(|| vec![("fill", fill_hollows(&self.elevation))]),
            "d8" => {
                let filled = self.filled();
                timed(|| vec![("d8", flow_area_m2(filled, Routing::SteepestDescent))])
            }
            "multiple_flow" => self.wetness()?,
            _ => return Ok(None),
        }))
    }

    fn filled(&mut self) -> &Raster<f32> {
        let elevation = &self.elevation;
        self.filled.get_or_insert_with(|| fill_hollows(elevation))
    }

    /// Multiple flow and the wetness index from it.
    fn wetness(&mut self) -> Result<Timed, Box<dyn Error>> {
        self.filled();
        let elevation = &self.elevation;
        let slope_deg = self
            .slope_deg
            .get_or_insert_with(|| slope_aspect(elevation, SlopeMethod::Horn).slope_deg);
        let filled = self.filled.as_ref().unwrap_or(elevation);
        let start = Instant::now();
        let flow = flow_area_m2(filled, Routing::MULTIPLE_FLOW);
        let wetness = wetness_index(&flow, slope_deg, GENTLEST_SLOPE_DEG)?;
        Ok((start.elapsed().as_secs_f64(), vec![("multiple_flow", flow), ("wetness", wetness)]))
    }

    fn save(&self, results: &[(&str, Raster<f32>)]) -> std::io::Result<()> {
        results.iter().try_for_each(|(name, raster)| {
            write_floats(&self.folder.join(format!("{name}.f32")), raster.cells())
        })
    }
}

fn timed(work: impl FnOnce() -> Vec<(&'static str, Raster<f32>)>) -> Timed {
    let start = Instant::now();
    let results = work();
    (start.elapsed().as_secs_f64(), results)
}

fn slope_and_aspect(elevation: &Raster<f32>) -> Vec<(&'static str, Raster<f32>)> {
    let ground = slope_aspect(elevation, SlopeMethod::Horn);
    vec![("slope", ground.slope_deg), ("aspect", ground.aspect_deg)]
}

/// Reads the ground once and writes two new rasters, as slope and aspect must.
fn plain_pass(elevation: &Raster<f32>) -> Vec<(&'static str, Raster<f32>)> {
    let grid = *elevation.grid();
    let (mut a, mut b) = (Raster::filled(grid, 0.0_f32), Raster::filled(grid, 0.0_f32));
    let pairs =
        a.cells_mut().par_chunks_mut(grid.cols()).zip(b.cells_mut().par_chunks_mut(grid.cols()));
    pairs.zip(elevation.cells().par_chunks(grid.cols())).for_each(|((a, b), from)| {
        for ((a, b), from) in a.iter_mut().zip(b).zip(from) {
            *a = from + 1.0;
            *b = from * 2.0;
        }
    });
    vec![("plain_plus", a), ("plain_times", b)]
}

fn floats(bytes: &[u8]) -> Vec<f32> {
    let (quads, _) = bytes.as_chunks::<4>();
    quads.iter().map(|quad| f32::from_le_bytes(*quad)).collect()
}

fn write_floats(file: &Path, cells: &[f32]) -> std::io::Result<()> {
    let mut out = std::io::BufWriter::new(std::fs::File::create(file)?);
    cells.iter().try_for_each(|cell| out.write_all(&cell.to_le_bytes()))?;
    out.flush()
}
