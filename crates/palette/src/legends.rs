//! The legends. Colours are our own: found by a search for the set whose two nearest colours lie farthest apart
//! under five kinds of sight, at even steps of lightness.

use crate::class::Class;
use crate::colour::Colour;
use crate::legend::Legend;
use crate::pattern::Pattern;

/// Ink of borders and words.
pub const BORDER: Colour = Colour::new(0x22_22_22);
/// Paper.
pub const PAPER: Colour = Colour::new(0xFF_FF_FF);
/// Colours of lines, each with its name and pattern, in the order in which planted lines take them: the first few
/// lie farthest apart in grey.
pub const LINES: [(&str, Colour, Pattern); 8] = [
    ("sky", Colour::new(0x62_C7_F4), Pattern::Plain),
    ("violet", Colour::new(0x7B_26_9D), Pattern::Rising),
    ("sand", Colour::new(0xFE_C8_87), Pattern::Level),
    ("olive", Colour::new(0x61_65_05), Pattern::Upright),
    ("pink", Colour::new(0xED_36_9A), Pattern::Falling),
    ("lime", Colour::new(0x7E_B9_0E), Pattern::Crossed),
    ("blue", Colour::new(0x59_5F_F3), Pattern::Squared),
    ("clay", Colour::new(0xD1_81_72), Pattern::Dense),
];

/// Colours of lines of charts, dark enough to be seen on paper.
pub const STROKES: [Colour; 8] = [
    Colour::new(0x0B_76_83),
    Colour::new(0x7B_26_9D),
    Colour::new(0x61_65_05),
    Colour::new(0xED_36_9A),
    Colour::new(0x59_5F_F3),
    Colour::new(0x8B_41_37),
    Colour::new(0x12_35_1F),
    Colour::new(0x00_00_00),
];

fn class(key: &str, label: &str, letter: &str, colour: Colour, pattern: Pattern) -> Class {
    Class {
        key: key.to_owned(),
        label: label.to_owned(),
        letter: letter.to_owned(),
        colour,
        pattern,
    }
}

/// Lines that are planted, by their key, name and letter, each once however often it is told, as letters count: Z comes
/// before AA. Beyond eight, colours come again under other patterns.
#[must_use]
pub fn lines<'a>(told: impl IntoIterator<Item = (&'a str, &'a str, &'a str)>) -> Legend {
    let mut planted: Vec<_> = told.into_iter().collect();
    planted.sort_by_key(|(_, _, letter)| (letter.len(), *letter));
    planted.dedup();
    let drawn = |(at, (key, label, letter)): (usize, (&str, &str, &str))| {
        let (turn, place) = (at / LINES.len(), at % LINES.len());
        let pattern = LINES[(place + turn) % LINES.len()].2;
        class(key, label, letter, LINES[place].1, pattern)
    };
    Legend {
        name: "lines",
        title: "Lines",
        field: "stock_id",
        classes: planted.into_iter().enumerate().map(drawn).collect(),
    }
}

/// What becomes of ground that no line is planted on.
#[must_use]
pub fn land() -> Legend {
    Legend {
        name: "land",
        title: "Ground without planting",
        field: "land",
        classes: vec![
            class("stand", "native stand, kept", "s", Colour::new(0x12_35_1F), Pattern::Dotted),
            class("keep_clear", "kept clear", "k", Colour::new(0xE4_E2_DC), Pattern::Falling),
            class("left", "left to regenerate", "r", Colour::new(0xFF_FF_FF), Pattern::Plain),
        ],
    }
}

/// Treatments of zones.
#[must_use]
pub fn ground() -> Legend {
    Legend {
        name: "treatment",
        title: "What is done",
        field: "cover_treatment",
        classes: vec![
            class("plant", "planted", "p", LINES[2].1, Pattern::Plain),
            class("infill", "gaps filled", "i", LINES[5].1, Pattern::Dotted),
        ],
    }
}

/// LUC slope groups, the steeper the darker.
///
/// Source of the edges: Lynn et al. 2009, Land Use Capability Survey Handbook, third edition.
#[must_use]
pub fn slope_groups() -> Legend {
    const GROUPS: [(&str, &str, u32, Pattern); 7] = [
        ("A", "0 to 3°, flat to gently undulating", 0xFC_F4_D1, Pattern::Plain),
        ("B", "4 to 7°, undulating", 0xF9_CD_96, Pattern::Dotted),
        ("C", "8 to 15°, rolling", 0xF0_A6_5D, Pattern::Level),
        ("D", "16 to 20°, strongly rolling", 0xD7_80_4E, Pattern::Rising),
        ("E", "21 to 25°, moderately steep", 0xBD_5A_3F, Pattern::Falling),
        ("F", "26 to 35°, steep", 0x8B_41_37, Pattern::Crossed),
        ("G", "over 35°, very steep", 0x5D_29_2E, Pattern::Dense),
    ];
    let drawn = |(letter, words, rgb, pattern): (&str, &str, u32, Pattern)| {
        class(letter, words, letter, Colour::new(rgb), pattern)
    };
    Legend {
        name: "slope_groups",
        title: "Slope group",
        field: "slope_group",
        classes: GROUPS.map(drawn).into(),
    }
}

/// Shares of ground protected, in fifths, the more the darker.
#[must_use]
pub fn cover_bands() -> Legend {
    const BANDS: [(&str, &str, u32, Pattern); 5] = [
        ("1", "under 20 % protected", 0xFD_EF_DE, Pattern::Falling),
        ("2", "20 to 40 %", 0xA2_C9_B8, Pattern::Plain),
        ("3", "40 to 60 %", 0x56_9F_9B, Pattern::Level),
        ("4", "60 to 80 %", 0x0B_76_83, Pattern::Rising),
        ("5", "80 % and more", 0x00_4D_6C, Pattern::Plain),
    ];
    let drawn = |(number, words, rgb, pattern): (&str, &str, u32, Pattern)| {
        class(number, words, number, Colour::new(rgb), pattern)
    };
    Legend {
        name: "cover_bands",
        title: "Ground protected",
        field: "cover_band",
        classes: BANDS.map(drawn).into(),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::sight::Sight;

    fn eight() -> Legend {
        let keys = ["A", "B", "C", "D", "E", "F", "G", "H"];
        lines(keys.map(|key| (key, key, key)))
    }

    fn all() -> Vec<Legend> {
        vec![eight(), land(), ground(), slope_groups(), cover_bands()]
    }

    /// Smallest of a measure over all pairs.
    fn least(colours: &[Colour], measure: impl Fn(Colour, Colour) -> f64) -> f64 {
        let pairs = colours.iter().enumerate();
        pairs
            .flat_map(|(at, a)| colours[at + 1..].iter().map(move |b| (*a, *b)))
            .map(|(a, b)| measure(a, b))
            .fold(f64::INFINITY, f64::min)
    }

    fn colours(legends: &[Legend]) -> Vec<Colour> {
        legends.iter().flat_map(|one| &one.classes).map(|class| class.colour).collect()
    }

    /// The mosaic shows lines beside stands, ground kept clear and ground left: all eleven are told apart.
    #[test]
    fn colours_of_the_mosaic_are_far_apart_to_any_eye() {
        let all = colours(&[eight(), land()]);
        for sight in [Sight::Full, Sight::Protan, Sight::Deutan, Sight::Tritan] {
            let nearest = least(&all, |a, b| a.distance(b, sight));
            // Ground kept clear and ground left are both pale: hatched and not.
            assert!(nearest > 10.0, "{sight:?}: {nearest}");
            let lines = least(&colours(&[eight()]), |a, b| a.distance(b, sight));
            assert!(lines > 25.0, "{sight:?}: {lines}");
        }
    }

    #[test]
    fn lines_are_even_steps_of_grey() {
        let apart =
            least(&colours(&[eight(), land()]), |a, b| (a.lightness() - b.lightness()).abs());
        assert!(apart > 5.5, "{apart}");
        let first = least(&colours(&[eight()])[..4], |a, b| (a.lightness() - b.lightness()).abs());
        assert!(first > 6.5, "{first}");
    }

    #[test]
    fn ramps_darken_by_steps_that_any_eye_sees() {
        for legend in [slope_groups(), cover_bands()] {
            for pair in legend.classes.windows(2) {
                let [a, b] = [pair[0].colour, pair[1].colour];
                assert!(a.lightness() - b.lightness() > 9.0, "{a} {b}");
                for sight in Sight::ALL {
                    assert!(a.distance(b, sight) > 9.0, "{a} {b} {sight:?}");
                }
            }
        }
    }

    /// WCAG 2.2: 4.5 for letters (1.4.3); 3 for what is needed to know a part of a picture (1.4.11), which borders
    /// give pale classes and patterns give dark ones.
    #[test]
    fn letters_borders_and_patterns_are_seen() {
        for class in all().iter().flat_map(|legend| &legend.classes) {
            assert!(class.colour.contrast(class.ink()) >= 4.5, "{class:?}");
            let on_paper = class.colour.contrast(PAPER).max(BORDER.contrast(PAPER));
            assert!(on_paper >= 3.0, "{class:?}");
            if class.pattern != Pattern::Plain {
                assert!(class.colour.contrast(class.hatch()) >= 2.0, "{class:?}");
            }
        }
        assert!(BORDER.contrast(PAPER) >= 7.0);
    }

    /// WCAG 2.2, 1.4.11: 3 for what is needed to read a chart.
    #[test]
    fn lines_of_charts_are_seen() {
        for stroke in STROKES {
            assert!(stroke.contrast(PAPER) >= 3.0, "{stroke}");
        }
    }

    #[test]
    fn each_class_has_its_own_key_letter_and_look() {
        for legend in all() {
            let of = |part: fn(&Class) -> String| -> BTreeSet<String> {
                legend.classes.iter().map(part).collect()
            };
            assert_eq!(of(|class| class.key.clone()).len(), legend.classes.len());
            assert_eq!(of(|class| class.letter.clone()).len(), legend.classes.len());
            assert_eq!(of(|class| class.label.clone()).len(), legend.classes.len());
            assert_eq!(of(|class| class.colour.to_string()).len(), legend.classes.len());
            assert!(legend.classes.iter().all(|class| legend.class(&class.key) == Some(class)));
        }
    }

    #[test]
    fn beyond_eight_the_pattern_tells_lines_apart() {
        let names: Vec<String> = (0..64).map(|at| format!("L{at}")).collect();
        let legend = lines(names.iter().map(|name| (name.as_str(), name.as_str(), name.as_str())));
        let looks: BTreeSet<_> =
            legend.classes.iter().map(|one| (one.colour, one.pattern.name())).collect();
        assert_eq!(looks.len(), 64);
    }
}
