#!/usr/bin/env python3
"""Days of the coastal airport of dewpoint-dst-2013, worked out by another tool than Propstick.

    python3 tests/imports/days.py DATA_FOLDER > tests/imports/days.csv               writes the table anew
    python3 tests/imports/days.py DATA_FOLDER --check tests/imports/days.csv         compares (exit code 1: other figures)
    python3 tests/imports/days.py DATA_FOLDER --readme                               dew points against the file's own column, by two formulas

Python's standard library only; nothing here was taken from the program. For each date of a zone: its length in hours, its reports, how many of its hours
they cover, lowest, mean and highest temperature in degC, humidity in %RH and dew point in degC, and degree-days over 5 degC from (lowest + highest) / 2.
The instants are those of the file's own column in UTC.

cover      a report covers until the next one, at most an hour and a half; the very first, before which there is no step, a quarter of an hour.
mean       of the reports; the very first, whose hour is covered by a quarter, counts a quarter.
dew point  over water, by the saturation pressure of FAO-56, equation 11. The README beside the data took that of WMO-8: see --readme.
A date of which less than 60 % is covered has no figures.
"""
import csv
import datetime as dt
import io
import math
import platform
import statistics
import sys
from zoneinfo import ZoneInfo

FILE = "dewpoint-dst-2013/coastal-airport-hourly-2013.csv"
REACH_S, FIRST_REACH_S = 5400, 900
LEAST = 0.6
FAO_56, WMO_8 = (17.27, 237.3), (17.62, 243.12)


def celsius(fahrenheit):
    return (fahrenheit - 32) * 5 / 9


def dew_point(t, rh, constants):
    a, b = constants
    x = math.log(rh / 100) + a * t / (b + t)
    return b * x / (a - x)


def reports_of(folder):
    """(seconds since 1970, degC, %RH, dew point of the file in degC), in order of time."""
    with open(f"{folder}/{FILE}", encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            at = dt.datetime.fromisoformat(row["time_hour"].replace("Z", "+00:00"))
            yield int(at.timestamp()), celsius(float(row["temp"])), float(row["humid"]), celsius(float(row["dewp"]))


def dates(zone, first, last):
    """(date, first second, first second after it)."""
    date = dt.datetime.fromtimestamp(first, zone).date()
    while True:
        begin, end = (int(dt.datetime.combine(d, dt.time(), zone).timestamp()) for d in (date, date + dt.timedelta(days=1)))
        if begin > last:
            return
        yield date, begin, end
        date += dt.timedelta(days=1)


def written(folder):
    reports = sorted(reports_of(folder))
    covered = [(at, min(at + REACH_S, after)) for (at, *_), (after, *_) in zip(reports, reports[1:] + [(reports[-1][0] + REACH_S,)])]
    covered[0] = (covered[0][0], covered[0][0] + FIRST_REACH_S)
    measured = [(at, FIRST_REACH_S / 3600 if at == reports[0][0] else 1, (t, rh, dew_point(t, rh, FAO_56))) for at, t, rh, _ in reports]
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow("zone date hours reports min_c mean_c max_c degree_days_5 covered_h".split()
                  + [f"{f}_{q}" for q in ("rh", "dew_c") for f in ("min", "mean", "max")])
    for name in ("UTC", "America/New_York"):
        for date, begin, end in dates(ZoneInfo(name), reports[0][0], reports[-1][0]):
            here = [r for r in measured if begin <= r[0] < end]
            share = sum(max(0, min(b, end) - max(a, begin)) for a, b in covered)
            air, degree_days, others = [""] * 3, "", [""] * 6
            if share >= LEAST * (end - begin):
                figures = []
                for k in range(3):
                    values = [v[k] for *_, v in here]
                    mean = sum(weight * v[k] for _, weight, v in here) / sum(weight for _, weight, _ in here)
                    figures += [min(values), mean, max(values)]
                degree_days = f"{max((figures[0] + figures[2]) / 2 - 5, 0):.5f}"
                texts = [f"{figure:.5f}" for figure in figures]
                air, others = texts[:3], texts[3:]
            rows.writerow([name, date, (end - begin) // 3600, len(here), *air, degree_days, f"{share / 3600:.2f}", *others])
    return out.getvalue()


def readme(folder):
    for name, constants in (("FAO-56", FAO_56), ("WMO-8", WMO_8)):
        off = [dew_point(t, rh, constants) - dewp for _, t, rh, dewp in reports_of(folder)]
        near, far = sum(abs(d) <= 0.04 for d in off), max(abs(d) for d in off)
        print(f"{name}: mean {statistics.mean(off):.4f} degC, sd {statistics.pstdev(off):.4f}, {near} of {len(off)} within 0.04, farthest {far:.3f}")


def main(folder, *rest):
    if rest == ("--readme",):
        readme(folder)
        return
    new = written(folder)
    if rest[:1] == ("--check",):
        old = "".join(line for line in open(rest[1], encoding="utf-8") if not line.startswith("#"))
        sys.exit(0 if old == new else 1)
    print(f"# Written by tests/imports/days.py with Python {platform.python_version()} on {dt.date.today()}; what is worked out stands there.")
    print(f"# {FILE}: nycflights13, CC0; US government measurements are public domain.")
    sys.stdout.write(new)


if __name__ == "__main__":
    main(*sys.argv[1:])
