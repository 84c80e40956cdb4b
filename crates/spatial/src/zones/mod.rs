//! Planting zones: kinds of ground → regions → zones → one exact partition of the property.

mod cells;
mod classes;
mod kinds;
mod labels;
mod merge;
mod outline;
mod regions;
mod spread;
mod statistics;

use std::collections::BTreeMap;

use geo::{Area, MultiPolygon};
use rayon::prelude::*;

pub(crate) use cells::cells_mostly_in;
pub use cells::{CellShare, cell_shares};
pub use classes::{ClassCode, Classes, SlopeGroup, Step};
pub use kinds::{cover_at, mapped_wetness};
pub use outline::MOST_RULES;
pub use statistics::{CAUTION_SLOPES_DEG, GroundStatistics};

use crate::ground::Ground;
use crate::plan::MergeReport;
use crate::problem::Problem;
use crate::read::Ready;
use crate::site::Site;
use crate::units::PlanHectares;
use labels::{LabelKind, Labels};
use outline::PieceKind;

/// A planting zone.
#[derive(Debug, Clone)]
pub struct Zone {
    /// `Z001`, … in the order in which a scan from the north-west meets them.
    pub id: String,
    /// Polygon in the plan's coordinate system.
    pub geometry: MultiPolygon<f64>,
    /// Its map area, square metres.
    pub plan_m2: f64,
    /// The cells under it.
    pub cells: Vec<CellShare>,
    /// What they are like.
    pub statistics: GroundStatistics,
    /// Regions that were merged into it.
    pub merged_regions: usize,
}

/// A kept native stand.
#[derive(Debug, Clone)]
pub struct Stand {
    /// `S001`, …
    pub id: String,
    /// Position in the site's cover table.
    pub cover: u8,
    /// Polygon.
    pub geometry: MultiPolygon<f64>,
    /// Its map area, square metres.
    pub plan_m2: f64,
    /// What its ground is like.
    pub statistics: GroundStatistics,
}

/// Why a piece is kept clear.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ClearReason {
    /// Setback rules that meet here: positions in the site's rules.
    Setback(Vec<usize>),
    /// Cover that is never planted: position in the site's cover table.
    Cover(u8),
    /// The ground is not known.
    Unknown,
}

/// Ground kept clear.
#[derive(Debug, Clone)]
pub struct KeepClear {
    /// `K001`, …
    pub id: String,
    /// Why.
    pub reason: ClearReason,
    /// Polygon.
    pub geometry: MultiPolygon<f64>,
    /// Its map area, square metres.
    pub plan_m2: f64,
}

/// The property as zones, stands and ground kept clear: no gap, no overlap.
#[derive(Debug, Clone)]
pub struct Zones {
    /// Planting zones.
    pub zones: Vec<Zone>,
    /// Kept stands.
    pub stands: Vec<Stand>,
    /// Ground kept clear.
    pub keep_clear: Vec<KeepClear>,
    /// How far merging moved ground between classes.
    pub merging: MergeReport,
}

/// Draws the zones.
///
/// # Errors
/// When the site has more setback rules than [`MOST_RULES`], or absurd coordinates.
pub fn zones(ready: &Ready, ground: &Ground, site: &Site) -> Result<Zones, Problem> {
    if ready.keep_clear.len() > MOST_RULES {
        return Err(too_many_rules(ready.keep_clear.len()));
    }
    let kinds = kinds::cell_kinds(ready, ground, site);
    let labels = labels::label_cells(&kinds, ground, site);
    let pieces = outline::outline(&labels, ready, site, ground.grid())?;
    let zones = draw_zones(&pieces, &labels, ground, site);
    let merging = report(&zones, &labels, site);
    Ok(Zones {
        stands: draw_stands(&pieces, &labels, ground, site),
        keep_clear: draw_clear(&pieces, &labels),
        merging,
        zones,
    })
}

type Pieces = BTreeMap<PieceKind, MultiPolygon<f64>>;

fn draw_zones(pieces: &Pieces, labels: &Labels, ground: &Ground, site: &Site) -> Vec<Zone> {
    let of_zone = |(kind, geometry): (&PieceKind, &MultiPolygon<f64>)| match kind {
        PieceKind::Zone(label) => Some((*label, geometry.clone())),
        _ => None,
    };
    let drawn: Vec<_> = pieces.iter().filter_map(of_zone).collect();
    let zone = |(number, (label, geometry)): (usize, (u32, MultiPolygon<f64>))| {
        let cells = cell_shares(&geometry, ground.grid());
        Zone {
            id: format!("Z{:03}", number + 1),
            plan_m2: geometry.unsigned_area(),
            statistics: GroundStatistics::of(&cells, ground, site),
            merged_regions: labels.merged_regions[label as usize],
            cells,
            geometry,
        }
    };
    drawn.into_par_iter().enumerate().map(zone).collect()
}

fn draw_stands(pieces: &Pieces, labels: &Labels, ground: &Ground, site: &Site) -> Vec<Stand> {
    let of_stand = |(kind, geometry): (&PieceKind, &MultiPolygon<f64>)| match kind {
        PieceKind::Stand(label) => match labels.kinds[*label as usize] {
            LabelKind::Stand(cover) => Some((cover, geometry.clone())),
            _ => None,
        },
        _ => None,
    };
    let drawn: Vec<_> = pieces.iter().filter_map(of_stand).collect();
    let stand = |(number, (cover, geometry)): (usize, (u8, MultiPolygon<f64>))| Stand {
        id: format!("S{:03}", number + 1),
        cover,
        plan_m2: geometry.unsigned_area(),
        statistics: GroundStatistics::of(&cell_shares(&geometry, ground.grid()), ground, site),
        geometry,
    };
    drawn.into_par_iter().enumerate().map(stand).collect()
}

fn draw_clear(pieces: &Pieces, labels: &Labels) -> Vec<KeepClear> {
    let reason = |kind: &PieceKind| match kind {
        PieceKind::Clear(rules) => Some(ClearReason::Setback(rules.clone())),
        PieceKind::Never(label) => match labels.kinds[*label as usize] {
            LabelKind::Never(cover) => Some(ClearReason::Cover(cover)),
            _ => None,
        },
        PieceKind::Unknown => Some(ClearReason::Unknown),
        PieceKind::Zone(_) | PieceKind::Stand(_) => None,
    };
    let clear =
        |(number, (reason, geometry)): (usize, (ClearReason, MultiPolygon<f64>))| KeepClear {
            id: format!("K{:03}", number + 1),
            reason,
            plan_m2: geometry.unsigned_area(),
            geometry,
        };
    let drawn = pieces.iter().filter_map(|(kind, area)| Some((reason(kind)?, area.clone())));
    drawn.enumerate().map(clear).collect()
}

fn report(zones: &[Zone], labels: &Labels, site: &Site) -> MergeReport {
    let moved: f64 = zones.iter().map(|zone| zone.statistics.moved_m2(site)).sum();
    let all: f64 = zones.iter().map(|zone| zone.statistics.known_m2).sum();
    MergeReport {
        regions: labels.regions,
        zones: zones.len(),
        moved_plan_ha: PlanHectares::from_m2(moved),
        moved_share: if all > 0.0 { moved / all } else { 0.0 },
        below_minimum: labels.below_minimum,
    }
}

fn too_many_rules(found: usize) -> Problem {
    Problem::error("keep_clear")
        .found(format!("{found} rules"))
        .expected(format!("at most {MOST_RULES}"))
        .remedy("join features that share a distance and a reason into one layer and one rule")
}
