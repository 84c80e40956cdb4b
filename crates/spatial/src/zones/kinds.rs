//! What each cell of the property is, before any shape is drawn.

use rayon::prelude::*;

use super::cells::runs_mostly_in;
use super::classes::{ClassCode, SlopeGroup, Step};
use super::regions::NO_REGION;
use super::units::Units;
use crate::ground::{Ground, GroundLayer};
use crate::read::Ready;
use crate::site::{MOST_BANDS, Site, Treatment};

/// What a cell of the property is, where it is not kept clear by a setback.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CellKind {
    /// Ground that can be planted, with its classes as zones see them.
    Plantable(ClassCode),
    /// Ground that can be planted inside a hand-drawn zone, by its number from 1.
    Drawn(u16),
    /// Existing cover that is kept: position in the site's cover table.
    Kept(u8),
    /// Cover that is never planted: position in the site's cover table.
    Never(u8),
    /// Elevation or slope is not known.
    Unknown,
}

impl CellKind {
    const PLANTABLE: u32 = 1 << 31;
    const KEPT: u32 = 1 << 16;
    const NEVER: u32 = 1 << 17;
    const DRAWN: u32 = 1 << 18;
    const UNKNOWN: u32 = 1;

    /// One number for each kind, never [`NO_REGION`].
    pub(super) fn value(self) -> u32 {
        match self {
            Self::Plantable(code) => Self::PLANTABLE | code.index() as u32,
            Self::Drawn(zone) => Self::DRAWN | u32::from(zone),
            Self::Kept(cover) => Self::KEPT | u32::from(cover),
            Self::Never(cover) => Self::NEVER | u32::from(cover),
            Self::Unknown => Self::UNKNOWN,
        }
    }

    /// The kind of a [`CellKind::value`].
    pub(super) fn of(value: u32) -> Self {
        if value & Self::PLANTABLE != 0 {
            return Self::Plantable(ClassCode::at((value & !Self::PLANTABLE) as usize));
        }
        match value & (Self::KEPT | Self::NEVER | Self::DRAWN) {
            Self::DRAWN => Self::Drawn(value as u16),
            Self::KEPT => Self::Kept(value as u8),
            Self::NEVER => Self::Never(value as u8),
            _ => Self::Unknown,
        }
    }
}

/// What is known of each cell, in 4 bytes: its full class, its cover, and whether it is ground of
/// the property outside setbacks.
pub(super) struct Cells {
    packed: Vec<u32>,
    /// For each class of open or patchy ground, the value of its kind as zones see it.
    as_zones_see: Vec<u32>,
    /// The parts that drawn breaks make; `None` where nothing is drawn.
    pub(super) units: Option<Units>,
}

/// Bits of a packed cell above the class code.
mod bit {
    pub(super) const CODE: u32 = (1 << 20) - 1;
    pub(super) const COVER: u32 = 20;
    /// Elevation, slope, wetness and sun are known.
    pub(super) const KNOWN: u32 = 1 << 28;
    /// On the property and outside setbacks.
    pub(super) const OWN: u32 = 1 << 29;
    /// Goes by its ground as if its cover were open.
    pub(super) const OPENED: u32 = 1 << 30;
}

const _: () = assert!(ClassCode::COUNT <= bit::CODE as usize + 1, "a code fits its bits");

impl Cells {
    /// Looks at every cell. Cells belong to an area that covers at least half of them. In a setback
    /// a kept stand stays what it is.
    pub(super) fn new(ready: &Ready, ground: &Ground, site: &Site, units: Option<Units>) -> Self {
        let grid = ground.grid();
        let as_zones_see = (0..ClassCode::COUNT)
            .into_par_iter()
            .map(|at| {
                CellKind::Plantable(ClassCode::at(at).bounded_by(&site.zones.factors)).value()
            })
            .collect();
        let mut cells = Self { packed: classify(ground, site), as_zones_see, units };
        for run in runs_mostly_in(&ready.boundary, grid) {
            cells.packed[run].iter_mut().for_each(|cell| *cell |= bit::OWN);
        }
        for area in &ready.keep_clear {
            for run in runs_mostly_in(&area.geometry, grid) {
                for cell in &mut cells.packed[run] {
                    if treatment(*cell) != Treatment::Keep {
                        *cell &= !bit::OWN;
                    }
                }
            }
        }
        cells
    }

    /// The [value](CellKind::value) of a cell's kind, [`NO_REGION`] beyond the property and inside
    /// setbacks.
    #[inline]
    pub(super) fn value(&self, at: usize) -> u32 {
        let cell = self.packed[at];
        if cell & bit::OWN == 0 {
            return NO_REGION;
        }
        let cover = (cell >> bit::COVER) as u8;
        let treatment = treatment(cell);
        let drawn = self.units.as_ref().map_or(0, |units| units.drawn_at(at));
        if drawn > 0 && (treatment.is_planted() || cell & bit::OPENED != 0) {
            return CellKind::Drawn(drawn).value();
        }
        match treatment {
            Treatment::Keep if cell & bit::OPENED == 0 => CellKind::Kept(cover).value(),
            Treatment::Never if cell & bit::OPENED == 0 => CellKind::Never(cover).value(),
            _ if cell & bit::KNOWN == 0 => CellKind::UNKNOWN,
            // As if its treatment were Plant, the first.
            Treatment::Keep | Treatment::Never => {
                self.as_zones_see[(cell & bit::CODE & !3) as usize]
            }
            Treatment::Plant | Treatment::Infill => self.as_zones_see[(cell & bit::CODE) as usize],
        }
    }

    /// Makes a cell go by its ground, as if its cover were open.
    pub(super) fn open(&mut self, at: usize) {
        self.packed[at] |= bit::OPENED;
    }

    /// The full class of a cell; `None` where the ground is not known.
    #[inline]
    pub(super) fn class(&self, at: usize) -> Option<ClassCode> {
        let cell = self.packed[at];
        (cell & bit::KNOWN != 0).then(|| ClassCode::at((cell & bit::CODE) as usize))
    }

    /// Cells of ground to plant in each slope group.
    pub(super) fn to_plant_by_slope_group(&self) -> [usize; 7] {
        let count = |mut groups: [usize; 7], at: usize| {
            let cell = self.packed[at];
            let planted = cell & bit::OWN != 0 && treatment(cell).is_planted();
            if let Some(code) = self.class(at).filter(|_| planted) {
                groups[code.slope() as usize] += 1;
            }
            groups
        };
        let both = |a: [usize; 7], b: [usize; 7]| std::array::from_fn(|at| a[at] + b[at]);
        let cells = (0..self.len()).into_par_iter().with_min_len(1 << 16);
        cells.fold(|| [0; 7], count).reduce(|| [0; 7], both)
    }

    /// How many there are.
    pub(super) fn len(&self) -> usize {
        self.packed.len()
    }
}

/// The treatment of a packed cell: the last digit of its class code.
#[inline]
fn treatment(cell: u32) -> Treatment {
    Treatment::ALL[(cell % 4) as usize]
}

/// Packs the class and the cover of every cell.
///
/// Mapped drainage and the wetness index are both heard: the wetter wins. Ground where a further
/// layer has a hole is a class of its own: nobody knows which step it is on.
fn classify(ground: &Ground, site: &Site) -> Vec<u32> {
    /// Cells that one thread works out at a time.
    const CHUNK: usize = 1 << 12;
    let rules = &site.zones;
    let slope_edges = SlopeGroup::begin_at(rules.slope_edges);
    let always = [
        (&ground.wetness_index, ground.wetness_edges.map(at_least)),
        (&ground.sun_ratio, rules.sun_edges.map(at_least)),
    ];
    let others = [
        (ground.layer(GroundLayer::Exposure), rules.exposure_edges),
        (ground.layer(GroundLayer::FrostIndex), rules.frost_edges),
    ];
    let bands = rules.bands.iter().map(|band| (ground.layer(band.layer), band.edges));
    let none = (None, [0.0; 2]);
    let further = others.into_iter().chain(bands).chain(std::iter::repeat(none));
    let further: Vec<_> = further
        .take(2 + MOST_BANDS)
        .map(|(layer, edges): (Option<&terrain::Raster<f32>>, [f64; 2])| {
            (layer, edges.map(at_least))
        })
        .collect();
    let mapped: [u32; 256] = std::array::from_fn(|code| mapped_wetness(code as u8) as u32);
    let covers: [u32; 256] = std::array::from_fn(|code| {
        let (cover, treatment) = cover_of(code as u8, site);
        u32::from(cover) << bit::COVER | treatment as u32
    });
    let mut packed = vec![0_u32; ground.grid().len()];
    // One layer after another, without branches, so that several cells are worked out at a time.
    packed.par_chunks_mut(CHUNK).enumerate().for_each(|(chunk, packed)| {
        let cells = chunk * CHUNK..chunk * CHUNK + packed.len();
        let mut known = [0_u32; CHUNK];
        let slopes = &ground.slope_deg.cells()[cells.clone()];
        for ((cell, known), slope) in packed.iter_mut().zip(&mut known).zip(slopes) {
            *cell = slope_edges.iter().map(|edge| u32::from(*slope >= *edge)).sum();
            *known = u32::from(!slope.is_nan());
        }
        for (place, (layer, [second, third])) in always.iter().enumerate() {
            let values = &layer.cells()[cells.clone()];
            for ((cell, known), value) in packed.iter_mut().zip(&mut known).zip(values) {
                *cell = *cell * 3 + u32::from(value >= second) + u32::from(value >= third);
                *known &= u32::from(!value.is_nan());
            }
            if let (0, Some(codes)) = (place, &ground.drainage) {
                for (cell, code) in packed.iter_mut().zip(&codes.cells()[cells.clone()]) {
                    let step = *cell % 3;
                    *cell += mapped[usize::from(*code)].max(step) - step;
                }
            }
        }
        for (layer, [second, third]) in &further {
            let Some(layer) = layer else {
                for cell in packed.iter_mut() {
                    *cell *= 4;
                }
                continue;
            };
            for (cell, value) in packed.iter_mut().zip(&layer.cells()[cells.clone()]) {
                let step = 1 + u32::from(value >= second) + u32::from(value >= third);
                *cell = *cell * 4 + if value.is_nan() { 0 } else { step };
            }
        }
        let open = covers[0];
        for (at, (cell, known)) in packed.iter_mut().zip(known).enumerate() {
            let code = ground.cover.as_ref().map(|cover| cover.cells()[cells.start + at]);
            let cover = code.map_or(open, |code| covers[usize::from(code)]);
            *cell = (*cell * 4) | cover | (known * bit::KNOWN);
        }
    });
    packed
}

/// The least number of single precision that is no less than an edge.
fn at_least(edge: f64) -> f32 {
    let near = edge as f32;
    if f64::from(near) >= edge { near } else { near.next_up() }
}

/// Position in the cover table and treatment; ground of unknown cover counts as open.
#[must_use]
pub fn cover_at(ground: &Ground, site: &Site, at: usize) -> (u8, Treatment) {
    cover_of(ground.cover.as_ref().map_or(0, |cover| cover.cells()[at]), site)
}

/// The same of a code of the cover layer.
fn cover_of(code: u8, site: &Site) -> (u8, Treatment) {
    let table = site.layers.cover.as_ref().map_or(&[][..], |source| &source.table[..]);
    let index = code.wrapping_sub(1);
    table
        .get(usize::from(index))
        .map_or((index, Treatment::Plant), |row| (index, row.class.treatment))
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_begins_at_the_same_edge_in_single_precision() {
        for edge in [8.0, 0.1, 0.6, 1.1, 11.0, -3.7, 1e-30, 0.0] {
            let least = at_least(edge);
            for value in [least.next_down(), least, least.next_up()] {
                let step = Step::of(value.into(), [edge, f64::INFINITY]);
                assert_eq!(value >= least, step == Step::Middle, "{value} from {edge}");
            }
        }
    }

    #[test]
    fn a_value_stands_for_one_kind() {
        let mut kinds = vec![CellKind::Unknown];
        kinds.extend((0..=255).flat_map(|cover| [CellKind::Kept(cover), CellKind::Never(cover)]));
        kinds.extend([1, 2, u16::MAX].map(CellKind::Drawn));
        kinds.extend(
            (0..ClassCode::COUNT).step_by(97).map(|at| CellKind::Plantable(ClassCode::at(at))),
        );
        for kind in kinds {
            assert_ne!(kind.value(), NO_REGION);
            assert_eq!(CellKind::of(kind.value()), kind);
        }
    }
}
