"""The class report: who stands where, what went wrong and what to teach again first.

``analyse`` turns the records of one lesson into figures and sentences, ``report_html`` shows them on one page,
``report_csv`` writes one line a student for other programs.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from statistics import median
from typing import Final

from hvacr_lab.exercises.slips import SLIPS
from hvacr_lab.grading.class_statistics import (
    distribution,
    graded_questions,
    prediction_figures,
    question_figures,
    share,
    sheet_lines,
    slip_figures,
)
from hvacr_lab.grading.markup import table_cell
from hvacr_lab.grading.records import ClassRecord
from hvacr_lab.grading.report_data import ClassReport, SheetLine, TeachAgain
from hvacr_lab.grading.report_page import report_html
from hvacr_lab.grading.teach_again import teach_again
from hvacr_lab.grading.wording import counted, points_text

__all__ = ["CSV_COLUMNS", "CSV_QUESTION_COLUMNS", "ClassReport", "analyse", "report_csv", "report_html"]


def analyse(record: ClassRecord) -> ClassReport:
    """Figures and sentences about one lesson's hand-ins.

    Parameters
    ----------
    record : ClassRecord

    Returns
    -------
    ClassReport
    """
    questions = graded_questions(record.results)
    lines = sheet_lines(record, questions)
    labels = {slip: entry.label for slip, entry in SLIPS.items()}
    figures = question_figures(lines, questions)
    slips = slip_figures(lines, questions, labels)
    predictions = prediction_figures(lines)
    again = teach_again(lines, figures, slips, predictions)
    scored = [line for line in lines if line.handed_in and line.state != "unreadable"]
    middle = median(line.points for line in scored) if scored else None
    max_points = sum(question.max_points for question in questions)
    return ClassReport(
        lesson=record.lesson,
        title=record.title or record.lesson,
        headline=_headline(lines, again, middle, max_points),
        max_points=max_points,
        lines=lines,
        teach_again=again,
        questions=figures,
        slips=slips,
        predictions=predictions,
        median_points=middle,
        distribution=distribution(share(line.points, max_points) for line in scored),
        notes=record.notes,
    )


def _headline(lines: Sequence[SheetLine], again: Sequence[TeachAgain], middle: float | None, max_points: float) -> str:
    """What a colleague would say in the corridor."""
    on_roster = [line for line in lines if line.on_roster]
    there = [line for line in lines if line.handed_in]
    if not there:
        return f"Nobody of {counted(len(on_roster), 'student')} on the roster has handed in yet."
    came = sum(line.handed_in for line in on_roster)
    opening = f"{came} of {counted(len(on_roster), 'student')} handed in."
    for state, words in (("unreadable", "None of the files could be read."), ("blank", "Every sheet is blank.")):
        if all(line.state == state for line in there):
            return f"{opening} {words}"
    so_far = " so far" if any(line.waiting for line in there) else ""
    scores = (
        f" Half of the sheets have {points_text(middle or 0.0)} of {points_text(max_points)} points or more{so_far}."
    )
    return opening + scores + _first_of_all(there, again)


def _first_of_all(there: Sequence[SheetLine], again: Sequence[TeachAgain]) -> str:
    if again:
        return f" Teach again first: {again[0].heading.rstrip('.')} ({again[0].number} of {again[0].of})."
    if all(line.points >= line.max_points for line in there):
        return " Everybody who handed in has all points."
    return " Nothing needs to be taught again to the whole class."


CSV_COLUMNS: Final[tuple[tuple[str, str], ...]] = (
    ("student", "id as on the roster"),
    ("last_name", "as on the roster"),
    ("first_name", "as on the roster"),
    ("status", "graded, blank, stopped, unreadable or not handed in"),
    ("submitted_at", "when it was handed in, ISO 8601; empty when unknown"),
    ("points", "points given so far; empty when nothing was handed in"),
    ("max_points", "points that can be had"),
    ("waiting", "number of questions that wait for marking by hand"),
    ("slips", "ids of the recognised slips, separated by a space"),
    ("reasons", "what was put back, cut or stopped"),
    ("suspicions", "what to look at"),
)
CSV_QUESTION_COLUMNS: Final[tuple[tuple[str, str], ...]] = (
    ("points", "points of the question; empty while it waits or when it is missing"),
    ("outcome", "right, close, slip, partly, unknown, form, not answered or by hand"),
    ("slip", "id of the slip, or empty"),
)


def report_csv(report: ClassReport) -> str:
    """One line a student, by last name; the columns are those of ``CSV_COLUMNS``, then three for each question.

    A question's columns are named by its grade id, for example ``q3-superheat_points``. Text that a spreadsheet would
    take for a formula gets an apostrophe in front.

    Parameters
    ----------
    report : ClassReport

    Returns
    -------
    str, comma-separated values with a header line; write it as UTF-8
    """
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    asked = [
        f"{figures.question.grade_id}_{column}" for figures in report.questions for column, _ in CSV_QUESTION_COLUMNS
    ]
    writer.writerow([table_cell(name) for name in [*(column for column, _ in CSV_COLUMNS), *asked]])
    for line in report.lines:
        writer.writerow([table_cell(cell) for cell in [*_about_the_sheet(line), *_about_the_answers(line)]])
    return buffer.getvalue()


def _about_the_sheet(line: SheetLine) -> list[str]:
    slips = [answer.slip for answer in line.answers if answer is not None and answer.slip]
    return [
        line.student.id,
        line.student.last_name,
        line.student.first_name,
        line.state,
        line.submitted_at,
        points_text(line.points) if line.handed_in else "",
        points_text(line.max_points),
        str(len(line.waiting)),
        " ".join(dict.fromkeys(slips)),
        " ".join(line.reasons),
        " ".join(line.suspicions),
    ]


def _about_the_answers(line: SheetLine) -> list[str]:
    cells: list[str] = []
    for answer in line.answers:
        if answer is None:
            cells += ["", "", ""]
        else:
            cells += ["" if answer.points is None else points_text(answer.points), answer.outcome, answer.slip or ""]
    return cells
