//! Planted ground: discs of several plantings together.

use crate::{AgeCurve, Pattern, covered_share};

/// How the disc of a plant grows.
#[derive(Debug, Clone, PartialEq)]
pub struct Growth {
    /// Radius by age on the map, metres.
    pub radius_m: AgeCurve,
    /// What share of that radius plants reach on this ground, such as old slip scars.
    pub share: f64,
}

impl Growth {
    /// Radius at an age in years, metres.
    #[must_use]
    pub fn at(&self, age: f64) -> f64 {
        self.radius_m.at(age) * self.share
    }
}

/// Plants of one line that went in together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Planting {
    /// Year of the winter in which they are planted, counted from any year.
    pub year: f64,
    /// Plants on a map hectare of the ground that is open to planting.
    pub planted_per_ha: f64,
    /// Share of them that lives.
    pub alive: f64,
}

/// Share of open ground under the discs of several plantings in a year, 0 to 1.
///
/// Plantings are taken to stand independently of each other: bare ground is bare under each. For lines
/// that share one lattice that is close and on the low side, for their places keep apart from each other.
///
/// ```
/// use cover::{AgeCurve, Growth, Pattern, Planting, shared_cover};
/// let growth = Growth { radius_m: AgeCurve::new(&[(5.0, 0.8), (10.0, 1.4)])?, share: 1.0 };
/// let planting = Planting { year: 0.0, planted_per_ha: 1_111.0, alive: 0.8 };
/// let ten = shared_cover(&[planting], &growth, Pattern::Square, 10.0);
/// assert!((ten - 0.54).abs() < 0.02, "{ten}");
/// # Ok::<(), cover::AgeCurveError>(())
/// ```
#[must_use]
pub fn shared_cover(plantings: &[Planting], growth: &Growth, pattern: Pattern, year: f64) -> f64 {
    let bare = plantings.iter().fold(1.0, |bare, planting| {
        let radius_m = growth.at(year - planting.year);
        bare * (1.0
            - covered_share(pattern, radius_m, planting.planted_per_ha / 1e4, planting.alive))
    });
    1.0 - bare
}
