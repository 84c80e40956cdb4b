//! The highest angle to ground within a number of places, for every place of a line.
//!
//! The line is cut into stretches as long as the distance looked. A place sees its own stretch as
//! far as that stretch's far end, and of the next stretch what is still near enough. Ground
//! is kept as the upper hull of each: all else is hidden.

use super::lines::{Abreast, LANES, Lines};

/// Ground at a place of a line.
#[derive(Debug, Clone, Copy)]
struct Spot {
    height: f64,
    place: f64,
}

impl Spot {
    /// Whether `a` stands at a greater angle than `b`, both farther than this spot. Exact, as
    /// heights are multiples of 2⁻²⁰ m and places are whole.
    #[inline]
    fn sees_above(self, a: Spot, b: Spot) -> bool {
        (a.height - self.height) * (self.place - b.place)
            > (b.height - self.height) * (self.place - a.place)
    }
}

/// Hulls, kept from line to line for their memory.
#[derive(Default)]
pub(super) struct Skyline {
    near: Vec<Spot>,
    far: FarHull,
    /// One line's ground, from its far end.
    line: Vec<f64>,
}

impl Skyline {
    /// Tangent of the horizon at each place of lines: NaN in a hole, 0 where there is no ground.
    pub(super) fn tangents(
        &mut self,
        lines: &Lines<'_>,
        abreast: Abreast<'_>,
        tangents: &mut [[f32; LANES]],
    ) {
        for lane in 0..LANES {
            let mut line = std::mem::take(&mut self.line);
            line.clear();
            line.extend(abreast.ground.iter().map(|place| place[lane]));
            self.along(lines, &line, |place, tangent| tangents[place][lane] = tangent);
            self.line = line;
        }
    }

    fn along(&mut self, lines: &Lines<'_>, line: &[f64], mut keep: impl FnMut(usize, f32)) {
        let window = lines.window;
        if window == 0 {
            let level = |height: &f64| if height.is_nan() { f32::NAN } else { 0.0 };
            line.iter().enumerate().for_each(|(place, height)| keep(place, level(height)));
            return;
        }
        self.far.clear();
        for (start, stretch) in (0..).step_by(window).zip(line.chunks(window)) {
            self.near.clear();
            for (place, &height) in (start..).zip(stretch) {
                self.far.forget(place as f64 - window as f64);
                keep(place, self.tangent(Spot { height, place: place as f64 }, lines.step_m));
            }
            if start + stretch.len() < line.len() {
                self.far.gather(start, stretch);
            }
        }
    }

    /// The horizon of the next place, which then becomes ground.
    #[inline]
    fn tangent(&mut self, here: Spot, step_m: f64) -> f32 {
        if here.height.is_nan() {
            return f32::NAN;
        }
        while let [.., behind, top] = self.near[..]
            && !here.sees_above(top, behind)
        {
            self.near.pop();
        }
        let near = self.near.last().copied();
        self.near.push(here);
        let Some(seen) = self.far.seen_above(here, near) else { return 0.0 };
        ((seen.height - here.height) / ((here.place - seen.place) * step_m)) as f32
    }
}

/// The hull of a whole stretch, from which the farthest ground is forgotten place by place.
#[derive(Default)]
struct FarHull {
    /// From near to far; what lies beyond `len` is what forgetting does not restore.
    spots: Vec<Spot>,
    len: usize,
    /// What each addition changed, to undo it.
    added: Vec<Added>,
}

#[derive(Clone, Copy)]
struct Added {
    place: f64,
    /// The highest ground added so far.
    highest: f64,
    replaced: Option<Spot>,
    len_before: usize,
}

impl FarHull {
    fn clear(&mut self) {
        self.spots.clear();
        self.added.clear();
        self.len = 0;
    }

    /// Takes in a stretch instead of the one before.
    fn gather(&mut self, start: usize, stretch: &[f64]) {
        self.clear();
        for (place, &height) in (start..start + stretch.len()).zip(stretch).rev() {
            if !height.is_nan() {
                self.add(Spot { height, place: place as f64 });
            }
        }
    }

    /// Adds ground farther than all so far.
    fn add(&mut self, spot: Spot) {
        let len_before = self.len;
        while self.len >= 2 && !self.spots[self.len - 2].sees_above(self.spots[self.len - 1], spot)
        {
            self.len -= 1;
        }
        let replaced = self.spots.get(self.len).copied();
        match self.spots.get_mut(self.len) {
            Some(slot) => *slot = spot,
            None => self.spots.push(spot),
        }
        self.len += 1;
        let highest = self.added.last().map_or(spot.height, |last| last.highest.max(spot.height));
        self.added.push(Added { place: spot.place, highest, replaced, len_before });
    }

    /// Forgets ground beyond a place; each call may go one place nearer than the last.
    #[inline]
    fn forget(&mut self, beyond: f64) {
        if let Some(last) = self.added.last().copied()
            && last.place < beyond
        {
            if let Some(spot) = last.replaced {
                self.spots[self.len - 1] = spot;
            }
            self.len = last.len_before;
            self.added.pop();
        }
    }

    /// The ground at the greatest angle from a nearer spot: `near`, or a part of this hull.
    #[inline]
    fn seen_above(&self, from: Spot, near: Option<Spot>) -> Option<Spot> {
        let Some(last) = self.added.last() else { return near };
        let Some(near) = near else { return Some(self.seen(from)) };
        let closest = self.spots[0].place;
        let ceiling = Spot {
            height: last.highest,
            place: if last.highest > from.height { closest } else { last.place },
        };
        if !from.sees_above(ceiling, near) {
            return Some(near);
        }
        let far = self.seen(from);
        Some(if from.sees_above(far, near) { far } else { near })
    }

    /// Angles from a nearer spot rise along the hull and then fall.
    #[inline]
    fn seen(&self, from: Spot) -> Spot {
        let spots = &self.spots[..self.len];
        let (mut low, mut high) = (0, spots.len() - 1);
        while low < high {
            let middle = usize::midpoint(low, high);
            if from.sees_above(spots[middle + 1], spots[middle]) {
                low = middle + 1;
            } else {
                high = middle;
            }
        }
        spots[low]
    }
}
