//! What codes of cover and drainage may stand for, by their words.

use crate::site::{DrainageClass, Treatment};

/// Words of cover that is planted, kept, or never planted. Scattered cover is not here: how much of it is gap has to be said.
/// Common practice, no source.
const COVER: [(&[&str], Treatment); 3] = [
    (
        &[
            "water",
            "lake",
            "pond",
            "river",
            "rock",
            "built",
            "urban",
            "settlement",
            "road",
            "yard",
            "quarry",
            "mine",
        ],
        Treatment::Never,
    ),
    (
        &[
            "manuka",
            "mānuka",
            "kanuka",
            "kānuka",
            "native",
            "indigenous",
            "bush",
            "forest",
            "remnant",
        ],
        Treatment::Keep,
    ),
    (
        &[
            "pasture",
            "grass",
            "gorse",
            "broom",
            "blackberry",
            "cropland",
            "bare",
            "cutover",
            "harvested",
        ],
        Treatment::Plant,
    ),
];

/// What may be done with cover of a name; none where its words do not say. It is a suggestion for a person to look at.
#[must_use]
pub fn guess_treatment(name: &str) -> Option<Treatment> {
    let name = name.to_lowercase();
    let is_patchy =
        ["scattered", "patchy", "open ", "scrub"].iter().any(|word| name.contains(word));
    if is_patchy {
        return None;
    }
    let of = |(words, treatment): &(&[&str], Treatment)| {
        words.iter().any(|word| name.contains(word)).then_some(*treatment)
    };
    COVER.iter().find_map(of)
}

/// Class of drainage that a code may stand for: by its words, the letters VP, P, I, MW, W, or the numbers 1 (very poor) to
/// 5 (well), in which national soil surveys count (from memory). It is a suggestion for a person to look at.
#[must_use]
pub fn guess_drainage(code: &str) -> Option<DrainageClass> {
    let plain: String = code.to_lowercase().chars().filter(|one| one.is_alphanumeric()).collect();
    Some(match plain.as_str() {
        "vp" | "1" => DrainageClass::VeryPoor,
        "p" | "2" => DrainageClass::Poor,
        "i" | "3" => DrainageClass::Imperfect,
        "mw" | "m" | "4" => DrainageClass::ModeratelyWell,
        "w" | "5" => DrainageClass::Well,
        words if words.starts_with("verypoor") => DrainageClass::VeryPoor,
        words if words.starts_with("poor") => DrainageClass::Poor,
        words if words.starts_with("imperfect") => DrainageClass::Imperfect,
        words if words.starts_with("moderate") => DrainageClass::ModeratelyWell,
        words if words.starts_with("well") => DrainageClass::Well,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_suggest_and_patchy_cover_is_asked_about() {
        assert_eq!(guess_treatment("High Producing Exotic Grassland"), Some(Treatment::Plant));
        assert_eq!(guess_treatment("Mānuka stand"), Some(Treatment::Keep));
        assert_eq!(guess_treatment("Lake or Pond"), Some(Treatment::Never));
        assert_eq!(guess_treatment("scattered mānuka"), None);
        assert_eq!(guess_treatment("7"), None);
    }

    #[test]
    fn drainage_goes_by_letters_words_and_numbers() {
        for (code, class) in [
            ("VP", DrainageClass::VeryPoor),
            ("poorly drained", DrainageClass::Poor),
            ("Very poorly drained", DrainageClass::VeryPoor),
            ("3", DrainageClass::Imperfect),
            ("moderately_well", DrainageClass::ModeratelyWell),
            ("Well drained", DrainageClass::Well),
        ] {
            assert_eq!(guess_drainage(code), Some(class), "{code}");
        }
        assert_eq!(guess_drainage("town"), None);
    }
}
