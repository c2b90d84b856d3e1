"""A small lesson and a small class of its own, so that the classroom is tested without a real lesson's bulk."""

from __future__ import annotations

import atexit
import functools
import json
import shutil
import tempfile
from pathlib import Path
from typing import Any

from hvacr_lab.classroom.course import load_course
from hvacr_lab.classroom.release import release_lesson

ROOT = Path(__file__).resolve().parents[2]
LESSON = "91-gauges"

COURSE = """\
title = "Gauges"
school = "Quarrow Hill Trade School"
course_id = "gauges"
units = "SI"
altitude_m = 430
salt = "a salt of the tests"
source_notebooks = "lessons"

[[lessons]]
name = "91-gauges"
due = 2030-01-15 17:00:00
"""
ROSTER = "id,first name,last name\nmfernlow,Mira,Fernlow\ntbraskin,Tomas,Braskin\nyolindar,Yara,Olindar\n"

CHECK = 'check_form(globals(), "pressure_bar", unit="bar")'
HIDDEN = (
    CHECK
    + """
### BEGIN HIDDEN TESTS
# key-canary: 5f0c19ab
Number("pressure_bar", title="Absolute pressure", unit="bar(a)", points=2, expected=lambda r: r.suction_pressure_pa,
       within=0.002, slips=(Slip("gauge-as-absolute", lambda r: r.suction_gauge_pa, credit=0.5),
                            Slip("sea-level-barometer", lambda r: r.suction_gauge_pa + 101_325))).mark(globals(), q1)
### END HIDDEN TESTS"""
)
SETUP = """\
from hvacr_lab.exercises import Number, Slip, check_form, open_sheet
sheet = open_sheet("91-gauges", salt="as written", units="SI", altitude_m=0.0)
def pipe(*, above_bar):
    return {"suction_pressure_pa": sheet.barometer_pa + above_bar * 1e5}"""
READINGS = 'q1 = sheet.readings("q1", pipe, show=("suction_pressure",), above_bar=(0.5, 3.0, 0.01))\nq1'


def cell(kind: str, source: str, grade_id: str = "", **flags: Any) -> dict[str, Any]:
    """A notebook cell; with a grade_id it is one of nbgrader's."""
    made: dict[str, Any] = {"cell_type": kind, "id": grade_id or f"c{abs(hash(source)) % 10**8}", "metadata": {}}
    if grade_id:
        plain = {"schema_version": 3, "grade_id": grade_id, "grade": False, "solution": False, "locked": False}
        made["metadata"]["nbgrader"] = plain | {"task": False} | flags
    made["source"] = source
    if kind == "code":
        made |= {"outputs": [], "execution_count": None}
    return made


def small_notebook() -> dict[str, Any]:
    """Set-up, readings, answer, test and a question for a person."""
    cells = [
        cell("markdown", "# Gauges\nWork from the top.", "title", locked=True),
        cell("code", SETUP, "setup", locked=True),
        cell("code", READINGS, "q1-pressure-readings", locked=True),
        cell("markdown", "**Absolute pressure, in bar?** Counted as right: within 0.002 bar."),
        cell(
            "code",
            "pressure_bar = ...  # bar\n### BEGIN SOLUTION\npressure_bar = q1.suction_pressure_pa / 1e5\n"
            "### END SOLUTION",
            "q1-pressure-answer",
            solution=True,
        ),
        cell("code", HIDDEN, "q1-pressure", grade=True, locked=True, points=2),
        cell(
            "markdown",
            "A gauge shows what is above the air around it, so the barometer must be added.",
            "q2-explain",
            grade=True,
            solution=True,
            points=3,
        ),
    ]
    kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
    return {"cells": cells, "metadata": {"kernelspec": kernel}, "nbformat": 4, "nbformat_minor": 5}


def write_notebook(path: Path, notebook: dict[str, Any]) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(notebook, indent=1) + "\n", encoding="utf-8")
    return path


def write_class(root: Path, *, course: str = COURSE, roster: str = ROSTER) -> Path:
    """Make a class folder."""
    root.mkdir()
    (root / "course.toml").write_text(course, encoding="utf-8")
    (root / "roster.csv").write_text(roster, encoding="utf-8")
    shutil.copyfile(ROOT / "course" / "nbgrader_config.py", root / "nbgrader_config.py")
    write_notebook(root / "lessons" / LESSON / f"{LESSON}.ipynb", small_notebook())
    return root


@functools.cache
def released_once() -> Path:
    """A class whose lesson is handed out, made once for all tests: a new gradebook takes nbgrader some seconds."""
    box = tempfile.TemporaryDirectory(prefix="hvacr-lab-tests-")
    atexit.register(box.cleanup)
    root = write_class(Path(box.name) / "a class")
    course = load_course(root)
    release_lesson(course, course.lesson(LESSON))
    return root
