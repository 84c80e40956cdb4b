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
