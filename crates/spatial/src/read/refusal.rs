//! Refusals that several readers have in common.

use std::fmt::Display;

use crate::problem::Problem;

/// Coordinates that cannot be carried from one system to another.
pub(super) fn not_carried(problem: Problem, reason: impl Display) -> Problem {
    problem
        .found(reason.to_string())
        .expected("coordinates within the reach of their own system and of the plan's")
        .remedy("check the coordinate system that the file declares, and `site.crs`")
}

/// Cells that cannot be laid on the grid.
pub(super) fn not_laid(problem: Problem, reason: impl Display) -> Problem {
    problem
        .found(reason.to_string())
        .expected("a layer that can be laid on the plan's grid")
        .remedy(
            "clip the layer to the property, mend its shapes, or set larger cells: `site.cell_m`",
        )
}

/// A part of a file that GDAL cannot read.
pub(super) fn not_read(problem: Problem, reason: impl Display) -> Problem {
    problem
        .found(reason.to_string())
        .expected("a whole, readable file")
        .remedy("it may be cut short or damaged: fetch or export it again")
}
