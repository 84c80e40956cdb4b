//! Which ground lies in the shadow of other ground.

use std::sync::atomic::{AtomicU32, Ordering};

use super::lines::{Abreast, LANES, Lines, Place};
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
        |shadow, abreast, shaded| shadow.mark(abreast, rise, lines.window, shaded),
        |cells, shaded| {
            for (cell, _) in cells.zip(shaded).filter(|(_, shaded)| **shaded > 0.0) {
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
    before: Vec<[f64; LANES]>,
}

impl Shadow {
    fn mark(&mut self, lines: Abreast<'_>, rise: f64, window: usize, shaded: &mut [[f32; LANES]]) {
        self.before.clear();
        self.before.resize(window.min(lines.ground.len()), [f64::NEG_INFINITY; LANES]);
        let stretches = lines.ground.chunks(window).zip(lines.places.chunks(window));
        let last = lines.ground.len().div_ceil(window).saturating_sub(1);
        for (number, ((ground, places), shaded)) in
            stretches.zip(shaded.chunks_mut(window)).enumerate()
        {
            let mut highest = [f64::NEG_INFINITY; LANES];
            let rows = ground.iter().zip(places).zip(shaded).zip(&self.before);
            for (((ground, place), shaded), before) in rows {
                let lift = place.number * rise;
                for lane in 0..LANES {
                    let height = ground[lane] + lift;
                    let hides = higher(highest[lane], before[lane]) > height;
                    shaded[lane] = f32::from(u8::from(hides));
                    highest[lane] = higher(height, highest[lane]);
                }
            }
            if number < last {
                self.look_back(ground, places, rise);
            }
        }
    }

    /// Takes in a stretch instead of the one before.
    fn look_back(&mut self, ground: &[[f64; LANES]], places: &[Place], rise: f64) {
        let mut highest = [f64::NEG_INFINITY; LANES];
        for ((ground, place), before) in ground.iter().zip(places).zip(&mut self.before).rev() {
            let lift = place.number * rise;
            for lane in 0..LANES {
                highest[lane] = higher(ground[lane] + lift, highest[lane]);
            }
            *before = highest;
        }
    }
}

/// The greater of two; the second where the first is NaN.
#[inline]
fn higher(height: f64, than: f64) -> f64 {
    if height > than { height } else { than }
}
