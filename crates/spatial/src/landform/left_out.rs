//! Outputs that cannot be had, and why.

use std::fmt;

use super::output::{LandformOutput, Monthly};
use super::whole::sources;
use crate::ground::{AtHand, Besides, GroundLayer, made_from};
use crate::problem::Problem;
use crate::read::MAX_CELLS;

/// An output that was left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LeftOut {
    /// Which one.
    pub output: LandformOutput,
    /// Why.
    pub why: Lack,
}

/// Why an output cannot be had. Its words say what was found and what to do about it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lack {
    /// Something besides elevation is not there.
    Absent(Besides),
    /// Streams are mapped, so none are derived.
    MappedStreams,
    /// The months of sunlight are those of a polar night.
    PolarNight,
    /// It is made only of ground that is held whole, and this many cells are worked in windows.
    Whole {
        /// Cells of the raster.
        cells: usize,
    },
}

impl Lack {
    fn found(self) -> &'static str {
        match self {
            Self::Absent(Besides::Climate) => "no climate table",
            Self::Absent(Besides::WindRose) => "no wind rose",
            Self::Absent(Besides::Latitude) => {
                "a coordinate system that does not lead to a latitude"
            }
            Self::MappedStreams => "a site whose streams are mapped",
            Self::PolarNight => "months in which the sun does not rise at this latitude",
            Self::Whole { .. } => "a raster that is worked in windows",
        }
    }

    fn remedy(self) -> String {
        match self {
            Self::Absent(Besides::Climate) => "name one in [layers.climate] of a site".to_owned(),
            Self::Absent(Besides::WindRose) => "give one in ground.wind_rose of a site".to_owned(),
            Self::Absent(Besides::Latitude) => {
                "reproject the elevation to a published system".to_owned()
            }
            Self::MappedStreams => {
                "use those of [layers.streams]; `--elevation` derives lines without a site"
                    .to_owned()
            }
            Self::PolarNight => "name months with sun in zones.sun_months of a site".to_owned(),
            Self::Whole { cells } if cells <= MAX_CELLS => format!(
                "pass `--whole-cells {cells}` where memory allows, clip it to the property, or use \
                 larger cells"
            ),
            Self::Whole { .. } => "clip it to the property, or use larger cells".to_owned(),
        }
    }

    /// Refuses an output that was asked for by name.
    pub(super) fn refusal(self, output: LandformOutput) -> Problem {
        Problem::error(output.name())
            .found(self.found())
            .expected("what the layer is made from")
            .remedy(format!("{}; or leave the layer out", self.remedy()))
    }
}

impl fmt::Display for Lack {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.found(), self.remedy())
    }
}

/// What a place has of its own.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    /// Whether streams are mapped.
    pub mapped_streams: bool,
    /// Whether the sun rises in the months over which it is counted.
    pub sun_rises: bool,
}

/// What an output lacks, if anything, of what is at hand besides elevation.
pub(super) fn lack(output: LandformOutput, at_hand: AtHand, place: Place) -> Option<Lack> {
    let of = |layer| at_hand.lack(layer).map(Lack::Absent);
    let own = match output {
        LandformOutput::DrainageLines => place.mapped_streams.then_some(Lack::MappedStreams),
        LandformOutput::Monthly(Monthly::Sun) => of(GroundLayer::SunRatio),
        LandformOutput::Monthly(_) => of(GroundLayer::AnnualMean),
        LandformOutput::Measure(_) | LandformOutput::Class(_) => None,
    };
    let from = |layer| match layer {
        GroundLayer::SunRatio => of(layer).or((!place.sun_rises).then_some(Lack::PolarNight)),
        _ => of(layer),
    };
    own.or_else(|| made_from(sources(output)).into_iter().find_map(from))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_raster_too_large_to_be_held_is_not_told_to_be() {
        assert!(Lack::Whole { cells: 900 }.remedy().contains("--whole-cells 900"));
        assert!(!Lack::Whole { cells: MAX_CELLS + 1 }.remedy().contains("--whole-cells"));
    }
}
