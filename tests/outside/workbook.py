#!/usr/bin/env python3
"""The workbook of a plan by openpyxl, which had no part in writing it.

    workbook.py SCHEDULE.xlsx --plan plan.json
    workbook.py --self-test

- The five sheets are there, each with the name of the property, a heading that stays in sight and is printed on each
  page, a filter over the table, A4 landscape, one page wide.
- Numbers are numbers, texts are texts, no cell that looks like a formula is one unless it is ours.
- Every total is a SUM over all rows of its table, and the figure kept with it is the sum of the cells.
- The figures kept with formulas of days are what the formulas say, reckoned again here.
- Counts are those of plan.json exactly; hectares and days to 1e-9.
- The last sheet holds the checksum of every input, every default and every caution.

Prints JSON; exits 0 when all holds, 1 otherwise.
"""

import argparse
import json
import math
import os
import re
import sys
import tempfile

import openpyxl

from findings import Findings, self_test

SHEETS = ["Nursery order", "Planting by crew-day", "Zone cards", "Blanking", "About"]
HEADING = 4  # row of the heading, from 1
# Sheet, heading, and the figure of plan.json's totals that the column adds up to.
TOTALS = [
    ("Nursery order", "Plants in the delivery", "order_qty"),
    ("Nursery order", "Whole order: plants to order", "order_qty"),
    ("Nursery order", "Whole order: plants into the ground", "seedlings"),
    ("Planting by crew-day", "Plants into the ground", "seedlings"),
    ("Planting by crew-day", "Area along the slope (ha)", "planted_ground_ha"),
    ("Planting by crew-day", "Days of one person", "person_days"),
    ("Zone cards", "seedlings (plants)", "seedlings"),
    ("Zone cards", "order_qty (plants)", "order_qty"),
    ("Blanking", "Planted (plants)", "seedlings"),
]
# Sheet, heading, and the values of the cards of plan.json that stand beneath it, in order.
WORDS = [("Zone cards", "stock_name", "stock_name"), ("Zone cards", "hazards", "hazards"), ("Zone cards", "block_id", "block_id")]


def check(file, plan):
    """Everything about one workbook."""
    findings = Findings()
    with open(plan, encoding="utf-8") as opened:
        plan = json.load(opened)
    formulas, figures = openpyxl.load_workbook(file), openpyxl.load_workbook(file, data_only=True)
    findings.check("sheets", formulas.sheetnames == SHEETS, str(formulas.sheetnames))
    for name in [name for name in SHEETS if name in formulas.sheetnames]:
        check_page(findings, formulas[name], plan)
        check_types(findings, formulas[name], figures[name])
        if name != "About":
            check_table(findings, formulas[name])
            check_totals(findings, formulas[name], figures[name])
    for name, heading, key in TOTALS:
        last = figures[name].max_row
        found, expected = figures[name].cell(last, column(figures[name], heading)).value, plan["totals"][key]
        exact = found == expected if isinstance(expected, int) else math.isclose(found, expected, rel_tol=1e-9)
        findings.check("totals of the plan", exact, f"{name}, {heading}: {found}, expected {expected}")
    for name, heading, key in WORDS:
        found = [row[column(figures[name], heading) - 1].value or "" for row in rows(figures[name])]
        findings.check("words of the plan", found == [card[key] for card in plan["cards"]], f"{name}, {heading}")
    check_days(findings, figures["Planting by crew-day"], plan)
    check_about(findings, figures["About"], plan)
    return findings


def column(sheet, heading):
    """The column under a heading, from 1."""
    headings = [cell.value for cell in sheet[HEADING]]
    return headings.index(heading) + 1 if heading in headings else 1


def rows(sheet):
    """The rows of a table: between the heading and the totals."""
    return [sheet[at] for at in range(HEADING + 1, sheet.max_row)]


def check_page(findings, sheet, plan):
    """How it is printed, and that it names the property."""
    findings.check("property", str(sheet["A1"].value).startswith(plan["site"] + ": "), f"{sheet.title}: {sheet['A1'].value}")
    setup = sheet.page_setup
    paper = (setup.orientation, int(setup.paperSize or 0), sheet.sheet_properties.pageSetUpPr.fitToPage, setup.fitToHeight)
    findings.check("paper", paper == ("landscape", 9, True, 0), f"{sheet.title}: {paper}")
    head = (sheet.oddHeader.left.text, sheet.oddHeader.right.text, sheet.oddFooter.right.text)
    wanted = (plan["site"].replace("&", "&&"), sheet.title, "Page &P of &N")
    findings.check("header and footer", head == wanted, f"{sheet.title}: {head}")


def check_table(findings, sheet):
    """The heading stays in sight, is printed on each page, and has a filter over all rows."""
    findings.check("frozen heading", sheet.freeze_panes == f"A{HEADING + 1}", f"{sheet.title}: {sheet.freeze_panes}")
    findings.check("repeated heading", sheet.print_title_rows == f"${HEADING}:${HEADING}", f"{sheet.title}: {sheet.print_title_rows}")
    last = openpyxl.utils.get_column_letter(sheet.max_column)
    wanted = f"A{HEADING}:{last}{sheet.max_row - 1}"
    findings.check("filter", sheet.auto_filter.ref == wanted, f"{sheet.title}: {sheet.auto_filter.ref}, expected {wanted}")


def check_types(findings, sheet, figures):
    """No numbers as texts; no formula that is not ours; none whose figure is an error or missing."""
    for cells, kept in zip(sheet.iter_rows(), figures.iter_rows()):
        for cell, figure in zip(cells, kept):
            where = f"{sheet.title} {cell.coordinate}: {cell.value!r}"
            if cell.data_type == "f":
                ours = re.fullmatch(r"=(IF|SUM)\([A-Z0-9$:=\"(),/+*.<>-]*\)", cell.value) is not None
                findings.check("formulas", ours, where)
                findings.check("kept figures", figure.data_type != "e", f"{where}: {figure.value!r}")
            elif cell.data_type == "s" and sheet.title != "About" and cell.row > HEADING:
                findings.check("numbers", re.fullmatch(r"-?\d+(\.\d+)?", cell.value) is None, where)


def check_totals(findings, formulas, figures):
    """Each total is over all rows of its column, and is what they add up to."""
    last = formulas.max_row
    for cell in formulas[last][1:]:
        if cell.value is None:
            continue
        reach = f"SUM({cell.column_letter}{HEADING + 1}:{cell.column_letter}{last - 1})"
        findings.check("range of a total", reach in str(cell.value), f"{formulas.title} {cell.coordinate}: {cell.value}")
        cells = [row[cell.column - 1].value for row in rows(figures)]
        numbers = [value for value in cells if isinstance(value, (int, float))]
        kept = figures[cell.coordinate].value
        blank = kept in (None, "") and not numbers
        same = blank or (isinstance(kept, (int, float)) and math.isclose(kept, math.fsum(numbers), rel_tol=1e-12, abs_tol=1e-9))
        findings.check("kept totals", same, f"{formulas.title} {cell.coordinate}: {kept}, cells give {math.fsum(numbers)}")


def check_days(findings, sheet, plan):
    """Days of the crew, reckoned again winter by winter; empty where its people are not known."""
    people, run, winter = plan["crew_people"], 0.0, object()
    findings.check("people", sheet["C3"].value == people, f"{sheet['C3'].value}, expected {people}")
    places = ["Winter (year)", "Plants into the ground", "Days of one person", "Days of the crew",
              "Days of the crew by the end of it, from the winter's first", "Begins on crew-day (number)", "Plants a crew-day"]
    columns = [column(sheet, heading) - 1 for heading in places]
    for row in rows(sheet):
        year, plants, days, *kept = [row[place].value for place in columns]
        if people is None:
            wanted = [None] * 4
        else:
            run, winter = (0.0 if year != winter else run), year
            begins = math.floor(round(run, 6)) + 1
            run += days / people
            wanted = [days / people, run, begins, plants / (days / people) if days else None]
        same = all(a in (None, "") if b is None else isinstance(a, (int, float)) and math.isclose(a, b, rel_tol=1e-9, abs_tol=1e-12)
                   for a, b in zip(kept, wanted))
        findings.check("days of the crew", same, f"{row[3].value}: {kept}, expected {wanted}")


def check_about(findings, sheet, plan):
    """What the plan was made from, and what to be careful of."""
    lines = [tuple(str(cell.value) for cell in row if cell.value is not None) for row in sheet.iter_rows()]
    said = lambda name, line: findings.check(name, line in lines, f"{line} is not there")
    said("version", ("Program", f"hillweave {plan['version']}"))
    for one in plan["inputs"]:
        said("inputs", (one["role"], one["file"], one["sha256"]))
    for one in plan["defaults"]:
        said("defaults", tuple(one[key] for key in ("key", "value", "source") if one[key]))
    for one in plan["cautions"]:
        there = any(line[:1] == (one["about"],) and one["text"] in line for line in lines)
        findings.check("cautions", there, f"{one['about']} is not there")


def sound():
    """A small plan and its workbook, both known by hand: a crew of four, two blocks in two winters."""
    cards = [dict(card_no=1, block_id="Z1-a", stock_name="=1+1", hazards="", season=2027, seedlings=800, order_qty=900, days=3.2),
             dict(card_no=2, block_id="Z2-a", stock_name="mānuka", hazards="wet", season=2027, seedlings=500, order_qty=600, days=2.0)]
    plan = dict(site="Fold & Son", version="9", crew_people=4, cards=cards,
                totals=dict(order_qty=1500, seedlings=1300, planted_ground_ha=3.0, person_days=5.2),
                inputs=[dict(role="site", file="site.toml", sha256="ab")], defaults=[dict(key="k", value="v", source="s")],
                cautions=[dict(about="steep", text="keep off")])
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name in SHEETS:
        sheet = book.create_sheet(name)
        sheet["A1"] = f"{plan['site']}: {name}"
        sheet.page_setup.orientation, sheet.page_setup.paperSize = "landscape", 9
        sheet.page_setup.fitToHeight, sheet.sheet_properties.pageSetUpPr.fitToPage = 0, True
        sheet.oddHeader.left.text, sheet.oddHeader.right.text = "Fold && Son", name
        sheet.oddFooter.right.text = "Page &P of &N"
    fill(book["Nursery order"], ["Order", "Plants in the delivery", "Whole order: plants to order",
                                 "Whole order: plants into the ground"], [["a", 1500, 1500, 1300]], [1, 2, 3])
    fill(book["Planting by crew-day"],
         ["Card", "Winter (year)", "Area along the slope (ha)", "Block", "Plants into the ground", "Days of one person",
          "Days of the crew", "Days of the crew by the end of it, from the winter's first", "Begins on crew-day (number)",
          "Plants a crew-day"],
         [[1, 2027, 1.0, "Z1-a", 800, 3.2, 0.8, 0.8, 1, 1000.0], [2, 2027, 2.0, "Z2-a", 500, 2.0, 0.5, 1.3, 1, 1000.0]], [2, 4, 5])
    book["Planting by crew-day"]["C3"] = 4
    fill(book["Zone cards"], ["card_no", "block_id", "stock_name", "hazards", "seedlings (plants)", "order_qty (plants)"],
         [[c["card_no"], c["block_id"], c["stock_name"], c["hazards"] or None, c["seedlings"], c["order_qty"]] for c in cards], [4, 5])
    book["Zone cards"]["C5"].data_type = "s"
    fill(book["Blanking"], ["Block", "Planted (plants)"], [["Z1-a", 800], ["Z2-a", 500]], [1])
    for line in [["Program", "hillweave 9"], ["site", "site.toml", "ab"], ["k", "v", "s"], ["steep", "Z1", "keep off"]]:
        book["About"].append(line)
    return book, plan


def fill(sheet, headings, table, added):
    """A table with its totals."""
    for place, heading in enumerate(headings, 1):
        sheet.cell(HEADING, place, heading)
    for at, cells in enumerate(table, HEADING + 1):
        for place, value in enumerate(cells, 1):
            sheet.cell(at, place, value)
    last = HEADING + len(table)
    sheet.cell(last + 1, 1, "total")
    for place in added:
        letter = openpyxl.utils.get_column_letter(place + 1)
        sheet.cell(last + 1, place + 1, f"=SUM({letter}{HEADING + 1}:{letter}{last})")
    sheet.freeze_panes = f"A{HEADING + 1}"
    sheet.print_title_rows = f"{HEADING}:{HEADING}"
    sheet.auto_filter.ref = f"A{HEADING}:{openpyxl.utils.get_column_letter(len(headings))}{last}"


def proved(change):
    """Findings about the faulty workbook. openpyxl keeps no figures with formulas, so they are put into the file."""
    book, plan = sound()
    keep = {}
    (change or (lambda book, plan, keep: None))(book, plan, keep)
    with tempfile.TemporaryDirectory() as folder:
        file, told = os.path.join(folder, "schedule.xlsx"), os.path.join(folder, "plan.json")
        book.save(file)
        put_figures(file, book, keep)
        with open(told, "w", encoding="utf-8") as opened:
            json.dump(plan, opened)
        return check(file, told)


def put_figures(file, book, keep):
    """Writes beside each formula of a sheet what it comes to: the sum above it, unless `keep` says otherwise."""
    import zipfile
    with zipfile.ZipFile(file) as opened:
        parts = {name: opened.read(name) for name in opened.namelist()}
    for number, sheet in enumerate(book.worksheets, 1):
        name = f"xl/worksheets/sheet{number}.xml"
        text = parts[name].decode()
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    numbers = [one.value for (one,) in sheet[f"{cell.column_letter}{HEADING + 1}:{cell.column_letter}{cell.row - 1}"]]
                    figure = keep.get((sheet.title, cell.coordinate), sum(n for n in numbers if isinstance(n, (int, float))))
                    kind = ' t="e"' if str(figure).startswith("#") else ""
                    text = re.sub(rf'<c r="{cell.coordinate}"( s="\d+")?><f>(.*?)</f><v ?/?>(</v>)?',
                                  rf'<c r="{cell.coordinate}"\1{kind}><f>\2</f><v>{figure}</v>', text)
        parts[name] = text.encode()
    with zipfile.ZipFile(file, "w") as opened:
        for name, part in parts.items():
            opened.writestr(name, part)


def cell(sheet, place, value):
    """A workbook with another value in a cell."""
    def change(book, plan, keep):
        book[sheet][place] = value
    return change


def kept(sheet, place, value):
    """A workbook with another figure kept with a formula."""
    def change(book, plan, keep):
        keep[sheet, place] = value
    return change


def told(key, value):
    """Another plan."""
    return lambda book, plan, keep: plan.update({key: value})


def page(name, value, of):
    """Another setting of a page."""
    return lambda book, plan, keep: setattr(of(book["Blanking"]), name, value)


FAULTS = [
    (None, None),
    ("sheets", lambda book, plan, keep: book.move_sheet("About", -1)),
    ("property", cell("Blanking", "A1", "Blanking")),
    ("paper", page("orientation", "portrait", lambda sheet: sheet.page_setup)),
    ("header and footer", page("text", "", lambda sheet: sheet.oddFooter.right)),
    ("frozen heading", page("freeze_panes", "A2", lambda sheet: sheet)),
    ("repeated heading", page("print_title_rows", "1:1", lambda sheet: sheet)),
    ("filter", page("ref", "A4:B5", lambda sheet: sheet.auto_filter)),
    ("formulas", cell("Zone cards", "C5", "=HYPERLINK(1)")),
    ("kept figures", kept("Blanking", "B7", "#VALUE!")),
    ("numbers", cell("Blanking", "B5", "800")),
    ("range of a total", cell("Blanking", "B7", "=SUM(B5:B5)")),
    ("kept totals", kept("Blanking", "B7", 1299)),
    ("totals of the plan", cell("Blanking", "B5", 801)),
    ("words of the plan", cell("Zone cards", "C6", "manuka")),
    ("people", cell("Planting by crew-day", "C3", 5)),
    ("days of the crew", cell("Planting by crew-day", "H6", 0.5)),
    ("days of the crew", told("crew_people", 2)),
    ("version", told("version", "8")),
    ("inputs", told("inputs", [dict(role="site", file="site.toml", sha256="cd")])),
    ("defaults", told("defaults", [dict(key="k", value="w", source="s")])),
    ("cautions", told("cautions", [dict(about="steep", text="mind the edge")])),
]


def main():
    """Checks, or proves itself."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("file", nargs="?")
    parser.add_argument("--plan")
    parser.add_argument("--self-test", action="store_true")
    given = vars(parser.parse_args())
    if given.pop("self_test"):
        self_test(FAULTS, proved)
    if not (given["file"] and given["plan"]):
        parser.error("SCHEDULE.xlsx and --plan are needed")
    check(**given).finish()


if __name__ == "__main__":
    sys.exit(main())
