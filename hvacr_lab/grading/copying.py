"""Answers that miss a student's own numbers but fit a classmate's: evidence over several questions, never a verdict.

One wrong answer alone proves nothing: numbers are drawn from a grid, so with thirty students nearly every wrong answer
fits somebody. Only when several answers fit the *same* classmate, and so many would hardly do so by chance, is it said.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from hvacr_lab.grading.keys import AnswerKey

FEWEST_QUESTIONS = 2
_CHANCE_LIMIT = 0.05  # classmates expected to fit as many answers by chance; own value
_LOOK_CLOSER = 0.1  # a classmate's right value is tried when it is within this share of the answer


@dataclass(frozen=True, slots=True)
class Neighbour:
    """A classmate whose numbers fit answers that miss the student's own.

    Parameters
    ----------
    classmate : str, id
    questions : grade_ids that fit, in the order of the notebook
    asked : int, how many wrong numbers there were in all
    by_chance : float, how many classmates would fit as many by chance
    """

    classmate: str
    questions: tuple[str, ...]
    asked: int
    by_chance: float

    @property
    def sentence(self) -> str:
        """What the instructor is told."""
        share = f"{len(self.questions)} of {self.asked} wrong numbers"
        return (
            f"{share} are right for the readings of {self.classmate} ({', '.join(self.questions)}). "
            "Taken together this is evidence, not proof: ask before you judge."
        )


def find_neighbour(
    key: AnswerKey,
    student: str,
    answers: Mapping[str, Mapping[str, object]],
    wrong: Iterable[str],
    classmates: Sequence[str],
) -> Neighbour | None:
    """Look for the one classmate whose numbers fit several wrong answers.

    Parameters
    ----------
    key : AnswerKey
    student : str, id
    answers : grade_id -> name -> plain value
    wrong : grade_ids that were neither right nor a known slip
    classmates : ids; the student's own is passed over

    Returns
    -------
    Neighbour, or None when there is no evidence
    """
    others = [classmate for classmate in classmates if classmate != student]
    numeric = [name for name in wrong if _has_number(answers.get(name, {}))]
    if len(numeric) < FEWEST_QUESTIONS or len(others) < FEWEST_QUESTIONS:
        return None
    fitting = {name: _fitting(key, name, answers[name], student, others) for name in numeric}
    candidates = [_candidate(classmate, fitting, len(others)) for classmate in others]
    best = min(candidates, key=lambda candidate: candidate.by_chance)
    enough = len(best.questions) >= FEWEST_QUESTIONS and best.by_chance < _CHANCE_LIMIT
    return best if enough else None


def _has_number(values: Mapping[str, object]) -> bool:
    return any(isinstance(value, (int, float)) and not isinstance(value, bool) for value in values.values())


def _fitting(
    key: AnswerKey, name: str, values: Mapping[str, object], student: str, others: Sequence[str]
) -> frozenset[str]:
    """Classmates for whose readings this answer would be right; those with the student's own readings prove nothing."""
    own = key.asked(student)[name].question.right_answers(key.asked(student)[name].readings)
    return frozenset(other for other in others if _fits(key, name, values, own, other))


def _fits(key: AnswerKey, name: str, values: Mapping[str, object], own: Mapping[str, object], other: str) -> bool:
    try:
        asked = key.asked(other)[name]
        theirs = asked.question.right_answers(asked.readings)
        near = all(_near(values.get(answer), value) for answer, value in theirs.items())
        return near and theirs != own and asked.question.mark(values, asked.readings).outcome == "right"
    except Exception:  # a classmate whose numbers the key cannot do proves nothing
        return False


def _near(given: object, right: object) -> bool:
    """Cheap look before the question itself is asked."""
    if isinstance(given, (int, float)) and isinstance(right, (int, float)):
        return abs(given - right) <= _LOOK_CLOSER * abs(right) + 1.0
    return given == right


def _candidate(classmate: str, fitting: Mapping[str, frozenset[str]], others: int) -> Neighbour:
    """How much evidence there is for one classmate, as the number of classmates who would fit as well by chance."""
    questions = tuple(name for name, fits in fitting.items() if classmate in fits)
    shares = [len(fitting[name]) / others for name in questions]
    by_chance = others * math.comb(len(fitting), len(questions)) * math.prod(shares)
    return Neighbour(classmate, questions, len(fitting), by_chance)
