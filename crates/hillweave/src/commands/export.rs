//! `hillweave export`: an earlier plan in other formats.

use spatial::export::{Export, FileRecord, Format, LayerRecord, export};

use crate::arguments;
use crate::commands::folder::{begin, tell};
use crate::outcome::{Outcome, Stop};
use crate::progress::Progress;
use crate::screen::{Ink, Screen, columns, counted, put_line};

/// Writes the formats that are asked for, each read back, and tells what is in them.
pub(crate) fn run(options: &arguments::Export, screen: &Screen) -> Result<Outcome, Stop> {
    // The record may be named instead of its folder.
    let folder = if options.plan.is_file() { options.plan.parent() } else { Some(&*options.plan) };
    begin(folder, &options.output, options.overwrite)?;
    let formats = formats(&options.format);
    let mut progress = Progress::new(formats.len() + 2, screen);
    let target = (options.output.as_path(), options.overwrite);
    let (export, written) =
        export(&options.plan, &formats, target, &mut |step| progress.enter(step))?;
    progress.finish();
    let target = ("export", options.output.as_path());
    tell(screen, &export, &words(&export, screen), target, &written)?;
    Ok(if export.warnings.is_empty() { Outcome::Done } else { Outcome::Findings })
}

/// Those that are named, each once; all where none is.
fn formats(named: &[arguments::ExportFormat]) -> Vec<Format> {
    let asked = |format: &Format| named.iter().any(|one| Format::ALL[*one as usize] == *format);
    Format::ALL.into_iter().filter(|format| named.is_empty() || asked(format)).collect()
}

/// The export in words.
fn words(export: &Export, screen: &Screen) -> String {
    let number = counted(export.files.len(), "file");
    let mut text =
        format!("{}: {number} written and read back\n", screen.ink(Ink::Strong, &export.site));
    put_line(&mut text, "grid", &format!("{}, which shapefile and flatgeobuf keep", export.crs));
    put_line(&mut text, "globe", "WGS 84, longitude and latitude: kml, gpx, geojson");
    put_line(
        &mut text,
        "drop points",
        "places on the map: whether a vehicle can get there and turn safely is for people on site",
    );
    text.push_str(&table(&export.files));
    text + &screen.to_look_at(&export.warnings)
}

/// Layers of the files in columns.
fn table(files: &[FileRecord]) -> String {
    let heading = ["file", "format", "layer", "features", "grid ha", "ellipsoid ha"];
    let mut rows = vec![heading.map(str::to_owned)];
    let hectares =
        |area: Option<f64>| area.map_or_else(|| "-".to_owned(), |area| format!("{area:.2}"));
    for file in files {
        rows.extend(file.layers.iter().enumerate().map(|(at, layer): (usize, &LayerRecord)| {
            let once = |words: &str| if at == 0 { words.to_owned() } else { String::new() };
            [
                once(&file.file),
                once(file.format),
                layer.layer.to_owned(),
                layer.features.to_string(),
                hectares(layer.plan_area_ha),
                hectares(layer.ellipsoid_area_ha),
            ]
        }));
    }
    columns(&rows, |at| at < 3)
}
