//! Rules that are all or nothing: the smallest lot of an order, and weeks in flower. A search
//! decides them one by one; in between, all is linear but for least shares.

use super::{Given, Programme, Weeks};

/// How far below its smallest lot an order may fall, or below what is enough in flower, relative:
/// what a solver's tolerance can take away. Whole plants are counted later.
pub(super) const SHORT: f64 = 1e-6;

/// What has been decided of a rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Decision {
    /// Nothing yet: the rule is not heard.
    Open,
    /// The lot is ordered; the week counts.
    Yes,
    /// Nothing is ordered; the week does not count.
    No,
}

/// Weeks in which the same lines flower on the same zones: one decision for all of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Spell {
    pub(super) weeks: Weeks,
}

impl Spell {
    /// Any one of its weeks stands for all.
    pub(super) fn week(self) -> u32 {
        self.weeks.iter().next().unwrap_or(0)
    }
}

/// Decisions on every lot and every spell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Decisions {
    /// By line, then season.
    pub(super) lots: Vec<Decision>,
    /// By spell, in the order of [`Rules::spells`].
    pub(super) spells: Vec<Decision>,
}

/// A rule that a decision is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rule {
    /// A lot, by its place in [`Decisions::lots`].
    Lot(usize),
    /// A spell, by its place in [`Decisions::spells`].
    Spell(usize),
}

/// What of a programme needs decisions.
#[derive(Debug, Clone)]
pub(super) struct Rules<'p> {
    programme: &'p Programme,
    pub(super) spells: Vec<Spell>,
}

/// A rule that shares break, and how they would decide it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Broken {
    pub(super) rule: Rule,
    /// The decision that is nearer to what the shares do.
    pub(super) nearer: Decision,
    /// How unsure that is: 1 half way, 0 clear.
    pub(super) doubt: f64,
}

impl<'p> Rules<'p> {
    pub(super) fn new(programme: &'p Programme) -> Self {
        let spells = if programme.flowering.is_some() { spells(programme) } else { Vec::new() };
        Self { programme, spells }
    }

    /// Nothing decided.
    pub(super) fn open(&self) -> Decisions {
        Decisions {
            lots: vec![Decision::Open; self.programme.lines.len() * self.programme.seasons],
            spells: vec![Decision::Open; self.spells.len()],
        }
    }

    /// Whether enough weeks can still count.
    pub(super) fn enough_weeks(&self, decisions: &Decisions) -> bool {
        let Some(rule) = self.programme.flowering else { return true };
        let can = |(spell, decision): (&Spell, &Decision)| {
            if *decision == Decision::No { 0 } else { spell.weeks.len() }
        };
        self.spells.iter().zip(&decisions.spells).map(can).sum::<u32>() >= rule.weeks
    }

    /// Rules that shares break and that are still open, the one in most doubt first.
    pub(super) fn broken(&self, given: &[Vec<Given>], decisions: &Decisions) -> Vec<Broken> {
        let mut broken = self.broken_lots(given, decisions);
        broken.extend(self.broken_spells(given, decisions));
        broken.sort_by(|a, b| b.doubt.total_cmp(&a.doubt));
        broken
    }

    /// Whether shares keep every lot and every week, decided or not.
    pub(super) fn kept(&self, given: &[Vec<Given>]) -> bool {
        self.broken(given, &self.open()).is_empty() && self.enough_weeks_in_flower(given)
    }

    fn enough_weeks_in_flower(&self, given: &[Vec<Given>]) -> bool {
        self.programme.flowering.is_none_or(|rule| self.in_flower(given).len() >= rule.weeks)
    }

    fn broken_lots(&self, given: &[Vec<Given>], decisions: &Decisions) -> Vec<Broken> {
        let plants = self.plants(given);
        let mut broken = Vec::new();
        for (lot, decision) in decisions.lots.iter().enumerate() {
            let least = self.programme.lines[lot / self.programme.seasons].min_lot;
            let part = plants[lot] / least;
            if *decision == Decision::Open && part > SHORT && part < 1.0 - SHORT {
                let nearer = if part < 0.5 { Decision::No } else { Decision::Yes };
                let doubt = 1.0 - (2.0 * part - 1.0).abs();
                broken.push(Broken { rule: Rule::Lot(lot), nearer, doubt });
            }
        }
        broken
    }

    /// While too few weeks count: every open spell without enough in flower, the one that lacks
    /// least in most doubt.
    fn broken_spells(&self, given: &[Vec<Given>], decisions: &Decisions) -> Vec<Broken> {
        let Some(rule) = self.programme.flowering else { return Vec::new() };
        let areas = self.areas(given);
        let counts = |spell: usize| {
            decisions.spells[spell] != Decision::No && areas[spell] >= rule.least_ha * (1.0 - SHORT)
        };
        let counted: u32 = (0..self.spells.len())
            .filter(|&spell| counts(spell))
            .map(|spell| self.spells[spell].weeks.len())
            .sum();
        if counted >= rule.weeks {
            return Vec::new();
        }
        let mut lacking: Vec<usize> = (0..self.spells.len())
            .filter(|&spell| decisions.spells[spell] == Decision::Open && !counts(spell))
            .collect();
        lacking.sort_by(|&a, &b| areas[b].total_cmp(&areas[a]).then(a.cmp(&b)));
        let mut missing = rule.weeks - counted;
        let one = |spell: usize| {
            let nearer = if missing > 0 { Decision::Yes } else { Decision::No };
            missing = missing.saturating_sub(self.spells[spell].weeks.len());
            let doubt = (areas[spell] / rule.least_ha).min(1.0);
            Broken { rule: Rule::Spell(spell), nearer, doubt }
        };
        lacking.into_iter().map(one).collect()
    }

    /// Plants by lot.
    fn plants(&self, given: &[Vec<Given>]) -> Vec<f64> {
        let mut plants = vec![0.0; self.programme.lines.len() * self.programme.seasons];
        for (zone, given) in self.programme.zones.iter().zip(given) {
            for part in given {
                let per_ha = zone.offers[part.line].map_or(0.0, |offer| offer.plants_per_ha);
                plants[part.line * self.programme.seasons + part.season] +=
                    zone.area_ha * per_ha * part.share;
            }
        }
        plants
    }

    /// Hectares open to planting and in flower by spell.
    fn areas(&self, given: &[Vec<Given>]) -> Vec<f64> {
        let mut areas = vec![0.0; self.spells.len()];
        for (zone, given) in self.programme.zones.iter().zip(given) {
            for part in given {
                let weeks = zone.offers[part.line].map_or(Weeks::NONE, |offer| offer.weeks);
                for (area, spell) in areas.iter_mut().zip(&self.spells) {
                    if weeks.contains(spell.week()) {
                        *area += zone.area_ha * zone.open_share * part.share;
                    }
                }
            }
        }
        areas
    }

    /// Weeks with enough ground in flower.
    pub(super) fn in_flower(&self, given: &[Vec<Given>]) -> Weeks {
        let Some(rule) = self.programme.flowering else { return Weeks::NONE };
        let areas = self.areas(given);
        let spells = self.spells.iter().zip(areas);
        let enough = spells.filter(|(_, area)| *area >= rule.least_ha * (1.0 - SHORT));
        enough.flat_map(|(spell, _)| spell.weeks.iter()).fold(Weeks::NONE, Weeks::with)
    }
}

impl Decisions {
    /// The same with one rule decided.
    pub(super) fn with(&self, rule: Rule, decision: Decision) -> Self {
        let mut more = self.clone();
        match rule {
            Rule::Lot(lot) => more.lots[lot] = decision,
            Rule::Spell(spell) => more.spells[spell] = decision,
        }
        more
    }
}

/// Weeks in which anything can flower, those that no offer tells apart taken together.
fn spells(programme: &Programme) -> Vec<Spell> {
    let mut spans: Vec<Weeks> = programme
        .zones
        .iter()
        .flat_map(|zone| zone.offers.iter().flatten().map(|offer| offer.weeks))
        .collect();
    spans.sort_unstable();
    spans.dedup();
    let signature = |week: u32| spans.iter().map(|span| span.contains(week)).collect::<Vec<_>>();
    let mut spells: Vec<(Vec<bool>, Weeks)> = Vec::new();
    for week in 0..Weeks::COUNT {
        let own = signature(week);
        if !own.contains(&true) {
            continue;
        }
        match spells.iter_mut().find(|(other, _)| *other == own) {
            Some((_, weeks)) => *weeks = weeks.with(week),
            None => spells.push((own, Weeks::NONE.with(week))),
        }
    }
    spells.into_iter().map(|(_, weeks)| Spell { weeks }).collect()
}
