//! Seeded gradient noise (Perlin 1985, "An image synthesizer"), its octaves and its warps.

/// A source of smooth noise; two of the same seed are the same.
#[derive(Clone, Copy)]
pub(crate) struct Noise {
    seed: u64,
}

impl Noise {
    /// The noise of a seed and of a purpose, so that purposes do not resemble each other.
    pub(crate) fn new(seed: u64, purpose: &str) -> Self {
        let mixed = purpose.bytes().fold(seed, |sum, byte| mix(sum ^ u64::from(byte)));
        Self { seed: mixed }
    }

    /// Smooth noise of one wavelength, about −1 to 1, 0 on average.
    pub(crate) fn at(self, x: f64, y: f64) -> f64 {
        let (col, row) = (x.floor(), y.floor());
        let (u, v) = (x - col, y - row);
        let corner = |i: f64, j: f64| self.gradient(col + i, row + j, u - i, v - j);
        let (s, t) = (fade(u), fade(v));
        let top = lerp(s, corner(0.0, 0.0), corner(1.0, 0.0));
        let bottom = lerp(s, corner(0.0, 1.0), corner(1.0, 1.0));
        lerp(t, top, bottom) * 1.5
    }

    /// Octaves of noise, the first of this wavelength, each half as long and half as strong.
    pub(crate) fn octaves(self, x: f64, y: f64, wavelength: f64, count: u32) -> f64 {
        let mut sum = 0.0;
        let (mut length, mut weight) = (wavelength, 1.0);
        for octave in 0..count {
            let shift = f64::from(octave) * 17.31;
            sum += weight * self.at(x / length + shift, y / length - shift);
            length /= 2.03;
            weight /= 2.0;
        }
        sum
    }

    /// Octaves folded at zero: crests where the noise changes sign, about 0 to 1.
    pub(crate) fn ridged(self, x: f64, y: f64, wavelength: f64, count: u32) -> f64 {
        1.0 - self.octaves(x, y, wavelength, count).abs()
    }

    /// A number from 0 to 1 for a whole number.
    pub(crate) fn dice(self, roll: u64) -> f64 {
        (mix(self.seed ^ mix(roll)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn gradient(self, col: f64, row: f64, x: f64, y: f64) -> f64 {
        let lattice = (col as i64 as u64).wrapping_mul(0x9E37_79B9) ^ ((row as i64 as u64) << 32);
        let angle = self.dice(lattice) * std::f64::consts::TAU;
        angle.cos() * x + angle.sin() * y
    }
}

fn fade(t: f64) -> f64 {
    t * t * t * (t * (t * 6.0 - 15.0) + 10.0)
}

fn lerp(t: f64, a: f64, b: f64) -> f64 {
    a + t * (b - a)
}

/// The finishing step of the `SplitMix64` generator (Steele, Lea & Flood 2014).
fn mix(value: u64) -> u64 {
    let z = value.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}
