//! Texts that a table of a shapefile cannot hold whole.

/// Bytes of UTF-8 that a text of a dBASE table holds. Source: dBASE III (from memory).
pub(super) const LONGEST_BYTES: usize = 254;

/// The longest beginning of a text that fits, whole letters alone, without the blanks that it would end in: a table pads
/// with blanks and cannot hold them.
pub(super) fn cut(text: &str) -> &str {
    if text.len() <= LONGEST_BYTES {
        return text;
    }
    let starts = text.char_indices().map(|(at, _)| at);
    let end = starts.take_while(|at| *at <= LONGEST_BYTES).last().unwrap_or_default();
    text.get(..end).unwrap_or_default().trim_end_matches(' ')
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_macron_at_the_cut_goes_whole() {
        let at_the_cut = format!("{}ānuka", "m".repeat(253));
        assert_eq!(cut(&at_the_cut), "m".repeat(253));
        let before_it = format!("{}ānuka", "m".repeat(252));
        assert_eq!(cut(&before_it), format!("{}ā", "m".repeat(252)));
        assert_eq!(cut(&"m".repeat(254)), "m".repeat(254));
    }

    proptest! {
        /// Slow twin: letter by letter as long as it fits.
        #[test]
        fn cut_texts_are_the_longest_that_fit(text in "[a-zāēīōū€𝛼 ]{0,300}") {
            let mut whole = String::new();
            if text.len() <= LONGEST_BYTES {
                prop_assert_eq!(cut(&text), &text);
                return Ok(());
            }
            for letter in text.chars() {
                if whole.len() + letter.len_utf8() > LONGEST_BYTES {
                    break;
                }
                whole.push(letter);
            }
            while whole.ends_with(' ') {
                whole.pop();
            }
            prop_assert_eq!(cut(&text), whole);
        }
    }
}
