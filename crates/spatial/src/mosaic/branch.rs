//! All-or-nothing rules decided one by one: branch and bound over lots and weeks.
//!
//! Each node of the tree solves what its decisions leave, by [`Search`]. Its relaxation says which
//! open rule is in most doubt; both ways are followed, the one with the higher bound first. Before
//! that, every broken rule is decided the nearer way at once, which most often ends in an answer
//! that is good enough.

use super::decisions::{Broken, Decision, Decisions, Rules};
use super::guess::Prices;
use super::model::{Model, PREFERENCE};
use super::runner_up::runners_up;
use super::sample::sample_prices;
use super::search::{NO_GAP, Next, Search};
use super::{Assignment, Binding, Clock, Given, Programme, RunnerUp, Stop, greedy};

/// Nodes after which the search ends with what it has: unlike time, the same on every machine.
pub(super) const NODES: usize = 400;
/// Rounds in which broken rules are decided all at once.
const ROUNDS: usize = 6;

/// Why the tree holds no answer.
pub(super) enum Unsolved {
    /// Nothing keeps every rule; why, where that is plain.
    Impossible { why: Option<String> },
    /// Nothing was found, and nothing shows that there is nothing.
    NotFound(Stop),
}

/// A set of decisions that is still to be looked at.
struct Node {
    decisions: Decisions,
    /// What nothing below it exceeds.
    bound: f64,
}

/// What a node came to.
struct Answer {
    bound: f64,
    /// Open rules that its best shares, or its relaxation, break.
    broken: Vec<Broken>,
}

/// The best so far.
struct Best {
    given: Vec<Vec<Given>>,
    value: f64,
    binding: Vec<Binding>,
    runner_up: Vec<Option<RunnerUp>>,
}

/// The tree.
pub(super) struct Branches<'p> {
    programme: &'p Programme,
    rules: Rules<'p>,
    clock: &'p Clock,
    /// Prices that the last node came to.
    prices: Prices,
    best: Option<Best>,
    /// The highest bound among nodes that are done with.
    closed: f64,
    scale: f64,
    left_worth: f64,
}

impl<'p> Branches<'p> {
    pub(super) fn new(programme: &'p Programme, clock: &'p Clock) -> Self {
        let rules = Rules::new(programme);
        let (closed, scale, left_worth) = (f64::NEG_INFINITY, 1.0, 0.0);
        let prices = sample_prices(programme, clock);
        Self { programme, rules, clock, prices, best: None, closed, scale, left_worth }
    }

    /// Goes on until the gap is small enough, nothing is left to look at, or time or nodes are spent.
    pub(super) fn run(mut self) -> Result<Assignment, Unsolved> {
        let root = Node { decisions: self.rules.open(), bound: f64::INFINITY };
        if let Some(rule) =
            self.programme.flowering.filter(|_| !self.rules.enough_weeks(&root.decisions))
        {
            let flowering: u32 = self.rules.spells.iter().map(|spell| spell.weeks.len()).sum();
            let why = format!(
                "{} weeks must have something in flower, and the lines flower in {flowering}",
                rule.weeks
            );
            return Err(Unsolved::Impossible { why: Some(why) });
        }
        let mut open = vec![root];
        let mut nodes = 0;
        while let Some(node) = take_highest(&mut open) {
            let is_spent = nodes > 0 && (nodes >= NODES || self.clock.left().is_zero());
            if is_spent || self.is_enough(node.bound) {
                self.closed = self.closed.max(node.bound);
                break;
            }
            nodes += 1;
            let Some(answer) = self.look(&node.decisions) else { continue };
            let bound = answer.bound.min(node.bound);
            let Some(first) = answer.broken.first() else {
                self.closed = self.closed.max(bound);
                continue;
            };
            if !self.is_enough(bound) {
                nodes += self.decide_all_at_once(&node.decisions, &answer.broken);
            }
            for decision in [first.nearer, other(first.nearer)] {
                let decisions = node.decisions.with(first.rule, decision);
                if self.rules.enough_weeks(&decisions) {
                    open.push(Node { decisions, bound });
                }
            }
        }
        self.answer()
    }

    /// Whether a bound is so near to the best so far that the gap asked for is proven.
    fn is_enough(&self, bound: f64) -> bool {
        self.best.as_ref().is_some_and(|best| bound <= self.floor_for(best.value))
    }

    /// The highest bound at which a value is near enough: the whole worth counts, with that of
    /// ground that is left.
    fn floor_for(&self, value: f64) -> f64 {
        let whole = value + self.left_worth / self.scale;
        value + self.programme.gap.max(NO_GAP) * whole.abs()
    }

    /// Solves one node; `None`: nothing keeps its decisions.
    fn look(&mut self, decisions: &Decisions) -> Option<Answer> {
        let model = Model::new(self.programme, &self.rules, decisions);
        (self.scale, self.left_worth) = (model.scale, model.left_worth);
        let area = |column: usize| self.programme.zones[model.columns[column].zone].area_ha;
        let start = greedy::greedy(&model, |column| model.columns[column].preferred / area(column));
        let mut search = Search::new(&model, start, self.programme.gap);
        let floor = self.best.as_ref().map_or(f64::NEG_INFINITY, |best| self.floor_for(best.value));
        let mut broken = Vec::new();
        match search.relax(floor, &self.prices, self.clock) {
            Next::Impossible => return None,
            Next::Enough => {}
            Next::Repair(relaxation) => {
                broken = self.rules.broken(&model.given(&relaxation.shares), decisions);
                if broken.is_empty() {
                    search.repair(&relaxation, self.clock);
                }
            }
        }
        self.prices = search.prices();
        let bound = search.bound();
        if let Some(shares) = search.shares() {
            let (shares, value) = (shares.to_vec(), search.value());
            let given = model.given(&shares);
            if broken.is_empty() {
                broken = self.rules.broken(&given, decisions);
            }
            self.offer(&model, given, value, search);
        }
        Some(Answer { bound, broken })
    }

    /// Keeps shares when they beat the best so far and keep every lot and week.
    fn offer(&mut self, model: &Model, given: Vec<Vec<Given>>, value: f64, search: Search) {
        let better = self.best.as_ref().is_none_or(|best| value > best.value);
        if better && self.rules.kept(&given) {
            let (prices, binding) = search.into_prices();
            let runner_up = runners_up(model, self.programme, &given, &prices);
            self.best = Some(Best { given, value, binding, runner_up });
        }
    }

    /// Decides every broken rule the nearer way, again until none is broken; how many nodes that
    /// took.
    fn decide_all_at_once(&mut self, decisions: &Decisions, broken: &[Broken]) -> usize {
        let mut decisions = decisions.clone();
        let mut broken = broken.to_vec();
        let mut nodes = 0;
        while !broken.is_empty() && nodes < ROUNDS && !self.clock.left().is_zero() {
            for one in &broken {
                let decided = decisions.with(one.rule, one.nearer);
                if self.rules.enough_weeks(&decided) {
                    decisions = decided;
                }
            }
            nodes += 1;
            let Some(answer) = self.look(&decisions) else { break };
            broken = answer.broken;
        }
        nodes
    }

    fn answer(self) -> Result<Assignment, Unsolved> {
        let stop = if self.clock.left().is_zero() { Stop::Time } else { Stop::Effort };
        let Some(best) = self.best else {
            return Err(if stop == Stop::Effort && self.closed == f64::NEG_INFINITY {
                Unsolved::Impossible { why: None }
            } else {
                Unsolved::NotFound(stop)
            });
        };
        let whole = |value: f64| value * self.scale + self.left_worth;
        let (objective, bound) = (whole(best.value), whole(self.closed.max(best.value)));
        let over = bound - objective;
        let asked = self.programme.gap.max(3.0 * PREFERENCE) * bound.abs();
        let rounding = 3.0 * PREFERENCE * (bound.abs() + self.left_worth);
        let is_early = over > rounding.max(asked);
        // Where ground that is left and ground that is planted cancel, rounding is no share of the rest.
        let bound = if over > asked && !is_early { objective } else { bound };
        let gap = if bound > 0.0 { (bound - objective) / bound } else { 0.0 };
        Ok(Assignment {
            in_flower: self.rules.in_flower(&best.given),
            given: best.given,
            objective,
            bound,
            gap,
            stopped: is_early.then_some(stop),
            binding: best.binding,
            runner_up: best.runner_up,
        })
    }
}

/// Takes the node with the highest bound, the latest among equals.
fn take_highest(open: &mut Vec<Node>) -> Option<Node> {
    let highest = (0..open.len()).max_by(|&a, &b| open[a].bound.total_cmp(&open[b].bound))?;
    Some(open.remove(highest))
}

fn other(decision: Decision) -> Decision {
    if decision == Decision::Yes { Decision::No } else { Decision::Yes }
}

#[cfg(test)]
mod tests {
    use super::super::LineLimit;
    use super::*;

    /// Worth is counted in units of the best zone: 4 of them here. Ground that is left is worth 30 beside the 5 · 4 that
    /// are reached, so a gap of a hundredth is a hundredth of 12.5.
    #[test]
    fn a_gap_is_a_share_of_all_worth_left_ground_with_it() {
        let programme =
            Programme { gap: 0.01, ..Programme::new(vec![], vec![LineLimit::default()]) };
        let clock = Clock::new(1.0);
        let mut branches = Branches::new(&programme, &clock);
        (branches.scale, branches.left_worth) = (4.0, 30.0);
        assert!((branches.floor_for(5.0) - 5.125).abs() < 1e-12);
        // Ground that costs more than it brings: a gap is never below what is reached.
        branches.left_worth = -40.0;
        assert!((branches.floor_for(5.0) - 5.05).abs() < 1e-12);
    }
}
