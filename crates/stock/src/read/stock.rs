//! One `[[stock]]`.

use super::faults::Faults;
use super::section::Section;
use super::{flowering, nectar, origin, supply, tolerance};
use crate::{LandformClass, Stock, StockKind, Survival, Tolerance};

const ID_LENGTH: usize = 24;

/// One stock; `None` when a part that it cannot be without is faulty.
pub(super) fn stock(section: &Section<'_>, faults: &mut Faults<'_>) -> Option<Stock> {
    section.refuse_unlisted(faults);
    for required in ["id", "name", "kind"] {
        section.require(required, faults);
    }
    let id = id(section, faults);
    let name = section.line("name", faults);
    let kind = section.word("kind", faults).map(|at| StockKind::ALL[at]);
    let status = supply::status(section, faults);
    let supply = supply::supply(section, status, faults);
    let min_lot = section.whole("min_lot", faults);
    let price_nzd = section.amount("price_nzd", faults);
    let lead_months = section.whole("lead_months", faults);
    let mature_height_m = section.amount("mature_height_m", faults);
    let nectar = section.table("nectar", faults).and_then(|table| nectar::nectar(&table, faults));
    let flowering =
        section.table("flowering", faults).and_then(|table| flowering::flowering(&table, faults));
    let survival = section
        .table("survival", faults)
        .map_or_else(Survival::default, |table| survival(&table, faults));
    let origin = section.table("origin", faults).map(|table| origin::origin(&table, faults));
    let tolerance = section
        .section("tolerance", "a table of factors", faults)
        .map_or_else(Tolerance::unlimited, |table| tolerance::tolerance(&table, faults));
    Some(Stock {
        id: id?.to_owned(),
        name: name?.to_owned(),
        kind: kind?,
        status,
        supply,
        min_lot,
        price_nzd,
        lead_months,
        mature_height_m,
        nectar,
        flowering,
        survival,
        origin,
        tolerance,
    })
}

fn id<'t>(section: &Section<'t>, faults: &mut Faults<'_>) -> Option<&'t str> {
    let id = section.text("id", faults)?;
    let sound = id.starts_with(|first: char| first.is_ascii_lowercase())
        && id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
        && id.len() <= ID_LENGTH;
    if !sound {
        let remedy = "shorten or respell it; the full name goes in `name`";
        section.wrong("id", format!("`{id}`"), section.expected("id"), remedy, faults);
    }
    sound.then_some(id)
}

/// Share alive by landform.
fn survival(section: &Section<'_>, faults: &mut Faults<'_>) -> Survival {
    section.refuse_unlisted(faults);
    LandformClass::ALL.into_iter().fold(Survival::default(), |survival, landform| {
        match section.amount(landform.key(), faults) {
            Some(alive) => survival.with(landform, alive),
            None => survival,
        }
    })
}
