//! The mosaic of a property: solved, its blocks joined where that costs little, and choices made by
//! hand with what they cost.

use std::collections::BTreeMap;
use std::time::Instant;

use crate::mosaic::{Assignment, Border, Joined, MosaicError, Programme, Stop, join, solve};
use crate::offers::{Terms, programme};
use crate::overrides::Overrides;
use crate::zones::{Zones, rings};

/// Choices by hand up to which each one's own cost is found, by solving without it.
const EACH: usize = 24;

/// Which stock where, and how it came about.
#[derive(Debug, Clone, PartialEq)]
pub struct Mosaic {
    /// Which stock where.
    pub assignment: Assignment,
    /// What was given up for workable blocks; `None`: nothing was to be.
    pub joined: Option<Joined>,
    /// What all choices by hand together cost; `None`: there are none.
    pub by_hand: Option<Cost>,
    /// What each choice by hand costs, the others kept.
    pub each_by_hand: Vec<Cost>,
    /// What was asked.
    pub programme: Programme,
}

/// What choices by hand cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cost {
    /// So much worth, to the gap of the solver.
    Worth(f64),
    /// The other rules cannot be kept without them.
    NotKept,
    /// It was not found in the time that there is for all of them.
    NotInTime,
    /// It was not found with as much as is ever tried.
    NotFound,
    /// There are too many choices to tell of each.
    TooMany,
}

impl Cost {
    /// The worth, where it is known.
    #[must_use]
    pub fn worth(self) -> Option<f64> {
        if let Self::Worth(worth) = self { Some(worth) } else { None }
    }

    /// Why it is not known; empty where it is.
    #[must_use]
    pub fn why_not_known(self) -> &'static str {
        match self {
            Self::Worth(_) => "",
            Self::NotKept => "the other rules cannot be kept without it",
            Self::NotInTime => "not found within mosaic.time_limit_s",
            Self::NotFound => "not found with as much as the search ever tries",
            Self::TooMany => "too many choices to tell of each",
        }
    }
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
/// That of [`solve`], and once more for each choice by hand, in no more than the same time together.
///
/// # Errors
/// As [`solve`].
pub fn assign(terms: &Terms) -> Result<Mosaic, MosaicError> {
    let problem = programme(terms);
    let mut assignment = solve(&problem)?;
    let choices = terms.overrides.placed.len();
    let clock = Instant::now();
    let cost_of = |overrides: &Overrides| {
        let free = programme(&Terms { overrides, ..*terms });
        let time_limit_s = free.time_limit_s - clock.elapsed().as_secs_f64();
        if time_limit_s <= 0.0 {
            return Ok(Cost::NotInTime);
        }
        match solve(&Programme { time_limit_s, ..free }) {
            Ok(other) if other.stopped == Some(Stop::Time) => Ok(Cost::NotInTime),
            Ok(other) => Ok(Cost::Worth((other.objective - assignment.objective).max(0.0))),
            Err(MosaicError::Impossible { .. }) => Ok(Cost::NotKept),
            Err(MosaicError::OutOfTime { .. }) => Ok(Cost::NotInTime),
            Err(MosaicError::GaveUp { .. }) => Ok(Cost::NotFound),
            Err(error) => Err(error),
        }
    };
    let costs_nothing =
        |at: usize| terms.overrides.placed.get(at).is_some_and(|(_, one)| one.is_of_places_alone());
    let by_hand = match choices {
        0 => None,
        _ if (0..choices).all(costs_nothing) => Some(Cost::Worth(0.0)),
        _ => Some(cost_of(&Overrides::default())?),
    };
    let each = |at: usize| match choices {
        _ if costs_nothing(at) => Ok(Cost::Worth(0.0)),
        0..=EACH => cost_of(&terms.overrides.without(at)),
        _ => Ok(Cost::TooMany),
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
        let rings = zone.geometry.iter().flat_map(rings);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::offers::fixture::{CORNER, demands, fits, library, site, zones};
    use crate::offers::{Seasons, Sourcing};
    use crate::overrides::Override;

    const LINES: &str = "[[stock]]\nid = \"one\"\nname = \"One\"\nkind = \"cultivar\"\n\
                         [[stock]]\nid = \"two\"\nname = \"Two\"\nkind = \"cultivar\"\n";

    /// Two zones of 3 open hectares; the first line, which fits better by 0.2, is forbidden in one.
    fn mosaic(keys: &str, choices: usize) -> Mosaic {
        mosaic_with(keys, &choice(), choices)
    }

    fn choice() -> Override {
        Override {
            at: CORNER,
            line: None,
            forbid: vec![0],
            density: None,
            counts_only: false,
            note: String::new(),
            line_in_file: 1,
        }
    }

    fn mosaic_with(keys: &str, choice: &Override, choices: usize) -> Mosaic {
        let (site, library) = (site(&format!("[mosaic]\n{keys}")), library(LINES));
        let zones = zones(&[100.0, 100.0]);
        let overrides = Overrides { placed: vec![(0, choice.clone()); choices] };
        let terms = Terms {
            zones: &zones,
            fits: &fits(&zones, &[1.0, 0.8]),
            demands: &demands(2, library.stocks().len()),
            site: &site,
            library: &library,
            seasons: Seasons::of(&site, &library),
            sourcing: &Sourcing::default(),
            overrides: &overrides,
        };
        assign(&terms).unwrap()
    }

    #[test]
    fn a_choice_costs_what_the_better_line_would_count_for() {
        let mosaic = mosaic("gap = 0\n", 1);
        let costs = [mosaic.by_hand.unwrap(), mosaic.each_by_hand[0]];
        for cost in costs {
            let worth = cost.worth().unwrap();
            assert!(
                (worth - 3.0 * 0.2).abs() < 1e-6 && cost.why_not_known().is_empty(),
                "{cost:?}"
            );
        }
    }

    /// Not even where there would be no time to find it out.
    #[test]
    fn a_choice_about_places_alone_costs_nothing() {
        let places = Override { forbid: Vec::new(), counts_only: true, ..choice() };
        let hurried = mosaic_with("time_limit_s = 0.000000001\n", &places, 2);
        assert_eq!(hurried.by_hand, Some(Cost::Worth(0.0)));
        assert_eq!(hurried.each_by_hand, [Cost::Worth(0.0); 2]);
    }

    #[test]
    fn what_is_not_found_in_the_time_of_all_is_told_apart() {
        let hurried = mosaic("time_limit_s = 0.000000001\n", 2);
        assert_eq!(hurried.by_hand, Some(Cost::NotInTime));
        assert_eq!(hurried.each_by_hand, [Cost::NotInTime; 2]);
        assert!(Cost::NotInTime.why_not_known().contains("mosaic.time_limit_s"));
        let many = mosaic("gap = 0\n", EACH + 1);
        assert!(many.by_hand.unwrap().worth().is_some());
        assert_eq!(many.each_by_hand, [Cost::TooMany; EACH + 1]);
    }
}
