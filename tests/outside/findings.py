"""What a checker found, and how it says so."""

import json
import sys


class Findings:
    """Counts what was checked and keeps what does not hold."""

    def __init__(self):
        self.checked = {}
        self.found = []

    def check(self, name, holds, otherwise):
        """Notes one check; `otherwise` says what was found instead."""
        self.checked[name] = self.checked.get(name, 0) + 1
        if not holds:
            self.found.append({"check": name, "found": otherwise})

    def close(self, name, found, expected, relative=1e-6, absolute=1e-9, item=""):
        """Notes that a number is another within a tolerance."""
        apart = abs(found - expected)
        holds = apart <= max(absolute, relative * abs(expected))  # NaN does not hold
        self.check(name, holds, f"{item}: {found!r}, expected {expected!r}")

    def names(self):
        """Checks that did not hold."""
        return {one["check"] for one in self.found}

    def finish(self, **more):
        """Prints everything as JSON and exits: 0 when all holds, 1 otherwise, also when nothing was checked."""
        if not self.checked:
            self.found.append({"check": "anything", "found": "nothing was checked"})
        report = {**more, "checked": self.checked, "findings": self.found[:50], "count": len(self.found)}
        json.dump(report, sys.stdout, indent=1, ensure_ascii=False)
        print()
        sys.exit(1 if self.found else 0)


def self_test(faults, run):
    """Proves a checker with input that must fail.

    `faults`: (name of the check that must object, anything that `run` understands); the name None is for
    sound input, to which nothing may object. `run` returns Findings. Every check that sound input passes
    must be one that some fault fails.
    """
    missed, checked = [], set()
    for expected, fault in faults:
        findings = run(fault)
        if expected is None:
            checked |= set(findings.checked)
        if not (expected in findings.names() if expected else not findings.found):
            missed.append({"fault": str(fault), "expected": expected, "found": findings.found[:5]})
    unproved = sorted(checked - {expected for expected, _ in faults})
    report = {"faults": len(faults), "checks": len(checked), "missed": missed, "unproved": unproved}
    json.dump(report, sys.stdout, indent=1, ensure_ascii=False)
    print()
    sys.exit(1 if missed or unproved or not checked else 0)
