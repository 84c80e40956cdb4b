//! What people must know before hives are brought and while lines flower.

use super::blocks::Sown;
use crate::checks::BriefCaution;

/// Rules for everyone: common practice, no source.
pub(super) fn cautions(sown: &Sown) -> Vec<BriefCaution> {
    let caution = BriefCaution::new;
    let untold = sown.blocks.iter().any(|block| block.flowering.is_none());
    let mut all = vec![
        caution(
            "dates",
            "windows are the stock file's, and a year may move them by weeks: look at the plants before hives are \
             brought",
        ),
        caution(
            "access",
            "a track on the map says nothing of trucks: look at it on foot, wet and dry, for width, edges, slips, bridges \
             and a place to turn, before a loaded vehicle goes in",
        ),
        caution(
            "ground",
            "stay off ground below slips and bluffs and where floods reach; streams rise by night",
        ),
        caution(
            "spray",
            "nothing is sprayed on plants in flower, nor where drift reaches hives, water or neighbours; tell the \
             beekeeper days before any spraying near by",
        ),
        caution(
            "people",
            "keep hives away from houses, yards, public ways, stock water and power lines, and tell those who work near \
             them; a sting can kill those who are allergic",
        ),
        caution(
            "neighbours",
            "other hives share what flowers here, and bees of these fly beyond the boundary: what grows and stands there \
             is not known",
        ),
        caution(
            "rules",
            "local rules and licensed people decide, on hives, spray, lines and vehicles alike",
        ),
    ];
    if untold {
        all.insert(
            1,
            caution(
                "lines",
                "lines without a window in the stock file are left out of all figures of bloom",
            ),
        );
    }
    all
}
