"""How numbers are shown on the command line: one table of figures serves the screen, --json and --help."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import click

from hvacr_lab.units import from_si

WIDTH = 80
# [characters], fits every terminal and a piped file
NOTHING = 1e-6
# [SI unit], what rounding leaves of a zero


@dataclass(frozen=True, slots=True)
class Figure:
    """One quantity: its key in --json, its name on the screen, and what it means."""

    key: str
    label: str
    quantity: str
    meaning: str
    digits: int | None = None
    silent_at_zero: bool = False


@dataclass(frozen=True, slots=True)
class Shown:
    """How a quantity is shown in one system of units."""

    unit: str
    written: str
    digits: int


_COMMON = {"ratio": Shown("1", "", 4), "COP": Shown("1", "", 3)}
SHOWN: dict[str, dict[str, Shown]] = {
    "SI": {
        "pressure": Shown("bar", "bar", 3),
        "pressure difference": Shown("bar", "bar", 3),
        "temperature": Shown("C", "°C", 2),
        "temperature difference": Shown("K", "K", 2),
        "specific enthalpy": Shown("kJ/kg", "kJ/kg", 2),
        "specific entropy": Shown("kJ/(kg K)", "kJ/(kg K)", 4),
        "specific volume": Shown("L/kg", "L/kg", 3),
        "density": Shown("kg/m3", "kg/m³", 2),
        "mass flow": Shown("kg/s", "kg/s", 5),
        "volume flow": Shown("L/s", "L/s", 3),
        "power": Shown("kW", "kW", 3),
        **_COMMON,
    },
    "US": {
        "pressure": Shown("psi", "psi", 2),
        "pressure difference": Shown("psi", "psi", 2),
        "temperature": Shown("F", "°F", 2),
        "temperature difference": Shown("F", "°F", 2),
        "specific enthalpy": Shown("Btu/lb", "Btu/lb", 3),
        "specific entropy": Shown("Btu/(lb F)", "Btu/(lb °F)", 5),
        "specific volume": Shown("ft3/lb", "ft³/lb", 4),
        "density": Shown("lb/ft3", "lb/ft³", 3),
        "mass flow": Shown("lb/h", "lb/h", 2),
        "volume flow": Shown("ft3/min", "ft³/min", 4),
        "power": Shown("Btu/h", "Btu/h", 0),
        **_COMMON,
    },
}
"""System of units -> quantity -> unit for `from_si`, as written, decimals."""


def written(value_si: float, quantity: str, system: str, digits: int | None = None) -> str:
    """Write a number in the unit of a system, without the unit.

    Parameters
    ----------
    value_si : float, in SI
    quantity : str
    system : str, "SI" or "US"
    digits : int or None, decimals where not those of the quantity

    Returns
    -------
    str

    Examples
    --------
    >>> written(263.15, "temperature", "US")
    '14.00'
    """
    shown = SHOWN[system][quantity]
    decimals = shown.digits if digits is None else digits
    text = f"{from_si(float(value_si), shown.unit, quantity):.{decimals}f}"
    return text.removeprefix("-") if float(text) == 0.0 else text


def print_json(result: Mapping[str, Any]) -> None:
    """Print one flat object.

    Parameters
    ----------
    result : mapping, key with the unit as suffix -> number in SI, text or None
    """
    click.echo(json.dumps(dict(result), ensure_ascii=False, indent=2))


def print_table(
    title: str, header: Iterable[str], rows: Iterable[Iterable[str]], *, left: Collection[int] = (0, 2)
) -> None:
    """Print a table that reads well without colour, at 80 columns and in a pipe.

    Parameters
    ----------
    title : str
    header : iterable of str, one for each column; all empty for none
    rows : iterable of rows of str
    left : columns that hold words: left-aligned, and wrapped where they are long
    """
    from rich import box
    from rich.console import Console
    from rich.table import Table

    names = list(header)
    table = Table(box=box.SIMPLE_HEAD, show_header=any(names), show_edge=False, pad_edge=False, padding=(0, 1))
    for place, name in enumerate(names):
        table.add_column(name, justify="left" if place in left else "right", no_wrap=place not in left)
    for row in rows:
        table.add_row(*row)
    console = Console(width=WIDTH, highlight=False, markup=False)
    if title:
        console.print(title, style="bold")
    console.print(table)
    console.print()


def figure_rows(figures: Iterable[Figure], result: Mapping[str, Any], system: str) -> list[tuple[str, str, str]]:
    """Name, number and unit of each figure that the result has and that says something.

    Parameters
    ----------
    figures : iterable of Figure
    result : mapping, key -> number in SI
    system : str, "SI" or "US"

    Returns
    -------
    list of (label, number, unit)
    """
    said = [
        figure
        for figure in figures
        if result.get(figure.key) is not None and not (figure.silent_at_zero and abs(result[figure.key]) < NOTHING)
    ]
    return [
        (
            figure.label,
            written(result[figure.key], figure.quantity, system, figure.digits),
            SHOWN[system][figure.quantity].written,
        )
        for figure in said
    ]


def print_notes(title: str, notes: Iterable[str]) -> None:
    """Print sentences below a title, one to a line; nothing without sentences.

    Parameters
    ----------
    title : str
    notes : iterable of str
    """
    lines = [click.wrap_text(note, width=WIDTH, initial_indent="- ", subsequent_indent="  ") for note in notes]
    if lines:
        click.echo("\n".join([title, *lines]))


def keys_text(figures: Iterable[Figure], further: Mapping[str, str]) -> str:
    """The keys of --json with their meaning, for --help.

    Parameters
    ----------
    figures : iterable of Figure
    further : mapping, other keys -> meaning

    Returns
    -------
    str, with click's mark against re-wrapping
    """
    meanings = {figure.key: figure.meaning for figure in figures} | dict(further)
    lines = [
        click.wrap_text(f"{key}: {meaning}", width=WIDTH - 4, initial_indent="  ", subsequent_indent="      ")
        for key, meaning in meanings.items()
    ]
    return "\n".join(
        ["\b", "Keys of --json (SI, the unit is in the key; absent or null where there is no value):", *lines]
    )
