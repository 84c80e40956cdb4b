//! Hours in which bees fly, day by day.

use stock::YearDay;

use crate::FlightRule;

/// Days of the year that is reckoned with.
pub const YEAR_DAYS: usize = YearDay::YEAR_DAYS as usize;

/// Days over which flying hours are averaged before a day is said to have flying weather or none.
const SMOOTHED_DAYS: usize = 7;

/// Hours to expect on each day of a usual year at one height, 1 January first.
#[derive(Debug, Clone, PartialEq)]
pub struct FlyingYear {
    /// Hours from sunrise to sunset.
    pub daylight_h: Vec<f64>,
    /// Hours in which bees fly.
    pub flying_h: Vec<f64>,
    /// Of those, hours warm enough for nectar to flow well.
    pub flow_h: Vec<f64>,
}

impl FlyingYear {
    /// A year without daylight.
    pub(crate) fn dark() -> Self {
        let none = || vec![0.0; YEAR_DAYS];
        Self { daylight_h: none(), flying_h: none(), flow_h: none() }
    }

    /// Flying hours about a day: the mean of the week around it, so that single days of a short record do
    /// not decide.
    #[must_use]
    pub fn smoothed_h(&self, day: YearDay) -> f64 {
        let first = usize::from(day.get()) - 1 + YEAR_DAYS - SMOOTHED_DAYS / 2;
        let week = (first..first + SMOOTHED_DAYS).map(|at| self.flying_h[at % YEAR_DAYS]);
        week.sum::<f64>() / SMOOTHED_DAYS as f64
    }

    /// Whether a day has flying weather in a usual year.
    #[must_use]
    pub fn has_flying(&self, day: YearDay, rule: &FlightRule) -> bool {
        // Sums of one week in another order may differ in the last digit.
        self.smoothed_h(day) >= rule.day_hours - 1e-9
    }
}
