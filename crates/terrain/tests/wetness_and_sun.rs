//! Wetness and sunlight by hand and by law.

use proptest::prelude::*;
use terrain::{
    GENTLEST_SLOPE_DEG, Grid, GridError, Raster, SunlightError, ground_area_ratio, sun_ratio,
    wetness_index,
};

#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn line(cells: &[f32]) -> Raster<f32> {
    let grid = Grid::new(cells.len(), 1, 0.0, 0.0, 5.0, 20.0).unwrap();
    Raster::new(grid, cells.to_vec()).unwrap()
}

#[test]
fn wetness_is_the_logarithm_written_out() {
    let area = line(&[500.0, 500.0, 500.0, f32::NAN, 500.0]);
    let slope = line(&[20.0, 0.0, GENTLEST_SLOPE_DEG as f32, 20.0, f32::NAN]);
    let index = wetness_index(&area, &slope, GENTLEST_SLOPE_DEG).unwrap();
    let specific_m = 500.0 / 10.0; // contour length √(5 × 20)
    let expected = (specific_m / 20.0_f64.to_radians().tan()).ln();
    assert!((f64::from(index.at(0, 0)) - expected).abs() < 1e-5);
    assert!((index.at(0, 1) - index.at(0, 2)).abs() < 1e-5, "level counts as the gentlest slope");
    assert!(index.get(0, 3).is_none() && index.get(0, 4).is_none());
}

#[test]
fn wetness_refuses_what_it_cannot_use() {
    let other = Raster::filled(Grid::new(2, 1, 0.0, 0.0, 5.0, 5.0).unwrap(), 1.0);
    let wrong_grid = wetness_index(&line(&[1.0, 1.0]), &other, 0.1);
    assert!(matches!(wrong_grid, Err(GridError::Mismatch { .. })));
    for slope in [0.0, -1.0, 90.0, f64::NAN] {
        let refused = wetness_index(&other, &other, slope);
        assert!(matches!(refused, Err(GridError::Setting { .. })), "{slope}");
    }
}

#[test]
fn sun_refuses_what_it_cannot_use() {
    let one = line(&[10.0]);
    let sun = |latitude, months: &[u8]| sun_ratio(&one, &one, latitude, months);
    assert_eq!(sun(-41.0, &[]), Err(SunlightError::NoMonths));
    assert_eq!(sun(-41.0, &[1, 13]), Err(SunlightError::Month(13)));
    assert_eq!(sun(-91.0, &[1]), Err(SunlightError::Latitude(-91.0)));
    assert!(matches!(sun(85.0, &[12]), Err(SunlightError::NeverRises { .. })));
}

#[test]
fn level_ground_counts_one_and_holes_stay_holes() {
    let slope = line(&[0.0, 0.0, f32::NAN, 12.0, f32::NAN]);
    let aspect = line(&[f32::NAN, 77.0, 10.0, f32::NAN, f32::NAN]);
    let ratio = sun_ratio(&slope, &aspect, -41.0, &[6, 7, 8]).unwrap();
    assert_eq!(ratio.get(0, 0), Some(1.0));
    assert!((ratio.at(0, 1) - 1.0).abs() < 1e-5);
    assert_eq!(ratio.get(0, 3), Some(1.0));
    assert!(ratio.get(0, 2).is_none() && ratio.get(0, 4).is_none());
}

/// Liu & Jordan 1963, The long-term average performance of flat-plate solar-energy collectors (as
/// Duffie & Beckman give it, from memory): without air, an equator-facing slope β at latitude φ
/// gets cos(φ − β) ÷ cos φ of level ground's beam at an equinox. The mean day of March is close to
/// the equinox, and air changes both much alike, hence the tolerance.
#[test]
fn a_slope_that_faces_the_equator_gains_what_it_should() {
    for (latitude, facing) in [(-40.0_f64, 0.0_f32), (40.0, 180.0)] {
        let ratio = sun_ratio(&line(&[40.0]), &line(&[facing]), latitude, &[3]).unwrap().at(0, 0);
        let level = 1.0 / 40.0_f64.to_radians().cos();
        assert!((f64::from(ratio) - level).abs() < 0.07, "{ratio} against about {level}");
    }
}

proptest! {
    #[test]
    fn the_hemispheres_mirror_each_other(
        slope in 1.0..60.0_f32, aspect in 0.0..360.0_f32, latitude in 1.0..60.0_f64,
    ) {
        // The same month is not the mirrored season, but all year round nearly is.
        let months: Vec<u8> = (1..=12).collect();
        let mirrored = (540.0 - aspect) % 360.0;
        let slope = line(&[slope]);
        let north = sun_ratio(&slope, &line(&[aspect]), latitude, &months).unwrap().at(0, 0);
        let south = sun_ratio(&slope, &line(&[mirrored]), -latitude, &months).unwrap().at(0, 0);
        prop_assert!((north - south).abs() < 0.05, "{} against {}", north, south);
    }

    #[test]
    fn in_the_south_north_faces_are_the_sunny_ones(slope in 1.0..25.0_f32, latitude in -55.0..-30.0_f64) {
        let faces = line(&[0.0, 90.0, 180.0, 270.0]);
        for month in [4, 6, 9, 10] {
            let ratio = sun_ratio(&line(&[slope; 4]), &faces, latitude, &[month]).unwrap();
            let [north, east, south, west] = [0, 1, 2, 3].map(|col| ratio.at(0, col));
            prop_assert!(north > east && north > 1.0 && east > south);
            prop_assert!((east - west).abs() < 1e-3, "morning and evening are alike");
        }
    }
}

/// 35° carries 1.221 and 45° carries 1.414 hectares of ground a plan hectare (1 ÷ cosine).
#[test]
fn ground_is_longer_than_the_map() {
    let ratio = ground_area_ratio(&line(&[0.0, 35.0, 45.0, f32::NAN]));
    assert_eq!(ratio.get(0, 0), Some(1.0));
    assert!(
        (ratio.at(0, 1) - 1.220_775).abs() < 1e-5
            && (ratio.at(0, 2) - std::f32::consts::SQRT_2).abs() < 1e-5
    );
    assert!(ratio.get(0, 3).is_none());
}
