"""The 24 invented students of the demo class and what each of them answers.

The answers are drawn from the keys of the lesson: right ones, each known slip at least once, others, none. Everything
is reckoned from the ids, so that the class is the same every time.
"""

from __future__ import annotations

import csv
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from importlib import resources
from typing import Any

from hvacr_lab.grading.keys import Asked
from hvacr_lab.grading.records import Student

Answers = dict[str, object]  # name of the variable -> what the student writes
_HABIT, _LUCK = 0.8, 0.7  # how often a habit shows; how often somebody who does not know makes a known slip


@dataclass(frozen=True, slots=True)
class Member:
    """One invented student.

    Parameters
    ----------
    student : Student
    skill : float, 0 ... 1, how often an answer is right
    habit : str, id of a slip that this student makes wherever it can be made, or ""
    part : str, what is special about the hand-in: "", "blank", "text", "edited check", "endless loop", "absent"
        or "neighbour ID"
    """

    student: Student
    skill: float
    habit: str
    part: str


@dataclass(slots=True)
class _Sheet:
    """The answers of one student while they are being chosen; ``slips`` says which were made where."""

    answers: dict[str, Answers] = field(default_factory=dict)
    slips: dict[str, str] = field(default_factory=dict)


def read_cast() -> tuple[Member, ...]:
    """The class list of the demo.

    Returns
    -------
    tuple of Member
    """
    text = (resources.files("hvacr_lab.classroom") / "demo_class" / "cast.csv").read_text(encoding="utf-8")
    return tuple(
        Member(Student(row["id"], row["first name"], row["last name"]), float(row["skill"]), row["habit"], row["part"])
        for row in csv.DictReader(text.splitlines())
    )


def class_answers(cast: tuple[Member, ...], asked: Callable[[str], Mapping[str, Asked]]) -> dict[str, Answers]:
    """What everybody who hands in writes.

    Parameters
    ----------
    cast : tuple of Member
    asked : gives the questions of a student, grade_id -> Asked

    Returns
    -------
    dict, id -> name of the variable -> value; nothing for a blank sheet
    """
    there = [member for member in cast if member.part != "absent"]
    sheets = {member.student.id: _chosen(member, asked(member.student.id)) for member in there}
    _every_slip_once(there, sheets, asked)
    written = {student: _written(sheet, asked(student)) for student, sheet in sheets.items()}
    for member in there:
        if member.part.startswith("neighbour "):
            written[member.student.id] = dict(written[member.part.split()[1]])
        if member.part == "text":
            written[member.student.id] = _as_text(written[member.student.id])
    return written


def _chosen(member: Member, asked: Mapping[str, Asked]) -> _Sheet:
    sheet = _Sheet()
    if member.part == "blank":
        return sheet
    for grade_id, entry in asked.items():
        dice = random.Random(f"{member.student.id} {grade_id}")
        kind = _predicted if hasattr(entry.question, "quantities") else _answered
        answers, slip = kind(member, entry, dice)
        sheet.answers[grade_id] = answers
        if slip:
            sheet.slips[grade_id] = slip
    return sheet


def _answered(member: Member, entry: Asked, dice: random.Random) -> tuple[Answers, str]:
    """Habit first, then skill, then luck."""
    slips = entry.question.slip_answers(entry.readings)
    if member.habit in slips and dice.random() < _HABIT:
        return slips[member.habit], member.habit
    if dice.random() < member.skill:
        return entry.question.right_answers(entry.readings), ""
    if slips and dice.random() < _LUCK:
        slip = dice.choice(sorted(slips))
        return slips[slip], slip
    if dice.random() < 0.6:
        return _beside(entry, dice), ""
    return {}, ""


def _beside(entry: Asked, dice: random.Random) -> Answers:
    """Something plausible that is neither right nor a known slip."""
    right = entry.question.right_answers(entry.readings)
    options = getattr(entry.question, "options", ())
    return {
        name: round(value * dice.uniform(1.15, 1.6) + 0.7, 1)
        if isinstance(value, float)
        else dice.choice([word for word in options if word != value] or [value])
        for name, value in right.items()
    }


def _predicted(member: Member, entry: Asked, dice: random.Random) -> tuple[Answers, str]:
    """A guess before, mostly what was seen after."""
    words = {}
    for name, truth in entry.question.right_answers(entry.readings).items():
        sure = 0.25 + 0.4 * member.skill if name.startswith("before_") else 0.55 + 0.45 * member.skill
        words[name] = truth if dice.random() < sure else dice.choice(_others(entry, name, truth))
    return words, ""


def _others(entry: Asked, name: str, truth: object) -> list[str]:
    quantities: Mapping[str, str] = getattr(entry.question, "quantities", {})
    return [word for word in entry.readings.words(quantities[name.split("_", 1)[1]]) if word != truth]


def _every_slip_once(
    there: list[Member], sheets: Mapping[str, _Sheet], asked: Callable[[str], Mapping[str, Asked]]
) -> None:
    """Slips that nobody made yet go to ordinary students, one each as far as they go round."""
    ordinary = [member.student.id for member in there if not member.part and member.skill < 1]
    given = dict.fromkeys(ordinary, 0)
    made = {(grade_id, slip) for sheet in sheets.values() for grade_id, slip in sheet.slips.items()}
    possible: dict[tuple[str, str], dict[str, Answers]] = {}
    for student in ordinary:
        for grade_id, entry in asked(student).items():
            for slip, answers in entry.question.slip_answers(entry.readings).items():
                possible.setdefault((grade_id, slip), {})[student] = answers
    for (grade_id, slip), takers in possible.items():
        free = [student for student in takers if grade_id not in sheets[student].slips]
        if (grade_id, slip) not in made and free:
            student = min(free, key=lambda one: given[one])
            given[student] += 1
            sheets[student].answers[grade_id] = takers[student]
            sheets[student].slips[grade_id] = slip


def _written(sheet: _Sheet, asked: Mapping[str, Asked]) -> Answers:
    """What stands on the sheet in the end, all questions together."""
    return {
        name: value
        for grade_id, answers in sheet.answers.items()
        for name, value in _as_students_round(asked[grade_id], answers).items()
    }


def _as_students_round(entry: Asked, answers: Answers) -> Answers:
    """As few decimals as say the same."""
    meant = entry.question.mark(answers, entry.readings)
    for decimals in (1, 2, 3):
        rounded = {
            name: round(value, decimals) if isinstance(value, float) else value for name, value in answers.items()
        }
        read = entry.question.mark(rounded, entry.readings)
        if (read.outcome, read.slip) == (meant.outcome, meant.slip):
            return rounded
    return answers


def _as_text(values: Mapping[str, Any]) -> Answers:
    """Numbers as text, with a comma and a unit, as on paper."""
    return {
        name: f"{value:.1f} K".replace(".", ",") if isinstance(value, float) else value
        for name, value in values.items()
    }
