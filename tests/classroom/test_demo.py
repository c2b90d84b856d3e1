"""The demo class: built from nothing, and built again over what an instructor has done in between."""

from __future__ import annotations

import json
import random
import subprocess
import sys
import urllib.request
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from classroom.small_class import CHECK, cell, small_notebook, write_notebook
from hvacr_lab.classroom.course import load_course
from hvacr_lab.classroom.demo import LESSON, Demo, build_demo, demo_lines, prepare_folder
from hvacr_lab.classroom.demo_cast import Member, class_answers, read_cast
from hvacr_lab.classroom.demo_notebooks import with_answers, with_edited_check, with_endless_loop
from hvacr_lab.classroom.frame import private_settings
from hvacr_lab.classroom.grade import read_record
from hvacr_lab.classroom.release import Edition, with_settings
from hvacr_lab.classroom.workplace import open_workplace
from hvacr_lab.errors import LabError
from hvacr_lab.grading.keys import AnswerKey, Asked, load_key

CAST = read_cast()
PARTS = {member.part: member.student.id for member in CAST if member.part}


def test_the_cast_is_a_class_of_24_with_every_part() -> None:
    assert len({member.student.id for member in CAST}) == 24
    assert {part.split()[0] for part in PARTS} == {"blank", "neighbour", "text", "edited", "endless", "absent"}
    assert sum(member.part == "absent" for member in CAST) == 2


def test_somebody_elses_folder_is_not_touched(tmp_path: Path) -> None:
    (tmp_path / "thesis.txt").write_text("years of work", encoding="utf-8")
    with pytest.raises(LabError, match="holds something else, which the demo does not touch"):
        build_demo(tmp_path)
    with pytest.raises(LabError, match="is a file"):
        build_demo(tmp_path / "thesis.txt")
    assert [path.name for path in tmp_path.iterdir()] == ["thesis.txt"]


def test_settings_that_were_changed_stay(tmp_path: Path) -> None:
    prepare_folder(tmp_path, CAST)
    course = load_course(tmp_path)
    assert (course.lesson("02").name, len(course.roster), course.cell_seconds) == (LESSON, 24, 5.0)
    assert not course.lesson("02").is_over()
    text = (tmp_path / "course.toml").read_text("utf-8").replace("altitude_m = 430", "altitude_m = 900")
    (tmp_path / "course.toml").write_text(text, encoding="utf-8")
    prepare_folder(tmp_path, CAST)
    assert load_course(tmp_path).altitude_m == 900


@pytest.fixture(scope="module")
def key(tmp_path_factory: pytest.TempPathFactory) -> AnswerKey:
    notebook = with_settings(small_notebook(), Edition("SI", altitude_m=430.0), "the small lesson")
    return load_key(write_notebook(tmp_path_factory.mktemp("source") / f"{LESSON}.ipynb", notebook))


def marks(key: AnswerKey, answers: dict[str, dict[str, object]]) -> dict[str, tuple[str, str | None]]:
    found = {student: key.mark(student, {"q1-pressure": values})["q1-pressure"] for student, values in answers.items()}
    return {student: (mark.outcome, mark.slip) for student, mark in found.items()}


def test_answers_are_right_wrong_missing_and_make_each_slip(key: AnswerKey) -> None:
    answers = class_answers(CAST, key.asked)
    assert answers == class_answers(CAST, key.asked)  # the same class every time
    found = marks(key, answers)
    assert {("right", None), ("slip", "gauge-as-absolute"), ("slip", "sea-level-barometer")} <= set(found.values())
    assert answers[PARTS["blank"]] == {}
    assert answers[PARTS["neighbour eyarrowen"]] == answers["eyarrowen"] != {}
    assert isinstance(answers[PARTS["text"]].get("pressure_bar", ""), str)
    assert PARTS["absent"] not in answers


def test_a_slip_that_nobody_happens_to_make_is_given_to_somebody(key: AnswerKey) -> None:
    faultless = tuple(Member(member.student, 0.99, "", "") for member in CAST[:5])
    assert {slip for _, slip in marks(key, class_answers(faultless, key.asked)).values()} >= {
        "gauge-as-absolute",
        "sea-level-barometer",
    }


def test_predictions_are_guessed_before_and_mostly_seen_after() -> None:
    words = ("rises", "falls", "about the same")
    names = {f"{time}_suction": "rises" for time in ("before", "after")}
    question = SimpleNamespace(
        quantities={"suction": "row"},
        right_answers=lambda readings: names,
        slip_answers=lambda readings: {},
        mark=lambda answers, readings: SimpleNamespace(outcome="recorded", slip=None),
    )
    entry: Any = Asked(question, SimpleNamespace(words=lambda row: words))  # type: ignore[arg-type]
    answers = class_answers(CAST, lambda student: {"p1": entry})
    told = [values for values in answers.values() if values]
    right = {time: sum(values[f"{time}_suction"] == "rises" for values in told) for time in ("before", "after")}
    assert 0 < right["before"] < right["after"] <= len(told)
    assert {values["before_suction"] for values in told} == set(words)


def test_answers_stand_in_place_of_the_three_dots_and_nowhere_else() -> None:
    edition = {
        "cells": [
            cell("code", "pressure_bar = ...  # bar\n# Write it.\nword = ...", "a", solution=True),
            cell("code", "pressure_bar = ...", "b", locked=True),
            cell("markdown", "Write your answer here.", "c", solution=True, grade=True),
        ]
    }
    written = with_answers(edition, {"pressure_bar": 1.05, "word": 'say "hi"'}, "Because.")
    assert [one["source"] for one in written["cells"]] == [
        'pressure_bar = 1.05  # bar\n# Write it.\nword = "say \\"hi\\""',
        "pressure_bar = ...",
        "Because.",
    ]
    assert with_answers(edition, {}, "") == edition


def test_loops_and_edited_checks_are_what_they_say() -> None:
    notebook = small_notebook()
    looping, edited = with_endless_loop(notebook), with_edited_check(notebook)
    assert next(one for one in looping["cells"] if "while" in one["source"])["metadata"] == {}
    assert len(looping["cells"]) == len(notebook["cells"]) + 1
    assert CHECK in notebook["cells"][5]["source"]
    assert CHECK not in edited["cells"][5]["source"]


def stand_in(folder: Path) -> Path:
    """A demo folder whose lesson is the small one, so that the whole run takes seconds."""
    prepare_folder(folder, CAST)
    text = (folder / "course.toml").read_text("utf-8").replace("cell_seconds = 5", "cell_seconds = 1")
    (folder / "course.toml").write_text(text.replace("[grading]", 'source_notebooks = "lessons"\n[grading]'), "utf-8")
    notebook = json.loads(json.dumps(small_notebook()).replace("91-gauges", LESSON))
    write_notebook(folder / "lessons" / LESSON / f"{LESSON}.ipynb", notebook)
    return folder


def give_points_by_hand(folder: Path, student: str, points: float) -> None:
    """As formgrader does it."""
    from nbgrader.api import Gradebook

    with private_settings(), Gradebook(f"sqlite:///{folder / 'gradebook.db'}", "demo-class") as gradebook:
        grade = gradebook.find_grade("q2-explain", LESSON, LESSON, student)
        grade.manual_score, grade.needs_manual_grade = points, False
        gradebook.db.commit()


def everything_of(demo: Demo) -> dict[str, tuple[str, float, bool]]:
    return {
        result.student: (result.status, result.score, result.waits_for_a_person)
        for result in demo.graded.record.results
    }


@pytest.mark.slow
def test_built_twice_it_keeps_what_was_done_in_between(tmp_path: Path) -> None:
    folder = stand_in(tmp_path / "a demo")
    steps: list[str] = []
    first = build_demo(folder, progress=lambda step, done, of: steps.append(step))
    record = first.graded.record
    assert (len(record.results), len(record.not_submitted)) == (22, 2)
    assert {"students at work", "handing in", "grading"} <= set(steps)
    assert first.report.is_file() and first.table.is_file()
    assert len(list(first.feedback.glob(f"*/{LESSON}/{LESSON}.html"))) == 22
    flagged = {result.student: " ".join(result.reasons) for result in first.graded.to_look_at}
    assert "ran longer than 1 s" in flagged[PARTS["endless loop"]]
    assert "had been changed" in flagged[PARTS["edited check"]]
    assert any("22 of 24 invented students" in line for line in demo_lines(first))
    handed_in = json.loads((folder / "submitted" / "aquendor" / LESSON / f"{LESSON}.ipynb").read_text("utf-8"))
    assert any(one.get("outputs") for one in handed_in["cells"])  # really run

    give_points_by_hand(folder, "aquendor", 2.5)
    changed = folder / "submitted" / "bteslow" / LESSON / f"{LESSON}.ipynb"
    changed.write_text(changed.read_text("utf-8").replace("pressure_bar = ", "pressure_bar = 0 * "), encoding="utf-8")
    steps.clear()
    second = build_demo(folder, progress=lambda step, done, of: steps.append(step))
    before, after = everything_of(first), everything_of(second)
    assert "students at work" not in steps
    assert after.pop("aquendor") == ("graded", before.pop("aquendor")[1] + 2.5, False)
    assert after.pop("bteslow")[1] == 0 < before.pop("bteslow")[1]
    assert after == before
    assert "0 * " in changed.read_text("utf-8")


def test_an_unfinished_class_is_finished(tmp_path: Path) -> None:
    """Killed after the first files: the next run goes on from there."""
    folder = tmp_path / "killed"
    prepare_folder(folder, CAST)
    for name in random.Random(1).sample(["course.toml", "roster.csv", "nbgrader_config.py"], 2):
        (folder / name).unlink()
    prepare_folder(folder, CAST)
    assert len(load_course(folder).roster) == 24


@pytest.mark.slow
def test_the_demo_as_it_is_typed(tmp_path: Path) -> None:
    """The real lesson: every slip is made and named, each special hand-in is told apart, formgrader shows the class."""
    folder = tmp_path / "demo class"
    built = json.loads(typed_demo(folder))
    assert (built["students"], built["handed_in"]) == (24, 22)
    assert built["not_handed_in"] == ["vnimbrey", "xthorvane"]
    course = load_course(folder)
    record = read_record(course, course.lesson("02"))
    results = {result.student: result for result in record.results}
    key = load_key(course.folder.notebook(course.folder.source, LESSON))
    made = {(question.grade_id, question.slip) for result in record.results for question in result.questions}
    assert slips_that_can_be_made(key, [member.student.id for member in CAST]) <= made

    by_machine = sum(key.points.values()) - sum(question.points for question in key.manual.values())
    assert results["eyarrowen"].score == by_machine
    assert {question.outcome for question in results[PARTS["blank"]].questions} == {"not answered"}
    assert results[PARTS["blank"]].score == 0
    assert {"form"} <= {question.outcome for question in results[PARTS["text"]].questions}
    assert "had been changed" in " ".join(results[PARTS["edited check"]].suspicions)
    loop = results[PARTS["endless loop"]]
    assert "ran longer than 5 s" in " ".join(loop.reasons)
    assert loop.score > 0  # what stood before and after the loop counts
    assert "are right for the readings of eyarrowen" in " ".join(results[PARTS["neighbour eyarrowen"]].suspicions)
    assert all(not results[member.student.id].reasons for member in CAST if not member.part)

    assert json.loads(typed_demo(folder))["mean_percent"] == built["mean_percent"]
    with open_workplace(folder, browser=False) as workplace:
        answer = urllib.request.build_opener(urllib.request.ProxyHandler({})).open(
            workplace.address(f"formgrader/api/submissions/{LESSON}"), timeout=30
        )
        shown = {one["student"]: one for one in json.loads(answer.read())}
    assert shown["eyarrowen"]["score"] == by_machine
    assert shown["eyarrowen"]["needs_manual_grade"] is True
    assert len(shown) == 22


def typed_demo(folder: Path) -> str:
    command = [sys.executable, "-m", "hvacr_lab", "demo", "--folder", str(folder), "--json"]
    outcome = subprocess.run(command, capture_output=True, text=True, check=False, timeout=300)
    assert outcome.returncode == 0, outcome.stderr
    assert "Warning" not in outcome.stderr
    return outcome.stdout


def slips_that_can_be_made(key: AnswerKey, students: list[str]) -> set[tuple[str, str]]:
    return {
        (grade_id, slip)
        for student in students
        for grade_id, entry in key.asked(student).items()
        for slip in entry.question.slip_answers(entry.readings)
    }
