"""Whether polygons tile the property: valid, no gap, no overlap, areas as written."""

import numpy
import shapely

from layers import tiles

RELATIVE = 1e-6
GAP_M = 0.01  # a gap narrower than this is one that nobody drew
GRID_M = 0.001  # borders may move by this much when they are snapped


def check_tiling(findings, plan):
    """Validity and coverage. Source: GEOS coverage validity, by way of shapely."""
    names, polygons = tiles(plan)
    check_polygons(findings, names, polygons)
    for label, gap in [("coverage", 0.0), ("narrow gaps", GAP_M)]:
        valid = shapely.coverage_is_valid(polygons, gap_width=gap)
        edges = shapely.coverage_invalid_edges(polygons, gap_width=gap)
        wrong = ~shapely.is_empty(edges)
        findings.check(label, valid, f"borders do not match: {', '.join(names[wrong][:10])}")
    total, union = shapely.area(polygons).sum(), union_of(polygons).area
    findings.close("overlap", total, union, RELATIVE, item="sum of areas against area of union, m²")


def union_of(polygons):
    """Their union, also when one of them is not valid, which is found elsewhere."""
    return shapely.union_all(shapely.make_valid(polygons))


def check_polygons(findings, names, polygons):
    """Each polygon for itself, and names that are unique."""
    findings.check("unique names", len(set(names)) == len(names), "a name appears twice")
    for name, polygon in zip(names, polygons):
        kind = "nothing" if polygon is None else polygon.geom_type
        sound = kind == "MultiPolygon" and not polygon.is_empty
        findings.check("multipolygon", sound, f"{name}: {kind}")
        findings.check("valid", shapely.is_valid(polygon), f"{name}: {shapely.is_valid_reason(polygon)}")


def check_boundary(findings, plan, boundary):
    """All polygons together are the property."""
    crs = plan["zones"].crs
    findings.check("coordinate system", boundary.crs == crs, f"boundary {boundary.crs}, plan {crs}")
    _, polygons = tiles(plan)
    property_ = union_of(boundary.polygons)
    total = shapely.area(polygons).sum()
    findings.close("property area", total, property_.area, RELATIVE, item="m²")
    apart = shapely.symmetric_difference(union_of(polygons), property_).area
    allowed = max(RELATIVE * property_.area, GRID_M * property_.length)
    findings.check("property outline", apart <= allowed, f"{apart} m² differ, {allowed} m² allowed")


def check_areas(findings, plan):
    """Area columns against the polygons."""
    for layer, column in [("zones", "zone_id"), ("stands", "stand_id"), ("keep_clear", "keep_clear_id")]:
        rows = plan[layer]
        for name, written, found in zip(rows[column], rows["plan_area_ha"], rows.hectares):
            findings.close("plan_area_ha", written, found, RELATIVE, item=name)
        if "ground_area_ha" in rows:
            short = rows["ground_area_ha"] < rows["plan_area_ha"] * (1 - 1e-3)
            findings.check("ground_area_ha", not short.any(), f"less than on the map: {rows[column][short][:5]}")
    check_shares(findings, plan)


def check_shares(findings, plan):
    """Blocks are shares of their zones: of polygon, map area and ground area."""
    zones, blocks = plan["zones"], plan["blocks"]
    row_of = {zone: row for row, zone in enumerate(zones["zone_id"])}
    taken = numpy.zeros(len(zones))
    for row, block in enumerate(blocks["block_id"]):
        at = row_of.get(blocks["zone_id"][row])
        findings.check("block's zone", at is not None, f"{block}: {blocks['zone_id'][row]}")
        if at is None:
            continue
        share = blocks["share"][row]
        taken[at] += share
        findings.check("share", 0 < share <= 1, f"{block}: {share}")
        findings.close("block plan_area_ha", blocks["plan_area_ha"][row], blocks.hectares[row] * share, RELATIVE, item=block)
        ground = zones["ground_area_ha"][at] * share
        findings.close("block ground_area_ha", blocks["ground_area_ha"][row], ground, RELATIVE, item=block)
        same = shapely.equals(blocks.polygons[row], zones.polygons[at])
        findings.check("block polygon", same, f"{block}: not its zone's polygon")
    left = zones.columns.get("left_share", 1 - taken)
    for zone, taken_share, left_share in zip(zones["zone_id"], taken, left):
        findings.close("shares of a zone", taken_share + left_share, 1.0, 1e-6, item=zone)
