//! What the climate table says of rain and wind, beside temperature.

use std::path::Path;

use bloom::Month;
use stock::table_rows;

use crate::faults::Faults;
use crate::problem::Problem;
use crate::read::{Climate, month_of};
use crate::site::{LARGEST_SHEET, TextFile, nearest};

/// How messages speak of the file.
const FILE: TextFile = TextFile {
    item: "climate table",
    form: "CSV",
    instead: "name the climate table, a CSV file",
    missing: "check `layers.climate.file`",
};

/// Columns that must be there beside those of temperature.
const REQUIRED: [&str; 2] = ["rain_mm", "wind_ms"];
/// Columns that may be.
const OPTIONAL: [&str; 2] = ["temp_max_c", "rain_days"];
/// Days of the months, February in a leap year.
const MONTH_DAYS: [f64; 12] =
    [31.0, 29.0, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];
/// Most rain in a month, mm, and mean wind, m/s, that are believed: wide of any station.
const MOST: [f64; 2] = [10_000.0, 50.0];

/// Reads rain and wind of the twelve months of a table whose temperatures were read before; other columns are
/// left alone.
///
/// # Errors
/// Every fault at once, each with its row and column.
pub(super) fn read(file: &Path, climate: &Climate) -> Result<[Month; 12], Vec<Problem>> {
    let text = FILE.read_up_to(file, LARGEST_SHEET)?;
    let mut faults = Faults::new(file);
    let all = table_rows(&text);
    let mut rows = all.iter().filter(|(_, row)| !row.get(0).unwrap_or("").trim().starts_with('#'));
    let Some((line, header)) = rows.next() else {
        let problem = Problem::error(FILE.item).file(file).found("nothing");
        let problem = problem.expected("twelve rows under a first one with names");
        return Err(problem.remedy(FILE.missing).into());
    };
    let names: Vec<&str> = header.iter().map(str::trim).collect();
    let place = |name: &str| names.iter().position(|one| *one == name);
    for name in REQUIRED.into_iter().filter(|name| place(name).is_none()) {
        let problem = Problem::error(format!("climate column `{name}`"))
            .found(format!("the columns {}", names.join(", ")))
            .expected("rain_mm, mm in the month, and wind_ms, mean wind in m/s: bees need both");
        let remedy = nearest(name, names.iter().copied()).map_or_else(
            || "add it, or name a station's hours as `season.hourly`".to_owned(),
            |near| format!("is `{near}` meant? Or name a station's hours as `season.hourly`"),
        );
        faults.report(*line, 1, problem.remedy(remedy));
    }
    let month = |at: usize| Month {
        mean_c: climate.temp_mean_c[at],
        min_c: climate.temp_min_c[at],
        max_c: None,
        rain_mm: f64::NAN,
        rain_days: None,
        wind_ms: f64::NAN,
    };
    let mut months: [Month; 12] = std::array::from_fn(month);
    for (line, row) in rows {
        let Some(at) = place("month").and_then(|at| month_of(row.get(at)?.trim())) else {
            continue;
        };
        let mut number = |name: &str, low: f64, high: f64, unit: &str| {
            let column = place(name)?;
            let cell = row.get(column).unwrap_or_default().trim();
            let is_optional = OPTIONAL.contains(&name);
            if cell.is_empty() && is_optional {
                return None;
            }
            let number = cell.parse::<f64>().ok();
            let sound = number.filter(|number| (low..=high).contains(number));
            if sound.is_none() {
                let expected = format!("{low} to {high} {unit}");
                let remedy = match cell {
                    comma if comma.contains(',') => "write decimals with a point: 8.5",
                    "" => "fill the cell",
                    _ => "check the figure and its unit",
                };
                let problem = Problem::error(format!("climate column `{name}`"))
                    .found(format!("`{cell}`"))
                    .expected(expected);
                faults.report(*line, column + 1, problem.remedy(remedy));
            }
            sound
        };
        let mean_c = months[at].mean_c;
        months[at].max_c = number("temp_max_c", mean_c, 70.0, "°C, no less than the mean");
        months[at].rain_days = number("rain_days", 0.0, MONTH_DAYS[at], "days");
        months[at].rain_mm = number("rain_mm", 0.0, MOST[0], "mm").unwrap_or(f64::NAN);
        months[at].wind_ms = number("wind_ms", 0.0, MOST[1], "m/s").unwrap_or(f64::NAN);
    }
    // February of a leap year has a day that the year of the reckoning does not.
    months[1].rain_days = months[1].rain_days.map(|days| days.min(28.0));
    faults.or(months)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp, reason = "the tests ask for exact values")]
    use super::*;
    use crate::read::fixture::Folder;
    use crate::units::Metres;

    fn read_text(text: &str) -> Result<[Month; 12], Vec<Problem>> {
        let folder = Folder::new();
        let file = folder.text("climate.csv", text);
        let climate = Climate {
            temp_mean_c: [12.0; 12],
            temp_min_c: [7.0; 12],
            station_elevation: Metres(40.0),
            lapse_c_per_100m: 0.6,
        };
        read(&file, &climate)
    }

    fn table(header: &str, row: &str, odd: Option<(usize, &str)>) -> String {
        let line = |at: usize| match odd {
            Some((month, text)) if month == at => format!("{text}\n"),
            _ => format!("{at},{row}\n"),
        };
        format!("# a remark\n{header}\n{}", (1..=12).map(line).collect::<String>())
    }

    #[test]
    fn rain_wind_and_what_may_be_there_are_read() {
        let text =
            table("month,rain_mm,wind_ms,temp_max_c,rain_days,sunshine_h", "90,4.5,16,12,x", None);
        let months = read_text(&text).unwrap();
        assert!(
            months.iter().all(|month| month.max_c == Some(16.0) && month.rain_days == Some(12.0))
        );
        assert!(months.iter().all(|month| month.rain_mm == 90.0 && month.wind_ms == 4.5));
        let bare = read_text(&table("month,wind_ms,rain_mm", "4.5,90", None)).unwrap();
        assert!(bare.iter().all(|month| month.max_c.is_none() && month.rain_mm == 90.0));
    }

    #[test]
    fn faults_name_row_and_column() {
        let with = |row: &str| {
            read_text(&table("month,rain_mm,wind_ms,rain_days", "90,4.5,12", Some((3, row))))
                .unwrap_err()
        };
        for (row, column, word) in [
            ("3,-1,4.5,12", 2, "check"),
            ("3,90,\"4,5\",12", 3, "point"),
            ("3,90,4.5,32", 4, "check"),
            ("3,90,,12", 3, "fill"),
            ("3,NaN,4.5,12", 2, "check"),
        ] {
            let problems = with(row);
            assert_eq!(problems[0].place, Some((5, column)), "{row}");
            assert!(problems[0].remedy.contains(word), "{}", problems[0]);
        }
        let without = read_text(&table("month,rain,wind_ms", "90,4.5", None)).unwrap_err();
        assert!(without[0].item.contains("rain_mm") && without[0].remedy.contains("hourly"));
    }
}
