//! What the ground of a polygon is like, from the exact share of each cell under it.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use super::cells::CellShares;
use super::classes::{ClassCode, SlopeGroup};
use super::kinds::Cells;
use crate::ground::{Ground, GroundLayer};
use crate::layout::slope_factor;
use crate::site::Site;

/// Statistics of the ground under a polygon, weighted by the area that it covers of each cell.
/// Areas are square metres of map unless named.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct GroundStatistics {
    /// Map area of the cells under it that are known.
    pub known_m2: f64,
    /// Area along the slope.
    pub ground_m2: f64,
    /// Mean slope, degrees; 0 where nothing is known.
    pub slope_mean_deg: f64,
    /// Slopes that 10, 50 and 90 % of the area do not exceed, degrees, to 0.01 degree.
    pub slope_quantiles_deg: [f64; 3],
    /// Map area by slope in steps of [`SLOPE_STEP_DEG`]; the last holds all that is steeper.
    pub slope_histogram_m2: [f64; SLOPE_STEPS],
    /// Lowest, mean and highest elevation, metres.
    pub elevation_m: [f64; 3],
    /// Means of the factors that are known here.
    pub means: BTreeMap<GroundLayer, f64>,
    /// Map area of each full class.
    pub by_class: BTreeMap<ClassCode, f64>,
    /// Map area steeper than [`CAUTION_SLOPES_DEG`].
    pub steeper_m2: [f64; 3],
}

/// Slopes at which the usual cautions begin, degrees: wheeled machines, tracked machines, planting
/// by hand. Source: common practice, numbers from memory; local safety rules decide.
pub const CAUTION_SLOPES_DEG: [f64; 3] = [15.0, 22.0, 35.0];

/// Width of a step of the slope histogram, degrees.
pub const SLOPE_STEP_DEG: f64 = 5.0;

/// Steps of the slope histogram: up to 45 degrees, and above.
pub const SLOPE_STEPS: usize = 10;

/// Shares of the area at which slope quantiles are told.
const QUANTILES: [f64; 3] = [0.1, 0.5, 0.9];

/// Layers whose means are told, where they are known.
const MEANS: [GroundLayer; 4] = [
    GroundLayer::WetnessIndex,
    GroundLayer::SunRatio,
    GroundLayer::Exposure,
    GroundLayer::FrostIndex,
];

/// Room for sums, made once for many polygons.
pub(super) struct Sums {
    /// Area of each class; those above 0 are listed in `classes`.
    by_class: Vec<f64>,
    classes: Vec<usize>,
    /// Area, and area times slope, by hundredths of a degree.
    slopes: Vec<[f64; 2]>,
    /// Gentlest and steepest slope, degrees.
    extent: [f32; 2],
}

/// Rooms for sums that wait for their next use.
#[derive(Default)]
pub(super) struct Rooms(Mutex<Vec<Sums>>);

impl Rooms {
    /// Lends a room, which must be given back as empty as it was.
    pub(super) fn with<T>(&self, work: impl FnOnce(&mut Sums) -> T) -> T {
        // A thread that came to grief leaves no room half full: it is not given back.
        let waiting = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let mut sums = waiting().pop().unwrap_or_else(Sums::new);
        let worked = work(&mut sums);
        waiting().push(sums);
        worked
    }
}

impl Sums {
    const BINS_A_DEGREE: f64 = 100.0;
    const NO_EXTENT: [f32; 2] = [f32::INFINITY, f32::NEG_INFINITY];

    fn new() -> Self {
        let bins = (90.0 * Self::BINS_A_DEGREE) as usize + 1;
        let by_class = vec![0.0; ClassCode::COUNT];
        let extent = Self::NO_EXTENT;
        Self { by_class, classes: Vec::new(), slopes: vec![[0.0; 2]; bins], extent }
    }

    /// Adds the slope of a cell of which an area is covered.
    #[inline]
    fn add_slope(&mut self, slope: f32, area: f64) {
        let [gentlest, steepest] = self.extent;
        self.extent = [gentlest.min(slope), steepest.max(slope)];
        self.add_to_bin(slope, area);
    }

    /// Adds the slopes of cells that are covered alike.
    #[inline]
    fn add_slopes(&mut self, slopes: &[f32], area: f64) {
        for slope in slopes {
            let [gentlest, steepest] = &mut self.extent;
            *gentlest = if slope < gentlest { *slope } else { *gentlest };
            *steepest = if slope > steepest { *slope } else { *steepest };
        }
        for slope in slopes {
            self.add_to_bin(*slope, area);
        }
    }

    #[inline]
    fn add_to_bin(&mut self, slope: f32, area: f64) {
        let slope = f64::from(slope);
        let last = self.slopes.len() - 1;
        let bin = &mut self.slopes[Self::bin(slope).min(last)];
        bin[0] += area;
        bin[1] += area * slope;
    }

    fn bin(slope: f64) -> usize {
        (slope * Self::BINS_A_DEGREE) as u32 as usize
    }

    fn add_class(&mut self, code: ClassCode, area: f64) {
        let class = &mut self.by_class[code.index()];
        if *class <= 0.0 {
            self.classes.push(code.index());
        }
        *class += area;
    }

    /// Area of each class, emptied.
    fn take_classes(&mut self) -> BTreeMap<ClassCode, f64> {
        let take = |at: usize| (ClassCode::at(at), std::mem::take(&mut self.by_class[at]));
        self.classes.drain(..).map(take).collect()
    }

    /// All that is told of slope, emptied. Each hundredth of a degree goes by its mean.
    fn take_slopes(&mut self, found: &mut GroundStatistics) {
        let total = found.known_m2;
        let (mut below, mut next) = (0.0, 0);
        let last = self.slopes.len() - 1;
        let [first, end] = self.extent.map(|slope| Self::bin(slope.into()).min(last));
        self.extent = Self::NO_EXTENT;
        for [area, sum] in self.slopes[first.min(end)..=end].iter_mut().map(std::mem::take) {
            if area <= 0.0 {
                continue;
            }
            let slope = sum / area;
            found.slope_mean_deg += sum / total;
            found.ground_m2 += area * slope_factor(slope);
            let step = ((slope / SLOPE_STEP_DEG) as usize).min(SLOPE_STEPS - 1);
            found.slope_histogram_m2[step] += area;
            for (steeper, from) in found.steeper_m2.iter_mut().zip(CAUTION_SLOPES_DEG) {
                *steeper += if slope > from { area } else { 0.0 };
            }
            below += area;
            // A hair of rounding must not leave the last share out of reach.
            while next < 3 && below >= QUANTILES[next] * total * (1.0 - 1e-12) {
                found.slope_quantiles_deg[next] = slope;
                next += 1;
            }
        }
    }
}

/// What statistics are gathered from.
pub(super) struct Survey<'a> {
    pub(super) cells: Cells,
    pub(super) ground: &'a Ground,
}

impl Survey<'_> {
    /// Statistics of the cells under a polygon. Cost: linear in the cells.
    pub(super) fn statistics(&self, under: &CellShares, sums: &mut Sums) -> GroundStatistics {
        let ground = self.ground;
        let cell_area = ground.grid().cell_area();
        let (slopes, elevations) = (ground.slope_deg.cells(), ground.elevation_m.cells());
        let mut elevation = Tally::NONE;
        let mut layers: Vec<(GroundLayer, &[f32], Tally)> = MEANS
            .iter()
            .filter_map(|one| Some((*one, ground.layer(*one)?.cells(), Tally::NONE)))
            .collect();
        for run in under.runs() {
            let is_whole = run.share.to_bits() == 1.0_f32.to_bits();
            for known in self.cells.known_runs(run.cells()) {
                if is_whole {
                    self.cells.classes(known.clone(), |code, cells| {
                        sums.add_class(code, cell_area * f64::from(cells));
                    });
                    sums.add_slopes(&slopes[known.clone()], cell_area);
                    elevation.add_whole(&elevations[known.clone()]);
                    for (_, layer, tally) in &mut layers {
                        tally.add_whole(&layer[known.clone()]);
                    }
                    continue;
                }
                let share = f64::from(run.share);
                for at in known {
                    let Some(code) = self.cells.class(at) else { continue };
                    sums.add_class(code, share * cell_area);
                    sums.add_slope(slopes[at], share * cell_area);
                    elevation.add_part(elevations[at], share);
                    for (_, layer, tally) in &mut layers {
                        tally.add_part(layer[at], share);
                    }
                }
            }
        }
        let known_cells = elevation.known();
        let mut found =
            GroundStatistics { known_m2: known_cells * cell_area, ..GroundStatistics::default() };
        found.by_class = sums.take_classes();
        sums.take_slopes(&mut found);
        if known_cells > 0.0 {
            let [least, most] = elevation.extremes();
            found.elevation_m = [least.into(), elevation.sum() / known_cells, most.into()];
        }
        let known = layers.into_iter().filter(|(.., tally)| tally.known() > 0.0);
        found.means = known.map(|(layer, _, tally)| (layer, tally.sum() / tally.known())).collect();
        found
    }
}

/// Sum and extremes of the values of cells, weighted by their shares; holes are left out.
///
/// Whole cells are added in several sums side by side, so that several are added at a time; always
/// the same ones, so that the last digits are too.
#[derive(Clone, Copy)]
struct Tally {
    whole: [f64; LANES],
    whole_cells: [u32; LANES],
    part: f64,
    part_cells: f64,
    least: [f32; LANES],
    most: [f32; LANES],
}

const LANES: usize = 8;

impl Tally {
    /// Of no cell.
    const NONE: Self = Self {
        whole: [0.0; LANES],
        whole_cells: [0; LANES],
        part: 0.0,
        part_cells: 0.0,
        least: [f32::INFINITY; LANES],
        most: [f32::NEG_INFINITY; LANES],
    };

    #[inline]
    fn add_whole(&mut self, values: &[f32]) {
        let (whole, rest) = values.as_chunks::<LANES>();
        for values in whole {
            for (lane, value) in values.iter().enumerate() {
                self.add_to_lane(lane, *value);
            }
        }
        for (lane, value) in rest.iter().enumerate() {
            self.add_to_lane(lane, *value);
        }
    }

    /// Cells are counted without a check, which would be a branch: a grid has fewer than fit.
    #[inline]
    fn add_to_lane(&mut self, lane: usize, value: f32) {
        let is_hole = value.is_nan();
        self.whole[lane] += f64::from(if is_hole { 0.0 } else { value });
        self.whole_cells[lane] = self.whole_cells[lane].wrapping_add(u32::from(!is_hole));
        // Neither holds of a hole.
        self.least[lane] = if value < self.least[lane] { value } else { self.least[lane] };
        self.most[lane] = if value > self.most[lane] { value } else { self.most[lane] };
    }

    #[inline]
    fn add_part(&mut self, value: f32, share: f64) {
        if !value.is_nan() {
            self.part += share * f64::from(value);
            self.part_cells += share;
            self.least[0] = self.least[0].min(value);
            self.most[0] = self.most[0].max(value);
        }
    }

    /// Known cells, parts as parts.
    fn known(&self) -> f64 {
        self.whole_cells.iter().copied().map(f64::from).sum::<f64>() + self.part_cells
    }

    /// Sum over known cells of their values.
    fn sum(&self) -> f64 {
        self.whole.iter().sum::<f64>() + self.part
    }

    /// The least and the greatest value.
    fn extremes(&self) -> [f32; 2] {
        let least = self.least.into_iter().fold(f32::INFINITY, f32::min);
        [least, self.most.into_iter().fold(f32::NEG_INFINITY, f32::max)]
    }
}

impl GroundStatistics {
    /// Map area by slope group.
    #[must_use]
    pub fn by_slope_group(&self) -> BTreeMap<SlopeGroup, f64> {
        self.by_part(ClassCode::slope)
    }

    /// The part of the classes that holds most of the area; the first among equals.
    #[must_use]
    pub fn dominant<T: Ord + Copy>(&self, part: impl Fn(ClassCode) -> T) -> Option<T> {
        let areas = self.by_part(part);
        let most = areas.values().copied().fold(0.0, f64::max);
        areas.into_iter().find(|(_, area)| *area >= most).map(|(one, _)| one)
    }

    /// Map area of one slope group on ground to plant.
    #[must_use]
    pub fn to_plant_m2(&self, group: SlopeGroup) -> f64 {
        let of_group =
            |code: &ClassCode| code.slope() == group && code.unpack().treatment.is_planted();
        self.by_class.iter().filter(|(code, _)| of_group(code)).map(|(_, area)| area).sum()
    }

    /// Map area of each class as zones see it, of ground to plant.
    #[must_use]
    pub fn by_zone_class(&self, site: &Site) -> BTreeMap<ClassCode, f64> {
        let mut areas = BTreeMap::new();
        for (code, area) in &self.by_class {
            if code.unpack().treatment.is_planted() {
                *areas.entry(code.bounded_by(&site.zones.factors)).or_default() += area;
            }
        }
        areas
    }

    fn by_part<T: Ord>(&self, part: impl Fn(ClassCode) -> T) -> BTreeMap<T, f64> {
        let mut areas = BTreeMap::new();
        for (code, area) in &self.by_class {
            *areas.entry(part(*code)).or_default() += area;
        }
        areas
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Against one number after the other.
        #[test]
        fn a_tally_is_that_of_the_known_numbers(
            values in prop::collection::vec(
                prop_oneof![6 => (-900_i16..900).prop_map(f32::from), 1 => Just(f32::NAN)],
                0..60,
            ),
            parts in 0_usize..5,
        ) {
            let mut tally = Tally::NONE;
            let (part, whole) = values.split_at(parts.min(values.len()));
            tally.add_whole(whole);
            for value in part {
                tally.add_part(*value, 0.25);
            }
            // Whole numbers and quarters, so that the order of adding makes no difference.
            let shares = values.iter().enumerate().map(|(at, value)| {
                (f64::from(*value), if at < part.len() { 0.25 } else { 1.0 })
            });
            let known: Vec<(f64, f64)> = shares.filter(|(value, _)| !value.is_nan()).collect();
            let cells: f64 = known.iter().map(|(_, share)| share).sum();
            let sum: f64 = known.iter().map(|(value, share)| value * share).sum();
            prop_assert!((tally.known() - cells).abs() < 1e-12);
            prop_assert!((tally.sum() - sum).abs() < 1e-9);
            let least = known.iter().map(|(value, _)| *value).fold(f64::INFINITY, f64::min);
            let most = known.iter().map(|(value, _)| *value).fold(f64::NEG_INFINITY, f64::max);
            prop_assert_eq!(tally.extremes().map(f32::to_bits), [least as f32, most as f32].map(f32::to_bits));
        }

        /// Against sorting, the obvious way.
        #[test]
        fn a_slope_quantile_is_that_of_the_sorted_cells(
            cells in prop::collection::vec((0.0_f32..90.0, 0.01_f64..4.0), 1..200),
        ) {
            let mut sums = Sums::new();
            for (slope, area) in &cells {
                sums.add_slopes(&[*slope], *area);
            }
            let total: f64 = cells.iter().map(|(_, area)| area).sum();
            let mut found = GroundStatistics { known_m2: total, ..GroundStatistics::default() };
            sums.take_slopes(&mut found);
            let mut sorted = cells.clone();
            sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
            for (share, found) in QUANTILES.into_iter().zip(found.slope_quantiles_deg) {
                let mut below = 0.0;
                let reached = sorted.iter().find(|(_, area)| {
                    below += area;
                    below >= share * total * (1.0 - 1e-12)
                });
                prop_assert!((found - f64::from(reached.unwrap().0)).abs() <= 0.01);
            }
            prop_assert!(sums.slopes.iter().flatten().all(|sum| *sum <= 0.0), "emptied");
        }
    }
}
