//! What people draw: read after all other layers, and alone again where it alone has changed.

use std::ops::Range;

use super::super::breaks::Breaks;
use super::super::keep_clear::{self, KeepClearArea};
use super::{Findings, Frame, Ready};
use crate::problem::Problem;
use crate::site::{KeepClearRule, Site};

/// Where in the facts and the warnings of a site those of what people draw are.
#[derive(Debug, Clone, Default)]
pub(super) struct DrawnPlaces {
    /// How many facts and warnings are of what nobody draws; they come first.
    others: (usize, usize),
    /// Facts and warnings of each rule of ground kept clear.
    rules: Vec<(Range<usize>, Range<usize>)>,
}

/// Reads anew what people have drawn for zones to keep to, and the rules of ground kept clear that are not among those of
/// `was`, the site that `before` was read of. All else, sums of inputs too, is as it was read before.
///
/// # Errors
/// Every problem of those layers.
pub fn read_drawn(before: &Ready, was: &Site, site: &Site) -> Result<Ready, Vec<Problem>> {
    let frame = Frame { crs: &before.crs, reach: before.reach };
    let (facts, warnings) = before.drawn.others;
    let mut found = Findings {
        facts: before.facts[..facts].to_vec(),
        warnings: before.warnings[..warnings].to_vec(),
        ..Findings::default()
    };
    let (breaks, keep_clear, drawn) = found.drawn(site, &frame, Some((before, was)));
    if !found.problems.is_empty() {
        found.warnings.drain(..warnings);
        return Err(found.into_problems(site));
    }
    let Findings { facts, warnings, .. } = found;
    Ok(Ready { breaks, keep_clear, facts, warnings, drawn, ..before.clone() })
}

impl Findings {
    /// Breaks and drawn zones, and ground kept clear. Of an earlier reading, rules that are the same are taken over.
    pub(super) fn drawn(
        &mut self,
        site: &Site,
        frame: &Frame<'_>,
        earlier: Option<(&Ready, &Site)>,
    ) -> (Breaks, Vec<KeepClearArea>, DrawnPlaces) {
        let others = (self.facts.len(), self.warnings.len());
        let mut drawn = DrawnPlaces { others, rules: Vec::new() };
        let breaks = self.breaks(site, frame);
        let mut areas = Vec::new();
        for (index, rule) in site.keep_clear.iter().enumerate() {
            let (facts, warnings) = (self.facts.len(), self.warnings.len());
            let known = earlier.and_then(|(ready, was)| ready.kept_clear_by(rule, was));
            let read = || keep_clear::read(index, rule, frame.crs, frame.reach);
            let read = known.map_or_else(read, Ok);
            if let Some(read) = self.keep(read) {
                self.facts.push(read.facts);
                self.warnings.extend(read.warnings);
                areas.push(KeepClearArea { rule: index, ..read.area });
            }
            drawn.rules.push((facts..self.facts.len(), warnings..self.warnings.len()));
        }
        (breaks, areas, drawn)
    }
}

impl Ready {
    /// What a rule came to, where the site that was read has it.
    fn kept_clear_by(&self, rule: &KeepClearRule, was: &Site) -> Option<keep_clear::Read> {
        let at = was.keep_clear.iter().position(|one| one == rule)?;
        let (facts, warnings) = self.drawn.rules.get(at)?;
        Some(keep_clear::Read {
            area: self.keep_clear.iter().find(|area| area.rule == at)?.clone(),
            facts: self.facts.get(facts.start)?.clone(),
            warnings: self.warnings[warnings.clone()].to_vec(),
        })
    }
}
