//! The lines that rows run along: contours, or a straight line on gentle ground.

use crate::Face;
use crate::face::Within;

/// Rows between two guiding contours, on average: so many can follow one before they leave the
/// contour by much. No source.
const ROWS_A_GUIDE: f64 = 24.0;

/// What rows keep their distance from.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Guides {
    /// Contours at these heights, metres, from the lowest.
    Contours(Vec<f32>),
    /// A straight line through a point, in a direction of length 1.
    Straight { through: [f64; 2], along: [f64; 2] },
}

/// Contours where the ground is steeper, on average, than `straight_below_deg`.
pub(crate) fn guides(face: &Face, spacing_m: f64, straight_below_deg: f64) -> Guides {
    let lie = Lie::of(face);
    if lie.mean_slope_sine < straight_below_deg.to_radians().sin() || lie.cells == 0 {
        return Guides::Straight { through: lie.middle, along: lie.longest };
    }
    let apart_m = ROWS_A_GUIDE * spacing_m * lie.mean_slope_sine;
    let [low, high] = lie.heights.map(f64::from);
    // One through the middle height, the others evenly up and down from it.
    let middle = f64::midpoint(low, high);
    let each_way = ((high - low) / 2.0 / apart_m).floor() as i64;
    let levels = (-each_way..=each_way).map(|step| (middle + step as f64 * apart_m) as f32);
    Guides::Contours(levels.collect())
}

/// How the ground of a block lies as a whole.
pub(crate) struct Lie {
    /// Cells within.
    pub(crate) cells: usize,
    pub(crate) middle: [f64; 2],
    /// Direction in which the block is longest, of length 1.
    pub(crate) longest: [f64; 2],
    /// Lowest and highest.
    pub(crate) heights: [f32; 2],
    /// Mean of the sine of the slope.
    pub(crate) mean_slope_sine: f64,
    /// Rise a metre eastward and northward of the plane closest to the ground.
    pub(crate) plane: [f64; 2],
}

impl Lie {
    pub(crate) fn of(face: &Face) -> Self {
        let grid = face.grid();
        let centre = grid.centre(grid.rows() / 2, grid.cols() / 2);
        let cells = face.within().iter().enumerate().filter(|(_, within)| **within != Within::No);
        let (mut count, mut heights) = (0, [f32::INFINITY, f32::NEG_INFINITY]);
        let mut sums = [0.0; 9];
        for (cell, _) in cells {
            let [x, y] = face.centre(cell);
            let (x, y) = (x - centre.0, y - centre.1);
            let height = face.heights()[cell];
            let z = f64::from(height - face.heights()[0]);
            let cosine = f64::from(face.cosines()[cell]);
            let sine = (1.0 - cosine * cosine).max(0.0).sqrt();
            heights = [heights[0].min(height), heights[1].max(height)];
            let terms = [x, y, x * x, x * y, y * y, z, x * z, y * z, sine];
            for (sum, term) in sums.iter_mut().zip(terms) {
                *sum += term;
            }
            count += 1;
        }
        let [x, y, xx, xy, yy, z, xz, yz, sine] = sums.map(|sum| sum / f64::from(count.max(1)));
        let (xx, xy, yy) = (xx - x * x, xy - x * y, yy - y * y);
        let (xz, yz) = (xz - x * z, yz - y * z);
        let span = xx * yy - xy * xy;
        let plane = if span > 0.0 {
            [(xz * yy - yz * xy) / span, (yz * xx - xz * xy) / span]
        } else {
            [0.0, 0.0]
        };
        // The larger axis of the moments of second order.
        let turn = 0.5 * (2.0 * xy).atan2(xx - yy);
        Self {
            cells: count as usize,
            middle: [x + centre.0, y + centre.1],
            longest: [turn.cos(), turn.sin()],
            heights,
            mean_slope_sine: sine,
            plane,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Outline;
    use terrain::{Grid, Raster};

    /// Cells that are no squares, far from the origin, by metres east and north of a corner.
    fn face(ring: &[[f64; 2]], height: impl Fn(f64, f64) -> f64) -> Face {
        let (west, south) = (70_000.0, 40_000.0);
        let grid = Grid::new(100, 220, west, south + 220.0, 2.0, 1.0).unwrap();
        let heights = Raster::from_fn(grid, |row, col| {
            let (x, y) = grid.centre(row, col);
            height(x - west, y - south) as f32
        });
        let ring = ring.iter().map(|[x, y]| [west + x, south + y]).collect();
        let plants = Raster::filled(grid, 0.1);
        Face::new(&heights, &plants, Outline::new(&[ring]), 4.0).unwrap()
    }

    fn rectangle([west, south]: [f64; 2], [east, north]: [f64; 2]) -> [[f64; 2]; 4] {
        [[west, south], [east, south], [east, north], [west, north]]
    }

    /// Neither along an axis nor symmetrical.
    const CROOKED: [[f64; 2]; 5] =
        [[20.3, 30.1], [90.7, 50.9], [170.2, 150.3], [110.5, 180.7], [60.4, 90.2]];

    /// Rises 0.36 m a metre eastward and 0.48 northward: 0.6 m a metre, up its slope.
    fn plane(x: f64, y: f64) -> f64 {
        300.0 + 0.36 * x + 0.48 * y
    }

    #[test]
    fn a_plane_lies_as_it_was_made() {
        // Edges touch cells 20 to 179 m east and 30 to 129 m north; a ring of cells around belongs.
        let face = face(&rectangle([20.4, 30.5], [179.6, 129.5]), plane);
        let lie = Lie::of(&face);
        assert_eq!(lie.cells, (80 + 2) * (100 + 2));
        let middle = [70_100.0, 40_080.0];
        for axis in 0..2 {
            assert!((lie.middle[axis] - middle[axis]).abs() < 1e-6, "{:?}", lie.middle);
            assert!((lie.plane[axis] - [0.36, 0.48][axis]).abs() < 1e-5, "{:?}", lie.plane);
        }
        // From the south-western to the north-eastern centre.
        let [low, high] = lie.heights.map(f64::from);
        assert!((low - plane(19.0, 29.5)).abs() < 1e-3, "{low}");
        assert!((high - plane(181.0, 130.5)).abs() < 1e-3, "{high}");
        assert!((lie.mean_slope_sine - 0.6 / 1.36_f64.sqrt()).abs() < 1e-5);
        assert!(lie.longest[0].abs() > 0.999_999, "from west to east: {:?}", lie.longest);
    }

    /// What a plane by least squares leaves over rises neither eastward nor northward, nor as a
    /// whole, whatever the ground and the block.
    #[test]
    fn what_is_left_above_the_closest_plane_has_no_lean() {
        let face = face(&CROOKED, |x, y| plane(x, y) + 9.0 * (x / 13.0).sin() * (y / 19.0).cos());
        let lie = Lie::of(&face);
        let cells = || (0..face.grid().len()).filter(|cell| face.within()[*cell] != Within::No);
        let count = cells().count() as f64;
        let mean = cells().map(|cell| f64::from(face.heights()[cell])).sum::<f64>() / count;
        let mut leans = [0.0; 4];
        for cell in cells() {
            let [x, y] = face.centre(cell);
            let (x, y) = (x - lie.middle[0], y - lie.middle[1]);
            let left = f64::from(face.heights()[cell]) - mean - lie.plane[0] * x - lie.plane[1] * y;
            for (lean, term) in leans.iter_mut().zip([x, y, left * x, left * y]) {
                *lean += term / count;
            }
        }
        assert!(leans.iter().all(|lean| lean.abs() < 1e-4), "{leans:?}");
        assert!((lie.plane[0] - 0.36).abs() > 1e-3, "what was added leans by itself");
    }

    /// Along its longest direction a block is spread more than across it, and places along say
    /// nothing of those across.
    #[test]
    fn a_block_is_spread_most_where_it_is_longest() {
        let turned = |degrees: f64| {
            let (sine, cosine) = degrees.to_radians().sin_cos();
            let corners = rectangle([-70.0, -15.0], [70.0, 15.0]);
            corners.map(|[a, b]| [100.0 + a * cosine - b * sine, 110.0 + a * sine + b * cosine])
        };
        for (ring, degrees) in [
            (CROOKED.to_vec(), None),
            (turned(30.0).to_vec(), Some(30.0_f64)),
            (turned(100.0).to_vec(), Some(100.0)),
        ] {
            let face = face(&ring, plane);
            let Lie { middle, longest: [east, north], .. } = Lie::of(&face);
            assert!((east.hypot(north) - 1.0).abs() < 1e-12);
            let (mut along2, mut across2, mut both) = (0.0, 0.0, 0.0);
            for cell in (0..face.grid().len()).filter(|cell| face.within()[*cell] != Within::No) {
                let [x, y] = face.centre(cell);
                let (x, y) = (x - middle[0], y - middle[1]);
                let (along, across) = (x * east + y * north, y * east - x * north);
                along2 += along * along;
                across2 += across * across;
                both += along * across;
            }
            assert!(along2 > 2.0 * across2, "{along2} along, {across2} across");
            assert!(both.abs() < 1e-6 * along2, "{both} of {along2}");
            if let Some(degrees) = degrees {
                let off = north.atan2(east).to_degrees() - degrees;
                assert!((off - 180.0 * (off / 180.0).round()).abs() < 1.0, "{degrees}: {off}");
            }
        }
    }

    /// Half of the block is a plane, half level: slopes are taken from each cell, not from the whole.
    #[test]
    fn the_mean_slope_is_that_of_all_cells() {
        let face = face(&rectangle([20.4, 30.5], [179.6, 129.5]), |x, _| 0.75 * x.max(100.0));
        // A sine of 0.6 in 40 columns and in the one beyond; between the halves a mean rise.
        let kink = 0.375 / (1.0 + 0.375_f64.powi(2)).sqrt();
        let expected = 41.0 * 0.6 / 82.0;
        let found = Lie::of(&face).mean_slope_sine;
        assert!((found - expected).abs() < kink / 82.0, "{found} for {expected}");
    }

    #[test]
    fn ground_gentler_than_the_limit_has_straight_rows_along_the_block() {
        let face = face(&CROOKED, plane);
        let slope = 0.6_f64.atan().to_degrees();
        let Lie { middle, longest, .. } = Lie::of(&face);
        let straight = Guides::Straight { through: middle, along: longest };
        assert_eq!(guides(&face, 4.0, slope + 0.01), straight);
        assert!(matches!(guides(&face, 4.0, slope - 0.01), Guides::Contours(_)));
    }

    #[test]
    fn level_ground_is_not_gentler_than_level() {
        let ring = rectangle([20.4, 30.5], [179.6, 129.5]);
        assert_eq!(guides(&face(&ring, |_, _| 7.0), 4.0, 0.0), Guides::Contours(vec![7.0]));
    }

    /// One row of cells tells nothing of how the ground lies across it.
    #[test]
    fn a_strip_of_ground_has_no_closest_plane() {
        let grid = Grid::new(20, 1, 0.0, 1.0, 1.0, 1.0).unwrap();
        let heights = Raster::from_fn(grid, |_, col| col as f32);
        let ring = rectangle([-9.0, -9.0], [99.0, 99.0]).to_vec();
        let strip = Face::new(&heights, &heights, Outline::new(&[ring]), 4.0).unwrap();
        let lie = Lie::of(&strip);
        assert_eq!((lie.cells, lie.plane.map(f64::to_bits)), (20, [0, 0]));
        assert!((lie.mean_slope_sine - 0.5_f64.sqrt()).abs() < 1e-6);
    }

    #[test]
    fn a_block_of_no_ground_has_no_contours() {
        let nowhere = face(&[], plane);
        assert_eq!(Lie::of(&nowhere).cells, 0);
        assert!(matches!(guides(&nowhere, 4.0, 0.0), Guides::Straight { .. }));
    }

    /// A slope of 3 : 4 has a sine of 0.6: 24 rows of 4 m take 57.6 m of height. From the centres
    /// at 9.5 to those at 210.5 m north the ground rises 150.75 m about 82.5 m: one contour there,
    /// and one on either side.
    #[test]
    fn contours_are_twenty_four_rows_apart_about_the_middle_height() {
        let face = face(&rectangle([20.4, 10.5], [179.6, 209.5]), |_, y| 0.75 * y);
        let Guides::Contours(levels) = guides(&face, 4.0, 5.0) else { panic!("steep ground") };
        assert_eq!(levels.len(), 3, "{levels:?}");
        for (level, expected) in levels.iter().zip([24.9, 82.5, 140.1]) {
            assert!((level - expected).abs() < 1e-3, "{levels:?}");
        }
    }
}
