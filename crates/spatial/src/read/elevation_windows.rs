//! An elevation raster too large to be held, read a window at a time.

use std::fmt::Write as _;
use std::path::Path;
use std::sync::{Mutex, PoisonError};

use terrain::{Grid, Source, Tiling, Window};

use super::align::{self, OPTIONS};
use super::block_cache::fit_block_cache;
use super::crs::Crs;
use super::elevation::{self, ElevationOptions, height_unit};
use super::plain_copy::PlainCopy;
use super::raster_file::{self, MAX_CELLS, RasterFile};
use super::refusal::not_laid;
use super::spikes::{Search, Sightings};
use crate::problem::Problem;
use crate::site::DefaultTaken;

/// Rasters of more cells than this are read in windows: 100 MiB of elevations.
pub const WHOLE_CELLS: usize = 25 << 20;

/// Rasters of more cells than this are read in windows when nothing calls for the whole: it would
/// take some nine times the memory of its elevations.
pub const SMALL_CELLS: usize = 4 << 20;

/// Side of the windows in which a raster is best worked, at least and at most. A file whose blocks
/// are wider or taller than the most is copied first: each of its blocks would be read again for
/// many windows.
const LEAST_SIDE: usize = 512;
const MOST_SIDE: usize = 2048;

/// The cells of a window are at most one in so many of the raster's, as a window of some ten layers
/// is held at once.
const ONE_IN: usize = 32;

/// An elevation raster read a window at a time, as it lies: metres, holes NaN.
pub struct ElevationWindows {
    file: Mutex<RasterFile>,
    copy: Option<PlainCopy>,
    grid: Grid,
    nodata: Option<f64>,
    /// Metres in one unit of the file's values.
    pub metres_per_unit: f64,
    /// Its coordinate system.
    pub crs: Crs,
    /// Latitude of its middle, north positive, when the system leads to one. Found once: finding a
    /// transformation takes longer than a window.
    pub latitude_deg: Option<f64>,
    /// Every default taken.
    pub defaults: Vec<DefaultTaken>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
}

impl ElevationWindows {
    /// Opens a raster when it has more than `whole_cells`; `None` when it has no more, and is best
    /// read whole.
    ///
    /// Its values are yet to be looked at: [`ElevationWindows::look`].
    ///
    /// # Errors
    /// As [`super::read_elevation`], and when it would have to be reprojected or turned.
    pub fn open(
        path: &Path,
        options: &ElevationOptions,
        whole_cells: usize,
    ) -> Result<Option<Self>, Vec<Problem>> {
        let file = elevation::open(path)?;
        if file.header.cols.saturating_mul(file.header.rows) <= whole_cells {
            return Ok(None);
        }
        let crs = align::plan_crs(&file, options.crs.as_deref(), &OPTIONS)?;
        if !align::keeps_cells(&file, &crs, options.cell) || file.is_south_up() {
            return Err(as_it_lies(&file, &crs, options, whole_cells).into());
        }
        let (width, height) = file.cell_sides();
        let [west, south, east, north] = file.extent();
        let middle = (f64::midpoint(west, east), f64::midpoint(south, north));
        let stretched = elevation::true_to_ground(&file, &crs, middle)?;
        let (cols, rows) = (file.header.cols, file.header.rows);
        let grid = Grid::new(cols, rows, west, north, width, height)
            .map_err(|error| not_laid(file.fault(), error))?;
        let unit = height_unit(&file, options.metres_per_unit, &OPTIONS)?;
        let warnings = elevation::several_bands(&file).into_iter().chain(stretched).collect();
        Ok(Some(Self {
            file: Mutex::new(file),
            copy: None,
            grid,
            nodata: options.nodata,
            metres_per_unit: unit.metres,
            latitude_deg: crs.latitude_of(&grid),
            crs,
            defaults: unit.default.into_iter().collect(),
            warnings,
        }))
    }

    /// Side of the windows in which the raster is best worked: the larger it is the larger, and a
    /// multiple of the sides of tiles that are common.
    #[must_use]
    pub fn side(&self) -> usize {
        side_for(self.grid.len())
    }

    /// Looks at every value once, as when a raster is read whole, and judges when all were seen.
    ///
    /// A file in long strips or large blocks is copied into the folder `scratch` first, 4 bytes a
    /// cell; the copy must stay there as long as the value is used.
    ///
    /// # Errors
    /// When a value cannot be ground, there are none, or the file or the disk fails.
    pub fn look(&mut self, scratch: &Path) -> Result<(), Vec<Problem>> {
        fit_block_cache(self.grid.len() * size_of::<f32>());
        self.copy = self.copied(scratch)?;
        let tiling = Tiling::new(&self.grid, self.side());
        let (mut known, mut seen) = (false, Sightings::default());
        for inner in (0..tiling.count()).map(|tile| tiling.window(tile)) {
            let wide = inner.widened(1, &self.grid);
            let mut cells = vec![0.0; wide.len()];
            self.stored(wide, &mut cells)?;
            known |= cells.iter().any(|cell| !cell.is_nan());
            let (row, col) = (inner.row - wide.row, inner.col - wide.col);
            seen.look(&Search {
                cells: &cells,
                cols: wide.cols,
                origin: (wide.row, wide.col),
                judged: [row..row + inner.rows, col..col + inner.cols],
                sides: (self.grid.cell_width(), self.grid.cell_height()),
                metres: self.metres_per_unit,
            });
            if seen.is_full() {
                break;
            }
        }
        let file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
        let refusals = elevation::refusals(&file, &seen.suspects(), self.grid.len(), &OPTIONS);
        match (refusals.is_empty(), known) {
            (true, true) => Ok(()),
            (true, false) => Err(elevation::all_holes(&file).into()),
            (false, _) => Err(refusals),
        }
    }

    /// A plain copy of a file whose blocks are wider or taller than windows are; each block is read
    /// once.
    fn copied(&self, scratch: &Path) -> Result<Option<PlainCopy>, Problem> {
        let file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
        let (wide, tall) = file.block_sides()?;
        if wide <= MOST_SIDE && tall <= MOST_SIDE {
            return Ok(None);
        }
        let (cols, rows) = (self.grid.cols(), self.grid.rows());
        let copy = PlainCopy::begin(&scratch.join("elevation"), cols)?;
        // Short blocks are taken several at once, tall ones a part at a time.
        let wide = wide.min(cols);
        let room = (self.side().pow(2) / wide).max(1);
        let step = (room / tall).max(1) * tall;
        for top in (0..rows).step_by(step) {
            for col in (0..cols).step_by(wide) {
                let bottom = (top + step).min(rows);
                for row in (top..bottom).step_by(room) {
                    let (rows, cols) = (room.min(bottom - row), wide.min(cols - col));
                    let window = Window { row, col, rows, cols };
                    let mut cells = vec![0.0; window.len()];
                    file.values_into(of_file(window), self.nodata, &mut cells)?;
                    copy.put(window, &cells)?;
                }
            }
        }
        Ok(Some(copy))
    }

    /// Values of a window in the file's own unit, holes NaN.
    fn stored(&self, window: Window, cells: &mut [f32]) -> Result<(), Problem> {
        if let Some(copy) = &self.copy {
            return copy.take(window, cells);
        }
        let file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
        file.values_into(of_file(window), self.nodata, cells)
    }
}

impl Source for ElevationWindows {
    type Error = Problem;

    fn grid(&self) -> &Grid {
        &self.grid
    }

    fn read(&self, window: Window, cells: &mut [f32]) -> Result<(), Problem> {
        self.stored(window, cells)?;
        if (self.metres_per_unit - 1.0).abs() > f64::EPSILON {
            for cell in cells {
                *cell = (f64::from(*cell) * self.metres_per_unit) as f32;
            }
        }
        Ok(())
    }
}

fn side_for(cells: usize) -> usize {
    let side = (cells / ONE_IN).isqrt();
    (side / LEAST_SIDE * LEAST_SIDE).clamp(LEAST_SIDE, MOST_SIDE)
}

fn of_file(window: Window) -> raster_file::Window {
    let Window { row, col, rows, cols } = window;
    raster_file::Window { col, row, cols, rows }
}

/// Refuses what would have to be resampled, and says how to do that first.
fn as_it_lies(
    file: &RasterFile,
    crs: &Crs,
    options: &ElevationOptions,
    whole_cells: usize,
) -> Problem {
    let (cols, rows) = (file.header.cols, file.header.rows);
    let (width, height) = file.cell_sides();
    let own = file.header.crs.as_ref().filter(|own| !own.is_same(crs));
    let mut why = Vec::new();
    let mut warp = String::from("gdalwarp");
    if let Some(own) = own {
        why.push(format!("it is in {} and {} is asked for", own.describe(), crs.describe()));
        // Another system than its own is one that was typed.
        let typed = options.crs.as_deref().unwrap_or_default().trim();
        let quote = if typed.contains(char::is_whitespace) { "'" } else { "" };
        let _ = write!(warp, " -t_srs {quote}{typed}{quote}");
    }
    if !file.is_upright() || file.is_south_up() {
        why.push("its rows do not run from north to south".to_owned());
    }
    if let Some(cell) = options.cell {
        if own.is_none() && !align::keeps_cells(file, crs, options.cell) && file.is_upright() {
            why.push(format!("its cells are {width} × {height} m and {cell} m is asked for"));
        }
        let _ = write!(warp, " -tr {cell} {cell}");
    }
    let more = if cols.saturating_mul(rows) <= MAX_CELLS {
        format!("; or, where memory allows, pass `--whole-cells {}`", cols * rows)
    } else {
        String::new()
    };
    file.fault()
        .found(format!("{cols} × {rows} cells that cannot be used as they lie: {}", why.join(", ")))
        .expected(format!(
            "cells that need no resampling, since rasters of over {whole_cells} cells are worked \
             window by window"
        ))
        .remedy(format!(
            "resample it first, `{warp} -r bilinear -co TILED=YES IN OUT`, and name OUT{more}"
        ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, Tif};

    fn windows(tif: Tif, options: &ElevationOptions) -> Result<ElevationWindows, Vec<Problem>> {
        let folder = Folder::new();
        let path = tif.write(&folder, "dem.tif");
        looked(&path, options, &folder)
    }

    fn looked(
        path: &Path,
        options: &ElevationOptions,
        folder: &Folder,
    ) -> Result<ElevationWindows, Vec<Problem>> {
        let mut windows = ElevationWindows::open(path, options, 0)?.unwrap();
        let scratch = folder.path("scratch");
        std::fs::create_dir_all(&scratch).unwrap();
        let _ = std::fs::remove_file(scratch.join("elevation"));
        windows.look(&scratch).map(|()| windows)
    }

    fn hill(tif: Tif) -> Tif {
        tif.fill(|col, row| 200.0 + 2.0 * col as f64 + row as f64)
    }

    #[test]
    fn windows_grow_with_the_raster_within_limits() {
        let sides = [0, SMALL_CELLS, 10_000_000, 64_000_000, 1 << 30, usize::MAX].map(side_for);
        assert_eq!(sides, [512, 512, 512, 1024, 2048, 2048]);
        for cells in (23..32).map(|power| 1_usize << power) {
            assert!(side_for(cells).pow(2) * ONE_IN <= cells, "{cells}");
        }
    }

    #[test]
    fn a_window_holds_what_the_whole_holds() {
        let folder = Folder::new();
        let path = hill(Tif::new(20, 10, 10.0)).nodata(214.0).unit("ft").write(&folder, "dem.tif");
        let options = ElevationOptions::default();
        let whole = elevation::read_elevation(&path, &options).unwrap().elevation;
        let windows = ElevationWindows::open(&path, &options, 199).unwrap().unwrap();
        assert_eq!(windows.grid(), whole.grid());
        let window = Window { row: 2, col: 3, rows: 5, cols: 7 };
        let mut cells = vec![0.0; window.len()];
        windows.read(window, &mut cells).unwrap();
        for (at, cell) in cells.iter().enumerate() {
            let expected = whole.at(2 + at / 7, 3 + at % 7);
            assert_eq!(cell.to_bits(), expected.to_bits());
        }
        assert!(ElevationWindows::open(&path, &options, 200).unwrap().is_none());
    }

    #[test]
    fn strips_and_large_blocks_are_copied_once_and_give_the_same_cells() {
        // Strips of one row, strips of several, tiles wider than windows, one block for all.
        let blocks: [(usize, &[&str]); 5] = [
            (2100, &[]),
            (2100, &["BLOCKYSIZE=7"]),
            (4500, &["TILED=YES", "BLOCKXSIZE=2064", "BLOCKYSIZE=16"]),
            (40, &["TILED=YES", "BLOCKXSIZE=16", "BLOCKYSIZE=2064", "COMPRESS=DEFLATE"]),
            (40, &["TILED=YES", "BLOCKXSIZE=16", "BLOCKYSIZE=16"]),
        ];
        for (at, (cols, options)) in blocks.into_iter().enumerate() {
            let folder = Folder::new();
            let tif = hill(Tif::new(cols, 20, 1.0)).nodata(214.0).unit("ft").options(options);
            let path = tif.write(&folder, "dem.tif");
            let none = ElevationOptions::default();
            let whole = elevation::read_elevation(&path, &none).unwrap().elevation;
            let windows = looked(&path, &none, &folder).unwrap();
            assert_eq!(windows.copy.is_some(), at < 4, "{options:?}");
            for window in [
                Window { row: 0, col: 0, rows: 20, cols },
                Window { row: 3, col: cols - 30, rows: 9, cols: 25 },
            ] {
                let mut cells = vec![0.0; window.len()];
                windows.read(window, &mut cells).unwrap();
                for (at, cell) in cells.iter().enumerate() {
                    let (row, col) = (window.row + at / window.cols, window.col + at % window.cols);
                    assert_eq!(cell.to_bits(), whole.at(row, col).to_bits(), "{options:?}");
                }
            }
        }
    }

    #[test]
    fn an_undeclared_hole_is_refused() {
        let tif = Tif::new(20, 10, 10.0)
            .fill(|col, row| if (col, row) == (4, 4) { -9999.0 } else { 200.0 + col as f64 });
        let problems = windows(tif, &ElevationOptions::default()).err().unwrap();
        assert!(problems[0].found.contains("-9999"), "{}", problems[0]);
    }

    #[test]
    fn bands_beyond_the_first_are_warned_of() {
        let windows = windows(hill(Tif::new(20, 10, 10.0)).bands(2), &ElevationOptions::default());
        assert!(windows.unwrap().warnings[0].found.contains("2 bands"));
    }

    #[test]
    fn sea_and_cliffs_are_judged_as_the_whole_is() {
        // Sea at 0, a beach in the west that rises to cliffs of 90 m in the east: seen by itself,
        // the east has nothing near 0 in height.
        let coast = |col: usize, row: usize| {
            if row < 10 { 0.0 } else { (col as f64 * 0.1).min(90.0) }
        };
        let folder = Folder::new();
        let (tif, none) = (Tif::new(4500, 20, 10.0).fill(coast), ElevationOptions::default());
        let path = tif.write(&folder, "coast.tif");
        elevation::read_elevation(&path, &none).unwrap();
        looked(&path, &none, &folder).unwrap();
        // With no beach, both refuse it in the same words.
        let cliff = |_: usize, row: usize| if row < 10 { 0.0 } else { 90.0 };
        let path = Tif::new(4500, 20, 10.0).fill(cliff).write(&folder, "cliff.tif");
        let whole = elevation::read_elevation(&path, &none).unwrap_err();
        assert_eq!(looked(&path, &none, &folder).err().unwrap(), whole);
        assert!(whole[0].found.contains("45000 cells, 50.0 %"), "{}", whole[0]);
    }

    #[test]
    fn ground_that_must_be_resampled_is_refused_for_its_own_reason() {
        let refused = |tif: Tif, crs: Option<&str>, cell: Option<f64>| {
            let crs = crs.map(str::to_owned);
            let options = ElevationOptions { crs, cell, ..ElevationOptions::default() };
            windows(tif, &options).err().unwrap().remove(0)
        };
        let tif = || hill(Tif::new(20, 10, 10.0));
        let coarse = refused(tif(), None, Some(3.0));
        assert!(
            coarse.found.ends_with(": its cells are 10 × 10 m and 3 m is asked for"),
            "{coarse}"
        );
        assert!(coarse.remedy.contains("`gdalwarp -tr 3 3 -r bilinear"), "{coarse}");
        assert!(coarse.remedy.contains("--whole-cells 200"), "{coarse}");
        assert!(coarse.expected.contains("over 0 cells"), "{coarse}");
        let elsewhere = refused(tif(), Some("EPSG:32759"), None);
        let why = ": it is in EPSG:2193 and EPSG:32759 is asked for";
        assert!(elsewhere.found.ends_with(why), "{elsewhere}");
        assert!(elsewhere.remedy.contains("`gdalwarp -t_srs EPSG:32759 -r"), "{elsewhere}");
        let south_up = tif().transform([1_600_000.0, 10.0, 0.0, 5_400_000.0, 0.0, 10.0]);
        let south_up = refused(south_up, None, None);
        assert!(south_up.found.ends_with("do not run from north to south"), "{south_up}");
        assert!(south_up.remedy.contains("`gdalwarp -r"), "{south_up}");
    }
}
