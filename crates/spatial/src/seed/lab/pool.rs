//! Samples that were pooled from several trees.

/// Words by which a name says that it is of several.
const WORDS: [&str; 8] =
    ["pool", "pooled", "bulk", "bulked", "composite", "composited", "combined", "mix"];

/// Marks that join names wherever they stand.
const JOINTS: [char; 4] = ['+', '&', ',', ';'];

/// Whether a tree's name is that of several: `T01+T02`, `T01 to T10`, `T01/T02`, `pooled ridge`.
///
/// A slash or a dash joins only names that are alike: `S1/T2` is one tree of a stand.
pub(super) fn is_pooled(tree_id: &str) -> bool {
    let lower = tree_id.to_lowercase();
    let mut words = lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    if lower.contains(JOINTS) || words.clone().any(|word| WORDS.contains(&word)) {
        return true;
    }
    let is_between = words.clone().count() >= 3 && words.by_ref().skip(1).any(|word| word == "to");
    is_between || ["/", "-", "–", ".."].iter().any(|joint| are_alike(&lower, joint))
}

/// Whether a name is made of several that differ in their number alone.
fn are_alike(name: &str, joint: &str) -> bool {
    let stem = |one: &str| {
        let stem = one.trim().trim_end_matches(|c: char| c.is_ascii_digit());
        (stem.len() < one.trim().len() && !stem.is_empty()).then(|| stem.to_owned())
    };
    let mut stems = name.split(joint).map(stem);
    let Some(Some(first)) = stems.next() else { return false };
    let rest: Vec<_> = stems.collect();
    !rest.is_empty() && rest.iter().all(|stem| stem.as_ref() == Some(&first))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_several_are_told_from_names_of_one() {
        for name in [
            "T01+T02",
            "T01 & T02",
            "T01, T02",
            "T01 to T10",
            "T01-to-T10",
            "T01/T02",
            "T01-T10",
            "T01–T10",
            "pooled ridge",
            "Bulk 3",
            "S001 composite",
            "t1/t2/t3",
        ] {
            assert!(is_pooled(name), "{name}");
        }
        for name in [
            "T01",
            "S001-T03",
            "S1/T2",
            "Toto",
            "Totara 3",
            "Poolburn 2",
            "tree 12",
            "12",
            "1/2",
            "to",
            "top to",
            "A-3",
            "",
            "/",
            "mānuka 7",
            "2026-T01",
        ] {
            assert!(!is_pooled(name), "{name}");
        }
    }
}
