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
    Ok((files, words))
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
