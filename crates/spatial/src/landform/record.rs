//! `ground.json`: what the layers beside it were made from, and how.

use std::path::Path;

use serde::Serialize;
use terrain::{Grid, Kernel, Routing, SlopeMethod};

use super::output::LandformOutput;
use crate::ground::GroundLayer;
use crate::problem::Problem;
use crate::read::Crs;
use crate::site::{GroundRules, Hollows, Layers, Site, WetnessEdges, ZoneRules};
use crate::units::M2_PER_HA;
use crate::write::{StagedFolder, pretty_json};

/// Name of the file.
pub const GROUND_JSON: &str = "ground.json";

/// Its schema, the first member.
const SCHEMA: &str = "hillweave.ground/1";

/// The record. File names are without their folder.
#[derive(Debug, Serialize)]
pub(super) struct Record {
    schema: &'static str,
    /// The site whose layers and rules were used; `None`: an elevation raster alone.
    site: Option<String>,
    elevation: ElevationRecord,
    /// Mapped streams; `None`: drainage lines are derived.
    streams: Option<VectorRecord>,
    /// Soil drainage, which wetness classes hear.
    drainage: Option<String>,
    climate: Option<ClimateRecord>,
    crs: String,
    /// Of the ground's middle, north positive.
    latitude_deg: Option<f64>,
    grid: GridRecord,
    settings: Settings,
    layers: Vec<LayerRecord>,
}

#[derive(Debug, Serialize)]
struct ElevationRecord {
    file: String,
    /// Metres in one unit of its values.
    metres_per_unit: f64,
    /// Value said to stand for holes, beside the one that the file declares.
    nodata: Option<f64>,
}

#[derive(Debug, Serialize)]
struct VectorRecord {
    file: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    layer: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    filter: Option<String>,
}

#[derive(Debug, Serialize)]
struct ClimateRecord {
    file: String,
    station_elevation_m: f64,
    lapse_c_per_100m: f64,
}

#[derive(Debug, Serialize)]
struct GridRecord {
    cols: usize,
    rows: usize,
    west_m: f64,
    north_m: f64,
    cell_width_m: f64,
    cell_height_m: f64,
}

#[derive(Debug, Serialize)]
struct Settings {
    /// `None` where the site gives both slope and aspect.
    slope_formula: Option<&'static str>,
    smoothing: &'static str,
    slope_scale_m: f64,
    hollows: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    breach_longest_and_deepest_m: Option<[f64; 2]>,
    flow: &'static str,
    gentlest_slope_deg: f64,
    /// `None` where streams are mapped.
    stream_from_ha: Option<f64>,
    horizon_m: f64,
    exposure_m: f64,
    exposure_counts: &'static str,
    wind_rose: Option<[f64; 8]>,
    frost_height_m: f64,
    ls_form: &'static str,
    ls_longest_m: f64,
    sun_months: Vec<u8>,
    wetness_by: &'static str,
    /// Those in force, quantiles worked out; `None` where no wetness class was written.
    wetness_edges: Option<[f64; 2]>,
    sun_edges: [f64; 2],
    exposure_edges: [f64; 2],
    frost_edges: [f64; 2],
}

#[derive(Debug, Serialize)]
struct LayerRecord {
    name: &'static str,
    files: Vec<String>,
    /// The site's own layer of which it is a copy, laid on the grid; left out where it is derived.
    #[serde(skip_serializing_if = "Option::is_none")]
    given_by: Option<String>,
    unit: &'static str,
    meaning: String,
}

/// What a record is made of.
pub(super) struct Facts<'a> {
    pub(super) site: Option<&'a Site>,
    pub(super) elevation: &'a Path,
    pub(super) metres_per_unit: f64,
    pub(super) nodata: Option<f64>,
    pub(super) crs: &'a Crs,
    pub(super) latitude_deg: Option<f64>,
    pub(super) grid: &'a Grid,
    pub(super) ground: &'a GroundRules,
    pub(super) zones: &'a ZoneRules,
    /// Those in force.
    pub(super) sun_months: Vec<u8>,
    pub(super) wetness_edges: Option<[f64; 2]>,
    pub(super) outputs: &'a [LandformOutput],
}

impl Record {
    pub(super) fn new(facts: &Facts<'_>) -> Self {
        let grid = facts.grid;
        let layers = facts.site.map(|site| &site.layers);
        let given = layers.map_or_else(Vec::new, given);
        let layer = |output: &LandformOutput| LayerRecord {
            name: output.name(),
            files: output.files(),
            given_by: given
                .iter()
                .find(|(layer, _)| *output == LandformOutput::Measure(*layer))
                .map(|(_, file)| name_of(file)),
            unit: output.unit(),
            meaning: output.meaning(),
        };
        Self {
            schema: SCHEMA,
            site: facts.site.map(|site| name_of(&site.file)),
            elevation: ElevationRecord {
                file: name_of(facts.elevation),
                metres_per_unit: facts.metres_per_unit,
                nodata: facts.nodata,
            },
            streams: layers.and_then(|layers| layers.streams.as_ref()).map(|source| VectorRecord {
                file: name_of(&source.file),
                layer: source.layer.clone(),
                filter: source.filter.clone(),
            }),
            drainage: layers
                .and_then(|layers| layers.drainage.as_ref())
                .map(|source| name_of(&source.file)),
            climate: layers.and_then(|layers| layers.climate.as_ref()).map(|source| {
                ClimateRecord {
                    file: name_of(&source.file),
                    station_elevation_m: source.station_elevation.0,
                    lapse_c_per_100m: source.lapse_c_per_100m,
                }
            }),
            crs: facts.crs.describe(),
            latitude_deg: facts.latitude_deg.map(|latitude| (latitude * 1e6).round() / 1e6),
            grid: GridRecord {
                cols: grid.cols(),
                rows: grid.rows(),
                west_m: grid.west(),
                north_m: grid.north(),
                cell_width_m: grid.cell_width(),
                cell_height_m: grid.cell_height(),
            },
            settings: settings(facts),
            layers: facts.outputs.iter().map(layer).collect(),
        }
    }

    /// Writes it into the folder of the layers.
    ///
    /// # Errors
    /// When the disk refuses.
    pub(super) fn write(&self, folder: &StagedFolder) -> Result<(), Problem> {
        folder.write(GROUND_JSON, &pretty_json(self)?)
    }
}

/// A file's name without its folder.
fn name_of(file: &Path) -> String {
    file.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

/// The layers that a site gives, each with its file.
pub(super) fn given(layers: &Layers) -> Vec<(GroundLayer, &Path)> {
    let all = [
        (GroundLayer::Slope, &layers.slope),
        (GroundLayer::Aspect, &layers.aspect),
        (GroundLayer::WetnessIndex, &layers.wetness),
    ];
    all.into_iter().filter_map(|(layer, file)| Some((layer, file.as_deref()?))).collect()
}

fn settings(facts: &Facts<'_>) -> Settings {
    let GroundRules { hollows, flow, .. } = *facts.ground;
    let (ground, zones) = (facts.ground, facts.zones);
    let layers = facts.site.map(|site| &site.layers);
    let slope_given =
        layers.is_some_and(|layers| layers.slope.is_some() && layers.aspect.is_some());
    let streams_mapped = layers.is_some_and(|layers| layers.streams.is_some());
    Settings {
        slope_formula: (!slope_given).then_some(match ground.slope_formula {
            SlopeMethod::Horn => "horn",
            SlopeMethod::ZevenbergenThorne => "zevenbergen_thorne",
        }),
        smoothing: if ground.smoothing == Kernel::Mean { "mean" } else { "gaussian" },
        slope_scale_m: zones.slope_scale.0,
        hollows: if hollows == Hollows::Fill { "fill" } else { "breach" },
        breach_longest_and_deepest_m: match hollows {
            Hollows::Fill => None,
            Hollows::Breach { longest, deepest } => Some([longest.0, deepest.0]),
        },
        flow: match flow {
            Routing::SteepestDescent => "steepest",
            Routing::DInfinity => "d_infinity",
            Routing::MultipleFlow { .. } => "multiple",
        },
        gentlest_slope_deg: ground.gentlest_slope_deg,
        stream_from_ha: (!streams_mapped).then_some(ground.stream_from_m2 / M2_PER_HA),
        horizon_m: ground.horizon.0,
        exposure_m: ground.exposure.0,
        exposure_counts: if ground.exposure_signed { "above_and_below" } else { "above" },
        wind_rose: ground.wind_rose,
        frost_height_m: ground.frost_height.0,
        ls_form: if ground.ls_by_stream_power { "stream_power" } else { "slope_length" },
        ls_longest_m: ground.ls_longest.0,
        sun_months: facts.sun_months.clone(),
        wetness_by: match zones.wetness_edges {
            WetnessEdges::Fixed(_) => "edges",
            WetnessEdges::Quantiles(_) => "quantiles",
        },
        wetness_edges: facts.wetness_edges,
        sun_edges: zones.sun_edges,
        exposure_edges: zones.exposure_edges,
        frost_edges: zones.frost_edges,
    }
}
