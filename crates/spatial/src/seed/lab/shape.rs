//! How a lab sheet tells DHA and sugar: by which columns, in which units.

use csv::StringRecord;
use sourcing::amount::{Impossible, Unit, is_bare_percent};

use super::{heading, impossible};
use crate::faults::Faults;
use crate::problem::Problem;
use crate::sheet::Columns;

/// Columns that tell DHA; a sheet has one of them.
const DHA: [&str; 3] = ["dha", "ratio_mg_per_mg", "normalised_mg_per_kg"];
/// Columns that are added up to the sugar, where it has no column of its own.
const PARTS: [&str; 3] = ["glucose", "fructose", "sucrose"];

/// How a sheet tells DHA.
pub(super) enum Told {
    /// As an amount, to be divided by the sugar.
    Amount(Figure),
    /// As DHA over sugar, mg/mg.
    Ratio,
    /// As DHA at 80 °Brix, mg/kg.
    Normalised,
}

/// A column of amounts.
pub(super) struct Figure {
    pub name: &'static str,
    /// `None`: it has none that is known, which has been reported.
    pub unit: Option<UnitFrom>,
}

/// Where an amount's unit is told.
#[derive(Clone, Copy)]
pub(super) enum UnitFrom {
    Heading(Unit),
    Column(&'static str),
}

/// How a sheet tells DHA and sugar.
pub(super) struct Shape {
    /// `None`: in no way that is known, which has been reported.
    pub dha: Option<Told>,
    /// Its one column of sugar, those that are added up, or none.
    pub sugar: Vec<Figure>,
}

/// The first row of a sheet while its columns are looked through.
struct Header<'h, 'f> {
    names: &'h StringRecord,
    line: usize,
    columns: &'h Columns<'h>,
    faults: &'h mut Faults<'f>,
    warnings: &'h mut Vec<Problem>,
}

/// Looks through the columns of a first row.
pub(super) fn shape(
    names: &StringRecord,
    line: usize,
    columns: &Columns<'_>,
    faults: &mut Faults<'_>,
    warnings: &mut Vec<Problem>,
) -> Shape {
    let mut header = Header { names, line, columns, faults, warnings };
    let sugar = header.sugar();
    let dha = header.dha(!sugar.is_empty());
    header.pair("easting_m", "northing_m");
    header.pair("northing_m", "easting_m");
    Shape { dha, sugar }
}

impl Header<'_, '_> {
    fn report(&mut self, name: &str, wrong: [impl Into<String>; 3]) {
        let [found, expected, remedy] = wrong;
        let problem = Problem::error(format!("column `{name}`")).found(found);
        let problem = problem.expected(expected).remedy(remedy);
        self.faults.report(self.line, self.columns.column(name), problem);
    }

    fn dha(&mut self, has_sugar: bool) -> Option<Told> {
        let told: Vec<&str> = DHA.into_iter().filter(|name| self.columns.has(name)).collect();
        match told[..] {
            [] => {
                let remedy = "add the column that the report has, with its unit: `dha (mg/kg)`";
                let expected = format!("one of {}", DHA.join(", "));
                self.report("dha", ["nothing", &expected, remedy]);
                None
            }
            ["dha"] => {
                if !has_sugar {
                    let expected = "a column of sugar, to tell DHA beside it";
                    let remedy = "add `sugar (°Brix)`, or `glucose`, `fructose` and `sucrose` with \
                                  their units";
                    self.report("sugar", ["nothing", expected, remedy]);
                }
                Some(Told::Amount(self.figure("dha", None)))
            }
            ["ratio_mg_per_mg"] => Some(Told::Ratio),
            [_] => Some(Told::Normalised),
            [first, second, ..] => {
                let found = format!("`{second}` beside `{first}`");
                let remedy = "take all but one out: two figures of one thing may differ";
                self.report(second, [found.as_str(), "DHA told in one way", remedy]);
                None
            }
        }
    }

    fn sugar(&mut self) -> Vec<Figure> {
        let parts: Vec<&'static str> =
            PARTS.into_iter().filter(|name| self.columns.has(name)).collect();
        if !self.columns.has("sugar") {
            self.whole_sugar(&parts);
            let shared = self.columns.has("sugar_unit").then_some("sugar_unit");
            return parts.into_iter().map(|name| self.figure(name, shared)).collect();
        }
        if let Some(part) = parts.first() {
            let found = format!("`{part}` beside `sugar`");
            let remedy = "take the total out, or its parts: two figures of one thing may differ";
            self.report(part, [found.as_str(), "sugar told in one way", remedy]);
        }
        vec![self.figure("sugar", None)]
    }

    /// Reports sugar of which a main part is missing: DHA beside the rest would look like more.
    fn whole_sugar(&mut self, parts: &[&str]) {
        for name in ["glucose", "fructose"] {
            if !parts.is_empty() && !parts.contains(&name) {
                let expected = "`glucose` and `fructose`, with `sucrose` where it was measured";
                let remedy = "add the column, or write the total as `sugar`";
                self.report(name, ["nothing", expected, remedy]);
            }
        }
    }

    /// A column of amounts with its unit; `shared` is a column of units that several have.
    fn figure(&mut self, name: &'static str, shared: Option<&'static str>) -> Figure {
        let heading =
            self.columns.place(name).and_then(|at| self.names.get(at)).unwrap_or_default();
        let word = heading::unit(heading.trim());
        let own = super::SHEET
            .columns()
            .find(|column| column.strip_suffix("_unit") == Some(name) && self.columns.has(column));
        let unit = match (word, own.or(shared)) {
            ("", Some(column)) => Some(UnitFrom::Column(column)),
            ("", None) => {
                let expected = format!("its unit, in the heading or in a column `{name}_unit`");
                let remedy = format!(
                    "write the unit of the report, such as `{name} (mg/kg)`; it is never guessed"
                );
                self.report(name, ["no unit", &expected, &remedy]);
                None
            }
            (word, Some(column)) if own.is_some() => {
                let found = format!("`{word}` in the heading, and a column `{column}`");
                let remedy = "take the unit out of the heading, or the column out";
                self.report(name, [found.as_str(), "its unit told once", remedy]);
                None
            }
            (word, _) => self.unit(name, word).map(UnitFrom::Heading),
        };
        Figure { name, unit }
    }

    fn unit(&mut self, name: &str, word: &str) -> Option<Unit> {
        let of_dha = name == "dha";
        if is_bare_percent(word) {
            let place = (self.line, self.columns.column(name));
            self.warnings.push(bare_percent(&format!("column `{name}`"), place));
        }
        match Unit::parse(word) {
            Ok(Unit::Brix) if of_dha => {
                self.report(name, impossible::told(Impossible::DhaInBrix));
                None
            }
            Ok(unit) => Some(unit),
            Err(fault) => {
                self.report(name, impossible::no_unit(word, fault, of_dha));
                None
            }
        }
    }

    /// A column that is of no use without another.
    fn pair(&mut self, name: &str, other: &str) {
        if self.columns.has(name) && !self.columns.has(other) {
            let expected = format!("`{name}` and `{other}`, or neither");
            self.report(other, ["nothing", &expected, "add the column, or take the other one out"]);
        }
    }
}

/// A percentage that does not say of what.
pub(super) fn bare_percent(item: &str, (line, column): (usize, usize)) -> Problem {
    let problem = Problem::warning(item).place(line, column).found("`%`, taken as % w/w");
    let problem = problem.expected("`% w/w` or `% w/v`");
    problem.remedy("see whether the report means weight or volume, and write it out")
}
