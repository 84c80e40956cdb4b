//! A colour of a screen or of print, and how it compares with another.

use std::fmt;

use crate::sight::Sight;

/// A colour: red, green and blue of sRGB, 0 to 255 each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Colour(pub [u8; 3]);

impl Colour {
    /// From a number written as `0xRRGGBB`.
    #[must_use]
    pub const fn new(rgb: u32) -> Self {
        Self([(rgb >> 16) as u8, (rgb >> 8) as u8, rgb as u8])
    }

    /// From `#RRGGBB`, in letters of either case.
    ///
    /// ```
    /// use palette::Colour;
    /// assert_eq!(Colour::parse("#0076a3"), Some(Colour::new(0x00_76_A3)));
    /// assert_eq!(Colour::parse("0076a3"), None);
    /// ```
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let digits = text.strip_prefix('#').filter(|digits| {
            digits.len() == 6 && digits.bytes().all(|digit| digit.is_ascii_hexdigit())
        })?;
        u32::from_str_radix(digits, 16).ok().map(Self::new)
    }

    /// Share of red, green and blue light, 0 to 1, linear.
    ///
    /// Source: IEC 61966-2-1, sRGB (constants from memory).
    #[must_use]
    pub fn linear(self) -> [f64; 3] {
        self.0.map(|channel| {
            let value = f64::from(channel) / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        })
    }

    /// Relative luminance, 0 (black) to 1 (white).
    ///
    /// Source: WCAG 2.2, "relative luminance"; coefficients of IEC 61966-2-1.
    #[must_use]
    pub fn luminance(self) -> f64 {
        luminance(self.linear())
    }

    /// Contrast with another colour, 1 to 21. Large where text is read with ease: WCAG 2.2 asks for 4.5 of text
    /// and 3 of parts of a picture.
    #[must_use]
    pub fn contrast(self, other: Self) -> f64 {
        let [a, b] = [self.luminance(), other.luminance()];
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// Lightness, 0 to 100: what is left of it in grey.
    ///
    /// Source: CIE 15, L\* of CIELAB.
    #[must_use]
    pub fn lightness(self) -> f64 {
        self.lab(Sight::Full)[0]
    }

    /// How far apart two colours look to a kind of sight: the distance in CIELAB (ΔE of 1976), where 2 to 3 is
    /// just seen side by side.
    ///
    /// Source: CIE 15; Machado, Oliveira & Fernandes 2009 for sight.
    #[must_use]
    pub fn distance(self, other: Self, sight: Sight) -> f64 {
        let [a, b] = [self.lab(sight), other.lab(sight)];
        (0..3).map(|at| (a[at] - b[at]).powi(2)).sum::<f64>().sqrt()
    }

    /// Black or white, whichever is read on it with more ease.
    #[must_use]
    pub fn ink(self) -> Self {
        let [black, white] = [Self::new(0), Self::new(0xFF_FF_FF)];
        if self.contrast(black) >= self.contrast(white) { black } else { white }
    }

    /// Lightness and the two axes of colour of CIELAB under D65, as a kind of sight has them.
    fn lab(self, sight: Sight) -> [f64; 3] {
        /// White of D65 (2° observer): CIE 15, from memory.
        const WHITE: [f64; 3] = [0.95047, 1.0, 1.08883];
        let [r, g, b] = sight.seen(self.linear());
        let x = 0.412_456_4 * r + 0.357_576_1 * g + 0.180_437_5 * b;
        let z = 0.019_333_9 * r + 0.119_192 * g + 0.950_304_1 * b;
        let [fx, fy, fz] =
            [x / WHITE[0], luminance([r, g, b]) / WHITE[1], z / WHITE[2]].map(|part| {
                if part > 216.0 / 24389.0 {
                    part.cbrt()
                } else {
                    (24389.0 / 27.0 * part + 16.0) / 116.0
                }
            });
        [116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz)]
    }
}

fn luminance([r, g, b]: [f64; 3]) -> f64 {
    0.212_672_9 * r + 0.715_152_2 * g + 0.072_175 * b
}

/// As `#RRGGBB`.
impl fmt::Display for Colour {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [r, g, b] = self.0;
        write!(out, "#{r:02X}{g:02X}{b:02X}")
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Source: WCAG 2.2, understanding success criterion 1.4.3: black on white is 21 to 1, and #767676 on white
    /// is the lightest grey that reaches 4.5 to 1.
    #[test]
    fn contrast_is_that_of_the_guidelines() {
        let [white, black] = [Colour::new(0xFF_FF_FF), Colour::new(0)];
        assert!((white.contrast(black) - 21.0).abs() < 1e-4);
        assert!(white.contrast(Colour::new(0x76_76_76)) >= 4.5);
        assert!(white.contrast(Colour::new(0x77_77_77)) < 4.5);
    }

    /// Source: CIELAB of the sRGB primaries under D65 as colour libraries print them (from memory).
    #[test]
    fn lab_is_that_of_the_primaries() {
        let cases = [
            (0xFF_00_00, [53.24, 80.09, 67.20]),
            (0x00_FF_00, [87.73, -86.18, 83.18]),
            (0x00_00_FF, [32.30, 79.19, -107.86]),
            (0xFF_FF_FF, [100.0, 0.0, 0.0]),
        ];
        for (rgb, lab) in cases {
            let found = Colour::new(rgb).lab(Sight::Full);
            for at in 0..3 {
                assert!((found[at] - lab[at]).abs() < 0.05, "{found:?} {lab:?}");
            }
        }
    }

    proptest! {
        #[test]
        fn text_and_back(rgb in 0_u32..0x0100_0000) {
            let colour = Colour::new(rgb);
            prop_assert_eq!(Colour::parse(&colour.to_string()), Some(colour));
            prop_assert_eq!(Colour::parse(&colour.to_string().to_lowercase()), Some(colour));
        }

        #[test]
        fn ink_is_always_read(rgb in 0_u32..0x0100_0000) {
            let colour = Colour::new(rgb);
            prop_assert!(colour.contrast(colour.ink()) >= 4.5);
        }

        #[test]
        fn distance_is_one(a in 0_u32..0x0100_0000, b in 0_u32..0x0100_0000) {
            let [a, b] = [Colour::new(a), Colour::new(b)];
            for sight in Sight::ALL {
                prop_assert!((a.distance(b, sight) - b.distance(a, sight)).abs() < 1e-9);
                prop_assert!(a.distance(a, sight) < 1e-9);
            }
        }

        #[test]
        fn no_text_panics(text in "\\PC*") {
            let _ = Colour::parse(&text);
        }
    }
}
