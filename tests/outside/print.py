"""A report to print against poppler, which had no part in making it.

    python print.py REPORT.pdf --plan plan.json
    python print.py --self-test

Poppler's programs tell the number and size of pages, whether every font is inside, and the words: the summary stands on
the first page, alone; the totals, every order and every zone that is planted are in the words; maps are A3 sheets whose
scale bar, north, legend, date and sources are words too; no page is empty when drawn. Prints JSON; exits 0 when all
holds, 1 otherwise. --self-test feeds it faulty files, each of which must draw the objection that it names.
"""

import argparse
import json
import re
import subprocess
import sys
import tempfile
from pathlib import Path

A4 = (595.28, 841.89)
A3 = (1190.55, 841.89)


def told(*command):
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout, done.stderr


def grouped(number):
    return f"{number:,}"


def findings(report, plan):
    found = []
    status, info, errors = told("pdfinfo", "-f", "1", "-l", "9999", report)
    if status != 0 or errors.strip():
        return [("reads", errors.strip() or f"pdfinfo ends with {status}")]
    sizes = [tuple(map(float, pair)) for pair in re.findall(r"Page +\d+ size: +([\d.]+) x ([\d.]+)", info)]
    if not sizes:
        return [("pages", "none")]

    def near(size, paper):
        return all(abs(one - other) < 0.6 for one, other in zip(size, paper))

    sheets = [at for at, size in enumerate(sizes) if near(size, A3)]
    if any(not near(size, A4) and not near(size, A3) for size in sizes):
        found.append(("paper", str(sorted(set(sizes)))))
    if plan["site"] not in info:
        found.append(("title", info.splitlines()[0]))
    _, fonts, _ = told("pdffonts", report)
    rows = fonts.splitlines()[2:]
    if not rows or any(row.split()[-5] != "yes" for row in rows):
        found.append(("fonts", fonts))
    _, text, _ = told("pdftotext", "-layout", report, "-")
    pages = text.split("\f")
    words = re.sub(r"\s+", " ", text)
    totals = plan["totals"]
    for name in ("seedlings", "order_qty"):
        if grouped(totals[name]) not in pages[0]:
            found.append(("summary", name))
    if "Zone cards" in pages[0] or "In short" not in pages[0]:
        found.append(("summary", "not alone on the first page"))
    for order in plan["line_orders"]:
        if grouped(order["order_qty"]) not in words:
            found.append(("order", order["order_id"]))
    for zone in {block["zone_id"] for block in plan["blocks"]}:
        if zone not in words:
            found.append(("zone", zone))
    if len(sheets) < 3:
        found.append(("sheets", str(len(sheets))))
    for at in sheets:
        flat = re.sub(r"\s+", " ", pages[at])
        for part in ("grid north", "1 : ", " m ", "Date: ", "SHA-256", plan["crs"]):
            if part not in flat:
                found.append(("sheet", f"page {at + 1}: {part}"))
    with tempfile.TemporaryDirectory() as folder:
        told("pdftoppm", "-r", "10", "-gray", report, f"{folder}/page")
        drawn = sorted(Path(folder).glob("page*.pgm"))
        if len(drawn) != len(sizes):
            found.append(("drawn", f"{len(drawn)} of {len(sizes)} pages"))
        for file in drawn:
            cells = file.read_bytes().split(b"\n", 3)[-1]
            if not cells or min(cells) > 180:
                found.append(("drawn", f"{file.name} is empty"))
    return found


WORDS = "In short\n1,200 plants, 1,500 ordered\nZ001"
SHEET = "grid north\n1 : 5,000\n500 m long\nDate: 2027-03-01\nSHA-256 of EPSG:2193"


def small(folder, pages, title="A place", inside=True, cover=""):
    """A PDF of a few words, written by hand: each page with its words and its size. The font inside it is empty: a
    reader draws other letters for it, and it counts as being inside. `cover` is drawn over every page."""
    body = [b"<< /Type /Catalog /Pages 2 0 R >>"]
    kids = " ".join(f"{6 + 2 * at} 0 R" for at in range(len(pages)))
    body.append(f"<< /Type /Pages /Kids [{kids}] /Count {len(pages)} >>".encode())
    descriptor = " /FontDescriptor 4 0 R" if inside else ""
    body.append(f"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica{descriptor} >>".encode())
    body.append(
        b"<< /Type /FontDescriptor /FontName /Helvetica /Flags 32 /FontBBox [0 0 1000 1000] /ItalicAngle 0 "
        b"/Ascent 800 /Descent -200 /CapHeight 700 /StemV 80 /FontFile3 5 0 R >>"
    )
    body.append(b"<< /Subtype /Type1C /Length 0 >>\nstream\n\nendstream")
    for at, (words, (wide, high)) in enumerate(pages):
        body.append(
            f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {wide} {high}] /Contents {7 + 2 * at} 0 R "
            "/Resources << /Font << /F1 3 0 R >> >> >>".encode()
        )
        lines = "".join(f"({line}) Tj 0 -14 Td " for line in words.split("\n"))
        stream = f"0 0 20 20 re f BT /F1 10 Tf 40 800 Td {lines} ET {cover}".encode()
        body.append(b"<< /Length %d >>\nstream\n%s\nendstream" % (len(stream), stream))
    body.append(f"<< /Title ({title}) >>".encode())
    out = b"%PDF-1.4\n"
    places = []
    for number, part in enumerate(body, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, part)
    table = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(body) + 1)
    out += b"".join(b"%010d 00000 n \n" % place for place in places)
    out += b"trailer << /Size %d /Root 1 0 R /Info %d 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (
        len(body) + 1,
        len(body),
        table,
    )
    file = Path(folder) / "small.pdf"
    file.write_bytes(out)
    return str(file)


def self_test():
    plan = {
        "site": "A place",
        "crs": "EPSG:2193",
        "totals": {"seedlings": 1200, "order_qty": 1500},
        "line_orders": [{"order_id": "a", "order_qty": 1500}],
        "blocks": [{"zone_id": "Z001"}],
    }

    def pages(words=WORDS, sheet=SHEET, sheets=3, size=A4):
        return [(words, size)] + [(sheet, A3)] * sheets

    # A fault each, and the one objection that it must draw and no other.
    faults = [
        ("a page of no known paper", {"pages": pages(size=(700, 900))}, "paper"),
        ("another title", {"pages": pages(), "title": "Elsewhere"}, "title"),
        ("a font that is not inside", {"pages": pages(), "inside": False}, "fonts"),
        ("a total that is another", {"pages": pages(WORDS.replace("1,200", "1,201"))}, "summary"),
        ("a summary with cards on it", {"pages": pages(WORDS + "\nZone cards")}, "summary"),
        ("an order that is another", {"pages": pages(WORDS + "\n1,500")}, "order"),
        ("a zone that is missing", {"pages": pages(WORDS.replace("Z001", "Z002"))}, "zone"),
        ("too few sheets", {"pages": pages(sheets=2)}, "sheets"),
        ("a sheet without a date", {"pages": pages(sheet=SHEET.replace("Date: ", ""))}, "sheet"),
        ("pages that are empty when drawn", {"pages": pages(), "cover": "1 g 0 0 1200 900 re f"}, "drawn"),
    ]
    missed = []
    with tempfile.TemporaryDirectory() as folder:
        found = findings(small(folder, pages()), plan)
        if found:
            missed.append({"fault": "none", "found": found})
        for name, made, objection in faults:
            asked = dict(plan)
            if objection == "order":
                # A second order, which no page tells.
                asked["line_orders"] = [*plan["line_orders"], {"order_id": "b", "order_qty": 1600}]
            found = findings(small(folder, **made), asked)
            if {check for check, _ in found} != {objection}:
                missed.append({"fault": name, "found": found})
        cut = Path(small(folder, pages()))
        cut.write_bytes(cut.read_bytes()[:200])
        if [check for check, _ in findings(str(cut), plan)] != ["reads"]:
            missed.append({"fault": "a file that is cut"})
    print(json.dumps({"faults": len(faults) + 1, "missed": missed}, indent=1))
    return not missed


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("report", nargs="?")
    parser.add_argument("--plan")
    parser.add_argument("--self-test", action="store_true")
    asked = parser.parse_args()
    if asked.self_test:
        return self_test()
    found = findings(asked.report, json.loads(Path(asked.plan).read_text(encoding="utf-8")))
    print(json.dumps({"found": found}, indent=1))
    return not found


if __name__ == "__main__":
    sys.exit(0 if main() else 1)
