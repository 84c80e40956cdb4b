//! The parts into which drawn breaks cut the property, and the cells of each.

use geo::LineString;
use terrain::Grid;

use super::cells::{from_partition, runs_mostly_in, to_partition};
use super::walls::Walls;
use crate::problem::Problem;
use crate::read::{Breaks, Ready};

/// The property cut along everything that was drawn on it.
pub(super) struct Units {
    /// Exact, side by side.
    pub(super) polygons: Vec<partition::Polygon>,
    /// For each unit the hand-drawn zone that it is, plus 1; 0 for none.
    pub(super) drawn: Vec<u16>,
    /// For each cell its unit plus 1; 0 beyond the property. Empty once regions know their units.
    pub(super) of_cells: Vec<u32>,
}

/// Lengths below this are no matter of drawing, metres.
const NO_MATTER_M: f64 = 0.5;

impl Units {
    /// Cuts the property. `None` when nothing is drawn.
    ///
    /// A cell belongs to the unit that covers half of it or more; where none does, to that of a
    /// cell beside it. Units narrower than a cell are slivers between lines that were meant to be one:
    /// they join a neighbour.
    ///
    /// # Errors
    /// When more zones are drawn than can be told apart, or a coordinate is absurd.
    pub(super) fn new(ready: &Ready, grid: &Grid) -> Result<Option<(Self, Vec<Problem>)>, Problem> {
        let breaks = &ready.breaks;
        if breaks.is_empty() {
            return Ok(None);
        }
        let zones = breaks.drawn.len();
        if zones >= usize::from(u16::MAX) {
            return Err(Problem::error("layers.drawn_zones")
                .found(format!("{zones} polygons"))
                .expected(format!("fewer than {}", u16::MAX))
                .remedy("join polygons that are planted alike"));
        }
        let lines: Vec<Vec<[f64; 2]>> = breaks.lines.iter().map(points).collect();
        // Hand-drawn zones first: of several polygons a unit lies in, the first is named.
        let polygons: Vec<partition::Polygon> = breaks
            .drawn
            .iter()
            .chain(&breaks.polygons)
            .flat_map(|polygon| to_partition(&polygon.clone().into()))
            .collect();
        let narrowest_m = grid.cell_width().min(grid.cell_height());
        let cut = partition::units(&to_partition(&ready.boundary), &lines, &polygons, narrowest_m)
            .map_err(|error| cannot_cut(&error))?;
        let is_drawn = |within: &Option<u32>| within.filter(|one| (*one as usize) < zones);
        let drawn = cut.within.iter().map(|one| is_drawn(one).map_or(0, |one| one as u16 + 1));
        let of_cells = cells_of(&cut.polygons, grid);
        let mut notes = idle(&cut, breaks);
        notes.extend(slivers(&cut, narrowest_m));
        Ok(Some((Self { drawn: drawn.collect(), of_cells, polygons: cut.polygons }, notes)))
    }

    /// Walls between cells of different units.
    pub(super) fn walls(&self, cols: usize) -> Walls {
        Walls::between(&self.of_cells, cols)
    }

    /// Lets go of the units of cells: 4 bytes a cell.
    pub(super) fn forget_cells(&mut self) {
        self.of_cells = Vec::new();
    }

    /// The hand-drawn zone that a cell lies in, plus 1; 0 for none.
    pub(super) fn drawn_at(&self, at: usize) -> u16 {
        let unit = self.of_cells[at] as usize;
        unit.checked_sub(1).map_or(0, |unit| self.drawn[unit])
    }
}

fn points(line: &LineString<f64>) -> Vec<[f64; 2]> {
    line.coords().map(|point| [point.x, point.y]).collect()
}

fn cells_of(polygons: &[partition::Polygon], grid: &Grid) -> Vec<u32> {
    let mut of_cells = vec![0; grid.len()];
    for (unit, polygon) in (1..).zip(polygons) {
        for run in runs_mostly_in(&from_partition(std::slice::from_ref(polygon)), grid) {
            of_cells[run].fill(unit);
        }
    }
    // Where three units or more meet, none may hold half a cell.
    let known = of_cells.clone();
    let cols = grid.cols();
    for at in 0..known.len() {
        if known[at] == 0 {
            let west = (at % cols > 0).then(|| known[at - 1]);
            let east = (at % cols + 1 < cols).then(|| known[at + 1]);
            let north = at.checked_sub(cols).map(|north| known[north]);
            let south = known.get(at + cols).copied();
            let beside = [west, north, east, south].into_iter().flatten();
            of_cells[at] = beside.filter(|unit| *unit != 0).min().unwrap_or(0);
        }
    }
    of_cells
}

/// Says which breaks part nothing.
fn idle(cut: &partition::Units, breaks: &Breaks) -> Vec<Problem> {
    let lines = cut.idle_lines.iter().filter(|idle| idle.inside_m > NO_MATTER_M);
    let (count, length) =
        lines.fold((0, 0.0), |(count, length), idle| (count + 1, length + idle.inside_m));
    if count == 0 {
        return Vec::new();
    }
    let all = breaks.lines.len();
    vec![
        Problem::warning("layers.breaks")
            .found(format!(
                "{count} of {all} break lines end inside the property: {length:.0} m of them part nothing"
            ))
            .expected("lines that run from border to border, or to another break")
            .remedy("draw them past the boundary or past the line they end on: zones cross the loose ends"),
    ]
}

/// Says how many slivers were joined to a neighbour.
fn slivers(cut: &partition::Units, narrowest_m: f64) -> Option<Problem> {
    (cut.slivers > 0).then(|| {
        Problem::warning("layers.breaks")
            .found(format!(
                "between breaks, or between a break and the boundary, pieces narrower than a cell \
                 ({narrowest_m} m): {}, each joined to a neighbour",
                cut.slivers
            ))
            .expected("lines that are meant to be one drawn along each other")
            .remedy("nothing, where that is what they are; else plan on smaller cells")
    })
}

fn cannot_cut(error: &partition::PartitionError) -> Problem {
    Problem::error("layers.breaks")
        .found(error.to_string())
        .expected("lines and polygons within 500 km of the property")
        .remedy("check the break layers for absurd coordinates")
}
