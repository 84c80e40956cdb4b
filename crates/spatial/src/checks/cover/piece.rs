//! Pieces below the target: what they are made of, why, and what mends them.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::judge::{Held, Seen, seen_at};
use super::pieces::{connected, outlines};
use super::remedy::{Offer, best};
use super::rows::PieceRow;
use super::words::{caution_words, reason_words, remedy_words};
use crate::problem::Problem;
use crate::units::PlanHectares;

impl Held<'_> {
    /// Pieces below the target, the largest first, and the map area of those too small to be drawn.
    pub(super) fn pieces(
        &self,
        seen: &[Seen],
        places: &[u32],
    ) -> Result<(Vec<PieceRow>, f64), Problem> {
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
