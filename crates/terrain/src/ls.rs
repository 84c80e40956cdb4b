//! How much more soil rain washes off by the length and steepness of the slope.

use rayon::prelude::*;

use crate::{GridError, Raster};

/// Length of the plot that the factor is 1 on, metres (72.6 feet).
const UNIT_PLOT_M: f64 = 22.13;

/// Sine of the slope of about 9 % that the unit plot has.
const UNIT_PLOT_SINE: f64 = 0.0896;

/// Fall a metre from which the steeper of the two straight lines for S holds.
const STEEP: f64 = 0.09;

/// Slope lengths between which S goes over from short slopes to long ones: 3 and 15 feet in metres.
const SHORT_M: [f64; 2] = [3.0 * 0.3048, 15.0 * 0.3048];

/// How much of the wash is in rills, compared with the ground between them.
///
/// Source: `McCool` et al. 1989, Revised slope length factor for the Universal Soil Loss Equation;
/// Renard et al. 1997, Agriculture Handbook 703, chapter 4.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum RillRatio {
    /// Ground that hardly rills: pasture and other settled cover.
    Low,
    /// Between the two.
    #[default]
    Moderate,
    /// Ground that rills readily: freshly worked.
    High,
}

impl RillRatio {
    fn times(self) -> f64 {
        match self {
            Self::Low => 0.5,
            Self::Moderate => 1.0,
            Self::High => 2.0,
        }
    }
}

/// A slope that is as steep from top to bottom, and its LS.
///
/// L = (λ ÷ 22.13 m)^m with m = β ÷ (1 + β) and
/// β = (sin θ ÷ 0.0896) ÷ (3 (sin θ)^0.8 + 0.56) × 0.5, 1 or 2 by [`RillRatio`];
/// S = 10.8 sin θ + 0.03 below a fall of 9 %, 16.8 sin θ − 0.5 from there (a jump of 0.008);
/// on slopes of up to 3 feet S = 3 (sin θ)^0.8 + 0.56 where that is less, with L as at 15 feet.
/// From 3 to 15 feet LS rises by a power of the length between the two, which is read off the
/// handbook's printed table rather than stated in it.
///
/// ```
/// use terrain::{RillRatio, UniformSlope};
/// // 10 % over 100 feet: 1.38 in the handbook's table.
/// let slope = UniformSlope { fall_per_m: 0.10, rills: RillRatio::Moderate };
/// assert!((slope.ls(30.48) - 1.38).abs() < 0.005);
/// ```
///
/// # References
/// `McCool` et al. 1987, Revised slope steepness factor for the Universal Soil Loss Equation; `McCool`
/// et al. 1989; Renard et al. 1997, Predicting soil erosion by water, USDA Agriculture Handbook
/// 703, chapter 4.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UniformSlope {
    /// Fall a metre of map, tan θ: 0.09 for 9 %.
    pub fall_per_m: f64,
    /// How readily the ground rills.
    pub rills: RillRatio,
}

impl UniformSlope {
    fn sine(self) -> f64 {
        self.fall_per_m / self.fall_per_m.hypot(1.0)
    }

    /// β, the wash in rills over the wash between them.
    #[must_use]
    pub fn rill_to_interrill(self) -> f64 {
        self.rills.times() * self.sine() / UNIT_PLOT_SINE / short_steepness(self.sine())
    }

    /// m, the power of the length.
    #[must_use]
    pub fn length_exponent(self) -> f64 {
        let beta = self.rill_to_interrill();
        beta / (1.0 + beta)
    }

    /// S, by the steepness alone, on slopes of 15 feet and more.
    #[must_use]
    pub fn steepness_factor(self) -> f64 {
        // Nine per cent that went through an angle and back is nine per cent.
        let steep = self.fall_per_m >= STEEP * (1.0 - 1e-12);
        if steep { 16.8 * self.sine() - 0.5 } else { 10.8 * self.sine() + 0.03 }
    }

    /// L times S for a horizontal slope length in metres.
    #[must_use]
    pub fn ls(self, length_m: f64) -> f64 {
        let [shortest, short] = SHORT_M;
        let exponent = self.length_exponent();
        let long = (length_m.max(short) / UNIT_PLOT_M).powf(exponent) * self.steepness_factor();
        let part = (short / length_m.max(shortest)).ln() / (short / shortest).ln();
        let less = (short_steepness(self.sine()) / self.steepness_factor()).min(1.0);
        long * less.powf(part.max(0.0))
    }
}

/// 3 (sin θ)^0.8 + 0.56: S on slopes too short to rill.
fn short_steepness(sine: f64) -> f64 {
    3.0 * sine.powf(0.8) + 0.56
}

/// Which formula turns the ground above a cell into LS.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LsForm {
    /// The slope length replaced by the area that drains through the contour line (Desmet & Govers
    /// 1996, A GIS procedure for automatically calculating the USLE LS factor on topographically
    /// complex landscape units), with m and S of [`UniformSlope`].
    ContributingArea {
        /// How readily the ground rills.
        rills: RillRatio,
    },
    /// (aₛ ÷ 22.13 m)^0.4 (sin θ ÷ 0.0896)^1.3 with aₛ the area above a metre of contour (Moore &
    /// Burch 1986, Physical basis of the length-slope factor in the Universal Soil Loss Equation).
    StreamPower,
}

/// The LS factor of each cell: soil loss by sheet and rill wash compared with a slope of 9 %,
/// 22.13 m long, in the same soil, rain and cover.
///
/// ```text
///   contributing area   L = ((A + a)^(m+1) − A^(m+1)) ÷ (a × c^m × 22.13^m), times S
///   stream power        ((A + a) ÷ c ÷ 22.13)^0.4 × (sin θ ÷ 0.0896)^1.3
/// ```
///
/// with `a` the cell's area, `A` the area that flows into it and `c` the contour length that
/// the water crosses: width × |cos aspect| + height × |sin aspect|. On square cells of side D that
/// is the published D² and D (|sin| + |cos|); on others it is the same derivation with the true
/// sides. Where the ground faces nowhere `c` is √a.
///
/// # Cautions
/// A second opinion, not a verdict. The plots that the steepness factor was fitted to reached a
/// fall of only about 18 %, and hill country is mostly steeper: there LS is an extrapolation and
/// ranks at best. It counts soil washed off by sheet and rill flow, not landslides, gullies or
/// stream banks, which move most of the soil on steep hills; a low LS does not make a slope safe.
/// Keep the slope threshold and the age of the cover ahead of it.
///
/// Wash does not go on gathering for ever: `longest_m` caps the slope length ((A + a) ÷ c). Slopes
/// of up to 122 m (400 feet) are usual and of more than 305 m (1000 feet) not advised (Renard et
/// al. 1997, Agriculture Handbook 703, chapter 4); without a cap valley floors come out absurdly
/// high.
///
/// # Units
/// Square metres of plan area, the cell's own included ([`flow_area_m2`]); degrees; the result has none.
///
/// # Holes
/// A hole where flow area or slope has one; the aspect's holes count as level ground.
///
/// # Errors
/// [`GridError::Mismatch`] when the layers lie on different grids; [`GridError::Setting`] when the
/// longest slope is not above 0.
///
/// ```
/// use terrain::{Grid, LsForm, Raster, RillRatio, ls_factor};
/// let grid = Grid::new(1, 1, 0.0, 0.0, 10.0, 10.0)?;
/// let [area, slope, aspect] = [1100.0, 20.0, 90.0].map(|value| Raster::filled(grid, value));
/// let form = LsForm::ContributingArea { rills: RillRatio::Moderate };
/// let ls = ls_factor(&area, &slope, &aspect, form, Some(122.0))?;
/// assert!((ls.at(0, 0) - 25.174).abs() < 0.01); // L 4.7987 × S 5.246
/// # Ok::<(), terrain::GridError>(())
/// ```
///
/// [`flow_area_m2`]: crate::flow_area_m2
pub fn ls_factor(
    flow_area_m2: &Raster<f32>,
    slope_deg: &Raster<f32>,
    aspect_deg: &Raster<f32>,
    form: LsForm,
    longest_m: Option<f64>,
) -> Result<Raster<f32>, GridError> {
    flow_area_m2.same_grid(slope_deg)?;
    flow_area_m2.same_grid(aspect_deg)?;
    let grid = *slope_deg.grid();
    let cell = Cell {
        sides: [grid.cell_width(), grid.cell_height()],
        form,
        longest_m: longest_m.unwrap_or(f64::INFINITY),
    };
    if cell.longest_m.is_nan() || cell.longest_m <= 0.0 {
        let (value, expected) = (cell.longest_m, "metres above 0");
        return Err(GridError::Setting { what: "longest slope", value, expected });
    }
    let mut factor = Raster::filled(grid, f32::NAN);
    let ground = slope_deg.cells().par_iter().zip(aspect_deg.cells());
    let layers = flow_area_m2.cells().par_iter().zip(ground);
    factor.cells_mut().par_iter_mut().zip(layers).with_min_len(1024).for_each(
        |(factor, (&area, (&slope, &aspect)))| {
            if area.is_finite() && slope.is_finite() {
                *factor = cell.ls(f64::from(area), f64::from(slope), f64::from(aspect)) as f32;
            }
        },
    );
    Ok(factor)
}

/// What all cells have in common.
struct Cell {
    sides: [f64; 2],
    form: LsForm,
    longest_m: f64,
}

impl Cell {
    fn ls(&self, flow_area: f64, slope_deg: f64, aspect_deg: f64) -> f64 {
        let contour = self.contour_m(aspect_deg);
        let most = self.longest_m * contour;
        let fall_per_m = slope_deg.to_radians().tan();
        match self.form {
            LsForm::ContributingArea { rills } => {
                let slope = UniformSlope { fall_per_m, rills };
                let own = self.sides[0] * self.sides[1];
                let inflow = (flow_area.min(most) - own).max(0.0);
                slope.steepness_factor()
                    * length_factor(inflow, own, contour, slope.length_exponent())
            }
            LsForm::StreamPower => {
                let length = flow_area.min(most) / contour;
                let sine = slope_deg.to_radians().sin();
                (length / UNIT_PLOT_M).powf(0.4) * (sine / UNIT_PLOT_SINE).powf(1.3)
            }
        }
    }

    /// Contour length that water crosses on its way out of a cell.
    fn contour_m(&self, aspect_deg: f64) -> f64 {
        let [width, height] = self.sides;
        if aspect_deg.is_nan() {
            return (width * height).sqrt();
        }
        let (sin, cos) = aspect_deg.to_radians().sin_cos();
        width * cos.abs() + height * sin.abs()
    }
}

/// L of a cell between the area above it and the area with it.
fn length_factor(inflow: f64, own: f64, contour: f64, m: f64) -> f64 {
    let gained = (inflow + own).powf(m + 1.0) - inflow.powf(m + 1.0);
    gained / (own * (contour * UNIT_PLOT_M).powf(m))
}
