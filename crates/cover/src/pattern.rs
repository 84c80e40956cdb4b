//! The share of the ground under discs.

use std::f64::consts::PI;
use std::sync::LazyLock;

/// How plants stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    /// At the corners of squares; contour rows with even spacing come near to it.
    Square,
    /// At the corners of equal triangles.
    Triangular,
    /// Anywhere, independent of each other (Poisson).
    Random,
}

impl Pattern {
    /// Every pattern.
    pub const ALL: [Self; 3] = [Self::Square, Self::Triangular, Self::Random];

    /// Its word in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Square => "square",
            Self::Triangular => "triangular",
            Self::Random => "random",
        }
    }
}

/// Share of the ground, 0 to 1, under discs of one radius around plants that each live with the
/// same chance, independent of each other.
///
/// `planted_per_m2` counts every place, living or dead. All of it is on the map: a disc is the upright
/// view of a crown, and plants are counted on map hectares.
///
/// - Random: 1 − exp(−λ p π r²), the Boolean model of stochastic geometry (Chiu, Stoyan, Kendall & Mecke
///   2013, Stochastic Geometry and its Applications, ch. 3; chapter from memory).
/// - Square and triangular: a point with `k` places within `r` is bare with chance (1 − p)^k, so the share is
///   Σ p (1 − p)^(k−1) P(k-th nearest place within r): exact for a lattice thinned at random, the
///   distances being tabled once over a cell of it (error under 0.002, tested against closed form and
///   simulation). Past three spacings, where a point has some 28 places around, their mean number serves.
///
/// Cost: a few dozen multiplications; the table takes some milliseconds once.
///
/// ```
/// use cover::{Pattern, covered_share};
/// // Discs of half a metre around 1,100 plants a hectare: π r² n / 10,000, none overlapping.
/// let share = covered_share(Pattern::Square, 0.5, 0.11, 1.0);
/// assert!((share - 0.0864).abs() < 0.0005);
/// ```
#[must_use]
pub fn covered_share(pattern: Pattern, radius_m: f64, planted_per_m2: f64, alive: f64) -> f64 {
    let is_something = radius_m > 0.0 && planted_per_m2 > 0.0 && alive > 0.0;
    if !is_something {
        return 0.0;
    }
    let alive = alive.min(1.0);
    let discs = PI * radius_m * radius_m * planted_per_m2;
    let table = match pattern {
        Pattern::Random => return 1.0 - (-alive * discs).exp(),
        Pattern::Square => &*SQUARE,
        Pattern::Triangular => &*TRIANGULAR,
    };
    // A lattice of spacing 1 has `per_m2` places in a unit of area.
    let reach = radius_m * (planted_per_m2 / table.per_area).sqrt();
    if reach > FARTHEST {
        let by_mean = 1.0 - (1.0 - alive).powf(discs);
        return by_mean.max(table.share(FARTHEST, alive)).min(1.0);
    }
    table.share(reach, alive)
}

/// Farthest distance in the tables, in spacings.
const FARTHEST: f64 = 3.0;
/// Steps of distance in one spacing.
const STEPS: usize = 256;
/// Points of the ground that are looked at.
const POINTS: usize = 30_000;

static SQUARE: LazyLock<Distances> = LazyLock::new(|| Distances::of([1.0, 0.0], [0.0, 1.0]));
static TRIANGULAR: LazyLock<Distances> =
    LazyLock::new(|| Distances::of([1.0, 0.0], [0.5, 0.75_f64.sqrt()]));

/// Distances from the ground to the places of a lattice of spacing 1.
struct Distances {
    /// For each step of distance: share of the ground whose first, second, … nearest place is within.
    within: Vec<Vec<f64>>,
    /// Places in a unit of area.
    per_area: f64,
}

impl Distances {
    /// Of the lattice that two sides of its cell span.
    fn of(a: [f64; 2], b: [f64; 2]) -> Self {
        /// Cells around the one that is looked at.
        const AROUND: i32 = 5;
        let steps = (FARTHEST * STEPS as f64) as usize;
        let mut counts: Vec<Vec<u32>> = vec![Vec::new(); steps + 1];
        let places: Vec<[f64; 2]> = (-AROUND..=AROUND)
            .flat_map(|i| (-AROUND..=AROUND).map(move |j| (f64::from(i), f64::from(j))))
            .map(|(i, j)| [i * a[0] + j * b[0], i * a[1] + j * b[1]])
            .collect();
        let mut near = Vec::with_capacity(places.len());
        for at in 0..POINTS {
            let (u, v) = evenly_spread(at);
            let (x, y) = (u * a[0] + v * b[0], u * a[1] + v * b[1]);
            near.clear();
            near.extend(places.iter().map(|[px, py]| (px - x).hypot(py - y)));
            near.retain(|distance| *distance < FARTHEST);
            near.sort_unstable_by(f64::total_cmp);
            for (rank, distance) in near.iter().enumerate() {
                let step = &mut counts[(distance * STEPS as f64).ceil() as usize];
                if step.len() <= rank {
                    step.resize(rank + 1, 0);
                }
                step[rank] += 1;
            }
        }
        let ranks = counts.iter().map(Vec::len).max().unwrap_or_default();
        let mut sums = vec![0_u64; ranks];
        let points = POINTS as f64;
        let within = counts.iter().map(|step| {
            for (sum, count) in sums.iter_mut().zip(step) {
                *sum += u64::from(*count);
            }
            let seen = sums.iter().take_while(|sum| **sum > 0);
            seen.map(|sum| *sum as f64 / points).collect()
        });
        let within = within.collect();
        Self { within, per_area: 1.0 / (a[0] * b[1] - a[1] * b[0]) }
    }

    /// Share under discs that reach so many spacings.
    fn share(&self, reach: f64, alive: f64) -> f64 {
        let steps = reach * STEPS as f64;
        let below = (steps as usize).min(self.within.len() - 1);
        let above = (below + 1).min(self.within.len() - 1);
        let part = steps - below as f64;
        let low = under(&self.within[below], alive);
        low + (under(&self.within[above], alive) - low) * part.clamp(0.0, 1.0)
    }
}

/// A point of the unit square, the first so many of which lie evenly all over it: the additive recurrence on
/// the root of x³ = x + 1 (Roberts 2018, from memory).
fn evenly_spread(at: usize) -> (f64, f64) {
    const ROOT: f64 = 1.324_717_957_244_746;
    let along = |step: f64| (0.5 + at as f64 * step).fract();
    (along(1.0 / ROOT), along(1.0 / (ROOT * ROOT)))
}

/// Σ p (1 − p)^(k−1) P(at least k places around).
fn under(within: &[f64], alive: f64) -> f64 {
    let mut dead_before = 1.0;
    let mut share = 0.0;
    for at_least in within {
        share += alive * dead_before * at_least;
        dead_before *= 1.0 - alive;
        if dead_before == 0.0 {
            break;
        }
    }
    share.min(1.0)
}
