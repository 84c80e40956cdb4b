//! Sunlight against published solar geometry.

#![allow(clippy::unwrap_used, clippy::float_cmp, reason = "tests say what they mean exactly")]

mod ground_support;

use ground_support::grid;
use terrain::{Raster, declination, sun_ratio};

fn ratio(slope: f32, aspect: f32, latitude: f64, months: &[u8]) -> f32 {
    let cell = |value| Raster::filled(grid(1, 1, 1.0), value);
    sun_ratio(&cell(slope), &cell(aspect), latitude, months).unwrap().at(0, 0)
}

/// Source: Duffie & Beckman, Solar Engineering of Thermal Processes, table of average days
/// (declinations −20.9, −13.0, −2.4, 9.4, 18.8, 23.1, 21.2, 13.5, 2.2, −9.6, −18.9, −23.0),
/// from memory.
#[test]
fn declination_of_the_average_days() {
    let days = [17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344];
    let table = [-20.9, -13.0, -2.4, 9.4, 18.8, 23.1, 21.2, 13.5, 2.2, -9.6, -18.9, -23.0];
    for (day, expected) in days.into_iter().zip(table) {
        let degrees = declination(day).to_degrees();
        assert!((degrees - expected).abs() < 0.06, "day {day}: {degrees}°");
    }
}

#[test]
fn level_ground_is_the_measure() {
    for latitude in [-41.0, 0.0, 52.0] {
        assert!((ratio(0.0, f32::NAN, latitude, &[6, 7]) - 1.0).abs() < 1e-6);
    }
}

#[test]
fn slopes_that_face_the_equator_are_sunnier() {
    let winter_south = &[5, 6, 7, 8];
    assert!(ratio(25.0, 0.0, -41.0, winter_south) > 1.4);
    assert!(ratio(25.0, 180.0, -41.0, winter_south) < 0.5);
    let winter_north = &[11, 12, 1, 2];
    assert!(ratio(25.0, 180.0, 41.0, winter_north) > 1.4);
    assert!(ratio(25.0, 0.0, 41.0, winter_north) < 0.5);
}

#[test]
fn east_and_west_are_alike() {
    for slope in [10.0, 35.0] {
        let (east, west) = (ratio(slope, 90.0, -40.0, &[6]), ratio(slope, 270.0, -40.0, &[6]));
        assert!((east - west).abs() < 1e-4, "{east} {west}");
    }
}

#[test]
fn a_cliff_with_its_back_to_the_sun_gets_none() {
    assert!(ratio(80.0, 180.0, -45.0, &[6]) < 1e-6);
}

/// A plane tilted to the equator by the latitude sees the sun as level ground at the equator does:
/// at the equinox, noon and all day, its beam is 1 / cos(latitude) of level ground's.
#[test]
fn a_slope_tilted_by_the_latitude_is_an_equator() {
    // March's average day has a declination of −2.4°, so a few per cent apart.
    let found = ratio(40.0, 0.0, -40.0, &[3]);
    assert!((f64::from(found) * 40.0_f64.to_radians().cos() - 1.0).abs() < 0.06, "{found}");
}

#[test]
fn holes_stay_holes_and_other_grids_are_refused() {
    let hole = Raster::filled(grid(1, 1, 1.0), f32::NAN);
    assert_eq!(sun_ratio(&hole, &hole, -40.0, &[6]).unwrap().get(0, 0), None);
    let other = Raster::filled(grid(2, 1, 1.0), 1.0);
    assert!(sun_ratio(&hole, &other, -40.0, &[6]).is_err());
}
