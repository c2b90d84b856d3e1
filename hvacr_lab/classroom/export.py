"""Marks as a table for other programs: one row for each student of the roster."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from hvacr_lab.grading.markup import table_cell
from hvacr_lab.grading.records import ClassRecord, Student, SubmissionResult

COLUMNS = {
    "student": "id of the roster",
    "first_name": "from the roster",
    "last_name": "from the roster",
    "status": "not handed in, graded, stopped, unreadable, or waits for a person (points by hand are missing)",
    "submitted_at": "when it was handed in, ISO 8601; empty when unknown",
    "points": "sum of the points given so far",
    "max_points": "points that can be had",
}
QUESTION_COLUMNS = "one column for each question, named by its grade_id: its points; empty while nobody has given them"
FLAGS_COLUMN = "flags: what was stopped, put back or looks suspicious, sentences separated by blanks"


def marks_table(record: ClassRecord) -> list[list[str]]:
    """The table of marks, heading first.

    Parameters
    ----------
    record : ClassRecord

    Returns
    -------
    list of rows of text
    """
    questions = list(dict.fromkeys(question.grade_id for result in record.results for question in result.questions))
    results = {result.student: result for result in record.results}
    highest = max((result.max_score for result in record.results), default=0.0)
    rows = [[*COLUMNS, *questions, "flags"]]
    for student in record.roster:
        rows.append(_row(student, results.get(student.id), questions, highest))
    return rows


def write_marks(record: ClassRecord, folder: Path) -> Path:
    """Write the table of marks as CSV: commas, UTF-8 with a mark so that spreadsheets read the names right.

    Parameters
    ----------
    record : ClassRecord
    folder : Path, made when it is not there

    Returns
    -------
    Path of the file
    """
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([[table_cell(cell) for cell in row] for row in marks_table(record)])
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{record.lesson}.csv"
    path.write_text(text.getvalue(), encoding="utf-8-sig")
    return path


def _row(student: Student, result: SubmissionResult | None, questions: list[str], highest: float) -> list[str]:
    """One student's row; who handed in nothing has no points, which is not the same as zero."""
    names = [student.id, student.first_name, student.last_name]
    if result is None:
        return [*names, "not handed in", "", "", f"{highest:g}", *[""] * len(questions), ""]
    points = {question.grade_id: question.points for question in result.questions}
    cells = [points.get(question) for question in questions]
    status = "waits for a person" if result.status == "graded" and result.waits_for_a_person else result.status
    return [
        *names,
        status,
        result.submitted_at,
        f"{result.score:g}",
        f"{result.max_score:g}",
        *("" if cell is None else f"{cell:g}" for cell in cells),
        " ".join(_flags(result)),
    ]


def _flags(result: SubmissionResult) -> list[str]:
    """What there is to say about the file; what student and instructor are both told stands there once."""
    told = " ".join(result.reasons)
    return [*result.reasons, *(line for line in result.suspicions if line.rstrip(".") not in told)]
