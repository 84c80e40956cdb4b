//! What collectors must know before they go, and at each place.

use geo::{Contains, Point};

use super::rows::{SiteCaution, TreeRow};
use crate::checks::within_words;
use crate::pipeline::Zoned;
use crate::zones::CAUTION_SLOPES_DEG;

/// Slopes from which a place is steep, and very steep, degrees: common practice, no source; the second is
/// that from which planting by hand needs a site safety plan.
pub(super) const STEEP_DEG: [f64; 2] = [25.0, CAUTION_SLOPES_DEG[2]];

/// Rules for everyone who collects: common practice, no source.
pub(super) const FOR_ALL: [(&str, &str); 4] = [
    (
        "permission",
        "ask first: the owner of the land, and iwi and hapū whose land and taonga these are; on public \
         conservation land nothing is taken without a permit",
    ),
    ("climbing", "do not climb trees or banks; what cannot be reached from the ground stays"),
    ("company", "go in twos, tell someone where and until when, and turn back when in doubt"),
    (
        "finds",
        "stop and ask where bones, worked stone, shell or an old pit is found: do not dig, move or take \
         anything",
    ),
];

/// What is to be careful of at one place, in a line; empty where nothing is.
pub(super) fn at_place(zoned: &Zoned, at: [f64; 2], slope_deg: f64) -> String {
    let slope = match slope_deg {
        steep if steep >= STEEP_DEG[1] => Some(format!("very steep, {steep:.0}°")),
        steep if steep >= STEEP_DEG[0] => Some(format!("steep, {steep:.0}°")),
        _ => None,
    };
    let asked = asked_at(zoned, at).map(|rule| within_words(&zoned.site.keep_clear[rule]));
    slope.into_iter().chain(asked).collect::<Vec<_>>().join("; ")
}

/// The rules of which people ask first at a place.
fn asked_at(zoned: &Zoned, at: [f64; 2]) -> impl Iterator<Item = usize> {
    let place = Point::new(at[0], at[1]);
    let areas = zoned.ready.keep_clear.iter();
    areas
        .filter(move |area| area.ask.as_ref().is_some_and(|ask| ask.contains(&place)))
        .map(|area| area.rule)
}

/// Cautions of the whole round: those for everyone, then those of single places.
pub(super) fn of_round(zoned: &Zoned, trees: &[TreeRow]) -> Vec<SiteCaution> {
    let place =
        |tree: &TreeRow| (tree.tree_id.clone(), [tree.easting_m, tree.northing_m], tree.slope_deg);
    of_places(zoned, &trees.iter().map(place).collect::<Vec<_>>())
}

/// A place: its name, easting and northing, and slope in degrees.
type Named = (String, [f64; 2], f64);

/// The same of any places.
pub(super) fn of_places(zoned: &Zoned, places: &[Named]) -> Vec<SiteCaution> {
    let ids = |is_concerned: &dyn Fn(&Named) -> bool| -> Vec<String> {
        places.iter().filter(|place| is_concerned(place)).map(|place| place.0.clone()).collect()
    };
    let caution = |about: String, trees: Vec<String>, text: &str| SiteCaution {
        about,
        trees,
        text: format!("{text}; local rules and licensed people decide"),
    };
    let for_all = |(about, text): (&str, &str)| SiteCaution {
        about: about.to_owned(),
        trees: Vec::new(),
        text: text.to_owned(),
    };
    let mut cautions: Vec<SiteCaution> = FOR_ALL.into_iter().map(for_all).collect();
    let [steep, very_steep] = STEEP_DEG;
    let slopes = [
        (
            format!("slopes of {steep}° or more"),
            ids(&|place| place.2 >= steep && place.2 < very_steep),
            "footing is poor, worse when wet: look for a safe way in before you go, and leave the tree \
             if there is none",
        ),
        (
            format!("slopes of {very_steep}° or more"),
            ids(&|place| place.2 >= very_steep),
            "a site safety plan is needed here; keep off ground above bluffs, and take a tree on gentler \
             ground near by instead",
        ),
    ];
    let steep = slopes.into_iter().filter(|(_, trees, _)| !trees.is_empty());
    cautions.extend(steep.map(|(about, trees, text)| caution(about, trees, text)));
    for (number, rule) in zoned.site.keep_clear.iter().enumerate() {
        let near = |place: &Named| asked_at(zoned, place.1).any(|asked| asked == number);
        let trees = ids(&near);
        if !trees.is_empty() {
            let text = rule.caution.clone().unwrap_or_else(|| "ask first".to_owned());
            let text = text.trim_end().trim_end_matches('.');
            cautions.push(caution(within_words(rule), trees, text));
        }
    }
    cautions
}
