//! Monthly station normals from CSV.

use std::path::Path;

use terrain::{GridError, StationNormals};

use super::refusal::not_read;
use crate::problem::Problem;
use crate::site::{ClimateSource, TextFile};
use crate::units::Metres;

/// How messages speak of the file.
const FILE: TextFile = TextFile {
    item: "climate",
    form: "CSV",
    instead: "name the CSV file of monthly normals",
    missing: "check the path; paths are relative to the folder of site.toml",
};

/// Monthly normals of one station, January first.
#[derive(Debug, Clone, PartialEq)]
pub struct Climate {
    /// Mean temperature of each month, °C.
    pub temp_mean_c: [f64; 12],
    /// Mean of the daily minima of each month, °C.
    pub temp_min_c: [f64; 12],
    /// Elevation of the station.
    pub station_elevation: Metres,
    /// Cooling with height, °C per 100 m.
    pub lapse_c_per_100m: f64,
}

impl Climate {
    /// The same for the ground's derivation.
    ///
    /// # Errors
    /// When a number cannot be used; never for a table that was read.
    pub fn normals(&self) -> Result<StationNormals, GridError> {
        StationNormals::new(
            self.temp_mean_c,
            self.temp_min_c,
            self.station_elevation.0,
            self.lapse_c_per_100m,
        )
    }
}

/// The columns that are read; others are left alone.
const COLUMNS: [&str; 3] = ["month", "temp_mean_c", "temp_min_c"];

/// English month names; their first three letters are enough.
const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// Coldest and warmest monthly mean that is believed, °C (wide of any station; from memory).
const BELIEVED_C: [f64; 2] = [-70.0, 50.0];

/// Reads a climate table.
///
/// # Errors
/// Every fault at once, each with its row and column.
pub fn read(source: &ClimateSource) -> Result<Climate, Vec<Problem>> {
    let text = FILE.read(&source.file)?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
    let table = parse(text, &source.file)?;
    Ok(Climate {
        temp_mean_c: table.mean,
        temp_min_c: table.min,
        station_elevation: source.station_elevation,
        lapse_c_per_100m: source.lapse_c_per_100m,
    })
}

struct Table {
    mean: [f64; 12],
    min: [f64; 12],
}

fn parse(text: &str, file: &Path) -> Result<Table, Vec<Problem>> {
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .trim(csv::Trim::All)
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let unreadable = |error: csv::Error| not_read(Problem::error("climate").file(file), error);
    let header = reader.headers().map_err(unreadable)?.clone();
    let columns = columns_of(&header, file)?;
    let mut table = Table { mean: [f64::NAN; 12], min: [f64::NAN; 12] };
    let mut seen = [false; 12];
    let mut problems = Vec::new();
    for record in reader.records() {
        let record = record.map_err(unreadable)?;
        let row = Row { line: record.position().map_or(0, |at| at.line() as usize), file, columns };
        match row.read(&record) {
            Ok((month, ..)) if seen[month] => problems.push(
                row.fault(0)
                    .found(format!("month {} again", month + 1))
                    .expected("each month once")
                    .remedy("take one of them out, or mend its month"),
            ),
            Ok((month, mean, min)) => {
                (seen[month], table.mean[month], table.min[month]) = (true, mean, min);
            }
            Err(problem) => problems.push(problem),
        }
    }
    let missing: Vec<_> =
        (0..12).filter(|month| !seen[*month]).map(|m| (m + 1).to_string()).collect();
    if problems.is_empty() && !missing.is_empty() {
        problems.push(
            Problem::error("climate")
                .file(file)
                .found(format!("no row for month {}", missing.join(", ")))
                .expected("12 rows, one a month")
                .remedy("add the rows that are missing"),
        );
    }
    if problems.is_empty() { Ok(table) } else { Err(problems) }
}

fn columns_of(header: &csv::StringRecord, file: &Path) -> Result<[usize; 3], Vec<Problem>> {
    let names: Vec<String> = header.iter().map(str::to_owned).collect();
    let mut problems = Vec::new();
    let places = COLUMNS.map(|wanted| {
        let place = names.iter().position(|name| name == wanted);
        place.unwrap_or_else(|| {
            let problem = Problem::error(format!("climate column `{wanted}`"))
                .file(file)
                .place(1, 1)
                .found(format!("the columns {}", names.join(", ")))
                .expected("the columns month, temp_mean_c, temp_min_c");
            let semicolons = names.len() == 1 && names[0].contains(';');
            let hint = super::vector_file::nearest(wanted, &names);
            problems.push(match hint {
                _ if semicolons => problem.remedy("separate the columns by commas, not semicolons"),
                Some(name) => problem.remedy(format!("is `{name}` meant?")),
                None => problem.remedy("name the columns so in the first row"),
            });
            0
        })
    });
    if problems.is_empty() { Ok(places) } else { Err(problems) }
}

/// A month by its number or English name, 0 for January.
pub(crate) fn month_of(text: &str) -> Option<usize> {
    let name = text.to_lowercase();
    let named = MONTHS
        .iter()
        .position(|month| name.len() >= 3 && name.is_char_boundary(3) && month.starts_with(&name));
    let number = text.parse::<usize>().ok().filter(|month| (1..=12).contains(month));
    named.or(number.map(|month| month - 1))
}

#[derive(Clone, Copy)]
struct Row<'a> {
    line: usize,
    file: &'a Path,
    columns: [usize; 3],
}

impl Row<'_> {
    fn fault(&self, column: usize) -> Problem {
        Problem::error(format!("climate column `{}`", COLUMNS[column]))
            .file(self.file)
            .place(self.line, self.columns[column] + 1)
    }

    fn read(&self, record: &csv::StringRecord) -> Result<(usize, f64, f64), Problem> {
        let month = self.month(record)?;
        let (mean, min) = (self.temperature(record, 1)?, self.temperature(record, 2)?);
        if min > mean {
            return Err(self
                .fault(2)
                .found(format!("a minimum of {min} °C above the mean of {mean} °C"))
                .expected("a minimum below the mean")
                .remedy("check that the columns are not swapped"));
        }
        Ok((month, mean, min))
    }

    fn month(&self, record: &csv::StringRecord) -> Result<usize, Problem> {
        let text = record.get(self.columns[0]).unwrap_or_default();
        month_of(text).ok_or_else(|| {
            self.fault(0)
                .found(format!("`{text}`"))
                .expected("a month from 1 to 12, 1 for January")
                .remedy("write the number of the month, or its English name")
        })
    }

    fn temperature(&self, record: &csv::StringRecord, column: usize) -> Result<f64, Problem> {
        let text = record.get(self.columns[column]).unwrap_or_default();
        let fault = || self.fault(column).found(format!("`{text}`")).expected("degrees Celsius");
        let comma = "write decimals with a point: 8.5";
        let hint = match text {
            "" => "fill the cell",
            text if text.contains(',') => comma,
            _ => "write digits alone, with a point for decimals: no unit",
        };
        let value = text.parse::<f64>().ok().ok_or_else(|| fault().remedy(hint))?;
        let believed = (BELIEVED_C[0]..=BELIEVED_C[1]).contains(&value);
        if believed { Ok(value) } else { Err(fault().remedy("from −70 to 50 °C is believed")) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::Folder;

    fn rows() -> Vec<String> {
        (1..=12).map(|month| format!("{month},10.5,{}.5,999", month % 5)).collect()
    }

    fn read_text(header: &str, rows: &[String]) -> Result<Climate, Vec<Problem>> {
        let folder = Folder::new();
        let file = folder.text("climate.csv", &format!("{header}\n{}\n", rows.join("\n")));
        let station_elevation = Metres(80.0);
        read(&ClimateSource { file, station_elevation, lapse_c_per_100m: 0.6 })
    }

    const HEADER: &str = "month,temp_mean_c,temp_min_c,rain_mm";

    #[test]
    fn twelve_rows_in_any_order_are_read_with_a_byte_order_mark() {
        let mut shuffled = rows();
        shuffled.reverse();
        shuffled[0] = "Dec,10.5,2.5,999".to_owned();
        let climate = read_text(&format!("\u{feff}{HEADER}"), &shuffled).unwrap();
        assert_eq!(climate.temp_mean_c, [10.5; 12]);
        assert_eq!(climate.temp_min_c[2], 3.5);
        assert_eq!(climate.temp_min_c[11], 2.5);
    }

    #[test]
    fn faults_name_row_and_column() {
        let with = |at: usize, text: &str| {
            let mut rows = rows();
            rows[at] = text.to_owned();
            read_text(HEADER, &rows).unwrap_err()
        };
        let comma = with(2, r#"3,"10,5",3.5,0"#);
        assert_eq!(comma[0].place, Some((4, 2)));
        assert!(comma[0].remedy.contains("point"), "{}", comma[0]);
        assert_eq!(with(2, "3,NaN,3.5,0")[0].place, Some((4, 2)));
        assert_eq!(with(2, "13,10.5,3.5,0")[0].place, Some((4, 1)));
        assert_eq!(with(2, "3,10.5,12.5,0")[0].place, Some((4, 3)));
        assert!(with(2, "3,10.5")[0].found.contains("``"));
        assert!(with(2, "2,10.5,3.5,0")[0].found.contains("again"));
        assert!(with(2, "3,105,3.5,0")[0].remedy.contains("50"));
    }

    #[test]
    fn missing_rows_and_columns_are_named() {
        let problems = read_text(HEADER, &rows()[..11]).unwrap_err();
        assert!(problems[0].found.contains("month 12"), "{}", problems[0]);
        let problems = read_text("month,temp_mean,temp_min_c", &rows()).unwrap_err();
        assert!(problems[0].remedy.contains("`temp_mean`"), "{}", problems[0]);
        let problems = read_text("month;temp_mean_c;temp_min_c", &[]).unwrap_err();
        assert!(problems[0].remedy.contains("semicolons"), "{}", problems[0]);
        assert!(read_text("", &[]).is_err());
    }
}
