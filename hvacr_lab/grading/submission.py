"""Read what was handed in, whatever it is, and bring it back into the form of the released lesson.

The student's words count; ids, points, flags, checks and readings always come from the released notebook. What had to
be put back is said to the student (`reasons`); what looks like tampering is said to the instructor only (`suspicions`).
"""

from __future__ import annotations

import copy
import datetime
import hashlib
import json
import os
import re
import stat
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from hvacr_lab.grading.released import Release, grade_id, is_locked, joined

FILE_BYTES, _BRACKETS, _CELLS = 10_000_000, 100_000, 1_000
_IMAGE_NAME, _BASE64 = re.compile(r"[\w. -]{1,80}"), re.compile(r"[A-Za-z0-9+/=\s]*")
_FLAGS = ("grade", "solution", "locked", "task", "points")
_MISSING_ANSWER = {"code": "# this answer cell was missing from the hand-in", "markdown": "*(this cell was missing)*"}


@dataclass(frozen=True, slots=True)
class Submission:
    """What one student handed in, in the form of the release.

    Parameters
    ----------
    student : str, name of the folder it was in
    digest : str, SHA-256 of the file as it was handed in
    notebook : dict, repaired, without outputs; the bare release when the file could not be read
    readable : bool
    reasons, suspicions : sentences for the student, and for the instructor only
    submitted_at : ISO 8601 text, or "" when unknown
    unchanged : ids of answer cells that are as they were handed out, or missing
    """

    student: str
    digest: str
    notebook: dict[str, Any]
    readable: bool = True
    reasons: tuple[str, ...] = ()
    suspicions: tuple[str, ...] = ()
    submitted_at: str = ""
    unchanged: frozenset[str] = frozenset()


class _Unreadable(Exception):
    """The file is no notebook; the text says why, fit for the student."""


@dataclass(slots=True)
class _Notes:
    """What is found on the way."""

    reasons: list[str] = field(default_factory=list)
    suspicions: list[str] = field(default_factory=list)


def read_submission(folder: Path, release: Release, student: str) -> Submission:
    """Read a hand-in; this never fails, because a file that cannot be read is a result too.

    Parameters
    ----------
    folder : Path of submitted/STUDENT/LESSON
    release : Release to compare with
    student : str, as the folder's name says, never the notebook

    Returns
    -------
    Submission
    """
    submitted_at, notes = _submitted_at(folder), _Notes()
    digest = ""
    try:
        raw = _read_plain_file(_find_notebook(folder, release.lesson, notes))
        digest = hashlib.sha256(raw).hexdigest()
        found = list(_readable_cells(_parsed(raw)))
    except _Unreadable as why:
        reason = f"{why} It was given 0 points; ask your instructor to look at it."
        digest = digest or hashlib.sha256(str(why).encode()).hexdigest()
        return Submission(student, digest, _bare(release), False, (reason,), (), submitted_at)
    cells = _in_release_order(_only_last_copies(found, release, notes), release, notes)
    notebook = _notebook(release, [_repaired(cell, release, notes) for cell in cells])
    reasons, suspicions = tuple(notes.reasons), tuple(notes.suspicions)
    return Submission(student, digest, notebook, True, reasons, suspicions, submitted_at, _unchanged(notebook, release))


def file_digest(folder: Path, lesson: str) -> str:
    """SHA-256 of a hand-in as it lies there, the same that :func:`read_submission` gives.

    Parameters
    ----------
    folder : Path of submitted/STUDENT/LESSON
    lesson : str

    Returns
    -------
    str
    """
    try:
        return hashlib.sha256(_read_plain_file(_find_notebook(folder, lesson, _Notes()))).hexdigest()
    except _Unreadable as why:
        return hashlib.sha256(str(why).encode()).hexdigest()


def read_small_file(path: Path) -> bytes:
    """Read an ordinary file that nbgrader puts beside a hand-in; links are not followed.

    Parameters
    ----------
    path : Path

    Returns
    -------
    bytes, empty when there is no such file
    """
    try:
        return _read_plain_file(path)[:1000]
    except _Unreadable:
        return b""


def _unchanged(notebook: Mapping[str, Any], release: Release) -> frozenset[str]:
    answers = [cell for cell in notebook["cells"] if grade_id(cell) and not is_locked(cell)]
    return frozenset(
        grade_id(cell)
        for cell in answers
        if cell["source"] in _MISSING_ANSWER.values() or _same(cell["source"], release.cells[grade_id(cell)]["source"])
    )


def _find_notebook(folder: Path, lesson: str, notes: _Notes) -> Path:
    expected = folder / f"{lesson}.ipynb"
    if os.path.lexists(expected):
        return expected
    others = sorted(folder.glob("*.ipynb")) if folder.is_dir() else []
    if len(others) == 1:
        notes.reasons.append(f"Your notebook was not named {expected.name}; it was taken all the same.")
        return others[0]
    raise _Unreadable(f"There is no notebook {expected.name} in your hand-in.")


def _read_plain_file(path: Path) -> bytes:
    try:
        descriptor = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
    except OSError:
        raise _Unreadable("Your notebook is a link, or a file that cannot be opened.") from None
    with os.fdopen(descriptor, "rb") as file:
        if not stat.S_ISREG(os.fstat(descriptor).st_mode):
            raise _Unreadable("Your notebook is not an ordinary file.")
        raw = file.read(FILE_BYTES + 1)
    if len(raw) > FILE_BYTES:
        raise _Unreadable(f"Your notebook is larger than {FILE_BYTES // 1_000_000} MB. Clear its outputs.")
    return raw


def _parsed(raw: bytes) -> dict[str, Any]:
    not_a_notebook = _Unreadable("Your file cannot be read as a notebook: it is damaged, or something else.")
    if raw.count(b"[") + raw.count(b"{") > _BRACKETS:
        raise not_a_notebook
    try:
        notebook = json.loads(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        raise not_a_notebook from None
    if not isinstance(notebook, dict) or not isinstance(notebook.get("cells"), list):
        raise not_a_notebook
    if len(notebook["cells"]) > _CELLS:
        raise _Unreadable(f"Your notebook has more than {_CELLS} cells.")
    return notebook


def _readable_cells(notebook: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """Cells with only what is used later: type, text, pictures and nbgrader's marks."""
    for cell in notebook["cells"]:
        if isinstance(cell, dict):
            metadata = cell.get("metadata")
            marks = metadata.get("nbgrader") if isinstance(metadata, dict) else None
            yield {
                "cell_type": "code" if cell.get("cell_type") == "code" else "markdown",
                "source": joined(cell.get("source")),
                "metadata": {"nbgrader": marks} if isinstance(marks, dict) else {},
                "attachments": _pictures(cell.get("attachments")),
            }


def _pictures(attachments: object) -> dict[str, dict[str, str]]:
    """Pictures that were dropped into a text cell; nothing else is kept."""
    kept: dict[str, dict[str, str]] = {}
    for name, bundle in attachments.items() if isinstance(attachments, dict) else ():
        for mime in ("image/png", "image/jpeg"):
            data = bundle.get(mime) if isinstance(bundle, dict) else None
            if isinstance(data, str) and _IMAGE_NAME.fullmatch(name) and _BASE64.fullmatch(data):
                kept[name] = {mime: data}
    return kept


def _only_last_copies(found: Sequence[dict[str, Any]], release: Release, notes: _Notes) -> list[dict[str, Any]]:
    """Copy and paste copies the id too: the last cell with an id is the one; earlier ones and foreign ids are plain."""
    seen: set[str] = set()
    twice: dict[str, None] = {}
    for cell in reversed(found):
        name = grade_id(cell)
        if name in seen:
            twice[name] = None
        if name in seen or name not in release.cells:
            cell["metadata"] = {}
        seen.add(name)
    for name in (name for name in release.cells if name in twice):
        notes.reasons.append(f"The cell {name} stands more than once in your notebook; the last one counts.")
    return list(found)


def _in_release_order(cells: Iterable[dict[str, Any]], release: Release, notes: _Notes) -> list[dict[str, Any]]:
    """Known cells in the order of the release, missing ones put back; plain cells stay behind the cell they follow."""
    before: list[dict[str, Any]] = []
    groups: dict[str, list[dict[str, Any]]] = {}
    group = before
    for cell in cells:
        if grade_id(cell):
            group = groups.setdefault(grade_id(cell), [])
        group.append(cell)
    if list(groups) != [name for name in release.cells if name in groups]:
        notes.reasons.append("Cells stood in another order than in the lesson; they were put back in order.")
    ordered = before
    for name, released in release.cells.items():
        if name not in groups:
            notes.reasons.append(f"The cell {name} was missing from your notebook; it was put back.")
        ordered = ordered + groups.get(name, [_put_back(released)])
    return ordered


def _put_back(released: Mapping[str, Any]) -> dict[str, Any]:
    cell = copy.deepcopy(dict(released))
    if not is_locked(cell):
        cell["source"] = _MISSING_ANSWER[cell["cell_type"]]
    return cell


def _repaired(cell: dict[str, Any], release: Release, notes: _Notes) -> dict[str, Any]:
    """One cell: the student's words where they may write, everything else as it was released."""
    name = grade_id(cell)
    if not name:
        return {key: cell[key] for key in ("cell_type", "source", "metadata", "attachments")}
    released = release.cells[name]
    _look_at_marks(name, cell["metadata"]["nbgrader"], released["metadata"]["nbgrader"], notes)
    if is_locked(released):
        if not _same(cell["source"], released["source"]):
            kind = "check" if released["metadata"]["nbgrader"].get("grade") else "locked cell"
            notes.reasons.append(f"The {kind} {name} had been changed; it was put back as it was handed out.")
            notes.suspicions.append(f"The {kind} {name} had been changed.")
        return copy.deepcopy(released)
    fresh = copy.deepcopy(released)
    return fresh | {"source": cell["source"], "attachments": cell.get("attachments", {})}


def _look_at_marks(name: str, claimed: Mapping[str, Any], released: Mapping[str, Any], notes: _Notes) -> None:
    changed = [flag for flag in _FLAGS if flag in claimed and claimed[flag] != released.get(flag)]
    if "points" in changed:
        points = str(claimed["points"])[:20]
        notes.suspicions.append(f"The points of {name} had been set to {points} instead of {released.get('points')}.")
    elif changed:
        notes.suspicions.append(f"The settings of the cell {name} had been changed ({', '.join(changed)}).")


def _same(one: str, other: str) -> bool:
    """Equal but for the ends of lines and of the text."""
    return [line.rstrip() for line in one.strip().splitlines()] == [
        line.rstrip() for line in other.strip().splitlines()
    ]


def _notebook(release: Release, cells: Iterable[dict[str, Any]]) -> dict[str, Any]:
    """A valid notebook with the release's own settings and ids that are all different."""
    notebook = {key: copy.deepcopy(value) for key, value in release.notebook.items() if key != "cells"}
    notebook["cells"] = [_valid(cell, number) for number, cell in enumerate(cells)]
    return notebook


def _valid(cell: Mapping[str, Any], number: int) -> dict[str, Any]:
    kept = {"cell_type": cell["cell_type"], "metadata": cell["metadata"], "source": cell["source"]}
    kept["id"] = f"cell-{number}"
    if cell["cell_type"] == "code":
        return kept | {"execution_count": None, "outputs": []}
    return kept | ({"attachments": cell["attachments"]} if cell.get("attachments") else {})


def _bare(release: Release) -> dict[str, Any]:
    return _notebook(release, [_put_back(cell) for cell in release.cells.values()])


def _submitted_at(folder: Path) -> str:
    """nbgrader's timestamp.txt ("2027-01-15 16:59:59.123456 UTC") as ISO 8601 text."""
    try:
        text = read_small_file(folder / "timestamp.txt").decode().strip()
        return datetime.datetime.fromisoformat(text.replace(" UTC", "+00:00")).isoformat()
    except ValueError:
        return ""
