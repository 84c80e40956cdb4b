//! Counts of survivors, plot by plot, from CSV.

use std::collections::BTreeMap;
use std::path::Path;

use stock::table_rows;

use super::PlantedPlan;
use crate::faults::Faults;
use crate::problem::Problem;
use crate::sheet::{Row, Sheet};
use crate::site::{TextFile, nearest};
use crate::units::Metres;

/// How messages speak of the file.
const FILE: TextFile = TextFile {
    item: "counts",
    form: "CSV",
    instead: "name a CSV file of counts",
    missing: "name the CSV file with a row for each plot and line",
};

/// Its columns; `date` and `note` are for people and are not read.
const SHEET: Sheet = Sheet {
    noun: "plot",
    id: "plot_id",
    required: &["plot_id", "zone_id", "stock_id", "counted", "alive"],
    optional: &["radius_m", "slope_deg", "date", "note"],
    has_decimals: false,
};

/// Every column of counts, in the order in which a sheet to fill in has them.
pub(crate) fn count_columns() -> impl Iterator<Item = &'static str> {
    SHEET.columns()
}

/// Most plants in one plot: wide of any.
const MOST_COUNTED: u64 = 100_000;
/// Radii that can be meant, metres.
const RADII_M: [f64; 2] = [0.5, 100.0];
/// Slopes that can be meant, degrees.
const SLOPES_DEG: [f64; 2] = [0.0, 80.0];

/// Plants of one line counted in one plot.
#[derive(Debug, Clone, PartialEq)]
pub struct PlotCount {
    /// Its plot.
    pub plot_id: String,
    /// Zone it lies in.
    pub zone_id: String,
    /// Stock that was counted.
    pub stock_id: String,
    /// Plants or planted spots found, dead or alive.
    pub counted: u64,
    /// Those alive, at most `counted`.
    pub alive: u64,
    /// Radius of the plot, along the slope.
    pub radius: Option<Metres>,
    /// Slope of the plot, degrees.
    pub slope_deg: Option<f64>,
}

/// Reads counts: a first row with the names of the columns, then one row for each line in each plot, with
/// commas, semicolons or tabs.
///
/// # Errors
/// Every fault, each with its line and column.
pub fn read_counts(file: &Path, plan: &PlantedPlan) -> Result<Vec<PlotCount>, Vec<Problem>> {
    let text = FILE.read(file)?;
    let mut table = Table::new(file, plan);
    let mut rows = table_rows(&text).into_iter();
    if let Some((line, names)) = rows.next() {
        let columns = SHEET.header(&names, line, &mut table.faults);
        for (line, record) in rows {
            table.row(&Row::new(&record, line, &columns));
        }
    }
    table.finish()
}

/// The file as it is read, and what is wrong with it.
struct Table<'t> {
    plan: &'t PlantedPlan,
    /// Rows that name plot, zone and stock, with their lines.
    rows: Vec<(usize, PlotCount)>,
    /// Places among the rows, by plot.
    plots: BTreeMap<String, Vec<usize>>,
    faults: Faults<'t>,
}

impl<'t> Table<'t> {
    fn new(file: &'t Path, plan: &'t PlantedPlan) -> Self {
        Self { plan, rows: Vec::new(), plots: BTreeMap::new(), faults: Faults::new(file) }
    }

    fn row(&mut self, row: &Row<'_>) {
        row.check_width(&mut self.faults);
        let plot_id = self.name(row, "plot_id");
        let (zone_id, stock_id) = (self.zone(row), self.stock(row));
        if let (Some(zone), Some(stock)) = (&zone_id, &stock_id) {
            self.planted(row, zone, stock);
        }
        let (counted, alive) = (self.whole(row, "counted"), self.whole(row, "alive"));
        if let (Some(counted), Some(alive)) = (counted, alive)
            && alive > counted
        {
            let found = format!("{alive} alive of {counted} counted");
            let expected = "no more than were counted".to_owned();
            let remedy = "`counted` is every plant or planted spot found, dead or alive".to_owned();
            self.faults.cell(row, "alive", [found, expected, remedy]);
        }
        let radius = self.measure(row, "radius_m", RADII_M, "metres").map(Metres);
        let slope_deg = self.measure(row, "slope_deg", SLOPES_DEG, "degrees");
        let (Some(plot_id), Some(zone_id), Some(stock_id)) = (plot_id, zone_id, stock_id) else {
            return;
        };
        self.repeated(row, &plot_id, &zone_id, &stock_id);
        self.plots.entry(plot_id.clone()).or_default().push(self.rows.len());
        let (counted, alive) = (counted.unwrap_or(0), alive.unwrap_or(0));
        let count = PlotCount { plot_id, zone_id, stock_id, counted, alive, radius, slope_deg };
        self.rows.push((row.line, count));
    }

    fn name(&mut self, row: &Row<'_>, column: &str) -> Option<String> {
        row.name(column, &mut self.faults).map(str::to_owned)
    }

    fn zone(&mut self, row: &Row<'_>) -> Option<String> {
        let plan = self.plan;
        let zone = self.name(row, "zone_id")?;
        if plan.zones.contains(&zone) {
            return Some(zone);
        }
        let near = nearest(&zone, plan.zones.iter().map(String::as_str)).map(str::to_owned);
        self.unknown(row, "zone_id", &zone, "a zone of the plan", near);
        None
    }

    fn stock(&mut self, row: &Row<'_>) -> Option<String> {
        let plan = self.plan;
        let stock = self.name(row, "stock_id")?;
        let known = plan.stock_ids();
        if known.contains(stock.as_str()) {
            return Some(stock);
        }
        let near = nearest(&stock, known).map(str::to_owned);
        self.unknown(row, "stock_id", &stock, "the id of a line that the plan plants", near);
        None
    }

    fn unknown(
        &mut self,
        row: &Row<'_>,
        name: &str,
        found: &str,
        expected: &str,
        near: Option<String>,
    ) {
        let remedy = near.map_or_else(
            || format!("take it from {}", self.plan.file.display()),
            |near| format!("did you mean `{near}`?"),
        );
        self.faults.cell(row, name, [format!("`{found}`"), expected.to_owned(), remedy]);
    }

    /// Whether the plan plants the line there.
    fn planted(&mut self, row: &Row<'_>, zone: &str, stock: &str) {
        let plan = self.plan;
        if plan.find(zone, stock).is_some() {
            return;
        }
        let here: Vec<&str> = plan
            .planted
            .iter()
            .filter(|line| line.zone_id == zone)
            .map(|line| line.stock_id.as_str())
            .collect();
        let expected = match here.len() {
            0 => format!("nothing: the plan plants nothing in `{zone}`"),
            _ => format!("what the plan plants in `{zone}`: {}", here.join(", ")),
        };
        let remedy = "check zone and line; what was planted beside the plan is not counted here";
        self.faults.cell(row, "stock_id", [format!("`{stock}`"), expected, remedy.to_owned()]);
    }

    /// A whole number that must be there; 0 goes on in place of one that is not.
    fn whole(&mut self, row: &Row<'_>, column: &str) -> Option<u64> {
        let cell = row.cell(column);
        let number = cell.parse().ok().filter(|number| *number <= MOST_COUNTED);
        if number.is_none() && row.has(column) {
            let found = if cell.is_empty() { "nothing".to_owned() } else { format!("`{cell}`") };
            let expected = format!("a whole number of plants, 0 to {MOST_COUNTED}");
            let remedy = "write digits alone; leave plots out that were not counted".to_owned();
            self.faults.cell(row, column, [found, expected, remedy]);
        }
        number
    }

    /// A measure that may be there.
    fn measure(&mut self, row: &Row<'_>, column: &str, ends: [f64; 2], unit: &str) -> Option<f64> {
        let cell = row.cell(column);
        if cell.is_empty() {
            return None;
        }
        let number: Option<f64> = cell.parse().ok().filter(|n| (ends[0]..=ends[1]).contains(n));
        if number.is_none() {
            let expected = format!("{unit} from {} to {}, or nothing", ends[0], ends[1]);
            let remedy = "write a plain number with a point, without its unit".to_owned();
            self.faults.cell(row, column, [format!("`{cell}`"), expected, remedy]);
        }
        number
    }

    /// A plot that was counted for this line before, or that lies in another zone.
    fn repeated(&mut self, row: &Row<'_>, plot: &str, zone: &str, stock: &str) {
        let of_plot = self.plots.get(plot).into_iter().flatten().map(|at| &self.rows[*at]);
        let clash = |(_, one): &&(usize, PlotCount)| one.stock_id == stock || one.zone_id != zone;
        let before = of_plot.into_iter().find(clash);
        let Some((line, other)) = before else { return };
        let (name, found, expected) = if other.zone_id == zone {
            let found = format!("`{stock}` again, counted in row {line}");
            ("stock_id", found, "each line once in a plot")
        } else {
            let found = format!("`{zone}`, and `{}` in row {line}", other.zone_id);
            ("zone_id", found, "one zone for a plot")
        };
        let remedy = "give every plot of the property a name of its own, or take the row out";
        self.faults.cell(row, name, [found, expected.to_owned(), remedy.to_owned()]);
    }

    fn finish(mut self) -> Result<Vec<PlotCount>, Vec<Problem>> {
        if self.faults.is_sound() && self.rows.is_empty() {
            let problem = Problem::error("counts").found("no count");
            let problem = problem.expected(format!(
                "a first row {}, then a row for each plot and line",
                SHEET.required.join(",")
            ));
            self.faults.report(1, 1, problem.remedy("count some plots first"));
        }
        let counts = self.rows.into_iter().map(|(_, count)| count).collect();
        self.faults.or(counts)
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixture;
    use super::*;

    const HEADER: &str = "plot_id,zone_id,stock_id,counted,alive,radius_m,slope_deg,date,note\n";

    #[test]
    fn rows_are_read_as_they_are_written() {
        let text = format!(
            "\u{feff}{HEADER}P1,Z001,amber,11,9,5.64,25,2029-02-03,\"hares, two\"\n\n,,,,,,,,\nP1, Z001 ,tops,4,0\n"
        );
        let count = |stock: &str, counted, alive, radius, slope_deg| PlotCount {
            plot_id: "P1".into(),
            zone_id: "Z001".into(),
            stock_id: stock.into(),
            counted,
            alive,
            radius,
            slope_deg,
        };
        let expected = [
            count("amber", 11, 9, Some(Metres(5.64)), Some(25.0)),
            count("tops", 4, 0, None, None),
        ];
        assert_eq!(fixture::counts(&text).unwrap(), expected);
        for separator in [";", "\t"] {
            let same = "plot_id,zone_id,stock_id,counted,alive\nP1,Z001,amber,11,9\n"
                .replace(',', separator);
            assert_eq!(fixture::counts(&same).unwrap()[0].alive, 9);
        }
        let turned = "alive,counted,stock_id,zone_id,plot_id\n9,11,amber,Z001,P1\n";
        assert_eq!(fixture::counts(turned).unwrap()[0].counted, 11);
    }

    /// A row, the column of the fault, its field, a word of what was found and one of the remedy.
    const FAULTS: [(&str, usize, &str, &str, &str); 17] = [
        (",Z001,amber,9,8", 1, "plot_id", "nothing", "fill"),
        ("A,,amber,9,8", 2, "zone_id", "nothing", "fill"),
        ("B,Z01,amber,9,8", 2, "zone_id", "`Z01`", "did you mean `Z001`?"),
        ("C,xxxxxxxxxx,amber,9,8", 2, "zone_id", "xxxxxxxxxx", "plan.json"),
        ("D,Z001,ambre,9,8", 3, "stock_id", "`ambre`", "did you mean `amber`?"),
        ("E,Z001,,9,8", 3, "stock_id", "nothing", "fill"),
        ("F,Z002,tops,9,8", 3, "stock_id", "`tops`", "check zone and line"),
        ("G,Z003,tops,9,8", 3, "stock_id", "`tops`", "check zone and line"),
        ("H,Z001,amber,,8", 4, "counted", "nothing", "digits"),
        ("I,Z001,amber,nine,8", 4, "counted", "`nine`", "digits"),
        ("J,Z001,amber,9,-1", 5, "alive", "`-1`", "digits"),
        ("K,Z001,amber,9,8.5", 5, "alive", "`8.5`", "digits"),
        ("L,Z001,amber,9,10", 5, "alive", "10 alive of 9 counted", "dead or alive"),
        ("M,Z001,amber,100001,10", 4, "counted", "100001", "digits"),
        ("N,Z001,amber,9,8,\"5,64\"", 6, "radius_m", "`5,64`", "point"),
        ("O,Z001,amber,9,8,5,95", 7, "slope_deg", "`95`", "plain number"),
        ("P,Z001,amber,9,8,5,9,today,hares,two", 10, "row", "`two` beyond", "quotation"),
    ];

    #[test]
    fn every_fault_has_its_place_and_its_remedy() {
        for (row, column, field, found, remedy) in FAULTS {
            let problems =
                fixture::counts(&format!("{HEADER}Q,Z001,amber,9,8\n{row}\n")).unwrap_err();
            assert_eq!(problems.len(), 1, "{row}: {problems:?}");
            let problem = &problems[0];
            assert_eq!(problem.place, Some((3, column)), "{row}: {problem}");
            assert!(problem.item.ends_with(field), "{row}: {problem}");
            assert!(problem.found.contains(found), "{row}: {problem}");
            assert!(problem.remedy.contains(remedy), "{row}: {problem}");
            assert!(problem.is_error() && !problem.expected.is_empty(), "{row}: {problem}");
        }
    }

    #[test]
    fn all_faults_are_told_at_once() {
        let rows: Vec<&str> = FAULTS.iter().map(|(row, ..)| *row).collect();
        let problems = fixture::counts(&format!("{HEADER}{}\n", rows.join("\n"))).unwrap_err();
        assert_eq!(problems.len(), FAULTS.len(), "{problems:?}");
    }

    #[test]
    fn a_plot_is_counted_once_for_a_line_and_lies_in_one_zone() {
        let rows = "P1,Z001,amber,9,8\nP1,Z001,tops,9,8\nP1,Z001,amber,9,8\nP1,Z002,amber,9,8\n";
        let problems = fixture::counts(&format!("{HEADER}{rows}")).unwrap_err();
        let told: Vec<_> = problems.iter().map(|one| (one.place, one.found.as_str())).collect();
        let again = (Some((4, 3)), "`amber` again, counted in row 2");
        let elsewhere = (Some((5, 2)), "`Z002`, and `Z001` in row 2");
        assert_eq!(told, [again, elsewhere]);
    }

    #[test]
    fn columns_are_known_and_named_once() {
        let text = "plot_id,zone_id,stok_id,counted,counted,radius\nP1,Z001,amber,9,8,5\n";
        let problems = fixture::counts(text).unwrap_err();
        let items: Vec<&str> = problems.iter().map(|one| one.item.as_str()).collect();
        let columns = ["stok_id", "counted", "radius", "stock_id", "alive"];
        assert_eq!(items[..5], columns.map(|name| format!("column `{name}`")), "{problems:?}");
        assert_eq!(problems[0].remedy, "did you mean `stock_id`?");
        assert_eq!(problems[2].remedy, "did you mean `radius_m`?");
        for empty in ["", "\n\n", HEADER] {
            let problems = fixture::counts(empty).unwrap_err();
            assert_eq!((problems.len(), problems[0].found.as_str()), (1, "no count"));
        }
    }

    #[test]
    fn a_file_that_cannot_be_read_is_told() {
        let lost = read_counts(Path::new("nowhere.csv"), &fixture::plan()).unwrap_err();
        assert!(lost[0].remedy.contains("CSV"), "{}", lost[0]);
    }
}
