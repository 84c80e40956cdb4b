//! Text that is put together.

use std::fmt::{Arguments, Write};

/// Adds to a text.
pub(crate) fn put(text: &mut String, words: Arguments<'_>) {
    // Writing to a String cannot fail.
    let _ = text.write_fmt(words);
}

/// Some names, and how many there are beside them: `one, two and 3 more`.
pub(crate) fn with_more(named: &[String], all: usize) -> String {
    match all - named.len() {
        0 => named.join(", "),
        more => format!("{} and {more} more", named.join(", ")),
    }
}
