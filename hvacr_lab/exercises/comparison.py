"""A machine before and after one change: readings side by side, and a word for what each did."""

from __future__ import annotations

import html
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from hvacr_lab.errors import UnknownName
from hvacr_lab.exercises.form import Form, given
from hvacr_lab.exercises.instruments import Instrument, reading, show, solved_value, with_places

DIRECTIONS = ("rises", "falls", "about the same")
STATES = ("vapour", "bubbles", "liquid")
_SAME = {"pressure": 2_000.0, "temperature": 0.3, "temperature difference": 0.3, "specific enthalpy": 300.0}
# [Pa], [K] or [J/kg]: below it an apprentice's instruments show no change (common practice)


@dataclass(frozen=True, slots=True)
class Row:
    """One reading before and after.

    Parameters
    ----------
    label : str, place and what is read there
    before, after : str, as shown
    change : str, "rises", "falls", "about the same"; of a glass what it shows afterwards
    words : those that could have been predicted
    """

    label: str
    before: str
    after: str
    change: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Readings before and after a change; it shows itself as a table.

    Parameters
    ----------
    rows : name of a reading -> Row
    """

    rows: Mapping[str, Row]

    def change(self, name: str) -> str:
        """What a reading did."""
        return self._row(name).change

    def words(self, name: str) -> tuple[str, ...]:
        """What a reading could have done."""
        return self._row(name).words

    def _row(self, name: str) -> Row:
        if name not in self.rows:
            raise UnknownName("row", name, self.rows)
        return self.rows[name]

    def __str__(self) -> str:
        """One line a row."""
        return "\n".join(f"{row.label}: {row.before} -> {row.after}" for row in self.rows.values())

    def _repr_pretty_(self, printer: Any, cycle: bool) -> None:
        printer.text(str(self))

    def _repr_html_(self) -> str:
        return table_html("", {row.label: {"before": row.before, "after": row.after} for row in self.rows.values()})


def after_predicting(namespace: Mapping[str, object], comparison: Comparison, *predictions: str) -> Comparison | Form:
    """Show what a change did to whoever has said before what to expect.

    Parameters
    ----------
    namespace : names and values, as ``globals()``
    comparison : Comparison
    predictions : names of the answers that must be there first

    Returns
    -------
    Comparison, or a sentence that asks for the predictions
    """
    if any(given(namespace, name) is ... for name in predictions):
        return Form(("The table opens when your prediction stands above. Write it down, then run this cell again.",))
    return comparison


def table_html(caption: str, rows: Mapping[str, Mapping[str, str]]) -> str:
    """Readings as an HTML table with headings that a screen reader can say.

    Parameters
    ----------
    caption : str
    rows : heading of a row -> heading of a column -> text; a column may be missing in some rows

    Returns
    -------
    str
    """
    columns = list(dict.fromkeys(column for row in rows.values() for column in row))
    left = 'style="text-align:left"'
    head = "".join(f'<th scope="col" {left}>{html.escape(column)}</th>' for column in columns)
    lines = "".join(
        f'<tr><th scope="row" {left}>{html.escape(heading)}</th>'
        + "".join(f"<td {left}>{html.escape(row.get(column, ''))}</td>" for column in columns)
        + "</tr>"
        for heading, row in rows.items()
    )
    title = f"<caption {left}>{html.escape(caption)}</caption>" if caption else ""
    return f"<table>{title}<thead><tr><td></td>{head}</tr></thead><tbody>{lines}</tbody></table>"


def compare(
    before: Mapping[str, Any], after: Mapping[str, Any], names: str | Collection[str], units: str, barometer_pa: float
) -> Comparison:
    """Set the readings of two solved machines side by side.

    Parameters
    ----------
    before, after : name with unit -> SI value, as a situation gives them
    names : readings to be shown
    units : str, "SI" or "US"
    barometer_pa : float [Pa absolute]

    Returns
    -------
    Comparison
    """
    rows = {}
    for name in with_places(names):
        place, what, instrument = reading(name)
        first, second = solved_value(before, name), solved_value(after, name)
        label = f"{place.partition(',')[0]}: {what}"
        if not instrument.scales:
            rows[name] = Row(label, first, second, second, STATES)
        else:
            texts = [show(value, instrument, units, barometer_pa).text for value in (first, second)]
            rows[name] = Row(label, texts[0], texts[1], _direction(second - first, instrument), DIRECTIONS)
    return Comparison(rows)


def _direction(change: float, instrument: Instrument) -> str:
    if abs(change) <= _SAME[instrument.quantity]:
        return "about the same"
    return "rises" if change > 0 else "falls"
