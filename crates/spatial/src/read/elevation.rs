//! The elevation layer: metres on the plan's grid, after every doubt about it was looked at.

use std::path::Path;

use geo::Rect;
use terrain::{Grid, Raster};

use super::align::{self, OPTIONS, Words};
use super::crs::Crs;
use super::facts::{LayerFacts, percent};
use super::foreign::Resampling;
use super::raster_file::RasterFile;
use super::refusal::not_carried;
use super::spikes::{Search, Sightings, Suspect};
use super::stretch;
use super::warp::{Patch, coincidence, lay_measurements, window_for};
use crate::problem::Problem;
use crate::site::{DefaultTaken, ElevationSource};
use crate::units::{FOOT_M, US_SURVEY_FOOT_M};

/// An elevation layer on its own, as `hillweave ground --elevation` reads it.
#[derive(Debug, Clone)]
pub struct ElevationLayer {
    /// Metres; holes are NaN.
    pub elevation: Raster<f32>,
    /// Its coordinate system, in metres.
    pub crs: Crs,
    /// Metres in one unit of the file's values.
    pub metres_per_unit: f64,
    /// What was read.
    pub facts: LayerFacts,
    /// Every default taken.
    pub defaults: Vec<DefaultTaken>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
}

/// How a single elevation file is to be read.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ElevationOptions {
    /// Coordinate system to bring it to, such as `EPSG:2193`; `None`: its own.
    pub crs: Option<String>,
    /// Cell side in metres; `None`: its own.
    pub cell: Option<f64>,
    /// Metres in one unit of its values; `None`: as the file says, and metres when it does not.
    pub metres_per_unit: Option<f64>,
    /// Value that stands for holes when the file declares none.
    pub nodata: Option<f64>,
}

/// What came of reading: the raster, and what is to be said about it.
pub(super) struct Read {
    pub(super) raster: Raster<f32>,
    pub(super) metres_per_unit: f64,
    pub(super) facts: LayerFacts,
    pub(super) defaults: Vec<DefaultTaken>,
    pub(super) warnings: Vec<Problem>,
}

/// Fewer cells than this on a side have no slope.
const MIN_CELLS: usize = 3;

/// Values that are reported one by one before the rest are only counted.
const SUSPECTS_TOLD: usize = 5;

/// Reads a whole elevation raster on its own grid, or reprojected when `options` say so.
///
/// # Errors
/// Every fault found, each with its remedy.
pub fn read_elevation(
    file: &Path,
    options: &ElevationOptions,
) -> Result<ElevationLayer, Vec<Problem>> {
    let raster = open(file)?;
    let crs = align::plan_crs(&raster, options.crs.as_deref(), &OPTIONS)?;
    let [west, south, east, north] = bounds_in(&raster, &crs)?;
    let reach = Rect::new((west, south), (east, north));
    let middle = reach.center();
    let stretched = true_to_ground(&raster, &crs, (middle.x, middle.y))?;
    let target = align::grid_over(&raster, &crs, reach, options.cell, &OPTIONS)?;
    let source = ElevationSource {
        file: file.to_path_buf(),
        metres_per_unit: options.metres_per_unit,
        nodata: options.nodata,
    };
    let mut read = read(&raster, &source, &target.grid, &crs, &OPTIONS)?;
    read.defaults.extend(target.cell);
    if read.raster.cells().iter().all(|cell| cell.is_nan()) {
        return Err(all_holes(&raster).into());
    }
    read.warnings.extend(stretched);
    read.warnings.extend(old_datum(&raster, &crs));
    read.facts.range = range_of(read.raster.cells().iter().copied());
    let Read { raster: elevation, metres_per_unit, facts, defaults, warnings } = read;
    Ok(ElevationLayer { elevation, crs, metres_per_unit, facts, defaults, warnings })
}

/// A warning when the map is slightly stretched at the middle of a raster.
///
/// # Errors
/// When it is so stretched that slopes would be wrong.
pub(super) fn true_to_ground(
    file: &RasterFile,
    crs: &Crs,
    middle: (f64, f64),
) -> Result<Option<Problem>, Problem> {
    match stretch::doubt(crs, middle, &OPTIONS).map(|doubt| doubt.file(&file.path)) {
        Some(doubt) if doubt.is_error() => Err(doubt),
        doubt => Ok(doubt),
    }
}

/// Opens an elevation raster.
///
/// # Errors
/// When it cannot be read or is too small to have slopes.
pub(super) fn open(path: &Path) -> Result<RasterFile, Problem> {
    let file = RasterFile::open("elevation", path)?;
    let (cols, rows) = (file.header.cols, file.header.rows);
    if cols >= MIN_CELLS && rows >= MIN_CELLS {
        return Ok(file);
    }
    Err(file
        .fault()
        .found(format!("{cols} × {rows} cells"))
        .expected(format!("at least {MIN_CELLS} × {MIN_CELLS} cells, so that slopes can be taken"))
        .remedy("name a raster that covers the property and ground around it"))
}

/// Outer bounds of a raster in another system.
///
/// # Errors
/// When it has none there.
pub(super) fn bounds_in(file: &RasterFile, crs: &Crs) -> Result<[f64; 4], Problem> {
    let bounds = file.crs()?.transform_bounds(crs, file.extent());
    let fault = |found: String| not_carried(file.fault(), found);
    match bounds {
        Ok(bounds) if bounds.iter().all(|side| side.is_finite()) => Ok(bounds),
        Ok(_) => Err(fault(format!("bounds without a place in {}", crs.describe()))),
        Err(error) => Err(fault(error.to_string())),
    }
}

/// Reads the part of an elevation raster that a grid needs.
///
/// # Errors
/// When the two do not meet, the height unit is not clear, or a value cannot be ground.
pub(super) fn read(
    file: &RasterFile,
    source: &ElevationSource,
    grid: &Grid,
    crs: &Crs,
    words: &Words,
) -> Result<Read, Vec<Problem>> {
    let unit = height_unit(file, source.metres_per_unit, words);
    let window = window_for(file, grid, crs)?.ok_or_else(|| apart(file, grid, crs))?;
    let cells = file.values(window, source.nodata)?;
    let mut patch = Patch { window, cells, hole: f32::NAN };
    let unit = unit?;
    let doubts = doubts(file, &patch, unit.metres, words);
    if !doubts.is_empty() {
        return Err(doubts);
    }
    if (unit.metres - 1.0).abs() > f64::EPSILON {
        for cell in &mut patch.cells {
            *cell = (f64::from(*cell) * unit.metres) as f32;
        }
    }
    let as_it_lies = coincidence(file, grid, crs).is_some();
    let raster = lay_measurements(file, &patch, grid, crs, Resampling::Bilinear)?;
    let side = if (grid.cell_width() - grid.cell_height()).abs() < 1e-9 {
        format!("{} m", grid.cell_width())
    } else {
        format!("{} × {} m", grid.cell_width(), grid.cell_height())
    };
    let how = if as_it_lies {
        format!("its own cells of {side}, not resampled")
    } else {
        let same = file.crs()?.is_same(crs);
        let to = if same { String::new() } else { format!("reprojected to {}, ", crs.describe()) };
        format!("{to}resampled to {side} by interpolating between cell centres")
    };
    let warnings = several_bands(file).into_iter().collect();
    let facts = LayerFacts::of_raster(file, &how);
    let defaults = unit.default.into_iter().collect();
    Ok(Read { raster, metres_per_unit: unit.metres, facts, defaults, warnings })
}

/// Warns that bands beyond the first are left alone.
pub(super) fn several_bands(file: &RasterFile) -> Option<Problem> {
    let found = format!("{} bands", file.header.bands);
    let problem = file.remark().found(found).expected("one band").remedy("the first is used");
    (file.header.bands > 1).then_some(problem)
}

/// Says that a raster does not reach the plan.
pub(super) fn apart(file: &RasterFile, grid: &Grid, crs: &Crs) -> Problem {
    let own = bounds_in(file, crs).map_or_else(
        |_| format!("elsewhere ({:?} in its own system)", file.extent()),
        |[west, south, east, north]| {
            format!("{west:.0} to {east:.0} east, {south:.0} to {north:.0} north")
        },
    );
    file.fault()
        .found(format!("a raster over {own}"))
        .expected(format!(
            "one that covers the property: {:.0} to {:.0} east, {:.0} to {:.0} north in {}",
            grid.west(),
            grid.east(),
            grid.south(),
            grid.north(),
            crs.describe()
        ))
        .remedy("check that both files belong together and declare their true coordinate systems")
}

/// Says that there is not a single value.
pub(super) fn all_holes(file: &RasterFile) -> Problem {
    file.fault()
        .found("holes only: not one cell has a value")
        .expected("elevations")
        .remedy("check the file's no-data value and whether it was exported whole")
}

/// Warns that a shift from an old datum depends on the version of PROJ.
pub(super) fn old_datum(file: &RasterFile, crs: &Crs) -> Option<Problem> {
    let own = file.header.crs.as_ref().filter(|own| !own.is_same(crs))?;
    old_datum_warning(file.remark(), own, crs)
}

/// The same for any layer in the system `own`.
pub(super) fn old_datum_warning(remark: Problem, own: &Crs, crs: &Crs) -> Option<Problem> {
    let datum = own.old_datum().filter(|_| !own.is_same(crs))?;
    let problem = remark
        .found(format!("coordinates on the old datum {datum} ({})", own.describe()))
        .expected(format!("a layer in {}", crs.describe()))
        .remedy(
            "positions may be off by 2–3 m or more, differently for each version of PROJ: convert \
             the layer with the survey authority's own tool where metres matter",
        );
    Some(problem)
}

/// Least and greatest of values that are known.
pub(super) fn range_of(values: impl Iterator<Item = f32>) -> Option<[f64; 2]> {
    values.filter(|value| !value.is_nan()).fold(None, |range, value| {
        let value = f64::from(value);
        let [low, high] = range.unwrap_or([value, value]);
        Some([low.min(value), high.max(value)])
    })
}

pub(super) struct Unit {
    pub(super) metres: f64,
    pub(super) default: Option<DefaultTaken>,
}

/// Metres in one unit of height: as told, as the file says, or metres.
pub(super) fn height_unit(
    file: &RasterFile,
    told: Option<f64>,
    words: &Words,
) -> Result<Unit, Problem> {
    let key = align::bare(words.unit);
    if let Some(metres) = told {
        return Ok(Unit { metres, default: None });
    }
    let by_file = |name: &str, metres: f64| Unit {
        metres,
        default: Some(DefaultTaken {
            key: key.clone(),
            value: format!("{metres} m (`{name}`)"),
            source: "the unit that the elevation file declares".to_owned(),
        }),
    };
    let unclear = |found: String| {
        file.fault()
            .found(found)
            .expected("elevations in metres or feet, and a file that says which")
            .remedy(format!("say what they are in, m, ft or ft_us: `{}…`", words.unit))
    };
    let unit = file.header.unit.trim();
    if !unit.is_empty() {
        let metres = metres_in(unit);
        return metres
            .map(|metres| by_file(unit, metres))
            .ok_or_else(|| unclear(format!("elevations in `{unit}`")));
    }
    let crs = file.header.crs.as_ref();
    if let Some(vertical) = crs.and_then(Crs::height_unit)
        && vertical.metres.is_finite()
    {
        return Ok(by_file(&vertical.name, vertical.metres));
    }
    if let Some(crs) = crs.filter(|crs| !crs.is_metric() && !crs.is_geographic()) {
        let found =
            format!("a map in {}, and nothing says whether heights are too", crs.unit_name());
        return Err(unclear(found));
    }
    let default = DefaultTaken {
        key: key.clone(),
        value: "1 m".to_owned(),
        source: "the elevation file does not say; metres are usual".to_owned(),
    };
    Ok(Unit { metres: 1.0, default: Some(default) })
}

/// Metres in a unit by the names that files use.
fn metres_in(name: &str) -> Option<f64> {
    let name = name.trim().to_lowercase().replace(['_', '-'], " ");
    match name.as_str() {
        "m" | "metre" | "metres" | "meter" | "meters" => Some(1.0),
        "ft" | "foot" | "feet" | "international foot" | "international feet" => Some(FOOT_M),
        "us survey foot" | "us survey feet" | "us ft" | "ftus" | "sft" | "ft us" | "foot us" => {
            Some(US_SURVEY_FOOT_M)
        }
        "dm" | "decimetre" | "decimeter" => Some(0.1),
        "cm" | "centimetre" | "centimeter" => Some(0.01),
        "mm" | "millimetre" | "millimeter" => Some(0.001),
        _ => None,
    }
}

/// Refusals of values in a patch that cannot be ground.
fn doubts(file: &RasterFile, patch: &Patch<f32>, metres: f64, words: &Words) -> Vec<Problem> {
    let window = patch.window;
    let mut seen = Sightings::default();
    seen.look(&Search {
        cells: &patch.cells,
        cols: window.cols,
        origin: (window.row, window.col),
        judged: [0..window.rows, 0..window.cols],
        sides: sides_in_metres(file, patch),
        metres,
    });
    refusals(file, &seen.suspects(), patch.cells.len(), words)
}

/// Refusals of suspicious values found among so many cells.
pub(super) fn refusals(
    file: &RasterFile,
    suspects: &[Suspect],
    cells: usize,
    words: &Words,
) -> Vec<Problem> {
    let told = suspects.iter().take(SUSPECTS_TOLD);
    let mut problems: Vec<_> = told.map(|one| refusal(file, one, cells, words)).collect();
    if suspects.len() > SUSPECTS_TOLD {
        let more = format!("{} more values that cannot be ground", suspects.len() - SUSPECTS_TOLD);
        let rest = file.fault().found(more).expected("elevations of the ground");
        problems.push(rest.remedy("mend the ones above first"));
    }
    problems
}

fn refusal(file: &RasterFile, one: &Suspect, cells: usize, words: &Words) -> Problem {
    let (row, col) = (one.first.0 + 1, one.first.1 + 1);
    let header = &file.header;
    let stored = (f64::from(one.value) - header.offset) / header.scale;
    let (stored, value) = (shortest(stored), one.value);
    let share = percent(one.cells as f64 / cells as f64);
    file.fault()
        .found(format!(
            "an elevation of {value} at row {row}, column {col} (from 1), {} cells, {share} of \
             those read: {}",
            one.cells, one.why
        ))
        .expected("elevations of the ground, and a declared value for holes")
        .remedy(format!(
            "if it stands for a hole, set `{}{stored}`; if the cell is broken, mend the raster",
            words.nodata
        ))
}

/// A stored value without the digits that float32 added.
fn shortest(value: f64) -> String {
    let single = value as f32;
    if (f64::from(single) - value).abs() <= value.abs() * 1e-7 {
        single.to_string()
    } else {
        value.to_string()
    }
}

/// Sides of a source cell in metres, in the middle of a patch.
fn sides_in_metres(file: &RasterFile, patch: &Patch<f32>) -> (f64, f64) {
    use geo::{Distance, Geodesic, Point};
    let (width, height) = file.cell_sides();
    let Some(crs) = file.header.crs.as_ref().filter(|crs| !crs.is_metric()) else {
        return (width, height);
    };
    let window = patch.window;
    let col = window.col as f64 + window.cols as f64 / 2.0;
    let row = window.row as f64 + window.rows as f64 / 2.0;
    let mut ends = [file.place(col, row), file.place(col + 1.0, row), file.place(col, row + 1.0)];
    let degrees = Crs::longitude_latitude();
    if degrees.is_ok_and(|degrees| crs.transform_points(&degrees, &mut ends).is_ok()) {
        let [at, along, down] = ends.map(|(x, y)| Point::new(x, y));
        return (Geodesic.distance(at, along), Geodesic.distance(at, down));
    }
    (width, height)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, Tif};

    fn whole(tif: Tif, options: &ElevationOptions) -> Result<ElevationLayer, Vec<Problem>> {
        let folder = Folder::new();
        read_elevation(&tif.write(&folder, "dem.tif"), options)
    }

    fn hill(tif: Tif) -> Tif {
        tif.fill(|col, row| 200.0 + 2.0 * col as f64 + row as f64)
    }

    #[test]
    fn a_metric_raster_is_read_as_it_lies() {
        let layer = whole(hill(Tif::new(20, 10, 10.0)), &ElevationOptions::default()).unwrap();
        let grid = layer.elevation.grid();
        assert_eq!((grid.cols(), grid.rows(), grid.cell_width()), (20, 10, 10.0));
        assert_eq!((grid.west(), grid.north()), (1_600_000.0, 5_400_000.0));
        assert_eq!(layer.elevation.get(3, 4), Some(211.0));
        assert!(layer.facts.used.contains("not resampled"));
        assert_eq!(layer.defaults[0].value, "1 m");
    }

    #[test]
    fn feet_become_metres_by_the_file_by_the_system_or_by_the_user() {
        let none = ElevationOptions::default();
        let by_file = whole(hill(Tif::new(5, 5, 10.0)).unit("ft"), &none).unwrap();
        assert!((by_file.elevation.at(0, 0) - 60.96).abs() < 1e-4);
        assert!(by_file.defaults[0].value.contains("0.3048"));
        let system = hill(Tif::new(5, 5, 10.0)).crs("EPSG:2193+6360");
        let by_system = whole(system, &none).unwrap();
        assert!((by_system.elevation.at(0, 0) - 60.960_12).abs() < 1e-3);
        let told = ElevationOptions { metres_per_unit: Some(0.3048), ..none.clone() };
        assert!(
            (whole(hill(Tif::new(5, 5, 10.0)), &told).unwrap().elevation.at(0, 0) - 60.96).abs()
                < 1e-4
        );
        let odd = whole(hill(Tif::new(5, 5, 10.0)).unit("fathom"), &none).unwrap_err();
        assert!(odd[0].found.contains("fathom"), "{}", odd[0]);
    }

    #[test]
    fn a_map_in_feet_needs_a_word_about_heights() {
        let feet = || {
            hill(Tif::new(20, 20, 30.0))
                .transform([2_000_000.0, 30.0, 0.0, 600_000.0, 0.0, -30.0])
                .crs("EPSG:2264")
        };
        let mut options =
            ElevationOptions { crs: Some("EPSG:32119".into()), ..ElevationOptions::default() };
        let problems = whole(feet(), &options).unwrap_err();
        assert!(problems[0].remedy.contains("--unit"), "{}", problems[0]);
        options.metres_per_unit = Some(0.3048);
        let layer = whole(feet(), &options).unwrap();
        assert_eq!(layer.elevation.grid().cell_width(), 9.0);
        assert_eq!(layer.crs.describe(), "EPSG:32119");
    }

    #[test]
    fn a_stretched_map_is_refused_whole_and_in_windows() {
        // Web Mercator at 36.6° S: 2 m of ground are 2.5 m of map.
        let tif = |crs: &str, x: f64, y: f64| {
            hill(Tif::new(20, 20, 2.5)).transform([x, 2.5, 0.0, y, 0.0, -2.5]).crs(crs)
        };
        let folder = Folder::new();
        let none = ElevationOptions::default();
        let file = tif("EPSG:3857", 19_480_000.0, -4_390_000.0).write(&folder, "web.tif");
        let whole = read_elevation(&file, &none).unwrap_err();
        let windows = crate::read::ElevationWindows::open(&file, &none, 0).err().unwrap();
        for problems in [whole, windows] {
            assert!(problems[0].found.contains("100 m of ground"), "{}", problems[0]);
            assert!(problems[0].remedy.contains("--crs"), "{}", problems[0]);
        }
        // Brought to a map for the place, it is read.
        let crs = Some("EPSG:2193".to_owned());
        let layer = read_elevation(&file, &ElevationOptions { crs, ..none.clone() }).unwrap();
        assert_eq!(layer.elevation.grid().cell_width(), 2.0);
        // UTM two zones away: 1.3 % too long.
        let file = tif("EPSG:32758", 1_350_000.0, 5_550_000.0).write(&folder, "far.tif");
        let layer = read_elevation(&file, &none).unwrap();
        assert!(layer.warnings[0].found.contains("100 m of ground"), "{:?}", layer.warnings);
    }

    #[test]
    fn undeclared_holes_are_refused_with_the_option_that_mends_them() {
        let tif = || {
            Tif::new(20, 20, 10.0)
                .fill(|col, row| if (col, row) == (7, 4) { -9999.0 } else { 200.0 + col as f64 })
        };
        let problems = whole(tif(), &ElevationOptions::default()).unwrap_err();
        assert!(problems[0].found.contains("-9999 at row 5, column 8"), "{}", problems[0]);
        assert!(problems[0].remedy.contains("--nodata -9999"), "{}", problems[0]);
        let options = ElevationOptions { nodata: Some(-9999.0), ..ElevationOptions::default() };
        assert_eq!(whole(tif(), &options).unwrap().elevation.get(4, 7), None);
    }

    #[test]
    fn rasters_without_ground_are_refused() {
        let none = ElevationOptions::default();
        let empty = Tif::new(5, 5, 10.0).nodata(-9999.0).fill(|_, _| -9999.0);
        assert!(whole(empty, &none).unwrap_err()[0].found.contains("holes only"));
        assert!(whole(Tif::new(1, 1, 10.0), &none).unwrap_err()[0].found.contains("1 × 1"));
        let no_crs = whole(hill(Tif::new(5, 5, 10.0)).no_crs(), &none).unwrap_err();
        assert!(no_crs[0].remedy.contains("a_srs"));
    }

    #[test]
    fn degrees_are_refused_and_reprojected_when_asked() {
        let step = 1.0 / 3600.0;
        let tif = || {
            hill(Tif::new(60, 60, step))
                .transform([173.0, step, 0.0, -41.5, 0.0, -step])
                .crs("EPSG:4326")
        };
        let problems = whole(tif(), &ElevationOptions::default()).unwrap_err();
        assert!(problems[0].remedy.contains("--crs EPSG:32759"), "{}", problems[0]);
        let crs = Some("EPSG:2193".to_owned());
        let layer = whole(tif(), &ElevationOptions { crs, ..ElevationOptions::default() }).unwrap();
        assert_eq!(layer.elevation.grid().cell_width(), 30.0);
        assert!(layer.defaults.iter().any(|one| one.key == "--cell"));
        let known = layer.elevation.cells().iter().filter(|cell| !cell.is_nan()).count();
        assert!(known * 10 > layer.elevation.cells().len() * 9, "{known}");
    }

    #[test]
    fn an_old_datum_is_warned_of() {
        let tif = hill(Tif::new(20, 20, 10.0))
            .transform([2_500_000.0, 10.0, 0.0, 6_000_000.0, 0.0, -10.0])
            .crs("EPSG:27200");
        let crs = Some("EPSG:2193".to_owned());
        let layer = whole(tif, &ElevationOptions { crs, ..ElevationOptions::default() }).unwrap();
        assert!(layer.warnings[0].found.contains("NZGD49"), "{:?}", layer.warnings);
    }
}
