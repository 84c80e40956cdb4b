//! A number as people write it in a cell, and what is wrong with it.

use crate::sheet::Wrong;

/// What stands in a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Written {
    /// Nothing.
    Nothing,
    /// A number.
    Plain(f64),
    /// `<5`: less than the laboratory can tell.
    Below(f64),
}

/// Why a cell is no number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Slip {
    NotDetected,
    Above,
    Percent,
    Thousands,
    Comma,
    Unit,
    NoNumber,
}

/// Words by which laboratories say that they found nothing, in small letters without points and blanks.
const NOT_DETECTED: [&str; 14] = [
    "nd",
    "n/d",
    "notdetected",
    "bdl",
    "bql",
    "<lod",
    "<loq",
    "<dl",
    "lod",
    "loq",
    "trace",
    "tr",
    "none",
    "<",
];

/// Reads a cell.
///
/// # Errors
/// What is wrong with it, and how to write it.
pub(super) fn written(cell: &str) -> Result<Written, Wrong> {
    if cell.is_empty() {
        return Ok(Written::Nothing);
    }
    if let Some(number) = plain(cell) {
        return Ok(Written::Plain(number));
    }
    let limit = cell.strip_prefix('<').map(str::trim_start);
    if let Some(number) = limit.and_then(plain).filter(|limit| *limit > 0.0) {
        return Ok(Written::Below(number));
    }
    Err(slip(cell).told(cell))
}

/// A number with a point and no more: no separators, no unit, nothing infinite.
fn plain(cell: &str) -> Option<f64> {
    let is_plain = |byte: u8| matches!(byte, b'0'..=b'9' | b'.' | b'-' | b'+' | b'e' | b'E');
    let number: f64 = cell.bytes().all(is_plain).then(|| cell.parse().ok())??;
    number.is_finite().then_some(number)
}

/// What is wrong with a cell that holds no number.
fn slip(cell: &str) -> Slip {
    let word: String =
        cell.chars().filter(|c| !matches!(c, '.' | ' ')).collect::<String>().to_lowercase();
    if NOT_DETECTED.contains(&word.as_str()) || word.chars().all(|c| matches!(c, '-' | '–' | '—'))
    {
        return Slip::NotDetected;
    }
    let figure = cell.trim_start_matches(['<', '>', '≤', '≥', ' ', '+', '-', '−']);
    if !figure.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',')) {
        return Slip::NoNumber;
    }
    if figure.ends_with('%') {
        return Slip::Percent;
    }
    let of_number = |c: char| {
        c.is_ascii_digit() || matches!(c, '.' | ',' | '\'' | '’' | ' ' | '\u{a0}' | '\u{202f}')
    };
    let digits = figure.trim_end_matches(|c: char| !c.is_ascii_digit());
    if !figure.chars().all(of_number) {
        let rest = figure.trim_start_matches(of_number);
        let is_power = rest.strip_prefix(['e', 'E']).is_some_and(|power| plain(power).is_some());
        let is_unit = !is_power
            && rest.starts_with(|c: char| {
                c.is_alphabetic() || matches!(c, '°' | 'º' | '%' | '[' | '(')
            });
        return if is_unit { Slip::Unit } else { Slip::NoNumber };
    }
    if is_in_thousands(digits) {
        Slip::Thousands
    } else if digits.contains(',') {
        Slip::Comma
    } else if cell.starts_with(['>', '≥']) {
        Slip::Above
    } else {
        Slip::NoNumber
    }
}

/// Whether digits stand in groups of three, as in `3,500`, `3 500`, `3.500,5` or `1.250.000`.
fn is_in_thousands(digits: &str) -> bool {
    let groups: Vec<&str> = digits.split(|c: char| !c.is_ascii_digit()).collect();
    let marks: Vec<char> = digits.chars().filter(|c| !c.is_ascii_digit()).collect();
    let (Some(first), Some(mark)) = (groups.first(), marks.first()) else { return false };
    let led = (1..=3).contains(&first.len()) && groups.get(1).is_some_and(|group| group.len() == 3);
    // One point alone is a decimal point, which a plain number has.
    led && (*mark != '.' || marks.len() > 1)
}

impl Slip {
    fn told(self, cell: &str) -> Wrong {
        let found = format!("`{cell}`");
        let (expected, remedy) = match self {
            Self::NotDetected => (
                "a number, or `<` and the least that the laboratory can tell",
                "ask the laboratory for its limit and write it as `<5`, or take the row out".to_owned(),
            ),
            Self::Above => (
                "a number that was measured",
                "have the sample thinned and measured again, or take the row out".to_owned(),
            ),
            Self::Percent => (
                "a plain number without a percent sign",
                "take the sign out and write `% w/w` as the unit, in the heading or in the column of units"
                    .to_owned(),
            ),
            Self::Thousands => (
                "a plain number without separators of thousands",
                format!("write `{}`; if the comma is a decimal one, write a point", ungrouped(cell)),
            ),
            Self::Comma => (
                "a number with a decimal point",
                format!(
                    "write `{}`, with a point, whether commas or semicolons stand between the cells",
                    cell.replace(',', ".")
                ),
            ),
            Self::Unit => (
                "a plain number without its unit",
                "take the unit out of the cell; it stands in the heading or in a column of units"
                    .to_owned(),
            ),
            Self::NoNumber => ("a number", "write digits, with a point before decimals".to_owned()),
        };
        [found, expected.to_owned(), remedy]
    }
}

/// A number without its separators of thousands: the first mark and all like it go, another is the point.
fn ungrouped(cell: &str) -> String {
    let is_mark = |c: char| !c.is_ascii_digit() && !matches!(c, '<' | '>' | '-' | '+');
    let first = cell.trim_start_matches(['<', '>', ' ']).chars().find(|c| is_mark(*c));
    let one = |c: char| match c {
        _ if Some(c) == first => None,
        ',' => Some('.'),
        c => Some(c),
    };
    cell.chars().filter_map(one).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn numbers_are_read() {
        for (cell, number) in
            [("3500", 3_500.0), ("3.500", 3.5), ("-2", -2.0), ("1e3", 1e3), (".5", 0.5)]
        {
            assert_eq!(written(cell), Ok(Written::Plain(number)), "{cell}");
        }
        assert_eq!(written("<5"), Ok(Written::Below(5.0)));
        assert_eq!(written("< 0.5"), Ok(Written::Below(0.5)));
        assert_eq!(written(""), Ok(Written::Nothing));
    }

    #[test]
    fn slips_are_told_apart() {
        for (cell, kind) in [
            ("nd", Slip::NotDetected),
            ("N.D.", Slip::NotDetected),
            ("not detected", Slip::NotDetected),
            ("<LOD", Slip::NotDetected),
            ("-", Slip::NotDetected),
            ("<", Slip::NotDetected),
            (">5000", Slip::Above),
            (">3.500", Slip::Above),
            ("25%", Slip::Percent),
            ("25 %", Slip::Percent),
            ("3,500", Slip::Thousands),
            ("3 500", Slip::Thousands),
            ("3'500.5", Slip::Thousands),
            ("3.500,5", Slip::Thousands),
            ("1.250.000", Slip::Thousands),
            ("<1,000", Slip::Thousands),
            ("3,5", Slip::Comma),
            ("<0,5", Slip::Comma),
            ("3500,25", Slip::Comma),
            ("3500 mg/kg", Slip::Unit),
            ("25°Bx", Slip::Unit),
            ("25 °Brix", Slip::Unit),
            ("25 % w/w", Slip::Unit),
            ("NaN", Slip::NoNumber),
            ("inf", Slip::NoNumber),
            ("1e999", Slip::NoNumber),
            ("3-4", Slip::NoNumber),
            ("x", Slip::NoNumber),
            ("<0", Slip::NoNumber),
            ("<-5", Slip::NoNumber),
            ("1.2.3", Slip::NoNumber),
        ] {
            assert!(written(cell).is_err(), "{cell}");
            assert_eq!(slip(cell), kind, "{cell}");
        }
    }

    #[test]
    fn remedies_write_the_number_as_it_should_be() {
        for (cell, right) in [
            ("3,500", "`3500`"),
            ("3.500,5", "`3500.5`"),
            ("3,500.5", "`3500.5`"),
            ("3 500,5", "`3500.5`"),
            ("<1,000", "`<1000`"),
            ("3,5", "`3.5`"),
        ] {
            let [_, _, remedy] = written(cell).unwrap_err();
            assert!(remedy.contains(right), "{cell}: {remedy}");
        }
    }

    proptest! {
        /// What is written plainly is read as it is; nothing read is infinite; no text breaks the reader.
        #[test]
        fn numbers_go_round(number in -1e9_f64..1e9, text in "\\PC{0,12}") {
            prop_assert_eq!(written(&number.to_string()), Ok(Written::Plain(number)));
            if let Ok(Written::Plain(read) | Written::Below(read)) = written(text.trim()) {
                prop_assert!(read.is_finite());
            }
        }
    }
}
