//! Reasons and limits of small plans, each worked by hand. A zone has 4 ha, 3 of them open; it takes
//! 3,750 plants to order.

use super::assemble::left_share;
use super::case::Case;
use super::limits::limits_in_words;
use super::reasons::{why_left, why_planted};
use super::uses::Uses;
use crate::assign::{Mosaic, assign};
use crate::counts::{BlockCount, count_blocks};
use crate::layout::ZoneDemand;
use crate::mosaic::{Joined, Moved, RunnerUp};
use crate::offers::fixture::{CORNER, demand_of, demands, fits, library, site, zones};
use crate::offers::{Seasons, Sourcing, Terms};
use crate::overrides::{Override, Overrides};
use crate::read::{Crs, SeedZones};

/// What a plan says.
struct Told {
    /// By zone, of each block, its line and the reason.
    planted: Vec<Vec<(String, String)>>,
    left: Vec<String>,
    limits: Vec<String>,
}

/// What is asked of a plan: sections of the site, lines, and the fit of each line in each zone.
struct Asked<'a> {
    sections: &'a str,
    lines: &'a str,
    fits: &'a [&'a [f64]],
    /// Whether some of the ground is open.
    open: bool,
    overrides: Overrides,
    /// What becomes of the mosaic before reasons are found.
    then: fn(&mut Mosaic),
}

impl<'a> Asked<'a> {
    fn of(sections: &'a str, lines: &'a str, fits: &'a [&'a [f64]]) -> Self {
        let overrides = Overrides::default();
        Self { sections, lines, fits, open: true, overrides, then: |_| {} }
    }

    fn told(self) -> Told {
        let (site, library) = (site(self.sections), library(self.lines));
        let zones = zones(&vec![100.0; self.fits.len()]);
        let fits: Vec<_> =
            self.fits.iter().map(|by_line| fits(&zones, by_line).remove(0)).collect();
        let demands = if self.open {
            demands(self.fits.len(), library.stocks().len())
        } else {
            let none = ZoneDemand { gap_share: 0.0, ..demand_of(library.stocks().len(), 0.0, 0.0) };
            vec![none; self.fits.len()]
        };
        let crs = Crs::from_user("EPSG:2193").unwrap();
        let (sourcing, _) = Sourcing::new(&site, &library, &zones, &SeedZones::default(), &crs);
        let seasons = Seasons::of(&site, &library);
        let terms = Terms {
            zones: &zones,
            fits: &fits,
            demands: &demands,
            site: &site,
            library: &library,
            seasons,
            sourcing: &sourcing,
            overrides: &self.overrides,
        };
        let mut mosaic = assign(&terms).unwrap();
        (self.then)(&mut mosaic);
        let given = &mosaic.assignment.given;
        let blocks =
            count_blocks(given, &demands, &library, &seasons, (&site.mosaic, &site.labour));
        let case = Case {
            site: &site,
            library: &library,
            fits: &fits,
            demands: &demands,
            seasons,
            sourcing: &sourcing,
            overrides: &self.overrides,
            mosaic: &mosaic,
            blocks: &blocks,
            uses: Uses::of(&mosaic.programme, &blocks),
        };
        let planted =
            |block: &BlockCount| (case.name(block.stock).to_owned(), why_planted(&case, block));
        let zones = 0..self.fits.len();
        let left = |zone: usize| {
            let taken: f64 = case.blocks_of(zone).map(|block| block.share).sum();
            why_left(&case, zone, left_share(taken))
        };
        Told {
            planted: zones
                .clone()
                .map(|zone| case.blocks_of(zone).map(planted).collect())
                .collect(),
            left: zones.map(left).collect(),
            limits: limits_in_words(&case),
        }
    }
}

/// A line with further keys.
fn line(name: &str, keys: &str) -> String {
    let id = name.to_lowercase();
    format!("[[stock]]\nid = \"{id}\"\nname = \"{name}\"\nkind = \"cultivar\"\n{keys}\n")
}

/// A better line with some keys beside one that is unlimited.
fn two(better: &str) -> String {
    line("Better", better) + &line("Plain", "price_nzd = 1.0")
}

const WHOLE: &str = "[mosaic]\nmin_share = 1\n";
const TWO_ZONES: [&[f64]; 2] = [&[1.0, 0.8], &[1.0, 0.8]];

/// The reason of a zone that the plain line takes whole.
fn why_plain(told: &Told, zone: usize) -> &str {
    let [(line, reason)] = &told.planted[zone][..] else { panic!("{:?}", told.planted) };
    assert_eq!(line, "Plain", "{reason}");
    reason
}

#[test]
fn a_better_line_is_passed_over_for_the_true_reason() {
    let cases = [
        ("status = \"idea\"", "", "none can be had in the winters of the plan"),
        ("supply = 0", "", "none can be had in the winters of the plan"),
        // 7,500 dollars plant both zones with the plain line, or one with the better
        ("price_nzd = 2.0", "budget_nzd = 7500\n", "the budget is used up"),
        (
            "price_nzd = 2.0",
            "season_budget_nzd = 7500\nfirst_season = 2027\n",
            "the budget of 2027 is used up",
        ),
        ("min_lot = 20000", "", "none of it is ordered, its smallest lot being 20000 plants"),
        (
            "status = \"being_raised\"\nfirst_season = 2028",
            "first_season = 2027\nseasons = 2\nwait_loss = 0.3\n",
            "it can be had from 2028 on, and would then count for no more",
        ),
        (
            "supply = { 2028 = 9000 }",
            "first_season = 2027\nseasons = 2\nwait_loss = 0.3\n",
            "it can be had from 2028 on, and would then count for no more",
        ),
    ];
    for (better, keys, why) in cases {
        let (sections, lines) = (format!("{WHOLE}{keys}"), two(better));
        let told = Asked::of(&sections, &lines, &TWO_ZONES).told();
        for zone in 0..2 {
            let reason = why_plain(&told, zone);
            assert!(
                reason.ends_with(&format!("; Better fits 1.00 but {why}")),
                "{better}: {reason}"
            );
        }
    }
}

#[test]
fn a_line_that_some_zones_have_is_missed_by_the_rest_for_the_true_reason() {
    let half = "[mosaic]\nmin_share = 0.5\n";
    let cases = [
        ("supply = 3750", half, "its plants are used up"),
        ("supply = 5000", half, "what is left of its plants is too little for a least share"),
        (
            "",
            "[mosaic]\nmin_share = 1\nline_cap = 0.5\n",
            "it has reached the largest share of the ground",
        ),
    ];
    for (better, sections, why) in cases {
        let lines = two(better);
        let told = Asked::of(sections, &lines, &TWO_ZONES).told();
        assert_eq!(told.planted[0][0].0, "Better");
        let reason = why_plain(&told, 1);
        assert!(reason.ends_with(&format!("; Better fits 1.00 but {why}")), "{better}: {reason}");
    }
}

#[test]
fn what_counts_for_less_or_for_no_more_is_told_apart() {
    let rich = "[stock.nectar]\nratio_mean = 0.01\nratio_sd = 0.001\ntrees = 20\n";
    let lines = line("Better", "") + &line("Plain", rich);
    let by_nectar = format!("{WHOLE}weight_nectar = 0.5\nweight_fit = 0.5\n");
    let told = Asked::of(&by_nectar, &lines, &TWO_ZONES).told();
    assert!(why_plain(&told, 0).ends_with("but counts for less by the site's weights"));
    let by_area = format!("{WHOLE}weight_fit = 0\nweight_area = 1\n");
    let lines = line("Plain", "") + &line("Better", "");
    let told = Asked::of(&by_area, &lines, &[&[0.8, 1.0]]).told();
    assert!(why_plain(&told, 0).ends_with("but counts for no more by the site's weights"));
}

/// The plain line stands there for its flowering, which no limit tells.
#[test]
fn what_no_limit_explains_is_not_made_up() {
    let sections = format!("{WHOLE}weeks_in_flower = 2\nflower_least_ha = 3\n");
    let flowering = "[stock.flowering]\nbegins = \"12-01\"\nends = \"12-20\"\nelevation_m = 100\n";
    let lines = line("Better", "supply = 9000") + &line("Plain", flowering);
    let told = Asked::of(&sections, &lines, &[&[1.0, 0.8]]).told();
    let why = "but the plan as a whole counts for no more with it here";
    assert!(why_plain(&told, 0).ends_with(why), "{}", why_plain(&told, 0));
}

#[test]
fn ground_is_left_for_the_true_reason() {
    let half = "[mosaic]\nmin_share = 0.5\n";
    let cases = [
        (
            "status = \"idea\"",
            WHOLE,
            "none of the stock that fits can be had in the winters of the plan",
        ),
        (
            "price_nzd = 1.0",
            "[mosaic]\nmin_share = 1\nbudget_nzd = 3750\n",
            "the budget is used up",
        ),
        ("", "[mosaic]\nmin_share = 1\nline_cap = 0.5\n", "a line that fits has reached its cap"),
        (
            "min_lot = 20000",
            WHOLE,
            "Better fits, but none of it is ordered, its smallest lot being 20000 plants",
        ),
        ("supply = 3750", half, "the stock that fits is used up"),
        (
            "supply = 5000",
            "[mosaic]\nmin_share = 0.7\n",
            "what is left of the stock that fits is too little for a least share",
        ),
        (
            "",
            "[mosaic]\nweight_fit = 0\n",
            "Better fits 1.00, and counts for nothing by the site's weights",
        ),
        // a price that counts for nothing is no reason
        (
            "price_nzd = 1.0",
            "[mosaic]\nweight_fit = 0\n",
            "Better fits 1.00, and counts for nothing by the site's weights",
        ),
        (
            "price_nzd = 1.0",
            "[mosaic]\nweight_fit = 0.1\nweight_cost = 1\n",
            "Better fits 1.00, and would cost more than it counts for",
        ),
        (
            "",
            "[mosaic]\nregenerate_worth = 1\n",
            "left to regenerate: Better fits 1.00, and counts for no more than leaving it",
        ),
    ];
    for (better, sections, why) in cases {
        let lines = line("Better", better);
        let told = Asked::of(sections, &lines, &[&[1.0], &[1.0]]).told();
        assert_eq!(told.left[1], why, "{better} {sections}");
    }
    let lines = line("Better", "");
    let told = Asked::of(WHOLE, &lines, &[&[0.1]]).told();
    assert!(told.left[0].starts_with("no stock fits; the nearest is Better, "), "{:?}", told.left);
    let told = Asked { open: false, ..Asked::of(WHOLE, &lines, &[&[0.9]]) }.told();
    assert_eq!(told.left, ["existing cover fills it"]);
}

/// Home seed fits best and is barred by its height: it is not what counts for no more.
#[test]
fn a_barred_line_is_not_the_best_of_what_may_be_planted() {
    let lines = format!(
        "[[stock]]\nid = \"home\"\nname = \"Home\"\nkind = \"seed_line\"\n\
         [stock.origin]\nelevation_m = 900\n{}",
        line("Plain", "")
    );
    let sections = "[mosaic]\nregenerate_worth = 1\n[eco_sourcing]\nmax_height_difference_m = 50\n";
    let told = Asked::of(sections, &lines, &[&[1.0, 0.5]]).told();
    let why = "left to regenerate: Plain fits 0.50, and counts for no more than leaving it";
    assert_eq!(told.left, [why]);
    let told = Asked::of(sections, &lines, &[&[1.0, 0.1]]).told();
    assert!(
        told.left[0].contains("Home fits 1.00, but the zone lies 800 m lower"),
        "{:?}",
        told.left
    );
}

#[test]
fn one_line_over_two_winters_is_no_mixture() {
    let sections = "[mosaic]\nfirst_season = 2027\nseasons = 2\nmin_share = 0.1\n";
    let lines = line("Plain", "supply = { 2027 = 1875, 2028 = 1875 }");
    let told = Asked::of(sections, &lines, &[&[0.8]]).told();
    assert_eq!(told.planted[0].len(), 2);
    for (_, reason) in &told.planted[0] {
        assert!(reason.ends_with("; planted part in 2027, part in 2028"), "{reason}");
    }
}

#[test]
fn a_mixture_names_the_other_line_and_does_not_ask_why_it_is_not_there() {
    let sections = "[mosaic]\nmin_share = 0.1\n";
    let told = Asked::of(sections, &two("supply = 1875"), &[&[1.0, 0.8]]).told();
    let [(_, better), (_, plain)] = &told.planted[0][..] else { panic!("{:?}", told.planted) };
    assert_eq!(
        better,
        "Better fits 1.00 (S1), suits all of the ground; planted as a mixture with Plain"
    );
    assert_eq!(
        plain,
        "Plain fits 0.80 (S1), suits all of the ground; planted as a mixture with Better"
    );
    // Home seed beside the best cultivar does not say that it does more elsewhere.
    let lines = line("Better", "supply = 1875")
        + "[[stock]]\nid = \"home\"\nname = \"Home\"\nkind = \"seed_line\"\n";
    let told = Asked::of(sections, &lines, &[&[1.0, 0.8]]).told();
    let home = &told.planted[0][1].1;
    assert!(home.ends_with("suits all of the ground; planted as a mixture with Better"), "{home}");
}

#[test]
fn local_seed_says_why_no_cultivar_stands_there() {
    let home = "[[stock]]\nid = \"home\"\nname = \"Home\"\nkind = \"seed_line\"\n";
    let why = |better: &str, fits: &[f64]| {
        let lines = line("Better", better) + home;
        Asked::of(WHOLE, &lines, &[fits]).told().planted[0][0].1.clone()
    };
    let none = why("status = \"idea\"", &[1.0, 0.8]);
    assert!(none.contains("Better, the best cultivar here, fits 1.00"), "{none}");
    assert!(none.ends_with("and none can be had in the winters of the plan"), "{none}");
    assert!(why("", &[0.1, 0.8]).contains("no cultivar fits; the nearest is Better"));
}

/// A zone that gave the first line up for that of its neighbours.
fn joined(mosaic: &mut Mosaic, loss: f64) {
    mosaic.assignment.runner_up[0] = Some(RunnerUp { line: 0, less_per_ha: 0.0 });
    mosaic.joined = Some(Joined {
        metres_before: 10.0,
        metres_after: 0.0,
        worth_lost: loss,
        moved: vec![Moved { zone: 0, loss }],
        gap_before: 0.0,
    });
}

#[test]
fn a_zone_that_joined_its_neighbours_at_no_cost_says_so() {
    let why = |then| {
        let lines = two("supply = 0");
        let asked = Asked { then, ..Asked::of(WHOLE, &lines, &[&[1.0, 0.8]]) };
        asked.told().planted[0][0].1.clone()
    };
    let even = why(|mosaic| joined(mosaic, 0.0));
    assert!(even.ends_with("joined with its neighbours: Better would count for no more here"));
    let dear = why(|mosaic| joined(mosaic, 0.2));
    assert!(dear.ends_with("joined with its neighbours: Better would count for more here"));
}

#[test]
fn a_choice_by_hand_is_the_reason_and_its_note_is_told() {
    let choice = Override {
        at: CORNER,
        line: Some(1),
        forbid: Vec::new(),
        density: None,
        counts_only: false,
        note: "seen from the house".to_owned(),
        line_in_file: 1,
    };
    let lines = two("");
    let overrides = Overrides { placed: vec![(0, choice)] };
    let told = Asked { overrides, ..Asked::of(WHOLE, &lines, &TWO_ZONES) }.told();
    assert!(why_plain(&told, 0).ends_with("; fixed by hand: seen from the house"));
}

/// A whole zone more under the better line is worth 0.6 more, for 3,750 plants.
#[test]
fn limits_say_what_the_orders_use_of_them() {
    let half = "[mosaic]\nmin_share = 0.5\n";
    let price = "1,000 more plants would be worth 0.160 well-fitted hectares in the programme \
                 without least shares";
    let told = Asked::of(half, &two("supply = 5000"), &TWO_ZONES).told();
    assert_eq!(told.limits, [format!("supply of Better: 3750 of 5000 plants are used; {price}")]);
    let told = Asked::of(half, &two("supply = 3750"), &TWO_ZONES).told();
    assert_eq!(told.limits, [format!("supply of Better is used up; {price}")]);
    let free = "[mosaic]\nmin_share = 0\n";
    let told = Asked::of(free, &two("supply = 5000"), &TWO_ZONES).told();
    let price = "1,000 more plants would be worth 0.160 well-fitted hectares";
    assert_eq!(told.limits, [format!("supply of Better is used up; {price}")]);
    // As much as all zones can take is used up, and more of it would be worth nothing.
    let told = Asked::of(free, &two("supply = 7500"), &TWO_ZONES).told();
    assert_eq!(told.limits, ["supply of Better is used up"]);
    assert!(Asked::of(free, &two("supply = 9000"), &TWO_ZONES).told().limits.is_empty());
    // One winter is told once, by the name of the whole.
    let told = Asked::of(free, &two("supply = { 2027 = 5000 }"), &TWO_ZONES).told();
    assert_eq!(told.limits, [format!("supply of Better is used up; {price}")]);
}
