"""A question that asks for a number."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from hvacr_lab.errors import NotUsable
from hvacr_lab.exercises.form import Unread, given, read_number, shown
from hvacr_lab.exercises.instruments import in_unit, quantity_of, unit_of_edition
from hvacr_lab.exercises.marks import Mark, Slip, finish, unread_mark

_CLOSE = 3.0  # times the tolerance; up to there an answer is "close"
_SLIP_BAND = 0.5  # times the tolerance; a slip is recognised within this
_ROUNDING = 1.0 + 1e-9  # an answer that lies on the edge is inside


@dataclass(frozen=True, slots=True)
class Number:
    """A number with a unit and a tolerance.

    Parameters
    ----------
    answer : str, name of the variable
    title : str, the question in a few words
    unit : str, of the answer, as the prompt says it
    points : float
    expected : formula on the shown readings, SI in and out
    within : float, tolerance in the answer's unit; or
    within_percent : float, tolerance in percent of the right value
    quantity : str, needed where the unit does not tell it: "degF" may be a temperature or a difference
    slips : sequence of Slip; their formulas give SI as well
    if_right, if_close, look_again : str, what is added to the feedback; never the number
    worked : gives the steps with the student's own numbers, shown after the due date
    """

    answer: str
    title: str
    unit: str
    points: float
    expected: Callable[[Any], float]
    within: float | None = None
    within_percent: float | None = None
    quantity: str = ""
    slips: Sequence[Slip] = ()
    if_right: str = ""
    if_close: str = "Was a value rounded, or a table read at the nearest line instead of between two lines?"
    look_again: str = "Go back to the first step and take the steps one by one, with units."
    worked: Callable[[Any], Iterable[str]] | None = None

    def __post_init__(self) -> None:
        """Refuse a question that could not be marked."""
        if (self.within is None) == (self.within_percent is None):
            raise NotUsable(f"tolerance of {self.answer}", self.within, "give either within or within_percent")
        quantity_of(self.unit, self.quantity)

    @property
    def answers(self) -> tuple[str, ...]:
        """The one name."""
        return (self.answer,)

    def mark(self, namespace: Mapping[str, object], readings: Any = None) -> Mark:
        """Right, close, a known slip, or not recognised."""
        written = given(namespace, self.answer)
        number = read_number(self.answer, written)
        if isinstance(number, Unread):
            return unread_mark(self, readings, number, shown(written))
        expected = self.value(readings)
        tolerance = self.tolerance(expected)
        outcome, share, slip, sentence = self._verdict(number, expected, tolerance, readings)
        return finish(self, readings, outcome, share, sentence, shown(written), slip)

    def _verdict(
        self, number: float, expected: float, tolerance: float, readings: Any
    ) -> tuple[str, float, str | None, str]:
        away = abs(number - expected)
        if away <= tolerance * _ROUNDING:
            return "right", 1.0, None, f"Right. {self.if_right}".rstrip()
        slip = self._recognised(number, readings)
        if slip is not None:
            return "slip", slip.credit, slip.id, slip.words
        if away <= _CLOSE * tolerance:
            return "close", 0.0, None, f"Near, but more than {self.tolerance_words} off. {self.if_close}"
        return "unknown", 0.0, None, f"Not recognised. {self.look_again}"

    def _recognised(self, number: float, readings: Any) -> Slip | None:
        """The slip nearest to the answer, if one is near enough."""
        near = []
        for slip, value in self.slip_values(readings):
            band = _SLIP_BAND * self.tolerance(value) if slip.within is None else slip.within
            if abs(number - value) <= band * _ROUNDING:
                near.append((abs(number - value), slip))
        return min(near, key=lambda pair: pair[0])[1] if near else None

    def value(self, readings: Any) -> float:
        """The right value in the answer's unit."""
        return in_unit(self.expected(readings), self.unit, self.quantity, readings.barometer_pa)

    def slip_values(self, readings: Any) -> list[tuple[Slip, float]]:
        """Each slip that can be made on these readings, with the number that whoever makes it would write."""
        values = []
        for slip in self.slips:
            value = slip.value(readings)
            if value is not None:
                unit = unit_of_edition(slip.quantity, readings.units) if slip.quantity else self.unit
                values.append((slip, in_unit(value, unit, slip.quantity or self.quantity, readings.barometer_pa)))
        return values

    def tolerance(self, value: float) -> float:
        """How far from a value an answer may lie, in the answer's unit."""
        return self.within if self.within is not None else abs(value) * (self.within_percent or 0.0) / 100.0

    @property
    def tolerance_words(self) -> str:
        """The tolerance as the prompt says it."""
        return f"{self.within:g} {self.unit}" if self.within is not None else f"{self.within_percent:g} percent"

    def right_answers(self, readings: Any) -> dict[str, object]:
        """The right value, rounded far below the tolerance."""
        value = self.value(readings)
        return {self.answer: self._rounded(value)}

    def slip_answers(self, readings: Any) -> dict[str, dict[str, object]]:
        """For each slip the number that whoever makes it would write."""
        return {slip.id: {self.answer: self._rounded(value)} for slip, value in self.slip_values(readings)}

    def _rounded(self, value: float) -> float:
        tolerance = self.tolerance(value)
        return round(value, 2 - math.floor(math.log10(tolerance))) if tolerance > 0 else value
