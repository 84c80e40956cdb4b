//! The table of every key of `site.toml`: from it come the refusal of unknown keys, type and range
//! errors, defaults, and the page `docs/site-keys.md`.

use super::Purpose;
use super::cover::{MEASURES, PATTERNS, POLE_SITES};
use super::kind::Kind::{
    self, Code, CodeTable, Date, File, Months, Number, Numbers, Section, Sections, SlopeGroups,
    Text, Texts, Word, Words,
};
use super::limits::{Limits, Order};
use super::seed::TRAITS;
use crate::ground::GroundLayer;
use stock::LandformClass;

/// One key of `site.toml`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Key {
    /// Dotted path; `[]` follows a key that stands for any number of tables.
    pub path: &'static str,
    /// What kind of value it takes.
    pub kind: Kind,
    /// Whether it must be given, and what is done when it is not.
    pub presence: Presence,
    /// A value, as it is written in the file.
    pub example: &'static str,
    /// What it means, in one sentence.
    pub meaning: &'static str,
}

/// Whether a key must be given, and what is done when it is not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Presence {
    /// Must be given.
    Required,
    /// May be left out; this is then so.
    Optional(&'static str),
    /// A table whose keys all have defaults or say themselves that they are required.
    Assumed,
    /// May be left out: this value, as written in the file, is then used and reported.
    Default(&'static str, &'static str),
    /// May be left out: a value found by this rule is then used and reported.
    Rule(&'static str, &'static str),
}

impl Presence {
    /// Where the default comes from; empty when there is none.
    #[must_use]
    pub fn source(&self) -> &'static str {
        match self {
            Self::Default(_, source) | Self::Rule(_, source) => source,
            Self::Required | Self::Optional(_) | Self::Assumed => "",
        }
    }
}

impl Key {
    /// The last part of the path, as it is written in the file.
    #[must_use]
    pub fn name(&self) -> &'static str {
        let path = self.path.trim_end_matches("[]");
        path.rsplit_once('.').map_or(path, |(_, name)| name)
    }

    /// The path of the table it stands in; empty for the file itself.
    #[must_use]
    pub fn parent(&self) -> &'static str {
        self.path.rsplit_once('.').map_or("", |(parent, _)| parent)
    }
}

/// The key of a path pattern, such as `keep_clear[].reason`.
pub(super) fn find(path: &str) -> Option<&'static Key> {
    KEYS.iter().find(|key| key.path == path)
}

/// The default of a key that takes a number.
pub(super) fn default_number(path: &str) -> Option<f64> {
    match find(path)?.presence {
        Presence::Default(value, _) => value.parse().ok(),
        _ => None,
    }
}

/// The keys of one table, in the order of the page.
pub(super) fn children(parent: &str) -> impl Iterator<Item = &'static Key> {
    KEYS.iter().filter(move |key| key.parent() == parent)
}

const fn key(
    path: &'static str,
    kind: Kind,
    presence: Presence,
    example: &'static str,
    meaning: &'static str,
) -> Key {
    Key { path, kind, presence, example, meaning }
}

use Presence::{Assumed, Default, Optional, Required, Rule};

const PRACTICE: &str = "common practice, no source";
const SHARE: Limits = Limits::from(0.0, 1.0, "share");
const SHARE_OVER_0: Limits = Limits::over(0.0, 1.0, "share");
const DISTANCE: Limits = Limits::from(0.0, 10_000.0, "m");
const PLANTS: Limits = Limits::from(1.0, 100_000.0, "plants/ha");
const TREATMENTS: &[&str] = &["plant", "infill", "keep", "never"];
const DRAINAGE: &[&str] = &["very_poor", "poor", "imperfect", "moderately_well", "well"];
const FACTORS: &[&str] = &[
    "slope_group",
    "wetness_class",
    "sun_class",
    "exposure_class",
    "frost_class",
    "cover_treatment",
];

/// What plants may be for.
const PURPOSES: &[&str] = &[Purpose::Honey.key(), Purpose::Erosion.key(), Purpose::Carbon.key()];

/// Landforms that a cover may show.
const LANDFORMS: &[&str] = &[
    LandformClass::Ridge.key(),
    LandformClass::MidSlope.key(),
    LandformClass::Toe.key(),
    LandformClass::SlipScar.key(),
];

/// Every key, in the order in which the starter file and the page list them.
#[rustfmt::skip] // a table: a row is two or three lines
pub static KEYS: &[Key] = &[
    key("site", Section, Assumed, "[site]", "The property."),
    key("site.name", Text, Required, "\"Kestrel Fold\"",
        "Name of the property, as it stands on the plan."),
    key("site.crs", Text, Rule("that of the elevation layer", "read from the file"), "\"EPSG:2193\"",
        "Coordinate system of the plan, in metres: a registry code or WKT."),
    key("site.cell_m", Number(Limits::over(0.0, 1_000.0, "m")), Rule("that of the elevation layer", "read from the file"), "2.0",
        "Side of a cell of the plan's grid."),
    key("site.halo_m", Number(DISTANCE), Rule("the farther of `ground.horizon_m` and `ground.exposure_m`, at least 150 and at most 10000, and no farther than the elevation layer", PRACTICE), "1000",
        "How far beyond the boundary ground is read: land beyond neither shades nor shelters, and its water is not counted."),

    key("layers", Section, Assumed, "[layers]", "The map layers."),
    key("layers.boundary", Section, Required, "[layers.boundary]", "Where the property ends: polygons."),
    key("layers.boundary.file", File, Required, "\"property.gpkg\"", "Vector file."),
    key("layers.boundary.layer", Text, Optional("the file's only layer"), "\"boundary\"", "Layer inside the file."),
    key("layers.boundary.filter", Text, Optional("every feature"), "\"title = 'A'\"",
        "Which features to take, in OGR SQL."),
    key("layers.elevation", Section, Required, "[layers.elevation]", "Height of the ground: a raster."),
    key("layers.elevation.file", File, Required, "\"elevation_m.tif\"", "Raster file."),
    key("layers.elevation.unit", Word(&["m", "ft", "ft_us"]), Rule("as the file says, metres when it does not", "read from the file"), "\"m\"",
        "Unit of its values: metres, international feet (0.3048 m) or US survey feet (1200/3937 m)."),
    key("layers.elevation.nodata", Number(Limits::any("")), Optional("as the file declares"), "-9999",
        "Value that stands for holes, when the file declares none."),
    key("layers.cover", Section, Optional("all ground counts as open"), "[layers.cover]",
        "What grows there now: a raster of codes, or polygons."),
    key("layers.cover.file", File, Required, "\"cover.tif\"", "Raster or vector file."),
    key("layers.cover.layer", Text, Optional("a raster, or the file's only layer"), "\"cover\"", "Layer inside a vector file."),
    key("layers.cover.field", Text, Optional("a raster"), "\"code\"", "Field that holds the code, in a vector file."),
    key("layers.cover.class[]", Sections, Required, "[[layers.cover.class]]", "One code and what it stands for."),
    key("layers.cover.class[].code", Code, Required, "1", "The code: a whole number in a raster, any value in a field."),
    key("layers.cover.class[].name", Text, Required, "\"pasture\"", "Name of the cover."),
    key("layers.cover.class[].treatment", Word(TREATMENTS), Required, "\"plant\"",
        "What is done with it: planted all over, planted in its gaps, kept as a native stand, or never planted."),
    key("layers.cover.class[].gap_share", Number(SHARE), Optional("required for `infill`, and only there"), "0.6",
        "Share of the ground that is open for planting."),
    key("layers.cover.class[].survival", Number(SHARE_OVER_0), Optional("as [survival] says for the slope"), "0.6",
        "Share of the plants expected to live on this cover."),
    key("layers.cover.class[].protects", Number(SHARE), Optional("all of it where it is kept, what the gaps leave where it is patchy, nothing elsewhere"), "0.8",
        "Share of the ground that it protects against slips as it stands today; heard by `hillweave cover` alone. What is cleared for planting protects nothing from then on."),
    key("layers.cover.class[].landform", Word(LANDFORMS), Optional("none: survival goes by the slope"), "\"slip_scar\"",
        "Landform that the cover shows. There a line's own survival for it is reckoned with; where the stock gives none, `survival` of this class, else the usual of the landform."),
    key("layers.drainage", Section, Optional("drainage is left out of the fit"), "[layers.drainage]",
        "Soil drainage: a raster of codes, or polygons."),
    key("layers.drainage.file", File, Required, "\"property.gpkg\"", "Raster or vector file."),
    key("layers.drainage.layer", Text, Optional("a raster, or the file's only layer"), "\"soil\"", "Layer inside a vector file."),
    key("layers.drainage.field", Text, Optional("a raster"), "\"drainage\"", "Field that holds the code, in a vector file."),
    key("layers.drainage.classes", CodeTable(DRAINAGE), Required, "{ P = \"poor\", W = \"well\" }",
        "Each code and the drainage class it stands for."),
    key("layers.slope", Section, Optional("derived from elevation"), "[layers.slope]", "Slope that is used instead of the derived one: a raster in degrees."),
    key("layers.slope.file", File, Required, "\"slope.tif\"", "Raster file."),
    key("layers.aspect", Section, Optional("derived from elevation"), "[layers.aspect]",
        "Aspect that is used instead of the derived one: a raster in degrees clockwise from north."),
    key("layers.aspect.file", File, Required, "\"aspect.tif\"", "Raster file."),
    key("layers.wetness", Section, Optional("derived from elevation"), "[layers.wetness]",
        "Wetness index that is used instead of the derived one: a raster of ln(a / tan β)."),
    key("layers.wetness.file", File, Required, "\"wetness.tif\"", "Raster file."),
    key("layers.streams", Section, Optional("drainage lines are derived from elevation"), "[layers.streams]",
        "Streams and drains as lines, from which height above drainage is reckoned."),
    key("layers.streams.file", File, Required, "\"property.gpkg\"", "Vector file."),
    key("layers.streams.layer", Text, Optional("the file's only layer"), "\"streams\"", "Layer inside the file."),
    key("layers.streams.filter", Text, Optional("every feature"), "\"width_m >= 1\"", "Which features to take, in OGR SQL."),
    key("layers.breaks", Section, Optional("zones keep to ground, setbacks and stands alone"), "[layers.breaks]",
        "Lines and polygons that no zone crosses: ridge lines, fences, paddocks, management units. A line parts ground only where it runs from border to border or to another break."),
    key("layers.breaks.file", File, Required, "\"property.gpkg\"", "Vector file."),
    key("layers.breaks.layer", Text, Optional("the file's only layer"), "\"fences\"", "Layer inside the file."),
    key("layers.breaks.filter", Text, Optional("every feature"), "\"kind = 'fence'\"", "Which features to take, in OGR SQL."),
    key("layers.drawn_zones", Section, Optional("every zone is drawn from the ground"), "[layers.drawn_zones]",
        "Polygons that are planting zones as they are drawn, but for setbacks, stands and cover that is never planted."),
    key("layers.drawn_zones.file", File, Required, "\"property.gpkg\"", "Vector file."),
    key("layers.drawn_zones.layer", Text, Optional("the file's only layer"), "\"drawn_zones\"", "Layer inside the file."),
    key("layers.drawn_zones.filter", Text, Optional("every feature"), "\"year = 1\"", "Which features to take, in OGR SQL."),
    key("layers.erosion_terrain", Section, Optional("one slope for all ground: `cover.slips_above_deg`"), "[layers.erosion_terrain]",
        "Erosion terrains, each with the slope above which its ground may slip: a raster of codes, or polygons; heard by `hillweave cover` alone."),
    key("layers.erosion_terrain.file", File, Required, "\"terrain.gpkg\"", "Raster or vector file."),
    key("layers.erosion_terrain.layer", Text, Optional("a raster, or the file's only layer"), "\"terrain\"", "Layer inside a vector file."),
    key("layers.erosion_terrain.field", Text, Optional("a raster"), "\"terrain\"", "Field that holds the code, in a vector file."),
    key("layers.erosion_terrain.class[]", Sections, Required, "[[layers.erosion_terrain.class]]", "One code and the terrain it stands for."),
    key("layers.erosion_terrain.class[].code", Code, Required, "\"S\"", "The code: a whole number in a raster, any value in a field."),
    key("layers.erosion_terrain.class[].name", Text, Required, "\"soft mudstone hills\"", "Name of the terrain."),
    key("layers.erosion_terrain.class[].slips_from_deg", Number(Limits::from(0.0, 90.0, "degrees")), Required, "24",
        "Slope above which its ground may slip. 20 to 28 degrees are used on soft rock, 28 to 30 and more on harder (from memory): ask those who know your hills."),

    key("layers.seed_zones", Section, Optional("home seed is not held to mapped seed zones"), "[layers.seed_zones]",
        "Seed zones or ecological districts as polygons: a seed line is not planted on a zone that lies mostly in another one than its seed is of."),
    key("layers.seed_zones.file", File, Required, "\"property.gpkg\"", "Vector file."),
    key("layers.seed_zones.layer", Text, Optional("the file's only layer"), "\"seed_zones\"", "Layer inside the file."),
    key("layers.seed_zones.field", Text, Required, "\"name\"", "Field that holds the name, as `origin.seed_zone` in the stock file has it."),
    key("layers.seed_zones.filter", Text, Optional("every feature"), "\"edition = 2\"", "Which features to take, in OGR SQL."),
    key("layers.tracks", Section, Optional("cards name no drop point"), "[layers.tracks]",
        "Tracks and roads as lines, on which plants are brought: each card names the place on them nearest to its zone. Those within 10 km of the property are looked at."),
    key("layers.tracks.file", File, Required, "\"property.gpkg\"", "Vector file."),
    key("layers.tracks.layer", Text, Optional("the file's only layer"), "\"tracks\"", "Layer inside the file."),
    key("layers.tracks.filter", Text, Optional("every feature"), "\"width_m >= 3\"", "Which features to take, in OGR SQL: those that a vehicle can use."),
    key("layers.climate", Section, Optional("temperature is left out of the fit"), "[layers.climate]",
        "Monthly normals of a station: a table."),
    key("layers.climate.file", File, Required, "\"climate.csv\"",
        "CSV file with the columns month, temp_mean_c and temp_min_c, twelve rows."),
    key("layers.climate.station_elevation_m", Number(Limits::from(-500.0, 9_000.0, "m")), Required, "40",
        "Height of the station above sea level."),
    key("layers.climate.lapse_c_per_100m", Number(Limits::from(0.0, 1.0, "°C per 100 m")),
        Default("0.6", "from memory: usual cooling with height"), "0.6", "How much colder it gets with height."),

    key("keep_clear[]", Sections, Optional("no ground is kept clear"), "[[keep_clear]]",
        "Ground that is not planted within a distance of a feature; the first rule counts first."),
    key("keep_clear[].name", Text, Required, "\"stream\"", "Short name, given once in the file."),
    key("keep_clear[].file", File, Required, "\"property.gpkg\"", "Vector file: points, lines or polygons."),
    key("keep_clear[].layer", Text, Optional("the file's only layer"), "\"streams\"", "Layer inside the file."),
    key("keep_clear[].filter", Text, Optional("every feature"), "\"width_m < 3\"", "Which features to take, in OGR SQL."),
    key("keep_clear[].width_field", Text, Optional("lines have no width"), "\"width_m\"",
        "Field with the full width of a line in metres; half of it is added on each side."),
    key("keep_clear[].distance_m", Number(DISTANCE), Required, "5", "Distance kept clear, along the map, from the feature's edge."),
    key("keep_clear[].reason", Text, Required, "\"bank and stream life\"", "Why the ground is kept clear."),
    key("keep_clear[].authority", Text, Required, "\"regional plan: check which rule applies\"", "Who says so: a rule, a plan, a lease, the owner."),
    key("keep_clear[].date", Date, Required, "\"2025-07-01\"", "Date of the rule, so that an old one is noticed."),
    key("keep_clear[].ask_within_m", Number(DISTANCE), Optional("nobody is told to ask"), "200",
        "Distance within which planters are told to ask first."),
    key("keep_clear[].caution", Text, Optional("the reason is shown"), "\"Stop and call if the ground shows shell, bone or pits.\"", "What planters are told."),

    key("ground", Section, Assumed, "[ground]", "How the layers of the ground are derived from elevation."),
    key("ground.slope_formula", Word(&["horn", "zevenbergen_thorne"]), Default("\"horn\"", "Horn 1981, steady on rough ground"), "\"horn\"",
        "How slope and aspect are taken from a cell's neighbours: eight of them (Horn 1981) or four (Zevenbergen & Thorne 1987)."),
    key("ground.smoothing", Word(&["gaussian", "mean"]), Default("\"gaussian\"", PRACTICE), "\"gaussian\"",
        "How elevation is smoothed to `zones.slope_scale_m`: by a bell or by a square window of that spread."),
    key("ground.hollows", Word(&["fill", "breach"]), Default("\"fill\"", "priority flood (Barnes, Lehman & Mulla 2014)"), "\"fill\"",
        "What is done with hollows that water cannot leave: filled to their outlet, or breached within the limits below and the rest filled (Lindsay 2016)."),
    key("ground.breach_longest_m", Number(Limits::over(0.0, 10_000.0, "m")), Default("100", PRACTICE), "100",
        "Longest breach, along the map."),
    key("ground.breach_deepest_m", Number(Limits::over(0.0, 100.0, "m")), Default("5", PRACTICE), "5",
        "Deepest cut of a breach, such as through a track's bank."),
    key("ground.flow", Word(&["multiple", "d_infinity", "steepest"]), Default("\"multiple\"", "Freeman 1991, for wetness"), "\"multiple\"",
        "How a cell hands its water on: to every lower neighbour (Freeman 1991), to two (Tarboton 1997) or to the steepest (O'Callaghan & Mark 1984)."),
    key("ground.gentlest_slope_deg", Number(Limits::over(0.0, 10.0, "degrees")), Default("0.1", PRACTICE), "0.1",
        "Slope that stands in for gentler ground in the wetness index, which has no bound on the level."),
    key("ground.stream_from_ha", Number(Limits::over(0.0, 100_000.0, "ha")), Default("2", PRACTICE), "2",
        "Map area that must drain through a cell for it to be a drainage line, when no stream layer is given."),
    key("ground.horizon_m", Number(Limits::over(0.0, 100_000.0, "m")), Default("1000", PRACTICE), "1000",
        "Distance within which land can shade a cell from the sun or hide its sky; land beyond what was read is not seen."),
    key("ground.exposure_m", Number(Limits::over(0.0, 100_000.0, "m")), Default("1000", "1 to 2 km are usual in forestry; common practice, no source"), "1000",
        "Distance within which land gives shelter from wind; land beyond what was read is not seen."),
    key("ground.exposure_counts", Word(&["above", "above_and_below"]), Default("\"above\"", "shelter alone; common practice, no source"), "\"above\"",
        "Which horizon angles count for exposure: those above level ground alone, so that a summit and an open plain are alike; or those below too, as in the distance-limited topex of Quine & White 1998 (from memory)."),
    key("ground.wind_rose", Numbers(8, Limits::from(0.0, 100.0, ""), Order::Any), Optional("every direction counts alike"), "[1, 1, 1, 2, 3, 4, 3, 1]",
        "How often the wind comes from N, NE, E, SE, S, SW, W and NW, in any unit, such as percentages."),
    key("ground.frost_height_m", Number(Limits::over(0.0, 1_000.0, "m")), Default("10", PRACTICE), "10",
        "Height above drainage over which pooled cold air thins out."),
    key("ground.ls_form", Word(&["slope_length", "stream_power"]), Default("\"slope_length\"", "Desmet & Govers 1996 with the factors of Agriculture Handbook 703"), "\"slope_length\"",
        "Form of the LS factor: RUSLE on a grid (Desmet & Govers 1996) or unit stream power (Moore & Burch 1986)."),
    key("ground.ls_longest_m", Number(Limits::over(0.0, 1_000.0, "m")), Default("122", "400 feet, usual limit of a slope length (Agriculture Handbook 703)"), "122",
        "Longest slope length that counts in the LS factor."),

    key("zones", Section, Assumed, "[zones]", "How ground becomes planting zones."),
    key("zones.factors", Words(FACTORS), Default(r#"["slope_group", "wetness_class", "sun_class", "cover_treatment"]"#, PRACTICE),
        r#"["slope_group", "sun_class"]"#, "Factors whose classes bound zones; none of them: one zone for each piece of ground."),
    key("zones.band[]", Sections, Optional("no further factor bounds zones"), "[[zones.band]]",
        "A layer of the ground in three bands that bound zones beside the factors; up to 4."),
    key("zones.band[].layer", Word(&GroundLayer::NAMES), Required, "\"ls_factor\"", "The layer, as `hillweave ground` names it."),
    key("zones.band[].edges", Numbers(2, Limits::any(""), Order::Rising), Required, "[5, 20]", "Values at which the second and the third band begin."),
    key("zones.min_area_ha", Number(Limits::over(0.0, 1_000.0, "ha")), Default("0.5", PRACTICE), "0.5",
        "Smallest zone, in map hectares: smaller pieces join a neighbour."),
    key("zones.min_width_m", Number(Limits::from(0.0, 1_000.0, "m")), Default("10", PRACTICE), "10",
        "Width that every zone reaches somewhere, three rows or so: narrower pieces join a neighbour; 0: any."),
    key("zones.min_patch_m2", Number(Limits::from(0.0, 100_000.0, "m²")), Default("100", PRACTICE), "100",
        "Smallest kept stand or never-planted patch drawn by itself, in map square metres; smaller ones lie in the zone around them and are left out of its counts."),
    key("zones.slope_scale_m", Number(Limits::from(0.0, 200.0, "m")), Default("10", PRACTICE), "10",
        "Scale to which elevation is smoothed before slope and aspect; 0: raw cells."),
    key("zones.slope_edges", Word(&["upper_bound", "whole_degrees"]),
        Default("\"upper_bound\"", "our reading of the whole-degree groups of the Land Use Capability Survey Handbook, 3rd ed. (Lynn et al. 2009), Table 6"),
        "\"upper_bound\"", "How slopes between the whole-degree groups A to G fall: A ≤ 3 < B ≤ 7 < C ≤ 15 < D ≤ 20 < E ≤ 25 < F ≤ 35 < G, or rounded to whole degrees first."),
    key("zones.wetness_by", Word(&["edges", "quantiles"]), Default("\"edges\"", PRACTICE), "\"edges\"",
        "Whether wetness classes begin at fixed values of the index or at shares of this property's ground."),
    key("zones.wetness_edges", Numbers(2, Limits::from(-20.0, 50.0, ""), Order::Rising), Default("[8.0, 11.0]", PRACTICE), "[8.0, 11.0]",
        "Wetness index ln(a / tan β) at which ground becomes moist, then wet; it depends on the cell size, so look at the map first."),
    key("zones.wetness_quantiles", Numbers(2, SHARE, Order::Rising), Default("[0.7, 0.95]", PRACTICE), "[0.7, 0.95]",
        "Shares of the property's ground that are drier than moist, then than wet, with `wetness_by = \"quantiles\"`."),
    key("zones.sun_edges", Numbers(2, Limits::from(0.0, 10.0, ""), Order::Rising), Default("[0.6, 1.1]", PRACTICE), "[0.6, 1.1]",
        "Direct sun on the slope over direct sun on level ground, at which shady becomes even, then sunny."),
    key("zones.sun_months", Months, Rule("the four months around the winter solstice: [5, 6, 7, 8] in the south, [11, 12, 1, 2] in the north", PRACTICE), "[6]",
        "Months over which sun is counted."),
    key("zones.exposure_edges", Numbers(2, Limits::from(-720.0, 720.0, "degrees"), Order::Rising), Default("[30, 60]", "topex classes of forestry practice, from memory"), "[30, 60]",
        "Sum of eight horizon angles at which exposed ground becomes moderate, then sheltered."),
    key("zones.frost_edges", Numbers(2, SHARE, Order::Rising), Default("[0.3, 0.6]", PRACTICE), "[0.3, 0.6]",
        "Frost hollow index at which frost becomes likely, then severe; look at frost_index.tif and at your own frosts first."),
    key("zones.straighten_m", Number(Limits::from(0.0, 100.0, "m")), Rule("one cell of the plan's grid", PRACTICE), "2.0",
        "How far a border may move when the stair steps of cells are straightened; 0: not at all."),

    key("density", Section, Assumed, "[density]", "How many plants a hectare."),
    key("density.basis", Word(&["ground", "plan"]), Default("\"ground\"", "the crew measures spacing along the slope; common practice, no source"), "\"ground\"",
        "Which hectare a density counts: along the slope, or on the map."),
    key("density.pattern", Word(&["square", "triangular"]), Default("\"square\"", PRACTICE), "\"square\"",
        "How plants are set out, from which spacing follows: 10,000 / s² a hectare, or 10,000 / (0.8660 s²)."),
    key("density.usual_sph", Number(PLANTS), Rule("from `usual_spacing_m` when that is given, otherwise 1111", "3 m square in common forestry spacing tables; 1,100 is the usual class (trade press, 2017)"), "1111",
        "Plants a hectare where no rule says otherwise; it counts when a spacing that differs is given too."),
    key("density.usual_spacing_m", Number(Limits::from(0.3, 100.0, "m")), Optional("from `usual_sph`"), "3.0",
        "Distance between plants where no rule says otherwise."),
    key("density.purpose", Word(PURPOSES), Default("\"honey\"", "a choice"), "\"honey\"",
        "What plants are for where no rule says otherwise; it changes no count, and stands beside each block."),
    key("density.rule[]", Sections, Optional("the usual density everywhere"), "[[density.rule]]",
        "Another density: on slope groups or a cover class, for a line, or for a line there. A rule for the cover comes before one for the slope, that before one for all ground; of equals one that names the line."),
    key("density.rule[].slope_group", SlopeGroups, Optional("a rule by cover or line"), "\"FG\"", "LUC slope groups that the rule is for."),
    key("density.rule[].cover", Text, Optional("a rule by slope group or line"), "\"slip scar\"", "Name of the cover class that the rule is for."),
    key("density.rule[].line", Text, Optional("every line"), "\"amber\"", "Stock that the rule is for, by its `id` in the stock file."),
    key("density.rule[].sph", Number(PLANTS), Optional("from `spacing_m`, which is then required"), "1600", "Plants a hectare there."),
    key("density.rule[].spacing_m", Number(Limits::from(0.3, 100.0, "m")), Optional("from `sph`"), "2.5",
        "Distance between plants; given beside `sph`, the two must agree within 1 %."),
    key("density.rule[].purpose", Word(PURPOSES), Optional("that of `density.purpose`"), "\"erosion\"", "What these plants are for."),

    key("survival", Section, Assumed, "[survival]", "What share of the plants is expected to live; orders are raised by it."),
    key("survival.gentle", Number(SHARE_OVER_0), Default("0.9", "Millner et al. 2016, doi 10.33584/rps.16.2016.3266: over 90 % for most provenances in two trials"), "0.9",
        "Share on slopes up to `steep_from_deg`."),
    key("survival.steep", Number(SHARE_OVER_0), Default("0.8", "Marden, Lambie & Phillips 2020, NZ J. Forestry Science: 10 to 25 % missing on ridges and colluvial slopes after 6 years"), "0.8",
        "Share on steeper slopes."),
    key("survival.steep_from_deg", Number(Limits::from(0.0, 90.0, "degrees")), Default("15", PRACTICE), "15",
        "Slope at which `steep` begins."),

    key("mosaic", Section, Assumed, "[mosaic]", "How stock is assigned to zones."),
    key("mosaic.min_share", Number(SHARE), Default("0.2", PRACTICE), "0.2", "Least share of a zone that a line may take."),
    key("mosaic.fit_floor", Number(SHARE), Default("0.2", PRACTICE), "0.2", "Fit below which a line is never planted."),
    key("mosaic.seed_line_weight", Number(SHARE), Default("0.6", PRACTICE), "0.6",
        "Worth of a seed line's fit beside a cultivar's; below 1, the cultivar goes first where both fit."),
    key("mosaic.line_cap", Number(SHARE_OVER_0), Default("1.0", "no cap"), "1.0", "Largest share of all zone ground that one line may take."),
    key("mosaic.weight_fit", Number(SHARE), Default("1", "a choice: the best line for every piece of ground"), "1",
        "What a hectare that fits wholly counts for in the aim, beside the other weights."),
    key("mosaic.weight_nectar", Number(SHARE), Default("0", "a choice"), "0.5",
        "What a hectare of the line with the richest nectar counts for where it fits wholly; others by their ratio of DHA to sugars, a line without one for nothing."),
    key("mosaic.weight_area", Number(SHARE), Default("0", "a choice"), "0.3", "What any hectare counts for that is planted with a line that fits."),
    key("mosaic.weight_cost", Number(SHARE), Default("0", "a choice"), "0.2", "What is taken off a hectare of the dearest line; off others by their cost."),
    key("mosaic.first_season", Number(Limits::from(1_900.0, 2_200.0, "")), Rule("the earliest season in which the stock file has plants", "read from the stock file"), "2027",
        "Year of the first winter in which anything is planted."),
    key("mosaic.seasons", Number(Limits::from(1.0, 10.0, "seasons")), Default("1", "everything in one winter"), "3",
        "Winters over which planting may be spread."),
    key("mosaic.wait_loss", Number(SHARE), Default("0.03", "a choice: low, so that a line worth waiting for is waited for"), "0.03",
        "Share of its worth that ground loses for each winter that it waits."),
    key("mosaic.planting_nzd", Number(Limits::from(0.0, 1_000.0, "NZD")), Default("0", "nothing is known of it"), "0.6",
        "Cost of putting one plant into the ground, beside its price."),
    key("mosaic.budget_nzd", Number(Limits::from(0.0, 1e9, "NZD")), Optional("not limited"), "180000",
        "What plants and planting may cost in all winters."),
    key("mosaic.season_budget_nzd", Number(Limits::from(0.0, 1e9, "NZD")), Optional("not limited"), "70000",
        "What plants and planting may cost in any one winter."),
    key("mosaic.weeks_in_flower", Number(Limits::from(1.0, 53.0, "weeks")), Optional("nothing is asked"), "6",
        "Weeks of the year in which something planted must be in flower."),
    key("mosaic.flower_least_ha", Number(Limits::over(0.0, 10_000.0, "ha")), Default("1", PRACTICE), "1",
        "Ground in flower that makes a week count."),
    key("mosaic.regenerate_worth", Number(SHARE), Default("0", "a choice: ground is planted wherever a line fits"), "0.15",
        "What a hectare counts for that is left to regenerate, beside one planted with a line that fits wholly; it covers ground and does not raise the quality of honey."),
    key("mosaic.join_loss", Number(SHARE), Default("0", "a choice: the best line for every piece of ground"), "0.005",
        "Share of all worth that may be given up so that neighbouring zones get one line and make workable blocks."),
    key("mosaic.overrides", File, Optional("no choice is made by hand"), "\"overrides.toml\"",
        "File with choices made by hand: lines fixed or forbidden and densities set, zone by zone."),
    key("mosaic.fit_orders", Numbers(3, SHARE, Order::Falling), Default("[0.8, 0.4, 0.2]", "orders of the Framework for Land Evaluation (FAO 1976), which sets no figures; figures: shares of the best yield in Soils Bulletin 52 (FAO 1983); both from memory"), "[0.8, 0.4, 0.2]",
        "Fit from which ground counts as S1, as S2, as S3; below the last it is N."),
    key("mosaic.gap", Number(SHARE), Default("0.001", PRACTICE), "0.001", "How far from the proven bound the solver may stop, as a share of it."),
    key("mosaic.time_limit_s", Number(Limits::over(0.0, 86_400.0, "s")), Default("20", PRACTICE), "20",
        "Time after which the solver stops with the best it has found."),

    key("layout", Section, Assumed, "[layout]", "Where each plant stands."),
    key("layout.plants", Word(&["counts", "rows", "squares", "triangles", "scattered"]), Default("\"counts\"", "a choice: a crew sets plants out by spacing"), "\"rows\"",
        "counts: plants have no places. Else every plant has one, in the layer `plants`: rows along the contour, squares, triangles of equal sides, or scattered as plants come up by themselves."),
    key("layout.straight_below_deg", Number(Limits::from(0.0, 90.0, "degrees")), Default("5", "no source: contours wander on gentle ground"), "5",
        "Mean slope of a zone below which its rows are straight and run along it."),
    key("layout.least_share", Number(Limits::over(0.0, 0.7, "")), Default("0.6", PRACTICE), "0.6", "Closest that two plants may stand, as a share of the spacing."),
    key("layout.clear_of_stands_m", Number(Limits::from(0.0, 50.0, "m")), Default("1.5", "no source: about the crown of a grown shrub"), "1.5",
        "Distance that plants keep from kept stands."),

    key("order", Section, Assumed, "[order]", "How plants are ordered."),
    key("order.confidence", Number(Limits::from(0.01, 0.999, "")), Default("0.9", "a choice"), "0.9",
        "Chance with which as many plants of an order live as are planted, if each lives or dies by itself. Drought, browsing and slips take plants together: no order covers those."),
    key("order.spare", Number(Limits::from(0.0, 1.0, "")), Default("0", "a choice"), "0.02",
        "Plants ordered beyond those needed, as a share of them: for breakage and handling."),
    key("order.tray", Number(Limits::from(1.0, 10_000.0, "plants")), Default("1", "single plants; ask the nursery"), "45",
        "Plants in a tray or box: orders are whole trays where supply and budget allow."),
    key("order.delivery_most", Number(Limits::from(1.0, 1e7, "plants")), Optional("one delivery a line and winter"), "12000",
        "Most plants of a line that one delivery brings: what the crew plants while they keep."),

    key("labour", Section, Assumed, "[labour]", "Who plants, and how fast. Steep, wet or slippery ground is planted as slowly as it is safe to, and whether by hand at all is for people on site."),
    key("labour.people", Number(Limits::from(1.0, 10_000.0, "people")), Optional("not known, and no days of a crew are told"), "6",
        "People who plant."),
    key("labour.days", Number(Limits::from(1.0, 366.0, "days")), Optional("not limited"), "30",
        "Days of a winter on which they can plant, weather and carrying allowed for: no winter gets more to plant than that."),
    key("labour.gentle_per_day", Number(Limits::from(1.0, 10_000.0, "plants")), Default("350", "300 to 400 a day of a contract planter of pines (trade press, about 2018)"), "350",
        "Plants that one person sets in a day on slopes up to `survival.steep_from_deg`."),
    key("labour.steep_per_day", Number(Limits::from(1.0, 10_000.0, "plants")), Default("250", PRACTICE), "250",
        "The same on steeper slopes; no more than `gentle_per_day`."),

    key("plots", Section, Assumed, "[plots]", "Where survivors will be counted."),
    key("plots.plan_area_ha", Number(Limits::over(0.0, 1.0, "ha")), Optional("no plots are laid out"), "0.01",
        "Map area of a circular plot; its radius along the slope is told with each."),
    key("plots.half_width", Number(Limits::over(0.0, 0.5, "")), Default("0.1", PRACTICE), "0.1",
        "Wanted half-width of the 95 % interval of a zone's survival: how many plots that takes is reckoned from the expected survival."),
    key("plots.least", Number(Limits::from(1.0, 100.0, "plots")), Default("3", PRACTICE), "3", "Least plots a zone, whatever the half-width takes."),

    key("eco_sourcing", Section, Assumed, "[eco_sourcing]", "How near home seed must come from; heard for seed lines whose origin the stock file tells."),
    key("eco_sourcing.max_distance_km", Number(Limits::over(0.0, 2_000.0, "km")), Optional("any distance"), "30",
        "Farthest that a zone may lie from where the seed was gathered."),
    key("eco_sourcing.max_height_difference_m", Number(Limits::over(0.0, 4_000.0, "m")), Optional("any height"), "300",
        "Most that a zone may lie higher or lower than where the seed was gathered."),
    key("eco_sourcing.seed_zone", Text, Optional("any seed zone"), "\"Kestrel hills\"",
        "Seed zone of the property; seed of another zone is not planted."),

    key("cover", Section, Assumed, "[cover]", "Protective cover: what is reckoned, what must be reached by when, and what mending costs. Heard by `hillweave cover` alone, which names the defaults it takes. A share of ground covered is no promise that a slope holds."),
    key("cover.measure", Word(MEASURES), Default("\"crown\"", "a choice"), "\"crown\"",
        "What protective cover is reckoned by: ground under crowns, ground that roots bind, or the age of a stand by one of two papers. The last two were measured in natural regeneration at thousands of stems a hectare; on wide spacing they are used with a warning alone."),
    key("cover.target", Number(SHARE_OVER_0), Default("0.7", "a choice"), "0.7",
        "Least share of the ground to be protected wherever it may slip."),
    key("cover.by_years", Number(Limits::from(0.0, 60.0, "years")), Default("10", "a choice"), "10",
        "Years after the first planting winter by which that must be reached."),
    key("cover.slips_above_deg", Number(Limits::from(0.0, 90.0, "degrees")), Default("26", "that of many hill soils of the North Island, from memory; most sediment of one storm came from slopes of 26 to 35 degrees (NZ J. Forestry Science 2015), elsewhere from as low as 15"), "26",
        "Slope above which ground may slip, where no erosion terrain says."),
    key("cover.pattern", Word(PATTERNS), Optional("as `layout.plants` or `density.pattern` sets plants out"), "\"square\"",
        "How plants stand: at corners of squares, of triangles, or anywhere."),
    key("cover.growth[]", Sections, Optional("crowns of 0.95 m at 6 years, 1.4 m at 10, 1.9 m at 20 (common practice, no source); most roots within 0.5 m at 6 years (Marden, Lambie & Phillips 2020), 1 m from 15 (no source)"), "[[cover.growth]]",
        "Radius of a plant's crown and of the ground that most of its roots bind, at one age."),
    key("cover.growth[].age_years", Number(Limits::from(0.0, 200.0, "years")), Required, "6", "Years after planting."),
    key("cover.growth[].crown_radius_m", Number(Limits::from(0.0, 20.0, "m")), Required, "0.95", "Half the width of the crown, on the map."),
    key("cover.growth[].root_radius_m", Number(Limits::from(0.0, 20.0, "m")), Required, "0.5", "Distance from the stem within which most roots lie, on the map."),
    key("cover.scar_growth", Number(SHARE_OVER_0), Default("0.7", "plants on ridges were larger than on slip scars (Marden, Lambie & Phillips 2020); the figure is a guess, no source"), "0.7",
        "Share of those radii that plants reach on cover whose landform is `slip_scar`."),
    key("cover.pole_sph", Number(Limits::from(1.0, 2_500.0, "plants/ha")), Default("100", "about 100 a hectare above 15 to 20 degrees (a planting trust's advice); 30 to 60 of grown trees cut slips by 95 % (Douglas et al. 2011)"), "100",
        "Poplar or willow poles a hectare, where poles are the remedy."),
    key("cover.pole_nzd", Number(Limits::from(0.0, 10_000.0, "NZ$")), Default("20", "from memory, no source: ask the council's nursery"), "20", "What one planted pole with its sleeve costs."),
    key("cover.pole_diameter_m_per_year", Number(Limits::over(0.0, 0.2, "m")), Default("0.025", "from memory, no source"), "0.025",
        "Growth of a pole's stem in diameter at breast height, a year."),
    key("cover.pole_site", Word(POLE_SITES), Default("\"worst\"", "a choice: the careful one"), "\"good\"",
        "Which published case poles are held to: in the worst 300 stems of 0.3 m a hectare reinforce enough, on good sites 100 of 0.15 m ('Veronese' poplar, NZ J. Forestry Science 2016)."),
    key("cover.regenerate_nzd_per_ha", Number(Limits::from(0.0, 100_000.0, "NZ$/ha")), Default("1000", "what a national grant of 2018 to 2020 paid for natural return (grant terms); your fences and pests cost what they cost"), "1000",
        "What a hectare left to regenerate costs: fences, and goats kept out."),
    key("cover.regenerate_within_m", Number(DISTANCE), Default("100", PRACTICE), "100",
        "Farthest from a kept stand that ground is taken to regenerate by itself."),
    key("cover.regenerate_wait_years", Number(Limits::from(0.0, 50.0, "years")), Default("3", PRACTICE), "3",
        "Years until seedlings stand on ground that is left."),
    key("cover.infill_after_years", Number(Limits::from(1.0, 50.0, "years")), Default("2", PRACTICE), "2",
        "Winters after the first planting in which gaps are filled, where that is the remedy."),
    key("cover.least_piece_m2", Number(Limits::from(0.0, 10_000.0, "m²")), Default("100", "a choice"), "100",
        "Pieces of ground below the target smaller than this are told as one sum instead of polygons."),

    key("chances", Section, Assumed, "[chances]", "How far things may be off: standard deviations and chances from which the plan is drawn again and again. Heard by `hillweave chances` alone, which names the defaults it takes."),
    key("chances.draws", Number(Limits::from(10.0, 100_000.0, "draws")), Default("1000", "a choice"), "2000",
        "Draws of the plan."),
    key("chances.survival_year", Number(Limits::from(0.0, 3.0, "")), Default("0.25", "with the next, 10 to 25 % missing (Marden, Lambie & Phillips 2020) taken for what nine in ten lie between; a reading of it"), "0.25",
        "Standard deviation of survival everywhere at once, on the scale of log odds: a dry summer, a bad year of browsing."),
    key("chances.survival_line", Number(Limits::from(0.0, 3.0, "")), Default("0.1", "a choice"), "0.1",
        "The same of each line."),
    key("chances.survival_zone", Number(Limits::from(0.0, 3.0, "")), Default("0.25", "as `chances.survival_year`"), "0.25",
        "The same of each zone."),
    key("chances.slope_deg", Number(Limits::from(0.0, 20.0, "degrees")), Default("1", "a choice, no source: compare your elevation layer with slopes measured on the ground"), "1",
        "Standard deviation of the slope everywhere at once."),
    key("chances.slope_zone_deg", Number(Limits::from(0.0, 20.0, "degrees")), Default("1", "a choice"), "1",
        "The same of each zone."),
    key("chances.area_share", Number(Limits::from(0.0, 0.5, "")), Default("0.01", "a choice"), "0.01",
        "Standard deviation of mapped areas, as a share of them."),
    key("chances.short_chance", Number(Limits::from(0.0, 1.0, "")), Default("0.1", "a choice"), "0.2",
        "Chance that a line is not delivered whole; what is missing is planted a winter later."),
    key("chances.short_least", Number(Limits::from(0.0, 1.0, "")), Default("0.3", "a choice"), "0.5",
        "Least share that then comes."),
    key("chances.winter_lost_chance", Number(Limits::from(0.0, 1.0, "")), Default("0.05", "a choice"), "0.1",
        "Chance that a planting winter is lost, and all later planting waits a year."),
    key("chances.bloom_days", Number(Limits::from(0.0, 90.0, "days")), Default("12", "a whole region was 3 to 4 weeks late in one year (trade press): about twice this"), "12",
        "Standard deviation of the date of bloom of all lines at once."),
    key("chances.bloom_line_days", Number(Limits::from(0.0, 90.0, "days")), Default("4", "a choice"), "4",
        "The same of each line."),
    key("chances.growth_share", Number(Limits::from(0.0, 1.0, "")), Default("0.15", "a choice"), "0.15",
        "Standard deviation of the radius of crowns, as a share of it."),
    key("chances.worth_share", Number(Limits::from(0.0, 1.0, "")), Default("0.05", "a choice"), "0.05",
        "Standard deviation of what a line is worth on a zone, as a share of it: what fit cannot tell."),
    key("chances.nectar_spread", Number(Limits::over(0.0, 5.0, "")), Default("0.4", PRACTICE), "0.4",
        "Standard deviation between trees as a share of their mean, for lines whose stock file does not tell it."),
    key("chances.covered_share", Number(Limits::over(0.0, 1.0, "share")), Default("0.9", "a choice"), "0.95",
        "Share of the planted ground that may slip from which the plan counts as covered."),

    key("seed", Section, Assumed, "[seed]", "Local seed: which stands are sampled, which trees become mothers, how many seedlings their seed gives. Heard by `hillweave seed` alone, which names the defaults it takes. Ask the owner, iwi and hapū, and on conservation land for a permit, before anything is gathered."),
    key("seed.cover", Texts, Optional("the only cover class that is kept; of several one must be named"), "[\"mānuka stand\"]",
        "Names of the kept cover classes that are sampled."),
    key("seed.apart_m", Number(Limits::over(0.0, 1_000.0, "m")), Default("20", "20 to 50 m between mothers is common practice, no source"), "30",
        "Least distance of map between sampled trees, and between mothers."),
    key("seed.trees", Number(Limits::from(1.0, 100_000.0, "trees")), Optional("as many as the standard error takes, 30 or more"), "60",
        "Trees to sample."),
    key("seed.standard_error", Number(Limits::over(0.0, 1.0, "")), Default("0.1", "a choice"), "0.1",
        "Wanted standard error of the mean of sampled trees, as a share of the mean."),
    key("seed.spread", Number(Limits::over(0.0, 5.0, "")), Default("0.4", PRACTICE), "0.4",
        "Standard deviation between trees as a share of their mean, before any was measured."),
    key("seed.altitude_band_m", Number(Limits::over(0.0, 2_000.0, "m")), Default("100", "a choice"), "100",
        "Height of the bands by which stands are parted for sampling."),
    key("seed.steepest_deg", Number(Limits::from(0.0, 90.0, "degrees")), Optional("all slopes, with cautions"), "40",
        "Slope above which nobody is sent."),
    key("seed.repeatability", Number(Limits::over(0.0, 1.0, "")), Default("0.4", "40 to 70 % of the variance of most nectar traits lies among plants (Floral nectar of wild mānuka varies more among plants than among sites); the lower end"), "0.4",
        "Share of the variance within a stand and year that lies between trees, where the sheet cannot tell because no tree was sampled twice."),
    key("seed.mothers_least", Number(Limits::from(1.0, 10_000.0, "trees")), Default("30", "30 outcrossing plants hold an allele of frequency 0.05 with 95 % chance (Brown & Marshall)"), "30",
        "Fewest mothers."),
    key("seed.status_least", Number(Limits::from(1.0, 10_000.0, "")), Optional("as `seed.mothers_least`, less a tenth"), "25",
        "Least status number: how many mothers that give alike would hold as much diversity."),
    key("seed.stand_most", Number(Limits::from(1.0, 10_000.0, "trees")), Optional("not limited"), "12",
        "Most mothers of one stand."),
    key("seed.stand_least", Number(Limits::from(0.0, 10_000.0, "trees")), Default("1", "a choice: every wild area that was sampled is represented"), "2",
        "Fewest mothers of each stand that was sampled, as far as it has them."),
    key("seed.vigour_least", Number(Limits::from(1.0, 5.0, "")), Default("2", "a choice: stunted trees are no mothers"), "3",
        "Lowest score of vigour of a mother, 1 (poorest) to 5 (best)."),
    key("seed.disease_most", Number(Limits::from(0.0, 5.0, "")), Default("3", "a choice: struggling trees are no mothers"), "2",
        "Highest score of disease of a mother, 0 (none) to 5 (dying)."),
    key("seed.outstanding_mg_per_kg", Number(Limits::over(0.0, 40_000.0, "mg/kg")), Default("8000", "a choice: where our highest band of nectar begins"), "8000",
        "Normalised DHA from which a tree counts as outstanding, mg/kg at 80 °Brix."),
    key("seed.viability", Number(Limits::over(0.0, 1.0, "")), Default("0.5", "at most 50 % of most native species (Department of Conservation)"), "0.5",
        "Share of seeds that are alive."),
    key("seed.emergence", Number(Limits::over(0.0, 1.0, "")), Default("0.3", "with `seed.cull` about 4 live seeds for each plantable seedling; 3 to 5 is common practice, no source"), "0.3",
        "Share of live seeds that become seedlings in the nursery."),
    key("seed.cull", Number(Limits::from(0.0, 0.95, "")), Default("0.15", "10 to 20 % is common practice, no source"), "0.15",
        "Share of seedlings that the nursery throws out."),
    key("seed.capsule_seeds", Number(Limits::over(0.0, 1_000.0, "seeds")), Default("20", "a guess, no source: open ten capsules of your own trees and count"), "20",
        "Whole seeds in a capsule, live or not, chaff left out."),
    key("seed.harvest", Number(Limits::over(0.0, 0.5, "")), Default("0.1", "at most 10 to 20 % of a plant's seed is common practice, no source; the lower end"), "0.1",
        "Largest share of a tree's capsules that is taken."),
    key("seed.capsules", Number(Limits::from(1.0, 1_000_000.0, "capsules")), Optional("trees without a count give no seed to reckon with"), "2000",
        "Capsules of a mother that nobody counted."),
    key("seed.nursery_months", Number(Limits::from(1.0, 60.0, "months")), Default("12", "9 to 12 months from sowing, mānuka and kānuka (a community nursery's guide)"), "12",
        "Months from sowing to a plant that can go into the ground."),
    key("seed.index_by", Word(&["weights", "gains"]), Default("\"weights\"", "a choice"), "\"weights\"",
        "weights: the index of most worth (Smith 1936, Hazel 1943). gains: that which moves traits in the proportions wanted (Pesek & Baker 1969)."),
    key("seed.trait[]", Sections, Optional("nectar DHA alone"), "[[seed.trait]]",
        "What mothers are chosen for."),
    key("seed.trait[].name", Word(TRAITS), Required, "\"dha\"", "The trait: DHA over sugar, sugar, or a score of the field sheet."),
    key("seed.trait[].worth", Number(Limits::from(-100.0, 100.0, "")), Required, "1",
        "Beside the others and for one standard deviation: its worth, or the gain wanted in it; below 0 where less is better."),
    key("seed.trait[].heritability", Number(Limits::over(0.0, 1.0, "")), Default("0.27", "least of 0.27 to 0.69 for growth and flowering of Tasmanian trees (Plants 2022, 11:1029); none is published for nectar"), "0.3",
        "Share of its variance within a stand that is handed down."),

    key("money", Section, Assumed, "[money]", "What the work costs, and the tables that say what it may bring. Heard by `hillweave money` alone, which names the defaults it takes. The figures are yours: nothing here is a quotation, and no income is promised. Plants and planting cost what the stock file and `mosaic.planting_nzd` say."),
    key("money.preparation_nzd_per_ha", Number(Limits::from(0.0, 1e6, "NZ$/ha")), Default("300", "from memory: a part of the 1,000 or so a hectare that establishment at about 2,500 a hectare leaves for spray, pests and fence (trade press, 2017)"), "300",
        "Preparing a hectare of map for planting: spraying woody weeds, clearing lines."),
    key("money.release_nzd_per_ha", Number(Limits::from(0.0, 1e6, "NZ$/ha")), Default("250", "from memory: a part of the same sum"), "250",
        "Releasing a planted hectare of map from weeds, once."),
    key("money.release_times", Number(Limits::from(0.0, 20.0, "times")), Default("2", "once or twice is common practice, no source"), "2",
        "How often that is done: once a year, from the year of planting on."),
    key("money.pests_nzd_per_ha_year", Number(Limits::from(0.0, 1e6, "NZ$/ha")), Default("60", "from memory: a part of the same sum"), "60",
        "Keeping goats, pigs, hares and possums down on a planted hectare of map for a year."),
    key("money.pest_years", Number(Limits::from(0.0, 100.0, "years")), Default("3", "keep going for 2 to 3 years (trade press)"), "3",
        "For how many years, from the year of planting on."),
    key("money.fencing_nzd_per_m", Number(Limits::from(0.0, 10_000.0, "NZ$/m")), Default("25", "from memory: 20 to 30 for a post-and-batten fence on hill country"), "25",
        "A metre of new fence."),
    key("money.fence_m", Number(Limits::from(0.0, 1e6, "m")), Optional("no fence is counted, and that is said"), "1800",
        "Metres of new fence, measured along the ground."),
    key("money.blanking_plants", Word(&["order", "new"]), Default("\"order\"", "a choice: the order holds plants for those that will die"), "\"new\"",
        "Whose plants go where others died, the winter after: what the order has beyond the plants in the ground, and more where that is too few; or all bought anew."),
    key("money.overhead_share", Number(Limits::from(0.0, 2.0, "")), Default("0.1", "a choice, no source"), "0.1",
        "Added to every other cost, as a share of it: planning, overseeing, what was forgotten."),
    key("money.cost_spread", Number(Limits::from(0.0, 0.95, "")), Default("0.2", "a choice, no source"), "0.2",
        "How far costs may lie off, either way, as a share of them."),
    key("money.discount_rate", Number(Limits::from(0.0, 1.0, "")), Default("0.06", "from memory: 5 to 8 % real are in use for land"), "0.06",
        "Discount rate, a share a year: real, for costs are in money of today."),
    key("money.discount_rates", Numbers(2, Limits::from(0.0, 1.0, ""), Order::Rising), Default("[0.05, 0.08]", "from memory: 5 to 8 % real are in use for land"), "[0.04, 0.1]",
        "Between which rates sensitivity looks; `discount_rate` lies between them."),
    key("money.years", Number(Limits::from(1.0, 100.0, "years")), Default("20", "a choice"), "30",
        "Years that are looked at after the first."),
    key("money.income_late_years", Number(Limits::from(0.0, 50.0, "years")), Default("2", "a choice: plants grow slower on cold or poor ground"), "2",
        "Years by which income and carbon may come late, for sensitivity."),
    key("money.income", File, Optional("no income is counted and none is assumed"), "\"income.csv\"",
        "Your own table of income, CSV: `what`, `year_from`, `year_to` (years after the planting of the ground), `low_nzd_per_ha`, `middle_nzd_per_ha`, `high_nzd_per_ha` (a year and planted hectare of map), and a `note` if you have one."),
    key("money.carbon", File, Optional("no carbon is counted and none is assumed"), "\"carbon.csv\"",
        "Your own table of carbon dioxide held by a hectare, CSV: `age_years`, `tco2_per_ha`, and a `note` if you have one. Whether the ground can be entered anywhere is for the authority to say."),
    key("money.carbon_price_nzd", Numbers(3, Limits::from(0.0, 10_000.0, "NZ$/t"), Order::Any), Optional("needed beside `carbon`"), "[30, 50, 80]",
        "Low, middle and high price of a tonne of carbon dioxide."),

    key("calendar", Section, Assumed, "[calendar]", "In which months the work is done. Heard by `hillweave calendar` alone."),
    key("calendar.hemisphere", Word(&["south", "north"]), Optional("by the latitude of the property"), "\"south\"",
        "Whose seasons hold: in the north everything lies six months later."),
    key("season", Section, Assumed, "[season]", "Bloom held against weather in which bees fly, and where hives may stand. Heard by `hillweave season` alone, which names the defaults it takes. Windows of bloom are those of the stock file."),
    key("season.hourly", File, Optional("the monthly normals of `layers.climate`"), "\"hours.csv\"",
        "CSV file of a station's hours, of one year or many: `time` (ISO 8601, when the hour begins), `temp_c`, `wind_ms`, `rain_mm`, and if you have it `radiation_w_m2`."),
    key("season.utc_offset_h", Number(Limits::from(-12.0, 14.0, "h")), Optional("by the longitude, in whole hours, with a warning"), "12",
        "Hours by which times of `season.hourly` that name no zone are ahead of universal time, the same all year; parts of an hour may be given (12.75)."),
    key("season.station_elevation_m", Number(Limits::from(-500.0, 9_000.0, "m")), Optional("that of `layers.climate`"), "40",
        "Height of the station of `season.hourly` above sea level."),
    key("season.least_c", Number(Limits::from(-10.0, 40.0, "°C")), Default("12.8", "the flight hour of the almond pollination trade begins above 55 °F (trade press)"), "10",
        "Least air temperature at which bees fly."),
    key("season.most_wind_ms", Number(Limits::over(0.0, 50.0, "m/s")), Default("6.7", "15 miles an hour, of the same rule (trade press); other pages say 12, 5.4 m/s: the sources do not agree"), "5.4",
        "Wind in which bees no longer set out."),
    key("season.most_rain_mm", Number(Limits::from(0.0, 50.0, "mm")), Default("0", "none, of the same rule (trade press)"), "0.1",
        "Most rain in an hour in which bees fly; heard with `season.hourly`."),
    key("season.least_radiation_w_m2", Number(Limits::from(0.0, 1_500.0, "W/m²")), Default("0", "no source: temperature and sunlight together explain 78 % of exits (Clarke & Robert 2018), but no threshold is told"), "100",
        "Least sunlight on level ground in which bees fly; heard where `season.hourly` has it. The sun must be up in any case."),
    key("season.nectar_c", Number(Limits::from(0.0, 50.0, "°C")), Default("20", "about 20 °C or more for mānuka (a producer's page, trade press)"), "18",
        "Air temperature from which nectar flows well."),
    key("season.day_hours", Number(Limits::over(0.0, 24.0, "h")), Default("3", "a choice"), "4",
        "Flying hours that make a day one with flying weather; days are averaged over the week around them."),
    key("season.lost_share", Number(SHARE_OVER_0), Default("0.5", "a choice: most of it"), "0.3",
        "Share of a window's days without flying weather from which the window counts as lost."),
    key("season.day_spread_c", Number(Limits::from(0.0, 20.0, "°C")), Default("2.5", "a guess, no source: reckon it from a year of your own station"), "2.5",
        "Standard deviation of temperature at one hour from day to day; heard with monthly normals."),
    key("season.wet_day_mm", Number(Limits::over(0.0, 200.0, "mm")), Default("9", PRACTICE), "9",
        "Rain of a day with rain, where the climate table has no `rain_days`; heard with monthly normals."),
    key("season.wet_day_lost_share", Number(SHARE), Default("0.5", PRACTICE), "0.5",
        "Share of a day with rain in which bees do not fly for it; heard with monthly normals."),
    key("season.gap_days", Number(Limits::from(0.0, 364.0, "days")), Default("7", "a choice"), "10",
        "Days without bloom between the first and the last of a season that are no gap yet."),
    key("season.shift_days", Number(Limits::from(0.0, 90.0, "days")), Default("21", "a whole region flowered three to four weeks late in 2017 (trade press)"), "14",
        "Days by which bloom is moved either way to see what an early or a late year would do."),
    key("season.altitude_band_m", Number(Limits::over(0.0, 2_000.0, "m")), Default("100", "a choice"), "100",
        "Height of the bands by which the chart parts each line."),
    key("season.forage_km", Numbers(2, Limits::over(0.0, 20.0, "km"), Order::Rising), Default("[1.5, 5]", "1.5 for planning is common practice, no source; dances told of 493 m in spring and 2,156 m in summer on the mean (Couvillon et al. 2014)"), "[1.5, 5]",
        "Radii of the two discs around hives in which forage is counted."),
    key("season.forage_cover", Texts, Optional("every kept class"), "[\"mānuka stand\"]",
        "Names of the kept cover classes that count as forage."),
    key("season.hive_step_m", Number(Limits::over(0.0, 10_000.0, "m")), Default("25", "a choice"), "25",
        "Distance along tracks between the places that are looked at for hives."),
    key("season.hive_within_m", Number(Limits::over(0.0, 500.0, "m")), Default("20", "a choice: hives are carried by hand from the vehicle"), "15",
        "Farthest that hives stand from the middle of a track."),
    key("season.hive_slope_deg", Number(Limits::from(0.0, 45.0, "degrees")), Default("6", PRACTICE), "6",
        "Steepest ground for hives and the vehicle beside them."),
    key("season.hive_clear_of_streams_m", Number(Limits::from(0.0, 1_000.0, "m")), Default("20", "a choice: ask the council, and look where floods reach"), "20",
        "Nearest that hives stand to mapped streams."),
    key("season.hive_apart_m", Number(Limits::from(0.0, 10_000.0, "m")), Default("300", "a choice"), "300",
        "Least distance between hive sites."),
    key("season.hive_sites", Number(Limits::from(0.0, 1_000.0, "sites")), Default("8", "a choice"), "8",
        "Most hive sites that are told, the best first."),
    key("eligibility", Section, Assumed, "[eligibility]", "Rule sets that planted ground is held against: least area and width, height, crowns, living stems. Heard by `hillweave eligible` alone. A test that is met is no promise that a scheme takes the ground: check with the scheme."),
    key("eligibility.rules", Texts, Optional("the rule sets that come with the program: forest land of the emissions trading scheme, and a closed planting grant of 2018-20 as a pattern"), "[\"my_scheme.toml\"]",
        "Rule files in the place of those that come with the program; how they are written is told in eligibility.md."),

    key("stock", Section, Assumed, "[stock]", "What can be planted."),
    key("stock.file", File, Required, "\"stock.toml\"", "File that lists the cultivars and seed lines: CSV when its name ends in `.csv`, TOML otherwise; its keys are in stock-keys.md."),
];

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use toml_edit::{Item, Value};

    use super::*;

    fn item(written: &str) -> Item {
        Item::Value(written.parse::<Value>().unwrap())
    }

    #[test]
    fn every_path_is_there_once_and_stands_in_a_table_of_the_table() {
        let paths: BTreeSet<&str> = KEYS.iter().map(|key| key.path).collect();
        assert_eq!(paths.len(), KEYS.len());
        for key in KEYS.iter().filter(|key| !key.parent().is_empty()) {
            let parent = find(key.parent()).unwrap();
            assert!(matches!(parent.kind, Section | Sections), "{}", key.path);
        }
    }

    #[test]
    fn every_example_and_default_is_of_its_kind() {
        for key in KEYS.iter().filter(|key| !matches!(key.kind, Section | Sections)) {
            assert_eq!(key.kind.faults(&item(key.example)), vec![], "{}", key.path);
            if let Default(value, source) = key.presence {
                assert_eq!(key.kind.faults(&item(value)), vec![], "{}", key.path);
                assert!(!source.is_empty(), "{} says where its default comes from", key.path);
            }
        }
    }

    #[test]
    fn meanings_are_sentences_and_numbers_say_their_unit() {
        for key in KEYS {
            assert!(key.meaning.ends_with('.'), "{}", key.path);
            if let Number(limits) = key.kind {
                let suffixes = [
                    ("_m", "m"),
                    ("_ha", "ha"),
                    ("_deg", "degrees"),
                    ("_s", "s"),
                    ("sph", "plants/ha"),
                ];
                // A price for a hectare or a metre has the unit of money.
                let plain = !key.path.contains("_per_");
                let of = |(end, _): &&(&str, &str)| plain && key.path.ends_with(end);
                for (_, unit) in suffixes.iter().filter(of) {
                    assert_eq!(limits.unit, *unit, "{}", key.path);
                }
            }
        }
    }

    #[test]
    fn lists_of_tables_are_marked_in_the_path() {
        for key in KEYS {
            assert_eq!(key.path.ends_with("[]"), key.kind == Sections, "{}", key.path);
        }
        assert_eq!(find("layers.cover.class[]").unwrap().name(), "class");
        assert_eq!(find("layers.cover.class[].code").unwrap().parent(), "layers.cover.class[]");
    }
}
