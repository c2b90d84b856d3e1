"""The author's check: what is wrong with a question, in plain words, found by answering it on many sheets."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from hvacr_lab.exercises.marks import Mark, Question

_RECOGNISED = 0.99  # share of sheets on which a slip must be named as itself; own limit
_RARE = 0.25  # a slip that can be made on fewer sheets than this is hardly worth its line; own limit
_NOT_OUR_VOICE = ("!", "incorrect", "assertionerror", "error:", "wrong answer")


@dataclass(frozen=True, slots=True)
class SlipRecord:
    """How a slip fared.

    Parameters
    ----------
    made : int, sheets on which it can be made
    named : int, sheets on which it was recognised as itself
    taken_for : what it was taken for on the other sheets -> how often; "right" where it collides with the right answer
    """

    made: int
    named: int
    taken_for: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class QuestionCheck:
    """What the author's check found.

    Parameters
    ----------
    title : str, of the question
    sheets : int, how many were tried
    problems : sentences for the author; none when all is well
    slips : id -> SlipRecord
    """

    title: str
    sheets: int
    problems: tuple[str, ...]
    slips: Mapping[str, SlipRecord]

    def __str__(self) -> str:
        """One line a problem."""
        found = self.problems or (f"nothing wrong on {self.sheets} sheets",)
        return "\n".join(f"{self.title}: {problem}" for problem in found)


def check_question(question: Question, sheets: Sequence[Any]) -> QuestionCheck:
    """Answer a question on many sheets: rightly, with each of its slips, and not at all.

    Parameters
    ----------
    question : Question
    sheets : readings of many students

    Returns
    -------
    QuestionCheck
    """
    try:
        records = _slip_records(question, sheets)
        problems = [
            *_blank_problems(question, sheets),
            *_right_problems(question, sheets),
            *_slip_problems(records, len(sheets)),
            *_voice_problems(question, sheets[:1]),
        ]
    except Exception as problem:  # an author's formula may stop with anything; the author must hear with what
        kind = type(problem).__name__
        return QuestionCheck(question.title, len(sheets), (f"a formula stops with {kind}: {problem}",), {})
    return QuestionCheck(question.title, len(sheets), tuple(problems), records)


def _blank_problems(question: Question, sheets: Sequence[Any]) -> Iterator[str]:
    bad = [mark for mark in (question.mark({}, readings) for readings in sheets) if mark.outcome != "not answered"]
    if bad:
        yield f'an untouched sheet is "{bad[0].outcome}" instead of "not answered" ({_share(bad, sheets)})'


def _right_problems(question: Question, sheets: Sequence[Any]) -> Iterator[str]:
    marks = [question.mark(question.right_answers(readings), readings) for readings in sheets]
    short = [mark for mark in marks if mark.points < mark.max_points]
    if short:
        worst = short[0]
        yield (
            f"the right answer {worst.given} gets {worst.points:g} of {worst.max_points:g} points "
            f"({_share(short, sheets)})"
        )


def _slip_records(question: Question, sheets: Sequence[Any]) -> dict[str, SlipRecord]:
    outcomes: dict[str, Counter[str]] = {}
    for readings in sheets:
        for slip, answers in question.slip_answers(readings).items():
            mark = question.mark(answers, readings)
            outcomes.setdefault(slip, Counter())[mark.slip or mark.outcome] += 1
    never = {slip.id for slip in getattr(question, "slips", ()) if slip.when is None} - outcomes.keys()
    return {
        slip: SlipRecord(
            count.total(), count[slip], {other: number for other, number in count.items() if other != slip}
        )
        for slip, count in [*outcomes.items(), *((slip, Counter[str]()) for slip in sorted(never))]
    }


def _slip_problems(records: Mapping[str, SlipRecord], sheets: int) -> Iterator[str]:
    for slip, record in records.items():
        if record.taken_for.get("right"):
            remedy = "draw other numbers or take a smaller tolerance"
            yield f"slip {slip} counts as right on {record.taken_for['right']} of {record.made} sheets: {remedy}"
        if record.named < _RECOGNISED * record.made:
            others = ", ".join(f"{other} {number} times" for other, number in record.taken_for.items())
            yield f"slip {slip} is recognised on {record.named} of {record.made} sheets only; else taken for {others}"
        if record.made < _RARE * sheets:
            yield f"slip {slip} can be made on {record.made} of {sheets} sheets only"


def _voice_problems(question: Question, sheets: Iterable[Any]) -> Iterator[str]:
    for readings in sheets:
        answers = [question.right_answers(readings), *question.slip_answers(readings).values()]
        for mark in (question.mark(answer, readings) for answer in answers):
            yield from _sentence_problems(mark)


def _sentence_problems(mark: Mark) -> Iterator[str]:
    for word in _NOT_OUR_VOICE:
        if word in mark.sentence.casefold():
            yield f'the feedback "{mark.sentence}" says "{word}"'
    right = mark.question.right_answers(mark.readings).values()
    numbers = {f"{value:.{digits}f}" for value in right if isinstance(value, float) for digits in (1, 2)}
    told = [number for number in numbers if number in mark.sentence.split()]
    if told:
        yield f'the feedback "{mark.sentence}" tells the right answer'


def _share(some: Sequence[object], all_of_them: Sequence[object]) -> str:
    return f"{len(some)} of {len(all_of_them)} sheets"
