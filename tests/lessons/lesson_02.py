"""Lesson 02 as the proofs need it: both editions, their keys, and the solutions of the source run on any sheet."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from hvacr_lab.exercises.editions import us_edition
from hvacr_lab.grading.keys import AnswerKey, Asked, load_key

ROOT = Path(__file__).resolve().parents[2]
LESSON = "02-refrigerant-states"
SOURCE = ROOT / "source_notebooks" / LESSON / f"{LESSON}.ipynb"
US_FILE = SOURCE.parent / "us.toml"
HIDDEN = re.compile(r"### BEGIN HIDDEN TESTS.*?### END HIDDEN TESTS", flags=re.DOTALL)
STUDENTS = tuple(f"student.{number:03d}" for number in range(200))
EDITIONS = ("SI", "US")


@cache
def notebook(edition: str) -> dict[str, Any]:
    """The source in an edition, keys and all, as the release step makes it."""
    source = json.loads(SOURCE.read_text(encoding="utf-8"))
    if edition == "SI":
        return dict(source)
    changed = json.dumps(us_edition(source, US_FILE))
    return dict(json.loads(changed.replace('units=\\"SI\\"', 'units=\\"US\\"')))


def text_of(cell: Mapping[str, Any]) -> str:
    return "".join(cell["source"])


def flags(cell: Mapping[str, Any]) -> Mapping[str, Any]:
    return cell["metadata"].get("nbgrader", {})


def code_cells(edition: str) -> list[dict[str, Any]]:
    return [cell for cell in notebook(edition)["cells"] if cell["cell_type"] == "code"]


def key_of(edition: str, folder: Path) -> AnswerKey:
    """The answer key of an edition, made from a file as the grader makes it."""
    path = folder / edition / LESSON / f"{LESSON}.ipynb"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(notebook(edition)), encoding="utf-8")
    return load_key(path)


@cache
def _solutions(edition: str) -> tuple[Any, Any]:
    """The import lines of the set-up cell, and all solution cells, compiled."""
    cells = code_cells(edition)
    set_up = next(text_of(cell) for cell in cells if "open_sheet(" in text_of(cell))
    imports = "\n".join(line for line in set_up.splitlines() if line.startswith("from "))
    solutions = "\n".join(text_of(cell) for cell in cells if flags(cell).get("solution"))
    return compile(imports, "set-up", "exec"), compile(solutions, "solutions", "exec")


def instructors_answers(edition: str, asked: Mapping[str, Asked]) -> dict[str, Any]:
    """What the solution cells of the source come to on a student's readings: the second, independent way."""
    namespace: dict[str, Any] = {name.split("-")[0]: entry.readings for name, entry in asked.items()}
    for code in _solutions(edition):
        exec(code, namespace)
    return namespace


def settings_of(question: str) -> dict[str, Any]:
    """Ranges and fixed settings that stand in a question's readings cell."""
    for cell in code_cells("SI"):
        tree = ast.parse(HIDDEN.sub("", text_of(cell)))
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and node.args and ast.unparse(node.args[0]) == repr(question):
                keywords = {word.arg: word.value for word in node.keywords if word.arg not in ("ask", "show", "items")}
                return {str(name): ast.literal_eval(value) for name, value in keywords.items()}
    raise LookupError(question)
