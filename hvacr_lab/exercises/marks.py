"""What every question shares: the mark it gives, the slips it recognises, the protocol it meets."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from hvacr_lab.errors import LabError, NotUsable
from hvacr_lab.exercises.comparison import Comparison
from hvacr_lab.exercises.form import Unread
from hvacr_lab.exercises.sheet import Shown
from hvacr_lab.exercises.slips import known_slip

Readings = Shown | Comparison | None


@dataclass(frozen=True, slots=True)
class Mark:
    """What a question says to an answer.

    Parameters
    ----------
    question : the question, with what it asks for
    readings : what it was asked on
    points, max_points : float
    outcome : "right", "close", "slip", "partly", "unknown", "form", "not answered" or "recorded"
    slip : id of the recognised slip, or None
    sentence : feedback that may be shown at any time
    worked : the worked way with the student's own numbers, for after the due date
    given : the answer as the student wrote it, shortened
    detail : further plain values; of a prediction "before", "after" and "truth", each name -> word
    """

    question: Question
    readings: Readings
    points: float
    max_points: float
    outcome: str
    slip: str | None = None
    sentence: str = ""
    worked: str = ""
    given: str = ""
    detail: Mapping[str, Any] = field(default_factory=dict)

    def __str__(self) -> str:
        """The points alone: stock nbgrader reads them from what the test cell shows."""
        return f"{self.points:g}"

    def _repr_pretty_(self, printer: Any, cycle: bool) -> None:
        printer.text(str(self))


class Question(Protocol):
    """What every kind of question offers to grader, demo class and proofs."""

    @property
    def title(self) -> str:
        """The question in a few words."""

    @property
    def points(self) -> float:
        """Points for the right answer."""

    @property
    def answers(self) -> tuple[str, ...]:
        """Names of the variables that hold the answer."""

    def mark(self, namespace: Mapping[str, object], readings: Any = None) -> Mark:
        """Mark the answer found under its names."""

    def right_answers(self, readings: Any) -> dict[str, object]:
        """A right value for each name."""

    def slip_answers(self, readings: Any) -> dict[str, dict[str, object]]:
        """For each slip, the values that whoever makes it would write."""


@dataclass(frozen=True, slots=True)
class Slip:
    """A known wrong way to an answer.

    Parameters
    ----------
    id : str, from the library of slips, or an own one with a sentence
    formula : what comes out of it, on the same readings; None where it makes no sense on them
    credit : float, share of the points that it earns all the same
    quantity : str, what was written instead where it is another quantity than the one asked for: "temperature"
    within : float, how near an answer must be to be recognised; half the question's tolerance where it is not given
    when : says on which readings the slip can be made at all
    sentence : str, in place of the library's
    """

    id: str
    formula: Callable[[Any], Any]
    credit: float = 0.0
    quantity: str = ""
    within: float | None = None
    when: Callable[[Any], bool] | None = None
    sentence: str = ""

    def __post_init__(self) -> None:
        """Refuse a slip that nobody could explain to the student."""
        if not self.sentence:
            known_slip(self.id)
        if not 0.0 <= self.credit < 1.0:
            raise NotUsable(f"credit of slip {self.id}", self.credit, "it is a share of the points, 0 ... below 1")

    @property
    def words(self) -> str:
        """What the student is told."""
        return self.sentence or known_slip(self.id).sentence

    def value(self, readings: Any) -> Any:
        """What comes out of the slip on these readings, None where it cannot be made."""
        try:
            if self.when is not None and not self.when(readings):
                return None
            return self.formula(readings)
        except (LabError, ZeroDivisionError):
            return None


def finish(
    question: Question,
    readings: Any,
    outcome: str,
    share: float,
    sentence: str,
    text: str,
    slip: str | None = None,
    detail: Mapping[str, Any] | None = None,
) -> Mark:
    """Make the mark of an answer.

    Parameters
    ----------
    question : Question
    readings : what it was asked on
    outcome : str
    share : float, of the points
    sentence : str, feedback
    text : str, the answer as it was written
    slip : str or None, id
    detail : further plain values

    Returns
    -------
    Mark
    """
    worked = getattr(question, "worked", None)
    steps = "\n".join(f"{number}. {step}" for number, step in enumerate(worked(readings), 1)) if worked else ""
    points = round(share * question.points, 2)
    return Mark(question, readings, points, question.points, outcome, slip, sentence, steps, text, detail or {})


def unread_mark(question: Question, readings: Any, unread: Unread, text: str) -> Mark:
    """Make the mark of an answer that cannot be read, or is not there.

    Parameters
    ----------
    question : Question
    readings : what it was asked on
    unread : Unread
    text : str, the answer as it was written

    Returns
    -------
    Mark
    """
    return finish(question, readings, unread.outcome, 0.0, unread.sentence, text if unread.outcome == "form" else "")


def most_telling(words: Iterable[object]) -> Unread:
    """Choose the complaint that helps most: one about form before "not answered".

    Parameters
    ----------
    words : what was read; at least one is Unread

    Returns
    -------
    Unread
    """
    unread = [word for word in words if isinstance(word, Unread)]
    return next((word for word in unread if word.outcome == "form"), unread[0])
