//! What the files of a folder hold.

use std::fs;
use std::path::{Path, PathBuf};

use serde::Serialize;

use crate::problem::Problem;
use crate::read::{FoundLayer, found};
use crate::site::SITE_FILE;
use crate::stock_file;

/// Most files of a folder that are looked at.
const MOST_FILES: usize = 200;

/// Endings of files that belong to another: parts of a shapefile, pyramids, places and notes of a raster.
const PARTS: [&str; 14] = [
    "shx", "dbf", "prj", "cpg", "qix", "sbn", "sbx", "tfw", "tifw", "jgw", "ovr", "xml", "qml",
    "qgs",
];

/// Largest text that is looked into, bytes.
const LARGEST_TEXT: u64 = 4 << 20;

/// A file of a folder.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FoundFile {
    /// Its name.
    pub name: String,
    /// Its size.
    pub bytes: u64,
    /// What is in it.
    pub holds: Holds,
}

/// What a file holds.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Holds {
    /// Layers of a map.
    Layers(Vec<FoundLayer>),
    /// Monthly normals of a station.
    Climate,
    /// Lines that can be planted.
    Stock,
    /// A site.
    Site,
    /// Nothing that a plan is made from; why.
    Other(String),
}

impl FoundFile {
    /// Its layers.
    pub fn layers(&self) -> impl Iterator<Item = &FoundLayer> {
        let layers: &[FoundLayer] = match &self.holds {
            Holds::Layers(layers) => layers,
            _ => &[],
        };
        layers.iter()
    }
}

/// A layer of a file; where the layer is not named, the file's first.
#[must_use]
pub fn layer_of<'f>(
    files: &'f [FoundFile],
    file: &str,
    layer: Option<&str>,
) -> Option<&'f FoundLayer> {
    let mut layers = files.iter().filter(|one| one.name == file).flat_map(FoundFile::layers);
    layers.find(|found| layer.is_none() || found.layer.as_deref() == layer)
}

/// Whether a name is that of a file in a folder, and leads nowhere else.
#[must_use]
pub fn is_plain_name(name: &str) -> bool {
    let is_alone = Path::new(name).file_name().is_some_and(|alone| alone == name);
    let is_hidden = name.starts_with('.');
    is_alone
        && !is_hidden
        && name.len() <= 200
        && !name.chars().any(|one| one.is_control() || "/\\:".contains(one))
}

/// The files of a folder by name; parts of other files and hidden ones are left out, folders are not entered.
///
/// # Errors
/// When the folder cannot be read, or holds more files than are looked at.
pub fn folder(folder: &Path) -> Result<Vec<FoundFile>, Problem> {
    let refused = |found: String| {
        Problem::error("folder")
            .file(folder)
            .found(found)
            .expected("a folder with the files of a property")
    };
    let entries = fs::read_dir(folder).map_err(|error| {
        refused(error.to_string()).remedy("name a folder that is there and may be read")
    })?;
    let mut files: Vec<(String, PathBuf)> = entries
        .filter_map(Result::ok)
        .filter(|entry| entry.path().is_file())
        .filter_map(|entry| Some((entry.file_name().into_string().ok()?, entry.path())))
        .filter(|(name, path)| is_plain_name(name) && !is_part(path))
        .collect();
    files.sort();
    if files.len() > MOST_FILES {
        let found = format!("{} files", files.len());
        return Err(refused(found).remedy(format!(
            "put those of the property, at most {MOST_FILES}, into a folder of their own"
        )));
    }
    Ok(files.into_iter().map(|(name, path)| look_into(name, &path)).collect())
}

fn is_part(path: &Path) -> bool {
    let ending = path.extension().and_then(|end| end.to_str()).map(str::to_lowercase);
    ending.is_some_and(|end| PARTS.contains(&end.as_str()))
}

fn look_into(name: String, path: &Path) -> FoundFile {
    let bytes = fs::metadata(path).map_or(0, |about| about.len());
    let ending = path.extension().and_then(|end| end.to_str()).map(str::to_lowercase);
    let text = || fs::read_to_string(path).ok().filter(|_| bytes <= LARGEST_TEXT);
    let holds = match ending.as_deref() {
        _ if name == SITE_FILE => Holds::Site,
        Some("toml") => match text() {
            Some(text) if text.contains("[[stock]]") => Holds::Stock,
            _ => Holds::Other("a text with keys, but no stock file".to_owned()),
        },
        Some("csv") => match text() {
            Some(text) => sheet(&text, path),
            None => Holds::Other("a sheet that cannot be read as text in UTF-8".to_owned()),
        },
        Some("zip" | "7z" | "gz" | "tar" | "rar") => {
            Holds::Other("packed: unpack it, and drop what is in it".to_owned())
        }
        Some("md" | "txt" | "pdf" | "doc" | "docx" | "jpg" | "jpeg" | "png" | "xlsx") | None => {
            Holds::Other("no layer of a map".to_owned())
        }
        _ => match found(path) {
            Ok(layers) => Holds::Layers(layers),
            Err(problem) => Holds::Other(format!("{}; {}", problem.found, problem.remedy)),
        },
    };
    FoundFile { name, bytes, holds }
}

/// A sheet goes by its first row.
fn sheet(text: &str, path: &Path) -> Holds {
    let header =
        text.trim_start_matches('\u{feff}').lines().next().unwrap_or_default().to_lowercase();
    let has = |column: &str| {
        header.split([',', ';', '\t']).any(|one| one.trim().trim_matches('"') == column)
    };
    if has("month") && has("temp_mean_c") {
        Holds::Climate
    } else if (has("id") && has("kind")) || stock_file::parse(text, path).is_ok() {
        Holds::Stock
    } else {
        Holds::Other("a sheet that is neither climate normals nor stock".to_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, Tif};

    #[test]
    fn names_lead_nowhere_else() {
        for good in ["a.tif", "Māhia 2.gpkg", "a..b.csv"] {
            assert!(is_plain_name(good), "{good}");
        }
        for bad in [
            "",
            ".",
            "..",
            ".hidden",
            "a/b",
            "../a",
            "a\\b",
            "C:a",
            "a\0",
            "a\n",
            "/",
            &"a".repeat(201),
        ] {
            assert!(!is_plain_name(bad), "{bad:?}");
        }
    }

    #[test]
    fn each_file_is_told_by_what_is_in_it() {
        let place = Folder::new();
        let write = |name: &str, text: &str| std::fs::write(place.path(name), text).unwrap();
        Tif::new(2, 2, 10.0).fill(|col, _| col as f64 + 0.5).write(&place, "dem.tif");
        write("dem.tif.aux.xml", "<PAMDataset/>");
        write("months.csv", "\u{feff}Month;temp_mean_c;temp_min_c\n");
        write("lines.toml", "[[stock]]\n");
        write("sheet.csv", "a,b\n1,2\n");
        write("layers.zip", "PK");
        write("notes.txt", "rain\n");
        write(".secret", "x");
        std::fs::create_dir(place.path("inner")).unwrap();
        let files = folder(&place.path("")).unwrap();
        let told: Vec<(&str, &str)> = files
            .iter()
            .map(|file| {
                let what = match &file.holds {
                    Holds::Layers(_) => "layers",
                    Holds::Climate => "climate",
                    Holds::Stock => "stock",
                    Holds::Site => "site",
                    Holds::Other(_) => "other",
                };
                (file.name.as_str(), what)
            })
            .collect();
        let expected = [
            ("dem.tif", "layers"),
            ("layers.zip", "other"),
            ("lines.toml", "stock"),
            ("months.csv", "climate"),
            ("notes.txt", "other"),
            ("sheet.csv", "other"),
        ];
        assert_eq!(told, expected);
        assert!(matches!(&files[1].holds, Holds::Other(why) if why.contains("unpack it")));
    }

    #[test]
    fn a_folder_that_is_not_there_is_a_problem() {
        let place = Folder::new();
        assert!(folder(&place.path("none")).unwrap_err().remedy.contains("name a folder"));
    }
}
