//! What would be used of each layer, for `hillweave check`.

use std::fmt;
use std::path::PathBuf;

use serde::Serialize;

use super::raster_file::RasterFile;
use super::vector_file::VectorFile;

/// What one layer is and how much of the property it says something about.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LayerFacts {
    /// What it is for: `elevation`, `cover`, `keep_clear stream`, …
    pub role: String,
    /// The file.
    pub file: PathBuf,
    /// The layer inside a vector file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub layer: Option<String>,
    /// The file's own coordinate system.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crs: Option<String>,
    /// Columns and rows of a raster.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub size: Option<[usize; 2]>,
    /// How a raster stores its values, such as `Float32`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub data_type: Option<String>,
    /// Cell sides of a raster, in `unit`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cell: Option<[f64; 2]>,
    /// Unit of the cell sides and the extent, such as `metre` or `degree`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// West, south, east, north in the file's own system.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub extent: Option<[f64; 4]>,
    /// Value that the file declares for holes, as text because it may be NaN.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nodata: Option<String>,
    /// Share of the property with a value, 0 to 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub covered_share: Option<f64>,
    /// Least and greatest value on the property, in the plan's units.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub range: Option<[f64; 2]>,
    /// Features used.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub features: Option<usize>,
    /// Codes found in the table, with the share of the property each covers.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub categories: Vec<CategoryShare>,
    /// Codes that the table does not have.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub unmatched: Vec<CategoryShare>,
    /// How it is used, in words.
    pub used: String,
}

/// A code and how much of the property it covers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CategoryShare {
    /// The code in the file.
    pub code: String,
    /// The class it stands for; `None`: not in the table.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub class: Option<String>,
    /// Share of the property, 0 to 1.
    pub share: f64,
}

impl LayerFacts {
    /// Facts of a file of which nothing more is known.
    pub(super) fn of_file(role: &str, file: impl Into<PathBuf>, used: &str) -> Self {
        Self {
            role: role.to_owned(),
            file: file.into(),
            layer: None,
            crs: None,
            size: None,
            data_type: None,
            cell: None,
            unit: None,
            extent: None,
            nodata: None,
            covered_share: None,
            range: None,
            features: None,
            categories: Vec::new(),
            unmatched: Vec::new(),
            used: used.to_owned(),
        }
    }

    /// Facts from the header of a raster.
    pub(super) fn of_raster(file: &RasterFile, used: &str) -> Self {
        let header = &file.header;
        let (width, height) = file.cell_sides();
        Self {
            crs: header.crs.as_ref().map(super::Crs::describe_fully),
            size: Some([header.cols, header.rows]),
            data_type: Some(header.data_type.clone()),
            cell: Some([width, height]),
            unit: header.crs.as_ref().map(|crs| crs.unit_name().to_owned()),
            extent: Some(file.extent()),
            nodata: header.nodata.map(|value| value.to_string()),
            ..Self::of_file(&file.role, &file.path, used)
        }
    }

    /// Facts of a vector layer.
    pub(super) fn of_vector(file: &VectorFile, features: usize, used: &str) -> Self {
        Self {
            layer: Some(file.layer.clone()),
            crs: file.crs.as_ref().map(super::Crs::describe_fully),
            unit: file.crs.as_ref().map(|crs| crs.unit_name().to_owned()),
            extent: file.extent(),
            features: Some(features),
            ..Self::of_file(&file.role, &file.path, used)
        }
    }
}

/// A share as people read it: `12.5 %`, and never `0.0 %` or `100.0 %` unless it is.
pub(super) fn percent(share: f64) -> String {
    let rounded = (share * 1000.0).round() / 10.0;
    match rounded {
        _ if share <= 0.0 => "0 %".to_owned(),
        _ if share >= 1.0 => "100 %".to_owned(),
        _ if rounded < 0.1 => "under 0.1 %".to_owned(),
        _ if rounded > 99.9 => "over 99.9 %".to_owned(),
        _ => format!("{rounded:.1} %"),
    }
}

/// A number without more digits than it has meaning.
fn short(value: f64) -> String {
    let digits = if value.abs() >= 1000.0 { 1 } else { 6 };
    let text = format!("{value:.digits$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

impl fmt::Display for LayerFacts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.role, self.file.display())?;
        if let Some(layer) = &self.layer {
            write!(f, ", layer `{layer}`")?;
        }
        let mut line = |label: &str, text: String| write!(f, "\n  {label:<11} {text}");
        if let Some(crs) = &self.crs {
            line("system", crs.clone())?;
        }
        let unit = self.unit.clone().unwrap_or_default();
        if let (Some([cols, rows]), Some([width, height])) = (self.size, self.cell) {
            let (width, height) = (short(width), short(height));
            let stored =
                self.data_type.as_ref().map_or_else(String::new, |kind| format!(", {kind}"));
            line("cells", format!("{cols} × {rows} of {width} × {height} {unit}{stored}"))?;
        }
        if let Some(sides) = self.extent {
            let [west, south, east, north] = sides.map(short);
            line("extent", format!("{west} to {east} east, {south} to {north} north"))?;
        }
        if self.size.is_some() {
            line("holes", self.nodata.clone().unwrap_or_else(|| "no value declared".to_owned()))?;
        }
        if let Some(features) = self.features {
            line("features", features.to_string())?;
        }
        if let Some(share) = self.covered_share {
            line("covers", format!("{} of the property", percent(share)))?;
        }
        if let Some([low, high]) = self.range {
            line("range", format!("{} to {}", short(low), short(high)))?;
        }
        for one in self.categories.iter().chain(&self.unmatched) {
            let class = one.class.as_deref().unwrap_or("not in the table");
            line("category", format!("{} → {class}, {}", one.code, percent(one.share)))?;
        }
        line("used", self.used.clone())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_never_round_to_none_or_all() {
        let shares = [0.0, 0.000_01, 0.125, 0.999_99, 1.0].map(percent);
        assert_eq!(shares, ["0 %", "under 0.1 %", "12.5 %", "over 99.9 %", "100 %"]);
    }

    #[test]
    fn facts_read_as_lines() {
        let facts = LayerFacts {
            covered_share: Some(0.5),
            categories: vec![CategoryShare {
                code: "3".to_owned(),
                class: Some("pasture".to_owned()),
                share: 0.5,
            }],
            ..LayerFacts::of_file("cover", "cover.tif", "as it lies")
        };
        let text = facts.to_string();
        assert!(text.starts_with("cover: cover.tif\n"), "{text}");
        assert!(text.contains("3 → pasture, 50.0 %"), "{text}");
    }
}
