"""Moist air by PsychroLib (ASHRAE) and MetPy (Ambaum 2020): saturation, dew and frost point, wet and iced bulb."""

import math

import psychrolib
from metpy.calc import dewpoint_from_relative_humidity, mixing_ratio_from_relative_humidity, saturation_vapor_pressure, wet_bulb_temperature
from metpy.units import units

from table import data_rows, libraries, table, text

MAKER = "make_psychrometrics.py"
psychrolib.SetUnitSystem(psychrolib.SI)


def over_water_kpa(t_c):
    """The vapour pressure that is given to both sides: FAO-56 eq 11."""
    return 0.6108 * math.exp(17.27 * t_c / (t_c + 237.3))


def metpy_kpa(t_c, phase):
    return saturation_vapor_pressure((t_c + 273.15) * units.kelvin, phase=phase).to("kPa").magnitude


def saturation():
    for half in range(-80, 91):
        t_c = half / 2
        ashrae = psychrolib.GetSatVapPres(t_c) / 1000
        yield [
            text(t_c, 1),
            text(ashrae if t_c > 0.01 else None, 6),
            text(ashrae if t_c <= 0.01 else None, 6),
            text(metpy_kpa(t_c, "liquid"), 6),
            text(metpy_kpa(t_c, "solid") if t_c <= 0 else None, 6),
        ]


def air():
    for pressure_pa in (101325, 87900):
        for half in range(-40, 81, 5):
            t_c = half / 2
            for rh_pct in (10, 20, 35, 50, 65, 80, 90, 95, 99, 100):
                e_kpa = over_water_kpa(t_c) * rh_pct / 100
                saturated_kpa = psychrolib.GetSatVapPres(t_c) / 1000
                if e_kpa > saturated_kpa:
                    # Below 0 °C the library knows no air beyond saturation over ice; above, eq 11 is rounded up by a hair.
                    continue
                ratio = psychrolib.GetHumRatioFromVapPres(e_kpa * 1000, pressure_pa)
                point_c = psychrolib.GetTDewPointFromVapPres(t_c, e_kpa * 1000)
                yield [
                    text(t_c, 1),
                    rh_pct,
                    text(pressure_pa / 1000, 3),
                    text(e_kpa, 6),
                    text(point_c, 4),
                    text(psychrolib.GetTWetBulbFromHumRatio(t_c, ratio, pressure_pa), 4),
                    text(ratio, 7),
                ]


def altitude():
    for altitude_m in (-400, 0, 50, 100, 250, 500, 1000, 1500, 2000, 3000, 5000):
        yield [altitude_m, text(psychrolib.GetStandardAtmPressure(altitude_m) / 1000, 4)]


def year():
    for row in data_rows("ireland-hourly/valentia-2017.csv")[::25]:
        t_c, rh_pct = float(row["temp"]), float(row["rhum"])
        if t_c < 0.5:
            continue
        pressure_pa = float(row["msl"]) * 100
        yield [
            row["time_utc"],
            text(t_c, 1),
            text(rh_pct, 0),
            text(pressure_pa / 1000, 2),
            text(psychrolib.GetVapPresFromRelHum(t_c, rh_pct / 100) / 1000, 5),
            text(psychrolib.GetTDewPointFromRelHum(t_c, rh_pct / 100), 3),
            text(psychrolib.GetTWetBulbFromRelHum(t_c, rh_pct / 100, pressure_pa), 3),
            text(psychrolib.GetHumRatioFromRelHum(t_c, rh_pct / 100, pressure_pa), 6),
            *by_metpy(t_c, rh_pct, pressure_pa),
        ]


def by_metpy(t_c, rh_pct, pressure_pa):
    """Dew point, wet bulb, mixing ratio: over water at any temperature."""
    temperature, share, pressure = t_c * units.degC, rh_pct / 100, pressure_pa * units.Pa
    dew = dewpoint_from_relative_humidity(temperature, share)
    return [
        text(dew.to("degC").magnitude, 3),
        text(wet_bulb_temperature(pressure, temperature, dew).to("degC").magnitude, 3),
        text(mixing_ratio_from_relative_humidity(pressure, temperature, share).to("").magnitude, 6),
    ]


def tables():
    both = libraries("PsychroLib", "MetPy")
    one = libraries("PsychroLib")
    yield table(
        "saturation.csv",
        MAKER,
        both,
        [
            "Saturation vapour pressure, kPa, over water and over ice. PsychroLib has water above 0.01 °C only and ice below only (ASHRAE 2017 ch. 1);",
            "MetPy has both at any temperature (Ambaum 2020).",
        ],
        ["t_c", "water_psychrolib", "ice_psychrolib", "water_metpy", "ice_metpy"],
        saturation(),
    )
    yield table(
        "air.csv",
        MAKER,
        one,
        [
            "Air of a given vapour pressure (t_c and rh_pct over water put through FAO-56 eq 11, so that both sides mean the same air). point_c is the dew point",
            "where it lies above 0.01 °C and the frost point below; bulb_c the thermodynamic wet bulb, under ice where it lies below 0.01 °C; ratio in kg/kg.",
            "Air beyond saturation over ice is left out: the library knows none.",
        ],
        ["t_c", "rh_pct", "pressure_kpa", "e_kpa", "point_c", "bulb_c", "ratio"],
        air(),
    )
    yield table(
        "altitude.csv",
        MAKER,
        one,
        ["Air pressure of the standard atmosphere, kPa (ASHRAE 2017 ch. 1 eq 3)."],
        ["altitude_m", "pressure_kpa"],
        altitude(),
    )
    yield table(
        "air_year.csv",
        MAKER,
        both,
        [
            "Every 25th hour of 2017 at Valentia, so every hour of the day and every day or two; hours below 0.5 °C are left out, where the library's RH is over ice.",
            "t_c, rh_pct and pressure (msl) are Met Eireann's, CC BY 4.0, Copyright Met Eireann, source www.met.ie, modified: rows selected. The rest is PsychroLib's,",
            "and MetPy's in the columns that name it: its dew point is over water at any temperature, its wet bulb follows a moist adiabat.",
        ],
        ["time_utc", "t_c", "rh_pct", "pressure_kpa", "e_kpa", "dew_c", "wet_c", "ratio", "dew_metpy_c", "wet_metpy_c", "ratio_metpy"],
        year(),
    )
