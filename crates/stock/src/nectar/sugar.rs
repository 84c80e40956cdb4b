//! DHA beside the sugar of the nectar.

/// DHA over total sugar, mg/mg: 0 or more, finite.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct DhaRatio(f64);

/// DHA of nectar taken to 80 °Brix, that is 80 % of its weight sugar: mg DHA in a kg of it.
///
/// Honey is about that sweet, so the figure speaks of what honey of this nectar alone would start
/// from. It says nothing of what bees bring home from elsewhere.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct NormalisedDha(f64);

/// Milligrams of sugar in a kilogram at 80 °Brix: 80 % of 1,000,000.
const SUGAR_MG_PER_KG: f64 = 800_000.0;

impl DhaRatio {
    /// No DHA at all.
    pub const NONE: Self = Self(0.0);

    /// A ratio in mg/mg; `None` unless it is finite and not below 0.
    #[must_use]
    pub fn new(mg_per_mg: f64) -> Option<Self> {
        (mg_per_mg.is_finite() && mg_per_mg >= 0.0).then(|| Self(mg_per_mg.abs())) // no minus zero
    }

    /// Of nectar with so much DHA, mg/kg, at so many °Brix (percent of its weight sugar); `None`
    /// when that gives no ratio.
    #[must_use]
    pub fn from_nectar(dha_mg_per_kg: f64, brix: f64) -> Option<Self> {
        Self::new(dha_mg_per_kg / (brix * 10_000.0)).filter(|_| brix > 0.0 && brix <= 100.0)
    }

    /// The ratio, mg/mg.
    #[must_use]
    pub fn mg_per_mg(self) -> f64 {
        self.0
    }

    /// At 80 °Brix: the ratio times 800,000 mg/kg.
    #[must_use]
    pub fn normalised(self) -> NormalisedDha {
        NormalisedDha(self.0 * SUGAR_MG_PER_KG)
    }
}

impl NormalisedDha {
    /// No DHA at all.
    pub const NONE: Self = Self(0.0);

    /// DHA at 80 °Brix in mg/kg; `None` unless it is finite and not below 0.
    #[must_use]
    pub fn new(mg_per_kg: f64) -> Option<Self> {
        DhaRatio::new(mg_per_kg).map(|sound| Self(sound.0))
    }

    /// mg/kg at 80 °Brix.
    #[must_use]
    pub fn mg_per_kg(self) -> f64 {
        self.0
    }

    /// DHA over total sugar.
    #[must_use]
    pub fn ratio(self) -> DhaRatio {
        DhaRatio(self.0 / SUGAR_MG_PER_KG)
    }
}
