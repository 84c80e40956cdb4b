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
            if apart.try_put(at, 0, asked.max(least_m)) && apart.len() == setting.plants {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Manner, Outline};
    use terrain::{Grid, Raster};

    /// Level cells of 4 by 2 m, 8 by 10 of them, all within.
    fn face(plants: impl Fn(usize, usize) -> f32) -> Face {
        let grid = Grid::new(8, 10, 100.0, 520.0, 4.0, 2.0).unwrap();
        let level = Raster::filled(grid, 0.0_f32);
        let plants = Raster::from_fn(grid, plants);
        let ring = vec![[0.0, 0.0], [999.0, 0.0], [999.0, 999.0], [0.0, 999.0]];
        Face::new(&level, &plants, Outline::new(&[ring]), 8.0).unwrap()
    }

    /// A column that asks for a quarter of what the others do gets a quarter of the darts, one that
    /// asks for nothing none; and within a cell a dart falls anywhere, with a mean square from the
    /// middle of a twelfth of the side squared.
    #[test]
    fn darts_fall_by_what_is_asked_for_and_anywhere_in_a_cell() {
        let face = face(|_, col| [0.0, 0.05, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2][col]);
        let aim = Aim::new(&face);
        // Ten rows of cells of 8 m².
        assert!((aim.asked - 80.0 * (0.05 + 6.0 * 0.2)).abs() < 1e-4);
        let mut chance = Pcg64Mcg::seed_from_u64(5);
        let darts = 50_000_u32;
        let mut columns = [0_u32; 8];
        let mut squares = [0.0; 2];
        for _ in 0..darts {
            let at = aim.dart(&face, &mut chance);
            let (row, col) = face.grid().cell_at(at[0], at[1]).unwrap();
            columns[col] += 1;
            let (x, y) = face.grid().centre(row, col);
            squares[0] += (at[0] - x).powi(2) / f64::from(darts);
            squares[1] += (at[1] - y).powi(2) / f64::from(darts);
        }
        // Each share within 6 standard deviations, at most 1/√(4 × 50,000) each.
        let shares = columns.map(|darts_here| f64::from(darts_here) / f64::from(darts));
        assert_eq!(columns[0], 0);
        assert!((shares[1] - 1.0 / 25.0).abs() < 0.006, "{shares:?}");
        assert!(shares[2..].iter().all(|share| (share - 4.0 / 25.0).abs() < 0.013), "{shares:?}");
        assert!((squares[0] / 16.0 * 12.0 - 1.0).abs() < 0.03, "{squares:?}");
        assert!((squares[1] / 4.0 * 12.0 - 1.0).abs() < 0.03, "{squares:?}");
    }

    fn setting(plants: usize, least_share: f64) -> Setting {
        Setting { manner: Manner::Scattered, plants, spacing_m: 4.0, least_share, seed: 3 }
    }

    /// What stands on 640 m² that ask for as many plants as are wanted, or for other numbers in the
    /// same shares, is the same; and so it is whatever distance plants are found by.
    #[test]
    fn only_the_shares_of_what_is_asked_for_count() {
        let scattered = |scale: f32, usual_m: f64| {
            let face = face(|_, col| scale * if col < 4 { 1.0 } else { 0.25 });
            let mut apart = Apart::new(&face, usual_m, 50);
            scatter(&face, &setting(50, 0.1), &mut apart);
            apart.into_positions()
        };
        let plants = scattered(0.125, 3.6); // 50 in all
        assert_eq!(plants.len(), 50);
        let west = plants.iter().filter(|plant| plant.x < 116.0).count();
        assert!((38..=42).contains(&west), "four fifths: {west}");
        assert_eq!(scattered(1.0, 3.6), plants);
        assert_eq!(scattered(0.125, 8.0), plants);
        // Where 40 share 320 m² each has 8 m²; where 10 do, 32. They were asked to keep off 0.8 of
        // the side of such a square, and 0.97 of that in a second round and so on: they fill ground
        // at 0.83 of it when thrown for ever.
        for (from, to, side) in [(100.0, 112.0, 8.0_f64.sqrt()), (120.0, 132.0, 32.0_f64.sqrt())] {
            let inside = plants.iter().filter(|plant| (from..to).contains(&plant.x));
            for one in inside {
                let near = plants.iter().filter(|other| *other != one);
                let near = near.map(|other| other.apart_m2(one).sqrt());
                let near = near.fold(f64::INFINITY, f64::min);
                assert!(near > 0.5 * side, "{near} of {side} at {one:?}");
            }
        }
    }

    #[test]
    fn no_two_are_closer_than_they_may_be_however_many_are_wanted() {
        let face = face(|_, _| 0.1);
        let mut apart = Apart::new(&face, 4.0, 200);
        fill_up(&face, &setting(200, 0.6), &mut apart);
        let plants = apart.into_positions();
        // Discs 2.4 m wide thrown until none finds room cover about 0.547 of the ground, some more
        // where they may reach over the border.
        let full = 0.547 * 640.0 / (std::f64::consts::PI * 1.44);
        let count = plants.len() as f64;
        assert!((0.9 * full..1.3 * full).contains(&count), "{count} of {full}");
        for (index, one) in plants.iter().enumerate() {
            assert!(plants[..index].iter().all(|other| other.apart_m2(one) >= 2.4 * 2.4 - 1e-9));
        }
    }

    /// Forty stand in squares of 4 m, so that no place is farther than √8 m from all of them. One more
    /// is asked to keep off 0.8 √(640 ÷ 41) = 3.16 m, which no dart does until it is asked for less a
    /// fifth time.
    #[test]
    fn one_that_finds_no_place_tries_nearer_to_the_others() {
        let face = face(|_, _| 0.1);
        let mut apart = Apart::new(&face, 4.0, 41);
        for place in 0..40_u32 {
            let (col, row) = (f64::from(place % 8), f64::from(place / 8));
            assert!(apart.try_put([102.0 + 4.0 * col, 502.0 + 4.0 * row], 0, 0.0));
        }
        scatter(&face, &setting(41, 0.1), &mut apart);
        let plants = apart.into_positions();
        assert_eq!(plants.len(), 41);
        let near = plants[..40].iter().map(|other| other.apart_m2(&plants[40]).sqrt());
        let near = near.fold(f64::INFINITY, f64::min);
        assert!((2.3..8.0_f64.sqrt()).contains(&near), "{near}");
    }
}
