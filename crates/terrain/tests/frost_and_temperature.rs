//! Frost and temperature by hand and by law.

use proptest::prelude::*;
use terrain::{
    FROST_EDGES, FROST_SCALE_M, FrostClass, Grid, GridError, LAPSE_C_PER_100M, Raster,
    StationNormals, frost_class, frost_index,
};

#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn line(cells: &[f32]) -> Raster<f32> {
    let grid = Grid::new(cells.len(), 1, 0.0, 0.0, 5.0, 20.0).unwrap();
    Raster::new(grid, cells.to_vec()).unwrap()
}

#[test]
fn the_frost_index_is_the_product_written_out() {
    let height = line(&[0.0, 20.0, 20.0, -3.0, f32::NAN, 1.0, f32::INFINITY, 0.0]);
    let sky = line(&[1.0, 1.0, 0.5, 0.8, 1.0, f32::NAN, 1.0, 1.5]);
    let index = frost_index(&height, &sky, 10.0).unwrap();
    let pooled = (-2.0_f64).exp() as f32;
    let expected =
        [Some(1.0), Some(pooled), Some(pooled / 2.0), Some(0.8), None, None, None, Some(1.0)];
    for (col, expected) in expected.into_iter().enumerate() {
        let found = index.get(0, col);
        assert_eq!(found.is_some(), expected.is_some());
        assert!(found.zip(expected).is_none_or(|(a, b)| (a - b).abs() < 1e-6), "{col}: {found:?}");
    }
}

#[test]
fn frost_classes_begin_at_their_edges() {
    use FrostClass::{Likely, Low, Severe};
    let index = line(&[0.0, 0.299, 0.3, 0.599, 0.6, 1.0, f32::NAN]);
    let class = frost_class(&index, FROST_EDGES).unwrap();
    let expected =
        [Some(Low), Some(Low), Some(Likely), Some(Likely), Some(Severe), Some(Severe), None];
    assert_eq!(class.cells(), expected);
    assert!(Low < Likely && Likely < Severe);
}

#[test]
fn frost_refuses_what_it_cannot_use() {
    let (one, two) = (line(&[1.0]), line(&[1.0, 1.0]));
    assert!(matches!(frost_index(&one, &two, 10.0), Err(GridError::Mismatch { .. })));
    for scale in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(frost_index(&one, &one, scale), Err(GridError::Setting { .. })));
    }
    for edges in [[0.6, 0.3], [f64::NAN, 0.3], [0.3, f64::NAN]] {
        assert!(matches!(frost_class(&one, edges), Err(GridError::Setting { .. })));
    }
}

proptest! {
    #[test]
    fn frost_is_worst_low_down_under_an_open_sky(
        height in 0.0..200.0_f32, higher in 0.0..50.0_f32, sky in 0.0..1.0_f32, wider in 0.0..0.5_f32,
    ) {
        let index = |height, sky| frost_index(&line(&[height]), &line(&[sky]), FROST_SCALE_M).unwrap().at(0, 0);
        let here = index(height, sky);
        prop_assert!((0.0..=1.0).contains(&here));
        prop_assert!(index(height + higher, sky) <= here && index(height, sky + wider) >= here);
    }
}

const MEAN: [f64; 12] = [17.5, 17.8, 16.2, 13.4, 10.9, 8.6, 7.9, 8.9, 10.6, 12.4, 14.2, 16.3];
const MINIMUM: [f64; 12] = [12.1, 12.4, 10.7, 8.0, 5.8, 3.7, 2.9, 3.8, 5.4, 7.2, 8.9, 11.0];

/// 300 m higher is 1.8 °C colder at 0.6 °C per 100 m. The station is invented.
#[test]
fn height_cools_as_worked_by_hand() {
    let normals = StationNormals::new(MEAN, MINIMUM, 80.0, LAPSE_C_PER_100M).unwrap();
    let ground = line(&[80.0, 380.0, 30.0, f32::NAN, f32::INFINITY]);
    let check = |temperature: Raster<f32>, at_station: f64| {
        for (col, colder) in [0.0, 1.8, -0.3].into_iter().enumerate() {
            assert!((f64::from(temperature.at(0, col)) - (at_station - colder)).abs() < 1e-5);
        }
        assert!(temperature.get(0, 3).is_none() && temperature.get(0, 4).is_none());
    };
    for month in 1..=12_u8 {
        let position = usize::from(month) - 1;
        check(normals.month_mean_c(&ground, month).unwrap(), MEAN[position]);
        check(normals.month_minimum_c(&ground, month).unwrap(), MINIMUM[position]);
    }
    check(normals.annual_mean_c(&ground), 154.7 / 12.0);
    check(normals.coldest_month_minimum_c(&ground), 2.9);
}

/// The standard atmosphere (International Civil Aviation Organization, Doc 7488, from memory):
/// 15 °C at sea level and 6.5 K less each kilometre; 8.5 °C at 1000 m, 2.0 °C at 2000 m.
#[test]
fn the_standard_atmosphere_comes_out() {
    let normals = StationNormals::new([15.0; 12], [15.0; 12], 0.0, 0.65).unwrap();
    let air = normals.annual_mean_c(&line(&[0.0, 1000.0, 2000.0]));
    for (found, expected) in air.cells().iter().zip([15.0, 8.5, 2.0]) {
        assert!((found - expected).abs() < 1e-5);
    }
}

#[test]
fn temperature_refuses_what_it_cannot_use() {
    let refused = |mean, minimum, station, lapse| {
        matches!(StationNormals::new(mean, minimum, station, lapse), Err(GridError::Setting { .. }))
    };
    let mut hole = MEAN;
    hole[4] = f64::NAN;
    assert!(refused(hole, MINIMUM, 0.0, 0.6) && refused(MEAN, hole, 0.0, 0.6));
    assert!(refused(MINIMUM, MEAN, 0.0, 0.6), "columns swapped");
    assert!(refused(MEAN, MINIMUM, f64::NAN, 0.6) && refused(MEAN, MINIMUM, 0.0, f64::INFINITY));
    let normals = StationNormals::new(MEAN, MINIMUM, 0.0, 0.6).unwrap();
    for month in [0, 13, 255] {
        assert!(normals.month_mean_c(&line(&[1.0]), month).is_err());
        assert!(normals.month_minimum_c(&line(&[1.0]), month).is_err());
    }
}
