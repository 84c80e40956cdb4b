//! One class of a legend.

use crate::colour::Colour;
use crate::pattern::Pattern;

/// A class: what it is, and how it is drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Class {
    /// The value of the legend's field, such as `A` or `keep`.
    pub key: String,
    /// In words, for people.
    pub label: String,
    /// One or two letters or digits, unique in the legend.
    pub letter: String,
    /// Colour of the ground.
    pub colour: Colour,
    /// What is drawn over it, in its ink.
    pub pattern: Pattern,
}

impl Class {
    /// Colour of its letter.
    #[must_use]
    pub fn ink(&self) -> Colour {
        self.colour.ink()
    }

    /// Colour of its pattern: its ink, drawn back so that the ground still shows its own colour.
    #[must_use]
    pub fn hatch(&self) -> Colour {
        let [ink, ground] = [self.ink().0, self.colour.0];
        let part = |at: usize| ((u16::from(ink[at]) * 3 + u16::from(ground[at]) * 2) / 5) as u8;
        Colour([part(0), part(1), part(2)])
    }
}
