"""The heading row of a file of readings: which column is which, in which unit."""

from __future__ import annotations

from dataclasses import dataclass

from hvacr_lab.errors import FileProblem, LabError
from hvacr_lab.readings.columns import COLUMNS, Column, closest_title, find_column, split_heading
from hvacr_lab.units import from_si, pressure_from_pa, pressure_pa, to_si
from hvacr_lab.units.table import find_pressure_unit, find_unit


@dataclass(frozen=True, slots=True)
class Heading:
    """Heading of a known column.

    Parameters
    ----------
    place : int, counted from 0
    text : str, as typed
    unit : str, as typed; "" for text
    column : Column
    """

    place: int
    text: str
    unit: str
    column: Column

    @property
    def counts_from_barometer(self) -> bool:
        """Whether the instrument shows a pressure above or below the barometer."""
        return self.column.quantity == "gauge" and find_pressure_unit(self.unit)[1] != "absolute"

    def to_si(self, value: float, barometer_pa: float | None) -> float:
        """Value as typed, in SI.

        Parameters
        ----------
        value : float, in the unit of the heading
        barometer_pa : float [Pa absolute] or None

        Returns
        -------
        float [SI]

        Raises
        ------
        LabError : outside what the unit allows

        Source
        ------
        As `units.to_si`.

        Examples
        --------
        >>> Heading(0, "power [kW]", "kW", find_column("power")).to_si(1.5, None)
        1500.0
        """
        if self.column.quantity == "gauge":
            return pressure_pa(value, self.unit, barometer_pa)
        return to_si(value, self.unit, self.column.quantity)

    def from_si(self, value: float, barometer_pa: float | None) -> float:
        """Convert an SI value into the unit of the heading.

        Parameters
        ----------
        value : float [SI]
        barometer_pa : float [Pa absolute] or None

        Returns
        -------
        float, in the unit of the heading

        Source
        ------
        As `units.from_si`.

        Examples
        --------
        >>> Heading(0, "power [kW]", "kW", find_column("power")).from_si(1500.0, None)
        1.5
        """
        if self.column.quantity == "gauge":
            return pressure_from_pa(value, self.unit, barometer_pa)
        return from_si(value, self.unit, self.column.quantity)


def read_headings(cells: list[str], name: str, line: int) -> tuple[dict[str, Heading], dict[str, int]]:
    """Find out which column is which.

    Parameters
    ----------
    cells : list of str, the heading row
    name : str, of the file, for the error
    line : int, of the heading row

    Returns
    -------
    tuple of dict, known columns by field, and places of unknown columns by heading

    Raises
    ------
    FileProblem : a column twice; a unit missing or unknown; a pressure that is neither gauge nor absolute; no column
        known at all

    Source
    ------
    Own rule.

    Examples
    --------
    >>> known, others = read_headings(["time", "power [W]", "mood"], "sheet", 1)
    >>> list(known), others
    (['time', 'power_w'], {'mood': 2})
    """
    known: dict[str, Heading] = {}
    others: dict[str, int] = {}
    for place, cell in enumerate(cells):
        heading = _heading(place, cell, name, line)
        if heading is None:
            others[cell if cell not in others else f"{cell} ({place + 1})"] = place
        elif heading.column.field in known:
            twice = f'"{known[heading.column.field].text}" and "{cell}" are the same column. Leave one out.'
            raise FileProblem(name, twice, line=line)
        else:
            known[heading.column.field] = heading
    if all(heading.column.quantity == "text" for heading in known.values()):
        titles = ", ".join(column.title for column in COLUMNS)
        raise FileProblem(
            name, f"no column is known here. The first row names the columns; known: {titles}.", line=line
        )
    return known, others


def notes_on_others(others: dict[str, int]) -> tuple[str, ...]:
    """Name the columns that are kept, but not used.

    Parameters
    ----------
    others : dict, as `read_headings` returns it

    Returns
    -------
    tuple of str

    Source
    ------
    Own rule.

    Examples
    --------
    >>> notes_on_others({"sucton pipe [C]": 3})
    ('Column "sucton pipe [C]" is kept, but not used. Did you mean "suction pipe temperature"?',)
    """
    notes = []
    for heading in others:
        close = closest_title(split_heading(heading)[0])
        offer = f' Did you mean "{close}"?' if close else ""
        notes.append(f'Column "{heading}" is kept, but not used.{offer}')
    return tuple(notes)


def _heading(place: int, cell: str, name: str, line: int) -> Heading | None:
    title, unit = split_heading(cell)
    column = find_column(title)
    if column is None:
        return None
    if column.quantity == "text":
        return Heading(place, cell, "", column)
    why = _unit_fault(column, unit)
    if why:
        example = f'Write "{column.title} [{column.usual[0]}]" or "{column.title} [{column.usual[1]}]".'
        raise FileProblem(name, f'column "{cell}": {why} {example}', line=line)
    return Heading(place, cell, unit, column)


def _unit_fault(column: Column, unit: str) -> str:
    """Say what is wrong with a unit in a heading, nothing where it is in order."""
    if not unit:
        return "it has no unit."
    if column.quantity == "gauge" and _is_bare(unit):
        return f'"{unit}" does not say whether it is gauge (g) or absolute (a).'
    try:
        find_pressure_unit(unit) if column.quantity == "gauge" else find_unit(unit, column.quantity)
    except LabError as error:
        return str(error)
    return ""


def _is_bare(unit: str) -> bool:
    try:
        find_unit(unit, "pressure")
    except LabError:
        return False
    return True
