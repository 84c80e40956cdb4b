//! Cutting channels out of hollows, as the culverts and gullies do that a survey from the air misses.

mod search;

use super::rims::order;
use crate::Raster;
use crate::padded::{Padded, unpad};
use search::Search;

/// How far a channel may go; infinite for as far as need be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BreachLimits {
    /// Longest channel, metres on the map from the edge of the hollow's floor. Zero, less, or NaN:
    /// nothing is breached.
    pub longest_m: f64,
    /// Deepest cut into any cell, metres. Zero, less, or NaN: nothing is cut.
    pub deepest_m: f32,
}

impl BreachLimits {
    /// No limits: every hollow is breached.
    pub const NONE: Self = Self { longest_m: f64::INFINITY, deepest_m: f32::INFINITY };
}

/// Ground with channels out of its hollows.
#[derive(Debug, Clone, PartialEq)]
pub struct Breached {
    /// Elevation after breaching, metres: nowhere above the ground given.
    pub elevation_m: Raster<f32>,
    /// Cells that were cut.
    pub cells_cut: usize,
    /// Hollows that drain by a channel now.
    pub hollows_breached: usize,
    /// Hollows for which no channel within the limits was found.
    pub hollows_left: usize,
}

/// Drains hollows by level channels rather than by filling them up.
///
/// From the floor of each hollow (cells of one level without an outlet or a lower neighbour) the
/// way is sought that removes the least ground, then the shortest, to a lower cell, to the edge of
/// the grid or to a hole in the data; all cells along it are cut down to the level of the floor.
/// Hollows are taken lowest first, the northernmost and then westernmost of equals; each is breached
/// through the ground as those before it left it. Fill what is left with [`fill_hollows`].
///
/// Only cells that would be cut no deeper than allowed are entered. Where the cheapest way to a
/// cell is longer than allowed it is given up there, though a costlier one might have been short enough.
/// A channel may end in a lower hollow that itself was left.
///
/// # Units
/// Metres, cell sides included. Eight neighbours are joined. A hole stays a hole; infinite
/// elevations count as holes.
///
/// # Cost
/// A search among the cells around each hollow, up to the limits. One core; about 40 bytes a cell.
///
/// ```
/// use terrain::{BreachLimits, Grid, Raster, breach_hollows};
/// let grid = Grid::new(5, 3, 0.0, 0.0, 2.0, 2.0)?;
/// let dammed = Raster::from_fn(grid, |row, col| match (row, col) {
///     (1, 3) => 6.0, // a road over the stream
///     (1, _) => 8.0 - 3.0 * col as f32,
///     _ => 9.0,
/// });
/// let drained = breach_hollows(&dammed, &BreachLimits { longest_m: 4.0, deepest_m: 5.0 });
/// assert_eq!(drained.elevation_m.row(1), &[8.0, 5.0, 2.0, 2.0, -4.0]);
/// assert_eq!((drained.cells_cut, drained.hollows_breached, drained.hollows_left), (1, 1, 0));
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// # References
/// Lindsay & Dhun 2015, Modelling surface drainage patterns in altered landscapes using `LiDAR`
/// (least-cost breaching); Lindsay 2016, Efficient hybrid breaching-filling sink removal methods
/// for flow path enforcement in digital elevation models (limits, and filling what is left).
///
/// [`fill_hollows`]: crate::fill_hollows
#[must_use]
pub fn breach_hollows(elevation: &Raster<f32>, limits: &BreachLimits) -> Breached {
    let grid = *elevation.grid();
    let mut breach = Breach::new(Padded::new(elevation));
    let mut search = Search::new(&grid, breach.ground.cells.len(), *limits);
    for cell in breach.lowest_first() {
        if breach.fates[cell] != Fate::Unseen {
            continue;
        }
        let Some(floor) = breach.floor(cell) else { continue };
        match search.way_out(&breach.ground, &floor) {
            Some(way) => {
                breach.cut(&way, cell);
                breach.set_fates(&floor, Fate::Drains);
            }
            None => breach.hollows_left += 1,
        }
    }
    Breached {
        elevation_m: unpad(grid, &breach.ground.cells, |level| *level),
        cells_cut: breach.cells_cut,
        hollows_breached: breach.hollows_breached,
        hollows_left: breach.hollows_left,
    }
}

/// What is known of a cell that might be the floor of a hollow.
#[derive(Clone, Copy, PartialEq)]
enum Fate {
    Unseen,
    /// Part of a floor that did not drain when its turn came.
    Floor,
    Drains,
}

struct Breach {
    ground: Padded,
    fates: Vec<Fate>,
    cells_cut: usize,
    hollows_breached: usize,
    hollows_left: usize,
}

impl Breach {
    fn new(ground: Padded) -> Self {
        let fates = vec![Fate::Unseen; ground.cells.len()];
        Self { ground, fates, cells_cut: 0, hollows_breached: 0, hollows_left: 0 }
    }

    /// Cells from which water has no way down, and perhaps none on the level.
    fn lowest_first(&self) -> Vec<usize> {
        let cells = 0..self.ground.cells.len();
        let mut low: Vec<usize> = cells
            .filter(|&cell| !self.ground.cells[cell].is_nan() && !drains(&self.ground, cell))
            .collect();
        low.sort_by_key(|&cell| (order(self.ground.cells[cell]), cell));
        low
    }

    /// The cells on one level with this one; none when water leaves from any of them.
    fn floor(&mut self, cell: usize) -> Option<Vec<usize>> {
        let level = self.ground.cells[cell];
        let mut floor = vec![cell];
        let mut drained = false;
        let mut next = 0;
        self.fates[cell] = Fate::Floor;
        while let Some(&cell) = floor.get(next) {
            next += 1;
            drained |= drains(&self.ground, cell);
            for beside in self.ground.neighbours(cell) {
                if order(self.ground.cells[beside]) == order(level) {
                    drained |= self.fates[beside] == Fate::Drains;
                    if self.fates[beside] == Fate::Unseen {
                        self.fates[beside] = Fate::Floor;
                        floor.push(beside);
                    }
                }
            }
        }
        if drained {
            self.set_fates(&floor, Fate::Drains);
        }
        (!drained).then_some(floor)
    }

    fn set_fates(&mut self, cells: &[usize], fate: Fate) {
        for &cell in cells {
            self.fates[cell] = fate;
        }
    }

    fn cut(&mut self, way: &[usize], pit: usize) {
        let level = self.ground.cells[pit];
        self.hollows_breached += 1;
        for &cell in way {
            if self.ground.cells[cell] > level {
                self.ground.cells[cell] = level;
                self.fates[cell] = Fate::Drains;
                self.cells_cut += 1;
            }
        }
    }
}

/// Whether water leaves from a cell to a lower neighbour, off the grid or into a hole.
fn drains(ground: &Padded, cell: usize) -> bool {
    let level = ground.cells[cell];
    let mut around = ground.neighbours(cell).into_iter().map(|beside| ground.cells[beside]);
    around.any(|beside| beside < level || beside.is_nan())
}
