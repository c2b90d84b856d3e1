"""Lesson 02 as it runs in JupyterLab: the instructor's solution and the untouched student edition, in a real kernel."""

from __future__ import annotations

import copy
from typing import Any

import nbformat
import pytest
from lesson_02 import EDITIONS, flags, notebook
from nbclient import NotebookClient
from nbgrader.preprocessors import ClearHiddenTests, ClearSolutions
from nbgrader.utils import determine_grade


def student_edition(source: nbformat.NotebookNode) -> nbformat.NotebookNode:
    """Without solutions and keys, as nbgrader makes it with the course's settings."""
    stub = "# Write your answer in place of the three dots."
    for step in (ClearSolutions(code_stub={"python": stub}), ClearHiddenTests()):
        source, _ = step.preprocess(source, {})
    return source


def executed(edition: str, solved: bool, monkeypatch: pytest.MonkeyPatch) -> nbformat.NotebookNode:
    monkeypatch.setenv("HVACR_LAB_STUDENT", "b.two")
    source = nbformat.from_dict(copy.deepcopy(notebook(edition)))
    for cell in source.cells:
        cell.source = "".join(cell.source)
    book = source if solved else student_edition(source)
    NotebookClient(book, timeout=60, kernel_name="python3").execute()
    return book


def outputs(book: nbformat.NotebookNode) -> list[dict[str, Any]]:
    return [output for cell in book.cells if cell.cell_type == "code" for output in cell.outputs]


@pytest.mark.parametrize("solved", [True, False], ids=["solved", "untouched"])
@pytest.mark.parametrize("edition", EDITIONS)
def test_runs_from_start_to_end_without_a_warning(edition: str, solved: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    book = executed(edition, solved, monkeypatch)
    assert {output["output_type"] for output in outputs(book)} <= {"execute_result", "display_data"}
    tests = [cell for cell in book.cells if flags(cell).get("grade") and not flags(cell)["solution"]]
    if solved:  # stock nbgrader reads the points from what the test cell shows
        assert [determine_grade(cell) for cell in tests] == [(flags(cell)["points"],) * 2 for cell in tests]
    else:
        shown = ["".join(output["data"]["text/plain"]) for cell in tests for output in cell.outputs]
        assert len(shown) == len(tests)
        assert all("ot answered yet. Write your answer in place of the three dots." in text for text in shown)
        opened = [output for output in outputs(book) if "The table opens when" in output["data"]["text/plain"]]
        assert len(opened) == 2  # nobody sees what happens before saying what to expect
    assert "Numbers for student: b.two." in str(outputs(book)[0]["data"]["text/plain"])


def test_every_picture_and_table_says_the_same_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    book = executed("SI", False, monkeypatch)
    html = ["".join(output["data"]["text/html"]) for output in outputs(book) if "text/html" in output["data"]]
    pictures = [text for text in html if "<img" in text]
    assert len(pictures) == 1
    assert 'alt="The refrigerant flows from the compressor' in pictures[0]
    for output in outputs(book):
        assert output["data"]["text/plain"]
        assert "image/svg+xml" not in output["data"]  # it breaks printing through LaTeX
