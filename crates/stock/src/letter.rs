//! Letters that no text of a plan may have.

/// Whether it is a control character, or one of the two that are no characters at all and that XML has not.
#[must_use]
pub fn is_no_letter(letter: char) -> bool {
    letter.is_control() || matches!(letter, '\u{FFFE}' | '\u{FFFF}')
}
