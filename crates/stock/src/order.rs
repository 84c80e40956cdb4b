//! Suitability orders from fit.

use std::fmt;

use serde::Serialize;
use thiserror::Error;

/// Suitability of a place for a stock, best first.
///
/// Source of the names: FAO 1976, A Framework for Land Evaluation, Soils Bulletin 32 (there S1 to
/// S3 are classes of order S, beside order N).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum FitOrder {
    /// Highly suitable.
    S1,
    /// Moderately suitable.
    S2,
    /// Marginally suitable.
    S3,
    /// Not suitable.
    N,
}

impl FitOrder {
    /// Every order, best first.
    pub const ALL: [Self; 4] = [Self::S1, Self::S2, Self::S3, Self::N];

    /// As it is written: `S1`, `S2`, `S3` or `N`.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::S1 => "S1",
            Self::S2 => "S2",
            Self::S3 => "S3",
            Self::N => "N",
        }
    }

    /// In words, such as `moderately suitable`.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::S1 => "highly suitable",
            Self::S2 => "moderately suitable",
            Self::S3 => "marginally suitable",
            Self::N => "not suitable",
        }
    }
}

impl fmt::Display for FitOrder {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

/// The fits at which S1, S2 and S3 begin.
///
/// FAO 1976, A Framework for Land Evaluation, Soils Bulletin 32, names the orders and sets no edges.
/// The default, 0.8, 0.4 and 0.2, reads fit as the share of the best attainable yield, with the
/// percentages 80, 40 and 20 of FAO 1983, Guidelines: land evaluation for rainfed agriculture,
/// Soils Bulletin 52 (percentages from memory).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FitEdges([f64; 3]);

/// Why three numbers are no edges.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[error("fit edges {0:?} must fall from S1 to S3 within 0 to 1")]
pub struct FitEdgesError(pub [f64; 3]);

impl FitEdges {
    /// Where the orders and the usual edges come from, for plans and pages.
    pub const SOURCE: &str = "orders: FAO 1976, A Framework for Land Evaluation, which sets no edges; \
        0.8, 0.4, 0.2: percentages of the best yield in FAO 1983, Soils Bulletin 52 (from memory); \
        other edges: the site's own";

    /// Edges of S1, S2 and S3: each is the least fit of its order.
    ///
    /// # Errors
    /// [`FitEdgesError`] unless `1 >= S1 > S2 > S3 >= 0`.
    pub fn new(edges: [f64; 3]) -> Result<Self, FitEdgesError> {
        let [s1, s2, s3] = edges;
        if 1.0 >= s1 && s1 > s2 && s2 > s3 && s3 >= 0.0 {
            Ok(Self(edges))
        } else {
            Err(FitEdgesError(edges))
        }
    }

    /// The least fit of S1, S2 and S3.
    #[must_use]
    pub fn edges(&self) -> [f64; 3] {
        self.0
    }

    /// The order of a fit, 0 to 1.
    ///
    /// ```
    /// use stock::{FitEdges, FitOrder};
    /// let edges = FitEdges::default();
    /// assert_eq!(edges.order(0.8), FitOrder::S1);
    /// assert_eq!(edges.order(0.79), FitOrder::S2);
    /// assert_eq!(edges.order(0.0), FitOrder::N);
    /// ```
    #[must_use]
    pub fn order(&self, fit: f64) -> FitOrder {
        let [s1, s2, s3] = self.0;
        if fit >= s1 {
            FitOrder::S1
        } else if fit >= s2 {
            FitOrder::S2
        } else if fit >= s3 {
            FitOrder::S3
        } else {
            FitOrder::N
        }
    }
}

impl Default for FitEdges {
    fn default() -> Self {
        Self([0.8, 0.4, 0.2])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edges_must_fall_within_the_unit() {
        assert!(FitEdges::new([1.0, 0.5, 0.0]).is_ok());
        for wrong in [[0.4, 0.8, 0.2], [0.8, 0.8, 0.2], [1.1, 0.4, 0.2], [0.8, 0.4, -0.1]] {
            assert_eq!(FitEdges::new(wrong), Err(FitEdgesError(wrong)));
        }
        assert_eq!(FitEdges::new([0.75, 0.5, 0.25]).map(|all| all.edges()), Ok([0.75, 0.5, 0.25]));
        assert!(FitEdges::new([f64::NAN, 0.4, 0.2]).is_err());
    }

    #[test]
    fn each_edge_belongs_to_the_better_order() {
        let edges = FitEdges::default();
        let orders = [1.0, 0.8, 0.4, 0.2, 0.199].map(|fit| edges.order(fit).code());
        assert_eq!(orders, ["S1", "S1", "S2", "S3", "N"]);
        assert!(FitOrder::S1 < FitOrder::N);
    }
}
