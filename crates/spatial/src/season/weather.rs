//! The weather of a season, from hours or from normals.

use std::path::PathBuf;

use bloom::{FlightRule, FlyingYear, HourlyWeather, MonthlyWeather, WeatherError};
use serde::Serialize;

use super::{hours, normals};
use crate::problem::Problem;
use crate::read::Ready;
use crate::site::Site;
use crate::units::thousands;

/// Where the weather is from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WeatherRow {
    /// `hourly`, counted; or `monthly`, to expect.
    pub kind: &'static str,
    /// Height of the station, metres.
    pub station_elevation_m: f64,
    /// Cooling with height, °C per 100 m.
    pub lapse_c_per_100m: f64,
    /// Years of the hours; null for normals.
    pub years: Option<usize>,
    /// Days of the hours that count; null for normals.
    pub days: Option<usize>,
    /// Days of which too few hours are known; null for normals.
    pub days_left_out: Option<usize>,
    /// Days of the year that no year has, put between their neighbours; null for normals.
    pub days_bridged: Option<usize>,
    /// Hours that no row tells, and rows without temperature, wind or rain; null for normals.
    pub hours_missing: Option<usize>,
    /// Hours of which the time names no zone; null for normals.
    pub hours_without_zone: Option<usize>,
    /// Hours by which those are taken to be ahead of universal time; null where there are none.
    pub utc_offset_h: Option<f64>,
    /// Where that is from: `site`, as the site says; `longitude`, guessed. Null where there are none.
    pub utc_offset_from: Option<&'static str>,
    /// Whether sunlight was measured.
    pub has_radiation: bool,
}

/// The weather of a station, ready for any height.
pub(super) struct Weather {
    station: Station,
    pub(super) row: WeatherRow,
    /// The table that was read, where the site's layers do not list it.
    pub(super) file: Option<PathBuf>,
    pub(super) warnings: Vec<Problem>,
}

enum Station {
    Hourly(HourlyWeather),
    Monthly(Box<MonthlyWeather>),
}

impl Weather {
    /// Reads the table that the site names.
    ///
    /// # Errors
    /// When there is none, or it is faulty, each fault with its row and column.
    pub(super) fn read(
        site: &Site,
        ready: &Ready,
        longitude_deg: f64,
    ) -> Result<Self, Vec<Problem>> {
        match &site.season.hourly {
            Some(file) => Self::of_hours(site, ready, longitude_deg, file.clone()),
            None => Self::of_normals(site, ready),
        }
    }

    fn of_normals(site: &Site, ready: &Ready) -> Result<Self, Vec<Problem>> {
        let rules = &site.season;
        let Some((climate, source)) = ready.climate.as_ref().zip(site.layers.climate.as_ref())
        else {
            let problem = Problem::error("season").file(&site.file).found("no weather");
            let problem =
                problem.expected("[layers.climate], or a station's hours as `season.hourly`");
            return Err(problem.remedy("name one of the two").into());
        };
        let months = normals::read(&source.file, climate)?;
        let weather = MonthlyWeather::new(months, ready.latitude_deg, &rules.flight, &rules.model)
            .map_err(|error| unusable(&source.file, &error))?;
        Ok(Self {
            station: Station::Monthly(Box::new(weather)),
            row: WeatherRow {
                kind: "monthly",
                station_elevation_m: climate.station_elevation.0,
                lapse_c_per_100m: climate.lapse_c_per_100m,
                years: None,
                days: None,
                days_left_out: None,
                days_bridged: None,
                hours_missing: None,
                hours_without_zone: None,
                utc_offset_h: None,
                utc_offset_from: None,
                has_radiation: false,
            },
            file: None,
            warnings: unheard(site),
        })
    }

    fn of_hours(
        site: &Site,
        ready: &Ready,
        longitude_deg: f64,
        file: PathBuf,
    ) -> Result<Self, Vec<Problem>> {
        let rules = &site.season;
        let climate = ready.climate.as_ref();
        let station = rules.station_elevation.or(climate.map(|one| one.station_elevation));
        let Some(station) = station else {
            let problem = Problem::error("season.station_elevation_m").file(&site.file);
            let problem = problem.found("nothing, and no [layers.climate]");
            let problem = problem.expected("the height of the station of `season.hourly`, metres");
            return Err(problem.remedy("add `station_elevation_m` to [season]").into());
        };
        let ahead_h = rules.utc_offset_h.unwrap_or_else(|| (longitude_deg / 15.0).round());
        let offset_from = if rules.utc_offset_h.is_some() { "site" } else { "longitude" };
        let read = hours::read(&file, ahead_h)?;
        let is_asked = read.without_zone > 0;
        let weather =
            HourlyWeather::new(&read.known, ready.latitude_deg, longitude_deg, &rules.flight)
                .map_err(|error| unusable(&file, &error))?;
        let row = WeatherRow {
            kind: "hourly",
            station_elevation_m: station.0,
            lapse_c_per_100m: climate.map_or(terrain::LAPSE_C_PER_100M, |one| one.lapse_c_per_100m),
            years: Some(weather.years()),
            days: Some(weather.days()),
            days_left_out: Some(weather.days_left_out()),
            days_bridged: Some(weather.unknown_days().len()),
            hours_missing: Some(read.missing + read.with_holes),
            hours_without_zone: Some(read.without_zone),
            utc_offset_h: is_asked.then_some(ahead_h),
            utc_offset_from: is_asked.then_some(offset_from),
            has_radiation: read.has_radiation,
        };
        let mut warnings = Vec::new();
        if is_asked && rules.utc_offset_h.is_none() {
            warnings.push(guessed_offset(site, ahead_h, read.without_zone));
        }
        let unknown = weather.unknown_days();
        if let (Some(first), Some(last)) = (unknown.first(), unknown.last()) {
            let found = format!(
                "{} days of the year that no year of it has, between {first} and {last}",
                unknown.len()
            );
            warnings.push(
                Problem::warning("season.hourly")
                    .file(&file)
                    .found(found)
                    .expected("every day of the year with four in five of its light hours known")
                    .remedy("figures of those days lie between their neighbours': add more of the record"),
            );
        }
        if rules.flight.least_radiation_w_m2 > 0.0 && !read.has_radiation {
            warnings.push(
                Problem::warning("season.least_radiation_w_m2")
                    .file(&site.file)
                    .found("a threshold, and hours without `radiation_w_m2`")
                    .expected("sunlight in the table, which the threshold is held against")
                    .remedy("add the column, or take the key out: it is not heard"),
            );
        }
        Ok(Self { station: Station::Hourly(weather), row, file: Some(file), warnings })
    }

    /// The usual year at a height in metres.
    pub(super) fn at(&self, elevation_m: f64) -> FlyingYear {
        let higher_m = elevation_m - self.row.station_elevation_m;
        let warmer_c = -self.row.lapse_c_per_100m * higher_m / 100.0;
        match &self.station {
            Station::Hourly(hours) => hours.at(warmer_c),
            Station::Monthly(months) => months.at(warmer_c),
        }
    }
}

/// Hours of daylight lie wrong where the offset is.
fn guessed_offset(site: &Site, ahead_h: f64, hours: usize) -> Problem {
    let found = format!(
        "nothing, and {} hours of `season.hourly` whose time names no zone: taken as {ahead_h} h ahead of universal \
         time, by the longitude",
        thousands(hours as u64)
    );
    // Offsets of New Zealand standard time: from memory.
    let remedy = "set it to the standard time in which the station writes: New Zealand's is 12 everywhere but on the \
                  Chathams, 12.75; or write times with their zone";
    Problem::warning("season.utc_offset_h")
        .file(&site.file)
        .found(found)
        .expected("hours ahead of universal time, the same all year")
        .remedy(remedy)
}

/// Keys that say something about a station's hours, where there are none.
fn unheard(site: &Site) -> Vec<Problem> {
    let (rules, usual) = (&site.season, FlightRule::usual());
    let differs = |own: f64, usual: f64| own.total_cmp(&usual).is_ne();
    let keys = [
        ("utc_offset_h", rules.utc_offset_h.is_some()),
        ("station_elevation_m", rules.station_elevation.is_some()),
        ("most_rain_mm", differs(rules.flight.most_rain_mm, usual.most_rain_mm)),
        (
            "least_radiation_w_m2",
            differs(rules.flight.least_radiation_w_m2, usual.least_radiation_w_m2),
        ),
    ];
    let warning = |(key, _): (&str, bool)| {
        Problem::warning(format!("season.{key}"))
            .file(&site.file)
            .found("a key of a station's hours, and monthly normals")
            .expected("`season.hourly` beside it")
            .remedy("name the station's hours, or take the key out: it is not heard")
    };
    keys.into_iter().filter(|(_, is_given)| *is_given).map(warning).collect()
}

fn unusable(file: &std::path::Path, error: &WeatherError) -> Problem {
    Problem::error("weather")
        .file(file)
        .found(error.to_string())
        .expected("weather that can be reckoned with")
        .remedy("mend the table, or name another station")
}
