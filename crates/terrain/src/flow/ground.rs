//! What routing needs to know of the ground, and the rule that it follows.

use super::Routing;
use crate::padded::{DIRECTIONS, offsets};

/// Elevations row by row, with the rule by which water leaves a cell.
pub(super) struct Ground<'a> {
    /// Metres; NaN and infinite values are holes.
    pub(super) levels: &'a [f32],
    /// Cells in a row.
    pub(super) cols: usize,
    /// What to add (wrapping) to a cell's position to reach each neighbour.
    pub(super) offsets: [usize; DIRECTIONS],
    pub(super) rule: Rule,
}

impl<'a> Ground<'a> {
    pub(super) fn new(levels: &'a [f32], cols: usize, rule: Rule) -> Self {
        Self { levels, cols, offsets: offsets(cols), rule }
    }

    /// Number of rows.
    pub(super) fn rows(&self) -> usize {
        self.levels.len() / self.cols
    }

    /// Position of a neighbour that lies on the ground.
    #[inline]
    pub(super) fn beside(&self, cell: usize, direction: usize) -> usize {
        cell.wrapping_add(self.offsets[direction])
    }
}

/// How water leaves a cell, with what that needs of the cell sides.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rule {
    pub(super) routing: Routing,
    /// One over the distance to each neighbour's centre, per metre.
    pub(super) per_metre: [f32; DIRECTIONS],
    /// West–east and north–south side of a cell, metres.
    pub(super) sides: [f64; 2],
    /// The power of multiple flow, within its bounds.
    pub(super) exponent: f32,
}

impl Rule {
    pub(super) fn new(width: f64, height: f64, routing: Routing) -> Self {
        let [across, along] = [width, height].map(|side| (1.0 / side) as f32);
        let diagonal = (1.0 / width.hypot(height)) as f32;
        let per_metre = [across, along, across, along, diagonal, diagonal, diagonal, diagonal];
        let exponent = match routing {
            // Not `clamp`, so that NaN comes to 0.
            Routing::MultipleFlow { exponent } if exponent > 0.0 => exponent.min(10.0) as f32,
            _ => 0.0,
        };
        Self { routing, per_metre, sides: [width, height], exponent }
    }
}

/// The directions whose bits are set, in order.
#[inline]
pub(super) fn directions(mut set: u8) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let first = (set != 0).then(|| set.trailing_zeros() as usize);
        set &= set.wrapping_sub(1);
        first
    })
}
