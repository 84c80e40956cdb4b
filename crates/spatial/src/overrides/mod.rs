//! Choices made by hand: a file that fixes or forbids lines and sets densities, zone by zone. A zone
//! is named by a point in it, so that choices outlive a change of the rules that draw zones.

mod read;

use std::path::Path;

use geo::{Contains, MultiPolygon, Point};

pub use self::read::{parse, read};

use crate::layout::ZoneDemand;
use crate::problem::Problem;
use crate::units::StemsPerHectare;
use crate::zones::Zones;

/// A choice made by hand for one zone.
#[derive(Debug, Clone, PartialEq)]
pub struct Override {
    /// A point in the zone, in the plan's coordinate system.
    pub at: [f64; 2],
    /// The line that takes all of it, by its place in the library.
    pub line: Option<usize>,
    /// Lines that may not stand there.
    pub forbid: Vec<usize>,
    /// Plants a hectare, on the site's basis.
    pub density: Option<StemsPerHectare>,
    /// Whether its plants are counted without being given places.
    pub counts_only: bool,
    /// Why, in the words of whoever made it.
    pub note: String,
    /// Where it stands in the file, counted from 1.
    pub line_in_file: usize,
}

/// Choices with the zones that they are about.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Overrides {
    /// Position of the zone, and the choice, in the order of the file.
    pub placed: Vec<(usize, Override)>,
}

impl Override {
    fn at(&self) -> Point<f64> {
        Point::new(self.at[0], self.at[1])
    }

    /// Whether it leaves the mosaic as it is, and chooses only whether plants have places.
    pub(crate) fn is_of_places_alone(&self) -> bool {
        self.line.is_none() && self.forbid.is_empty() && self.density.is_none()
    }

    /// What it chooses that another choice for the same zone rules out; `None`: both can stand.
    fn against(&self, other: &Self) -> Option<&'static str> {
        let differ = |one: Option<f64>, other: Option<f64>| {
            one.zip(other).is_some_and(|(one, other)| one.to_bits() != other.to_bits())
        };
        let bars =
            |one: &Self, other: &Self| one.line.is_some_and(|line| other.forbid.contains(&line));
        if self.line.zip(other.line).is_some_and(|(one, other)| one != other) {
            Some("another line is fixed")
        } else if bars(self, other) || bars(other, self) {
            Some("one fixes the line that the other forbids")
        } else if differ(self.density.map(|d| d.0), other.density.map(|d| d.0)) {
            Some("another density is set")
        } else {
            None
        }
    }
}

impl Overrides {
    /// Finds the zone of every choice; the second part tells of choices that are about none, and of
    /// those that an earlier one for the same zone rules out, which are not heard.
    #[must_use]
    pub fn place(overrides: Vec<Override>, zones: &Zones, file: &Path) -> (Self, Vec<Problem>) {
        let (mut placed, mut warnings) = (Self::default(), Vec::new());
        for one in overrides {
            let Some(zone) = zones.zones.iter().position(|zone| zone.geometry.contains(&one.at()))
            else {
                warnings.push(stray(
                    &one,
                    file,
                    "in no planting zone",
                    "a point in a planting zone",
                ));
                continue;
            };
            let against = |other| Some((other, one.against(other)?));
            let earlier = placed.of_zone(zone).find_map(against);
            if let Some((other, why)) = earlier {
                let found = format!("{why} in line {}, for the same zone", other.line_in_file);
                warnings.push(
                    Problem::warning("zone")
                        .file(file)
                        .place(one.line_in_file, 1)
                        .found(found)
                        .expected("choices for one zone that can stand together")
                        .remedy("take one of them out; until then the earlier stands"),
                );
                continue;
            }
            placed.placed.push((zone, one));
        }
        (placed, warnings)
    }

    /// All but one choice.
    #[must_use]
    pub fn without(&self, index: usize) -> Self {
        let mut placed = self.placed.clone();
        placed.remove(index);
        Self { placed }
    }

    /// Choices for a zone.
    pub fn of_zone(&self, zone: usize) -> impl Iterator<Item = &Override> {
        self.placed.iter().filter(move |(at, _)| *at == zone).map(|(_, one)| one)
    }

    /// What zones ask for, with the densities that are set by hand.
    #[must_use]
    pub fn demands(&self, usual: &[ZoneDemand]) -> Vec<ZoneDemand> {
        let mut demands = usual.to_vec();
        for (zone, choice) in &self.placed {
            if let (Some(density), Some(demand)) = (choice.density, demands.get_mut(*zone)) {
                *demand = demand.at_density(density);
            }
        }
        demands
    }
}

/// Choices about a point outside the property, before any zone is drawn.
#[must_use]
pub fn outside(overrides: &[Override], boundary: &MultiPolygon<f64>, file: &Path) -> Vec<Problem> {
    let strays = overrides.iter().filter(|one| !boundary.contains(&one.at()));
    strays.map(|one| stray(one, file, "outside the boundary", "a point in the property")).collect()
}

fn stray(one: &Override, file: &Path, where_to: &str, expected: &str) -> Problem {
    Problem::warning("zone.at")
        .file(file)
        .place(one.line_in_file, 1)
        .found(format!("[{}, {}]: {where_to}", one.at[0], one.at[1]))
        .expected(expected)
        .remedy("move the point into the zone that is meant, or take the entry out")
}
