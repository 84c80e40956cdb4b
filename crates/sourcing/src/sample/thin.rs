//! Of places that crowd, some that are far enough apart.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use rstar::RTree;

/// The stream of random numbers, apart from those of other draws with the same seed.
const STREAM: u64 = 0x7468_696e_6e65_6431;

/// Places of which no two are nearer than `apart_m` metres: gone through in random order, each is
/// kept unless one that was kept before is too near. Positions in `places`, in their order; none can be
/// added. Places that are not finite are left out.
///
/// Cost: O(n log n). Source: random sequential thinning, the plain way.
#[must_use]
pub fn thinned(places: &[[f64; 2]], apart_m: f64, seed: u64) -> Vec<usize> {
    let mut kept: RTree<[f64; 2]> = RTree::new();
    let far = |kept: &RTree<[f64; 2]>, place: &[f64; 2]| {
        kept.nearest_neighbor(place).is_none_or(|other| is_far(*other, *place, apart_m))
    };
    let mut chosen = Vec::new();
    for at in order(places, seed) {
        if far(&kept, &places[at]) {
            kept.insert(places[at]);
            chosen.push(at);
        }
    }
    chosen.sort_unstable();
    chosen
}

fn is_far(a: [f64; 2], b: [f64; 2], apart_m: f64) -> bool {
    (a[0] - b[0]).hypot(a[1] - b[1]) >= apart_m
}

/// Finite places in random order (Fisher & Yates).
fn order(places: &[[f64; 2]], seed: u64) -> Vec<usize> {
    let mut chance = Pcg64Mcg::seed_from_u64(seed ^ STREAM);
    let is_finite = |at: &usize| places[*at].iter().all(|value| value.is_finite());
    let mut order: Vec<usize> = (0..places.len()).filter(is_finite).collect();
    for last in (1..order.len()).rev() {
        order.swap(last, chance.random_range(0..=last));
    }
    order
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Every kept place looked at.
    fn slow(places: &[[f64; 2]], apart_m: f64, seed: u64) -> Vec<usize> {
        let mut chosen: Vec<usize> = Vec::new();
        for at in order(places, seed) {
            if chosen.iter().all(|one| is_far(places[*one], places[at], apart_m)) {
                chosen.push(at);
            }
        }
        chosen.sort_unstable();
        chosen
    }

    proptest! {
        #[test]
        fn the_search_keeps_what_looking_everywhere_keeps(
            places in prop::collection::vec((0_u8..60, 0_u8..60), 0..120),
            apart in 0_u8..30,
            seed: u64,
        ) {
            let places: Vec<[f64; 2]> =
                places.iter().map(|(x, y)| [f64::from(*x) * 1.5, f64::from(*y) * 1.5]).collect();
            let apart_m = f64::from(apart);
            let kept = thinned(&places, apart_m, seed);
            prop_assert_eq!(&kept, &slow(&places, apart_m, seed));
            for at in 0..places.len() {
                let near = |one: &&usize| **one != at && !is_far(places[**one], places[at], apart_m);
                let is_kept = kept.contains(&at);
                prop_assert_eq!(kept.iter().any(|one| near(&one)), !is_kept, "no room is left");
            }
        }
    }

    #[test]
    fn places_just_far_enough_stay_and_strange_ones_go() {
        let places = [[0.0, 0.0], [3.0, 4.0], [f64::NAN, 0.0], [3.0, 9.0]];
        assert_eq!(thinned(&places, 5.0, 7), [0, 1, 3]);
        assert_eq!(thinned(&[], 5.0, 7), [0_usize; 0]);
    }
}
