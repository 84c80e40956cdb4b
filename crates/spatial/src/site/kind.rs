//! The kinds of value a key takes: what is expected, and whether a value is one.

use toml_edit::{Array, Item, TableLike, Value};

use super::fault::{Fault, kind_in_words};
use super::limits::{Limits, Order};
use super::list;

/// Longest text, characters; a description longer than this is pasted by mistake.
const LONGEST_TEXT: usize = 1000;

/// What kind of value a key takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// A table of further keys.
    Section,
    /// Any number of tables of further keys, each under a heading in double brackets.
    Sections,
    /// Text that is not blank.
    Text,
    /// A list of texts, none twice; may not be empty.
    Texts,
    /// A file, relative to the folder of `site.toml`.
    File,
    /// A date, as TOML writes it or as text.
    Date,
    /// A whole number or text that stands for a class.
    Code,
    /// A number.
    Number(Limits),
    /// One of these words.
    Word(&'static [&'static str]),
    /// So many numbers, in order.
    Numbers(usize, Limits, Order),
    /// Months by number, none twice.
    Months,
    /// Any of these words, none twice; may be empty.
    Words(&'static [&'static str]),
    /// A table from codes to these words.
    CodeTable(&'static [&'static str]),
    /// Letters of LUC slope groups, none twice.
    SlopeGroups,
}

impl Kind {
    /// What a value of this kind looks like, in words.
    #[must_use]
    pub fn expected(&self) -> String {
        match self {
            Self::Section => "a table".into(),
            Self::Sections => "a list of tables".into(),
            Self::Text => "text".into(),
            Self::Texts => "a list of texts, none twice".into(),
            Self::File => "a file name".into(),
            Self::Date => "a date".into(),
            Self::Code => "a whole number, or text".into(),
            Self::Number(limits) if limits.is_share() => format!("a share{limits}"),
            Self::Number(limits) => format!("a number{limits}"),
            Self::Word(words) => format!("one of {}", quoted(words)),
            Self::Numbers(count, limits, Order::Rising) => {
                format!("{count} rising numbers{limits}")
            }
            Self::Numbers(count, limits, Order::Falling) => {
                format!("{count} falling numbers{limits}")
            }
            Self::Numbers(count, limits, Order::Any) => format!("{count} numbers{limits}"),
            Self::Months => "a list of months, 1 to 12, none twice".into(),
            Self::Words(words) => format!("a list of any of {}", quoted(words)),
            Self::CodeTable(words) => {
                format!("a table from codes to any of {}", quoted(words))
            }
            Self::SlopeGroups => "letters of slope groups, A to G".into(),
        }
    }

    /// Everything wrong with a value; empty when it is of this kind.
    pub(super) fn faults(&self, item: &Item) -> Vec<Fault> {
        let mut faults = match self {
            Self::Section | Self::Sections => vec![], // walked into, not looked at
            Self::Text | Self::File => text(item).err().into_iter().collect(),
            Self::Date => date(item).err().into_iter().collect(),
            Self::Code => code(item).err().into_iter().collect(),
            Self::Number(limits) => number(item, limits).err().into_iter().collect(),
            Self::Word(words) => word(item, words).err().into_iter().collect(),
            Self::SlopeGroups => slope_groups(item).err().into_iter().collect(),
            Self::Numbers(count, limits, order) => {
                entries(item).map_or_else(one, |list| list::numbers(list, *count, limits, *order))
            }
            Self::Months => entries(item).map_or_else(one, list::months),
            Self::Texts => entries(item).map_or_else(one, list::texts),
            Self::Words(words) => entries(item).map_or_else(one, |list| list::words(list, words)),
            Self::CodeTable(words) => {
                table(item).map_or_else(one, |codes| list::codes(codes, words))
            }
        };
        for fault in faults.iter_mut().filter(|fault| fault.expected.is_empty()) {
            fault.expected = self.expected();
        }
        faults
    }
}

/// The words in quotation marks, with commas.
pub(super) fn quoted(words: &[&str]) -> String {
    words.iter().map(|word| format!("\"{word}\"")).collect::<Vec<_>>().join(", ")
}

/// The nearest of `words` to what was written, when one is near enough to be meant.
pub(crate) fn nearest<'w>(
    written: &str,
    words: impl IntoIterator<Item = &'w str>,
) -> Option<&'w str> {
    if written.len() > 64 {
        return None; // not a slip of the finger, and slow to compare
    }
    let written = written.to_lowercase();
    let likeness = |word: &str| strsim::normalized_damerau_levenshtein(&written, word);
    let near = |word: &str| likeness(word) >= 0.5 || word.starts_with(&written);
    words
        .into_iter()
        .filter(|word| near(&word.to_lowercase()))
        .max_by(|one, other| likeness(one).total_cmp(&likeness(other)))
}

fn one(fault: Fault) -> Vec<Fault> {
    vec![fault]
}

/// A fault whose expectation is the kind's own.
fn unlike(remedy: impl Into<String>) -> Fault {
    Fault::new("", remedy)
}

fn wrong_type(item: &Item, remedy: impl Into<String>) -> Fault {
    unlike(remedy).found(kind_in_words(item))
}

fn text(item: &Item) -> Result<(), Fault> {
    match item.as_str() {
        Some(text) => sound_text(text),
        None => Err(wrong_type(item, "write it in quotation marks: \"…\"")),
    }
}

/// Whether a text is neither blank nor pasted by mistake.
pub(super) fn sound_text(text: &str) -> Result<(), Fault> {
    if text.trim().is_empty() {
        return Err(unlike("fill it in, or take the key out").found("blank text"));
    }
    if text.chars().any(stock::is_no_letter) {
        let found = "text with a line break, a tab or another control character";
        return Err(unlike("write it on one line; `\\` in a path is written `/`").found(found));
    }
    if text.chars().nth(LONGEST_TEXT).is_some() {
        let found = format!("a text of over {LONGEST_TEXT} characters");
        return Err(unlike("shorten it").found(found));
    }
    Ok(())
}

fn date(item: &Item) -> Result<(), Fault> {
    if item.is_datetime() { Ok(()) } else { text(item) }
}

fn code(item: &Item) -> Result<(), Fault> {
    if item.is_integer() { Ok(()) } else { text(item) }
}

/// The number in a value, whether it is written with a point or without.
pub(super) fn as_number(value: &Value) -> Option<f64> {
    value.as_float().or_else(|| value.as_integer().map(|whole| whole as f64))
}

fn number(item: &Item, limits: &Limits) -> Result<(), Fault> {
    match item.as_value() {
        Some(value) => list::number(value, limits),
        None => Err(wrong_type(item, "write a plain number")),
    }
}

fn word(item: &Item, words: &[&str]) -> Result<(), Fault> {
    match item.as_value() {
        Some(value) => list::word(value, words),
        None => Err(wrong_type(item, "write one of the words in quotation marks")),
    }
}

fn slope_groups(item: &Item) -> Result<(), Fault> {
    let Some(letters) = item.as_str() else {
        return Err(wrong_type(item, "write the letters in quotation marks"));
    };
    if letters.is_empty() {
        return Err(unlike("name at least one group"));
    }
    if let Some(other) = letters.chars().find(|letter| !('A'..='G').contains(letter)) {
        let remedy = if ('a'..='g').contains(&other) {
            format!("write them in capitals: \"{}\"", letters.to_uppercase())
        } else {
            format!("take `{}` out", other.escape_default())
        };
        return Err(unlike(remedy));
    }
    let twice = letters
        .char_indices()
        .find(|(at, letter)| letters.get(..*at).is_some_and(|before| before.contains(*letter)));
    match twice {
        Some((_, letter)) => Err(unlike(format!("name `{letter}` once"))),
        None => Ok(()),
    }
}

fn entries(item: &Item) -> Result<&Array, Fault> {
    item.as_array().ok_or_else(|| wrong_type(item, "write a list in square brackets: [ … ]"))
}

fn table(item: &Item) -> Result<&dyn TableLike, Fault> {
    item.as_table_like()
        .ok_or_else(|| wrong_type(item, "write a table in braces: { code = \"…\" }"))
}
