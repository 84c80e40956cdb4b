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
    if tree_id.bytes().all(|byte| byte.is_ascii_alphanumeric()) {
        return WORDS.iter().any(|word| tree_id.eq_ignore_ascii_case(word)); // one word, as most are
    }
    let lower = tree_id.to_lowercase();
    let words: Vec<&str> =
        lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let (first, last) = (0, words.len().saturating_sub(1));
    let is_to = |(at, word): (usize, &&str)| *word == "to" && at != first && at != last;
    lower.contains(JOINTS)
        || words.iter().any(|word| WORDS.contains(word))
        || words.iter().enumerate().any(is_to)
        || ["/", "-", "–", ".."].iter().any(|joint| are_alike(&lower, joint))
}

/// Whether a name is made of several that differ in their number alone.
fn are_alike(name: &str, joint: &str) -> bool {
    let mut parts = name.split(joint).map(str::trim);
    let Some(first) = parts.next().and_then(stem) else { return false };
    let mut rest = parts.peekable();
    rest.peek().is_some() && rest.all(|part| stem(part) == Some(first))
}

/// A name without the number at its end; `None` where either is missing.
fn stem(name: &str) -> Option<&str> {
    let stem = name.trim_end_matches(|c: char| c.is_ascii_digit());
    (stem.len() < name.len() && !stem.is_empty()).then_some(stem)
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
