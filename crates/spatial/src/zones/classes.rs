//! Factor classes: what kind of ground a cell is.

use serde::Serialize;

use crate::site::{MOST_BANDS, SlopeEdges, Treatment, ZoneFactor};

/// A LUC slope group, A (flat) to G (very steep).
///
/// Source: Lynn et al. 2009, Land Use Capability Survey Handbook, 3rd ed., Table 6:
/// A 0–3°, B 4–7°, C 8–15°, D 16–20°, E 21–25°, F 26–35°, G over 35°.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum SlopeGroup {
    /// Flat to gently undulating, 0–3°.
    A,
    /// Undulating, 4–7°.
    B,
    /// Rolling, 8–15°.
    C,
    /// Strongly rolling, 16–20°.
    D,
    /// Moderately steep, 21–25°.
    E,
    /// Steep, 26–35°.
    F,
    /// Very steep, over 35°.
    G,
}

impl SlopeGroup {
    /// All groups, gentlest first.
    pub const ALL: [Self; 7] = [Self::A, Self::B, Self::C, Self::D, Self::E, Self::F, Self::G];

    /// Upper edges of A to F, whole degrees.
    const UPPER_DEG: [f64; 6] = [3.0, 7.0, 15.0, 20.0, 25.0, 35.0];

    /// The group of a slope.
    ///
    /// The handbook prints whole degrees and leaves gaps between them (3–4, 7–8, …); `edges` says
    /// how a real number falls.
    #[must_use]
    pub fn of(slope_deg: f64, edges: SlopeEdges) -> Self {
        let slope = match edges {
            SlopeEdges::UpperBound => slope_deg,
            SlopeEdges::WholeDegrees => slope_deg.round(),
        };
        Self::ALL[Self::UPPER_DEG.iter().filter(|upper| slope > **upper).count()]
    }

    /// The least slope of single precision in each group from B to G.
    pub(super) fn begin_at(edges: SlopeEdges) -> [f32; 6] {
        Self::UPPER_DEG.map(|upper| match edges {
            SlopeEdges::UpperBound => (upper as f32).next_up(),
            SlopeEdges::WholeDegrees => upper as f32 + 0.5,
        })
    }

    /// Its letter.
    #[must_use]
    pub fn letter(self) -> &'static str {
        ["A", "B", "C", "D", "E", "F", "G"][self as usize]
    }
}

/// One of three steps of a factor: below both edges, between them, above both.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Step {
    /// Below the first edge.
    Low,
    /// From the first edge.
    Middle,
    /// From the second edge.
    High,
}

impl Step {
    /// All steps, lowest first.
    pub const ALL: [Self; 3] = [Self::Low, Self::Middle, Self::High];

    /// Where a value falls between two rising edges.
    #[must_use]
    pub fn of(value: f64, edges: [f64; 2]) -> Self {
        Self::ALL[edges.iter().filter(|edge| value >= **edge).count()]
    }

    /// Its word on the wetness ladder.
    #[must_use]
    pub fn wetness(self) -> &'static str {
        ["dry", "moist", "wet"][self as usize]
    }

    /// Its word on the sun ladder.
    #[must_use]
    pub fn sun(self) -> &'static str {
        ["shady", "even", "sunny"][self as usize]
    }

    /// Its word on the exposure ladder.
    #[must_use]
    pub fn exposure(self) -> &'static str {
        ["exposed", "moderate", "sheltered"][self as usize]
    }

    /// Its word on the frost ladder.
    #[must_use]
    pub fn frost(self) -> &'static str {
        ["unlikely", "likely", "severe"][self as usize]
    }
}

/// The classes of one cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Classes {
    /// Slope group.
    pub slope: SlopeGroup,
    /// Wetness step; `None` where it is not reckoned.
    pub wetness: Option<Step>,
    /// Sun step; `None` where it is not reckoned.
    pub sun: Option<Step>,
    /// Exposure step; `None` where it is not reckoned or not known.
    pub exposure: Option<Step>,
    /// Frost step; `None` where it is not reckoned or not known.
    pub frost: Option<Step>,
    /// Step of each further band; `None` where there is none or the layer has a hole.
    pub bands: [Option<Step>; MOST_BANDS],
    /// What is done with the cover.
    pub treatment: Treatment,
}

#[cfg(test)]
impl Classes {
    /// Level open ground of which nothing else is known.
    pub(crate) const OPEN: Self = Self {
        slope: SlopeGroup::A,
        wetness: None,
        sun: None,
        exposure: None,
        frost: None,
        bands: [None; MOST_BANDS],
        treatment: Treatment::Plant,
    };
}

/// The classes of a cell packed into one number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ClassCode(u32);

impl ClassCode {
    /// Codes there can be.
    pub const COUNT: usize = 7 * 4 * 4_usize.pow(4 + MOST_BANDS as u32);

    /// Packs.
    #[must_use]
    pub fn pack(classes: Classes) -> Self {
        let Classes { slope, wetness, sun, exposure, frost, bands, treatment } = classes;
        let some = [wetness, sun, exposure, frost].into_iter().chain(bands);
        let digit = |step: Option<Step>| step.map_or(0, |step| 1 + step as u32);
        let packed = some.fold(slope as u32, |code, step| code * 4 + digit(step));
        Self(packed * 4 + treatment as u32)
    }

    /// Unpacks.
    #[must_use]
    pub fn unpack(self) -> Classes {
        let (mut rest, treatment) = (self.0 / 4, self.0 % 4);
        let mut last = || {
            let digit = (rest % 4) as usize;
            rest /= 4;
            digit.checked_sub(1).map(|step| Step::ALL[step])
        };
        let mut bands = [None; MOST_BANDS];
        for band in bands.iter_mut().rev() {
            *band = last();
        }
        let [frost, exposure, sun, wetness] = std::array::from_fn(|_| last());
        Classes {
            slope: SlopeGroup::ALL[rest as usize],
            wetness,
            sun,
            exposure,
            frost,
            bands,
            treatment: Treatment::ALL[treatment as usize],
        }
    }

    /// Its slope group, without unpacking the rest.
    #[must_use]
    pub fn slope(self) -> SlopeGroup {
        SlopeGroup::ALL[self.index() / (Self::COUNT / SlopeGroup::ALL.len())]
    }

    /// Position in a table of [`ClassCode::COUNT`].
    #[must_use]
    pub fn index(self) -> usize {
        self.0 as usize
    }

    /// The code at a position below [`ClassCode::COUNT`].
    #[must_use]
    pub fn at(index: usize) -> Self {
        debug_assert!(index < Self::COUNT);
        Self(index as u32)
    }

    /// The code as zones see it: factors that bound no zone are set to one common class, so that
    /// they make no border. Treatments other than plant and infill always do.
    #[must_use]
    pub fn bounded_by(self, factors: &[ZoneFactor]) -> Self {
        let own = self.unpack();
        let has = |factor| factors.contains(&factor);
        Self::pack(Classes {
            slope: if has(ZoneFactor::SlopeGroup) { own.slope } else { SlopeGroup::A },
            wetness: if has(ZoneFactor::WetnessClass) { own.wetness } else { None },
            sun: if has(ZoneFactor::SunClass) { own.sun } else { None },
            exposure: if has(ZoneFactor::ExposureClass) { own.exposure } else { None },
            frost: if has(ZoneFactor::FrostClass) { own.frost } else { None },
            bands: own.bands, // only those that bound zones are there
            treatment: if has(ZoneFactor::CoverTreatment) || !own.treatment.is_planted() {
                own.treatment
            } else {
                Treatment::Plant
            },
        })
    }

    /// Every code as zones see it ([`ClassCode::bounded_by`]), by position; put together digit by
    /// digit, which is much faster than one code after another.
    pub(super) fn all_bounded_by(factors: &[ZoneFactor]) -> Vec<Self> {
        const STEPS: [u32; 4] = [0, 1, 2, 3];
        let has = |factor| factors.contains(&factor);
        let seen = |digits: &[u32], kept: bool| -> Vec<u32> {
            digits.iter().map(|digit| if kept { *digit } else { 0 }).collect()
        };
        let mut digits = vec![
            seen(&[0, 1, 2, 3, 4, 5, 6], has(ZoneFactor::SlopeGroup)),
            seen(&STEPS, has(ZoneFactor::WetnessClass)),
            seen(&STEPS, has(ZoneFactor::SunClass)),
            seen(&STEPS, has(ZoneFactor::ExposureClass)),
            seen(&STEPS, has(ZoneFactor::FrostClass)),
        ];
        digits.extend(std::iter::repeat_n(STEPS.to_vec(), MOST_BANDS));
        let kept = |one: Treatment| has(ZoneFactor::CoverTreatment) || !one.is_planted();
        digits.push(Treatment::ALL.map(|one| if kept(one) { one as u32 } else { 0 }).to_vec());
        let longer = |codes: Vec<u32>, digits: Vec<u32>| {
            let base = digits.len() as u32;
            let mut all = Vec::with_capacity(codes.len() * digits.len());
            for code in codes {
                all.extend(digits.iter().map(|one| code * base + one));
            }
            all
        };
        digits.into_iter().fold(vec![0], longer).into_iter().map(Self).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: Lynn et al. 2009, Land Use Capability Survey Handbook, 3rd ed., Table 6.
    #[test]
    fn whole_degrees_fall_in_the_handbook_groups() {
        let table = [
            (0.0, "A"),
            (3.0, "A"),
            (4.0, "B"),
            (7.0, "B"),
            (8.0, "C"),
            (15.0, "C"),
            (16.0, "D"),
            (20.0, "D"),
            (21.0, "E"),
            (25.0, "E"),
            (26.0, "F"),
            (35.0, "F"),
            (36.0, "G"),
            (90.0, "G"),
        ];
        for edges in [SlopeEdges::UpperBound, SlopeEdges::WholeDegrees] {
            for (slope, letter) in table {
                assert_eq!(SlopeGroup::of(slope, edges).letter(), letter, "{slope}° {edges:?}");
            }
        }
    }

    #[test]
    fn between_whole_degrees_the_switch_decides() {
        assert_eq!(SlopeGroup::of(35.2, SlopeEdges::UpperBound), SlopeGroup::G);
        assert_eq!(SlopeGroup::of(35.2, SlopeEdges::WholeDegrees), SlopeGroup::F);
        assert_eq!(SlopeGroup::of(3.4, SlopeEdges::UpperBound), SlopeGroup::B);
        assert_eq!(SlopeGroup::of(3.4, SlopeEdges::WholeDegrees), SlopeGroup::A);
    }

    #[test]
    fn groups_begin_where_slopes_fall_into_them() {
        for edges in [SlopeEdges::UpperBound, SlopeEdges::WholeDegrees] {
            let begin = SlopeGroup::begin_at(edges);
            for slope in begin.iter().flat_map(|edge| [edge.next_down(), *edge, edge.next_up()]) {
                let group = begin.iter().filter(|edge| slope >= **edge).count();
                assert_eq!(SlopeGroup::ALL[group], SlopeGroup::of(slope.into(), edges), "{slope}");
            }
        }
    }

    #[test]
    fn a_step_begins_at_its_edge() {
        let edges = [8.0, 11.0];
        assert_eq!(Step::of(7.999, edges).wetness(), "dry");
        assert_eq!(Step::of(8.0, edges).wetness(), "moist");
        assert_eq!(Step::of(11.0, edges).wetness(), "wet");
    }

    #[test]
    fn every_code_unpacks_to_what_was_packed() {
        for index in 0..ClassCode::COUNT {
            let code = ClassCode::at(index);
            assert_eq!(ClassCode::pack(code.unpack()), code);
            assert_eq!(code.index(), index);
            assert_eq!(code.slope(), code.unpack().slope);
        }
    }

    #[test]
    fn all_codes_are_seen_as_each_is() {
        let factors = ZoneFactor::ALL;
        let sets = (0..factors.len()).map(|at| &factors[at..=at]);
        for set in sets.chain([&factors[..], &factors[..0]]) {
            let all = ClassCode::all_bounded_by(set);
            assert_eq!(all.len(), ClassCode::COUNT);
            // A prime apart, so that every digit is met with every other; and the last.
            for at in (0..ClassCode::COUNT).step_by(37).chain([ClassCode::COUNT - 1]) {
                assert_eq!(all[at], ClassCode::at(at).bounded_by(set), "{at} {set:?}");
            }
        }
    }

    #[test]
    fn a_factor_that_bounds_no_zone_makes_no_border() {
        let steep = Classes {
            slope: SlopeGroup::G,
            wetness: Some(Step::High),
            sun: Some(Step::Low),
            exposure: Some(Step::Middle),
            frost: Some(Step::High),
            bands: [None; MOST_BANDS],
            treatment: Treatment::Infill,
        };
        let flat = Classes { slope: SlopeGroup::A, ..steep };
        let by = [ZoneFactor::WetnessClass];
        assert_eq!(ClassCode::pack(steep).bounded_by(&by), ClassCode::pack(flat).bounded_by(&by));
        let kept = Classes { treatment: Treatment::Keep, ..steep };
        assert_eq!(ClassCode::pack(kept).bounded_by(&[]).unpack().treatment, Treatment::Keep);
    }
}
