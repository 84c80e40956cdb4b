//! Invented hill country, made a row at a time: valleys that all drain, under a fractal roughness.

/// Spacing of the main valleys, which fall southward, and of their side valleys, metres.
const VALLEY_M: f64 = 1800.0;
const SIDE_VALLEY_M: f64 = 330.0;
/// Height of the crests above the main valleys, and of the spurs above the side valleys, metres.
const CREST_M: f64 = 240.0;
const SPUR_M: f64 = 60.0;
/// Fall of the main valleys, metres in a metre.
const FALL: f64 = 0.004;
/// Wavelength and size of the noises that bend the valleys east or west, and north or south, metres.
const BENDS_EAST_M: [(f64, f64); 4] =
    [(2600.0, 900.0), (900.0, 260.0), (330.0, 80.0), (110.0, 20.0)];
const BENDS_SOUTH_M: [(f64, f64); 4] =
    [(1700.0, 500.0), (600.0, 190.0), (220.0, 70.0), (80.0, 18.0)];
/// The widest swell of the roughness: wavelength and size, metres. Each next is half of both, down
/// to the speckle of a laser survey.
const SWELL_M: (f64, f64) = (500.0, 24.0);
const OCTAVES: u64 = 10;

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
        let rough = self.waves(0, (0..OCTAVES).map(shrunk), south, length);
        let east_bends = self.waves(1, BENDS_EAST_M.into_iter(), south, length);
        let south_bends = self.waves(2, BENDS_SOUTH_M.into_iter(), south, length);
        for (col, height) in heights.iter_mut().enumerate() {
            let east = col as f64 * self.cell_m;
            let bent = (east + sum(&east_bends, east), south + sum(&south_bends, east));
            let metres = 900.0 - FALL * south + valleys(bent.0, bent.1) + sum(&rough, east);
            *height = ((metres / self.round_m).round() * self.round_m) as f32;
        }
    }

    /// Noises of given wavelengths and sizes along a row of a given length.
    fn waves(
        &self,
        kind: u64,
        shapes: impl Iterator<Item = (f64, f64)>,
        south: f64,
        length: f64,
    ) -> Vec<Wave> {
        let number = |(index, shape)| self.wave(kind * 16 + index, shape, south, length);
        (0..).zip(shapes).map(number).collect()
    }

    fn wave(&self, which: u64, (length_m, size_m): (f64, f64), south: f64, length: f64) -> Wave {
        let down = south / length_m;
        let (north, along) = (down.floor() as u64, ease(down - down.floor()));
        let weighed = |x| {
            let (top, bottom) = (self.noise(which, x, north), self.noise(which, x, north + 1));
            (top + (bottom - top) * along) * size_m
        };
        let count = (length / length_m).ceil() as u64 + 1;
        Wave { length_m, heights: (0..=count).map(weighed).collect() }
    }

    /// Uniform in −1..1, the same for the same numbers (the finishing steps of `SplitMix64`).
    fn noise(&self, which: u64, x: u64, y: u64) -> f64 {
        let bits = self.seed.wrapping_mul(0x9e37_79b9_7f4a_7c15);
        let mut bits = bits ^ which << 56 ^ x << 28 ^ y;
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

/// Crests midway between the main valleys, spurs between the side valleys that run into them.
fn valleys(east: f64, south: f64) -> f64 {
    let bank = (east / (VALLEY_M / 2.0)).floor();
    let (valley, side_valley) = (up(east, VALLEY_M), up(south + 97.0 * bank, SIDE_VALLEY_M));
    // spurs end at the valley floor, and in the crest
    CREST_M * v_shaped(valley)
        + SPUR_M * v_shaped(side_valley) * (valley * (1.0 - valley) * 6.0).min(1.0)
}

/// How far up from the nearest multiple of `spacing`, 0, to midway between two, 1.
fn up(x: f64, spacing: f64) -> f64 {
    (x / spacing - (x / spacing).round()).abs() * 2.0
}

/// Steep at the foot, round on top: 0 to 1.
fn v_shaped(up: f64) -> f64 {
    up * (2.0 - up)
}

/// Wavelength and size of an octave of the roughness, metres.
fn shrunk(octave: u64) -> (f64, f64) {
    let factor = 0.5_f64.powi(octave as i32);
    (SWELL_M.0 * factor, SWELL_M.1 * factor)
}

fn sum(waves: &[Wave], east: f64) -> f64 {
    waves.iter().map(|wave| wave.at(east)).sum()
}

fn ease(t: f64) -> f64 {
    t * t * (3.0 - 2.0 * t)
}
