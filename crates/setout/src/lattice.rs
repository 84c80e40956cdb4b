//! Squares and triangles, laid on the plane that lies closest to the ground.

use crate::apart::Apart;
use crate::guides::Lie;
use crate::{Face, Setting};

/// Halvings in the search for the side that gives the number of plants.
const HALVINGS: usize = 40;

/// A lattice on a slope: its rows run along the contours of the plane.
struct Lattice {
    origin: [f64; 2],
    /// Along the row, of length 1.
    along: [f64; 2],
    /// Up the slope, of the length that a metre on the ground has on the map.
    up: [f64; 2],
    /// Distance of rows in sides: 1 for squares, √¾ for triangles.
    row_gap: f64,
}

/// Lays a lattice with sides of such a length that the wanted plants find room, and puts them row
/// by row from the top; the number of rows that have any.
///
/// How many are wanted on each part of the ground does not matter, only whether any are. What the
/// lattice has too many is left out evenly.
pub(crate) fn lay(face: &Face, setting: &Setting, row_gap: f64, apart: &mut Apart) -> u32 {
    if setting.plants == 0 {
        return 0;
    }
    let lie = Lie::of(face);
    let steep = lie.plane[0].hypot(lie.plane[1]);
    let (along, uphill) = if steep > 0.01 {
        let uphill = lie.plane.map(|part| part / steep);
        ([uphill[1], -uphill[0]], uphill)
    } else {
        (lie.longest, [-lie.longest[1], lie.longest[0]])
    };
    let cosine = (1.0 + steep * steep).sqrt().recip();
    let lattice =
        Lattice { origin: lie.middle, along, up: uphill.map(|part| part * cosine), row_gap };
    let Some(bounds) = lattice.bounds(face) else { return 0 };
    // The widest side that has room for all; the number does not fall evenly, so the last one that
    // had is kept.
    let open: f64 = face.open_m2() / cosine;
    let usual = (open / (row_gap * setting.plants as f64)).sqrt();
    let (mut low, mut high) = (usual * 0.5, usual * 1.5);
    let mut side = low;
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if lattice.points(face, bounds, middle).len() >= setting.plants {
            (low, side) = (middle, middle);
        } else {
            high = middle;
        }
        if high - low < 1e-4 * usual {
            break;
        }
    }
    let points = lattice.points(face, bounds, side);
    let surplus = points.len().saturating_sub(setting.plants);
    let (mut left_out, mut rows, mut last) = (0, 0, None);
    for (index, (row, at)) in points.iter().enumerate() {
        // Evenly: whenever another one is due.
        if (index + 1) * surplus / points.len() > left_out {
            left_out += 1;
            continue;
        }
        let number = if last == Some(*row) { rows } else { rows + 1 };
        if apart.len() < setting.plants && apart.try_put(*at, number, setting.least_m()) {
            (rows, last) = (number, Some(*row));
        }
    }
    rows
}

impl Lattice {
    /// Least and greatest along and up of the block, metres on the plane.
    fn bounds(&self, face: &Face) -> Option<[[f64; 2]; 2]> {
        let length = self.up[0].hypot(self.up[1]);
        let mut bounds: Option<[[f64; 2]; 2]> = None;
        for cell in face.open_cells() {
            let [x, y] = face.centre(cell);
            let (x, y) = (x - self.origin[0], y - self.origin[1]);
            let along = x * self.along[0] + y * self.along[1];
            let up = (x * self.up[0] + y * self.up[1]) / (length * length);
            let [[a, b], [c, d]] = bounds.unwrap_or([[along, along], [up, up]]);
            bounds = Some([[a.min(along), b.max(along)], [c.min(up), d.max(up)]]);
        }
        // A cell reaches beyond its centre.
        let more = face.grid().cell_width().max(face.grid().cell_height()) / length;
        bounds.map(|both| both.map(|[least, most]| [least - more, most + more]))
    }

    /// Points of the lattice on open ground, from the highest row, each row from its beginning.
    fn points(&self, face: &Face, bounds: [[f64; 2]; 2], side: f64) -> Vec<(i64, [f64; 2])> {
        let [along, up] = bounds;
        let gap = side * self.row_gap;
        let is_triangular = self.row_gap < 1.0;
        let mut found = Vec::new();
        let mut row = (up[1] / gap).floor() as i64;
        while row as f64 * gap >= up[0] {
            let shift = if is_triangular && row & 1 == 1 { 0.5 } else { 0.0 };
            let mut step = (along[0] / side - shift).ceil() as i64;
            while (step as f64 + shift) * side <= along[1] {
                let (a, u) = ((step as f64 + shift) * side, row as f64 * gap);
                let at = [
                    self.origin[0] + a * self.along[0] + u * self.up[0],
                    self.origin[1] + a * self.along[1] + u * self.up[1],
                ];
                if face.plants_at(at) > 0.0 {
                    found.push((row, at));
                }
                step += 1;
            }
            row -= 1;
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Manner, Outline, Position};
    use terrain::{Grid, Raster};

    fn face(cell: [f64; 2], ring: Vec<[f64; 2]>, height: impl Fn(f64, f64) -> f64) -> Face {
        let [width, depth] = cell;
        let (cols, rows) = ((120.0 / width) as usize, (120.0 / depth) as usize);
        let grid = Grid::new(cols, rows, 0.0, 120.0, width, depth).unwrap();
        let heights = Raster::from_fn(grid, |row, col| {
            let (x, y) = grid.centre(row, col);
            height(x, y) as f32
        });
        let plants = Raster::filled(grid, 0.1);
        Face::new(&heights, &plants, Outline::new(&[ring]), 4.0).unwrap()
    }

    /// A block that measures 90 by 90 m on its ground, which rises 4 m northward on 3 m of map: a
    /// metre up the slope is 0.6 m of map. Its middle is at 50.5 m east and 36.5 m north.
    fn steep() -> Face {
        let ring = vec![[5.5, 9.5], [95.5, 9.5], [95.5, 63.5], [5.5, 63.5]];
        face([1.0, 1.0], ring, |_, y| y * 4.0 / 3.0)
    }

    fn laid(face: &Face, manner: Manner, plants: usize) -> (u32, Vec<Position>) {
        let setting = Setting { manner, plants, spacing_m: 3.0, least_share: 0.6, seed: 1 };
        let mut apart = Apart::new(face, setting.spacing_m, plants);
        let row_gap = if manner == Manner::Squares { 1.0 } else { 0.75_f64.sqrt() };
        let rows = lay(face, &setting, row_gap, &mut apart);
        (rows, apart.into_positions())
    }

    /// 31 rows of 31 fit a square of 90 m when they are 3 m apart, and not when they are more.
    #[test]
    fn squares_fill_a_slope_at_the_widest_side() {
        let (rows, plants) = laid(&steep(), Manner::Squares, 31 * 31);
        assert_eq!((rows, plants.len()), (31, 31 * 31));
        for (index, plant) in plants.iter().enumerate() {
            let (down, across) = (index / 31, index % 31);
            assert_eq!(plant.row as usize, down + 1, "from the top, row by row");
            let (x, y) = (5.5 + 3.0 * across as f64, 63.5 - 1.8 * down as f64);
            assert!((plant.x - x).abs() < 5e-3 && (plant.y - y).abs() < 5e-3, "{index}: {plant:?}");
        }
    }

    /// Rows of triangles with sides of 3 m are 2.598 m apart: 17 fit on either side of the middle
    /// one, of 31 and 30 plants by turns, 1,067 in all.
    #[test]
    fn triangles_fill_a_slope_at_the_widest_side() {
        let (rows, plants) = laid(&steep(), Manner::Triangles, 17 * 31 + 18 * 30);
        assert_eq!((rows, plants.len()), (35, 1_067));
        let mut index = 0;
        for row in (-17..=17_i32).rev() {
            let (first, count) = if row % 2 == 0 { (5.5, 31) } else { (7.0, 30) };
            for across in 0..count {
                let plant = &plants[index];
                let y = 36.5 + 0.6 * 0.75_f64.sqrt() * 3.0 * f64::from(row);
                let x = first + 3.0 * f64::from(across);
                assert!((plant.x - x).abs() < 5e-3 && (plant.y - y).abs() < 5e-3, "{plant:?}");
                assert_eq!(plant.row, (18 - row) as u32);
                index += 1;
            }
        }
    }

    /// 900 have room at 31 by 31, but not at 29 by 29, which is next. Of every beginning of the
    /// lattice as great a share is left out as of the whole, so that no gap is near another.
    #[test]
    fn what_is_too_many_is_left_out_evenly() {
        let (rows, plants) = laid(&steep(), Manner::Squares, 900);
        assert_eq!((rows, plants.len()), (31, 900));
        let mut stands = [false; 961];
        for plant in &plants {
            let across = ((plant.x - 5.5) / 3.0).round() as usize;
            let down = ((63.5 - plant.y) / 1.8).round() as usize;
            stands[down * 31 + across] = true;
        }
        let mut left_out = 0;
        for (index, stands) in stands.iter().enumerate() {
            left_out += usize::from(!stands);
            assert_eq!(left_out, (index + 1) * 61 / 961, "up to {index}");
        }
    }

    #[test]
    fn no_plants_make_no_rows() {
        assert_eq!(laid(&steep(), Manner::Squares, 0), (0, vec![]));
    }

    /// A block of 90 by 30 m, turned by 30 degrees.
    fn turned(height: impl Fn(f64, f64) -> f64) -> Face {
        let (sine, cosine) = 30.0_f64.to_radians().sin_cos();
        let corners = [[-45.0, -15.0], [45.0, -15.0], [45.0, 15.0], [-45.0, 15.0]];
        let ring =
            corners.map(|[a, b]| [60.0 + a * cosine - b * sine, 60.0 + a * sine + b * cosine]);
        face([1.0, 1.0], ring.to_vec(), height)
    }

    #[test]
    fn rows_keep_the_contours_of_all_but_level_ground() {
        // 1 in 50 toward the south-east, across neither side of the block.
        let sloping = turned(|x, y| 50.0 + 0.012 * x - 0.016 * y);
        let (_, plants) = laid(&sloping, Manner::Squares, 200);
        for pair in plants.windows(2).filter(|pair| pair[0].row == pair[1].row) {
            let (east, north) = (pair[1].x - pair[0].x, pair[1].y - pair[0].y);
            assert!((0.6 * east - 0.8 * north).abs() < 1e-3, "along the contour: {pair:?}");
        }
    }

    #[test]
    fn rows_on_level_ground_run_along_the_block() {
        // 1 in 200
        let (_, plants) = laid(&turned(|x, y| 50.0 + 0.003 * x - 0.004 * y), Manner::Squares, 200);
        let from_first = |plant: &Position| (plant.x - plants[0].x).hypot(plant.y - plants[0].y);
        let side = plants[1..].iter().map(from_first).fold(f64::INFINITY, f64::min);
        let (sine, cosine) = 30.0_f64.to_radians().sin_cos();
        for plant in &plants {
            let (east, north) = (plant.x - plants[0].x, plant.y - plants[0].y);
            for sides in [east * cosine + north * sine, north * cosine - east * sine] {
                let off = sides / side - (sides / side).round();
                assert!(off.abs() < 0.2, "{plant:?}: {sides} m by sides of {side}");
            }
        }
    }

    /// A lattice askew to the grid, a metre up its slope being half a metre of map.
    fn askew(row_gap: f64) -> Lattice {
        Lattice { origin: [61.0, 52.0], along: [0.6, 0.8], up: [-0.4, 0.3], row_gap }
    }

    fn crooked() -> Face {
        let ring = vec![[20.3, 14.1], [95.7, 31.9], [104.2, 99.3], [60.5, 70.7], [12.4, 88.2]];
        face([2.0, 1.0], ring, |_, _| 0.0)
    }

    /// Nothing of an open cell lies beyond, and there is less than a cell to spare.
    #[test]
    fn bounds_hold_every_open_cell() {
        let (face, lattice) = (crooked(), askew(1.0));
        let [[a, b], [c, d]] = lattice.bounds(&face).unwrap();
        let mut reached = [f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::NEG_INFINITY];
        for cell in face.open_cells() {
            let [x, y] = face.centre(cell);
            for (east, north) in [(-1.0, -0.5), (1.0, -0.5), (1.0, 0.5), (-1.0, 0.5)] {
                let (x, y) = (x + east - 61.0, y + north - 52.0);
                // Two equations for both coordinates, by determinants: 0.6 × 0.3 + 0.8 × 0.4 = 0.5.
                let (along, up) = ((x * 0.3 + y * 0.4) / 0.5, (0.6 * y - 0.8 * x) / 0.5);
                assert!((a..=b).contains(&along) && (c..=d).contains(&up), "{along} {up}");
                reached[0] = reached[0].min(along);
                reached[1] = reached[1].max(along);
                reached[2] = reached[2].min(up);
                reached[3] = reached[3].max(up);
            }
        }
        // Cells are 2 m wide: 4 m up this slope.
        for (bound, reached) in [a, b, c, d].into_iter().zip(reached) {
            assert!((bound - reached).abs() < 4.0, "{bound} for {reached}");
        }
        let nowhere = self::face([2.0, 1.0], vec![], |_, _| 0.0);
        assert_eq!(lattice.bounds(&nowhere), None);
    }

    /// Slow twin: all whole multiples of two sides that span the lattice, from its origin.
    #[test]
    fn a_lattice_has_a_point_wherever_its_sides_lead() {
        let face = crooked();
        for (row_gap, lean) in [(1.0, 0.0), (0.75_f64.sqrt(), 0.5)] {
            let (lattice, side) = (askew(row_gap), 2.3);
            let mut slow = Vec::new();
            for row in (-150..=150_i32).rev() {
                for step in -150..=150_i32 {
                    let along = side * (f64::from(step) + lean * f64::from(row));
                    let up = side * row_gap * f64::from(row);
                    let at = [61.0 + 0.6 * along - 0.4 * up, 52.0 + 0.8 * along + 0.3 * up];
                    if face.plants_at(at) > 0.0 {
                        slow.push((i64::from(row), at));
                    }
                }
            }
            let bounds = lattice.bounds(&face).unwrap();
            let found = lattice.points(&face, bounds, side);
            assert!(found.len() > 500);
            assert_eq!(found.len(), slow.len(), "{row_gap}");
            for (found, slow) in found.iter().zip(&slow) {
                assert_eq!(found.0, slow.0);
                let off = (found.1[0] - slow.1[0]).hypot(found.1[1] - slow.1[1]);
                assert!(off < 1e-9, "{found:?} {slow:?}");
            }
        }
    }

    #[test]
    fn points_on_the_bounds_are_of_the_lattice() {
        let face = crooked();
        let places = |row_gap: f64| {
            let found = askew(row_gap).points(&face, [[-4.0, 4.0], [-4.0, 4.0]], 4.0);
            found.iter().map(|(row, _)| *row).collect::<Vec<_>>()
        };
        assert_eq!(places(1.0), [1, 1, 1, 0, 0, 0, -1, -1, -1]);
        // Half a side is between the bounds twice.
        assert_eq!(places(0.5), [2, 2, 2, 1, 1, 0, 0, 0, -1, -1, -2, -2, -2]);
    }
}
