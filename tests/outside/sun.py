#!/usr/bin/env python3
"""Where the sun stands and how strong its beam is, by pvlib.

    sun.py ROWS.csv      recomputes each row and compares
    sun.py --rows        prints the rows that are kept in crates/terrain/tests/data/sun/pvlib.csv
    sun.py --self-test

A row is a moment (UTC), a place, an air, and pvlib's answers: azimuth, elevation and apparent elevation by
pvlib.solarposition.spa_python (Reda & Andreas 2004), radiation outside the air by
pvlib.irradiance.get_extra_radiation(method="nrel"), the beam by pvlib.clearsky.simplified_solis (Ineichen
2008) at the apparent elevation, with the pressure of pvlib.atmosphere.alt2pres. The program's own test
holds its sun to these rows; this checker holds the rows to pvlib. Exits 0 when all holds, 1 otherwise.
"""

import csv
import io
import sys

import pandas
import pvlib

from findings import Findings, self_test

SOLAR_CONSTANT_W_M2 = 1361.0
MOMENTS = ["1985-07-04 02:30", "2000-01-01 21:00", "2012-10-12 23:15", "2024-02-29 00:10", "2025-03-20 09:01",
           "2025-06-21 00:30", "2031-08-08 17:45", "2047-12-21 04:20"]
PLACES = [(-45.87, 170.5), (-36.85, 174.76), (-22.9, -43.2), (0.3, 36.1), (40.0, -105.0), (53.2, -3.9), (69.6, 18.9)]
AIRS = [(0.0, 0.1, 1.0), (800.0, 0.05, 0.6), (2500.0, 0.3, 3.0)]
ANSWERS = {"azimuth_deg": 0.001, "elevation_deg": 0.001, "apparent_elevation_deg": 0.001, "outside_w_m2": 0.01, "beam_w_m2": 0.01}


def answers(row):
    """What pvlib says of a row's moment, place and air."""
    time = pandas.DatetimeIndex([row["utc"]], tz="UTC")
    pressure = pvlib.atmosphere.alt2pres(float(row["altitude_m"]))
    sun = pvlib.solarposition.spa_python(time, float(row["latitude_deg"]), float(row["longitude_deg"])).iloc[0]
    outside = float(pvlib.irradiance.get_extra_radiation(time, SOLAR_CONSTANT_W_M2, method="nrel").iloc[0])
    beam = pvlib.clearsky.simplified_solis(sun["apparent_elevation"], aod700=float(row["haze"]),
                                           precipitable_water=float(row["water_cm"]), pressure=pressure, dni_extra=outside)["dni"]
    return {"azimuth_deg": sun["azimuth"], "elevation_deg": sun["elevation"], "apparent_elevation_deg": sun["apparent_elevation"],
            "outside_w_m2": outside, "beam_w_m2": float(beam)}


def rows():
    """The rows to keep."""
    every = [(moment, place) for moment in MOMENTS for place in PLACES]
    for number, (moment, (latitude, longitude)) in enumerate(every):
        altitude, haze, water = AIRS[number % len(AIRS)]
        row = {"utc": moment, "latitude_deg": latitude, "longitude_deg": longitude, "altitude_m": altitude, "haze": haze, "water_cm": water}
        yield row | {name: f"{value:.4f}" for name, value in answers(row).items()}


def check(text):
    """Each row's answers against pvlib's."""
    findings = Findings()
    for number, row in enumerate(csv.DictReader(io.StringIO(text))):
        for name, expected in answers(row).items():
            findings.close(name, float(row[name]), expected, relative=0.0, absolute=ANSWERS[name], item=f"row {number}")
    return findings


def table(kept):
    """Rows as comma-separated text."""
    kept, text = list(kept), io.StringIO()
    writer = csv.DictWriter(text, kept[0], lineterminator="\n")
    writer.writeheader()
    writer.writerows(kept)
    return text.getvalue()


def faults():
    """Sound rows, and rows in which one answer is off."""
    sound = list(rows())[:3]
    yield None, table(sound)
    for name, tolerance in ANSWERS.items():
        wrong = sound[1] | {name: float(sound[1][name]) + 2 * tolerance}
        yield name, table([sound[0], wrong, sound[2]])


def main():
    """Prints, checks, or proves itself."""
    if sys.argv[1:] == ["--self-test"]:
        self_test(list(faults()), check)
    if sys.argv[1:] == ["--rows"]:
        sys.stdout.write(table(rows()))
        return
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    with open(sys.argv[1], encoding="utf-8") as file:
        check(file.read()).finish(pvlib=pvlib.__version__)


if __name__ == "__main__":
    main()
