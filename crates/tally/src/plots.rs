//! Plots in which survivors are counted.

use std::f64::consts::PI;

use crate::normal_quantile;

/// Square metres in a hectare. Source: SI Brochure, 9th ed., Table 8 (table number from memory).
const M2_PER_HA: f64 = 10_000.0;

/// Radius of a circular plot that covers `plan_area_ha` of map, in metres along the slope.
///
/// The tape is laid along the ground, so the plot is a circle on the slope and an ellipse on the map:
/// πr² cos θ.
///
/// # Units
/// - `plan_area_ha`: hectares of map, over 0
/// - `slope_deg`: degrees from level, 0 to below 90
/// - returns: metres; `None` outside those ranges
///
/// ```
/// let radius = |ha, slope| tally::plot_radius_m(ha, slope).unwrap();
/// assert!((radius(0.01, 0.0) - 5.64).abs() < 0.005);
/// assert!((radius(0.01, 30.0) - 6.06).abs() < 0.005);
/// ```
///
/// Source: geometry.
#[must_use]
pub fn plot_radius_m(plan_area_ha: f64, slope_deg: f64) -> Option<f64> {
    let sound = plan_area_ha.is_finite() && plan_area_ha > 0.0 && is_slope(slope_deg);
    sound.then(|| (plan_area_ha * M2_PER_HA / (PI * slope_deg.to_radians().cos())).sqrt())
}

/// Map area of a circular plot laid out along a slope, hectares: the inverse of [`plot_radius_m`].
///
/// # Units
/// - `radius_m`: metres along the slope, over 0
/// - `slope_deg`: degrees from level, 0 to below 90; `None` outside those ranges
#[must_use]
pub fn plot_plan_area_ha(radius_m: f64, slope_deg: f64) -> Option<f64> {
    let sound = radius_m.is_finite() && radius_m > 0.0 && is_slope(slope_deg);
    sound.then(|| PI * radius_m * radius_m * slope_deg.to_radians().cos() / M2_PER_HA)
}

fn is_slope(slope_deg: f64) -> bool {
    (0.0..90.0).contains(&slope_deg)
}

/// What a survey wants, at least.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlotsNeeded {
    /// Plants to count.
    pub plants: u64,
    /// Plots that hold so many.
    pub plots: u64,
}

/// Fewest plots for a wanted half-width of the interval: z² s (1 − s) ÷ half-width² plants, over the
/// plants in a plot.
///
/// **A least number.** The sum takes the plants for a simple random sample. Those in one plot share soil,
/// shelter and browsing and are alike, so more plots are needed; small plots spread over the ground tell
/// more than large ones in few places.
///
/// # Units
/// - `half_width`, `survival`: shares, between 0 and 1; take 0.5 when survival is not known, the worst case
/// - `confidence`: between 0 and 1
/// - `density_sph`: plants a map hectare as planted, over 0
/// - `plot_plan_area_ha`: hectares of map, over 0
/// - returns: `None` outside those ranges, or where more than 10¹⁵ plants would be counted
///
/// ```
/// // 80 % alive, to 5 points either way with 95 % confidence: 246 plants, 23 plots of 0.01 ha at 1,100/ha.
/// let needed = tally::plots_needed(0.05, 0.8, 0.95, 1_100.0, 0.01).unwrap();
/// assert_eq!((needed.plants, needed.plots), (246, 23));
/// ```
///
/// Source: sample size of a proportion, Cochran 1977, Sampling Techniques, ch. 4 (chapter from memory).
#[must_use]
pub fn plots_needed(
    half_width: f64,
    survival: f64,
    confidence: f64,
    density_sph: f64,
    plot_plan_area_ha: f64,
) -> Option<PlotsNeeded> {
    let is_part = |share: f64| share > 0.0 && share < 1.0;
    let is_size = |size: f64| size.is_finite() && size > 0.0;
    let shares = is_part(half_width) && is_part(survival);
    let sizes = is_size(density_sph) && is_size(plot_plan_area_ha);
    let z = normal_quantile(confidence).filter(|_| shares && sizes)?;
    let plants = (z * z * survival * (1.0 - survival) / (half_width * half_width)).ceil();
    let plots = (plants / (density_sph * plot_plan_area_ha)).ceil();
    let countable = |number: f64| (1.0..=1e15).contains(&number);
    (countable(plants) && countable(plots))
        .then_some(PlotsNeeded { plants: plants as u64, plots: plots as u64 })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Worked outside the program; the flat radii are those of common plot tables (common practice, no
    /// source).
    #[test]
    fn radii_of_the_usual_plots() {
        for (plan_area_ha, slope_deg, radius_m) in [
            (0.005, 0.0, 3.99),
            (0.01, 0.0, 5.64),
            (0.02, 0.0, 7.98),
            (0.04, 0.0, 11.28),
            (0.01, 30.0, 6.06),
        ] {
            let found = plot_radius_m(plan_area_ha, slope_deg).unwrap();
            assert!(
                (found - radius_m).abs() <= 0.005,
                "{plan_area_ha} ha at {slope_deg}°: {found}"
            );
        }
    }

    /// Source: Cochran 1977, as textbooks repeat it: 385 for 5 points and 1,068 for 3 points at 95 % and
    /// the worst case of one half (from memory).
    #[test]
    fn sample_sizes_of_the_textbooks() {
        for (half_width, plants) in [(0.05, 385), (0.03, 1_068)] {
            let needed = plots_needed(half_width, 0.5, 0.95, 1_000.0, 0.01).unwrap();
            assert_eq!((needed.plants, needed.plots), (plants, u64::div_ceil(plants, 10)));
        }
    }

    #[test]
    fn what_is_no_plot_is_refused() {
        for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(plot_radius_m(wrong, 10.0), None);
            assert_eq!(plot_plan_area_ha(wrong, 10.0), None);
            assert_eq!(plots_needed(wrong, 0.8, 0.95, 1_000.0, 0.01), None);
            assert_eq!(plots_needed(0.05, wrong, 0.95, 1_000.0, 0.01), None);
            assert_eq!(plots_needed(0.05, 0.8, wrong, 1_000.0, 0.01), None);
            assert_eq!(plots_needed(0.05, 0.8, 0.95, wrong, 0.01), None);
            assert_eq!(plots_needed(0.05, 0.8, 0.95, 1_000.0, wrong), None);
        }
        for slope_deg in [-0.1, 90.0, f64::NAN] {
            assert_eq!(plot_radius_m(0.01, slope_deg), None);
            assert_eq!(plot_plan_area_ha(5.0, slope_deg), None);
        }
        assert_eq!(plots_needed(1e-12, 0.8, 0.95, 1_000.0, 0.01), None);
    }

    proptest! {
        #[test]
        fn radius_and_area_are_inverse(plan_area_ha in 1e-4..1.0_f64, slope_deg in 0.0..80.0_f64) {
            let radius = plot_radius_m(plan_area_ha, slope_deg).unwrap();
            let back = plot_plan_area_ha(radius, slope_deg).unwrap();
            prop_assert!((back / plan_area_ha - 1.0).abs() < 1e-12);
        }

        /// Slow twin: squares of map on a fine grid whose middles, on the slope, lie within the tape.
        #[test]
        fn the_area_is_that_of_squares_counted_on_the_map(
            radius in 3.0..12.0_f64, slope_deg in 0.0..60.0_f64,
        ) {
            let side = radius / 100.0;
            let stretch = 1.0 / slope_deg.to_radians().cos();
            let at = |step: i32| (f64::from(step) + 0.5) * side;
            let squares: usize = (-100..100)
                .map(|row| {
                    let down = at(row) * stretch; // along the fall line
                    (-100..100).filter(|col| down.hypot(at(*col)) <= radius).count()
                })
                .sum();
            let counted_ha = squares as f64 * side * side / M2_PER_HA;
            let found = plot_plan_area_ha(radius, slope_deg).unwrap();
            prop_assert!((counted_ha / found - 1.0).abs() < 0.01, "{counted_ha} and {found}");
        }

        /// The half-width that the least number of plants gives is within the wanted one, one fewer not.
        #[test]
        fn the_number_of_plants_is_the_least(
            half_width in 0.01..0.3_f64, survival in 0.05..0.95_f64, confidence in 0.5..0.99_f64,
        ) {
            let needed = plots_needed(half_width, survival, confidence, 1_100.0, 0.01).unwrap();
            let z = normal_quantile(confidence).unwrap();
            let half = |plants: u64| z * (survival * (1.0 - survival) / plants as f64).sqrt();
            prop_assert!(half(needed.plants) <= half_width * (1.0 + 1e-12));
            prop_assert!(needed.plants == 1 || half(needed.plants - 1) > half_width * (1.0 - 1e-12));
            prop_assert!(needed.plots as f64 * 11.0 >= needed.plants as f64 - 1e-6);
        }
    }
}
