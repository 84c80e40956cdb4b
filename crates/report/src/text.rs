//! Text that is put together.

use std::fmt::{Arguments, Write};

/// Adds to a text.
pub(crate) fn put(text: &mut String, words: Arguments<'_>) {
    // Writing to a String cannot fail.
    let _ = text.write_fmt(words);
}
