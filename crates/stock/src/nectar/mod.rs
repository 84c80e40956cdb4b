//! What the nectar of a stock promises: dihydroxyacetone (DHA), its classes and conversions.

mod class;
mod honey;
mod outlook;
mod sugar;

pub use class::{NectarBand, NectarClass};
pub use honey::{
    DHA_G_PER_MOL, MGO_CEILING, MGO_G_PER_MOL, Mgo, NPA_ASSAY_FLOOR, NonPeroxideActivity,
};
pub use outlook::{FRESH_SHARE, HoneyOutlook, MGO_YIELD, SETTLED_DHA_TO_MGO};
pub use sugar::{DhaRatio, NormalisedDha};

/// Nectar of a stock, measured tree by tree.
///
/// Trees differ more than sites do: 40 to 70 % of the variance of most nectar traits lies among
/// plants of a site ("Floral nectar of wild mānuka varies more among plants than among sites"). So
/// a mean is told with its spread and the number of trees, and samples are never pooled.
///
/// ```
/// use stock::nectar::{DhaRatio, Nectar};
/// let line = Nectar { ratio_mean: DhaRatio::new(0.0132).ok_or("a ratio")?, ratio_sd: Some(0.0053), trees: Some(10) };
/// assert_eq!(line.normalised().mg_per_kg().round(), 10_560.0);
/// assert!((line.relative_error().ok_or("known")? - 0.127).abs() < 0.001);
/// # Ok::<(), &str>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nectar {
    /// Mean over trees of DHA over total sugar, mg/mg.
    pub ratio_mean: DhaRatio,
    /// Standard deviation over trees of that ratio, mg/mg.
    pub ratio_sd: Option<f64>,
    /// Trees that were measured, one sample each.
    pub trees: Option<u32>,
}

impl Nectar {
    /// The mean at 80 °Brix.
    #[must_use]
    pub fn normalised(&self) -> NormalisedDha {
        self.ratio_mean.normalised()
    }

    /// The class of the mean.
    #[must_use]
    pub fn class(&self) -> NectarClass {
        NectarClass::of(self.ratio_mean)
    }

    /// The band of the mean, finer than the class at the upper end.
    #[must_use]
    pub fn band(&self) -> NectarBand {
        NectarBand::of(self.ratio_mean.normalised())
    }

    /// Standard error of the mean, mg/mg: the deviation over the root of the number of trees.
    #[must_use]
    pub fn ratio_error(&self) -> Option<f64> {
        let trees = self.trees.filter(|trees| *trees > 0)?;
        Some(self.ratio_sd? / f64::from(trees).sqrt())
    }

    /// Standard error over the mean, 0 and up; `None` when it is not known or the mean is 0.
    #[must_use]
    pub fn relative_error(&self) -> Option<f64> {
        let mean = self.ratio_mean.mg_per_mg();
        self.ratio_error().filter(|_| mean > 0.0).map(|error| error / mean)
    }
}
