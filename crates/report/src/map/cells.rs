//! Rasters as pictures.

use base64::Engine as _;
use palette::Colour;
use spatial::problem::Problem;
use spatial::write::Paper;
use terrain::Raster;

use crate::document::Image;

/// Most cells across or down a picture: enough for paper, small enough for a page.
const MOST: usize = 1100;

/// A raster as a picture of few colours on a map. `colour` names one of `colours` for a value, holes included, or
/// none: such cells are clear. Of large rasters every second, third, … cell is drawn.
///
/// # Errors
/// When the picture cannot be made, a fault of the program.
pub(super) fn picture(
    id: &str,
    raster: &Raster<f32>,
    (paper, offset_mm): (&Paper, [f64; 2]),
    colours: &[(Colour, u8)],
    colour: impl Fn(f32) -> Option<usize>,
) -> Result<Image, Problem> {
    let grid = raster.grid();
    let step = grid.cols().max(grid.rows()).div_ceil(MOST).max(1);
    let [cols, rows] = [grid.cols(), grid.rows()].map(|count| count.div_ceil(step));
    let mut cells = Vec::with_capacity(cols * rows);
    for row in 0..rows {
        let line = raster.row((row * step + step / 2).min(grid.rows() - 1));
        for col in 0..cols {
            let value = line[(col * step + step / 2).min(grid.cols() - 1)];
            // 0 is clear.
            cells.push(colour(value).map_or(0, |at| at as u8 + 1));
        }
    }
    let bytes = indexed([cols, rows], &cells, colours).map_err(|error| {
        let problem = Problem::error(id).found(error.to_string());
        problem
            .expected("a picture that can be made")
            .remedy("this is a fault of the program: please report it with the site folder")
    })?;
    let [x, y] = paper.at(geo::Coord { x: grid.west(), y: grid.north() });
    let mm = paper.mm_a_metre();
    let side = |count: usize, cell_m: f64| (count * step) as f64 * cell_m * mm;
    let place_mm = [
        x + offset_mm[0],
        y + offset_mm[1],
        side(cols, grid.cell_width()),
        side(rows, grid.cell_height()),
    ];
    let data = base64::engine::general_purpose::STANDARD.encode(bytes);
    Ok(Image { id: id.to_owned(), data: format!("data:image/png;base64,{data}"), place_mm })
}

/// A PNG whose cells name colours, the first of them clear.
fn indexed(
    [cols, rows]: [usize; 2],
    cells: &[u8],
    colours: &[(Colour, u8)],
) -> Result<Vec<u8>, png::EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, cols as u32, rows as u32);
    encoder.set_color(png::ColorType::Indexed);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Balanced);
    let mut table = vec![255_u8; 3];
    let mut clear = vec![0_u8];
    for (colour, alpha) in colours {
        table.extend(colour.0);
        clear.push(*alpha);
    }
    encoder.set_palette(table);
    encoder.set_trns(clear);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(cells)?;
    writer.finish()?;
    Ok(bytes)
}
