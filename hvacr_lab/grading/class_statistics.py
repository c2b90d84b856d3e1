"""The numbers of the class report: counts, shares and correlations over one lesson's sheets."""

from __future__ import annotations

import math
import unicodedata
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from hvacr_lab.grading.records import ClassRecord, QuestionResult, Student, SubmissionResult
from hvacr_lab.grading.report_data import (
    GradedQuestion,
    PredictionFigures,
    QuestionFigures,
    SheetLine,
    SlipFigures,
)
from hvacr_lab.grading.wording import question_numbers

# with fewer, one student more or less turns the sign (own choice; the standard error of r is about 1/sqrt(n - 1))
ENOUGH_FOR_DISCRIMINATION: Final = 10
STEPS: Final = 10
_SILENT: Final = frozenset({"not answered", "recorded"})


def graded_questions(results: Iterable[SubmissionResult]) -> tuple[GradedQuestion, ...]:
    """The questions that carry points, each once, numbered as in the notebook.

    Parameters
    ----------
    results : iterable of SubmissionResult; the fullest one tells which there are

    Returns
    -------
    tuple of GradedQuestion
    """
    found: dict[str, QuestionResult] = {}
    for result in sorted(results, key=lambda result: -len(result.questions)):
        for question in result.questions:
            if question.max_points > 0:
                found.setdefault(question.grade_id, question)
    return tuple(
        GradedQuestion(number, name, found[name].title or name, found[name].max_points)
        for name, number in question_numbers(list(found)).items()
    )


def sheet_lines(record: ClassRecord, questions: Sequence[GradedQuestion]) -> tuple[SheetLine, ...]:
    """One line for each student of the roster and for each hand-in from outside it, by last name.

    Parameters
    ----------
    record : ClassRecord
    questions : sequence of GradedQuestion

    Returns
    -------
    tuple of SheetLine; whoever is not on the roster comes last
    """
    results = {result.student: result for result in record.results}
    listed = {student.id: student for student in record.roster}
    strangers = [Student(name, "", "") for name in results if name not in listed]
    everybody = sorted(listed.values(), key=_by_last_name) + sorted(strangers, key=_by_last_name)
    twice = {name for name, number in Counter(student.name for student in everybody).items() if number > 1}
    return tuple(
        _line(
            student,
            f"{student.name} ({student.id})" if student.name in twice else student.name,
            results.get(student.id),
            questions,
            student.id in listed,
        )
        for student in everybody
    )


def _by_last_name(student: Student) -> tuple[str, ...]:
    """Ångström stands with A, not after Z."""

    def plain(text: str) -> str:
        apart = unicodedata.normalize("NFKD", text.casefold())
        return "".join(letter for letter in apart if not unicodedata.combining(letter))

    return plain(student.last_name), plain(student.first_name), plain(student.id), student.id


def _line(
    student: Student,
    name: str,
    result: SubmissionResult | None,
    questions: Sequence[GradedQuestion],
    on_roster: bool,
) -> SheetLine:
    answers = {question.grade_id: question for question in result.questions} if result else {}
    waits = {grade_id for grade_id, answer in answers.items() if answer.points is None}
    return SheetLine(
        student=student,
        name=name,
        state=_state(result),
        submitted_at=result.submitted_at if result else "",
        points=result.score if result else 0.0,
        max_points=sum(question.max_points for question in questions),
        waiting=tuple(question for question in questions if question.grade_id in waits),
        answers=tuple(answers.get(question.grade_id) for question in questions),
        predictions=tuple(answer for answer in answers.values() if answer.outcome == "recorded"),
        reasons=result.reasons if result else (),
        suspicions=result.suspicions if result else (),
        on_roster=on_roster,
    )


def _state(result: SubmissionResult | None) -> str:
    if result is None:
        return "not handed in"
    if result.status == "graded" and not any(_says_something(question) for question in result.questions):
        return "blank"
    return result.status


def _says_something(question: QuestionResult) -> bool:
    if question.outcome == "by hand":
        return bool(question.given.strip()) or bool(question.points)
    return question.outcome not in _SILENT


def question_figures(lines: Sequence[SheetLine], questions: Sequence[GradedQuestion]) -> tuple[QuestionFigures, ...]:
    """Difficulty, discrimination and what happened, for each question.

    Blank and unreadable sheets are left out: they tell nothing about a question.

    Parameters
    ----------
    lines : sequence of SheetLine
    questions : sequence of GradedQuestion

    Returns
    -------
    tuple of QuestionFigures, in the order of the questions
    """
    rows = [line.answers for line in lines if line.tells]
    return tuple(_figures(rows, place, question) for place, question in enumerate(questions))


def _figures(rows: Sequence[Sequence[QuestionResult | None]], place: int, question: GradedQuestion) -> QuestionFigures:
    answers = [row[place] for row in rows]
    there = [answer for answer in answers if answer is not None]
    marked = [answer.points for answer in there if answer.points is not None]
    value, why = discrimination([[answer.points if answer else None for answer in row] for row in rows], place)
    return QuestionFigures(
        question=question,
        sheets=len(there),
        share_of_points=share(sum(marked), question.max_points * len(marked)) if marked else None,
        discrimination=value,
        why_no_discrimination=why,
        outcomes=_most_frequent("waiting" if answer.points is None else answer.outcome for answer in there),
        slips=_most_frequent(answer.slip for answer in there if answer.slip),
    )


def share(part: float, whole: float) -> float:
    """Part of a whole, kept within 0 and 1: a teacher may give more points by hand than there are.

    Parameters
    ----------
    part, whole : float

    Returns
    -------
    float from 0 to 1; 0 when there is no whole

    Examples
    --------
    >>> share(3, 4), share(5, 4), share(0, 0)
    (0.75, 1.0, 0.0)
    """
    return min(1.0, max(0.0, part / whole)) if whole > 0 else 0.0


def _most_frequent(names: Iterable[str]) -> tuple[tuple[str, int], ...]:
    return tuple(sorted(Counter(names).items(), key=lambda entry: (-entry[1], entry[0])))


def discrimination(points: Sequence[Sequence[float | None]], place: int) -> tuple[float | None, str]:
    """How well a question tells those who know the rest from those who do not: corrected item-total correlation.

    Pearson's r between the points of this question and the sum of the points of all other questions; for a question
    of right or wrong it is the point-biserial correlation. Questions that still wait for a mark are left out.

    Parameters
    ----------
    points : one row a student, one column a question; None where there is no mark
    place : int, the column of the question

    Returns
    -------
    tuple of float from -1 to 1 or None, and a sentence that says why there is none

    Source
    ------
    Common practice in test analysis, e.g. J. C. Nunnally, Psychometric Theory, chapter on item analysis (from memory).

    Examples
    --------
    >>> rows = [[1, 3]] * 5 + [[0, 1]] * 5
    >>> round(discrimination(rows, 0)[0], 9)
    1.0
    """
    if any(row[place] is None for row in points):
        return None, "Not every answer is marked yet."
    if len(points) < ENOUGH_FOR_DISCRIMINATION:
        return None, f"Too few sheets ({len(points)}); from {ENOUGH_FOR_DISCRIMINATION} on the figure says something."
    others = [
        column for column in range(len(points[0])) if column != place and all(row[column] is not None for row in points)
    ]
    if not others:
        return None, "There is no other marked question to compare with."
    own = [row[place] or 0.0 for row in points]
    rest = [math.fsum(row[column] or 0.0 for column in others) for row in points]
    if _all_the_same(own):
        return None, "Everybody has the same points here."
    if _all_the_same(rest):
        return None, "Everybody has the same points in the other questions."
    return _correlation(own, rest), ""


def _all_the_same(values: Sequence[float]) -> bool:
    return max(values) - min(values) < 1e-9


def _correlation(first: Sequence[float], second: Sequence[float]) -> float:
    mean_1, mean_2 = math.fsum(first) / len(first), math.fsum(second) / len(second)
    from_mean_1 = [value - mean_1 for value in first]
    from_mean_2 = [value - mean_2 for value in second]
    together = math.fsum(a * b for a, b in zip(from_mean_1, from_mean_2, strict=True))
    return max(-1.0, min(1.0, together / (math.hypot(*from_mean_1) * math.hypot(*from_mean_2))))


def slip_figures(
    lines: Sequence[SheetLine], questions: Sequence[GradedQuestion], labels: Mapping[str, str]
) -> tuple[SlipFigures, ...]:
    """Which slip, how often, where and by whom.

    Parameters
    ----------
    lines : sequence of SheetLine
    questions : sequence of GradedQuestion
    labels : mapping of slip id to label; a slip that is not in it is called by its id

    Returns
    -------
    tuple of SlipFigures, most students first
    """
    found: dict[str, list[tuple[str, GradedQuestion]]] = {}
    for line in lines:
        for question, answer in zip(questions, line.answers, strict=True):
            if answer is not None and answer.slip:
                found.setdefault(answer.slip, []).append((line.name, question))
    figures = (
        SlipFigures(
            slip=slip,
            label=labels.get(slip, slip.replace("-", " ")),
            students=tuple(dict.fromkeys(name for name, _ in cases)),
            answers=len(cases),
            questions=tuple(question for question in questions if any(question == where for _, where in cases)),
        )
        for slip, cases in found.items()
    )
    return tuple(sorted(figures, key=lambda one: (-len(one.students), -one.answers, one.slip)))


def prediction_figures(lines: Sequence[SheetLine]) -> tuple[PredictionFigures, ...]:
    """Predictions before and after the change was seen, one entry for each quantity that was predicted.

    Parameters
    ----------
    lines : sequence of SheetLine

    Returns
    -------
    tuple of PredictionFigures, in the order of the notebook
    """
    by_length = sorted(lines, key=lambda line: -len(line.predictions))
    cases: dict[tuple[str, str], list[tuple[str, QuestionResult]]] = {
        (prediction.grade_id, quantity): []
        for line in by_length
        for prediction in line.predictions
        for quantity in words_said(prediction, "truth")
    }
    for line in lines:
        for prediction in line.predictions:
            for quantity in words_said(prediction, "truth"):
                cases[prediction.grade_id, quantity].append((line.name, prediction))
    return tuple(_prediction(quantity, of_one) for (_, quantity), of_one in cases.items())


def words_said(prediction: QuestionResult, when: str) -> dict[str, str]:
    """What was said of each quantity, or seen; "" where nothing was said.

    Parameters
    ----------
    prediction : QuestionResult whose detail holds "before", "after" and "truth", each name -> word
    when : str, one of these three

    Returns
    -------
    dict of str

    Examples
    --------
    >>> half_fan = QuestionResult("p1", "Fan", 0.0, 0.0, "recorded", detail={"before": {"head_pressure": "rises"}})
    >>> words_said(half_fan, "before")
    {'head pressure': 'rises'}
    """
    words = prediction.detail.get(when)
    if not isinstance(words, Mapping):
        return {}
    return {str(name).replace("_", " "): str(word or "").strip() for name, word in words.items()}


def _prediction(quantity: str, cases: Sequence[tuple[str, QuestionResult]]) -> PredictionFigures:
    words = [
        (name, *(words_said(case, when).get(quantity, "") for when in ("before", "after", "truth")))
        for name, case in cases
    ]
    both = [(before == truth, after == truth) for _, before, after, truth in words if before and after]
    seen = {truth for *_, truth in words}
    return PredictionFigures(
        title=f"{cases[0][1].title or cases[0][1].grade_id}: {quantity}",
        seen=seen.pop() if len(seen) == 1 else "",
        predicted=sum(1 for _, before, _, _ in words if before),
        right_before=sum(1 for _, before, _, truth in words if before and before == truth),
        answered_after=sum(1 for _, _, after, _ in words if after),
        right_after=sum(1 for _, _, after, truth in words if after and after == truth),
        changed_to_right=both.count((False, True)),
        changed_away=both.count((True, False)),
        still_other=tuple(name for name, _, after, truth in words if after and after != truth),
    )


def distribution(shares: Iterable[float]) -> tuple[tuple[float, float, int], ...]:
    """How many sheets lie in each tenth of the points.

    Parameters
    ----------
    shares : iterable of float from 0 to 1

    Returns
    -------
    tuple of (low, high, how many); the last step holds 1 itself

    Examples
    --------
    >>> [number for _, _, number in distribution([0.0, 0.3, 0.95, 1.0])]
    [1, 0, 0, 1, 0, 0, 0, 0, 0, 2]
    """
    # rounded first: three tenths of the points belong to the step that begins there
    places = Counter(min(STEPS - 1, int(round(STEPS * value, 6))) for value in shares)
    return tuple((step / STEPS, (step + 1) / STEPS, places[step]) for step in range(STEPS))
