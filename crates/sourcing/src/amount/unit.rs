//! Units of laboratory figures: read, never guessed, and what they are by.

use std::fmt;

/// What an amount is counted by. Amounts of two bases cannot be divided by one another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Basis {
    /// By weight of nectar; reckoned in mg/kg.
    Weight,
    /// By volume of nectar, or of what it was washed off with; reckoned in mg/L.
    Volume,
    /// By flower; reckoned in mg a flower.
    Flower,
    /// By sample, as it was handed in; reckoned in mg a sample.
    Sample,
}

impl Basis {
    /// The unit in which amounts of this basis are reckoned.
    #[must_use]
    pub fn unit(self) -> Unit {
        match self {
            Self::Weight => Unit::MgPerKg,
            Self::Volume => Unit::MgPerL,
            Self::Flower => Unit::MgPerFlower,
            Self::Sample => Unit::MgPerSample,
        }
    }
}

impl fmt::Display for Basis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Weight => "by weight",
            Self::Volume => "by volume",
            Self::Flower => "by flower",
            Self::Sample => "by sample",
        })
    }
}

/// A unit of DHA or sugar as laboratories report them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unit {
    /// mg/kg.
    MgPerKg,
    /// µg/g, the same number as mg/kg.
    UgPerG,
    /// mg/g.
    MgPerG,
    /// g/kg.
    GPerKg,
    /// mg/100g.
    MgPer100G,
    /// g/100g, the same as % w/w.
    GPer100G,
    /// °Brix: g of dissolved matter, taken as sugar, in 100 g. Of sugar alone.
    Brix,
    /// mg/L.
    MgPerL,
    /// µg/mL, the same number as mg/L.
    UgPerMl,
    /// mg/mL.
    MgPerMl,
    /// g/L.
    GPerL,
    /// g/100mL, the same as % w/v.
    GPer100Ml,
    /// mg a flower.
    MgPerFlower,
    /// µg a flower.
    UgPerFlower,
    /// mg a sample.
    MgPerSample,
    /// µg a sample.
    UgPerSample,
}

/// Each unit with its name, its basis, and how much of the basis' own unit it is.
const UNITS: [(Unit, &str, Basis, f64); 16] = [
    (Unit::MgPerKg, "mg/kg", Basis::Weight, 1.0),
    (Unit::UgPerG, "µg/g", Basis::Weight, 1.0),
    (Unit::MgPerG, "mg/g", Basis::Weight, 1e3),
    (Unit::GPerKg, "g/kg", Basis::Weight, 1e3),
    (Unit::MgPer100G, "mg/100g", Basis::Weight, 10.0),
    (Unit::GPer100G, "g/100g", Basis::Weight, 1e4),
    (Unit::Brix, "°Brix", Basis::Weight, 1e4),
    (Unit::MgPerL, "mg/L", Basis::Volume, 1.0),
    (Unit::UgPerMl, "µg/mL", Basis::Volume, 1.0),
    (Unit::MgPerMl, "mg/mL", Basis::Volume, 1e3),
    (Unit::GPerL, "g/L", Basis::Volume, 1e3),
    (Unit::GPer100Ml, "g/100mL", Basis::Volume, 1e4),
    (Unit::MgPerFlower, "mg/flower", Basis::Flower, 1.0),
    (Unit::UgPerFlower, "µg/flower", Basis::Flower, 1e-3),
    (Unit::MgPerSample, "mg/sample", Basis::Sample, 1.0),
    (Unit::UgPerSample, "µg/sample", Basis::Sample, 1e-3),
];

/// Other words for units, as [`plain`] leaves them.
const WORDS: [(&str, Unit); 18] = [
    ("%", Unit::GPer100G),
    ("pct", Unit::GPer100G),
    ("percent", Unit::GPer100G),
    ("%w/w", Unit::GPer100G),
    ("w/w%", Unit::GPer100G),
    ("%ww", Unit::GPer100G),
    ("pctw/w", Unit::GPer100G),
    ("percentw/w", Unit::GPer100G),
    ("%m/m", Unit::GPer100G),
    ("%w/v", Unit::GPer100Ml),
    ("w/v%", Unit::GPer100Ml),
    ("%m/v", Unit::GPer100Ml),
    ("brix", Unit::Brix),
    ("bx", Unit::Brix),
    ("°bx", Unit::Brix),
    ("degbrix", Unit::Brix),
    ("degreesbrix", Unit::Brix),
    ("degreebrix", Unit::Brix),
];

/// Why a word is no unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UnitFault {
    /// There is no word.
    Nothing,
    /// No unit that is known.
    Unknown,
    /// It may be one of two, which differ in basis.
    Ambiguous(Unit, Unit),
}

impl Unit {
    /// Every unit.
    pub fn all() -> impl Iterator<Item = Self> {
        UNITS.into_iter().map(|(unit, ..)| unit)
    }

    /// Reads a unit as people write it: in any case, with µ, μ or u, with `/`, `per` or `-1`, spaces or
    /// underscores.
    ///
    /// ```
    /// use sourcing::amount::Unit;
    /// for word in ["mg/kg", "MG/KG", "mg_per_kg", "mg kg-1", "mg kg⁻¹", "[mg/kg]"] {
    ///     assert_eq!(Unit::parse(word), Ok(Unit::MgPerKg));
    /// }
    /// assert!(Unit::parse("ppm").is_err()); // by weight or by volume: it does not say
    /// ```
    ///
    /// # Errors
    /// When there is no word, none that is known, or one that may mean two things.
    pub fn parse(word: &str) -> Result<Self, UnitFault> {
        let plain = plain(word);
        if plain.is_empty() {
            return Err(UnitFault::Nothing);
        }
        if plain == "ppm" {
            return Err(UnitFault::Ambiguous(Self::MgPerKg, Self::MgPerL));
        }
        let named = UNITS.iter().find(|(_, name, ..)| is_same(&plain, name));
        let other = || WORDS.iter().find(|(other, _)| *other == plain).map(|(_, unit)| *unit);
        named.map(|(unit, ..)| *unit).or_else(other).ok_or(UnitFault::Unknown)
    }

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.entry().1
    }

    /// What it is by.
    #[must_use]
    pub fn basis(self) -> Basis {
        self.entry().2
    }

    /// How much of the unit of its basis one of it is: 1,000 for g/kg, which are mg/kg.
    #[must_use]
    pub fn size(self) -> f64 {
        self.entry().3
    }

    fn entry(self) -> &'static (Self, &'static str, Basis, f64) {
        UNITS.iter().find(|(unit, ..)| *unit == self).unwrap_or(&UNITS[0]) // a test finds each
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// Whether a word is a percentage that does not say of what. It is read as % w/w; readers say so.
#[must_use]
pub fn is_bare_percent(word: &str) -> bool {
    matches!(plain(word).as_str(), "%" | "pct" | "percent")
}

/// Whether a plain word is a unit's name.
fn is_same(plain: &str, name: &str) -> bool {
    let same = |found: char, named: char| {
        found == named.to_ascii_lowercase() || (found == 'u' && named == 'µ')
    };
    plain.chars().count() == name.chars().count()
        && plain.chars().zip(name.chars()).all(|(found, named)| same(found, named))
}

/// A word in small letters, one mark for each thing that has several, `/` for `per` and `-1`, no gaps.
fn plain(word: &str) -> String {
    let one = |letter: char| match letter {
        'µ' | 'μ' | 'Μ' => 'u',
        'º' | '˚' => '°',
        '⁻' | '−' | '–' => '-',
        '¹' => '1',
        '·' | '⋅' | '.' | '*' | '_' | '(' | ')' | '[' | ']' | '\u{a0}' | '\u{202f}' => ' ',
        _ => letter.to_ascii_lowercase(),
    };
    let word: String = word.chars().map(one).collect();
    let mut word = word.split_whitespace().collect::<Vec<_>>().join(" ").replace(" per ", "/");
    let upside = word.strip_suffix("-1").map(|rest| rest.trim_end_matches('^').trim_end());
    if let Some((above, below)) = upside.and_then(|rest| rest.split_once(' ')) {
        word = format!("{above}/{below}");
    }
    word.retain(|letter| letter != ' ');
    let word = word.replace("litre", "l").replace("liter", "l").replace("flowers", "flower");
    word.strip_prefix("mcg").map_or(word.clone(), |rest| format!("ug{rest}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_unit_is_in_the_table_once_and_read_by_its_name() {
        for (at, (unit, name, basis, size)) in UNITS.into_iter().enumerate() {
            assert_eq!(Unit::parse(name), Ok(unit), "{name}");
            assert_eq!(Unit::parse(&name.to_uppercase()), Ok(unit), "{name}");
            assert_eq!((unit.name(), unit.basis()), (name, basis));
            assert!((unit.size() - size).abs() < 1e-12);
            assert_eq!(Unit::all().position(|one| one == unit), Some(at));
        }
        for basis in [Basis::Weight, Basis::Volume, Basis::Flower, Basis::Sample] {
            assert_eq!(basis.unit().basis(), basis);
            assert!((basis.unit().size() - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn units_are_read_as_people_write_them() {
        for (word, unit) in [
            ("mg kg-1", Unit::MgPerKg),
            ("mg kg^-1", Unit::MgPerKg),
            ("mg·kg⁻¹", Unit::MgPerKg),
            ("mg_per_kg", Unit::MgPerKg),
            (" Mg / Kg ", Unit::MgPerKg),
            ("µg/g", Unit::UgPerG),
            ("μg/g", Unit::UgPerG),
            ("ug/g", Unit::UgPerG),
            ("mcg/g", Unit::UgPerG),
            ("ug_per_g", Unit::UgPerG),
            ("g/100 g", Unit::GPer100G),
            ("g per 100 g", Unit::GPer100G),
            ("g 100g-1", Unit::GPer100G),
            ("% w/w", Unit::GPer100G),
            ("% (w/w)", Unit::GPer100G),
            ("%", Unit::GPer100G),
            ("% w/v", Unit::GPer100Ml),
            ("g/100 ml", Unit::GPer100Ml),
            ("mg/litre", Unit::MgPerL),
            ("mg l-1", Unit::MgPerL),
            ("ug mL-1", Unit::UgPerMl),
            ("°Brix", Unit::Brix),
            ("ºBrix", Unit::Brix),
            ("° Bx", Unit::Brix),
            ("BRIX", Unit::Brix),
            ("deg Brix", Unit::Brix),
            ("ug per flower", Unit::UgPerFlower),
            ("mg flower-1", Unit::MgPerFlower),
            ("µg/sample", Unit::UgPerSample),
        ] {
            assert_eq!(Unit::parse(word), Ok(unit), "{word}");
        }
    }

    #[test]
    fn what_is_no_unit_is_not_guessed() {
        for word in ["kg", "mg", "mg/", "/kg", "mg/kgs", "mmol/L", "g", "mean", "-1", "1", "mg-1"] {
            assert_eq!(Unit::parse(word), Err(UnitFault::Unknown), "{word}");
        }
        for word in ["", "  ", "()", "_"] {
            assert_eq!(Unit::parse(word), Err(UnitFault::Nothing), "{word}");
        }
        let ambiguous = UnitFault::Ambiguous(Unit::MgPerKg, Unit::MgPerL);
        assert_eq!(Unit::parse("PPM"), Err(ambiguous));
        assert!(is_bare_percent(" % ") && is_bare_percent("Percent") && !is_bare_percent("% w/w"));
    }
}
