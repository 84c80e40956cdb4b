//! Patterns: what tells classes apart where colour does not.

/// How a class is hatched, over its colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Pattern {
    /// Colour alone.
    Plain,
    /// Lines that rise to the right.
    Rising,
    /// Lines that fall to the right.
    Falling,
    /// Level lines.
    Level,
    /// Upright lines.
    Upright,
    /// Level and upright lines.
    Squared,
    /// Rising and falling lines.
    Crossed,
    /// Dots.
    Dotted,
    /// Rising lines, close together.
    Dense,
}

/// One family of parallel lines, or of dots, of a pattern.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Direction, degrees against the clock from east; `None`: dots.
    pub angle_deg: Option<f64>,
    /// Distance between lines or dots, millimetres of paper.
    pub apart_mm: f64,
    /// Width of a line, or diameter of a dot, millimetres of paper.
    pub width_mm: f64,
}

impl Pattern {
    /// Every pattern.
    pub const ALL: [Self; 9] = [
        Self::Plain,
        Self::Rising,
        Self::Falling,
        Self::Level,
        Self::Upright,
        Self::Squared,
        Self::Crossed,
        Self::Dotted,
        Self::Dense,
    ];

    /// Its name, unique, a word.
    #[must_use]
    pub fn name(self) -> &'static str {
        ["plain", "rising", "falling", "level", "upright", "squared", "crossed", "dotted", "dense"]
            [self as usize]
    }

    /// What it is drawn of; nothing where it is plain.
    #[must_use]
    pub fn strokes(self) -> Vec<Stroke> {
        let line =
            |angle_deg: f64| Stroke { angle_deg: Some(angle_deg), apart_mm: 2.0, width_mm: 0.25 };
        match self {
            Self::Plain => Vec::new(),
            Self::Rising => vec![line(45.0)],
            Self::Falling => vec![line(135.0)],
            Self::Level => vec![line(0.0)],
            Self::Upright => vec![line(90.0)],
            Self::Squared => vec![line(0.0), line(90.0)],
            Self::Crossed => vec![line(45.0), line(135.0)],
            Self::Dotted => vec![Stroke { angle_deg: None, apart_mm: 1.8, width_mm: 0.6 }],
            Self::Dense => vec![Stroke { apart_mm: 1.0, ..line(45.0) }],
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn names_and_strokes_are_each_their_own() {
        let names: BTreeSet<_> = Pattern::ALL.iter().map(|pattern| pattern.name()).collect();
        assert_eq!(names.len(), Pattern::ALL.len());
        let drawn = |pattern: &Pattern| format!("{:?}", pattern.strokes());
        let strokes: BTreeSet<_> = Pattern::ALL.iter().map(drawn).collect();
        assert_eq!(strokes.len(), Pattern::ALL.len());
    }
}
