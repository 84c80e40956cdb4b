//! What a survey is held to.

use std::num::NonZeroU64;

use serde::Serialize;

/// Which figure of the plan went into the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Planted {
    /// `seedlings`: the spots of the plan, one plant each.
    Seedlings,
    /// `order_qty`: the whole order, losses included.
    OrderQty,
}

/// What a survey is held to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurveyRules {
    /// Confidence of the intervals, between 0 and 1.
    pub confidence: f64,
    /// Share of the target below which gaps are planted again, over 0 to 1.
    pub threshold: f64,
    /// Chance with which a blanking order reaches its target, between 0 and 1.
    pub order_confidence: f64,
    /// Fewer plants counted than this, in one zone of one line, are warned of.
    pub least_counted: u64,
    /// Which figure of the plan went into the ground.
    pub planted: Planted,
    /// Winter that is counted; `None`: all of the plan.
    pub season: Option<i32>,
    /// Plants in a tray.
    pub tray: NonZeroU64,
    /// Spares, as a share of the plants needed, from 0 up.
    pub spare: f64,
}

impl Default for SurveyRules {
    /// - `confidence` 0.95: custom;
    /// - `threshold` 0.80 and `least_counted` 30: common practice, no source;
    /// - `order_confidence` 0.9: our choice, no source;
    /// - single plants without spares.
    fn default() -> Self {
        Self {
            confidence: 0.95,
            threshold: tally::USUAL_THRESHOLD,
            order_confidence: 0.9,
            least_counted: 30,
            planted: Planted::Seedlings,
            season: None,
            tray: NonZeroU64::MIN,
            spare: 0.0,
        }
    }
}
