//! The layers of a site.

use std::collections::BTreeMap;
use std::path::Path;

use stock::LandformClass;

use super::fault::Fault;
use super::report::Report;
use super::section::Section;
use super::{
    CategorySource, ClimateSource, CodeRow, CoverClass, DrainageClass, ElevationSource,
    ErosionTerrain, Layers, SeedZoneSource, Treatment, VectorSource,
};
use crate::units::{FOOT_M, Metres, US_SURVEY_FOOT_M};

/// Reads `[layers]` and reports what its keys say against each other.
pub(super) fn read(root: &Section<'_>, folder: &Path, report: &mut Report<'_>) -> Layers {
    let layers = root.child("layers");
    let raster = |name: &str| layers.child(name).file_in(folder, "file");
    let given = |name: &str| Some(layers.child(name)).filter(Section::is_given);
    Layers {
        boundary: vector(&layers.child("boundary"), folder),
        elevation: elevation(&layers.child("elevation"), folder, report),
        cover: given("cover").map(|cover| read_cover(&cover, folder, report)),
        drainage: given("drainage").map(|drainage| read_drainage(&drainage, folder, report)),
        erosion_terrain: given("erosion_terrain")
            .map(|terrain| read_erosion_terrain(&terrain, folder, report)),
        slope: raster("slope"),
        aspect: raster("aspect"),
        wetness: raster("wetness"),
        streams: given("streams").map(|streams| vector(&streams, folder)),
        breaks: given("breaks").map(|breaks| vector(&breaks, folder)),
        drawn_zones: given("drawn_zones").map(|zones| vector(&zones, folder)),
        tracks: given("tracks").map(|tracks| vector(&tracks, folder)),
        seed_zones: given("seed_zones").map(|zones| SeedZoneSource {
            place: vector(&zones, folder),
            field: zones.text("field").unwrap_or_default(),
        }),
        climate: given("climate").map(|climate| read_climate(&climate, folder)),
    }
}

/// A vector layer named by `file`, `layer` and `filter`.
pub(super) fn vector(section: &Section<'_>, folder: &Path) -> VectorSource {
    VectorSource {
        file: section.file_in(folder, "file").unwrap_or_default(),
        layer: section.text("layer"),
        filter: section.text("filter"),
    }
}

fn elevation(section: &Section<'_>, folder: &Path, report: &mut Report<'_>) -> ElevationSource {
    if section.is_given() && section.get("unit").is_none() {
        let value = "as the file says, metres when it does not";
        report.take_default(&section.path_of("unit"), value);
    }
    ElevationSource {
        file: section.file_in(folder, "file").unwrap_or_default(),
        metres_per_unit: section.text("unit").map(|unit| metres_per_unit(&unit)),
        nodata: section.number("nodata"),
    }
}

fn metres_per_unit(unit: &str) -> f64 {
    match unit {
        "ft" => FOOT_M,
        "ft_us" => US_SURVEY_FOOT_M,
        _ => 1.0,
    }
}

fn read_climate(section: &Section<'_>, folder: &Path) -> ClimateSource {
    ClimateSource {
        file: section.file_in(folder, "file").unwrap_or_default(),
        station_elevation: Metres(section.number("station_elevation_m").unwrap_or_default()),
        lapse_c_per_100m: section.number("lapse_c_per_100m").unwrap_or_default(),
    }
}

fn read_cover(
    section: &Section<'_>,
    folder: &Path,
    report: &mut Report<'_>,
) -> CategorySource<CoverClass> {
    report_lone_layer(section, report);
    let classes = section.children("class");
    report_codes(section, &classes, report);
    report_cover_names(&classes, report);
    let row = |class: &Section<'_>| {
        report_shares(class, report);
        CodeRow { code: code(section, class).unwrap_or_default(), class: cover_class(class) }
    };
    let table = classes.iter().map(row).collect();
    category(section, folder, table)
}

fn read_erosion_terrain(
    section: &Section<'_>,
    folder: &Path,
    report: &mut Report<'_>,
) -> CategorySource<ErosionTerrain> {
    report_lone_layer(section, report);
    let classes = section.children("class");
    report_codes(section, &classes, report);
    let row = |class: &Section<'_>| CodeRow {
        code: code(section, class).unwrap_or_default(),
        class: ErosionTerrain {
            name: class.text("name").unwrap_or_default(),
            slips_from_deg: class.number("slips_from_deg").unwrap_or_default(),
        },
    };
    category(section, folder, classes.iter().map(row).collect())
}

fn cover_class(class: &Section<'_>) -> CoverClass {
    let treatment = treatment(class);
    let gap_share = match treatment {
        Treatment::Plant => 1.0,
        Treatment::Infill => class.number("gap_share").unwrap_or_default(),
        Treatment::Keep | Treatment::Never => 0.0,
    };
    let name = class.text("name").unwrap_or_default();
    let landform = class
        .text("landform")
        .and_then(|word| LandformClass::ALL.into_iter().find(|landform| landform.key() == word));
    let (survival, protects) = (class.number("survival"), class.number("protects"));
    CoverClass { name, treatment, gap_share, survival, landform, protects }
}

fn treatment(class: &Section<'_>) -> Treatment {
    let word = class.text("treatment").unwrap_or_default();
    Treatment::ALL.into_iter().find(|one| one.key() == word).unwrap_or(Treatment::Never)
}

fn category<C>(section: &Section<'_>, folder: &Path, table: Vec<CodeRow<C>>) -> CategorySource<C> {
    CategorySource {
        file: section.file_in(folder, "file").unwrap_or_default(),
        layer: section.text("layer"),
        field: section.text("field"),
        table,
    }
}

/// A raster has no layers, and a vector layer needs the field that holds its codes.
fn report_lone_layer(section: &Section<'_>, report: &mut Report<'_>) {
    if section.get("layer").is_some() && section.get("field").is_none() {
        let fault = Fault::new(
            "`field` beside `layer`: the field that holds the code",
            "add `field`, or take `layer` out when the file is a raster",
        );
        report.error(
            &section.path_of("field"),
            section.span_of_name("layer"),
            fault.found("nothing"),
        );
    }
}

/// The code of a class as text: of a raster, the whole number that it stands for.
fn code(layer: &Section<'_>, class: &Section<'_>) -> Option<String> {
    let code = class.text("code")?;
    if layer.get("field").is_some() {
        return Some(code);
    }
    Some(raster_code(&code).unwrap_or(code))
}

fn raster_code(code: &str) -> Option<String> {
    code.trim().parse::<i64>().ok().map(|whole| whole.to_string())
}

fn not_of_a_raster() -> Fault {
    Fault::new(
        "a whole number, as a raster holds",
        "write a whole number, or name the `field` of a vector file that holds the code",
    )
}

fn report_codes(layer: &Section<'_>, classes: &[Section<'_>], report: &mut Report<'_>) {
    let mut first: BTreeMap<String, usize> = BTreeMap::new();
    for class in classes {
        let Some(code) = code(layer, class) else { continue };
        let span = class.span_of("code");
        if layer.get("field").is_none() && raster_code(&code).is_none() {
            report.error(&class.path_of("code"), span.clone(), not_of_a_raster());
        }
        if let Some(before) = first.get(&code) {
            let expected =
                format!("each code once; this one stands at line {}", report.line(*before));
            let fault = Fault::new(expected, "keep one of the two classes");
            report.error(&class.path_of("code"), span, fault);
        } else {
            first.insert(code, span.start);
        }
    }
}

/// Two codes may share a name, but not two treatments.
fn report_cover_names(classes: &[Section<'_>], report: &mut Report<'_>) {
    let mut first: BTreeMap<String, (CoverClass, usize)> = BTreeMap::new();
    for class in classes {
        let Some(name) = class.text("name") else { continue };
        let (cover, span) = (cover_class(class), class.span_of("name"));
        let (before, at) = first.entry(name).or_insert_with(|| (cover.clone(), span.start));
        if *before != cover {
            let line = report.line(*at);
            let expected = format!("the treatment and shares that the name has at line {line}");
            let fault = Fault::new(expected, "give this class a name of its own");
            report.error(&class.path_of("name"), span, fault);
        }
    }
}

/// `gap_share` and `survival` only say something where something is planted.
fn report_shares(class: &Section<'_>, report: &mut Report<'_>) {
    let (Some(word), treatment) = (class.text("treatment"), treatment(class)) else { return };
    let given = class.get("gap_share").is_some();
    if treatment == Treatment::Infill && !given {
        let fault = Fault::new(
            "a share from 0 to 1: how much of the ground is open for planting",
            "add a line such as `gap_share = 0.6`, or set `treatment` to another word",
        );
        report.error(
            &class.path_of("gap_share"),
            class.span_of("treatment"),
            fault.found("nothing"),
        );
    }
    if treatment != Treatment::Infill && given {
        let expected = format!("`gap_share` only beside `treatment = \"infill\"`, not \"{word}\"");
        let fault = Fault::new(expected, "take it out, or set `treatment` to \"infill\"");
        report.error(&class.path_of("gap_share"), class.span_of("gap_share"), fault);
    }
    let planted = matches!(treatment, Treatment::Plant | Treatment::Infill);
    for key in ["survival", "landform"] {
        if !planted && class.get(key).is_some() {
            let expected = format!("no `{key}` where nothing is planted (\"{word}\")");
            let fault = Fault::new(expected, "take it out: it has no effect");
            report.warning(&class.path_of(key), class.span_of(key), fault);
        }
    }
}

fn read_drainage(
    section: &Section<'_>,
    folder: &Path,
    report: &mut Report<'_>,
) -> CategorySource<DrainageClass> {
    report_lone_layer(section, report);
    let classes = section.child("classes");
    let raster = section.get("field").is_none();
    let mut before: BTreeMap<String, usize> = BTreeMap::new();
    let mut table = vec![];
    for code in classes.names() {
        let whole = raster_code(code).filter(|_| raster);
        if raster && whole.is_none() {
            let fault = not_of_a_raster().found(format!("`{code}`"));
            report.error(&classes.path_of(code), classes.span_of_name(code), fault);
        }
        let (span, row) = (classes.span_of_name(code), whole.unwrap_or_else(|| code.to_owned()));
        if before.insert(row.clone(), span.start).is_some() {
            let fault = Fault::new("each code once", "keep one of the two");
            report.error(&classes.path_of(code), span, fault);
        }
        if let Some(class) = classes.get(code).and_then(|item| item.as_str()).and_then(drainage) {
            table.push(CodeRow { code: row, class });
        }
    }
    category(section, folder, table)
}

fn drainage(word: &str) -> Option<DrainageClass> {
    DrainageClass::ALL.into_iter().find(|one| one.key() == word)
}
