//! What the sheets are drawn from. Normalised DHA is in mg/kg at 80 °Brix, sugar in mg a flower.

/// Mean of normalised DHA.
pub(crate) const MEAN: f64 = 5_200.0;
/// Standard deviation between stands.
pub(crate) const STAND_SD: f64 = 500.0;
/// Between trees of a stand.
pub(crate) const TREE_SD: f64 = 1_700.0;
/// Between flowering seasons.
pub(crate) const YEAR_SD: f64 = 400.0;
/// Of one sample.
pub(crate) const ERROR_SD: f64 = 1_300.0;
/// Samples and trees below this are drawn again.
pub(crate) const LEAST: f64 = 500.0;

/// Mean of sugar a flower.
pub(crate) const SUGAR_MEAN_MG: f64 = 0.95;
/// Standard deviation between trees.
pub(crate) const SUGAR_TREE_SD_MG: f64 = 0.20;
/// Of one sample.
pub(crate) const SUGAR_ERROR_SD_MG: f64 = 0.15;
/// Least sugar of a sample.
pub(crate) const SUGAR_LEAST_MG: f64 = 0.25;
/// Correlation between trees of sugar a flower with DHA beside sugar.
pub(crate) const CORRELATION: f64 = -0.25;

/// Trees that bore no nectar in reach.
pub(crate) const NOT_SAMPLED: usize = 7;
/// Trees sampled again in the second season.
pub(crate) const SAMPLED_AGAIN: usize = 33;
/// Trees sampled twice on one day, in either season.
pub(crate) const TWICE_A_DAY: usize = 4;
/// What the laboratory can tell, µg of DHA a flower.
pub(crate) const LIMIT_UG: f64 = 1.6;

/// Trees that are stunted, and trees that are diseased: two of each.
pub(crate) const POOR: usize = 2;
