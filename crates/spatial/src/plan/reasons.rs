//! Why a stock stands where it stands, in a sentence that a landowner can check.

use std::fmt::Write;

use stock::{Library, Stock, StockKind};

use crate::fit::ZoneFit;
use crate::site::Site;

/// A line beside its fit in one zone.
type Line<'a> = (&'a Stock, &'a ZoneFit);

/// Why a zone's ground went to the stock at `taken`.
pub(super) fn why_planted(
    taken: usize,
    fits: &[ZoneFit],
    library: &Library,
    site: &Site,
    mixed: bool,
) -> String {
    let lines: Vec<Line> = library.stocks().iter().zip(fits).collect();
    let (stock, fit) = lines[taken];
    let mut reason =
        format!("{} fits {:.2} ({}): {}", stock.name, fit.fit, fit.order.code(), fit.sentence());
    if stock.kind == StockKind::SeedLine {
        reason.push_str("; ");
        reason.push_str(&why_not_cultivar(&lines, site));
    } else if let Some((better, theirs)) = better(&lines, taken) {
        let _ = write!(
            reason,
            "; {} fits {:.2} but its supply is needed elsewhere",
            better.name, theirs.fit
        );
    }
    if mixed {
        reason.push_str("; planted as a mixture with the other line of this zone");
    }
    reason
}

/// A stock of the same kind that fits better than the one taken.
fn better<'a>(lines: &[Line<'a>], taken: usize) -> Option<Line<'a>> {
    let (stock, fit) = lines[taken];
    let same_kind = lines.iter().filter(|(other, _)| other.kind == stock.kind);
    let best = best_of(same_kind.copied())?;
    (best.1.fit > fit.fit + 0.005).then_some(best)
}

/// Why local seed stands where a cultivar could.
fn why_not_cultivar(lines: &[Line], site: &Site) -> String {
    let cultivars = lines.iter().filter(|(stock, _)| stock.kind == StockKind::Cultivar).copied();
    match best_of(cultivars) {
        None => "no cultivar is in the stock file".to_owned(),
        Some((stock, fit)) if fit.fit < site.mosaic.fit_floor => {
            format!("no cultivar fits: {} is {}", stock.name, fit.sentence())
        }
        Some((stock, fit)) => format!(
            "{}, the best cultivar here, fits {:.2} ({}) and does more elsewhere",
            stock.name,
            fit.fit,
            fit.sentence()
        ),
    }
}

/// Why part of a zone is left; empty when nothing is.
pub(super) fn why_left(
    left_share: f64,
    gap_share: f64,
    fits: &[ZoneFit],
    library: &Library,
    site: &Site,
) -> String {
    if left_share <= 0.0 {
        return String::new();
    }
    if gap_share <= 0.0 {
        return "existing cover fills it".to_owned();
    }
    match best_of(library.stocks().iter().zip(fits)) {
        None => "the stock file is empty".to_owned(),
        Some((stock, fit)) if fit.fit < site.mosaic.fit_floor => {
            format!("no stock fits; the nearest is {}: {}", stock.name, fit.sentence())
        }
        Some(_) => "the stock that fits is used up or capped".to_owned(),
    }
}

/// The line with the best fit; the first among equals.
pub(super) fn best_of<'a>(lines: impl Iterator<Item = Line<'a>>) -> Option<Line<'a>> {
    lines.reduce(|best, next| if next.1.fit > best.1.fit { next } else { best })
}
