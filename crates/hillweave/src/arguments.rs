//! What can be typed: one table, from which help, completions and the manual page are made.

use std::num::NonZeroU64;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use spatial::calendar::{Month, MonthFault};
use spatial::seed::{Day, DayFault};

/// Planting mosaics for steep, erodible hill country
///
/// Reads a property's layers, draws planting zones, fits every cultivar and seed line to them,
/// assigns the stock that can be had, counts plants and orders, and writes one plan.
#[derive(Debug, Parser)]
#[command(name = "hillweave", version, arg_required_else_help = true, max_term_width = 100)]
#[command(after_help = "\
Examples:
  hillweave open my-hills                         the bench: from files to a plan, and on
  hillweave new my-hills                          start a site by hand
  hillweave check my-hills/site.toml              what would be used, and what is wrong
  hillweave plan my-hills/site.toml -o plan       plan the property
  hillweave stock my-hills -o stock.csv           the stock as a table for a spreadsheet
  hillweave survival my-hills plan counts.csv     what lived, and what to plant again
  hillweave calendar my-hills plan -o calendar    the whole job by month
  hillweave money my-hills plan -o money          what it costs, by zone, stage and year
  hillweave season my-hills plan -o season        bloom, flying weather, places for hives
  hillweave chances my-hills plan -o chances      how far the plan may be off
  hillweave cover my-hills plan -o cover          whether the steep ground will be covered
  hillweave eligible my-hills plan -o eligible    tests of schemes and grants, met or not
  hillweave export plan -o for-others             the plan as shapefile, KML, GPX and more
  hillweave compare plan other-plan               what two plans of a property differ in
  hillweave seed sites my-hills -o mother-trees   where to sample stands for mother trees
  hillweave ground --elevation dem.tif -o ground  layers of the ground of any elevation raster

Exit status: 0 done; 1 done, with something to look at; 2 nothing done, the input must be mended.")]
pub(crate) struct Arguments {
    /// What to do
    #[command(subcommand)]
    pub(crate) command: Command,
    /// Options of every command
    #[command(flatten)]
    pub(crate) general: General,
}

/// Options of every command.
#[derive(Debug, Args)]
pub(crate) struct General {
    /// Print JSON instead of words
    #[arg(long, global = true, help_heading = "General options")]
    pub(crate) json: bool,
    /// Print nothing but errors
    #[arg(short, long, global = true, help_heading = "General options")]
    pub(crate) quiet: bool,
    /// Threads to use; all cores when left out. The plan is the same for any number
    #[arg(long, global = true, value_name = "N", value_parser = clap::value_parser!(u16).range(1..), help_heading = "General options")]
    pub(crate) threads: Option<u16>,
    /// When to use colour
    #[arg(
        long,
        global = true,
        value_name = "WHEN",
        default_value = "auto",
        help_heading = "General options"
    )]
    pub(crate) color: ColorChoice,
}

/// When to use colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ColorChoice {
    /// On a terminal, unless `NO_COLOR` is set
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Write a commented starter site into a new folder
    New(New),
    /// Read everything and say what would be used and what is wrong
    Check(Check),
    /// Write the layers of the ground: slope, water, sun, wind, frost, cold, erosion
    Ground(Ground),
    /// List the stock that can be planted, or write its file as CSV or TOML
    Stock(Stock),
    /// Plan a property: zones, blocks, counts and orders
    Plan(Plan),
    /// Hold counts of survivors against a plan, and order what is to be planted again
    Survival(Survival),
    /// The whole job by month, what must not be late, and what slips if seed is
    Calendar(Calendar),
    /// What a plan costs, and what your own tables say it may bring
    Money(Money),
    /// Hold the bloom of a plan against weather in which bees fly, and look for hive sites
    Season(Season),
    /// Draw a plan again and again: how far counts, orders, cover and bloom may be off
    Chances(Chances),
    /// Check whether steep ground will be protected, from when, and what would mend it
    Cover(Cover),
    /// Hold planted ground against the tests of schemes and grants, which are data
    Eligible(Eligible),
    /// A plan as a document: one page to read, and a PDF with map sheets
    Report(Report),
    /// Write a plan in other formats: shapefile, FlatGeobuf, KML, GPX, GeoJSON
    Export(Export),
    /// Say what two plans of one property differ in: ground, lines, orders, zones
    Compare(Compare),
    /// Lay a plan on the bench: a page on this machine where rules change and the mosaic answers
    Open(Open),
    /// Local seed: where to sample stands for mother trees
    #[command(subcommand)]
    Seed(Seed),
    /// Print a completion script for a shell
    Completions(Completions),
    /// Print the manual page (roff)
    Manual,
    /// Print a reference page of the documentation (Markdown)
    #[command(hide = true)]
    Reference(Reference),
}

/// Options of `new`.
#[derive(Debug, Args)]
pub(crate) struct New {
    /// Folder to make
    pub(crate) folder: PathBuf,
}

/// Options of `check`.
#[derive(Debug, Args)]
pub(crate) struct Check {
    /// The site file, or its folder
    pub(crate) site: PathBuf,
}

/// Options of `ground`.
#[derive(Debug, Args)]
pub(crate) struct Ground {
    /// The site file, or its folder
    #[arg(required_unless_present = "elevation", conflicts_with = "elevation")]
    pub(crate) site: Option<PathBuf>,
    /// An elevation raster, without a site
    #[arg(long, value_name = "DEM")]
    pub(crate) elevation: Option<PathBuf>,
    /// Folder to write
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: PathBuf,
    /// Layers to write, by name and with commas between them; `all` for every one, months too; left
    /// out: every one that can be had, without the months
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    pub(crate) layers: Vec<String>,
    /// Slope formula; the site's own, or horn
    #[arg(long)]
    pub(crate) method: Option<Method>,
    /// How a cell hands its water on; the site's own, or multiple
    #[arg(long)]
    pub(crate) flow: Option<Flow>,
    /// Working scale of slope and aspect in metres, 0 for raw cells; the site's own, or 0
    #[arg(long, value_name = "METRES", value_parser = metres)]
    pub(crate) scale: Option<f64>,
    /// How the elevation raster is read
    #[command(flatten)]
    pub(crate) raster: Raster,
    /// Replace the folder if it is there
    #[arg(long)]
    pub(crate) overwrite: bool,
    /// Print how long each stage took
    #[arg(long)]
    pub(crate) timings: bool,
    /// Work rasters of more cells than this in windows, so that memory stays small
    #[arg(long, value_name = "CELLS")]
    pub(crate) whole_cells: Option<usize>,
}

/// How an elevation raster without a site is read.
#[derive(Debug, Args)]
pub(crate) struct Raster {
    /// Reproject the elevation to this coordinate system first, such as EPSG:2193
    #[arg(long, value_name = "CRS", requires = "elevation")]
    pub(crate) crs: Option<String>,
    /// Cell side after reprojecting, metres
    #[arg(long, value_name = "METRES", requires = "elevation", value_parser = metres)]
    pub(crate) cell: Option<f64>,
    /// Unit of the elevations; left out: as the file says, and metres when it does not
    #[arg(long, value_name = "UNIT", requires = "elevation")]
    pub(crate) unit: Option<HeightUnit>,
    /// Value that stands for holes, when the file does not declare one
    #[arg(long, value_name = "VALUE", requires = "elevation", allow_negative_numbers = true)]
    pub(crate) nodata: Option<f64>,
}

/// The word that stands for every layer.
pub(crate) const ALL_LAYERS: &str = "all";

/// Unit of elevations, as `layers.elevation.unit` names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum HeightUnit {
    /// Metres
    M,
    /// International feet
    Ft,
    /// US survey feet
    #[value(name = "ft_us")]
    FtUs,
}

/// Slope formula.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Method {
    /// Horn 1981: weighted differences over 3 × 3 cells
    Horn,
    /// Zevenbergen and Thorne 1987: central differences
    ZevenbergenThorne,
}

/// How a cell hands its water on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Flow {
    /// Freeman 1991: to every lower neighbour
    Multiple,
    /// Tarboton 1997: to the two beside the steepest facet
    DInfinity,
    /// O'Callaghan and Mark 1984: to the steepest neighbour
    Steepest,
}

/// Options of `stock`.
#[derive(Debug, Args)]
pub(crate) struct Stock {
    /// A stock file, or the site file or folder that names one
    #[arg(value_name = "SITE_OR_FILE")]
    pub(crate) source: PathBuf,
    /// File to write, in the form that its ending names: .csv or .toml
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
    /// Replace the file if it is there
    #[arg(long, requires = "output")]
    pub(crate) overwrite: bool,
}

/// Options of `plan`.
#[derive(Debug, Args)]
pub(crate) struct Plan {
    /// The site file, or its folder
    pub(crate) site: PathBuf,
    /// Folder to write
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: PathBuf,
    /// Replace the folder if it holds an earlier plan
    #[arg(long)]
    pub(crate) overwrite: bool,
    /// Stop after a stage and write what there is by then
    #[arg(long, value_name = "STAGE")]
    pub(crate) only: Option<Only>,
    /// Print how long each stage took
    #[arg(long)]
    pub(crate) timings: bool,
    /// Seed of every random draw
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,
}

/// Where a plan may stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Only {
    /// Zones, stands and keep-clear ground; stock is not read
    Zones,
}

/// Options of `survival`.
#[derive(Debug, Args)]
pub(crate) struct Survival {
    /// The site file, or its folder
    pub(crate) site: PathBuf,
    /// Folder of the plan that was planted
    #[arg(value_name = "PLAN_FOLDER")]
    pub(crate) plan: PathBuf,
    /// Counts, one row for each line in each plot: `plot_id`, `zone_id`, `stock_id`, `counted`, `alive`,
    /// and if you have them `radius_m`, `slope_deg`, `date`, `note`
    #[arg(value_name = "COUNTS.csv")]
    pub(crate) counts: PathBuf,
    /// Blanking order to write, as CSV
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
    /// Replace the file if it is there
    #[arg(long, requires = "output")]
    pub(crate) overwrite: bool,
    /// Confidence of the intervals
    #[arg(long, value_name = "SHARE", default_value_t = 0.95, value_parser = inner_share)]
    pub(crate) confidence: f64,
    /// Share of the target below which gaps are planted again
    #[arg(long, value_name = "SHARE", default_value_t = 0.8, value_parser = share)]
    pub(crate) threshold: f64,
    /// Chance with which an order brings a zone back to its target
    #[arg(long, value_name = "SHARE", default_value_t = 0.9, value_parser = inner_share)]
    pub(crate) order_confidence: f64,
    /// Warn where fewer plants than this were counted
    #[arg(long, value_name = "PLANTS", default_value_t = 30)]
    pub(crate) least_counted: u64,
    /// Which figure of the plan went into the ground
    #[arg(long, value_name = "FIGURE", default_value = "seedlings")]
    pub(crate) planted: PlantedFigure,
    /// Hold the counts against what was planted in this winter alone
    #[arg(long, value_name = "YEAR")]
    pub(crate) season: Option<i32>,
    /// Order whole trays of so many plants
    #[arg(long, value_name = "PLANTS", default_value = "1")]
    pub(crate) tray: NonZeroU64,
    /// Order so many spares, as a share of the plants needed
    #[arg(long, value_name = "SHARE", default_value_t = 0.0, value_parser = spare)]
    pub(crate) spare: f64,
}

/// Of what plan something is told, and where it is written.
#[derive(Debug, Args)]
pub(crate) struct OfPlan {
    /// The site file, or its folder
    pub(crate) site: PathBuf,
    /// Folder of an earlier plan; left out: a plan is made, as `hillweave plan` would, and not kept
    #[arg(value_name = "PLAN_FOLDER")]
    pub(crate) plan: Option<PathBuf>,
    /// Folder to write
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: PathBuf,
    /// Replace the folder if it holds an earlier output
    #[arg(long)]
    pub(crate) overwrite: bool,
}

/// Options of `calendar`.
#[derive(Debug, Args)]
pub(crate) struct Calendar {
    /// Of what plan, and where to
    #[command(flatten)]
    pub(crate) of: OfPlan,
    /// Month in which work can begin; left out: as late as the first winter allows
    #[arg(long, value_name = "YYYY-MM", value_parser = month)]
    pub(crate) start: Option<Month>,
    /// Months by which gathered seed is late; left out: as many as make it miss a winter
    #[arg(long, value_name = "MONTHS", value_parser = clap::value_parser!(u32).range(1..=60))]
    pub(crate) late_seed: Option<u32>,
}

/// Options of `open`.
#[derive(Debug, Args)]
pub(crate) struct Open {
    /// The site file or its folder; a folder without one begins with its files
    #[arg(value_name = "SITE")]
    pub(crate) site: PathBuf,
    /// Port to listen on, on this machine alone; 0: one that is free
    #[arg(long, default_value_t = 0)]
    pub(crate) port: u16,
}

/// Options of `report`.
#[derive(Debug, Args)]
pub(crate) struct Report {
    /// The site file or its folder; or the folder of a plan or its plan.json, for what the plan alone tells
    #[arg(value_name = "SITE|PLAN")]
    pub(crate) of: PathBuf,
    /// Folder of an earlier plan of that site; left out: a plan is made, as `hillweave plan` would, and not kept
    #[arg(value_name = "PLAN_FOLDER")]
    pub(crate) plan: Option<PathBuf>,
    /// Folder to write
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: PathBuf,
    /// Replace the folder if it holds an earlier output
    #[arg(long)]
    pub(crate) overwrite: bool,
    /// Day that the report and its maps bear; none is taken from the clock
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    pub(crate) date: Option<Day>,
    /// Month in which work can begin, for the calendar
    #[arg(long, value_name = "YYYY-MM", value_parser = month)]
    pub(crate) start: Option<Month>,
    /// Seed of the plan that is made, and of the draws
    #[arg(long, default_value_t = 1)]
    pub(crate) seed: u64,
    /// Print how long each stage took
    #[arg(long)]
    pub(crate) timings: bool,
}

/// Options of `money`.
#[derive(Debug, Args)]
pub(crate) struct Money {
    /// Of what plan, and where to
    #[command(flatten)]
    pub(crate) of: OfPlan,
}

/// Which figure of the plan went into the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PlantedFigure {
    /// Its plants in the ground, one a spot
    #[value(name = "seedlings")]
    Seedlings,
    /// The whole order, losses included
    #[value(name = "order_qty")]
    OrderQty,
}

/// Options of `season`.
#[derive(Debug, Args)]
pub(crate) struct Season {
    /// Of what plan, and where to
    #[command(flatten)]
    pub(crate) of: OfPlan,
}

/// Options of `chances`.
#[derive(Debug, Args)]
pub(crate) struct Chances {
    /// Of what plan, and where to
    #[command(flatten)]
    pub(crate) of: OfPlan,
    /// Draws; the site's own, or 1000
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(10..=100_000))]
    pub(crate) draws: Option<u32>,
    /// Seed of every random draw
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Print how long each stage took
    #[arg(long)]
    pub(crate) timings: bool,
}

/// Options of `cover`.
#[derive(Debug, Args)]
pub(crate) struct Cover {
    /// The site file, or its folder
    #[arg(required_unless_present = "elevation", conflicts_with = "elevation")]
    pub(crate) site: Option<PathBuf>,
    /// Folder of a plan of the site; left out: the plan that is made of it now
    #[arg(value_name = "PLAN_FOLDER", conflicts_with = "unplanted")]
    pub(crate) plan: Option<PathBuf>,
    /// Check the site as it is, with nothing planted
    #[arg(long, conflicts_with = "elevation")]
    pub(crate) unplanted: bool,
    /// An elevation raster, without a site
    #[arg(long, value_name = "DEM")]
    pub(crate) elevation: Option<PathBuf>,
    /// Share of the ground protected today, from 0 to 1, as a raster; left out: none is
    #[arg(long, value_name = "RASTER", requires = "elevation")]
    pub(crate) protected: Option<PathBuf>,
    /// Folder to write
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: PathBuf,
    /// What protective cover is reckoned by; the site's own, or crown
    #[arg(long)]
    pub(crate) measure: Option<CoverMeasure>,
    /// Least share of the ground protected where it may slip; the site's own, or 0.7
    #[arg(long, value_name = "SHARE", value_parser = share)]
    pub(crate) target: Option<f64>,
    /// Years after the first planting by which it must be; the site's own, or 10
    #[arg(long, value_name = "YEARS", value_parser = clap::value_parser!(u8).range(0..=60))]
    pub(crate) by_years: Option<u8>,
    /// How the elevation raster is read
    #[command(flatten)]
    pub(crate) raster: Raster,
    /// Replace the folder if it holds an earlier check
    #[arg(long)]
    pub(crate) overwrite: bool,
    /// Print how long each stage took
    #[arg(long)]
    pub(crate) timings: bool,
}

/// Options of `eligible`.
#[derive(Debug, Args)]
pub(crate) struct Eligible {
    /// Of what plan, and where to
    #[command(flatten)]
    pub(crate) of: OfPlan,
}

/// What protective cover is reckoned by, in the order of the engine's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum CoverMeasure {
    /// Ground under crowns
    Crown,
    /// Ground that roots bind
    Roots,
    /// Age of the stand: 54 % at 8 years, 91 % at 16 (Bergin, Kimberley and Marden 1993)
    #[value(name = "stand_1993")]
    Stand1993,
    /// Age of the stand: 65 % at 10 years, 90 % at 20 (Bergin et al. 1995)
    #[value(name = "stand_1995")]
    Stand1995,
}

/// Options of `export`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  hillweave export plan -o for-others                        every format
  hillweave export plan -o for-others --format gpx,kml       for a receiver and a globe
  hillweave export plan -o for-others --format shapefile --overwrite

Exit status: 0 done; 1 done, with texts cut that a format cannot hold; 2 nothing done.")]
pub(crate) struct Export {
    /// Folder of an earlier plan
    #[arg(value_name = "PLAN_FOLDER")]
    pub(crate) plan: PathBuf,
    /// Folder to write
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: PathBuf,
    /// Formats to write, with commas between them; left out: every one
    #[arg(long, value_name = "FORMATS", value_delimiter = ',')]
    pub(crate) format: Vec<ExportFormat>,
    /// Replace the folder if it holds an earlier export
    #[arg(long)]
    pub(crate) overwrite: bool,
}

/// What a plan may be written as, in the order of the engine's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ExportFormat {
    /// Esri shapefile: in the plan's grid; names of 10 letters, texts of 254 bytes
    Shapefile,
    /// FlatGeobuf: in the plan's grid, with an index
    #[value(name = "flatgeobuf")]
    FlatGeobuf,
    /// KML 2.2: longitude and latitude, in the colours of the lines
    Kml,
    /// GPX 1.1: drop points and outlines of zones, for receivers
    Gpx,
    /// GeoJSON (RFC 7946): longitude and latitude
    #[value(name = "geojson")]
    GeoJson,
}

/// Options of `compare`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  hillweave compare plan-2027 plan-2028                       on the screen
  hillweave compare plan-2027 plan-2028 -o changes            with tables and a map layer
  hillweave compare plan-2027 plan-2028 --cover cover-2027 cover-2028

Exit status: 0 compared, whatever differs; 2 the plans cannot be compared.")]
pub(crate) struct Compare {
    /// Folder of the first plan
    #[arg(value_name = "PLAN_A")]
    pub(crate) a: PathBuf,
    /// Folder of the second plan
    #[arg(value_name = "PLAN_B")]
    pub(crate) b: PathBuf,
    /// Folder to write
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: Option<PathBuf>,
    /// Folders of the checks of cover of both plans, which `hillweave cover` wrote
    #[arg(long, num_args = 2, value_names = ["COVER_A", "COVER_B"])]
    pub(crate) cover: Vec<PathBuf>,
    /// Replace the folder if it holds an earlier comparison
    #[arg(long, requires = "output")]
    pub(crate) overwrite: bool,
}

/// What to do for local seed.
#[derive(Debug, Subcommand)]
pub(crate) enum Seed {
    /// Draw places where mother trees are looked for, and write field sheets
    Sites(SeedSites),
    /// Rank the trees by what came back, choose mothers, and reckon their seed
    Rank(SeedRank),
}

/// Options of `seed rank`.
#[derive(Debug, Args)]
pub(crate) struct SeedRank {
    /// The site file, or its folder
    pub(crate) site: PathBuf,
    /// The laboratory's sheet, one sample a row: `tree_id`, `date`, `dha` and `sugar` with their units, or
    /// `ratio_mg_per_mg`; if you have them `lab_id`, `note`, `easting_m`, `northing_m`
    #[arg(value_name = "LAB.csv")]
    pub(crate) lab: PathBuf,
    /// The field sheet, filled in; left out: `field_sheet.csv` beside the lab sheet
    #[arg(long, value_name = "FIELD.csv")]
    pub(crate) field: Option<PathBuf>,
    /// Folder to write
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: PathBuf,
    /// Replace the folder if it is there
    #[arg(long)]
    pub(crate) overwrite: bool,
    /// Folder of a plan: what share of its seed lines these mothers can supply, winter by winter
    #[arg(long, value_name = "PLAN_FOLDER")]
    pub(crate) plan: Option<PathBuf>,
    /// Seedlings wanted; left out: what the plan orders, or as many as there are
    #[arg(long, value_name = "PLANTS", value_parser = clap::value_parser!(u64).range(1..=1_000_000_000))]
    pub(crate) seedlings: Option<u64>,
    /// Id of the seed line in stock.toml; left out: `local_` and the winter
    #[arg(long, value_name = "ID")]
    pub(crate) line: Option<String>,
    /// Its name for people
    #[arg(long, value_name = "NAME")]
    pub(crate) line_name: Option<String>,
}

/// Options of `seed sites`.
#[derive(Debug, Args)]
pub(crate) struct SeedSites {
    /// The site file, or its folder
    pub(crate) site: PathBuf,
    /// Folder to write
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: PathBuf,
    /// Replace the folder if it holds an earlier output; a sheet that was filled in is never replaced
    #[arg(long)]
    pub(crate) overwrite: bool,
    /// Seed of every random draw
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,
    /// How trees are shared out over parts of stands
    #[arg(long, value_name = "RULE", default_value = "proportional")]
    pub(crate) allocation: Allocation,
    /// How much trees of each stand were found to differ: `stand_id`, `trees`, `sd_ratio`
    #[arg(long, value_name = "FILE.csv")]
    pub(crate) pilot: Option<PathBuf>,
    /// Trees that are known already: `tree_id`, `easting_m`, `northing_m`; left out: places on a lattice
    #[arg(long, value_name = "FILE.csv")]
    pub(crate) trees: Option<PathBuf>,
    /// Trees to sample; left out: as the site says, or as many as the standard error takes, 30 at least
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    pub(crate) trees_wanted: Option<u32>,
}

/// How trees are shared out over parts of stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Allocation {
    /// By size
    Proportional,
    /// By size and by how much trees differ, which the pilot file tells
    Neyman,
}

/// Options of `completions`.
#[derive(Debug, Args)]
pub(crate) struct Completions {
    /// The shell
    pub(crate) shell: clap_complete::Shell,
}

/// Options of `reference`.
#[derive(Debug, Args)]
pub(crate) struct Reference {
    /// Which page
    pub(crate) page: Page,
}

/// A page made from the tables in the code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Page {
    /// Every column of every layer
    Columns,
    /// Every key of site.toml
    SiteKeys,
    /// Every key of a stock file
    StockKeys,
    /// The files of `styles/`, each after a line with its name
    Styles,
}

/// A month, such as 2027-03.
fn month(text: &str) -> Result<Month, MonthFault> {
    text.parse()
}

/// A day, such as 2027-03-31.
fn day(text: &str) -> Result<Day, String> {
    text.parse().map_err(|fault: DayFault| format!("{fault}: expected a day, such as 2027-03-31"))
}

/// A share over 0 to 1.
fn share(text: &str) -> Result<f64, String> {
    let value = text.parse::<f64>().ok().filter(|value| *value > 0.0 && *value <= 1.0);
    value.ok_or_else(|| "expected a share over 0 to 1, such as 0.8".to_owned())
}

/// A share between 0 and 1, neither of them.
fn inner_share(text: &str) -> Result<f64, String> {
    let value = text.parse::<f64>().ok().filter(|value| *value > 0.0 && *value < 1.0);
    value.ok_or_else(|| "expected a share between 0 and 1, such as 0.95".to_owned())
}

/// A share from 0 to 1.
fn spare(text: &str) -> Result<f64, String> {
    let value = text.parse::<f64>().ok().filter(|value| (0.0..=1.0).contains(value));
    value.ok_or_else(|| "expected a share from 0 to 1, such as 0.05".to_owned())
}

/// Metres from 0 up.
fn metres(text: &str) -> Result<f64, String> {
    let value = text.parse::<f64>().ok().filter(|value| value.is_finite() && *value >= 0.0);
    value.ok_or_else(|| "expected metres from 0 up, such as 10".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_table_is_sound() {
        Arguments::command().debug_assert();
    }
}
