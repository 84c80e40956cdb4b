//! The columns of the tables of a ranking.

use super::mothers::TradeOffRow;
use super::rows::{PilotRow, RankRow, SeedRank};
use crate::write::columns::Column;
use crate::write::{Kind, Value};

type TreeColumn = Column<RankRow, SeedRank>;
type PilotColumn = Column<PilotRow, SeedRank>;
type TradeColumn = Column<TradeOffRow, SeedRank>;

const WORDS: (Kind, &str, &str) = (Kind::Text, "", "");
const COUNT: (Kind, &str, &str) = (Kind::Integer, "", "");
const METRES: (Kind, &str, &str) = (Kind::Real, "m", "map");
const DHA: (Kind, &str, &str) = (Kind::Real, "mg/kg", "80 °Brix");
const SHARE: (Kind, &str, &str) = (Kind::Real, "0 to 1", "");
const PLAIN: (Kind, &str, &str) = (Kind::Real, "", "");
const SCORE: (Kind, &str, &str) = (Kind::Integer, "1 to 5", "");
const CAPSULES: (Kind, &str, &str) = (Kind::Integer, "capsules", "");

fn count(number: Option<u64>) -> Value {
    number.map_or(Value::Null, Value::Integer)
}

fn word(text: Option<&'static str>) -> Value {
    text.map_or(Value::Null, Value::from)
}

/// Trees, the best first.
#[rustfmt::skip] // a table
pub(crate) static TREES: [TreeColumn; 28] = [
    TreeColumn::new("rank", COUNT, "1 for the tree that hands down most.", |t, _| t.rank.into()),
    TreeColumn::new("tree_id", WORDS, "Name of the tree.", |t, _| (&t.tree_id).into()),
    TreeColumn::new("stand_id", WORDS, "Stand that it grows in; null in none.", |t, _| t.stand_id.as_ref().into()),
    TreeColumn::new("easting_m", METRES, "Easting in the plan's coordinate system.", |t, _| t.easting_m.into()),
    TreeColumn::new("northing_m", METRES, "Northing.", |t, _| t.northing_m.into()),
    TreeColumn::new("samples", COUNT, "Samples of its nectar.", |t, _| t.samples.into()),
    TreeColumn::new("seasons", COUNT, "Flowering seasons in which it was sampled.", |t, _| t.seasons.into()),
    TreeColumn::new("dha_mean", DHA, "Mean of its samples.", |t, _| t.dha_mean.into()),
    TreeColumn::new("dha_value", DHA, "What it gives in a usual year: drawn towards its stand and the mean of all, the more the fewer samples there are.", |t, _| t.dha_value.into()),
    TreeColumn::new("dha_error", DHA, "Standard error of the value.", |t, _| t.dha_error.into()),
    TreeColumn::new("dha_beside_stand", DHA, "The value beside that of its stand.", |t, _| t.dha_beside_stand.into()),
    TreeColumn::new("class", WORDS, "Class of the value: low, moderate, high (Williams et al. 2014).", |t, _| t.class.into()),
    TreeColumn::new("band", WORDS, "The same with two upper bands, which are ours: very high from 4,000, exceptional above 8,000 mg/kg.", |t, _| t.band.into()),
    TreeColumn::new("outstanding_chance", SHARE, "Chance that its true value is above `seed.outstanding_mg_per_kg`.", |t, _| t.outstanding_chance.into()),
    TreeColumn::new("sugar_mean", PLAIN, "Mean sugar of its samples, in the basis of the lab sheet; null where not told.", |t, _| t.sugar_mean.into()),
    TreeColumn::new("worth", PLAIN, "Worth of what it hands down, beside its stand.", |t, _| t.worth.into()),
    TreeColumn::new("worth_error", PLAIN, "Standard error of the worth.", |t, _| t.worth_error.into()),
    TreeColumn::new("vigour", SCORE, "Score of the field sheet.", |t, _| count(t.vigour)),
    TreeColumn::new("form", SCORE, "Score of the field sheet.", |t, _| count(t.form)),
    TreeColumn::new("flower_number", SCORE, "Score of the field sheet.", |t, _| count(t.flower_number)),
    TreeColumn::new("flower_quality", SCORE, "Score of the field sheet.", |t, _| count(t.flower_quality)),
    TreeColumn::new("seed_capsules", CAPSULES, "Capsules of the whole tree, by the field sheet.", |t, _| count(t.seed_capsules)),
    TreeColumn::new("disease", (Kind::Integer, "0 to 5", ""), "Score of the field sheet, 0 (none) to 5 (dying).", |t, _| count(t.disease)),
    TreeColumn::new("permission", WORDS, "Whether seed may be taken, by the field sheet: yes, no, or null where nobody wrote it.", |t, _| word(t.permission)),
    TreeColumn::new("mother", WORDS, "Whether it is chosen: yes or no.", |t, _| t.mother.into()),
    TreeColumn::new("barred", WORDS, "Why it may be no mother; null where it may.", |t, _| t.barred.as_ref().into()),
    TreeColumn::new("caution", WORDS, "What is to be careful of at the tree; empty where nothing is.", |t, _| (&t.caution).into()),
    TreeColumn::new("take_capsules", CAPSULES, "Capsules to take, within the harvest limit.", |t, _| t.take_capsules.into()),
];

/// Mothers, the best first: the list to go out with.
#[rustfmt::skip] // a table
pub(crate) static MOTHERS: [TreeColumn; 12] = [
    TreeColumn::new("tree_id", WORDS, "Name of the tree: seed of each is bagged by itself under it.", |t, _| (&t.tree_id).into()),
    TreeColumn::new("stand_id", WORDS, "Stand that it grows in; null in none.", |t, _| t.stand_id.as_ref().into()),
    TreeColumn::new("easting_m", METRES, "Easting in the plan's coordinate system.", |t, _| t.easting_m.into()),
    TreeColumn::new("northing_m", METRES, "Northing.", |t, _| t.northing_m.into()),
    TreeColumn::new("permission", WORDS, "Whether seed may be taken: yes, or `ask` where nobody wrote it.", |t, _| t.permission.unwrap_or("ask").into()),
    TreeColumn::new("caution", WORDS, "What is to be careful of at the tree; empty where nothing is.", |t, _| (&t.caution).into()),
    TreeColumn::new("seed_capsules", CAPSULES, "Capsules of the whole tree; null where nobody counted.", |t, _| count(t.seed_capsules)),
    TreeColumn::new("take_capsules", CAPSULES, "Capsules to take, within the harvest limit.", |t, _| t.take_capsules.into()),
    TreeColumn::new("seed_share", SHARE, "Share of all the seed that is its own.", |t, _| t.seed_share.into()),
    TreeColumn::new("dha_value", DHA, "What it gives in a usual year.", |t, _| t.dha_value.into()),
    TreeColumn::new("dha_error", DHA, "Standard error of the value.", |t, _| t.dha_error.into()),
    TreeColumn::new("worth", PLAIN, "Worth of what it hands down, beside its stand.", |t, _| t.worth.into()),
];

/// Fewer or more mothers.
#[rustfmt::skip] // a table
pub(crate) static TRADE_OFF: [TradeColumn; 7] = [
    TradeColumn::new("mothers", COUNT, "Mothers, the best that keep the rules.", |r, _| r.mothers.into()),
    TradeColumn::new("status_number", PLAIN, "How many that give alike would hold as much diversity.", |r, _| r.status_number.into()),
    TradeColumn::new("gain_worth", PLAIN, "Worth of their open-pollinated seed beside that of all trees.", |r, _| r.gain_worth.into()),
    TradeColumn::new("gain_dha", DHA, "Gain in nectar DHA of that seed.", |r, _| r.gain_dha_mg_per_kg.into()),
    TradeColumn::new("allele_chance", SHARE, "Chance that they hold an allele of frequency 0.05.", |r, _| r.allele_chance.into()),
    TradeColumn::new("seedlings", (Kind::Integer, "plants", ""), "Seedlings that their seed gives; null where capsules are not known.", |r, _| count(r.seedlings)),
    TradeColumn::new("chosen", WORDS, "Whether this is the choice: yes or no.", |r, _| if r.chosen { "yes" } else { "no" }.into()),
];

/// How much trees of each stand differ.
#[rustfmt::skip] // a table
pub(crate) static PILOT: [PilotColumn; 3] = [
    PilotColumn::new("stand_id", WORDS, "The stand.", |p, _| (&p.stand_id).into()),
    PilotColumn::new("trees", COUNT, "Trees that were tested, two or more.", |p, _| p.trees.into()),
    PilotColumn::new("sd_ratio", (Kind::Real, "mg/mg", ""), "Standard deviation of DHA over sugar between the means of trees; the error of samples is in it.", |p, _| p.sd_ratio.into()),
];
