"""The student editions in release/ are what the sources make today, and hold no keys; planted leaks are refused."""

from __future__ import annotations

import base64
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from hvacr_lab.classroom.leak_scan import scan, secrets_of
from hvacr_lab.classroom.release import write_editions
from hvacr_lab.errors import FileProblem

ROOT = Path(__file__).resolve().parents[2]
SOURCES = ROOT / "source_notebooks"
LESSONS = sorted(path.parent.name for path in SOURCES.glob("*/*.ipynb") if path.stem == path.parent.name)
EDITIONS = [(units, lesson) for units in ("si", "us") for lesson in LESSONS]


def files(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def test_every_edition_is_fresh(tmp_path: Path) -> None:
    """If this fails: python3 lab.py editions (and delete the folder of a lesson that is no longer there)."""
    write_editions(SOURCES, ROOT / "course", tmp_path)
    assert set(files(tmp_path)) == set(files(ROOT / "release"))
    stale = [name for name, content in files(tmp_path).items() if files(ROOT / "release")[name] != content]
    assert stale == []


@pytest.mark.parametrize(("units", "lesson"), EDITIONS)
def test_no_edition_holds_a_key(units: str, lesson: str) -> None:
    secrets = secrets_of(SOURCES / lesson)
    assert len(secrets.canaries) >= 6  # the scan knows what to look for
    assert len(secrets.shingles) > 100
    assert scan(SOURCES / lesson, ROOT / "release" / units / lesson) == ()


@pytest.mark.parametrize("lesson", LESSONS)
def test_every_hidden_block_has_a_canary_of_its_own(lesson: str) -> None:
    notebook = json.loads((SOURCES / lesson / f"{lesson}.ipynb").read_text("utf-8"))
    text = ["".join(cell["source"]) for cell in notebook["cells"]]
    blocks = sum("BEGIN HIDDEN TESTS" in source for source in text)
    assert len(secrets_of(SOURCES / lesson).canaries) == blocks


Notebook = dict[str, Any]


def _test_cell(notebook: Notebook) -> Notebook:
    found: Notebook = next(cell for cell in notebook["cells"] if "BEGIN HIDDEN TESTS" in "".join(cell["source"]))
    return found


def _set_source(cell: Notebook, text: str) -> None:
    cell["source"] = text


def _misspelt(notebook: Notebook) -> None:
    cell = _test_cell(notebook)
    _set_source(cell, "".join(cell["source"]).replace("HIDDEN TESTS", "HIDDEN TEST"))


def _small_letters(notebook: Notebook) -> None:
    cell = _test_cell(notebook)
    _set_source(cell, "".join(cell["source"]).replace("### BEGIN HIDDEN TESTS", "### begin hidden tests"))
    _set_source(cell, cell["source"].replace("### END HIDDEN TESTS", "### end hidden tests"))


def _notebook_metadata(notebook: Notebook) -> None:
    notebook["metadata"]["author_notes"] = "".join(_test_cell(notebook)["source"])


def _cell_metadata(notebook: Notebook) -> None:
    notebook["cells"][0]["metadata"]["key"] = "".join(_test_cell(notebook)["source"])


def _attachment(notebook: Notebook) -> None:
    picture = base64.b64encode("".join(_test_cell(notebook)["source"]).encode()).decode()
    notebook["cells"][0]["attachments"] = {"circuit.png": {"image/png": picture}}


def _side_file(notebook: Notebook) -> None:
    """The notebook is as it was; the key lies beside it (see the test)."""


PLANTED: dict[str, Callable[[Notebook], None]] = {
    "marker misspelt": _misspelt,
    "marker in small letters": _small_letters,
    "key in the notebook's metadata": _notebook_metadata,
    "key in a cell's metadata": _cell_metadata,
    "key in an attachment": _attachment,
    "key in a file beside it": _side_file,
}


@pytest.mark.parametrize("way", PLANTED)
@pytest.mark.parametrize("lesson", LESSONS)
def test_a_planted_leak_is_not_handed_out(tmp_path: Path, lesson: str, way: str) -> None:
    """The six ways that nbgrader 0.9.6 lets through without a word."""
    shutil.copytree(SOURCES / lesson, tmp_path / "sources" / lesson)
    path = tmp_path / "sources" / lesson / f"{lesson}.ipynb"
    notebook = json.loads(path.read_text("utf-8"))
    hidden = "".join(_test_cell(notebook)["source"])
    PLANTED[way](notebook)
    path.write_text(json.dumps(notebook), encoding="utf-8")
    if way == "key in a file beside it":
        (path.parent / "answers.csv").write_text(hidden, encoding="utf-8")
    with pytest.raises(FileProblem, match="the student edition would show a key"):
        write_editions(tmp_path / "sources", ROOT / "course", tmp_path / "release")
    assert not (tmp_path / "release" / "si" / lesson).exists()
