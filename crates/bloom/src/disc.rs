//! How much of an area lies within a distance of a place.

use std::f64::consts::PI;

/// Hectares of map within a distance in metres.
///
/// ```
/// assert_eq!(bloom::disc_ha(1_500.0).round(), 707.0);
/// ```
#[must_use]
pub fn disc_ha(radius_m: f64) -> f64 {
    PI * radius_m * radius_m / 10_000.0
}

/// Area, in the square of the unit of the corners, of the part of a polygon that lies in a disc. The ring may be
/// given closed or open and either way round; it must not cross itself. Of a polygon with holes take those of
/// its holes from that of its outline.
///
/// Each side makes a triangle with the middle of the disc; the areas that the triangles share with the disc add
/// up, with the sign of their turn. Exact but for roundings. Cost: O(n). Source: plane geometry.
///
/// ```
/// let square = [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]];
/// let quarter = bloom::disc_overlap_m2(&square, [0.0, 0.0], 2.0);
/// assert!((quarter - std::f64::consts::PI).abs() < 1e-12);
/// ```
#[must_use]
pub fn disc_overlap_m2(ring: &[[f64; 2]], middle: [f64; 2], radius: f64) -> f64 {
    let from = |[x, y]: [f64; 2]| [x - middle[0], y - middle[1]];
    let next = ring.iter().cycle().skip(1);
    let parts = ring.iter().zip(next).map(|(a, b)| part(from(*a), from(*b), radius));
    parts.sum::<f64>().abs()
}

/// Signed area of the disc about 0 within the triangle of 0, `a` and `b`.
fn part(a: [f64; 2], b: [f64; 2], radius: f64) -> f64 {
    let along = [b[0] - a[0], b[1] - a[1]];
    let long = dot(along, along);
    if long == 0.0 {
        return 0.0;
    }
    // Where the side meets the circle: |a + t along| = radius.
    let half = dot(a, along) / long;
    let under = half * half - (dot(a, a) - radius * radius) / long;
    if under <= 0.0 {
        return sector(a, b, radius);
    }
    let root = under.sqrt();
    let (enters, leaves) = (-half - root, -half + root);
    if leaves <= 0.0 || enters >= 1.0 {
        return sector(a, b, radius);
    }
    let at = |share: f64| [a[0] + along[0] * share, a[1] + along[1] * share];
    let (p, q) = (at(enters.max(0.0)), at(leaves.min(1.0)));
    let mut area = cross(p, q) / 2.0;
    if enters > 0.0 {
        area += sector(a, p, radius);
    }
    if leaves < 1.0 {
        area += sector(q, b, radius);
    }
    area
}

/// Signed area of the sector between two directions.
fn sector(a: [f64; 2], b: [f64; 2], radius: f64) -> f64 {
    radius * radius / 2.0 * cross(a, b).atan2(dot(a, b))
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Couvillon et al. 2014: mean distances of 493 m in spring, 1,275 m in autumn and 2,156 m in summer, given
    /// as areas of 0.8, 5.1 and 15.2 km²; π r² gives 0.76, 5.11 and 14.60.
    #[test]
    fn discs_are_those_of_the_dance_study() {
        for (metres, by_hand, published) in
            [(493.0, 0.76, 0.8), (1_275.0, 5.11, 5.1), (2_156.0, 14.60, 15.2)]
        {
            let km2 = disc_ha(metres) / 100.0;
            assert!((km2 - by_hand).abs() < 0.006, "{km2}");
            assert!((km2 / published - 1.0).abs() < 0.05, "{km2}");
        }
    }

    /// By hand: 50 ha are 7 % of the 707 ha within 1.5 km.
    #[test]
    fn fifty_hectares_are_seven_hundredths_of_the_disc() {
        let side = (50.0_f64 * 10_000.0).sqrt() / 2.0;
        let block = [[-side, -side], [side, -side], [side, side], [-side, side]];
        let share = disc_overlap_m2(&block, [100.0, 0.0], 1_500.0) / 10_000.0 / disc_ha(1_500.0);
        assert!((share - 0.07).abs() < 0.001, "{share}");
    }

    #[test]
    fn all_of_it_none_of_it_and_half_of_it() {
        let wide = [[-9.0, -9.0], [9.0, -9.0], [9.0, 9.0], [-9.0, 9.0], [-9.0, -9.0]];
        assert!((disc_overlap_m2(&wide, [0.0, 0.0], 2.0) - 4.0 * PI).abs() < 1e-12);
        assert!((disc_overlap_m2(&wide, [9.0, 1.0], 2.0) - 2.0 * PI).abs() < 1e-12);
        assert!((disc_overlap_m2(&wide, [0.0, 0.0], 100.0) - 324.0).abs() < 1e-9);
        assert!(disc_overlap_m2(&wide, [50.0, 0.0], 2.0).abs() < 1e-12);
        assert!(disc_overlap_m2(&[], [0.0, 0.0], 2.0).abs() < 1e-12);
    }

    proptest! {
        /// Against points of a fine lattice, one by one.
        #[test]
        fn the_overlap_is_that_of_many_points(
            radii in prop::collection::vec(0.4_f64..1.5, 3..9),
            x in -1.5_f64..1.5, y in -1.5_f64..1.5, radius in 0.3_f64..1.8,
            turned in any::<bool>(),
        ) {
            let turn = std::f64::consts::TAU / radii.len() as f64;
            let corner = |(at, out): (usize, &f64)| {
                let (sin, cos) = (at as f64 * turn).sin_cos();
                [out * cos, out * sin]
            };
            let mut ring: Vec<[f64; 2]> = radii.iter().enumerate().map(corner).collect();
            if turned {
                ring.reverse();
            }
            let inside = |p: [f64; 2]| {
                let sides = ring.iter().zip(ring.iter().cycle().skip(1));
                let crossed = sides.filter(|(a, b)| {
                    (a[1] > p[1]) != (b[1] > p[1])
                        && p[0] < a[0] + (p[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
                });
                crossed.count() % 2 == 1
            };
            let (steps, step) = (400, 0.0075);
            let mut slow = 0.0;
            for row in 0..steps {
                for col in 0..steps {
                    let p = [f64::from(col) * step - 1.5 + step / 2.0, f64::from(row) * step - 1.5 + step / 2.0];
                    if (p[0] - x).hypot(p[1] - y) < radius && inside(p) {
                        slow += step * step;
                    }
                }
            }
            prop_assert!((disc_overlap_m2(&ring, [x, y], radius) - slow).abs() < 0.04, "{slow}");
        }
    }
}
