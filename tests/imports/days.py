#!/usr/bin/env python3
"""Days of the coastal airport of dewpoint-dst-2013, worked out by another tool than Propstick.

    python3 tests/imports/days.py DATA_FOLDER > tests/imports/days.csv               writes the table anew
    python3 tests/imports/days.py DATA_FOLDER --check tests/imports/days.csv         compares (exit code 1: other figures)

Python's standard library only; nothing here was taken from the program. For each date of a zone: its length in hours, its reports, how many of its hours
they cover (a report covers until the next one, at most an hour and a half), lowest, mean and highest temperature in degC and humidity in %RH (a mean is
that of the reports), and degree-days over 5 degC from (lowest + highest) / 2. The instants are those of the file's own column in UTC. A date of which less
than 60 % is covered has no figures.
"""
import csv
import datetime as dt
import io
import platform
import sys
from zoneinfo import ZoneInfo

FILE = "dewpoint-dst-2013/coastal-airport-hourly-2013.csv"
REACH_S = 5400
LEAST = 0.6


def reports_of(folder):
    """(seconds since 1970, degC, %RH), in order of time."""
    with open(f"{folder}/{FILE}", encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            at = dt.datetime.fromisoformat(row["time_hour"].replace("Z", "+00:00"))
            yield int(at.timestamp()), (float(row["temp"]) - 32) * 5 / 9, float(row["humid"])


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
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow("zone date hours reports covered_h min_c mean_c max_c min_rh mean_rh max_rh degree_days_5".split())
    for name in ("UTC", "America/New_York"):
        for date, begin, end in dates(ZoneInfo(name), reports[0][0], reports[-1][0]):
            here = [r for r in reports if begin <= r[0] < end]
            share = sum(max(0, min(b, end) - max(a, begin)) for a, b in covered)
            figures = [""] * 7
            if share >= LEAST * (end - begin):
                low, high = min(c for _, c, _ in here), max(c for _, c, _ in here)
                figures = [low, sum(c for _, c, _ in here) / len(here), high,
                           min(h for *_, h in here), sum(h for *_, h in here) / len(here), max(h for *_, h in here),
                           max((low + high) / 2 - 5, 0)]
                figures = [f"{figure:.5f}" for figure in figures]
            rows.writerow([name, date, (end - begin) // 3600, len(here), f"{share / 3600:.2f}", *figures])
    return out.getvalue()


def main(folder, *rest):
    new = written(folder)
    if rest[:1] == ("--check",):
        old = "".join(line for line in open(rest[1], encoding="utf-8") if not line.startswith("#"))
        sys.exit(0 if old == new else 1)
    print(f"# Written by tests/imports/days.py with Python {platform.python_version()} on {dt.date.today()}; what is worked out stands there.")
    print(f"# {FILE}: nycflights13, CC0; US government measurements are public domain.")
    sys.stdout.write(new)


if __name__ == "__main__":
    main(*sys.argv[1:])
