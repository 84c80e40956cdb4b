//! Shelter and open sky against closed forms and against horizons one by one.

use proptest::prelude::*;
use terrain::{
    ExposureSettings, Grid, Raster, SKY_DIRECTIONS, WindRose, exposure_deg, horizon_deg,
    sky_view_share,
};

mod ground;

/// Metres from the middle of a raster of odd sides.
fn from_middle(grid: &Grid, row: usize, col: usize) -> (f64, f64) {
    let (x, y) = grid.centre(row, col);
    let (middle_x, middle_y) = grid.centre(grid.rows() / 2, grid.cols() / 2);
    (x - middle_x, y - middle_y)
}

#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn shaped(side: usize, cell: f64, height: impl Fn(f64, f64) -> f64) -> Raster<f32> {
    let grid = Grid::new(side, side, 0.0, 0.0, cell, cell).unwrap();
    Raster::from_fn(grid, |row, col| {
        let (x, y) = from_middle(&grid, row, col);
        height(x, y) as f32
    })
}

/// At the bottom of a cone all horizons stand at its slope γ: cos² γ of the sky is left.
#[test]
fn the_bottom_of_a_cone_sees_the_squared_cosine() {
    for slope in [5.0_f64, 20.0, 45.0, 70.0] {
        let pit = shaped(201, 2.0, |x, y| x.hypot(y) * slope.to_radians().tan());
        let share = sky_view_share(&pit, 150.0, SKY_DIRECTIONS).unwrap().at(100, 100);
        let expected = slope.to_radians().cos().powi(2);
        assert!((f64::from(share) - expected).abs() < 2e-3, "{slope}°: {share}, {expected}");
        let sum = exposure_deg(&pit, &ExposureSettings::default()).unwrap().at(100, 100);
        assert!((f64::from(sum) - 8.0 * slope).abs() < 0.2, "{slope}°: {sum}");
    }
}

/// At the bottom of half a sphere, cut off at a share of its radius, the rim sets the horizon.
#[test]
fn the_bottom_of_a_bowl_sees_over_its_rim() {
    let (radius, rim) = (100.0_f64, 80.0_f64);
    let bowl = shaped(101, 2.0, |x, y| {
        let out = x.hypot(y).min(rim);
        radius - (radius * radius - out * out).sqrt()
    });
    let share = sky_view_share(&bowl, 200.0, 32).unwrap().at(50, 50);
    let tangent = (radius - (radius * radius - rim * rim).sqrt()) / rim; // ½
    let expected = 1.0 / (1.0 + tangent * tangent);
    assert!((f64::from(share) - expected).abs() < 0.01, "{share} against {expected}");
}

/// Oke 1987, Boundary Layer Climates: on the middle line of a long canyon whose walls stand at β
/// cos β of the sky is left (from memory; so does the integral of the squared cosine).
#[test]
fn the_floor_of_a_trench_sees_the_cosine_of_its_walls() {
    for (wall, half_width) in [(10.0_f64, 20.0_f64), (30.0, 20.0), (20.0, 20.0)] {
        let trench = shaped(301, 2.0, |x, _| if x.abs() < half_width { 0.0 } else { wall });
        let share = sky_view_share(&trench, f64::INFINITY, 36).unwrap().at(150, 150);
        let expected = (wall / half_width).atan().cos();
        assert!((f64::from(share) - expected).abs() < 0.01, "{share} against {expected}");
    }
}

/// A cone seen from its top falls away all round, and without signs nothing shelters it.
#[test]
fn a_summit_is_exposed() {
    let summit = shaped(101, 5.0, |x, y| -x.hypot(y) * 25.0_f64.to_radians().tan());
    let settings = ExposureSettings { signed: true, ..Default::default() };
    let signed = exposure_deg(&summit, &settings).unwrap().at(50, 50);
    assert!((signed + 8.0 * 25.0).abs() < 0.2, "{signed}");
    let plain = exposure_deg(&summit, &ExposureSettings::default()).unwrap();
    assert_eq!(plain.get(50, 50), Some(0.0));
    assert_eq!(sky_view_share(&summit, 300.0, 16).unwrap().get(50, 50), Some(1.0));
}

/// A ridge to the west shelters from the west wind alone.
#[test]
fn the_wind_rose_points_where_wind_comes_from() {
    let ridge = shaped(41, 10.0, |x, _| if x < -100.0 { 100.0 } else { 0.0 });
    let with_wind_from = |direction: usize| {
        let mut shares = [0.0; 8];
        shares[direction] = 0.3;
        let wind = WindRose::new(shares).unwrap();
        exposure_deg(&ridge, &ExposureSettings { wind, ..Default::default() }).unwrap().at(20, 20)
    };
    let angle = (100.0_f64 / 110.0).atan().to_degrees();
    assert!((f64::from(with_wind_from(6)) - 8.0 * angle).abs() < 1e-3);
    assert!([0, 1, 2, 3, 4].iter().all(|direction| with_wind_from(*direction) == 0.0));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn sums_are_those_of_the_horizons(
        elevation in ground::rough_ground(), signed in any::<bool>(),
        shares in prop::array::uniform8(0.0..1.0_f64), distance_m in 5.0..80.0_f64,
    ) {
        let wind = WindRose::new(shares).unwrap();
        let sum = exposure_deg(&elevation, &ExposureSettings { distance_m, signed, wind }).unwrap();
        let open = sky_view_share(&elevation, distance_m, 8).unwrap();
        let horizons: Vec<_> = (0..8)
            .map(|k| horizon_deg(&elevation, 45.0 * f64::from(k), distance_m).unwrap())
            .collect();
        let all: f64 = shares.iter().sum();
        for (row, col) in ground::cells(*elevation.grid()) {
            if ground::known(&elevation, Some((row, col))).is_none() {
                prop_assert!(sum.get(row, col).is_none() && open.get(row, col).is_none());
                continue;
            }
            let angles = horizons.iter().map(|horizon| f64::from(horizon.at(row, col)));
            let counted = angles.clone().map(|angle| if signed { angle } else { angle.max(0.0) });
            let expected: f64 =
                counted.zip(shares).map(|(angle, share)| angle * share * 8.0 / all).sum();
            prop_assert!((f64::from(sum.at(row, col)) - expected).abs() < 1e-3);
            let sky: f64 = angles.map(|angle| angle.max(0.0).to_radians().cos().powi(2)).sum();
            prop_assert!((f64::from(open.at(row, col)) - sky / 8.0).abs() < 1e-5);
        }
    }
}
