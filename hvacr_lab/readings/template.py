"""An empty sheet of readings, to be filled in at the bench."""

from __future__ import annotations

from collections.abc import Mapping

from hvacr_lab.errors import NotUsable
from hvacr_lab.readings.columns import COLUMNS, Column
from hvacr_lab.readings.sheet_text import SEPARATORS
from hvacr_lab.units import from_si

_SYSTEMS = {"SI": 0, "US": 1}
"""System of units -> place in `Column.usual`."""

_ADVICE = (
    "Readings at the bench: one row is one moment.",
    "Leave a cell empty where nothing was read; columns that are not needed may be deleted.",
    "Pressures say what they count from: (g) gauge, (a) absolute. Other units may be written into the brackets.",
    "Lines that begin with # are comments.",
)


def blank_readings_csv(
    units: str = "SI", *, separator: str = ",", rows: int = 10, refrigerant: str = "", altitude_m: float | None = None
) -> str:
    """Write an empty sheet of readings as CSV text, with comments that explain each column.

    Parameters
    ----------
    units : str, "SI" or "US"
    separator : str, ",", or ";" where the comma is the decimal sign, or tab
    rows : int, empty rows, numbered in the column time
    refrigerant : str, written into the first row
    altitude_m : float [m], of the school, written into the first row; None leaves it to the barometer

    Returns
    -------
    str

    Raises
    ------
    NotUsable : another system of units or separator

    Source
    ------
    Own format.

    Examples
    --------
    >>> sheet = blank_readings_csv("US", refrigerant="R-134a")
    >>> sheet.splitlines()[0]
    '# Readings at the bench: one row is one moment.'
    >>> "suction pressure [psig]" in sheet
    True
    """
    if units not in _SYSTEMS:
        raise NotUsable("system of units", units, "it is neither SI nor US", hint='Write "SI" or "US".')
    if separator not in SEPARATORS:
        raise NotUsable("separator", separator, "columns are separated by , or ; or a tab")
    headings = [_heading(column, units) for column in COLUMNS]
    comments = [*_ADVICE, *(f"{heading}: {column.meaning}." for heading, column in zip(headings, COLUMNS, strict=True))]
    altitude = "" if altitude_m is None else f"{from_si(altitude_m, _altitude_unit(units), 'length'):.0f}"
    first = {"refrigerant": refrigerant, "altitude_m": altitude}
    body = [_blank_row(row, first if row == 1 else {}) for row in range(1, rows + 1)]
    return "\n".join([*(f"# {line}" for line in comments), *map(separator.join, [headings, *body]), ""])


def _heading(column: Column, units: str) -> str:
    unit = column.usual[_SYSTEMS[units]]
    return f"{column.title} [{unit}]" if unit else column.title


def _altitude_unit(units: str) -> str:
    return next(column.usual[_SYSTEMS[units]] for column in COLUMNS if column.field == "altitude_m")


def _blank_row(row: int, known: Mapping[str, str]) -> list[str]:
    return [str(row) if column.field == "time" else known.get(column.field, "") for column in COLUMNS]
