"""What a class report is made of: frozen figures and sentences, nothing of how they are shown."""

from __future__ import annotations

from dataclasses import dataclass

from hvacr_lab.grading.records import QuestionResult, Student


@dataclass(frozen=True, slots=True)
class GradedQuestion:
    """A question that carries points, with its place in the lesson.

    Parameters
    ----------
    number : int, from 1 in the order of the notebook
    grade_id : str
    title : str
    max_points : float
    """

    number: int
    grade_id: str
    title: str
    max_points: float


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One student's line of the report.

    Parameters
    ----------
    student : Student
    name : str, as the report prints it; with the id where two share a name
    state : "graded", "blank", "stopped", "unreadable" or "not handed in"
    submitted_at : str, ISO 8601 or ""
    points, max_points : float; points given so far
    waiting : tuple of GradedQuestion, those that a person has still to mark
    answers : tuple of QuestionResult or None, in the order of the graded questions
    predictions : tuple of QuestionResult
    reasons, suspicions : tuple of str
    on_roster : bool
    """

    student: Student
    name: str
    state: str
    submitted_at: str
    points: float
    max_points: float
    waiting: tuple[GradedQuestion, ...]
    answers: tuple[QuestionResult | None, ...]
    predictions: tuple[QuestionResult, ...]
    reasons: tuple[str, ...]
    suspicions: tuple[str, ...]
    on_roster: bool

    @property
    def handed_in(self) -> bool:
        """True when there is a file, whatever is in it."""
        return self.state != "not handed in"

    @property
    def tells(self) -> bool:
        """True when the figures of the questions count this sheet: it could be read and something was answered."""
        return self.state in {"graded", "stopped"}


@dataclass(frozen=True, slots=True)
class QuestionFigures:
    """One question over the whole class.

    Parameters
    ----------
    question : GradedQuestion
    sheets : int, sheets that hold the question
    share_of_points : float from 0 to 1, or None while nobody's answer is marked
    discrimination : float from -1 to 1, or None
    why_no_discrimination : str, a sentence where there is none
    outcomes : tuple of (outcome or "waiting", how many), most frequent first
    slips : tuple of (slip id, how many), most frequent first
    """

    question: GradedQuestion
    sheets: int
    share_of_points: float | None
    discrimination: float | None
    why_no_discrimination: str
    outcomes: tuple[tuple[str, int], ...]
    slips: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class SlipFigures:
    """One slip over the whole class.

    Parameters
    ----------
    slip : str, stable id
    label : str, in a few words
    students : tuple of str, names in the order of the class list
    answers : int, how often in all
    questions : tuple of GradedQuestion where it happened
    """

    slip: str
    label: str
    students: tuple[str, ...]
    answers: int
    questions: tuple[GradedQuestion, ...]


@dataclass(frozen=True, slots=True)
class PredictionFigures:
    """One prediction over the whole class.

    Parameters
    ----------
    title : str
    seen : str, what really happened; "" when the records do not say
    predicted : int, students who said something before the change
    right_before : int, of those
    answered_after : int, students who said something after it
    right_after : int, of those
    changed_to_right, changed_away : int, of those who said something both times
    still_other : tuple of str, names of those whose last word differs from what was seen
    """

    title: str
    seen: str
    predicted: int
    right_before: int
    answered_after: int
    right_after: int
    changed_to_right: int
    changed_away: int
    still_other: tuple[str, ...]

    @property
    def share_before(self) -> float | None:
        """Share of right predictions, None when nobody predicted."""
        return self.right_before / self.predicted if self.predicted else None

    @property
    def share_after(self) -> float | None:
        """Share of right answers after the change was seen, None when nobody answered."""
        return self.right_after / self.answered_after if self.answered_after else None


@dataclass(frozen=True, slots=True)
class TeachAgain:
    """One idea that the class should meet again.

    Parameters
    ----------
    heading : str, the idea as a question or in a few words
    number : int, students concerned
    of : int, students whose sheets tell something
    sentence : str, who did what, and what it is worth
    ask : str, what to ask the class
    students : tuple of str, names
    """

    heading: str
    number: int
    of: int
    sentence: str
    ask: str
    students: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ClassReport:
    """Everything that the class report says about one lesson.

    Parameters
    ----------
    lesson : str, folder name
    title : str, the lesson's title in words
    headline : str, one to three sentences
    max_points : float, points that can be had
    lines : tuple of SheetLine, by last name; whoever is not on the roster comes last
    teach_again : tuple of TeachAgain, most students first
    questions : tuple of QuestionFigures, in the order of the notebook
    slips : tuple of SlipFigures, most students first
    predictions : tuple of PredictionFigures, in the order of the notebook
    median_points : float or None, over the sheets that could be read
    distribution : tuple of (low, high, how many) in shares of the points, ten equal steps; the last one holds 100 %
    notes : tuple of str, about the grading run as a whole
    """

    lesson: str
    title: str
    headline: str
    max_points: float
    lines: tuple[SheetLine, ...]
    teach_again: tuple[TeachAgain, ...]
    questions: tuple[QuestionFigures, ...]
    slips: tuple[SlipFigures, ...]
    predictions: tuple[PredictionFigures, ...]
    median_points: float | None
    distribution: tuple[tuple[float, float, int], ...]
    notes: tuple[str, ...]

    @property
    def handed_in(self) -> tuple[SheetLine, ...]:
        """Lines with a file, whatever is in it."""
        return tuple(line for line in self.lines if line.handed_in)

    @property
    def scored(self) -> tuple[SheetLine, ...]:
        """Lines whose file could be read: blank ones too."""
        return tuple(line for line in self.handed_in if line.state != "unreadable")

    @property
    def not_handed_in(self) -> tuple[str, ...]:
        """Names of those on the roster without a file."""
        return tuple(line.name for line in self.lines if not line.handed_in)

    @property
    def waiting(self) -> tuple[SheetLine, ...]:
        """Lines with a question that a person has still to mark."""
        return tuple(line for line in self.lines if line.waiting)
