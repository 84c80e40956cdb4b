//! Density and spacing, on ground and on the map.

use crate::site::Pattern;
use crate::units::{M2_PER_HA, Metres, StemsPerHectare};

/// Height of a triangle whose sides are 1: rows of a triangular pattern stand this far apart.
/// √3 / 2, which spacing tables round to 0.8660.
const ROW_HEIGHT: f64 = 0.866_025_403_784_438_6;

/// Ground of one plant, as a multiple of the spacing squared.
fn share_of_square(pattern: Pattern) -> f64 {
    match pattern {
        Pattern::Square => 1.0,
        Pattern::Triangular => ROW_HEIGHT,
    }
}

/// Plants a hectare at a spacing: 10,000 / s² square, 10,000 / (0.8660 s²) triangular.
///
/// # Units
/// - `spacing`: metres between neighbours, over 0; the hectare is of the kind it is measured on
///   (along the slope: a ground hectare).
///
/// ```
/// use spatial::layout::density_at_spacing;
/// use spatial::site::Pattern;
/// use spatial::units::Metres;
/// assert_eq!(density_at_spacing(Pattern::Square, Metres(2.5)).0, 1_600.0);
/// ```
///
/// Source: geometry; common forestry spacing tables give the same figures.
#[must_use]
pub fn density_at_spacing(pattern: Pattern, spacing: Metres) -> StemsPerHectare {
    StemsPerHectare(M2_PER_HA / (share_of_square(pattern) * spacing.0 * spacing.0))
}

/// Distance between neighbours at a density: the inverse of [`density_at_spacing`].
///
/// # Units
/// - `density`: plants a hectare, over 0; the spacing is measured on the same kind of hectare.
#[must_use]
pub fn spacing_at_density(pattern: Pattern, density: StemsPerHectare) -> Metres {
    Metres((M2_PER_HA / (share_of_square(pattern) * density.0)).sqrt())
}

/// Ground area over map area on a slope: 1 / cos θ.
///
/// # Units
/// - `slope_deg`: degrees from level, 0 to below 90
///
/// Source: geometry.
#[must_use]
pub fn slope_factor(slope_deg: f64) -> f64 {
    slope_deg.to_radians().cos().recip()
}

/// Plants a map hectare when the crew measures `density` along a slope.
///
/// At 30° a 3 m square needs 1,283 plants a map hectare, not 1,111: a crew that is given 1,111
/// runs out after 87 % of the block.
#[must_use]
pub fn density_on_map(density: StemsPerHectare, slope_deg: f64) -> StemsPerHectare {
    density * slope_factor(slope_deg)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const SPACINGS: [f64; 8] = [1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0];

    fn assert_table(pattern: Pattern, published: [f64; 8]) {
        for (spacing, plants) in SPACINGS.into_iter().zip(published) {
            let density = density_at_spacing(pattern, Metres(spacing)).0;
            assert!((density - plants).abs() <= 0.5, "{pattern:?} {spacing} m: {density}");
        }
    }

    /// Source: common forestry spacing tables (common practice, no source), whole plants a hectare.
    #[test]
    fn densities_are_those_of_the_spacing_tables() {
        let square = [10_000.0, 6_400.0, 4_444.0, 2_500.0, 1_600.0, 1_111.0, 816.0, 625.0];
        let triangular = [11_547.0, 7_390.0, 5_132.0, 2_887.0, 1_848.0, 1_283.0, 943.0, 722.0];
        assert_table(Pattern::Square, square);
        assert_table(Pattern::Triangular, triangular);
    }

    /// Source: spacing advice for poplars that builds on Douglas et al. 2011, Land Degradation &
    /// Development, doi 10.1002/ldr.1106: 13 to 18 m apart, 59 to 31 stems a hectare; 10 m, 100.
    #[test]
    fn poplar_spacings_give_the_advised_densities() {
        for (spacing, plants) in [(13.0, 59.0), (18.0, 31.0), (10.0, 100.0)] {
            let density = density_at_spacing(Pattern::Square, Metres(spacing)).0;
            assert!((density - plants).abs() <= 0.5, "{spacing} m: {density}");
        }
    }

    /// 1 / cos θ to three decimals, worked outside the program.
    #[test]
    fn the_slope_factor_is_one_over_the_cosine() {
        let table = [
            (0.0, 1.000),
            (10.0, 1.015),
            (15.0, 1.035),
            (20.0, 1.064),
            (25.0, 1.103),
            (28.0, 1.133),
            (30.0, 1.155),
            (35.0, 1.221),
            (40.0, 1.305),
        ];
        for (slope_deg, factor) in table {
            assert!((slope_factor(slope_deg) - factor).abs() <= 0.000_5, "{slope_deg}°");
        }
    }

    #[test]
    fn three_metres_along_a_30_degree_slope_need_1283_plants_a_map_hectare() {
        let ground = density_at_spacing(Pattern::Square, Metres(3.0));
        let map = density_on_map(ground, 30.0).0;
        assert!((map - 1_283.0).abs() <= 0.5, "{map}");
        assert!((ground.0 / map - 0.87).abs() <= 0.005, "where the crew runs out");
    }

    /// Source: a press report gives "1,100 sph at 3 m × 2 m, one per 9 m²"; 3 m × 2 m is one plant
    /// on 6 m², that is 1,667, and one on 9 m² is 1,111: the three figures cannot all hold.
    #[test]
    fn the_press_example_contradicts_itself() {
        let of_ground = |m2: f64| density_at_spacing(Pattern::Square, Metres(m2.sqrt())).0;
        assert!((of_ground(6.0) - 1_667.0).abs() <= 0.5);
        assert!((of_ground(9.0) - 1_111.0).abs() <= 0.5);
    }

    proptest! {
        #[test]
        fn spacing_and_density_are_inverse(spacing in 0.3..100.0_f64, square: bool) {
            let pattern = if square { Pattern::Square } else { Pattern::Triangular };
            let back = spacing_at_density(pattern, density_at_spacing(pattern, Metres(spacing)));
            prop_assert!((back.0 / spacing - 1.0).abs() < 1e-12);
        }

        /// Slow twin: a row-by-row count of plants on a large field.
        #[test]
        fn density_agrees_with_plants_counted_on_a_field(spacing in 1.0..4.0_f64, square: bool) {
            let pattern = if square { Pattern::Square } else { Pattern::Triangular };
            let side = 1_000.0;
            let row_gap = if square { spacing } else { spacing * 0.75_f64.sqrt() };
            let rows = (side / row_gap).floor() as usize;
            let counted: usize = (0..rows)
                .map(|row| if square || row % 2 == 0 { 0.0 } else { spacing / 2.0 })
                .map(|first| ((side - first) / spacing).floor() as usize)
                .sum();
            let counted_a_hectare = counted as f64 / 100.0;
            let density = density_at_spacing(pattern, Metres(spacing)).0;
            prop_assert!((counted_a_hectare / density - 1.0).abs() < 0.01);
        }
    }
}
