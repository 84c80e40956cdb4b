//! Suns and shadows against pvlib, against horizons and against closed forms.

use proptest::prelude::*;
use terrain::{
    ClearSky, Grid, GridError, Raster, Shadows, SlopeMethod, SunSettings, SunlightError,
    horizon_deg, horizon_reach_cells, shaded_sun_ratio, slope_aspect, sun_mj_m2_day, sun_position,
    sun_ratio,
};

mod ground;

/// Julian date of a moment such as `2000-01-31 23:59`.
/// Source: Fliegel & van Flandern 1968, A machine algorithm for processing calendar dates.
#[expect(clippy::unwrap_used, clippy::panic, reason = "only tests come here")]
fn julian_date(utc: &str) -> f64 {
    let numbers: Vec<i64> =
        utc.split(['-', ' ', ':']).map(|number| number.parse().unwrap()).collect();
    let [year, month, day, hour, minute] = numbers[..] else { panic!("{utc}") };
    let shift = (month - 14) / 12;
    let days = 1461 * (year + 4800 + shift) / 4 + 367 * (month - 2 - 12 * shift) / 12
        - 3 * ((year + 4900 + shift) / 100) / 4
        + day
        - 32_075;
    days as f64 - 0.5 + (hour * 60 + minute) as f64 / 1440.0
}

/// pvlib 0.16.1: `spa_python`, `get_extra_radiation(method="nrel")`, `clearsky.simplified_solis`
/// (`data/README.md`). Angles within 0.1°, azimuth by the arc that it moves; beams within 1 %, or 1 W where there is less than
/// 100: a sun on the horizon, whose strength hangs on thousandths of a degree.
#[test]
fn suns_agree_with_pvlib() {
    let (mut suns, mut worst) = (0, [0.0_f64; 5]);
    for line in include_str!("data/sun/pvlib.csv").lines().skip(1) {
        let (utc, numbers) = line.split_once(',').unwrap();
        let numbers: Vec<f64> = numbers.split(',').map(|number| number.parse().unwrap()).collect();
        let [
            latitude,
            longitude,
            altitude_m,
            haze,
            water_cm,
            azimuth,
            elevation,
            apparent,
            outside,
            beam,
        ] = numbers[..]
        else {
            panic!("{line}")
        };
        let sun = sun_position(julian_date(utc), latitude, longitude);
        let sky = ClearSky { altitude_m, haze, water_cm };
        let turned = (sun.azimuth_deg - azimuth + 540.0).rem_euclid(360.0) - 180.0;
        let ours = sky.beam_w_m2(sun.apparent_elevation_deg, sun.outside_w_m2);
        let apart = [
            turned.abs() * elevation.to_radians().cos(),
            (sun.elevation_deg - elevation).abs(),
            (sun.apparent_elevation_deg - apparent).abs(),
            (sun.outside_w_m2 / outside - 1.0).abs() * 100.0,
            (ours - beam).abs() / beam.max(100.0) * 100.0, // 1 W where next to nothing shines
        ];
        assert!(apart[..3].iter().all(|angle| *angle < 0.1), "degrees {apart:?}: {line}");
        assert!(apart[3..].iter().all(|percent| *percent < 1.0), "percent {apart:?}: {line}");
        let same_sun = sky.beam_w_m2(apparent, outside);
        assert!((same_sun - beam).abs() <= 1e-3 * beam, "{same_sun}: {line}");
        suns += usize::from(beam > 100.0);
        for (worst, apart) in worst.iter_mut().zip(apart) {
            *worst = worst.max(apart);
        }
    }
    // As measured: 0.009° and 0.2 %.
    assert!(worst[..3].iter().all(|angle| *angle < 0.02) && worst[4] < 0.5, "{worst:?}");
    assert!(suns > 20);
}

/// Cells of `elevation` with their slope and aspect.
fn faces(elevation: &Raster<f32>) -> (Raster<f32>, Raster<f32>) {
    let ground = slope_aspect(elevation, SlopeMethod::Horn);
    (ground.slope_deg, ground.aspect_deg)
}

#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn rolling(side: usize, width: f64, height: f64) -> Raster<f32> {
    let grid = Grid::new(side, side, 1_812_000.5 * width, 5_610_000.25 * height, width, height);
    Raster::from_fn(grid.unwrap(), |row, col| {
        let (x, y) = (col as f64 * width, row as f64 * height);
        ((x / 31.0).sin() * 30.0 + (y / 23.0 + x / 57.0).cos() * 35.0) as f32
    })
}

/// Each cell's month is the sum of the suns that stand above its horizon in their own direction.
#[test]
fn shade_is_where_the_sun_stands_below_the_horizon() {
    let elevation = rolling(60, 4.0, 3.0);
    let level = Raster::filled(*elevation.grid(), 0.0);
    let settings = SunSettings { shade_within_m: Some(70.0), ..SunSettings::new(-42.0) };
    let open = SunSettings { shade_within_m: None, ..settings.clone() };
    for month in [1, 6] {
        let shaded = sun_mj_m2_day(&elevation, &level, &level, &settings, month).unwrap();
        let whole = sun_mj_m2_day(&elevation, &level, &level, &open, month).unwrap();
        let mut by_horizon = vec![0.0_f64; elevation.cells().len()];
        let mean_day = [17.0, 47.0, 75.0, 105.0, 135.0, 162.0][month as usize - 1];
        for step in 0..48 {
            let hour = 0.25 + 0.5 * f64::from(step);
            let noon = 2_460_676.0 + mean_day;
            let sun = sun_at_solar_hour(noon, -42.0, hour);
            if sun.apparent_elevation_deg <= 0.0 {
                continue;
            }
            let beam = settings.sky.beam_w_m2(sun.apparent_elevation_deg, sun.outside_w_m2);
            let up = sun.apparent_elevation_deg.to_radians().sin() * beam * 1800e-6;
            let horizon = horizon_deg(&elevation, sun.azimuth_deg, 70.0).unwrap();
            for (sum, angle) in by_horizon.iter_mut().zip(horizon.cells()) {
                if f64::from(*angle) <= sun.apparent_elevation_deg {
                    *sum += up;
                }
            }
        }
        let mut shady = 0;
        let mut apart = 0;
        for ((shaded, whole), sum) in shaded.cells().iter().zip(whole.cells()).zip(&by_horizon) {
            shady += usize::from(*shaded < 0.9 * whole);
            // A sun that just touches the horizon may fall either way: 2 of 48 suns at most.
            apart += usize::from((f64::from(*shaded) - sum).abs() > 0.02 * f64::from(*whole));
        }
        assert!(month == 1 || shady > 300, "{shady} cells in the shade");
        assert!(apart * 100 < shaded.cells().len(), "{apart} cells");
    }
}

/// The sun of the moment's declination at an hour of the sun's own time.
fn sun_at_solar_hour(noon: f64, latitude: f64, hour: f64) -> terrain::SunPosition {
    let azimuth = |longitude: f64| sun_position(noon, 0.0, longitude);
    // At 0° of latitude and solar noon the sun is due north or south: east of it is before noon.
    let (mut west, mut east) = (-10.0_f64, 10.0_f64);
    for _ in 0..60 {
        let middle = f64::midpoint(west, east);
        let sun = azimuth(middle);
        let eastward = sun.azimuth_deg.to_radians().sin();
        if eastward > 0.0 { west = middle } else { east = middle }
    }
    sun_position(noon, latitude, west + 15.0 * (hour - 12.0))
}

#[test]
fn a_window_with_halo_has_the_sun_of_the_whole() {
    let whole = rolling(80, 1.0, 1.3);
    let (slope, aspect) = faces(&whole);
    let settings = SunSettings { shade_within_m: Some(20.0), ..SunSettings::new(-41.0) };
    let expected = shaded_sun_ratio(&whole, &slope, &aspect, &settings).unwrap();
    let inner = terrain::Window { row: 33, col: 31, rows: 12, cols: 9 };
    let wide = inner.widened(horizon_reach_cells(whole.grid(), 20.0), whole.grid());
    let cut = |raster: &Raster<f32>| {
        let (width, height) = (raster.grid().cell_width(), raster.grid().cell_height());
        let west = raster.grid().west() + wide.col as f64 * width;
        let north = raster.grid().north() - wide.row as f64 * height;
        let grid = Grid::new(wide.cols, wide.rows, west, north, width, height).unwrap();
        Raster::from_fn(grid, |row, col| raster.at(wide.row + row, wide.col + col))
    };
    let found = shaded_sun_ratio(&cut(&whole), &cut(&slope), &cut(&aspect), &settings).unwrap();
    for row in inner.row..inner.row + inner.rows {
        for col in inner.col..inner.col + inner.cols {
            let part = found.at(row - wide.row, col - wide.col);
            assert_eq!(expected.at(row, col).to_bits(), part.to_bits());
        }
    }
}

/// On slopes at several scales, with suns for one, two and three words of bits, and without shade.
#[test]
fn kept_shadows_give_the_same_light_to_the_bit() {
    let bits = |sun: &Raster<f32>| sun.cells().iter().map(|sun| sun.to_bits()).collect::<Vec<_>>();
    let elevation = rolling(90, 5.0, 7.0);
    for (months, shade_within_m) in
        [(vec![6], Some(300.0)), (vec![5, 6, 7, 8], Some(1000.0)), (vec![12, 1], None)]
    {
        let settings = SunSettings { months, shade_within_m, ..SunSettings::new(-41.0) };
        let shadows = Shadows::of(&elevation, &settings).unwrap();
        let mut seen = std::collections::BTreeSet::new();
        for scale in [0.0, 20.0, 40.0] {
            let ground = terrain::smooth(&elevation, scale, terrain::Kernel::Gaussian);
            let (slope, aspect) = faces(&ground);
            let kept = shadows.sun_ratio(&slope, &aspect).unwrap();
            let fresh = shaded_sun_ratio(&elevation, &slope, &aspect, &settings).unwrap();
            assert_eq!(bits(&kept), bits(&fresh));
            seen.insert(bits(&kept));
        }
        assert_eq!(seen.len(), 3, "each scale has a light of its own");
    }
    let other = Raster::filled(Grid::new(90, 90, 0.0, 0.0, 5.0, 5.0).unwrap(), 0.0);
    let shadows = Shadows::of(&elevation, &SunSettings::new(-41.0)).unwrap();
    let refused = shadows.sun_ratio(&other, &other);
    assert!(matches!(refused, Err(SunlightError::Grid(GridError::Mismatch { .. }))));
}

#[test]
fn the_cores_do_not_matter() {
    let ground = rolling(120, 2.0, 2.0);
    let (slope, aspect) = faces(&ground);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let sun = pool.install(|| {
            shaded_sun_ratio(&ground, &slope, &aspect, &SunSettings::new(-40.0)).unwrap()
        });
        sun.cells().iter().map(|x| x.to_bits()).collect::<Vec<_>>()
    };
    let one = on(1);
    assert!(one == on(2) && one == on(5));
}

#[test]
fn polar_nights_bring_nothing_and_polar_days_never_end() {
    let level = Raster::filled(Grid::new(2, 2, 0.0, 0.0, 5.0, 5.0).unwrap(), 0.0);
    let settings = SunSettings::new(80.0);
    let sun = |month| sun_mj_m2_day(&level, &level, &level, &settings, month).unwrap().at(0, 0);
    assert_eq!(sun(12).to_bits(), 0.0_f32.to_bits());
    assert!(sun(6) > 15.0, "48 suns, more than one group of shadows: {}", sun(6));
    let winter = SunSettings { months: vec![12], ..settings };
    let ratio = shaded_sun_ratio(&level, &level, &level, &winter);
    assert!(matches!(ratio, Err(SunlightError::NeverRises { .. })));
}

#[test]
fn settings_that_cannot_be_used_are_refused() {
    let level = Raster::filled(Grid::new(2, 2, 0.0, 0.0, 5.0, 5.0).unwrap(), 0.0);
    let plain = SunSettings::new(-40.0);
    let sky = |sky: ClearSky| SunSettings { sky, ..plain.clone() };
    let thick = ClearSky { haze: 0.6, ..ClearSky::default() };
    let high = ClearSky { altitude_m: 9000.0, ..ClearSky::default() };
    let dry = ClearSky { water_cm: 0.0, ..ClearSky::default() };
    for settings in [
        SunSettings { shade_within_m: Some(0.0), ..plain.clone() },
        SunSettings { steps_an_hour: 0, ..plain.clone() },
        sky(thick),
        sky(high),
        sky(dry),
    ] {
        let refused = shaded_sun_ratio(&level, &level, &level, &settings);
        assert!(matches!(refused, Err(SunlightError::Grid(GridError::Setting { .. }))));
    }
    let month = sun_mj_m2_day(&level, &level, &level, &plain, 0);
    assert_eq!(month, Err(SunlightError::Month(0)));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn shade_only_takes_away(elevation in ground::rough_ground(), latitude in -60.0..60.0_f64) {
        let (slope, aspect) = faces(&elevation);
        let settings = SunSettings { months: vec![3, 7], ..SunSettings::new(latitude) };
        let shaded = shaded_sun_ratio(&elevation, &slope, &aspect, &settings).unwrap();
        let open = sun_ratio(&slope, &aspect, latitude, &[3, 7]).unwrap();
        for (shaded, open) in shaded.cells().iter().zip(open.cells()) {
            prop_assert!(shaded.is_nan() == open.is_nan());
            prop_assert!(shaded.is_nan() || (0.0 <= *shaded && shaded <= open));
        }
    }
}
