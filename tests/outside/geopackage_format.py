#!/usr/bin/env python3
"""GeoPackages against validators and plain SQL that had no part in making them.

    geopackage_format.py FILE.gpkg ...
    geopackage_format.py --self-test FILE.gpkg

GDAL's own validator (gdal-utils), the validator of the Dutch map agency with rules by name, and SQL for what both
pass: an empty index, a wrong extent, styles and words that are missing. Prints JSON; exits 0 when all holds, 1
otherwise. --self-test spoils copies of a sound file.
"""

import os
import re
import shutil
import sqlite3
import struct
import subprocess
import sys
import tempfile

from findings import Findings, self_test
from osgeo import gdal, ogr
from osgeo_utils.samples import validate_gpkg

gdal.UseExceptions()
NAME = re.compile(r"[a-z][a-z0-9_]{0,29}")
# Rules that hold whatever the country: its list of coordinate systems is not among them, nor are names in
# `layer_styles`, whose spelling is that of its readers.
RULES = "RQ1,RQ7,RQ9,RQ10,RQ11,RQ13,RQ14,RQ15,RQ21,RQ23,RQ24,RQ26,RC17,RC18,RC19,RC20,RC25"


def check(file, expected=None):
    """All checks of one file; of a file that is to prove a check of SQL, only those: validators are slow."""
    findings = Findings()
    if expected in (None, "gdal's validator"):
        by_gdal(findings, file)
    if expected in (None, "the agency's validator"):
        by_agency(findings, file)
    try:
        by_sql(findings, file)
    except sqlite3.Error as error:
        findings.check("integrity", False, str(error))
    return findings


def by_gdal(findings, file):
    """GDAL's validator."""
    try:
        errors = validate_gpkg.check(file, abort_at_first_error=False, extra_checks=True)
    except Exception as error:  # a broken file ends it by an exception
        errors = [(0, str(error))]
    findings.check("gdal's validator", not errors, str(errors[:3]))


def by_agency(findings, file):
    """The agency's validator; it exits 0 whatever it finds unless it is told otherwise."""
    program = os.path.join(os.path.dirname(sys.executable), "geopackage-validator")
    command = [program, "validate", "--exit-on-fail", "--gpkg-path", file, "--validations", RULES]
    ran = subprocess.run(command, capture_output=True, text=True)
    said = " ".join((ran.stdout + ran.stderr).split())
    findings.check("the agency's validator", ran.returncode == 0 and '"success": true' in said, said[-600:])


def by_sql(findings, file):
    """What the validators pass."""
    with open(file, "rb") as opened:
        header = opened.read(100)
    findings.check("version 1.3", header[68:72] == b"GPKG" and header[60:64] == struct.pack(">I", 10300), str(header[60:72]))
    beside = [end for end in ("-wal", "-shm", "-journal") if os.path.exists(file + end)]
    findings.check("closed", header[18:20] == b"\x01\x01" and not beside, f"{header[18:20]} {beside}")
    base = sqlite3.connect(f"file:{file}?mode=ro&immutable=1", uri=True)
    ask = lambda query, *values: base.execute(query, values).fetchall()
    findings.check("integrity", ask("PRAGMA integrity_check") == [("ok",)], str(ask("PRAGMA integrity_check")[:3]))
    layers = ask("SELECT table_name, column_name, geometry_type_name, srs_id FROM gpkg_geometry_columns")
    findings.check("layers", bool(layers), "no layer")
    for layer, column, kind, _ in layers:
        findings.check("kind", kind in ("MULTIPOLYGON", "POINT") and column == "geom", f"{layer}: {kind} {column}")
        columns = [row[1] for row in ask(f"PRAGMA table_info('{layer}')")]
        bad = [name for name in [layer, *columns] if not NAME.fullmatch(name)]
        findings.check("names", not bad, str(bad))
        told = {row[0]: row[1:] for row in ask(
            "SELECT column_name, name, title, description FROM gpkg_data_columns WHERE table_name = ?", layer)}
        findings.check("words", set(told) == set(columns) and all(all(words) for words in told.values()), layer)
        count, = ask(f"SELECT count(*) FROM \"{layer}\"")[0]
        indexed, = ask(f"SELECT count(*) FROM rtree_{layer}_{column}")[0]
        findings.check("index", count == indexed, f"{layer}: {count} features, {indexed} in the index")
        extent = ask("SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = ?", layer)[0]
        findings.check("extent", extent == true_extent(file, layer), f"{layer}: {extent} {true_extent(file, layer)}")
    metadata(findings, ask)
    styles(findings, ask, {(layer, column) for layer, column, _, _ in layers})
    dates = {row[0] for row in ask("SELECT last_change FROM gpkg_contents")}
    findings.check("fixed date", dates == {"2000-01-01T00:00:00.000Z"}, str(dates))
    base.close()


def true_extent(file, layer):
    """What the features of a layer lie within, read one by one."""
    source = ogr.Open(file)  # must outlive its layer
    boxes = [one.GetGeometryRef().GetEnvelope() for one in source.GetLayer(layer) if one.GetGeometryRef()]
    if not boxes:
        return (None,) * 4
    west, east, south, north = zip(*boxes)
    return min(west), min(south), max(east), max(north)


def metadata(findings, ask):
    """One document for the whole file, registered."""
    pages = ask("SELECT m.metadata FROM gpkg_metadata m JOIN gpkg_metadata_reference r ON r.md_file_id = m.id "
                "WHERE r.reference_scope = 'geopackage' AND m.mime_type = 'text/xml'")
    registered = ask("SELECT count(*) FROM gpkg_extensions WHERE extension_name IN ('gpkg_metadata', 'gpkg_schema')")
    holds = len(pages) == 1 and "LI_Lineage" in pages[0][0] and registered == [(4,)]
    findings.check("metadata", holds, f"{len(pages)} documents, {registered} registrations")


def styles(findings, ask, layers):
    """Where styles are carried: a default for each, as readers want it."""
    if not ask("SELECT 1 FROM sqlite_master WHERE name = 'layer_styles'"):
        return
    rows = ask("SELECT f_table_catalog, f_table_schema, f_table_name, f_geometry_column, useAsDefault, styleQML, "
               "styleSLD FROM layer_styles")
    named = [(row[2], row[3]) for row in rows]
    whole = all(row[0] == "" and row[1] == "" and row[4] == 1 and "<qgis" in row[5] and "<se:Rule>" in row[6] for row in rows)
    findings.check("styles", whole and len(set(named)) == len(named) and set(named) <= layers, str(named))
    kind = ask("SELECT data_type FROM gpkg_contents WHERE table_name = 'layer_styles'")
    findings.check("styles registered", kind == [("attributes",)], str(kind))


FAULTS = [
    (None, ""),
    ("gdal's validator", "UPDATE gpkg_contents SET srs_id = 4326 WHERE table_name = '{layer}'"),
    ("gdal's validator", "DELETE FROM gpkg_extensions WHERE extension_name = 'gpkg_rtree_index' AND table_name = '{layer}'"),
    ("the agency's validator", "UPDATE gpkg_ogr_contents SET feature_count = 99999 WHERE table_name = '{layer}'"),
    ("the agency's validator", "UPDATE \"{layer}\" SET geom = NULL WHERE fid = 1"),
    ("version 1.3", "PRAGMA user_version = 10400"),
    ("closed", "PRAGMA journal_mode = WAL"),
    ("integrity", b"torn"),
    ("layers", "DELETE FROM gpkg_geometry_columns"),
    ("kind", "UPDATE gpkg_geometry_columns SET geometry_type_name = 'GEOMETRY'"),
    ("names", "ALTER TABLE \"{layer}\" ADD COLUMN \"Width M\" REAL"),
    ("words", "DELETE FROM gpkg_data_columns WHERE column_name = 'fid'"),
    ("words", "UPDATE gpkg_data_columns SET description = '' WHERE column_name = 'geom'"),
    ("index", "DELETE FROM rtree_{layer}_geom"),
    ("extent", "UPDATE gpkg_contents SET min_x = 0 WHERE table_name = '{layer}'"),
    ("metadata", "DELETE FROM gpkg_metadata_reference"),
    ("metadata", "DELETE FROM gpkg_extensions WHERE extension_name = 'gpkg_schema'"),
    ("styles", "UPDATE layer_styles SET f_table_catalog = NULL"),
    ("styles", "UPDATE layer_styles SET f_geometry_column = 'geometry'"),
    ("styles", "UPDATE layer_styles SET styleSLD = ''"),
    ("styles registered", "DELETE FROM gpkg_contents WHERE table_name = 'layer_styles'"),
    ("fixed date", "UPDATE gpkg_contents SET last_change = '2026-01-01T00:00:00.000Z'"),
]


def spoiled(file, fault, folder):
    """A copy of a file with one fault."""
    copy = os.path.join(folder, "spoiled.gpkg")
    shutil.copy(file, copy)
    if isinstance(fault, bytes):
        with open(copy, "r+b") as opened:
            # The last page: free space or a leaf of some table; its kind makes no sense then.
            opened.seek(-4096, os.SEEK_END)
            opened.write(b"\xa5" * 4096)
        return copy
    base = sqlite3.connect(copy, isolation_level=None)
    for (trigger,) in base.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        if fault.startswith("UPDATE \""):
            base.execute(f"DROP TRIGGER \"{trigger}\"")  # they call functions that this program has not
    layer, = base.execute("SELECT table_name FROM gpkg_geometry_columns ORDER BY table_name DESC").fetchone()
    if fault:
        base.execute(fault.format(layer=layer))
    base.close()
    return copy


def main():
    """Checks, or proves itself."""
    if sys.argv[1:2] == ["--self-test"] and len(sys.argv) == 3:

        def run(fault):
            with tempfile.TemporaryDirectory() as folder:
                expected, spoiler = fault
                return check(spoiled(sys.argv[2], spoiler, folder), expected)

        self_test([(expected, (expected, fault)) for expected, fault in FAULTS], run)
    if len(sys.argv) < 2 or sys.argv[1].startswith("-"):
        sys.exit(__doc__)
    findings = Findings()
    for file in sys.argv[1:]:
        one = check(file)
        findings.found += [{**found, "file": os.path.basename(file)} for found in one.found]
        findings.checked = {name: findings.checked.get(name, 0) + many for name, many in one.checked.items()}
    findings.finish()


if __name__ == "__main__":
    main()
