"""Whether a file is GeoJSON as RFC 7946 has it (Butler et al. 2016), and where the GeoPackage says.

Sections: 3.1.6 rings, 3.2 features, 4 longitude first on WGS 84 and no `crs`, 5 bounding box, 11.2
precision (7 decimals are about a centimetre).
"""

import json
from decimal import Decimal

import numpy
import rasterio.warp
import scipy.spatial
import shapely

DECIMALS = 7
APART_DEG = 1.1e-7  # half of the last decimal, along and across, and the rounding of the transform


def check_geojson(findings, file, layer, key):
    """Everything about one file; `layer` is the GeoPackage layer it repeats, `key` its name column."""
    with open(file, encoding="utf-8") as opened:
        document = json.load(opened, parse_float=Decimal)
    findings.check("geojson type", document.get("type") == "FeatureCollection", str(document.get("type")))
    findings.check("geojson crs", "crs" not in document, "a crs member")
    features = document.get("features", [])
    ids = [feature.get("id") for feature in features]
    unique = None not in ids and len(set(ids)) == len(ids)
    findings.check("geojson ids", unique, "a feature without an id, or with another's")
    findings.check("geojson features", set(ids) == set(layer[key]), "not the features of the GeoPackage")
    for feature in features:
        check_feature(findings, feature)
    check_bbox(findings, document.get("bbox"), features)
    check_properties(findings, features, layer, key)
    if not findings.names() & {"geojson geometry", "geojson ring"}:
        check_shapes(findings, features, key)
        check_places(findings, features, layer, key)


def polygons_of(feature):
    """Polygons as lists of rings of (longitude, latitude) text numbers; empty when there are none."""
    geometry = feature.get("geometry") or {}
    return geometry.get("coordinates", []) if geometry.get("type") == "MultiPolygon" else []


def check_feature(findings, feature):
    """One feature: its members, its rings."""
    name = feature.get("id")
    findings.check("geojson feature", feature.get("type") == "Feature" and "properties" in feature, f"{name}")
    polygons = polygons_of(feature)
    findings.check("geojson geometry", bool(polygons), f"{name}: not a MultiPolygon")
    for rings in polygons:
        for place, ring in enumerate(rings):
            check_ring(findings, name, ring, shell=place == 0)


def check_ring(findings, name, ring, shell):
    """Closed, at least four positions, right-hand rule, on the globe, not too precise."""
    findings.check("geojson ring", len(ring) >= 4 and ring[0] == ring[-1], f"{name}: open or too short")
    numbers = numpy.array(ring, dtype=float)[:, :2]
    on_globe = (numpy.abs(numbers) <= [180, 90]).all()
    findings.check("geojson longitude first", on_globe, f"{name}: {numbers.max(axis=0)}")
    if len(ring) >= 4:
        counterclockwise = shapely.is_ccw(shapely.linearrings(numbers - numbers[0]))
        findings.check("geojson right-hand rule", counterclockwise == shell, f"{name}: a ring runs the wrong way")
    deepest = max(decimals(number) for position in ring for number in position)
    findings.check("geojson decimals", deepest <= DECIMALS, f"{name}: {deepest} decimals")


def decimals(number):
    """Decimals as written: 2 for 1.50."""
    return max(0, -number.as_tuple().exponent) if isinstance(number, Decimal) else 0


def check_bbox(findings, bbox, features):
    """West, south, east, north of all positions, when it is given."""
    if bbox is None:
        return
    places = numpy.concatenate([positions(feature) for feature in features])
    found = [*places.min(axis=0), *places.max(axis=0)]
    same = numpy.allclose(numpy.array(bbox, dtype=float), found, rtol=0, atol=1e-9)
    findings.check("geojson bbox", same, f"{[str(side) for side in bbox]}, positions give {found}")


def positions(feature):
    """All positions of a feature."""
    rings = [ring for rings in polygons_of(feature) for ring in rings]
    return numpy.concatenate([numpy.array(ring, dtype=float)[:, :2] for ring in rings] or [numpy.empty((0, 2))])


def check_properties(findings, features, layer, key):
    """The same columns with the same values as in the GeoPackage."""
    row_of = {name: row for row, name in enumerate(layer[key])}
    for feature in features:
        properties, row = feature.get("properties") or {}, row_of.get(feature.get("id"))
        for column in layer.columns if row is not None else []:
            findings.check("geojson properties", same(properties.get(column), layer[column][row]),
                           f"{feature['id']} {column}: {properties.get(column)}, expected {layer[column][row]}")


def same(written, expected):
    """Equal text, or equal numbers to 12 digits; null is null, which is read as NaN in a column of numbers."""
    if expected is None or isinstance(expected, str):
        return written == expected
    if numpy.isnan(float(expected)):
        return written is None
    return written is not None and numpy.isclose(float(written), float(expected), rtol=1e-12, atol=0)


def check_shapes(findings, features, key):
    """Rounding left every polygon valid, and zones without gap or overlap between them.

    Blocks may lie on one another: a mixture is one polygon for each line.
    """
    shapes = numpy.array([shape(feature) for feature in features])
    for feature, valid, reason in zip(features, shapely.is_valid(shapes), shapely.is_valid_reason(shapes)):
        findings.check("geojson valid", valid, f"{feature.get('id')}: {reason}")
    if key == "zone_id":
        wrong = ~shapely.is_empty(shapely.coverage_invalid_edges(shapes))
        names = [feature.get("id") for feature, one in zip(features, wrong) if one]
        findings.check("geojson coverage", shapely.coverage_is_valid(shapes), f"borders do not match: {names[:10]}")


def shape(feature):
    """The polygons of a feature, in degrees."""
    rings = [[numpy.array(ring, dtype=float)[:, :2] for ring in rings] for rings in polygons_of(feature)]
    return shapely.MultiPolygon([shapely.Polygon(shell, holes) for shell, *holes in rings])


def check_places(findings, features, layer, key):
    """Every corner is a corner of the GeoPackage's polygon, moved to the globe by PROJ, and the other way."""
    polygon_of = dict(zip(layer[key], layer.polygons))
    for feature in features:
        if feature.get("id") not in polygon_of:
            continue
        corners = shapely.get_coordinates(polygon_of[feature["id"]])
        lon, lat = rasterio.warp.transform(layer.crs, "OGC:CRS84", corners[:, 0], corners[:, 1])
        expected, found = numpy.column_stack([lon, lat]), positions(feature)
        apart = max(farthest(found, expected), farthest(expected, found))
        findings.check("geojson places", apart <= APART_DEG, f"{feature['id']}: a corner is {apart}° off")


def farthest(these, those):
    """Longest way from one of these to the nearest of those."""
    return scipy.spatial.cKDTree(those).query(these)[0].max()
