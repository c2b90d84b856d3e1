"""A lesson is graded exactly once, by persons and machine together, and nothing that was handed in can spoil it."""

from __future__ import annotations

import contextlib
import hashlib
import json
import multiprocessing
import os
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from small_class import (
    LESSON,
    ROSTER,
    cell_of,
    hand_in,
    honest,
    make_class,
    nbgrader_config,
    released,
    right_answers,
    solved,
    source_notebook,
    source_of,
    with_answers,
)

from hvacr_lab.errors import FileProblem, LabError
from hvacr_lab.grading.folders import ClassFolder
from hvacr_lab.grading.gradebook import load_class_record
from hvacr_lab.grading.records import ClassRecord, SubmissionResult
from hvacr_lab.grading.run import Progress, grade_lesson

ADA, BEN, CLEO = (student.id for student in ROSTER[:3])


def grade(folder: ClassFolder, **settings: object) -> ClassRecord:
    return grade_lesson(folder, LESSON, roster=ROSTER, **settings)  # type: ignore[arg-type]


def result_of(record: ClassRecord, student: str) -> SubmissionResult:
    return next(result for result in record.results if result.student == student)


def points(result: SubmissionResult) -> dict[str, float | None]:
    return {question.grade_id: question.points for question in result.questions}


def files_of(folder: ClassFolder, *, but: tuple[str, ...] = ()) -> dict[str, str]:
    """Every file of the class with its hash."""
    return {
        str(path.relative_to(folder.root)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.root.rglob("*"))
        if path.is_file() and path.relative_to(folder.root).parts[0] not in but
    }


def rows(folder: ClassFolder, query: str) -> list[tuple[object, ...]]:
    with contextlib.closing(sqlite3.connect(folder.gradebook)) as book:
        return book.execute(query).fetchall()


def runs(folder: ClassFolder) -> dict[object, object]:
    return dict(rows(folder, "SELECT student, runs FROM hvacr_ledger"))  # type: ignore[arg-type]


def give_by_hand(folder: ClassFolder, student: str, cell: str, score: float, comment: str = "") -> None:
    """What formgrader does when a person marks."""
    from nbgrader.api import Gradebook

    with Gradebook(f"sqlite:///{folder.gradebook}", "small") as book:
        grade_row = book.find_grade(cell, LESSON, LESSON, student)
        grade_row.manual_score, grade_row.needs_manual_grade = score, False
        if comment:
            book.find_comment(cell, LESSON, LESSON, student).manual_comment = comment
        book.db.commit()


def test_right_blank_and_wrong_get_what_is_theirs(small_class: ClassFolder) -> None:
    hand_in(small_class, ADA, honest(small_class, ADA))
    hand_in(small_class, BEN, released(small_class))
    hand_in(small_class, CLEO, with_answers(released(small_class), {"difference_k": '"8,3"', "warmer": '"suction"'}))
    seen: list[Progress] = []
    record = grade(small_class, progress=seen.append)
    assert points(result_of(record, ADA)) == {
        "q1-pipes": 2.0,
        "q2-pipes": 2.0,
        "q3-pipes": 2.0,
        "q4-warmer": 1.0,
        "q9-explain": None,
    }
    assert result_of(record, ADA).waits_for_a_person
    assert {question.outcome for question in result_of(record, BEN).questions} == {"not answered"}
    assert (result_of(record, BEN).score, result_of(record, BEN).max_score) == (0.0, 10.0)
    assert [question.outcome for question in result_of(record, CLEO).questions][:4] == [
        *("form", "not answered", "not answered", "unknown")
    ]
    assert len(record.not_submitted) == len(ROSTER) - 3
    assert record.title == "Two pipes"
    assert [(step.done, step.total) for step in seen] == [(1, 3), (2, 3), (3, 3)]
    assert seen[-1].seconds_left == 0.0
    assert record == load_class_record(small_class, LESSON, ROSTER)


def test_the_first_lessons_own_solutions_earn_all_points_in_the_sandbox(tmp_path: Path) -> None:
    lesson = "02-refrigerant-states"
    source = Path(__file__).parent.parent.parent / "source_notebooks" / lesson / f"{lesson}.ipynb"
    folder = make_class(tmp_path, json.loads(source.read_text()), lesson)
    for student in (ADA, BEN):
        hand_in(folder, student, solved(folder, lesson), lesson)
    hand_in(folder, CLEO, released(folder, lesson), lesson)
    record = grade_lesson(folder, lesson, roster=ROSTER)
    for student in (ADA, BEN):
        result = result_of(record, student)
        assert (result.status, result.reasons, result.suspicions) == ("graded", (), ())
        machine = [question for question in result.questions if question.outcome not in ("recorded", "not answered")]
        assert {question.outcome for question in machine} == {"right"}
        assert (
            sum(question.points or 0 for question in machine) == sum(question.max_points for question in machine) > 15
        )
    assert result_of(record, CLEO).score == 0.0
    assert {question.outcome for question in result_of(record, CLEO).questions} == {"not answered"}


def test_numbers_are_drawn_for_the_folder_not_for_who_the_notebook_says(small_class: ClassFolder) -> None:
    notebook = with_answers(released(small_class), right_answers(small_class, BEN))
    liar = {
        "cell_type": "code",
        "metadata": {},
        "outputs": [],
        "source": f"import os; os.environ['JUPYTERHUB_USER'] = '{BEN}'",
    }
    notebook["cells"].insert(0, liar)
    hand_in(small_class, ADA, notebook)
    assert sum(points(result_of(grade(small_class), ADA))[q] or 0 for q in ("q1-pipes", "q2-pipes", "q3-pipes")) == 0


def test_a_neighbours_numbers_are_named_together(small_class: ClassFolder) -> None:
    hand_in(small_class, ADA, with_answers(released(small_class), right_answers(small_class, BEN)))
    result = result_of(grade(small_class), ADA)
    assert [question.slip for question in result.questions[:3]] == ["neighbour"] * 3
    assert f"right for the readings of {BEN}" in result.suspicions[0]
    assert not result.reasons


def test_what_is_graded_is_left_alone_and_only_what_changed_is_graded_again(small_class: ClassFolder) -> None:
    for student in (ADA, BEN, CLEO):
        hand_in(small_class, student, honest(small_class, student))
    grade(small_class)
    before = files_of(small_class)
    grade(small_class)
    assert files_of(small_class) == before, "grading again changes no byte"
    hand_in(small_class, BEN, released(small_class))
    record = grade(small_class)
    assert runs(small_class) == {ADA: 1, BEN: 2, CLEO: 1}
    assert result_of(record, BEN).score == 0.0
    small_class.notebook(small_class.autograded, LESSON, CLEO).unlink()
    grade(small_class)
    assert runs(small_class) == {ADA: 1, BEN: 2, CLEO: 2}, "a lost notebook is made again"


def test_a_corrected_key_grades_all_again_and_keeps_what_a_person_gave(small_class: ClassFolder) -> None:
    for student in (ADA, BEN):
        hand_in(small_class, student, honest(small_class, student))
    grade(small_class)
    give_by_hand(small_class, ADA, "q9-explain", 2.5, "Well seen.")
    give_by_hand(small_class, BEN, "q1-pipes", 0.5)
    assert points(result_of(load_class_record(small_class, LESSON, ROSTER), ADA))["q9-explain"] == 2.5
    notebook = source_notebook()
    check = cell_of(notebook, "q2-pipes")
    check["source"] = source_of(check).replace("expected=lambda r: 2 *", "expected=lambda r: 3 *")
    small_class.notebook(small_class.source, LESSON).write_text(json.dumps(notebook))
    record = grade(small_class)
    assert runs(small_class) == {ADA: 2, BEN: 2}
    assert points(result_of(record, ADA))["q2-pipes"] == 0.0
    ada, ben = result_of(record, ADA), result_of(record, BEN)
    assert points(ada)["q9-explain"] == 2.5, "a person's points are never touched"
    assert points(ben)["q1-pipes"] == 0.5, "a person's word wins over the machine's"
    assert ben.questions[0].detail["points_by_hand"] is True
    assert ada.questions[-1].sentence == "Well seen."
    page = small_class.notebook(small_class.feedback, LESSON, ADA).with_suffix(".html").read_text()
    assert "Well seen." in page


def test_formgrader_finds_everything_in_its_place(small_class: ClassFolder) -> None:
    """What formgrader's pages ask for: nbgrader's own interface, asked after a run of ours."""
    from nbgrader.apps.api import NbGraderAPI

    hand_in(small_class, ADA, honest(small_class, ADA))
    hand_in(small_class, BEN, with_answers(released(small_class), {"difference_k": "-1.0"}))
    hand_in(small_class, CLEO, b"[[[")
    grade(small_class)
    api = NbGraderAPI(config=nbgrader_config(small_class.root))
    listed = {entry["student"]: entry for entry in api.get_notebook_submissions(LESSON, LESSON)}
    assert (listed[ADA]["score"], listed[ADA]["max_score"], listed[ADA]["needs_manual_grade"]) == (7.0, 10.0, True)
    assert (listed[BEN]["score"], listed[BEN]["needs_manual_grade"]) == (0.0, False)
    assert (listed[CLEO]["score"], listed[CLEO]["needs_manual_grade"]) == (0.0, True)
    assert {entry["autograded"] for entry in api.get_submissions(LESSON) if entry["student"] in listed} == {True}
    with api.gradebook as book:
        assert book.find_comment("q1-pipes-answer", LESSON, LESSON, BEN).auto_comment.startswith("Not recognised.")
        assert book.find_comment("q1-pipes-answer", LESSON, LESSON, ADA).auto_comment is None
        assert str(book.find_submission(LESSON, ADA).timestamp) == "2027-01-15 16:59:59"
    assert rows(small_class, "SELECT version_num FROM alembic_version"), "nbgrader made its own tables"


def test_autograded_notebooks_are_valid_and_hold_no_key(small_class: ClassFolder) -> None:
    import nbformat

    for student in (ADA, BEN):
        hand_in(small_class, student, honest(small_class, student, text="<script>alert(1)</script> It cools."))
    hand_in(small_class, CLEO, b"\x00")
    grade(small_class)
    for student in (ADA, BEN, CLEO):
        path = small_class.notebook(small_class.autograded, LESSON, student)
        nbformat.validate(nbformat.read(path, as_version=4))
    outside_source = (
        *small_class.autograded.rglob("*"),
        *small_class.feedback.rglob("*"),
        *small_class.release.rglob("*"),
    )
    for path in outside_source:
        if path.is_file():
            content = path.read_text()
            for secret in ("0f0f0f", "HIDDEN TESTS", "expected=", "<script>"):
                assert secret not in content, path
    assert "8.3" not in small_class.notebook(small_class.autograded, LESSON, CLEO).read_text()
    assert (small_class.autograded / ADA / LESSON / "timestamp.txt").read_text() == "2027-01-15 16:59:59 UTC"
    assert (small_class.feedback / ADA / LESSON / "timestamp.txt").exists(), "nbgrader hands feedback out by it"


def test_the_worked_way_is_shown_after_the_due_date_without_grading_again(small_class: ClassFolder) -> None:
    hand_in(small_class, ADA, with_answers(released(small_class), {"difference_k": "1.0"}))
    grade(small_class)
    page = small_class.notebook(small_class.feedback, LESSON, ADA).with_suffix(".html")
    assert "liquid pipe minus suction pipe" not in page.read_text()
    grade(small_class, after_due_date=True)
    assert "liquid pipe minus suction pipe" in page.read_text()
    assert runs(small_class) == {ADA: 1}


def test_only_those_asked_for_are_graded(small_class: ClassFolder) -> None:
    for student in (ADA, BEN):
        hand_in(small_class, student, honest(small_class, student))
    grade(small_class, only=[BEN])
    assert set(runs(small_class)) == {BEN}


def test_folders_with_odd_names_and_strangers(small_class: ClassFolder) -> None:
    hand_in(small_class, "stranger", honest(small_class, "stranger"))
    hand_in(small_class, "two\nlines", honest(small_class, ADA))
    (small_class.submitted / ".incoming-x").mkdir()
    (small_class.submitted / "linked").symlink_to(small_class.submitted / "stranger")
    record = grade(small_class)
    assert [result.student for result in record.results] == ["stranger"]
    assert "stranger is not on the class list." in record.results[0].suspicions


def test_a_key_that_fails_for_one_student_does_not_stop_the_others(tmp_path: Path) -> None:
    notebook = source_notebook()
    check = cell_of(notebook, "q1-pipes")
    check["source"] = source_of(check).replace(
        "expected=lambda r: 1 *", f"expected=lambda r: 1 / (r.student != '{ADA}') *"
    )
    folder = make_class(tmp_path, notebook)
    for student in (ADA, BEN):
        hand_in(folder, student, with_answers(released(folder), {"difference_k": "30.0", "warmer": '"liquid"'}))
    record = grade(folder)
    assert "The key of q1-pipes cannot be used here" in result_of(record, ADA).suspicions[0]
    assert points(result_of(record, ADA))["q1-pipes"] is None
    assert points(result_of(record, ADA))["q4-warmer"] == 1.0
    assert points(result_of(record, BEN))["q1-pipes"] is not None


def test_before_a_release_grading_says_what_is_missing(tmp_path: Path) -> None:
    with pytest.raises(FileProblem, match="has not been released"):
        grade(ClassFolder(tmp_path))


def test_a_second_run_in_the_same_class_says_so(small_class: ClassFolder) -> None:
    import fcntl

    with small_class.lock.open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        with pytest.raises(LabError, match="Another grading run is at work"):
            grade(small_class)
    grade(small_class)


def test_reduced_isolation_is_said_in_the_record(small_class: ClassFolder) -> None:
    hand_in(small_class, ADA, honest(small_class, ADA))
    record = grade(small_class)
    assert record.notes == ()
    with contextlib.closing(sqlite3.connect(small_class.gradebook)) as book, book:
        book.execute("UPDATE hvacr_ledger SET mode = 'reduced'")
    assert "reduced way only" in load_class_record(small_class, LESSON, ROSTER).notes[0]


def _grade_and_be_killed(root: str) -> None:
    os.setsid()
    grade_lesson(ClassFolder(Path(root)), LESSON, roster=ROSTER)


@pytest.mark.slow
def test_killed_at_any_moment_and_started_again_each_hand_in_is_graded_once(small_class: ClassFolder) -> None:
    for student in ROSTER:
        hand_in(small_class, student.id, honest(small_class, student.id))
    context = multiprocessing.get_context("spawn")
    for delay in (1.9, 2.1, 2.3, 2.5, 2.7, 2.9, 3.1):  # around the start of the work, own values
        process = context.Process(target=_grade_and_be_killed, args=(str(small_class.root),))
        process.start()
        time.sleep(delay)
        os.kill(process.pid or 0, signal.SIGKILL)
        process.join()
        if rows(small_class, "SELECT name FROM sqlite_master WHERE name = 'hvacr_ledger'"):
            counts = rows(
                small_class,
                "SELECT (SELECT COUNT(*) FROM hvacr_ledger), (SELECT COUNT(*) FROM submitted_notebook), "
                "(SELECT COUNT(*) FROM grade) / 5",
            )
            assert len(set(counts[0])) == 1, "marks and ledger are one"
        assert rows(small_class, "PRAGMA integrity_check") == [("ok",)]
    record = grade(small_class)
    assert runs(small_class) == {student.id: 1 for student in ROSTER}
    assert {result.score for result in record.results} == {7.0}
    assert not list(small_class.root.rglob("*.new"))


@pytest.mark.slow
def test_stock_nbgrader_can_still_grade_and_give_feedback_on_the_same_class(small_class: ClassFolder) -> None:
    """The class is an ordinary nbgrader course: the stock commands run on what we wrote, and see the same points."""
    from nbgrader.apps.api import NbGraderAPI

    hand_in(small_class, ADA, honest(small_class, ADA))
    grade(small_class)
    environment = os.environ | {"JUPYTERHUB_USER": ADA, "JUPYTER_PLATFORM_DIRS": "1"}
    (small_class.root / "nbgrader_config.py").write_text(
        "c = get_config()\nc.CourseDirectory.course_id = 'small'\nc.ClearSolutions.enforce_metadata = False\n"
    )
    for command in ("generate_feedback", "autograde"):
        subprocess.run(
            [sys.executable, "-m", "nbgrader", command, LESSON, "--force"],
            cwd=small_class.root,
            env=environment,
            check=True,
            capture_output=True,
        )
    page = small_class.notebook(small_class.feedback, LESSON, ADA).with_suffix(".html").read_text()
    assert "Two pipes" in page
    assert "0f0f0f" not in page
    with NbGraderAPI(config=nbgrader_config(small_class.root)).gradebook as book:
        assert book.find_submission(LESSON, ADA).score == 7.0
