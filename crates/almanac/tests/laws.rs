//! Laws of schedules against slow twins.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that stops has failed")]

use almanac::{Hemisphere, Month, Placed, ScheduleFault, Slipped, Task, Window, schedule, slip};
use proptest::prelude::*;

const fn month(year: i32, month: u8) -> Month {
    Month { year, month }
}

const START: Month = month(2026, 1);

fn task(window: Option<(u8, u8)>, months: u32, after: &[(usize, u32)]) -> Task {
    Task {
        id: String::new(),
        window: window.map(|(from, to)| Window { from, to }),
        not_before: None,
        due: None,
        months,
        after: after.to_vec(),
    }
}

/// Sown March to August, ready in 12 months, planted June to September: by hand.
#[test]
fn seed_that_is_late_by_some_months_misses_a_winter() {
    let tasks = [
        task(Some((2, 8)), 1, &[]),
        task(Some((3, 8)), 1, &[(0, 0)]),
        task(Some((6, 9)), 2, &[(1, 11)]),
        task(Some((1, 3)), 1, &[(2, 5)]),
    ];
    let found = schedule(&tasks, START).unwrap();
    let begins: Vec<Month> = found.placed.iter().map(|one| one.earliest).collect();
    assert_eq!(begins, [month(2026, 2), month(2026, 3), month(2027, 6), month(2028, 1)]);
    // Six months more: sown the next March, planted a year later.
    let slipped = slip(&tasks, START, 0, 6).unwrap();
    assert_eq!(slipped.iter().map(Slipped::months).collect::<Vec<_>>(), [6, 12, 12, 12]);
    // Three months: sown in June, ready in June: nothing planted slips.
    let slipped = slip(&tasks, START, 0, 3).unwrap();
    assert_eq!(slipped.iter().map(|one| one.task).collect::<Vec<_>>(), [0, 1]);
}

/// Critical path of a textbook network: lengths 3, 2, 4 and 1 months; the way over the longer branch has no slack.
#[test]
fn the_longer_branch_is_critical() {
    let tasks = [
        task(None, 3, &[]),
        task(None, 2, &[(0, 0)]),
        task(None, 4, &[(0, 0)]),
        task(None, 1, &[(1, 0), (2, 0)]),
    ];
    let found = schedule(&tasks, START).unwrap();
    assert_eq!(found.critical_path, [0, 2, 3]);
    let slack: Vec<i32> = found.placed.iter().map(Placed::slack_months).collect();
    assert_eq!(slack, [0, 2, 0, 0]);
}

#[test]
fn circles_and_tasks_that_are_not_there_are_told() {
    let circle = [task(None, 1, &[(1, 0)]), task(None, 1, &[(0, 0)])];
    assert_eq!(schedule(&circle, START), Err(ScheduleFault::Circle(0)));
    assert_eq!(schedule(&[task(None, 1, &[(3, 0)])], START), Err(ScheduleFault::Missing(0)));
    assert_eq!(schedule(&[], START).unwrap().critical_path, Vec::<usize>::new());
}

#[test]
fn what_is_due_and_cannot_be_has_slack_below_0() {
    let mut late = task(Some((6, 9)), 1, &[]);
    late.not_before = Some(month(2027, 10));
    late.due = Some(month(2027, 9));
    let found = schedule(&[late], START).unwrap();
    assert_eq!((found.placed[0].slack_months(), found.placed[0].critical), (-9, true));
}

fn window() -> impl Strategy<Value = Option<(u8, u8)>> {
    proptest::option::of((1_u8..13, 1_u8..13))
}

/// Tasks that wait for earlier ones alone.
fn network() -> impl Strategy<Value = Vec<Task>> {
    let one = (
        window(),
        1_u32..5,
        proptest::collection::vec((any::<prop::sample::Index>(), 0_u32..14), 0..3),
    );
    proptest::collection::vec(one, 1..8).prop_map(|rows| {
        let rows = rows.into_iter().enumerate();
        rows.map(|(at, (window, months, after))| {
            let after = after.into_iter().filter(|_| at > 0);
            let mut after: Vec<(usize, u32)> =
                after.map(|(before, lag)| (before.index(at.max(1)), lag)).collect();
            after.sort_unstable();
            after.dedup_by_key(|(before, _)| *before);
            task(window, months, &after)
        })
        .collect()
    })
}

/// The slow twin: the latest end over every chain of waits that ends in a task, each walked by itself, month by month.
fn slow_earliest(tasks: &[Task], at: usize) -> Month {
    let mut begins = START;
    for (before, lag) in &tasks[at].after {
        let mut free = slow_earliest(tasks, *before);
        for _ in 0..tasks[*before].months + lag {
            free = free.plus(1);
        }
        begins = begins.max(free);
    }
    while tasks[at].window.is_some_and(|window| !window.holds(begins.month)) {
        begins = begins.plus(1);
    }
    begins
}

/// The slow twin of the latest begins: try every later month, and see whether all may still begin in time when this
/// one task begins then and all others as late as that allows. `end`: the last earliest begin.
fn slow_is_in_time(tasks: &[Task], at: usize, begins: Month, end: Month) -> bool {
    if tasks[at].window.is_some_and(|window| !window.holds(begins.month)) {
        return false;
    }
    if begins > end {
        return false;
    }
    let behind = (0..tasks.len()).filter_map(|next| {
        tasks[next].after.iter().find(|(before, _)| *before == at).map(|(_, lag)| (next, *lag))
    });
    behind.into_iter().all(|(next, lag)| {
        let first = begins.plus((tasks[at].months + lag) as i32);
        (0..12).any(|wait| slow_is_in_time(tasks, next, first.plus(wait), end))
    })
}

proptest! {
    #[test]
    fn earliest_begins_are_those_of_every_chain(tasks in network()) {
        let found = schedule(&tasks, START).unwrap();
        for (at, placed) in found.placed.iter().enumerate() {
            prop_assert_eq!(placed.earliest, slow_earliest(&tasks, at));
            let window = tasks[at].window;
            prop_assert!(window.is_none_or(|one| one.holds(placed.earliest.month) && one.holds(placed.latest.month)));
        }
    }

    /// A month later than the latest, up to the end, is too late; the latest is not, unless nothing is.
    #[test]
    fn latest_begins_are_the_last_in_time(tasks in network()) {
        let found = schedule(&tasks, START).unwrap();
        let end = found.placed.iter().map(|one| one.earliest).max().unwrap();
        for (at, placed) in found.placed.iter().enumerate() {
            prop_assert!(slow_is_in_time(&tasks, at, placed.latest, end), "{} {:?}", at, placed);
            let mut later = placed.latest.plus(1);
            while later <= end {
                prop_assert!(!slow_is_in_time(&tasks, at, later, end), "{} {} {:?}", at, later, placed);
                later = later.plus(1);
            }
            prop_assert!(placed.slack_months() >= 0);
        }
    }

    #[test]
    fn the_critical_path_has_no_slack_and_each_waits_for_the_one_before(tasks in network()) {
        let found = schedule(&tasks, START).unwrap();
        prop_assert!(!found.critical_path.is_empty());
        for at in &found.critical_path {
            prop_assert_eq!(found.placed[*at].slack_months(), 0);
        }
        for two in found.critical_path.windows(2) {
            prop_assert!(tasks[two[1]].after.iter().any(|(before, _)| *before == two[0]));
        }
    }

    /// What is late within its slack holds nothing up beyond the end; nothing ever begins earlier.
    #[test]
    fn slips_go_forward_alone_and_slack_takes_them_up(tasks in network(), pick in any::<prop::sample::Index>(), months in 0_u32..20) {
        let at = pick.index(tasks.len());
        let found = schedule(&tasks, START).unwrap();
        let end = found.placed.iter().map(|one| one.earliest).max().unwrap();
        let slipped = slip(&tasks, START, at, months).unwrap();
        prop_assert!(slipped.iter().all(|one| one.months() > 0));
        prop_assert!(months > 0 || slipped.is_empty());
        let own = slipped.iter().find(|one| one.task == at).map_or(0, Slipped::months);
        prop_assert!(own >= months as i32);
        if own <= found.placed[at].slack_months() {
            prop_assert!(slipped.iter().all(|one| one.now <= end));
        }
    }

    #[test]
    fn months_add_up(year in -400_i32..9_000, at in 1_u8..13, by in -5_000_i32..5_000) {
        let from = month(year, at);
        prop_assert_eq!(from.plus(by).since(from), by);
        prop_assert_eq!(from.plus(by).plus(-by), from);
        prop_assert_eq!(Hemisphere::North.month(Hemisphere::North.month(at)), at);
        prop_assert_eq!(from.plus(Hemisphere::North.shift()).month, Hemisphere::North.month(at));
    }
}
