//! The main valley: where the big stream runs through, and the flat floor it has built.

use crate::field::smooth_step;
use crate::noise::Noise;

/// The course of the main stream from west to east through a square of ground.
#[derive(Clone, Copy)]
pub(crate) struct Valley {
    noise: Noise,
    side: f64,
}

impl Valley {
    /// A valley for a square of this side in metres.
    pub(crate) fn new(seed: u64, side: f64) -> Self {
        Self { noise: Noise::new(seed, "valley"), side }
    }

    /// The middle of the floor at `x`.
    fn middle(&self, x: f64) -> f64 {
        self.side * 0.6
            + 380.0 * self.noise.at(x / 1050.0, 3.5)
            + 90.0 * self.noise.at(x / 330.0, 9.5)
    }

    /// The stream's bed at `x`: it swings from one side of the floor to the other.
    fn bed(&self, x: f64) -> f64 {
        let swing = self.noise.octaves(x, 20.5, 150.0, 2);
        self.middle(x) + swing * self.half_width(x) * 0.8
    }

    fn half_width(&self, x: f64) -> f64 {
        50.0 + 38.0 * self.noise.at(x / 420.0, 14.5)
    }

    /// Elevation of the floor at a position; `None` on the hills.
    pub(crate) fn floor(&self, x: f64, y: f64) -> Option<f64> {
        let from_bed = (y - self.bed(x)).abs();
        let grade = 92.0 + (self.side - x) * 0.016;
        let brow = from_bed + 9.0 * self.noise.octaves(x, y, 55.0, 2);
        let terrace = 1.3
            * smooth_step(16.0, 26.0, brow)
            * smooth_step(0.0, 0.5, self.noise.at(x / 260.0, y / 260.0));
        let on_floor = (y - self.middle(x)).abs() < self.half_width(x) || from_bed < 5.0;
        on_floor.then_some(grade + 0.018 * from_bed + terrace)
    }
}
