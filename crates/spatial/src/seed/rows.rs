//! What a round of sampling says: its rows and figures.

use std::fmt;

use geo::{LineString, MultiPolygon};
use palette::escaped;
use serde::Serialize;

use crate::plan::InputRecord;
use crate::problem::Problem;
use crate::site::DefaultTaken;
use crate::units::PlanHectares;

/// A round of sampling: where to look for mother trees on one property.
#[derive(Debug, Clone, Serialize)]
pub struct SeedSites {
    /// `hillweave.seed_sites/1`.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Name of the property.
    pub site: String,
    /// Coordinate system of eastings and northings, as `EPSG:code` or WKT.
    pub crs: String,
    /// Seed of every random draw.
    pub seed: u64,
    /// What was read.
    pub inputs: Vec<InputRecord>,
    /// Every default used that has to do with seed.
    pub defaults: Vec<DefaultTaken>,
    /// What the draw was told.
    pub settings: SettingsRow,
    /// Map area of the sampled stands.
    pub stands_plan_ha: PlanHectares,
    /// Places, or listed trees, that could be drawn.
    pub candidates: usize,
    /// Places left out because they are too steep.
    pub too_steep: usize,
    /// Why as many trees as there are.
    pub trees_because: String,
    /// Standard error to expect, as a share of the mean.
    pub standard_error_expected: f64,
    /// For what that error holds, and for what not.
    pub standard_error_holds_for: String,
    /// Voronoi spatial balance of the draw (Stevens & Olsen 2004): 0 is perfectly even.
    pub spatial_balance: f64,
    /// Published rules on how many plants stand for a population, if seed is taken from every one.
    pub population: Vec<PopulationRow>,
    /// Places on slopes of 25° up to 35°.
    pub steep_trees: usize,
    /// Places on slopes of 35° or more.
    pub very_steep_trees: usize,
    /// Greatest distance of a place from a track, metres in a straight line; null without tracks.
    pub farthest_from_track_m: Option<f64>,
    /// The sampled stands.
    pub stands: Vec<StandRow>,
    /// Their parts.
    pub strata: Vec<StratumRow>,
    /// The places drawn.
    pub trees: Vec<TreeRow>,
    /// What collectors must know.
    pub cautions: Vec<SiteCaution>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
    /// What is drawn on the map beside the places.
    #[serde(skip)]
    pub(super) drawn: Drawn,
}

/// Shapes of the map, in the plan's coordinate system.
#[derive(Debug, Clone)]
pub(super) struct Drawn {
    /// The property.
    pub(super) boundary: MultiPolygon<f64>,
    /// Name and shape of each sampled stand.
    pub(super) stands: Vec<(String, MultiPolygon<f64>)>,
    /// Tracks.
    pub(super) tracks: Vec<LineString<f64>>,
    /// Where people ask first.
    pub(super) ask: Vec<(String, MultiPolygon<f64>)>,
}

/// What the draw was told.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SettingsRow {
    /// Kept cover that is sampled.
    pub cover: Vec<String>,
    /// Least distance between places, metres of map.
    pub apart_m: f64,
    /// `lattice`, or `list` of known trees.
    pub candidates_from: &'static str,
    /// Distance between places of the lattice, metres; null for a list.
    pub lattice_step_m: Option<f64>,
    /// Wanted standard error of the mean, as a share of it.
    pub standard_error: f64,
    /// Standard deviation between trees as a share of their mean.
    pub spread: f64,
    /// Height of altitude bands, metres.
    pub altitude_band_m: f64,
    /// Slope above which nobody is sent, degrees; null: all slopes.
    pub steepest_deg: Option<f64>,
    /// `proportional` or `neyman`.
    pub allocation: &'static str,
}

/// A published rule on how many plants stand for a population.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PopulationRow {
    /// Fewest plants that meet it.
    pub plants: u32,
    /// What it asks for.
    pub asks: &'static str,
    /// Who says so.
    pub source: &'static str,
    /// Whether the places drawn are as many.
    pub met: bool,
}

/// A sampled stand.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StandRow {
    /// Its name, as in a plan of the same site.
    pub stand_id: String,
    /// Its cover.
    pub cover: String,
    /// Its map area.
    pub plan_area_ha: PlanHectares,
    /// Places that could be drawn.
    pub candidates: usize,
    /// Places drawn.
    pub drawn: usize,
}

/// A part of a stand.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StratumRow {
    /// Stand, heights in metres and quarter: `S001/200-300/N`.
    pub stratum: String,
    /// Its stand.
    pub stand_id: String,
    /// Places that could be drawn, `N_h`.
    pub candidates: usize,
    /// Standard deviation between its trees as a share of the mean of all, `S_h`.
    pub spread: f64,
    /// Places it is due, `n_h`.
    pub expected: f64,
    /// Places drawn: `expected` rounded down or up.
    pub drawn: usize,
}

/// A place where a mother tree is looked for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TreeRow {
    /// Name of the tree that is found there.
    pub tree_id: String,
    /// Its stand.
    pub stand_id: String,
    /// Its part of the stand.
    pub stratum: String,
    /// Easting, metres.
    pub easting_m: f64,
    /// Northing, metres.
    pub northing_m: f64,
    /// Longitude on WGS 84, degrees, to 7 decimals.
    pub longitude_deg: f64,
    /// Latitude on WGS 84, degrees, to 7 decimals.
    pub latitude_deg: f64,
    /// Elevation, metres, to a decimetre.
    pub elevation_m: f64,
    /// Slope at the site's working scale, degrees, to a tenth.
    pub slope_deg: f64,
    /// Where the ground faces, degrees clockwise from north, whole; null where it is level.
    pub aspect_deg: Option<f64>,
    /// Distance from the nearest track in a straight line, whole metres of map; null without tracks.
    pub to_track_m: Option<f64>,
    /// What is to be careful of; empty where nothing is.
    pub caution: String,
    /// Chance with which its place was drawn.
    pub chance: f64,
}

/// What collectors must know.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SiteCaution {
    /// What it is about.
    pub about: String,
    /// Trees concerned; empty: all of them.
    pub trees: Vec<String>,
    /// What to do.
    pub text: String,
}

impl SiteCaution {
    /// The trees in brackets after a blank; empty where it concerns all.
    fn of_trees(&self) -> String {
        if self.trees.is_empty() { String::new() } else { format!(" ({})", self.trees.join(", ")) }
    }

    /// As an item of a list of a page.
    pub(super) fn item(&self) -> String {
        let [about, trees, text] =
            [&self.about, &self.of_trees(), &self.text].map(|one| escaped(one));
        format!("<li><b>{about}</b>{trees}: {text}</li>")
    }
}

impl fmt::Display for SiteCaution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}: {}", self.about, self.of_trees(), self.text)
    }
}
