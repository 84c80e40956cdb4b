//! One row of a lab sheet: a sample.

use std::collections::HashMap;

use sourcing::amount::{
    Basis, DOUBTFUL_RATIO, Dha, Impossible, Sugar, Unit, is_bare_percent, is_doubtful, ratio,
    ratio_at_80_brix, ratio_of,
};
use stock::nectar::DhaRatio;

use super::super::number::{Written, written};
use super::super::place::place;
use super::super::{Day, DayFault};
use super::shape::{Figure, Shape, Told, UnitFrom, bare_percent};
use super::{LabSample, impossible, pool};
use crate::faults::Faults;
use crate::problem::Problem;
use crate::sheet::Row;

/// Why a pool is refused. The trial: trade press, December 2016.
const ONE_TREE: &str = "a sample of one tree: a pool tells nothing of its trees (in one published trial a pool \
     of ten came out below detection while the ten run singly averaged 3,531 mg/kg)";
/// What to do with a pool.
const SINGLY: &str = "have the trees run singly, or take the row out";

/// The rows as they are read.
pub(super) struct Reader<'r> {
    shape: &'r Shape,
    /// Line of each sample by tree, day and the laboratory's own id.
    seen: HashMap<(&'r str, Day, &'r str), usize>,
    /// What sugar is by, and the line that said so first.
    basis: Option<(Basis, usize)>,
    /// Whether `%` alone was warned of.
    has_percent: bool,
    pub samples: Vec<LabSample>,
    pub faults: Faults<'r>,
    pub warnings: Vec<Problem>,
}

/// DHA and sugar of a row.
struct Measured {
    ratio: f64,
    below_limit: bool,
    sugar: Option<Sugar>,
}

/// What is wrong has been told.
struct Reported;

impl<'r> Reader<'r> {
    pub(super) fn new(
        shape: &'r Shape,
        faults: Faults<'r>,
        warnings: Vec<Problem>,
        rows: usize,
    ) -> Self {
        let seen = HashMap::with_capacity(rows);
        let samples = Vec::with_capacity(rows);
        Self { shape, seen, basis: None, has_percent: false, samples, faults, warnings }
    }

    pub(super) fn take(&mut self, row: &Row<'r>) {
        if !row.check_width(&mut self.faults) {
            return; // its cells may be out of place
        }
        let tree_id = row.name("tree_id", &mut self.faults);
        let single = self.is_single(row, tree_id);
        let date = self.date(row);
        if let (Some(tree), Some(date)) = (tree_id, date) {
            self.once(row, tree, date);
        }
        let measured = self.measured(row);
        let has_place = ["easting_m", "northing_m"].iter().any(|name| !row.cell(name).is_empty());
        let at = if has_place { place(row, &mut self.faults) } else { None };
        let (Some(tree_id), Some(date), Some(measured), true) = (tree_id, date, measured, single)
        else {
            return;
        };
        self.samples.push(LabSample {
            tree_id: tree_id.to_owned(),
            row: row.line,
            date,
            season: date.season(),
            ratio: measured.ratio,
            sugar: measured.sugar.map(|sugar| (sugar.amount(), sugar.basis())),
            below_limit: measured.below_limit,
            at,
        });
    }

    fn warn(&mut self, row: &Row<'_>, name: &str, [found, expected, remedy]: [&str; 3]) {
        let problem = Problem::warning(row.item(name)).place(row.line, row.column(name));
        self.warnings.push(problem.found(found).expected(expected).remedy(remedy));
    }

    /// Whether the sample is of one tree.
    fn is_single(&mut self, row: &Row<'_>, tree_id: Option<&str>) -> bool {
        let by_name = tree_id.filter(|id| pool::is_pooled(id));
        if let Some(id) = by_name {
            let found = format!("`{id}`, the name of a pool");
            self.faults.cell(row, "tree_id", [found.as_str(), ONE_TREE, SINGLY]);
        }
        let trees = row.cell("trees");
        let by_count = match trees.parse::<u64>() {
            Ok(1) => false,
            Ok(many) if many > 1 => {
                let found = format!("a pool of {many} trees");
                self.faults.cell(row, "trees", [found.as_str(), ONE_TREE, SINGLY]);
                true
            }
            _ if trees.is_empty() => false,
            _ => {
                let found = format!("`{trees}`");
                let remedy =
                    "write 1 where one tree was sampled; leave the column out where all are single";
                self.faults.cell(row, "trees", [found.as_str(), "1, or nothing", remedy]);
                true
            }
        };
        by_name.is_none() && !by_count
    }

    fn date(&mut self, row: &Row<'_>) -> Option<Day> {
        let cell = row.cell("date");
        if !row.has("date") {
            return None; // reported with the first row
        }
        let (found, remedy) = match cell.parse() {
            Ok(day) => return Some(day),
            Err(_) if cell.is_empty() => (
                "nothing".to_owned(),
                "write the day on which the nectar was taken: it tells the season",
            ),
            Err(DayFault::NoSuchDay) => {
                (format!("`{cell}`, which is no day of the calendar"), "check year, month and day")
            }
            Err(DayFault::Form) => (
                format!("`{cell}`"),
                "write year-month-day; in a spreadsheet give the column that format before you save",
            ),
        };
        let expected = "a day such as `2026-12-20` (ISO 8601)";
        self.faults.cell(row, "date", [found.as_str(), expected, remedy]);
        None
    }

    /// Reports a sample that was there before.
    fn once(&mut self, row: &Row<'r>, tree: &'r str, date: Day) {
        let lab_id = row.cell("lab_id");
        let Some(line) = self.seen.insert((tree, date, lab_id), row.line) else { return };
        let found = match lab_id {
            "" => format!("a sample of {date} again, as in row {line}, and no `lab_id`"),
            id => format!("a sample of {date} with `lab_id` `{id}` again, as in row {line}"),
        };
        let expected = "each sample once";
        let remedy = "take one of the rows out, or give two samples of one day a `lab_id` each";
        self.faults.cell(row, "tree_id", [found.as_str(), expected, remedy]);
    }

    fn measured(&mut self, row: &Row<'_>) -> Option<Measured> {
        let sugar = self.sugar(row);
        let name = match self.shape.dha.as_ref()? {
            Told::Amount(figure) => {
                let (dha, below_limit) = self.dha(row, figure)?;
                let sugar = sugar.ok()??;
                return self.sound(row, "dha", ratio(dha, sugar), below_limit, Some(sugar));
            }
            Told::Ratio => "ratio_mg_per_mg",
            Told::Normalised => "normalised_mg_per_kg",
        };
        let (value, below_limit) = self.needed(row, name)?;
        let ratio = if name == "ratio_mg_per_mg" { ratio_of } else { ratio_at_80_brix };
        self.sound(row, name, ratio(value), below_limit, sugar.ok()?)
    }

    /// A ratio that can be; one that is doubtful is warned of.
    fn sound(
        &mut self,
        row: &Row<'_>,
        name: &str,
        ratio: Result<DhaRatio, Impossible>,
        below_limit: bool,
        sugar: Option<Sugar>,
    ) -> Option<Measured> {
        let ratio = ratio.map_err(|fault| self.faults.cell(row, name, impossible::told(fault)));
        let ratio = ratio.ok()?;
        if is_doubtful(ratio) {
            let found = format!("{:.4} mg DHA to a mg of sugar", ratio.mg_per_mg());
            let expected =
                format!("at most {DOUBTFUL_RATIO}; published means of provenances are below 0.016");
            let remedy = "check figures and units against the report before the tree is believed";
            self.warn(row, name, [&found, &expected, remedy]);
        }
        Some(Measured { ratio: ratio.mg_per_mg(), below_limit, sugar })
    }

    fn dha(&mut self, row: &Row<'_>, figure: &Figure) -> Option<(Dha, bool)> {
        let value = self.needed(row, figure.name);
        let unit = self.unit(row, figure);
        let (value, below_limit) = value?;
        let dha = Dha::new(value, unit?)
            .map_err(|fault| self.faults.cell(row, figure.name, impossible::told(fault)));
        Some((dha.ok()?, below_limit))
    }

    /// DHA, which must be there; half of the limit where it lies below one.
    fn needed(&mut self, row: &Row<'_>, name: &str) -> Option<(f64, bool)> {
        match self.written(row, name).ok()? {
            Written::Plain(value) => Some((value, false)),
            Written::Below(limit) => Some((self.half(row, name, limit), true)),
            Written::Nothing => {
                let expected = "a number, or `<` and the least that the laboratory can tell";
                let remedy = "fill the cell, or take the row out";
                self.faults.cell(row, name, ["nothing", expected, remedy]);
                None
            }
        }
    }

    fn written(&mut self, row: &Row<'_>, name: &str) -> Result<Written, Reported> {
        written(row.cell(name)).map_err(|wrong| {
            self.faults.cell(row, name, wrong);
            Reported
        })
    }

    /// Half of a limit, warned of.
    fn half(&mut self, row: &Row<'_>, name: &str, limit: f64) -> f64 {
        let half = limit / 2.0;
        let found = format!("`{}`, below what the laboratory can tell", row.cell(name));
        let expected = "a figure that was measured";
        let remedy = format!(
            "check the report; half of the limit, {half}, stands for it (common practice, no source)"
        );
        self.warn(row, name, [&found, expected, &remedy]);
        half
    }

    /// The unit of an amount.
    fn unit(&mut self, row: &Row<'_>, figure: &Figure) -> Option<Unit> {
        let column = match figure.unit? {
            UnitFrom::Heading(unit) => return Some(unit),
            UnitFrom::Column(column) => column,
        };
        let word = row.cell(column);
        if !self.has_percent && is_bare_percent(word) {
            self.has_percent = true;
            let place = (row.line, row.column(column));
            self.warnings.push(bare_percent(&row.item(column), place));
        }
        let of_dha = figure.name == "dha";
        let wrong = match Unit::parse(word) {
            Ok(Unit::Brix) if of_dha => impossible::told(Impossible::DhaInBrix),
            Ok(unit) => return Some(unit),
            Err(fault) => impossible::no_unit(word, fault, of_dha),
        };
        self.faults.cell(row, column, wrong);
        None
    }

    /// Total sugar; `None` where a sheet of ratios has none in this row.
    fn sugar(&mut self, row: &Row<'_>) -> Result<Option<Sugar>, Reported> {
        let figures = self.shape.sugar.as_slice();
        let is_needed = matches!(self.shape.dha, Some(Told::Amount(_)));
        let is_blank = figures.iter().all(|figure| row.cell(figure.name).is_empty());
        if figures.is_empty() || (is_blank && !is_needed) {
            return Ok(None);
        }
        let parts: Vec<Option<(f64, Unit)>> =
            figures.iter().map(|figure| self.part(row, figure)).collect();
        let parts: Vec<(f64, Unit)> = parts.into_iter().collect::<Option<_>>().ok_or(Reported)?;
        let is_below = |figure: &Figure| row.cell(figure.name).starts_with('<');
        if figures.iter().all(is_below) {
            let name = figures[0].name;
            let found = format!("`{}`, below what the laboratory can tell", row.cell(name));
            let expected = "sugar that was measured";
            let remedy = "take the row out: DHA cannot be told beside sugar that was not found";
            self.faults.cell(row, name, [found.as_str(), expected, remedy]);
            return Err(Reported);
        }
        let sugar = Sugar::total(&parts).map_err(|fault| {
            let name = figures[guilty(&parts, fault)].name;
            self.faults.cell(row, name, impossible::told(fault));
            Reported
        })?;
        self.one_basis(row, &figures[0], sugar.basis())?;
        Ok(Some(sugar))
    }

    /// One sugar of a row.
    fn part(&mut self, row: &Row<'_>, figure: &Figure) -> Option<(f64, Unit)> {
        let value = self.written(row, figure.name);
        let unit = self.unit(row, figure);
        let value = match value.ok()? {
            Written::Plain(value) => value,
            Written::Below(limit) if self.shape.sugar.len() == 1 => limit, // refused with the row
            Written::Below(limit) => self.half(row, figure.name, limit),
            Written::Nothing => {
                let expected = "a number; 0 where the laboratory looked and found none";
                let remedy = "fill the cell, or take the row out";
                self.faults.cell(row, figure.name, ["nothing", expected, remedy]);
                return None;
            }
        };
        Some((value, unit?))
    }

    /// Sugar of a whole sheet is by one thing, so that samples can be set beside one another.
    fn one_basis(&mut self, row: &Row<'_>, figure: &Figure, basis: Basis) -> Result<(), Reported> {
        let (first, line) = *self.basis.get_or_insert((basis, row.line));
        if first == basis {
            return Ok(());
        }
        let name = match figure.unit {
            Some(UnitFrom::Column(column)) => column,
            _ => figure.name,
        };
        let found = format!("sugar {basis}, and {first} in row {line}");
        let expected = "all sugar of a sheet by weight, by volume or by flower";
        let remedy = "split the sheet in two, or have all of it told by one thing";
        self.faults.cell(row, name, [found.as_str(), expected, remedy]);
        Err(Reported)
    }
}

/// Which of several sugars a fault is about: the first by default.
fn guilty(parts: &[(f64, Unit)], fault: Impossible) -> usize {
    let is_it = |(value, unit): &(f64, Unit)| match fault {
        Impossible::SugarNotPositive { .. } => *value < 0.0,
        Impossible::SugarBases { other, .. } => unit.basis() == other,
        _ => false,
    };
    parts.iter().position(is_it).unwrap_or(0)
}
