#!/usr/bin/env python3
"""A plan as a mapping package opens it: PyQGIS without a window.

    opens.py FOLDER [--png FILE]
    opens.py --self-test FOLDER

FOLDER holds `plan.gpkg`, `plan.qgs` and `plan.json`. Each layer of the GeoPackage must come up in its style, the
project also after it was moved to a folder with a space in its name; colours must be those of `styles/`. Prints JSON;
exits 0 when all holds, 1 otherwise. --png draws the project.
"""

import json
import os
import re
import shutil
import sqlite3
import sys
import tempfile

os.environ["QT_QPA_PLATFORM"] = "offscreen"
# Its own settings and profile: none of the machine's.
os.environ["QGIS_CUSTOM_CONFIG_PATH"] = tempfile.mkdtemp()

from findings import Findings, self_test
from qgis.core import (QgsApplication, QgsFeatureRequest, QgsMapRendererParallelJob, QgsMapSettings, QgsProject,
                       QgsVectorLayer, QgsSymbolLayerUtils)
from qgis.PyQt.QtCore import QSize
from qgis.PyQt.QtGui import QColor
from qgis.PyQt.QtXml import QDomDocument

STYLES = os.path.join(os.path.dirname(__file__), "..", "..", "styles", "README.md")
PREFIX = "hillweave_"
CLASSED = {"zones": "slope_group", "blocks": "stock_id", "plants": "stock_id"}


def legend(title):
    """Key and colour of each class of a legend, from the published table."""
    with open(STYLES, encoding="utf-8") as page:
        part = page.read().split(f"\n## {title}\n")[1].split("\n## ")[0]
    rows = [[cell.strip(" `") for cell in line.strip("| \n").split(" | ")] for line in part.splitlines() if line[:2] == "| "]
    return {row[1]: row[3] for row in rows[1:]}


def expected_colours(plan, layer):
    """Colour by key of a layer: slope groups from the published table, lines from the cards of the plan."""
    if layer == "zones":
        return legend("Slope group")
    return {card["stock_id"]: card["colour_hex"] for card in plan["cards"]}


def colours(layer):
    """Colour by key as the renderer has it."""
    return {one.value(): one.symbol().color().name().upper() for one in layer.renderer().categories()}


def check(folder):
    """All checks of one folder."""
    findings = Findings()
    with open(os.path.join(folder, "plan.json"), encoding="utf-8") as opened:
        plan = json.load(opened)
    file = os.path.join(folder, "plan.gpkg")
    base = sqlite3.connect(f"file:{file}?mode=ro&immutable=1", uri=True)
    tables = [row[0] for row in base.execute("SELECT table_name FROM gpkg_geometry_columns")]
    base.close()
    before = os.stat(file).st_mtime_ns, sorted(os.listdir(folder))
    for table in tables:
        layer = QgsVectorLayer(f"{file}|layername={table}", table, "ogr")
        findings.check("opens", layer.isValid(), table)
        if layer.isValid():
            layer.loadDefaultStyle()
            check_layer(findings, plan, table, layer)
            check_sld(findings, plan, table, file)
    with tempfile.TemporaryDirectory() as room:
        moved = os.path.join(room, "moved to here")
        shutil.copytree(folder, moved)
        check_project(findings, plan, os.path.join(moved, "plan.qgs"))
    after = os.stat(file).st_mtime_ns, sorted(os.listdir(folder))
    findings.check("left alone", before == after, str(after))
    return findings


def check_layer(findings, plan, table, layer):
    """Style, coordinate system and features of a layer."""
    findings.check("system", layer.crs().authid() == plan["crs"], f"{table}: {layer.crs().authid()}")
    kind = layer.renderer().type()
    asked = "categorizedSymbol" if table in CLASSED else "singleSymbol"
    findings.check("renderer", kind == asked, f"{table}: {kind}")
    if kind == "categorizedSymbol":
        field = layer.renderer().classAttribute()
        holds = field == CLASSED.get(table) and layer.fields().indexOf(field) >= 0
        findings.check("column", holds, f"{table}: {field}")
        found, asked = colours(layer), expected_colours(plan, table)
        findings.check("colours", found == asked, f"{table}: {found} {asked}")
        values = {feature[field] for feature in layer.getFeatures()} if holds else set()
        findings.check("a class for each", values <= set(found), f"{table}: {values - set(found)}")
    if table in ("zones", "blocks"):
        findings.check("labels", layer.labelsEnabled(), table)
    feature = next(layer.getFeatures(), None)
    if feature:
        near = feature.geometry().pointOnSurface().boundingBox().buffered(0.01)
        found = any(one.id() == feature.id() for one in layer.getFeatures(QgsFeatureRequest(near)))
        findings.check("found by a rectangle", found, table)
        findings.check("extent", layer.extent().contains(feature.geometry().boundingBox()), table)


def check_sld(findings, plan, table, file):
    """The SLD of a layer as the package reads it."""
    base = sqlite3.connect(f"file:{file}?mode=ro&immutable=1", uri=True)
    row = base.execute("SELECT styleSLD FROM layer_styles WHERE f_table_name = ?", (table,)).fetchone()
    base.close()
    findings.check("sld", row is not None, table)
    if row is None:
        return
    with tempfile.NamedTemporaryFile("w", suffix=".sld", encoding="utf-8") as page:
        page.write(row[0])
        page.flush()
        layer = QgsVectorLayer(f"{file}|layername={table}", table, "ogr")
        said, good = layer.loadSldStyle(page.name)
        findings.check("sld", good, f"{table}: {said}")
        if table in CLASSED and good:
            rules = layer.renderer().rootRule().children() if layer.renderer().type() == "RuleRenderer" else []
            found = {rule.label().split(":")[0]: rule.symbol().symbolLayer(0).fillColor().name().upper()
                     if rule.symbol().type() == 2 else rule.symbol().color().name().upper() for rule in rules if rule.symbol()}
            asked = sorted(expected_colours(plan, table).values())
            findings.check("sld colours", sorted(found.values()) == asked, f"{table}: {found}")


def check_project(findings, plan, file):
    """The project from the folder it is in now."""
    project = QgsProject()
    findings.check("project", project.read(file), project.error())
    layers = project.mapLayers()
    known = all(name.startswith(PREFIX) for name in layers)
    findings.check("project layers", len(layers) >= 3 and known and all(one.isValid() for one in layers.values()),
                   str({name: one.isValid() for name, one in layers.items()}))
    findings.check("project system", project.crs().authid() == plan["crs"], project.crs().authid())
    here = os.path.dirname(file)
    for long_name, layer in layers.items():
        name = long_name.removeprefix(PREFIX)
        findings.check("project paths", layer.source().startswith(here), f"{name}: {layer.source()}")
        if layer.isValid() and name in CLASSED:
            kind = layer.renderer().type()
            good = kind == "categorizedSymbol" and colours(layer) == expected_colours(plan, name)
            findings.check("project colours", good, f"{name}: {kind}")
        if layer.isValid():
            findings.check("project systems", layer.crs().authid() == plan["crs"], name)
    drawn = [one.layerId().removeprefix(PREFIX) for one in project.layerTreeRoot().findLayers()]
    places = [drawn.index(name) for name in ("plants", "zone_borders", "blocks", "zones") if name in drawn]
    findings.check("drawing order", places == sorted(places) and "zones" in drawn, str(drawn))
    project.clear()


def draw(folder, png, width=1600):
    """The project as a picture."""
    project = QgsProject()
    project.read(os.path.join(folder, "plan.qgs"))
    settings = QgsMapSettings()
    shown = [one.layer() for one in project.layerTreeRoot().findLayers() if one.isVisible()]
    settings.setLayers(shown)
    settings.setDestinationCrs(project.crs())
    extent = shown[-1].extent()
    extent.scale(1.05)
    settings.setExtent(extent)
    settings.setBackgroundColor(QColor(255, 255, 255))
    settings.setOutputDpi(150)
    settings.setOutputSize(QSize(width, int(width * extent.height() / extent.width())))
    job = QgsMapRendererParallelJob(settings)
    job.start()
    job.waitForFinished()
    job.renderedImage().save(png)
    project.clear()


def replaced(pattern, text):
    """A spoiler of the project: a pattern replaced in its text."""
    def spoil(folder):
        file = os.path.join(folder, "plan.qgs")
        with open(file, encoding="utf-8") as opened:
            page = opened.read()
        spoiled = re.sub(pattern, text, page, flags=re.S)
        assert spoiled != page, pattern
        with open(file, "w", encoding="utf-8") as opened:
            opened.write(spoiled)
    return spoil


def ran(*statements):
    """A spoiler of the GeoPackage."""
    def spoil(folder):
        base = sqlite3.connect(os.path.join(folder, "plan.gpkg"), isolation_level=None)
        for statement in statements:
            base.execute(statement)
        base.close()
    return spoil


QML = "UPDATE layer_styles SET styleQML = replace(styleQML, '{}', '{}')"
FAULTS = [
    (None, lambda folder: None),
    ("opens", ran("DELETE FROM gpkg_geometry_columns WHERE table_name = 'zones'", "DELETE FROM gpkg_contents WHERE table_name = 'zones'",
                  "INSERT INTO gpkg_geometry_columns VALUES ('gone', 'geom', 'POINT', 0, 0, 0)")),
    ("system", ran("UPDATE gpkg_contents SET srs_id = 0", "UPDATE gpkg_geometry_columns SET srs_id = 0")),
    ("renderer", ran("UPDATE layer_styles SET f_table_schema = NULL")),
    ("renderer", ran("UPDATE layer_styles SET styleQML = ''")),
    ("column", ran(QML.format('attr="slope_group"', 'attr="slope_grup"'))),
    ("colours", ran(QML.format("252,244,209", "252,244,208"))),
    ("a class for each", ran(QML.format('value="', 'value="x'))),
    ("labels", ran(QML.format('labelsEnabled="1"', 'labelsEnabled="0"'))),
    ("found by a rectangle", ran("DELETE FROM rtree_zones_geom")),
    ("extent", ran("UPDATE gpkg_contents SET min_x = 0, min_y = 0, max_x = 1, max_y = 1 WHERE table_name = 'zones'")),
    ("sld", ran("DELETE FROM layer_styles WHERE f_table_name = 'zones'")),
    ("sld", ran("UPDATE layer_styles SET styleSLD = '<StyledLayerDescriptor'")),
    ("sld colours", ran("UPDATE layer_styles SET styleSLD = replace(styleSLD, '#FCF4D1', '#FCF4D0')")),
    ("sld colours", ran("UPDATE layer_styles SET styleSLD = replace(styleSLD, 'PolygonSymbolizer', 'PoligonSymbolizer')")),
    ("project", lambda folder: os.remove(os.path.join(folder, "plan.qgs"))),
    ("project layers", replaced("layername=zones<", "layername=zone<")),
    ("project system", replaced("<projectCrs>.*?</projectCrs>", "")),
    ("project systems", replaced("<srs>.*?</srs>", "<srs/>")),
    ("project paths", replaced("<datasource>./", "<datasource>/nowhere/")),
    ("project colours", replaced('type="categorizedSymbol"', 'type="singleSymbol"')),
    ("drawing order", replaced('<layer-tree-layer id="hillweave_zone_borders"[^>]*/>(.*?)</layer-tree-group>',
                               r'\1<layer-tree-layer id="hillweave_zone_borders" name="Zones" providerKey="ogr" checked="Qt::Checked"/></layer-tree-group>')),
    ("left alone", ran("PRAGMA journal_mode = WAL")),
]


def main():
    """Checks, or proves itself."""
    application = QgsApplication([], False)
    application.initQgis()
    if sys.argv[1:2] == ["--self-test"] and len(sys.argv) == 3:

        def run(spoil):
            with tempfile.TemporaryDirectory() as room:
                copy = os.path.join(room, "plan")
                shutil.copytree(sys.argv[2], copy)
                spoil(copy)
                return check(copy)

        self_test(FAULTS, run)
    if len(sys.argv) not in (2, 4) or sys.argv[1].startswith("-"):
        sys.exit(__doc__)
    if sys.argv[2:3] == ["--png"]:
        draw(sys.argv[1], sys.argv[3])
    check(sys.argv[1]).finish()


if __name__ == "__main__":
    main()
