//! Words inside XML and HTML.

use std::fmt::{Arguments, Write};

/// Adds to a text.
pub(crate) fn put(text: &mut String, words: Arguments<'_>) {
    // Writing to a String cannot fail.
    let _ = text.write_fmt(words);
}

/// A text as content or as an attribute in double quotes.
pub(crate) fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => plain += "&amp;",
            '<' => plain += "&lt;",
            '>' => plain += "&gt;",
            '"' => plain += "&quot;",
            // XML 1.0 has no other control characters.
            letter if letter.is_control() && !letter.is_whitespace() => plain.push(' '),
            letter => plain.push(letter),
        }
    }
    plain
}
