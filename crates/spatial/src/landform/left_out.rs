//! Outputs that cannot be had, and why.

use std::fmt;

use super::output::{LandformOutput, Monthly};
use super::whole::sources;
use crate::ground::{GroundLayer, made_from};
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
    /// There is no climate table.
    Climate,
    /// There is no wind rose.
    WindRose,
    /// The coordinate system does not lead to a latitude.
    Latitude,
    /// Streams are mapped, so none are derived.
    MappedStreams,
    /// It is made only of ground that is held whole, and this many cells are worked in windows.
    Whole {
        /// Cells of the raster.
        cells: usize,
    },
}

impl Lack {
    fn found(self) -> &'static str {
        match self {
            Self::Climate => "no climate table",
            Self::WindRose => "no wind rose",
            Self::Latitude => "a coordinate system that does not lead to a latitude",
            Self::MappedStreams => "a site whose streams are mapped",
            Self::Whole { .. } => "a raster that is worked in windows",
        }
    }

    fn remedy(self) -> String {
        match self {
            Self::Climate => "name one in [layers.climate] of a site".to_owned(),
            Self::WindRose => "give one in ground.wind_rose of a site".to_owned(),
            Self::Latitude => "reproject the elevation to a published system".to_owned(),
            Self::MappedStreams => {
                "use those of [layers.streams]; `--elevation` derives lines without a site"
                    .to_owned()
            }
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

/// What there is besides elevation.
#[derive(Debug, Clone, Copy)]
#[expect(clippy::struct_excessive_bools, reason = "each is one thing that a site may give")]
pub(super) struct AtHand {
    pub(super) climate: bool,
    pub(super) wind_rose: bool,
    pub(super) latitude: bool,
    pub(super) mapped_streams: bool,
}

impl AtHand {
    /// What an output lacks, if anything.
    pub(super) fn lack(self, output: LandformOutput) -> Option<Lack> {
        let own = match output {
            LandformOutput::DrainageLines => self.mapped_streams.then_some(Lack::MappedStreams),
            LandformOutput::Monthly(Monthly::Sun) => self.of(GroundLayer::SunRatio),
            LandformOutput::Monthly(_) => self.of(GroundLayer::AnnualMean),
            LandformOutput::Measure(_) | LandformOutput::Class(_) => None,
        };
        own.or_else(|| made_from(sources(output)).into_iter().find_map(|layer| self.of(layer)))
    }

    fn of(self, layer: GroundLayer) -> Option<Lack> {
        match layer {
            GroundLayer::SunRatio => (!self.latitude).then_some(Lack::Latitude),
            GroundLayer::AnnualMean | GroundLayer::ColdestMonthMin => {
                (!self.climate).then_some(Lack::Climate)
            }
            GroundLayer::WindExposure => (!self.wind_rose).then_some(Lack::WindRose),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use terrain::{Grid, Raster};

    use super::*;
    use crate::ground::Footing;
    use crate::read::Climate;
    use crate::site::GroundRules;
    use crate::units::Metres;

    #[test]
    fn what_lacks_nothing_is_what_can_be_derived() {
        let elevation = Raster::filled(Grid::new(3, 3, 0.0, 0.0, 1.0, 1.0).unwrap(), 0.0);
        let table = Climate {
            temp_mean_c: [8.0; 12],
            temp_min_c: [4.0; 12],
            station_elevation: Metres(10.0),
            lapse_c_per_100m: 0.6,
        };
        for case in 0..8 {
            let [climate, wind_rose, latitude] = [1, 2, 4].map(|bit| case & bit != 0);
            let wind_rose_shares = wind_rose.then_some([1.0; 8]);
            let rules = GroundRules { wind_rose: wind_rose_shares, ..GroundRules::usual() };
            let footing = Footing {
                elevation_m: &elevation,
                rules: &rules,
                scale: Metres(0.0),
                latitude_deg: latitude.then_some(-40.0),
                sun_months: Some(&[1]),
                property: None,
                streams: None,
                climate: climate.then_some(&table),
            };
            let at_hand = AtHand { climate, wind_rose, latitude, mapped_streams: false };
            for layer in GroundLayer::ALL {
                let lack = at_hand.lack(LandformOutput::Measure(layer));
                assert_eq!(lack.is_none(), footing.can(layer), "{layer:?} in case {case}");
            }
        }
    }

    #[test]
    fn a_raster_too_large_to_be_held_is_not_told_to_be() {
        assert!(Lack::Whole { cells: 900 }.remedy().contains("--whole-cells 900"));
        assert!(!Lack::Whole { cells: MAX_CELLS + 1 }.remedy().contains("--whole-cells"));
    }
}
