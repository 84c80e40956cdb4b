//! Steepest descent on real ground against longhand, wherever its answer is not a matter of taste.

use terrain::{Grid, Raster, Routing, fill_hollows, flow_area_m2};

mod ground;

/// Real ground; sources and licences in `data/README.md`.
#[expect(clippy::unwrap_used, reason = "only tests come here")]
fn real_grounds() -> Vec<(&'static str, Raster<f32>)> {
    let text = |text: &str| text.split_whitespace().map(|z| z.parse().unwrap()).collect();
    let bytes = include_bytes!("data/jacksboro_fault/elevation_m.i16");
    let jacksboro = bytes.as_chunks().0.iter().map(|z| f32::from(i16::from_le_bytes(*z)));
    let raster = |cols, rows, width, height, cells| {
        Raster::new(Grid::new(cols, rows, 0.0, 0.0, width, height).unwrap(), cells).unwrap()
    };
    let maunga_whau = text(include_str!("data/maunga_whau/elevation_m.txt"));
    let hugo_site = text(include_str!("data/hugo_site/elevation_m.txt"));
    let rocky_mountain = text(include_str!("data/rocky_mountain/elevation_m.txt"));
    vec![
        ("Maunga Whau", raster(87, 61, 10.0, 10.0, maunga_whau)),
        ("Jacksboro fault", raster(403, 344, 74.0, 92.0, jacksboro.collect())),
        ("Hugo site", raster(76, 55, 10.0, 10.0, hugo_site)),
        ("Rocky Mountain", raster(152, 187, 234.0, 234.0, rocky_mountain)),
    ]
}

/// Cells through each cell, and whether nothing in its catchment is a flat, a tie or an edge.
struct Longhand {
    cells: Vec<u64>,
    is_plain: Vec<bool>,
}

/// Highest first, each cell gives to its one steepest neighbour, and its doubts to all it might.
#[expect(clippy::float_cmp, reason = "whole metres")]
fn longhand(ground: &Raster<f32>) -> Longhand {
    let grid = *ground.grid();
    let at = |(row, col)| grid.index(row, col);
    // A hole is like the ground off the grid.
    let beside = |cell: (usize, usize)| {
        ground::neighbours(&grid, cell.0, cell.1)
            .map(|to| to.filter(|(row, col)| ground.at(*row, *col).is_finite()))
    };
    let mut order: Vec<(usize, usize)> = ground::cells(grid).collect();
    let steepest = |cell: (usize, usize)| {
        let drops: Vec<_> = beside(cell)
            .into_iter()
            .flatten()
            .map(|to| {
                let across = to.1.abs_diff(cell.1) as f64 * grid.cell_width();
                let along = to.0.abs_diff(cell.0) as f64 * grid.cell_height();
                let drop = f64::from(ground.at(cell.0, cell.1)) - f64::from(ground.at(to.0, to.1));
                (to, drop / across.hypot(along))
            })
            .filter(|(_, drop)| *drop > 0.0)
            .collect();
        let most = drops.iter().map(|(_, drop)| *drop).fold(0.0, f64::max);
        let best = drops.into_iter().filter(|(_, drop)| *drop >= most * (1.0 - 1e-6));
        best.map(|(to, _)| to).collect::<Vec<_>>()
    };
    let is_flat: Vec<bool> = order.iter().map(|cell| steepest(*cell).is_empty()).collect();
    // On one level flats come first, for they may send to cells beside them.
    order.sort_by(|a, b| {
        let (high, low) = (ground.at(a.0, a.1), ground.at(b.0, b.1));
        low.total_cmp(&high).then(is_flat[at(*b)].cmp(&is_flat[at(*a)]))
    });
    let mut found = Longhand { cells: vec![1; grid.len()], is_plain: vec![true; grid.len()] };
    for cell in order {
        let best = steepest(cell);
        let here = at(cell);
        found.is_plain[here] &= best.len() == 1 && beside(cell).iter().all(Option::is_some);
        if !found.is_plain[here] {
            let level = beside(cell)
                .into_iter()
                .flatten()
                .filter(|to| best.is_empty() && ground.at(to.0, to.1) == ground.at(cell.0, cell.1));
            for to in best.iter().copied().chain(level) {
                found.is_plain[at(to)] = false;
            }
        }
        if let [to] = best[..] {
            found.cells[at(to)] += found.cells[here];
        }
    }
    found
}

#[test]
#[expect(clippy::float_cmp, reason = "whole numbers of cells")]
fn every_plain_catchment_is_exact() {
    for (name, elevation) in real_grounds() {
        for ground in [fill_hollows(&elevation), elevation] {
            let area = flow_area_m2(&ground, Routing::SteepestDescent);
            let longhand = longhand(&ground);
            let (mut compared, mut most) = (0, 0);
            for (cell, area) in area.cells().iter().enumerate() {
                if longhand.is_plain[cell] {
                    let cells = longhand.cells[cell];
                    let expected = (cells as f64 * ground.grid().cell_area()) as f32;
                    assert_eq!(*area, expected, "{name}, cell {cell}");
                    (compared, most) = (compared + 1, most.max(cells));
                }
            }
            let known = ground.cells().iter().filter(|level| level.is_finite()).count();
            println!("{name}: {compared} of {known} cells, up to {most}");
            assert!(compared * 10 > known && most > 10, "{name}: {compared}, {most}");
        }
    }
}
