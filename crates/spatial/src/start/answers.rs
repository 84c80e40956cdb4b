//! What a person says about the files of a property.

use serde::{Deserialize, Serialize};

use crate::site::{DrainageClass, Treatment};

/// Everything that a first site is composed from.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields, default)]
pub struct Answers {
    /// Name of the property.
    pub name: String,
    /// Coordinate system of the plan; none: the elevation layer's.
    pub crs: Option<String>,
    /// Side of a cell of the plan, metres; none: the elevation layer's.
    pub cell_m: Option<f64>,
    /// What each layer is for.
    pub uses: Vec<Use>,
    /// What each code of the cover stands for.
    pub cover_classes: Vec<CoverAnswer>,
    /// What each code of the drainage stands for.
    pub drainage_classes: Vec<DrainageAnswer>,
    /// Height of the station of the climate table above the sea, metres.
    pub station_elevation_m: Option<f64>,
}

/// A layer and what it is for.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Use {
    /// Name of a file in the folder of the site.
    pub file: String,
    /// Layer inside it; none: its only one, or a raster.
    #[serde(default)]
    pub layer: Option<String>,
    /// What it is for.
    pub role: Role,
    /// Field with the code, of polygons of cover or drainage.
    #[serde(default)]
    pub field: Option<String>,
    /// Unit of elevation: `m`, `ft` or `ft_us`; none: as the file says.
    #[serde(default)]
    pub unit: Option<String>,
    /// How far the ground around it is kept clear.
    #[serde(default)]
    pub keep_clear: Option<KeepClearAnswer>,
}

/// What a layer may be for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Where the property ends.
    Boundary,
    /// Height of the ground.
    Elevation,
    /// What grows there now.
    Cover,
    /// How soil drains.
    Drainage,
    /// Streams, from which height above drainage is reckoned.
    Streams,
    /// Tracks on which plants are brought.
    Tracks,
    /// Fences, ridges and units that no zone crosses.
    Breaks,
    /// Ground to be kept clear, and nothing else.
    KeepClear,
    /// Monthly normals of a station.
    Climate,
    /// What can be planted.
    Stock,
    /// Nothing.
    None,
}

impl Role {
    /// Every role, in the order in which people are asked.
    pub const ALL: [Self; 11] = [
        Self::Boundary,
        Self::Elevation,
        Self::Cover,
        Self::Drainage,
        Self::Streams,
        Self::Tracks,
        Self::Breaks,
        Self::KeepClear,
        Self::Climate,
        Self::Stock,
        Self::None,
    ];

    /// What it is called.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::Boundary => "boundary of the property",
            Self::Elevation => "elevation",
            Self::Cover => "cover: what grows there now",
            Self::Drainage => "soil drainage",
            Self::Streams => "streams",
            Self::Tracks => "tracks",
            Self::Breaks => "lines that no zone crosses",
            Self::KeepClear => "ground to keep clear",
            Self::Climate => "climate normals",
            Self::Stock => "stock: what can be planted",
            Self::None => "not used",
        }
    }

    /// Whether several layers may have it.
    #[must_use]
    pub fn may_repeat(self) -> bool {
        matches!(self, Self::KeepClear | Self::None)
    }
}

/// A rule that keeps ground clear.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct KeepClearAnswer {
    /// Short name.
    pub name: String,
    /// Distance from the edge of each feature, metres along the map.
    pub distance_m: f64,
    /// Field with the full width of a line, metres.
    #[serde(default)]
    pub width_field: Option<String>,
    /// Why.
    pub reason: String,
    /// Who says so.
    pub authority: String,
    /// As of which day, `YYYY-MM-DD`.
    pub date: String,
    /// Distance within which planters ask first, metres.
    #[serde(default)]
    pub ask_within_m: Option<f64>,
    /// What planters are told.
    #[serde(default)]
    pub caution: Option<String>,
}

/// A code of the cover and what is done with it.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct CoverAnswer {
    /// The code.
    pub code: String,
    /// What it stands for.
    pub name: String,
    /// What is done with it; none: nobody has said yet.
    #[serde(default)]
    pub treatment: Option<Treatment>,
    /// Share that is gap, 0 to 1, where gaps are planted.
    #[serde(default)]
    pub gap_share: Option<f64>,
}

/// A code of the drainage and the class it stands for.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct DrainageAnswer {
    /// The code.
    pub code: String,
    /// Its class; none: nobody has said yet.
    #[serde(default)]
    pub class: Option<DrainageClass>,
}
