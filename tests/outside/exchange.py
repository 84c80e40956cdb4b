#!/usr/bin/env python3
"""A plan in other formats by readers that had no part in writing it.

    exchange.py FOLDER --plan plan.gpkg
    exchange.py --self-test

- Shapefiles by pyshp: as many rows as the GeoPackage, names of ten letters, each once, as shapefile_names.csv says; areas to
  1e-6; shells with the clock; what is not known is not 0; texts of 254 bytes at most, cut at a whole letter; `.cpg` is
  UTF-8, `.prj` is the plan's system (PROJ); polygons alone in layers of polygons.
- FlatGeobuf by pyogrio: the same rows, values and areas, in the plan's system, and found by a box.
- GeoJSON: what rfc7946.py checks of the layers that have a name column, and geojson-validator.
- KML by fastkml: a folder a layer, names, values, areas.
- GPX by gpxpy: way points on places of cards, a track a zone, a segment a ring.
- Areas in degrees, on the ellipsoid (PROJ), within 0.6 % of those of the grid.

Prints JSON; exits 0 when all holds, 1 otherwise.
"""

import argparse
import csv
import json
import os
import re
import sys
import tempfile
import warnings

import fastkml
import geojson_validator
import gpxpy
import numpy
import pyogrio
import pyproj
import shapefile
import shapely
import shapely.geometry

from findings import Findings, self_test
from rfc7946 import check_geojson

KEYS = {"zones": "zone_id", "blocks": "block_id", "keep_clear": "keep_clear_id", "stands": "stand_id", "plots": "plot_id", "plants": None}
GLOBE_SHARE = 0.006  # grid against ellipsoid in EPSG:2193 between 174 and 179 degrees east
GEOD = pyproj.Geod(ellps="WGS84")


class Plan:
    """A layer of the GeoPackage: columns, polygons, system."""

    def __init__(self, gpkg, name):
        meta, _, shapes, fields = pyogrio.raw.read(gpkg, layer=name)
        self.crs, self.columns = meta["crs"], [str(field) for field in meta["fields"]]
        self.fields = dict(zip(self.columns, fields))
        self.polygons = shapely.from_wkb(shapes)

    def __getitem__(self, column):
        return self.fields[column]

    def __len__(self):
        return len(self.polygons)

    def is_points(self):
        return len(self) > 0 and self.polygons[0].geom_type == "Point"


def value(found):
    """A value with what is not known as None."""
    if found is None or (isinstance(found, float) and numpy.isnan(found)):
        return None
    return found


def same(found, expected):
    """Equal texts, or equal numbers to 12 digits; not known is not 0."""
    found, expected = value(found), value(expected)
    if found is None or expected is None or isinstance(expected, str):
        return found == expected
    return not isinstance(found, str) and bool(numpy.isclose(float(found), float(expected), rtol=1e-12, atol=1e-14))


def check(folder, plan):
    """Every file of a folder."""
    findings = Findings()
    names = [str(name) for name, _ in pyogrio.list_layers(plan) if str(name) in KEYS]
    layers = {name: Plan(plan, name) for name in names}
    found = set(os.listdir(folder))
    place = lambda name: os.path.join(folder, name)
    if "shapefile_names.csv" in found:
        with open(place("shapefile_names.csv"), encoding="utf-8", newline="") as file:
            short = {(row["layer"], row["column"]): row["shapefile_name"] for row in csv.DictReader(file)}
        for name, layer in layers.items():
            check_shapefile(findings, place(name), name, layer, short)
    if "zones.fgb" in found:
        for name, layer in layers.items():
            check_flatgeobuf(findings, place(f"{name}.fgb"), name, layer)
    if "zones.geojson" in found:
        for name, layer in layers.items():
            check_globe_json(findings, place(f"{name}.geojson"), name, layer)
    if "plan.kml" in found:
        check_kml(findings, place("plan.kml"), layers)
    if "plan.gpx" in found:
        check_gpx(findings, place("plan.gpx"), layers["zones"])
    return findings


def check_shapefile(findings, stem, name, layer, short):
    """A set: table, rings, side files."""
    with open(f"{stem}.cpg", encoding="ascii") as file:
        code = file.read().strip()
    findings.check("cpg", code == "UTF-8", f"{name}: {code}")
    with open(f"{stem}.prj", encoding="utf-8") as file:
        system = pyproj.CRS.from_wkt(file.read())
    wanted = pyproj.CRS.from_user_input(layer.crs)
    alike = system.to_epsg(min_confidence=60) == wanted.to_epsg(min_confidence=60)
    findings.check("prj", alike, f"{name}: {system.name}, expected {wanted.name}")
    with open(f"{stem}.dbf", "rb") as file:
        header = file.read(32)
    findings.check("dbf date", header[1:4] == bytes([100, 1, 1]), f"{name}: {list(header[1:4])}")
    with shapefile.Reader(stem, encoding="utf-8", encodingErrors="strict") as reader:
        fields = [field[0] for field in reader.fields if field[0] != "DeletionFlag"]
        expected = [short.get((name, column)) for column in layer.columns]
        findings.check("names", fields == expected, f"{name}: {fields}, expected {expected}")
        unique = len({field.lower() for field in fields}) == len(fields) and max(map(len, fields)) <= 10
        findings.check("ten letters", unique, f"{name}: {fields}")
        kind = shapefile.POINT if layer.is_points() else shapefile.POLYGON
        findings.check("kind of shape", reader.shapeType == kind, f"{name}: {reader.shapeTypeName}")
        records, shapes = reader.records(), reader.shapes()
    findings.check("shapefile rows", len(records) == len(layer), f"{name}: {len(records)}, expected {len(layer)}")
    for row, (record, one) in enumerate(zip(records, shapes)):
        for column, found in zip(layer.columns, record):
            check_cell(findings, f"{name}.{column} {row + 1}", found, layer[column][row])
        if one.shapeType == shapefile.POLYGON:
            check_rings(findings, f"{name} {row + 1}", one, layer.polygons[row])


def check_cell(findings, item, found, expected):
    """A value of the table; a text may be cut, and one that is not known is empty."""
    expected = value(expected)
    if isinstance(expected, str) or isinstance(found, str):
        found, expected = found or "", (expected or "").strip(" ")
        held = found == expected if len(expected.encode()) <= 254 else expected.startswith(found) and len(found.encode()) <= 254
        whole = len(expected.encode()) <= 254 or len(expected[: len(found) + 2].rstrip(" ").encode()) > 254 or expected[len(found)] == " "
        findings.check("shapefile texts", held and whole, f"{item}: {found!r}")
    else:
        findings.check("shapefile numbers", same(found, expected), f"{item}: {found!r}, expected {expected!r}")


def check_rings(findings, item, one, polygon):
    """Shells with the clock, holes against it: then the signed sum is the area."""
    starts = [*one.parts, len(one.points)]
    rings = [one.points[a:b] for a, b in zip(starts, starts[1:])]
    shift = rings[0][0]
    signed = [-ring_area([(x - shift[0], y - shift[1]) for x, y, *_ in ring]) for ring in rings]
    findings.check("shells with the clock", sum(area > 0 for area in signed) == len(shapely.get_parts(polygon)), f"{item}: {signed}")
    findings.close("shapefile areas", sum(signed), polygon.area, 1e-6, item=item)


def ring_area(ring):
    """Positive against the clock."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, ring[1:])) / 2


def check_flatgeobuf(findings, file, name, layer):
    """The same rows in the same system, and an index that finds them."""
    meta, _, shapes, fields = pyogrio.raw.read(file)
    columns = [str(field) for field in meta["fields"]]
    findings.check("flatgeobuf columns", columns == layer.columns, f"{name}: {columns}")
    findings.check("flatgeobuf system", pyproj.CRS(meta["crs"]) == pyproj.CRS(layer.crs), f"{name}: {meta['crs']}")
    findings.check("flatgeobuf rows", len(shapes) == len(layer), f"{name}: {len(shapes)}, expected {len(layer)}")
    if len(layer) == 0:
        return
    shapes = shapely.from_wkb(shapes)
    key = KEYS[name]
    at = {one: row for row, one in enumerate(dict(zip(columns, fields))[key])} if key else None
    places = {point.wkb: row for row, point in enumerate(shapes)} if key is None else None
    for row in range(len(layer)):
        there = at.get(layer[key][row]) if key else places.get(layer.polygons[row].wkb)
        if there is None:
            findings.check("flatgeobuf rows", False, f"{name} {row + 1} is not there")
            continue
        for column, found in zip(layer.columns, fields):
            findings.check("flatgeobuf values", same(found[there], layer[column][row]),
                           f"{name}.{column} {row + 1}: {found[there]!r}, expected {layer[column][row]!r}")
        findings.close("flatgeobuf areas", shapes[there].area, layer.polygons[row].area, 1e-6, item=f"{name} {row + 1}")
    with open(file, "rb") as opened:
        start = opened.read(12 + 4096)
    box = layer.polygons[0].bounds
    inside = pyogrio.raw.read(file, bbox=box, columns=[])[2]
    wanted = sum(shapely.intersects(shapely.from_wkb(shapely.to_wkb(shapes)), shapely.box(*box)))
    findings.check("flatgeobuf box", start[:4] == b"fgb\x03" and len(inside) >= wanted > 0, f"{name}: {len(inside)} of {wanted}")


def on_ellipsoid(shape):
    """Square metres of a shape in degrees."""
    return abs(GEOD.geometry_area_perimeter(shapely.orient_polygons(shape))[0])


def close_to_grid(findings, name, item, found, layer):
    """Square metres on the ellipsoid against those of the grid, all together."""
    grid = shapely.area(layer.polygons).sum()
    findings.close(name, found, grid, GLOBE_SHARE, item=item)


def check_globe_json(findings, file, name, layer):
    """RFC 7946."""
    if KEYS[name] and not layer.is_points():
        check_geojson(findings, file, layer, KEYS[name])
    with open(file, encoding="utf-8") as opened:
        document = json.load(opened)
    features = document["features"]
    findings.check("geojson rows", len(features) == len(layer), f"{name}: {len(features)}, expected {len(layer)}")
    if len(features) == 0:
        return
    structure = geojson_validator.validate_structure(document)
    findings.check("geojson structure", not structure, f"{name}: {str(structure)[:300]}")
    if "geojson geometry" not in findings.names():
        faults = geojson_validator.validate_geometries(document, criteria_problematic=[])
        findings.check("geojson geometries", not faults["invalid"], f"{name}: {str(faults)[:300]}")
    if layer.is_points():
        for feature, place in zip(features, layer.polygons):
            check_place(findings, f"{name} {feature['id']}", feature["geometry"]["coordinates"], place, layer.crs)
        return
    if findings.names() & {"geojson geometry", "geojson ring"}:
        return
    areas = [on_ellipsoid(shapely.geometry.shape(feature["geometry"])) for feature in features]
    close_to_grid(findings, "geojson areas", name, sum(areas), layer)


def check_place(findings, item, found, place, system):
    """A point in degrees is where PROJ puts it, to the last decimal."""
    move = pyproj.Transformer.from_crs(system, "OGC:CRS84", always_xy=True)
    expected = move.transform(place.x, place.y)
    apart = max(abs(a - b) for a, b in zip(found, expected))
    findings.check("places", apart <= 1.1e-7, f"{item}: {found}, expected {expected}")


def check_kml(findings, file, layers):
    """A folder a layer."""
    with open(file, encoding="utf-8") as opened:
        text = opened.read()
    document = fastkml.KML.from_string(text.partition("?>")[2].strip()).features[0]
    folders = {folder.name: folder for folder in document.features}
    findings.check("kml folders", set(folders) == set(layers), f"{sorted(folders)}")
    styles = {one.id for one in document.styles}
    for name, layer in layers.items():
        if name not in folders:
            continue
        marks = folders[name].features
        findings.check("kml rows", len(marks) == len(layer), f"{name}: {len(marks)}, expected {len(layer)}")
        areas = 0.0
        for row, mark in enumerate(marks[: len(layer)]):
            if KEYS[name]:
                findings.check("kml names", mark.name == layer[KEYS[name]][row], f"{name} {row + 1}: {mark.name}")
            told = {one.name: one.value for data in mark.extended_data.elements for one in data.data}
            for column in layer.columns:
                found, expected = told.get(column), value(layer[column][row])
                found = float(found) if found and expected is not None and not isinstance(expected, str) else found
                found = "" if found is None and isinstance(expected, str) and column in told else found
                findings.check("kml values", same(found, expected), f"{name}.{column} {row + 1}: {found!r}, expected {expected!r}")
            findings.check("kml styles", mark.style_url.url.lstrip("#") in styles, f"{name} {row + 1}: {mark.style_url.url}")
            shape = shapely.geometry.shape(mark.geometry.__geo_interface__) if layer.is_points() else polygons_of(mark.geometry)
            if layer.is_points():
                check_place(findings, f"{name} {row + 1}", (shape.x, shape.y), layer.polygons[row], layer.crs)
            else:
                areas += on_ellipsoid(shape)
        if not layer.is_points() and len(layer):
            close_to_grid(findings, "kml areas", name, areas, layer)


def polygons_of(geometry):
    """The polygons of a MultiGeometry."""
    parts = getattr(geometry, "geoms", [geometry])
    return shapely.MultiPolygon([shapely.geometry.shape(part.__geo_interface__) for part in parts])


def check_gpx(findings, file, zones):
    """Way points in the zones' neighbourhood, and outlines."""
    with open(file, encoding="utf-8") as opened:
        gpx = gpxpy.parse(opened)
    findings.check("gpx version", gpx.version == "1.1", str(gpx.version))
    names = [track.name for track in gpx.tracks]
    findings.check("gpx tracks", names == list(zones["zone_id"]), f"{len(names)} tracks")
    areas = 0.0
    for track, polygon in zip(gpx.tracks, zones.polygons):
        rings = sum(1 + len(part.interiors) for part in shapely.get_parts(polygon))
        findings.check("gpx rings", len(track.segments) == rings, f"{track.name}: {len(track.segments)}, expected {rings}")
        for segment in track.segments:
            lon, lat = [p.longitude for p in segment.points], [p.latitude for p in segment.points]
            findings.check("gpx closed", (lon[0], lat[0]) == (lon[-1], lat[-1]), track.name)
            areas += GEOD.polygon_area_perimeter(lon, lat)[0]
    close_to_grid(findings, "gpx areas", "zones", areas, zones)
    known = set(zones["zone_id"])
    points = [point.name for point in gpx.waypoints]
    findings.check("gpx way points", set(points) <= known and len(set(points)) == len(points), str(points[:5]))
    for point in gpx.waypoints:
        findings.check("gpx cautions", "on foot" in (point.description or ""), f"{point.name}: {point.description}")


# ---- a small export, made by other writers, and its faults ----

SQUARE = [(2060000.0, 5560000.0), (2060100.0, 5560000.0), (2060100.0, 5560100.0), (2060000.0, 5560100.0)]


def sound(folder):
    """Two zones: one with a hole, and values that formats like to lose."""
    shell, hole = SQUARE, [(2060040.0, 5560040.0), (2060040.0, 5560070.0), (2060070.0, 5560070.0), (2060070.0, 5560040.0)]
    shapes = [shapely.MultiPolygon([shapely.Polygon(shell, [hole])]), shapely.MultiPolygon([shapely.box(2060200, 5560000, 2060250, 5560050)])]
    fields = [["Z1", "Z2"], [0.99, 0.25], [0.0, None], ["mānuka", None], ["ā" * 200, ""]]
    columns = ["zone_id", "plan_area_ha", "wetness_mean", "best_fit", "reason"]
    arrays = [numpy.array(f, dtype=float if name in ("plan_area_ha", "wetness_mean") else object) for name, f in zip(columns, fields)]
    for file, driver in [("plan.gpkg", "GPKG"), ("zones.fgb", "FlatGeobuf")]:
        pyogrio.raw.write(os.path.join(folder, file), shapely.to_wkb(shapes), arrays, columns, layer="zones", driver=driver,
                          crs="EPSG:2193", geometry_type="MultiPolygon")
    return shapes, columns, fields


class Faulty:
    """How the small export is written; a fault changes one of these."""

    def __init__(self, **change):
        self.cpg, self.prj, self.date, self.names = "UTF-8", 2193, b"\x64\x01\x01", ["zone_id", "plan_ha", "wetness", "best_fit", "reason"]
        self.said = None            # names in the table of names
        self.cut = "ā" * 127        # of 400 bytes
        self.unknown = None         # the second wetness in the table
        self.clockwise, self.scale, self.rows, self.point = True, 1.0, 2, False
        self.fgb = {}               # crs, columns, values, rows, index
        self.json = lambda document: document
        self.kml = self.gpx = lambda text: text
        self.__dict__.update(change)


def proved(change):
    """Findings about the faulty export."""
    fault = Faulty(**(change or {}))
    with tempfile.TemporaryDirectory() as folder, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        shapes, columns, fields = sound(folder)
        write_table(fault, folder, columns, fields)
        write_shapes(fault, folder, shapes, fields)
        if fault.fgb:
            write_fgb(fault, folder, shapes, columns, fields)
        write_globe(fault, folder, shapes, columns, fields)
        return check(folder, os.path.join(folder, "plan.gpkg"))


def write_table(fault, folder, columns, fields):
    with open(os.path.join(folder, "shapefile_names.csv"), "w", encoding="utf-8") as file:
        file.write("layer,column,shapefile_name\n")
        file.writelines(f"zones,{column},{name}\n" for column, name in zip(columns, fault.said or fault.names))


def write_shapes(fault, folder, shapes, fields):
    stem = os.path.join(folder, "zones")
    with shapefile.Writer(stem, shapeType=shapefile.POINT if fault.point else shapefile.POLYGON, encoding="utf-8") as writer:
        for name, number in zip(fault.names, [False, True, True, False, False]):
            writer.field(name, *("N", 24, 15) if number else ("C", 254))
        table = [["Z1", 0.99, 0.0, "mānuka", fault.cut], ["Z2", 0.25, fault.unknown, "", ""]]
        for row, shape in list(zip(table, shapes))[: fault.rows]:
            if fault.point:
                writer.point(0, 0)
            else:
                rings = [ring for part in shape.geoms for ring in (part.exterior, *part.interiors)]
                corners = [[(x0 + (x - x0) * fault.scale, y) for x, y in ring.coords] for ring in rings for x0 in [ring.coords[0][0]]]
                turn = lambda ring, first: ring if (ring_area([(x - ring[0][0], y - ring[0][1]) for x, y in ring]) < 0) == (first == fault.clockwise) else ring[::-1]
                writer.poly([turn(ring, at == 0) for at, ring in enumerate(corners)])
            writer.record(*row)
    with open(f"{stem}.cpg", "w", encoding="ascii") as file:
        file.write(fault.cpg)
    with open(f"{stem}.prj", "w", encoding="utf-8") as file:
        file.write(pyproj.CRS.from_epsg(fault.prj).to_wkt("WKT1_ESRI"))
    with open(f"{stem}.dbf", "r+b") as file:
        file.seek(1)
        file.write(fault.date)


def write_fgb(fault, folder, shapes, columns, fields):
    rows = fault.fgb.get("rows", 2)
    values = fault.fgb.get("values", fields)
    arrays = [numpy.array(f[:rows], dtype=float if at in (1, 2) else object) for at, f in enumerate(values)]
    stretched = lambda xy: xy + fault.fgb.get("moved", 0.0) if "scale" not in fault.fgb else SQUARE[0] + (xy - SQUARE[0]) * fault.fgb["scale"]
    moved = shapely.transform(shapes, stretched)
    file = os.path.join(folder, "zones.fgb")
    os.remove(file)
    pyogrio.raw.write(file, shapely.to_wkb(moved[:rows]), arrays, fault.fgb.get("columns", columns), layer="zones", driver="FlatGeobuf",
                      crs=fault.fgb.get("crs", "EPSG:2193"), geometry_type="MultiPolygon")


def write_globe(fault, folder, shapes, columns, fields):
    move = pyproj.Transformer.from_crs("EPSG:2193", "OGC:CRS84", always_xy=True)
    degrees = [shapely.orient_polygons(shapely.transform(shape, lambda xy: numpy.column_stack([numpy.round(v, 7) for v in move.transform(xy[:, 0], xy[:, 1])]))) for shape in shapes]
    bounds = shapely.total_bounds(degrees)
    features = [{"type": "Feature", "id": fields[0][at], "properties": {c: f[at] for c, f in zip(columns, fields)},
                 "geometry": shapely.geometry.mapping(shape)} for at, shape in enumerate(degrees)]
    document = json.loads(json.dumps({"type": "FeatureCollection", "bbox": [float(v) for v in bounds], "features": features}))
    with open(os.path.join(folder, "zones.geojson"), "w", encoding="utf-8") as file:
        json.dump(fault.json(document), file)
    ring = lambda r: "<LinearRing><coordinates>" + " ".join(f"{x:.7f},{y:.7f}" for x, y in r.coords) + "</coordinates></LinearRing>"
    marks = ""
    for at, shape in enumerate(degrees):
        data = "".join(f'<SimpleData name="{c}">{f[at]}</SimpleData>' for c, f in zip(columns, fields) if f[at] is not None)
        parts = "".join(f"<Polygon><outerBoundaryIs>{ring(p.exterior)}</outerBoundaryIs>" + "".join(f"<innerBoundaryIs>{ring(i)}</innerBoundaryIs>" for i in p.interiors) + "</Polygon>" for p in shape.geoms)
        marks += (f'<Placemark><name>{fields[0][at]}</name><styleUrl>#outline</styleUrl><ExtendedData><SchemaData schemaUrl="#zones_columns">{data}</SchemaData>'
                  f"</ExtendedData><MultiGeometry>{parts}</MultiGeometry></Placemark>")
    kml = ('<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2"><Document><name>Fold</name><Style id="outline"/>'
           f"<Folder><name>zones</name>{marks}</Folder></Document></kml>")
    with open(os.path.join(folder, "plan.kml"), "w", encoding="utf-8") as file:
        file.write(fault.kml(kml))
    track = lambda name, shape: f"<trk><name>{name}</name>" + "".join("<trkseg>" + "".join(f'<trkpt lat="{y:.7f}" lon="{x:.7f}"></trkpt>' for x, y in r.coords) + "</trkseg>" for p in shape.geoms for r in (p.exterior, *p.interiors)) + "</trk>"
    gpx = ('<?xml version="1.0" encoding="UTF-8"?><gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">'
           '<wpt lat="-39.98" lon="178.39"><name>Z1</name><desc>look on foot first</desc></wpt>'
           + "".join(track(name, shape) for name, shape in zip(fields[0], degrees)) + "</gpx>")
    with open(os.path.join(folder, "plan.gpx"), "w", encoding="utf-8") as file:
        file.write(fault.gpx(gpx))


def replaced(old, new, times=1):
    """A text with another in its place."""
    return lambda text: text.replace(old, new, times)


def of_feature(change):
    """A document whose first feature is changed."""
    def fault(document):
        change(document["features"][0])
        return document
    return fault


def first_ring(change):
    """The same for its first ring."""
    return of_feature(lambda feature: feature["geometry"]["coordinates"][0].__setitem__(0, change(feature["geometry"]["coordinates"][0][0])))


def with_member(name, content):
    """A document with a member more."""
    return lambda document: {**document, name: content}


VALUES = lambda at, new: [[new if (c, r) == at else v for r, v in enumerate(f)] for c, f in enumerate(
    [["Z1", "Z2"], [0.99, 0.25], [0.0, None], ["mānuka", None], ["ā" * 200, ""]])]
COLUMNS = ["zone_id", "plan_area_ha", "wetness_mean", "best_fit", "reason"]

FAULTS = [
    (None, None),
    ("cpg", {"cpg": "ISO-8859-1"}),
    ("prj", {"prj": 27200}),
    ("dbf date", {"date": b"\x7e\x0b\x1b"}),
    ("names", {"said": ["zone_id", "plan_ha", "wetness", "best_fit", "why"]}),
    ("ten letters", {"names": ["zone_id", "plan_ha", "wetness", "ZONE_ID", "reason"]}),
    ("kind of shape", {"point": True}),
    ("shapefile rows", {"rows": 1}),
    ("shapefile texts", {"cut": "ā" * 120}),
    ("shapefile texts", {"cut": "a" * 127}),
    ("shapefile numbers", {"unknown": 0.0}),
    ("shapefile numbers", {"unknown": -9999.0}),
    ("shells with the clock", {"clockwise": False}),
    ("shapefile areas", {"scale": 1.00001}),
    ("flatgeobuf columns", {"fgb": {"columns": [*COLUMNS[:4], "why"]}}),
    ("flatgeobuf system", {"fgb": {"crs": "EPSG:2105"}}),
    ("flatgeobuf rows", {"fgb": {"rows": 1}}),
    ("flatgeobuf values", {"fgb": {"values": VALUES((2, 1), 0.0)}}),
    ("flatgeobuf areas", {"fgb": {"scale": 1.00001}}),
    ("flatgeobuf box", {"fgb": {"moved": 5000.0}}),
    ("geojson type", {"json": with_member("type", "Feature")}),
    ("geojson crs", {"json": with_member("crs", {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::2193"}})}),
    ("geojson ids", {"json": of_feature(lambda feature: feature.pop("id"))}),
    ("geojson features", {"json": of_feature(lambda feature: feature.update(id="Z9"))}),
    ("geojson feature", {"json": of_feature(lambda feature: feature.update(type="feature"))}),
    ("geojson geometry", {"json": of_feature(lambda feature: feature["geometry"].update(type="Polygon"))}),
    ("geojson ring", {"json": first_ring(lambda ring: ring[:-1])}),
    ("geojson longitude first", {"json": first_ring(lambda ring: [[y, x] for x, y in ring])}),
    ("geojson right-hand rule", {"json": first_ring(lambda ring: ring[::-1])}),
    ("geojson decimals", {"json": first_ring(lambda ring: [[x + 1e-9, y] for x, y in ring])}),
    ("geojson bbox", {"json": with_member("bbox", [178, -40, 179, -39])}),
    ("geojson properties", {"json": of_feature(lambda feature: feature["properties"].update(wetness_mean=None))}),
    ("geojson valid", {"json": first_ring(lambda ring: [ring[0], ring[2], ring[1], *ring[3:]])}),
    ("geojson coverage", {"json": of_feature(lambda feature: feature["geometry"]["coordinates"].append([[[x + 0.0023, y] for x, y in feature["geometry"]["coordinates"][0][0]]]))}),
    ("geojson places", {"json": first_ring(lambda ring: [[x + 1e-6, y] for x, y in ring])}),
    ("geojson rows", {"json": lambda document: {**document, "features": document["features"][:1]}}),
    ("geojson structure", {"json": of_feature(lambda feature: feature.update(type="feature"))}),
    ("geojson geometries", {"json": first_ring(lambda ring: ring[::-1])}),
    ("geojson areas", {"json": first_ring(lambda ring: [[ring[0][0] + (x - ring[0][0]) * 1.02, y] for x, y in ring])}),
    ("kml folders", {"kml": replaced("<name>zones</name>", "<name>zone</name>")}),
    ("kml rows", {"kml": lambda text: re.sub(r"<Placemark><name>Z2.*?</Placemark>", "", text)}),
    ("kml names", {"kml": replaced("<name>Z1<", "<name>Z7<")}),
    ("kml values", {"kml": replaced('"plan_area_ha">0.25', '"plan_area_ha">0.26')}),
    ("kml values", {"kml": replaced('<SimpleData name="wetness_mean">0.0</SimpleData>', "")}),
    ("kml styles", {"kml": replaced("#outline", "#line_7")}),
    ("kml areas", {"kml": lambda text: re.sub(r"<innerBoundaryIs>.*?</innerBoundaryIs>", "", text)}),
    ("gpx version", {"gpx": replaced('version="1.1" creator', 'version="1.0" creator')}),
    ("gpx tracks", {"gpx": lambda text: re.sub(r"<trk><name>Z2.*?</trk>", "", text)}),
    ("gpx rings", {"gpx": lambda text: re.sub(r"(</trkseg>)<trkseg>.*?</trkseg></trk>", r"\1</trk>", text, count=1)}),
    ("gpx closed", {"gpx": lambda text: re.sub(r"<trkpt [^>]*></trkpt></trkseg>", "</trkseg>", text, count=1)}),
    ("gpx areas", {"gpx": lambda text: re.sub(r"(</trkseg>)<trkseg>.*?</trkseg></trk>", r"\1</trk>", text, count=1)}),
    ("gpx way points", {"gpx": replaced("<wpt lat=\"-39.98\" lon=\"178.39\"><name>Z1", "<wpt lat=\"-39.98\" lon=\"178.39\"><name>Z8")}),
    ("gpx cautions", {"gpx": replaced("look on foot first", "drive in")}),
]


def main():
    """Checks, or proves itself."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", nargs="?")
    parser.add_argument("--plan")
    parser.add_argument("--self-test", action="store_true")
    given = vars(parser.parse_args())
    if given.pop("self_test"):
        self_test(FAULTS, proved)
    if not (given["folder"] and given["plan"]):
        parser.error("FOLDER and --plan are needed")
    check(**given).finish()


if __name__ == "__main__":
    sys.exit(main())
