//! What the plots say, by zone and line and in all.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Serialize, Serializer};
use tally::{Decision, Interval, decide, design_effect, living_plants, plot_plan_area_ha, wilson};

use super::{Planted, PlantedPlan, PlotCount, SurveyRules, ZoneLine};

/// One line in one zone, as far as it was counted.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SurveyRow {
    /// Its zone.
    pub zone_id: String,
    /// Its stock.
    pub stock_id: String,
    /// Name of the stock.
    pub stock_name: String,
    /// Plots.
    pub plots: usize,
    /// Plants counted, dead or alive.
    pub counted: u64,
    /// Those alive.
    pub alive: u64,
    /// Share alive of those counted, 0 to 1; `None` where nothing was counted.
    pub alive_share: Option<f64>,
    /// Lower end of its interval.
    pub alive_share_low: f64,
    /// Upper end of its interval.
    pub alive_share_high: f64,
    /// How many times as much the plots differ as independent plants would; `None` where it cannot be told.
    pub design_effect: Option<f64>,
    /// Plants that went into the ground, by the plan.
    pub planted: u64,
    /// Plants that are to live: `seedlings` of the plan.
    pub target: u64,
    /// Plants alive, planted × share, rounded down; `None` where nothing was counted.
    pub alive_estimate: Option<u64>,
    /// Share of the target that is alive: the share alive × planted ÷ target.
    pub target_share: Option<f64>,
    /// Plants alive a map hectare of the plots; `None` where a plot has no radius.
    pub alive_sph: Option<f64>,
    /// What to do, by the interval of the share of the target.
    #[serde(serialize_with = "as_key")]
    pub decision: Decision,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands out references")]
fn as_key<S: Serializer>(decision: &Decision, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(decision.key())
}

/// Everything that was counted of one line, or of all.
///
/// Its share is that of the ground, not of the counts: each zone weighs by what was planted there. It has no
/// interval, for zones are not alike.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SurveyTotal {
    /// The line; `None`: all of them.
    pub stock_id: Option<String>,
    /// Name of the line.
    pub stock_name: Option<String>,
    /// Zones with a count.
    pub zones: usize,
    /// Plots, each once.
    pub plots: usize,
    /// Plants counted, dead or alive.
    pub counted: u64,
    /// Those alive.
    pub alive: u64,
    /// Plants that went into the ground where something was counted.
    pub planted: u64,
    /// Plants that are to live there.
    pub target: u64,
    /// Plants alive there.
    pub alive_estimate: u64,
    /// Share of the target that is alive there; `None` where nothing was counted.
    pub target_share: Option<f64>,
}

impl Planted {
    /// Plants that went into the ground.
    pub(super) fn of(self, line: &ZoneLine) -> u64 {
        match self {
            Self::Seedlings => line.seedlings,
            Self::OrderQty => line.order_qty,
        }
    }
}

/// A row for each line in each zone that has a plot, in the order of the plan.
pub(super) fn rows(
    plan: &PlantedPlan,
    counts: &[PlotCount],
    rules: &SurveyRules,
) -> Vec<SurveyRow> {
    let mut plots: BTreeMap<(&str, &str), Vec<&PlotCount>> = BTreeMap::new();
    for count in counts {
        plots.entry((&count.zone_id, &count.stock_id)).or_default().push(count);
    }
    let of = |line: &ZoneLine| {
        plots.get(&(&*line.zone_id, &*line.stock_id)).map(|own| row(line, own, rules))
    };
    plan.planted.iter().filter_map(of).collect()
}

fn row(line: &ZoneLine, counts: &[&PlotCount], rules: &SurveyRules) -> SurveyRow {
    let counted = counts.iter().map(|count| count.counted).sum();
    let alive = counts.iter().map(|count| count.alive).sum();
    let (planted, target) = (rules.planted.of(line), line.seedlings);
    let interval = wilson(alive, counted, rules.confidence).unwrap_or(Interval::UNKNOWN);
    let plots: Vec<(u64, u64)> = counts.iter().map(|count| (count.alive, count.counted)).collect();
    let share = (counted > 0).then(|| alive as f64 / counted as f64);
    // A line of which the plan plants nothing is as it should be.
    let of_target = if target > 0 { planted as f64 / target as f64 } else { 1.0 };
    let scaled = Interval { low: interval.low * of_target, high: interval.high * of_target };
    SurveyRow {
        zone_id: line.zone_id.clone(),
        stock_id: line.stock_id.clone(),
        stock_name: line.stock_name.clone(),
        plots: counts.len(),
        counted,
        alive,
        alive_share: share,
        alive_share_low: interval.low,
        alive_share_high: interval.high,
        design_effect: design_effect(&plots),
        planted,
        target,
        alive_estimate: share.map(|_| living_plants(planted, alive, counted)),
        target_share: share.map(|share| share * of_target),
        alive_sph: density(counts, line.slope_deg),
        decision: if target == 0 { Decision::Stocked } else { decide(scaled, rules.threshold) },
    }
}

/// Plants alive a map hectare: of all plots together. A plot without a slope has that of its zone.
fn density(counts: &[&PlotCount], zone_slope_deg: Option<f64>) -> Option<f64> {
    let area = |count: &&PlotCount| {
        plot_plan_area_ha(count.radius?.0, count.slope_deg.or(zone_slope_deg)?)
    };
    let hectares: f64 = counts.iter().map(area).sum::<Option<f64>>()?;
    let alive: u64 = counts.iter().map(|count| count.alive).sum();
    (hectares > 0.0).then(|| alive as f64 / hectares)
}

/// A total for each line, in the order in which they come, and one of everything.
pub(super) fn totals(rows: &[SurveyRow], counts: &[PlotCount]) -> (Vec<SurveyTotal>, SurveyTotal) {
    let mut ids: Vec<&str> = Vec::new();
    for row in rows {
        if !ids.contains(&row.stock_id.as_str()) {
            ids.push(&row.stock_id);
        }
    }
    let line = |id: &&str| total(Some(*id), rows, counts);
    (ids.iter().map(line).collect(), total(None, rows, counts))
}

fn total(stock_id: Option<&str>, rows: &[SurveyRow], counts: &[PlotCount]) -> SurveyTotal {
    let is_own = |id: &str| stock_id.is_none_or(|own| own == id);
    let own: Vec<&SurveyRow> =
        rows.iter().filter(|row| is_own(&row.stock_id) && row.counted > 0).collect();
    let sum =
        |of: fn(&SurveyRow) -> u64| own.iter().fold(0_u64, |sum, row| sum.saturating_add(of(row)));
    let zones: BTreeSet<&str> = own.iter().map(|row| row.zone_id.as_str()).collect();
    let plots: BTreeSet<&str> = counts
        .iter()
        .filter(|count| is_own(&count.stock_id))
        .map(|count| count.plot_id.as_str())
        .collect();
    let (target, alive) = (sum(|row| row.target), sum(|row| row.alive_estimate.unwrap_or(0)));
    let named = rows.iter().find(|row| Some(row.stock_id.as_str()) == stock_id);
    SurveyTotal {
        stock_id: stock_id.map(str::to_owned),
        stock_name: named.map(|row| row.stock_name.clone()),
        zones: zones.len(),
        plots: plots.len(),
        counted: sum(|row| row.counted),
        alive: sum(|row| row.alive),
        planted: sum(|row| row.planted),
        target,
        alive_estimate: alive,
        target_share: (target > 0).then(|| alive as f64 / target as f64),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::fixture;
    use super::*;

    const HEADER: &str = "plot_id,zone_id,stock_id,counted,alive,radius_m,slope_deg\n";

    fn rows_of(text: &str, rules: &SurveyRules) -> Vec<SurveyRow> {
        let counts = fixture::counts(&format!("{HEADER}{text}")).unwrap();
        rows(&fixture::plan(), &counts, rules)
    }

    /// Worked outside the program: 88 of 110 is 80 %, 71.6 to 86.4 % with 95 % confidence (Wilson); of
    /// 1,000 planted 800 live.
    #[test]
    fn plots_of_one_zone_and_line_are_taken_together() {
        let text = "A,Z001,amber,60,50,,\nB,Z001,amber,50,38,,\nC,Z001,tops,9,9,,\n";
        let rows = rows_of(text, &SurveyRules::default());
        assert_eq!(rows.len(), 2);
        let amber = &rows[0];
        assert_eq!((amber.plots, amber.counted, amber.alive), (2, 110, 88));
        assert!((amber.alive_share_low - 0.716).abs() < 5e-4);
        assert!((amber.alive_share_high - 0.864).abs() < 5e-4);
        assert_eq!((amber.planted, amber.target, amber.alive_estimate), (1_000, 1_000, Some(800)));
        assert_eq!((amber.decision, amber.alive_sph), (Decision::KeepWatching, None));
    }

    /// 1,250 ordered and planted, 800 of 1,000 live of them: 1,000, which is all of the target.
    #[test]
    fn the_whole_order_in_the_ground_counts_against_the_same_target() {
        let rules = SurveyRules { planted: Planted::OrderQty, ..SurveyRules::default() };
        let row = &rows_of("A,Z001,amber,1000,800,,\n", &rules)[0];
        assert_eq!((row.planted, row.target, row.alive_estimate), (1_250, 1_000, Some(1_000)));
        assert!((row.target_share.unwrap() - 1.0).abs() < 1e-12);
        assert_eq!(row.decision, Decision::Stocked);
        let row = &rows_of("A,Z001,amber,1000,700,,\n", &SurveyRules::default())[0];
        assert_eq!((row.alive_estimate, row.decision), (Some(700), Decision::Replant));
    }

    #[test]
    fn nothing_counted_says_nothing() {
        let row = &rows_of("A,Z001,amber,0,0,5.64,\n", &SurveyRules::default())[0];
        assert_eq!((row.alive_share, row.alive_estimate, row.target_share), (None, None, None));
        assert_eq!(row.decision, Decision::KeepWatching);
        assert!(row.alive_share_low <= 0.0 && row.alive_share_high >= 1.0);
    }

    /// A plot of 6.06 m on 30° covers 0.01 ha of map: 11 alive there are 1,100 a hectare.
    #[test]
    fn plots_with_a_radius_tell_plants_a_map_hectare() {
        let rules = SurveyRules::default();
        let of = |text: &str| rows_of(text, &rules)[0].alive_sph;
        for text in ["A,Z001,amber,12,11,6.06,30\n", "A,Z001,amber,12,11,6.06,\n"] {
            assert!((of(text).unwrap() / 1_100.0 - 1.0).abs() < 2e-3, "the zone has 30° too");
        }
        let two = of("A,Z002,amber,9,8,3.99,0\nB,Z002,amber,30,22,7.98,0\n").unwrap();
        assert!(
            (two / 1_200.0 - 1.0).abs() < 2e-3,
            "30 on 0.025 ha, not the mean of two densities"
        );
        assert_eq!(of("A,Z002,amber,9,8,3.99,0\nB,Z002,amber,30,22,,0\n"), None);
    }

    /// Zone Z001 has 1,000 plants of amber at 90 %, Z002 600 at 50 %: 1,200 of 1,600, though 43 of 70
    /// counted are alive.
    #[test]
    fn totals_weigh_zones_by_what_was_planted() {
        let text =
            format!("{HEADER}A,Z001,amber,20,18,,\nB,Z002,amber,50,25,,\nA,Z001,tops,0,0,,\n");
        let counts = fixture::counts(&text).unwrap();
        let rows = rows(&fixture::plan(), &counts, &SurveyRules::default());
        let (lines, all) = totals(&rows, &counts);
        assert_eq!(lines.len(), 2);
        assert_eq!((lines[0].zones, lines[0].plots, lines[0].alive), (2, 2, 43));
        assert_eq!((lines[0].alive_estimate, lines[0].target_share), (1_200, Some(0.75)));
        assert_eq!((lines[1].zones, lines[1].target_share), (0, None));
        assert_eq!((all.stock_id, all.plots, all.alive_estimate), (None, 2, 1_200));
    }

    proptest! {
        /// However the plants are spread over plots, a row says the same.
        #[test]
        fn splitting_a_plot_changes_nothing(counted in 1_u64..200, part in 0.0_f64..1.0, cut in 0.0_f64..1.0) {
            let alive = (part * (counted + 1) as f64) as u64;
            let (one, living) = ((cut * counted as f64) as u64, (cut * alive as f64) as u64);
            let whole = format!("A,Z001,amber,{counted},{alive},,\n");
            let split = format!(
                "A,Z001,amber,{one},{living},,\nB,Z001,amber,{},{},,\n", counted - one, alive - living
            );
            prop_assume!(living <= one && alive - living <= counted - one);
            let rules = SurveyRules::default();
            let (whole, split) = (&rows_of(&whole, &rules)[0], &rows_of(&split, &rules)[0]);
            let design_effect = split.design_effect;
            prop_assert_eq!(split, &SurveyRow { plots: 2, design_effect, ..whole.clone() });
        }
    }
}
