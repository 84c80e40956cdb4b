"""A small sound plan, and plans with one fault each, to prove the checker with."""

import contextlib
import copy
import csv
import json
import os
import tempfile

import numpy
import pyogrio
import rasterio.warp
import shapely

CRS = "EPSG:2193"
WEST, SOUTH = 2_060_000.0, 5_560_000.0
COLUMNS = {
    "zones": ["zone_id", "plan_area_ha", "ground_area_ha", "left_share"],
    "stands": ["stand_id", "plan_area_ha", "ground_area_ha"],
    "keep_clear": ["keep_clear_id", "plan_area_ha"],
    "blocks": ["block_id", "zone_id", "stock_id", "share", "plan_area_ha", "ground_area_ha", "seedlings", "order_qty"],
}


def rectangle(west, south, east, north, *more):
    """A polygon in metres from the corner of the property; `more` are corners added to its eastern side."""
    corners = [(west, south), (east, south), *more, (east, north), (west, north)]
    return shapely.MultiPolygon([shapely.Polygon([(WEST + x, SOUTH + y) for x, y in corners])])


def sound():
    """Polygons: two zones that meet a stand in a T, and a strip kept clear."""
    return {
        "boundary": rectangle(0, 0, 300, 200),
        "zones": {"Z001": rectangle(0, 0, 100, 200, (100, 120)), "Z002": rectangle(100, 0, 250, 120)},
        "stands": {"S001": rectangle(100, 120, 250, 200)},
        "keep_clear": {"K001": rectangle(250, 0, 300, 200)},
    }


def tidy(polygons):
    """Adds the corner of the T to the strip's western side, so that every corner is known to both."""
    strip = [(250, 0), (300, 0), (300, 200), (250, 200), (250, 120)]
    shell = shapely.Polygon([(WEST + x, SOUTH + y) for x, y in strip])
    polygons["keep_clear"]["K001"] = shapely.MultiPolygon([shell])
    return polygons


def derive(polygons):
    """Rows, documents and tables that agree with the polygons."""
    hectares = {name: one.area / 1e4 for layer in ["zones", "stands", "keep_clear"] for name, one in polygons[layer].items()}
    rows = {
        "zones": [dict(zone_id=z, plan_area_ha=hectares[z], ground_area_ha=hectares[z] * 1.2, left_share=left)
                  for z, left in [("Z001", 0.0), ("Z002", 0.5)]],
        "stands": [dict(stand_id="S001", plan_area_ha=hectares["S001"], ground_area_ha=hectares["S001"])],
        "keep_clear": [dict(keep_clear_id="K001", plan_area_ha=hectares["K001"])],
        "blocks": [block(*one, hectares) for one in
                   [("Z001", "low", 0.75, 1650, 1800), ("Z001", "seed", 0.25, 550, 640), ("Z002", "low", 0.5, 990, 1100)]],
    }
    return {"polygons": polygons, "rows": rows, "plan": plan_document(rows), "schedule": copy.deepcopy(rows["blocks"]),
            "geojson": {name: geojson(rows, polygons, name) for name in ["zones", "blocks"]}}


def block(zone, stock, share, seedlings, order, hectares):
    """One row of blocks."""
    return dict(block_id=f"{zone}-{stock}", zone_id=zone, stock_id=stock, share=share, plan_area_ha=hectares[zone] * share,
                ground_area_ha=hectares[zone] * 1.2 * share, seedlings=seedlings, order_qty=order)


def plan_document(rows):
    """What plan.json must say."""
    total = {layer: sum(row["plan_area_ha"] for row in rows[layer]) for layer in rows}
    groups = [{"C": row["plan_area_ha"] / 2, "F": row["plan_area_ha"] / 2} for row in rows["zones"]]
    zones = [{"zone_id": row["zone_id"], "slope_group_plan_ha": group} for row, group in zip(rows["zones"], groups)]
    totals = dict(
        property_plan_ha=total["zones"] + total["stands"] + total["keep_clear"],
        zones_plan_ha=total["zones"], stands_plan_ha=total["stands"], keep_clear_plan_ha=total["keep_clear"],
        planted_plan_ha=total["blocks"], planted_ground_ha=sum(row["ground_area_ha"] for row in rows["blocks"]),
        left_plan_ha=total["zones"] - total["blocks"], seedlings=3190, order_qty=3540,
        slope_group_plan_ha={key: sum(group[key] for group in groups) for key in "CF"})
    orders = [dict(stock_id="low", seedlings=2640, order_qty=2900, blocks=2), dict(stock_id="seed", seedlings=550, order_qty=640, blocks=1),
              dict(stock_id="never used", seedlings=0, order_qty=0, blocks=0)]
    return {"totals": totals, "orders": orders, "zones": zones, "blocks": copy.deepcopy(rows["blocks"])}


def geojson(rows, polygons, layer):
    """RFC 7946, 7 decimals, shells against the clock."""
    key = COLUMNS[layer][0]
    features = []
    for row in rows[layer]:
        ring = shapely.get_coordinates(shapely.orient_polygons(polygons["zones"][row["zone_id"]]))
        lon, lat = rasterio.warp.transform(CRS, "OGC:CRS84", ring[:, 0], ring[:, 1])
        corners = [[round(x, 7), round(y, 7)] for x, y in zip(lon, lat)]
        features.append({"type": "Feature", "id": row[key], "properties": dict(row),
                         "geometry": {"type": "MultiPolygon", "coordinates": [[corners]]}})
    places = numpy.concatenate([f["geometry"]["coordinates"][0][0] for f in features])
    return {"type": "FeatureCollection", "bbox": [*places.min(axis=0), *places.max(axis=0)], "features": features}


def write_layer(file, layer, polygons, rows, crs):
    """One layer of a GeoPackage."""
    columns = COLUMNS[layer]
    data = [numpy.array([row[name] for row in rows], dtype=None if name not in ("seedlings", "order_qty") else "int64") for name in columns]
    data = [column.astype(object) if column.dtype.kind == "U" else column for column in data]
    kind = {one.geom_type for one in polygons} or {"MultiPolygon"}
    pyogrio.raw.write(file, shapely.to_wkb(polygons), data, columns, layer=layer, driver="GPKG", crs=crs,
                      geometry_type="MultiPolygon" if kind == {"MultiPolygon"} else "Unknown")


@contextlib.contextmanager
def written(fault):
    """The files of a plan with a fault, in a folder of their own; None is a sound plan."""
    stage, change = fault or (None, None)
    polygons = tidy(sound())
    if stage == "polygons":
        change(polygons)
    plan = derive(polygons)
    if stage == "files":
        change(plan)
    with tempfile.TemporaryDirectory() as folder:
        yield write_files(plan, folder)


def write_files(plan, folder):
    """All files; returns what the checker takes."""
    path = lambda name: os.path.join(folder, name)
    polygons, crs = plan["polygons"], {**dict.fromkeys([*COLUMNS, "boundary"], CRS), **plan.get("crs", {})}
    for layer in ["zones", "stands", "keep_clear"]:
        write_layer(path("plan.gpkg"), layer, list(polygons[layer].values()), plan["rows"][layer], crs[layer])
    in_zone = [plan.get("block polygons", polygons["zones"]).get(row["zone_id"], polygons["boundary"]) for row in plan["rows"]["blocks"]]
    write_layer(path("plan.gpkg"), "blocks", in_zone, plan["rows"]["blocks"], crs["blocks"])
    boundary = shapely.to_wkb([polygons["boundary"]])
    pyogrio.raw.write(path("boundary.gpkg"), boundary, [], [], layer="boundary", driver="GPKG", crs=crs["boundary"], geometry_type="MultiPolygon")
    with open(path("schedule.csv"), "w", newline="", encoding="utf-8") as file:
        table = csv.DictWriter(file, ["block_id", "plan_area_ha", "seedlings", "order_qty"], extrasaction="ignore")
        table.writeheader()
        table.writerows(plan["schedule"])
    for name, document in [("plan.json", plan["plan"]), *((f"{n}.geojson", d) for n, d in plan["geojson"].items())]:
        with open(path(name), "w", encoding="utf-8") as file:
            json.dump(document, file)
    return dict(gpkg=path("plan.gpkg"), boundary=path("boundary.gpkg"), layer="boundary", plan_json=path("plan.json"),
                schedule=path("schedule.csv"), geojson=[path("zones.geojson"), path("blocks.geojson")])


def moved(by):
    """Moves the stand east: into the strip, and away from the zone."""
    def change(polygons):
        shift = lambda corners: corners + [by, 0]
        polygons["stands"]["S001"] = shapely.transform(polygons["stands"]["S001"], shift)
    return "polygons", change


def polygon(layer, name, shape):
    """Another polygon in place of one."""
    def change(polygons):
        polygons[layer][name] = shape
    return "polygons", change


def at(*path_and_value):
    """Another value somewhere in the files."""
    *path, last, value = path_and_value
    def change(plan):
        place = plan
        for step in path:
            place = place[step]
        place[last] = value(place[last]) if callable(value) else value
    return "files", change


BOW_TIE = shapely.MultiPolygon([shapely.Polygon([(WEST, SOUTH), (WEST + 100, SOUTH + 200), (WEST + 100, SOUTH), (WEST, SOUTH + 200)])])
Z1 = ("geojson", "zones", "features", 0)
RING = (*Z1, "geometry", "coordinates", 0, 0)

# Name of the check that must object; the fault.
FAULTS = [
    (None, None),
    ("overlap", moved(0.5)),
    ("coverage", moved(0.5)),
    ("narrow gaps", ("polygons", lambda p: p.update(stands={"S001": rectangle(100.005, 120, 250, 200)}))),
    ("property outline", polygon("keep_clear", "K001", rectangle(250, 0, 299.5, 200))),
    ("property area", ("polygons", lambda p: p.update(boundary=rectangle(0, 0, 300, 200.5)))),
    ("coverage", polygon("zones", "Z001", rectangle(0, 0, 100, 200))),
    ("valid", polygon("zones", "Z001", BOW_TIE)),
    ("multipolygon", ("polygons", lambda p: p["stands"].update(S001=p["stands"]["S001"].geoms[0]))),
    ("unique names", at("rows", "stands", 0, "stand_id", "K001")),
    ("plan_area_ha", at("rows", "zones", 0, "plan_area_ha", lambda area: area * 1.00001)),
    ("ground_area_ha", at("rows", "stands", 0, "ground_area_ha", lambda area: area * 0.9)),
    ("block plan_area_ha", at("rows", "blocks", 0, "plan_area_ha", lambda area: area * 1.00001)),
    ("block ground_area_ha", at("rows", "blocks", 0, "ground_area_ha", lambda area: area * 1.00001)),
    ("block polygon", ("files", lambda plan: plan.update({"block polygons": {"Z001": rectangle(0, 0, 200, 100), "Z002": plan["polygons"]["zones"]["Z002"]}}))),
    ("block's zone", at("rows", "blocks", 0, "zone_id", "Z009")),
    ("share", at("rows", "blocks", 0, "share", 1.5)),
    ("shares of a zone", at("rows", "zones", 1, "left_share", 0.4)),
    ("one coordinate system", ("files", lambda plan: plan.update(crs={"stands": "EPSG:32760"}))),
    ("coordinate system", ("files", lambda plan: plan.update(crs={"boundary": "EPSG:32760"}))),
    ("total seedlings", at("plan", "totals", "seedlings", 3191)),
    ("total order_qty", at("rows", "blocks", 0, "order_qty", 1801)),
    ("blocks seedlings", at("plan", "blocks", 0, "seedlings", 1651)),
    ("blocks order_qty", at("plan", "blocks", lambda rows: rows[1:])),
    ("orders seedlings", at("plan", "orders", lambda rows: rows[1:])),
    ("orders order_qty", at("plan", "orders", 1, "order_qty", 641)),
    ("zones_plan_ha", at("plan", "totals", "zones_plan_ha", lambda area: area + 1e-4)),
    ("stands_plan_ha", at("plan", "totals", "stands_plan_ha", 0.0)),
    ("keep_clear_plan_ha", at("plan", "totals", "keep_clear_plan_ha", float("nan"))),
    ("property_plan_ha", at("plan", "totals", "property_plan_ha", lambda area: area - 1e-4)),
    ("planted_plan_ha", at("plan", "totals", "planted_plan_ha", lambda area: area * 1.00001)),
    ("planted_ground_ha", at("plan", "totals", "planted_ground_ha", lambda area: area / 1.2)),
    ("planted and left", at("plan", "totals", "left_plan_ha", 0.0)),
    ("slope group hectares", at("plan", "totals", "slope_group_plan_ha", "F", 1.0)),
    ("slope groups", at("plan", "totals", "slope_group_plan_ha", {"C": 1.0})),
    ("schedule order_qty", at("schedule", 0, "order_qty", 0)),
    ("schedule seedlings", at("schedule", 2, "seedlings", 991)),
    ("schedule seedlings", at("schedule", lambda rows: rows[:2])),
    ("schedule plan_area_ha", at("schedule", 2, "plan_area_ha", 1.0)),
    ("geojson type", at("geojson", "zones", "type", "Topology")),
    ("geojson feature", at(*Z1, "type", "feature")),
    ("geojson crs", at("geojson", lambda both: {**both, "zones": {**both["zones"], "crs": {"type": "name"}}})),
    ("geojson ids", at(*Z1, "id", "Z002")),
    ("geojson features", at("geojson", "zones", "features", lambda features: features[:1])),
    ("geojson geometry", at(*Z1, "geometry", None)),
    ("geojson ring", at(*RING, lambda ring: ring[:-1])),
    ("geojson right-hand rule", at(*RING, lambda ring: ring[::-1])),
    ("geojson longitude first", at(*RING, lambda ring: [[y, x] for x, y in ring])),
    ("geojson valid", at(*RING, lambda ring: [*ring[:3], ring[4], ring[3], *ring[5:]])),
    ("geojson coverage", at(*RING, 1, 0, lambda lon: round(lon + 3e-7, 7))),
    ("geojson decimals", at(*RING, 1, 0, lambda lon: lon + 1e-8)),
    ("geojson places", at(*RING, 1, 0, lambda lon: round(lon + 3e-7, 7))),
    ("geojson bbox", at("geojson", "zones", "bbox", 0, lambda west: west - 0.01)),
    ("geojson properties", at("geojson", "blocks", "features", 0, "properties", "seedlings", 1651)),
    ("geojson properties", at("geojson", "blocks", "features", 0, "properties", "stock_id", None)),
]
