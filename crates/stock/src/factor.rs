//! The factors of a place that a stock may or may not take, in one table.

use std::fmt;

use serde::Serialize;

use crate::Side;

/// A factor of a place that a stock tolerates within limits.
///
/// The order of the variants is the order of the table, of [`Factor::ALL`] and of ties.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Factor {
    /// Height above sea level, metres.
    ElevationM,
    /// Slope, degrees from level.
    SlopeDeg,
    /// Topographic wetness index ln(a / tan β), a in metres (Beven & Kirkby 1979).
    WetnessIndex,
    /// Direct sun on the slope divided by direct sun on level ground.
    SunRatio,
    /// Mean daily minimum of the coldest month, °C.
    ColdestMonthMinC,
    /// Mean temperature of the year, °C.
    AnnualMeanC,
    /// Sum of the horizon angles in eight directions, degrees: the smaller, the more exposed.
    ExposureDeg,
    /// How readily cold air pools, 0 to 1.
    FrostIndex,
    /// Height above the nearest drainage line, metres.
    HeightAboveDrainageM,
    /// Soil drainage class, a step of [`DRAINAGE_CLASSES`].
    Drainage,
}

/// The soil drainage ladder, wettest first, as it is written in files.
///
/// Source: drainage classes of the national soil description handbook (Milne et al. 1995; names
/// from memory).
pub const DRAINAGE_CLASSES: [&str; 5] =
    ["very_poor", "poor", "imperfect", "moderately_well", "well"];

/// One row of the table.
struct Row {
    key: &'static str,
    unit: &'static str,
    label: &'static str,
    subject: &'static str,
    too_low: &'static str,
    too_high: &'static str,
    unsuited: &'static str,
    /// Values outside cannot be meant: a slip of the pen, or another unit.
    plausible: [f64; 2],
}

/// Plausible ranges are common sense, no source: wide enough for any hill country.
const TABLE: [Row; Factor::ALL.len()] = [
    Row {
        key: "elevation_m",
        unit: "m",
        label: "elevation",
        subject: "the height above sea level",
        too_low: "too low",
        too_high: "too high",
        unsuited: "wrong elevation",
        plausible: [-500.0, 9_000.0],
    },
    Row {
        key: "slope_deg",
        unit: "°",
        label: "slope",
        subject: "the slope",
        too_low: "too flat",
        too_high: "too steep",
        unsuited: "wrong slope",
        plausible: [0.0, 90.0],
    },
    Row {
        key: "wetness_index",
        unit: "",
        label: "wetness",
        subject: "the wetness index",
        too_low: "too dry",
        too_high: "too wet",
        unsuited: "wrong wetness",
        plausible: [-20.0, 50.0],
    },
    Row {
        key: "sun_ratio",
        unit: "",
        label: "sun",
        subject: "direct sun",
        too_low: "too shady",
        too_high: "too exposed to the sun",
        unsuited: "wrong sun",
        plausible: [0.0, 20.0],
    },
    Row {
        key: "coldest_month_min_c",
        unit: "°C",
        label: "coldest month's minimum",
        subject: "the coldest month",
        too_low: "too cold",
        too_high: "too warm",
        unsuited: "wrong temperature",
        plausible: [-60.0, 60.0],
    },
    Row {
        key: "annual_mean_c",
        unit: "°C",
        label: "mean temperature of the year",
        subject: "the year's mean temperature",
        too_low: "too cool all year",
        too_high: "too warm all year",
        unsuited: "wrong mean temperature",
        plausible: [-30.0, 40.0],
    },
    Row {
        key: "exposure_deg",
        unit: "°",
        label: "shelter by the horizon",
        subject: "shelter by the horizon",
        too_low: "too exposed to wind",
        too_high: "too closed in",
        unsuited: "wrong exposure",
        plausible: [-720.0, 720.0],
    },
    Row {
        key: "frost_index",
        unit: "",
        label: "frost hollow index",
        subject: "the frost hollow index",
        too_low: "too free of frost",
        too_high: "too frosty a hollow",
        unsuited: "wrong frost",
        plausible: [0.0, 1.0],
    },
    Row {
        key: "height_above_drainage_m",
        unit: "m",
        label: "height above drainage",
        subject: "the height above drainage",
        too_low: "too near the water",
        too_high: "too far above the water",
        unsuited: "wrong height above drainage",
        plausible: [0.0, 5_000.0],
    },
    Row {
        key: "drainage",
        unit: "",
        label: "soil drainage",
        subject: "soil drainage",
        too_low: "drains too poorly",
        too_high: "drains too freely",
        unsuited: "soil drainage does not suit",
        plausible: [0.0, 4.0],
    },
];

impl Factor {
    /// Every factor, in table order; all but the last are numeric.
    pub const ALL: [Self; 10] = [
        Self::ElevationM,
        Self::SlopeDeg,
        Self::WetnessIndex,
        Self::SunRatio,
        Self::ColdestMonthMinC,
        Self::AnnualMeanC,
        Self::ExposureDeg,
        Self::FrostIndex,
        Self::HeightAboveDrainageM,
        Self::Drainage,
    ];

    /// The numeric factors, in table order.
    pub const NUMERIC: [Self; 9] = [
        Self::ElevationM,
        Self::SlopeDeg,
        Self::WetnessIndex,
        Self::SunRatio,
        Self::ColdestMonthMinC,
        Self::AnnualMeanC,
        Self::ExposureDeg,
        Self::FrostIndex,
        Self::HeightAboveDrainageM,
    ];

    /// Its place in the table, from 0.
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }

    /// The factor with a key, such as `slope_deg`.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|factor| factor.key() == key)
    }

    /// Its key in files, unit included, such as `slope_deg`.
    #[must_use]
    pub fn key(self) -> &'static str {
        self.row().key
    }

    /// The unit of its values, such as `°`; empty for ratios, indices and classes.
    #[must_use]
    pub fn unit(self) -> &'static str {
        self.row().unit
    }

    /// Its name in a sentence, such as `slope`.
    #[must_use]
    pub fn label(self) -> &'static str {
        self.row().label
    }

    /// What of the place it is, such as `the coldest month`.
    #[must_use]
    pub fn subject(self) -> &'static str {
        self.row().subject
    }

    /// What a landowner says of a place where it limits, such as `too steep`.
    ///
    /// ```
    /// use stock::{Factor, Side};
    /// assert_eq!(Factor::SlopeDeg.words(Side::TooHigh), "too steep");
    /// assert_eq!(Factor::Drainage.words(Side::TooLow), "drains too poorly");
    /// ```
    #[must_use]
    pub fn words(self, side: Side) -> &'static str {
        let row = self.row();
        match side {
            Side::TooLow => row.too_low,
            Side::TooHigh => row.too_high,
            Side::Unsuited => row.unsuited,
        }
    }

    /// Least and greatest value that can be meant.
    #[must_use]
    pub fn plausible(self) -> [f64; 2] {
        self.row().plausible
    }

    fn row(self) -> &'static Row {
        &TABLE[self.index()]
    }
}

impl fmt::Display for Factor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.label())
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn the_table_is_in_the_order_of_the_variants() {
        for (index, factor) in Factor::ALL.into_iter().enumerate() {
            assert_eq!(factor.index(), index);
            assert_eq!(Factor::from_key(factor.key()), Some(factor));
        }
        assert_eq!(Factor::ALL[..Factor::NUMERIC.len()], Factor::NUMERIC);
        assert_eq!(Factor::from_key("slope"), None);
    }

    #[test]
    fn no_two_factors_share_a_key_or_a_wording() {
        let keys: BTreeSet<_> = Factor::ALL.iter().map(|f| f.key()).collect();
        assert_eq!(keys.len(), Factor::ALL.len());
        let words: BTreeSet<_> = Factor::ALL
            .iter()
            .flat_map(|f| [Side::TooLow, Side::TooHigh, Side::Unsuited].map(|s| f.words(s)))
            .collect();
        assert_eq!(words.len(), 3 * Factor::ALL.len());
    }
}
