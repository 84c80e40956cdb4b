//! The jobs of a plan, as tasks that wait for each other.

use std::collections::BTreeMap;

use almanac::{Month, ScheduleFault, Task, Window, schedule};
use stock::Library;

use super::each::{COLLECT, Care, EVERY_WINTER, Each, ONCE, ORDER, SOW};
use super::needed::{LineOrder, Needed, Winter};
use crate::problem::Problem;
use crate::site::Site;
use crate::units::thousands;

/// What is told of a task beside its months.
#[derive(Debug, Clone)]
pub(super) struct Job {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) who: &'static [&'static str],
    /// Year of its winter; `None`: done once.
    pub(super) winter: Option<i32>,
    pub(super) hands_on: &'static str,
    pub(super) care: Care,
    pub(super) source: &'static str,
    /// Whether it gathers seed.
    pub(super) is_seed: bool,
}

/// Tasks, and what is told of each.
#[derive(Debug, Clone, Default)]
pub(super) struct Jobs {
    pub(super) tasks: Vec<Task>,
    pub(super) rows: Vec<Job>,
    places: BTreeMap<String, usize>,
}

/// Years before the first winter from which the latest begin is looked for: longer than any lead time.
const YEARS_BEFORE: i32 = 12;

impl Jobs {
    pub(super) fn of(plan: &Needed, winters: &[Winter], site: &Site, library: &Library) -> Self {
        let mut jobs = Self::default();
        let has_seed = plan.line_orders.iter().any(LineOrder::is_seed_line);
        let first = winters.iter().map(|winter| winter.year).min().unwrap_or_default();
        let before = |each: &&Each| each.id != "hives" && (has_seed || each.id != "nectar");
        for each in ONCE.iter().filter(before) {
            jobs.add(each, each.id.to_owned(), each.name.to_owned(), None, Some(first));
        }
        for winter in winters {
            let releases = |each: &&Each| each.id != "release" || site.money.release_times > 0;
            for each in EVERY_WINTER.iter().filter(releases) {
                let id = format!("{}-{}", each.id, winter.year);
                let name = match each.id {
                    "plant" => format!("{}: {} plants", each.name, thousands(winter.seedlings)),
                    _ => each.name.to_owned(),
                };
                let at = jobs.add(each, id, name, Some(winter.year), Some(winter.year));
                if each.id == "plant" {
                    jobs.plants(at, winter);
                }
            }
            for order in plan.line_orders.iter().filter(|one| one.season == winter.named) {
                jobs.line(order, winter, site, library);
            }
            jobs.releases(winter, site.money.release_times);
        }
        if let Some(hives) = ONCE.iter().find(|each| each.id == "hives") {
            jobs.add(hives, hives.id.to_owned(), hives.name.to_owned(), None, Some(first));
        }
        jobs
    }

    /// Planting takes so long, and ends with the winter.
    fn plants(&mut self, at: usize, winter: &Winter) {
        let last = 10_u8.saturating_sub(winter.months as u8).max(6);
        let task = &mut self.tasks[at];
        task.months = winter.months;
        task.window = Some(Window { from: 6, to: last });
        task.due = Some(Month { year: winter.year, month: last });
    }

    /// Ordering one line, and where it is local gathering and sowing its seed.
    fn line(&mut self, order: &LineOrder, winter: &Winter, site: &Site, library: &Library) {
        let plant = format!("plant-{}", winter.year);
        let of = |each: &Each| format!("{}-{}-{}", each.id, order.stock_id, winter.year);
        let plants = thousands(order.order_qty);
        let year = Some(winter.year);
        let name = format!("{} {plants} of {}", ORDER.name, order.stock_name);
        let ordered = self.add(&ORDER, of(&ORDER), name, year, None);
        self.wait(&plant, ordered, order.lead_months(library).saturating_sub(1));
        if !order.is_seed_line() {
            return;
        }
        let name = format!("{}: {}", COLLECT.name, order.stock_name);
        let collect = self.add(&COLLECT, of(&COLLECT), name, year, None);
        self.rows[collect].is_seed = true;
        self.tasks[collect].after.push((ordered, 0));
        let name = format!("{}: {}", SOW.name, order.stock_name);
        let sow = self.add(&SOW, of(&SOW), name, year, None);
        self.tasks[sow].after.push((collect, 0));
        self.wait(&plant, sow, site.seed.nursery_months.saturating_sub(1));
    }

    /// Releases after the first, one a year.
    fn releases(&mut self, winter: &Winter, times: usize) {
        let first = format!("release-{}", winter.year);
        let Some(each) = EVERY_WINTER.iter().find(|each| each.id == "release") else { return };
        for time in 1..times {
            let year = winter.year.saturating_add(time as i32);
            let name = format!("{}, time {}", each.name, time + 1);
            let id = format!("{first}-{}", time + 1);
            self.add(each, id, name, Some(winter.year), Some(year));
        }
    }

    /// Adds a job; `winter`: whose winter it is of; `year`: the one from which its own year is counted.
    fn add(
        &mut self,
        each: &Each,
        id: String,
        name: String,
        winter: Option<i32>,
        year: Option<i32>,
    ) -> usize {
        let window = each.window.map(|[from, to]| Window { from, to });
        let own = each.year.zip(year).zip(each.window);
        let not_before =
            own.map(|((later, year), [from, _])| Month { year: year + later, month: from });
        let due = own.map(|((later, year), [_, to])| Month { year: year + later, month: to });
        let after = each.after.iter().filter_map(|(before, lag)| {
            let of_winter = winter.or(year).map(|winter| format!("{before}-{winter}"));
            let place = of_winter.and_then(|id| self.places.get(&id));
            Some((*place.or_else(|| self.places.get(*before))?, *lag))
        });
        let task = Task {
            id: id.clone(),
            window,
            not_before,
            due,
            months: each.months,
            after: after.collect(),
        };
        let at = self.tasks.len();
        self.tasks.push(task);
        self.rows.push(Job {
            id: id.clone(),
            name,
            who: each.who,
            winter,
            hands_on: each.hands_on,
            care: each.care,
            source: each.source,
            is_seed: false,
        });
        self.places.insert(id, at);
        at
    }

    /// Lets a job wait for another.
    fn wait(&mut self, id: &str, before: usize, lag: u32) {
        if let Some(at) = self.places.get(id) {
            self.tasks[*at].after.push((before, lag));
        }
    }

    /// The last month in which the first job may begin so that nothing is missed.
    pub(super) fn latest_start(&self) -> Result<Month, Problem> {
        let first = self.tasks.iter().filter_map(|task| task.due).min();
        let Some(first) = first else { return Err(impossible(&ScheduleFault::Missing(0))) };
        let early = first.plus(-12 * YEARS_BEFORE);
        let placed = schedule(&self.tasks, early).map_err(|fault| impossible(&fault))?.placed;
        Ok(placed.iter().map(|one| one.latest).min().unwrap_or(first))
    }
}

/// Years after `start` in which a winter that the plan does not name is looked for: longer than any lead time.
const YEARS_AFTER: i32 = 30;

/// The jobs of a plan; a winter that it does not name is the first in which all that is due can be in time.
pub(super) fn reached(
    plan: &Needed,
    start: Option<Month>,
    site: &Site,
    library: &Library,
) -> Result<Jobs, Problem> {
    let of = |year: i32| Jobs::of(plan, &plan.winters(year), site, library);
    let Some(start) = start.filter(|_| plan.names_no_winter()) else { return Ok(of(0)) };
    for year in start.year..start.year + YEARS_AFTER {
        let jobs = of(year);
        let placed = schedule(&jobs.tasks, start).map_err(|fault| impossible(&fault))?.placed;
        if placed.iter().all(|one| one.slack_months() >= 0) {
            return Ok(jobs);
        }
    }
    Ok(of(start.year + YEARS_AFTER))
}

/// Jobs that make no schedule: a fault of ours.
pub(super) fn impossible(fault: &ScheduleFault) -> Problem {
    Problem::error("calendar")
        .found(format!("{fault:?}"))
        .expected("jobs that can follow each other")
        .remedy("this is a fault of the program: please report it with the site folder")
}
