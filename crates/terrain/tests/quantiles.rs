//! Quantile edges against numpy and against sorting.

use proptest::prelude::*;
use terrain::{Grid, GridError, Raster, quantile_edges};

mod ground;

/// `numpy.quantile` (2.4.6, its default method "linear") of the ten values.
#[test]
fn numpy_agrees() {
    let grid = Grid::new(6, 2, 0.0, 0.0, 1.0, 1.0).unwrap();
    let values =
        [7.25, 3.5, 11.0, -2.125, f32::NAN, 5.75, 8.0, 3.5, f32::INFINITY, 6.0625, 12.5, 4.25];
    let layer = Raster::new(grid, values.to_vec()).unwrap();
    for (share, expected) in NUMPY {
        let edges = quantile_edges(&layer, None, [share, 1.0]).unwrap().unwrap();
        assert!((edges[0] - expected).abs() < 1e-12, "{share}: {}", edges[0]);
        assert!((edges[1] - 12.5).abs() < 1e-12);
    }
}

const NUMPY: [(f64, f64); 7] = [
    (0.0, -2.125),
    (0.1, 2.9375),
    (1.0 / 3.0, 4.25),
    (0.5, 5.90625),
    (2.0 / 3.0, 7.25),
    (0.85, 9.95),
    (1.0, 12.5),
];

/// The definition by sorting.
fn slow(mut values: Vec<f64>, share: f64) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let place = values.len().checked_sub(1)? as f64 * share;
    let (lower, upper) = (values[place.floor() as usize], values[place.ceil() as usize]);
    Some(lower + (place - place.floor()) * (upper - lower))
}

proptest! {
    #[test]
    fn fast_agrees_with_sorting_and_holes_do_not_count(
        layer in prop_oneof![ground::rough_ground(), ground::stepped_ground()],
        marks in proptest::collection::vec(any::<bool>(), 144),
        shares in [0.0..=1.0_f64, 0.0..=1.0_f64], masked: bool,
    ) {
        let shares = [shares[0].min(shares[1]), shares[0].max(shares[1])];
        let inside = Raster::new(*layer.grid(), marks[..layer.grid().len()].to_vec()).unwrap();
        let edges = quantile_edges(&layer, masked.then_some(&inside), shares).unwrap();
        let values: Vec<f64> = ground::cells(*layer.grid())
            .filter(|cell| !masked || inside.at(cell.0, cell.1))
            .filter_map(|cell| ground::known(&layer, Some(cell)).map(f64::from))
            .collect();
        let expected = shares.map(|share| slow(values.clone(), share));
        prop_assert_eq!(edges.is_some(), expected[0].is_some());
        for (edge, expected) in edges.into_iter().flatten().zip(expected.into_iter().flatten()) {
            prop_assert!((edge - expected).abs() < 1e-9);
        }
        prop_assert!(edges.is_none_or(|edges| edges[0] <= edges[1]));
    }
}

#[test]
fn quantiles_that_are_none_are_refused() {
    let layer = Raster::filled(Grid::new(2, 2, 0.0, 0.0, 1.0, 1.0).unwrap(), 1.0);
    for shares in [[-0.1, 0.5], [0.5, 1.1], [0.6, 0.5], [f64::NAN, 0.5], [0.5, f64::NAN]] {
        let refused = quantile_edges(&layer, None, shares);
        assert!(matches!(refused, Err(GridError::Setting { .. })), "{shares:?}");
    }
    let other = Raster::filled(Grid::new(2, 2, 0.0, 0.0, 1.0, 3.0).unwrap(), true);
    let refused = quantile_edges(&layer, Some(&other), [0.3, 0.6]);
    assert!(matches!(refused, Err(GridError::Mismatch { .. })));
    let none = Raster::filled(*layer.grid(), false);
    assert_eq!(quantile_edges(&layer, Some(&none), [0.3, 0.6]), Ok(None));
}
