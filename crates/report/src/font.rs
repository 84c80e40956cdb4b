//! How wide words are.

use spatial::problem::Problem;
use ttf_parser::Face;

/// Open Sans, Apache License 2.0; see `fonts/README.md`.
pub(crate) const REGULAR: &[u8] = include_bytes!("../fonts/OpenSans-Regular.ttf");
/// Its bold.
pub(crate) const BOLD: &[u8] = include_bytes!("../fonts/OpenSans-Bold.ttf");
/// Its name.
pub(crate) const FAMILY: &str = "Open Sans";

/// Millimetres in a point.
pub(crate) const MM: f64 = 25.4 / 72.0;

/// Widths of the letters of a font.
pub(crate) struct Metrics<'a> {
    face: Face<'a>,
    em: f64,
}

impl Metrics<'static> {
    /// Of the regular and the bold.
    ///
    /// # Errors
    /// When a font cannot be read, a fault of the program.
    pub(crate) fn both() -> Result<[Self; 2], Problem> {
        let read = |bytes: &'static [u8]| {
            let face = Face::parse(bytes, 0).map_err(|error| {
                let problem = Problem::error("font").found(error.to_string());
                problem
                    .expected("a font that can be read")
                    .remedy("this is a fault of the program: please report it with the site folder")
            })?;
            let em = f64::from(face.units_per_em());
            Ok(Metrics { face, em })
        };
        Ok([read(REGULAR)?, read(BOLD)?])
    }
}

impl Metrics<'_> {
    /// Width of words in millimetres at a size in points. Kerning, which draws letters together, is left out: words
    /// are a little narrower when drawn.
    pub(crate) fn width_mm(&self, words: &str, size_pt: f64) -> f64 {
        let advance = |letter: char| {
            let glyph = self.face.glyph_index(letter).unwrap_or_default();
            f64::from(self.face.glyph_hor_advance(glyph).unwrap_or_default())
        };
        words.chars().map(advance).sum::<f64>() / self.em * size_pt * MM
    }

    /// Words in lines no wider than some millimetres. A word that is wider by itself is parted.
    pub(crate) fn lines(&self, words: &str, size_pt: f64, wide_mm: f64) -> Vec<String> {
        let mut lines = Vec::new();
        let mut line = String::new();
        for word in words.split_whitespace() {
            let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            if self.width_mm(&longer, size_pt) <= wide_mm {
                line = longer;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for letter in word.chars() {
                line.push(letter);
                if self.width_mm(&line, size_pt) > wide_mm && line.chars().count() > 1 {
                    line.pop();
                    lines.push(std::mem::replace(&mut line, letter.to_string()));
                }
            }
        }
        if !line.is_empty() || lines.is_empty() {
            lines.push(line);
        }
        lines
    }

    /// The same, but no more than so many lines; the last ends with `…` where words are left out.
    pub(crate) fn lines_at_most(
        &self,
        words: &str,
        size_pt: f64,
        wide_mm: f64,
        most: usize,
    ) -> Vec<String> {
        let mut lines = self.lines(words, size_pt, wide_mm);
        if lines.len() > most {
            lines.truncate(most);
            if let Some(last) = lines.last_mut() {
                last.push('…');
                while self.width_mm(last, size_pt) > wide_mm && last.chars().count() > 1 {
                    last.pop();
                    last.pop();
                    last.push('…');
                }
            }
        }
        lines
    }

    /// Whether the font has a shape for a letter.
    pub(crate) fn draws(&self, letter: char) -> bool {
        letter.is_whitespace() || self.face.glyph_index(letter).is_some()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn macrons_have_a_shape() {
        for metrics in Metrics::both().unwrap() {
            for letter in "āēīōūĀĒĪŌŪ°²–−…".chars() {
                assert!(metrics.face.glyph_index(letter).is_some(), "{letter}");
            }
        }
    }

    proptest! {
        #[test]
        fn lines_hold_every_letter_and_fit(words in "[ a-zA-Zā]{0,200}", wide in 12.0_f64..80.0) {
            let metrics = &Metrics::both().unwrap()[0];
            let lines = metrics.lines(&words, 9.0, wide);
            let letters = |text: &str| text.chars().filter(|letter| *letter != ' ').collect::<String>();
            prop_assert_eq!(letters(&lines.concat()), letters(&words));
            for line in &lines {
                prop_assert!(metrics.width_mm(line, 9.0) <= wide);
            }
        }

        #[test]
        fn what_is_left_out_shows(words in "[ a-zA-Zā]{0,200}", wide in 12.0_f64..80.0, most in 1_usize..4) {
            let metrics = &Metrics::both().unwrap()[0];
            let all = metrics.lines(&words, 9.0, wide);
            let some = metrics.lines_at_most(&words, 9.0, wide, most);
            prop_assert!(some.len() <= most);
            prop_assert_eq!(some.concat().ends_with('…'), all.len() > most);
            for line in &some {
                prop_assert!(metrics.width_mm(line, 9.0) <= wide);
            }
        }
    }
}
