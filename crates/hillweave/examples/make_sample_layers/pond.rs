//! A small stock pond on gentle ground.

use crate::field::{Field, smooth_step};
use crate::ground::for_cells_within;
use crate::noise::Noise;

/// Radius about which the shore wanders.
const RADIUS_M: f64 = 21.0;

/// Digs the pond where a small gully comes out on the gentlest ground; 1 under water, 0 elsewhere.
pub(crate) fn dig_pond(elevation: &mut Field, area: &Field, seed: u64) -> Field {
    let shore = Noise::new(seed, "shore");
    let mut water = elevation.with_values(vec![0.0; elevation.values.len()]);
    let place = gentlest(elevation, area);
    let (x, y) = elevation.centre(place);
    let level = elevation.blurred(10.0).values[place] - 0.8;
    for_cells_within(&elevation.shape(), x, y, 2.0 * RADIUS_M, |i, distance| {
        let (u, v) = elevation.centre(i);
        let out = distance / (RADIUS_M * (1.0 + 0.35 * shore.octaves(u, v, 34.0, 2)));
        let bank = smooth_step(1.5, 1.0, out);
        elevation.values[i] += bank * (level - elevation.values[i]);
        water.values[i] = f64::from(u8::from(out < 1.0));
    });
    water
}

fn gentlest(elevation: &Field, area: &Field) -> usize {
    let slope = elevation.blurred(16.0).slope_deg();
    let side = elevation.cols as f64 * elevation.cell;
    let river =
        area.with_values(area.values.iter().map(|&a| f64::from(u8::from(a > 3e5))).collect());
    let near_river = river.blurred(12.0);
    let suits = |&i: &usize| {
        let (x, y) = elevation.centre(i);
        let inside =
            (0.25 * side..0.7 * side).contains(&x) && (0.25 * side..0.8 * side).contains(&y);
        inside && (3_000.0..60_000.0).contains(&area.values[i]) && near_river.values[i] < 1e-6
    };
    let by_slope = |a: &usize, b: &usize| slope.values[*a].total_cmp(&slope.values[*b]);
    (0..elevation.values.len()).filter(suits).min_by(by_slope).unwrap_or(0)
}
