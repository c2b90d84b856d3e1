"""A CSV of readings becomes `Readings` in SI; every refusal names line, column, value, limit and what to do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from hvacr_lab.errors import FileProblem, LabError
from hvacr_lab.readings.headings import Heading, notes_on_others, read_headings
from hvacr_lab.readings.plausibility import plausibility_notes
from hvacr_lab.readings.records import Moment, Readings
from hvacr_lab.readings.sheet_text import file_text, rows, separator
from hvacr_lab.refrigerants import Refrigerant
from hvacr_lab.refrigerants import refrigerant as find_refrigerant
from hvacr_lab.units import barometer_pa, parse_number

_NOTHING = frozenset({"", "-", "–", "n/a", "na", "none"})
"""Cells that mean: not read."""
_REPEATED = ("refrigerant", "altitude_m", "barometer_pa")
"""Columns whose empty cells repeat the cell above."""


def load_readings(path: str | Path, *, altitude_m: float | None = None, refrigerant: str | None = None) -> Readings:
    """Read a CSV file of readings.

    Parameters
    ----------
    path : str or Path
    altitude_m : float [m], of the school, for a file that has neither altitude nor barometer
    refrigerant : str, for a file that does not name it

    Returns
    -------
    Readings

    Raises
    ------
    FileProblem : with line, column, value, limit and what to do

    Source
    ------
    Own format; `blank_readings_csv` writes an empty sheet of it.

    Examples
    --------
    >>> load_readings("no-such-file.csv")
    Traceback (most recent call last):
    hvacr_lab.errors.FileProblem: no-such-file.csv: there is no such file. Check the name and the folder.
    """
    return parse_readings(file_text(path), str(path), altitude_m=altitude_m, refrigerant=refrigerant)


def parse_readings(
    text: str, name: str = "readings", *, altitude_m: float | None = None, refrigerant: str | None = None
) -> Readings:
    """Read readings from text in the form of a CSV file.

    Parameters
    ----------
    text : str
    name : str, where it came from, for errors
    altitude_m : float [m], of the school, for a text that has neither altitude nor barometer
    refrigerant : str, for a text that does not name it

    Returns
    -------
    Readings

    Raises
    ------
    FileProblem : with line, column, value, limit and what to do

    Source
    ------
    Own format.

    Examples
    --------
    >>> sheet = parse_readings("suction pressure [bar(g)],altitude [m]\\n1.2,430\\n1.3,\\n")
    >>> [round(moment.suction_pressure_pa) for moment in sheet.moments]
    [216265, 226265]
    """
    table = list(rows(text.removeprefix("\ufeff"), name))
    if not table:
        raise FileProblem(name, "it is empty. The first row names the columns, the readings stand below.")
    (heading_line, headings), *lines = table
    known, others = read_headings(headings, name, heading_line)
    semicolons = separator(text) == ";"
    sheet = [_Row(name, line, _fitted(cells, len(headings), name, line), semicolons) for line, cells in lines]
    sheet = _repeat_downwards(sheet, [known[field].place for field in _REPEATED if field in known])
    labels = {known[field].place for field in (*_REPEATED, "time") if field in known}
    body = [row for row in sheet if row.holds_more_than(labels)]
    if not body:
        raise FileProblem(name, "it has headings, but no readings below them.", line=heading_line)
    fluid = _refrigerant(body, known.get("refrigerant"), refrigerant)
    moments = tuple(_moment(row, known, altitude_m) for row in body)
    units = {field: heading.unit for field, heading in known.items() if heading.unit}
    return Readings(
        name=name,
        refrigerant=fluid.name if fluid else None,
        moments=moments,
        units=units,
        others={heading: tuple(row.cells[place] for row in body) for heading, place in others.items()},
        notes=_left_out(len(sheet) - len(body)) + notes_on_others(others) + plausibility_notes(moments, fluid, units),
    )


@dataclass(frozen=True, slots=True)
class _Row:
    """One row below the headings."""

    name: str
    line: int
    cells: list[str]
    comma_is_decimal: bool  # spreadsheets separate with semicolons where the comma is the decimal sign

    def problem(self, heading: Heading, what: str) -> FileProblem:
        return FileProblem(self.name, f'column "{heading.text}": {what}', line=self.line)

    def holds_more_than(self, labels: set[int]) -> bool:
        """Say whether anything was read, apart from the time, the refrigerant and the barometer."""
        return any(cell.casefold() not in _NOTHING for place, cell in enumerate(self.cells) if place not in labels)

    def number(self, heading: Heading) -> float | None:
        """Return the number as typed, None where nothing was read."""
        cell = self.cells[heading.place]
        if cell.casefold() in _NOTHING:
            return None
        if self.comma_is_decimal and cell.count(",") == 1 and "." not in cell:
            cell = cell.replace(",", ".")
        try:
            return parse_number(cell, "reading")
        except LabError as error:
            raise self.problem(heading, f"{error} The unit stands in the heading only.") from None

    def in_si(self, heading: Heading | None, barometer: float | None) -> float | None:
        """Return the reading in SI within the limits of its column, None where nothing was read."""
        typed = None if heading is None else self.number(heading)
        if heading is None or typed is None:
            return None
        if heading.counts_from_barometer and barometer is None:
            hint = 'Add a column "altitude [m]" or "barometer [hPa]".'
            raise self.problem(heading, f"a gauge counts from the barometer, and there is none in this row. {hint}")
        try:
            value = heading.to_si(typed, barometer)
        except LabError as error:
            raise self.problem(heading, str(error)) from None
        low, high = heading.column.limits
        if not low - 1e-9 <= value <= high + 1e-9:
            span = " ... ".join(f"{heading.from_si(limit, barometer):.4g}" for limit in (low, high))
            what = f"{typed:g} {heading.unit} is outside {span} {heading.unit}. Check the unit and the decimal point."
            raise self.problem(heading, what)
        return value


def _left_out(rows_without_reading: int) -> tuple[str, ...]:
    return (f"{rows_without_reading} rows without a reading are left out.",) if rows_without_reading else ()


def _fitted(cells: list[str], columns: int, name: str, line: int) -> list[str]:
    """Bring a row to the number of headings, or say why it cannot be."""
    counted = f"{len(cells)} values stand under {columns} headings."
    if any(cells[columns:]):
        hint = 'A decimal comma? Write "2.5" with a point, or separate the columns with semicolons.'
        raise FileProblem(name, f"{counted} {hint}", line=line)
    if len(cells) < columns:
        raise FileProblem(name, f"{counted} Keep the separator where nothing was read.", line=line)
    return cells[:columns]


def _repeat_downwards(body: list[_Row], places: list[int]) -> list[_Row]:
    above = dict.fromkeys(places, "")
    filled = []
    for row in body:
        above = {place: row.cells[place] or above[place] for place in places}
        filled.append(replace(row, cells=[above.get(place, cell) for place, cell in enumerate(row.cells)]))
    return filled


def _refrigerant(body: list[_Row], heading: Heading | None, otherwise: str | None) -> Refrigerant | None:
    """Return the one refrigerant of the file."""
    if heading is None or not body[0].cells[heading.place]:
        return find_refrigerant(otherwise) if otherwise else None
    first = body[0].cells[heading.place]
    for row in body:
        other = row.cells[heading.place]
        if other.casefold() != first.casefold():
            raise row.problem(heading, f'"{other}" stands below "{first}". One file holds one refrigerant.')
    try:
        return find_refrigerant(first)
    except LabError as error:
        raise body[0].problem(heading, str(error)) from None


def _moment(row: _Row, known: Mapping[str, Heading], altitude_m: float | None) -> Moment:
    read = row.in_si(known.get("barometer_pa"), None)
    altitude = row.in_si(known.get("altitude_m"), None)
    altitude = altitude_m if altitude is None else altitude
    barometer = barometer_pa(altitude) if read is None and altitude is not None else read
    values: dict[str, Any] = {}
    for field, heading in known.items():
        if field not in _REPEATED and heading.column.quantity != "text":
            values[field] = row.in_si(heading, barometer)
        if heading.column.quantity == "gauge":
            values[field.replace("_pressure_pa", "_is_gauge")] = heading.counts_from_barometer
    if "time" in known:
        values["time"] = row.cells[known["time"].place]
    return Moment(line=row.line, barometer_pa=barometer, barometer_read=read is not None, **values)
