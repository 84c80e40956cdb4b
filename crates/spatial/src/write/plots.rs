//! Plots as files: `plots.csv`, `plots.gpx`, and `counting.csv` to fill in.

use super::lon_lat::ToLonLat;
use super::points::{WayPoint, plots};
use super::schedule::{disarmed, trouble};
use crate::layout::Plot;
use crate::plan::Plan;
use crate::problem::Problem;
use crate::survival::count_columns;

/// Name of the table.
pub(crate) const PLOTS_CSV: &str = "plots.csv";
/// Name of the way points.
pub(crate) const PLOTS_GPX: &str = "plots.gpx";
/// Name of the sheet to fill in.
pub(crate) const COUNTING_CSV: &str = "counting.csv";

/// A plot's name: unique over the property.
pub(super) fn plot_id(plot: &Plot, plan: &Plan) -> String {
    let zone = plan.zones.get(plot.zone).map_or("", |zone| zone.zone_id.as_str());
    format!("{zone}-P{}", plot.number)
}

/// `plots.csv`: one row a plot.
///
/// # Errors
/// When a number is not finite or a point cannot be moved to the globe.
pub(super) fn plots_csv(plan: &Plan, to_lon_lat: ToLonLat<'_>) -> Result<Vec<u8>, Problem> {
    plots(plan).csv(PLOTS_CSV, to_lon_lat)
}

/// `plots.gpx`: a way point a plot, by its name.
///
/// # Errors
/// When a point cannot be moved to the globe.
pub(super) fn plots_gpx(plan: &Plan, to_lon_lat: ToLonLat<'_>) -> Result<Vec<u8>, Problem> {
    plots(plan)
        .gpx(to_lon_lat, |plot| WayPoint { name: plot_id(plot, plan), ..WayPoint::default() })
}

/// `counting.csv`: one row a plot and line planted there, with `counted` and `alive` to fill in, as
/// `hillweave survival` reads it.
///
/// # Errors
/// When CSV refuses a row.
pub(super) fn counting_csv(plan: &Plan) -> Result<Vec<u8>, Problem> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(count_columns()).map_err(|error| trouble(&error, COUNTING_CSV))?;
    for plot in &plan.plots {
        let Some(zone) = plan.zones.get(plot.zone) else { continue };
        let own = plan.blocks.iter().filter(|block| block.zone_id == zone.zone_id);
        let mut lines: Vec<&str> =
            own.filter(|block| block.seedlings > 0).map(|block| block.stock_id.as_str()).collect();
        lines.sort_unstable();
        lines.dedup();
        let [radius, slope] = [format!("{:.2}", plot.radius_m), format!("{:.0}", plot.slope_deg)];
        for line in lines {
            let cells = [
                disarmed(plot_id(plot, plan)),
                disarmed(zone.zone_id.clone()),
                disarmed(line.to_owned()),
                String::new(),
                String::new(),
                radius.clone(),
                slope.clone(),
                String::new(),
                String::new(),
            ];
            table.write_record(cells).map_err(|error| trouble(&error, COUNTING_CSV))?;
        }
    }
    table.into_inner().map_err(|error| trouble(error.error(), COUNTING_CSV))
}
