//! Scattered plants: darts that stick where no other is near, nearer and nearer until all stand.
//!
//! Source: McCool & Fiume 1992, Hierarchical Poisson disk sampling distributions (darts with a radius
//! that shrinks; from memory).

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

use crate::apart::Apart;
use crate::{Face, Setting};

/// Distance that is asked for first, as a share of the side of a square that holds one plant. Darts
/// until no more would stick fill ground at 0.83 of it (the saturated density of equal discs thrown
/// at random, 0.547 of the area: Tanemura 1979, from memory).
const FIRST: f64 = 0.80;
/// What is asked for next, as a share of that.
const NEXT: f64 = 0.97;
/// Darts for each plant that is missing, before less is asked for; and at least for each third plant
/// of all, as gaps become hard to hit.
const DARTS: usize = 6;
const PART_OF_ALL: usize = 3;
/// Rounds without a new plant after which there is no place left, the distance being the least.
const IDLE_ROUNDS: usize = 3;

/// Puts plants all over the block, close where many are asked for.
pub(crate) fn scatter(face: &Face, setting: &Setting, apart: &mut Apart) {
    throw(face, setting, FIRST, apart);
}

/// Puts those that found no place elsewhere, no closer than may be.
pub(crate) fn fill_up(face: &Face, setting: &Setting, apart: &mut Apart) {
    throw(face, setting, 0.0, apart);
}

fn throw(face: &Face, setting: &Setting, first: f64, apart: &mut Apart) {
    let aim = Aim::new(face);
    if aim.asked <= 0.0 {
        return;
    }
    // The ground asks for more or less than the plants that are to stand.
    let scale = setting.plants as f64 / aim.asked;
    let mut chance = Pcg64Mcg::seed_from_u64(setting.seed);
    let least_m = setting.least_m();
    let (mut share, mut idle) = (first, 0);
    while apart.len() < setting.plants && idle < IDLE_ROUNDS {
        let before = apart.len();
        let missing = setting.plants - before;
        let darts = DARTS * missing.max(setting.plants / PART_OF_ALL).max(64);
        let mut is_least = true;
        for _ in 0..darts {
            let at = aim.dart(face, &mut chance);
            let plants = face.plants_on_ground_at(at) * scale;
            if plants <= 0.0 {
                continue;
            }
            // One plant has 1 / plants square metres of ground.
            let side = plants.sqrt().recip();
            let asked = side * share;
            is_least &= asked <= least_m;
            let room = apart.room();
            let apart_m = asked.max(least_m).min(room);
            if apart.try_put(at, 0, apart_m) && apart.len() == setting.plants {
                return;
            }
        }
        idle = if apart.len() == before && is_least { idle + 1 } else { 0 };
        share *= NEXT;
    }
}

/// Where darts are thrown: by what each cell asks for.
struct Aim {
    /// Open cells, with what each asks for as a share of the most.
    cells: Vec<(u32, f32)>,
    asked: f64,
}

impl Aim {
    fn new(face: &Face) -> Self {
        let open = face.most_plants_of_cells().enumerate().filter(|(_, plants)| *plants > 0.0);
        let most = open.clone().fold(0.0, |most: f64, (_, plants)| most.max(plants));
        let asked = open.clone().map(|(_, plants)| plants).sum();
        let cells = open.map(|(cell, plants)| (cell as u32, (plants / most) as f32)).collect();
        Self { cells, asked }
    }

    /// A cell at random, taken as often as it asks for plants, and a point in it.
    fn dart(&self, face: &Face, chance: &mut Pcg64Mcg) -> [f64; 2] {
        let cell = loop {
            let (cell, share) = self.cells[chance.random_range(0..self.cells.len())];
            if share >= 1.0 || chance.random::<f32>() < share {
                break cell;
            }
        };
        let [x, y] = face.centre(cell as usize);
        let [east, north] = [chance.random::<f64>() - 0.5, chance.random::<f64>() - 0.5];
        [x + east * face.grid().cell_width(), y + north * face.grid().cell_height()]
    }
}
