//! The coordinate system and the grid of the plan.

use geo::Rect;
use terrain::{Grid, GridError};

use super::crs::Crs;
use super::raster_file::{MAX_CELLS, RasterFile};
use super::refusal::not_carried;
use crate::problem::Problem;
use crate::site::DefaultTaken;

/// What the keys that mend a problem are called: in `site.toml`, or on the command line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Words {
    pub(super) crs: &'static str,
    pub(super) cell: &'static str,
    pub(super) unit: &'static str,
    pub(super) nodata: &'static str,
}

/// The bare key of one of the words.
pub(super) fn bare(word: &str) -> String {
    word.trim_end_matches([' ', '=']).to_owned()
}

/// Keys of `site.toml`.
pub(super) const SITE: Words = Words {
    crs: "site.crs = ",
    cell: "site.cell_m = ",
    unit: "layers.elevation.unit = ",
    nodata: "layers.elevation.nodata = ",
};

/// Options of the command line.
pub(super) const OPTIONS: Words =
    Words { crs: "--crs ", cell: "--cell ", unit: "--unit ", nodata: "--nodata " };

/// The plan's coordinate system: the one wanted, or the elevation layer's own when it is a map
/// projection in metres.
///
/// # Errors
/// When there is none in metres.
pub(super) fn plan_crs(
    file: &RasterFile,
    wanted: Option<&str>,
    words: &Words,
) -> Result<Crs, Problem> {
    let Some(text) = wanted else { return own_crs(file, words) };
    let fault = || {
        Problem::error(bare(words.crs)).expected("a map projection in metres, such as `EPSG:2193`")
    };
    let grid = "name your national grid, or a UTM zone";
    let crs = Crs::from_user(text).map_err(|reason| fault().found(reason).remedy(grid))?;
    if crs.is_metric() {
        return Ok(crs);
    }
    let found = format!("{}, whose axes are in {}", crs.describe_fully(), crs.unit_name());
    Err(fault().found(found).remedy(grid))
}

fn own_crs(file: &RasterFile, words: &Words) -> Result<Crs, Problem> {
    let own = file.crs()?;
    if own.is_metric() {
        return Ok(own.clone());
    }
    let advice = match suggestion(file, own) {
        Some((zone, cell)) => {
            let quote = if words.crs.ends_with("= ") { "\"" } else { "" };
            format!(
                "set `{}{quote}{zone}{quote}` (or your national grid) and `{}{cell}`; it is then \
                 reprojected",
                words.crs, words.cell
            )
        }
        None => format!("set `{}…` to a map projection in metres", words.crs),
    };
    Err(file
        .fault()
        .found(format!("cells in {}s: the raster is in {}", own.unit_name(), own.describe_fully()))
        .expected("cells in metres, or the projection to bring it to")
        .remedy(advice))
}

/// The UTM zone of the middle of a raster, and a cell size in metres that fits its own.
fn suggestion(file: &RasterFile, own: &Crs) -> Option<(String, f64)> {
    let middle = file.place(file.header.cols as f64 / 2.0, file.header.rows as f64 / 2.0);
    let (longitude, latitude) = own.longitude_latitude_at(middle.0, middle.1).ok()?;
    let zone = ((longitude + 180.0).rem_euclid(360.0) / 6.0).floor() as u32 + 1;
    let code = if latitude < 0.0 { 32_700 + zone } else { 32_600 + zone };
    let name = format!("EPSG:{code}");
    let crs = Crs::from_user(&name).ok()?;
    let cell = default_cell(file, &crs, None).ok()?;
    Some((name, cell))
}

/// A cell side in metres near the raster's own at a place in `crs` (the raster's middle when
/// none is given): the mean of both sides, rounded to one figure.
///
/// # Errors
/// When the place has no coordinates in one of the systems.
pub(super) fn default_cell(
    file: &RasterFile,
    crs: &Crs,
    place: Option<(f64, f64)>,
) -> Result<f64, Problem> {
    let own = file.crs()?;
    let fault = |error: super::crs::TransformError| not_carried(file.fault(), error);
    let (x, y) = match place {
        Some(place) => {
            let mut point = [place];
            crs.transform_points(own, &mut point).map_err(fault)?;
            point[0]
        }
        None => file.place(file.header.cols as f64 / 2.0, file.header.rows as f64 / 2.0),
    };
    let t = &file.header.transform;
    let mut corners = [(x, y), (x + t[1], y + t[4]), (x + t[2], y + t[5])];
    own.transform_points(crs, &mut corners).map_err(fault)?;
    let [at, along, down] = corners;
    let side = |end: (f64, f64)| (end.0 - at.0).hypot(end.1 - at.1);
    Ok(one_figure((side(along) * side(down)).sqrt()))
}

fn one_figure(value: f64) -> f64 {
    let power = value.log10().floor() as i32;
    // A division keeps 0.1, 0.2, … as they are written.
    if power < 0 {
        let scale = 10.0_f64.powi(-power);
        (value * scale).round() / scale
    } else {
        let scale = 10.0_f64.powi(power);
        (value / scale).round() * scale
    }
}

/// Smaller cells are a slip of units: surveys from the air have cells of some centimetres at the least (common practice, no
/// source).
const LEAST_CELL_M: f64 = 0.01;

/// The grid of the plan and, when its cell was chosen here, the default that was taken.
pub(super) struct Target {
    pub(super) grid: Grid,
    pub(super) cell: Option<DefaultTaken>,
}

/// The grid over a rectangle in the plan's system.
///
/// When the raster is upright in that system and no other cell is asked for, its own cells are
/// used, so that nothing is resampled. Otherwise cells are square and their corners lie on
/// multiples of the side. The grid reaches the whole rectangle even where the raster does not.
///
/// # Errors
/// When the cell is no length, or there would be too many cells.
pub(super) fn grid_over(
    file: &RasterFile,
    crs: &Crs,
    reach: Rect<f64>,
    cell: Option<f64>,
    words: &Words,
) -> Result<Target, Problem> {
    if keeps_cells(file, crs, cell) {
        let (width, height) = file.cell_sides();
        let [west, _, _, north] = file.extent();
        let grid = lattice(reach, (west, north), (width, height));
        return checked(file, grid, words).map(|grid| Target { grid, cell: None });
    }
    let middle = reach.center();
    let (side, taken) = if let Some(side) = cell {
        (side, None)
    } else {
        let side = default_cell(file, crs, Some((middle.x, middle.y)))?;
        let taken = DefaultTaken {
            key: bare(words.cell),
            value: side.to_string(),
            source: "the elevation layer's own cell, in metres, rounded to one figure".into(),
        };
        (side, Some(taken))
    };
    let grid = lattice(reach, (0.0, 0.0), (side, side));
    checked(file, grid, words).map(|grid| Target { grid, cell: taken })
}

/// Whether the raster's own cells become the plan's.
pub(super) fn keeps_cells(file: &RasterFile, crs: &Crs, cell: Option<f64>) -> bool {
    let (width, height) = file.cell_sides();
    let own = file.header.crs.as_ref().is_some_and(|own| own.is_same(crs));
    let same = |side: f64| cell.is_none_or(|cell| (side / cell - 1.0).abs() < 1e-9);
    own && file.is_upright() && same(width) && same(height)
}

/// Cells of given sides with a corner at `origin`, enough to hold a rectangle.
fn lattice(reach: Rect<f64>, origin: (f64, f64), sides: (f64, f64)) -> Result<Grid, GridError> {
    // A hair inside, so that a rectangle on the lattice gains no empty row.
    const HAIR: f64 = 1e-6;
    let low = |value: f64, from: f64, side: f64| ((value - from) / side + HAIR).floor();
    let high = |value: f64, from: f64, side: f64| ((value - from) / side - HAIR).ceil();
    let first = low(reach.min().x, origin.0, sides.0);
    let last = high(reach.max().x, origin.0, sides.0).max(first + 1.0);
    // Rows are counted southwards from the origin.
    let top = high(reach.max().y, origin.1, sides.1);
    let bottom = low(reach.min().y, origin.1, sides.1).min(top - 1.0);
    let (west, north) = (origin.0 + first * sides.0, origin.1 + top * sides.1);
    let count = |cells: f64| if cells < 4e9 { cells as usize } else { usize::MAX };
    Grid::new(count(last - first), count(top - bottom), west, north, sides.0, sides.1)
}

fn checked(
    file: &RasterFile,
    grid: Result<Grid, GridError>,
    words: &Words,
) -> Result<Grid, Problem> {
    let fault = |found: String| {
        file.fault()
            .found(found)
            .expected(format!("a grid of at most {MAX_CELLS} cells"))
            .remedy(format!("choose larger cells, `{}…`, or a smaller area", words.cell))
    };
    match grid {
        Ok(grid) if grid.cell_width().min(grid.cell_height()) < LEAST_CELL_M => {
            Err(fault(grid.to_string())
                .expected(format!(
                    "cells of {LEAST_CELL_M} m or more: no ground is known more finely"
                ))
                .remedy(format!(
                    "see in which unit the file measures, or choose larger cells, `{}…`",
                    words.cell
                )))
        }
        Ok(grid) if grid.len() <= MAX_CELLS => Ok(grid),
        Ok(grid) => Err(fault(grid.to_string())),
        Err(error) => Err(fault(error.to_string())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, Tif};

    fn open(tif: Tif) -> RasterFile {
        let folder = Folder::new();
        RasterFile::open("elevation", &tif.write(&folder, "dem.tif")).unwrap()
    }

    fn degrees() -> Tif {
        let step = 1.0 / 1200.0;
        Tif::new(10, 10, step).transform([-84.4, step, 0.0, 36.7, 0.0, -step]).crs("EPSG:4326")
    }

    #[test]
    fn metres_keep_their_own_cells_over_the_reach() {
        let file = open(Tif::new(100, 100, 10.0));
        let crs = plan_crs(&file, None, &SITE).unwrap();
        let reach = Rect::new((1_600_103.0, 5_399_801.0), (1_600_148.0, 5_399_850.0));
        let target = grid_over(&file, &crs, reach, None, &SITE).unwrap();
        let grid = target.grid;
        assert!(target.cell.is_none());
        assert_eq!((grid.west(), grid.north()), (1_600_100.0, 5_399_850.0));
        assert_eq!((grid.cols(), grid.rows()), (5, 5));
    }

    #[test]
    fn another_cell_lies_on_multiples_of_itself() {
        let file = open(Tif::new(100, 100, 10.0));
        let crs = plan_crs(&file, None, &SITE).unwrap();
        let reach = Rect::new((1_600_103.0, 5_399_801.0), (1_600_148.0, 5_399_850.0));
        let grid = grid_over(&file, &crs, reach, Some(8.0), &SITE).unwrap().grid;
        assert_eq!(grid.west() % 8.0, 0.0);
        assert_eq!(grid.north() % 8.0, 0.0);
        assert!(grid.west() <= 1_600_103.0 && grid.south() <= 5_399_801.0);
        assert!(grid.east() >= 1_600_148.0 && grid.north() >= 5_399_850.0);
    }

    #[test]
    fn degrees_and_feet_are_refused_with_a_way_out() {
        let problem = plan_crs(&open(degrees()), None, &SITE).unwrap_err();
        assert!(problem.found.contains("degree"), "{problem}");
        assert!(problem.remedy.contains("site.crs = \"EPSG:32616\""), "{problem}");
        assert!(problem.remedy.contains("site.cell_m = 80"), "{problem}");
        let feet = Tif::new(10, 10, 30.0)
            .transform([2_000_000.0, 30.0, 0.0, 600_000.0, 0.0, -30.0])
            .crs("EPSG:2264");
        let problem = plan_crs(&open(feet), None, &OPTIONS).unwrap_err();
        assert!(problem.found.contains("foot"), "{problem}");
        assert!(problem.remedy.contains("--crs EPSG:32617"), "{problem}");
    }

    #[test]
    fn a_default_cell_comes_from_the_source_at_the_place() {
        // 3″ at 36.7° N: 92.6 m along the meridian, 74.5 m along the parallel.
        let file = open(degrees());
        let utm = Crs::from_user("EPSG:32616").unwrap();
        assert_eq!(default_cell(&file, &utm, None).unwrap(), 80.0);
        let mut place = [(-84.395, 36.695)];
        Crs::from_user("EPSG:4326").unwrap().transform_points(&utm, &mut place).unwrap();
        let (x, y) = place[0];
        let reach = Rect::new((x, y), (x + 200.0, y + 200.0));
        let target = grid_over(&file, &utm, reach, None, &SITE).unwrap();
        assert_eq!(target.cell.unwrap().value, "80");
        assert_eq!(target.grid.cell_width(), 80.0);
    }

    #[test]
    fn figures_are_rounded_to_one() {
        let found = [83.0, 7.6, 0.27, 1.0, 0.95, 31.0].map(one_figure);
        assert_eq!(found, [80.0, 8.0, 0.3, 1.0, 1.0, 30.0]);
    }

    #[test]
    fn a_wish_that_is_no_metric_system_is_refused() {
        let file = open(degrees());
        for wish in ["EPSG:4326", "EPSG:2264", "nonsense"] {
            assert!(plan_crs(&file, Some(wish), &SITE).is_err(), "{wish}");
        }
        assert_eq!(plan_crs(&file, Some("EPSG:32616"), &SITE).unwrap().describe(), "EPSG:32616");
    }

    #[test]
    fn cells_finer_than_any_survey_are_a_slip_of_units() {
        let folder = Folder::new();
        let path = Tif::new(40, 40, 1e-6).write(&folder, "fine.tif");
        let file = RasterFile::open("elevation", &path).unwrap();
        let crs = Crs::from_user("EPSG:2193").unwrap();
        let [west, south, east, north] = file.extent();
        let reach = Rect::new((west, south), (east, north));
        let problem = grid_over(&file, &crs, reach, None, &OPTIONS).err().unwrap();
        assert!(problem.is_error() && problem.remedy.contains("unit"), "{problem}");
        assert!(grid_over(&file, &crs, reach, Some(0.02), &OPTIONS).is_ok());
    }

    #[test]
    fn too_many_cells_are_refused_before_memory_is_taken() {
        let file = open(Tif::new(10, 10, 10.0));
        let crs = plan_crs(&file, None, &SITE).unwrap();
        let reach = Rect::new((1_600_000.0, 5_300_000.0), (1_700_000.0, 5_400_000.0));
        let problem = grid_over(&file, &crs, reach, Some(0.01), &SITE).err().unwrap();
        assert!(problem.remedy.contains("site.cell_m"), "{problem}");
    }
}
