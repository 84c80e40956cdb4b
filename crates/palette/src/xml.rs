//! Text as part of an XML document.

/// A text as content or as the value of an attribute. Control characters, which XML 1.0 has not, become spaces.
#[must_use]
pub fn escaped(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => plain += "&amp;",
            '<' => plain += "&lt;",
            '>' => plain += "&gt;",
            '"' => plain += "&quot;",
            '\n' | '\t' | '\r' | '\u{FFFE}' | '\u{FFFF}' => plain.push(' '),
            letter if letter.is_control() => plain.push(' '),
            letter => plain.push(letter),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_ends_an_attribute_or_an_element() {
        assert_eq!(escaped("a \"b\" <c> & d\u{1}\n"), "a &quot;b&quot; &lt;c&gt; &amp; d  ");
        assert_eq!(escaped("mānuka"), "mānuka");
    }
}
