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
    let asked: f64 =
        lines.iter().map(|line| Stretches::new(face, line).map(|s| s.asks).sum::<f64>()).sum();
    if asked <= 0.0 || setting.plants == 0 {
        return 0;
    }
    let a_plant = asked / setting.plants as f64;
    let (mut come, mut number, mut rows) = (a_plant / 2.0, 1, 0);
    for line in lines {
        let before = apart.len();
        let mut walk = OneRow { face, line, setting, number };
        come = walk.put(come, a_plant, apart);
        if apart.len() > before {
            (number, rows) = (number + 1, rows + 1);
        }
    }
    rows
}

/// Points of a row and what the stretch that ends at each asks for.
struct Stretches<'a> {
    face: &'a Face,
    line: &'a Line,
    at: usize,
}

/// From one point of a row to the next.
struct Stretch {
    from: [f64; 2],
    to: [f64; 2],
    asks: f64,
}

impl<'a> Stretches<'a> {
    fn new(face: &'a Face, line: &'a Line) -> Self {
        Self { face, line, at: 0 }
    }
}

/// A point of a row on the map.
fn on_map(face: &Face, [east, south]: [f32; 2]) -> [f64; 2] {
    [face.grid().west() + f64::from(east), face.grid().north() - f64::from(south)]
}

fn between(from: [f64; 2], to: [f64; 2], share: f64) -> [f64; 2] {
    [from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share]
}

impl Iterator for Stretches<'_> {
    type Item = Stretch;

    fn next(&mut self) -> Option<Stretch> {
        let [from, to] = [*self.line.get(self.at)?, *self.line.get(self.at + 1)?];
        self.at += 1;
        let [from, to] = [from, to].map(|point| on_map(self.face, point));
        let metres = (to[0] - from[0]).hypot(to[1] - from[1]);
        let plants = self.face.plants_at(between(from, to, 0.5));
        // Rows are a spacing apart on the ground; on the map that is by the cosine less.
        let asks = if plants > 0.0 {
            metres * plants * self.face.cosine(between(from, to, 0.5))
        } else {
            0.0
        };
        Some(Stretch { from, to, asks })
    }
}

struct OneRow<'a> {
    face: &'a Face,
    line: &'a Line,
    setting: &'a Setting,
    number: u32,
}

impl OneRow<'_> {
    /// Puts the plants of a row; what had come together for the next plant, and has at its end.
    fn put(&mut self, mut come: f64, a_plant: f64, apart: &mut Apart) -> f64 {
        for (index, stretch) in Stretches::new(self.face, self.line).enumerate() {
            if stretch.asks <= 0.0 {
                continue;
            }
            let mut used = 0.0;
            while come + (stretch.asks - used) >= a_plant {
                used += a_plant - come;
                come = 0.0;
                if apart.len() < self.setting.plants {
                    let share = (used / stretch.asks).min(1.0);
                    self.put_near(index, between(stretch.from, stretch.to, share), apart);
                }
            }
            come += stretch.asks - used;
        }
        come
    }

    /// Puts a plant at a point of the row, or a little farther along where it may not stand there.
    fn put_near(&self, index: usize, at: [f64; 2], apart: &mut Apart) {
        let least_m = self.setting.spacing_m * self.setting.least_share;
        if apart.try_put(at, self.number, least_m) {
            return;
        }
        let [look, step] = [LOOK, STEP].map(|share| share * self.setting.spacing_m);
        let (mut here, mut gone, mut since) = (at, 0.0, 0.0);
        for point in &self.line[index + 1..] {
            let to = on_map(self.face, *point);
            let metres = (to[0] - here[0]).hypot(to[1] - here[1]);
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
