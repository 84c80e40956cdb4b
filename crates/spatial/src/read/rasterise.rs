//! Shapes onto a grid: polygons by cell centres, streams by every cell touched.

use gdal::raster::{RasterizeOptions, rasterize};
use gdal::vector::ToGdal;
use gdal::{Dataset, DriverManager};
use geo::{Geometry, MultiPolygon};
use terrain::Grid;

use super::chatter;

/// Writes a number into every cell whose centre lies in a shape; a later shape goes over an
/// earlier one, and cells in none hold 0.
///
/// # Errors
/// GDAL's words when it cannot.
pub(super) fn burn(grid: &Grid, shapes: &[(MultiPolygon<f64>, i32)]) -> Result<Vec<i32>, String> {
    burn_with_gdal(grid, shapes).map_err(|error| chatter::reason(&error))
}

/// Which cells have their centre in a shape, row by row.
///
/// # Errors
/// GDAL's words when it cannot.
pub(super) fn inside(grid: &Grid, shape: &MultiPolygon<f64>) -> Result<Vec<bool>, String> {
    let cells = burn(grid, &[(shape.clone(), 1)])?;
    Ok(cells.into_iter().map(|cell| cell == 1).collect())
}

/// 1 for every cell that a line, point or polygon touches, row by row.
///
/// # Errors
/// GDAL's words when it cannot.
pub(super) fn touched(grid: &Grid, shapes: &[Geometry<f64>]) -> Result<Vec<u8>, String> {
    let with_gdal = || -> gdal::errors::Result<Vec<u8>> {
        let mut dataset = memory_dataset::<u8>(grid.cols(), grid.rows(), &transform_of(grid))?;
        let foreign = shapes.iter().map(ToGdal::to_gdal).collect::<Result<Vec<_>, _>>()?;
        let options = RasterizeOptions { all_touched: true, ..RasterizeOptions::default() };
        if !foreign.is_empty() {
            rasterize(&mut dataset, &[1], &foreign, &vec![1.0; foreign.len()], Some(options))?;
        }
        let size = (grid.cols(), grid.rows());
        Ok(dataset.rasterband(1)?.read_as::<u8>((0, 0), size, size, None)?.into_shape_and_vec().1)
    };
    with_gdal().map_err(|error| chatter::reason(&error))
}

fn burn_with_gdal(
    grid: &Grid,
    shapes: &[(MultiPolygon<f64>, i32)],
) -> gdal::errors::Result<Vec<i32>> {
    let mut dataset = memory_dataset::<i32>(grid.cols(), grid.rows(), &transform_of(grid))?;
    let foreign = shapes.iter().map(|(shape, _)| shape.to_gdal()).collect::<Result<Vec<_>, _>>()?;
    let values: Vec<f64> = shapes.iter().map(|(_, value)| f64::from(*value)).collect();
    if !foreign.is_empty() {
        rasterize(&mut dataset, &[1], &foreign, &values, None)?;
    }
    let size = (grid.cols(), grid.rows());
    let read = dataset.rasterband(1)?.read_as::<i32>((0, 0), size, size, None)?;
    Ok(read.into_shape_and_vec().1)
}

/// A raster of one band held in memory.
pub(super) fn memory_dataset<T: gdal::raster::GdalType>(
    cols: usize,
    rows: usize,
    transform: &[f64; 6],
) -> gdal::errors::Result<Dataset> {
    chatter::silence();
    let driver = DriverManager::get_driver_by_name("MEM")?;
    let mut dataset = driver.create_with_band_type::<T, _>("", cols, rows, 1)?;
    dataset.set_geo_transform(transform)?;
    Ok(dataset)
}

/// GDAL's affine transform of a grid.
pub(super) fn transform_of(grid: &Grid) -> [f64; 6] {
    [grid.west(), grid.cell_width(), 0.0, grid.north(), 0.0, -grid.cell_height()]
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Contains, LineString, Point, Polygon, polygon};
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn cells_are_those_whose_centre_is_inside(
            ring in proptest::collection::vec((0.1..39.9_f64, 0.1..29.9_f64), 3..6)
        ) {
            let grid = Grid::new(20, 10, 0.0, 30.0, 2.0, 3.0).unwrap();
            let shape = Polygon::new(LineString::from(ring), vec![]);
            let found = inside(&grid, &MultiPolygon(vec![shape.clone()])).unwrap();
            prop_assume!(is_simple(&shape));
            for row in 0..10 {
                for col in 0..20 {
                    let centre = Point::from(grid.centre(row, col));
                    prop_assert_eq!(shape.contains(&centre), found[grid.index(row, col)]);
                }
            }
        }
    }

    fn is_simple(shape: &Polygon<f64>) -> bool {
        super::super::rings::first_crossing(&MultiPolygon(vec![shape.clone()])).is_none()
    }

    #[test]
    fn a_line_touches_every_cell_on_its_way() {
        let grid = Grid::new(4, 2, 0.0, 20.0, 10.0, 10.0).unwrap();
        let line = LineString::from(vec![(5.0, 15.0), (35.0, 6.0)]);
        assert_eq!(touched(&grid, &[line.into()]).unwrap(), [1, 1, 1, 0, 0, 0, 1, 1]);
        assert_eq!(touched(&grid, &[]).unwrap(), [0; 8]);
    }

    #[test]
    fn later_shapes_go_over_earlier_ones_and_holes_stay_open() {
        let grid = Grid::new(4, 1, 0.0, 10.0, 10.0, 10.0).unwrap();
        let all = polygon! {
            exterior: [(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 10.), (x: 0., y: 10.)],
            interiors: [[(x: 1., y: 1.), (x: 9., y: 1.), (x: 9., y: 9.), (x: 1., y: 9.)]],
        };
        let part = polygon![(x: 20., y: 0.), (x: 30., y: 0.), (x: 30., y: 10.), (x: 20., y: 10.)];
        let shapes = [(MultiPolygon(vec![all]), 1), (MultiPolygon(vec![part]), 2)];
        assert_eq!(burn(&grid, &shapes).unwrap(), [0, 1, 2, 1]);
        assert_eq!(burn(&grid, &[]).unwrap(), [0; 4]);
    }
}
