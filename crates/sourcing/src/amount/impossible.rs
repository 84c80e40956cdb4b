//! Why a figure cannot be.

use std::fmt;

use super::Basis;

/// A reason for which a figure, or two together, cannot be true.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Impossible {
    /// No finite number.
    NotFinite,
    /// No DHA, or less than none. What a laboratory does not find lies below its limit, not at 0.
    DhaNotPositive {
        /// The figure as it was told.
        value: f64,
    },
    /// DHA in °Brix, which tell sugar.
    DhaInBrix,
    /// No sugar, or less than none.
    SugarNotPositive {
        /// The figure as it was told.
        value: f64,
    },
    /// More sugar than nectar.
    SugarOverWeight {
        /// What it comes to, °Brix.
        brix: f64,
    },
    /// More sugar than a litre can hold.
    SugarOverVolume {
        /// What it comes to, g/L.
        g_per_l: f64,
    },
    /// Sugars of one sample that are not by the same thing.
    SugarBases {
        /// Of the first.
        first: Basis,
        /// Of one that differs.
        other: Basis,
    },
    /// DHA and sugar that are not by the same thing.
    Bases {
        /// Of the DHA.
        dha: Basis,
        /// Of the sugar.
        sugar: Basis,
    },
    /// More DHA than sugar.
    DhaOverSugar {
        /// What it comes to, mg/mg.
        ratio: f64,
    },
}

impl fmt::Display for Impossible {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite => write!(f, "no finite number"),
            Self::DhaNotPositive { value } => write!(f, "{value} of DHA"),
            Self::DhaInBrix => write!(f, "DHA in °Brix"),
            Self::SugarNotPositive { value } => write!(f, "{value} of sugar"),
            Self::SugarOverWeight { brix } => write!(f, "sugar of {brix:.1} °Brix"),
            Self::SugarOverVolume { g_per_l } => write!(f, "sugar of {g_per_l:.0} g/L"),
            Self::SugarBases { first, other } => write!(f, "sugar {first} and {other}"),
            Self::Bases { dha, sugar } => write!(f, "DHA {dha} and sugar {sugar}"),
            Self::DhaOverSugar { ratio } => write!(f, "{ratio:.3} mg DHA to a mg of sugar"),
        }
    }
}

impl std::error::Error for Impossible {}
