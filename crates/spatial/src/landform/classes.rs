//! Layers of classes, cut from layers of numbers as zones cut them.

use terrain::Raster;

use super::output::GroundClass;
use crate::site::ZoneRules;
use crate::zones::{SlopeGroup, Step, mapped_wetness};

/// Class codes from 1; 255 where the layer has a hole.
///
/// `wetness_edges` are those in force, quantiles worked out; `drainage` is the mapped ladder
/// position plus 1, which counts for wetness: the wetter wins.
#[must_use]
pub fn class_raster(
    class: GroundClass,
    layer: &Raster<f32>,
    rules: &ZoneRules,
    wetness_edges: [f64; 2],
    drainage: Option<&Raster<u8>>,
) -> Raster<u8> {
    let mut at = 0;
    layer.map(|value| {
        let mapped = drainage.map_or(Step::Low, |drainage| mapped_wetness(drainage.cells()[at]));
        at += 1;
        if value.is_nan() {
            return HOLE;
        }
        let step = |edges| Step::of(f64::from(*value), edges) as u8;
        1 + match class {
            GroundClass::Slope => SlopeGroup::of(f64::from(*value), rules.slope_edges) as u8,
            GroundClass::Wetness => step(wetness_edges).max(mapped as u8),
            GroundClass::Sun => step(rules.sun_edges),
            GroundClass::Exposure => step(rules.exposure_edges),
            GroundClass::Frost => step(rules.frost_edges),
        }
    })
}

/// Code of a hole.
const HOLE: u8 = u8::MAX;

#[cfg(test)]
mod tests {
    use super::*;
    use terrain::Grid;

    #[test]
    fn the_wetter_wins_and_holes_stay_holes() {
        let grid = Grid::new(4, 1, 0.0, 0.0, 1.0, 1.0).unwrap();
        let index = Raster::new(grid, vec![5.0, 9.0, f32::NAN, 12.0]).unwrap();
        let drainage = Raster::new(grid, vec![1, 3, 1, 5]).unwrap(); // very poor, imperfect, …, well
        let rules = ZoneRules::usual();
        let class = |drainage| {
            class_raster(GroundClass::Wetness, &index, &rules, [8.0, 11.0], drainage).into_cells()
        };
        assert_eq!(class(Some(&drainage)), [3, 2, 255, 3]);
        assert_eq!(class(None), [1, 2, 255, 3]);
    }

    #[test]
    fn slope_groups_count_from_one() {
        let grid = Grid::new(3, 1, 0.0, 0.0, 1.0, 1.0).unwrap();
        let slope = Raster::new(grid, vec![2.0, 15.5, 40.0]).unwrap();
        let rules = ZoneRules::usual();
        let groups = class_raster(GroundClass::Slope, &slope, &rules, [0.0, 1.0], None);
        assert_eq!(groups.cells(), [1, 4, 7]);
    }
}
