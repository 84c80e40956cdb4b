//! `cards.csv`: one line a block, for the crew that plants.

use super::columns::CARDS;
use super::lon_lat::ToLonLat;
use super::points::degrees;
use super::schedule::csv_of;
use crate::plan::{CardRow, Plan};
use crate::problem::Problem;

/// Name of the file.
pub const CARDS_CSV: &str = "cards.csv";

/// Columns that the file adds: the drop point on the globe.
pub(super) const ON_GLOBE: [&str; 2] = ["drop_longitude_deg", "drop_latitude_deg"];

/// The cards as UTF-8 CSV, as [`schedule_csv`](super::schedule_csv) has it: the columns of a card, then
/// longitude and latitude of the drop point on WGS 84 with 7 decimals, empty where there is none.
///
/// # Errors
/// When a number is not finite or a point cannot be moved to the globe.
pub fn cards_csv(plan: &Plan, to_lon_lat: ToLonLat<'_>) -> Result<Vec<u8>, Problem> {
    let drops = drops_on_globe(plan, to_lon_lat).map_err(|problem| problem.file(CARDS_CSV))?;
    let rows = plan.cards.iter().zip(drops);
    let rows = rows.map(|(card, drop)| (card, drop.map_or_else(Default::default, degrees)));
    csv_of(&CARDS, rows, plan, CARDS_CSV, ON_GLOBE)
}

/// Longitude and latitude of each card's drop point, degrees on WGS 84; `None` where there is none.
///
/// # Errors
/// When a point cannot be moved to the globe.
pub(super) fn drops_on_globe(
    plan: &Plan,
    to_lon_lat: ToLonLat<'_>,
) -> Result<Vec<Option<(f64, f64)>>, Problem> {
    let place = |card: &CardRow| card.drop_east_m.zip(card.drop_north_m);
    let mut drops: Vec<(f64, f64)> = plan.cards.iter().filter_map(place).collect();
    if !drops.is_empty() {
        to_lon_lat(&mut drops)?;
    }
    let mut drops = drops.into_iter();
    Ok(plan.cards.iter().map(|card| place(card).and_then(|_| drops.next())).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::write::fixture;

    fn card(card_no: usize, drop: Option<[f64; 2]>) -> CardRow {
        CardRow {
            drop_east_m: drop.map(|drop| drop[0]),
            drop_north_m: drop.map(|drop| drop[1]),
            to_track_m: drop.map(|_| 12.5),
            boxes: None,
            spacing_m: 3.0,
            ..fixture::card(card_no, &format!("Z001-{card_no}"), None)
        }
    }

    #[test]
    fn only_a_card_with_a_drop_point_has_a_place_on_the_globe() {
        let mut plan = fixture::plan();
        plan.cards = vec![card(1, None), card(2, Some([175.0, -39.25])), card(3, None)];
        let as_they_are = |_: &mut [(f64, f64)]| Ok(());
        let bytes = cards_csv(&plan, &as_they_are).unwrap();
        let mut reader = csv::Reader::from_reader(&bytes[..]);
        let header = reader.headers().unwrap().clone();
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        let at = |name: &str| header.iter().position(|one| one == name).unwrap();
        let column =
            |name: &str| rows.iter().map(|row| row[at(name)].to_owned()).collect::<Vec<_>>();
        assert_eq!(header.len(), CARDS.len() + 2);
        assert_eq!(column("drop_longitude_deg"), ["", "175.0000000", ""]);
        assert_eq!(column("drop_latitude_deg"), ["", "-39.2500000", ""]);
        assert_eq!(column("to_track_m"), ["", "12.5", ""]);
        assert_eq!(column("pattern"), ["square"; 3]);
        assert_eq!(column("stock_name"), ["'=mānuka, tall"; 3], "no spreadsheet runs it");
    }

    #[test]
    fn no_cards_is_a_header_alone_and_asks_for_no_globe() {
        let lost = |_: &mut [(f64, f64)]| Err(Problem::error("globe"));
        let bytes = cards_csv(&fixture::plan(), &lost).unwrap();
        assert_eq!(String::from_utf8(bytes).unwrap().lines().count(), 1);
    }
}
