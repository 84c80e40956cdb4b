//! Planting zones: kinds of ground → regions → zones → one exact partition of the property.

mod adjacency;
mod cells;
mod classes;
mod kinds;
mod labels;
mod merge;
mod outline;
mod regions;
mod shape;
mod spread;
mod statistics;
#[cfg(test)]
mod tests;
mod units;
mod walls;
mod widest;

use std::collections::BTreeMap;

use geo::{Area, BoundingRect, MultiPolygon};
use rayon::prelude::*;

pub use cells::{CellShare, CellShares, cell_shares};
pub(crate) use cells::{Run, from_partition, lattice_of, runs_mostly_in, to_partition};
pub use classes::{ClassCode, Classes, SlopeGroup, Step};
pub(crate) use kinds::cover_of;
pub use kinds::{cover_at, mapped_wetness};
pub use outline::{MOST_RULES, Neighbour};
pub use shape::Shape;
pub(crate) use shape::rings;
pub use statistics::{CAUTION_SLOPES_DEG, GroundStatistics, SLOPE_STEP_DEG, SLOPE_STEPS};
use statistics::{Rooms, Survey};
use units::Units;

use crate::ground::Ground;
use crate::plan::{GroupRow, MergeReport};
use crate::problem::Problem;
use crate::read::Ready;
use crate::site::{Site, ZoneRules};
use crate::units::PlanHectares;
use labels::{LabelKind, Labels};
use outline::{Outline, PieceKind};

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
    pub cells: CellShares,
    /// What they are like.
    pub statistics: GroundStatistics,
    /// How wide it is.
    pub shape: Shape,
    /// Patches of each class, as zones see it, that were merged into it.
    pub made_of: BTreeMap<ClassCode, usize>,
    /// Map area of the polygon less that of the zone's cells, square metres: what exact borders and
    /// straightening gave or took.
    pub drift_m2: f64,
    /// Whether it was drawn by hand.
    pub is_drawn: bool,
    /// What lies along its border, metres.
    pub neighbours: BTreeMap<Neighbour, f64>,
}

impl Zone {
    /// Whether it is smaller than asked for; one drawn by hand never is.
    #[must_use]
    pub fn is_small(&self, rules: &ZoneRules) -> bool {
        !self.is_drawn && self.plan_m2 < rules.min_area_m2
    }

    /// Whether it is nowhere as wide as asked for; one drawn by hand never is.
    #[must_use]
    pub fn is_narrow(&self, rules: &ZoneRules) -> bool {
        !self.is_drawn && self.shape.widest_m < rules.min_width.0
    }
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
    /// What the reader should know about how they were drawn.
    pub notes: Vec<Problem>,
}

/// Draws the zones.
///
/// # Errors
/// When the site has more setback rules than [`MOST_RULES`], or absurd coordinates.
pub fn zones(ready: &Ready, ground: &Ground, site: &Site) -> Result<Zones, Problem> {
    drawn(ready, ground, site).map_err(|problem| problem.of_file(&site.file))
}

fn drawn(ready: &Ready, ground: &Ground, site: &Site) -> Result<Zones, Problem> {
    if ready.keep_clear.len() > MOST_RULES {
        return Err(too_many_rules(ready.keep_clear.len()));
    }
    let (units, notes) = Units::new(ready, ground.grid())?.unzip();
    let mut cells = kinds::Cells::new(ready, ground, site, units);
    let labels = labels::label_cells(&mut cells, site, ground.grid());
    let units = cells.units.as_ref().map_or(&[][..], |units| &units.polygons);
    let outline = outline::outline(&labels, ready, site, ground.grid(), units)?;
    let survey = Survey { cells, ground };
    let zones = draw_zones(&outline, &labels, &survey);
    let merging = report(&zones, &labels, &survey, site);
    Ok(Zones {
        stands: draw_stands(&outline.pieces, &labels, &survey),
        keep_clear: draw_clear(&outline.pieces, &labels),
        merging,
        zones,
        notes: notes.unwrap_or_default(),
    })
}

type Pieces = BTreeMap<PieceKind, MultiPolygon<f64>>;

fn draw_zones(outline: &Outline, labels: &Labels, survey: &Survey<'_>) -> Vec<Zone> {
    let of_zone = |(kind, geometry): (&PieceKind, &MultiPolygon<f64>)| match kind {
        PieceKind::Zone(label) => Some((*label, geometry.clone())),
        _ => None,
    };
    let drawn: Vec<_> = outline.pieces.iter().filter_map(of_zone).collect();
    let cell_area = survey.ground.grid().cell_area();
    let rooms = Rooms::default();
    let zone = |(number, (label, geometry)): (usize, (u32, MultiPolygon<f64>))| {
        let cells = cell_shares(&geometry, survey.ground.grid());
        let plan_m2 = geometry.unsigned_area();
        Zone {
            id: format!("Z{:03}", number + 1),
            plan_m2,
            statistics: rooms.with(|sums| survey.statistics(&cells, sums)),
            shape: Shape::of(&geometry),
            made_of: labels.made_of[label as usize].clone(),
            drift_m2: plan_m2 - f64::from(labels.sizes[label as usize]) * cell_area,
            is_drawn: labels.drawn[label as usize],
            neighbours: outline.borders.get(&label).cloned().unwrap_or_default(),
            cells,
            geometry,
        }
    };
    // Neighbours one after another, since they read the same lines of memory; and one by one, for
    // their sizes differ by orders of magnitude.
    let mut drawn: Vec<_> = drawn.into_iter().enumerate().collect();
    drawn.sort_by_cached_key(|(number, (_, geometry))| (block_of(geometry, survey), *number));
    let mut zones: Vec<(usize, Zone)> = drawn
        .into_par_iter()
        .with_max_len(1)
        .map(|(number, drawn)| (number, zone((number, drawn))))
        .collect();
    zones.sort_unstable_by_key(|(number, _)| *number);
    zones.into_iter().map(|(_, zone)| zone).collect()
}

/// The square block of cells in which a polygon begins, numbered along a curve that winds through
/// the grid so that blocks near each other have numbers near each other (Morton's order).
fn block_of(area: &MultiPolygon<f64>, survey: &Survey<'_>) -> u64 {
    /// Cells along a block.
    const BLOCK: f64 = 256.0;
    let grid = survey.ground.grid();
    let Some(around) = area.bounding_rect() else { return 0 };
    let col = (around.min().x - grid.west()) / grid.cell_width() / BLOCK;
    let row = (grid.north() - around.max().y) / grid.cell_height() / BLOCK;
    let spread = |number: f64| {
        let bits = u64::from(number as u32);
        (0..32).fold(0, |spread, bit| spread | (bits >> bit & 1) << (2 * bit))
    };
    spread(col) | spread(row) << 1
}

fn draw_stands(pieces: &Pieces, labels: &Labels, survey: &Survey<'_>) -> Vec<Stand> {
    let of_stand = |(kind, geometry): (&PieceKind, &MultiPolygon<f64>)| match kind {
        PieceKind::Stand(label) => match labels.kinds[*label as usize] {
            LabelKind::Stand(cover) => Some((cover, geometry.clone())),
            _ => None,
        },
        _ => None,
    };
    let drawn: Vec<_> = pieces.iter().filter_map(of_stand).collect();
    let rooms = Rooms::default();
    let stand = |(number, (cover, geometry)): (usize, (u8, MultiPolygon<f64>))| {
        let cells = cell_shares(&geometry, survey.ground.grid());
        Stand {
            id: format!("S{:03}", number + 1),
            cover,
            plan_m2: geometry.unsigned_area(),
            statistics: rooms.with(|sums| survey.statistics(&cells, sums)),
            geometry,
        }
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

fn report(zones: &[Zone], labels: &Labels, survey: &Survey<'_>, site: &Site) -> MergeReport {
    let rules = &site.zones;
    let areas = zones.iter().map(|zone| zone.statistics.by_zone_class(site));
    let (mut all, mut own) = (0.0, 0.0);
    for areas in areas {
        all += areas.values().sum::<f64>();
        own += areas.values().copied().fold(0.0, f64::max);
    }
    let small = |zone: &&Zone| zone.is_small(rules);
    let narrow = |zone: &&Zone| !zone.is_small(rules) && zone.is_narrow(rules);
    MergeReport {
        regions: labels.regions,
        zones: zones.len(),
        moved_plan_ha: PlanHectares::from_m2(all - own),
        moved_share: if all > 0.0 { (all - own) / all } else { 0.0 },
        below_minimum: zones.iter().filter(small).count(),
        below_width: zones.iter().filter(narrow).count(),
        by_slope_group: group_rows(zones, survey),
    }
}

/// Ground to plant by slope group, before and after zones were drawn.
fn group_rows(zones: &[Zone], survey: &Survey<'_>) -> Vec<GroupRow> {
    let cells = survey.cells.to_plant_by_slope_group();
    let cell_area = survey.ground.grid().cell_area();
    let row = |group: SlopeGroup| {
        let own = |zone: &&Zone| zone.statistics.dominant(ClassCode::slope) == Some(group);
        GroupRow {
            slope_group: group.letter().to_owned(),
            cells_plan_ha: PlanHectares::from_m2(cells[group as usize] as f64 * cell_area),
            in_zones_plan_ha: PlanHectares::from_m2(
                zones.iter().map(|zone| zone.statistics.to_plant_m2(group)).sum(),
            ),
            named_plan_ha: PlanHectares::from_m2(
                zones.iter().filter(own).map(|zone| zone.plan_m2).sum(),
            ),
        }
    };
    SlopeGroup::ALL.into_iter().map(row).collect()
}

fn too_many_rules(found: usize) -> Problem {
    Problem::error("keep_clear")
        .found(format!("{found} rules"))
        .expected(format!("at most {MOST_RULES}"))
        .remedy("join features that share a distance and a reason into one layer and one rule")
}
