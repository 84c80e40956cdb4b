//! Fit over the cells of an area, strip by strip.

use rayon::prelude::*;
use stock::{Factor, FitEdges, Library, Stock, Strip, StripFit};

use super::ZoneFit;
use super::sums::{Sums, ground_of};
use crate::ground::Ground;
use crate::zones::{CellShares, Run};

/// Cells that one core takes at a time: 128 strips. Sums are made in pieces of this size and added in
/// their order, so that they are the same on any number of cores.
const PIECE: usize = 128 * Strip::CELLS;

/// The layers that fit asks, cell by cell in the order of one grid.
#[derive(Debug, Clone)]
pub struct FitLayers<'g> {
    /// Values by numeric factor, each in its unit; NaN where not known.
    pub numeric: Vec<(Factor, &'g [f32])>,
    /// Step of [`stock::DRAINAGE_CLASSES`] plus 1; 0 where not known.
    pub drainage: Option<&'g [u8]>,
}

impl<'g> FitLayers<'g> {
    /// Those of a ground.
    #[must_use]
    pub fn of(ground: &'g Ground) -> Self {
        let numeric = ground.factors().into_iter();
        Self {
            numeric: numeric.map(|(factor, layer)| (factor, layer.cells())).collect(),
            drainage: ground.drainage.as_deref().map(terrain::Raster::cells),
        }
    }

    /// The factors that have a layer.
    fn factors(&self) -> impl Iterator<Item = Factor> {
        let numeric = self.numeric.iter().map(|(factor, _)| *factor);
        numeric.chain(self.drainage.map(|_| Factor::Drainage))
    }

    /// Fills a strip with the cells of some runs, and the weights that go with them.
    fn fill(
        &self,
        strip: &mut Strip,
        weights: &mut Vec<f64>,
        runs: &[Run],
        open: &impl Fn(usize) -> f64,
    ) {
        weights.clear();
        strip.clear();
        for run in runs {
            let (from, cells) = (weights.len(), run.cells());
            for (factor, layer) in &self.numeric {
                strip.fill(*factor, from, &layer[cells.clone()]);
            }
            if let Some(drainage) = self.drainage {
                let classes = drainage[cells.clone()].iter();
                strip.fill_drainage(from, classes.map(|class| class.checked_sub(1)));
            }
            weights.extend(cells.map(|at| f64::from(run.share) * open(at)));
        }
    }
}

/// Fits every stock of a library over the cells of an area, weighted by each cell's share and by
/// `open`, the share of its ground that is open to planting.
///
/// Memory: a strip for each core and sums for each stock, whatever the number of cells.
#[must_use]
pub fn fit_area(
    area: &CellShares,
    layers: &FitLayers<'_>,
    open: &(impl Fn(usize) -> f64 + Sync),
    library: &Library,
    floor: f64,
    edges: &FitEdges,
) -> Vec<ZoneFit> {
    let summed = |runs: &Vec<Run>| Piece::of(runs, layers, open, library, floor, edges);
    let pieces: Vec<Piece> =
        cut(area.runs().iter().copied(), PIECE).par_iter().map(summed).collect();
    let mut all = Piece::empty(layers, library);
    for piece in &pieces {
        all.merge(piece);
    }
    let one = |(stock, sums): (&Stock, &Sums)| ZoneFit {
        not_known: all.widest_not_known(stock),
        ..sums.zone_fit(all.area, edges)
    };
    library.stocks().iter().zip(&all.by_stock).map(one).collect()
}

/// Runs in lists of so many cells, the last of fewer; a run that goes over the end of a list is cut.
fn cut(runs: impl Iterator<Item = Run>, cells: usize) -> Vec<Vec<Run>> {
    let mut lists = Vec::new();
    let (mut list, mut room) = (Vec::new(), cells);
    for mut run in runs {
        while run.cells().len() >= room {
            let (head, rest) = run.split_at(room);
            list.push(head);
            lists.push(std::mem::take(&mut list));
            (run, room) = (rest, cells);
        }
        if !run.cells().is_empty() {
            room -= run.cells().len();
            list.push(run);
        }
    }
    if !list.is_empty() {
        lists.push(list);
    }
    lists
}

/// What is summed over one piece of an area.
struct Piece {
    area: f64,
    /// By factor that has a layer: ground on which it is not known.
    not_known: Vec<(Factor, f64)>,
    by_stock: Vec<Sums>,
}

impl Piece {
    fn empty(layers: &FitLayers<'_>, library: &Library) -> Self {
        Self {
            area: 0.0,
            not_known: layers.factors().map(|factor| (factor, 0.0)).collect(),
            by_stock: vec![Sums::new(); library.stocks().len()],
        }
    }

    fn of(
        runs: &[Run],
        layers: &FitLayers<'_>,
        open: &impl Fn(usize) -> f64,
        library: &Library,
        floor: f64,
        edges: &FitEdges,
    ) -> Self {
        let mut piece = Self::empty(layers, library);
        let (mut strip, mut fit) = (Strip::new(), StripFit::new());
        let (mut weights, mut grounds) = (Vec::with_capacity(Strip::CELLS), Vec::new());
        for runs in cut(runs.iter().copied(), Strip::CELLS) {
            layers.fill(&mut strip, &mut weights, &runs, open);
            grounds.clear();
            grounds.extend(weights.chunks(Strip::BLOCK).map(ground_of));
            for ground in &grounds {
                piece.area += ground; // one by one, as the sums of a stock add them
            }
            for (factor, ground) in &mut piece.not_known {
                *ground += strip.weight_not_known(*factor, &weights);
            }
            for (stock, sums) in library.stocks().iter().zip(&mut piece.by_stock) {
                stock.tolerance.fit_strip(&strip, &mut fit);
                sums.add(&weights, &grounds, &fit, floor, edges);
            }
        }
        piece
    }

    fn merge(&mut self, other: &Self) {
        self.area += other.area;
        for (mine, theirs) in self.not_known.iter_mut().zip(&other.not_known) {
            mine.1 += theirs.1;
        }
        for (mine, theirs) in self.by_stock.iter_mut().zip(&other.by_stock) {
            mine.merge(theirs);
        }
    }

    /// That of a stock's factors which leaves most ground open, the first among equals.
    fn widest_not_known(&self, stock: &Stock) -> Option<(Factor, f64)> {
        let is_asked = |factor: Factor| stock.tolerance.factors().any(|asked| asked == factor);
        let open =
            self.not_known.iter().filter(|(factor, ground)| *ground > 0.0 && is_asked(*factor));
        let widest = open.copied().reduce(|most, one| if one.1 > most.1 { one } else { most });
        widest.map(|(factor, ground)| (factor, ground / self.area))
    }
}

#[cfg(test)]
mod tests {
    use terrain::Grid;

    use super::*;

    /// Runs of five, three and twelve cells in lists of four, and a last one that is not full.
    #[test]
    fn lists_are_full_but_the_last_and_hold_every_cell_in_order() {
        let grid = Grid::new(23, 1, 0.0, 0.0, 1.0, 1.0).unwrap();
        let whole = CellShares::whole(&grid);
        let (first, rest) = whole.runs()[0].split_at(5);
        let (second, rest) = rest.split_at(3);
        let (third, last) = rest.split_at(12);
        let lists = |runs: &[Run], cells: usize| -> Vec<Vec<[usize; 2]>> {
            let lists = cut(runs.iter().copied(), cells);
            lists
                .iter()
                .map(|list| list.iter().map(|run| [run.cells().start, run.cells().end]).collect())
                .collect()
        };
        assert_eq!(
            lists(&[first, second, third], 4),
            [vec![[0, 4]], vec![[4, 5], [5, 8]], vec![[8, 12]], vec![[12, 16]], vec![[16, 20]]]
        );
        assert_eq!(
            lists(&[first, second, third, last], 9),
            [vec![[0, 5], [5, 8], [8, 9]], vec![[9, 18]], vec![[18, 20], [20, 23]]]
        );
        assert!(lists(&[], 4).is_empty());
    }
}
