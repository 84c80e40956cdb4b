//! Classes of nectar by its DHA.

use std::fmt;

use super::{DhaRatio, NormalisedDha};

/// Class of DHA over total sugar, after a survey of wild nectar in 2009 to 2012.
///
/// Source: Williams et al. 2014, J. Agric. Food Chem.: low below 0.001, moderate 0.001 to 0.002,
/// high above 0.002 mg/mg. A site can change class between years.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum NectarClass {
    /// Below 0.001 mg/mg, 800 mg/kg at 80 °Brix.
    Low,
    /// 0.001 to 0.002 mg/mg.
    Moderate,
    /// Above 0.002 mg/mg, 1,600 mg/kg at 80 °Brix.
    High,
}

impl NectarClass {
    /// The class of a ratio.
    #[must_use]
    pub fn of(ratio: DhaRatio) -> Self {
        match ratio.mg_per_mg() {
            low if low < 0.001 => Self::Low,
            moderate if moderate <= 0.002 => Self::Moderate,
            _ => Self::High,
        }
    }

    /// Its name.
    #[must_use]
    pub fn label(self) -> &'static str {
        ["low", "moderate", "high"][self as usize]
    }
}

impl fmt::Display for NectarClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.label())
    }
}

/// Band of normalised DHA, finer at the upper end: every planted line and both wild controls of
/// Millner et al. 2016 lie 2.6 to 7.6 times above the edge of "high", where classes no longer tell
/// lines apart.
///
/// The edges at 800 and 1,600 mg/kg are those of [`NectarClass`]; those at 4,000 and 8,000 are a
/// suggestion of this program, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum NectarBand {
    /// Below 800 mg/kg at 80 °Brix.
    Low,
    /// 800 to 1,600 mg/kg.
    Moderate,
    /// Above 1,600 and below 4,000 mg/kg.
    High,
    /// 4,000 to 8,000 mg/kg.
    VeryHigh,
    /// Above 8,000 mg/kg.
    Exceptional,
}

impl NectarBand {
    /// The band of a normalised DHA.
    #[must_use]
    pub fn of(dha: NormalisedDha) -> Self {
        match dha.mg_per_kg() {
            low if low < 800.0 => Self::Low,
            moderate if moderate <= 1_600.0 => Self::Moderate,
            high if high < 4_000.0 => Self::High,
            very_high if very_high <= 8_000.0 => Self::VeryHigh,
            _ => Self::Exceptional,
        }
    }

    /// Its name.
    #[must_use]
    pub fn label(self) -> &'static str {
        ["low", "moderate", "high", "very high", "exceptional"][self as usize]
    }
}

impl fmt::Display for NectarBand {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.label())
    }
}
