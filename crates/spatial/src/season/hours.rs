//! A station's hours from CSV.

use std::collections::HashMap;
use std::path::Path;

use bloom::{CivilDate, Hour};
use stock::table_rows;

use crate::faults::Faults;
use crate::problem::Problem;
use crate::sheet::{Row, Sheet};
use crate::site::{LARGEST_SHEET, TextFile};

/// How messages speak of the file.
const FILE: TextFile = TextFile {
    item: "hourly weather",
    form: "CSV",
    instead: "name a CSV file of a station's hours",
    missing: "check `season.hourly`, or take it out to use the climate table",
};

const SHEET: Sheet = Sheet {
    noun: "hour",
    id: "time",
    required: &["time", "temp_c", "wind_ms", "rain_mm"],
    optional: &["radiation_w_m2", "note"],
    has_decimals: true,
};

/// How a time is written.
const TIME: &str = "a time such as 2023-11-05T13:00, or 2023-11-05T13:00+12:00 with its zone";

/// Figures that are believed, wide of any station: column, from, to, unit.
const BELIEVED: [(&str, f64, f64, &str); 4] = [
    ("temp_c", -70.0, 60.0, "°C"),
    ("wind_ms", 0.0, 120.0, "m/s"),
    ("rain_mm", 0.0, 400.0, "mm"),
    // By night instruments tell a little less than nothing.
    ("radiation_w_m2", -50.0, 1_600.0, "W/m²"),
];

/// A station's hours.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Hours {
    /// Those with temperature, wind and rain.
    pub(super) known: Vec<Hour>,
    /// Rows without one of them.
    pub(super) with_holes: usize,
    /// Hours between the first and the last that no row tells.
    pub(super) missing: usize,
    /// Rows whose time names no zone.
    pub(super) without_zone: usize,
    /// Whether sunlight was measured.
    pub(super) has_radiation: bool,
}

/// Reads a table of hours. Times without a zone are `ahead_h` hours ahead of universal time.
///
/// # Errors
/// Every fault, each with its row and column.
pub(super) fn read(file: &Path, ahead_h: f64) -> Result<Hours, Vec<Problem>> {
    let text = FILE.read_up_to(file, LARGEST_SHEET)?;
    let rows = table_rows(&text);
    let mut faults = Faults::new(file);
    let mut hours = Vec::with_capacity(rows.len());
    let (mut with_holes, mut without_zone, mut has_radiation) = (0, 0, false);
    let mut seen: HashMap<i64, usize> = HashMap::with_capacity(rows.len());
    if let Some(((line, names), rows)) = rows.split_first() {
        let columns = SHEET.header(names, *line, &mut faults);
        has_radiation = columns.has("radiation_w_m2");
        for (line, record) in rows {
            let row = Row::new(record, *line, &columns);
            if !row.check_width(&mut faults) {
                continue;
            }
            let Some(utc_h) = moment(&row, ahead_h, &mut faults) else { continue };
            without_zone += usize::from(zone_of(row.cell("time")).is_none());
            if let Some(before) = seen.insert(utc_h, *line) {
                let found = format!("`{}`, an hour that row {before} has too", row.cell("time"));
                let remedy = "take one out; clocks that go back in autumn tell an hour twice: write times with \
                              their zone, or in standard time all year";
                faults.cell(&row, "time", [found.as_str(), "each hour once", remedy]);
                continue;
            }
            let [temp_c, wind_ms, rain_mm, light] =
                BELIEVED.map(|column| number(&row, column, &mut faults));
            match (temp_c, wind_ms, rain_mm) {
                (Some(temp_c), Some(wind_ms), Some(rain_mm)) => {
                    hours.push(Hour { utc_h, temp_c, wind_ms, rain_mm, radiation_w_m2: light });
                }
                _ => with_holes += 1,
            }
        }
    }
    if faults.is_sound() && hours.is_empty() {
        let problem = Problem::error(FILE.item).found("no hour with temperature, wind and rain");
        let problem =
            problem.expected("a first row time,temp_c,wind_ms,rain_mm, then a row an hour");
        faults.report(1, 1, problem.remedy("check that it is the table of a station's hours"));
    }
    let first = seen.keys().min().copied().unwrap_or(0);
    let last = seen.keys().max().copied().unwrap_or(-1);
    let missing = (last - first + 1) as usize - seen.len().min((last - first + 1) as usize);
    faults.or(Hours { known: hours, with_holes, missing, without_zone, has_radiation })
}

/// Whole hours from the first moment of 1970, universal time.
fn moment(row: &Row<'_>, ahead_h: f64, faults: &mut Faults<'_>) -> Option<i64> {
    let cell = row.cell("time");
    let found = parsed(cell, ahead_h);
    if found.is_none() && row.has("time") {
        let remedy =
            "write year, month and day with hyphens, then T and the hour that begins, 00 to 23";
        faults.cell(row, "time", [format!("`{cell}`").as_str(), TIME, remedy]);
    }
    found
}

/// Date, clock and zone of a time, the zone empty where it names none.
fn parts_of(cell: &str) -> Option<[&str; 3]> {
    let (date, time) = cell.split_once(['T', 't', ' '])?;
    let (clock, zone) = time.split_at(time.find(['Z', 'z', '+', '-']).unwrap_or(time.len()));
    Some([date, clock.trim(), zone.trim()])
}

/// The zone that a time names.
fn zone_of(cell: &str) -> Option<&str> {
    parts_of(cell).map(|[_, _, zone]| zone).filter(|zone| !zone.is_empty())
}

/// A time after ISO 8601, to the hour; `None` when it is none.
fn parsed(cell: &str, ahead_h: f64) -> Option<i64> {
    let [date, clock, zone] = parts_of(cell)?;
    let digits = |text: &str, count: usize| {
        (text.len() == count && text.bytes().all(|byte| byte.is_ascii_digit()))
            .then(|| text.parse::<u32>().ok())?
    };
    let mut parts = date.split('-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() {
        return None;
    }
    let day = CivilDate::new(i64::from(digits(year, 4)?), digits(month, 2)?, digits(day, 2)?)?;
    let ahead_min = match zone {
        "" => (ahead_h * 60.0).round() as i64,
        "Z" | "z" => 0,
        offset => {
            let sign = if offset.starts_with('-') { -1 } else { 1 };
            let figures: String = offset.chars().filter(char::is_ascii_digit).collect();
            let hours = digits(figures.get(..2)?, 2).filter(|hours| *hours <= 14)?;
            let minutes = match figures.get(2..)? {
                "" => 0,
                minutes => digits(minutes, 2).filter(|minutes| *minutes < 60)?,
            };
            sign * i64::from(hours * 60 + minutes)
        }
    };
    let mut clock = clock.split(':');
    let hour = digits(clock.next()?, 2).filter(|hour| *hour < 24)?;
    let minute = clock.next().map_or(Some(0), |text| digits(text, 2)).filter(|one| *one < 60)?;
    let second = clock.next().unwrap_or("00");
    let is_second = second.parse::<f64>().is_ok_and(|second| (0.0..60.0).contains(&second));
    if !is_second || clock.next().is_some() {
        return None;
    }
    let minutes = (day.days() * 24 + i64::from(hour)) * 60 + i64::from(minute) - ahead_min;
    Some(minutes.div_euclid(60))
}

/// A figure; `None` for a blank cell, or one that is reported.
fn number(
    row: &Row<'_>,
    (name, from, to, unit): (&str, f64, f64, &str),
    faults: &mut Faults<'_>,
) -> Option<f64> {
    let cell = row.cell(name);
    if cell.is_empty() {
        return None;
    }
    let sound = cell.parse::<f64>().ok().filter(|number| (from..=to).contains(number));
    if sound.is_none() {
        let remedy = if cell.contains(',') {
            "write decimals with a point: 8.5"
        } else {
            "check the figure and its unit; leave the cell blank where nothing was measured"
        };
        let expected = format!("{from} to {to} {unit}");
        faults.cell(row, name, [format!("`{cell}`").as_str(), &expected, remedy]);
    }
    sound
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::Folder;

    fn read_text(text: &str) -> Result<Hours, Vec<Problem>> {
        let folder = Folder::new();
        let file = folder.text("hours.csv", text);
        read(&file, 12.0)
    }

    /// Seconds of universal time of a moment are those of `date -u -d … +%s`, over 3600.
    #[test]
    fn times_are_read_with_and_without_a_zone() {
        let noon = 1_699_142_400 / 3_600; // 2023-11-05 00:00 universal time
        for time in [
            "2023-11-05T12:00",
            "2023-11-05 12:59:59",
            "2023-11-05T00:00Z",
            "2023-11-05T13:00+13:00",
            "2023-11-05T13:00+1300",
            "2023-11-05T13+13",
            "2023-11-04T14:00-10:00",
        ] {
            assert_eq!(parsed(time, 12.0), Some(noon), "{time}");
        }
        // The Chathams: noon there, less 12 h 45 min, is a quarter past 23 of the day before, in the hour from 23.
        assert_eq!(parsed("2023-11-05T12:45", 12.75), Some(noon));
        assert_eq!(parsed("2023-11-05T12:00", 12.75), Some(noon - 1));
        assert_eq!(parsed("2023-11-05T12:45+12:45", 12.0), Some(noon));
        for wrong in [
            "",
            "2023-11-05",
            "5/11/2023 12:00",
            "2023-13-05T12:00",
            "2023-02-29T12:00",
            "2023-11-05T24:00",
            "2023-11-05T12:60",
            "2023-11-05T12:00+25:00",
            "2023-11-05T12:00:00:00",
            "2023-11-05Tnoon",
            "2023-11-05T1\u{e9}:00",
        ] {
            assert_eq!(parsed(wrong, 12.0), None, "{wrong}");
        }
    }

    #[test]
    fn holes_and_hours_that_no_row_tells_are_counted() {
        let text = "time,temp_c,wind_ms,rain_mm,radiation_w_m2\n\
                    2023-11-05T10:00,14.2,3,0,400\n2023-11-05T11:00,,3,0,\n2023-11-05T14:00,15,3,0.2,-1\n";
        let hours = read_text(text).unwrap();
        assert_eq!((hours.known.len(), hours.with_holes, hours.missing), (2, 1, 2));
        assert!(hours.has_radiation);
        assert_eq!(hours.known[1].radiation_w_m2, Some(-1.0));
    }

    #[test]
    fn faults_name_row_and_column() {
        let good = "2023-11-05T10:00,14.2,3,0\n";
        for (row, place, word) in [
            ("5/11/2023 11:00,14,3,0", (3, 1), "hyphens"),
            ("2023-11-05T11:00,\"14,2\",3,0", (3, 2), "point"),
            ("2023-11-05T11:00,14,-1,0", (3, 3), "blank"),
            ("2023-11-05T11:00,14,3,9999", (3, 4), "blank"),
            ("2023-11-05T10:30,14,3,0", (3, 1), "standard time"),
            ("2023-11-05T11:00,14,3,0,7", (3, 5), "point"),
        ] {
            let text = format!("time,temp_c,wind_ms,rain_mm\n{good}{row}\n");
            let problems = read_text(&text).unwrap_err();
            assert_eq!(problems[0].place, Some(place), "{row}");
            assert!(problems[0].remedy.contains(word), "{}", problems[0]);
        }
        let missing = read_text(&format!("time,temp,wind_ms,rain_mm\n{good}")).unwrap_err();
        assert!(missing[0].remedy.contains("temp_c"), "{}", missing[0]);
        assert!(read_text("").unwrap_err()[0].found.contains("no hour"));
        assert!(read_text("time,temp_c,wind_ms,rain_mm\n").is_err());
    }
}
