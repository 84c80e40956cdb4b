//! Kinds of ground: cells that are protected alike, and whose they are.

use cover::Pattern;
use rayon::prelude::*;
use terrain::Raster;

use crate::site::{CoverClass, CoverRules, SlopeEdges};
use crate::zones::{CellShares, SlopeGroup};
use stock::LandformClass;

/// What cells are judged by.
pub(super) struct Footing<'a> {
    /// Slope, degrees.
    pub(super) slope_deg: &'a Raster<f32>,
    /// Position in `covers` plus 1, 0 where unknown.
    pub(super) cover: Option<&'a Raster<u8>>,
    /// Position in `terrains` plus 1, 0 where unknown.
    pub(super) terrain: Option<&'a Raster<u8>>,
    /// Slope length and steepness factor.
    pub(super) ls: Option<&'a Raster<f32>>,
    /// Whether ground regenerates by itself, cell by cell; `None`: nowhere.
    pub(super) seeded: Option<&'a [bool]>,
    /// Cover classes.
    pub(super) covers: &'a [CoverClass],
    /// Erosion terrains: name, and slope above which their ground may slip.
    pub(super) terrains: &'a [(String, f64)],
    /// How real slopes fall into whole-degree groups.
    pub(super) slope_edges: SlopeEdges,
    /// Slope above which fewer plants live, degrees.
    pub(super) steep_from_deg: f64,
    /// How plants stand.
    pub(super) pattern: Pattern,
    /// What counts.
    pub(super) rules: &'a CoverRules,
}

/// A kind of ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Kind {
    /// Position in the cover classes; `None` where cover is not known.
    pub(super) cover: Option<usize>,
    /// Position in the erosion terrains; `None` where none is mapped.
    pub(super) terrain: Option<usize>,
    /// LUC slope group.
    pub(super) group: SlopeGroup,
    /// Whether it is steeper than its terrain's slope.
    pub(super) is_over: bool,
    /// Whether fewer plants live for its steepness.
    pub(super) is_steep: bool,
    /// Whether it regenerates by itself when left.
    pub(super) is_seeded: bool,
}

/// A cell whose slope is not known.
const UNKNOWN: u32 = u32::MAX;

/// The kind of every cell, by its place among those that occur.
pub(super) struct Numbered {
    /// Kinds that occur.
    pub(super) kinds: Vec<Kind>,
    /// Place of each cell's kind; [`UNKNOWN`] where its slope is not known.
    pub(super) cells: Vec<u32>,
}

impl Footing<'_> {
    /// Kinds that there may be; every number below it is one.
    fn kinds(&self) -> usize {
        (self.covers.len() + 1) * (self.terrains.len() + 1) * SlopeGroup::ALL.len() * 8
    }

    /// The kind of a number.
    fn kind(&self, number: usize) -> Kind {
        let (flags, rest) = (number % 8, number / 8);
        let (group, rest) = (rest % SlopeGroup::ALL.len(), rest / SlopeGroup::ALL.len());
        let (terrain, cover) = (rest % (self.terrains.len() + 1), rest / (self.terrains.len() + 1));
        Kind {
            cover: cover.checked_sub(1),
            terrain: terrain.checked_sub(1),
            group: SlopeGroup::ALL[group],
            is_over: flags & 1 != 0,
            is_steep: flags & 2 != 0,
            is_seeded: flags & 4 != 0,
        }
    }

    /// The number of the kind at a cell. Tables are of bytes: 255 × 255 × 56 at most.
    fn number_at(&self, at: usize) -> u32 {
        let slope = self.slope_deg.cells()[at];
        if slope.is_nan() {
            return UNKNOWN;
        }
        let slope = f64::from(slope);
        let code = |layer: Option<&Raster<u8>>, most: usize| {
            let code = layer.map_or(0, |layer| usize::from(layer.cells()[at]));
            if code > most { 0 } else { code }
        };
        let cover = code(self.cover, self.covers.len());
        let terrain = code(self.terrain, self.terrains.len());
        let edge = terrain
            .checked_sub(1)
            .map_or(self.rules.slips_above_deg, |terrain| self.terrains[terrain].1);
        let group = SlopeGroup::of(slope, self.slope_edges) as usize;
        let seeded = self.seeded.is_some_and(|cells| cells[at]);
        let flags = usize::from(slope > edge)
            | usize::from(slope > self.steep_from_deg) << 1
            | usize::from(seeded) << 2;
        let place = (cover * (self.terrains.len() + 1) + terrain) * SlopeGroup::ALL.len() + group;
        (place * 8 + flags) as u32
    }

    /// The kind of every cell. Few of the many that there may be occur: those alone are numbered.
    ///
    /// Cost: two looks at each cell, on all cores but for one quick pass.
    pub(super) fn numbered(&self) -> Numbered {
        let mut cells: Vec<u32> = (0..self.slope_deg.cells().len())
            .into_par_iter()
            .with_min_len(1 << 14)
            .map(|at| self.number_at(at))
            .collect();
        let mut place = vec![UNKNOWN; self.kinds()];
        for number in cells.iter().filter(|number| **number != UNKNOWN) {
            place[*number as usize] = 0;
        }
        let mut kinds = Vec::new();
        for (number, place) in place.iter_mut().enumerate().filter(|(_, place)| **place == 0) {
            *place = kinds.len() as u32;
            kinds.push(self.kind(number));
        }
        cells.par_iter_mut().filter(|cell| **cell != UNKNOWN).for_each(|cell| {
            *cell = place[*cell as usize];
        });
        Numbered { kinds, cells }
    }

    /// The cover class of a kind.
    pub(super) fn class(&self, kind: Kind) -> Option<&CoverClass> {
        kind.cover.map(|at| &self.covers[at])
    }

    /// Whether a kind shows an old slip scar.
    pub(super) fn is_scar(&self, kind: Kind) -> bool {
        self.class(kind).and_then(|class| class.landform) == Some(LandformClass::SlipScar)
    }

    /// Whether the ground of a kind may slip: steeper than its terrain's slope, or slipped before.
    pub(super) fn may_slip(&self, kind: Kind) -> bool {
        kind.is_over || self.is_scar(kind)
    }
}

/// Ground of one kind in one owner.
#[derive(Debug, Clone, Copy)]
pub(super) struct Part {
    /// Position of the owner.
    pub(super) owner: usize,
    /// Place of the kind among those that occur.
    pub(super) number: u32,
    /// What it is.
    pub(super) kind: Kind,
    /// Map area, square metres.
    pub(super) plan_m2: f64,
    /// Area along the slope, square metres.
    pub(super) ground_m2: f64,
    /// Mean slope length and steepness factor; 0 where it was not reckoned.
    pub(super) ls: f64,
    /// Mean slope, degrees.
    pub(super) slope_deg: f64,
}

/// The parts of every owner, in order of owner and kind, and the map area of each owner whose slope is not
/// known, square metres.
///
/// Cost: one look at each cell of each owner, on all cores.
pub(super) fn parts(
    footing: &Footing<'_>,
    numbered: &Numbered,
    owners: &[&CellShares],
) -> (Vec<Part>, f64) {
    let cell_m2 = footing.slope_deg.grid().cell_area();
    let found: Vec<(Vec<Part>, f64)> = owners
        .par_iter()
        .enumerate()
        .with_max_len(1)
        .map(|(owner, cells)| {
            let mut sums = vec![[0.0_f64; 4]; numbered.kinds.len()];
            let mut unknown = 0.0;
            for cell in cells.iter() {
                let (at, share) = (cell.at as usize, f64::from(cell.share));
                let number = numbered.cells[at];
                if number == UNKNOWN {
                    unknown += share;
                    continue;
                }
                let slope = f64::from(footing.slope_deg.cells()[at]);
                let sum = &mut sums[number as usize];
                sum[0] += share;
                sum[1] += share / slope.to_radians().cos().max(1e-3);
                sum[2] += share * slope;
                let ls = footing.ls.map_or(0.0, |ls| f64::from(ls.cells()[at]));
                sum[3] += share * if ls.is_finite() { ls } else { 0.0 };
            }
            let part = |(number, sum): (usize, &[f64; 4])| Part {
                owner,
                number: number as u32,
                kind: numbered.kinds[number],
                plan_m2: sum[0] * cell_m2,
                ground_m2: sum[1] * cell_m2,
                ls: sum[3] / sum[0],
                slope_deg: sum[2] / sum[0],
            };
            let known = sums.iter().enumerate().filter(|(_, sum)| sum[0] > 0.0);
            (known.map(part).collect(), unknown * cell_m2)
        })
        .collect();
    let unknown_m2 = found.iter().map(|(_, unknown)| unknown).sum();
    (found.into_iter().flat_map(|(parts, _)| parts).collect(), unknown_m2)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use geo::{MultiPolygon, Rect};
    use proptest::prelude::*;
    use terrain::Grid;

    use super::*;
    use crate::offers::fixture;
    use crate::site::Treatment;
    use crate::zones::cell_shares;

    const COLS: usize = 6;
    const CELLS: usize = 5 * COLS;
    const TERRAINS: [f64; 2] = [20.0, 30.0];
    const COVERS: usize = 3;

    /// Ground of which everything may be known, and what is known of each cell.
    #[derive(Debug, Clone)]
    struct Made {
        slope_deg: Vec<f32>,
        cover: Option<Vec<u8>>,
        terrain: Option<Vec<u8>>,
        ls: Option<Vec<f32>>,
        seeded: Option<Vec<bool>>,
    }

    fn made() -> impl Strategy<Value = Made> {
        let each = |values: Vec<u8>| prop::collection::vec(prop::sample::select(values), CELLS);
        let slopes = prop_oneof![8 => 0.0..50.0_f32, 1 => Just(f32::NAN)];
        let ls = prop_oneof![8 => 0.1..20.0_f32, 1 => Just(f32::NAN)];
        (
            prop::collection::vec(slopes, CELLS),
            prop::option::weighted(0.8, each(vec![0, 1, 2, 3, 9])),
            prop::option::weighted(0.8, each(vec![0, 1, 2, 7])),
            prop::option::weighted(0.8, prop::collection::vec(ls, CELLS)),
            prop::option::weighted(0.8, prop::collection::vec(any::<bool>(), CELLS)),
        )
            .prop_map(|(slope_deg, cover, terrain, ls, seeded)| Made {
                slope_deg,
                cover,
                terrain,
                ls,
                seeded,
            })
    }

    /// The kind of a cell, one question after another; `None` where its slope is not known.
    fn kind(made: &Made, at: usize, footing: &Footing<'_>) -> Option<Kind> {
        let slope = f64::from(made.slope_deg[at]);
        let code = |codes: &Option<Vec<u8>>, most: usize| {
            let code = usize::from(codes.as_ref()?[at]);
            (1..=most).contains(&code).then(|| code - 1)
        };
        let terrain = code(&made.terrain, TERRAINS.len());
        let edge = terrain.map_or(footing.rules.slips_above_deg, |terrain| TERRAINS[terrain]);
        (!slope.is_nan()).then(|| Kind {
            cover: code(&made.cover, COVERS),
            terrain,
            group: SlopeGroup::of(slope, footing.slope_edges),
            is_over: slope > edge,
            is_steep: slope > footing.steep_from_deg,
            is_seeded: made.seeded.as_ref().is_some_and(|seeded| seeded[at]),
        })
    }

    proptest! {
        /// Against going through the cells of each owner, of which one covers parts of cells.
        #[test]
        fn parts_are_the_sums_of_cells_of_a_kind(made in made()) {
            let grid = Grid::new(COLS, CELLS / COLS, 0.0, 50.0, 10.0, 10.0).unwrap();
            let numbers = |values: &Vec<f32>| Raster::new(grid, values.clone()).unwrap();
            let codes = |values: &Option<Vec<u8>>| {
                values.as_ref().map(|values| Raster::new(grid, values.clone()).unwrap())
            };
            let (slope_deg, ls) = (numbers(&made.slope_deg), made.ls.as_ref().map(numbers));
            let (cover, terrain) = (codes(&made.cover), codes(&made.terrain));
            let class = |at: usize| fixture::cover_row(&at.to_string(), Treatment::Plant, 1.0).class;
            let covers: Vec<CoverClass> = (0..COVERS).map(class).collect();
            let terrains = TERRAINS.map(|edge| (edge.to_string(), edge));
            let site = fixture::site("");
            let footing = Footing {
                slope_deg: &slope_deg,
                cover: cover.as_ref(),
                terrain: terrain.as_ref(),
                ls: ls.as_ref(),
                seeded: made.seeded.as_deref(),
                covers: &covers,
                terrains: &terrains,
                slope_edges: site.zones.slope_edges,
                steep_from_deg: 15.0,
                pattern: Pattern::Square,
                rules: &site.cover,
            };
            let area = |rect: Rect<f64>| cell_shares(&MultiPolygon::from(rect), &grid);
            let owners = [
                area(Rect::new((0.0, 0.0), (60.0, 20.0))),
                area(Rect::new((3.0, 20.0), (58.0, 46.0))),
            ];
            let numbered = footing.numbered();
            let (mut found, unknown_m2) = parts(&footing, &numbered, &owners.each_ref());
            found.sort_by_key(|part| (part.owner, part.kind));
            // Map and ground area, and slope and LS times map area.
            let mut expected: BTreeMap<(usize, Kind), [f64; 4]> = BTreeMap::new();
            let mut unknown = 0.0;
            for (owner, cells) in owners.iter().enumerate() {
                for cell in cells.iter() {
                    let (at, m2) = (cell.at as usize, f64::from(cell.share) * 100.0);
                    let Some(kind) = kind(&made, at, &footing) else {
                        unknown += m2;
                        continue;
                    };
                    let slope = f64::from(made.slope_deg[at]);
                    let ls = made.ls.as_ref().map_or(0.0, |ls| f64::from(ls[at]));
                    let sums = expected.entry((owner, kind)).or_default();
                    sums[0] += m2;
                    sums[1] += m2 / slope.to_radians().cos();
                    sums[2] += m2 * slope;
                    sums[3] += if ls.is_nan() { 0.0 } else { m2 * ls };
                }
            }
            prop_assert!((unknown_m2 - unknown).abs() < 1e-6, "{unknown_m2} of {unknown} m²");
            let of: Vec<_> = found.iter().map(|part| (part.owner, part.kind)).collect();
            prop_assert_eq!(of, expected.keys().copied().collect::<Vec<_>>());
            for (part, [plan_m2, ground_m2, slope, ls]) in found.iter().zip(expected.values()) {
                prop_assert_eq!(numbered.kinds[part.number as usize], part.kind);
                prop_assert!((part.plan_m2 - plan_m2).abs() < 1e-6, "{part:?} of {plan_m2} m²");
                prop_assert!((part.ground_m2 - ground_m2).abs() < 1e-6, "{part:?} of {ground_m2} m²");
                prop_assert!((part.slope_deg - slope / plan_m2).abs() < 1e-9, "{part:?}");
                prop_assert!((part.ls - ls / plan_m2).abs() < 1e-9, "{part:?}");
            }
        }
    }
}
