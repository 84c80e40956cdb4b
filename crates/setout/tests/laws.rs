//! What holds of every block that is set out, against slow and obvious reckoning.
#![allow(clippy::unwrap_used, reason = "a test that stops has failed")]

use proptest::prelude::*;
use setout::{Face, Manner, Outline, Position, Setting, SettingOut, set_out};
use terrain::{Grid, Raster};

const ROWS: Manner = Manner::ContourRows { straight_below_deg: 5.0 };
const MANNERS: [Manner; 4] = [ROWS, Manner::Squares, Manner::Triangles, Manner::Scattered];

/// Invented ground: a slope with spurs and gullies.
fn height(x: f64, y: f64, steep: f64) -> f64 {
    steep * y + 6.0 * steep * ((x / 17.0).sin() + (y / 23.0 + 1.0).sin() * (x / 29.0).cos())
}

struct Ground {
    heights: Raster<f32>,
    plants: Raster<f32>,
    rings: Vec<Vec<[f64; 2]>>,
}

impl Ground {
    /// A block of about 90 × 70 m with a notch and a hole, on cells of `cell` m; plants a hectare
    /// of ground.
    fn new(cell: f64, steep: f64, sph: f64) -> Self {
        let cells = (120.0 / cell) as usize;
        let grid = Grid::new(cells, cells, 0.0, 120.0, cell, cell).unwrap();
        let heights = Raster::from_fn(grid, |row, col| {
            let (x, y) = grid.centre(row, col);
            height(x, y, steep) as f32
        });
        let plants = Raster::from_fn(grid, |row, col| {
            let (x, y) = grid.centre(row, col);
            let east = (height(x + 0.5, y, steep) - height(x - 0.5, y, steep)) as f32;
            let north = (height(x, y + 0.5, steep) - height(x, y - 0.5, steep)) as f32;
            // A bush in the west where nothing is planted.
            let bush = (x - 30.0).hypot(y - 80.0) < 7.0;
            if bush { 0.0 } else { sph as f32 / 1e4 * (1.0 + east * east + north * north).sqrt() }
        });
        let outer = vec![
            [12.3, 20.1],
            [60.0, 27.7],
            [70.2, 14.0],
            [104.9, 33.0],
            [98.0, 92.2],
            [20.0, 97.9],
        ];
        let hole = vec![[50.0, 50.0], [66.0, 52.0], [60.0, 66.0]];
        Self { heights, plants, rings: vec![outer, hole] }
    }

    fn outline(&self) -> Outline {
        Outline::new(&self.rings)
    }

    /// Plants that the ground asks for, by thousands of small squares.
    fn asks(&self) -> f64 {
        let (outline, grid) = (self.outline(), self.plants.grid());
        let fine = 0.25;
        let mut asks = 0.0;
        for row in 0..480_u32 {
            for col in 0..480_u32 {
                let at = [(f64::from(col) + 0.5) * fine, (f64::from(row) + 0.5) * fine];
                if outline.contains(at) {
                    let (row, col) = grid.cell_at(at[0], at[1]).unwrap();
                    asks += f64::from(self.plants.at(row, col)) * fine * fine;
                }
            }
        }
        asks
    }

    fn set_out(&self, setting: &Setting) -> SettingOut {
        let face = Face::new(&self.heights, &self.plants, self.outline(), setting.spacing_m);
        set_out(&face.unwrap(), setting)
    }
}

fn setting(manner: Manner, plants: usize, spacing_m: f64, seed: u64) -> Setting {
    Setting { manner, plants, spacing_m, least_share: 0.6, seed }
}

/// Each plant's nearest neighbour, metres, one by one.
fn nearest(positions: &[Position]) -> Vec<f64> {
    let to_others = |at: usize| {
        let others = positions.iter().enumerate().filter(move |(other, _)| *other != at);
        others.map(move |(_, other)| other.apart_m2(&positions[at]).sqrt())
    };
    (0..positions.len()).map(|at| to_others(at).fold(f64::INFINITY, f64::min)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn all_stand_within_apart_and_none_is_missing(
        manner in 0..4_usize,
        cell in prop::sample::select(vec![1.0, 2.5, 5.0]),
        steep in 0.0..0.9_f64,
        sph in 400.0..2500.0_f64,
        seed: u64,
    ) {
        let ground = Ground::new(cell, steep, sph);
        let plants = ground.asks().round() as usize;
        let spacing_m = (1e4 / sph).sqrt();
        let asked = setting(MANNERS[manner], plants, spacing_m, seed);
        let out = ground.set_out(&asked);
        prop_assert_eq!(out.positions.len() + out.without_place, plants);
        prop_assert_eq!(out.without_place, 0, "of {}", plants);
        let outline = ground.outline();
        for plant in &out.positions {
            prop_assert!(outline.contains([plant.x, plant.y]), "{plant:?}");
            let grid = ground.plants.grid();
            let (row, col) = grid.cell_at(plant.x, plant.y).unwrap();
            prop_assert!(ground.plants.at(row, col) > 0.0, "on bush: {plant:?}");
            prop_assert!(plant.row <= out.rows);
        }
        let least = nearest(&out.positions).into_iter().fold(f64::INFINITY, f64::min);
        prop_assert!(least >= 0.6 * spacing_m - 1e-9, "{least} at {spacing_m}");
        prop_assert_eq!(&ground.set_out(&asked), &out, "the same again");
    }

    /// More plants than there is room for are told, and the others stand as they must.
    #[test]
    fn what_has_no_place_is_told(manner in 0..4_usize, seed: u64) {
        let ground = Ground::new(2.0, 0.3, 1_000.0);
        let plants = (ground.asks() * 4.0) as usize;
        let out = ground.set_out(&setting(MANNERS[manner], plants, 3.16, seed));
        prop_assert!(out.without_place > 0);
        prop_assert_eq!(out.positions.len() + out.without_place, plants);
        let least = nearest(&out.positions).into_iter().fold(f64::INFINITY, f64::min);
        prop_assert!(least >= 0.6 * 3.16 - 1e-9);
    }
}

/// Rows along the contour: neighbours in a row stand at about one height, rows a spacing apart.
#[test]
fn contour_rows_keep_height_and_distance() {
    let ground = Ground::new(1.0, 0.5, 1_111.0);
    let plants = ground.asks().round() as usize;
    let out = ground.set_out(&setting(ROWS, plants, 3.0, 1));
    let (mut grades, mut steps) = (Vec::new(), Vec::new());
    for pair in out.positions.windows(2) {
        let apart = (pair[1].x - pair[0].x).hypot(pair[1].y - pair[0].y);
        if pair[0].row == pair[1].row && apart < 6.0 {
            grades.push(f64::from((pair[1].height_m - pair[0].height_m).abs()) / apart);
            steps.push(pair[0].apart_m2(&pair[1]).sqrt());
        }
    }
    let middle = |mut values: Vec<f64>| {
        values.sort_by(f64::total_cmp);
        values[values.len() / 2]
    };
    assert!(grades.len() > plants * 3 / 4, "most have a neighbour in their row");
    let (grade, step) = (middle(grades), middle(steps));
    assert!(grade < 0.1, "half of the steps climb less than 1 in 10: {grade}");
    assert!((2.6..3.4).contains(&step), "{step} m along the row");
    let mut near = nearest(&out.positions);
    near.sort_by(f64::total_cmp);
    let [tenth, half] = [near[near.len() / 10], near[near.len() / 2]];
    assert!(tenth > 2.2 && half > 2.6, "{tenth} {half}");
}

/// On a plane, rows are exactly a spacing apart along the slope: the rows' heights differ by
/// spacing × sine.
#[test]
fn on_a_plane_rows_are_a_spacing_apart_on_the_slope() {
    let grid = Grid::new(100, 100, 0.0, 100.0, 1.0, 1.0).unwrap();
    let tangent = 30.0_f64.to_radians().tan();
    let heights = Raster::from_fn(grid, |row, _| ((99 - row) as f64 * tangent) as f32);
    let plants = Raster::filled(grid, (1e4 / 9.0 / 30.0_f64.to_radians().cos() / 1e4) as f32);
    let ring = vec![[10.0, 10.0], [90.0, 10.0], [90.0, 90.0], [10.0, 90.0]];
    let face = Face::new(&heights, &plants, Outline::new(&[ring]), 3.0).unwrap();
    let wanted = (6_400.0 * 1e4 / 9.0 / 30.0_f64.to_radians().cos() / 1e4).round() as usize;
    let out = set_out(&face, &setting(ROWS, wanted, 3.0, 1));
    assert_eq!(out.positions.len(), wanted);
    let mut heights: Vec<f64> = (1..=out.rows)
        .map(|row| {
            let own: Vec<f64> = out
                .positions
                .iter()
                .filter(|plant| plant.row == row)
                .map(|plant| f64::from(plant.height_m))
                .collect();
            own.iter().sum::<f64>() / own.len() as f64
        })
        .collect();
    heights.sort_by(f64::total_cmp);
    // 80 m of map are 92.4 m of slope: 30 or 31 rows
    assert!((30..=31).contains(&heights.len()), "{}", heights.len());
    for pair in heights.windows(2) {
        let rise = 3.0 * 30.0_f64.to_radians().sin();
        assert!((pair[1] - pair[0] - rise).abs() < 0.05, "{} and {}", pair[0], pair[1]);
    }
}

/// A lattice on level ground has its spacing: 3 m squares hold 1,111 plants a hectare, triangles
/// 1,283. Source: common forestry spacing tables (common practice, no source).
#[test]
fn lattices_hold_what_spacing_tables_say() {
    let grid = Grid::new(240, 240, 0.0, 240.0, 1.0, 1.0).unwrap();
    let (flat, ring) = (
        Raster::filled(grid, 5.0_f32),
        vec![[20.0, 20.0], [220.0, 20.0], [220.0, 220.0], [20.0, 220.0]],
    );
    for (manner, sph) in [(Manner::Squares, 1_111.0), (Manner::Triangles, 1_283.0)] {
        let plants = Raster::filled(grid, (sph / 1e4) as f32);
        let face =
            Face::new(&flat, &plants, Outline::new(std::slice::from_ref(&ring)), 3.0).unwrap();
        let out = set_out(&face, &setting(manner, (4.0 * sph) as usize, 3.0, 1));
        assert_eq!(out.without_place, 0);
        let near = nearest(&out.positions);
        let mean = near.iter().sum::<f64>() / near.len() as f64;
        assert!((mean - 3.0).abs() < 0.06, "{manner:?}: {mean}");
    }
}

/// Blue noise by its definition: next to no power at low frequencies, where plants thrown without
/// heed have as much as anywhere (1), and a least distance.
#[test]
fn scattered_plants_are_blue_noise() {
    let side = 150.0;
    let grid = Grid::new(160, 160, -5.0, 155.0, 1.0, 1.0).unwrap();
    let flat = Raster::filled(grid, 5.0_f32);
    let plants = Raster::filled(grid, 0.1_f32);
    let ring = vec![[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]];
    let face = Face::new(&flat, &plants, Outline::new(&[ring]), 3.16).unwrap();
    let out = set_out(&face, &setting(Manner::Scattered, 2_250, 3.16, 7));
    assert_eq!(out.positions.len(), 2_250);
    // Power at whole waves across the square, where its border has none.
    let power = |east: i32, north: i32| {
        let (mut real, mut imaginary) = (0.0, 0.0);
        for plant in &out.positions {
            let turn = std::f64::consts::TAU
                * (f64::from(east) * plant.x + f64::from(north) * plant.y)
                / side;
            (real, imaginary) = (real + turn.cos(), imaginary + turn.sin());
        }
        (real * real + imaginary * imaginary) / out.positions.len() as f64
    };
    let mean = |from: f64, to: f64| {
        let (mut sum, mut count) = (0.0, 0);
        for east in 0..60_i32 {
            for north in -60..60_i32 {
                let waves = f64::from(east * east + north * north).sqrt();
                if waves >= from && waves < to {
                    (sum, count) = (sum + power(east, north), count + 1);
                }
            }
        }
        sum / f64::from(count)
    };
    // A plant has 3.16 m, so 47 waves across the square are one a plant.
    let (low, peak) = (mean(2.0, 20.0), mean(44.0, 56.0));
    assert!(low < 0.15, "at long waves: {low}");
    assert!(peak > 1.2, "at a wave a plant: {peak}");
    let least = nearest(&out.positions).into_iter().fold(f64::INFINITY, f64::min);
    assert!(least > 0.66 * 3.16, "{least}");
}

#[test]
fn a_block_without_ground_or_plants_is_no_matter() {
    let grid = Grid::new(10, 10, 0.0, 10.0, 1.0, 1.0).unwrap();
    let (flat, some) = (Raster::filled(grid, f32::NAN), Raster::filled(grid, 0.1_f32));
    for manner in MANNERS {
        let nowhere = Face::new(&flat, &some, Outline::new(&[]), 3.0).unwrap();
        let out = set_out(&nowhere, &setting(manner, 5, 3.0, 1));
        assert_eq!((out.positions.len(), out.without_place), (0, 5));
        let ring = vec![[2.0, 2.0], [8.0, 2.0], [8.0, 8.0], [2.0, 8.0]];
        let face = Face::new(&flat, &some, Outline::new(std::slice::from_ref(&ring)), 3.0).unwrap();
        assert!(set_out(&face, &setting(manner, 0, 3.0, 1)).positions.is_empty());
        let one = set_out(&face, &setting(manner, 1, 3.0, 1));
        assert_eq!(one.positions.len(), 1, "{manner:?}");
        let none = Raster::filled(grid, 0.0_f32);
        let barren = Face::new(&flat, &none, Outline::new(&[ring]), 3.0).unwrap();
        assert_eq!(set_out(&barren, &setting(manner, 5, 3.0, 1)).without_place, 5);
    }
}
