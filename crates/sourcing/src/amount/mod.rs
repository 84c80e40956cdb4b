//! How much DHA and sugar a sample holds, in the units that laboratories report.
//!
//! DHA is told beside sugar, since nectar is thinned by rain and thickened by wind: mg DHA in mg sugar.
//! That quotient has a meaning only where both are counted by the same thing.
//!
//! ```
//! use sourcing::amount::{Dha, Sugar, Unit, ratio};
//! let dha = Dha::new(2_640.0, Unit::MgPerKg)?;
//! let sugar = Sugar::new(20.0, Unit::Brix)?;
//! assert!((ratio(dha, sugar)?.mg_per_mg() - 0.0132).abs() < 1e-12);
//! assert!(ratio(dha, Sugar::new(200.0, Unit::GPerL)?).is_err());
//! # Ok::<(), sourcing::amount::Impossible>(())
//! ```

mod impossible;
mod unit;

pub use impossible::Impossible;
use stock::nectar::{DhaRatio, NormalisedDha};
pub use unit::{Basis, Unit, UnitFault, is_bare_percent};

/// Ratio of DHA to sugar, mg/mg, above which a figure is doubted: a slip of the unit is likelier.
///
/// No published mean of a provenance is above 0.016 (highest: 0.0152, Millner et al. 2016, doi
/// 10.33584/rps.16.2016.3266); single trees lie above means. The edge is our choice.
pub const DOUBTFUL_RATIO: f64 = 0.05;

/// Most sugar in a kg, mg: all of it.
const MOST_BY_WEIGHT: f64 = 1e6;
/// Most sugar in a litre, mg: solid sucrose, 1.59 kg/L (from memory).
const MOST_BY_VOLUME: f64 = 1.59e6;

/// DHA of a sample: above 0, finite.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dha {
    /// In the unit of the basis.
    amount: f64,
    basis: Basis,
}

/// Total sugar of a sample: above 0, no more than there is room for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sugar {
    /// In the unit of the basis.
    amount: f64,
    basis: Basis,
}

impl Dha {
    /// So much DHA.
    ///
    /// # Errors
    /// When it is not finite or not above 0, or in °Brix, which tell sugar.
    pub fn new(value: f64, unit: Unit) -> Result<Self, Impossible> {
        if unit == Unit::Brix {
            return Err(Impossible::DhaInBrix);
        }
        let amount = finite(value * unit.size())?;
        if amount > 0.0 {
            Ok(Self { amount, basis: unit.basis() })
        } else {
            Err(Impossible::DhaNotPositive { value })
        }
    }

    /// What it is by.
    #[must_use]
    pub fn basis(self) -> Basis {
        self.basis
    }

    /// The same in a unit; `None` when that is of another basis, or °Brix.
    #[must_use]
    pub fn to(self, unit: Unit) -> Option<f64> {
        (unit.basis() == self.basis && unit != Unit::Brix).then(|| self.amount / unit.size())
    }
}

impl Sugar {
    /// So much sugar.
    ///
    /// # Errors
    /// When it is not finite, not above 0, or more than a kg or a litre can hold.
    pub fn new(value: f64, unit: Unit) -> Result<Self, Impossible> {
        Self::total(&[(value, unit)])
    }

    /// The sum of several sugars of one sample, such as glucose, fructose and sucrose; some may be 0.
    ///
    /// # Errors
    /// When one is not finite or below 0, when they differ in basis, or when the sum is 0 or more than a
    /// kg or a litre can hold.
    pub fn total(parts: &[(f64, Unit)]) -> Result<Self, Impossible> {
        let Some((_, first)) = parts.first() else {
            return Err(Impossible::SugarNotPositive { value: 0.0 });
        };
        let basis = first.basis();
        let mut amount = 0.0;
        for (value, unit) in parts {
            if unit.basis() != basis {
                return Err(Impossible::SugarBases { first: basis, other: unit.basis() });
            }
            let part = finite(value * unit.size())?;
            if part < 0.0 {
                return Err(Impossible::SugarNotPositive { value: *value });
            }
            amount += part;
        }
        let sum = Self { amount: finite(amount)?, basis };
        match basis {
            _ if amount <= 0.0 => Err(Impossible::SugarNotPositive { value: 0.0 }),
            Basis::Weight if amount > MOST_BY_WEIGHT => {
                Err(Impossible::SugarOverWeight { brix: amount / Unit::Brix.size() })
            }
            Basis::Volume if amount > MOST_BY_VOLUME => {
                Err(Impossible::SugarOverVolume { g_per_l: amount / Unit::GPerL.size() })
            }
            _ => Ok(sum),
        }
    }

    /// What it is by.
    #[must_use]
    pub fn basis(self) -> Basis {
        self.basis
    }

    /// How much in the unit of its basis: mg in a kg, a litre, a flower or a sample.
    #[must_use]
    pub fn amount(self) -> f64 {
        self.amount
    }

    /// The same in a unit; `None` when that is of another basis.
    #[must_use]
    pub fn to(self, unit: Unit) -> Option<f64> {
        (unit.basis() == self.basis).then(|| self.amount / unit.size())
    }
}

/// DHA over sugar, mg/mg, of one sample.
///
/// # Errors
/// When they are not by the same thing, or there is more DHA than sugar.
pub fn ratio(dha: Dha, sugar: Sugar) -> Result<DhaRatio, Impossible> {
    if dha.basis == sugar.basis {
        ratio_of(dha.amount / sugar.amount)
    } else {
        Err(Impossible::Bases { dha: dha.basis, sugar: sugar.basis })
    }
}

/// A ratio that the laboratory reckoned, mg/mg.
///
/// # Errors
/// When it is not finite, not above 0, or above 1.
pub fn ratio_of(mg_per_mg: f64) -> Result<DhaRatio, Impossible> {
    let value = finite(mg_per_mg)?;
    let sound = DhaRatio::new(value).filter(|_| value > 0.0);
    let ratio = sound.ok_or(Impossible::DhaNotPositive { value })?;
    if value > 1.0 { Err(Impossible::DhaOverSugar { ratio: value }) } else { Ok(ratio) }
}

/// The ratio of DHA that the laboratory took to 80 °Brix, mg/kg: divided by 800,000.
///
/// # Errors
/// As [`ratio_of`].
pub fn ratio_at_80_brix(mg_per_kg: f64) -> Result<DhaRatio, Impossible> {
    let value = finite(mg_per_kg)?;
    let sound = NormalisedDha::new(value).ok_or(Impossible::DhaNotPositive { value })?;
    ratio_of(sound.ratio().mg_per_mg())
}

/// Whether a ratio is above [`DOUBTFUL_RATIO`].
#[must_use]
pub fn is_doubtful(ratio: DhaRatio) -> bool {
    ratio.mg_per_mg() > DOUBTFUL_RATIO
}

fn finite(value: f64) -> Result<f64, Impossible> {
    if value.is_finite() { Ok(value) } else { Err(Impossible::NotFinite) }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Worked by hand: 2.5 mg/g are 2,500 mg/kg; in 25 °Brix, 250,000 mg/kg of sugar, that is 0.01.
    #[test]
    fn a_ratio_worked_by_hand() {
        let of = |dha, dha_unit, sugar, sugar_unit| {
            ratio(Dha::new(dha, dha_unit)?, Sugar::new(sugar, sugar_unit)?).map(DhaRatio::mg_per_mg)
        };
        for (dha, dha_unit, sugar, sugar_unit) in [
            (2.5, Unit::MgPerG, 25.0, Unit::Brix),
            (2_500.0, Unit::UgPerG, 250.0, Unit::GPerKg),
            (0.25, Unit::GPer100G, 250_000.0, Unit::MgPerKg),
            (2_500.0, Unit::UgPerMl, 250.0, Unit::GPerL),
            (30.0, Unit::UgPerFlower, 3.0, Unit::MgPerFlower),
            (0.4, Unit::MgPerSample, 40_000.0, Unit::UgPerSample),
        ] {
            let found = of(dha, dha_unit, sugar, sugar_unit).unwrap();
            assert!((found - 0.01).abs() < 1e-15, "{dha_unit} {sugar_unit}: {found}");
        }
    }

    /// The highest mean of a provenance (Millner et al. 2016) is 0.0152; at 80 °Brix 12,160 mg/kg.
    #[test]
    fn figures_that_the_laboratory_reckoned() {
        let ratio = ratio_at_80_brix(12_160.0).unwrap();
        assert!((ratio.mg_per_mg() - 0.0152).abs() < 1e-15 && !is_doubtful(ratio));
        assert_eq!(ratio_of(0.0152).unwrap(), ratio);
        assert!(is_doubtful(ratio_of(0.0501).unwrap()) && !is_doubtful(ratio_of(0.05).unwrap()));
    }

    #[test]
    fn what_cannot_be_is_told_by_its_reason() {
        use Impossible as No;
        let sugar = |value, unit| Sugar::new(value, unit).unwrap_err();
        for value in [0.0, -0.0, -3.0] {
            assert_eq!(Dha::new(value, Unit::MgPerKg), Err(No::DhaNotPositive { value }));
            assert_eq!(ratio_of(value), Err(No::DhaNotPositive { value }));
            assert!(matches!(ratio_at_80_brix(value), Err(No::DhaNotPositive { .. })));
            assert!(matches!(sugar(value, Unit::Brix), No::SugarNotPositive { .. }));
        }
        for value in [f64::NAN, f64::INFINITY, f64::MAX] {
            assert_eq!(Dha::new(value, Unit::GPerKg), Err(No::NotFinite));
            assert_eq!(sugar(value, Unit::GPerKg), No::NotFinite);
        }
        assert_eq!(ratio_of(f64::NAN), Err(No::NotFinite));
        assert_eq!(Dha::new(3.0, Unit::Brix), Err(No::DhaInBrix));
        assert_eq!(sugar(101.0, Unit::Brix), No::SugarOverWeight { brix: 101.0 });
        assert_eq!(sugar(1_001.0, Unit::GPerKg), No::SugarOverWeight { brix: 100.1 });
        assert_eq!(sugar(1_600.0, Unit::GPerL), No::SugarOverVolume { g_per_l: 1_600.0 });
        let mixed = Sugar::total(&[(1.0, Unit::GPerL), (2.0, Unit::GPerKg)]).unwrap_err();
        assert_eq!(mixed, No::SugarBases { first: Basis::Volume, other: Basis::Weight });
        assert!(matches!(Sugar::total(&[]), Err(No::SugarNotPositive { .. })));
        let more = ratio(
            Dha::new(3.0, Unit::MgPerFlower).unwrap(),
            Sugar::new(2.0, Unit::MgPerFlower).unwrap(),
        );
        assert_eq!(more, Err(No::DhaOverSugar { ratio: 1.5 }));
        assert_eq!(ratio_of(1.5), Err(No::DhaOverSugar { ratio: 1.5 }));
    }

    fn units() -> impl Strategy<Value = Unit> {
        proptest::sample::select(Unit::all().collect::<Vec<_>>())
    }

    fn is_near(one: f64, other: f64) -> bool {
        (one - other).abs() <= 1e-12 * one.abs().max(other.abs())
    }

    proptest! {
        /// An amount told in another unit of its basis and read again is the same amount.
        #[test]
        fn units_go_round(value in 1e-6_f64..99.0, from in units(), to in units()) {
            let sugar = Sugar::new(value, from).unwrap();
            prop_assert_eq!(sugar.to(to).is_some(), from.basis() == to.basis());
            if let Some(there) = sugar.to(to) {
                prop_assert!(is_near(Sugar::new(there, to).unwrap().to(from).unwrap(), value));
            }
            if let Ok(dha) = Dha::new(value, from) {
                let there = dha.to(to);
                prop_assert_eq!(there.is_some(), from.basis() == to.basis() && to != Unit::Brix);
                if let Some(there) = there {
                    prop_assert!(is_near(Dha::new(there, to).unwrap().to(from).unwrap(), value));
                }
            }
        }

        /// A ratio is the same in whatever units its parts are told, and refused when they differ in basis.
        #[test]
        fn a_ratio_does_not_depend_on_units(
            dha in 1e-6_f64..0.9, sugar in 1.0_f64..99.0,
            dha_from in units(), dha_to in units(), sugar_from in units(), sugar_to in units(),
        ) {
            prop_assume!(dha_from != Unit::Brix);
            let dha = Dha::new(dha, dha_from).unwrap();
            let sugar = Sugar::new(sugar, sugar_from).unwrap();
            let first = ratio(dha, sugar);
            if dha.basis() != sugar.basis() {
                let (dha, sugar) = (dha.basis(), sugar.basis());
                prop_assert_eq!(first, Err(Impossible::Bases { dha, sugar }));
            } else if let (Some(one), Some(other)) = (dha.to(dha_to), sugar.to(sugar_to)) {
                let again = ratio(Dha::new(one, dha_to).unwrap(), Sugar::new(other, sugar_to).unwrap());
                match (first, again) {
                    (Ok(first), Ok(again)) => prop_assert!(is_near(first.mg_per_mg(), again.mg_per_mg())),
                    (first, again) => prop_assert!(first.is_err() && again.is_err()),
                }
            }
        }

        /// Sugars added up are the sum, in whatever units they come.
        #[test]
        fn sugars_add_up(parts in proptest::collection::vec(0.0_f64..300.0, 1..4), told in proptest::collection::vec(units(), 3)) {
            prop_assume!(parts.iter().sum::<f64>() > 0.0);
            let by_weight = |unit: &Unit| if unit.basis() == Basis::Weight { *unit } else { Unit::GPerKg };
            let units = told.iter().map(by_weight);
            let parts: Vec<(f64, Unit)> =
                parts.iter().zip(units).map(|(g_per_kg, unit)| (g_per_kg * 1e3 / unit.size(), unit)).collect();
            let sum: f64 = parts.iter().map(|(value, unit)| value * unit.size()).sum();
            prop_assume!(sum <= 1e6);
            prop_assert!(is_near(Sugar::total(&parts).unwrap().amount(), sum));
        }

        /// No word is too strange to be read or refused.
        #[test]
        fn no_word_breaks_the_reader(word in "\\PC{0,20}") {
            let _ = Unit::parse(&word);
        }
    }
}
