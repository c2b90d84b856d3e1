"""Grade a lesson: read, run apart, mark here, write once. What was graded already and has not changed is left alone."""

from __future__ import annotations

import collections
import contextlib
import json
import os
import time
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from concurrent.futures import Future
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hvacr_lab.errors import LabError
from hvacr_lab.grading.autograded import harmless, with_outputs
from hvacr_lab.grading.execution import Executor, Limits, RunOutcome
from hvacr_lab.grading.folders import ClassFolder
from hvacr_lab.grading.gradebook import Book, class_record, open_book
from hvacr_lab.grading.keys import AnswerKey, load_key
from hvacr_lab.grading.ledger import Entry
from hvacr_lab.grading.marking import comments_of, marked
from hvacr_lab.grading.records import ClassRecord, Student
from hvacr_lab.grading.released import Release, code_cells, read_release
from hvacr_lab.grading.sandbox import refuse_off_linux
from hvacr_lab.grading.submission import Submission, file_digest, read_small_file, read_submission

WORKERS, _BATCH = 2, 8
_SIDE_FILES = ("timestamp.txt", "submission_secret.txt")  # nbgrader hands feedback out by these


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a grading run is.

    Parameters
    ----------
    done, total : int, hand-ins
    student : str, whose hand-in was graded last
    seconds_left : float, at the pace so far
    """

    done: int
    total: int
    student: str
    seconds_left: float


@dataclass(frozen=True, slots=True)
class _Lesson:
    """What one run works with."""

    folder: ClassFolder
    release: Release
    key: AnswerKey
    roster: Mapping[str, Student]

    def submitted(self, student: str) -> Path:
        return self.folder.notebook(self.folder.submitted, self.release.lesson, student).parent

    def autograded(self, student: str) -> Path:
        return self.folder.notebook(self.folder.autograded, self.release.lesson, student)

    def feedback(self, student: str) -> Path:
        return self.folder.notebook(self.folder.feedback, self.release.lesson, student).with_suffix(".html")


def grade_lesson(
    folder: ClassFolder,
    lesson: str,
    *,
    roster: Sequence[Student],
    only: Collection[str] | None = None,
    progress: Callable[[Progress], None] | None = None,
    after_due_date: bool = False,
    limits: Limits | None = None,
    workers: int = WORKERS,
) -> ClassRecord:
    """Grade every hand-in of a lesson that is new or changed, or whose key has changed; write feedback for all.

    Points that a person gave are never touched. Killed at any moment and started again, it finishes the rest.

    Parameters
    ----------
    folder : ClassFolder
    lesson : str, folder name
    roster : students of the class
    only : ids of students to look at, or None for all
    progress : called after each graded hand-in
    after_due_date : bool, feedback then shows the worked way
    limits : Limits of one notebook
    workers : int, notebooks that run at the same time

    Returns
    -------
    ClassRecord

    Raises
    ------
    LabError : this is not Linux, or another run is at work in this folder
    FileProblem : release, source or gradebook cannot be used
    """
    refuse_off_linux()
    release = read_release(folder.notebook(folder.release, lesson))
    key = load_key(folder.notebook(folder.source, lesson))
    work = _Lesson(folder, release, key, {student.id: student for student in roster})
    with _alone(folder), Executor(workers, limits=limits, imports=release.imports) as executor:
        with open_book(folder, lesson) as book:
            waiting = _waiting(work, book, only)
            _grade(work, book, executor, waiting, progress)
            record = class_record(book, release, roster)
        _write_feedback(work, record, after_due_date)
    return record


@contextlib.contextmanager
def _alone(folder: ClassFolder) -> Iterator[None]:
    """Hold the lock of the class; the system frees it when this process ends, however it ends."""
    import fcntl

    with folder.lock.open("a") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise LabError(f"Another grading run is at work in {folder.root}. Wait until it has ended.") from None
        yield


def _waiting(work: _Lesson, book: Book, only: Collection[str] | None) -> list[str]:
    """Students whose hand-in is not graded yet, or was other than it is now, or was graded by another key."""
    entries = book.entries()
    graded = {student: (entry.submission_hash, entry.key_hash) for student, entry in entries.items()}
    return [
        student
        for student in _students(work)
        if (only is None or student in only) and not _is_graded(work, student, graded.get(student))
    ]


def _students(work: _Lesson) -> list[str]:
    """Names of the folders below submitted/ that hold this lesson; never a name from inside a notebook."""
    if not work.folder.submitted.is_dir():
        return []
    names = sorted(path.name for path in work.folder.submitted.iterdir() if path.is_dir() and not path.is_symlink())
    usable = [name for name in names if name.isprintable() and not name.startswith(".") and len(name) <= 100]
    return [name for name in usable if work.submitted(name).is_dir()]


def _is_graded(work: _Lesson, student: str, graded_from: tuple[str, str] | None) -> bool:
    if graded_from is None or not work.autograded(student).is_file():
        return False
    return graded_from == (file_digest(work.submitted(student), work.release.lesson), work.key.digest)


def _grade(
    work: _Lesson,
    book: Book,
    executor: Executor,
    waiting: Sequence[str],
    progress: Callable[[Progress], None] | None,
) -> None:
    started, batch = time.monotonic(), []
    classmates = sorted({*work.roster, *_students(work)})
    for done, (submission, outcome) in enumerate(_runs(work, executor, waiting), 1):
        result = marked(
            work.key, work.release, submission, outcome, classmates, on_roster=submission.student in work.roster
        )
        _write_autograded(work, submission, outcome)
        mode = outcome.mode if outcome else ""
        batch.append(Entry(submission.digest, work.key.digest, mode, result))
        if len(batch) == _BATCH or done == len(waiting):
            book.write(
                batch, work.roster, {entry.result.student: comments_of(entry.result, work.release) for entry in batch}
            )
            batch.clear()
        if progress:
            pace = (time.monotonic() - started) / done
            progress(Progress(done, len(waiting), submission.student, pace * (len(waiting) - done)))


def _runs(work: _Lesson, executor: Executor, students: Sequence[str]) -> Iterator[tuple[Submission, RunOutcome | None]]:
    """Run hand-ins, a few ahead of the one that is marked, so that memory does not grow with the class."""
    ahead: collections.deque[tuple[Submission, Future[RunOutcome] | None]] = collections.deque()
    for student in students:
        submission = read_submission(work.submitted(student), work.release, student)
        cells = code_cells(submission.notebook)
        run = executor.submit(cells, student=student, captures=work.key.captures) if submission.readable else None
        ahead.append((submission, run))
        if len(ahead) > 2 * WORKERS:
            yield _ended(*ahead.popleft())
    while ahead:
        yield _ended(*ahead.popleft())


def _ended(submission: Submission, run: Future[RunOutcome] | None) -> tuple[Submission, RunOutcome | None]:
    return submission, run.result() if run else None


def _write_autograded(work: _Lesson, submission: Submission, outcome: RunOutcome | None) -> None:
    notebook = harmless(with_outputs(submission.notebook, outcome))
    if not submission.readable:
        text = "\n\n".join(submission.reasons)
        notebook["cells"].insert(0, {"cell_type": "markdown", "id": "unreadable", "metadata": {}, "source": text})
    path = work.autograded(submission.student)
    _write_whole(path, json.dumps(notebook, indent=1, ensure_ascii=False).encode() + b"\n")
    _copy_side_files(work, submission.student, path.parent)


def _write_feedback(work: _Lesson, record: ClassRecord, after_due_date: bool) -> None:
    """Render every page; only one that has changed is written."""
    from hvacr_lab.grading.feedback import feedback_page

    for result in record.results:
        try:
            notebook: dict[str, Any] = json.loads(work.autograded(result.student).read_text(encoding="utf-8"))
        except (OSError, ValueError):
            continue  # removed by hand; the next run grades this hand-in again
        person = work.roster.get(result.student)
        name = person.name if person else result.student
        page = feedback_page(
            result, notebook, lesson_title=record.title, student_name=name, after_due_date=after_due_date
        )
        _write_whole(work.feedback(result.student), page.encode())
        _copy_side_files(work, result.student, work.feedback(result.student).parent)


def _copy_side_files(work: _Lesson, student: str, target: Path) -> None:
    for name in _SIDE_FILES:
        content = read_small_file(work.submitted(student) / name)
        if content:
            _write_whole(target / name, content)


def _write_whole(path: Path, content: bytes) -> None:
    """Write a file in one step, on disk when this returns; the same content is left alone."""
    with contextlib.suppress(OSError):
        if path.read_bytes() == content:
            return
    path.parent.mkdir(parents=True, exist_ok=True)
    new = path.with_name(f".{path.name}.new")
    with new.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    new.replace(path)
    descriptor = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
