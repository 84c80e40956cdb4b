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
