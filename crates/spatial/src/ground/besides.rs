//! What some layers are made from besides elevation.

use super::GroundLayer;

/// Something besides elevation that a layer may be made from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Besides {
    /// Station normals, for temperature.
    Climate,
    /// How often wind comes from where.
    WindRose,
    /// Where on the globe the ground lies, for sunlight.
    Latitude,
}

impl Besides {
    /// What a layer is made from besides elevation, if anything.
    #[must_use]
    pub fn of(layer: GroundLayer) -> Option<Self> {
        match layer {
            GroundLayer::AnnualMean | GroundLayer::ColdestMonthMin => Some(Self::Climate),
            GroundLayer::WindExposure => Some(Self::WindRose),
            GroundLayer::SunRatio => Some(Self::Latitude),
            _ => None,
        }
    }
}

/// Which of them there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AtHand {
    /// A climate table.
    pub climate: bool,
    /// A wind rose.
    pub wind_rose: bool,
    /// A latitude.
    pub latitude: bool,
}

impl AtHand {
    /// What a layer cannot be made without and is not there, if anything.
    #[must_use]
    pub fn lack(self, layer: GroundLayer) -> Option<Besides> {
        Besides::of(layer).filter(|needed| !match needed {
            Besides::Climate => self.climate,
            Besides::WindRose => self.wind_rose,
            Besides::Latitude => self.latitude,
        })
    }
}
