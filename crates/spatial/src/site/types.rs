//! What a sound `site.toml` says. A [`Site`] exists only when every value in it has been checked.

use std::num::NonZeroU64;
use std::path::PathBuf;

use serde::{Deserialize, Serialize};
use stock::LandformClass;
use terrain::{Kernel, Routing, SlopeMethod};

use super::calendar::CalendarRules;
use super::chances::ChanceRules;
use super::cover::CoverRules;
use super::eligibility::EligibilityRules;
use super::money::MoneyRules;
use super::season::SeasonRules;
use super::seed::SeedRules;
use crate::ground::GroundLayer;
use crate::units::{AreaBasis, Metres, PlanHectares, StemsPerHectare};
use crate::zones::Step;

/// Most bands that may bound zones beside the factors.
pub const MOST_BANDS: usize = 4;

/// A property and everything the plan is told about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// The `site.toml` it came from.
    pub file: PathBuf,
    /// Name of the property.
    pub name: String,
    /// Coordinate system of the plan, such as `EPSG:2193`; `None`: the elevation layer's own.
    pub crs: Option<String>,
    /// Cell side of the plan's grid; `None`: the elevation layer's own.
    pub cell: Option<Metres>,
    /// Ground read beyond the boundary; `None`: as far as the layers look.
    pub halo: Option<Metres>,
    /// The layers.
    pub layers: Layers,
    /// Where nothing is planted, in order of precedence.
    pub keep_clear: Vec<KeepClearRule>,
    /// How the layers of the ground are derived.
    pub ground: GroundRules,
    /// How ground factors become classes and classes become planting zones.
    pub zones: ZoneRules,
    /// How many plants a hectare.
    pub density: DensityRules,
    /// What share of the plants is expected to live.
    pub survival: SurvivalRules,
    /// How stock is assigned to zones.
    pub mosaic: MosaicRules,
    /// Where each plant stands.
    pub layout: LayoutRules,
    /// Where survivors will be counted.
    pub plots: PlotRules,
    /// How plants are ordered.
    pub order: OrderingRules,
    /// Who plants, and how fast.
    pub labour: LabourRules,
    /// How near home seed must come from.
    pub eco_sourcing: EcoSourcing,
    /// How local seed is found, chosen and raised.
    pub seed: SeedRules,
    /// How months are told.
    pub calendar: CalendarRules,
    /// What the work costs, and what tells what it may bring.
    pub money: MoneyRules,
    /// How bloom is held against weather in which bees fly.
    pub season: SeasonRules,
    /// What counts as protected, by when.
    pub cover: CoverRules,
    /// How far things may be off.
    pub chances: ChanceRules,
    /// Against which rule sets planted ground is held.
    pub eligibility: EligibilityRules,
    /// The stock file.
    pub stock: PathBuf,
    /// Each value that was not given, and the one used instead.
    pub defaults: Vec<DefaultTaken>,
}

impl Site {
    /// The folder that its file names are taken from.
    #[must_use]
    pub fn folder(&self) -> &std::path::Path {
        self.file.parent().unwrap_or(std::path::Path::new(""))
    }
}

/// A default that was used because the key was not given.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DefaultTaken {
    /// Dotted key, such as `zones.min_area_ha`.
    pub key: String,
    /// The value used, as it would be written in the file.
    pub value: String,
    /// Where the default comes from.
    pub source: String,
}

/// The layers of a site. Paths are absolute or relative to the working directory.
#[derive(Debug, Clone, PartialEq)]
pub struct Layers {
    /// Property boundary: polygons.
    pub boundary: VectorSource,
    /// Elevation: raster.
    pub elevation: ElevationSource,
    /// What grows there now: raster codes or polygons.
    pub cover: Option<CategorySource<CoverClass>>,
    /// Soil drainage: raster codes or polygons.
    pub drainage: Option<CategorySource<DrainageClass>>,
    /// Erosion terrains: raster codes or polygons.
    pub erosion_terrain: Option<CategorySource<ErosionTerrain>>,
    /// Slope in degrees, used instead of the one derived from elevation.
    pub slope: Option<PathBuf>,
    /// Aspect in degrees clockwise from north, used instead of the derived one.
    pub aspect: Option<PathBuf>,
    /// Wetness index, used instead of the derived one.
    pub wetness: Option<PathBuf>,
    /// Streams and drains: lines.
    pub streams: Option<VectorSource>,
    /// Lines and polygons that no zone crosses.
    pub breaks: Option<VectorSource>,
    /// Tracks and roads on which plants are brought: lines.
    pub tracks: Option<VectorSource>,
    /// Polygons that are zones as they are drawn.
    pub drawn_zones: Option<VectorSource>,
    /// Seed zones or ecological districts, each with its name.
    pub seed_zones: Option<SeedZoneSource>,
    /// Monthly station normals: CSV.
    pub climate: Option<ClimateSource>,
}

/// A vector layer in any format that GDAL reads.
#[derive(Debug, Clone, PartialEq)]
pub struct VectorSource {
    /// File.
    pub file: PathBuf,
    /// Layer inside the file; `None`: its only one.
    pub layer: Option<String>,
    /// Filter in OGR SQL, such as `width_m >= 3`.
    pub filter: Option<String>,
}

/// Polygons of seed zones.
#[derive(Debug, Clone, PartialEq)]
pub struct SeedZoneSource {
    /// Where they are.
    pub place: VectorSource,
    /// Field that holds the name of each.
    pub field: String,
}

/// The elevation raster.
#[derive(Debug, Clone, PartialEq)]
pub struct ElevationSource {
    /// File.
    pub file: PathBuf,
    /// Metres in one unit of its values: 1 for metres, 0.3048 for feet; `None`: as the file says,
    /// and metres when it does not.
    pub metres_per_unit: Option<f64>,
    /// Value that stands for holes when the file declares none.
    pub nodata: Option<f64>,
}

/// A layer of categories, with the table from its codes to our classes.
#[derive(Debug, Clone, PartialEq)]
pub struct CategorySource<C> {
    /// File: a raster of codes, or polygons with the code in `field`.
    pub file: PathBuf,
    /// Layer inside a vector file.
    pub layer: Option<String>,
    /// Field with the code; `None` for a raster.
    pub field: Option<String>,
    /// The table, in the order of the file.
    pub table: Vec<CodeRow<C>>,
}

/// One row of a category table.
#[derive(Debug, Clone, PartialEq)]
pub struct CodeRow<C> {
    /// The code as text: a raster's whole number, or a field's value.
    pub code: String,
    /// The class it stands for.
    pub class: C,
}

/// What grows there now, and what is to be done with it.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverClass {
    /// Name, such as `pasture`.
    pub name: String,
    /// What is done with it.
    pub treatment: Treatment,
    /// Share of the ground open for infill planting, 0 to 1 (1 for `plant`).
    pub gap_share: f64,
    /// Expected survival on this cover, overriding the slope's.
    pub survival: Option<f64>,
    /// The landform that this cover shows, such as the scar of a slip: a line's own survival there
    /// is what counts. `None`: it shows none.
    pub landform: Option<LandformClass>,
    /// Share of the ground that it protects as it stands today; `None`: as its treatment says.
    pub protects: Option<f64>,
}

impl CoverClass {
    /// Share of the ground that it protects as it stands today, 0 to 1: all of it where it is kept, what
    /// the gaps leave where it is patchy, nothing elsewhere, unless the site says.
    #[must_use]
    pub fn protects(&self) -> f64 {
        self.protects.unwrap_or(match self.treatment {
            Treatment::Keep => 1.0,
            Treatment::Infill => 1.0 - self.gap_share,
            Treatment::Plant | Treatment::Never => 0.0,
        })
    }
}

/// Ground of one kind of rock and soil, with the slope above which it may slip.
#[derive(Debug, Clone, PartialEq)]
pub struct ErosionTerrain {
    /// Name, such as `soft mudstone hills`.
    pub name: String,
    /// Slope above which it may slip, degrees.
    pub slips_from_deg: f64,
}

/// What is done with existing cover.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Treatment {
    /// Cleared or open: planted all over.
    Plant,
    /// Patchy: its gaps are planted.
    Infill,
    /// A native stand: kept as it is, and may be sampled for seed.
    Keep,
    /// Never planted: water, rock, yards.
    Never,
}

impl Treatment {
    /// All treatments, in the order of their numbers.
    pub const ALL: [Self; 4] = [Self::Plant, Self::Infill, Self::Keep, Self::Never];

    /// Its word in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        ["plant", "infill", "keep", "never"][self as usize]
    }

    /// Whether plants go in, everywhere or in gaps.
    #[must_use]
    pub fn is_planted(self) -> bool {
        matches!(self, Self::Plant | Self::Infill)
    }
}

/// The five-class soil drainage ladder, driest last.
/// Source: national soil classification drainage classes (Milne et al. 1995; names from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DrainageClass {
    /// Very poorly drained.
    VeryPoor,
    /// Poorly drained.
    Poor,
    /// Imperfectly drained.
    Imperfect,
    /// Moderately well drained.
    ModeratelyWell,
    /// Well drained.
    Well,
}

impl DrainageClass {
    /// Every class, the wettest first.
    pub const ALL: [Self; 5] =
        [Self::VeryPoor, Self::Poor, Self::Imperfect, Self::ModeratelyWell, Self::Well];

    /// Its word in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        ["very_poor", "poor", "imperfect", "moderately_well", "well"][self as usize]
    }
}

/// A climate table and where its station stands.
#[derive(Debug, Clone, PartialEq)]
pub struct ClimateSource {
    /// CSV with the columns `month,temp_mean_c,temp_min_c` (others are left alone), 12 rows.
    pub file: PathBuf,
    /// Elevation of the station.
    pub station_elevation: Metres,
    /// Cooling with height, °C per 100 m.
    pub lapse_c_per_100m: f64,
}

/// Ground that is not planted within a distance of a feature.
#[derive(Debug, Clone, PartialEq)]
pub struct KeepClearRule {
    /// Short name, such as `stream`; unique in the site.
    pub name: String,
    /// The features: points, lines or polygons.
    pub source: VectorSource,
    /// Distance kept clear from the feature's edge.
    pub distance: Metres,
    /// Field with the full width of a line feature in metres; half of it is added on each side.
    pub width_field: Option<String>,
    /// Why.
    pub reason: String,
    /// Who says so: a rule, a plan, a lease.
    pub authority: String,
    /// Date of the rule, as written.
    pub date: String,
    /// Distance within which planters are told to ask first; `None`: no such zone.
    pub ask_within: Option<Metres>,
    /// What planters are told.
    pub caution: Option<String>,
}

/// A factor whose classes bound zones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ZoneFactor {
    /// LUC slope group A–G.
    SlopeGroup,
    /// Dry, moist or wet ground.
    WetnessClass,
    /// Shady, even or sunny ground.
    SunClass,
    /// Exposed, moderate or sheltered ground.
    ExposureClass,
    /// Frost unlikely, likely or severe.
    FrostClass,
    /// Plant, infill, keep, never.
    CoverTreatment,
}

impl ZoneFactor {
    /// All factors.
    pub const ALL: [Self; 6] = [
        Self::SlopeGroup,
        Self::WetnessClass,
        Self::SunClass,
        Self::ExposureClass,
        Self::FrostClass,
        Self::CoverTreatment,
    ];
}

/// How real-valued slope falls between the handbook's whole-degree groups.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SlopeEdges {
    /// A ≤ 3 < B ≤ 7 < C ≤ 15 < D ≤ 20 < E ≤ 25 < F ≤ 35 < G.
    UpperBound,
    /// Round to whole degrees first, then look up.
    WholeDegrees,
}

/// How the layers of the ground are derived from elevation.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundRules {
    /// How slope and aspect are taken from a cell's neighbours.
    pub slope_formula: SlopeMethod,
    /// How elevation is smoothed to the working scale.
    pub smoothing: Kernel,
    /// What is done with hollows.
    pub hollows: Hollows,
    /// How a cell hands its water on.
    pub flow: Routing,
    /// Slope that stands in for gentler ground in the wetness index, degrees.
    pub gentlest_slope_deg: f64,
    /// Map area from which a derived drainage line begins, square metres.
    pub stream_from_m2: f64,
    /// Distance within which land shades a cell or hides its sky.
    pub horizon: Metres,
    /// Distance within which land gives shelter from wind.
    pub exposure: Metres,
    /// Whether horizon angles below level count for exposure.
    pub exposure_signed: bool,
    /// How often the wind comes from N, NE, … NW, in any unit; `None`: all alike.
    pub wind_rose: Option<[f64; 8]>,
    /// Height above drainage over which pooled cold air thins out.
    pub frost_height: Metres,
    /// Whether LS is the unit-stream-power form instead of the slope-length form.
    pub ls_by_stream_power: bool,
    /// Longest slope length that counts in LS.
    pub ls_longest: Metres,
}

impl GroundRules {
    /// How far from a cell its layers look for land that shades or shelters it.
    #[must_use]
    pub fn farthest(&self) -> Metres {
        Metres(self.horizon.0.max(self.exposure.0))
    }
}

/// What is done with hollows that water cannot leave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hollows {
    /// Filled to their outlet.
    Fill,
    /// Breached where that is short and shallow enough, the rest filled.
    Breach {
        /// Longest breach.
        longest: Metres,
        /// Deepest cut.
        deepest: Metres,
    },
}

/// A ground layer in three bands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// The layer.
    pub layer: GroundLayer,
    /// Values at which the second and the third band begin.
    pub edges: [f64; 2],
}

impl Band {
    /// One of its steps in words, such as `from 8 to 11`.
    #[must_use]
    pub fn words(&self, step: Step) -> String {
        let [second, third] = self.edges;
        match step {
            Step::Low => format!("below {second}"),
            Step::Middle => format!("from {second} to {third}"),
            Step::High => format!("from {third}"),
        }
    }
}

/// Where wetness classes begin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WetnessEdges {
    /// At these values of the index.
    Fixed([f64; 2]),
    /// Where these shares of the property's ground are drier.
    Quantiles([f64; 2]),
}

/// How factors become classes and classes become zones.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneRules {
    /// Factors whose classes bound zones.
    pub factors: Vec<ZoneFactor>,
    /// Smallest zone, square metres of map.
    pub min_area_m2: f64,
    /// Width that each zone reaches at its widest place; 0: any.
    pub min_width: Metres,
    /// Smallest kept stand or never-planted patch drawn by itself, square metres of map; smaller
    /// ones stay inside the zone around them and are left out of its counts.
    pub min_patch_m2: f64,
    /// Working scale for slope and aspect: elevation is smoothed to it first; 0: raw cells.
    pub slope_scale: Metres,
    /// Slope group edges.
    pub slope_edges: SlopeEdges,
    /// Further layers whose bands bound zones, at most [`MOST_BANDS`].
    pub bands: Vec<Band>,
    /// Where ground becomes moist, then wet.
    pub wetness_edges: WetnessEdges,
    /// Sum of horizon angles at which exposed becomes moderate, then sheltered, degrees.
    pub exposure_edges: [f64; 2],
    /// Frost index at which frost becomes likely, then severe.
    pub frost_edges: [f64; 2],
    /// Ratio of direct sun on the slope to direct sun on level ground, at which shady becomes
    /// even, then sunny.
    pub sun_edges: [f64; 2],
    /// Months (1–12) over which sun is counted; `None`: the four around the winter solstice.
    pub sun_months: Option<Vec<u8>>,
    /// Greatest distance a border may move when its stair steps are straightened; 0: none; `None`:
    /// one cell of the plan's grid.
    pub straighten: Option<Metres>,
}

/// How plants are set out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Pattern {
    /// Square: 10,000 / s² plants a hectare.
    Square,
    /// Triangular: 10,000 / (0.8660 s²).
    Triangular,
}

/// How many plants a hectare.
#[derive(Debug, Clone, PartialEq)]
pub struct DensityRules {
    /// Whether the density counts ground or map hectares.
    pub basis: AreaBasis,
    /// Pattern, from which spacing follows.
    pub pattern: Pattern,
    /// Density where no rule below says otherwise.
    pub usual: StemsPerHectare,
    /// What plants are for where no rule below says otherwise.
    pub purpose: Purpose,
    /// Other densities, for some ground or some line.
    pub rules: Vec<DensityRule>,
}

/// A density for some ground, some line, or a line on some ground.
#[derive(Debug, Clone, PartialEq)]
pub struct DensityRule {
    /// Where it holds.
    pub ground: RuleGround,
    /// Stock that it holds for, as named in the stock file; `None`: every one.
    pub line: Option<String>,
    /// Plants a hectare.
    pub density: StemsPerHectare,
    /// What they are for.
    pub purpose: Purpose,
}

/// Ground that a density rule holds on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RuleGround {
    /// All of it.
    Any,
    /// LUC slope groups, by their letters.
    SlopeGroups(String),
    /// A cover class, by its name.
    Cover(String),
}

/// What plants are for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Purpose {
    /// Nectar.
    Honey,
    /// Cover and roots on ground that moves.
    Erosion,
    /// Forest land.
    Carbon,
}

impl Purpose {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Honey, Self::Erosion, Self::Carbon];

    /// As it is written in files.
    #[must_use]
    pub const fn key(self) -> &'static str {
        ["honey", "erosion", "carbon"][self as usize]
    }
}

impl DensityRules {
    /// Density of a line on ground of a cover and a slope group, and what it is for: a rule for the
    /// cover comes before one for the slope, that before one for all ground; of equals one for the
    /// line comes before one for every line, and what stands first in the file before the rest.
    #[must_use]
    pub fn on(
        &self,
        cover: Option<&str>,
        slope_group: &str,
        line: &str,
    ) -> (StemsPerHectare, Purpose) {
        let holds = |rule: &&DensityRule| {
            rule.line.as_deref().is_none_or(|own| own == line)
                && match &rule.ground {
                    RuleGround::Any => true,
                    RuleGround::SlopeGroups(letters) => letters.contains(slope_group),
                    RuleGround::Cover(name) => cover == Some(name.as_str()),
                }
        };
        let close = |rule: &DensityRule| match rule.ground {
            RuleGround::Any => 0,
            RuleGround::SlopeGroups(_) => 1,
            RuleGround::Cover(_) => 2,
        };
        // The last of equals is taken, so from the end.
        let closest = self.rules.iter().rev().filter(holds);
        let closest = closest.max_by_key(|rule| (close(rule), rule.line.is_some()));
        closest.map_or((self.usual, self.purpose), |rule| (rule.density, rule.purpose))
    }
}

/// What share of the plants is expected to live to the check.
#[derive(Debug, Clone, PartialEq)]
pub struct SurvivalRules {
    /// On slopes up to `steep_from_deg`.
    pub gentle: f64,
    /// On steeper slopes.
    pub steep: f64,
    /// Slope at which `steep` begins, degrees.
    pub steep_from_deg: f64,
}

/// How stock is assigned to zones.
#[derive(Debug, Clone, PartialEq)]
pub struct MosaicRules {
    /// Least share of a zone that a line may take, 0 to 1.
    pub min_share: f64,
    /// Fit below which a line is never planted, 0 to 1.
    pub fit_floor: f64,
    /// Worth of a seed line's fit beside a cultivar's, 0 to 1: below 1, the cultivar goes first
    /// where both fit.
    pub seed_line_weight: f64,
    /// Largest share of all zone ground that one line may take, 0 to 1.
    pub line_cap: f64,
    /// What the aim counts.
    pub aim: Aim,
    /// Year of the first winter of planting; `None`: the earliest that the stock names, if any.
    pub first_season: Option<i32>,
    /// Winters over which planting may be spread, 1 to 10.
    pub seasons: usize,
    /// Share of its worth that ground loses for each winter that it waits, 0 to 1.
    pub wait_loss: f64,
    /// Cost of putting one plant into the ground, New Zealand dollars.
    pub planting_nzd: f64,
    /// What plants and planting may cost in all winters, New Zealand dollars.
    pub budget_nzd: Option<f64>,
    /// What plants and planting may cost in any one winter, New Zealand dollars.
    pub season_budget_nzd: Option<f64>,
    /// Weeks of the year in which something must be in flower.
    pub weeks_in_flower: Option<u32>,
    /// Ground in flower that makes a week count.
    pub flower_least: PlanHectares,
    /// Worth of a hectare left to regenerate, 0 to 1.
    pub regenerate_worth: f64,
    /// Share of all worth that may be given up for workable blocks, 0 to 1.
    pub join_loss: f64,
    /// Choices made by hand.
    pub overrides: Option<PathBuf>,
    /// Fit edges of the FAO orders: S1 from, S2 from, S3 from (below: N).
    pub fit_orders: [f64; 3],
    /// Relative gap to the proven bound at which the solver may stop.
    pub gap: f64,
    /// Seconds after which the solver stops with the best found.
    pub time_limit_s: f64,
}

/// What the aim of the mosaic counts, each 0 to 1 for a hectare at its best.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// Fit.
    pub fit: f64,
    /// Fit times richness of nectar.
    pub nectar: f64,
    /// Any ground planted with a line that fits.
    pub area: f64,
    /// Cost, taken off.
    pub cost: f64,
}

/// Where each plant stands.
#[derive(Debug, Clone, PartialEq)]
pub struct LayoutRules {
    /// In what manner; `None`: plants are counted alone.
    pub manner: Option<PlantManner>,
    /// Mean slope of a zone below which its rows are straight, degrees.
    pub straight_below_deg: f64,
    /// Closest that two plants may stand, as a share of the spacing.
    pub least_share: f64,
    /// Distance from kept stands, for their crowns.
    pub clear_of_stands: Metres,
}

/// How plants are ordered.
#[derive(Debug, Clone, PartialEq)]
pub struct OrderingRules {
    /// Chance with which as many plants live as are planted, between 0 and 1.
    pub confidence: f64,
    /// Plants ordered beyond those needed, as a share of them.
    pub spare: f64,
    /// Plants in a tray.
    pub tray: NonZeroU64,
    /// Most plants of a line that one delivery brings; `None`: not limited.
    pub delivery_most: Option<u64>,
}

/// Who plants, and how fast.
#[derive(Debug, Clone, PartialEq)]
pub struct LabourRules {
    /// People who plant; `None`: not known.
    pub people: Option<u32>,
    /// Days of a winter on which they plant; `None`: not limited.
    pub days: Option<u32>,
    /// Plants that one person sets in a day on slopes up to `survival.steep_from_deg`.
    pub gentle_per_day: f64,
    /// The same on steeper slopes, no more.
    pub steep_per_day: f64,
}

impl LabourRules {
    /// Person-days that planting may take in one winter; `None`: not limited.
    #[must_use]
    pub fn days_a_winter(&self) -> Option<f64> {
        self.people.zip(self.days).map(|(people, days)| f64::from(people) * f64::from(days))
    }

    /// Plants that one person sets in a day.
    #[must_use]
    pub fn plants_a_day(&self, steep: bool) -> f64 {
        if steep { self.steep_per_day } else { self.gentle_per_day }
    }
}

/// Where survivors will be counted.
#[derive(Debug, Clone, PartialEq)]
pub struct PlotRules {
    /// Map area of a plot, hectares; `None`: no plots are laid out.
    pub plan_area_ha: Option<f64>,
    /// Wanted half-width of the 95 % interval of a zone's survival, a share.
    pub half_width: f64,
    /// Least plots a zone.
    pub least: usize,
}

/// In what manner plants stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlantManner {
    /// In rows along the contour.
    Rows,
    /// In squares.
    Squares,
    /// In triangles of equal sides.
    Triangles,
    /// Irregularly, as plants come up by themselves.
    Scattered,
}

/// How near home seed must come from.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct EcoSourcing {
    /// Farthest that a zone may lie from where the seed was gathered.
    pub max_distance: Option<Metres>,
    /// Most that a zone may lie higher or lower than where the seed was gathered.
    pub max_height_difference: Option<Metres>,
    /// Seed zone of the property, where no layer of seed zones says another.
    pub seed_zone: Option<String>,
}
