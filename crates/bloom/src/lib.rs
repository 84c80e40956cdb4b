//! Lines in flower held against weather in which bees fly.
//!
//! ```text
//! hours of a station ─► hourly  ┐                 ┌─► figures of a window: days, flying hours, hours of flow
//! normals of a station ─► monthly ┴─► FlyingYear ─┤
//!                        (daylight)               └─► weeks, gaps        discs: how much forage is near
//! ```
//! No model that tells flowering of this genus from temperature is known to us: windows are the user's own, as
//! [`stock::Flowering`] has them, and a year may move them by weeks.
#![forbid(unsafe_code)]

mod calendar;
mod daylight;
mod disc;
mod flying;
mod hourly;
mod monthly;
mod rule;
mod window;

pub use calendar::{CivilDate, day_of_year};
pub use daylight::{Daylight, equation_of_time_min};
pub use disc::{disc_ha, disc_overlap_m2};
pub use flying::{FlyingYear, YEAR_DAYS};
pub use hourly::{Hour, HourlyWeather, LEAST_KNOWN_SHARE};
pub use monthly::{Month, MonthModel, MonthlyWeather, WeatherError};
pub use rule::{FlightRule, HourWeather};
pub use window::{Bloom, Gap, WEEKS, Week, bloom_of, gaps, hull, week_of, weeks_of};
