//! From ground and plants to classes by year, and to pieces below the target.

use cover::{CoverFactor, FULLY_STOCKED_SPH, relative_soil_loss};
use rayon::prelude::*;
use stock::Library;
use terrain::Raster;

use super::future::Future;
use super::kinds::{Footing, Numbered, Part, parts};
use super::planted::Planted;
use super::remedy::{Offer, remedies};
use super::rows::{PieceRow, YearRow};
use super::words::Because;
use crate::problem::Problem;
use crate::site::{Measure, Site, Treatment};
use crate::zones::CellShares;

/// Whose ground it is.
#[derive(Debug, Clone)]
pub(super) enum What {
    /// A planting zone, by position.
    Zone(usize),
    /// A kept stand.
    Stand,
    /// Kept clear: the rules, and who says so.
    Clear(String, String),
    /// Of no site: everything.
    All,
}

/// One owner of ground.
pub(super) struct Owner<'a> {
    /// Its name in the plan.
    pub(super) id: Option<String>,
    pub(super) what: What,
    pub(super) cells: &'a CellShares,
}

/// Everything that is judged.
pub(super) struct Held<'a> {
    pub(super) footing: Footing<'a>,
    /// Zones first, in their order.
    pub(super) owners: Vec<Owner<'a>>,
    /// The owner of each cell plus 1; 0: none.
    pub(super) owner_at: &'a [u32],
    pub(super) planted: Planted,
    pub(super) plan: Option<(&'a Site, &'a Library)>,
    /// Winters after the first planting in which gaps are filled; 0 where nothing is planted before.
    pub(super) wait: f64,
}

/// What came of it.
pub(super) struct Judged {
    pub(super) plan_m2: f64,
    pub(super) may_slip_m2: f64,
    pub(super) below_m2: f64,
    pub(super) below_small_m2: f64,
    pub(super) unknown_m2: f64,
    pub(super) never_m2: f64,
    pub(super) soil_loss_ratio: Option<f64>,
    pub(super) rows: Vec<YearRow>,
    pub(super) pieces: Vec<PieceRow>,
    /// Share protected today and at the target year, cell by cell.
    pub(super) now: Raster<f32>,
    pub(super) then: Raster<f32>,
    /// Hectares planted more widely than the stands by whose age they are judged.
    pub(super) wide_m2: f64,
}

/// Years after the first planting winter that are told.
const TOLD: [i32; 13] = [0, 1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 30];

/// A part seen through the years.
pub(super) struct Seen {
    pub(super) part: Part,
    /// Share by measure and told year, today first.
    pub(super) shares: Vec<Vec<f64>>,
    pub(super) now: f64,
    pub(super) then: f64,
    /// Share under crowns at the target year, whatever cover is reckoned by.
    crowns_then: f64,
    pub(super) reaches: Option<i32>,
    pub(super) because: Option<Because>,
    pub(super) offers: [Option<Offer>; 4],
    pub(super) is_counted: bool,
    pub(super) may_slip: bool,
    is_wide: bool,
}

impl Held<'_> {
    fn years(&self) -> Vec<i32> {
        let mut years = TOLD.to_vec();
        years.push(self.footing.rules.by_years);
        years.sort_unstable();
        years.dedup();
        years
    }

    /// The calendar year so many years after the first planting winter.
    pub(super) fn year(&self, years: i32) -> Option<i32> {
        self.planted.first.map(|first| first + years)
    }

    fn see(&self, part: Part, years: &[i32]) -> Seen {
        let (footing, rules) = (&self.footing, self.footing.rules);
        let none = Vec::new();
        let what = &self.owners[part.owner].what;
        let blocks = match what {
            What::Zone(zone) => self.planted.blocks.get(*zone).unwrap_or(&none),
            _ => &none,
        };
        let future = Future::of(&part, blocks, footing, self.plan);
        let by = f64::from(rules.by_years);
        let (now, then) = (future.today, future.at(rules.measure, by));
        let shares = Measure::ALL.map(|measure| {
            let later = years.iter().map(|years| future.at(measure, f64::from(*years)));
            std::iter::once(now).chain(later).collect()
        });
        let class = footing.class(part.kind);
        let is_counted = class.is_none_or(|class| class.treatment != Treatment::Never);
        let may_slip = footing.may_slip(part.kind);
        let is_below = is_counted && may_slip && then < rules.target;
        let because = is_below.then(|| Because::of(what, &future, footing.is_scar(part.kind)));
        let line = match what {
            What::Zone(zone) => self.planted.line.get(*zone).copied().flatten(),
            _ => None,
        };
        let may_change = matches!(what, What::Zone(_) | What::All);
        let offers = if is_below && may_change {
            remedies(&part, &future, (line, self.wait), self.plan)
        } else {
            [None; 4]
        };
        let is_planted = !future.stems.is_empty();
        Seen {
            shares: shares.to_vec(),
            now,
            then,
            crowns_then: future.at(Measure::Crown, by),
            reaches: is_below
                .then(|| future.reaches(|years| future.at(rules.measure, years)))
                .flatten(),
            because,
            offers,
            is_counted,
            may_slip,
            is_wide: is_planted && future.living_per_ha() < FULLY_STOCKED_SPH,
            part,
        }
    }

    /// Judges all of it.
    ///
    /// # Errors
    /// When pieces cannot be drawn.
    pub(super) fn judge(mut self) -> Result<Judged, Problem> {
        let (numbered, parts, unknown_m2) = self.parts();
        if let Some((site, library)) = self.plan {
            self.planted.scale(&parts, &self.footing, site, library);
        }
        self.judge_parts(&numbered.cells, parts, unknown_m2)
    }

    /// The same with blocks that are scaled already.
    #[cfg(test)]
    pub(super) fn judge_as_scaled(self) -> Result<Judged, Problem> {
        let (numbered, parts, unknown_m2) = self.parts();
        self.judge_parts(&numbered.cells, parts, unknown_m2)
    }

    fn parts(&self) -> (Numbered, Vec<Part>, f64) {
        let numbered = self.footing.numbered();
        let cells: Vec<&CellShares> = self.owners.iter().map(|owner| owner.cells).collect();
        let (parts, unknown_m2) = parts(&self.footing, &numbered, &cells);
        (numbered, parts, unknown_m2)
    }

    fn judge_parts(
        &self,
        numbers: &[u32],
        parts: Vec<Part>,
        unknown_m2: f64,
    ) -> Result<Judged, Problem> {
        let years = self.years();
        let seen: Vec<Seen> =
            parts.into_par_iter().with_max_len(64).map(|part| self.see(part, &years)).collect();
        let places = places(&seen, self.owners.len(), self.owner_at, numbers);
        let sum = |is_meant: &dyn Fn(&Seen) -> bool| {
            seen.iter().filter(|seen| is_meant(seen)).map(|seen| seen.part.plan_m2).sum::<f64>()
        };
        let (pieces, below_small_m2) = self.pieces(&seen, &places)?;
        let raster = |share: fn(&Seen) -> f64| {
            let cells = places.par_iter().with_min_len(1 << 14).map(|place| {
                let one = seen_at(&seen, *place).filter(|one| one.is_counted);
                one.map_or(f32::NAN, |one| share(one) as f32)
            });
            Raster::new(*self.footing.slope_deg.grid(), cells.collect())
        };
        let made = |raster: Result<Raster<f32>, terrain::GridError>| {
            raster.map_err(|error| {
                let problem = Problem::error("cover").found(error.to_string());
                problem
                    .expected("a raster on the plan's grid")
                    .remedy("this is a fault of the program: please report it with the site folder")
            })
        };
        let washed = seen
            .iter()
            .filter(|seen| seen.is_counted)
            .map(|seen| (seen.part.plan_m2, seen.part.ls, seen.now, seen.crowns_then));
        Ok(Judged {
            plan_m2: sum(&|seen| seen.is_counted),
            may_slip_m2: sum(&|seen| seen.is_counted && seen.may_slip),
            below_m2: sum(&|seen| seen.because.is_some()),
            below_small_m2,
            unknown_m2,
            never_m2: sum(&|seen| !seen.is_counted && seen.may_slip),
            soil_loss_ratio: self
                .footing
                .ls
                .and_then(|_| relative_soil_loss(washed, CoverFactor::USUAL)),
            rows: self.rows(&seen, &years),
            pieces,
            now: made(raster(|seen| seen.now))?,
            then: made(raster(|seen| seen.then))?,
            wide_m2: sum(&|seen| seen.is_wide),
        })
    }
}

/// The place of the part at each cell; [`NOBODY`] where there is none.
///
/// Cost: a search among the kinds of its owner for each cell, on all cores.
fn places(seen: &[Seen], owners: usize, owner_at: &[u32], numbers: &[u32]) -> Vec<u32> {
    // Parts of each owner: numbers of kinds, rising, with the part's place.
    let mut of_owner: Vec<Vec<(u32, u32)>> = vec![Vec::new(); owners];
    for (place, one) in seen.iter().enumerate() {
        of_owner[one.part.owner].push((one.part.number, place as u32));
    }
    let place = |(owner, number): (&u32, &u32)| {
        let parts = &of_owner[(*owner as usize).checked_sub(1)?];
        let found = parts.binary_search_by_key(number, |(number, _)| *number).ok()?;
        Some(parts[found].1)
    };
    owner_at
        .par_iter()
        .zip(numbers)
        .with_min_len(1 << 14)
        .map(|cell| place(cell).unwrap_or(NOBODY))
        .collect()
}

/// No part.
const NOBODY: u32 = u32::MAX;

/// The part at a place.
pub(super) fn seen_at(seen: &[Seen], place: u32) -> Option<&Seen> {
    if place == NOBODY { None } else { seen.get(place as usize) }
}
