//! Ground near water and near neighbours, where work is asked about.

use terrain::cells_within;

use super::of_property;
use crate::read::Ready;

/// Distance from mapped streams, and from the boundary, within which spraying is asked about, and from streams
/// within which stock is, metres. Common practice, no source.
const NEAR_M: f64 = 30.0;

/// Cells within 30 m of what work is asked about at.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Near {
    /// Of a mapped stream; `None` where none is mapped.
    pub stream: Option<Vec<bool>>,
    /// Of ground that is not the property's.
    pub boundary: Vec<bool>,
}

impl Near {
    /// Finds them. Cost: linear in cells.
    pub(super) fn of(ready: &Ready) -> Self {
        let grid = &ready.grid;
        let beyond: Vec<bool> = of_property(ready).cells().iter().map(|own| !own).collect();
        let within = |marked: &[bool]| cells_within(marked, grid, NEAR_M);
        Self {
            stream: ready.streams.as_ref().map(|streams| within(streams.cells())),
            boundary: within(&beyond),
        }
    }
}
