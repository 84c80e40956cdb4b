//! A legend: the classes of one field.

use crate::class::Class;

/// The classes of one column of a layer, in the order in which they are listed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Legend {
    /// Its name, `[a-z_]+`.
    pub name: &'static str,
    /// Heading, for people.
    pub title: &'static str,
    /// The column that its keys are values of.
    pub field: &'static str,
    /// The classes.
    pub classes: Vec<Class>,
}

impl Legend {
    /// The class of a value.
    #[must_use]
    pub fn class(&self, key: &str) -> Option<&Class> {
        self.classes.iter().find(|class| class.key == key)
    }
}
