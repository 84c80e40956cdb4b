//! Zones of made-up properties against slow, obvious twins: which piece lies where, what its ground is like, what lies
//! along its border, and what merging moved.

mod borders;
mod by_hand;
mod drawn;
mod ground;
mod made_up;
mod pieces;

use geo::{BooleanOps, Coord, MultiPolygon, Point, Rect};
use terrain::Grid;

use super::classes::{Classes, SlopeGroup, Step};
use super::regions::label_regions;
use super::walls::Walls;
use super::{Area, ClassCode, cover_at, mapped_wetness};
use crate::ground::GroundLayer;
use crate::site::{MOST_BANDS, Treatment};
use made_up::{COLS, Property};

/// The map of one cell.
fn square(grid: &Grid, at: usize) -> Rect<f64> {
    let (row, col) = (at / grid.cols(), at % grid.cols());
    let west = grid.west() + col as f64 * grid.cell_width();
    let north = grid.north() - row as f64 * grid.cell_height();
    let south_east = Coord { x: west + grid.cell_width(), y: north - grid.cell_height() };
    Rect::new(Coord { x: west, y: north }, south_east)
}

fn middle(grid: &Grid, at: usize) -> Point<f64> {
    grid.centre(at / grid.cols(), at % grid.cols()).into()
}

/// The share of a cell that an area covers, by cutting the one with the other.
fn share(area: &MultiPolygon<f64>, grid: &Grid, at: usize) -> f64 {
    let cell = MultiPolygon::new(vec![square(grid, at).to_polygon()]);
    area.intersection(&cell).unsigned_area() / grid.cell_area()
}

/// What a cell is, one question after another; `None` where that is not known.
fn classes(property: &Property, at: usize) -> Option<Classes> {
    let Property { site, ground, .. } = property;
    let value = |layer: GroundLayer| ground.layer(layer).map(|layer| f64::from(layer.cells()[at]));
    let rules = &site.zones;
    let slope = value(GroundLayer::Slope).filter(|slope| !slope.is_nan())?;
    let mut wetness = None;
    if let Some((index, edges)) = value(GroundLayer::WetnessIndex).zip(ground.wetness_edges) {
        let mapped = ground.drainage.as_ref().map(|codes| mapped_wetness(codes.cells()[at]));
        wetness =
            (!index.is_nan()).then(|| Step::of(index, edges).max(mapped.unwrap_or(Step::Low)));
        wetness?;
    }
    let mut sun = None;
    if let Some(ratio) = value(GroundLayer::SunRatio) {
        sun = (!ratio.is_nan()).then(|| Step::of(ratio, rules.sun_edges));
        sun?;
    }
    let known = |layer: GroundLayer, edges: [f64; 2]| {
        value(layer).filter(|value| !value.is_nan()).map(|value| Step::of(value, edges))
    };
    let mut bands = [None; MOST_BANDS];
    for (step, band) in bands.iter_mut().zip(&rules.bands) {
        *step = known(band.layer, band.edges);
    }
    Some(Classes {
        slope: SlopeGroup::of(slope, rules.slope_edges),
        wetness,
        sun,
        exposure: known(GroundLayer::Exposure, rules.exposure_edges),
        frost: known(GroundLayer::FrostIndex, rules.frost_edges),
        bands,
        treatment: cover_at(ground, site, at).1,
    })
}

/// What a cell is drawn as, where nothing is kept clear.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Planted(ClassCode),
    Kept(u8),
    Never(u8),
    Unknown,
}

fn kind(property: &Property, at: usize) -> Kind {
    let (cover, treatment) = cover_at(&property.ground, &property.site, at);
    match (treatment, classes(property, at)) {
        (Treatment::Keep, _) => Kind::Kept(cover),
        (Treatment::Never, _) => Kind::Never(cover),
        (_, None) => Kind::Unknown,
        (_, Some(classes)) => {
            Kind::Planted(ClassCode::pack(classes).bounded_by(&property.site.zones.factors))
        }
    }
}

/// The kind of each cell that lies wholly on the property, outside everything that is kept clear.
fn own(property: &Property) -> Vec<Option<Kind>> {
    let grid = property.ground.grid();
    let ready = &property.ready;
    let is_own = |at: usize| {
        share(&ready.boundary, grid, at) > 1.0 - 1e-9
            && ready.keep_clear.iter().all(|area| share(&area.geometry, grid, at) < 1e-9)
    };
    (0..grid.len()).map(|at| is_own(at).then(|| kind(property, at))).collect()
}

/// How many cells of a value hang together by their sides with each; 0 for those of value 0.
fn sizes(values: &[u32]) -> Vec<u32> {
    let regions = label_regions(&values, values.len(), COLS, &Walls::none());
    regions.cells.iter().map(|region| regions.facts[*region as usize].cells).collect()
}

/// Cells below which a piece of a zone may go to what lies beside it.
const CRUMB: u32 = 4;
