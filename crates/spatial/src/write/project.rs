//! A project file beside a GeoPackage, so that a double click opens every layer in its place and colours.
//!
//! Source: projects that QGIS 3.22 writes and reads; a check with its own library opens ours, also after the folder
//! was moved. Paths are relative, each layer has its coordinate system and its renderer: without them it opens bare.

use std::fmt::Write;

use gdal::spatial_ref::SpatialRef;
use geo::Rect;
use palette::look::{Label, Look, Shape};
use palette::{escaped, qml};

/// One layer of a project.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ProjectLayer {
    /// Table of the GeoPackage.
    pub(crate) table: &'static str,
    /// How it is drawn.
    pub(crate) look: Look,
    /// Whether it is switched on.
    pub(crate) shown: bool,
}

/// A whole project, the same text each time. `layers`: the uppermost first, all of the GeoPackage `file` beside it;
/// `extent`: what the map shows first.
pub(crate) fn project(
    title: &str,
    file: &str,
    crs: &SpatialRef,
    extent: Option<Rect<f64>>,
    layers: &[ProjectLayer],
) -> String {
    let system = reference_system(crs);
    let title = escaped(title);
    let mut page = format!(
        "{}<qgis projectname=\"{title}\" version=\"{}\">\n<title>{title}</title>\n<projectCrs>{system}</projectCrs>\n",
        qml::DOCTYPE,
        qml::VERSION
    );
    page += "<layer-tree-group>\n";
    for layer in layers {
        let (id, name) = (id_of(&layer.look), escaped(&layer.look.title));
        let checked = if layer.shown { "Qt::Checked" } else { "Qt::Unchecked" };
        let source = source(file, layer.table);
        // writing to a String cannot fail
        let _ = writeln!(
            page,
            "<layer-tree-layer id=\"{id}\" name=\"{name}\" providerKey=\"ogr\" source=\"{source}\" checked=\"{checked}\" \
             expanded=\"{}\"/>",
            u8::from(layer.shown)
        );
    }
    page += "</layer-tree-group>\n";
    page += &canvas(&system, extent);
    page += "<projectlayers>\n";
    for layer in layers {
        page += &map_layer(file, &system, layer);
    }
    page += "</projectlayers>\n<layerorder>\n";
    for layer in layers {
        let _ = writeln!(page, "<layer id=\"{}\"/>", id_of(&layer.look));
    }
    page += "</layerorder>\n<properties>\n<Paths><Absolute type=\"bool\">false</Absolute></Paths>\n<SpatialRefSys><ProjectionsEnabled type=\"int\">1</ProjectionsEnabled></SpatialRefSys>\n</properties>\n";
    page + "</qgis>\n"
}

/// Name of a layer in the project. One of ten letters or fewer would be replaced as it is read.
fn id_of(look: &Look) -> String {
    format!("hillweave_{}", escaped(&look.name))
}

fn source(file: &str, table: &str) -> String {
    escaped(&format!("./{file}|layername={table}"))
}

fn canvas(system: &str, extent: Option<Rect<f64>>) -> String {
    let Some(extent) = extent else { return String::new() };
    let (low, high) = (extent.min(), extent.max());
    // A twentieth of room on each side.
    let room = (high.x - low.x).max(high.y - low.y) / 20.0;
    format!(
        "<mapcanvas name=\"theMapCanvas\" annotationsVisible=\"1\">\n<units>meters</units>\n<extent><xmin>{:.3}</xmin>\
         <ymin>{:.3}</ymin><xmax>{:.3}</xmax><ymax>{:.3}</ymax></extent>\n<rotation>0</rotation>\n\
         <destinationsrs>{system}</destinationsrs>\n</mapcanvas>\n",
        low.x - room,
        low.y - room,
        high.x + room,
        high.y + room
    )
}

fn map_layer(file: &str, system: &str, layer: &ProjectLayer) -> String {
    let look = &layer.look;
    let geometry = if matches!(look.shape, Shape::Point(_)) { "Point" } else { "Polygon" };
    format!(
        "<maplayer type=\"vector\" geometry=\"{geometry}\" labelsEnabled=\"{}\" readOnly=\"0\" autoRefreshEnabled=\"0\">\n\
         <id>{}</id>\n<datasource>{}</datasource>\n<layername>{}</layername>\n<srs>{system}</srs>\n\
         <provider encoding=\"UTF-8\">ogr</provider>\n{}{}</maplayer>\n",
        u8::from(look.label != Label::None),
        id_of(look),
        source(file, layer.table),
        escaped(&look.title),
        qml::renderer(look),
        qml::labeling(look),
    )
}

/// The system by its published name where it has one, and in full.
fn reference_system(crs: &SpatialRef) -> String {
    let wkt = crs.to_wkt().unwrap_or_default();
    let authid = match (crs.auth_name(), crs.auth_code()) {
        (Some(space), Ok(number)) => format!("<authid>{}:{number}</authid>", escaped(&space)),
        _ => String::new(),
    };
    format!(
        "<spatialrefsys><wkt>{}</wkt>{authid}<description>{}</description></spatialrefsys>",
        escaped(&wkt),
        escaped(&crs.name().unwrap_or_default())
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_project_names_each_layer_by_a_relative_path() {
        let crs = SpatialRef::from_epsg(2193).unwrap();
        let layers = [
            ProjectLayer { table: "zones", look: palette::look::zone_borders(), shown: true },
            ProjectLayer { table: "zones", look: palette::look::zones(), shown: false },
        ];
        let extent = Rect::new((0.0, 0.0), (100.0, 200.0));
        let page = project("A & B", "plan.gpkg", &crs, Some(extent), &layers);
        assert_eq!(page.matches("<datasource>./plan.gpkg|layername=zones</datasource>").count(), 2);
        assert_eq!(page.matches("<authid>EPSG:2193</authid>").count(), 4); // project, map and two layers
        assert!(page.contains("<title>A &amp; B</title>") && page.contains("<xmin>-10.000</xmin>"));
        assert!(page.find("zone_borders").unwrap() < page.find("id=\"hillweave_zones\"").unwrap());
    }
}
