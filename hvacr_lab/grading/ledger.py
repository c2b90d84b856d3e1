"""The ledger: one row for each graded hand-in, in nbgrader's own database, committed together with the marks."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Any

from hvacr_lab.grading.records import SubmissionResult

_TABLE = """
CREATE TABLE IF NOT EXISTS hvacr_ledger (
    student TEXT NOT NULL,
    lesson TEXT NOT NULL,
    submission_hash TEXT NOT NULL,
    key_hash TEXT NOT NULL,
    mode TEXT NOT NULL,
    result TEXT NOT NULL,
    graded_at TEXT NOT NULL,
    runs INTEGER NOT NULL,
    PRIMARY KEY (student, lesson)
)
"""
_READ = "SELECT student, submission_hash, key_hash, mode, result, runs FROM hvacr_ledger WHERE lesson = :lesson"
_WRITE = """
INSERT INTO hvacr_ledger VALUES (:student, :lesson, :submission_hash, :key_hash, :mode, :result, :graded_at, 1)
ON CONFLICT (student, lesson) DO UPDATE SET
    submission_hash = :submission_hash, key_hash = :key_hash, mode = :mode, result = :result,
    graded_at = :graded_at, runs = runs + 1
"""


@dataclass(frozen=True, slots=True)
class Entry:
    """A graded hand-in.

    Parameters
    ----------
    submission_hash, key_hash : SHA-256 of what was graded, and of what it was graded by
    mode : the sandbox it ran in, or "" when nothing was run
    result : SubmissionResult
    runs : int, how often it was graded
    """

    submission_hash: str
    key_hash: str
    mode: str
    result: SubmissionResult
    runs: int = 1


def make_table(session: Any) -> None:
    """Make the ledger's table if the gradebook has none yet.

    Parameters
    ----------
    session : SQLAlchemy session of a gradebook that nbgrader has opened: on an empty database nbgrader would believe
        that its own tables are there
    """
    from sqlalchemy import text

    session.execute(text(_TABLE))
    session.commit()


def read_entries(session: Any, lesson: str) -> dict[str, Entry]:
    """Everything that was graded of a lesson.

    Parameters
    ----------
    session : SQLAlchemy session
    lesson : str

    Returns
    -------
    dict, student -> Entry
    """
    from sqlalchemy import text

    rows = session.execute(text(_READ), {"lesson": lesson})
    return {row.student: Entry(row[1], row[2], row[3], SubmissionResult.from_json(row[4]), row[5]) for row in rows}


def write_entry(session: Any, entry: Entry) -> None:
    """Write a row; the caller commits it together with the marks.

    Parameters
    ----------
    session : SQLAlchemy session
    entry : Entry
    """
    from sqlalchemy import text

    values = {
        "student": entry.result.student,
        "lesson": entry.result.lesson,
        "submission_hash": entry.submission_hash,
        "key_hash": entry.key_hash,
        "mode": entry.mode,
        "result": entry.result.to_json(),
        "graded_at": datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds"),
    }
    session.execute(text(_WRITE), values)
