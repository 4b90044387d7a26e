"""Reference evapotranspiration by pyet (FAO-56) and refet (ASCE-EWRI 2005): a measured Irish season, a grid of winter and summer days, hours, and air under cover."""

import datetime
import math

import numpy
import pandas
import pyet
import refet

from table import data_rows, libraries, table, text

MAKER = "make_evapotranspiration.py"
LAT, LON, ALTITUDE_M = 52.861, -6.915, 62.0
WIND_M_S = 2.0


def season():
    """Oak Park's hours by day: (date, temperatures, humidities, MJ in each hour)."""
    days = {}
    for row in data_rows("ireland-hourly/oak-park-2016-season.csv"):
        hours = days.setdefault(row["short_date"], [])
        hours.append((float(row["temp"]), float(row["rhum"]), float(row["sol_rad"])))
    for date, hours in days.items():
        if len(hours) == 24:
            yield datetime.date.fromisoformat(date), *zip(*hours)


def one(date, *values):
    """Each value as a series of one day."""
    index = pandas.DatetimeIndex([pandas.Timestamp(date)])
    return [pandas.Series([value], index=index, dtype=float) for value in values]


def pyet_mm(date, t_max, t_min, rh_max, rh_min, rs, wind, lat, altitude_m):
    tmean, tmax, tmin, rhmax, rhmin, rs = one(date, (t_max + t_min) / 2, t_max, t_min, rh_max, rh_min, rs)
    mm = pyet.pm_fao56(
        tmean, wind, rs=rs, tmax=tmax, tmin=tmin, rhmax=rhmax, rhmin=rhmin, elevation=altitude_m, lat=math.radians(lat), clip_zero=False
    )
    return mm.iloc[0]


def vapour_kpa(t_max, t_min, rh_max, rh_min):
    """FAO-56 eq 17."""
    e = lambda t: 0.6108 * math.exp(17.27 * t / (t + 237.3))
    return (e(t_min) * rh_max + e(t_max) * rh_min) / 200


def refet_mm(date, t_max, t_min, rh_max, rh_min, rs, wind, lat, altitude_m):
    daily = refet.Daily(
        tmin=t_min, tmax=t_max, ea=vapour_kpa(t_max, t_min, rh_max, rh_min), rs=rs, uz=wind, zw=2, elev=altitude_m,
        lat=lat, doy=date.timetuple().tm_yday, method="asce",
    )  # fmt: skip
    return daily.eto()[0]


def daily_row(date, weather, lat, altitude_m):
    t_max, t_min, rh_max, rh_min, rs, wind = weather
    fao = pyet_mm(date, *weather, lat, altitude_m)
    asce = refet_mm(date, *weather, lat, altitude_m)
    numbers = [text(t_max, 1), text(t_min, 1), text(rh_max, 0), text(rh_min, 0), text(rs, 2), text(wind, 1)]
    return [date.isoformat(), lat, altitude_m, *numbers, text(fao, 4), text(asce, 4)]


def daily():
    for date, temperatures, humidities, suns in season():
        weather = (max(temperatures), min(temperatures), max(humidities), min(humidities), round(sum(suns), 2), WIND_M_S)
        yield daily_row(date, weather, LAT, ALTITUDE_M)
    # Every sixth day of a year at two places, weather that swings with the season and with the day.
    for lat, altitude_m in ((50.0, 5.0), (58.0, 300.0)):
        for step in range(61):
            date = datetime.date(2026, 1, 1) + datetime.timedelta(days=6 * step)
            season_of = math.cos(2 * math.pi * (date.timetuple().tm_yday - 20) / 365)
            cloud = (step * 37 % 10) / 10
            spread = 3 + 9 * (1 - cloud)
            mean = 10.5 - 5.5 * season_of + (step * 53 % 7) - 3
            rh_min = 55 + 35 * cloud
            rs = (9 - 8 * season_of) * (0.35 + 0.9 * (1 - cloud))
            wind = 0.4 + step * 29 % 9
            weather = (round(mean + spread / 2, 1), round(mean - spread / 2, 1), 96.0, round(rh_min), round(rs, 2), round(wind, 1))
            yield daily_row(date, weather, lat, altitude_m)


def year():
    """Every day of 2017 at Valentia with its own wind; the sun is the clear sky's share of FAO-56 that the day's mean humidity leaves, for the station measures none."""
    lat, altitude_m = 51.938, 24.0
    days = {}
    for row in data_rows("ireland-hourly/valentia-2017.csv"):
        days.setdefault(row["time_utc"][:10], []).append(row)
    for date, hours in days.items():
        date = datetime.date.fromisoformat(date)
        temperatures = [float(row["temp"]) for row in hours]
        humidities = [float(row["rhum"]) for row in hours]
        winds = [float(row["wdsp"]) for row in hours if row["wdsp"]]
        # Knots at 10 m to m/s at 2 m, FAO-56 eq 47.
        wind = round(sum(winds) / len(winds) * 0.514444 * 4.87 / math.log(67.8 * 10 - 5.42), 1)
        index = pandas.DatetimeIndex([pandas.Timestamp(date)])
        above = float(numpy.ravel(pyet.extraterrestrial_r(index, math.radians(lat)))[0])
        mean = sum(humidities) / len(humidities)
        rs = round(above * (0.75 - 0.5 * max(0.0, mean - 60) / 40), 2)
        yield daily_row(date, (max(temperatures), min(temperatures), max(humidities), min(humidities), rs, wind), lat, altitude_m)


def hourly():
    for number, (date, temperatures, humidities, suns) in enumerate(season()):
        if number % 7:
            continue
        for hour, (t_c, rh_pct, rs) in enumerate(zip(temperatures, humidities, suns)):
            ea = 0.6108 * math.exp(17.27 * t_c / (t_c + 237.3)) * rh_pct / 100
            day = date.timetuple().tm_yday
            at = refet.Hourly(
                tmean=t_c, ea=ea, rs=rs, uz=WIND_M_S, zw=2, elev=ALTITUDE_M, lat=LAT, lon=LON, doy=day, time=float(hour), method="asce"
            )
            yield [
                date.isoformat(),
                hour,
                text(t_c, 1),
                text(rh_pct, 0),
                text(rs, 4),
                text(numpy.ravel(at.ra)[0], 5),
                text(numpy.ravel(at.fcd)[0], 5),
                text(numpy.ravel(at.rn)[0], 5),
                text(numpy.ravel(at.eto())[0], 5),
            ]


def under_cover():
    date = datetime.date(2026, 3, 1)
    for t_max, t_min, rh_max, rh_min, rn, sun in (
        (24, 10, 95, 55, 7.0, 11.0),
        (10, 3, 99, 85, 0.8, 1.6),
        (32, 15, 90, 40, 11.0, 16.0),
        (6, -2, 100, 92, 0.2, 1.0),
        (15, 6, 98, 70, 3.0, 5.0),
        (38, 18, 85, 30, 12.5, 19.0),
    ):
        tmean, tmax, tmin, rhmax, rhmin, rn, sun = one(date, (t_max + t_min) / 2, t_max, t_min, rh_max, rh_min, rn, sun)
        both = [
            pyet.pm_fao56(
                tmean, 208 / resistance, rn=rn, tmax=tmax, tmin=tmin, rhmax=rhmax, rhmin=rhmin, elevation=50, lat=0.9, clip_zero=False
            ).iloc[0]
            for resistance in (150, 295)
        ]
        makkink = pyet.makkink(tmean, sun, elevation=50, k=0.65, clip_zero=False).iloc[0]
        taylor = pyet.priestley_taylor(tmean, rn=rn, elevation=50, clip_zero=False).iloc[0]
        numbers = [text(rn.iloc[0], 1), text(sun.iloc[0], 1), *(text(mm, 4) for mm in [*both, makkink, taylor])]
        yield [t_max, t_min, rh_max, rh_min, *numbers]


def tables():
    irish = (
        "Days of 2016 are Oak Park's (temperature, humidity, radiation: Copyright Met Eireann, CC BY 4.0, source www.met.ie, modified: daily extremes and sums), "
        "with an invented wind of 2 m/s; the rest of the weather is invented."
    )
    yield table(
        "et_daily.csv",
        MAKER,
        libraries("pyet", "refet"),
        [irish, "fao56_mm by pyet.pm_fao56, asce_mm by refet.Daily(method=asce), short crop, mm/d; rs MJ/m², wind m/s at 2 m."],
        ["date", "lat", "altitude_m", "t_max", "t_min", "rh_max", "rh_min", "rs", "wind", "fao56_mm", "asce_mm"],
        daily(),
    )
    yield table(
        "et_year.csv",
        MAKER,
        libraries("pyet", "refet"),
        [
            "Every day of 2017 at Valentia (temperature, humidity, wind brought to 2 m: Copyright Met Eireann, CC BY 4.0, source www.met.ie, modified: daily extremes and means);",
            "the sun is invented from the day's humidity. fao56_mm by pyet.pm_fao56, asce_mm by refet.Daily(method=asce), short crop, mm/d; rs MJ/m², wind m/s at 2 m.",
        ],
        ["date", "lat", "altitude_m", "t_max", "t_min", "rh_max", "rh_min", "rs", "wind", "fao56_mm", "asce_mm"],
        year(),
    )
    yield table(
        "et_hourly.csv",
        MAKER,
        libraries("refet"),
        [
            irish,
            f"Hours that begin at the UTC hour given, at {LAT} N {LON} E, {ALTITUDE_M} m, by refet.Hourly(method=asce), short crop: ra, rn in MJ/m², fcd the cloudiness of",
            "long-wave radiation, which the package takes as 1 with the sun below 0.3 rad.",
        ],
        ["date", "hour", "t_c", "rh_pct", "rs", "ra", "fcd", "rn", "asce_mm"],
        hourly(),
    )
    yield table(
        "et_under_cover.csv",
        MAKER,
        libraries("pyet"),
        [
            "Air under cover at 50 m: pyet.pm_fao56 with a given net radiation rn and wind 208/r_a for r_a 150 and 295 s/m; makkink (k 0.65) on the radiation inside,",
            "sun, and priestley_taylor on rn, both of which have a latent heat that changes with temperature. MJ/m², mm/d.",
        ],
        ["t_max", "t_min", "rh_max", "rh_min", "rn", "sun", "ra_150_mm", "ra_295_mm", "makkink_mm", "priestley_taylor_mm"],
        under_cover(),
    )
