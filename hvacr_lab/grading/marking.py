"""From the plain answers of a run to the result of a hand-in: each question gets points and a sentence, or a person."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence

from hvacr_lab.errors import LabError
from hvacr_lab.exercises.questions import Mark
from hvacr_lab.exercises.slips import known_slip
from hvacr_lab.grading.claims import RunOutcome
from hvacr_lab.grading.copying import Neighbour, find_neighbour
from hvacr_lab.grading.keys import AnswerKey
from hvacr_lab.grading.records import QuestionResult, SubmissionResult
from hvacr_lab.grading.released import Release, grade_id
from hvacr_lab.grading.submission import Submission

_LONGEST_TEXT = 400
_NEITHER_RIGHT_NOR_KNOWN = ("unknown", "close")


def marked(
    key: AnswerKey,
    release: Release,
    submission: Submission,
    outcome: RunOutcome | None,
    classmates: Sequence[str],
    *,
    on_roster: bool = True,
) -> SubmissionResult:
    """Mark one hand-in.

    Parameters
    ----------
    key : AnswerKey
    release : Release
    submission : Submission
    outcome : RunOutcome, or None when the file could not be read
    classmates : ids of the class
    on_roster : bool, False is said to the instructor

    Returns
    -------
    SubmissionResult
    """
    suspicions = list(submission.suspicions)
    if not on_roster:
        suspicions.append(f"{submission.student} is not on the class list.")
    if outcome is None:
        questions = [_unread(key, name) for name in key.points]
    else:
        marks, trouble = _marks(key, submission.student, outcome.answers)
        neighbour = _neighbour(key, submission.student, outcome.answers, marks, classmates)
        suspicions += trouble
        suspicions += [neighbour.sentence] if neighbour else []
        questions = [_question(key, release, submission, marks, name) for name in key.points]
        questions = [_named(question, neighbour) for question in questions]
    return SubmissionResult(
        student=submission.student,
        lesson=release.lesson,
        status=outcome.status if outcome else "unreadable",
        reasons=submission.reasons + (outcome.reasons if outcome else ()),
        suspicions=tuple(suspicions),
        questions=tuple(questions),
        seconds=round(outcome.seconds, 3) if outcome else 0.0,
        submitted_at=submission.submitted_at,
    )


def comments_of(result: SubmissionResult, release: Release) -> dict[str, str]:
    """What nbgrader's comment boxes get: for each answer cell the sentences of the questions that it answers.

    Parameters
    ----------
    result : SubmissionResult
    release : Release

    Returns
    -------
    dict, grade_id of the answer cell -> text
    """
    cells = release.answer_cells
    comments: dict[str, list[str]] = {}
    for question in result.questions:
        if question.sentence and question.outcome not in ("right", "recorded"):
            comments.setdefault(cells[question.grade_id], []).append(question.sentence)
    return {cell: "\n".join(sentences) for cell, sentences in comments.items()}


def _marks(
    key: AnswerKey, student: str, answers: Mapping[str, Mapping[str, object]]
) -> tuple[dict[str, Mark], list[str]]:
    """The key's word on each answer; where the key itself fails, a person has to look, and the others go on."""
    marks, trouble = {}, []
    for name in key.captures:
        try:
            marks[name] = key.mark_one(student, name, answers.get(name, {}))
        except Exception as problem:
            what = problem if isinstance(problem, LabError) else f"{type(problem).__name__}: {problem}"
            trouble.append(f"The key of {name} cannot be used here, so a person has to mark it: {what}")
    return marks, trouble


def _neighbour(
    key: AnswerKey,
    student: str,
    answers: Mapping[str, Mapping[str, object]],
    marks: Mapping[str, Mark],
    classmates: Sequence[str],
) -> Neighbour | None:
    wrong = [name for name, mark in marks.items() if mark.outcome in _NEITHER_RIGHT_NOR_KNOWN]
    return find_neighbour(key, student, answers, wrong, classmates)


def _question(
    key: AnswerKey, release: Release, submission: Submission, marks: Mapping[str, Mark], name: str
) -> QuestionResult:
    if name in key.manual:
        return _for_a_person(key, release, submission, name)
    mark = marks.get(name)
    if mark is None:
        return QuestionResult(name, key.titles[name], None, key.points[name], "by hand")
    return QuestionResult(
        grade_id=name,
        title=key.titles[name],
        points=mark.points,
        max_points=mark.max_points,
        outcome=mark.outcome,
        slip=mark.slip,
        sentence=mark.sentence,
        worked=mark.worked,
        given=mark.given,
        detail=dict(mark.detail),
    )


def _for_a_person(key: AnswerKey, release: Release, submission: Submission, name: str) -> QuestionResult:
    asked = key.manual[name]
    if name in submission.unchanged:
        return QuestionResult(name, asked.title, 0.0, asked.points, "not answered", sentence="Not answered.")
    text = next((cell["source"] for cell in submission.notebook["cells"] if grade_id(cell) == name), "")
    given = text if len(text) <= _LONGEST_TEXT else text[: _LONGEST_TEXT - 3] + "..."
    return QuestionResult(name, asked.title, None, asked.points, "by hand", given=given)


def _unread(key: AnswerKey, name: str) -> QuestionResult:
    return QuestionResult(name, key.titles[name], 0.0, key.points[name], "not answered")


def _named(question: QuestionResult, neighbour: Neighbour | None) -> QuestionResult:
    """Answers that fit one classmate together are named so; the points stay as they are."""
    if neighbour is None or question.grade_id not in neighbour.questions:
        return question
    return dataclasses.replace(question, outcome="slip", slip="neighbour", sentence=known_slip("neighbour").sentence)
