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
    let key_of = |place: partition::Place| key(labels, place.label, place.layers, rules.len());
    let is_zone = |key: u64| labels.kinds.get(key as usize) == Some(&LabelKind::Zone);
    let parted = partition::partition(
        &labels.cells,
        &lattice_of(grid),
        straighten_m(site, grid),
        &layers,
        &[],
        key_of,
        Some(&partition::SliverRule {
            // Crumbs of zones that clipping leaves, too small to plant, go to a neighbour. Only
            // zones give: a setback or a stand never shrinks.
            smaller_than_m2: 4.0 * grid.cell_area(),
            may_join: &|from: u64, _: u64| is_zone(from),
            must_leave: &|_: u64| false,
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

/// The key of a face: a kept stand is a stand whatever setback it lies in; then setbacks; then
/// the cells' own label.
fn key(
    labels: &Labels,
    label: Option<u32>,
    inside: partition::LayerSet,
    rules: usize,
) -> Option<u64> {
    if !inside.contains(0) {
        return None;
    }
    let label = label.unwrap_or(0);
    let setbacks =
        (0..rules).filter(|rule| inside.contains(rule + 1)).fold(0, |set, rule| set | 1 << rule);
    match labels.kinds[label as usize] {
        LabelKind::Stand(_) => Some(u64::from(label)),
        _ if setbacks != 0 => Some(CLEAR | setbacks),
        LabelKind::StandEdge(stand) => Some(u64::from(stand)),
        _ => Some(u64::from(label)),
    }
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
