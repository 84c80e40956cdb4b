//! Letters that the PDF cannot draw: its fonts have no shape for them, and a box stands in their place.

use std::collections::BTreeSet;

use spatial::problem::Problem;

use crate::document::{Document, Piece};
use crate::font::Metrics;
use crate::text::with_more;

/// Texts that are named; of more, their number is told.
const NAMED: usize = 5;

/// Looks for letters without a shape. Where there are any, the report says so itself, at the end of what it rests on.
///
/// # Errors
/// When a font cannot be read, a fault of the program.
pub(crate) fn without_shape(document: &mut Document) -> Result<Option<Problem>, Problem> {
    let fonts = Metrics::both()?;
    let mut letters = BTreeSet::new();
    let mut texts = BTreeSet::new();
    for text in document.texts() {
        let without = text.chars().filter(|letter| !fonts.iter().all(|font| font.draws(*letter)));
        let without: Vec<char> = without.collect();
        if !without.is_empty() {
            letters.extend(without);
            texts.insert(text.to_owned());
        }
    }
    if texts.is_empty() {
        return Ok(None);
    }
    let codes: Vec<String> =
        letters.iter().take(NAMED).map(|letter| format!("U+{:04X}", u32::from(*letter))).collect();
    let codes = with_more(&codes, letters.len());
    let problem = Problem::warning("report.pdf")
        .found(format!("{codes} in {}", quoted(&texts)))
        .expected("letters that its fonts have")
        .remedy("read them in report.html, which takes the fonts of the machine, or spell them in other letters");
    // The page has the letters; the PDF tells by their numbers what its boxes stand for.
    let note = format!(
        "The fonts of the PDF have no shape for {codes}: a box stands there in {}. The page (report.html) has them.",
        quoted(&texts)
    );
    if let Some(basis) = document.sections.iter_mut().find(|section| section.id == "basis") {
        basis.pieces.push(Piece::Note(note));
    }
    Ok(Some(problem))
}

/// Some texts, cut where they are long.
fn quoted(texts: &BTreeSet<String>) -> String {
    const LONGEST: usize = 60;
    let quote = |text: &String| {
        let mut short: String = text.chars().take(LONGEST).collect();
        if short.len() < text.len() {
            short.push('…');
        }
        format!("`{short}`")
    };
    let named: Vec<String> = texts.iter().take(NAMED).map(quote).collect();
    with_more(&named, texts.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Section;

    fn document(words: &str) -> Document {
        Document {
            property: "Te Pā".to_owned(),
            subtitle: String::new(),
            foot: String::new(),
            sections: vec![Section {
                id: "basis",
                title: "What this rests on",
                pieces: vec![Piece::List(vec![(String::new(), words.to_owned())])],
            }],
            sheets: Vec::new(),
        }
    }

    /// Source of the code points: The Unicode Standard, blocks CJK Unified Ideographs and Hangul Syllables.
    #[test]
    fn letters_without_a_shape_are_told_with_their_text() {
        let mut plain = document("mānuka · 30 °C, −3 ½ …");
        assert_eq!(without_shape(&mut plain).unwrap(), None);
        let mut foreign = document("the block of 山 and 한");
        let told = without_shape(&mut foreign).unwrap().unwrap();
        assert_eq!(told.found, "U+5C71, U+D55C in `the block of 山 and 한`");
        assert_eq!(foreign.sections[0].pieces.len(), 2, "the report says so itself");
    }
}
