//! `[season]`: bloom held against weather in which bees fly, and where hives may stand.

use std::path::{Path, PathBuf};

use bloom::{FlightRule, MonthModel};

use super::report::Report;
use super::rules::whole;
use super::section::Section;
use super::{CategorySource, CoverClass, DefaultTaken, kept_names};
use crate::units::Metres;

/// How bloom is held against weather.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonRules {
    /// A station's hours; `None`: the monthly normals of the climate layer.
    pub hourly: Option<PathBuf>,
    /// Hours by which times without a zone are ahead of universal time; `None`: by the longitude.
    pub utc_offset_h: Option<f64>,
    /// Height of the hourly station; `None`: that of the climate layer.
    pub station_elevation: Option<Metres>,
    /// Weather in which bees fly, and from when on a window counts as lost.
    pub flight: FlightRule,
    /// What monthly normals leave open.
    pub model: MonthModel,
    /// Days without bloom that are no gap yet.
    pub gap_days: u16,
    /// Days by which bloom is moved either way to see what a year may do.
    pub shift_days: u16,
    /// Height of the bands of the chart.
    pub altitude_band: Metres,
    /// Radii of the discs in which forage is counted, the smaller first, km.
    pub forage_km: [f64; 2],
    /// Kept cover classes that bees forage on; empty: every kept one.
    pub forage_cover: Vec<String>,
    /// Distance along tracks between the places that are looked at for hives.
    pub hive_step: Metres,
    /// Farthest that hives stand from a track.
    pub hive_within: Metres,
    /// Steepest ground for hives and the vehicle beside them, degrees.
    pub hive_slope_deg: f64,
    /// Nearest that hives stand to mapped streams.
    pub hive_clear_of_streams: Metres,
    /// Least distance between hive sites.
    pub hive_apart: Metres,
    /// Most hive sites that are told.
    pub hive_sites: usize,
    /// Which of these a default was taken for.
    pub defaults: Vec<DefaultTaken>,
}

/// Reads `[season]`.
pub(super) fn read(
    root: &Section<'_>,
    folder: &Path,
    cover: Option<&CategorySource<CoverClass>>,
    report: &mut Report<'_>,
) -> SeasonRules {
    let section = root.child("season");
    let number = |name: &str| section.number(name).unwrap_or_default();
    let metres = |name: &str| Metres(number(name));
    let mut count = |name: &str| whole(&section, name, report).unwrap_or_default() as u16;
    let (gap_days, shift_days) = (count("gap_days"), count("shift_days"));
    let hive_sites = usize::from(count("hive_sites"));
    kept_names(&section, "forage_cover", cover, report);
    SeasonRules {
        hourly: section.file_in(folder, "hourly"),
        utc_offset_h: section.number("utc_offset_h"),
        station_elevation: section.number("station_elevation_m").map(Metres),
        flight: FlightRule {
            least_c: number("least_c"),
            most_wind_ms: number("most_wind_ms"),
            most_rain_mm: number("most_rain_mm"),
            least_radiation_w_m2: number("least_radiation_w_m2"),
            nectar_c: number("nectar_c"),
            day_hours: number("day_hours"),
            lost_share: number("lost_share"),
        },
        model: MonthModel {
            day_spread_c: number("day_spread_c"),
            wet_day_mm: number("wet_day_mm"),
            wet_day_lost_share: number("wet_day_lost_share"),
        },
        gap_days,
        shift_days,
        altitude_band: metres("altitude_band_m"),
        forage_km: section.numbers("forage_km").unwrap_or_default(),
        forage_cover: section.words("forage_cover"),
        hive_step: metres("hive_step_m"),
        hive_within: metres("hive_within_m"),
        hive_slope_deg: number("hive_slope_deg"),
        hive_clear_of_streams: metres("hive_clear_of_streams_m"),
        hive_apart: metres("hive_apart_m"),
        hive_sites,
        defaults: vec![],
    }
}

impl SeasonRules {
    /// What holds when a site says nothing: every default of the table of keys.
    #[must_use]
    pub fn usual() -> Self {
        let (empty, nowhere) = (toml_edit::Table::new(), Path::new(""));
        read(&Section::file(&empty), nowhere, None, &mut Report::new("", nowhere))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The defaults stand in two places, each with its source: they must not drift apart.
    #[test]
    fn defaults_are_those_of_the_room_below() {
        let usual = SeasonRules::usual();
        assert_eq!(usual.flight, FlightRule::usual());
        assert_eq!(usual.model, MonthModel::usual());
    }
}
