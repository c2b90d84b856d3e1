"""A class with one small lesson of its own, for the tests of grading: made with nbgrader, as a real one is."""

from __future__ import annotations

import copy
import json
import re
import warnings
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from hvacr_lab.grading.folders import ClassFolder
from hvacr_lab.grading.records import Student

LESSON = "01-pipes"
Notebook = dict[str, Any]
ROSTER = tuple(
    Student(f"{name.lower()}.{family.lower()}", name, family)
    for name, family in (
        *(("Ada", "Amber"), ("Ben", "Birch"), ("Cleo", "Clay"), ("Dan", "Dove"), ("Eve", "Elm"), ("Fay", "Fern")),
        *(("Gus", "Gale"), ("Hal", "Hill"), ("Ida", "Iris"), ("Jon", "Jay"), ("Kim", "Kite"), ("Leo", "Lake")),
    )
)

_SETUP = """\
from hvacr_lab.exercises import Choice, Number, Slip, check_form, open_sheet
import matplotlib.pyplot as plt
sheet = open_sheet("01-pipes", salt="small-class", units="SI", altitude_m=430.0)
def pipes(warm, cold):
    return {"liquid_pipe_k": warm, "suction_pipe_k": cold}
sheet"""
_READINGS = """\
{q} = sheet.readings("{q}", pipes, show=("liquid_pipe", "suction_pipe"),
                      warm=(300.0, 320.0, 0.1), cold=(270.0, 285.0, 0.1))
{q}"""
_CHECK = """\
check_form(globals(), "{name}", unit="K")
### BEGIN HIDDEN TESTS
# key-canary: {canary}
Number(
    "{name}", title="{title}", unit="K", quantity="temperature difference", points=2, within=0.3,
    expected=lambda r: {factor} * (r.liquid_pipe_k - r.suction_pipe_k),
    slips=(Slip("sign", lambda r: {factor} * (r.suction_pipe_k - r.liquid_pipe_k), credit=0.25),),
    worked=lambda r: ("liquid pipe minus suction pipe",),
).mark(globals(), {q})
### END HIDDEN TESTS"""
_CHOICE = """\
check_form(globals(), "warmer", words=("liquid", "suction"))
### BEGIN HIDDEN TESTS
Choice("warmer", title="Which pipe is warmer", points=1, options=("liquid", "suction"),
       expected=lambda r: "liquid").mark(globals(), q1)
### END HIDDEN TESTS"""
NUMBERS = {"q1": ("difference_k", 1), "q2": ("twice_k", 2), "q3": ("thrice_k", 3)}
"""Question -> name of its answer, and how many times the difference of the two pipes it asks for."""


def _cell(kind: str, source: str, name: str = "", **marks: Any) -> dict[str, Any]:
    cell: dict[str, Any] = {"cell_type": kind, "metadata": {}, "source": source}
    if name:
        flags = {
            "schema_version": 3,
            "grade_id": name,
            "grade": False,
            "solution": False,
            "locked": False,
            "task": False,
        }
        cell["metadata"]["nbgrader"] = flags | marks
    if kind == "code":
        cell |= {"execution_count": None, "outputs": []}
    return cell


def _question(number: int, q: str, name: str, factor: int) -> list[dict[str, Any]]:
    right = f"{name} = {factor} * ({q}.liquid_pipe_k - {q}.suction_pipe_k)"
    answer = f"{name} = ...\n### BEGIN SOLUTION\n{right}\n### END SOLUTION"
    facts = {
        "q": q,
        "name": name,
        "title": f"Difference, {factor} times",
        "factor": factor,
        "canary": f"0f0f0f{number:02d}",
    }
    return [
        _cell("markdown", f"## Question {number}"),
        _cell("code", _READINGS.format(**facts), f"{q}-pipes-readings", locked=True),
        _cell("code", answer, f"{q}-pipes-answer", solution=True),
        _cell("code", _CHECK.format(**facts), f"{q}-pipes", grade=True, locked=True, points=2),
    ]


def source_notebook() -> Notebook:
    """The lesson with its keys."""
    questions = [cell for number, (q, facts) in enumerate(NUMBERS.items(), 1) for cell in _question(number, q, *facts)]
    cells = [
        _cell("markdown", "# Two pipes\nTouch both."),
        _cell("code", _SETUP, "setup", locked=True),
        *questions,
        _cell(
            "code",
            'warmer = ...\n### BEGIN SOLUTION\nwarmer = "liquid"\n### END SOLUTION',
            "q4-warmer-answer",
            solution=True,
        ),
        _cell("code", _CHOICE, "q4-warmer", grade=True, locked=True, points=1),
        _cell("markdown", "## Say why"),
        _cell("markdown", "Write here.", "q9-explain", grade=True, solution=True, points=3),
    ]
    for number, cell in enumerate(cells):
        cell["id"] = f"source-{number}"
    kernel = {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"}
    return {"cells": cells, "metadata": {"kernelspec": kernel}, "nbformat": 4, "nbformat_minor": 5}


def nbgrader_config(root: Path) -> Any:
    """nbgrader's settings for this class."""
    from traitlets.config import Config

    config = Config()
    config.CourseDirectory.root, config.CourseDirectory.course_id = str(root), "small"
    config.CourseDirectory.db_url = f"sqlite:///{root}/gradebook.db"
    config.ClearSolutions.code_stub = {"python": "# Write your answer in place of the three dots."}
    config.ClearSolutions.enforce_metadata = False
    return config


def make_class(root: Path, notebook: Notebook | None = None, lesson: str = LESSON) -> ClassFolder:
    """Write the source, make the release and the gradebook."""
    folder = ClassFolder(root)
    path = folder.notebook(folder.source, lesson)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(notebook or source_notebook()))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # nbgrader's own
        from nbgrader.apps.api import NbGraderAPI

        made = NbGraderAPI(config=nbgrader_config(root)).generate_assignment(lesson, force=True)
    assert made["success"], made
    return folder


def released(folder: ClassFolder, lesson: str = LESSON) -> Notebook:
    """The student edition."""
    notebook: Notebook = json.loads(folder.notebook(folder.release, lesson).read_text())
    return notebook


def solved(folder: ClassFolder, lesson: str) -> Notebook:
    """The student edition with the instructor's own solutions in the answer cells: right for whoever runs it."""
    notebook, source = released(folder, lesson), json.loads(folder.notebook(folder.source, lesson).read_text())
    for cell in notebook["cells"]:
        if cell["metadata"].get("nbgrader", {}).get("solution") and cell["cell_type"] == "code":
            cell["source"] = source_of(cell_of(source, cell["metadata"]["nbgrader"]["grade_id"]))
    return notebook


def cell_of(notebook: Notebook, name: str) -> dict[str, Any]:
    """The cell with an nbgrader id."""
    found: dict[str, Any] = next(
        cell for cell in notebook["cells"] if cell["metadata"].get("nbgrader", {}).get("grade_id") == name
    )
    return found


def source_of(cell: Mapping[str, Any]) -> str:
    """A cell's text."""
    return "".join(cell["source"])


def with_answers(notebook: Notebook, answers: Mapping[str, str], text: str = "") -> Notebook:
    """Write answers (Python text) in place of the three dots, and a text for the person who marks."""
    filled = copy.deepcopy(notebook)
    for cell in filled["cells"]:
        if cell["cell_type"] == "code" and cell["metadata"].get("nbgrader", {}).get("solution"):
            for name, value in answers.items():
                cell["source"] = re.sub(
                    rf"^{name} = \.\.\.", lambda _, n=name, v=value: f"{n} = {v}", source_of(cell), flags=re.M
                )
    if text:
        cell_of(filled, "q9-explain")["source"] = text
    return filled


def right_answers(folder: ClassFolder, student: str) -> dict[str, str]:
    """What this student has to write."""
    from hvacr_lab.grading.keys import load_key

    asked = load_key(folder.notebook(folder.source, LESSON)).asked(student).values()
    return {
        name: repr(value) for entry in asked for name, value in entry.question.right_answers(entry.readings).items()
    }


def hand_in(folder: ClassFolder, student: str, content: Notebook | bytes, lesson: str = LESSON) -> Path:
    """Put a notebook where collect would put it."""
    path = folder.notebook(folder.submitted, lesson, student)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content if isinstance(content, bytes) else json.dumps(content).encode())
    (path.parent / "timestamp.txt").write_text("2027-01-15 16:59:59 UTC")
    return path


def honest(folder: ClassFolder, student: str, text: str = "It cools the air.") -> Notebook:
    """Everything right."""
    return with_answers(released(folder), right_answers(folder, student), text)
