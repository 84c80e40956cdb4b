//! Figures that cannot be, told so that the row can be mended.

use sourcing::amount::{Impossible, Unit, UnitFault};

use crate::sheet::Wrong;

/// What is wrong with a figure.
pub(super) fn told(fault: Impossible) -> Wrong {
    let (expected, remedy) = match fault {
        Impossible::NotFinite => {
            ("a number that can be meant", "check the figure against the report")
        }
        Impossible::DhaNotPositive { .. } => (
            "DHA above 0",
            "what the laboratory could not find is below its limit: write `<` and the limit, such as `<5`",
        ),
        Impossible::DhaInBrix => (
            "a unit of DHA, such as mg/kg",
            "°Brix tell sugar: write the unit that the report gives for DHA",
        ),
        Impossible::SugarNotPositive { .. } => (
            "sugar above 0",
            "nectar without sugar was not nectar: check the figure, or take the row out",
        ),
        Impossible::SugarOverWeight { .. } => (
            "at most 100 °Brix, that is 100 g of sugar in 100 g",
            "check the figure and its unit against the report",
        ),
        Impossible::SugarOverVolume { .. } => (
            "at most 1,590 g/L, that is solid sugar",
            "check the figure and its unit against the report",
        ),
        Impossible::SugarBases { .. } => (
            "all sugars by the same thing",
            "ask the laboratory for all of them by weight, by volume or by flower; without the density of \
             the nectar one cannot be turned into the other",
        ),
        Impossible::Bases { .. } => (
            "both by weight, both by volume or both by flower",
            "ask the laboratory for both by the same thing; without the density of the nectar one cannot be \
             turned into the other",
        ),
        Impossible::DhaOverSugar { .. } => (
            "less DHA than sugar; published means are below 0.016 mg/mg",
            "check both units: one of the two is most likely wrong",
        ),
    };
    [fault.to_string(), expected.to_owned(), remedy.to_owned()]
}

/// What is wrong with a word that is no unit.
pub(super) fn no_unit(word: &str, fault: UnitFault, of_dha: bool) -> Wrong {
    let units = Unit::all().filter(|unit| !of_dha || *unit != Unit::Brix);
    let names = units.map(Unit::name).collect::<Vec<_>>().join(", ");
    let (found, remedy) = match fault {
        UnitFault::Nothing => {
            ("no unit".to_owned(), "write the unit of the report; it is never guessed".to_owned())
        }
        UnitFault::Unknown => (
            format!("the unknown unit `{word}`"),
            "write one of these as the report has it, or convert the figures".to_owned(),
        ),
        UnitFault::Ambiguous(one, other) => (
            format!("`{word}`, which may be {one} or {other}"),
            format!("ask the laboratory and write {one} or {other}"),
        ),
    };
    [found, format!("one of {names}"), remedy]
}
