//! A rule set: what a scheme asks of planted ground.

use serde::Serialize;

use super::compare::Compare;

/// What is measured of a piece of planted ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Quantity {
    /// Planted hectares of map.
    AreaHa,
    /// Width of the rectangle with the same area and length of border, metres of map.
    MeanWidthM,
    /// Height that its lines reach at maturity, metres.
    MatureHeightM,
    /// Share of the ground under crowns in the barest hectare, 0 to 1.
    CrownShare,
    /// Living stems on a planted hectare of map.
    LiveSph,
}

impl Quantity {
    /// Every quantity.
    pub(super) const ALL: [Self; 5] =
        [Self::AreaHa, Self::MeanWidthM, Self::MatureHeightM, Self::CrownShare, Self::LiveSph];

    /// Its word in rule files.
    pub(super) fn word(self) -> &'static str {
        ["area_ha", "mean_width_m", "mature_height_m", "crown_share", "live_sph"][self as usize]
    }

    /// Its name for people.
    pub(super) fn name(self) -> &'static str {
        ["area", "mean width", "mature height", "crowns in the barest hectare", "living"]
            [self as usize]
    }

    /// Its unit, as people write it after a figure; a share is told in hundredths.
    pub(super) fn unit(self) -> &'static str {
        ["ha of map", "m", "m", "%", "stems/ha of map"][self as usize]
    }

    /// Whether it is that of some age.
    pub(super) fn has_years(self) -> bool {
        matches!(self, Self::CrownShare | Self::LiveSph)
    }

    /// The greatest figure that can be asked of it.
    pub(super) fn most(self) -> f64 {
        [1e6, 1e5, 150.0, 1.0, 1e5][self as usize]
    }

    /// A figure of it in words, with its unit.
    pub(super) fn in_words(self, figure: f64) -> String {
        let digits = match self {
            Self::AreaHa => format!("{figure:.2}"),
            Self::CrownShare => format!("{:.1}", figure * 100.0),
            Self::MeanWidthM | Self::MatureHeightM => format!("{figure:.1}"),
            Self::LiveSph => format!("{figure:.0}"),
        };
        let trimmed = if digits.contains('.') {
            digits.trim_end_matches('0').trim_end_matches('.')
        } else {
            &digits
        };
        format!("{trimmed} {}", self.unit())
    }
}

/// One test of a rule set.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Test {
    /// What is measured.
    pub measure: Quantity,
    /// How it is held against `value`.
    pub compare: Compare,
    /// What is asked, in the unit in the name of the measure.
    pub value: f64,
    /// Years after planting; with `crown_share` and `live_sph`, and only there.
    pub years: Option<f64>,
    /// With `crown_share`: lines that do not reach this height do not count, metres.
    pub reaching_m: Option<f64>,
    /// With `mature_height_m`: the share of the planted ground that must be of such lines, 0 to 1.
    pub ground_share: Option<f64>,
}

impl Test {
    /// What it asks, in words.
    pub(super) fn asked(&self) -> String {
        let share =
            self.ground_share.map(|share| format!(" on {:.0} % of the ground", share * 100.0));
        let years = self.years.map(|years| format!(" {years} years after planting"));
        let lines = self.reaching_m.map(|height| format!(", of lines that reach {height} m"));
        let parts = [share, years, lines].into_iter().flatten();
        format!("{} {}", self.compare.words(), self.measure.in_words(self.value))
            + &parts.collect::<String>()
    }
}

/// Whether a rule set holds today.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// It did when the file was written.
    InForce,
    /// It does not: a pattern only.
    Closed,
}

/// Where the tests of a rule set come from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Source {
    /// Who wrote it.
    pub author: String,
    /// What it is called.
    pub title: String,
    /// Its year or date.
    pub date: String,
}

/// What a scheme asks of planted ground.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rule {
    /// Name of its file without the ending.
    pub rule_id: String,
    /// Its name for people.
    pub name: String,
    /// Where it holds.
    pub jurisdiction: String,
    /// Whether it holds today.
    pub state: State,
    /// Whom to ask before anybody relies on it.
    pub check_with: String,
    /// What no layer can tell.
    pub ask: Vec<String>,
    /// Where the tests come from.
    pub source: Source,
    /// The tests.
    pub tests: Vec<Test>,
}
