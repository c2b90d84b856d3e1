"""The columns of a file of readings: their names, quantities, usual units and limits."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass

from hvacr_lab.units import ALTITUDE_LIMITS_M, BAROMETER_LIMITS_PA

_WARMTH_K = (173.15, 523.15)
# [K], -100 ... 250 degC: no thermometer on a teaching bench shows more (own value)
_AIR_K = (223.15, 353.15)
# [K], -50 ... 80 degC (own value)
_PRESSURES_PA = (0.0, 20e6)
# [Pa absolute], above the highest gauge for R-744 (own value)


@dataclass(frozen=True, slots=True)
class Column:
    """One column that a file of readings may have.

    Parameters
    ----------
    field : str, name in `Moment`, with the SI unit as suffix; "" for text
    title : str, how the template heads it
    quantity : str, as in `units.quantities()`; "gauge" for a pressure that must say what it is counted from; "text"
    usual : (SI unit, US unit) that the template offers
    limits : (low, high) in SI beyond which the reading is refused
    meaning : str, where the instrument sits
    others : other titles that mean the same
    """

    field: str
    title: str
    quantity: str
    usual: tuple[str, str]
    limits: tuple[float, float]
    meaning: str
    others: tuple[str, ...] = ()


def _temperature(field: str, title: str, limits: tuple[float, float], meaning: str, *others: str) -> Column:
    return Column(field, title, "temperature", ("C", "F"), limits, meaning, others)


COLUMNS = (
    Column("time", "time", "text", ("", ""), (0.0, 0.0), "clock or minutes since the start", ("clock", "moment")),
    Column(
        "refrigerant",
        "refrigerant",
        "text",
        ("", ""),
        (0.0, 0.0),
        "in the first row; an empty cell repeats the one above",
    ),
    Column(
        "altitude_m",
        "altitude",
        "length",
        ("m", "ft"),
        ALTITUDE_LIMITS_M,
        "of the school, if there is no barometer; an empty cell repeats the one above",
        ("elevation", "height"),
    ),
    Column(
        "barometer_pa",
        "barometer",
        "pressure",
        ("hPa", "inHg"),
        BAROMETER_LIMITS_PA,
        "in the room, not reduced to sea level; an empty cell repeats the one above",
        ("atmospheric pressure", "ambient pressure"),
    ),
    Column(
        "suction_pressure_pa",
        "suction pressure",
        "gauge",
        ("bar(g)", "psig"),
        _PRESSURES_PA,
        "at the compressor inlet",
        ("low pressure", "low side pressure", "suction gauge", "evaporating pressure"),
    ),
    Column(
        "discharge_pressure_pa",
        "discharge pressure",
        "gauge",
        ("bar(g)", "psig"),
        _PRESSURES_PA,
        "at the compressor outlet",
        ("high pressure", "high side pressure", "head pressure", "discharge gauge", "condensing pressure"),
    ),
    _temperature("suction_pipe_k", "suction pipe temperature", _WARMTH_K, "at the outlet of the evaporator", "suction"),
    _temperature(
        "compressor_inlet_k",
        "compressor inlet temperature",
        _WARMTH_K,
        "on the suction pipe, a hand's width before the compressor",
        "compressor suction",
    ),
    _temperature("discharge_pipe_k", "discharge pipe temperature", _WARMTH_K, "after the compressor", "discharge"),
    _temperature("liquid_pipe_k", "liquid pipe temperature", _WARMTH_K, "before the metering device", "liquid"),
    _temperature("evaporator_air_in_k", "evaporator air in", _AIR_K, "dry bulb", "return air", "room air"),
    _temperature(
        "evaporator_air_in_wet_bulb_k", "evaporator air in wet bulb", _AIR_K, "wet bulb", "return air wet bulb"
    ),
    _temperature("evaporator_air_out_k", "evaporator air out", _AIR_K, "dry bulb", "supply air"),
    _temperature(
        "evaporator_air_out_wet_bulb_k", "evaporator air out wet bulb", _AIR_K, "wet bulb", "supply air wet bulb"
    ),
    _temperature("condenser_air_in_k", "condenser air in", _AIR_K, "dry bulb", "outdoor air"),
    _temperature("condenser_air_out_k", "condenser air out", _AIR_K, "dry bulb"),
    Column(
        "mass_flow_kg_per_s",
        "refrigerant flow",
        "mass flow",
        ("kg/h", "lb/h"),
        (0.0, 10.0),
        "in the liquid pipe",
        ("mass flow", "refrigerant mass flow", "flow"),
    ),
    Column("power_w", "compressor power", "power", ("W", "W"), (0.0, 1e6), "electrical", ("power", "electrical power")),
    Column(
        "air_flow_m3_per_s",
        "evaporator air flow",
        "volume flow",
        ("m3/h", "ft3/min"),
        (0.0, 100.0),
        "volume at the place where it is measured",
        ("air flow",),
    ),
)
"""Every column, in the order of the template. Each may be left out; the order in a file is free."""

_SAME_WORDS = {"line": "pipe", "temp": "", "temperature": "", "wb": "wet bulb", "the": "", "of": ""}


def find_column(title: str) -> Column | None:
    """Column that a heading means, however it is typed.

    Parameters
    ----------
    title : str, heading without its unit

    Returns
    -------
    Column, or None where no column has such a name

    Source
    ------
    Own table.

    Examples
    --------
    >>> find_column("SUCTION_line  temperature").field
    'suction_pipe_k'
    """
    return _BY_KEY.get(_key(title))


def closest_title(title: str) -> str | None:
    """Title of the column that an unknown heading is most like.

    Parameters
    ----------
    title : str, heading without its unit

    Returns
    -------
    str or None

    Source
    ------
    Own table.

    Examples
    --------
    >>> closest_title("sucton pipe")
    'suction pipe temperature'
    """
    close = difflib.get_close_matches(_key(title), _BY_KEY, n=1, cutoff=0.8)
    return _BY_KEY[close[0]].title if close else None


def split_heading(heading: str) -> tuple[str, str]:
    """Separate title and unit of a heading.

    Parameters
    ----------
    heading : str, "suction pressure [bar(g)]", "suction pressure (psig)", "suction pressure / bar(g)"

    Returns
    -------
    tuple of str, title and unit ("" without one)

    Source
    ------
    Own rule.

    Examples
    --------
    >>> split_heading("Suction pressure [bar(g)]")
    ('Suction pressure', 'bar(g)')
    >>> split_heading("time")
    ('time', '')
    """
    found = re.fullmatch(r"\s*(.*?)\s*(?:\[(.*)\]|\((.*)\)|\s/\s+(.*?))?\s*", heading)
    title, *marked = found.groups() if found else (heading,)
    return title, next((unit for unit in marked if unit), "").strip()


def _key(title: str) -> str:
    """Bring the ways to type a title together: case, blanks, underscores and some words do not matter."""
    words = re.sub(r"[\W_]+", " ", title.casefold()).split()
    return " ".join(" ".join(_SAME_WORDS.get(word, word) for word in words).split())


_BY_KEY = {_key(name): column for column in COLUMNS for name in (column.title, *column.others)}
"""Tidied title -> column."""
