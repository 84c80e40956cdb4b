//! `ground.json`: what the layers beside it were made from, and how.

use std::path::Path;

use serde::Serialize;
use terrain::{Grid, Kernel, Routing, SlopeMethod};

use super::output::LandformOutput;
use crate::problem::Problem;
use crate::read::Crs;
use crate::site::{GroundRules, Hollows, WetnessEdges, ZoneRules};
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
    elevation: ElevationRecord,
    crs: String,
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
    slope_formula: &'static str,
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
    unit: &'static str,
    meaning: String,
}

/// What a record is made of.
pub(super) struct Facts<'a> {
    pub(super) elevation: &'a Path,
    pub(super) metres_per_unit: f64,
    pub(super) nodata: Option<f64>,
    pub(super) crs: &'a Crs,
    pub(super) grid: &'a Grid,
    pub(super) ground: &'a GroundRules,
    pub(super) zones: &'a ZoneRules,
    pub(super) streams_mapped: bool,
    pub(super) wetness_edges: Option<[f64; 2]>,
    pub(super) outputs: &'a [LandformOutput],
}

impl Record {
    pub(super) fn new(facts: &Facts<'_>) -> Self {
        let grid = facts.grid;
        let layer = |output: &LandformOutput| LayerRecord {
            name: output.name(),
            files: output.files(),
            unit: output.unit(),
            meaning: output.meaning(),
        };
        Self {
            schema: SCHEMA,
            elevation: ElevationRecord {
                file: name_of(facts.elevation),
                metres_per_unit: facts.metres_per_unit,
                nodata: facts.nodata,
            },
            crs: facts.crs.describe(),
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

fn settings(facts: &Facts<'_>) -> Settings {
    let GroundRules { hollows, flow, .. } = *facts.ground;
    let (ground, zones) = (facts.ground, facts.zones);
    Settings {
        slope_formula: match ground.slope_formula {
            SlopeMethod::Horn => "horn",
            SlopeMethod::ZevenbergenThorne => "zevenbergen_thorne",
        },
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
        stream_from_ha: (!facts.streams_mapped).then_some(ground.stream_from_m2 / M2_PER_HA),
        horizon_m: ground.horizon.0,
        exposure_m: ground.exposure.0,
        exposure_counts: if ground.exposure_signed { "above_and_below" } else { "above" },
        wind_rose: ground.wind_rose,
        frost_height_m: ground.frost_height.0,
        ls_form: if ground.ls_by_stream_power { "stream_power" } else { "slope_length" },
        ls_longest_m: ground.ls_longest.0,
        sun_months: zones.sun_months.clone(),
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
