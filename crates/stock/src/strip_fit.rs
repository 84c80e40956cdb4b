//! Fit of many places at once: the same formula as [`Tolerance::fit`], value for value, laid out so
//! that the machine works on several places in one step, and leaves out blocks of places that a factor
//! cannot limit any further.

use crate::{DRAINAGE_CLASSES, Factor, Fit, Limit, Side, Strip, Tolerance, Trapezoid};

/// Greatest values are kept in so many lanes, compared in one step.
const LANES: usize = 4;

/// Fit of every place of a strip.
#[derive(Debug, Clone)]
pub struct StripFit {
    /// 0 to 1.
    values: Box<[f64; Strip::CELLS]>,
    /// [`Limit::index`], [`Limit::COUNT`] where nothing limits; as numbers of the same width as the
    /// values, so that both are chosen by one comparison.
    limits: Box<[f64; Strip::CELLS]>,
    /// No value of the block is greater.
    greatest: [f64; Strip::BLOCKS],
    /// Whether anything may have limited a place of the block.
    is_limited: [bool; Strip::BLOCKS],
}

impl StripFit {
    /// Room for the fit of a strip.
    #[must_use]
    pub fn new() -> Self {
        let none = Limit::COUNT as f64;
        Self {
            values: Box::new([1.0; Strip::CELLS]),
            limits: Box::new([none; Strip::CELLS]),
            greatest: [1.0; Strip::BLOCKS],
            is_limited: [false; Strip::BLOCKS],
        }
    }

    /// Whether some place of the block that a place lies in may be limited; when not, each of them
    /// fits 1.
    #[must_use]
    pub fn is_block_limited(&self, at: usize) -> bool {
        self.is_limited[at / Strip::BLOCK]
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
    /// Fits every place of a strip: [`Tolerance::fit`] of each, to the bit.
    ///
    /// Cost: a division for each end of each factor that is given, two places or more in one step, in
    /// blocks that this factor limits further; next to nothing in the others.
    pub fn fit_strip(&self, strip: &Strip, fit: &mut StripFit) {
        fit.values.fill(1.0);
        fit.limits.fill(Limit::COUNT as f64);
        fit.greatest = [1.0; Strip::BLOCKS];
        fit.is_limited = [false; Strip::BLOCKS];
        for factor in Factor::NUMERIC {
            if let Some(range) = self.range(factor) {
                let ends = Ends::of(factor, range);
                let column = &strip.numeric[factor.index()];
                for (block, extremes) in strip.extremes[factor.index()].iter().enumerate() {
                    // Membership falls on both sides of the full range, in floating point too, so it is
                    // least at the least or the greatest value. NaN limits nothing.
                    let [low, high] = [extremes.0, extremes.1].map(f64::from);
                    let least = range.membership(low).min(range.membership(high));
                    if low <= high && least < fit.greatest[block] {
                        ends.limit(column, block, fit);
                    }
                }
            }
        }
        if let (Some(classes), Some(_)) = (&strip.drainage, self.drainage()) {
            self.limit_by_drainage(classes, strip.classes, fit);
        }
    }

    fn limit_by_drainage(
        &self,
        classes: &[u8; Strip::CELLS],
        present: [u8; Strip::BLOCKS],
        fit: &mut StripFit,
    ) {
        // One more for a class that is not known, which does not limit.
        let memberships = self.drainage_memberships();
        let factor = Factor::Drainage;
        let mut codes = [Limit::COUNT as f64; DRAINAGE_CLASSES.len() + 1];
        for (class, code) in codes.iter_mut().enumerate().take(DRAINAGE_CLASSES.len()) {
            *code = Limit { factor, side: self.drainage_side(class) }.index() as f64;
        }
        for (block, classes) in classes.chunks_exact(Strip::BLOCK).enumerate() {
            let is_here = |(class, _): &(usize, &f64)| present[block] & (1 << class) != 0;
            let here = memberships.iter().enumerate().filter(is_here);
            if here.map(|(_, membership)| *membership).fold(1.0, f64::min) >= fit.greatest[block] {
                continue;
            }
            fit.is_limited[block] = true;
            let cells = block * Strip::BLOCK..(block + 1) * Strip::BLOCK;
            let places = fit.values[cells.clone()].iter_mut().zip(&mut fit.limits[cells]);
            for ((value, limit), class) in places.zip(classes) {
                let class = usize::from(*class);
                let is_less = memberships[class] < *value;
                *value = chosen(is_less, memberships[class], *value);
                *limit = chosen(is_less, codes[class], *limit);
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
    fn of(factor: Factor, range: &Trapezoid) -> Self {
        let code = |side| Limit { factor, side }.index() as f64;
        let codes = [code(Side::TooLow), code(Side::TooHigh)];
        Self { lower: range.lower(), upper: range.upper(), codes }
    }

    /// Lowers the fit of each place of a block to this factor's membership, and names it, where that is
    /// less.
    fn limit(&self, column: &[f64; Strip::CELLS], block: usize, fit: &mut StripFit) {
        let cells = block * Strip::BLOCK..(block + 1) * Strip::BLOCK;
        let values = &mut fit.values[cells.clone()];
        let limits = &mut fit.limits[cells.clone()];
        let column = &column[cells];
        let [low, high] = self.codes;
        // An end that is open never limits, so its division is left out: the branch is on the range.
        let greatest = match (self.lower, self.upper) {
            (Some((zero, one)), None) => {
                let rise = one - zero;
                each(column, values, limits, |value| ((value - zero) / rise, low))
            }
            (None, Some((one, zero))) => {
                let fall = zero - one;
                each(column, values, limits, |value| ((zero - value) / fall, high))
            }
            (Some((low_zero, low_one)), Some((high_one, high_zero))) => {
                let (rise, fall) = (low_one - low_zero, high_zero - high_one);
                each(column, values, limits, |value| {
                    let rising = (value - low_zero) / rise;
                    let falling = (high_zero - value) / fall;
                    let least = if falling < rising { falling } else { rising };
                    (least, if value < low_one { low } else { high })
                })
            }
            (None, None) => return,
        };
        fit.greatest[block] = greatest;
        fit.is_limited[block] = true;
    }
}

/// Takes the least of what was and what a factor gives, with no branch on the values, so that the
/// compiler makes one step of several places. NaN is less than nothing.
///
/// Gives the greatest value afterwards.
#[inline(always)]
#[expect(clippy::inline_always, reason = "the loop is only fast with the formula in it")]
fn each(
    column: &[f64],
    values: &mut [f64],
    limits: &mut [f64],
    formula: impl Fn(f64) -> (f64, f64),
) -> f64 {
    for ((value, limit), here) in values.iter_mut().zip(limits.iter_mut()).zip(column) {
        let (membership, code) = formula(*here);
        // Not `max`: NaN must stay, and minus zero must not.
        let membership = if membership <= 0.0 { 0.0 } else { membership };
        let is_less = membership < *value;
        *value = chosen(is_less, membership, *value);
        *limit = chosen(is_less, code, *limit);
    }
    let mut greatest = [0.0; LANES];
    for chunk in values.as_chunks::<LANES>().0 {
        for (most, value) in greatest.iter_mut().zip(chunk) {
            *most = if *value > *most { *value } else { *most };
        }
    }
    greatest.into_iter().fold(0.0, f64::max)
}

/// One number or another by their bits: an `if` would become a branch around the store.
#[inline(always)]
#[expect(clippy::inline_always, reason = "a step of the loop above")]
fn chosen(is_first: bool, first: f64, second: f64) -> f64 {
    let mask = u64::from(is_first).wrapping_neg();
    f64::from_bits((first.to_bits() & mask) | (second.to_bits() & !mask))
}
