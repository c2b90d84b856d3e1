"""Hand-ins from the exchange into the class folder: plain files only, no link followed, newest first."""

from __future__ import annotations

import datetime
import os
import re
import stat
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from hvacr_lab.errors import LabError
from hvacr_lab.grading.folders import ClassFolder
from hvacr_lab.grading.records import Student

SUFFIXES = (".ipynb", ".csv", ".png", ".jpg", ".txt")
FILE_BYTES, HAND_IN_BYTES, HAND_IN_FILES = 10_000_000, 20_000_000, 50
_STAMP = "%Y-%m-%d %H:%M:%S"


@dataclass(frozen=True, slots=True)
class HandIn:
    """One entry of the exchange's inbound folder.

    Parameters
    ----------
    student : str, id claimed by the entry's name
    path : Path of the entry
    stamp : datetime, time claimed by the entry's name
    """

    student: str
    path: Path
    stamp: datetime.datetime


@dataclass(frozen=True, slots=True)
class Collected:
    """What became of a hand-in.

    Parameters
    ----------
    student : str, id
    outcome : "new", "newer", "unchanged" or "refused"
    notes : sentences for the instructor: why refused, which files were left out
    owner : account that owns the entry, "" when nobody knows it
    """

    student: str
    outcome: str
    notes: tuple[str, ...] = ()
    owner: str = ""


def collect(folder: ClassFolder, inbound: Path, lesson: str, roster: Sequence[Student]) -> tuple[Collected, ...]:
    """Copy each student's newest hand-in to submitted/STUDENT/LESSON.

    What lies there already is replaced only by a hand-in with a later stamp, so a second run changes nothing.

    Parameters
    ----------
    folder : ClassFolder
    inbound : Path of the exchange's folder for hand-ins
    lesson : str, folder name
    roster : students of the class; nobody else's work is taken

    Returns
    -------
    tuple of Collected, one for each student or unknown id with a hand-in
    """
    known = {student.id.lower(): student.id for student in roster}
    newest: dict[str, HandIn] = {}
    for hand_in in _hand_ins(inbound, lesson):
        student = known.get(hand_in.student.lower(), hand_in.student)
        if student not in newest or hand_in.stamp > newest[student].stamp:
            newest[student] = hand_in
    return tuple(
        _take(folder, lesson, student, hand_in)
        if student in known.values()
        else Collected(student, "refused", (f"{student} is not in roster.csv.",), _owner(hand_in.path))
        for student, hand_in in sorted(newest.items())
    )


def one_owner(collected: Sequence[Collected]) -> str:
    """The one account that owns the hand-ins of several students: then ownership says nothing about who did the work.

    Parameters
    ----------
    collected : what :func:`collect` gave

    Returns
    -------
    str, name of the account, or "" when there are several or all is well
    """
    owners = {entry.owner for entry in collected}
    return owners.pop() if len(owners) == 1 and len(collected) > 1 else ""


def _hand_ins(inbound: Path, lesson: str) -> list[HandIn]:
    """Entries of the inbound folder for one lesson; nbgrader names them student+lesson+time+random."""
    try:
        entries = sorted(inbound.iterdir())
    except OSError as problem:
        raise LabError(f"{inbound} cannot be read ({problem.strerror}). Release the lesson first.") from None
    found = []
    for entry in entries:
        parts = entry.name.split("+")
        if len(parts) < 3 or parts[1] != lesson:
            continue
        stamp = read_stamp(parts[2])
        if stamp is not None:
            found.append(HandIn(parts[0], entry, stamp))
    return found


def read_stamp(text: str) -> datetime.datetime | None:
    """The time that nbgrader writes ("2027-01-15 16:59:59.123456 UTC").

    Parameters
    ----------
    text : str

    Returns
    -------
    datetime in UTC, or None when the text is none
    """
    found = re.match(r"(\d{4}-\d\d-\d\d \d\d:\d\d:\d\d)(?:\.(\d{1,6}))? UTC\s*$", text)
    if not found:
        return None
    try:
        stamp = datetime.datetime.strptime(found[1], _STAMP)
    except ValueError:
        return None
    return stamp.replace(microsecond=int((found[2] or "0").ljust(6, "0")), tzinfo=datetime.UTC)


def _take(folder: ClassFolder, lesson: str, student: str, hand_in: HandIn) -> Collected:
    """Copy one hand-in, if it is newer than what is there."""
    target = folder.submitted / student / lesson
    owner = _owner(hand_in.path)
    if target.is_dir():
        there = _stamp_of(target)
        if there is None:
            return Collected(student, "unchanged", (f"{target} was put there by hand and is kept.",), owner)
        if hand_in.stamp <= there:
            return Collected(student, "unchanged", (), owner)
    folder.submitted.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix=".incoming-", dir=folder.submitted) as incoming:
        fresh = Path(incoming) / lesson
        fresh.mkdir()
        notes = _copy_plain_files(hand_in.path, fresh)
        if not any(fresh.glob("*.ipynb")):
            return Collected(student, "refused", (*notes, "There is no notebook in it."), owner)
        outcome = "newer" if target.is_dir() else "new"
        target.parent.mkdir(exist_ok=True)
        if target.is_dir():
            target.rename(Path(incoming) / "older")
        fresh.rename(target)
    return Collected(student, outcome, notes, owner)


def _stamp_of(target: Path) -> datetime.datetime | None:
    try:
        return read_stamp((target / "timestamp.txt").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None


def _copy_plain_files(entry: Path, target: Path) -> tuple[str, ...]:
    """Copy the plain files of an entry; each one left out gets a sentence."""
    notes: list[str] = []
    try:
        entry_descriptor = os.open(entry, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
    except OSError:
        return (f"{entry.name} is no folder.",)
    try:
        room = HAND_IN_BYTES
        for count, name in enumerate(sorted(os.listdir(entry_descriptor))):  # noqa: PTH208 - not by name: by descriptor
            if count >= HAND_IN_FILES:
                notes.append(f"More than {HAND_IN_FILES} files: the rest was left out.")
                break
            size, note = _copy_plain_file(entry_descriptor, name, target / name, room)
            room -= size
            notes.extend([note] if note else [])
    finally:
        os.close(entry_descriptor)
    return tuple(notes)


def _copy_plain_file(entry_descriptor: int, name: str, target: Path, room: int) -> tuple[int, str]:
    """Copy one file: its size, or why it was left out. Type and size are asked of the opened file, not of its name."""
    shown = ascii(name)[1:-1]
    if Path(name).suffix.lower() not in SUFFIXES:
        return 0, f"{shown} was left out: only {', '.join(SUFFIXES)} are collected."
    try:
        descriptor = os.open(name, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK, dir_fd=entry_descriptor)
    except OSError:
        return 0, f"{shown} was left out: it is a link or cannot be read."
    limit = min(FILE_BYTES, room)
    try:
        facts = os.fstat(descriptor)
        if not stat.S_ISREG(facts.st_mode):
            return 0, f"{shown} was left out: it is not a plain file."
        if facts.st_nlink > 1:
            return 0, f"{shown} was left out: the same file stands in another folder too (a hard link)."
        with open(descriptor, "rb", closefd=False) as source:
            content = source.read(limit + 1)  # the size on record may change under our hands
    finally:
        os.close(descriptor)
    if len(content) > limit:
        return 0, f"{shown} was left out: more than {limit / 1e6:.1f} MB is too much."
    target.write_bytes(content)
    return len(content), ""


def _owner(path: Path) -> str:
    """Account that owns an entry."""
    import pwd

    try:
        return pwd.getpwuid(path.lstat().st_uid).pw_name
    except (KeyError, OSError):
        return ""
