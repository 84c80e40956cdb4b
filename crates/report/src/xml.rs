//! Words inside XML and HTML.

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
