#!/usr/bin/env python3
"""Counts the measured files of ../shared/data a second time, by another tool than Propstick.

    python3 tests/imports/counts.py DATA_FOLDER > tests/imports/counts.csv     writes the table anew
    python3 tests/imports/counts.py DATA_FOLDER --check tests/imports/counts.csv   compares (exit code 1: other figures)
    python3 tests/imports/counts.py DATA_FOLDER --readmes                          compares with what the READMEs of the data say

Python's standard library only. Nothing here was taken from the program: what is counted is written down in this file, in words first.

lines      all lines of the file. rows: lines behind the header. rows_read: rows with a time that counts.
aside      rows: blank (separators and white space only), no-time (no such date), no-order (where day and month change places: told by
           no step), skipped-hour (a wall time that the zone leaves out). Cells of the columns read: not-a-number, out-of-range. A bad
           cell sets aside that cell alone. Empty cells and the file's own word for "nothing" are no_value.
out-of-range  outside what the quantity can mean, in its own unit, both ends allowed: see RANGE (shared/src/quantity.rs).
clock      a fixed offset, or a zone. In autumn a step of the file back by the shift, or by up to one usual step less, within 26 h behind
           the change, is where that logger put its clock back: rows before it have the old offset, rows from it on the new one. A
           repeated hour without such a step has the old offset.
mixed      each row is read in the order of day and month that is nearer in time to the row that counted last, and counts if it is at most
           26 h back or 7 days ahead. Others are held, with those that follow near to them: once they span 3 h they count; if a row near to the
           last one that counted comes first, they are set aside.
cadence    median of the steps between different instants of a series in order of time, the lower of two. gaps: steps over 2.5 times that.
min, max   of the numbers as written, in the unit written.
"""
import csv
import datetime as dt
import io
import platform
import re
import sys
from zoneinfo import ZoneInfo

RANGE = {
    "air-temperature": (-40, 80), "air-humidity": (0, 105), "soil-temperature": (-40, 100), "leaf-temperature": (-40, 80),
    "soil-moisture": (0, 1), "leaf-wetness": (0, 1), "light": (-20, 1600), "wind-speed": (0, 75), "rain": (0, 500),
    "battery-voltage": (0, 60),
}
TO_BASE = {
    "Cel": lambda v: v, "%RH": lambda v: v, "m/s": lambda v: v, "mm": lambda v: v, "V": lambda v: v, "W/m2": lambda v: v,
    "/": lambda v: v, "%": lambda v: v / 100, "degF": lambda v: (v - 32) * 5 / 9, "mph": lambda v: v * 0.44704,
    "kn": lambda v: v * 1852 / 3600, "MJ/m2/h": lambda v: v * 1e6 / 3600, "ly/h": lambda v: v * 41840 / 3600,
}
HOUR, DAY = dt.timedelta(hours=1), dt.timedelta(days=1)


def instant(*columns):
    return [(c, ch, unit, "instant", None, None) for c, ch, unit in columns]


def interval(column, channel, unit, kind, span_s, stamp="end"):
    return [(column, channel, unit, kind, span_s, stamp)]


def text_in(column, form):
    return lambda cell: dt.datetime.strptime(cell(column).strip(), form)


def parts(year, month, day, hour=None):
    def read(cell):
        found = dt.datetime(int(cell(year)), int(cell(month)), int(cell(day)))
        return found + int(cell(hour)) * HOUR if hour else found
    return read


def date_and_hour(date, hour, minute=None):
    def read(cell):
        found = dt.datetime.strptime(cell(date), "%Y-%m-%d") + int(cell(hour)) * HOUR
        return found + dt.timedelta(minutes=int(cell(minute))) if minute else found
    return read


def file(path, name, when, zone, fields, **more):
    return dict(path=path, name=name, when=when, zone=zone, fields=fields, **more)


IRISH = (interval("rain", "rain", "mm", "sum", 3600)
         + instant(("temp", "air-temperature", "Cel"), ("rhum", "air-humidity", "%RH"), ("wdsp", "wind-speed", "kn")))
UTC_TEXT = text_in("time_utc", "%Y-%m-%dT%H:%M:%SZ")
INSIDE = instant(("Tair", "air-temperature-1", "Cel"), ("Rhair", "air-humidity-1", "%RH"),
                 ("Tair_crop", "air-temperature-2", "Cel"), ("Rhair_crop", "air-humidity-2", "%RH"))
TRH = instant(("Temperature (°C)", "air-temperature", "Cel"), ("Relative Humidity (%)", "air-humidity", "%RH"))
FOUR = instant(*((f"Temperature {k} (°C)", f"air-temperature-{k}", "Cel") for k in (1, 2, 3, 4)))
MICRO = instant(("Soil Temperature (°C)", "soil-temperature", "Cel"), ("Plant Temperature (°C)", "leaf-temperature", "Cel"),
                ("Water Content 1 (m³/m³)", "soil-moisture-1", "/"), ("Water Content 1 (m³/m³)#2", "soil-moisture-2", "/"))
DMY, YMD = "%d/%m/%Y %H:%M:%S", "%Y-%m-%d %H:%M:%S"
AIRPORT = instant(("temp", "air-temperature", "degF"), ("humid", "air-humidity", "%RH"), ("wind_speed", "wind-speed", "mph"))
MINMAX = (interval("Temp min", "air-temperature", "degF", "min", 86400, "start")
          + interval("Temp max", "air-temperature", "degF", "max", 86400, "start"))
T, G, V, D, E, I, C = ("tunnel-veneto-2021/", "greenhouse-lettuce-2022/", "degree-days-reference/", "dewpoint-dst-2013/",
                       "et0-reference-2015/", "ireland-hourly/", "canopy-leafwetness-2022/")


def tunnel(name, when, fields, **more):
    return file(f"{T}{name}.csv", name, when, "Europe/Rome", fields, **more)


def stamp(form, **more):
    return dict(when=text_in("Timestamp", form), **more)


FILES = [
    *(file(f"{I}{name}-2017.csv", name, UTC_TEXT, "UTC", IRISH) for name in ("valentia", "johnstown-castle", "sherkin-island")),
    file(f"{I}oak-park-2016-season.csv", "oak-park", date_and_hour("short_date", "hour"), "UTC",
         instant(("temp", "air-temperature", "Cel"), ("rhum", "air-humidity", "%RH"))
         + interval("sol_rad", "light", "MJ/m2/h", "mean", 3600, "start")),
    file(f"{G}outside-5min.csv", "glass-outside", text_in("Date", "%m/%d/%Y %H:%M"), "+01:00",
         instant(("Tout", "air-temperature", "Cel"), ("Rhout", "air-humidity", "%RH"), ("Iglob", "light", "W/m2"),
                 ("Windsp", "wind-speed", "m/s"))),
    *(file(f"{G}inside-{x}-5min.csv", f"glass-{x.lower()}", text_in("Date", "%m/%d/%Y %H:%M"), "+01:00", INSIDE) for x in "ABCDEF"),
    file(f"{C}canopy-hourly.csv", "canopy", date_and_hour("date", "hour", "minute"), "+01:00",
         instant(("temp_soil_5cm", "soil-temperature", "Cel"), ("temp_200cm", "air-temperature-1", "Cel"),
                 ("temp_20cm", "air-temperature-2", "Cel"), ("temp_5cm", "air-temperature-3", "Cel"),
                 ("rh_200cm", "air-humidity", "%RH"), ("wind_ms", "wind-speed", "m/s"), ("battery_v", "battery-voltage", "V"))
         + interval("global_rad_wm2", "light", "W/m2", "mean", 3600) + interval("rain_mm", "rain", "mm", "sum", 3600)
         + interval("leaf_wetness", "leaf-wetness", "%", "mean", 3600), device="station"),
    tunnel("tunnel1-trh1", text_in("Timestamp", DMY), TRH),
    tunnel("tunnel1-trh2", text_in("Timestamp", DMY), TRH),
    tunnel("tunnel1-micro1", text_in("Timestamp", DMY), MICRO, missing=["nan"]),
    tunnel("tunnel1-temp4ch1", text_in("Timestamp", DMY), FOUR),
    tunnel("tunnel1-ref-airtemp", text_in("Timestamp", DMY), instant(("Temperature (°C)", "air-temperature", "Cel")), missing=["nan"]),
    tunnel("tunnel1-ref-rh", text_in("Timestamp", YMD), instant(("Humidity (%)", "air-humidity", "%RH")), missing=["nan"]),
    tunnel("tunnel1-ref-soiltemp", text_in("Europe/Rome", YMD), instant(("Substrate temperature (°C)", "soil-temperature", "Cel")),
           missing=["nan"]),
    tunnel("tunnel2-trh3", text_in("Timestamp", DMY), TRH, mixed=text_in("Timestamp", "%m/%d/%Y %H:%M:%S")),
    tunnel("tunnel2-temp4ch1", text_in("Timestamp", DMY), FOUR),
    tunnel("tunnel2-micro1", text_in("Timestamp", DMY), MICRO, mixed=text_in("Timestamp", "%m/%d/%Y %H:%M:%S")),
    tunnel("tunnel2-ref-airtemp", text_in("Timestamp", YMD), instant(("Temperature (°C)", "air-temperature", "Cel"))),
    tunnel("tunnel2-ref-rh", text_in("Timestamp", YMD), instant(("Humidity (%)", "air-humidity", "%RH"))),
    file(f"{E}hourly-input-2015.csv", "fallon-hourly", parts("YEAR", "MONTH", "DAY", "HOUR"), "America/Los_Angeles",
         interval("OB", "air-temperature", "degF", "mean", 3600) + interval("WS", "wind-speed", "mph", "mean", 3600)
         + interval("SI", "light", "ly/h", "mean", 3600), missing=["no record"]),
    file(f"{E}daily-input-2015.csv", "fallon-daily", parts("YEAR", "MONTH", "DAY"), "America/Los_Angeles",
         interval("MN", "air-temperature", "degF", "min", 86400, "start") + interval("MX", "air-temperature", "degF", "max", 86400, "start")
         + interval("UA", "wind-speed", "mph", "mean", 86400, "start"), missing=["no record"]),
    file(f"{D}coastal-airport-hourly-2013.csv", "airport", parts("year", "month", "day", "hour"), "America/New_York", AIRPORT,
         missing=["na"], device="origin"),
    file(f"{D}coastal-airport-hourly-2013.csv", "airport-utc", text_in("time_hour", "%Y-%m-%dT%H:%M:%SZ"), "UTC", AIRPORT,
         missing=["na"], device="origin"),
    file(f"{D}second-airport-february-2013.csv", "airport", parts("year", "month", "day", "hour"), "America/New_York", AIRPORT,
         missing=["na"], device="origin"),
    *(file(f"{V}calculator-export-{m}-horizontal.csv", "esparto-calculator", text_in("Date", "%m/%d/%Y"), "America/Los_Angeles", MINMAX,
           encoding="cp1252", header=31) for m in ("single-sine", "double-sine", "single-triangle", "double-triangle")),
    file(f"{V}daily-minmax-2020.csv", "esparto-daily", text_in("date", "%Y-%m-%d"), "America/Los_Angeles",
         interval("tmin", "air-temperature", "degF", "min", 86400, "start")
         + interval("tmax", "air-temperature", "degF", "max", 86400, "start"), device="station"),
]


def header_names(cells):
    """Trimmed, inner white space as one blank; the second of a name is NAME#2."""
    seen, names = {}, []
    for cell in cells:
        name = " ".join(cell.replace("\ufeff", "").split())
        seen[name] = seen.get(name, 0) + 1
        names.append(name if seen[name] == 1 else f"{name}#{seen[name]}")
    return names


def lines_of(spec, folder):
    text = io.open(f"{folder}/{spec['path']}", encoding=spec.get("encoding", "utf-8"), newline="").read()
    lines = re.split(r"\r\n|\n|\r", text)
    return lines[:-1] if lines[-1] == "" else lines


def told_by_step(rows, aside):
    """mixed: rows of (line, cells, local in the first order or None, local in the other or None)."""
    def near(here, last):
        return -26 * HOUR <= here - last <= 7 * DAY

    def best(first, other, last):
        return min((x for x in (first, other) if x is not None), key=lambda x: abs(x - last))

    kept, held, last = [], [], None
    for line, cells, first, other in rows:
        if last is None:
            last = first if first is not None else other
            kept.append((line, cells, last))
            continue
        here = best(first, other, last)
        if near(here, last):
            for gone in held:
                aside.add("no-order", "", gone[0])
            held, last = [], here
            kept.append((line, cells, here))
            continue
        if held:
            with_held = best(first, other, held[-1][2])
            if near(with_held, held[-1][2]):
                held.append((line, cells, with_held))
            else:
                for gone in held:
                    aside.add("no-order", "", gone[0])
                held = [(line, cells, here)]
        else:
            held = [(line, cells, here)]
        if max(h[2] for h in held) - min(h[2] for h in held) >= 3 * HOUR:
            kept += held
            held, last = [], held[-1][2]
    for gone in held:
        aside.add("no-order", "", gone[0])
    return kept


def changes(zone, first, last):
    """(instant, offset before, offset after) of each change of the zone's clock, as naive UTC and timedeltas."""
    found, at = [], first - 3 * DAY
    offset = lambda t: t.replace(tzinfo=dt.timezone.utc).astimezone(zone).utcoffset()
    while at < last + 3 * DAY:
        if offset(at) != offset(at + DAY):
            low, high = at, at + DAY
            while high - low > dt.timedelta(seconds=1):
                middle = low + (high - low) / 2
                middle = middle.replace(microsecond=0)
                low, high = (middle, high) if offset(middle) == offset(low) else (low, middle)
            found.append((high, offset(low), offset(high)))
        at += DAY
    return found


class Aside:
    def __init__(self):
        self.kinds = {}

    def add(self, why, what, line):
        times, first = self.kinds.get((why, what), (0, line))
        self.kinds[why, what] = (times + 1, min(first, line))


def to_utc(rows, zone_name, aside):
    """Rows of (line, cells, wall time) as rows of (line, cells, UTC), and what became of the clock changes."""
    if zone_name == "UTC":
        return rows, []
    if fixed := re.fullmatch(r"\+(\d\d):(\d\d)", zone_name):
        ahead = dt.timedelta(hours=int(fixed[1]), minutes=int(fixed[2]))
        return [(line, cells, wall - ahead) for line, cells, wall in rows], []
    zone = ZoneInfo(zone_name)
    walls = [wall for _, _, wall in rows]
    steps = sorted(abs(b - a) for a, b in zip(walls, walls[1:]) if a != b)
    usual = steps[(len(steps) - 1) // 2]
    all_changes = changes(zone, min(walls), max(walls))
    notes, switch = [], {}
    for number, (at, before, after) in enumerate(all_changes):
        if after >= before:
            continue
        begins, ends, shift = at + after, at + before, before - after
        backs = [k for k in range(1, len(walls)) if begins <= walls[k - 1] < ends + 26 * HOUR
                 and walls[k] >= begins and shift - usual <= walls[k - 1] - walls[k] <= shift]
        inside = [k for k in range(len(walls)) if begins <= walls[k] < ends]
        if backs:
            switch[number] = min(backs, key=lambda k: abs(walls[k - 1] + usual - shift - walls[k]))
            notes.append((at, "back", rows[switch[number]][0], 1))
        elif inside:
            notes.append((at, "repeated-once", rows[inside[0]][0], len(inside)))
    out = []
    skipped = {}
    for k, (line, cells, wall) in enumerate(rows):
        offset = None
        for number, (at, before, after) in enumerate(all_changes):
            if after > before:
                if at + before <= wall < at + after:
                    skipped.setdefault(number, []).append(line)
                    aside.add("skipped-hour", "", line)
                    break
            elif at + after <= wall < at + before + 26 * HOUR:
                if number in switch:
                    offset = before if k < switch[number] and rows[switch[number]][2] - wall < 2 * DAY else after
                else:
                    offset = before if wall < at + before else after
        else:
            if offset is None:
                offset = next((b for at, b, a in all_changes if wall < at + min(a, b)), all_changes[-1][2] if all_changes else
                              wall.replace(tzinfo=zone).utcoffset())
            out.append((line, cells, wall - offset))
    notes += [(all_changes[n][0], "skipped", ls[0], len(ls)) for n, ls in skipped.items()]
    return out, sorted(notes)


def number(text):
    text = text.strip()
    return float(text) if re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", text) else None


def read(spec, folder):
    """Everything that is counted of one file."""
    lines = lines_of(spec, folder)
    header = spec.get("header", 1)
    names = header_names(next(csv.reader([lines[header - 1]])))
    aside, rows = Aside(), []
    for line, text in enumerate(lines[header:], header + 1):
        if not text.strip(" \t,;|"):
            aside.add("blank", "", line)
            continue
        cells = next(csv.reader([text]))
        if len(cells) > len(names):
            aside.add("long", "", line)
            continue
        cell = lambda name: cells[names.index(name)]
        walls = []
        for form in filter(None, (spec["when"], spec.get("mixed"))):
            try:
                walls.append(form(cell))
            except (ValueError, IndexError):
                walls.append(None)
        if not any(walls):
            aside.add("no-time", "", line)
        else:
            rows.append((line, cells, *walls))
    if "mixed" in spec:
        rows = told_by_step(rows, aside)
    rows, notes = to_utc(rows, spec["zone"], aside)
    series, no_value = {}, 0
    for line, cells, at in rows:
        device = f"urn:propstick:{spec['name']}"
        if "device" in spec:
            # Only unreserved characters stand in these files' names of devices.
            device += ":" + cells[names.index(spec["device"])]
        for column, channel, unit, kind, span_s, end in spec["fields"]:
            place = names.index(column)
            if place >= len(cells):
                aside.add("short", column, line)
                continue
            text = cells[place].strip()
            if text == "" or text.lower() in spec.get("missing", []):
                no_value += 1
                continue
            value = number(text)
            low, high = RANGE[re.sub(r"-\d+$", "", channel)]
            if value is None:
                aside.add("not-a-number", column, line)
            elif not low <= TO_BASE[unit](value) <= high:
                aside.add("out-of-range", column, line)
            else:
                key = (device, channel, unit, kind, span_s or "", end or "")
                series.setdefault(key, []).append((at, value, line))
    backs, last = [], {}
    for line, cells, at in rows:
        device = cells[names.index(spec["device"])] if "device" in spec else ""
        if device in last and at < last[device]:
            backs.append(line)
        last[device] = at
    return dict(lines=len(lines), rows=len(lines) - header, rows_read=len(rows), no_value=no_value, aside=aside.kinds, series=series,
                notes=notes, backs=backs)


def gaps_of(instants):
    """Median step in s, gaps, and the longest gap."""
    steps = sorted(b - a for a, b in zip(instants, instants[1:]))
    if not steps:
        return "", 0, None
    cadence = steps[(len(steps) - 1) // 2]
    long = [(a, b) for a, b in zip(instants, instants[1:]) if b - a > 2.5 * cadence]
    longest = max(long, key=lambda ab: (ab[1] - ab[0], -ab[0].timestamp()), default=None)
    return int(cadence.total_seconds()), len(long), longest


def iso(at):
    return at.strftime("%Y-%m-%dT%H:%M:%SZ") if at else ""


COLUMNS = ["what", "file", "mapping", "lines", "rows", "rows_read", "no_value", "device", "channel", "unit", "kind", "span_s", "stamp", "column", "n",
           "first_line", "first", "last", "cadence_s", "gaps", "longest_from", "longest_to", "min", "max"]


def table(folder):
    for spec in FILES:
        found = read(spec, folder)
        base = dict(file=spec["path"], mapping=spec["name"])
        every = [at for points in found["series"].values() for at, _, _ in points]
        yield dict(base, what="file", lines=found["lines"], rows=found["rows"], rows_read=found["rows_read"], no_value=found["no_value"],
                   n=len(every), first=iso(min(every)), last=iso(max(every)))
        for (device, channel, unit, kind, span_s, end), points in found["series"].items():
            instants = sorted({at for at, _, _ in points})
            cadence, gaps, longest = gaps_of(instants)
            values = [v for _, v, _ in points]
            yield dict(base, what="series", device=device, channel=channel, unit=unit, kind=kind, span_s=span_s, stamp=end, n=len(points),
                       first=iso(instants[0]), last=iso(instants[-1]), cadence_s=cadence, gaps=gaps,
                       longest_from=iso(longest and longest[0]), longest_to=iso(longest and longest[1]), min=min(values), max=max(values))
        for (why, column), (times, first) in sorted(found["aside"].items()):
            yield dict(base, what="aside", kind=why, column=column, n=times, first_line=first)
        for at, what, line, times in found["notes"]:
            yield dict(base, what="clock", kind=what, first=iso(at), first_line=line, n=times)
        if found["backs"]:
            yield dict(base, what="back", n=len(found["backs"]), first_line=found["backs"][0])


def witness(folder):
    """What the READMEs beside the data say, against what is counted here: (what, said, counted)."""
    found = {(spec["path"], spec["name"]): read(spec, folder) for spec in FILES}

    def of(name):
        return next(f for (path, n), f in found.items() if n == name)

    def values(name, channel, device=""):
        return [v for (d, c, *_), points in of(name)["series"].items() if c == channel and d.endswith(device) for _, v, _ in points]

    def ends(name, channel, said):
        got = values(name, channel)
        yield f"{name} {channel} lowest, highest", said, (round(min(got), 1), round(max(got), 1))

    for name, said in (("valentia", (-1.9, 25.5)), ("johnstown-castle", (-1.7, 22.8)), ("sherkin-island", (0.6, 22.0)), ("oak-park", (2.9, 27.3)),
                       ("glass-outside", (-1.9, 16.8)), ("tunnel1-trh1", (-4.3, 38.3)), ("tunnel2-trh3", (-3.6, 34.2)),
                       ("tunnel1-ref-airtemp", (-5.7, 44.0)), ("airport", (12.0, 98.1))):
        yield from ends(name, "air-temperature", said)
    yield from ends("oak-park", "air-humidity", (37, 100))
    yield from ends("glass-outside", "air-humidity", (20.7, 99.5))
    yield from ends("glass-outside", "light", (0, 682))
    yield from ends("glass-outside", "wind-speed", (0, 27.4))
    yield from ends("tunnel1-ref-rh", "air-humidity", (12.6, 100))
    yield from ends("airport", "air-humidity", (15.2, 100))
    for name, hours in (("valentia", 2894), ("johnstown-castle", 3364), ("sherkin-island", 3311)):
        yield f"{name} hours of RH >= 90", hours, sum(v >= 90 for v in values(name, "air-humidity"))
    for name, channel, blank in (("johnstown-castle", "rain", 3), ("sherkin-island", "rain", 10), ("sherkin-island", "air-humidity", 56),
                                 ("valentia", "wind-speed", 21)):
        yield f"{name} {channel} blank", blank, 8760 - len(values(name, channel))
    rows = {"glass-outside": 13825, "glass-a": 12384, "glass-b": 13248, "glass-c": 10944, "glass-d": 12384, "glass-e": 12960, "glass-f": 13825,
            "canopy": 8016, "tunnel1-trh1": 10858, "tunnel1-trh2": 10720, "tunnel1-micro1": 12779, "tunnel1-temp4ch1": 27520,
            "tunnel1-ref-airtemp": 29031, "tunnel1-ref-rh": 23476, "tunnel1-ref-soiltemp": 23419, "tunnel2-trh3": 14694, "tunnel2-temp4ch1": 15161,
            "tunnel2-micro1": 15845, "tunnel2-ref-airtemp": 14915, "tunnel2-ref-rh": 14915, "fallon-hourly": 8758, "fallon-daily": 365,
            "esparto-daily": 366, "esparto-calculator": 366, "oak-park": 3360, "valentia": 8760, "airport": 8706}
    for name, said in rows.items():
        yield f"{name} rows", said, of(name)["rows"]
    yield "glass-outside blank rows", 31, 13825 - len(values("glass-outside", "air-temperature"))
    damp = {"a": (0.0, 33.3), "b": (258.3, 162.8), "c": (0.0, 29.4), "d": (13.2, 42.3), "e": (11.8, 24.8), "f": (16.9, 10.8)}
    for letter, said in damp.items():
        yield (f"glass-{letter} hours of RH >= 90, main and crop sensor", said,
               tuple(round(sum(v >= 90 for v in values(f"glass-{letter}", f"air-humidity-{k}")) / 12, 1) for k in (1, 2)))
    for channel, said in (("soil-temperature", 7109), ("air-temperature-1", 8006), ("air-temperature-2", 4235), ("air-humidity", 8016),
                          ("wind-speed", 4478), ("battery-voltage", 4478), ("leaf-wetness", 7296), ("air-temperature-3", 2880)):
        yield f"canopy {channel} present", said, len(values("canopy", channel))
    yield "tunnel1-trh1 readings of RH >= 99.9", 3487, sum(v >= 99.9 for v in values("tunnel1-trh1", "air-humidity"))
    yield "tunnel1-trh2 readings of RH 1.0", 535, sum(v == 1.0 for v in values("tunnel1-trh2", "air-humidity"))
    above_80 = of("tunnel1-temp4ch1")["aside"]["out-of-range", "Temperature 4 (°C)"][0]
    yield ("tunnel1-temp4ch1 channel 4 above 60", 6626, above_80 + sum(v > 60 for v in values("tunnel1-temp4ch1", "air-temperature-4")))
    out = of("tunnel2-temp4ch1")["aside"]
    yield "tunnel2-temp4ch1 rows beyond meaning on channel 1", 15, out["out-of-range", "Temperature 1 (°C)"][0]
    yield "tunnel2-temp4ch1 channel 4 beyond meaning", 15 + 3356, out["out-of-range", "Temperature 4 (°C)"][0]
    yield "tunnel2-temp4ch1 damaged stamps", 4, out["no-time", ""][0]
    for name, said in (("tunnel1-ref-airtemp", 1398), ("tunnel1-ref-rh", 1398), ("fallon-daily", 1)):
        yield f"{name} blank", said, of(name)["no_value"]
    for name in ("tunnel1-ref-airtemp", "tunnel1-ref-rh", "tunnel1-ref-soiltemp", "tunnel2-ref-airtemp", "tunnel2-ref-rh"):
        instants = sorted({at for points in of(name)["series"].values() for at, _, _ in points})
        yield f"{name} gaps of over an hour", "118-222", sum(b - a > HOUR for a, b in zip(instants, instants[1:]))

    # A third witness for the dates: these loggers count their rows, one each quarter of an hour.
    for name, hours_ahead in (("tunnel2-trh3", [1]), ("tunnel2-micro1", [1, 1])):
        spec = next(spec for spec in FILES if spec["name"] == name)
        lines, begun = lines_of(spec, folder), []
        for at, _, line in next(iter(of(name)["series"].values())):
            begin = at - int(lines[line - 1].split(",")[0]) * 15 * dt.timedelta(minutes=1)
            if not begun or begun[-1][0] != begin:
                begun.append([begin, 0])
            begun[-1][1] += 1
        steps = [(b[0] - a[0]) // HOUR for a, b, c in zip(begun, begun[1:], begun[2:]) if a[0] == c[0] and b[1] > 500]
        yield f"{name} hours that stretches of swapped rows are ahead of their neighbours by the count of rows", hours_ahead, steps


NOTICE = """\
The files are other people's measurements, each under its own licence; nothing of them is copied here but these counts.
ireland-hourly: Copyright Met Eireann, source www.met.ie, CC BY 4.0. greenhouse-lettuce-2022: MIT, Copyright 2023 Koidra Tech Inc.
canopy-leafwetness-2022: MIT, Copyright (c)(CC-BY-SA-4.0) 2024 cercospoRa authors. tunnel-veneto-2021: Brentarolli, Locatelli, Nicoletto,
Sambo, Quaglia, Muradore, Universities of Verona and Padua, GPL-3.0. et0-reference-2015: WSWUP/RefET, Apache-2.0; measurements US public
domain. dewpoint-dst-2013: nycflights13, CC0. degree-days-reference: MIT, Copyright (c) 2022 Andy Lyons."""


def written(folder):
    out = io.StringIO()
    rows = csv.DictWriter(out, COLUMNS, lineterminator="\n")
    rows.writeheader()
    for row in table(folder):
        rows.writerow(row)
    return out.getvalue()


def main(folder, *rest):
    if rest == ("--readmes",):
        for what, said, counted in witness(folder):
            print("agrees  " if said == counted else "DIFFERS ", what, "said", said, "counted", counted)
        return
    if rest[:1] == ("--check",):
        old = [line for line in open(rest[1], encoding="utf-8") if not line.startswith("#")]
        new = written(folder).splitlines(keepends=True)
        other = [f"-{a}+{b}" for a, b in zip(old, new) if a != b]
        sys.stdout.writelines(other[:20])
        sys.exit(0 if old == new else 1)
    print(f"# Written by tests/imports/counts.py with Python {platform.python_version()} on {dt.date.today()}; what is counted stands there.")
    for line in NOTICE.splitlines():
        print(f"# {line}")
    sys.stdout.write(written(folder))


if __name__ == "__main__":
    main(*sys.argv[1:])
