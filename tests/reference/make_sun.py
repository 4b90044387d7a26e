"""The sun by pvlib (NREL's solar position algorithm, SPA) and astral: its times, its place in the sky, a clear sky's radiation, day length."""

import datetime

import astral
import astral.sun
import numpy
import pandas
from pvlib import clearsky, solarposition

from table import libraries, table, text

MAKER = "make_sun.py"
PLACES = [(50.0, -5.0), (52.0, -1.0), (58.0, -6.0)]
LATITUDES = [50.0, 52.0, 55.0, 58.0]


def seconds(instant, midnight):
    """Seconds from midnight UTC; nothing where the event does not happen."""
    return "" if instant is None or pandas.isna(instant) else round((instant - midnight).total_seconds())


def civil(transits, lat, lon, side):
    """When SPA's true elevation passes -6° within 12 h before (side -1) or after (side 1) the transits: bisection for all days at once."""
    low, high = numpy.zeros(len(transits)), numpy.full(len(transits), 12 * 3600.0)
    for _ in range(20):
        middle = (low + high) / 2
        instants = pandas.DatetimeIndex(transits) + pandas.to_timedelta(side * middle, unit="s")
        above = solarposition.get_solarposition(instants, lat, lon)["elevation"].to_numpy() > -6
        low, high = numpy.where(above, middle, low), numpy.where(above, high, middle)
    return pandas.DatetimeIndex(transits) + pandas.to_timedelta(side * (low + high) / 2, unit="s")


def year():
    days = pandas.date_range("2026-07-01", "2027-06-30", tz="UTC")
    for lat, lon in PLACES:
        spa = solarposition.sun_rise_set_transit_spa(days, lat, lon)
        dawn, dusk = (civil(spa["transit"], lat, lon, side) for side in (-1, 1))
        for n, (midnight, times) in enumerate(zip(days, spa.itertuples())):
            yield [
                midnight.date().isoformat(),
                lat,
                lon,
                seconds(dawn[n], midnight),
                seconds(times.sunrise, midnight),
                seconds(times.transit, midnight),
                seconds(times.sunset, midnight),
                seconds(dusk[n], midnight),
            ]


def position():
    for lat, lon in [*PLACES, (-35.0, 149.0), (0.0, 0.0)]:
        instants = pandas.date_range("2026-01-01 01:30", "2026-12-31", freq="363h", tz="UTC")
        instants = instants.append(instants + pandas.Timedelta(hours=5)).append(instants + pandas.Timedelta(hours=11))
        sun = solarposition.get_solarposition(instants, lat, lon)
        for instant, at in zip(instants, sun.itertuples()):
            yield [
                instant.strftime("%Y-%m-%dT%H:%M:%SZ"),
                lat,
                lon,
                text(at.elevation, 4),
                text(at.apparent_elevation, 4),
                text(at.azimuth, 4),
            ]


def clear_sky():
    for lat in LATITUDES:
        for day in pandas.date_range("2026-01-01", "2026-12-31", freq="6D", tz="UTC"):
            steps = day + pandas.to_timedelta(numpy.arange(288) * 300 + 150, unit="s")
            sun = solarposition.get_solarposition(steps, lat, 0.0, altitude=50)
            ghi = clearsky.haurwitz(sun["apparent_zenith"])["ghi"]
            yield [day.date().isoformat(), lat, text(ghi.sum() * 300 / 1e6, 4)]


def ten_hours():
    days = pandas.date_range("2026-07-01", "2027-06-30", tz="UTC")
    for lat in [45.0, *LATITUDES]:
        spa = solarposition.sun_rise_set_transit_spa(days, lat, 0.0)
        hours = (spa["sunset"] - spa["sunrise"]).dt.total_seconds() / 3600
        short = [day.date() for day, length in hours.items() if length < 10]
        observer = astral.Observer(lat, 0.0, 0)
        theirs = []
        for day in days:
            length = astral.sun.sunset(observer, day.date()) - astral.sun.sunrise(observer, day.date())
            if length < datetime.timedelta(hours=10):
                theirs.append(day.date())
        yield [lat, short[0], short[-1], text(hours.min(), 3), theirs[0], theirs[-1]]


def tables():
    yield table(
        "sun_year.csv",
        MAKER,
        libraries("pvlib"),
        [
            "Seconds after midnight UTC of the date: sunrise, noon (transit) and sunset by pvlib's sun_rise_set_transit_spa, civil dawn and dusk where the true",
            "elevation of its get_solarposition passes -6°. July 2026 to June 2027, sea level, a free horizon.",
        ],
        ["date", "lat", "lon", "dawn", "sunrise", "noon", "sunset", "dusk"],
        year(),
    )
    yield table(
        "sun_position.csv",
        MAKER,
        libraries("pvlib"),
        ["Degrees, by pvlib's get_solarposition (SPA); apparent_deg with the refraction of 12 °C and 1013.25 hPa; azimuth from north through east."],
        ["instant", "lat", "lon", "elevation_deg", "apparent_deg", "azimuth_deg"],
        position(),
    )
    yield table(
        "clear_sky.csv",
        MAKER,
        libraries("pvlib"),
        ["Clear-sky days at longitude 0, MJ/m², by pvlib's clearsky.haurwitz over 288 steps of 5 min from 00:02:30 UTC, altitude 50 m."],
        ["date", "lat", "mj_m2"],
        clear_sky(),
    )
    yield table(
        "ten_hours.csv",
        MAKER,
        libraries("pvlib", "astral"),
        [
            "First and last day of less than 10 h from sunrise to sunset at longitude 0 by pvlib's SPA, the shortest in hours, and the same days by astral.",
            "Season 2026-27.",
        ],
        ["lat", "first", "last", "shortest_h", "first_astral", "last_astral"],
        ten_hours(),
    )
