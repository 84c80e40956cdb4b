//! A change as it stands in the files of a site: comments, order and spelling of all else are kept.

mod choice;
mod drawn;
mod keys;
mod stock;

pub(crate) use drawn::told;
pub(crate) use keys::can_be_set;
use spatial::problem::Problem;

use crate::change::Change;
use crate::files::{Files, Places};
use crate::plan_now::PlanNow;

/// The files after a change, and the change in words.
///
/// # Errors
/// When it asks for what the files cannot hold. Whether what they then say is sound, is for those who read them.
pub(crate) fn edited(
    files: &Files,
    places: &Places,
    now: &PlanNow,
    change: &Change,
) -> Result<(Files, String), Problem> {
    let before = files;
    let mut files = files.clone();
    let words = match change {
        Change::Rule { path, value } => keys::set_rule(&mut files.site, path, value.as_ref())?,
        Change::Supply { line, plants } => {
            let value = plants.map(|plants| (plants as i64).into());
            stock::set(&mut files.stock, places, line, "supply", value)?
        }
        Change::Price { line, nzd } => {
            stock::set(&mut files.stock, places, line, "price_nzd", nzd.map(Into::into))?
        }
        Change::Tolerance { line, factor, corners } => {
            stock::set_tolerance(&mut files.stock, places, (line, factor), corners.as_ref())?
        }
        Change::Choice(choice) => choice::set(&mut files, places, now, choice)?,
        Change::Draw(drawing) => drawn::draw(&mut files, places, now, drawing)?,
        Change::Erase { what, index } => drawn::erase(&mut files, places, *what, *index)?,
    };
    files.site = as_kept(&before.site, files.site);
    files.stock = as_kept(&before.stock, files.stock);
    files.choices =
        files.choices.map(|text| as_kept(before.choices.as_deref().unwrap_or(""), text));
    Ok((files, words))
}

/// A text with the line ends of the one that it comes from, and with the mark of byte order that it had.
fn as_kept(before: &str, after: String) -> String {
    const MARK: char = '\u{feff}';
    let mut after = if before.contains("\r\n") && !after.contains("\r\n") {
        after.replace('\n', "\r\n")
    } else {
        after
    };
    if before.starts_with(MARK) && !after.starts_with(MARK) {
        after.insert(0, MARK);
    }
    after
}

/// A text as TOML; it was read as TOML before.
pub(crate) fn document(text: &str, item: &str) -> Result<toml_edit::DocumentMut, Problem> {
    text.parse().map_err(|error: toml_edit::TomlError| {
        Problem::error(item)
            .found(error.message().to_owned())
            .expected("TOML")
            .remedy("mend the file in a text editor, then open the site again")
    })
}

/// What the page may not ask.
fn refused(item: &str, found: impl Into<String>, expected: &str, remedy: &str) -> Problem {
    Problem::error(item).found(found).expected(expected).remedy(remedy)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn line_ends_and_the_mark_of_byte_order_stay() {
        assert_eq!(
            as_kept("a = 1\r\nb = 2\r\n", "a = 3\nb = 2\n".to_owned()),
            "a = 3\r\nb = 2\r\n"
        );
        assert_eq!(as_kept("\u{feff}a = 1\n", "a = 3\n".to_owned()), "\u{feff}a = 3\n");
        assert_eq!(as_kept("a = 1\n", "a = 3\n".to_owned()), "a = 3\n");
        // A text that is as it was stays so, whatever its ends.
        assert_eq!(as_kept("a\r\nb\n", "a\r\nb\n".to_owned()), "a\r\nb\n");
    }
}
