//! The plan of the present state, with all that it was made from.

use std::sync::Arc;
use std::time::Instant;

use geo::MultiPolygon;
use spatial::pipeline::{Fitted, Heard, Stage, fitted_again, fitted_from, plan_of};
use spatial::plan::{Plan, Reach, USUAL_SEED};
use spatial::problem::Problem;
use spatial::read::Crs;

/// A plan and what it was made from.
pub(crate) struct PlanNow {
    /// The property with its lines fitted.
    pub(crate) fitted: Fitted,
    /// The plan.
    pub(crate) plan: Plan,
    /// How it came about.
    pub(crate) took: Took,
    globe: Crs,
}

/// How long a plan took, and from which stage on it was made anew.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub(crate) struct Took {
    /// Milliseconds.
    pub(crate) ms: f64,
    /// The first stage that was made anew.
    pub(crate) from: &'static str,
}

impl PlanNow {
    /// Plans what is heard of a site; of an earlier plan of it, stages whose makings are as they were are taken over.
    ///
    /// # Errors
    /// Every problem that stops the plan.
    pub(crate) fn of(heard: Heard, before: Option<&Self>) -> Result<Self, Vec<Problem>> {
        let begun = Instant::now();
        let mut first = None;
        let mut enter = |stage: Stage| {
            first.get_or_insert(stage.name());
        };
        let fitted = if let Some(before) = before {
            fitted_again(&before.fitted, heard, &mut enter)?
        } else {
            enter(Stage::Read);
            fitted_from(heard, Reach::Orders, &mut enter)?
        };
        let plan = plan_of(&fitted, Reach::Orders, USUAL_SEED, &mut enter)?;
        let globe = Crs::longitude_latitude().map_err(|error| {
            Problem::error("longitude and latitude")
                .found(error)
                .expected("PROJ with its database")
                .remedy("install PROJ's database (Debian: proj-data)")
        })?;
        let from = first.unwrap_or(Stage::Mosaic.name());
        let took = Took { ms: begun.elapsed().as_secs_f64() * 1e3, from };
        Ok(Self { fitted, plan, took, globe })
    }

    /// Whether another plan has the very same zones, stands and ground kept clear.
    pub(crate) fn has_zones_of(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.fitted.zones, &other.fitted.zones)
    }

    /// Whether another plan has the very same ground, and classes of it, in its pictures.
    pub(crate) fn has_ground_of(&self, other: &Self) -> bool {
        self.has_zones_of(other) && Arc::ptr_eq(&self.fitted.ground, &other.fitted.ground)
    }

    /// The polygon of a zone.
    pub(crate) fn zone_shape(&self, id: &str) -> Option<&MultiPolygon<f64>> {
        self.plan.zones.iter().find(|zone| zone.zone_id == id).map(|zone| &zone.geometry)
    }

    /// From easting and northing to longitude and latitude.
    ///
    /// # Errors
    /// When one of the places has none; they are then not to be used.
    pub(crate) fn to_globe(&self, places: &mut [(f64, f64)]) -> Result<(), Problem> {
        carried(&self.fitted.ready.crs, &self.globe, places)
    }

    /// From longitude and latitude to easting and northing.
    ///
    /// # Errors
    /// As [`PlanNow::to_globe`].
    pub(crate) fn to_plan(&self, places: &mut [(f64, f64)]) -> Result<(), Problem> {
        carried(&self.globe, &self.fitted.ready.crs, places)
    }
}

fn carried(from: &Crs, to: &Crs, places: &mut [(f64, f64)]) -> Result<(), Problem> {
    from.transform_points(to, places).map_err(|error| {
        Problem::error("place")
            .found(error.to_string())
            .expected("places within the plan's coordinate system")
            .remedy("draw it on the property")
    })
}
