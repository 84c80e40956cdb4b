//! What the lie of the land says at a working scale: the measures that cover, soil, tracks and
//! boundary follow.

use crate::field::Field;
use crate::ground::Ground;

/// Measures of landform, all on the cells of the elevation.
pub(crate) struct Landform {
    /// Slope at a 10 m scale, degrees.
    pub(crate) slope_deg: Field,
    /// Metres above (crest) or below (gully) the ground around.
    pub(crate) prominence_m: Field,
    /// Northness times the sine of slope: positive faces the midday sun of the south.
    pub(crate) sunny: Field,
    /// Natural logarithm of drained area over slope, spread over 8 m.
    pub(crate) wetness: Field,
}

impl Landform {
    /// The landform of a ground.
    pub(crate) fn new(ground: &Ground) -> Self {
        let elevation = &ground.elevation;
        let smooth = elevation.blurred(5.0);
        let around = elevation.blurred(60.0);
        let slope_deg = smooth.slope_deg();
        let each = |value: &dyn Fn(usize) -> f64| {
            elevation.with_values((0..elevation.values.len()).map(value).collect())
        };
        let prominence_m = each(&|i| smooth.values[i] - around.values[i]);
        let sunny = each(&|i| {
            let (east, south) = smooth.gradient(i);
            south / (1.0 + east * east + south * south).sqrt()
        });
        let wetness = each(&|i| {
            let slope = slope_deg.values[i].max(0.5).to_radians().tan();
            (ground.area.values[i].min(60_000.0) / (elevation.cell * slope)).ln()
        });
        Self { slope_deg, prominence_m, sunny, wetness: wetness.blurred(8.0) }
    }
}
