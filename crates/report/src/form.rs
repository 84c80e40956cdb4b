//! How values become words: always the same way, so that a reader can do it again.

use serde_json::Value;
use spatial::units::grouped_digits;

/// What stands for a value that is not known.
pub(crate) const NOT_KNOWN: &str = "–";

/// A way of writing a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// A text as it is; lists with commas.
    Text,
    /// A text with blanks for underscores.
    Words,
    /// A whole number with commas.
    Count,
    /// A number with so many decimals and commas.
    Fixed(usize),
    /// A year: a whole number without commas.
    Year,
    /// A share, 0 to 1, in per cent with so many decimals.
    Percent(usize),
    /// Whole New Zealand dollars with commas.
    Dollars,
}

impl Form {
    /// A value in words; `–` where it is not known.
    ///
    /// ```
    /// use report::Form;
    /// use serde_json::json;
    /// assert_eq!(Form::Fixed(1).words(&json!(1234.56)), "1,234.6");
    /// assert_eq!(Form::Percent(0).words(&json!(0.254)), "25 %");
    /// assert_eq!(Form::Dollars.words(&json!(-1234.5)), "−1,235");
    /// assert_eq!(Form::Count.words(&json!(null)), "–");
    /// ```
    #[must_use]
    pub fn words(self, value: &Value) -> String {
        match (self, value) {
            (_, Value::Null) => NOT_KNOWN.to_owned(),
            (Self::Text | Self::Words, Value::Array(all)) => {
                all.iter().map(|one| self.words(one)).collect::<Vec<_>>().join(", ")
            }
            (Self::Words, Value::String(text)) => text.replace('_', " "),
            (_, Value::String(text)) => text.clone(),
            (_, Value::Bool(is_so)) => if *is_so { "yes" } else { "no" }.to_owned(),
            // A whole number is written as it stands: not all of them are floating-point numbers.
            (Self::Text | Self::Words, Value::Number(number)) => number.to_string(),
            (Self::Year, Value::Number(number)) if !number.is_f64() => number.to_string(),
            (Self::Count, Value::Number(number)) if number.is_u64() => {
                grouped_digits(&number.to_string())
            }
            (_, Value::Number(number)) => self.number(number.as_f64().unwrap_or(f64::NAN)),
            (_, other) => other.to_string(),
        }
    }

    fn number(self, value: f64) -> String {
        match self {
            Self::Text | Self::Words | Self::Year => format!("{value:.0}"),
            Self::Count | Self::Dollars => grouped(value, 0),
            Self::Fixed(decimals) => grouped(value, decimals),
            Self::Percent(decimals) => format!("{} %", grouped(value * 100.0, decimals)),
        }
    }

    /// Its name in a page, for those who check.
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::Text => "text".to_owned(),
            Self::Words => "words".to_owned(),
            Self::Count => "count".to_owned(),
            Self::Year => "year".to_owned(),
            Self::Dollars => "dollars".to_owned(),
            Self::Fixed(decimals) => format!("fixed-{decimals}"),
            Self::Percent(decimals) => format!("percent-{decimals}"),
        }
    }
}

/// A number with commas between thousands and a true minus sign; halves go away from 0.
fn grouped(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    // As printed, but halves away from 0: 2.5 is 3, not the even 2.
    let scale = 10_f64.powi(decimals as i32);
    let rounded = (value.abs() * scale).round() / scale;
    let text = format!("{rounded:.decimals$}");
    let (whole, rest) = text.split_at(text.find('.').unwrap_or(text.len()));
    let sign = if value < 0.0 && rounded > 0.0 { "−" } else { "" };
    format!("{sign}{}{rest}", grouped_digits(whole))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// The first whole number that is no floating-point number of 64 bits, IEEE 754: 2⁵³ + 1.
    #[test]
    fn whole_numbers_are_written_as_they_stand() {
        let seed = serde_json::json!((1_u64 << 53) + 1);
        for form in [Form::Text, Form::Words, Form::Year] {
            assert_eq!(form.words(&seed), "9007199254740993");
        }
        assert_eq!(Form::Count.words(&seed), "9,007,199,254,740,993");
        assert_eq!(Form::Text.words(&serde_json::json!(u64::MAX)), u64::MAX.to_string());
        assert_eq!(Form::Text.words(&serde_json::json!(0.5)), "0.5");
        assert_eq!(Form::Year.words(&serde_json::json!(2027.0)), "2027");
    }

    #[test]
    fn numbers_are_grouped() {
        let cases = [(0.0, 0, "0"), (999.5, 0, "1,000"), (-0.2, 0, "0"), (1e6, 2, "1,000,000.00")];
        for (value, decimals, words) in cases {
            assert_eq!(grouped(value, decimals), words);
        }
        assert_eq!(grouped(f64::NAN, 1), "–");
    }

    proptest! {
        #[test]
        fn grouping_loses_nothing(value in -1e9_f64..1e9, decimals in 0_usize..4) {
            let plain = grouped(value, decimals).replace(',', "").replace('−', "-");
            let read: f64 = plain.parse().unwrap();
            prop_assert!((read - value).abs() <= 0.500_001 * 10_f64.powi(-(decimals as i32)));
        }
    }
}
