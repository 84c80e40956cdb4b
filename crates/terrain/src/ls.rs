//! The slope length and steepness factor of the revised universal soil loss equation.

use rayon::prelude::*;

use crate::{GridError, Raster};

/// Length of the unit plot, 72.6 feet, metres.
const UNIT_PLOT_M: f64 = 22.13;

/// Sine of the unit plot's slope, 9 %.
const UNIT_PLOT_SINE: f64 = 0.0896;

/// Slopes shorter than 15 feet have a steepness factor of their own, metres.
const SHORT_M: f64 = 4.572;

/// Usual limit of a slope length, 400 feet, metres; over 1,000 feet (305 m) is not advised.
/// Source: Renard et al. 1997, Agriculture Handbook 703, chapter 4.
pub const USUAL_LONGEST_SLOPE_M: f64 = 122.0;

/// How much rill erosion there is beside interrill erosion.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum RillRatio {
    /// Little, as on rangeland: half the moderate ratio.
    Low,
    /// As on cropland.
    #[default]
    Moderate,
    /// Much, as on freshly disturbed, steep ground: twice the moderate ratio.
    High,
}

/// A form of the factor on a grid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LsForm {
    /// The slope-length form for a cell with the area that drains into it (Desmet & Govers 1996),
    /// with the factors of Agriculture Handbook 703.
    SlopeLength {
        /// Rill erosion beside interrill erosion.
        rill: RillRatio,
        /// Longest slope length that counts, metres.
        longest_m: f64,
    },
    /// The unit-stream-power form, (a / 22.13)^0.4 (sin β / 0.0896)^1.3 (Moore & Burch 1986).
    StreamPower {
        /// Longest slope length that counts, metres: the specific area `a` goes no higher.
        longest_m: f64,
    },
}

/// The steepness factor S of a slope that is at least 15 feet long.
///
/// 10.8 sin θ + 0.03 below a slope of 9 %, 16.8 sin θ − 0.50 from there.
///
/// # References
/// McCool et al. 1987, Revised slope steepness factor for the universal soil loss equation.
#[must_use]
pub fn steepness_factor(slope_deg: f64) -> f64 {
    let slope = slope_deg.to_radians();
    if slope.tan() < 0.09 { 10.8 * slope.sin() + 0.03 } else { 16.8 * slope.sin() - 0.50 }
}

/// The exponent m of the length factor.
///
/// # References
/// McCool et al. 1989, Revised slope length factor for the universal soil loss equation.
#[must_use]
pub fn length_exponent(slope_deg: f64, rill: RillRatio) -> f64 {
    let sine = slope_deg.to_radians().sin();
    let moderate = (sine / UNIT_PLOT_SINE) / (3.0 * sine.powf(0.8) + 0.56);
    let ratio = match rill {
        RillRatio::Low => 0.5 * moderate,
        RillRatio::Moderate => moderate,
        RillRatio::High => 2.0 * moderate,
    };
    ratio / (1.0 + ratio)
}

/// LS of a single uniform slope.
///
/// `length_m` is measured along the map. L = (λ / 22.13 m)^m; S as [`steepness_factor`] says. Below
/// 15 feet (4.572 m), where rills hardly form, L stays what it is there and S is at most
/// 3.0 (sin θ)^0.8 + 0.56: so the handbook's table begins, at 3 feet. (From there to 15 feet the
/// table rises on slopes over 8 %, by up to 0.27 at 14 %; this keeps the first value.)
///
/// ```
/// use terrain::{RillRatio, slope_ls};
/// let ten_percent = 0.1_f64.atan().to_degrees();
/// let ls = slope_ls(ten_percent, 30.48, RillRatio::Moderate); // 100 feet
/// assert!((ls - 1.38).abs() < 0.005);
/// ```
///
/// # References
/// Renard et al. 1997, Predicting soil erosion by water (Agriculture Handbook 703), chapter 4.
#[must_use]
pub fn slope_ls(slope_deg: f64, length_m: f64, rill: RillRatio) -> f64 {
    let steepness = steepness_factor(slope_deg);
    let steepness = if length_m < SHORT_M {
        steepness.min(3.0 * slope_deg.to_radians().sin().powf(0.8) + 0.56)
    } else {
        steepness
    };
    let length = length_m.max(SHORT_M) / UNIT_PLOT_M;
    length.powf(length_exponent(slope_deg, rill)) * steepness
}

/// LS of each cell, from the ground that drains into it.
///
/// # Limits
/// A secondary layer. The steepness measurements behind it reach slopes of about 18 %; on hill
/// country it is carried far beyond them. It speaks of sheet and rill erosion alone: on steep
/// pasture most soil is lost in landslides, of which it knows nothing. Slope thresholds and cover
/// come first.
///
/// # Units
/// `flow_area_m2` with the cell's own area, as [`flow_area_m2`](crate::flow_area_m2) gives it; slope
/// and aspect in degrees; the result has none. On cells that are not square the side is that of
/// a square of the same area.
///
/// # Holes
/// A hole where flow area or slope is one. Ground without an aspect is level, and the way water
/// crosses it counts as straight.
///
/// # Errors
/// [`GridError::Mismatch`] when the layers lie on different grids; [`GridError::Setting`] when the
/// longest length is not above 0.
///
/// # Cost
/// A handful of powers a cell; all cores.
///
/// # References
/// Desmet & Govers 1996, A GIS procedure for automatically calculating the USLE LS factor on
/// topographically complex landscape units; Moore & Burch 1986, Physical basis of the length-slope
/// factor in the universal soil loss equation; Renard et al. 1997 (see [`slope_ls`]).
pub fn ls_factor(
    flow_area_m2: &Raster<f32>,
    slope_deg: &Raster<f32>,
    aspect_deg: &Raster<f32>,
    form: LsForm,
) -> Result<Raster<f32>, GridError> {
    flow_area_m2.same_grid(slope_deg)?;
    slope_deg.same_grid(aspect_deg)?;
    let (LsForm::SlopeLength { longest_m, .. } | LsForm::StreamPower { longest_m }) = form;
    if longest_m.is_nan() || longest_m <= 0.0 {
        let expected = "metres above 0";
        return Err(GridError::Setting {
            what: "longest slope length",
            value: longest_m,
            expected,
        });
    }
    let grid = *slope_deg.grid();
    let side = grid.cell_area().sqrt();
    let mut factor = Raster::filled(grid, 0.0_f32);
    factor
        .cells_mut()
        .par_iter_mut()
        .zip(flow_area_m2.cells())
        .zip(slope_deg.cells().par_iter().zip(aspect_deg.cells()))
        .with_min_len(4096)
        .for_each(|((factor, area), (slope, aspect))| {
            let [area, slope, aspect] = [*area, *slope, *aspect].map(f64::from);
            *factor = if area.is_nan() || slope.is_nan() {
                f32::NAN
            } else {
                form.of_cell(area, slope, aspect, side) as f32
            };
        });
    Ok(factor)
}

impl LsForm {
    fn of_cell(self, area_m2: f64, slope_deg: f64, aspect_deg: f64, side_m: f64) -> f64 {
        match self {
            Self::SlopeLength { rill, longest_m } => {
                let crossing = contour_crossing(aspect_deg);
                let longest_m2 = (longest_m * side_m * crossing).max(side_m * side_m);
                let inflow_m2 = area_m2.min(longest_m2) - side_m * side_m;
                let exponent = length_exponent(slope_deg, rill);
                length_factor(inflow_m2.max(0.0), side_m, crossing, exponent)
                    * steepness_factor(slope_deg)
            }
            Self::StreamPower { longest_m } => {
                stream_power((area_m2 / side_m).min(longest_m), slope_deg)
            }
        }
    }
}

/// How much contour water crosses in a cell, in cell sides: 1 straight, √2 along the diagonal.
fn contour_crossing(aspect_deg: f64) -> f64 {
    let (sine, cosine) = aspect_deg.to_radians().sin_cos();
    if aspect_deg.is_nan() { 1.0 } else { sine.abs() + cosine.abs() }
}

/// L = [(A + D²)^(m+1) − A^(m+1)] / (D^(m+2) x^m 22.13^m) for inflow area A, side D, crossing x.
fn length_factor(inflow_m2: f64, side_m: f64, crossing: f64, exponent: f64) -> f64 {
    let power = exponent + 1.0;
    let rise = (inflow_m2 + side_m * side_m).powf(power) - inflow_m2.powf(power);
    rise / (side_m.powf(exponent + 2.0) * (crossing * UNIT_PLOT_M).powf(exponent))
}

fn stream_power(specific_area_m: f64, slope_deg: f64) -> f64 {
    let steepness = slope_deg.to_radians().sin() / UNIT_PLOT_SINE;
    (specific_area_m / UNIT_PLOT_M).powf(0.4) * steepness.powf(1.3)
}

#[cfg(test)]
mod tests {
    use super::*;

    const FEET: f64 = 0.3048;

    fn degrees(percent: f64) -> f64 {
        (percent / 100.0).atan().to_degrees()
    }

    /// Renard et al. 1997, Agriculture Handbook 703, Table 4-2 (moderate ratio), as far as it was to
    /// be had: slope in per cent, then LS at these lengths in feet.
    const LENGTHS_FEET: [f64; 13] =
        [15.0, 25.0, 50.0, 75.0, 100.0, 150.0, 200.0, 250.0, 300.0, 400.0, 600.0, 800.0, 1000.0];
    #[rustfmt::skip]
    const TABLE: [(f64, &[f64]); 12] = [
        (0.2, &[0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.05, 0.06, 0.06, 0.06]),
        (0.5, &[0.07, 0.08, 0.08, 0.08, 0.09, 0.09, 0.09, 0.09, 0.09, 0.10, 0.10, 0.10, 0.10]),
        (1.0, &[0.11, 0.12, 0.13, 0.14, 0.14, 0.15, 0.16, 0.17, 0.17, 0.18, 0.19, 0.20, 0.20]),
        (2.0, &[0.17, 0.19, 0.22, 0.25, 0.27, 0.29, 0.31, 0.33, 0.35, 0.37, 0.41, 0.44, 0.47]),
        (3.0, &[0.22, 0.25, 0.32, 0.36, 0.39, 0.44, 0.48, 0.52, 0.55, 0.60, 0.68, 0.75, 0.80]),
        (4.0, &[0.26, 0.31, 0.40, 0.47, 0.52, 0.60, 0.67, 0.72, 0.77, 0.86, 0.99, 1.10, 1.19]),
        (5.0, &[0.30, 0.37, 0.49, 0.58, 0.65, 0.76, 0.85, 0.93, 1.01, 1.13, 1.33, 1.49, 1.63]),
        (6.0, &[0.34, 0.43, 0.58, 0.69, 0.78, 0.93, 1.05, 1.16, 1.25, 1.42, 1.69, 1.91, 2.11]),
        (8.0, &[0.42, 0.53, 0.74, 0.91, 1.04, 1.26, 1.45, 1.62, 1.77, 2.03, 2.47, 2.83, 3.15]),
        (10.0, &[0.52, 0.67, 0.97, 1.19, 1.38, 1.71, 1.98, 2.22, 2.44, 2.84, 3.50, 4.06, 4.56]),
        #[expect(clippy::approx_constant, reason = "6.28 is printed")]
        (12.0, &[0.64, 0.84, 1.23, 1.53, 1.79, 2.23, 2.61, 2.95, 3.26, 3.81, 4.75, 5.56, 6.28]),
        (14.0, &[0.75, 1.00, 1.48, 1.86, 2.19, 2.76]),
    ];

    #[test]
    fn every_published_cell_comes_out() {
        let mut beyond_fifteen_feet = 0;
        for (percent, row) in TABLE {
            for (feet, published) in LENGTHS_FEET.into_iter().zip(row) {
                let found = slope_ls(degrees(percent), feet * FEET, RillRatio::Moderate);
                assert!((found - published).abs() <= 0.0055, "{percent} %, {feet} ft: {found}");
                beyond_fifteen_feet += usize::from(feet > 15.0);
            }
        }
        assert_eq!(beyond_fifteen_feet, 137);
    }

    /// The same table's first column, under 3 feet; up to 8 % it is the one of 15 feet.
    #[test]
    fn short_slopes_have_their_own_steepness() {
        let steep = [(10.0, 0.46), (12.0, 0.47), (14.0, 0.48)];
        let gentle = TABLE.iter().map(|(percent, row)| (*percent, row[0])).take(9);
        for (percent, published) in gentle.chain(steep) {
            let found = slope_ls(degrees(percent), 2.9 * FEET, RillRatio::Moderate);
            assert!((found - published).abs() <= 0.0055, "{percent} %: {found}");
        }
    }

    /// Values worked out from the published equations, by hand with four figures.
    #[test]
    fn parts_of_the_equation_are_as_worked_out() {
        let percents = [5.0, 9.0, 10.0, 20.0, 30.0, 50.0];
        let exponents = [0.4009, 0.5012, 0.5179, 0.6142, 0.6581, 0.7003];
        let steepness = [0.5693, 1.0059, 1.1717, 2.7948, 4.3274, 7.0132];
        for ((percent, exponent), steepness) in percents.into_iter().zip(exponents).zip(steepness) {
            let slope = degrees(percent);
            assert!((length_exponent(slope, RillRatio::Moderate) - exponent).abs() < 1e-4);
            let beta = exponent / (1.0 - exponent);
            let low = length_exponent(slope, RillRatio::Low);
            assert!((low / (1.0 - low) - 0.5 * beta).abs() < 5e-4);
            // 9 % itself may fall on either side of the jump between the two lines.
            let found = steepness_factor(slope + 1e-9);
            assert!((found - steepness).abs() < 1e-4, "{percent} %: {found}");
        }
        for (slope, steepness) in
            [(15.0, 3.848), (20.0, 5.246), (25.0, 6.600), (28.0, 7.387), (35.0, 9.136)]
        {
            assert!((steepness_factor(slope) - steepness).abs() < 5e-4);
            assert!((slope_ls(slope, UNIT_PLOT_M, RillRatio::High) - steepness).abs() < 5e-4);
        }
    }

    /// Values worked out from Desmet & Govers 1996 and Moore & Burch 1986.
    #[test]
    fn grid_forms_are_as_worked_out() {
        let exponent = length_exponent(20.0, RillRatio::Moderate);
        assert!((exponent - 0.6757).abs() < 1e-4);
        for (inflow, length) in
            [(0.0, 0.5846), (100.0, 1.2832), (1000.0, 4.7987), (10_000.0, 22.0826)]
        {
            let found = length_factor(inflow, 10.0, 1.0, exponent);
            assert!((found - length).abs() < 1e-4 * length.max(1.0), "{inflow} m²: {found}");
        }
        for (slope, ls) in [(10.0, 4.321), (20.0, 10.430), (28.0, 15.743), (35.0, 20.426)] {
            assert!((stream_power(100.0, slope) - ls).abs() < 1e-3);
        }
    }
}
