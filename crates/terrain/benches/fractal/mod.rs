//! Rough hill country for timing: value noise in octaves, with the speckle of a laser survey.

use terrain::{Grid, Raster};

/// About 300 m of relief with a fractal dimension near 2.3, rounded to centimetres.
#[expect(clippy::unwrap_used, reason = "only benches come here")]
pub(crate) fn hills(cols: usize, rows: usize) -> Raster<f32> {
    let grid = Grid::new(cols, rows, 0.0, 0.0, 2.0, 2.0).unwrap();
    Raster::from_fn(grid, |row, col| {
        let (mut height, mut size, mut wavelength) = (0.0, 150.0, 700.0);
        for octave in 0..10 {
            height += size * smooth_noise(octave, col as f64 / wavelength, row as f64 / wavelength);
            size *= 0.5;
            wavelength *= 0.5;
        }
        (height * 100.0).round() as f32 / 100.0
    })
}

fn smooth_noise(octave: u64, x: f64, y: f64) -> f64 {
    let (west, north) = (x.floor(), y.floor());
    let (across, along) = (ease(x - west), ease(y - north));
    let corner = |dx: u64, dy: u64| noise(octave, west as u64 + dx, north as u64 + dy);
    let top = corner(0, 0) + (corner(1, 0) - corner(0, 0)) * across;
    let bottom = corner(0, 1) + (corner(1, 1) - corner(0, 1)) * across;
    top + (bottom - top) * along
}

fn ease(t: f64) -> f64 {
    t * t * (3.0 - 2.0 * t)
}

/// Uniform in −1..1, the same for the same numbers (the finishing steps of `SplitMix64`).
fn noise(octave: u64, x: u64, y: u64) -> f64 {
    let mut bits = octave << 56 ^ x << 28 ^ y;
    bits = (bits ^ bits >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    bits = (bits ^ bits >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
    (bits ^ bits >> 31) as f64 / (u64::MAX as f64 / 2.0) - 1.0
}
