//! A second opinion: soil washed off by sheet and rill, relative to today.

/// What a cover lets pass of the soil that would be lost from bare ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoverFactor {
    /// Of ground under grass.
    pub grass: f64,
    /// Of ground under scrub or forest.
    pub woody: f64,
}

impl CoverFactor {
    /// Grass 0.01, scrub and forest 0.005 of bare ground (universal soil loss form for New Zealand, Dymond
    /// 2010; from memory, to be verified).
    pub const USUAL: Self = Self { grass: 0.01, woody: 0.005 };

    /// Of ground of which a share is under scrub, the rest under grass.
    #[must_use]
    pub fn at(self, woody_share: f64) -> f64 {
        let woody = woody_share.clamp(0.0, 1.0);
        self.grass * (1.0 - woody) + self.woody * woody
    }
}

/// Soil washed off under a later cover over that under an earlier one, summed over pieces of ground.
///
/// Each piece is its area, its LS (slope length and steepness, Renard et al. 1997), and the woody
/// share earlier and later. Rain and soil are the same at both times and fall out. `None` where there is
/// nothing to wash off. Sheet and rill alone: most soil of steep hills goes by slips, of which this says
/// nothing; LS was fitted to gentler slopes than most here.
///
/// ```
/// use cover::{CoverFactor, relative_soil_loss};
/// let halved = relative_soil_loss([(1.0, 5.0, 0.0, 1.0)], CoverFactor::USUAL);
/// assert_eq!(halved, Some(0.5));
/// ```
#[must_use]
pub fn relative_soil_loss(
    pieces: impl IntoIterator<Item = (f64, f64, f64, f64)>,
    factor: CoverFactor,
) -> Option<f64> {
    let (mut before, mut after) = (0.0, 0.0);
    for (area, ls, earlier, later) in pieces {
        before += area * ls * factor.at(earlier);
        after += area * ls * factor.at(later);
    }
    (before > 0.0).then(|| after / before)
}
