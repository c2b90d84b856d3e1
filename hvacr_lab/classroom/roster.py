"""roster.csv: who is in the class. Tolerant of what spreadsheets write, strict about what an id may be."""

from __future__ import annotations

import csv
import re
from pathlib import Path

from hvacr_lab.errors import FileProblem
from hvacr_lab.grading.records import Student

# headings as schools' programs write them, small letters and single blanks
_HEADINGS = {
    "id": ("id", "student", "student id", "user", "username", "user name", "login"),
    "first name": ("first name", "firstname", "given name", "forename"),
    "last name": ("last name", "lastname", "family name", "surname"),
}
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,31}")  # a folder name everywhere; nbgrader splits at "+"
_ID_LIMIT = "An id has 1 to 32 letters, digits, dots, hyphens or underscores, and begins with a letter or digit."


def read_roster(path: Path) -> tuple[Student, ...]:
    """Read the students of a class.

    Commas, semicolons or tabs, any order of columns, a byte-order mark and empty lines are all right.

    Parameters
    ----------
    path : Path of roster.csv: columns id, first name, last name

    Returns
    -------
    tuple of Student, in the order of the file

    Raises
    ------
    FileProblem : no such file, a column missing, an id that cannot be used or stands there twice
    """
    text = _text(path)
    heading_line = next((line for line in text.splitlines() if line.strip()), "")
    rows = csv.reader(text.splitlines(), delimiter=max(",;\t", key=heading_line.count), skipinitialspace=True)
    columns: dict[str, int] | None = None
    students: dict[str, Student] = {}
    for row in rows:
        cells = [cell.strip() for cell in row]
        if not any(cells):
            continue
        if columns is None:
            columns = _columns(path, cells, rows.line_num)
            continue
        student = _student(path, cells, columns, rows.line_num)
        if student.id.lower() in students:
            raise FileProblem(path, f"the id {student.id!r} stands there twice. Give each student an own one.",
                              line=rows.line_num)  # fmt: skip
        students[student.id.lower()] = student
    if not students:
        raise FileProblem(path, "there is no student in it. Write one line for each: id,first name,last name")
    return tuple(students.values())


def _text(path: Path) -> str:
    """The file as text: UTF-8 with or without a mark, or what older spreadsheets write on Windows."""
    try:
        raw = path.read_bytes()
    except OSError as problem:
        raise FileProblem(path, f"cannot be read ({problem.strerror}). Columns: id,first name,last name") from None
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            return raw.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise FileProblem(path, "is not text. Save it as CSV (UTF-8).")


def _columns(path: Path, cells: list[str], line: int) -> dict[str, int]:
    """Where each column stands, from the heading line."""
    headings = [re.sub(r"[\s_]+", " ", cell).lower() for cell in cells]
    found = {}
    for name, spellings in _HEADINGS.items():
        places = [headings.index(spelling) for spelling in spellings if spelling in headings]
        if not places:
            raise FileProblem(
                path, f"no column {name!r} in the heading. The first line reads: id,first name,last name", line=line
            )
        found[name] = places[0]
    return found


def _student(path: Path, cells: list[str], columns: dict[str, int], line: int) -> Student:
    """One line of the roster."""
    values = {name: cells[place] if place < len(cells) else "" for name, place in columns.items()}
    if not _ID.fullmatch(values["id"]):
        raise FileProblem(path, f"the id {values['id']!r} cannot be used. {_ID_LIMIT}", line=line)
    return Student(values["id"], values["first name"], values["last name"])
