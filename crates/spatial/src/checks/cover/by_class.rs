//! Cover by class of ground, measure and year.

use std::collections::BTreeMap;

use super::judge::{Held, Seen};
use super::kinds::Kind;
use super::rows::{BAND_EDGES, YearRow};
use crate::site::Measure;
use crate::units::PlanHectares;
use crate::zones::SlopeGroup;

/// The class of old slip scars, which stand in no slope group.
pub(super) const SCAR: &str = "slip_scar";

impl Held<'_> {
    /// Cover by class of ground, measure and year.
    pub(super) fn rows(&self, seen: &[Seen], years: &[i32]) -> Vec<YearRow> {
        let slope = |kind: Kind| {
            if self.footing.is_scar(kind) {
                SCAR.to_owned()
            } else {
                kind.group.letter().to_owned()
            }
        };
        let terrain = |kind: Kind| {
            kind.terrain.map_or_else(
                || "not mapped".to_owned(),
                |terrain| self.footing.terrains[terrain].0.clone(),
            )
        };
        let mut rows = Vec::new();
        let slopes = SlopeGroup::ALL.map(SlopeGroup::letter).into_iter().chain([SCAR]);
        let slopes: Vec<String> = slopes.map(str::to_owned).collect();
        for may_slip_only in [false, true] {
            self.add_rows(&mut rows, seen, years, ("slope_group", may_slip_only), &slopes, &slope);
        }
        if !self.footing.terrains.is_empty() {
            let mut names: Vec<String> = Vec::new();
            for (name, _) in self.footing.terrains {
                if !names.contains(name) {
                    names.push(name.clone());
                }
            }
            names.push("not mapped".to_owned());
            for may_slip_only in [false, true] {
                let by = ("erosion_terrain", may_slip_only);
                self.add_rows(&mut rows, seen, years, by, &names, &terrain);
            }
        }
        rows
    }

    fn add_rows(
        &self,
        rows: &mut Vec<YearRow>,
        seen: &[Seen],
        years: &[i32],
        (by, may_slip_only): (&'static str, bool),
        classes: &[String],
        class_of: &dyn Fn(Kind) -> String,
    ) {
        let counted = seen.iter().filter(|one| one.is_counted && (one.may_slip || !may_slip_only));
        let mut of_class: BTreeMap<String, Vec<&Seen>> = BTreeMap::new();
        for one in counted {
            of_class.entry(class_of(one.part.kind)).or_default().push(one);
        }
        for class in classes {
            let Some(of_class) = of_class.get(class) else { continue };
            for (at, measure) in Measure::ALL.into_iter().enumerate() {
                let told = std::iter::once(None).chain(years.iter().copied().map(Some));
                for (step, years) in told.enumerate() {
                    let mut sums = Sums::default();
                    for one in of_class {
                        let share = one.shares[at][step];
                        let is_below = one.may_slip && share < self.footing.rules.target;
                        sums.add(one.part.plan_m2, share, is_below);
                    }
                    rows.push(YearRow {
                        by,
                        class: class.clone(),
                        may_slip_only,
                        measure: measure.word(),
                        years,
                        year: years.and_then(|years| self.year(years)),
                        plan_area_ha: PlanHectares::from_m2(sums.all),
                        protected_plan_ha: PlanHectares::from_m2(sums.protected),
                        protected_share: sums.protected / sums.all,
                        bands_plan_ha: sums.bands.map(PlanHectares::from_m2),
                        below_plan_ha: PlanHectares::from_m2(sums.below),
                    });
                }
            }
        }
    }
}

#[derive(Default)]
struct Sums {
    all: f64,
    protected: f64,
    below: f64,
    bands: [f64; BAND_EDGES.len() + 1],
}

impl Sums {
    fn add(&mut self, m2: f64, share: f64, is_below: bool) {
        self.all += m2;
        self.protected += m2 * share;
        self.below += if is_below { m2 } else { 0.0 };
        self.bands[BAND_EDGES.iter().filter(|edge| share >= **edge).count()] += m2;
    }
}
