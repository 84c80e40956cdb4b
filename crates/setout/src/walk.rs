//! Plants along rows: as many on each stretch as its ground asks for.

use crate::apart::Apart;
use crate::rows::Line;
use crate::{Face, Setting};

/// A plant that may not stand where its turn comes looks so far along the row, in spacings.
const LOOK: f64 = 0.75;
/// In steps of so many spacings.
const STEP: f64 = 0.15;

/// Walks all rows from the top of the block to its foot and puts plants; the number of rows that
/// have any.
///
/// A stretch of row asks for the plants of the strip of ground that it stands for, a spacing wide;
/// each time another whole one has come together a plant is put. What all rows ask for is scaled to
/// the plants that are to stand. Ends meet: what one row leaves over the next begins with.
pub(crate) fn walk(face: &Face, lines: &[Line], setting: &Setting, apart: &mut Apart) -> u32 {
    let asks: Vec<Vec<f32>> = lines.iter().map(|line| asks(face, line)).collect();
    let asked: f64 = asks.iter().flatten().map(|asks| f64::from(*asks)).sum();
    if asked <= 0.0 || setting.plants == 0 {
        return 0;
    }
    let a_plant = asked / setting.plants as f64;
    let (mut come, mut number, mut rows) = (a_plant / 2.0, 1, 0);
    for (line, asks) in lines.iter().zip(&asks) {
        let before = apart.len();
        let mut walk = OneRow { face, line, asks, setting, number };
        come = walk.put(come, a_plant, apart);
        if apart.len() > before {
            (number, rows) = (number + 1, rows + 1);
        }
    }
    rows
}

/// What each stretch of a row asks for, from one point to the next.
fn asks(face: &Face, line: &Line) -> Vec<f32> {
    let stretch = |pair: &[[f32; 2]]| {
        let [[from_x, from_y], [to_x, to_y]] = [pair[0], pair[1]];
        let (east, south) = (to_x - from_x, to_y - from_y);
        let middle = on_map(face, [from_x + east / 2.0, from_y + south / 2.0]);
        // Rows are a spacing apart on the ground; on the map that is by the cosine less.
        (east * east + south * south).sqrt() * face.plants_on_ground_at(middle) as f32
    };
    line.windows(2).map(stretch).collect()
}

/// A point of a row on the map.
fn on_map(face: &Face, [east, south]: [f32; 2]) -> [f64; 2] {
    [face.grid().west() + f64::from(east), face.grid().north() - f64::from(south)]
}

fn between(from: [f64; 2], to: [f64; 2], share: f64) -> [f64; 2] {
    [from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share]
}

struct OneRow<'a> {
    face: &'a Face,
    line: &'a Line,
    asks: &'a [f32],
    setting: &'a Setting,
    number: u32,
}

impl OneRow<'_> {
    /// Puts the plants of a row; what had come together for the next plant, and has at its end.
    fn put(&mut self, mut come: f64, a_plant: f64, apart: &mut Apart) -> f64 {
        for (index, asks) in self.asks.iter().enumerate() {
            let asks = f64::from(*asks);
            let mut used = 0.0;
            while come + (asks - used) >= a_plant {
                used += a_plant - come;
                come = 0.0;
                if apart.len() < self.setting.plants {
                    let [from, to] = [index, index + 1].map(|at| on_map(self.face, self.line[at]));
                    self.put_near(index, between(from, to, (used / asks).min(1.0)), apart);
                }
            }
            come += asks - used;
        }
        come
    }

    /// Puts a plant at a point of the row, or a little farther along where it may not stand there.
    fn put_near(&self, index: usize, at: [f64; 2], apart: &mut Apart) {
        let least_m = self.setting.least_m();
        if apart.try_put(at, self.number, least_m) {
            return;
        }
        let [look, step] = [LOOK, STEP].map(|share| share * self.setting.spacing_m);
        let (mut here, mut gone, mut since) = (at, 0.0, 0.0);
        for point in &self.line[index + 1..] {
            let to = on_map(self.face, *point);
            let (east, north) = (to[0] - here[0], to[1] - here[1]);
            let metres = (east * east + north * north).sqrt();
            let mut used = 0.0;
            while since + (metres - used) >= step {
                used += step - since;
                since = 0.0;
                gone += step;
                let tried = between(here, to, (used / metres).min(1.0));
                if gone > look || apart.try_put(tried, self.number, least_m) {
                    return;
                }
            }
            since += metres - used;
            here = to;
        }
    }
}
