//! What grows on the property now, in patches with natural edges.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use crate::field::{Field, smooth_step};
use crate::ground::{Ground, for_cells_within};
use crate::landform::Landform;
use crate::noise::Noise;

/// The codes of the cover layer.
#[derive(Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub(crate) enum Cover {
    Pasture = 1,
    Gorse = 2,
    ScatteredScrub = 3,
    ManukaStand = 4,
    Bush = 5,
    SlipScar = 6,
    WetFlush = 7,
    Water = 8,
}

/// Patches grown around chosen places: how many, and how big.
struct Patches {
    count: usize,
    smallest_ha: f64,
    biggest_ha: f64,
    apart_m: f64,
}

/// The cover of each cell. Later ones lie over earlier ones.
pub(crate) fn cover(ground: &Ground, landform: &Landform, seed: u64) -> Vec<Cover> {
    use Cover::{Bush, Gorse, ManukaStand, Pasture, ScatteredScrub, SlipScar, Water, WetFlush};

    let mut cover = vec![Pasture; ground.elevation.values.len()];
    let mut paint = |score: &Field, kind: Cover, over: &[Cover]| {
        for (cell, score) in cover.iter_mut().zip(&score.values) {
            if *score > 0.5 && over.contains(cell) {
                *cell = kind;
            }
        }
    };
    let open = [Pasture, ScatteredScrub, Gorse];
    paint(&scattered_scrub(landform, seed), ScatteredScrub, &open);
    let gorse = Patches { count: 11, smallest_ha: 0.25, biggest_ha: 2.2, apart_m: 170.0 };
    let sunny_low = |i: usize| {
        smooth_step(330.0, 200.0, ground.elevation.values[i])
            * smooth_step(-0.25, 0.25, landform.sunny.values[i])
            * smooth_step(12.0, 22.0, landform.slope_deg.values[i])
    };
    paint(&gorse.grow(&ground.elevation, "gorse", seed, sunny_low), Gorse, &open);
    let stands = Patches { count: 12, smallest_ha: 0.8, biggest_ha: 5.0, apart_m: 380.0 };
    let mid_face = |i: usize| {
        smooth_step(150.0, 230.0, ground.elevation.values[i])
            * smooth_step(16.0, 24.0, landform.slope_deg.values[i])
            * smooth_step(-14.0, -2.0, landform.prominence_m.values[i])
    };
    paint(&stands.grow(&ground.elevation, "stand", seed, mid_face), ManukaStand, &open);
    paint(&bush(landform, seed), Bush, &[Pasture, ScatteredScrub, Gorse, ManukaStand]);
    paint(&wet_flush(ground, landform, seed), WetFlush, &[Pasture, ScatteredScrub, Gorse]);
    paint(&bare_slips(ground), SlipScar, &open);
    paint(&ground.pond, Water, &[Pasture, ScatteredScrub, Gorse, ManukaStand, Bush, WetFlush]);
    cover
}

fn scored(like: &Field, score: impl Fn(usize, f64, f64) -> f64) -> Field {
    let value = |i: usize| {
        let (x, y) = like.centre(i);
        score(i, x, y)
    };
    like.with_values((0..like.values.len()).map(value).collect())
}

/// Half where the score is above the value that leaves this share of the ground.
fn cut_at_share(score: &Field, share: f64) -> Field {
    let edge = score.quantile(1.0 - share, |i| i % 7 == 0);
    score.with_values(score.values.iter().map(|value| value - edge + 0.5).collect())
}

fn scattered_scrub(landform: &Landform, seed: u64) -> Field {
    let noise = Noise::new(seed, "scrub");
    let score = scored(&landform.slope_deg, |i, x, y| {
        let steep = smooth_step(20.0, 34.0, landform.slope_deg.values[i]);
        noise.octaves(x, y, 210.0, 4) + 0.7 * steep - 0.5 * landform.sunny.values[i]
    });
    cut_at_share(&score.blurred(5.0), 0.11)
}

fn bush(landform: &Landform, seed: u64) -> Field {
    let noise = Noise::new(seed, "bush");
    let score = scored(&landform.slope_deg, |i, x, y| {
        let deep = -landform.prominence_m.values[i] / 11.0;
        let steep = smooth_step(8.0, 20.0, landform.slope_deg.values[i]);
        deep.min(1.8) * steep + 1.1 * noise.octaves(x, y, 300.0, 4) - 0.8 * landform.sunny.values[i]
    });
    cut_at_share(&score.blurred(6.0), 0.1)
}

fn wet_flush(ground: &Ground, landform: &Landform, seed: u64) -> Field {
    let noise = Noise::new(seed, "flush");
    let score = scored(&landform.slope_deg, |i, x, y| {
        let slope = landform.slope_deg.values[i];
        let low = smooth_step(21.0, 13.0, slope) * smooth_step(2.5, 6.0, slope);
        let river = smooth_step(120_000.0, 60_000.0, ground.area.values[i]);
        (landform.wetness.values[i] + 0.9 * noise.octaves(x, y, 120.0, 2)) * low * river
    });
    cut_at_share(&score.blurred(5.0), 0.014)
}

fn bare_slips(ground: &Ground) -> Field {
    let mut bare = ground.elevation.with_values(vec![0.0; ground.elevation.values.len()]);
    for slip in ground.slips.iter().filter(|slip| slip.fresh) {
        slip.mark(&mut bare);
    }
    bare
}

impl Patches {
    /// A score above one half inside the patches, which lie where `liking` is high.
    fn grow(&self, like: &Field, purpose: &str, seed: u64, liking: impl Fn(usize) -> f64) -> Field {
        let ragged = Noise::new(seed, purpose);
        let mut random = Pcg64::seed_from_u64(seed ^ u64::from(purpose.len() as u32));
        let mut places: Vec<(f64, f64)> = Vec::new();
        let mut score = like.with_values(vec![0.0; like.values.len()]);
        for _ in 0..200_000 {
            let i = random.random_range(0..like.values.len());
            let (x, y) = like.centre(i);
            let crowded = places.iter().any(|p| (p.0 - x).hypot(p.1 - y) < self.apart_m);
            if places.len() < self.count && !crowded && random.random_bool(liking(i)) {
                places.push((x, y));
                let size: f64 = random.random_range(0.0_f64..1.0).powf(1.5);
                let area = self.smallest_ha + size * (self.biggest_ha - self.smallest_ha);
                let radius = (area * 10_000.0 / std::f64::consts::PI).sqrt();
                for_cells_within(&like.shape(), x, y, 2.2 * radius, |j, distance| {
                    let (u, v) = like.centre(j);
                    let (along, across) = (0.82 * u + 0.57 * v, 0.82 * v - 0.57 * u);
                    let edge = 1.0
                        + 0.6 * ragged.octaves(along, across, 1.3 * radius, 4)
                        + 0.35 * ragged.octaves(u, v, 0.6 * radius, 3);
                    let taste = 0.6 + 0.55 * liking(j);
                    let inside = 0.5 + (edge * taste - distance / radius);
                    score.values[j] = score.values[j].max(inside.clamp(0.0, 1.0));
                });
            }
        }
        score.blurred(4.0)
    }
}
