//! What the ground of a polygon is like, from the exact share of each cell under it.

use std::collections::BTreeMap;

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
}

impl Sums {
    const BINS_A_DEGREE: f64 = 100.0;

    pub(super) fn new() -> Self {
        let bins = (90.0 * Self::BINS_A_DEGREE) as usize + 1;
        let by_class = vec![0.0; ClassCode::COUNT];
        Self { by_class, classes: Vec::new(), slopes: vec![[0.0; 2]; bins] }
    }

    fn add(&mut self, code: ClassCode, slope: f64, area: f64) {
        let class = &mut self.by_class[code.index()];
        if *class <= 0.0 {
            self.classes.push(code.index());
        }
        *class += area;
        let last = self.slopes.len() - 1;
        let bin = &mut self.slopes[((slope * Self::BINS_A_DEGREE) as usize).min(last)];
        bin[0] += area;
        bin[1] += area * slope;
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
        for [area, sum] in self.slopes.iter_mut().map(std::mem::take) {
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
        let layers: Vec<_> =
            MEANS.iter().filter_map(|layer| Some((*layer, ground.layer(*layer)?))).collect();
        let mut means = vec![[0.0; 2]; layers.len()];
        let mut found = GroundStatistics {
            elevation_m: [f64::INFINITY, 0.0, f64::NEG_INFINITY],
            ..GroundStatistics::default()
        };
        for run in under.runs() {
            let area = f64::from(run.share) * cell_area;
            for at in run.cells() {
                let Some(code) = self.cells.class(at) else { continue };
                sums.add(code, f64::from(ground.slope_deg.cells()[at]), area);
                found.known_m2 += area;
                let elevation = f64::from(ground.elevation_m.cells()[at]);
                let [lowest, sum, highest] = &mut found.elevation_m;
                (*lowest, *highest) = (lowest.min(elevation), highest.max(elevation));
                *sum += area * elevation;
                for ([sum, known], (_, layer)) in means.iter_mut().zip(&layers) {
                    let value = f64::from(layer.cells()[at]);
                    if !value.is_nan() {
                        *sum += area * value;
                        *known += area;
                    }
                }
            }
        }
        found.by_class = sums.take_classes();
        sums.take_slopes(&mut found);
        if found.known_m2 > 0.0 {
            found.elevation_m[1] /= found.known_m2;
        } else {
            found.elevation_m = [0.0; 3];
        }
        let known = layers.iter().zip(means).filter(|(_, [_, known])| *known > 0.0);
        found.means = known.map(|((layer, _), [sum, known])| (*layer, sum / known)).collect();
        found
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
        /// Against sorting, the obvious way.
        #[test]
        fn a_slope_quantile_is_that_of_the_sorted_cells(
            cells in prop::collection::vec((0.0_f64..90.0, 0.01_f64..4.0), 1..200),
        ) {
            let mut sums = Sums::new();
            for (slope, area) in &cells {
                sums.add(ClassCode::at(0), *slope, *area);
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
                prop_assert!((found - reached.unwrap().0).abs() <= 0.01);
            }
            prop_assert!(sums.slopes.iter().flatten().all(|sum| *sum <= 0.0), "emptied");
        }
    }
}
