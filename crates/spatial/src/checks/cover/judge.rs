//! From ground and plants to classes by year, and to pieces below the target.

use std::collections::BTreeMap;

use cover::{CoverFactor, FULLY_STOCKED_SPH, relative_soil_loss};
use rayon::prelude::*;
use stock::Library;
use terrain::Raster;

use super::future::Future;
use super::kinds::{Footing, Kind, Numbered, Part, parts};
use super::pieces::{connected, outlines};
use super::planted::Planted;
use super::remedy::{Offer, best, remedies};
use super::rows::{BAND_EDGES, PieceRow, YearRow};
use super::words::{Because, caution_words, reason_words, remedy_words};
use crate::problem::Problem;
use crate::site::{Measure, Site, Treatment};
use crate::units::PlanHectares;
use crate::zones::{CellShares, SlopeGroup};

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
    shares: Vec<Vec<f64>>,
    pub(super) now: f64,
    pub(super) then: f64,
    /// Share under crowns at the target year, whatever cover is reckoned by.
    crowns_then: f64,
    pub(super) reaches: Option<i32>,
    pub(super) because: Option<Because>,
    offers: [Option<Offer>; 4],
    is_counted: bool,
    may_slip: bool,
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
            raster.map_err(|error| Problem::error("cover").found(error.to_string()))
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

    /// Cover by class of ground, measure and year.
    fn rows(&self, seen: &[Seen], years: &[i32]) -> Vec<YearRow> {
        let slope = |kind: Kind| {
            if self.footing.is_scar(kind) {
                SCAR.to_owned()
            } else {
                kind.group.letter().to_owned()
            }
        };
        let terrain = |kind: Kind| {
            kind.terrain.map_or_else(
                || "not mapped".to_owned(),
                |terrain| self.footing.terrains[terrain].0.clone(),
            )
        };
        let mut rows = Vec::new();
        let slopes = SlopeGroup::ALL.map(SlopeGroup::letter).into_iter().chain([SCAR]);
        let slopes: Vec<String> = slopes.map(str::to_owned).collect();
        for may_slip_only in [false, true] {
            self.add_rows(&mut rows, seen, years, ("slope_group", may_slip_only), &slopes, &slope);
        }
        if !self.footing.terrains.is_empty() {
            let mut names: Vec<String> = Vec::new();
            for (name, _) in self.footing.terrains {
                if !names.contains(name) {
                    names.push(name.clone());
                }
            }
            names.push("not mapped".to_owned());
            for may_slip_only in [false, true] {
                let by = ("erosion_terrain", may_slip_only);
                self.add_rows(&mut rows, seen, years, by, &names, &terrain);
            }
        }
        rows
    }

    fn add_rows(
        &self,
        rows: &mut Vec<YearRow>,
        seen: &[Seen],
        years: &[i32],
        (by, may_slip_only): (&'static str, bool),
        classes: &[String],
        class_of: &dyn Fn(Kind) -> String,
    ) {
        let counted = seen.iter().filter(|one| one.is_counted && (one.may_slip || !may_slip_only));
        let mut of_class: BTreeMap<String, Vec<&Seen>> = BTreeMap::new();
        for one in counted {
            of_class.entry(class_of(one.part.kind)).or_default().push(one);
        }
        for class in classes {
            let Some(of_class) = of_class.get(class) else { continue };
            for (at, measure) in Measure::ALL.into_iter().enumerate() {
                let told = std::iter::once(None).chain(years.iter().copied().map(Some));
                for (step, years) in told.enumerate() {
                    let mut sums = Sums::default();
                    for one in of_class {
                        let share = one.shares[at][step];
                        let is_below = one.may_slip && share < self.footing.rules.target;
                        sums.add(one.part.plan_m2, share, is_below);
                    }
                    rows.push(YearRow {
                        by,
                        class: class.clone(),
                        may_slip_only,
                        measure: measure.word(),
                        years,
                        year: years.and_then(|years| self.year(years)),
                        plan_area_ha: PlanHectares::from_m2(sums.all),
                        protected_plan_ha: PlanHectares::from_m2(sums.protected),
                        protected_share: sums.protected / sums.all,
                        bands_plan_ha: sums.bands.map(PlanHectares::from_m2),
                        below_plan_ha: PlanHectares::from_m2(sums.below),
                    });
                }
            }
        }
    }

    /// Pieces below the target, the largest first, and the map area of those too small to be drawn.
    fn pieces(&self, seen: &[Seen], places: &[u32]) -> Result<(Vec<PieceRow>, f64), Problem> {
        let grid = self.footing.slope_deg.grid();
        let class = |place: &u32| {
            let one = seen_at(seen, *place)?;
            Some(one.part.owner as u32 * 8 + one.because.as_ref()?.code() + 1)
        };
        let classes: Vec<u32> = places
            .par_iter()
            .with_min_len(1 << 14)
            .map(|place| class(place).unwrap_or(0))
            .collect();
        let (mut labels, count) = connected(&classes, grid.cols());
        drop(classes);
        let mut made_of = made_of(&labels, count, places);
        let least = self.footing.rules.least_piece_m2 / grid.cell_area();
        let is_small = |made: &[(usize, u32)]| {
            f64::from(made.iter().map(|(_, cells)| *cells).sum::<u32>()) < least
        };
        let mut small_cells = 0_u64;
        let mut numbers = vec![0_u32; count + 1];
        let mut kept = Vec::new();
        for (at, made) in made_of.drain(..).enumerate() {
            if is_small(&made) {
                small_cells += made.iter().map(|(_, cells)| u64::from(*cells)).sum::<u64>();
            } else {
                kept.push(made);
                numbers[at + 1] = kept.len() as u32;
            }
        }
        labels.par_iter_mut().for_each(|label| *label = numbers[*label as usize]);
        let outlines = outlines(&labels, kept.len(), grid)?;
        let mut pieces: Vec<PieceRow> = kept
            .par_iter()
            .zip(outlines)
            .map(|(made, outline)| self.piece(made, seen, outline))
            .collect();
        pieces.sort_by(|a, b| b.plan_area_ha.0.total_cmp(&a.plan_area_ha.0));
        for (at, piece) in pieces.iter_mut().enumerate() {
            piece.piece_id = format!("C{:03}", at + 1);
        }
        Ok((pieces, small_cells as f64 * grid.cell_area()))
    }

    fn piece(
        &self,
        made: &[(usize, u32)],
        seen: &[Seen],
        geometry: geo::MultiPolygon<f64>,
    ) -> PieceRow {
        let rules = self.footing.rules;
        let cell_m2 = self.footing.slope_deg.grid().cell_area();
        let cells: f64 = made.iter().map(|(_, cells)| f64::from(*cells)).sum();
        let mean = |of: &dyn Fn(&Seen) -> f64| {
            made.iter().map(|(place, cells)| of(&seen[*place]) * f64::from(*cells)).sum::<f64>()
                / cells
        };
        let mut slope_group_plan_ha: BTreeMap<&'static str, PlanHectares> = BTreeMap::new();
        for (place, cells) in made {
            let group = seen[*place].part.kind.group.letter();
            let ha = PlanHectares::from_m2(f64::from(*cells) * cell_m2);
            *slope_group_plan_ha.entry(group).or_default() += ha;
        }
        // Offers are for all of a part; a piece takes its share of it.
        let offers: Vec<[Option<Offer>; 4]> = made
            .iter()
            .map(|(place, cells)| {
                let one = &seen[*place];
                let share = f64::from(*cells) * cell_m2 / one.part.plan_m2;
                one.offers.map(|offer| {
                    offer.map(|offer| Offer {
                        nzd: offer.nzd * share,
                        plants: offer.plants * share,
                        ..offer
                    })
                })
            })
            .collect();
        let largest = made.iter().max_by_key(|(_, cells)| *cells).map(|(place, _)| &seen[*place]);
        let owner = largest.map(|one| &self.owners[one.part.owner]);
        let reaches = made.iter().map(|(place, _)| seen[*place].reaches);
        let reaches_years =
            reaches.collect::<Option<Vec<i32>>>().and_then(|all| all.into_iter().max());
        let remedy = best(&offers, rules.by_years, reaches_years);
        PieceRow {
            piece_id: String::new(),
            lies_in: owner.and_then(|owner| owner.id.clone()),
            plan_area_ha: PlanHectares::from_m2(cells * cell_m2),
            slope_mean_deg: mean(&|one| one.part.slope_deg),
            reason: largest.map_or_else(String::new, |one| reason_words(one, self)),
            protected_now: mean(&|one| one.now),
            protected_then: mean(&|one| one.then),
            reaches_years,
            reaches_year: reaches_years.and_then(|years| self.year(years)),
            remedy: remedy.map(|(remedy, _)| remedy),
            remedy_words: remedy_words(
                remedy,
                owner.map(|owner| &owner.what),
                (rules.by_years, self.wait),
                reaches_years,
            ),
            remedy_plants: remedy.map(|(_, offer)| offer.plants.ceil() as u64),
            remedy_nzd: remedy.map(|(_, offer)| offer.nzd),
            remedy_years: remedy.map(|(_, offer)| offer.years),
            caution: caution_words(&slope_group_plan_ha, owner.map(|owner| &owner.what)),
            slope_group_plan_ha,
            geometry,
        }
    }
}

/// The class of old slip scars, which stand in no slope group.
pub(super) const SCAR: &str = "slip_scar";

#[derive(Default)]
struct Sums {
    all: f64,
    protected: f64,
    below: f64,
    bands: [f64; BAND_EDGES.len() + 1],
}

impl Sums {
    fn add(&mut self, m2: f64, share: f64, is_below: bool) {
        self.all += m2;
        self.protected += m2 * share;
        self.below += if is_below { m2 } else { 0.0 };
        self.bands[BAND_EDGES.iter().filter(|edge| share >= **edge).count()] += m2;
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
fn seen_at(seen: &[Seen], place: u32) -> Option<&Seen> {
    if place == NOBODY { None } else { seen.get(place as usize) }
}

/// For each label from 1: the parts that it is made of, with their cells.
fn made_of(labels: &[u32], count: usize, places: &[u32]) -> Vec<Vec<(usize, u32)>> {
    /// Cells that one thread goes through at a time.
    const CHUNK: usize = 1 << 16;
    let chunks = labels.par_chunks(CHUNK).enumerate();
    let mut runs: Vec<(u32, usize, u32)> = chunks
        .flat_map_iter(|(chunk, labels)| {
            let mut runs: Vec<(u32, usize, u32)> = Vec::new();
            for (at, label) in labels.iter().enumerate().filter(|(_, label)| **label > 0) {
                // A labelled cell has a part.
                let place = places[chunk * CHUNK + at] as usize;
                match runs.last_mut() {
                    Some((known, part, cells)) if known == label && *part == place => *cells += 1,
                    _ => runs.push((*label, place, 1)),
                }
            }
            runs
        })
        .collect();
    runs.par_sort_unstable();
    let mut made: Vec<Vec<(usize, u32)>> = vec![Vec::new(); count];
    for (label, place, cells) in runs {
        let made = &mut made[label as usize - 1];
        match made.last_mut() {
            Some((known, sum)) if *known == place => *sum += cells,
            _ => made.push((place, cells)),
        }
    }
    made
}
