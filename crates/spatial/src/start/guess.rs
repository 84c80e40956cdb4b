//! What a layer may be for, by its name, its shapes and its values.

use serde::Serialize;

use super::preset::presets;
use super::{FoundFile, Holds, KeepClearAnswer, Role};
use crate::read::{FoundField, FoundLayer, MadeOf};

/// A suggestion for one layer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Guess {
    /// Name of the file.
    pub file: String,
    /// Layer inside it.
    pub layer: Option<String>,
    /// What it may be for.
    pub role: Role,
    /// Field that may hold the code.
    pub field: Option<String>,
    /// How the ground around it may be kept clear.
    pub keep_clear: Option<KeepClearAnswer>,
    /// Why.
    pub why: String,
}

/// Words in the name of a layer, and the shapes that it must have.
const WORDS: [(Role, &[MadeOf], &[&str]); 7] = [
    (
        Role::Elevation,
        &[MadeOf::Measurements, MadeOf::Codes],
        &["elev", "dem", "dtm", "height", "terrain", "lidar"],
    ),
    (Role::Drainage, &[MadeOf::Polygons, MadeOf::Codes], &["soil", "drainage", "fsl", "smap"]),
    (
        Role::Cover,
        &[MadeOf::Polygons, MadeOf::Codes],
        &["cover", "lcdb", "vegetation", "landuse", "land_use"],
    ),
    (Role::Boundary, &[MadeOf::Polygons], &["boundary", "property", "parcel", "title", "farm"]),
    (
        Role::Streams,
        &[MadeOf::Lines],
        &["stream", "river", "creek", "drain", "watercourse", "hydro"],
    ),
    (Role::Tracks, &[MadeOf::Lines], &["track", "road", "access", "lane"]),
    (Role::Breaks, &[MadeOf::Lines, MadeOf::Polygons], &["fence", "paddock", "ridge"]),
];

/// Suggests what each layer of a folder is for. Each role that one layer alone may have is suggested once: to the layer
/// whose name speaks for it, and of rasters of measurements and of polygons that are left, to the first.
#[must_use]
pub fn guess(files: &[FoundFile]) -> Vec<Guess> {
    let mut guesses = Vec::new();
    for file in files {
        match &file.holds {
            Holds::Layers(layers) => {
                guesses.extend(layers.iter().map(|one| by_name(&file.name, one)));
            }
            Holds::Climate => {
                guesses.push(Guess::of(&file.name, None, Role::Climate, "its columns"));
            }
            Holds::Stock => {
                guesses.push(Guess::of(&file.name, None, Role::Stock, "its keys or columns"));
            }
            Holds::Site | Holds::Other(_) => {}
        }
    }
    once_each(&mut guesses);
    let layers: Vec<&FoundLayer> = files.iter().flat_map(FoundFile::layers).collect();
    fill(&mut guesses, &layers, Role::Elevation, &[MadeOf::Measurements]);
    fill(&mut guesses, &layers, Role::Boundary, &[MadeOf::Polygons]);
    guesses
}

impl Guess {
    fn of(file: &str, layer: Option<&str>, role: Role, why: &str) -> Self {
        Self {
            file: file.to_owned(),
            layer: layer.map(str::to_owned),
            role,
            field: None,
            keep_clear: None,
            why: why.to_owned(),
        }
    }
}

fn by_name(file: &str, layer: &FoundLayer) -> Guess {
    // A layer is named by itself; the file's name speaks only where the layer's is the same, or there is none.
    let name = layer.layer.as_deref().unwrap_or(file).to_lowercase();
    let is_shaped =
        matches!(layer.made_of, MadeOf::Points | MadeOf::Lines | MadeOf::Polygons | MadeOf::Shapes);
    let found = WORDS.iter().find_map(|(role, made_of, words)| {
        let word = words.iter().find(|word| name.contains(**word))?;
        let field = code_field(layer, *role);
        let needs_field =
            layer.made_of == MadeOf::Polygons && matches!(role, Role::Cover | Role::Drainage);
        (made_of.contains(&layer.made_of) && !(needs_field && field.is_none()))
            .then_some((*role, *word, field))
    });
    let preset =
        presets().into_iter().find(|preset| preset.words.iter().any(|word| name.contains(word)));
    let rule = preset.filter(|_| is_shaped).map(|preset| with_width(preset.rule, layer));
    let layer_name = layer.layer.as_deref();
    match (found, rule) {
        (Some((role, word, field)), rule) => {
            let why = format!("`{word}` in its name, and {}", made_of_in_words(layer.made_of));
            let keep_clear = rule.filter(|_| matches!(role, Role::Streams | Role::Tracks));
            Guess { field, keep_clear, ..Guess::of(file, layer_name, role, &why) }
        }
        (None, Some(rule)) => {
            let why = format!("its name is like that of a {}", rule.name);
            Guess { keep_clear: Some(rule), ..Guess::of(file, layer_name, Role::KeepClear, &why) }
        }
        (None, None) => Guess::of(file, layer_name, Role::None, "nothing in its name says"),
    }
}

/// Takes the width of lines from a field that names it.
fn with_width(rule: KeepClearAnswer, layer: &FoundLayer) -> KeepClearAnswer {
    let is_width = |field: &&FoundField| field.name.to_lowercase().starts_with("width");
    let width_field = layer.fields.iter().find(is_width).map(|field| field.name.clone());
    KeepClearAnswer { width_field: width_field.filter(|_| layer.made_of == MadeOf::Lines), ..rule }
}

/// The field of polygons that may hold codes of a role: one whose name speaks for it, or the first with few values.
fn code_field(layer: &FoundLayer, role: Role) -> Option<String> {
    let words: &[&str] = match role {
        Role::Drainage => &["drain"],
        Role::Cover => &["cover", "class", "name", "veg", "type", "code"],
        _ => return None,
    };
    let with_values = || layer.fields.iter().filter(|field| !field.values.is_empty());
    let named = |word: &&str| with_values().find(|field| field.name.to_lowercase().contains(*word));
    let field = words.iter().find_map(named).or_else(|| with_values().next());
    field.map(|field| field.name.clone())
}

fn made_of_in_words(made_of: MadeOf) -> &'static str {
    match made_of {
        MadeOf::Points => "points",
        MadeOf::Lines => "lines",
        MadeOf::Polygons => "polygons",
        MadeOf::Shapes => "shapes",
        MadeOf::Rows => "rows",
        MadeOf::Codes => "cells with codes",
        MadeOf::Measurements => "cells with measurements",
    }
}

/// Leaves each role that one layer alone may have to the first that is suggested for it.
fn once_each(guesses: &mut [Guess]) {
    let mut taken = Vec::new();
    for guess in guesses {
        if guess.role.may_repeat() {
            continue;
        }
        if taken.contains(&guess.role) {
            guess.why = format!("another layer looks like the {}", guess.role.title());
            guess.role = Role::None;
            guess.field = None;
        } else {
            taken.push(guess.role);
        }
    }
}

/// Suggests a role that no name spoke for to the only layer that could have it.
fn fill(guesses: &mut [Guess], layers: &[&FoundLayer], role: Role, made_of: &[MadeOf]) {
    if guesses.iter().any(|guess| guess.role == role) {
        return;
    }
    let could = |guess: &&mut Guess| {
        guess.role == Role::None
            && layers.iter().any(|layer| {
                made_of.contains(&layer.made_of)
                    && layer.layer == guess.layer
                    && layer.file.file_name().is_some_and(|name| name == guess.file.as_str())
            })
    };
    let mut able = guesses.iter_mut().filter(could);
    if let (Some(only), None) = (able.next(), able.next()) {
        only.role = role;
        only.why = format!("the only layer of {} that is left", made_of_in_words(made_of[0]));
    }
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;

    use super::*;

    fn layer(
        file: &str,
        layer: Option<&str>,
        made_of: MadeOf,
        fields: &[(&str, &[&str])],
    ) -> FoundLayer {
        FoundLayer {
            file: PathBuf::from(file),
            layer: layer.map(str::to_owned),
            made_of,
            crs: None,
            crs_code: None,
            is_metric: true,
            extent: None,
            on_globe: None,
            features: Some(1),
            fields: fields
                .iter()
                .map(|(name, values)| FoundField {
                    name: (*name).to_owned(),
                    values: values.iter().map(|one| (*one).to_owned()).collect(),
                })
                .collect(),
            size: None,
            cell: None,
            range: None,
            unit: None,
        }
    }

    fn file(layers: Vec<FoundLayer>) -> FoundFile {
        let name = layers[0].file.display().to_string();
        FoundFile { name, bytes: 1, holds: Holds::Layers(layers) }
    }

    #[test]
    fn names_shapes_and_fields_speak() {
        let files = [
            file(vec![
                layer("hill.gpkg", Some("boundary"), MadeOf::Polygons, &[]),
                layer("hill.gpkg", Some("boundary_line"), MadeOf::Lines, &[]),
                layer(
                    "hill.gpkg",
                    Some("soil"),
                    MadeOf::Polygons,
                    &[("id", &["1"]), ("drain_class", &["1", "5"])],
                ),
                layer("hill.gpkg", Some("power_line"), MadeOf::Lines, &[]),
                layer("hill.gpkg", Some("streams"), MadeOf::Lines, &[("width_m", &["2"])]),
                layer("hill.gpkg", Some("archaeology"), MadeOf::Points, &[]),
                layer("hill.gpkg", Some("trees"), MadeOf::Points, &[]),
            ]),
            file(vec![layer("dtm_2m.tif", None, MadeOf::Measurements, &[])]),
        ];
        let guesses = guess(&files);
        let roles: Vec<(&str, Role)> = guesses
            .iter()
            .map(|one| (one.layer.as_deref().unwrap_or(&one.file), one.role))
            .collect();
        let expected = [
            ("boundary", Role::Boundary),
            ("boundary_line", Role::KeepClear),
            ("soil", Role::Drainage),
            ("power_line", Role::KeepClear),
            ("streams", Role::Streams),
            ("archaeology", Role::KeepClear),
            ("trees", Role::None),
            ("dtm_2m.tif", Role::Elevation),
        ];
        assert_eq!(roles, expected);
        assert_eq!(guesses[2].field.as_deref(), Some("drain_class"));
        let rule = guesses[4].keep_clear.as_ref().unwrap();
        assert_eq!((rule.name.as_str(), rule.width_field.as_deref()), ("stream", Some("width_m")));
        assert_eq!(guesses[5].keep_clear.as_ref().unwrap().ask_within_m, Some(200.0));
    }

    #[test]
    fn what_is_left_alone_is_suggested_and_a_second_is_not() {
        let files = [
            file(vec![layer("north.tif", None, MadeOf::Measurements, &[])]),
            file(vec![layer("place.gpkg", Some("outline"), MadeOf::Polygons, &[])]),
        ];
        let roles: Vec<Role> = guess(&files).iter().map(|one| one.role).collect();
        assert_eq!(roles, [Role::Elevation, Role::Boundary]);
        let two = [
            file(vec![layer("dem_1.tif", None, MadeOf::Measurements, &[])]),
            file(vec![layer("dem_2.tif", None, MadeOf::Measurements, &[])]),
        ];
        let roles: Vec<Role> = guess(&two).iter().map(|one| one.role).collect();
        assert_eq!(roles, [Role::Elevation, Role::None]);
    }
}
