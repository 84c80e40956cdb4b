#!/usr/bin/env python3
"""Calendars read by another library: icalendar, a reader and writer of RFC 5545.

    almanac.py CALENDAR.ics EVENTS.json
    almanac.py --self-test

EVENTS.json: {"stamp": "YYYYMMDD", "events": [{"uid", "summary", "description", "begins", "ends", "categories",
"after"}]}, dates as YYYY-MM-DD, `ends` the day after the last.

Every event must come back with its words, days, categories and the events it waits for, in order, and nothing else;
the file must have CRLF alone as the end of lines, none of them over 75 octets (RFC 5545, 3.1), and each line must be
UTF-8 by itself. Prints JSON; exits 0 when all holds, 1 otherwise.
"""

import argparse
import datetime
import json

import icalendar

from findings import Findings, self_test


def many(value):
    return [] if value is None else value if isinstance(value, list) else [value]


def words(value):
    return "" if value is None else str(value)


def check(raw, told):
    findings = Findings()
    lines = raw.split(b"\r\n")
    findings.check("last line", lines[-1] == b"", lines[-1][:40].decode("latin-1"))
    for number, line in enumerate(lines[:-1], 1):
        findings.check("line ends", b"\r" not in line and b"\n" not in line, f"line {number}")
        findings.check("octets", len(line) <= 75, f"line {number}: {len(line)}")
        try:
            line.decode("utf-8")
        except UnicodeDecodeError as error:
            findings.check("letters", False, f"line {number}: {error}")
    try:
        calendar = icalendar.Calendar.from_ical(raw)
    except ValueError as error:
        findings.check("read", False, str(error))
        return findings
    events = calendar.walk("VEVENT")
    findings.check("number", len(events) == len(told["events"]), f"{len(events)} events")
    for event, expected in zip(events, told["events"]):
        item = expected["uid"]
        findings.check("errors", not event.errors, f"{item}: {event.errors}")
        for name in ("uid", "summary", "description"):
            found = words(event.get(name))
            findings.check(name, found == expected[name], f"{item}: {found!r}, expected {expected[name]!r}")
        for name, part in (("begins", "dtstart"), ("ends", "dtend")):
            found = event[part].dt if part in event else None
            is_day = isinstance(found, datetime.date) and not isinstance(found, datetime.datetime)
            findings.check(name, is_day and found.isoformat() == expected[name], f"{item}: {found!r}")
        stamp = event["dtstamp"].dt
        findings.check("stamp", stamp.strftime("%Y%m%d") == told["stamp"] and stamp.tzinfo is not None, f"{item}: {stamp}")
        cats = [str(one) for group in many(event.get("categories")) for one in group.cats]
        findings.check("categories", cats == expected["categories"], f"{item}: {cats}")
        after = [str(one) for one in many(event.get("related-to"))]
        findings.check("after", after == expected["after"], f"{item}: {after}")
    uids = [words(event.get("uid")) for event in events]
    findings.check("names", len(set(uids)) == len(uids), "an event comes twice")
    return findings


GOOD = (
    "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\nBEGIN:VEVENT\r\nUID:a@b\r\nDTSTAMP:20260101T000000Z\r\n"
    "DTSTART;VALUE=DATE:20270601\r\nDTEND;VALUE=DATE:20271001\r\nSUMMARY:Plant\\, 1 māt\r\n ua\r\n"
    "DESCRIPTION:one\\ntwo\r\nCATEGORIES:K,ask\\, first\r\nRELATED-TO;RELTYPE=PARENT:c@b\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
)


def proved(change):
    """Findings about a calendar written by hand, one text of it replaced."""
    told = {
        "uid": "a@b", "summary": "Plant, 1 mātua", "description": "one\ntwo", "begins": "2027-06-01",
        "ends": "2027-10-01", "categories": ["K", "ask, first"], "after": ["c@b"],
    }
    text = GOOD.replace(*change) if change else GOOD
    return check(text.encode("utf-8"), {"stamp": "20260101", "events": [told]})


EVENT = GOOD[GOOD.index("BEGIN:VEVENT"):GOOD.index("END:VCALENDAR")]
FAULTS = [
    (None, None),
    ("last line", ("END:VCALENDAR\r\n", "END:VCALENDAR")),
    ("line ends", ("PRODID:x\r\n", "PRODID:x\n")),
    ("octets", ("PRODID:x", "PRODID:" + "x" * 69)),
    ("read", (EVENT + "END:VCALENDAR\r\n", "\r\n")),
    ("errors", ("CATEGORIES", "nonsense\r\nCATEGORIES")),
    ("number", (EVENT, EVENT + EVENT)),
    ("names", (EVENT, EVENT + EVENT)),
    ("uid", ("a@b", "a@c")),
    ("summary", ("\r\n ua", "\r\n  ua")),
    ("description", ("\\ntwo", "\\ttwo")),
    ("begins", ("20270601", "20270602")),
    ("begins", ("DTSTART;VALUE=DATE:20270601", "DTSTART:20270601T000000Z")),
    ("ends", ("20271001", "20270930")),
    ("stamp", ("20260101T", "20260102T")),
    ("categories", ("K,ask", "K\\,ask")),
    ("after", ("RELATED-TO;RELTYPE=PARENT:c@b\r\n", "")),
]


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("calendar", nargs="?")
    parser.add_argument("events", nargs="?")
    parser.add_argument("--self-test", action="store_true")
    said = parser.parse_args()
    if said.self_test:
        self_test(FAULTS, proved)
    with open(said.calendar, "rb") as file:
        raw = file.read()
    with open(said.events, encoding="utf-8") as file:
        check(raw, json.load(file)).finish()


if __name__ == "__main__":
    main()
