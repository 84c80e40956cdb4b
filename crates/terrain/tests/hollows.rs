//! Filling against the slowest method that is obviously right.

use proptest::prelude::*;
use terrain::{Grid, Raster, fill_hollows};

mod ground;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn fast_agrees_with_slow(stepped in ground::stepped_ground(), rough in ground::rough_ground()) {
        for elevation in [stepped, rough] {
            let (fast, slow) = (fill_hollows(&elevation), ground::slow_fill(&elevation));
            for (row, col) in ground::cells(*elevation.grid()) {
                prop_assert_eq!(fast.get(row, col), slow.get(row, col), "row {} column {}", row, col);
            }
        }
    }

    #[test]
    #[expect(clippy::float_cmp, reason = "nothing is computed the second time")]
    fn filling_twice_changes_nothing(elevation in ground::rough_ground()) {
        let once = fill_hollows(&elevation);
        let twice = fill_hollows(&once);
        for (a, b) in once.cells().iter().zip(twice.cells()) {
            prop_assert!(a == b || (a.is_nan() && b.is_nan()));
        }
    }
}

/// Source: scikit-image 0.26.0, `skimage.morphology.reconstruction` by erosion, on Maunga Whau.
#[test]
fn the_crater_is_filled_as_by_reconstruction() {
    let cells = |text: &str| -> Vec<f32> {
        text.split_whitespace().map(|cell| cell.parse().unwrap()).collect()
    };
    let grid = Grid::new(87, 61, 0.0, 0.0, 10.0, 10.0).unwrap();
    let ground = cells(include_str!("data/maunga_whau/elevation_m.txt"));
    let expected = cells(include_str!("data/maunga_whau/filled_m.txt"));
    let filled = fill_hollows(&Raster::new(grid, ground.clone()).unwrap());
    assert_eq!(filled.cells(), expected);
    assert_ne!(expected, ground);
}
