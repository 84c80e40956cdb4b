//! Small properties of every kind of ground: patches of slope, wetness, light and cover, some of them holes.

use std::sync::Arc;

use geo::{LineString, MultiPolygon, Polygon};
use proptest::prelude::*;
use terrain::{Grid, Raster};

use super::super::{Zones, zones};
use crate::ground::{Ground, GroundLayer};
use crate::offers::fixture;
use crate::read::{KeepClearArea, Ready};
use crate::site::{Band, CategorySource, CoverClass, Site, Treatment, ZoneFactor};
use crate::units::Metres;

pub(super) const COLS: usize = 18;
pub(super) const ROWS: usize = 15;
/// Width and height of a cell, metres.
const CELL_M: [f64; 2] = [10.0, 8.0];
/// Cells along a patch.
const PATCH: usize = 3;
const PATCHES: usize = COLS / PATCH * (ROWS / PATCH);

#[derive(Debug)]
pub(super) struct Property {
    pub(super) site: Site,
    pub(super) ready: Ready,
    pub(super) ground: Ground,
}

impl Property {
    pub(super) fn zones(&self) -> Zones {
        zones(&self.ready, &self.ground, &self.site).expect("sound linework")
    }
}

/// What a property is made from.
#[derive(Debug, Clone)]
pub(super) struct Seed {
    pub(super) slope: Vec<f32>,
    pub(super) others: Vec<(GroundLayer, Vec<f32>)>,
    pub(super) drainage: Option<Vec<u8>>,
    pub(super) cover: Option<Vec<u8>>,
    /// Metres to the east and the south of the grid's north-western corner.
    pub(super) boundary: Polygon<f64>,
    pub(super) keep_clear: Vec<Polygon<f64>>,
    pub(super) line: Option<[[f64; 2]; 2]>,
    /// A zone drawn by hand.
    pub(super) drawn: Option<Polygon<f64>>,
    pub(super) factors: Vec<ZoneFactor>,
    /// Square metres.
    pub(super) min_area_m2: f64,
    pub(super) min_patch_m2: f64,
    /// Borders are left on the edges of cells.
    pub(super) is_plain: bool,
}

impl Seed {
    /// Gentle open ground of one kind, nothing of which is too small.
    pub(super) fn even(boundary: Polygon<f64>) -> Self {
        Self {
            slope: vec![5.5; PATCHES],
            others: Vec::new(),
            drainage: None,
            cover: None,
            boundary,
            keep_clear: Vec::new(),
            line: None,
            drawn: None,
            factors: vec![ZoneFactor::SlopeGroup],
            min_area_m2: 0.0,
            min_patch_m2: 0.0,
            is_plain: true,
        }
    }

    /// The same shapes on ground of which all is known and planted.
    pub(super) fn all_planted(mut self) -> Self {
        self.slope.iter_mut().filter(|slope| slope.is_nan()).for_each(|slope| *slope = 12.0);
        let (others, keep_clear) = (Vec::new(), Vec::new());
        Self { others, drainage: None, cover: None, keep_clear, ..self }
    }

    pub(super) fn property(&self) -> Property {
        let [width, height] = CELL_M;
        let [west, north] = fixture::CORNER;
        let grid = Grid::new(COLS, ROWS, west, north, width, height).expect("a sound grid");
        let patch = |row: usize, col: usize| row / PATCH * (COLS / PATCH) + col / PATCH;
        let layer = |values: &[f32]| {
            // Cells of a patch differ by hundredths.
            let cell = |row: usize, col: usize| {
                let within = (row * COLS + col) % 7;
                values[patch(row, col)] + within as f32 * 0.013
            };
            Arc::new(Raster::from_fn(grid, cell))
        };
        let codes =
            |values: &Vec<u8>| Arc::new(Raster::from_fn(grid, |row, col| values[patch(row, col)]));
        let elevation =
            Raster::from_fn(grid, |row, col| 100.0 + 3.0 * row as f32 + 2.0 * (col % 5) as f32);
        let mut ground = Ground::sloping(Arc::new(elevation), layer(&self.slope));
        ground.others = self.others.iter().map(|(kind, values)| (*kind, layer(values))).collect();
        ground.wetness_edges = Some([6.0, 9.0]);
        ground.drainage = self.drainage.as_ref().map(codes);
        ground.cover = self.cover.as_ref().map(codes);

        let there = |at: &[f64; 2]| [west + at[0], north - at[1]];
        let placed = |polygon: &Polygon<f64>| {
            let ring = |ring: &LineString<f64>| {
                let places = ring.coords().map(|at| there(&[at.x, at.y]));
                places.collect::<LineString<f64>>()
            };
            let holes = polygon.interiors().iter().map(ring).collect();
            MultiPolygon::new(vec![Polygon::new(ring(polygon.exterior()), holes)])
        };
        let mut ready = Ready::bare(grid, placed(&self.boundary));
        let rules = self.keep_clear.len();
        // Rules the other way round than areas, so that one is not taken for the other.
        let clear = |(at, polygon): (usize, &Polygon<f64>)| KeepClearArea {
            rule: rules - 1 - at,
            geometry: placed(polygon),
            ask: None,
        };
        ready.keep_clear = self.keep_clear.iter().enumerate().map(clear).collect();
        let line = |line: &[[f64; 2]; 2]| line.iter().map(there).collect::<LineString<f64>>();
        ready.breaks.lines = self.line.iter().map(line).collect();
        ready.breaks.drawn = self.drawn.iter().flat_map(placed).collect();

        let mut site = fixture::site("");
        site.layers.cover = self.cover.as_ref().map(|_| cover_table());
        let zones = &mut site.zones;
        zones.factors.clone_from(&self.factors);
        let band = Band { layer: GroundLayer::SkyView, edges: [0.5, 0.8] };
        zones.bands = Vec::from_iter(ground.layer(band.layer).is_some().then_some(band));
        zones.min_area_m2 = self.min_area_m2;
        zones.min_patch_m2 = self.min_patch_m2;
        zones.min_width = Metres(0.0);
        zones.straighten = self.is_plain.then_some(Metres(0.0));
        Property { site, ready, ground }
    }
}

/// A class of each treatment, in an order of its own.
fn cover_table() -> CategorySource<CoverClass> {
    let treatments = [Treatment::Keep, Treatment::Plant, Treatment::Never, Treatment::Infill];
    let row = |(code, treatment): (usize, &Treatment)| {
        fixture::cover_row(&code.to_string(), *treatment, 0.4)
    };
    let table = treatments.iter().enumerate().map(row).collect();
    CategorySource { file: "cover.tif".into(), layer: None, field: None, table }
}

fn patches<T: Clone + std::fmt::Debug + 'static>(
    values: &[T],
) -> impl Strategy<Value = Vec<T>> + use<T> {
    prop::collection::vec(prop::sample::select(values.to_vec()), PATCHES)
}

fn place(
    east: std::ops::Range<f64>,
    south: std::ops::Range<f64>,
) -> impl Strategy<Value = [f64; 2]> {
    let millimetre = |at: f64| (at * 1_000.0).round() / 1_000.0;
    (east, south).prop_map(move |(x, y)| [millimetre(x), millimetre(y)])
}

/// Four corners near those of the grid, at times with a hole.
fn boundary() -> impl Strategy<Value = Polygon<f64>> {
    let corners = (
        place(2.0..30.0, 2.0..20.0),
        place(150.0..178.0, 2.0..20.0),
        place(150.0..178.0, 100.0..118.0),
        place(2.0..30.0, 100.0..118.0),
    );
    let hole = prop::option::of((
        place(60.0..75.0, 50.0..60.0),
        place(80.0..95.0, 40.0..55.0),
        place(80.0..95.0, 60.0..80.0),
    ));
    (corners, hole).prop_map(|((a, b, c, d), hole)| {
        let hole = hole.map(|(a, b, c)| LineString::from(vec![a, b, c, a]));
        Polygon::new(LineString::from(vec![a, b, c, d, a]), hole.into_iter().collect())
    })
}

/// Triangles that are no splinters.
pub(super) fn triangle() -> impl Strategy<Value = Polygon<f64>> {
    let middle = place(10.0..170.0, 10.0..110.0);
    let offset = || place(8.0..40.0, 8.0..40.0);
    (middle, offset(), offset(), offset()).prop_map(|([x, y], a, b, c)| {
        let ring = vec![[x, y - a[0]], [x + b[0], y + b[1]], [x - c[0], y + c[1]], [x, y - a[0]]];
        Polygon::new(LineString::from(ring), Vec::new())
    })
}

/// From beyond the western edge to beyond the eastern, with ground on both sides that is wider than a sliver.
pub(super) fn line() -> impl Strategy<Value = [[f64; 2]; 2]> {
    (place(-20.0..-10.0, 40.0..80.0), place(190.0..200.0, 40.0..80.0))
        .prop_map(|(from, to)| [from, to])
}

fn layers() -> impl Strategy<Value = Vec<(GroundLayer, Vec<f32>)>> {
    let one = |kind: GroundLayer, values: [f32; 4]| {
        prop::option::of(patches(&values))
            .prop_map(move |values| values.map(|values| (kind, values)))
    };
    let all = (
        one(GroundLayer::WetnessIndex, [4.0, 7.0, 10.0, f32::NAN]),
        one(GroundLayer::SunRatio, [0.3, 0.9, 1.4, f32::NAN]),
        one(GroundLayer::Exposure, [5.0, 40.0, 120.0, f32::NAN]),
        one(GroundLayer::FrostIndex, [0.1, 0.45, 0.9, f32::NAN]),
        one(GroundLayer::SkyView, [0.3, 0.6, 0.9, f32::NAN]),
    );
    all.prop_map(|(a, b, c, d, e)| [a, b, c, d, e].into_iter().flatten().collect())
}

pub(super) fn seeds() -> impl Strategy<Value = Seed> {
    const SLOPES: [f32; 9] = [2.0, 5.5, 12.0, 12.0, 18.25, 23.0, 30.0, 41.0, f32::NAN];
    let ground = (
        patches(&SLOPES),
        layers(),
        prop::option::of(patches(&[0, 1, 2, 3, 4, 5])),
        prop::option::weighted(0.8, patches(&[2, 2, 2, 4, 4, 1, 3, 0, 9])),
    );
    let drawn = (
        boundary(),
        prop::collection::vec(triangle(), 0..=3),
        prop::option::weighted(0.4, line()),
        prop::option::weighted(0.3, triangle()),
    );
    let rules = (
        prop::sample::subsequence(ZoneFactor::ALL.to_vec(), 0..=ZoneFactor::ALL.len()),
        prop::sample::select(vec![0.0, 700.0, 2_000.0]),
        prop::sample::select(vec![0.0, 0.0, 900.0]),
        any::<bool>(),
    );
    (ground, drawn, rules).prop_map(|(ground, drawn, rules)| {
        let (slope, others, drainage, cover) = ground;
        let (boundary, keep_clear, line, drawn) = drawn;
        let (factors, min_area_m2, min_patch_m2, is_plain) = rules;
        Seed {
            slope,
            others,
            drainage,
            cover,
            boundary,
            keep_clear,
            line,
            drawn,
            factors,
            min_area_m2,
            min_patch_m2,
            is_plain,
        }
    })
}
