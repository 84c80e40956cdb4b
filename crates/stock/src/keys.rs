//! The table of every key of a stock: from it come the refusal of unknown keys, type and range
//! errors, the columns of the CSV form, and the page `docs/stock-keys.md`.

use crate::Status;

/// One key of a stock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StockKey {
    /// Dotted path inside a `[[stock]]`, such as `nectar.ratio_mean`.
    pub path: &'static str,
    /// What kind of value it takes.
    pub kind: ValueKind,
    /// What is so when it is left out; empty: it must be given.
    pub without: &'static str,
    /// A value, as it is written in TOML.
    pub example: &'static str,
    /// What it means, and where a default comes from.
    pub meaning: &'static str,
}

/// What kind of value a key takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ValueKind {
    /// A short name.
    Id,
    /// Text on one line.
    Text,
    /// One of some words.
    Word(&'static [&'static str]),
    /// A number from the least to the greatest.
    Number(f64, f64, &'static str),
    /// A whole number from the least to the greatest.
    Count(u64, u64, &'static str),
    /// A day of the year, such as `09-20`.
    Day,
    /// A whole number, or a table by season.
    Supply,
    /// `[x, y]`.
    Point,
    /// A list of rings.
    Polygon,
    /// A table of other keys.
    Table,
}

impl ValueKind {
    /// What is expected, in words.
    #[must_use]
    pub fn expected(self) -> String {
        match self {
            Self::Id => "a small letter, then small letters, digits or `_`, at most 24 characters"
                .to_owned(),
            Self::Text => "text on one line".to_owned(),
            Self::Word(words) => either(words),
            Self::Number(least, f64::MAX, unit) => {
                format!("a number in {unit}, {least} or more")
            }
            Self::Number(least, greatest, unit) => {
                spaced(&format!("a number from {least} to {greatest}"), unit)
            }
            Self::Count(least, u64::MAX, unit) => {
                format!("a whole number of {unit}, {least} or more")
            }
            Self::Count(least, greatest, unit) => {
                spaced(&format!("a whole number from {least} to {greatest}"), unit)
            }
            Self::Day => {
                "a month and a day such as \"09-20\", or the day of the year from 1 to 365"
                    .to_owned()
            }
            Self::Supply => {
                "a whole number of plants, 0 or more, or one for each season".to_owned()
            }
            Self::Point => {
                "a position such as [1801250.0, 5672300.0], east before north".to_owned()
            }
            Self::Polygon => {
                "rings such as [[[0, 0], [9, 0], [9, 9], [0, 0]]], each ending where it begins"
                    .to_owned()
            }
            Self::Table => "a table".to_owned(),
        }
    }
}

fn spaced(words: &str, unit: &str) -> String {
    format!("{words} {unit}").trim_end().to_owned()
}

/// Words in quotation marks, with "or" before the last.
fn either(words: &[&str]) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    match quoted.split_last() {
        Some((last, before)) if !before.is_empty() => format!("{} or {last}", before.join(", ")),
        _ => quoted.concat(),
    }
}

/// Years in which a planting season may lie.
pub(crate) const SEASONS: std::ops::RangeInclusive<i32> = 1950..=2200;

const KINDS: &[&str] = &["cultivar", "seed_line"];
const SHARE_ALIVE: ValueKind = ValueKind::Number(0.01, 1.0, "(share)");
const RATIO: ValueKind = ValueKind::Number(0.0, 1.0, "mg/mg");
const NORMALISED: ValueKind = ValueKind::Number(0.0, 800_000.0, "mg/kg");
const HEIGHT: ValueKind = ValueKind::Number(-500.0, 9_000.0, "m");

const fn key(
    path: &'static str,
    kind: ValueKind,
    without: &'static str,
    example: &'static str,
    meaning: &'static str,
) -> StockKey {
    StockKey { path, kind, without, example, meaning }
}

use ValueKind::{Count, Day, Id, Number, Point, Polygon, Supply, Table, Text, Word};

/// Every key but those of the tolerance, which follow from [`crate::Factor`], in the order of the page.
#[rustfmt::skip] // a table: a row is two or three lines
pub static STOCK_KEYS: &[StockKey] = &[
    key("id", Id, "", "\"amber\"", "Short name for files and columns; no two lines the same."),
    key("name", Text, "", "\"Amber Spur\"", "The name as people say it."),
    key("kind", Word(KINDS), "", "\"cultivar\"",
        "A named, selected line that is bought, or seedlings grown from seed of known local mother trees."),
    key("status", Word(&Status::KEYS), "`available`", "\"being_raised\"",
        "Whether it can be ordered now, is being raised, or is an idea of which there is nothing to order."),
    key("first_season", Count(1950, 2200, "(year)"), "required for `being_raised`, and only there", "2028",
        "Year of the first planting season in which a line that is being raised can be had. A season is named by the calendar year of its winter."),
    key("supply", Supply, "not limited", "{ 2027 = 20000, 2028 = 60000 }",
        "Plants that can be had: one figure for the whole plan, or one for each planting season; a season that is not named has none."),
    key("min_lot", Count(1, 1_000_000_000, "plants"), "any number", "500",
        "Fewest plants that the nursery takes an order for."),
    key("price_nzd", Number(0.0, f64::MAX, "NZ$"), "not known", "0.85",
        "Price of one plant, New Zealand dollars, before tax: your own quote."),
    key("lead_months", Count(0, 120, "months"), "12 for a cultivar, 24 for a seed line", "12",
        "Months from the order to plants that can go into the ground. Defaults: community nursery guides give 9 to 12 months from sowing; eco-sourced contracts take two years or more (Department of Conservation, eco-sourcing pages)."),
    key("mature_height_m", Number(0.1, 60.0, "m"), "not known", "4.0",
        "Height that it reaches on this kind of ground. Some carbon schemes ask for 5 m where it stands."),

    key("nectar", Table, "not known", "{ ratio_mean = 0.0132, ratio_sd = 0.005, trees = 20 }",
        "Dihydroxyacetone (DHA) of its nectar, measured tree by tree. Planting or regenerating local plants does not raise it."),
    key("nectar.ratio_mean", RATIO, "required, unless the mean at 80 °Brix is given", "0.0132",
        "Mean over trees of DHA over total sugar."),
    key("nectar.ratio_sd", RATIO, "not known", "0.005", "Standard deviation of that ratio over trees."),
    key("nectar.normalised_mg_per_kg", NORMALISED, "the ratio times 800,000", "10560",
        "The mean instead as DHA of nectar taken to 80 °Brix, 80 % of its weight sugar. Read as a ratio; give one of the two."),
    key("nectar.normalised_sd_mg_per_kg", NORMALISED, "not known", "4000",
        "The standard deviation over trees at 80 °Brix; with a mean at 80 °Brix only."),
    key("nectar.trees", Count(1, 1_000_000, "trees"), "not known", "20",
        "Trees that were measured, each by its own sample."),

    key("flowering", Table, "not known", "{ begins = \"12-10\", ends = \"01-15\", elevation_m = 150 }",
        "When it flowers. Take dates from the line's own blocks: no published model of flowering by temperature is known for it."),
    key("flowering.begins", Day, "required", "\"12-10\"", "First day of flowering that bees can work."),
    key("flowering.ends", Day, "required", "\"01-15\"", "Last day of it; it may lie after the new year."),
    key("flowering.elevation_m", HEIGHT, "required", "150", "Height above sea level at which these days were seen."),
    key("flowering.shift_days_per_100m", Number(-20.0, 20.0, "days"), "`3`", "3.0",
        "Days later for each 100 m higher. Default: common practice, 2 to 4; Hopkins 1918 gives 3.3 (from memory)."),

    key("survival", Table, "as usual on each landform", "{ slip_scar = 0.55 }",
        "Share of the plants alive two years after planting, by landform. Defaults: common practice within Millner et al. 2016 (over 0.9 in trials) and Marden, Lambie & Phillips 2020 (10 to 25 % missing on ridges and colluvial slopes, up to 45 % on slip scars, after six years)."),
    key("survival.ridge", SHARE_ALIVE, "`0.8`", "0.8", "On ridge crests and shoulders."),
    key("survival.mid_slope", SHARE_ALIVE, "`0.8`", "0.8", "On the slopes between."),
    key("survival.toe", SHARE_ALIVE, "`0.9`", "0.9", "On toe slopes and valley floors."),
    key("survival.slip_scar", SHARE_ALIVE, "`0.6`", "0.55", "On scars of landslides."),

    key("origin", Table, "not known", "{ point = [1801250.0, 5672300.0], crs = \"EPSG:2193\", mothers = 34 }",
        "Where the seed comes from."),
    key("origin.point", Point, "not known", "[1801250.0, 5672300.0]",
        "The stand or the tree as a position, east before north, longitude before latitude (the order of RFC 7946)."),
    key("origin.polygon", Polygon, "not known", "[[[0, 0], [90, 0], [90, 60], [0, 0]]]",
        "The stand as a polygon: its outer ring first, then holes. Give a point or a polygon, not both."),
    key("origin.crs", Text, "required with a point or polygon, and only there", "\"EPSG:2193\"",
        "Coordinate system of the point or polygon: a registry code or WKT."),
    key("origin.elevation_m", HEIGHT, "not known", "310", "Height of the stand above sea level."),
    key("origin.mothers", Count(1, 1_000_000, "trees"), "not known", "34",
        "Mother trees that seed was taken from. To hold an allele of frequency 0.05 with 95 % chance takes 30 outcrossing plants (Brown & Marshall)."),
    key("origin.seed_zone", Text, "not known", "\"Eastern ranges\"",
        "Name of the seed zone or ecological district, as your own layer of zones has it."),
    key("origin.taxon", Text, "not known", "\"Leptospermum scoparium\"",
        "Name of the plant as its collector wrote it; botanists disagree on how many kinds there are."),
    key("origin.taxon_basis", Text, "required with a taxon, and only there", "\"flora key, voucher kept\"",
        "What the name rests on; \"not recorded\" when nobody knows."),

    key("tolerance", Table, "nothing limits it", "{ slope_deg = { full_to = 35, none_above = 48 } }",
        "What it takes of each factor. The least one decides (the law of the minimum, Liebig 1840)."),
];

/// The key at a dotted path.
pub(crate) fn find(path: &str) -> Option<&'static StockKey> {
    STOCK_KEYS.iter().find(|key| key.path == path)
}

/// Last parts of the paths that stand in a table; in a stock itself when `parent` is empty.
pub(crate) fn names_in(parent: &str) -> Vec<&'static str> {
    let split = |key: &StockKey| key.path.rsplit_once('.').unwrap_or(("", key.path));
    STOCK_KEYS
        .iter()
        .map(split)
        .filter(|(table, _)| *table == parent)
        .map(|(_, name)| name)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Factor, LandformClass, StockKind};

    #[test]
    fn the_table_names_what_the_types_name() {
        assert_eq!(KINDS, StockKind::ALL.map(StockKind::key));
        assert_eq!(names_in("survival"), LandformClass::ALL.map(LandformClass::key));
        for class in LandformClass::ALL {
            let row = find(&format!("survival.{}", class.key())).unwrap();
            assert_eq!(row.without, format!("`{}`", class.usual_survival()));
        }
        let shift = find("flowering.shift_days_per_100m").unwrap();
        assert_eq!(shift.without, format!("`{}`", crate::Flowering::SHIFT_DAYS_PER_100M));
        let lead = find("lead_months").unwrap();
        let usual = StockKind::ALL.map(|kind| format!("{} for a {kind}", kind.usual_lead_months()));
        assert_eq!(lead.without, usual.join(", "));
        assert!(Factor::ALL.iter().all(|factor| find(factor.key()).is_none()));
    }

    #[test]
    fn no_path_stands_twice_and_every_table_comes_before_its_keys() {
        for (at, key) in STOCK_KEYS.iter().enumerate() {
            assert!(STOCK_KEYS[..at].iter().all(|before| before.path != key.path), "{}", key.path);
            if let Some((table, _)) = key.path.rsplit_once('.') {
                assert!(STOCK_KEYS[..at].iter().any(|before| before.path == table), "{}", key.path);
            }
        }
    }
}
