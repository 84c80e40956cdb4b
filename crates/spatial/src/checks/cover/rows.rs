//! What a check of cover says: its rows and figures.

use std::collections::BTreeMap;
use std::fmt::Write;

use geo::MultiPolygon;
use serde::Serialize;

use super::remedy::Remedy;
use crate::checks::BriefCaution;
use crate::plan::InputRecord;
use crate::problem::Problem;
use crate::site::DefaultTaken;
use crate::units::{PlanHectares, thousands};

/// Shares of cover that part bands: below the first, from each to the next, from the last up.
pub const BAND_EDGES: [f64; 4] = [0.2, 0.4, 0.6, 0.8];

/// How a piece of hill country will be covered.
#[derive(Debug, Clone, Serialize)]
pub struct CoverCheck {
    /// `hillweave.cover/1`.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Name of the property; of the elevation raster where no site is checked.
    pub site: String,
    /// Coordinate system of the pieces, as `EPSG:code` or WKT.
    pub crs: String,
    /// What was held against the ground: a plan, or nothing planted.
    pub planted: PlantedBy,
    /// What was read.
    pub inputs: Vec<InputRecord>,
    /// Every default used that has to do with cover.
    pub defaults: Vec<DefaultTaken>,
    /// What protective cover is reckoned by: `crown`, `roots`, `stand_1993` or `stand_1995`.
    pub measure: &'static str,
    /// How plants stand: `square`, `triangular` or `random`.
    pub pattern: &'static str,
    /// Least share of ground protected where it may slip.
    pub target: f64,
    /// Years after the first planting winter by which it must be.
    pub by_years: i32,
    /// Year of that; `null` where the plan names no winter.
    pub by_year: Option<i32>,
    /// Ground that was looked at.
    pub plan_ha: PlanHectares,
    /// Of that, ground that may slip: steeper than its terrain's slope, or slipped before.
    pub may_slip_plan_ha: PlanHectares,
    /// Of that, ground below the target at the target year.
    pub below_plan_ha: PlanHectares,
    /// Of that, in pieces smaller than the least that is drawn.
    pub below_small_plan_ha: PlanHectares,
    /// Ground of unknown slope, not judged.
    pub unknown_plan_ha: PlanHectares,
    /// Water, rock and yards that may slip, not judged.
    pub never_plan_ha: PlanHectares,
    /// What the remedies that serve by the target year cost together, New Zealand dollars.
    pub remedies_nzd: f64,
    /// Ground that they serve.
    pub remedies_plan_ha: PlanHectares,
    /// What the remedies that serve later cost together.
    pub late_remedies_nzd: f64,
    /// Ground that they serve.
    pub late_remedies_plan_ha: PlanHectares,
    /// Ground in pieces without a remedy.
    pub no_remedy_plan_ha: PlanHectares,
    /// Soil washed off at the target year over that of today, by sheet and rill alone; `null` where LS was
    /// not reckoned or nothing is washed off.
    pub soil_loss_ratio: Option<f64>,
    /// Cover by class of ground, measure and year.
    pub by_year_rows: Vec<YearRow>,
    /// Pieces below the target at the target year, the largest first.
    pub pieces: Vec<PieceRow>,
    /// What people must know.
    pub cautions: Vec<BriefCaution>,
    /// How far each figure goes.
    pub limits: Vec<&'static str>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
    /// The property, for the map; empty where no site is checked.
    #[serde(skip)]
    pub boundary: MultiPolygon<f64>,
}

impl CoverCheck {
    /// Share of ground that may slip protected, by slope group and year, as an SVG.
    #[must_use]
    pub fn chart(&self) -> String {
        super::chart::chart(self)
    }

    /// The target year in words.
    #[must_use]
    pub fn target_year_words(&self) -> String {
        match self.by_year {
            Some(year) => format!("{year}, {} years after the first planting", self.by_years),
            None => format!("{} years after the first planting", self.by_years),
        }
    }

    /// What mending all pieces takes, in words.
    #[must_use]
    pub fn mending_words(&self) -> String {
        let nzd = |nzd: f64| thousands(nzd.round() as u64);
        let mut words = if self.remedies_plan_ha.0 > 0.0 {
            format!(
                "{:.1} ha can be mended in time, by the cheapest ways for about NZ$ {}",
                self.remedies_plan_ha.0,
                nzd(self.remedies_nzd)
            )
        } else {
            "nothing can be mended in time".to_owned()
        };
        if self.late_remedies_plan_ha.0 > 0.0 {
            // Writing to a String cannot fail.
            let _ = write!(
                words,
                ", {:.1} ha later for about NZ$ {}",
                self.late_remedies_plan_ha.0,
                nzd(self.late_remedies_nzd)
            );
        }
        if self.no_remedy_plan_ha.0 > 0.0 {
            let _ = write!(words, ", {:.1} ha not at all", self.no_remedy_plan_ha.0);
        }
        words
    }
}

/// What was held against the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PlantedBy {
    /// The blocks of a plan.
    Plan,
    /// Nothing: the ground as it is.
    Nothing,
}

/// Ground of one class in one year, by one measure.
#[derive(Debug, Clone, Serialize)]
pub struct YearRow {
    /// What parts the classes: `slope_group`, or `erosion_terrain`.
    pub by: &'static str,
    /// The class: A to G, `slip_scar`, or a terrain's name.
    pub class: String,
    /// Whether the row counts only ground that may slip.
    pub may_slip_only: bool,
    /// What cover is reckoned by.
    pub measure: &'static str,
    /// Years after the first planting winter; `null`: today, before it.
    pub years: Option<i32>,
    /// The year, where the plan names winters.
    pub year: Option<i32>,
    /// Its map area.
    pub plan_area_ha: PlanHectares,
    /// Map area protected.
    pub protected_plan_ha: PlanHectares,
    /// Its share.
    pub protected_share: f64,
    /// Map area by band of cover; the edges are 20, 40, 60 and 80 %.
    pub bands_plan_ha: [PlanHectares; BAND_EDGES.len() + 1],
    /// Map area that may slip and is below the target.
    pub below_plan_ha: PlanHectares,
}

/// Ground that may slip, of all slope groups together, at one year.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MaySlipYear {
    /// Years after the first planting winter; `None`: today, before it.
    pub year: Option<i32>,
    /// Its map area.
    pub may_slip_plan_ha: PlanHectares,
    /// Map area of it protected.
    pub protected_plan_ha: PlanHectares,
    /// Map area of it below the target.
    pub below_plan_ha: PlanHectares,
}

impl CoverCheck {
    /// Ground that may slip, year by year, by the measure of the check.
    #[must_use]
    pub fn may_slip_by_year(&self) -> Vec<MaySlipYear> {
        let mut years: BTreeMap<Option<i32>, MaySlipYear> = BTreeMap::new();
        let counts = self.by_year_rows.iter().filter(|row| {
            row.by == "slope_group"
                && row.class != "all"
                && row.may_slip_only
                && row.measure == self.measure
        });
        for row in counts {
            let none = PlanHectares(0.0);
            let sum = years.entry(row.years).or_insert(MaySlipYear {
                year: row.years,
                may_slip_plan_ha: none,
                protected_plan_ha: none,
                below_plan_ha: none,
            });
            sum.may_slip_plan_ha.0 += row.plan_area_ha.0;
            sum.protected_plan_ha.0 += row.protected_plan_ha.0;
            sum.below_plan_ha.0 += row.below_plan_ha.0;
        }
        years.into_values().collect()
    }
}

/// A piece of ground below the target at the target year.
#[derive(Debug, Clone, Serialize)]
pub struct PieceRow {
    /// `C001`, …
    pub piece_id: String,
    /// The zone, stand or keep-clear piece that it lies in; `null` where no site is checked.
    pub lies_in: Option<String>,
    /// Map area, from the cells.
    pub plan_area_ha: PlanHectares,
    /// Mean slope, degrees.
    pub slope_mean_deg: f64,
    /// LUC slope groups with their map hectares.
    pub slope_group_plan_ha: BTreeMap<&'static str, PlanHectares>,
    /// Why it is below, in words.
    pub reason: String,
    /// Share protected today.
    pub protected_now: f64,
    /// Share protected at the target year.
    pub protected_then: f64,
    /// Years after the first planting winter in which all of it reaches the target as things stand;
    /// `null`: not within 60.
    pub reaches_years: Option<i32>,
    /// The year of that.
    pub reaches_year: Option<i32>,
    /// The cheapest remedy that serves by the target year, or the soonest where none does; `null`: none.
    pub remedy: Option<Remedy>,
    /// The same in a sentence.
    pub remedy_words: String,
    /// Plants to order beyond the plan, losses included, or poles to set.
    pub remedy_plants: Option<u64>,
    /// What it costs, New Zealand dollars.
    pub remedy_nzd: Option<f64>,
    /// Years after the first planting winter in which it reaches the target.
    pub remedy_years: Option<i32>,
    /// What to be careful of there; empty where nothing is.
    pub caution: String,
    /// Outline along cells, in the plan's coordinate system.
    #[serde(skip)]
    pub geometry: MultiPolygon<f64>,
}
