//! Which ground lies in the shadow of other ground.

use std::sync::atomic::{AtomicU32, Ordering};

use super::lines::{Lines, Stretch};
use crate::Raster;

/// Sets `bit` in each cell from which other ground within `distance_m` hides a sun at `azimuth_deg`
/// whose height above level has the tangent `sun_tangent`.
///
/// The same ground and distance as in [`horizon_deg`](crate::horizon_deg); a sun exactly on the horizon is seen.
/// Holes are not in shadow. Cost: a running maximum, a few operations a cell.
///
/// Source: the running maximum of Timonen & Westerholm 2010, Scalable height field self-shadowing,
/// for one direction of light; within a distance by van Herk 1992, A fast algorithm for local minimum and
/// maximum filters on rectangular and octagonal kernels.
pub(crate) fn mark_shadows(
    elevation: &Raster<f32>,
    azimuth_deg: f64,
    sun_tangent: f64,
    distance_m: f64,
    bit: u32,
    shadows: &[AtomicU32],
) {
    let lines = Lines::new(elevation, azimuth_deg, distance_m);
    if lines.window == 0 {
        return;
    }
    let rise = lines.step_m * sun_tangent;
    lines.each(
        Shadow::default,
        |shadow, line, shaded| shadow.mark(line, rise, lines.window, shaded),
        |cell, shaded| {
            if shaded > 0.0 {
                let old = shadows[cell].load(Ordering::Relaxed);
                shadows[cell].store(old | bit, Ordering::Relaxed);
            }
        },
    );
}

/// Heights against a sunbeam that touches place 0 of the map at level 0: the higher ground hides
/// the lower, however far apart they are.
#[derive(Default)]
struct Shadow {
    /// The highest of the stretch before from each of its places to its near end.
    before: Vec<f64>,
    heights: Vec<f64>,
}

impl Shadow {
    fn mark(&mut self, line: Stretch<'_>, rise: f64, window: usize, shaded: &mut [f32]) {
        self.heights.clear();
        let against_beam = line.ground.iter().zip(line.places);
        self.heights.extend(against_beam.map(|(ground, place)| ground + place.number * rise));
        self.before.clear();
        for (heights, shaded) in self.heights.chunks(window).zip(shaded.chunks_mut(window)) {
            let mut highest = f64::NEG_INFINITY;
            if self.before.is_empty() {
                for (height, shaded) in heights.iter().zip(shaded) {
                    *shaded = f32::from(u8::from(highest > *height));
                    highest = highest.max(*height); // NaN is passed over
                }
            } else {
                for ((height, shaded), before) in heights.iter().zip(shaded).zip(&self.before) {
                    *shaded = f32::from(u8::from(highest.max(*before) > *height));
                    highest = highest.max(*height);
                }
            }
            let mut highest = f64::NEG_INFINITY;
            self.before.clear();
            self.before.extend(heights.iter().rev().map(|height| {
                highest = highest.max(*height);
                highest
            }));
            self.before.reverse();
        }
    }
}
