//! Layers of categories: raster codes or polygons, looked up in the site's table.

use std::collections::BTreeMap;

use geo::{MultiPolygon, Rect};
use terrain::{Grid, Raster};

use super::crs::Crs;
use super::elevation::{apart, old_datum};
use super::facts::{CategoryShare, LayerFacts, percent};
use super::foreign::Resampling;
use super::raster_file::RasterFile;
use super::rasterise::burn;
use super::refusal::not_laid;
use super::shape::polygons_of;
use super::vector_file::{Feature, VectorFile, nearest};
use super::warp::{Patch, coincidence, finer_by, lay_codes, window_for};
use crate::problem::Problem;
use crate::site::{CategorySource, CodeRow, VectorSource};

/// Where a layer is laid: the plan's grid, and the cells whose centre is on the property.
pub(super) struct Ground<'a> {
    pub(super) grid: &'a Grid,
    pub(super) crs: &'a Crs,
    pub(super) property: &'a [bool],
}

/// A layer of classes on the plan's grid.
pub(super) struct Category {
    /// Row of the table plus one; 0: none.
    pub(super) classes: Raster<u8>,
    pub(super) facts: LayerFacts,
    pub(super) warnings: Vec<Problem>,
}

/// Rows a table may have, since a class is a byte and 0 is none.
const MAX_ROWS: usize = 254;

/// Distinct codes before a raster is taken for measurements.
const MAX_CODES: usize = 10_000;

/// Codes as they lie on the grid: 0 for none, otherwise a position in `codes` plus one.
struct Coded {
    codes: Vec<String>,
    cells: Vec<i32>,
    facts: LayerFacts,
    warnings: Vec<Problem>,
}

/// Reads a layer of categories. `name` gives a class in words.
///
/// # Errors
/// When the file cannot be read, has nothing on the property, or holds a code there that is not
/// in the table.
pub(super) fn read<C>(
    role: &str,
    source: &CategorySource<C>,
    name: impl Fn(&C) -> String,
    ground: &Ground<'_>,
) -> Result<Category, Vec<Problem>> {
    let fault = || Problem::error(role).file(&source.file);
    if source.table.is_empty() || source.table.len() > MAX_ROWS {
        let found = format!("a table of {} rows", source.table.len());
        let problem = fault().found(found).expected(format!("1 to {MAX_ROWS} rows"));
        return Err(problem.remedy("put classes that mean the same together").into());
    }
    let mut coded = coded(role, source, ground)?;
    let shares = shares(&coded, ground.property);
    let rows: Vec<Option<usize>> =
        coded.codes.iter().map(|code| row_of(&source.table, code)).collect();
    let mut unmatched = Vec::new();
    for ((code, row), share) in coded.codes.iter().zip(&rows).zip(&shares.by_code) {
        let class = row.and_then(|row| source.table.get(row)).map(|row| name(&row.class));
        let fact = CategoryShare { code: code.clone(), class, share: *share };
        match row {
            Some(_) => coded.facts.categories.push(fact),
            None if *share > 0.0 => unmatched.push(fact),
            None => {}
        }
    }
    if !unmatched.is_empty() {
        return Err(unmatched.iter().map(|one| not_in_table(fault(), source, one)).collect());
    }
    coded.facts.covered_share = Some(shares.covered);
    if shares.covered <= 0.0 {
        return Err(nothing_there(fault(), ground).into());
    }
    if shares.covered < 1.0 {
        coded.warnings.push(
            Problem::warning(role)
                .file(&source.file)
                .found(format!("no class on {} of the property", percent(1.0 - shares.covered)))
                .expected("a class everywhere on the property")
                .remedy("extend the layer, or accept that this ground is planned without it"),
        );
    }
    let class = |code: &i32| match usize::try_from(*code - 1).ok().and_then(|at| rows[at]) {
        Some(row) => (row + 1) as u8,
        None => 0,
    };
    let classes = Raster::new(*ground.grid, coded.cells.iter().map(class).collect())
        .map_err(|error| not_laid(fault(), error))?;
    Ok(Category { classes, facts: coded.facts, warnings: coded.warnings })
}

/// Codes of a layer that lie on the property, each with its share and without a class, whatever the table has.
///
/// # Errors
/// When the file cannot be read.
pub(super) fn codes<C>(
    role: &str,
    source: &CategorySource<C>,
    ground: &Ground<'_>,
) -> Result<Vec<CategoryShare>, Vec<Problem>> {
    let coded = coded(role, source, ground)?;
    let shares = shares(&coded, ground.property).by_code;
    let there = coded.codes.into_iter().zip(shares).filter(|(_, share)| *share > 0.0);
    Ok(there.map(|(code, share)| CategoryShare { code, class: None, share }).collect())
}

fn coded<C>(
    role: &str,
    source: &CategorySource<C>,
    ground: &Ground<'_>,
) -> Result<Coded, Vec<Problem>> {
    match &source.field {
        Some(field) => from_polygons(role, source, field, ground),
        None => from_raster(role, source, ground),
    }
}

struct Shares {
    by_code: Vec<f64>,
    covered: f64,
}

fn shares(coded: &Coded, property: &[bool]) -> Shares {
    let mut counts = vec![0_usize; coded.codes.len() + 1];
    for (code, _) in coded.cells.iter().zip(property).filter(|(_, inside)| **inside) {
        counts[usize::try_from(*code).unwrap_or(0)] += 1;
    }
    let all = counts.iter().sum::<usize>().max(1) as f64;
    let by_code: Vec<f64> = counts[1..].iter().map(|count| *count as f64 / all).collect();
    let covered = (counts.iter().sum::<usize>() - counts[0]) as f64 / all;
    Shares { by_code, covered }
}

/// The row of a table with a code: as text, or as whole numbers where both are.
fn row_of<C>(table: &[CodeRow<C>], code: &str) -> Option<usize> {
    let number = code.parse::<i64>().ok();
    table.iter().position(|row| {
        let own = row.code.trim();
        own == code || (number.is_some() && own.parse::<i64>().ok() == number)
    })
}

fn not_in_table<C>(fault: Problem, source: &CategorySource<C>, one: &CategoryShare) -> Problem {
    let codes: Vec<String> = source.table.iter().map(|row| row.code.clone()).collect();
    let numeric = one.code.parse::<i64>().is_ok();
    let like = if numeric { None } else { nearest(&one.code, &codes) };
    let hint = like.map_or_else(String::new, |like| format!(" (the table has `{like}`)"));
    let none = if source.field.is_none() {
        format!(
            ", or declare it as holes if it stands for none (`gdal_edit.py -a_nodata {} FILE`)",
            one.code
        )
    } else {
        String::new()
    };
    fault
        .found(format!(
            "code `{}`, which is not in the table, on {} of the property{hint}",
            one.code,
            percent(one.share)
        ))
        .expected(format!("one of {}", codes.join(", ")))
        .remedy(format!("add a row for `{}` to the table{none}", one.code))
}

fn nothing_there(fault: Problem, ground: &Ground<'_>) -> Problem {
    fault
        .found("nothing on the property")
        .expected(format!("a layer that covers the property, in {}", ground.crs.describe()))
        .remedy("check that the file belongs to this property and declares its true system")
}

fn from_raster<C>(
    role: &str,
    source: &CategorySource<C>,
    ground: &Ground<'_>,
) -> Result<Coded, Vec<Problem>> {
    let file = RasterFile::open(role, &source.file).map_err(|problem| {
        let vector = problem.found == "a vector file";
        if vector {
            problem.remedy("say which field holds the code: `field = \"…\"`")
        } else {
            problem
        }
    })?;
    let window = window_for(&file, ground.grid, ground.crs)?
        .ok_or_else(|| apart(&file, ground.grid, ground.crs))?;
    let stored = file.codes(window)?;
    let runs = || stored.chunk_by(|one, next| one == next);
    let mut numbers: BTreeMap<i64, i32> = BTreeMap::new();
    numbers.extend(runs().filter_map(|run| run[0]).map(|code| (code, 0)));
    if numbers.len() > MAX_CODES {
        return Err(file
            .fault()
            .found(format!("{} different values", numbers.len()))
            .expected("codes of a few classes")
            .remedy("name the raster of codes, not one of measurements")
            .into());
    }
    for (place, number) in numbers.values_mut().zip(1..) {
        *place = number;
    }
    let mut cells = Vec::with_capacity(stored.len());
    for run in runs() {
        let number = run[0].map_or(0, |code| numbers[&code]);
        cells.resize(cells.len() + run.len(), number);
    }
    let finer = finer_by(&file, ground.grid, ground.crs)?;
    let how = if finer > 2.0 { Resampling::Mode } else { Resampling::Nearest };
    let used = if coincidence(&file, ground.grid, ground.crs).is_some() {
        "its own cells, not resampled"
    } else if how == Resampling::Mode {
        "the code that covers most of each cell"
    } else {
        "the code at each cell's centre"
    };
    let patch = Patch { window, cells, hole: 0 };
    let laid = lay_codes(&file, &patch, ground.grid, ground.crs, how)?;
    Ok(Coded {
        codes: numbers.keys().map(i64::to_string).collect(),
        cells: laid.into_cells(),
        facts: LayerFacts::of_raster(&file, used),
        warnings: old_datum(&file, ground.crs).into_iter().collect(),
    })
}

fn from_polygons<C>(
    role: &str,
    source: &CategorySource<C>,
    field: &str,
    ground: &Ground<'_>,
) -> Result<Coded, Vec<Problem>> {
    let vector =
        VectorSource { file: source.file.clone(), layer: source.layer.clone(), filter: None };
    let file = VectorFile::open(role, &vector).map_err(|problem| {
        let raster = problem.found == "a raster file";
        if raster {
            problem.remedy("a raster of codes has no fields: leave `field` out")
        } else {
            problem
        }
    })?;
    let grid = ground.grid;
    let reach = Rect::new((grid.west(), grid.south()), (grid.east(), grid.north()));
    let features = file.features(ground.crs, Some(file.field(field)?), Some(reach))?;
    let mut warnings: Vec<Problem> = file.datum_warning(ground.crs).into_iter().collect();
    let mut codes: Vec<String> = features.iter().filter_map(|one| one.value.clone()).collect();
    codes.sort();
    codes.dedup();
    let mut shapes: Vec<(MultiPolygon<f64>, i32)> = Vec::new();
    for feature in &features {
        match shape_of(&file, feature, field) {
            Ok((shape, code)) => {
                let number = codes.binary_search(code).map_or(0, |at| at as i32 + 1);
                shapes.push((shape, number));
            }
            Err(warning) => warnings.push(warning),
        }
    }
    let cells = burn(grid, &shapes).map_err(|reason| not_laid(file.fault(), reason))?;
    let used = "the polygon at each cell's centre; where polygons overlap, the later one";
    let facts = LayerFacts::of_vector(&file, shapes.len(), used);
    Ok(Coded { codes, cells, facts, warnings })
}

/// The polygons and code of a feature, or why it is left out.
fn shape_of<'a>(
    file: &VectorFile,
    feature: &'a Feature,
    field: &str,
) -> Result<(MultiPolygon<f64>, &'a String), Problem> {
    let left_out = |found: &str| {
        file.remark()
            .found(format!("feature {} of layer `{}`: {found}", feature.id, file.layer))
            .expected("polygons with a code")
            .remedy("it is left out; mend or remove the feature")
    };
    let Some(geometry) = &feature.geometry else { return Err(left_out("no geometry")) };
    let Some(code) = &feature.value else {
        return Err(left_out(&format!("no value in `{field}`")));
    };
    let (polygons, _) = polygons_of(geometry);
    if polygons.is_empty() {
        return Err(left_out("points or lines"));
    }
    Ok((MultiPolygon(polygons), code))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, Tif, feature, rectangle};
    use std::path::PathBuf;

    fn grid() -> Grid {
        Grid::new(10, 10, 1_600_000.0, 5_400_000.0, 10.0, 10.0).unwrap()
    }

    fn laid(file: PathBuf, field: Option<&str>, codes: &[&str]) -> Result<Category, Vec<Problem>> {
        let table = codes
            .iter()
            .map(|code| CodeRow { code: (*code).to_owned(), class: format!("class {code}") })
            .collect();
        let source = CategorySource { file, layer: None, field: field.map(str::to_owned), table };
        let crs = Crs::from_user("EPSG:2193").unwrap();
        let property = vec![true; 100];
        let ground = Ground { grid: &grid(), crs: &crs, property: &property };
        read("cover", &source, Clone::clone, &ground)
    }

    fn halves() -> Tif {
        Tif::new(10, 10, 10.0).fill(|col, _| if col < 4 { 3.0 } else { 12.0 })
    }

    #[test]
    fn codes_become_rows_of_the_table() {
        let folder = Folder::new();
        let found = laid(halves().write(&folder, "c.tif"), None, &["12", "3", "99"]).unwrap();
        assert_eq!(found.classes.at(0, 0), 2);
        assert_eq!(found.classes.at(9, 9), 1);
        let shares: Vec<_> =
            found.facts.categories.iter().map(|one| (one.code.as_str(), one.share)).collect();
        assert_eq!(shares, [("3", 0.4), ("12", 0.6)]);
        assert_eq!(found.facts.covered_share, Some(1.0));
        assert!(found.facts.used.contains("not resampled"));
    }

    #[test]
    fn a_code_that_the_table_lacks_is_an_error_with_its_share() {
        let folder = Folder::new();
        let problems = laid(halves().write(&folder, "c.tif"), None, &["3"]).err().unwrap();
        assert!(problems[0].is_error());
        assert!(problems[0].found.contains("`12`") && problems[0].found.contains("60.0 %"));
        assert!(problems[0].remedy.contains("-a_nodata 12"), "{}", problems[0]);
    }

    #[test]
    fn holes_have_no_class_and_are_warned_of() {
        let folder = Folder::new();
        let path = halves().nodata(3.0).write(&folder, "c.tif");
        let found = laid(path, None, &["12"]).unwrap();
        assert_eq!(found.classes.at(0, 0), 0);
        assert!(found.warnings[0].found.contains("40.0 %"), "{}", found.warnings[0]);
    }

    #[test]
    fn finer_codes_are_chosen_by_area_and_coarser_by_place() {
        let folder = Folder::new();
        let fine = Tif::new(50, 50, 2.0).fill(|_, row| if row % 5 == 2 { 7.0 } else { 3.0 });
        let found = laid(fine.write(&folder, "f.tif"), None, &["3", "7"]).unwrap();
        assert!(found.classes.cells().iter().all(|class| *class == 1));
        let coarse = Tif::new(4, 4, 25.0).fill(|col, _| if col < 2 { 3.0 } else { 7.0 });
        let found = laid(coarse.write(&folder, "g.tif"), None, &["3", "7"]).unwrap();
        assert_eq!((found.classes.at(5, 4), found.classes.at(5, 5)), (1, 2));
    }

    #[test]
    fn polygons_are_laid_by_cell_centres_and_later_ones_go_over() {
        let folder = Folder::new();
        let all = rectangle(1_599_990.0, 5_399_890.0, 1_600_110.0, 5_400_010.0);
        let part = rectangle(1_600_000.0, 5_399_900.0, 1_600_044.0, 5_400_000.0);
        let path = folder.geojson(
            "soil.geojson",
            Some("EPSG:2193"),
            &[
                &feature("Polygon", &all, r#""drain":"well""#),
                &feature("Polygon", &part, r#""drain":"poor""#),
                &feature("Polygon", &part, r#""drain":null"#),
                &feature("Point", "[1600005,5399995]", r#""drain":"well""#),
            ],
        );
        let found = laid(path.clone(), Some("drain"), &["poor", "well"]).unwrap();
        assert_eq!((found.classes.at(0, 3), found.classes.at(0, 4)), (1, 2));
        assert_eq!(found.warnings.len(), 2);
        assert_eq!(found.facts.features, Some(2));
        let problems = laid(path.clone(), Some("drain"), &["Poor", "well"]).err().unwrap();
        assert!(problems[0].found.contains("the table has `Poor`"), "{}", problems[0]);
        let problems = laid(path.clone(), Some("drian"), &["poor"]).err().unwrap();
        assert!(problems[0].remedy.contains("`drain`"), "{}", problems[0]);
        let problems = laid(path, None, &["poor"]).err().unwrap();
        assert!(problems[0].remedy.contains("field"), "{}", problems[0]);
    }

    #[test]
    fn layers_that_lie_elsewhere_are_refused() {
        let folder = Folder::new();
        let far = halves().transform([1_700_000.0, 10.0, 0.0, 5_500_000.0, 0.0, -10.0]);
        let problems = laid(far.write(&folder, "c.tif"), None, &["3", "12"]).err().unwrap();
        assert!(problems[0].found.contains("1700000"), "{}", problems[0]);
        let shape = feature("Polygon", &rectangle(0.0, 0.0, 9.0, 9.0), r#""drain":"well""#);
        let path = folder.geojson("soil.geojson", Some("EPSG:2193"), &[&shape]);
        let problems = laid(path, Some("drain"), &["well"]).err().unwrap();
        assert!(problems[0].found.contains("nothing on the property"), "{}", problems[0]);
    }
}
