//! The spatial index of a layer, packed as a whole instead of grown feature by feature.
//!
//! Sources: `SQLite`, "The R*Tree Module", chapter on shadow tables: a node is its depth and number of cells, then the
//! cells, each an identifier and four 32-bit numbers, all big-endian; Leutenegger, Lopez & Edgington 1997, "STR: a
//! simple and efficient algorithm for R-tree packing". It is made sooner than by single insertions, and is smaller.
//!
//! GDAL makes the empty index, its triggers and its registration; the triggers sleep while the layer is filled.

use rusqlite::{Connection, params};

use super::sql;

/// Bytes before the cells of a node.
const HEAD: usize = 4;
/// Bytes of a cell.
const CELL: usize = 24;
/// The node that everything hangs on.
const ROOT: i64 = 1;

/// West, east, south, north.
pub(super) type Sides = [f64; 4];

/// Triggers of a table that sleep, each as the statement that makes it.
#[derive(Debug, Default)]
pub(super) struct Asleep(Vec<String>);

impl Asleep {
    /// Takes its triggers off a table.
    pub(super) fn put(file: &Connection, table: &str) -> rusqlite::Result<Self> {
        let query = format!(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = '{table}' \
             ORDER BY name"
        );
        let named: Vec<(String, String)> =
            sql::all(file, &query, |row| Ok((row.get(0)?, row.get(1)?)))?;
        for (name, _) in &named {
            file.execute(&format!("DROP TRIGGER \"{name}\""), [])?;
        }
        Ok(Self(named.into_iter().map(|(_, statement)| statement).collect()))
    }

    /// Puts them back.
    pub(super) fn wake(&self, file: &Connection) -> rusqlite::Result<()> {
        self.0.iter().try_for_each(|statement| file.execute_batch(statement))
    }
}

/// Fills the empty index of a layer; the feature of row n is n + 1.
///
/// Cost: O(n log n) for n features.
pub(super) fn fill(file: &Connection, layer: &str, sides: &[Sides]) -> rusqlite::Result<()> {
    if sides.is_empty() {
        return Ok(());
    }
    let index = format!("rtree_{layer}_geom");
    let query = format!("SELECT length(data) FROM {index}_node WHERE nodeno = {ROOT}");
    let bytes = sql::one(file, &query)?.unwrap_or(HEAD + 51 * CELL).max(HEAD + 2 * CELL);
    let tree = packed(sides, (bytes - HEAD) / CELL);
    let mut put = file.prepare(&format!("INSERT OR REPLACE INTO {index}_node VALUES (?1, ?2)"))?;
    for (number, node) in &tree.nodes {
        put.execute(params![number, node.bytes(bytes)])?;
    }
    for (table, pairs) in [("parent", &tree.parents), ("rowid", &tree.leaves)] {
        let mut put =
            file.prepare(&format!("INSERT OR REPLACE INTO {index}_{table} VALUES (?1, ?2)"))?;
        for pair in pairs {
            put.execute(params![pair.0, pair.1])?;
        }
    }
    Ok(())
}

/// What a node holds of a feature or of a node below it.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Cell {
    id: i64,
    /// West, east, south, north; never smaller than what it stands for.
    sides: [f32; 4],
}

/// A node, before it is bytes.
#[derive(Debug, Clone, PartialEq)]
struct Node {
    /// Nodes between it and the features; only the root's is stored.
    depth: u16,
    cells: Vec<Cell>,
}

impl Node {
    fn bytes(&self, length: usize) -> Vec<u8> {
        let mut bytes = Vec::with_capacity(length);
        bytes.extend(self.depth.to_be_bytes());
        bytes.extend((self.cells.len() as u16).to_be_bytes());
        for cell in &self.cells {
            bytes.extend(cell.id.to_be_bytes());
            cell.sides.iter().for_each(|side| bytes.extend(side.to_be_bytes()));
        }
        bytes.resize(length, 0);
        bytes
    }
}

/// A whole index: nodes by number, the node above each node, the node of each feature.
#[derive(Debug, Default)]
struct Tree {
    nodes: Vec<(i64, Node)>,
    parents: Vec<(i64, i64)>,
    leaves: Vec<(i64, i64)>,
}

fn packed(sides: &[Sides], capacity: usize) -> Tree {
    let mut cells = in_tiles(sides, capacity);
    let mut tree = Tree::default();
    let mut next = ROOT + 1;
    let mut depth = 0_u16;
    while cells.len() > capacity {
        let mut above = Vec::with_capacity(cells.len().div_ceil(capacity));
        for chunk in cells.chunks(capacity) {
            let below = if depth == 0 { &mut tree.leaves } else { &mut tree.parents };
            below.extend(chunk.iter().map(|cell| (cell.id, next)));
            above.push(Cell { id: next, sides: around(chunk) });
            // Only the root tells its depth.
            tree.nodes.push((next, Node { depth: 0, cells: chunk.to_vec() }));
            next += 1;
        }
        cells = above;
        depth += 1;
    }
    let below = if depth == 0 { &mut tree.leaves } else { &mut tree.parents };
    below.extend(cells.iter().map(|cell| (cell.id, ROOT)));
    tree.nodes.push((ROOT, Node { depth, cells }));
    tree
}

/// Cells in the order in which leaves take them: in strips from west to east, in each from south to north.
fn in_tiles(sides: &[Sides], capacity: usize) -> Vec<Cell> {
    let middle = |at: usize, low: usize| sides[at][low] + sides[at][low + 1];
    let mut order: Vec<usize> = (0..sides.len()).collect();
    order.sort_by(|a, b| middle(*a, 0).total_cmp(&middle(*b, 0)).then(a.cmp(b)));
    let leaves = sides.len().div_ceil(capacity);
    let strip = (leaves as f64).sqrt().ceil() as usize * capacity;
    for part in order.chunks_mut(strip.max(1)) {
        part.sort_by(|a, b| middle(*a, 2).total_cmp(&middle(*b, 2)).then(a.cmp(b)));
    }
    let cell = |at: usize| {
        let [west, east, south, north] = sides[at];
        Cell { id: at as i64 + 1, sides: [below(west), above(east), below(south), above(north)] }
    };
    order.into_iter().map(cell).collect()
}

fn around(cells: &[Cell]) -> [f32; 4] {
    let empty = [f32::INFINITY, f32::NEG_INFINITY, f32::INFINITY, f32::NEG_INFINITY];
    cells.iter().fold(empty, |[west, east, south, north], cell| {
        let [w, e, s, n] = cell.sides;
        [west.min(w), east.max(e), south.min(s), north.max(n)]
    })
}

/// The largest 32-bit number that is not above.
fn below(number: f64) -> f32 {
    let near = number as f32;
    if f64::from(near) > number { near.next_down() } else { near }
}

/// The smallest 32-bit number that is not below.
fn above(number: f64) -> f32 {
    let near = number as f32;
    if f64::from(near) < number { near.next_up() } else { near }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn filled(sides: &[Sides]) -> Connection {
        let file = Connection::open_in_memory().unwrap();
        file.execute_batch(
            "CREATE VIRTUAL TABLE rtree_a_geom USING rtree(id, minx, maxx, miny, maxy)",
        )
        .unwrap();
        fill(&file, "a", sides).unwrap();
        file
    }

    fn said(file: &Connection) -> Option<String> {
        sql::one(file, "SELECT rtreecheck('rtree_a_geom')").unwrap()
    }

    fn rows(file: &Connection) -> Option<i64> {
        sql::one(file, "SELECT count(*) FROM rtree_a_geom").unwrap()
    }

    /// Rectangles that are strewn about, the same each time.
    fn strewn(count: usize) -> Vec<Sides> {
        let place = |at: usize| {
            let (x, y) = ((at * 7919 % 10_007) as f64 + 0.1, (at * 104_729 % 9_973) as f64 + 0.7);
            [2e6 + x, 2e6 + x + (at % 13) as f64, 5e6 + y, 5e6 + y + (at % 7) as f64]
        };
        (0..count).map(place).collect()
    }

    fn found(file: &Connection, [west, east, south, north]: Sides) -> Vec<i64> {
        let query = format!(
            "SELECT id FROM rtree_a_geom WHERE maxx >= {west} AND minx <= {east} AND maxy >= {south} AND miny <= {north} \
             ORDER BY id"
        );
        sql::all(file, &query, |row| row.get(0)).unwrap()
    }

    /// Source: `SQLite`'s own check of an index, `rtreecheck`; sizes on both sides of every new level.
    #[test]
    fn sqlite_finds_nothing_wrong_with_an_index_of_any_size() {
        for count in [1, 2, 50, 51, 52, 102, 2_601, 2_602, 5_000, 140_000] {
            let file = filled(&strewn(count));
            assert_eq!(said(&file).as_deref(), Some("ok"), "{count}");
            assert_eq!(rows(&file), Some(count as i64));
        }
    }

    #[test]
    fn the_index_takes_features_afterwards() {
        let file = filled(&strewn(3_000));
        for id in 3_001..3_300 {
            file.execute("INSERT INTO rtree_a_geom VALUES (?1, 1, 2, 3, 4)", [id]).unwrap();
        }
        for id in 1..2_900 {
            file.execute("DELETE FROM rtree_a_geom WHERE id = ?1", [id]).unwrap();
        }
        assert_eq!(said(&file).as_deref(), Some("ok"));
        assert_eq!(rows(&file), Some(400));
    }

    #[test]
    fn a_window_finds_what_looking_at_each_finds() {
        let sides = strewn(4_000);
        let file = filled(&sides);
        for at in 0..60 {
            let (x, y) = (2e6 + f64::from(at) * 150.0, 5e6 + f64::from(at * 37 % 60) * 150.0);
            let window = [x, x + f64::from(at) * 20.0, y, y + 400.0];
            let apart = |a: &Sides| {
                // A little more than the window: the index keeps 32-bit numbers.
                a[1] < window[0] - 1.0
                    || a[0] > window[1] + 1.0
                    || a[3] < window[2] - 1.0
                    || a[2] > window[3] + 1.0
            };
            let inside = |a: &Sides| {
                a[1] >= window[0] && a[0] <= window[1] && a[3] >= window[2] && a[2] <= window[3]
            };
            let found = found(&file, window);
            for (row, one) in sides.iter().enumerate() {
                let is_found = found.binary_search(&(row as i64 + 1)).is_ok();
                assert!(if is_found { !apart(one) } else { !inside(one) }, "{one:?} {window:?}");
            }
        }
    }

    proptest! {
        #[test]
        fn rounding_never_leaves_a_feature_outside(number in proptest::num::f64::NORMAL) {
            prop_assume!(number.abs() < 1e30);
            prop_assert!(f64::from(below(number)) <= number && number <= f64::from(above(number)));
        }
    }
}
