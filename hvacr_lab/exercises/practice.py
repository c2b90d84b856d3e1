"""Questions that are not graded: warm-ups and practice, answered at once, any number of times.

They live here, not in the lesson, so that their answers do not stand beside them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from hvacr_lab.cycle import superheat
from hvacr_lab.errors import UnknownName
from hvacr_lab.exercises.instruments import in_unit
from hvacr_lab.exercises.marks import Question, Slip
from hvacr_lab.exercises.numeric import Number
from hvacr_lab.exercises.sheet import Sheet, Shown
from hvacr_lab.exercises.words import Choice
from hvacr_lab.exercises.worked import superheat_steps


@dataclass(frozen=True, slots=True)
class Feedback:
    """Sentences for the student; they show themselves.

    Parameters
    ----------
    sentences : tuple of str
    """

    sentences: tuple[str, ...]

    def __str__(self) -> str:
        """One sentence a line."""
        return "\n".join(self.sentences)

    def _repr_pretty_(self, printer: Any, cycle: bool) -> None:
        printer.text(str(self))


def check_warm_up(namespace: Mapping[str, object], sheet: Sheet) -> Feedback:
    """Say at once how the warm-up of a lesson went.

    Parameters
    ----------
    namespace : names and values, as ``globals()``
    sheet : Sheet of the lesson

    Returns
    -------
    Feedback

    Raises
    ------
    UnknownName : the lesson has no warm-up
    """
    if sheet.lesson not in WARM_UPS:
        raise UnknownName("lesson with a warm-up", sheet.lesson, WARM_UPS)
    marks = [question.mark(namespace, sheet) for question in WARM_UPS[sheet.lesson]]
    return Feedback(tuple(f"{number}. {mark.sentence}" for number, mark in enumerate(marks, 1)))


def check_practice(namespace: Mapping[str, object], kind: str, readings: Shown, *, answer: str, unit: str) -> Feedback:
    """Say at once how a practice question went; a right answer also shows the worked way.

    Parameters
    ----------
    namespace : names and values, as ``globals()``
    kind : str, "superheat"
    readings : Shown, of `Sheet.practice`
    answer : str, name of the answer
    unit : str, of the answer

    Returns
    -------
    Feedback

    Raises
    ------
    UnknownName : there is no such practice
    """
    if kind not in PRACTICE:
        raise UnknownName("practice", kind, PRACTICE)
    mark = PRACTICE[kind](answer, unit).mark(namespace, readings)
    return Feedback((mark.sentence, mark.worked) if mark.outcome == "right" else (mark.sentence,))


WARM_UPS: dict[str, tuple[Question, ...]] = {
    "02-refrigerant-states": (
        Choice(
            "warm_up_1",
            title="Gauge and table",
            points=0,
            options=("a", "b", "c"),
            expected=lambda sheet: "b",
            if_right="The table counts from empty space, the gauge from the air around it.",
            look_again="A gauge that lies open shows zero. Is there no pressure around it?",
        ),
        Choice(
            "warm_up_2",
            title="Half a cylinder",
            points=0,
            options=("a", "b", "c"),
            expected=lambda sheet: "a",
            if_right="While there is liquid, the temperature alone sets the pressure. Weigh it to know how full it is.",
            look_again="There is still liquid in it, at the same temperature. What sets its pressure?",
        ),
    ),
}
"""Lesson -> the quick questions on the lesson before."""


def _superheat(answer: str, unit: str) -> Number:
    quantity = "temperature difference"
    return Number(
        answer,
        title="Superheat at the evaporator outlet",
        unit=unit,
        quantity=quantity,
        points=0,
        expected=lambda r: superheat(r.refrigerant, *r.at("evaporator_outlet")),
        within=in_unit(0.5, unit, quantity, None),
        slips=(
            Slip("gauge-as-absolute", lambda r: r.refrigerant.superheat(*r.gauge_at("evaporator_outlet"))),
            Slip("sign", lambda r: -r.refrigerant.superheat(*r.at("evaporator_outlet"))),
            Slip("saturation-not-subtracted", lambda r: r.evaporator_outlet_pipe_k, quantity="temperature"),
        ),
        look_again="Go back to step 1: absolute pressure. Then the boiling temperature. Then the difference.",
        worked=lambda r: superheat_steps(r, "evaporator_outlet"),
    )


PRACTICE: dict[str, Callable[[str, str], Question]] = {"superheat": _superheat}
"""Kind of practice -> the question, made for the answer's name and unit."""
