//! How far things may be off.

/// How far things may be off: standard deviations and chances.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spreads {
    /// Of survival everywhere at once, on the log-odds scale: a dry summer, a bad year of browsing.
    pub survival_year: f64,
    /// Of survival of each line, on the same scale.
    pub survival_line: f64,
    /// Of survival of each zone, on the same scale.
    pub survival_zone: f64,
    /// Of slope everywhere at once, degrees.
    pub slope_deg: f64,
    /// Of the slope of each zone, degrees.
    pub slope_zone_deg: f64,
    /// Of map areas everywhere at once, as a share.
    pub area: f64,
    /// Chance that a line is not delivered whole.
    pub short_chance: f64,
    /// Least share that is then delivered; it lies evenly between this and all.
    pub short_least: f64,
    /// Chance that a planting winter is lost, and everything in it waits a year.
    pub winter_chance: f64,
    /// Of the date of bloom of all lines at once, days.
    pub bloom_days: f64,
    /// Of the date of bloom of each line, days.
    pub bloom_line_days: f64,
    /// Of the radius of crowns everywhere at once, as a share.
    pub growth: f64,
    /// Of the worth of a line on a zone, as a share: what fit cannot tell.
    pub worth: f64,
}

impl Spreads {
    /// Nothing is off.
    pub const NONE: Self = Self {
        survival_year: 0.0,
        survival_line: 0.0,
        survival_zone: 0.0,
        slope_deg: 0.0,
        slope_zone_deg: 0.0,
        area: 0.0,
        short_chance: 0.0,
        short_least: 1.0,
        winter_chance: 0.0,
        bloom_days: 0.0,
        bloom_line_days: 0.0,
        growth: 0.0,
        worth: 0.0,
    };
}
