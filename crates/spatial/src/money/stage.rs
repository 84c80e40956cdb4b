//! Stages of the work, as costs are told by them.

/// A stage of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Spraying and clearing before planting.
    Preparation,
    /// New fences.
    Fencing,
    /// What the nursery is paid.
    Plants,
    /// Putting plants into the ground.
    Planting,
    /// Weeds kept off young plants.
    Release,
    /// Goats, pigs, hares and possums kept down.
    Pests,
    /// Plants that died planted again.
    Blanking,
    /// Planning, overseeing, what was forgotten.
    Overhead,
}

impl Stage {
    /// All stages, in the order of the work.
    pub const ALL: [Self; 8] = [
        Self::Preparation,
        Self::Fencing,
        Self::Plants,
        Self::Planting,
        Self::Release,
        Self::Pests,
        Self::Blanking,
        Self::Overhead,
    ];

    /// Its name in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Preparation => "preparation",
            Self::Fencing => "fencing",
            Self::Plants => "plants",
            Self::Planting => "planting",
            Self::Release => "release",
            Self::Pests => "pests",
            Self::Blanking => "blanking",
            Self::Overhead => "overhead",
        }
    }
}
