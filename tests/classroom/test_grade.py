"""An evening with the small class: collect, grade, report, marks - and again, with nothing lost."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from classroom.small_class import LESSON, write_notebook
from hvacr_lab.classroom.collect import Collected
from hvacr_lab.classroom.course import Course, LessonPlan, load_course
from hvacr_lab.classroom.demo_notebooks import with_answers
from hvacr_lab.classroom.export import COLUMNS, marks_table, write_marks
from hvacr_lab.classroom.frame import class_config, hand_in, private_settings
from hvacr_lab.classroom.grade import Graded, collect_and_grade, read_record, summary_lines, write_report
from hvacr_lab.errors import LabError, UnknownName
from hvacr_lab.grading.keys import load_key
from hvacr_lab.grading.records import ClassRecord, QuestionResult, Student, SubmissionResult


def work_and_hand_in(course: Course, student: str, value: object, text: str, box: Path) -> None:
    edition = json.loads(course.folder.notebook(course.folder.release, LESSON).read_text("utf-8"))
    write_notebook(box / LESSON / f"{LESSON}.ipynb", with_answers(edition, {"pressure_bar": value}, text))
    with private_settings():
        hand_in(class_config(course.folder.root), LESSON, student, box)


def test_an_evening(released_class: Path, tmp_path: Path) -> None:
    course = load_course(released_class)
    plan = course.lesson("91")
    with pytest.raises(UnknownName, match="Closest: mfernlow"):
        collect_and_grade(course, plan, only=["mfernlo"])
    key = load_key(course.folder.notebook(course.folder.source, LESSON))
    asked = key.asked("mfernlow")["q1-pressure"]
    right = asked.question.right_answers(asked.readings)["pressure_bar"]
    work_and_hand_in(course, "mfernlow", right, "", tmp_path / "one")
    work_and_hand_in(course, "tbraskin", "1,05", "The barometer is missing.", tmp_path / "two")

    steps: list[tuple[str, int, int]] = []
    graded = collect_and_grade(course, plan, progress=lambda *step: steps.append(step))
    assert [(entry.student, entry.outcome) for entry in graded.collected] == [("mfernlow", "new"), ("tbraskin", "new")]
    assert steps[-1] == ("grading", 2, 2)
    scores = {result.student: (result.score, result.waits_for_a_person) for result in graded.record.results}
    assert scores == {"mfernlow": (2.0, False), "tbraskin": (0.0, True)}
    lines = "\n".join(summary_lines(graded))
    assert "91-gauges: 2 new hand-ins, 2 graded in all" in lines
    assert "not handed in  Yara Olindar" in lines
    assert "by hand        1 hand-in" in lines
    assert "All came from one account" in lines

    page, table, _ = write_report(course, plan)
    assert "Tomas Braskin" in page.read_text("utf-8")
    rows = list(csv.DictReader(table.read_text("utf-8-sig").splitlines()))
    assert {row["student"] for row in rows} == {"mfernlow", "tbraskin", "yolindar"}

    again = collect_and_grade(course, plan)
    assert {entry.outcome for entry in again.collected} == {"unchanged"}
    assert again.record == graded.record == read_record(course, plan)
    page_before = (course.folder.feedback / "mfernlow" / LESSON / f"{LESSON}.html").read_text("utf-8")
    assert "After the due date" in page_before


def test_formgraders_button_collects_with_the_same_care(released_class: Path, tmp_path: Path) -> None:
    from nbgrader.apps.api import NbGraderAPI

    course = load_course(released_class)
    work_and_hand_in(course, "mfernlow", 1.0, "", tmp_path / "one")
    [entry] = (course.folder.exchange / "gauges" / "inbound").iterdir()
    (entry / "key.csv").symlink_to(course.folder.source / LESSON / f"{LESSON}.ipynb")
    with private_settings():
        outcome = NbGraderAPI(config=class_config(course.folder.root)).collect(LESSON)
    assert outcome["success"], outcome
    assert "key.csv was left out: it is a link" in outcome["log"]
    collected = {path.name for path in (course.folder.submitted / "mfernlow" / LESSON).iterdir()}
    assert collected == {f"{LESSON}.ipynb", "timestamp.txt", "submission_secret.txt"}


def test_without_a_gradebook_there_is_nothing_to_report(make_class: Callable[..., Path]) -> None:
    course = load_course(make_class())
    with pytest.raises(LabError, match=r"Nothing is graded in .* yet: hvacr-lab grade 91-gauges"):
        read_record(course, course.lesson("91"))


ROSTER = (Student("mfernlow", "Mira", "Fernlow"), Student("tbraskin", "=cmd", "Braskin"))
QUESTIONS = (
    QuestionResult("q1", "Pressure", 1.5, 2.0, "right"),
    QuestionResult("q2", "Explain", None, 3.0, "by hand"),
)
RECORD = ClassRecord(
    LESSON,
    "Gauges",
    ROSTER,
    (
        SubmissionResult(
            "mfernlow",
            LESSON,
            "stopped",
            ("Cell q1 ended the run.", "The check q1 had been changed; it was put back."),
            ("The check q1 had been changed.", "Numbers of tbraskin."),
            QUESTIONS,
            submitted_at="2030-01-14T10:00:00+00:00",
        ),
    ),
)


def test_marks_have_one_row_for_each_student_and_a_column_for_each_question() -> None:
    heading, stopped, absent = marks_table(RECORD)
    assert heading == [*COLUMNS, "q1", "q2", "flags"]
    assert stopped[:9] == ["mfernlow", "Mira", "Fernlow", "stopped", "2030-01-14T10:00:00+00:00", "1.5", "5", "1.5", ""]
    assert stopped[9].count("had been changed") == 1
    assert "Numbers of tbraskin" in stopped[9]
    assert absent == ["tbraskin", "=cmd", "Braskin", "not handed in", "", "", "5", "", "", ""]


def test_marks_are_harmless_in_a_spreadsheet(tmp_path: Path) -> None:
    path = write_marks(RECORD, tmp_path / "exports")
    assert path.read_bytes().startswith(b"\xef\xbb\xbf")
    rows = list(csv.reader(path.read_text("utf-8-sig").splitlines()))
    assert rows[2][1] == "'=cmd"


def test_long_lists_of_names_are_cut_to_the_width_of_a_screen() -> None:
    students = tuple(Student(f"s{number}", "Firstname", f"Lastname{number}") for number in range(30))
    record = ClassRecord(LESSON, "Gauges", students, ())
    graded = Graded(LESSON, (Collected("x", "refused", ("x is not in roster.csv.",)),), record, 1.0)
    lines = summary_lines(graded)
    assert all(len(line) <= 80 for line in lines)
    assert any("more" in line for line in lines)
    assert "  x: x is not in roster.csv." in lines
    assert LessonPlan(LESSON).name in lines[0]
