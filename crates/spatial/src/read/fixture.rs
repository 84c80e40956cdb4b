//! Small files for the tests of this room, made through GDAL.

use std::path::{Path, PathBuf};

use gdal::DriverManager;
use gdal::raster::RasterCreationOptions;
use gdal::spatial_ref::SpatialRef;

/// A folder that goes away with the test.
pub(crate) struct Folder(tempfile::TempDir);

impl Folder {
    pub(crate) fn new() -> Self {
        super::chatter::silence();
        Self(tempfile::tempdir().unwrap())
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub(crate) fn text(&self, name: &str, text: &str) -> PathBuf {
        std::fs::write(self.path(name), text).unwrap();
        self.path(name)
    }

    /// A GeoJSON file (longitude and latitude, or any system named by the old `crs` member).
    pub(crate) fn geojson(&self, name: &str, crs: Option<&str>, features: &[&str]) -> PathBuf {
        let crs = crs.map_or_else(String::new, |code| {
            let urn = format!("urn:ogc:def:crs:{}", code.replace(':', "::"));
            format!(r#""crs":{{"type":"name","properties":{{"name":"{urn}"}}}},"#)
        });
        let features = features.join(",");
        self.text(name, &format!(r#"{{"type":"FeatureCollection",{crs}"features":[{features}]}}"#))
    }
}

/// A feature of GeoJSON text.
pub(crate) fn feature(kind: &str, coordinates: &str, properties: &str) -> String {
    format!(
        r#"{{"type":"Feature","properties":{{{properties}}},"geometry":{{"type":"{kind}","coordinates":{coordinates}}}}}"#
    )
}

/// A rectangle as GeoJSON coordinates of a polygon.
pub(crate) fn rectangle(west: f64, south: f64, east: f64, north: f64) -> String {
    format!(
        "[[[{west},{south}],[{east},{south}],[{east},{north}],[{west},{north}],[{west},{south}]]]"
    )
}

/// A GeoTIFF of float32 in the making; its north-west corner is at (1,600,000, 5,400,000) unless
/// placed elsewhere.
pub(crate) struct Tif {
    cols: usize,
    rows: usize,
    transform: [f64; 6],
    crs: Option<String>,
    cells: Vec<f32>,
    nodata: Option<f64>,
    scale: Option<(f64, f64)>,
    unit: Option<String>,
    bands: usize,
    options: Vec<String>,
}

impl Tif {
    pub(crate) fn new(cols: usize, rows: usize, cell: f64) -> Self {
        Self {
            cols,
            rows,
            transform: [1_600_000.0, cell, 0.0, 5_400_000.0, 0.0, -cell],
            crs: Some("EPSG:2193".to_owned()),
            cells: vec![0.0; cols * rows],
            nodata: None,
            scale: None,
            unit: None,
            bands: 1,
            options: Vec::new(),
        }
    }

    pub(crate) fn cells(mut self, cells: Vec<f32>) -> Self {
        assert_eq!(cells.len(), self.cols * self.rows);
        self.cells = cells;
        self
    }

    /// Values computed from the column and row.
    pub(crate) fn fill(self, value: impl Fn(usize, usize) -> f64) -> Self {
        let (cols, rows) = (self.cols, self.rows);
        let cells = (0..cols * rows).map(|at| value(at % cols, at / cols) as f32).collect();
        self.cells(cells)
    }

    /// Values computed from the cell centre's x and y.
    pub(crate) fn surface(self, height: impl Fn(f64, f64) -> f64) -> Self {
        let t = self.transform;
        self.fill(|col, row| {
            let (col, row) = (col as f64 + 0.5, row as f64 + 0.5);
            height(t[0] + col * t[1] + row * t[2], t[3] + col * t[4] + row * t[5])
        })
    }

    pub(crate) fn transform(mut self, transform: [f64; 6]) -> Self {
        self.transform = transform;
        self
    }

    pub(crate) fn crs(mut self, code: &str) -> Self {
        self.crs = Some(code.to_owned());
        self
    }

    pub(crate) fn no_crs(mut self) -> Self {
        self.crs = None;
        self
    }

    pub(crate) fn nodata(mut self, value: f64) -> Self {
        self.nodata = Some(value);
        self
    }

    pub(crate) fn scale(mut self, scale: f64, offset: f64) -> Self {
        self.scale = Some((scale, offset));
        self
    }

    pub(crate) fn unit(mut self, unit: &str) -> Self {
        self.unit = Some(unit.to_owned());
        self
    }

    /// Bands beyond the first hold zeros.
    pub(crate) fn bands(mut self, bands: usize) -> Self {
        self.bands = bands;
        self
    }

    /// Creation options of the format.
    pub(crate) fn options(mut self, options: &[&str]) -> Self {
        self.options = options.iter().map(|&option| option.to_owned()).collect();
        self
    }

    pub(crate) fn write(self, folder: &Folder, name: &str) -> PathBuf {
        let path = folder.path(name);
        self.write_to(&path);
        path
    }

    fn write_to(self, path: &Path) {
        let driver = DriverManager::get_driver_by_name("GTiff").unwrap();
        let options: RasterCreationOptions = self.options.iter().map(String::as_str).collect();
        let (cols, rows, bands) = (self.cols, self.rows, self.bands);
        let mut dataset = driver
            .create_with_band_type_with_options::<f32, _>(path, cols, rows, bands, &options)
            .unwrap();
        dataset.set_geo_transform(&self.transform).unwrap();
        if let Some(code) = &self.crs {
            dataset.set_spatial_ref(&SpatialRef::from_definition(code).unwrap()).unwrap();
        }
        if let Some(unit) = &self.unit {
            // Text kept beside the file, as GDAL itself does for formats without a unit.
            let aux = format!(
                "<PAMDataset><PAMRasterBand band=\"1\"><UnitType>{unit}</UnitType>\
                 </PAMRasterBand></PAMDataset>"
            );
            std::fs::write(format!("{}.aux.xml", path.display()), aux).unwrap();
        }
        let mut band = dataset.rasterband(1).unwrap();
        if let Some((scale, offset)) = self.scale {
            band.set_scale(scale).unwrap();
            band.set_offset(offset).unwrap();
        }
        if let Some(value) = self.nodata {
            band.set_no_data_value(Some(value)).unwrap();
        }
        let size = (self.cols, self.rows);
        let mut buffer = gdal::raster::Buffer::new(size, self.cells);
        band.write((0, 0), size, &mut buffer).unwrap();
        dataset.close().unwrap();
    }
}
