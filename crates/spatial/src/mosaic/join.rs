//! Neighbouring zones given one line where that costs little: blocks that a crew can work.

use std::collections::BTreeMap;

use super::decisions::{Rules, SHORT};
use super::{Assignment, Given, Programme, RunnerUp};

/// Rounds of looking at every zone; each makes moves from the cheapest on.
const ROUNDS: usize = 20;
/// A share that is the whole zone.
const WHOLE: f64 = 1.0 - 1e-9;

/// Border that two zones share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Border {
    /// The zones, counted from 0.
    pub zones: [usize; 2],
    /// Its length.
    pub metres: f64,
}

/// What joining came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Joined {
    /// Border between zones of unlike lines before, metres; a mixture counts by its shares.
    pub metres_before: f64,
    /// The same after.
    pub metres_after: f64,
    /// Worth that was given up.
    pub worth_lost: f64,
    /// Zones that were given another line, in order.
    pub moved: Vec<Moved>,
    /// The gap to the proven bound before anything was given up.
    pub gap_before: f64,
}

/// A zone that was given another line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moved {
    /// The zone, counted from 0.
    pub zone: usize,
    /// Worth that it gave up; 0 or less where the other line counts for no less there.
    pub loss: f64,
}

/// Moves whole zones to the line of their neighbours, cheapest border first, while the worth given
/// up stays within `may_lose` and every limit is kept. Greedy: each move shortens the border between
/// unlike lines, and none is taken back. The objective, the gap, the weeks in flower and the runners
/// up are those after: the line that a zone gave up is its runner-up. What binds stays as it was
/// found, since it priced the best assignment.
///
/// # Cost
/// Zones × neighbours, a few times.
pub fn join(
    programme: &Programme,
    assignment: &mut Assignment,
    borders: &[Border],
    may_lose: f64,
) -> Joined {
    let mut land = Land::new(programme, &assignment.given, borders);
    let metres_before = land.unlike(borders);
    let (mut lost, mut losses) = (0.0, vec![0.0; programme.zones.len()]);
    let gap_before = assignment.gap;
    for _ in 0..ROUNDS {
        let mut moves: Vec<Move> =
            (0..programme.zones.len()).flat_map(|zone| land.moves(zone)).collect();
        moves.sort_by(|a, b| a.per_metre().total_cmp(&b.per_metre()).then(a.zone.cmp(&b.zone)));
        let mut any = false;
        for planned in moves {
            let now = land.moves(planned.zone).into_iter().find(|now| now.line == planned.line);
            let Some(now) = now.filter(|now| lost + now.loss <= may_lose) else { continue };
            if land.make(&now) {
                lost += now.loss;
                losses[now.zone] += now.loss;
                any = true;
            }
        }
        if !any {
            break;
        }
    }
    assignment.objective -= lost;
    let bound = assignment.bound;
    assignment.gap = if bound > 0.0 { (bound - assignment.objective) / bound } else { 0.0 };
    assignment.in_flower = land.rules.in_flower(&land.given);
    let metres_after = land.unlike(borders);
    let mut moved = Vec::new();
    let before = std::mem::replace(&mut assignment.given, land.given);
    for (zone, (was, is)) in before.iter().zip(&assignment.given).enumerate() {
        if let Some(gave_up) = was.first().filter(|part| is.iter().all(|now| now.line != part.line))
        {
            let runner_up = RunnerUp { line: gave_up.line, less_per_ha: 0.0 };
            assignment.runner_up[zone] = Some(runner_up);
            moved.push(Moved { zone, loss: losses[zone] });
        }
    }
    Joined { metres_before, metres_after, worth_lost: lost, moved, gap_before }
}

/// A zone given to the line of a neighbour.
#[derive(Debug, Clone, Copy)]
struct Move {
    zone: usize,
    line: usize,
    /// Border between unlike lines that goes, metres; above 0.
    metres: f64,
    /// Worth that goes; less than 0 where some comes.
    loss: f64,
}

impl Move {
    fn per_metre(&self) -> f64 {
        self.loss / self.metres
    }
}

/// Shares with their neighbours.
struct Land<'p> {
    programme: &'p Programme,
    rules: Rules<'p>,
    given: Vec<Vec<Given>>,
    beside: Vec<Vec<(usize, f64)>>,
}

impl<'p> Land<'p> {
    fn new(programme: &'p Programme, given: &[Vec<Given>], borders: &[Border]) -> Self {
        let mut beside = vec![Vec::new(); programme.zones.len()];
        for border in borders {
            let [one, other] = border.zones;
            beside[one].push((other, border.metres));
            beside[other].push((one, border.metres));
        }
        Self { programme, rules: Rules::new(programme), given: given.to_vec(), beside }
    }

    /// The share of a zone that a line has, all seasons together.
    fn share(&self, zone: usize, line: usize) -> f64 {
        self.given[zone].iter().filter(|part| part.line == line).map(|part| part.share).sum()
    }

    /// Border between unlike lines, metres.
    fn unlike(&self, borders: &[Border]) -> f64 {
        let unlike = |border: &Border| {
            let [one, other] = border.zones;
            let like: f64 = self.given[one]
                .iter()
                .map(|part| part.line)
                .collect::<std::collections::BTreeSet<_>>()
                .into_iter()
                .map(|line| self.share(one, line).min(self.share(other, line)))
                .sum();
            border.metres * (1.0 - like)
        };
        borders.iter().map(unlike).sum()
    }

    /// Moves of a whole zone that shorten borders between unlike lines.
    fn moves(&self, zone: usize) -> Vec<Move> {
        let [Given { line: own, season, share }] = self.given[zone][..] else { return Vec::new() };
        if share < WHOLE {
            return Vec::new();
        }
        let mut like: BTreeMap<usize, f64> = BTreeMap::new();
        for &(neighbour, metres) in &self.beside[zone] {
            for part in &self.given[neighbour] {
                *like.entry(part.line).or_default() += metres * part.share;
            }
        }
        let now = like.get(&own).copied().unwrap_or(0.0);
        let ground = &self.programme.zones[zone];
        let worth = |line: usize| ground.offers[line].map(|offer| offer.worth_per_ha);
        let kept = self.programme.patience(season);
        let others = like.iter().filter(|(line, metres)| **line != own && **metres > now);
        let one = |(&line, &metres): (&usize, &f64)| {
            let less = worth(own)? - worth(line)?;
            Some(Move { zone, line, metres: metres - now, loss: ground.area_ha * less * kept })
        };
        others.filter_map(one).collect()
    }

    /// Makes a move, unless it would break a limit, a lot or the weeks in flower.
    fn make(&mut self, one: &Move) -> bool {
        let before = self.given[one.zone].clone();
        let moved: Vec<_> = before.iter().map(|part| Given { line: one.line, ..*part }).collect();
        self.given[one.zone] = moved;
        let season = before.first().map_or(0, |part| part.season);
        let sound = self.within_limits(one.line, season) && self.rules.kept(&self.given);
        if !sound {
            self.given[one.zone] = before;
        }
        sound
    }

    /// Whether the limits hold that a line's gain of ground could break.
    fn within_limits(&self, line: usize, season: usize) -> bool {
        let (mut plants, mut of_season, mut hectares) = (0.0, 0.0, 0.0);
        let (mut cost, mut season_cost, mut season_days) = (0.0, 0.0, 0.0);
        for (zone, parts) in self.programme.zones.iter().zip(&self.given) {
            for part in parts {
                let area = zone.area_ha * part.share;
                let offer = zone.offers[part.line].unwrap_or_default();
                cost += area * offer.cost_per_ha;
                if part.season == season {
                    season_cost += area * offer.cost_per_ha;
                    season_days += area * offer.days_per_ha;
                }
                if part.line == line {
                    hectares += area;
                    plants += area * offer.plants_per_ha;
                    if part.season == season {
                        of_season += area * offer.plants_per_ha;
                    }
                }
            }
        }
        let most = |limit: Option<f64>| limit.unwrap_or(f64::INFINITY);
        plants <= most(self.programme.lines[line].supply)
            && of_season <= self.programme.season_supply(line, season)
            && hectares <= self.programme.line_cap * self.programme.area_ha() * (1.0 + SHORT)
            && cost <= most(self.programme.budget)
            && season_cost <= most(self.programme.season_budget)
            && season_days <= most(self.programme.season_days)
    }
}
