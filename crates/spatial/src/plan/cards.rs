//! Cards for the people who plant: one line for each block, with where its plants are set down.

use std::collections::BTreeMap;
use std::num::NonZeroU64;

use geo::{Contains, Point};
use palette::Colour;
use rayon::prelude::*;
use serde::Serialize;

use super::assemble::Parts;
use super::rows::{BlockRow, Caution};
use crate::layout::{DropPoint, Tracks};
use crate::read::TRACKS_WITHIN_M;
use crate::site::Pattern;
use crate::units::AreaBasis;
use crate::zones::Zone;

/// What the crew is told of one block.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CardRow {
    /// Number of the card, counted from 1: by zone, then by line in the order of the stock file, then
    /// by winter.
    pub card_no: usize,
    /// Its zone.
    pub zone_id: String,
    /// Its block.
    pub block_id: String,
    /// Letter of the line: A for the first of the stock file, AA after Z.
    pub letter: String,
    /// Colour of the line, a name; see [`line_colour`].
    pub colour: &'static str,
    /// The same as red, green and blue, `#RRGGBB`.
    pub colour_hex: String,
    /// The line, as named in the stock file.
    pub stock_id: String,
    /// Name of the line.
    pub stock_name: String,
    /// Year of the winter in which it is planted; `None` where the site and the stock name none.
    pub season: Option<i32>,
    /// Plants in the ground.
    pub seedlings: u64,
    /// Plants that are brought: those ordered, losses included.
    pub order_qty: u64,
    /// Boxes that they come in, the last perhaps not full; `None`: not known how many one holds.
    pub boxes: Option<u64>,
    /// Distance between plants to a centimetre, measured on `density_basis`.
    pub spacing_m: f64,
    /// How they are set out.
    pub pattern: Pattern,
    /// What spacing is measured on: along the slope, or the map.
    pub density_basis: AreaBasis,
    /// Easting of the drop point in the plan's coordinate system; `None` without a track within
    /// 10 km. A place on the map: it does not say that a vehicle can get there safely.
    pub drop_east_m: Option<f64>,
    /// Northing of it.
    pub drop_north_m: Option<f64>,
    /// Distance of map between the zone and the nearest track; 0 where they meet.
    pub to_track_m: Option<f64>,
    /// Days of the crew, weather, carrying and waiting not counted; `None`: its people are not known.
    pub crew_days: Option<f64>,
    /// The same of all cards up to this one in its winter.
    pub crew_days_by_the_end: Option<f64>,
    /// Day of the winter's planting on which it begins, counted from 1.
    pub begins_on_crew_day: Option<u64>,
    /// What the zone's cautions are about, with the share of the zone; then those that the drop point
    /// lies in. Empty where none is known of, which does not say that it is safe.
    pub hazards: String,
}

/// Name and value of the colour of a planted line, counted from 0. There are eight; then they come
/// again, and letters tell the lines apart.
#[must_use]
pub fn line_colour(planted: usize) -> (&'static str, Colour) {
    let (name, colour, _) = palette::LINES[planted % palette::LINES.len()];
    (name, colour)
}

/// Letter of a line, counted from 0: A to Z, then AA, AB, and so on.
#[must_use]
pub fn line_letter(line: usize) -> String {
    let mut letters = Vec::new();
    let mut left = line + 1;
    while left > 0 {
        left -= 1;
        letters.push(char::from(b'A' + (left % 26) as u8));
        left /= 26;
    }
    letters.iter().rev().collect()
}

/// Boxes that plants fill, the last perhaps not full.
fn boxes(plants: u64, plants_per_box: Option<NonZeroU64>) -> Option<u64> {
    plants_per_box.map(|full| plants.div_ceil(full.get()))
}

/// A card for each block; `blocks` are the rows of `parts.blocks`, in their order. Letters go by the
/// stock file, so that a line keeps its own from plan to plan; colours by what is planted, so that
/// they last.
pub(super) fn cards(
    parts: &Parts,
    blocks: &[BlockRow],
    cautions: &[Caution],
    plants_per_box: Option<NonZeroU64>,
) -> Vec<CardRow> {
    let mut order: Vec<usize> = (0..blocks.len()).collect();
    order.sort_by_key(|at| {
        let block = &parts.blocks[*at];
        (block.zone, block.stock, block.season)
    });
    let mut planted: Vec<usize> = parts.blocks.iter().map(|block| block.stock).collect();
    planted.sort_unstable();
    planted.dedup();
    let drops = drop_points(parts);
    let card = |(at, block): (usize, &usize)| {
        let (row, count) = (&blocks[*block], &parts.blocks[*block]);
        let colour = planted.iter().position(|stock| *stock == count.stock).unwrap_or_default();
        let (colour, colour_hex) = line_colour(colour);
        let drop = drops[count.zone];
        CardRow {
            card_no: at + 1,
            zone_id: row.zone_id.clone(),
            block_id: row.block_id.clone(),
            letter: line_letter(count.stock),
            colour,
            colour_hex: colour_hex.to_string(),
            stock_id: row.stock_id.clone(),
            stock_name: parts.library.stocks()[count.stock].name.clone(),
            season: row.season,
            seedlings: row.seedlings,
            order_qty: row.order_qty,
            boxes: boxes(row.order_qty, plants_per_box),
            spacing_m: (row.spacing_m * 100.0).round() / 100.0,
            pattern: parts.site.density.pattern,
            density_basis: row.density_basis,
            drop_east_m: drop.map(|drop| drop.at[0]),
            drop_north_m: drop.map(|drop| drop.at[1]),
            to_track_m: drop.map(|drop| drop.to_track_m),
            crew_days: None,
            crew_days_by_the_end: None,
            begins_on_crew_day: None,
            hazards: hazards(parts, &parts.zones.zones[count.zone], drop, cautions),
        }
    };
    let mut cards: Vec<CardRow> = order.iter().enumerate().map(card).collect();
    if let Some(people) = parts.site.labour.people {
        let days = order.iter().map(|at| blocks[*at].person_days / f64::from(people));
        put_days(&mut cards, &days.collect::<Vec<_>>());
    }
    cards
}

/// Days of the crew, card after card, begun anew with each winter.
fn put_days(cards: &mut [CardRow], days: &[f64]) {
    let mut done: BTreeMap<Option<i32>, f64> = BTreeMap::new();
    for (card, days) in cards.iter_mut().zip(days) {
        let done = done.entry(card.season).or_default();
        card.begins_on_crew_day = Some(to_a_millionth(*done).floor() as u64 + 1);
        *done += days;
        card.crew_days = Some(*days);
        card.crew_days_by_the_end = Some(*done);
    }
}

/// What sums of fractions leave beyond a millionth of a day says nothing.
fn to_a_millionth(days: f64) -> f64 {
    (days * 1e6).round() / 1e6
}

/// By zone; none where nothing is planted, or no track lies near.
fn drop_points(parts: &Parts) -> Vec<Option<DropPoint>> {
    let tracks = Tracks::new(&parts.ready.tracks);
    let mut planted = vec![false; parts.zones.zones.len()];
    for block in parts.blocks {
        planted[block.zone] = true;
    }
    let zones = parts.zones.zones.par_iter().zip(planted);
    let near = |drop: &DropPoint| drop.to_track_m <= TRACKS_WITHIN_M;
    zones
        .map(|(zone, planted)| {
            Some(zone).filter(|_| planted).and_then(|zone| tracks.drop_point(&zone.geometry))
        })
        .map(|drop| drop.filter(near))
        .collect()
}

/// What to be careful of, in a line.
fn hazards(parts: &Parts, zone: &Zone, drop: Option<DropPoint>, cautions: &[Caution]) -> String {
    let of_zone = cautions.iter().filter_map(|caution| {
        let at = caution.zones.iter().position(|id| *id == zone.id)?;
        let share = caution.zone_areas_m2.get(at)? / zone.plan_m2;
        Some(format!("{} {}", caution.about, on_share(share)))
    });
    let at_drop = parts.ready.keep_clear.iter().filter(|area| {
        let around = area.ask.as_ref().zip(drop);
        around.is_some_and(|(ask, drop)| ask.contains(&Point::new(drop.at[0], drop.at[1])))
    });
    let at_drop = at_drop.map(|area| {
        let rule = &parts.site.keep_clear[area.rule];
        format!("the drop point lies {}", crate::checks::within_words(rule))
    });
    of_zone.chain(at_drop).collect::<Vec<_>>().join("; ")
}

/// A share of a zone in words, never none and never all unless it is.
fn on_share(share: f64) -> String {
    match (share * 100.0).round() {
        _ if share >= 1.0 - 1e-9 => "on all of it".to_owned(),
        percent if percent < 1.0 => "on under 1 % of it".to_owned(),
        percent if percent > 99.0 => "on over 99 % of it".to_owned(),
        percent => format!("on {percent} % of it"),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use proptest::prelude::*;

    use super::*;
    use crate::write::fixture::card;

    /// Worked by hand: 0.6 and 0.4 days fill the first day, so the next card begins on the second.
    #[test]
    fn days_run_on_within_a_winter() {
        let mut cards = [2028, 2027, 2028, 2028].map(|year| card(1, "Z001-RIDGE", Some(year)));
        put_days(&mut cards, &[0.6, 5.0, 0.4, 2.5]);
        let begins: Vec<_> = cards.iter().map(|card| card.begins_on_crew_day.unwrap()).collect();
        assert_eq!(begins, [1, 1, 1, 2]);
        let done: Vec<_> = cards.iter().map(|card| card.crew_days_by_the_end.unwrap()).collect();
        for (found, expected) in done.iter().zip([0.6, 5.0, 1.0, 3.5]) {
            assert!((found - expected).abs() < 1e-12, "{done:?}");
        }
    }

    #[test]
    fn letters_go_on_after_z() {
        let cases = [
            (0, "A"),
            (25, "Z"),
            (26, "AA"),
            (27, "AB"),
            (51, "AZ"),
            (52, "BA"),
            (701, "ZZ"),
            (702, "AAA"),
        ];
        for (line, letter) in cases {
            assert_eq!(line_letter(line), letter);
        }
        let all: BTreeSet<String> = (0..20_000).map(line_letter).collect();
        assert_eq!(all.len(), 20_000, "a letter of its own for each line");
    }

    #[test]
    fn eight_colours_are_told_apart_and_come_again() {
        let names: BTreeSet<_> = (0..8).map(|at| line_colour(at).0).collect();
        let values: BTreeSet<_> = (0..8).map(|at| line_colour(at).1).collect();
        assert_eq!((names.len(), values.len()), (8, 8));
        assert_eq!(line_colour(8), line_colour(0));
    }

    #[test]
    fn shares_are_never_none_or_all_unless_they_are() {
        let shares = [1e-6, 0.004, 0.4, 0.999, 1.0].map(on_share);
        let words = ["under 1 %", "under 1 %", "40 %", "over 99 %", "all"];
        for (share, word) in shares.iter().zip(words) {
            assert_eq!(*share, format!("on {word} of it"));
        }
    }

    proptest! {
        #[test]
        fn boxes_hold_all_and_none_is_empty(plants in 0_u64..1_000_000, full in 1_u64..500) {
            let count = boxes(plants, NonZeroU64::new(full)).unwrap();
            prop_assert!(count * full >= plants);
            prop_assert!(count == 0 || (count - 1) * full < plants);
            prop_assert_eq!(boxes(plants, None), None);
        }
    }
}
