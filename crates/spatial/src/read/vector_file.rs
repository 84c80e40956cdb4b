//! A layer of a vector file: features in the plan's coordinate system, one field of each.

use std::path::PathBuf;

use gdal::vector::{Feature as Foreign, LayerAccess};
use gdal::{Dataset, GdalOpenFlags};
use gdal_sys::OGRwkbGeometryType;
use geo::{BoundingRect, Geometry, Rect};

use super::chatter;
use super::crs::Crs;
use super::elevation::old_datum_warning;
use super::raster_file::{exists, open_dataset};
use super::refusal::not_read;
use super::shape;
use crate::problem::Problem;
use crate::site::VectorSource;

/// From this many features on, GDAL's own filter by place is used.
const LARGE_LAYER: u64 = 20_000;

/// Nothing is longer than from pole to pole, metres. What is reckoned with such a shape would lose its decimals, and
/// with them the ground beside it.
const LONGEST_M: f64 = 2e7;

/// A vector layer open for reading.
pub(super) struct VectorFile {
    /// What it is for, such as `boundary`.
    pub(super) role: String,
    /// Where it is.
    pub(super) path: PathBuf,
    /// The layer inside the file.
    pub(super) layer: String,
    /// Its coordinate system.
    pub(super) crs: Option<Crs>,
    /// Names of its fields, in order.
    pub(super) fields: Vec<String>,
    filter: Option<String>,
    dataset: Dataset,
}

/// One feature.
#[derive(Debug, Clone)]
pub(super) struct Feature {
    /// Its number in the file.
    pub(super) id: String,
    /// Its shape in the system asked for; `None` when it has none.
    pub(super) geometry: Option<Geometry<f64>>,
    /// The field asked for, as text; `None` when it is not known.
    pub(super) value: Option<String>,
}

impl VectorFile {
    /// Opens a layer: the one named, or the file's only one with shapes.
    ///
    /// # Errors
    /// When it is missing, is no vector file, or does not say which layer is meant.
    pub(super) fn open(role: &str, source: &VectorSource) -> Result<Self, Problem> {
        let fault = || Problem::error(role).file(&source.file);
        exists(role, &source.file)?;
        let vector = GdalOpenFlags::GDAL_OF_VECTOR;
        let dataset = open_dataset(&source.file, vector).map_err(|reason| {
            let raster = open_dataset(&source.file, GdalOpenFlags::GDAL_OF_RASTER).is_ok();
            let found = if raster { "a raster file".to_owned() } else { reason };
            fault()
                .found(found)
                .expected("a vector file that GDAL can read")
                .remedy("check the path; `ogrinfo` on the file should succeed")
        })?;
        let layer = choose_layer(&dataset, source.layer.as_deref())
            .map_err(|(found, remedy)| fault().found(found).expected("one layer").remedy(remedy))?;
        let mut file = Self {
            role: role.to_owned(),
            path: source.file.clone(),
            layer,
            crs: None,
            fields: Vec::new(),
            filter: source.filter.clone(),
            dataset,
        };
        file.describe()?;
        Ok(file)
    }

    fn describe(&mut self) -> Result<(), Problem> {
        let (crs, fields) = {
            let layer = self.layer()?;
            let crs = layer.spatial_ref().map(|found| Crs::from_spatial_ref(&found)).transpose();
            (crs, layer.defn().fields().map(|field| field.name()).collect())
        };
        self.crs = crs.map_err(|reason| not_read(self.fault(), reason))?;
        self.fields = fields;
        Ok(())
    }

    fn layer(&self) -> Result<gdal::vector::Layer<'_>, Problem> {
        let found = self.dataset.layer_by_name(&self.layer);
        found.map_err(|error| not_read(self.fault(), chatter::reason(&error)))
    }

    /// A problem with this file.
    pub(super) fn fault(&self) -> Problem {
        Problem::error(self.role.as_str()).file(&self.path)
    }

    /// The same as a warning.
    pub(super) fn remark(&self) -> Problem {
        Problem::warning(self.role.as_str()).file(&self.path)
    }

    /// Warns that it is shifted from an old datum to reach a system.
    pub(super) fn datum_warning(&self, to: &Crs) -> Option<Problem> {
        old_datum_warning(self.remark(), self.crs.as_ref()?, to)
    }

    /// The coordinate system.
    ///
    /// # Errors
    /// When the layer has none.
    pub(super) fn crs(&self) -> Result<&Crs, Problem> {
        self.crs.as_ref().ok_or_else(|| {
            self.fault()
                .found(format!("no coordinate system in layer `{}`", self.layer))
                .expected("a layer that says which coordinate system it is in")
                .remedy(format!(
                    "find out which it is and write it into a copy, for instance \
                     `ogr2ogr -a_srs EPSG:2193 OUT.gpkg {}`",
                    self.path.display()
                ))
        })
    }

    /// Position of a field.
    ///
    /// # Errors
    /// When the layer has no field of that name; the nearest one is offered.
    pub(super) fn field(&self, name: &str) -> Result<usize, Problem> {
        if let Some(at) = self.fields.iter().position(|one| one == name) {
            return Ok(at);
        }
        let all = self.fields.iter().map(|one| format!("`{one}`")).collect::<Vec<_>>().join(", ");
        let nearest = nearest(name, &self.fields).map_or_else(
            || "name a field that the layer has, or leave the key out".to_owned(),
            |one| format!("did you mean `{one}`?"),
        );
        Err(self
            .fault()
            .found(format!("no field `{name}` in layer `{}`", self.layer))
            .expected(if all.is_empty() { "a layer with fields".to_owned() } else { all })
            .remedy(nearest))
    }

    /// Every feature that passes the layer's filter, in the order of the file, in the system
    /// `to`; `field` is a position from [`VectorFile::field`]. Features clear of the rectangle
    /// `near` (in `to`) may be left out.
    ///
    /// # Errors
    /// When the filter makes no sense, the file is cut short, or a shape is broken.
    pub(super) fn features(
        &self,
        to: &Crs,
        field: Option<usize>,
        near: Option<Rect<f64>>,
    ) -> Result<Vec<Feature>, Vec<Problem>> {
        let from = self.crs()?;
        let mut layer = self.layer()?;
        layer.clear_spatial_filter();
        self.apply_filter(&mut layer)?;
        // A filter by place also drops features without a shape, which are worth a warning: small
        // layers are read whole.
        let large = layer.try_feature_count().is_some_and(|count| count > LARGE_LAYER);
        let near_here = near.filter(|_| large).and_then(|near| bounds_in(near, to, from));
        if let Some([west, south, east, north]) = near_here {
            layer.set_spatial_filter_rect(west, south, east, north);
        }
        chatter::take();
        let mut found = Vec::new();
        let mut problems = Vec::new();
        let mut read = 0_u64;
        for foreign in layer.features() {
            read += 1;
            match self.feature(&foreign, from, to, field) {
                Ok(feature) => found.push(feature),
                Err(problem) if problems.len() < 10 => problems.push(problem),
                Err(_) => {}
            }
        }
        let cut = chatter::take_failure();
        problems.extend(self.complete(&layer, read, cut).err());
        let near = near.as_ref();
        found.retain(|feature| near.is_none_or(|near| feature.touches(near)));
        if problems.is_empty() { Ok(found) } else { Err(problems) }
    }

    /// The number of features that pass the filter, wherever they are.
    ///
    /// # Errors
    /// When the filter makes no sense.
    pub(super) fn count(&self) -> Result<usize, Problem> {
        let mut layer = self.layer()?;
        layer.clear_spatial_filter();
        self.apply_filter(&mut layer)?;
        Ok(layer.feature_count() as usize)
    }

    /// West, south, east, north in the layer's own system, where the file knows without a search.
    pub(super) fn extent(&self) -> Option<[f64; 4]> {
        let found = self.layer().ok()?.try_get_extent().ok()??;
        Some([found.MinX, found.MinY, found.MaxX, found.MaxY])
    }

    fn apply_filter(&self, layer: &mut gdal::vector::Layer<'_>) -> Result<(), Problem> {
        let Some(filter) = &self.filter else { return Ok(()) };
        chatter::take();
        let outcome = layer.set_attribute_filter(filter);
        let reason = chatter::take_failure();
        if outcome.is_ok() && reason.is_none() {
            return Ok(());
        }
        let reason = reason.unwrap_or_else(|| "GDAL cannot follow it".to_owned());
        Err(self
            .fault()
            .found(format!("a filter that cannot be used: `{filter}`: {reason}"))
            .expected("a condition in OGR SQL, such as `width_m >= 3`")
            .remedy(format!("the fields are {}", self.fields.join(", "))))
    }

    fn complete(
        &self,
        layer: &gdal::vector::Layer<'_>,
        read: u64,
        cut: Option<String>,
    ) -> Result<(), Problem> {
        let promised = layer.try_feature_count().unwrap_or(read);
        if cut.is_none() && promised <= read {
            return Ok(());
        }
        let reason = cut.unwrap_or_else(|| format!("{read} of {promised} features"));
        Err(self
            .fault()
            .found(format!("features that cannot be read: {reason}"))
            .expected("a whole, readable file")
            .remedy("it may be cut short: fetch or export it again"))
    }

    fn feature(
        &self,
        foreign: &Foreign<'_>,
        from: &Crs,
        to: &Crs,
        field: Option<usize>,
    ) -> Result<Feature, Problem> {
        let id = foreign.fid().map_or_else(|| "without a number".to_owned(), |id| id.to_string());
        let broken = |found: String| {
            self.fault()
                .found(format!("feature {id} of layer `{}`: {found}", self.layer))
                .expected("a whole geometry")
                .remedy("mend or remove the feature")
        };
        let already = chatter::take_failure();
        let shape = match foreign.geometry() {
            Some(shape) => shape::from_gdal(shape).map_err(&broken)?,
            None => None,
        };
        // GDAL grumbles about a NULL geometry each time it is looked at: only what it said while
        // it read the feature counts.
        chatter::take();
        if let Some(reason) = already {
            return Err(broken(reason));
        }
        let mut geometry = shape;
        if let Some(shape) = &mut geometry {
            from.transform_geometry(to, shape).map_err(|error| self.misplaced(&id, &error))?;
            self.is_on_earth(&id, shape)?;
        }
        let value = match field {
            Some(at) => foreign.field_as_string(at).map_err(|e| broken(chatter::reason(&e)))?,
            None => None,
        };
        let value = value.map(|text| text.trim().to_owned()).filter(|text| !text.is_empty());
        Ok(Feature { id, geometry, value })
    }

    /// Refuses a shape, in metres, that is longer than any there is.
    fn is_on_earth(&self, id: &str, shape: &Geometry<f64>) -> Result<(), Problem> {
        let across = shape.bounding_rect().map_or(0.0, |own| own.width().max(own.height()));
        if across <= LONGEST_M {
            return Ok(());
        }
        Err(self
            .fault()
            .found(format!("feature {id} of layer `{}`: {across:.1e} m long", self.layer))
            .expected(format!("a shape on Earth, at most {:.0} km long", LONGEST_M / 1e3))
            .remedy("look for a vertex that is somewhere else, and take it out"))
    }

    fn misplaced(&self, id: &str, error: &super::crs::TransformError) -> Problem {
        let json = self.path.extension().is_some_and(|end| end.eq_ignore_ascii_case("geojson"));
        let hint = if json && self.crs.as_ref().is_some_and(Crs::is_geographic) {
            "GeoJSON holds longitude and latitude in degrees (RFC 7946): write the layer in \
             degrees, or use a GeoPackage for map coordinates"
        } else {
            "check the coordinate system that the file declares"
        };
        self.fault()
            .found(format!("feature {id} of layer `{}`: {error}", self.layer))
            .expected("coordinates that lie in the file's own coordinate system")
            .remedy(hint)
    }
}

impl Feature {
    fn touches(&self, near: &Rect<f64>) -> bool {
        let Some(shape) = &self.geometry else { return true };
        shape.bounding_rect().is_some_and(|own| {
            own.min().x <= near.max().x
                && own.max().x >= near.min().x
                && own.min().y <= near.max().y
                && own.max().y >= near.min().y
        })
    }
}

/// A rectangle carried to a layer's system for GDAL's own, faster filter; `None` where it would
/// reach across the 180th meridian or has no place.
fn bounds_in(near: Rect<f64>, from: &Crs, to: &Crs) -> Option<[f64; 4]> {
    let bounds = [near.min().x, near.min().y, near.max().x, near.max().y];
    let found = from.transform_bounds(to, bounds).ok()?;
    let whole = found.iter().all(|side| side.is_finite());
    (whole && found[0] < found[2]).then_some(found)
}

/// The name of the layer to read, or what was found and what to do.
fn choose_layer(dataset: &Dataset, named: Option<&str>) -> Result<String, (String, String)> {
    let layers: Vec<(String, bool)> = dataset
        .layers()
        .map(|layer| {
            let kind = layer.defn().geometry_type();
            (layer.name(), kind != OGRwkbGeometryType::wkbNone)
        })
        .collect();
    let names: Vec<String> = layers.iter().map(|(name, _)| name.clone()).collect();
    let list = names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
    if let Some(named) = named {
        if names.iter().any(|name| name == named) {
            return Ok(named.to_owned());
        }
        let hint =
            nearest(named, &names).map_or_else(String::new, |one| format!("did you mean `{one}`?"));
        return Err((format!("no layer `{named}`; the file has {list}"), hint));
    }
    let shaped: Vec<&String> =
        layers.iter().filter(|(_, shaped)| *shaped).map(|(name, _)| name).collect();
    match (shaped.as_slice(), names.as_slice()) {
        ([only], _) => Ok((*only).clone()),
        ([], [only]) => Ok(only.clone()),
        (_, []) => Err(("no layer in the file".to_owned(), String::new())),
        _ => Err((
            format!("{} layers: {list}", names.len()),
            "say which one: `layer = \"…\"` beside `file`".to_owned(),
        )),
    }
}

/// The name most like another, when one is.
pub(super) fn nearest<'a>(name: &str, names: &'a [String]) -> Option<&'a String> {
    let likeness = |one: &String| strsim::jaro_winkler(&name.to_lowercase(), &one.to_lowercase());
    let best = names.iter().max_by(|a, b| likeness(a).total_cmp(&likeness(b)))?;
    (likeness(best) > 0.7).then_some(best)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, feature, rectangle};
    use gdal::DriverManager;
    use gdal::vector::{LayerOptions, OGRFieldType};
    use std::path::Path;

    fn source(path: &Path) -> VectorSource {
        VectorSource { file: path.to_path_buf(), layer: None, filter: None }
    }

    fn nztm() -> Crs {
        Crs::from_user("EPSG:2193").unwrap()
    }

    fn streams(folder: &Folder) -> PathBuf {
        let first = feature("LineString", "[[1,2],[3,4]]", r#""name":"Awa","width_m":2.5"#);
        let second = feature("LineString", "[[5,6],[7,8]]", r#""name":" ","width_m":null"#);
        folder.geojson("streams.geojson", Some("EPSG:2193"), &[&first, &second])
    }

    #[test]
    fn fields_come_as_text_and_blanks_as_unknown() {
        let folder = Folder::new();
        let file = VectorFile::open("streams", &source(&streams(&folder))).unwrap();
        let name = file.field("name").unwrap();
        let found = file.features(&nztm(), Some(name), None).unwrap();
        assert_eq!(found[0].value.as_deref(), Some("Awa"));
        assert_eq!(found[1].value, None);
        let width = file.field("width_m").unwrap();
        let found = file.features(&nztm(), Some(width), None).unwrap();
        assert_eq!(found[0].value.as_deref(), Some("2.5"));
    }

    #[test]
    fn a_missing_field_offers_the_nearest() {
        let folder = Folder::new();
        let file = VectorFile::open("streams", &source(&streams(&folder))).unwrap();
        let problem = file.field("widht_m").unwrap_err();
        assert!(problem.remedy.contains("`width_m`"), "{problem}");
    }

    #[test]
    fn filters_choose_and_bad_filters_are_problems() {
        let folder = Folder::new();
        let mut wanted = source(&streams(&folder));
        wanted.filter = Some("width_m > 2".to_owned());
        let file = VectorFile::open("streams", &wanted).unwrap();
        assert_eq!(file.features(&nztm(), None, None).unwrap().len(), 1);
        assert_eq!(file.count().unwrap(), 1);
        for bad in ["wide > 2", "width_m >", "); drop"] {
            wanted.filter = Some(bad.to_owned());
            let file = VectorFile::open("streams", &wanted).unwrap();
            let problems = file.features(&nztm(), None, None).unwrap_err();
            assert!(problems[0].found.contains(bad), "{}", problems[0]);
        }
    }

    #[test]
    fn features_out_of_reach_are_left_out_in_any_system() {
        let folder = Folder::new();
        let near = feature("Point", "[173.0,-41.55]", "");
        let far = feature("Point", "[170.0,-45.0]", "");
        let path = folder.geojson("poles.geojson", None, &[&near, &far]);
        let file = VectorFile::open("poles", &source(&path)).unwrap();
        let reach = Rect::new((1_590_000.0, 5_390_000.0), (1_610_000.0, 5_410_000.0));
        let found = file.features(&nztm(), None, Some(reach)).unwrap();
        assert_eq!(found.len(), 1);
        let Some(Geometry::Point(at)) = found[0].geometry else { panic!("{found:?}") };
        assert!((at.x() - 1_600_000.0).abs() < 1.0, "{at:?}");
    }

    #[test]
    fn a_large_layer_is_filtered_by_place_and_then_counted_whole() {
        let folder = Folder::new();
        let many: Vec<_> = (0..=LARGE_LAYER)
            .map(|at| feature("Point", &format!("[{},-41.55]", 170.0 + at as f64 * 0.0003), ""))
            .collect();
        let many: Vec<&str> = many.iter().map(String::as_str).collect();
        let path = folder.geojson("poles.geojson", None, &many);
        let file = VectorFile::open("poles", &source(&path)).unwrap();
        let reach = Rect::new((1_599_000.0, 5_390_000.0), (1_601_000.0, 5_410_000.0));
        let found = file.features(&nztm(), None, Some(reach)).unwrap();
        // 2 km of a row of points 25.03 m apart (0.0003° at 41.55° S).
        assert!((79..=81).contains(&found.len()), "{}", found.len());
        assert_eq!(file.count().unwrap() as u64, LARGE_LAYER + 1);
        assert_eq!(file.features(&nztm(), None, None).unwrap().len() as u64, LARGE_LAYER + 1);
    }

    /// A power line with one vertex beyond all measure would have kept nothing clear.
    #[test]
    fn a_shape_that_no_land_has_is_refused_and_a_long_one_is_not() {
        let folder = Folder::new();
        let read = |vertex: &str| {
            let line = feature("LineString", &format!("[[1600000,5400000],{vertex}]"), "");
            let path = folder.geojson("line.geojson", Some("EPSG:2193"), &[&line]);
            VectorFile::open("power", &source(&path)).unwrap().features(&nztm(), None, None)
        };
        for vertex in ["[1e200,5400000]", "[1600000,-1e200]", "[21600001,5400000]"] {
            let problems = read(vertex).unwrap_err();
            let found = &problems[0].found;
            assert!(found.contains("feature 0") && found.contains("m long"), "{}", problems[0]);
        }
        assert_eq!(read("[21600000,5400000]").unwrap().len(), 1);
    }

    #[test]
    fn map_coordinates_in_plain_geojson_are_found_out() {
        let folder = Folder::new();
        let shape = feature("Polygon", &rectangle(1.6e6, 5.4e6, 1.601e6, 5.401e6), "");
        let path = folder.geojson("b.geojson", None, &[&shape]);
        let file = VectorFile::open("boundary", &source(&path)).unwrap();
        let problems = file.features(&nztm(), None, None).unwrap_err();
        assert!(problems[0].remedy.contains("RFC 7946"), "{}", problems[0]);
    }

    #[test]
    fn a_null_geometry_is_kept_as_none_with_its_number() {
        let folder = Folder::new();
        let path = folder.geojson(
            "b.geojson",
            Some("EPSG:2193"),
            &[r#"{"type":"Feature","id":7,"properties":{},"geometry":null}"#],
        );
        let file = VectorFile::open("boundary", &source(&path)).unwrap();
        let found = file.features(&nztm(), None, None).unwrap();
        assert_eq!(found[0].id, "7");
        assert!(found[0].geometry.is_none());
    }

    #[test]
    fn a_broken_geometry_is_a_problem_with_its_number() {
        let folder = Folder::new();
        let path = folder.geojson(
            "b.geojson",
            Some("EPSG:2193"),
            &[r#"{"type":"Feature","id":7,"properties":{},
                "geometry":{"type":"Polygon","coordinates":[[["a","b"],[1,2]]]}}"#],
        );
        let outcome = VectorFile::open("boundary", &source(&path))
            .map_err(|problem| vec![problem])
            .and_then(|file| file.features(&nztm(), None, None));
        let shape = outcome.map(|found| found[0].geometry.clone());
        assert!(matches!(shape, Err(_) | Ok(None)), "{shape:?}");
    }

    #[test]
    fn several_layers_want_a_name() {
        let folder = Folder::new();
        let path = folder.path("two.gpkg");
        let driver = DriverManager::get_driver_by_name("GPKG").unwrap();
        let mut dataset = driver.create_vector_only(&path).unwrap();
        let srs = nztm().spatial_ref().unwrap();
        for name in ["rivers", "roads"] {
            let options = LayerOptions { name, srs: Some(&srs), ty: 2, ..LayerOptions::default() };
            let layer = dataset.create_layer(options).unwrap();
            layer.create_defn_fields(&[("width", OGRFieldType::OFTReal)]).unwrap();
        }
        dataset.close().unwrap();
        let problem = VectorFile::open("streams", &source(&path)).err().unwrap();
        assert!(problem.found.contains("`rivers`, `roads`"), "{problem}");
        let mut named = source(&path);
        named.layer = Some("river".to_owned());
        let problem = VectorFile::open("streams", &named).err().unwrap();
        assert!(problem.remedy.contains("`rivers`"), "{problem}");
        named.layer = Some("rivers".to_owned());
        let file = VectorFile::open("streams", &named).unwrap();
        assert!(file.features(&nztm(), None, None).unwrap().is_empty());
        assert_eq!(file.crs().unwrap().describe(), "EPSG:2193");
    }

    #[test]
    fn rasters_and_rubbish_are_no_layers() {
        let folder = Folder::new();
        let path = crate::read::fixture::Tif::new(2, 2, 1.0).write(&folder, "dem.tif");
        let problem = VectorFile::open("boundary", &source(&path)).err().unwrap();
        assert!(problem.found.contains("raster"), "{problem}");
        let path = folder.text("rubbish.gpkg", "rubbish");
        assert!(VectorFile::open("boundary", &source(&path)).is_err());
    }

    #[test]
    fn a_shapefile_cut_short_is_an_error() {
        let folder = Folder::new();
        let path = folder.path("b.shp");
        let driver = DriverManager::get_driver_by_name("ESRI Shapefile").unwrap();
        let mut dataset = driver.create_vector_only(&path).unwrap();
        let srs = nztm().spatial_ref().unwrap();
        let options = LayerOptions { name: "b", srs: Some(&srs), ty: 3, ..LayerOptions::default() };
        let mut layer = dataset.create_layer(options).unwrap();
        for step in 0..20 {
            let west = f64::from(step) * 10.0;
            let shape = gdal::vector::Geometry::bbox(west, 0.0, west + 5.0, 5.0).unwrap();
            layer.create_feature(shape).unwrap();
        }
        dataset.close().unwrap();
        let whole = VectorFile::open("boundary", &source(&path)).unwrap();
        assert_eq!(whole.features(&nztm(), None, None).unwrap().len(), 20);
        let bytes = std::fs::read(&path).unwrap();
        std::fs::write(&path, &bytes[..bytes.len() / 2]).unwrap();
        let outcome = VectorFile::open("boundary", &source(&path))
            .map_err(|problem| vec![problem])
            .and_then(|file| file.features(&nztm(), None, None));
        assert!(outcome.is_err(), "{:?}", outcome.map(|found| found.len()));
    }
}
