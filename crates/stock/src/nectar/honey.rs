//! What becomes of DHA in honey: methylglyoxal (MGO), and the activity that is read from it.

use super::NormalisedDha;

/// Molar mass of dihydroxyacetone, C₃H₆O₃, grams per mole.
pub const DHA_G_PER_MOL: f64 = 90.08;

/// Molar mass of methylglyoxal, C₃H₄O₂, grams per mole: dihydroxyacetone less one water.
pub const MGO_G_PER_MOL: f64 = 72.06;

/// Most MGO that DHA can become, mg per mg. What is found is less in every system that was tried,
/// and heat speeds the losses too (Grainger et al. 2016, part II): a ceiling, never a forecast.
pub const MGO_CEILING: f64 = MGO_G_PER_MOL / DHA_G_PER_MOL;

/// Activity below which the assay itself tells nothing, percent phenol: about 8 (Molan 2015).
pub const NPA_ASSAY_FLOOR: f64 = 8.0;

/// Methylglyoxal in honey, mg/kg: 0 or more, finite.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Mgo(f64);

/// Activity of honey other than by peroxide (NPA), as percent phenol of equal effect: 0 or more.
///
/// It is no measure of amount: twice the activity takes about three times the MGO (Molan 2015).
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct NonPeroxideActivity(f64);

/// NPA = 0.34851 MGO^0.60262, fitted through the pairs of the published chart that follows Adams et
/// al. 2008, Carbohydrate Research, with its correction of 2009.
const NPA_AT_ONE: f64 = 0.348_51;
const NPA_POWER: f64 = 0.602_62;
/// MGO = 5.7499 NPA^1.65942, the same line the other way.
const MGO_AT_ONE: f64 = 5.749_9;
const MGO_POWER: f64 = 1.659_42;

impl Mgo {
    /// MGO in mg/kg; `None` unless it is finite and not below 0.
    #[must_use]
    pub fn new(mg_per_kg: f64) -> Option<Self> {
        (mg_per_kg.is_finite() && mg_per_kg >= 0.0).then(|| Self(mg_per_kg.abs()))
    }

    /// mg/kg.
    #[must_use]
    pub fn mg_per_kg(self) -> f64 {
        self.0
    }

    /// The most that nectar's DHA could become in a honey of this nectar alone.
    #[must_use]
    pub fn ceiling_of(dha: NormalisedDha) -> Self {
        Self(dha.mg_per_kg() * MGO_CEILING)
    }

    /// The activity that goes with it on the published chart. Good within 0.02 of the chart's pairs,
    /// from 83 to 1,449 mg/kg; outside them it is drawn on.
    #[must_use]
    pub fn activity(self) -> NonPeroxideActivity {
        NonPeroxideActivity(NPA_AT_ONE * self.0.powf(NPA_POWER))
    }
}

impl NonPeroxideActivity {
    /// Activity in percent phenol; `None` unless it is finite and not below 0.
    #[must_use]
    pub fn new(percent_phenol: f64) -> Option<Self> {
        Mgo::new(percent_phenol).map(|sound| Self(sound.0))
    }

    /// Percent phenol of equal effect.
    #[must_use]
    pub fn percent_phenol(self) -> f64 {
        self.0
    }

    /// The MGO that goes with it on the published chart, within 0.7 mg/kg of its pairs from 5 to 28.
    #[must_use]
    pub fn mgo(self) -> Mgo {
        Mgo(MGO_AT_ONE * self.0.powf(MGO_POWER))
    }

    /// Whether the assay could have told it from nothing; below, the figure is only reckoned.
    #[must_use]
    pub fn is_measurable(self) -> bool {
        self.0 >= NPA_ASSAY_FLOOR
    }
}
