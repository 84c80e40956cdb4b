"""Whether counts and areas agree between the files of a plan."""

import csv
import json
from collections import Counter


def sums(blocks, key, column):
    """Whole numbers of a column, summed by a key."""
    counted = Counter()
    for name, number in zip(blocks[key], blocks[column]):
        counted[name] += int(number)
    return counted


def check_plan(findings, plan, file):
    """Totals, rows and orders of plan.json against the GeoPackage."""
    with open(file, encoding="utf-8") as opened:
        told = json.load(opened)
    blocks, totals = plan["blocks"], told["totals"]
    for column in ["seedlings", "order_qty"]:
        total = int(sum(int(number) for number in blocks[column]))
        findings.check(f"total {column}", totals[column] == total, f"{totals[column]}, blocks sum to {total}")
        rows = {row["block_id"]: row[column] for row in told["blocks"]}
        findings.check(f"blocks {column}", rows == sums(blocks, "block_id", column), "plan.json has other rows")
        orders = {row["stock_id"]: row[column] for row in told["orders"] if row[column] or row["blocks"]}
        by_stock = sums(blocks, "stock_id", column)
        findings.check(f"orders {column}", orders == by_stock, f"{orders}, blocks sum to {dict(by_stock)}")
    for total, layer in [("zones_plan_ha", "zones"), ("stands_plan_ha", "stands"), ("keep_clear_plan_ha", "keep_clear")]:
        findings.close(total, totals[total], float(plan[layer].hectares.sum()))
    whole = sum(totals[name] for name in ["zones_plan_ha", "stands_plan_ha", "keep_clear_plan_ha"])
    findings.close("property_plan_ha", totals["property_plan_ha"], whole)
    findings.close("planted_plan_ha", totals["planted_plan_ha"], float(blocks["plan_area_ha"].sum()))
    findings.close("planted_ground_ha", totals["planted_ground_ha"], float(blocks["ground_area_ha"].sum()))
    parts = totals["planted_plan_ha"] + totals["left_plan_ha"]
    findings.close("planted and left", parts, totals["zones_plan_ha"])
    check_slope_groups(findings, told)


def check_slope_groups(findings, told):
    """Hectares by slope group: the plan's are the sum of its zones'."""
    summed = Counter()
    for zone in told["zones"]:
        summed.update(zone["slope_group_plan_ha"])
    groups = told["totals"]["slope_group_plan_ha"]
    findings.check("slope groups", set(groups) == set(summed), f"{sorted(groups)}, zones have {sorted(summed)}")
    for group in sorted(set(groups) & set(summed)):
        findings.close("slope group hectares", groups[group], summed[group], item=group)


def check_schedule(findings, plan, file):
    """Rows of schedule.csv against the GeoPackage."""
    with open(file, encoding="utf-8-sig", newline="") as opened:
        rows = [row for row in csv.DictReader(opened) if row["block_id"] in set(plan["blocks"]["block_id"])]
    for column in ["seedlings", "order_qty"]:
        written = {row["block_id"]: int(row[column]) for row in rows}
        findings.check(f"schedule {column}", written == sums(plan["blocks"], "block_id", column), "other rows than blocks")
    areas = dict(zip(plan["blocks"]["block_id"], plan["blocks"]["plan_area_ha"]))
    for row in rows:
        # The schedule is for people: areas may be rounded to square metres.
        findings.close("schedule plan_area_ha", float(row["plan_area_ha"]), areas[row["block_id"]], 1e-6, 5.1e-5, row["block_id"])
