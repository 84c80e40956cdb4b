//! Which kept cover is sampled.

use crate::problem::Problem;
use crate::site::{Site, Treatment};

/// Positions in the cover table of the kept classes that are sampled: those that `seed.cover` names, or
/// the only one there is.
///
/// # Errors
/// When the site has no kept class, or several of which none is named.
pub(super) fn sampled_cover(site: &Site) -> Result<Vec<u8>, Problem> {
    let table = site.layers.cover.as_ref().map_or(&[][..], |source| &source.table[..]);
    let kept: Vec<(u8, &str)> = table
        .iter()
        .enumerate()
        .filter(|(_, row)| row.class.treatment == Treatment::Keep)
        .map(|(at, row)| (at as u8, row.class.name.as_str()))
        .collect();
    let problem = || Problem::error("seed.cover").file(&site.file);
    if kept.is_empty() {
        return Err(problem()
            .found("no kept cover class")
            .expected(
                "stands to sample: a class with treatment = \"keep\" in [[layers.cover.class]]",
            )
            .remedy("name the cover layer and keep the class that is to be sampled"));
    }
    let mut names: Vec<&str> = kept.iter().map(|(_, name)| *name).collect();
    names.dedup();
    let is_named = |name: &str| match &site.seed.cover[..] {
        [] => names.len() == 1,
        chosen => chosen.iter().any(|one| one == name),
    };
    let sampled: Vec<u8> =
        kept.iter().filter(|(_, name)| is_named(name)).map(|(at, _)| *at).collect();
    if sampled.is_empty() {
        return Err(problem()
            .found(match site.seed.cover.len() {
                0 => format!("nothing, and {} kept cover classes", names.len()),
                _ => format!("\"{}\"", site.seed.cover.join("\", \"")),
            })
            .expected(format!("one or more of the kept classes: {}", names.join(", ")))
            .remedy(format!("say which is sampled, such as cover = [\"{}\"]", names[0])));
    }
    Ok(sampled)
}
