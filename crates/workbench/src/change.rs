//! What may be changed, as the page asks for it.

use serde::{Deserialize, Deserializer};

/// One change of a plan on the bench.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub(crate) enum Change {
    /// A key of `site.toml`.
    Rule {
        /// Dotted path, such as `mosaic.min_share`.
        path: String,
        /// Its new value; `None` takes the key out, so that its default holds.
        value: Option<serde_json::Value>,
    },
    /// Plants of a line that can be had.
    Supply {
        /// Its id.
        line: String,
        /// How many; `None`: as many as are wanted.
        plants: Option<u64>,
    },
    /// Price of one plant of a line.
    Price {
        /// Its id.
        line: String,
        /// New Zealand dollars; `None`: not known.
        nzd: Option<f64>,
    },
    /// What a line takes of a factor.
    Tolerance {
        /// Its id.
        line: String,
        /// Key of the factor.
        factor: String,
        /// Where it begins and ends; `None`: the factor does not limit it.
        corners: Option<Corners>,
    },
    /// A choice made by hand for a zone; one that then chooses nothing is taken out.
    Choice(Choice),
    /// Something drawn on the map.
    Draw(Drawing),
    /// Something drawn taken away.
    Erase {
        /// What it is.
        what: What,
        /// Its number.
        index: u64,
    },
}

/// What is changed of a choice for a zone. A part that is not named stays as it is; one that is `null` goes.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Choice {
    /// Its id.
    pub(crate) zone: String,
    /// The zones that the id is of, as the scene counts them: an id of earlier ones may be other ground.
    #[serde(default)]
    pub(crate) geometry_revision: Option<u64>,
    /// The line that takes all of it.
    #[serde(default)]
    pub(crate) line: Part<String>,
    /// Lines that may not stand there.
    #[serde(default)]
    pub(crate) forbid: Part<Vec<String>>,
    /// Plants a hectare, on the site's basis.
    #[serde(default)]
    pub(crate) density_sph: Part<f64>,
    /// Why.
    #[serde(default)]
    pub(crate) note: Part<String>,
}

/// A part of something that is changed.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) enum Part<T> {
    /// It stays as it is.
    #[default]
    AsItIs,
    /// It goes.
    Gone,
    /// This takes its place.
    Anew(T),
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Part<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Ok(Option::deserialize(from)?.map_or(Self::Gone, Self::Anew))
    }
}

/// Corners of a tolerance; one that is left out sets no limit at that end.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Corners {
    /// At or below this, fit 0.
    pub(crate) none_below: Option<f64>,
    /// From here on fit 1.
    pub(crate) full_from: Option<f64>,
    /// Up to here fit 1.
    pub(crate) full_to: Option<f64>,
    /// At or above this, fit 0.
    pub(crate) none_above: Option<f64>,
}

/// What may be drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum What {
    /// A line that no zone crosses.
    Break,
    /// A zone as it is drawn.
    Zone,
    /// Ground kept clear.
    KeepClear,
}

impl What {
    /// As it stands in the file.
    pub(crate) fn key(self) -> &'static str {
        match self {
            Self::Break => "break",
            Self::Zone => "zone",
            Self::KeepClear => "keep_clear",
        }
    }

    /// In words.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Self::Break => "break line",
            Self::Zone => "zone",
            Self::KeepClear => "ground kept clear",
        }
    }
}

/// Something drawn on the map, in metres of the plan.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Drawing {
    /// What it is.
    pub(crate) what: What,
    /// A GeoJSON geometry whose coordinates are easting and northing.
    pub(crate) geometry: geojson::Geometry,
    /// What it is called.
    #[serde(default)]
    pub(crate) name: String,
    /// Why it is there.
    #[serde(default)]
    pub(crate) reason: String,
    /// How far from it ground is kept clear, metres.
    #[serde(default)]
    pub(crate) distance_m: f64,
}
