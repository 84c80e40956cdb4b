//! Problems that differ only in what they are about, told once.

use spatial::problem::Problem;

use crate::text::with_more;

/// Items that are named; of more, their number is told.
const NAMED: usize = 3;

/// The same problems, each kind once with what it is about: `zone Z001, zone Z002, zone Z003 and 163 more`.
pub(crate) fn told_once(problems: Vec<Problem>) -> Vec<Problem> {
    let mut kinds: Vec<(Problem, Vec<String>)> = Vec::new();
    for problem in problems {
        let item = problem.item.clone();
        let kind = Problem { item: String::new(), place: None, ..problem.clone() };
        match kinds.iter_mut().find(|(known, _)| {
            kind == Problem { item: String::new(), place: None, ..known.clone() }
        }) {
            Some((_, items)) => items.push(item),
            None => kinds.push((problem, vec![item])),
        }
    }
    let told = kinds.into_iter().map(|(first, items)| match items.len() {
        1 => first,
        count => {
            let item = with_more(&items[..count.min(NAMED)], count);
            Problem { item, place: None, ..first }
        }
    });
    told.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_differs_only_in_its_item_is_one() {
        let of = |item: &str, found: &str| Problem::error(item).found(found).remedy("plan again");
        let zones = (1..=5).map(|at| of(&format!("zone Z00{at}"), "not drawn now"));
        let told = told_once(zones.chain([of("plan", "nothing planted")]).collect());
        let items: Vec<&str> = told.iter().map(|one| one.item.as_str()).collect();
        assert_eq!(items, ["zone Z001, zone Z002, zone Z003 and 2 more", "plan"]);
        assert_eq!(told_once(told.clone()), told);
    }
}
