//! A survey, whole: what was counted, what to do, what to order, what to look at.

use std::collections::BTreeSet;
use std::path::Path;

use serde::Serialize;
use stock::Library;

use super::blanking::orders;
use super::rows::{rows, totals};
use super::warnings::warnings;
use super::{
    BlankingRow, PlanCaution, Planted, PlantedPlan, PlotCount, SurveyRow, SurveyRules, SurveyTotal,
};
use crate::problem::Problem;
use crate::site::Site;

/// Counts held against a plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SurveyReport {
    /// `hillweave.survival/1`.
    pub schema: &'static str,
    /// Name of the property.
    pub site: String,
    /// Winter that is counted; `None`: all of the plan.
    pub season: Option<i32>,
    /// Which figure of the plan went into the ground.
    pub planted: Planted,
    /// Confidence of the intervals.
    pub confidence: f64,
    /// Share of the target below which gaps are planted again.
    pub threshold: f64,
    /// Chance with which an order reaches its target.
    pub order_confidence: f64,
    /// What was counted, by zone and line.
    pub rows: Vec<SurveyRow>,
    /// The same by line.
    pub lines: Vec<SurveyTotal>,
    /// The same in all.
    pub total: SurveyTotal,
    /// Plants to order.
    pub orders: Vec<BlankingRow>,
    /// Cautions of the plan for the zones of the counts.
    pub cautions: Vec<PlanCaution>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
}

impl SurveyReport {
    /// Whether there is something to look at: a warning, or ground that is not stocked.
    #[must_use]
    pub fn has_findings(&self) -> bool {
        let stocked = |row: &SurveyRow| row.decision == tally::Decision::Stocked;
        !self.warnings.is_empty() || !self.rows.iter().all(stocked)
    }
}

/// Holds counts against a plan; the stock library tells the smallest order of each line.
#[must_use]
pub fn report(
    site: &Site,
    library: &Library,
    plan: &PlantedPlan,
    counts: &[PlotCount],
    counts_file: &Path,
    rules: &SurveyRules,
) -> SurveyReport {
    let rows = rows(plan, counts, rules);
    let (lines, total) = totals(&rows, counts);
    let (orders, hopeless) = orders(&rows, library, rules);
    let warnings = warnings(site, library, plan, &rows, &hopeless, counts_file, rules);
    SurveyReport {
        schema: "hillweave.survival/1",
        site: site.name.clone(),
        season: rules.season,
        planted: rules.planted,
        confidence: rules.confidence,
        threshold: rules.threshold,
        order_confidence: rules.order_confidence,
        cautions: cautions(plan, &rows),
        rows,
        lines,
        total,
        orders,
        warnings,
    }
}

/// Cautions of the plan, for the zones that were counted alone.
fn cautions(plan: &PlantedPlan, rows: &[SurveyRow]) -> Vec<PlanCaution> {
    let counted: BTreeSet<&str> = rows.iter().map(|row| row.zone_id.as_str()).collect();
    let own = |caution: &PlanCaution| {
        let zones: Vec<String> =
            caution.zones.iter().filter(|zone| counted.contains(zone.as_str())).cloned().collect();
        (!zones.is_empty()).then(|| PlanCaution { zones, ..caution.clone() })
    };
    plan.cautions.iter().filter_map(own).collect()
}

#[cfg(test)]
mod tests {
    use super::super::fixture;
    use super::*;
    use crate::site;

    fn site(name: &str) -> Site {
        let room = tempfile::tempdir().unwrap();
        let text = format!(
            "[site]\nname = \"{name}\"\n[layers.boundary]\nfile = \"b.geojson\"\n\
             [layers.elevation]\nfile = \"e.tif\"\n[stock]\nfile = \"s.toml\"\n"
        );
        std::fs::write(room.path().join("site.toml"), text).unwrap();
        site::load(room.path()).unwrap().0
    }

    fn report_of(name: &str, library: &Library, rows: &str) -> SurveyReport {
        let counts = fixture::counts(&format!("plot_id,zone_id,stock_id,counted,alive\n{rows}"));
        let (plan, rules) = (fixture::plan(), SurveyRules::default());
        report(&site(name), library, &plan, &counts.unwrap(), fixture::counts_file(), &rules)
    }

    fn found(report: &SurveyReport) -> Vec<&str> {
        report.warnings.iter().map(|warning| warning.found.as_str()).collect()
    }

    /// Plants of two winters are in the plan, so that this is said each time.
    const WINTERS: &str = "plants of 2027, 2028 taken together";

    #[test]
    fn everything_to_look_at_is_told() {
        let rows = "A,Z001,amber,29,28\nB,Z001,tops,60,0\n";
        let poor = report_of("Other Fold", &fixture::library(), rows);
        let expected = [
            "a plan of `Small Fold`",
            WINTERS,
            "no plot of Z002 amber",
            "29 plants counted in 1 plot",
            "0 alive of 60 plants",
        ];
        assert_eq!(found(&poor), expected);
        assert!(poor.has_findings() && poor.orders.is_empty());
        let one = "[[stock]]\nid = \"tops\"\nname = \"T\"\nkind = \"seed_line\"\n";
        let lost = report_of("Small Fold", &Library::parse(one).unwrap(), rows);
        assert_eq!(found(&lost)[1], "a line that the stock file no longer has");
        assert_eq!(lost.warnings[1].item, "stock `amber`");
    }

    #[test]
    fn plots_that_are_unlike_are_told() {
        let rows = "A,Z001,amber,40,40\nB,Z001,amber,40,20\nC,Z001,amber,40,39\n";
        let unlike = report_of("Small Fold", &fixture::library(), rows);
        assert!(found(&unlike).iter().any(|words| words.contains("as much as by chance")));
        let rows = "A,Z001,amber,40,33\nB,Z001,amber,40,31\nC,Z001,amber,40,35\n";
        let alike = report_of("Small Fold", &fixture::library(), rows);
        assert!(!found(&alike).iter().any(|words| words.contains("as much as by chance")));
    }

    #[test]
    fn good_counts_everywhere_leave_nothing_to_say_of_them() {
        let rows = "A,Z001,amber,90,88\nB,Z001,tops,90,88\nC,Z002,amber,90,88\n";
        let good = report_of("Small Fold", &fixture::library(), rows);
        assert_eq!(found(&good), [WINTERS]);
        let quiet = SurveyReport { warnings: Vec::new(), ..good };
        assert!(!quiet.has_findings());
        let doubtful = report_of("Small Fold", &fixture::library(), "A,Z001,amber,90,74\n");
        let doubtful = SurveyReport { warnings: Vec::new(), ..doubtful };
        assert!(doubtful.has_findings(), "82 % of 90 may be 73 %");
    }

    #[test]
    fn cautions_are_those_of_the_zones_that_were_counted() {
        let of = |rows: &str| report_of("Small Fold", &fixture::library(), rows).cautions;
        let steep = of("A,Z001,amber,90,88\n");
        assert_eq!((steep.len(), steep[0].about.as_str()), (1, "slopes over 35°"));
        assert_eq!(steep[0].zones, ["Z001"], "Z003 was not counted");
        assert_eq!(of("A,Z002,amber,90,88\n"), []);
    }
}
