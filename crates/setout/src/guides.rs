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
