//! The layers as files, in New Zealand Transverse Mercator 2000, at a place where there is only sea.

use std::path::Path;

use gdal::config::set_config_option;
use gdal::errors::Result;
use gdal::raster::{Buffer, GdalType, RasterCreationOptions};
use gdal::spatial_ref::SpatialRef;
use gdal::vector::{
    Feature, FieldDefn, FieldValue, Geometry, LayerAccess, LayerOptions, OGRFieldType,
    OGRwkbGeometryType, ToGdal,
};
use gdal::{Dataset, DriverManager};
use geo::{Coord, MapCoords};

use crate::field::Field;

/// Coordinate system of every layer.
const EPSG: u32 = 2193;
/// North-west corner of the layers: open sea, some 100 km off the east coast.
const WEST_M: f64 = 2_060_000.0;
const NORTH_M: f64 = 5_562_300.0;
/// The date written into the `GeoPackage`, so that the same seed gives the same bytes.
const DATE: &str = "2025-07-01T00:00:00.000Z";

/// Writes a raster of the cells of `like`: tiled and compressed, with its no-data value.
pub(crate) fn write_raster<T: GdalType + Copy>(
    file: &Path,
    like: &Field,
    cells: Vec<T>,
    nodata: f64,
    predictor: &str,
) -> Result<()> {
    let mut options = RasterCreationOptions::new();
    for (key, value) in [
        ("TILED", "YES"),
        ("BLOCKXSIZE", "256"),
        ("BLOCKYSIZE", "256"),
        ("COMPRESS", "DEFLATE"),
        ("ZLEVEL", "9"),
        ("PREDICTOR", predictor),
    ] {
        options.set_name_value(key, value)?;
    }
    let driver = DriverManager::get_driver_by_name("GTiff")?;
    let (cols, rows) = (like.cols, like.rows);
    let mut dataset =
        driver.create_with_band_type_with_options::<T, _>(file, cols, rows, 1, &options)?;
    dataset.set_spatial_ref(&SpatialRef::from_epsg(EPSG)?)?;
    dataset.set_geo_transform(&[WEST_M, like.cell, 0.0, NORTH_M, 0.0, -like.cell])?;
    let mut band = dataset.rasterband(1)?;
    band.set_no_data_value(Some(nodata))?;
    band.write((0, 0), (cols, rows), &mut Buffer::new((cols, rows), cells))?;
    dataset.close()
}

/// A shape with values for the first fields of its layer; the others stay empty.
pub(crate) type Row = (Geometry, Vec<FieldValue>);

/// The `GeoPackage` of everything that is not a raster.
pub(crate) struct Package {
    dataset: Dataset,
}

impl Package {
    /// An empty package; a file of that name is replaced.
    pub(crate) fn create(file: &Path) -> Result<Self> {
        set_config_option("OGR_CURRENT_DATE", DATE)?;
        let driver = DriverManager::get_driver_by_name("GPKG")?;
        if file.exists() {
            driver.delete(file)?;
        }
        Ok(Self { dataset: driver.create_vector_only(file)? })
    }

    /// Adds a layer.
    pub(crate) fn add(
        &mut self,
        name: &str,
        ty: OGRwkbGeometryType::Type,
        fields: &[(&str, OGRFieldType::Type)],
        rows: Vec<Row>,
    ) -> Result<()> {
        let srs = SpatialRef::from_epsg(EPSG)?;
        let options = LayerOptions { name, srs: Some(&srs), ty, options: None };
        let layer = self.dataset.create_layer(options)?;
        for (name, ty) in fields {
            FieldDefn::new(name, *ty)?.add_to_layer(&layer)?;
        }
        for (geometry, values) in rows {
            let mut feature = Feature::new(layer.defn())?;
            feature.set_geometry(geometry)?;
            for (i, value) in values.iter().enumerate() {
                feature.set_field(i, value)?;
            }
            feature.create(&layer)?;
        }
        Ok(())
    }

    /// Finishes the file.
    pub(crate) fn close(self) -> Result<()> {
        self.dataset.close()
    }
}

/// A shape moved from the field's metres to the map, at whole decimetres.
pub(crate) fn on_map<G>(shape: &G) -> Result<Geometry>
where
    G: MapCoords<f64, f64>,
    G::Output: ToGdal,
{
    let decimetre = |v: f64| (v * 10.0).round() / 10.0;
    shape
        .map_coords(|Coord { x, y }| Coord { x: WEST_M + decimetre(x), y: NORTH_M - decimetre(y) })
        .to_gdal()
}
