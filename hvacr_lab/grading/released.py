"""The lesson as it was handed out: what every submission is compared with, and what keys are read from."""

from __future__ import annotations

import ast
import contextlib
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hvacr_lab.errors import FileProblem
from hvacr_lab.grading.claims import CodeCell


@dataclass(frozen=True, slots=True)
class Release:
    """The lesson as it was handed out.

    Parameters
    ----------
    lesson : str
    notebook : dict as in the .ipynb file, sources as text
    cells : grade_id -> cell, in the order of the notebook
    """

    lesson: str
    notebook: dict[str, Any]
    cells: Mapping[str, dict[str, Any]]

    @property
    def title(self) -> str:
        """The lesson's title in words: its first heading."""
        for cell in self.notebook["cells"]:
            heading = re.search(r"^#\s+(.+)$", cell["source"], flags=re.MULTILINE)
            if cell["cell_type"] == "markdown" and heading:
                return heading[1].strip()
        return self.lesson

    @property
    def imports(self) -> tuple[str, ...]:
        """Import statements of its code cells: what a warm template had better load before the first student."""
        found: dict[str, None] = {}
        for cell in self.notebook["cells"]:
            if cell["cell_type"] == "code":
                found |= dict.fromkeys(_import_lines(cell["source"]))
        return tuple(found)

    @property
    def answer_cells(self) -> dict[str, str]:
        """Graded cell -> the cell in which its answer stands: the last one above a check, a marked text itself."""
        found, last = {}, ""
        for name, cell in self.cells.items():
            if not is_locked(cell):
                last = name
            if cell["metadata"]["nbgrader"].get("grade"):
                found[name] = last
        return found


def read_release(path: Path) -> Release:
    """Read the released notebook of a lesson.

    Parameters
    ----------
    path : Path of release/LESSON/LESSON.ipynb

    Returns
    -------
    Release

    Raises
    ------
    FileProblem : it is missing or no notebook
    """
    try:
        notebook = json.loads(path.read_text(encoding="utf-8"))
        for cell in notebook["cells"]:
            cell["source"] = joined(cell["source"])
    except FileNotFoundError:
        raise FileProblem(path, "the lesson has not been released to this class yet") from None
    except (OSError, ValueError, KeyError, TypeError) as problem:
        raise FileProblem(path, f"cannot be read as a notebook ({problem})") from None
    cells = {grade_id(cell): cell for cell in notebook["cells"] if grade_id(cell)}
    return Release(path.stem, notebook, cells)


def code_cells(notebook: Mapping[str, Any]) -> tuple[CodeCell, ...]:
    """The code cells of a notebook, ready to be run.

    Parameters
    ----------
    notebook : dict as in the .ipynb file

    Returns
    -------
    tuple of CodeCell, in order
    """
    return tuple(
        CodeCell(joined(cell["source"]), grade_id(cell)) for cell in notebook["cells"] if cell["cell_type"] == "code"
    )


def grade_id(cell: Mapping[str, Any]) -> str:
    """nbgrader's id of a cell.

    Parameters
    ----------
    cell : dict

    Returns
    -------
    str, "" for a cell without one
    """
    metadata = cell.get("metadata")
    marks = metadata.get("nbgrader") if isinstance(metadata, dict) else None
    found = marks.get("grade_id") if isinstance(marks, dict) else None
    return found if isinstance(found, str) else ""


def is_locked(cell: Mapping[str, Any]) -> bool:
    """True for a cell that students must not change: a check, a reading, a set-up.

    Parameters
    ----------
    cell : dict of a released notebook

    Returns
    -------
    bool
    """
    marks = cell["metadata"].get("nbgrader", {})
    return not marks.get("solution") and bool(marks.get("grade") or marks.get("locked"))


def joined(source: object) -> str:
    """The text of a cell, which a notebook file may keep as one text or as a list of lines.

    Parameters
    ----------
    source : object, what stands in the file

    Returns
    -------
    str that can be written to a file
    """
    parts = source if isinstance(source, list) else [source]
    text = "".join(part for part in parts if isinstance(part, str))
    return text.encode("utf-8", "replace").decode("utf-8")


def _import_lines(source: str) -> Iterator[str]:
    with contextlib.suppress(SyntaxError):  # a cell with magics
        for node in ast.parse(source).body:
            if isinstance(node, (ast.Import, ast.ImportFrom)):
                yield ast.unparse(node)
