//! The mosaic of a property: solved, its blocks joined where that costs little, and choices made by
//! hand with what they cost.

use std::collections::BTreeMap;

use crate::mosaic::{Assignment, Border, Joined, MosaicError, Programme, join, solve};
use crate::offers::{Terms, programme};
use crate::overrides::Overrides;
use crate::zones::Zones;

/// Choices by hand up to which each one's own cost is found, by solving without it.
const EACH: usize = 24;

/// Which stock where, and how it came about.
#[derive(Debug, Clone, PartialEq)]
pub struct Mosaic {
    /// Which stock where.
    pub assignment: Assignment,
    /// What was given up for workable blocks; `None`: nothing was to be.
    pub joined: Option<Joined>,
    /// Worth that all choices by hand together cost, to the gap; `None`: there are none, or no rule
    /// book could be kept without them.
    pub by_hand: Option<f64>,
    /// Worth that each choice by hand costs, the others kept; `None`: there are too many to tell, or
    /// no rule book could be kept without it.
    pub each_by_hand: Vec<Option<f64>>,
    /// What was asked.
    pub programme: Programme,
}

impl Mosaic {
    /// Nothing assigned to some zones, because nothing was asked to be.
    #[must_use]
    pub fn none(zones: usize) -> Self {
        let assignment = Assignment::none(zones);
        let programme = Programme::new(Vec::new(), Vec::new());
        Self { assignment, joined: None, by_hand: None, each_by_hand: Vec::new(), programme }
    }
}

/// Solves the mosaic.
///
/// # Cost
/// That of [`solve`], and once more for each choice by hand.
///
/// # Errors
/// As [`solve`].
pub fn assign(terms: &Terms) -> Result<Mosaic, MosaicError> {
    let problem = programme(terms);
    let mut assignment = solve(&problem)?;
    let choices = terms.overrides.placed.len();
    let worth_with = |overrides: &Overrides| {
        let free = programme(&Terms { overrides, ..*terms });
        match solve(&free) {
            Ok(other) => Ok(Some((other.objective - assignment.objective).max(0.0))),
            Err(MosaicError::Impossible { .. } | MosaicError::OutOfTime { .. }) => Ok(None),
            Err(error) => Err(error),
        }
    };
    let by_hand = if choices == 0 { None } else { worth_with(&Overrides::default())? };
    let each = |at: usize| {
        if choices > EACH { Ok(None) } else { worth_with(&terms.overrides.without(at)) }
    };
    let each_by_hand = (0..choices).map(each).collect::<Result<_, _>>()?;
    let loss = terms.site.mosaic.join_loss;
    let joined = (loss > 0.0).then(|| {
        let may_lose = loss * assignment.objective;
        join(&problem, &mut assignment, &borders(terms.zones), may_lose)
    });
    Ok(Mosaic { assignment, joined, by_hand, each_by_hand, programme: problem })
}

/// A corner to the last bit: neighbours share their corners.
type Corner = [u64; 2];

/// Borders that zones share with each other, from the sides that their polygons have in common.
fn borders(zones: &Zones) -> Vec<Border> {
    let mut sides: BTreeMap<[Corner; 2], usize> = BTreeMap::new();
    let mut metres: BTreeMap<[usize; 2], f64> = BTreeMap::new();
    for (at, zone) in zones.zones.iter().enumerate() {
        let rings = zone
            .geometry
            .iter()
            .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()));
        for side in rings.flat_map(geo::LineString::lines) {
            let corner = |c: geo::Coord<f64>| [c.x.to_bits(), c.y.to_bits()];
            let (start, end) = (corner(side.start), corner(side.end));
            let key = [start.min(end), start.max(end)];
            let length = (side.dx().powi(2) + side.dy().powi(2)).sqrt();
            match sides.remove(&key) {
                Some(other) if other != at => {
                    *metres.entry([other, at]).or_default() += length;
                }
                _ => {
                    sides.insert(key, at);
                }
            }
        }
    }
    metres.into_iter().map(|(zones, metres)| Border { zones, metres }).collect()
}
