//! What `hillweave ground` can write: one table, from which files and the data dictionary come.

use crate::ground::GroundLayer;
use crate::zones::{SlopeGroup, Step};

/// Something that can be written about the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LandformOutput {
    /// A layer of numbers.
    Measure(GroundLayer),
    /// A layer of classes.
    Class(GroundClass),
    /// A layer of numbers for each month.
    Monthly(Monthly),
    /// Drainage lines derived from elevation.
    DrainageLines,
}

/// A layer of classes, whole numbers from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum GroundClass {
    /// LUC slope group.
    Slope,
    /// Dry, moist or wet.
    Wetness,
    /// Shady, even or sunny.
    Sun,
    /// Exposed, moderate or sheltered.
    Exposure,
    /// Frost unlikely, likely or severe.
    Frost,
}

/// A layer for each month.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Monthly {
    /// Direct sun.
    Sun,
    /// Mean temperature.
    Mean,
    /// Mean daily minimum.
    Minimum,
}

impl GroundClass {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Slope, Self::Wetness, Self::Sun, Self::Exposure, Self::Frost];

    /// The layer that is classed.
    #[must_use]
    pub fn of(self) -> GroundLayer {
        match self {
            Self::Slope => GroundLayer::Slope,
            Self::Wetness => GroundLayer::WetnessIndex,
            Self::Sun => GroundLayer::SunRatio,
            Self::Exposure => GroundLayer::Exposure,
            Self::Frost => GroundLayer::FrostIndex,
        }
    }

    /// The words of its classes, from 1.
    #[must_use]
    pub fn words(self) -> Vec<&'static str> {
        let steps = |word: fn(Step) -> &'static str| Step::ALL.map(word).to_vec();
        match self {
            Self::Slope => SlopeGroup::ALL.map(SlopeGroup::letter).to_vec(),
            Self::Wetness => steps(Step::wetness),
            Self::Sun => steps(Step::sun),
            Self::Exposure => steps(Step::exposure),
            Self::Frost => steps(Step::frost),
        }
    }
}

impl Monthly {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Sun, Self::Mean, Self::Minimum];

    /// The file of a month, 1 to 12.
    #[must_use]
    pub fn file(self, month: u8) -> String {
        LandformOutput::Monthly(self).file().replace("MM", &format!("{month:02}"))
    }
}

impl LandformOutput {
    /// Everything, in the order of the data dictionary.
    pub fn all() -> impl Iterator<Item = Self> {
        let measures = GroundLayer::ALL.into_iter().map(Self::Measure);
        let classes = GroundClass::ALL.into_iter().map(Self::Class);
        let monthly = Monthly::ALL.into_iter().map(Self::Monthly);
        measures.chain(classes).chain(monthly).chain([Self::DrainageLines])
    }

    /// Its name, unit included, as it is asked for.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Measure(layer) => layer.name(),
            Self::Class(GroundClass::Slope) => "slope_group",
            Self::Class(GroundClass::Wetness) => "wetness_class",
            Self::Class(GroundClass::Sun) => "sun_class",
            Self::Class(GroundClass::Exposure) => "exposure_class",
            Self::Class(GroundClass::Frost) => "frost_class",
            Self::Monthly(Monthly::Sun) => "sun_MM_mj_m2",
            Self::Monthly(Monthly::Mean) => "mean_MM_c",
            Self::Monthly(Monthly::Minimum) => "minimum_MM_c",
            Self::DrainageLines => "drainage_lines",
        }
    }

    /// The output with a name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::all().find(|output| output.name() == name)
    }

    /// The file that holds it; `MM` in its name stands for the month.
    #[must_use]
    pub fn file(self) -> String {
        let ending = if self == Self::DrainageLines { "geojson" } else { "tif" };
        format!("{}.{ending}", self.name())
    }

    /// The files that hold it: one, or one for each month.
    #[must_use]
    pub fn files(self) -> Vec<String> {
        match self {
            Self::Monthly(monthly) => (1..=12).map(|month| monthly.file(month)).collect(),
            _ => vec![self.file()],
        }
    }

    /// Whether it is written only when asked for by name.
    #[must_use]
    pub fn is_extra(self) -> bool {
        matches!(self, Self::Monthly(_))
    }

    /// Type of its cells, as the data dictionary writes it.
    #[must_use]
    pub fn kind(self) -> &'static str {
        match self {
            Self::Measure(_) | Self::Monthly(_) => "float32",
            Self::Class(_) => "uint8",
            Self::DrainageLines => "lines",
        }
    }

    /// The unit of its values.
    #[must_use]
    pub fn unit(self) -> &'static str {
        match self {
            Self::Measure(layer) => layer.unit(),
            Self::Monthly(Monthly::Sun) => "MJ/m2 a day",
            Self::Monthly(_) => "degC",
            Self::Class(_) | Self::DrainageLines => "",
        }
    }

    /// What it says, in one sentence.
    #[must_use]
    pub fn meaning(self) -> String {
        match self {
            Self::Measure(layer) => layer.meaning().to_owned(),
            Self::Class(class) => {
                let words = (1..).zip(class.words()).map(|(code, word)| format!("{code} {word}"));
                let words: Vec<String> = words.collect();
                format!("Class of `{}`: {}.", class.of().name(), words.join(", "))
            }
            Self::Monthly(Monthly::Sun) => {
                "Direct sun of a mean day of each month under a clear sky on the slope, shadows of the land counted.".to_owned()
            }
            Self::Monthly(Monthly::Mean) => {
                "Mean temperature of each month: the station's, moved by the lapse rate.".to_owned()
            }
            Self::Monthly(Monthly::Minimum) => {
                "Mean daily minimum of each month: the station's, moved by the lapse rate.".to_owned()
            }
            Self::DrainageLines => {
                "Lines (RFC 7946) along which at least `ground.stream_from_ha` drain, where no stream layer is given: `strahler_order`, `area_ha` at the lower end.".to_owned()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_output_is_found_by_its_name() {
        for output in LandformOutput::all() {
            assert_eq!(LandformOutput::from_name(output.name()), Some(output));
            assert!(output.meaning().ends_with('.'));
        }
        assert_eq!(LandformOutput::from_name("slope"), None);
        assert_eq!(
            LandformOutput::Class(GroundClass::Wetness).meaning(),
            "Class of `wetness_index`: 1 dry, 2 moist, 3 wet."
        );
    }
}
