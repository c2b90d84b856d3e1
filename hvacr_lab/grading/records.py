"""What is known about graded work: plain frozen records that travel from the grader to ledger, feedback and report."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class QuestionResult:
    """One question of one student.

    Parameters
    ----------
    grade_id : str, nbgrader's id of the graded cell
    title : str, the question in a few words
    points, max_points : float; ``points`` is None while a person has to mark it
    outcome : "right", "close", "slip", "partly", "unknown", "form", "not answered",
        "recorded" (a prediction) or "by hand"
    slip : id of the recognised slip, or None
    sentence : feedback that may be shown at any time; never holds the expected value
    worked : the worked way with the student's own numbers; shown after the due date only
    given : the answer as the student wrote it, shortened
    detail : further plain values, e.g. before/after/truth of a prediction
    """

    grade_id: str
    title: str
    points: float | None
    max_points: float
    outcome: str
    slip: str | None = None
    sentence: str = ""
    worked: str = ""
    given: str = ""
    detail: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class SubmissionResult:
    """One student's graded notebook.

    Parameters
    ----------
    student, lesson : str
    status : "graded", "stopped" (ran too long, exited, flooded; what came before counts) or "unreadable"
    reasons : sentences for student and instructor: what was put back, cut, stopped
    suspicions : sentences for the instructor only: edited checks, a neighbour's numbers
    questions : in the order of the notebook
    seconds : float, wall time of the run
    submitted_at : ISO 8601 text, or "" when unknown
    """

    student: str
    lesson: str
    status: str
    reasons: tuple[str, ...]
    suspicions: tuple[str, ...]
    questions: tuple[QuestionResult, ...]
    seconds: float = 0.0
    submitted_at: str = ""

    @property
    def score(self) -> float:
        """Points given so far; questions that wait for a person count zero."""
        return sum(question.points or 0.0 for question in self.questions)

    @property
    def max_score(self) -> float:
        """Points that can be had."""
        return sum(question.max_points for question in self.questions)

    @property
    def waits_for_a_person(self) -> bool:
        """True while some question has no points yet."""
        return any(question.points is None for question in self.questions)

    def to_json(self) -> str:
        """Write the record as one line of JSON, for the ledger."""
        return json.dumps(dataclasses.asdict(self), ensure_ascii=False, allow_nan=False)

    @classmethod
    def from_json(cls, text: str) -> SubmissionResult:
        """Read what :meth:`to_json` wrote."""
        raw = json.loads(text)
        questions = tuple(QuestionResult(**question) for question in raw.pop("questions"))
        for name in ("reasons", "suspicions"):
            raw[name] = tuple(raw[name])
        return cls(questions=questions, **raw)


@dataclass(frozen=True, slots=True)
class Student:
    """A line of the roster."""

    id: str
    first_name: str
    last_name: str

    @property
    def name(self) -> str:
        """First and last name."""
        return f"{self.first_name} {self.last_name}".strip() or self.id


@dataclass(frozen=True, slots=True)
class ClassRecord:
    """Everything the class report needs about one lesson.

    Parameters
    ----------
    lesson : str, folder name
    title : str, the lesson's title in words
    roster : all students of the class, whether they handed in or not
    results : graded submissions; manual points from the gradebook are already in them
    notes : sentences about the run as a whole, for the instructor
    """

    lesson: str
    title: str
    roster: tuple[Student, ...]
    results: tuple[SubmissionResult, ...]
    notes: tuple[str, ...] = ()

    @property
    def not_submitted(self) -> tuple[Student, ...]:
        """Students of the roster without a submission."""
        there = {result.student for result in self.results}
        return tuple(student for student in self.roster if student.id not in there)
