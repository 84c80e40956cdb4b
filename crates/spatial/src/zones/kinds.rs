//! What each cell of the property is, before any shape is drawn.

use std::ops::Range;

use rayon::prelude::*;

use super::cells::runs_mostly_in;
use super::classes::{ClassCode, SlopeGroup, Step};
use super::regions::{NO_REGION, Valued};
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
    pub(super) const CODE: u32 = (1 << 21) - 1;
    pub(super) const COVER: u32 = 21;
    /// Elevation and slope are known, and wetness and sun where they are reckoned.
    pub(super) const KNOWN: u32 = 1 << 30;
    /// On the property and outside setbacks.
    pub(super) const OWN: u32 = 1 << 29;
    /// Goes by its ground as if its cover were open.
    pub(super) const OPENED: u32 = 1 << 31;
}

const _: () = assert!(ClassCode::COUNT <= bit::CODE as usize + 1, "a code fits its bits");

impl Cells {
    /// Looks at every cell. Cells belong to an area that covers at least half of them. In a setback
    /// a kept stand stays what it is.
    pub(super) fn new(ready: &Ready, ground: &Ground, site: &Site, units: Option<Units>) -> Self {
        let grid = ground.grid();
        let codes = ClassCode::all_bounded_by(&site.zones.factors);
        let as_zones_see =
            codes.into_iter().map(|code| CellKind::Plantable(code).value()).collect();
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

    /// Those among neighbouring cells whose ground is known, as runs.
    #[inline]
    pub(super) fn known_runs(&self, cells: Range<usize>) -> impl Iterator<Item = Range<usize>> {
        let is_known = |cell: u32| cell & bit::KNOWN != 0;
        let packed = &self.packed[cells.clone()];
        let all = packed.iter().fold(bit::KNOWN, |all, cell| all & cell) != 0;
        let whole = all.then_some(cells.clone()).filter(|cells| !cells.is_empty());
        let mixed = if all { &[][..] } else { packed };
        let mut next = cells.start;
        let parts = mixed.chunk_by(move |a, b| is_known(*a) == is_known(*b)).map(move |part| {
            next += part.len();
            (is_known(part[0]), next - part.len()..next)
        });
        whole.into_iter().chain(parts.filter(|(known, _)| *known).map(|(_, run)| run))
    }

    /// Visits the full classes of neighbouring cells whose ground is known, each with the number of
    /// cells in a row that have it.
    #[inline]
    pub(super) fn classes(&self, cells: Range<usize>, mut visit: impl FnMut(ClassCode, u32)) {
        /// Cells compared together.
        const LANES: usize = 8;
        let mut rest = &self.packed[cells];
        while let Some(first) = rest.first() {
            let differ = |cell: &u32| (cell ^ first) & bit::CODE;
            let is_alike = |lane: &&[u32]| lane.iter().fold(0, |any, cell| any | differ(cell)) == 0;
            let lanes = rest.chunks_exact(LANES).take_while(is_alike).count();
            let ragged = rest[lanes * LANES..].iter().take_while(|cell| differ(cell) == 0);
            let alike = lanes * LANES + ragged.count();
            visit(ClassCode::at((first & bit::CODE) as usize), alike as u32);
            rest = &rest[alike..];
        }
    }

    /// Cells of ground to plant in each slope group.
    pub(super) fn to_plant_by_slope_group(&self) -> [usize; 7] {
        /// Cells that one thread counts at a time.
        const CHUNK: usize = 1 << 16;
        /// Codes of a slope group.
        const GROUP: u32 = (ClassCode::COUNT / SlopeGroup::ALL.len()) as u32;
        let planted = |cell: u32| {
            let own = cell & (bit::OWN | bit::KNOWN) == bit::OWN | bit::KNOWN;
            own && cell % 4 <= Treatment::Infill as u32
        };
        // Four tallies taken in turns, for neighbours mostly lie in one group.
        let count = |cells: &[u32]| {
            let mut tallies = [[0_usize; 8]; 4];
            for (at, cell) in cells.iter().enumerate() {
                let group = (cell & bit::CODE) / GROUP;
                tallies[at % 4][group as usize % 8] += usize::from(planted(*cell));
            }
            std::array::from_fn(|group| tallies.iter().map(|tally| tally[group]).sum())
        };
        let both = |a: [usize; 7], b: [usize; 7]| std::array::from_fn(|at| a[at] + b[at]);
        self.packed.par_chunks(CHUNK).map(count).reduce(|| [0; 7], both)
    }

    /// How many there are.
    pub(super) fn len(&self) -> usize {
        self.packed.len()
    }
}

impl Valued for Cells {
    /// Its packed cell: walls part cells of unlike units.
    #[inline]
    fn token(&self, at: usize) -> u32 {
        self.packed[at]
    }

    /// The [value](CellKind::value) of a cell's kind, [`NO_REGION`] beyond the property and inside
    /// setbacks.
    #[inline]
    fn value(&self, at: usize) -> u32 {
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
}

/// The treatment of a packed cell: the last digit of its class code.
#[inline]
fn treatment(cell: u32) -> Treatment {
    Treatment::ALL[(cell % 4) as usize]
}

/// Packs the class and the cover of every cell.
///
/// Mapped drainage and the wetness index are both heard: the wetter wins. Ground without wetness or
/// sun, where they are reckoned, is not known; where a further layer has a hole it is a class of its own: nobody
/// knows which step it is on.
fn classify(ground: &Ground, site: &Site) -> Vec<u32> {
    /// Cells that one thread works out at a time.
    const CHUNK: usize = 1 << 11;
    let rules = &site.zones;
    let slope_edges = SlopeGroup::begin_at(rules.slope_edges);
    let wetness = ground.layer(GroundLayer::WetnessIndex).zip(ground.wetness_edges);
    let others = [
        (ground.layer(GroundLayer::SunRatio), rules.sun_edges),
        (ground.layer(GroundLayer::Exposure), rules.exposure_edges),
        (ground.layer(GroundLayer::FrostIndex), rules.frost_edges),
    ];
    let bands = rules.bands.iter().map(|band| (ground.layer(band.layer), band.edges));
    let none = (None, [0.0; 2]);
    let further = others.into_iter().chain(bands).chain(std::iter::repeat(none));
    let further: Vec<_> = further
        .take(3 + MOST_BANDS)
        .map(|(layer, edges): (Option<&terrain::Raster<f32>>, [f64; 2])| {
            (layer, edges.map(at_least))
        })
        .collect();
    let mapped: [u32; 256] = std::array::from_fn(|code| mapped_wetness(code as u8) as u32 + 1);
    let covers: [u32; 256] = std::array::from_fn(|code| {
        let (cover, treatment) = cover_of(code as u8, site);
        u32::from(cover) << bit::COVER | treatment as u32
    });
    let mut packed = vec![0_u32; ground.grid().len()];
    // One layer after another, without branches, so that several cells are worked out at a time. For
    // the same reason sums wrap: a check would be a branch, and a code has room.
    packed.par_chunks_mut(CHUNK).enumerate().for_each(|(chunk, packed)| {
        let cells = chunk * CHUNK..chunk * CHUNK + packed.len();
        let mut known = [0_u32; CHUNK];
        let slopes = &ground.slope_deg.cells()[cells.clone()];
        for (known, slope) in known.iter_mut().zip(slopes) {
            *known = u32::from(!slope.is_nan());
        }
        for edge in slope_edges {
            for (cell, slope) in packed.iter_mut().zip(slopes) {
                *cell = cell.wrapping_add(u32::from(*slope >= edge));
            }
        }
        // Places of layers that are not there, left out until a number is put behind them.
        let mut places = 4;
        if let Some((layer, edges)) = wetness {
            let [second, third] = edges.map(at_least);
            let values = &layer.cells()[cells.clone()];
            for ((cell, known), value) in packed.iter_mut().zip(&mut known).zip(values) {
                let step = step(*value, second, third).wrapping_add(1);
                *cell = cell.wrapping_mul(places).wrapping_add(step);
                *known &= u32::from(!value.is_nan());
            }
            if let Some(codes) = &ground.drainage {
                for (cell, code) in packed.iter_mut().zip(&codes.cells()[cells.clone()]) {
                    let step = *cell % 4;
                    *cell += mapped[usize::from(*code)].max(step) - step;
                }
            }
            places = 1;
        }
        for (place, (layer, edges)) in further.iter().enumerate() {
            places *= 4;
            let Some(layer) = layer else { continue };
            let [second, third] = *edges;
            let values = &layer.cells()[cells.clone()];
            if place == 0 {
                for (known, value) in known.iter_mut().zip(values) {
                    *known &= u32::from(!value.is_nan());
                }
            }
            for (cell, value) in packed.iter_mut().zip(values) {
                let step = step(*value, second, third).wrapping_add(1);
                let step = if value.is_nan() { 0 } else { step };
                *cell = cell.wrapping_mul(places).wrapping_add(step);
            }
            places = 1;
        }
        places *= 4;
        if let Some(codes) = &ground.cover {
            let codes = &codes.cells()[cells];
            for ((cell, known), code) in packed.iter_mut().zip(&known).zip(codes) {
                let cover = covers[usize::from(*code)];
                *cell = cell.wrapping_mul(places) | cover | known.wrapping_mul(bit::KNOWN);
            }
        } else {
            let open = covers[0];
            for (cell, known) in packed.iter_mut().zip(&known) {
                *cell = cell.wrapping_mul(places) | open | known.wrapping_mul(bit::KNOWN);
            }
        }
    });
    packed
}

/// How many of two rising edges a value has reached.
#[inline]
fn step(value: f32, second: f32, third: f32) -> u32 {
    u32::from(value >= second).wrapping_add(u32::from(value >= third))
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
#[must_use]
pub(crate) fn cover_of(code: u8, site: &Site) -> (u8, Treatment) {
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

    /// The fast count beside one that unpacks each cell: own or not, known or not, of every class.
    #[test]
    fn ground_to_plant_is_counted_as_cell_by_cell() {
        let marks =
            [bit::OWN | bit::KNOWN, bit::OWN, bit::KNOWN, 0, bit::OWN | bit::KNOWN | bit::OPENED];
        // Every 27th class, so that each treatment, slope and mark come together.
        let codes = (0..ClassCode::COUNT as u32).step_by(27);
        let packed: Vec<u32> =
            codes.zip(marks.iter().cycle()).map(|(code, mark)| code | mark).collect();
        let mut expected = [0; 7];
        for cell in &packed {
            let classes = ClassCode::at((cell & bit::CODE) as usize).unpack();
            let is_there = cell & bit::OWN != 0 && cell & bit::KNOWN != 0;
            if is_there && matches!(classes.treatment, Treatment::Plant | Treatment::Infill) {
                expected[classes.slope as usize] += 1;
            }
        }
        assert!(expected.iter().all(|count| *count > 1_000), "{expected:?}");
        let cells = Cells { packed, as_zones_see: Vec::new(), units: None };
        assert_eq!(cells.to_plant_by_slope_group(), expected);
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
