//! Cell labels, the surveyed boundary and the setbacks made into one exact partition.

use std::collections::BTreeMap;

use geo::MultiPolygon;

use super::cells::{from_partition, lattice_of, to_partition};
use super::labels::{LabelKind, Labels, straighten_m};
use crate::problem::Problem;
use crate::read::Ready;
use crate::site::Site;
use terrain::Grid;

/// What a piece of the property is.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum PieceKind {
    /// Planting zone, by label.
    Zone(u32),
    /// Kept stand, by label.
    Stand(u32),
    /// Setbacks that meet here: positions in the site's rules, in order of precedence.
    Clear(Vec<usize>),
    /// Never-planted cover, by label.
    Never(u32),
    /// Ground not known.
    Unknown,
}

/// The partition of the property.
pub(super) struct Outline {
    /// Each kind of piece once, with all its polygons.
    pub(super) pieces: BTreeMap<PieceKind, MultiPolygon<f64>>,
    /// How much of a zone's border, by its label, it shares with what, metres.
    pub(super) borders: BTreeMap<u32, BTreeMap<Neighbour, f64>>,
}

/// What lies on the other side of a zone's border.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Neighbour {
    /// Another zone.
    Zone,
    /// A kept stand.
    Stand,
    /// Setbacks that meet here: positions in the site's rules.
    Setback(Vec<usize>),
    /// Cover that is never planted.
    Never,
    /// Ground that is not known.
    Unknown,
    /// Ground beyond the boundary.
    Beyond,
}

/// A setback layer's limit: one bit a rule beside the boundary.
pub const MOST_RULES: usize = 60;

/// Draws the partition.
///
/// Law: the pieces cover the property, meet only along shared arcs and overlap nowhere; it holds
/// by construction, because every polygon is put together from the same noded arcs.
///
/// # Errors
/// When the linework cannot be noded, which only absurd coordinates bring about.
pub(super) fn outline(
    labels: &Labels,
    ready: &Ready,
    site: &Site,
    grid: &Grid,
    units: &[partition::Polygon],
) -> Result<Outline, Problem> {
    let mut layers = vec![partition::Layer { polygons: to_partition(&ready.boundary) }];
    layers.extend(
        ready
            .keep_clear
            .iter()
            .map(|area| partition::Layer { polygons: to_partition(&area.geometry) }),
    );
    let rules: Vec<usize> = ready.keep_clear.iter().map(|area| area.rule).collect();
    let mut kinds: BTreeMap<u64, PieceKind> = BTreeMap::new();
    let key_of = |place: partition::Place| key(labels, &place, rules.len(), units.is_empty());
    let is_zone = |key: u64| labels.kinds.get(key as usize) == Some(&LabelKind::Zone);
    // A rule's bit never comes so high.
    let is_stray = |key: u64| key & STRAY != 0;
    let unit_of = |key: u64| {
        let own = || labels.units.get(key as usize).copied();
        if is_stray(key) { Some((key >> 32) as u32 & UNIT) } else { own() }
    };
    let parted = partition::partition(
        &labels.cells,
        &lattice_of(grid),
        straighten_m(site, grid),
        &layers,
        units,
        key_of,
        Some(&partition::SliverRule {
            // Crumbs of zones that clipping leaves, too small to plant, go to a neighbour. Only
            // zones give: a setback or a stand never shrinks.
            smaller_than_m2: 4.0 * grid.cell_area(),
            may_join: &|from: u64, to: u64| {
                let home = to & (CLEAR | STRAY) == 0 && unit_of(from) == unit_of(to);
                if is_stray(from) { home } else { is_zone(from) && (units.is_empty() || home) }
            },
            // Cells keep to drawn breaks only as far as cells can: what lies on the other side of the
            // exact line goes to a neighbour there.
            must_leave: &is_stray,
            // Where there is none, the unit is narrower than a cell there: it stays what its cells are.
            left_as: &|key| key & u64::from(u32::MAX),
        }),
    )
    .map_err(|error| cannot_node(&error))?;
    let mut map: BTreeMap<PieceKind, MultiPolygon<f64>> = BTreeMap::new();
    for piece in parted.pieces {
        let kind = kinds.entry(piece.key).or_insert_with(|| kind_of(labels, &rules, piece.key));
        let polygons = from_partition(&piece.polygons);
        map.entry(kind.clone()).or_insert_with(|| MultiPolygon::new(vec![])).0.extend(polygons);
    }
    let mut borders: BTreeMap<u32, BTreeMap<Neighbour, f64>> = BTreeMap::new();
    for border in &parted.borders {
        let [a, b] = border.keys.map(|key| key.map(|key| kind_of(labels, &rules, key)));
        for (one, other) in [(&a, &b), (&b, &a)] {
            if let Some(PieceKind::Zone(label)) = one {
                let shared = borders.entry(*label).or_default();
                *shared.entry(Neighbour::of(other.as_ref())).or_default() += border.length_m;
            }
        }
    }
    Ok(Outline { pieces: map, borders })
}

impl Neighbour {
    fn of(kind: Option<&PieceKind>) -> Self {
        match kind {
            None => Self::Beyond,
            Some(PieceKind::Zone(_)) => Self::Zone,
            Some(PieceKind::Stand(_)) => Self::Stand,
            Some(PieceKind::Clear(rules)) => Self::Setback(rules.clone()),
            Some(PieceKind::Never(_)) => Self::Never,
            Some(PieceKind::Unknown) => Self::Unknown,
        }
    }
}

/// Keys of setback pieces have this bit, and below it one bit a rule.
const CLEAR: u64 = 1 << 63;

/// Keys of pieces whose label belongs to another unit than they lie in have this bit, then the unit
/// plus 1 in the upper half, and the label in the lower.
const STRAY: u64 = 1 << 62;

/// Bits of a unit in the upper half of a stray piece's key.
const UNIT: u32 = (1 << 30) - 1;

/// The key of a face: a kept stand is a stand whatever setback it lies in, on its own side of drawn breaks; then
/// setbacks; then the cells' own label, where it belongs to the face's unit.
fn key(labels: &Labels, place: &partition::Place, rules: usize, whole: bool) -> Option<u64> {
    // Units fill the property, to the step.
    if if whole { !place.layers.contains(0) } else { place.unit.is_none() } {
        return None;
    }
    let label = place.label.unwrap_or(0);
    let unit = place.unit.map_or(0, |unit| unit + 1);
    let is_home = |label: u32| {
        let own = labels.units.get(label as usize).copied().unwrap_or(0);
        label == 0 || own == unit || own == 0
    };
    let setbacks = (0..rules)
        .filter(|rule| place.layers.contains(rule + 1))
        .fold(0, |set, rule| set | 1 << rule);
    let label = match labels.kinds[label as usize] {
        LabelKind::Stand(_) if setbacks == 0 || is_home(label) => label,
        _ if setbacks != 0 => return Some(CLEAR | setbacks),
        LabelKind::StandEdge(stand) => stand,
        _ => label,
    };
    if is_home(label) {
        return Some(u64::from(label));
    }
    Some(STRAY | u64::from(unit & UNIT) << 32 | u64::from(label))
}

/// The kind that a key stands for.
fn kind_of(labels: &Labels, rules: &[usize], key: u64) -> PieceKind {
    if key & CLEAR != 0 {
        return PieceKind::Clear(
            (0..rules.len()).filter(|bit| key >> bit & 1 == 1).map(|bit| rules[bit]).collect(),
        );
    }
    match labels.kinds[key as usize] {
        _ if key == 0 => PieceKind::Unknown,
        LabelKind::Zone => PieceKind::Zone(key as u32),
        LabelKind::Stand(_) | LabelKind::StandEdge(_) => PieceKind::Stand(key as u32),
        LabelKind::Never(_) => PieceKind::Never(key as u32),
        LabelKind::Unknown => PieceKind::Unknown,
    }
}

fn cannot_node(error: &partition::PartitionError) -> Problem {
    Problem::error("zones")
        .found(error.to_string())
        .expected("a boundary and setbacks that can be drawn to the millimetre")
        .remedy("check the boundary and the keep-clear layers for absurd coordinates")
}
