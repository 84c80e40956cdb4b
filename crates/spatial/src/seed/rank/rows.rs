//! What a ranking says: its rows and figures.

use serde::Serialize;

use super::mothers::TradeOffRow;
use super::raising::WinterRow;
use crate::plan::InputRecord;
use crate::problem::Problem;
use crate::seed::SiteCaution;
use crate::site::DefaultTaken;

/// Trees of one property, valued and ranked, and what their seed may give.
#[derive(Debug, Clone, Serialize)]
pub struct SeedRank {
    /// `hillweave.seed_rank/1`.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Name of the property.
    pub site: String,
    /// Coordinate system of eastings and northings, as `EPSG:code` or WKT.
    pub crs: String,
    /// What was read.
    pub inputs: Vec<InputRecord>,
    /// Every default used that has to do with seed.
    pub defaults: Vec<DefaultTaken>,
    /// Samples of the lab sheet.
    pub samples: usize,
    /// Samples whose DHA was below what the laboratory can tell.
    pub below_limit: usize,
    /// Stands that were sampled.
    pub stands: usize,
    /// Flowering seasons, by the year in which they end.
    pub seasons: Vec<i32>,
    /// Where the spread of each trait lies; nectar DHA first.
    pub traits: Vec<TraitRow>,
    /// How DHA and sugar go together between trees; null where the sheet does not tell.
    pub dha_sugar: Option<CorrelationRow>,
    /// Whether there is an outstanding tree.
    pub outstanding: OutstandingRow,
    /// The index.
    pub index: IndexRow,
    /// The mothers as a whole.
    pub choice: ChoiceRow,
    /// Fewer or more mothers.
    pub trade_off: Vec<TradeOffRow>,
    /// Their seed.
    pub raising: RaisingRow,
    /// Winters of the plan; empty without one.
    pub winters: Vec<WinterRow>,
    /// What honey it points to; null without mothers.
    pub honey: Option<HoneyRow>,
    /// How much trees of each stand differ, for the next round.
    pub pilot: Vec<PilotRow>,
    /// Trees, the best first.
    pub trees: Vec<RankRow>,
    /// What collectors must know.
    pub cautions: Vec<SiteCaution>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
}

/// Where the spread of one trait lies. Deviations are square roots of the variances.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TraitRow {
    /// Its name.
    pub name: String,
    /// Unit of mean and deviations.
    pub unit: &'static str,
    /// Records.
    pub records: usize,
    /// Trees with a record.
    pub trees: usize,
    /// Mean, stands and years evened out.
    pub mean: f64,
    /// Its standard error.
    pub mean_error: f64,
    /// Standard deviation between trees of a stand; null when no tree has two records.
    pub tree_sd: Option<f64>,
    /// Standard error of the variance between trees; null where it is 0 or not known.
    pub tree_variance_error: Option<f64>,
    /// Between stands; null for one stand.
    pub stand_sd: Option<f64>,
    /// Between years; null when no stand was sampled in two.
    pub year_sd: Option<f64>,
    /// The rest; with `tree_sd` null what lies between trees is in it.
    pub error_sd: f64,
    /// Share of the variance within a stand and year that lies between trees.
    pub repeatability: f64,
    /// `sheet`, or `site` when the sheet cannot tell.
    pub repeatability_from: &'static str,
}

/// How two traits go together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CorrelationRow {
    /// Trees with both.
    pub trees: usize,
    /// Pearson's r of tree means.
    pub r: f64,
    /// Lower end of its 95 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// Whether there is an outstanding tree.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OutstandingRow {
    /// From which normalised DHA, mg/kg at 80 °Brix.
    pub from_mg_per_kg: f64,
    /// Chance that none of the tested trees is: what trees share (mean, stand, years) is drawn together.
    pub chance_of_none: f64,
    /// Number to expect among them.
    pub expected: f64,
    /// Trees that are, with a chance of a half or more.
    pub likely: usize,
    /// Trees whose samples alone would have said so.
    pub by_samples: usize,
    /// Share of untested trees of such stands that is.
    pub share_of_untested: f64,
}

/// The index.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct IndexRow {
    /// `weights` or `gains`.
    pub by: &'static str,
    /// Correlation with the worth that is aimed at, of a tree with one record of each trait; null for gains.
    pub accuracy: Option<f64>,
    /// What it is made of.
    pub traits: Vec<IndexTraitRow>,
}

/// One trait of the index.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct IndexTraitRow {
    /// Its name.
    pub name: String,
    /// Its worth, or gain wanted, for one standard deviation between trees.
    pub worth: f64,
    /// Heritability that was used.
    pub heritability: f64,
    /// The most that repeatability allows, where the site asked for more; else null.
    pub capped_at: Option<f64>,
    /// Weight of one unit of it, of a tree with one record of each trait.
    pub weight: f64,
}

/// The mothers as a whole.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChoiceRow {
    /// Trees that may be mothers.
    pub eligible: usize,
    /// Mothers.
    pub mothers: usize,
    /// How many that give alike would hold as much diversity.
    pub status_number: f64,
    /// Worth of the mothers over the best that could be without regard to distances; 1 when nothing better is
    /// possible; null where worths are not above 0.
    pub share_of_bound: Option<f64>,
    /// Chance that they hold an allele of frequency 0.05.
    pub allele_chance: f64,
    /// Gains of their open-pollinated seed beside seed of all trees.
    pub gains: Vec<GainRow>,
    /// Normalised DHA to expect of trees of that seed: lowest, expected, highest, mg/kg at 80 °Brix.
    pub seed_dha_mg_per_kg: [f64; 3],
}

/// Gain in one trait.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GainRow {
    /// Its name.
    pub name: String,
    /// Its unit.
    pub unit: &'static str,
    /// Gain to expect at the heritability used.
    pub expected: f64,
    /// Lower end: what samples leave open, at half that heritability or at the most it can be.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// What the mothers' seed gives, and when.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RaisingRow {
    /// Live seeds for one plantable seedling.
    pub live_seeds_per_seedling: f64,
    /// Seeds, live or not, for one plantable seedling.
    pub seeds_per_seedling: f64,
    /// Capsules that are taken in all.
    pub capsules: u64,
    /// Mothers whose capsules nobody counted: they give nothing to reckon with.
    pub uncounted: usize,
    /// Seedlings that this gives.
    pub seedlings: u64,
    /// Seedlings that are wanted; null: as many as there are.
    pub wanted: Option<u64>,
    /// Seeds, and capsules, that what is wanted would take; null as above.
    pub wanted_seeds: Option<u64>,
    /// Capsules for it.
    pub wanted_capsules: Option<u64>,
    /// Last month of sampling, as `2027-01`.
    pub sampled: String,
    /// Capsules are gathered from, to.
    pub gather: [String; 2],
    /// Seed is sown from, to (the last for the same winter).
    pub sow: [String; 2],
    /// First winter with plants.
    pub first_winter: i32,
    /// Winter if a year is lost.
    pub after_a_lost_year: i32,
    /// Winter by the lead time that contract nurseries ask for.
    pub by_contract: i32,
    /// Months by which sowing may slip before the winter is missed.
    pub slack_months: i64,
    /// The line as the stock file has it; null when there is no seed to raise.
    pub line_id: Option<String>,
}

/// What honey it points to; ranges with their reasons, no promise.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HoneyRow {
    /// DHA of fresh honey, mg/kg.
    pub fresh_dha_mg_per_kg: [f64; 2],
    /// MGO of settled honey, mg/kg.
    pub settled_mgo_mg_per_kg: [f64; 2],
    /// MGO if honey were of this nectar alone and all its DHA became MGO, mg/kg: never reached.
    pub ceiling_mgo_mg_per_kg: f64,
    /// Why.
    pub reasons: Vec<String>,
}

/// One tree.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RankRow {
    /// 1 for the best.
    pub rank: usize,
    /// Its name.
    pub tree_id: String,
    /// Its stand; null in none.
    pub stand_id: Option<String>,
    /// Easting, metres.
    pub easting_m: f64,
    /// Northing, metres.
    pub northing_m: f64,
    /// Samples.
    pub samples: usize,
    /// Flowering seasons in which it was sampled.
    pub seasons: usize,
    /// Mean of its samples, mg/kg at 80 °Brix.
    pub dha_mean: f64,
    /// What it gives in a usual year: drawn towards its stand and the mean.
    pub dha_value: f64,
    /// Standard error of that.
    pub dha_error: f64,
    /// The value beside its stand.
    pub dha_beside_stand: f64,
    /// Class after Williams et al. 2014.
    pub class: &'static str,
    /// The same with upper bands of ours.
    pub band: &'static str,
    /// Chance that it is outstanding.
    pub outstanding_chance: f64,
    /// Mean sugar of its samples; null where not told.
    pub sugar_mean: Option<f64>,
    /// Worth of what it hands down beside its stand.
    pub worth: f64,
    /// Standard error of that.
    pub worth_error: f64,
    /// Score.
    pub vigour: Option<u64>,
    /// Score.
    pub form: Option<u64>,
    /// Score.
    pub flower_number: Option<u64>,
    /// Score.
    pub flower_quality: Option<u64>,
    /// Capsules of the whole tree.
    pub seed_capsules: Option<u64>,
    /// Score.
    pub disease: Option<u64>,
    /// `yes`, `no`, or null where nobody wrote it.
    pub permission: Option<&'static str>,
    /// `yes` or `no`.
    pub mother: &'static str,
    /// Why it may be no mother; null where it may.
    pub barred: Option<String>,
    /// What is to be careful of at the tree; empty where nothing is.
    pub caution: String,
    /// Capsules to take; 0 of trees that are no mothers.
    pub take_capsules: u64,
    /// Share of the seed that is its own.
    pub seed_share: f64,
}

/// How much trees of a stand differ: what `hillweave seed sites --pilot` reads.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PilotRow {
    /// The stand.
    pub stand_id: String,
    /// Trees that were tested, two or more.
    pub trees: usize,
    /// Standard deviation of DHA over sugar between their means, mg/mg; the error of samples is in it.
    pub sd_ratio: f64,
}
