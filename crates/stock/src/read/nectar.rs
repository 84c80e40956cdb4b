//! `[stock.nectar]`.

use super::faults::Faults;
use super::section::Section;
use crate::nectar::{DhaRatio, Nectar, NormalisedDha};

const RATIO: [&str; 2] = ["ratio_mean", "ratio_sd"];
const NORMALISED: [&str; 2] = ["normalised_mg_per_kg", "normalised_sd_mg_per_kg"];

/// Reads the mean and the spread in either unit; `None` when there is no sound mean.
pub(super) fn nectar(section: &Section<'_>, faults: &mut Faults<'_>) -> Option<Nectar> {
    section.refuse_unlisted(faults);
    let by_ratio = RATIO.map(|key| section.amount(key, faults));
    let normalised = NORMALISED.map(|key| section.amount(key, faults));
    let trees = section.whole("trees", faults);
    let has_ratio = RATIO.iter().any(|key| section.has(key));
    if let Some(second) = NORMALISED.into_iter().find(|key| has_ratio && section.has(key)) {
        let expected = "either the ratio or the figure at 80 °Brix, not both";
        let remedy = format!("take `{second}` out: it is the ratio times 800,000");
        section.wrong(second, "both", expected, remedy, faults);
        return None;
    }
    let [mean, sd] = if has_ratio {
        by_ratio
    } else {
        normalised.map(|dha| dha.and_then(NormalisedDha::new).map(|dha| dha.ratio().mg_per_mg()))
    };
    let mean_key =
        if NORMALISED.iter().any(|key| section.has(key)) { NORMALISED[0] } else { RATIO[0] };
    section.require(mean_key, faults);
    Some(Nectar { ratio_mean: DhaRatio::new(mean?)?, ratio_sd: sd, trees })
}
