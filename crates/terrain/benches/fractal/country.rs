//! Invented hill country, made a row at a time: valleys that all drain, under a fractal roughness.

/// Spacing of the main valleys, which fall southward, and of their side valleys, metres.
const VALLEY_M: f64 = 1800.0;
const SIDE_VALLEY_M: f64 = 260.0;
/// Height of the crests above the main valleys, and of the spurs above the side valleys, metres.
const CREST_M: f64 = 260.0;
const SPUR_M: f64 = 45.0;
/// Fall of the main valleys, metres in a metre.
const FALL: f64 = 0.004;
/// The widest swell of the roughness: wavelength and size, metres. Each next is half of both, down
/// to the speckle of a laser survey.
const SWELL_M: (f64, f64) = (500.0, 24.0);
const OCTAVES: u64 = 10;
/// Noises that bend the valleys; octaves are numbered below them.
const BEND: u64 = 64;
const SIDE_BEND: u64 = 65;

/// An endless country: the same height at the same place, whatever the cells and their number.
pub(crate) struct Country {
    seed: u64,
    cell_m: f64,
    round_m: f64,
}

/// One octave of noise along a row: lattice points and their values, already weighed between the
/// lattice rows north and south of it.
struct Wave {
    length_m: f64,
    heights: Vec<f64>,
}

impl Country {
    /// Cells of `cell_m` metres, heights rounded to multiples of `round_m` metres.
    pub(crate) fn new(seed: u64, cell_m: f64, round_m: f64) -> Self {
        Self { seed, cell_m, round_m }
    }

    /// Heights of a row, metres, from the west; row 0 is the northernmost.
    pub(crate) fn row(&self, row: usize, heights: &mut [f32]) {
        let south = row as f64 * self.cell_m;
        let length = heights.len() as f64 * self.cell_m;
        let waves: Vec<Wave> =
            (0..OCTAVES).map(|octave| self.wave(octave, south, length)).collect();
        let bend = 420.0 * self.noise_at(BEND, south / 2600.0, 0.5);
        for (col, height) in heights.iter_mut().enumerate() {
            let east = col as f64 * self.cell_m;
            let rough: f64 = waves.iter().map(|wave| wave.at(east)).sum();
            let metres = self.valleys(east + bend, south) + rough;
            *height = ((metres / self.round_m).round() * self.round_m) as f32;
        }
    }

    /// Crests midway between the main valleys, spurs between the side valleys that run into them.
    fn valleys(&self, across: f64, south: f64) -> f64 {
        let side = (across / (VALLEY_M / 2.0)).floor(); // of which valley, on which bank
        let from_valley = away(across, VALLEY_M);
        let bent = south + 70.0 * self.noise_at(SIDE_BEND, from_valley / 240.0, side + 0.5);
        let from_side_valley = away(bent + 97.0 * side, SIDE_VALLEY_M) / (SIDE_VALLEY_M / 2.0);
        let upness = from_valley / (VALLEY_M / 2.0);
        let foot = (from_valley / 150.0).min(1.0); // spurs end at the valley floor
        900.0 - FALL * south + CREST_M * upness.powf(0.8) + SPUR_M * from_side_valley * foot
    }

    fn wave(&self, octave: u64, south: f64, length: f64) -> Wave {
        let shrunk = 0.5_f64.powi(octave as i32);
        let length_m = SWELL_M.0 * shrunk;
        let down = south / length_m;
        let (north, along) = (down.floor() as u64, ease(down - down.floor()));
        let weighed = |x| {
            let (top, bottom) = (self.noise(octave, x, north), self.noise(octave, x, north + 1));
            (top + (bottom - top) * along) * SWELL_M.1 * shrunk
        };
        let count = (length / length_m).ceil() as u64 + 1;
        Wave { length_m, heights: (0..=count).map(weighed).collect() }
    }

    /// Value noise, −1 to 1.
    fn noise_at(&self, which: u64, x: f64, y: f64) -> f64 {
        let (west, north) = (x.floor(), y.floor());
        let (across, along) = (ease(x - west), ease(y - north));
        let corner =
            |dx, dy| self.noise(which, (west as i64 + dx) as u64, (north as i64 + dy) as u64);
        let top = corner(0, 0) + (corner(1, 0) - corner(0, 0)) * across;
        let bottom = corner(0, 1) + (corner(1, 1) - corner(0, 1)) * across;
        top + (bottom - top) * along
    }

    /// Uniform in −1..1, the same for the same numbers (the finishing steps of `SplitMix64`).
    fn noise(&self, which: u64, x: u64, y: u64) -> f64 {
        let mut bits = self.seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ which << 56;
        bits ^= x.wrapping_shl(28) ^ y;
        bits = (bits ^ bits >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ bits >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        (bits ^ bits >> 31) as f64 / (u64::MAX as f64 / 2.0) - 1.0
    }
}

impl Wave {
    fn at(&self, east: f64) -> f64 {
        let x = east / self.length_m;
        let west = x as usize;
        let across = ease(x - west as f64);
        self.heights[west] + (self.heights[west + 1] - self.heights[west]) * across
    }
}

/// Distance to the nearest multiple of `spacing`.
fn away(x: f64, spacing: f64) -> f64 {
    (x - (x / spacing).round() * spacing).abs()
}

fn ease(t: f64) -> f64 {
    t * t * (3.0 - 2.0 * t)
}
