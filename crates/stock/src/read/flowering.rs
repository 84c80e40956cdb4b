//! `[stock.flowering]`.

use toml_edit::Value;

use super::faults::Faults;
use super::section::Section;
use crate::{Flowering, YearDay};

/// Reads the window; `None` when a part that it cannot be without is faulty.
pub(super) fn flowering(section: &Section<'_>, faults: &mut Faults<'_>) -> Option<Flowering> {
    section.refuse_unlisted(faults);
    for required in ["begins", "ends", "elevation_m"] {
        section.require(required, faults);
    }
    let begins = day(section, "begins", faults);
    let ends = day(section, "ends", faults);
    let elevation_m = section.amount("elevation_m", faults);
    let shift = section.amount("shift_days_per_100m", faults);
    let seen = Flowering::new(begins?, ends?).at(elevation_m?);
    Some(shift.map_or(seen, |shift| seen.shifting(shift)))
}

fn day(section: &Section<'_>, key: &str, faults: &mut Faults<'_>) -> Option<YearDay> {
    let item = section.item_at(key)?;
    let (found, day) = match item.as_value() {
        Some(Value::String(text)) => (format!("`{}`", text.value()), parsed(text.value())),
        Some(Value::Integer(number)) => {
            let day = u16::try_from(*number.value()).ok().and_then(YearDay::new);
            (number.value().to_string(), day)
        }
        _ => {
            let remedy = "write month and day in quotation marks";
            section.wrong_type(key, item, &section.expected(key), remedy, faults);
            return None;
        }
    };
    if day.is_none() {
        let remedy = "write the month before the day; 29 February is not counted";
        section.wrong(key, found, section.expected(key), remedy, faults);
    }
    day
}

/// A day from `09-20`, or from `20-Sep` or `20 Sep`, as spreadsheets rewrite it.
fn parsed(text: &str) -> Option<YearDay> {
    const MONTHS: [&str; 12] =
        ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let (first, second) = text.trim().split_once(['-', ' '])?;
    let name = second.trim().to_lowercase();
    match MONTHS.iter().position(|month| *month == name) {
        Some(month) => YearDay::from_month_day(month as u16 + 1, number(first)?),
        None => YearDay::from_month_day(number(first)?, number(second)?),
    }
}

/// One or two digits.
fn number(text: &str) -> Option<u16> {
    let plain = (1..=2).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit());
    text.parse().ok().filter(|_| plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_read_in_the_ways_it_is_written() {
        for text in ["09-20", "9-20", " 09-20 ", "20-Sep", "20 sep"] {
            assert_eq!(parsed(text), YearDay::from_month_day(9, 20), "{text}");
        }
        for text in
            ["", "20", "20-09", "02-29", "9/20", "09-20-2027", "+9-20", "September", "3-Mai"]
        {
            assert_eq!(parsed(text), None, "{text}");
        }
    }
}
