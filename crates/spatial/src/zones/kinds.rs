//! What each cell of the property is, before any shape is drawn.

use geo::MultiPolygon;
use rayon::prelude::*;

use super::cells::cells_mostly_in;
use super::classes::{ClassCode, Classes, SlopeGroup, Step};
use crate::ground::{Ground, GroundLayer};
use crate::read::Ready;
use crate::site::{MOST_BANDS, Site, Treatment};

/// What a cell is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CellKind {
    /// Outside the property.
    Beyond,
    /// Inside a setback.
    KeepClear,
    /// Ground that can be planted, with its classes.
    Plantable(ClassCode),
    /// Existing cover that is kept: position in the site's cover table.
    Kept(u8),
    /// Cover that is never planted: position in the site's cover table.
    Never(u8),
    /// Elevation or slope is not known.
    Unknown,
}

/// The kind of every cell.
pub(super) fn cell_kinds(ready: &Ready, ground: &Ground, site: &Site) -> Vec<CellKind> {
    let mut kinds = vec![CellKind::Beyond; ground.grid().len()];
    for at in cells_mostly_in(&ready.boundary, ground.grid()) {
        kinds[at] = CellKind::Unknown;
    }
    kinds
        .par_iter_mut()
        .enumerate()
        .filter(|(_, kind)| **kind == CellKind::Unknown)
        .for_each(|(at, kind)| *kind = covered(ground, site, at));
    for area in &ready.keep_clear {
        mark_clear(&mut kinds, &area.geometry, ground);
    }
    kinds
}

/// The kind that cover and ground give a cell.
fn covered(ground: &Ground, site: &Site, at: usize) -> CellKind {
    let (index, treatment) = cover_at(ground, site, at);
    match treatment {
        Treatment::Keep => CellKind::Kept(index),
        Treatment::Never => CellKind::Never(index),
        Treatment::Plant | Treatment::Infill => class_at(ground, site, at)
            .map_or(CellKind::Unknown, |code| {
                CellKind::Plantable(code.bounded_by(&site.zones.factors))
            }),
    }
}

/// Position in the cover table and treatment; ground of unknown cover counts as open.
#[must_use]
pub fn cover_at(ground: &Ground, site: &Site, at: usize) -> (u8, Treatment) {
    let code = ground.cover.as_ref().map_or(0, |cover| cover.cells()[at]);
    let table = site.layers.cover.as_ref().map_or(&[][..], |source| &source.table[..]);
    let index = code.wrapping_sub(1);
    table
        .get(usize::from(index))
        .map_or((index, Treatment::Plant), |row| (index, row.class.treatment))
}

/// The full classes of a cell; `None` where the ground is not known. Mapped drainage and the
/// wetness index are both heard: the wetter wins.
pub(super) fn class_at(ground: &Ground, site: &Site, at: usize) -> Option<ClassCode> {
    let rules = &site.zones;
    let known = |raster: &terrain::Raster<f32>| {
        let value = f64::from(raster.cells()[at]);
        (!value.is_nan()).then_some(value)
    };
    let wetness = Step::of(known(&ground.wetness_index)?, ground.wetness_edges);
    // Ground where a layer has a hole is a class of its own: nobody knows which step it is on.
    let step = |layer: GroundLayer, edges: [f64; 2]| {
        ground.layer(layer).and_then(known).map(|value| Step::of(value, edges))
    };
    let mut bands = [None; MOST_BANDS];
    for (band, rule) in bands.iter_mut().zip(&rules.bands) {
        *band = step(rule.layer, rule.edges);
    }
    Some(ClassCode::pack(Classes {
        slope: SlopeGroup::of(known(&ground.slope_deg)?, rules.slope_edges),
        wetness: wetness.max(mapped_wetness(
            ground.drainage.as_ref().map_or(0, |drainage| drainage.cells()[at]),
        )),
        sun: Step::of(known(&ground.sun_ratio)?, rules.sun_edges),
        exposure: step(GroundLayer::Exposure, rules.exposure_edges),
        frost: step(GroundLayer::FrostIndex, rules.frost_edges),
        bands,
        treatment: cover_at(ground, site, at).1,
    }))
}

/// What mapped drainage says of wetness, from its ladder position plus 1: very poor and poor are
/// wet, imperfect is moist. The pairing is ours; no source.
#[must_use]
pub fn mapped_wetness(drainage: u8) -> Step {
    match drainage {
        1 | 2 => Step::High,
        3 => Step::Middle,
        _ => Step::Low,
    }
}

/// Marks the cells of a setback, but for kept stands: what grows there stays what it is.
fn mark_clear(kinds: &mut [CellKind], area: &MultiPolygon<f64>, ground: &Ground) {
    for at in cells_mostly_in(area, ground.grid()) {
        if matches!(kinds[at], CellKind::Plantable(_) | CellKind::Never(_) | CellKind::Unknown) {
            kinds[at] = CellKind::KeepClear;
        }
    }
}
