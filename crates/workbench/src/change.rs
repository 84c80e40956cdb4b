//! What may be changed, as the page asks for it.

use serde::Deserialize;

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
    /// A choice made by hand for a zone; one that chooses nothing is taken out.
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

/// What is chosen by hand for a zone.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Choice {
    /// Its id in the present plan.
    pub(crate) zone: String,
    /// The line that takes all of it.
    pub(crate) line: Option<String>,
    /// Lines that may not stand there.
    #[serde(default)]
    pub(crate) forbid: Vec<String>,
    /// Plants a hectare, on the site's basis.
    pub(crate) density_sph: Option<f64>,
    /// Why.
    #[serde(default)]
    pub(crate) note: String,
}

impl Choice {
    /// Whether anything is chosen.
    pub(crate) fn chooses(&self) -> bool {
        self.line.is_some() || !self.forbid.is_empty() || self.density_sph.is_some()
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
