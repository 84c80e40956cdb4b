//! Mothers: the best trees that keep the rules.

use rstar::{RTree, primitives::GeomWithData};
use thiserror::Error;

/// A tree that may become a mother.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// What it is worth: higher is better.
    pub worth: f64,
    /// Its stand, counted from 0.
    pub stand: usize,
    /// Where it stands, metres.
    pub at: [f64; 2],
}

/// What mothers must keep to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rules {
    /// How many.
    pub mothers: usize,
    /// Least distance between two, metres.
    pub apart_m: f64,
    /// Most of one stand; `None`: not limited.
    pub stand_most: Option<usize>,
    /// Fewest of each stand, as far as it has candidates.
    pub stand_least: usize,
}

/// Mothers.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// Positions among the candidates, the best first.
    pub chosen: Vec<usize>,
    /// Sum of their worth.
    pub worth: f64,
    /// No choice of as many could be worth more: the best without regard to distances.
    pub bound: f64,
}

/// Why there are not so many.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum ChooseError {
    /// The rules leave fewer.
    #[error("the rules leave {found} of the {asked} mothers asked for")]
    Few {
        /// As many as were found.
        found: usize,
        /// As many as were asked for.
        asked: usize,
    },
    /// Every stand is to be represented, which takes more.
    #[error("to represent every stand takes {needed} mothers, {asked} were asked for")]
    Stands {
        /// Mothers that represent every stand.
        needed: usize,
        /// As many as were asked for.
        asked: usize,
    },
}

/// Chooses mothers: the best by turns, first those that represent their stands, then exchanges, and trees put
/// in by force with what is in their way taken out, until neither gains; and the same from other starts. Without distances that is the best there is; with them `bound` says how
/// far the best could be.
///
/// Same candidates, same choice; of equals the first goes before.
///
/// Cost: O(n log n) and, for each exchange, a look along the candidates that are better than the worst mother.
///
/// # Errors
/// When the rules leave fewer than asked for.
pub fn choose(candidates: &[Candidate], rules: &Rules) -> Result<Choice, ChooseError> {
    let mut search = Search::new(candidates, rules);
    let needed: usize = search.least.iter().sum();
    if needed > rules.mothers {
        return Err(ChooseError::Stands { needed, asked: rules.mothers });
    }
    let bound = search.bound();
    search.best_of_starts();
    let mut chosen: Vec<usize> = (0..candidates.len()).filter(|at| search.is_in[*at]).collect();
    if chosen.len() < rules.mothers || search.unrepresented() {
        return Err(ChooseError::Few { found: chosen.len(), asked: rules.mothers });
    }
    chosen.sort_by(|a, b| candidates[*b].worth.total_cmp(&candidates[*a].worth).then(a.cmp(b)));
    Ok(Choice { worth: chosen.iter().map(|at| candidates[*at].worth).sum(), chosen, bound })
}

/// Mothers, those that represent their stands, worth.
type Merit = (usize, usize, f64);

fn is_better(one: Merit, other: Merit) -> bool {
    let gains = one.2 > other.2 + 1e-12 * other.2.abs();
    (one.0, one.1) > (other.0, other.1) || ((one.0, one.1) == (other.0, other.1) && gains)
}

/// Candidates that the search begins with, one after another; a choice, to bound the time.
const MOST_STARTS: usize = 12;
/// Candidates that are put in by force before giving up; a choice, to bound the time.
const MOST_FORCED: usize = 200;

struct Search<'a> {
    candidates: &'a [Candidate],
    rules: &'a Rules,
    /// Candidates, the best first.
    order: Vec<usize>,
    /// Candidates that stand too near to each.
    near: Vec<Vec<usize>>,
    is_in: Vec<bool>,
    /// Mothers of each stand.
    of_stand: Vec<usize>,
    least: Vec<usize>,
    count: usize,
}

impl<'a> Search<'a> {
    fn new(candidates: &'a [Candidate], rules: &'a Rules) -> Self {
        let mut order: Vec<usize> = (0..candidates.len()).collect();
        order.sort_by(|a, b| candidates[*b].worth.total_cmp(&candidates[*a].worth).then(a.cmp(b)));
        let stands = candidates.iter().map(|one| one.stand + 1).max().unwrap_or(0);
        let mut there = vec![0; stands];
        for one in candidates {
            there[one.stand] += 1;
        }
        let least = there.iter().map(|count| rules.stand_least.min(*count)).collect();
        Self {
            near: near(candidates, rules.apart_m),
            is_in: vec![false; candidates.len()],
            of_stand: vec![0; stands],
            candidates,
            rules,
            order,
            least,
            count: 0,
        }
    }

    /// The best without distances: as they are chosen one by one, lower and upper limits of stands being
    /// those of a matroid.
    fn bound(&self) -> f64 {
        let mut of_stand = vec![0; self.of_stand.len()];
        let mut is_in = vec![false; self.candidates.len()];
        let mut worths = Vec::new();
        for represents in [true, false] {
            for at in self.order.iter().copied() {
                let stand = self.candidates[at].stand;
                let most = if represents { self.least[stand] } else { self.most() };
                if worths.len() < self.rules.mothers && !is_in[at] && of_stand[stand] < most {
                    is_in[at] = true;
                    of_stand[stand] += 1;
                    worths.push(self.candidates[at].worth);
                }
            }
        }
        worths.iter().sum()
    }

    fn most(&self) -> usize {
        self.rules.stand_most.unwrap_or(usize::MAX)
    }

    fn unrepresented(&self) -> bool {
        self.of_stand.iter().zip(&self.least).any(|(count, least)| count < least)
    }

    fn put(&mut self, at: usize) {
        self.is_in[at] = true;
        self.of_stand[self.candidates[at].stand] += 1;
        self.count += 1;
    }

    fn take(&mut self, at: usize) {
        self.is_in[at] = false;
        self.of_stand[self.candidates[at].stand] -= 1;
        self.count -= 1;
    }

    fn is_clear(&self, at: usize) -> bool {
        !self.near[at].iter().any(|other| self.is_in[*other])
    }

    /// The best by turns.
    fn fill(&mut self) {
        for represents in [true, false] {
            for place in 0..self.order.len() {
                let at = self.order[place];
                let stand = self.candidates[at].stand;
                let most = if represents { self.least[stand] } else { self.most() };
                let has_room = self.count < self.rules.mothers && self.of_stand[stand] < most;
                if has_room && !self.is_in[at] && self.is_clear(at) {
                    self.put(at);
                }
            }
        }
    }

    /// The best that is found when the search begins with nothing, and with each of the first candidates.
    fn best_of_starts(&mut self) {
        let mut best = None;
        let starts = std::iter::once(None).chain(self.order.clone().into_iter().map(Some));
        for start in starts.take(1 + MOST_STARTS) {
            self.is_in.fill(false);
            self.of_stand.fill(0);
            self.count = 0;
            if let Some(at) = start {
                self.put(at);
            }
            self.fill();
            self.exchange();
            let merit = self.merit();
            if best.as_ref().is_none_or(|(so_far, _)| is_better(merit, *so_far)) {
                best = Some((merit, (self.is_in.clone(), self.of_stand.clone(), self.count)));
            }
            // Nothing is in nobody's way: the first is the best.
            if self.near.iter().all(Vec::is_empty) {
                break;
            }
        }
        if let Some((_, kept)) = best {
            (self.is_in, self.of_stand, self.count) = kept;
        }
    }

    /// Exchanges until none gains. Each gains, so it ends.
    fn exchange(&mut self) {
        while self.one_for_one() {}
        while self.by_force() {}
    }

    /// The mothers that stand too near to a candidate.
    fn in_the_way_of(&self, at: usize) -> impl Iterator<Item = usize> {
        self.near[at].iter().copied().filter(|other| self.is_in[*other])
    }

    /// Whether stands keep their limits when these go and those come.
    fn stands_hold(&self, go: &[usize], come: &[usize]) -> bool {
        let stand = |at: &usize| self.candidates[*at].stand;
        go.iter().chain(come).map(stand).all(|one| {
            let count = |of: &[usize]| of.iter().filter(|at| stand(at) == one).count();
            let after = self.of_stand[one] + count(come) - count(go);
            let before = self.of_stand[one];
            (after <= self.most() || after <= before)
                && (after >= self.least[one] || after >= before)
        })
    }

    fn mothers_from_the_worst(&self) -> Vec<usize> {
        self.order.iter().rev().copied().filter(|at| self.is_in[*at]).collect()
    }

    /// Puts the best candidate in for which a lesser mother can go.
    fn one_for_one(&mut self) -> bool {
        let mothers = self.mothers_from_the_worst();
        for at in self.better_than_the_worst(&mothers) {
            let mut in_the_way = self.in_the_way_of(at);
            let (blocked, more) = (in_the_way.next(), in_the_way.next());
            if more.is_some() {
                continue;
            }
            drop(in_the_way);
            let goes = |go: &usize| {
                blocked.is_none_or(|one| one == *go)
                    && self.candidates[*go].worth < self.candidates[at].worth
                    && self.stands_hold(&[*go], &[at])
            };
            if let Some(go) = mothers.iter().copied().find(goes) {
                self.take(go);
                self.put(at);
                return true;
            }
        }
        false
    }

    /// Candidates that are no mothers and worth more than the worst mother; all while mothers are wanting.
    fn better_than_the_worst(&self, mothers: &[usize]) -> Vec<usize> {
        let least =
            mothers.first().map_or(f64::NEG_INFINITY, |worst| self.candidates[*worst].worth);
        let least = if self.is_short() { f64::NEG_INFINITY } else { least };
        let better = self.order.iter().copied().take_while(|at| self.candidates[*at].worth > least);
        better.filter(|at| !self.is_in[*at]).collect()
    }

    fn is_short(&self) -> bool {
        self.count < self.rules.mothers || self.unrepresented()
    }

    /// How good the mothers are: as many as wanted first, of every stand, then their worth.
    fn merit(&self) -> Merit {
        let represented =
            self.of_stand.iter().zip(&self.least).map(|(count, least)| count.min(least));
        let mothers = self.order.iter().filter(|at| self.is_in[**at]);
        (self.count, represented.sum(), mothers.map(|at| self.candidates[*at].worth).sum())
    }

    /// Puts a candidate in whatever is in its way, fills up, exchanges, and keeps that if it is better.
    fn by_force(&mut self) -> bool {
        let before = (self.is_in.clone(), self.of_stand.clone(), self.count);
        let merit = self.merit();
        let mothers = self.mothers_from_the_worst();
        for at in self.better_than_the_worst(&mothers).into_iter().take(MOST_FORCED) {
            let in_the_way: Vec<usize> = self.in_the_way_of(at).collect();
            for other in in_the_way {
                self.take(other);
            }
            let stand = self.candidates[at].stand;
            if self.of_stand[stand] >= self.most() {
                let worst = mothers
                    .iter()
                    .find(|one| self.is_in[**one] && self.candidates[**one].stand == stand);
                let Some(worst) = worst.copied() else { continue };
                self.take(worst);
            }
            if self.count == self.rules.mothers {
                let spare = |one: &&usize| self.is_in[**one] && self.stands_hold(&[**one], &[at]);
                if let Some(worst) = mothers.iter().find(spare).copied() {
                    self.take(worst);
                }
            }
            if self.count < self.rules.mothers {
                self.put(at);
                self.fill();
                while self.one_for_one() {}
            }
            if is_better(self.merit(), merit) {
                return true;
            }
            (self.is_in, self.of_stand, self.count) = before.clone();
        }
        false
    }
}

/// For each candidate the others that stand nearer than a distance.
fn near(candidates: &[Candidate], apart_m: f64) -> Vec<Vec<usize>> {
    let points = candidates.iter().enumerate().map(|(at, one)| GeomWithData::new(one.at, at));
    let tree = RTree::bulk_load(points.collect());
    let around = |(at, one): (usize, &Candidate)| {
        let square = apart_m * apart_m;
        let within = tree.locate_within_distance(one.at, square);
        let apart =
            |other: &[f64; 2]| (other[0] - one.at[0]).powi(2) + (other[1] - one.at[1]).powi(2);
        let mut near: Vec<usize> = within
            .filter(|other| other.data != at && apart(other.geom()) < square)
            .map(|other| other.data)
            .collect();
        near.sort_unstable();
        near
    };
    candidates.iter().enumerate().map(around).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stands of one to two mothers, of which the first has two, the second one and the third none.
    #[test]
    fn an_exchange_keeps_each_stand_within_its_limits() {
        let of = |stand: usize| Candidate { worth: 1.0, stand, at: [0.0, 0.0] };
        let all = [of(0), of(0), of(0), of(1), of(1), of(2)];
        let rules = Rules { mothers: 3, apart_m: 0.0, stand_most: Some(2), stand_least: 1 };
        let mut search = Search::new(&all, &rules);
        for at in [0, 1, 3] {
            search.put(at);
        }
        assert!(search.stands_hold(&[0], &[4]), "two and one become one and two");
        assert!(search.stands_hold(&[0], &[2]), "one of a stand for another of it");
        assert!(search.stands_hold(&[0], &[5]), "what was not represented is");
        assert!(!search.stands_hold(&[3], &[2]), "three of the first");
        assert!(!search.stands_hold(&[3], &[5]), "none of the second");
        assert!(!search.stands_hold(&[0, 1], &[4, 5]), "none of the first");
        // What is beyond a limit already may stay so, and come nearer.
        search.put(2);
        assert!(search.stands_hold(&[0], &[1]) && search.stands_hold(&[0], &[4]));
        search.take(3);
        assert!(search.stands_hold(&[0], &[5]), "the second has none before and after");
    }

    /// Of equals the first stays: more mothers, then more stands represented, then more worth.
    #[test]
    fn better_is_more_mothers_then_more_stands_then_more_worth() {
        let least = (3, 2, 10.0);
        for better in [(4, 0, 0.0), (3, 3, 0.0), (3, 2, 10.1)] {
            assert!(is_better(better, least) && !is_better(least, better), "{better:?}");
        }
        assert!(!is_better(least, least));
    }
}
