//! A raster file: what its header says, and windows of it.

use std::path::{Path, PathBuf};

use gdal::raster::RasterBand;
use gdal::{Dataset, DatasetOptions, GdalOpenFlags};

use super::block_cache::limit_block_cache;
use super::chatter;
use super::crs::Crs;
use super::refusal::not_read;
use crate::problem::Problem;

/// The most cells read into memory at once: 1 GiB of elevations.
pub const MAX_CELLS: usize = 1 << 28;

/// Values beyond this stand for holes in files that round their no-data value differently in the
/// header and in the cells (float32's lowest, −3.4e38, is the usual one).
const ABSURD: f64 = 1e30;

/// Cells read from GDAL in one call.
const STRIP_CELLS: usize = 1 << 20;

/// Cells of a raster over all of which some are picked.
const SPREAD_CELLS: usize = 25_000_000;

/// Sides of the square of cells that is looked at of any raster.
const SOME_SIDE: usize = 512;

/// A raster open for reading. Only its first band is used.
pub(super) struct RasterFile {
    /// What it is for, such as `elevation`.
    pub(super) role: String,
    /// Where it is.
    pub(super) path: PathBuf,
    /// What its header says.
    pub(super) header: Header,
    dataset: Dataset,
}

/// What the header of a raster says.
#[derive(Debug, Clone)]
pub(super) struct Header {
    pub(super) cols: usize,
    pub(super) rows: usize,
    /// GDAL's affine transform from column and row to x and y.
    pub(super) transform: [f64; 6],
    pub(super) crs: Option<Crs>,
    pub(super) nodata: Option<f64>,
    /// Unit of the values, empty when not said.
    pub(super) unit: String,
    pub(super) scale: f64,
    pub(super) offset: f64,
    pub(super) data_type: String,
    pub(super) bands: usize,
}

/// Cells of a raster: first column and row, and how many.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Window {
    pub(super) col: usize,
    pub(super) row: usize,
    pub(super) cols: usize,
    pub(super) rows: usize,
}

impl Window {
    /// Number of cells, refused before anything is allocated when there are too many.
    pub(super) fn len(&self) -> Option<usize> {
        self.cols.checked_mul(self.rows).filter(|cells| *cells <= MAX_CELLS)
    }
}

impl RasterFile {
    /// Opens a raster in any format that GDAL reads.
    ///
    /// # Errors
    /// When it is missing, is no raster, or its header makes no sense.
    pub(super) fn open(role: &str, path: &Path) -> Result<Self, Problem> {
        let fault = || Problem::error(role).file(path);
        exists(role, path)?;
        let dataset = open_dataset(path, GdalOpenFlags::GDAL_OF_RASTER).map_err(|reason| {
            let vector = open_dataset(path, GdalOpenFlags::GDAL_OF_VECTOR).is_ok();
            let found = if vector { "a vector file".to_owned() } else { reason };
            fault()
                .found(found)
                .expected("a raster that GDAL can read")
                .remedy("check the path; `gdalinfo` on the file should succeed")
        })?;
        let header = read_header(&dataset).map_err(|found| {
            fault()
                .found(found)
                .expected("a raster with one value a cell, placed on the map")
                .remedy("it may be cut short or damaged: fetch it again, or write it anew with `gdal_translate`")
        })?;
        let file = Self { role: role.to_owned(), path: path.to_path_buf(), header, dataset };
        file.check_size()?;
        Ok(file)
    }

    /// A problem with this file.
    pub(super) fn fault(&self) -> Problem {
        Problem::error(self.role.as_str()).file(&self.path)
    }

    /// The same as a warning.
    pub(super) fn remark(&self) -> Problem {
        Problem::warning(self.role.as_str()).file(&self.path)
    }

    /// The coordinate system.
    ///
    /// # Errors
    /// When the file has none.
    pub(super) fn crs(&self) -> Result<&Crs, Problem> {
        self.header.crs.as_ref().ok_or_else(|| {
            self.fault()
                .found("no coordinate system")
                .expected("a raster that says which coordinate system it is in")
                .remedy(format!(
                    "find out which it is and write it into the file, for instance \
                     `gdal_edit.py -a_srs EPSG:2193 {}`",
                    self.path.display()
                ))
        })
    }

    /// Columns and rows of the blocks in which the file is organised: each is read whole.
    pub(super) fn block_sides(&self) -> Result<(usize, usize), Problem> {
        Ok(self.band()?.block_size())
    }

    fn check_size(&self) -> Result<(), Problem> {
        let size = self.block_sides()?;
        if size.0.checked_mul(size.1).is_some_and(|cells| cells <= MAX_CELLS) {
            return Ok(());
        }
        Err(self
            .fault()
            .found(format!("blocks of {} × {} cells", size.0, size.1))
            .expected(format!("blocks of at most {MAX_CELLS} cells"))
            .remedy("rewrite it in tiles: `gdal_translate -co TILED=YES IN OUT`"))
    }

    fn band(&self) -> Result<RasterBand<'_>, Problem> {
        let band = self.dataset.rasterband(1);
        band.map_err(|error| not_read(self.fault(), chatter::reason(&error)))
    }

    /// The whole raster as a window.
    #[cfg(test)]
    pub(super) fn whole(&self) -> Window {
        Window { col: 0, row: 0, cols: self.header.cols, rows: self.header.rows }
    }

    /// Values of a window, scale and offset applied, holes NaN. `holes` is one more value that
    /// stands for a hole, as it is stored.
    ///
    /// # Errors
    /// When the window is too large for memory, or the file is cut short or broken.
    pub(super) fn values(&self, window: Window, holes: Option<f64>) -> Result<Vec<f32>, Problem> {
        self.check_window(window)?;
        let mut cells = vec![f32::NAN; window.cols * window.rows];
        self.values_into(window, holes, &mut cells)?;
        Ok(cells)
    }

    /// The same into room for exactly as many; quicker where GDAL's cells can be taken as they are.
    ///
    /// # Errors
    /// As [`RasterFile::values`].
    pub(super) fn values_into(
        &self,
        window: Window,
        holes: Option<f64>,
        cells: &mut [f32],
    ) -> Result<(), Problem> {
        let Header { scale, offset, nodata, ref data_type, .. } = self.header;
        let band = self.band()?;
        let flags = band.mask_flags();
        let plain = flags.is_ok_and(|flags| flags.is_all_valid() || flags.is_nodata());
        let as_stored = data_type == "Float32" && scale.to_bits() == 1.0_f64.to_bits();
        if !(plain && as_stored && offset.abs() <= 0.0) {
            let mut rest = cells.iter_mut();
            return self.each_strip(window, |value, valid| {
                let hole = !valid || !value.is_finite() || value.abs() > ABSURD;
                let hole = hole || holes.is_some_and(|one| same_value(value, one));
                let value = if hole { f32::NAN } else { (value * scale + offset) as f32 };
                rest.next().into_iter().for_each(|cell| *cell = value);
            });
        }
        self.check_window(window)?;
        let from = (window.col as isize, window.row as isize);
        let size = (window.cols, window.rows);
        band.read_into_slice::<f32>(from, size, size, cells, None)
            .map_err(|error| self.broken(&error))?;
        let holes = [nodata, holes].map(|hole| hole.map_or(f32::NAN, |hole| hole as f32));
        for cell in cells {
            let hole = !cell.is_finite() || cell.abs() > ABSURD as f32 || holes.contains(cell);
            *cell = if hole { f32::NAN } else { *cell };
        }
        Ok(())
    }

    /// Codes of a window; `None`: a hole. Scale and offset are left alone.
    ///
    /// # Errors
    /// As [`RasterFile::values`], and when a value is no whole number.
    pub(super) fn codes(&self, window: Window) -> Result<Vec<Option<i64>>, Problem> {
        let mut cells = Vec::new();
        let mut broken = None;
        self.each_strip(window, |value, valid| {
            let hole = !valid || value.is_nan();
            if !hole && (value.fract() != 0.0 || value.abs() > 9e15) {
                broken.get_or_insert(value);
            }
            cells.push((!hole).then_some(value as i64));
        })?;
        match broken {
            None => Ok(cells),
            Some(value) => Err(self
                .fault()
                .found(format!("a value of {value}"))
                .expected("whole numbers: each cell holds the code of its class")
                .remedy("name the raster of codes, not one of measurements")),
        }
    }

    /// Values as they are stored of some cells: all of them spread over a raster of usual size, those of the middle of a
    /// larger one. Holes are left out.
    ///
    /// # Errors
    /// When the file is cut short or broken.
    pub(super) fn some_values(&self) -> Result<Vec<f64>, Problem> {
        let Header { cols, rows, nodata, .. } = self.header;
        let is_usual = cols.checked_mul(rows).is_some_and(|cells| cells <= SPREAD_CELLS);
        let (from, size) = if is_usual {
            ((0, 0), (cols, rows))
        } else {
            let middle = |all: usize| (all - all.min(SOME_SIDE)) / 2;
            let from = (middle(cols) as isize, middle(rows) as isize);
            (from, (cols.min(SOME_SIDE), rows.min(SOME_SIDE)))
        };
        let shape = (size.0.min(SOME_SIDE), size.1.min(SOME_SIDE));
        let read = self.band()?.read_as::<f64>(from, size, shape, None);
        let (_, values) = read.map_err(|error| self.broken(&error))?.into_shape_and_vec();
        let is_hole = |value: &f64| nodata.is_some_and(|hole| same_value(*value, hole));
        let is_value = |value: &f64| value.is_finite() && value.abs() <= ABSURD && !is_hole(value);
        Ok(values.into_iter().filter(is_value).collect())
    }

    /// Calls `cell(value, valid)` for each cell of a window, row by row from the file's top.
    fn each_strip(&self, window: Window, mut cell: impl FnMut(f64, bool)) -> Result<(), Problem> {
        self.check_window(window)?;
        let band = self.band()?;
        let broken = |error: gdal::errors::GdalError| self.broken(&error);
        let all_valid = band.mask_flags().map_err(broken)?.is_all_valid();
        let mask = if all_valid { None } else { Some(band.open_mask_band().map_err(broken)?) };
        let strip = (STRIP_CELLS / window.cols).clamp(1, window.rows);
        for first in (0..window.rows).step_by(strip) {
            let rows = strip.min(window.rows - first);
            let from = (window.col as isize, (window.row + first) as isize);
            let size = (window.cols, rows);
            let values = band.read_as::<f64>(from, size, size, None).map_err(broken)?;
            let valid = match &mask {
                Some(mask) => Some(mask.read_as::<u8>(from, size, size, None).map_err(broken)?),
                None => None,
            };
            for (index, value) in values.data().iter().enumerate() {
                cell(*value, valid.as_ref().is_none_or(|mask| mask.data()[index] != 0));
            }
        }
        Ok(())
    }

    fn broken(&self, error: &gdal::errors::GdalError) -> Problem {
        self.fault()
            .found(format!("cells that cannot be read: {}", chatter::reason(error)))
            .expected("a whole, readable file")
            .remedy("it may be cut short: fetch or export it again")
    }

    fn check_window(&self, window: Window) -> Result<(), Problem> {
        let within = window.cols > 0
            && window.rows > 0
            && window.col + window.cols <= self.header.cols
            && window.row + window.rows <= self.header.rows;
        if !within {
            return Err(not_read(self.fault(), format!("no cells in the window {window:?}")));
        }
        if window.len().is_some() {
            return Ok(());
        }
        Err(self
            .fault()
            .found(format!("{} × {} cells to be read", window.cols, window.rows))
            .expected(format!("at most {MAX_CELLS} cells at once"))
            .remedy("clip the raster to the property, or resample it to larger cells"))
    }

    /// Easting or longitude and northing or latitude of a place given in columns and rows.
    pub(super) fn place(&self, col: f64, row: f64) -> (f64, f64) {
        let t = &self.header.transform;
        (t[0] + col * t[1] + row * t[2], t[3] + col * t[4] + row * t[5])
    }

    /// Whether rows run west to east and columns north to south or south to north.
    pub(super) fn is_upright(&self) -> bool {
        let t = &self.header.transform;
        let side = t[1].abs().max(t[5].abs());
        t[1] > 0.0 && t[2].abs() < 1e-9 * side && t[4].abs() < 1e-9 * side
    }

    /// Whether row 0 is the southernmost.
    pub(super) fn is_south_up(&self) -> bool {
        self.header.transform[5] > 0.0
    }

    /// West, south, east, north of the whole raster, in its own system.
    pub(super) fn extent(&self) -> [f64; 4] {
        let (cols, rows) = (self.header.cols as f64, self.header.rows as f64);
        let corners = [(0.0, 0.0), (cols, 0.0), (0.0, rows), (cols, rows)];
        corners.iter().map(|(col, row)| self.place(*col, *row)).fold(
            [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY],
            |[w, s, e, n], (x, y)| [w.min(x), s.min(y), e.max(x), n.max(y)],
        )
    }

    /// Sides of a cell in the units of its system: along a row, along a column.
    pub(super) fn cell_sides(&self) -> (f64, f64) {
        let t = &self.header.transform;
        (t[1].hypot(t[4]), t[2].hypot(t[5]))
    }
}

/// Whether two stored values are one, allowing for float32 storage.
fn same_value(value: f64, other: f64) -> bool {
    value.total_cmp(&other).is_eq() || (value as f32).total_cmp(&(other as f32)).is_eq()
}

/// Checks that something is there.
///
/// # Errors
/// When there is nothing at the path, or it may not be read.
pub(super) fn exists(role: &str, path: &Path) -> Result<(), Problem> {
    let fault = || Problem::error(role).file(path);
    let barred = |error: std::io::Error| {
        let problem = fault().found(error.to_string()).expected("a file that may be read");
        problem.remedy("check that you may read it, and that its disk is there")
    };
    match std::fs::metadata(path) {
        Ok(about) if about.is_file() => std::fs::File::open(path).map(drop).map_err(barred),
        Ok(_) => Ok(()),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Err(fault()
            .found("no such file")
            .expected("a file")
            .remedy("check the path; paths are relative to the folder of site.toml")),
        Err(error) => Err(barred(error)),
    }
}

/// Opens a dataset for reading, saying why when it cannot.
pub(super) fn open_dataset(path: &Path, kind: GdalOpenFlags) -> Result<Dataset, String> {
    chatter::silence();
    chatter::take();
    limit_block_cache();
    let flags = GdalOpenFlags::GDAL_OF_READONLY | GdalOpenFlags::GDAL_OF_VERBOSE_ERROR | kind;
    let options = DatasetOptions { open_flags: flags, ..DatasetOptions::default() };
    Dataset::open_ex(path, options).map_err(|error| chatter::reason(&error))
}

fn read_header(dataset: &Dataset) -> Result<Header, String> {
    let (cols, rows) = dataset.raster_size();
    let bands = dataset.raster_count();
    if bands == 0 || cols == 0 || rows == 0 {
        return Err(format!("{bands} bands of {cols} × {rows} cells"));
    }
    let transform = dataset
        .geo_transform()
        .ok()
        .ok_or_else(|| "no georeference: nothing says where its cells lie".to_owned())?;
    let area = transform[1] * transform[5] - transform[2] * transform[4];
    if transform.iter().any(|part| !part.is_finite()) || area == 0.0 {
        return Err(format!("a georeference that cannot be: {transform:?}"));
    }
    let band = dataset.rasterband(1).map_err(|error| chatter::reason(&error))?;
    let data_type = band.band_type().to_string();
    if data_type.starts_with('C') {
        return Err(format!("complex numbers ({data_type})"));
    }
    let (scale, offset) = (band.scale().unwrap_or(1.0), band.offset().unwrap_or(0.0));
    if !scale.is_finite() || !offset.is_finite() || scale == 0.0 {
        return Err(format!("a scale of {scale} and an offset of {offset}"));
    }
    let crs = dataset.spatial_ref().ok().map(|found| Crs::from_spatial_ref(&found)).transpose()?;
    let (nodata, unit) = (band.no_data_value(), band.unit());
    Ok(Header { cols, rows, transform, crs, nodata, unit, scale, offset, data_type, bands })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, Tif};

    #[test]
    fn header_and_values_come_back() {
        let folder = Folder::new();
        let file = Tif::new(3, 2, 10.0).cells(vec![1.0, 2.0, 3.0, 4.0, -9999.0, 6.0]);
        let path = file.nodata(-9999.0).unit("m").write(&folder, "dem.tif");
        let raster = RasterFile::open("elevation", &path).unwrap();
        assert_eq!((raster.header.cols, raster.header.rows), (3, 2));
        assert_eq!(raster.header.nodata, Some(-9999.0));
        assert_eq!(raster.header.unit, "m");
        assert_eq!(raster.header.crs.as_ref().unwrap().describe(), "EPSG:2193");
        let cells = raster.values(raster.whole(), None).unwrap();
        assert_eq!(cells[..4], [1.0, 2.0, 3.0, 4.0]);
        assert!(cells[4].is_nan());
    }

    #[test]
    fn scale_and_offset_are_applied_and_nan_and_infinity_are_holes() {
        let folder = Folder::new();
        let cells = vec![10.0, f32::NAN, f32::INFINITY, -3.4e38];
        let path = Tif::new(4, 1, 10.0).cells(cells).scale(0.1, 100.0).write(&folder, "dem.tif");
        let raster = RasterFile::open("elevation", &path).unwrap();
        let values = raster.values(raster.whole(), None).unwrap();
        assert!((values[0] - 101.0).abs() < 1e-5);
        assert!(values[1..].iter().all(|value| value.is_nan()));
    }

    #[test]
    fn a_value_named_as_hole_becomes_one() {
        let folder = Folder::new();
        let path = Tif::new(2, 1, 10.0).cells(vec![5.0, -32768.0]).write(&folder, "dem.tif");
        let raster = RasterFile::open("elevation", &path).unwrap();
        let values = raster.values(raster.whole(), Some(-32768.0)).unwrap();
        assert!(values[1].is_nan() && !values[0].is_nan());
    }

    #[test]
    fn fractions_are_no_codes() {
        let folder = Folder::new();
        let path = Tif::new(2, 1, 10.0).cells(vec![5.0, 2.5]).write(&folder, "cover.tif");
        let raster = RasterFile::open("cover", &path).unwrap();
        let problem = raster.codes(raster.whole()).unwrap_err();
        assert!(problem.found.contains("2.5"), "{problem}");
    }

    #[test]
    fn missing_broken_and_unplaced_files_are_told_apart() {
        let folder = Folder::new();
        let missing = RasterFile::open("elevation", &folder.path("none.tif")).err().unwrap();
        assert!(missing.found.contains("no such file"), "{missing}");

        std::fs::write(folder.path("broken.tif"), "not a raster").unwrap();
        let broken = RasterFile::open("elevation", &folder.path("broken.tif")).err().unwrap();
        assert!(broken.found.contains("not recognized"), "{broken}");

        let path = Tif::new(2, 2, 10.0).cells(vec![0.0; 4]).no_crs().write(&folder, "no.tif");
        let raster = RasterFile::open("elevation", &path).unwrap();
        assert!(raster.crs().unwrap_err().remedy.contains("a_srs"));

        std::fs::write(folder.path("v.geojson"), r#"{"type":"FeatureCollection","features":[]}"#)
            .unwrap();
        let vector = RasterFile::open("elevation", &folder.path("v.geojson")).err().unwrap();
        assert!(vector.found.contains("vector"), "{vector}");
    }

    #[test]
    fn a_header_that_asks_for_the_world_is_refused_before_memory_is_taken() {
        let folder = Folder::new();
        // 2,000,000,000 × 2,000,000,000 cells in a few hundred bytes.
        let text = r#"<VRTDataset rasterXSize="2000000000" rasterYSize="2000000000">
            <SRS>EPSG:2193</SRS><GeoTransform>0,1,0,0,0,-1</GeoTransform>
            <VRTRasterBand dataType="Float32" band="1"/></VRTDataset>"#;
        std::fs::write(folder.path("huge.vrt"), text).unwrap();
        let raster = RasterFile::open("elevation", &folder.path("huge.vrt")).unwrap();
        let problem = raster.values(raster.whole(), None).unwrap_err();
        assert!(problem.expected.contains("at most"), "{problem}");
    }

    #[test]
    fn a_file_cut_short_is_an_error_and_not_a_hole() {
        let folder = Folder::new();
        let path = Tif::new(64, 64, 10.0).cells(vec![7.0; 64 * 64]).write(&folder, "dem.tif");
        let bytes = std::fs::read(&path).unwrap();
        for part in 1..16 {
            let cut = folder.path("cut.tif");
            std::fs::write(&cut, &bytes[..bytes.len() * part / 16]).unwrap();
            let outcome = RasterFile::open("elevation", &cut)
                .and_then(|raster| raster.values(raster.whole(), None));
            let problem = outcome.err().unwrap();
            assert!(problem.to_string().contains("cut.tif"), "{part}/16: {problem}");
        }
    }
}
