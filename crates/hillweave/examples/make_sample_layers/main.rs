//! scratch
mod drainage;
mod erosion;
mod field;
mod ground;
mod noise;
mod slips;
mod valley;
use std::io::Write;
fn main() {
    let seed = std::env::args().nth(1).and_then(|s| s.parse().ok()).unwrap_or(20_250_701);
    let g = ground::Ground::new(seed);
    let mut out = std::fs::File::create("/tmp/sample-scratch/g.bin").unwrap();
    for v in &g.elevation.values { out.write_all(&(*v as f32).to_le_bytes()).unwrap(); }
    let mut out = std::fs::File::create("/tmp/sample-scratch/a.bin").unwrap();
    for v in &g.area.values { out.write_all(&(*v as f32).to_le_bytes()).unwrap(); }
}
