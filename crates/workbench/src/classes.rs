//! Classes that every map has, as a module of the page: one palette for the page and all files.

use palette::{BORDER, Class};
use serde_json::{Map, Value as Json, json};

/// Where the page looks for it.
pub(crate) const CLASSES_JS: &str = "js/classes.js";

/// The module.
pub(crate) fn classes_js() -> String {
    let land: Map<String, Json> =
        palette::land().classes.iter().map(|class| (class.key.clone(), told(class))).collect();
    let bands: Vec<Json> = palette::cover_bands().classes.iter().map(told).collect();
    format!(
        "// Made from the palette of the program.\nexport const BORDER = {};\nexport const LAND = {};\n\
         export const COVER_BANDS = {};\n",
        json!(BORDER.to_string()),
        json!(land),
        json!(bands)
    )
}

fn told(class: &Class) -> Json {
    json!({
        "key": class.key,
        "label": class.label,
        "letter": class.letter,
        "colour": class.colour.to_string(),
        "pattern": class.pattern.name(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_class_of_the_palette_is_told() {
        let module = classes_js();
        for class in palette::land().classes.iter().chain(&palette::cover_bands().classes) {
            let [label, colour] = [json!(class.label), json!(class.colour.to_string())];
            assert!(module.contains(&format!("\"label\":{label}")), "{module}");
            assert!(module.contains(&format!("\"colour\":{colour}")), "{module}");
        }
        assert_eq!(module.matches("\nexport const ").count(), 3);
    }
}
