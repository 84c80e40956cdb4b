//! Fit of many places at once: the same formula as [`Tolerance::fit`], value for value, laid out so
//! that the machine works on several places in one step.

use crate::{DRAINAGE_CLASSES, Factor, Fit, Limit, Side, Tolerance};

/// Places side by side, factor by factor: at most [`Strip::CELLS`] of them. 41 kB, made once and
/// filled again and again.
#[derive(Debug, Clone)]
pub struct Strip {
    /// By numeric factor, in its unit; NaN where not known.
    numeric: Box<[[f64; Strip::CELLS]]>,
    /// Which numeric factors were filled at all.
    is_filled: [bool; Factor::NUMERIC.len()],
    /// Step of [`DRAINAGE_CLASSES`]; one more where not known.
    drainage: Option<Box<[u8; Strip::CELLS]>>,
}

/// Fit of every place of a strip.
#[derive(Debug, Clone)]
pub struct StripFit {
    /// 0 to 1.
    values: Box<[f64; Strip::CELLS]>,
    /// [`Limit::index`], [`Limit::COUNT`] where nothing limits; as numbers of the same width as the
    /// values, so that both are chosen by one comparison.
    limits: Box<[f64; Strip::CELLS]>,
}

impl Strip {
    /// Places in a strip: few enough that all its factors stay in a core's own memory.
    pub const CELLS: usize = 512;

    /// Nothing is known.
    #[must_use]
    pub fn new() -> Self {
        Self {
            numeric: vec![[f64::NAN; Self::CELLS]; Factor::NUMERIC.len()].into_boxed_slice(),
            is_filled: [false; Factor::NUMERIC.len()],
            drainage: None,
        }
    }

    /// Values of a numeric factor from place `from` on, NaN where not known. What reaches beyond the
    /// strip is left out; drainage, which is no number, is left alone.
    pub fn fill(&mut self, factor: Factor, from: usize, values: &[f32]) {
        let Some(column) = self.numeric.get_mut(factor.index()) else { return };
        self.is_filled[factor.index()] = true;
        for (slot, value) in column.iter_mut().skip(from).zip(values) {
            *slot = f64::from(*value);
        }
    }

    /// Drainage classes from place `from` on, as steps of [`DRAINAGE_CLASSES`]; `None` where not known.
    pub fn fill_drainage(&mut self, from: usize, classes: impl Iterator<Item = Option<u8>>) {
        let unknown = DRAINAGE_CLASSES.len() as u8;
        let column = self.drainage.get_or_insert_with(|| Box::new([unknown; Self::CELLS]));
        for (slot, class) in column.iter_mut().skip(from).zip(classes) {
            *slot = class.unwrap_or(unknown).min(unknown);
        }
    }

    /// Whether a factor is not known at a place.
    #[must_use]
    pub fn is_unknown(&self, factor: Factor, at: usize) -> bool {
        match self.numeric.get(factor.index()) {
            Some(column) => column[at].is_nan(),
            None => self
                .drainage
                .as_ref()
                .is_none_or(|column| usize::from(column[at]) >= DRAINAGE_CLASSES.len()),
        }
    }
}

impl Default for Strip {
    fn default() -> Self {
        Self::new()
    }
}

impl StripFit {
    /// Room for the fit of a strip.
    #[must_use]
    pub fn new() -> Self {
        let none = Limit::COUNT as f64;
        Self { values: Box::new([1.0; Strip::CELLS]), limits: Box::new([none; Strip::CELLS]) }
    }

    /// The fit of every place, 0 to 1.
    #[must_use]
    pub fn values(&self) -> &[f64; Strip::CELLS] {
        &self.values
    }

    /// [`Limit::index`] of what limits a place; [`Limit::COUNT`] when nothing does.
    #[must_use]
    pub fn limit_index(&self, at: usize) -> usize {
        self.limits[at] as usize
    }

    /// The fit of one place.
    #[must_use]
    pub fn at(&self, at: usize) -> Fit {
        Fit { value: self.values[at], limiting: Limit::from_index(self.limit_index(at)) }
    }
}

impl Default for StripFit {
    fn default() -> Self {
        Self::new()
    }
}

impl Tolerance {
    /// Fits every place of a strip: [`Tolerance::fit`] of each, to the bit. Places that were not
    /// filled hold what an earlier filling left.
    ///
    /// Cost: a division for each end of each factor that is given and filled, two places or more in
    /// one step.
    pub fn fit_strip(&self, strip: &Strip, fit: &mut StripFit) {
        fit.values.fill(1.0);
        fit.limits.fill(Limit::COUNT as f64);
        for factor in Factor::NUMERIC {
            if let Some(range) = self.range(factor)
                && strip.is_filled[factor.index()]
            {
                let sides = [Side::TooLow, Side::TooHigh];
                let ends = Ends {
                    lower: range.lower(),
                    upper: range.upper(),
                    codes: sides.map(|side| Limit { factor, side }.index() as f64),
                };
                ends.limit(&strip.numeric[factor.index()], fit);
            }
        }
        if let (Some(classes), Some(_)) = (&strip.drainage, self.drainage()) {
            self.limit_by_drainage(classes, fit);
        }
    }

    fn limit_by_drainage(&self, classes: &[u8; Strip::CELLS], fit: &mut StripFit) {
        // One more for a class that is not known, which does not limit.
        let memberships = self.drainage_memberships();
        let factor = Factor::Drainage;
        let mut codes = [Limit::COUNT as f64; DRAINAGE_CLASSES.len() + 1];
        for (class, code) in codes.iter_mut().enumerate().take(DRAINAGE_CLASSES.len()) {
            *code = Limit { factor, side: self.drainage_side(class) }.index() as f64;
        }
        let places = fit.values.iter_mut().zip(fit.limits.iter_mut()).zip(classes);
        for ((value, limit), class) in places {
            let membership = memberships[usize::from(*class)];
            if membership < *value {
                *value = membership;
                *limit = codes[usize::from(*class)];
            }
        }
    }
}

/// Ends of a range, with the codes of its two sides.
struct Ends {
    lower: Option<(f64, f64)>,
    upper: Option<(f64, f64)>,
    codes: [f64; 2],
}

impl Ends {
    /// Lowers each place's fit to this factor's membership, and names it, where that is less.
    fn limit(&self, column: &[f64; Strip::CELLS], fit: &mut StripFit) {
        let [low, high] = self.codes;
        // An end that is open never limits, so its division is left out: the branch is on the range.
        match (self.lower, self.upper) {
            (Some((zero, one)), None) => {
                let rise = one - zero;
                each(column, fit, |value| ((value - zero) / rise, low));
            }
            (None, Some((one, zero))) => {
                let fall = zero - one;
                each(column, fit, |value| ((zero - value) / fall, high));
            }
            (Some((low_zero, low_one)), Some((high_one, high_zero))) => {
                let (rise, fall) = (low_one - low_zero, high_zero - high_one);
                each(column, fit, |value| {
                    let rising = (value - low_zero) / rise;
                    let falling = (high_zero - value) / fall;
                    let least = if falling < rising { falling } else { rising };
                    (least, if value < low_one { low } else { high })
                });
            }
            (None, None) => {}
        }
    }
}

/// Takes the least of what was and what a factor gives, with no branch on the values, so that the
/// compiler makes one step of several places. NaN is less than nothing.
#[inline(always)]
#[expect(clippy::inline_always, reason = "the loop is only fast with the formula in it")]
fn each(column: &[f64; Strip::CELLS], fit: &mut StripFit, formula: impl Fn(f64) -> (f64, f64)) {
    let places = fit.values.iter_mut().zip(fit.limits.iter_mut()).zip(column);
    for ((value, limit), here) in places {
        let (membership, code) = formula(*here);
        let membership = if membership > 0.0 || membership.is_nan() { membership } else { 0.0 };
        let is_less = membership < *value;
        *value = if is_less { membership } else { *value };
        *limit = if is_less { code } else { *limit };
    }
}
