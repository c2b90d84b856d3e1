"""A student's own sheet: opened once in a lesson, then asked for the readings of each question.

Settings are drawn, the machine is solved with them, and the readings are rounded as the instruments show them. What a
question expects is computed from the shown numbers, never from the drawn ones.
"""

from __future__ import annotations

import html
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from typing import Any

from hvacr_lab.errors import NotUsable, UnknownName
from hvacr_lab.exercises.comparison import Comparison, compare, table_html
from hvacr_lab.exercises.identity import current_student, working_as
from hvacr_lab.exercises.instruments import (
    ABSOLUTE_PRESSURE,
    BAROMETER,
    DIFFERENCE,
    EDITIONS,
    ENTHALPY,
    PERCENT,
    THERMOMETER,
    Instrument,
    reading,
    show,
    si_names,
    solved_value,
    with_places,
)
from hvacr_lab.exercises.numbers import Range, draw, shuffled
from hvacr_lab.refrigerants import Refrigerant, refrigerant
from hvacr_lab.units import barometer_pa as standard_barometer_pa

__all__ = ["Sheet", "Shown", "Situation", "open_sheet", "working_as"]

Situation = Callable[..., Mapping[str, Any]]
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True, slots=True)
class Shown:
    """The readings of one question, as shown to one student; it shows itself in a notebook.

    Formulas find each reading in SI under its name with unit (``r.suction_pressure_pa`` absolute,
    ``r.suction_gauge_pa``, ``r.suction_pipe_k``), computed from the shown number.

    Parameters
    ----------
    question, student, units : str
    barometer_pa : float [Pa absolute], as shown
    ask : str, the question in words
    refrigerant_name : str, "" where there is none
    shown : name of a reading -> its number in the sheet's units
    texts : name of a reading -> its number with unit
    values : name with unit -> SI value
    items : key -> sentence, in the order of the letters
    """

    question: str
    student: str
    units: str
    barometer_pa: float
    ask: str = ""
    refrigerant_name: str = ""
    shown: Mapping[str, float] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)
    values: Mapping[str, float] = field(default_factory=dict)
    items: Mapping[str, str] = field(default_factory=dict)

    def __getattr__(self, name: str) -> float:
        values = object.__getattribute__(self, "values")
        if name.startswith("_"):
            raise AttributeError(name)
        if name not in values:
            raise UnknownName("shown reading", name, values)
        return float(values[name])

    @property
    def refrigerant(self) -> Refrigerant:
        """What is in the machine."""
        return refrigerant(self.refrigerant_name)

    def at(self, place: str) -> tuple[float, float]:
        """Absolute pressure and pipe temperature of a place."""
        return getattr(self, f"{place}_pressure_pa"), getattr(self, f"{place}_pipe_k")

    def gauge_at(self, place: str) -> tuple[float, float]:
        """Gauge pressure and pipe temperature of a place: what the slip "gauge-as-absolute" is made of."""
        return getattr(self, f"{place}_gauge_pa"), getattr(self, f"{place}_pipe_k")

    def text(self, name: str) -> str:
        """A reading with its unit, as shown."""
        if name not in self.texts:
            raise UnknownName("shown reading", name, self.texts)
        return self.texts[name]

    def letters(self, *keys: str) -> str:
        """Letters of some of the sentences, in the order given."""
        order = list(self.items)
        for key in keys:
            if key not in self.items:
                raise UnknownName("sentence", key, self.items)
        return "".join(_LETTERS[order.index(key)] for key in keys)

    def pressure(self, pressure_pa: float) -> str:
        """An absolute pressure in words, in the sheet's unit."""
        return self._words(pressure_pa, ABSOLUTE_PRESSURE)

    def temperature(self, temperature_k: float) -> str:
        """A temperature in words, in the sheet's unit."""
        return self._words(temperature_k, THERMOMETER)

    def difference(self, difference_k: float) -> str:
        """A temperature difference in words, in the sheet's unit."""
        return self._words(difference_k, DIFFERENCE)

    def enthalpy(self, enthalpy_j_per_kg: float) -> str:
        """A specific enthalpy in words, in the sheet's unit."""
        return self._words(enthalpy_j_per_kg, ENTHALPY)

    def percent(self, share: float) -> str:
        """A share in percent, in words."""
        return self._words(share, PERCENT)

    def _words(self, value: float, instrument: Instrument) -> str:
        return show(value, instrument, self.units, self.barometer_pa).text

    def _table(self) -> dict[str, dict[str, str]]:
        """Place -> what is read there -> the reading."""
        rows: dict[str, dict[str, str]] = {}
        for name, text in self.texts.items():
            if name != "barometer":
                place, what, _ = reading(name)
                rows.setdefault(place, {})[what] = text
        return rows

    def _headline(self) -> str:
        machine = f"Your machine: {self.refrigerant_name}. " if self.refrigerant_name else ""
        return f"{machine}Barometer {self.texts['barometer']}." if self.texts else machine.strip()

    def _lettered(self) -> list[str]:
        return [f"{letter}) {text}" for letter, text in zip(_LETTERS, self.items.values(), strict=False)]

    def __str__(self) -> str:
        """Readings, question and lettered sentences, one a line."""
        rows = (
            f"  {place}: {', '.join(f'{what} {text}' for what, text in row.items())}"
            for place, row in self._table().items()
        )
        lines = [self._headline(), *rows, self.ask, *(f"  {sentence}" for sentence in self._lettered())]
        return "\n".join(line for line in lines if line)

    def _repr_pretty_(self, printer: Any, cycle: bool) -> None:
        printer.text(str(self))

    def _repr_html_(self) -> str:
        table = table_html(self._headline(), self._table()) if self.texts else ""
        # letters as text: the notebook's own style turns every numbered list into 1, 2, 3
        items = "".join(f"<li>{html.escape(sentence)}</li>" for sentence in self._lettered())
        return f"{table}{_asked_html(self.ask)}" + (f'<ul style="list-style-type:none">{items}</ul>' if items else "")


@dataclass(frozen=True, slots=True)
class Sheet:
    """One student's own numbers for one lesson.

    Parameters
    ----------
    lesson, salt, student : str
    units : str, "SI" or "US"
    altitude_m : float [m], of the school
    """

    lesson: str
    salt: str
    student: str
    units: str
    altitude_m: float

    @property
    def barometer_pa(self) -> float:
        """What the barometer of the school shows [Pa absolute]."""
        return show(standard_barometer_pa(self.altitude_m), BAROMETER, self.units, 0.0).si

    def readings(
        self,
        question: str,
        situation: Situation | None = None,
        *,
        show: str | Collection[str] = (),
        ask: str = "",
        items: Mapping[str, str] | None = None,
        refused: Collection[Mapping[str, float]] = (),
        **settings: Any,
    ) -> Shown:
        """Draw settings, solve the situation, and show some of its readings.

        Parameters
        ----------
        question : str, "q3"
        situation : function of the settings that gives SI values by name, for example `refrigerator`
        show : names of readings, or of places for gauge and pipe together
        ask : str, the question in words; what comes before its question mark is set in bold
        items : key -> sentence, shown with letters in the student's own order
        refused : settings to be drawn again
        settings : (low, high, step) to be drawn, or a fixed value
        """
        return self._shown(question, situation, show, ask, items or {}, self._drawn(question, settings, 0, refused))

    def practice(
        self,
        question: str,
        situation: Situation,
        *,
        number: int = 1,
        show: str | Collection[str] = (),
        ask: str = "",
        **settings: Any,
    ) -> Shown:
        """Like `readings`, with numbers that have nothing to do with the graded ones.

        Parameters
        ----------
        number : int, another one gives other numbers
        question, situation, show, ask, settings : as in `readings`
        """
        drawn = self._drawn(f"practice of {question}", settings, number, ())
        return self._shown(question, situation, show, ask, {}, drawn)

    def compare(
        self,
        question: str,
        situation: Situation,
        *,
        change: Mapping[str, Any],
        show: str | Collection[str],
        **settings: Any,
    ) -> Comparison:
        """Solve a situation before and after a change, and set the readings side by side.

        Parameters
        ----------
        change : settings that differ afterwards
        question, situation, show, settings : as in `readings`
        """
        before = self._drawn(question, settings, 0, ())
        return compare(situation(**before), situation(**{**before, **change}), show, self.units, self.barometer_pa)

    def _drawn(
        self, question: str, settings: Mapping[str, Any], attempt: int, refused: Collection[Mapping[str, float]]
    ) -> dict[str, Any]:
        ranges: dict[str, Range] = {name: value for name, value in settings.items() if isinstance(value, tuple)}
        return {**settings, **draw(self.salt, self.student, self.lesson, question, ranges, attempt, refused)}

    def _shown(
        self,
        question: str,
        situation: Situation | None,
        names: str | Collection[str],
        ask: str,
        items: Mapping[str, str],
        settings: Mapping[str, Any],
    ) -> Shown:
        barometer = show(self.barometer_pa, BAROMETER, self.units, 0.0)
        solved = situation(**settings) if situation else {}
        readings = {name: reading(name).instrument for name in with_places(names)}
        scales = {
            name: show(solved_value(solved, name), instrument, self.units, barometer.si)
            for name, instrument in readings.items()
        }
        values: dict[str, float] = {}
        for name, value in scales.items():
            values |= si_names(name, value, readings[name], barometer.si)
        order = shuffled(self.salt, self.student, self.lesson, question, items)
        return Shown(
            question,
            self.student,
            self.units,
            barometer.si,
            ask,
            str(settings.get("refrigerant", "")),
            {"barometer": barometer.number, **{name: value.number for name, value in scales.items()}} if scales else {},
            {"barometer": barometer.text, **{name: value.text for name, value in scales.items()}} if scales else {},
            values,
            {key: items[key] for key in order},
        )

    def __str__(self) -> str:
        """Whose sheet it is, and the air pressure of the school."""
        barometer = show(self.barometer_pa, BAROMETER, self.units, 0.0).text
        return f"Numbers for student: {self.student}. Barometer at your school: {barometer}."

    def _repr_pretty_(self, printer: Any, cycle: bool) -> None:
        printer.text(str(self))


def open_sheet(lesson: str, *, salt: str, units: str, altitude_m: float) -> Sheet:
    """Open the sheet of the student who works here.

    Parameters
    ----------
    lesson : str, folder name
    salt : str, of the course
    units : str, "SI" or "US"
    altitude_m : float [m], of the school

    Returns
    -------
    Sheet

    Raises
    ------
    UnknownName : other units
    NotUsable : no salt
    OutOfRange : an altitude where no school is

    Examples
    --------
    >>> from hvacr_lab.exercises.identity import working_as
    >>> with working_as("a.one"):
    ...     print(open_sheet("02-refrigerant-states", salt="trial", units="SI", altitude_m=430.0))
    Numbers for student: a.one. Barometer at your school: 0.963 bar(a).
    """
    if units not in EDITIONS:
        raise UnknownName("edition", units, EDITIONS)
    if not salt.strip():
        raise NotUsable("salt", salt, "it is empty", hint="Any text will do; it stands in course.toml.")
    standard_barometer_pa(altitude_m)
    return Sheet(lesson, salt, current_student(), units, float(altitude_m))


def _asked_html(ask: str) -> str:
    """The words up to the question mark in bold, the rest below."""
    if not ask:
        return ""
    question, mark, rest = ask.partition("?")
    return f"<p><strong>{html.escape(question + mark)}</strong>{html.escape(rest)}</p>"
