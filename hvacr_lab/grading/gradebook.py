"""Marks in nbgrader's gradebook, through nbgrader's own classes: formgrader and export see nothing unusual."""

from __future__ import annotations

import contextlib
import dataclasses
import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from hvacr_lab.errors import FileProblem
from hvacr_lab.grading.folders import ClassFolder
from hvacr_lab.grading.ledger import Entry, make_table, read_entries, write_entry
from hvacr_lab.grading.records import ClassRecord, QuestionResult, Student, SubmissionResult
from hvacr_lab.grading.released import Release, read_release
from hvacr_lab.grading.sandbox import REDUCED_SENTENCE


@dataclass(frozen=True, slots=True)
class ByHand:
    """What a person gave and wrote for one question.

    Parameters
    ----------
    score : float or None
    extra : float, extra credit
    comment : str
    """

    score: float | None = None
    extra: float = 0.0
    comment: str = ""


class Book:
    """The gradebook of a class, opened for one lesson.

    Parameters
    ----------
    session : SQLAlchemy session
    lesson : str
    path : Path of the database, for messages
    """

    def __init__(self, session: Any, lesson: str, path: Any) -> None:
        from nbgrader.api import Assignment, Notebook

        self._session, self._lesson = session, lesson
        self._notebook = (
            session.query(Notebook)
            .join(Assignment)
            .filter(Assignment.name == lesson, Notebook.name == lesson)
            .one_or_none()
        )
        if self._notebook is None:
            raise FileProblem(path, f"lesson {lesson} is not in the gradebook. Release it first.")
        make_table(session)

    def entries(self) -> dict[str, Entry]:
        """Everything graded so far, student -> Entry."""
        return read_entries(self._session, self._lesson)

    def write(
        self, entries: Sequence[Entry], roster: Mapping[str, Student], comments: Mapping[str, Mapping[str, str]]
    ) -> None:
        """Write marks, comments (student -> cell -> text) and ledger rows in one transaction."""
        try:
            for entry in entries:
                result = entry.result
                self._write_marks(result, roster.get(result.student), comments.get(result.student, {}))
                write_entry(self._session, entry)
            self._session.commit()
        except BaseException:
            self._session.rollback()
            raise

    def by_hand(self) -> dict[str, dict[str, ByHand]]:
        """What persons gave and wrote, student -> cell -> score and comment."""
        from nbgrader.api import Comment, Grade

        given: dict[str, dict[str, ByHand]] = {}
        for student, cell, score, extra in self._rows(Grade, Grade.manual_score, Grade.extra_credit):
            if score is not None or extra:
                given.setdefault(student, {})[cell] = ByHand(score, extra or 0.0)
        for student, cell, comment in self._rows(Comment, Comment.manual_comment):
            if comment:
                cells = given.setdefault(student, {})
                cells[cell] = dataclasses.replace(cells.get(cell, ByHand()), comment=comment)
        return given

    def _rows(self, table: Any, *columns: Any) -> Any:
        from nbgrader.api import BaseCell, SubmittedAssignment, SubmittedNotebook

        return (
            self._session.query(SubmittedAssignment.student_id, BaseCell.name, *columns)
            .select_from(table)
            .join(SubmittedNotebook, SubmittedNotebook.id == table.notebook_id)
            .join(SubmittedAssignment, SubmittedAssignment.id == SubmittedNotebook.assignment_id)
            .join(BaseCell, BaseCell.id == table.cell_id)
            .filter(SubmittedNotebook.notebook_id == self._notebook.id)
        )

    def _write_marks(self, result: SubmissionResult, person: Student | None, comments: Mapping[str, str]) -> None:
        submitted = self._submitted(result, person)
        marks = {question.grade_id: question for question in result.questions}
        for grade in submitted.grades:
            question = marks.get(grade.cell.name)
            grade.auto_score = question.points if question else None
            # as nbgrader does: what a person gave is kept, and shown to the person again
            given = grade.manual_score is not None
            grade.needs_manual_grade = grade.auto_score is None or given or result.status == "unreadable"
        for comment in submitted.comments:
            comment.auto_comment = comments.get(comment.cell.name)

    def _submitted(self, result: SubmissionResult, person: Student | None) -> Any:
        """nbgrader's rows for a hand-in; missing ones are made, as nbgrader itself makes them."""
        from nbgrader import api

        session, assignment = self._session, self._notebook.assignment
        student = session.get(api.Student, result.student)
        if student is None:
            first, last = (person.first_name, person.last_name) if person else ("", "")
            student = api.Student(id=result.student, first_name=first, last_name=last)
            session.add(student)
        query = session.query(api.SubmittedAssignment).filter_by(assignment_id=assignment.id, student_id=result.student)
        hand_in = query.one_or_none()
        if hand_in is None:
            hand_in = api.SubmittedAssignment(assignment_id=assignment.id, student_id=result.student)
            session.add(hand_in)
            session.flush()
        hand_in.timestamp = _naive_utc(result.submitted_at) or hand_in.timestamp
        query = session.query(api.SubmittedNotebook).filter_by(assignment_id=hand_in.id, notebook_id=self._notebook.id)
        notebook = query.one_or_none()
        if notebook is None:
            notebook = api.SubmittedNotebook(assignment_id=hand_in.id, notebook_id=self._notebook.id)
            session.add(notebook)
            session.flush()
        self._complete(notebook)
        return notebook

    def _complete(self, notebook: Any) -> None:
        from nbgrader.api import Comment, Grade

        master = self._notebook
        graded, commented = {grade.cell_id for grade in notebook.grades}, {note.cell_id for note in notebook.comments}
        new = [
            Grade(cell_id=cell.id, notebook_id=notebook.id)
            for cell in (*master.grade_cells, *master.task_cells)
            if cell.id not in graded
        ]
        new += [
            Comment(cell_id=cell.id, notebook_id=notebook.id)
            for cell in (*master.solution_cells, *master.task_cells)
            if cell.id not in commented
        ]
        if new:
            self._session.add_all(new)
            self._session.flush()
            self._session.expire(notebook)


@contextlib.contextmanager
def open_book(folder: ClassFolder, lesson: str) -> Iterator[Book]:
    """Open the gradebook of a class for one lesson.

    Parameters
    ----------
    folder : ClassFolder
    lesson : str

    Yields
    ------
    Book

    Raises
    ------
    FileProblem : there is no gradebook, the lesson is not in it, or another program keeps it locked
    """
    if not folder.gradebook.is_file():
        # nbgrader must make it: it writes its version there first
        raise FileProblem(folder.gradebook, "there is no gradebook yet. Release a lesson first.")
    from nbgrader.api import Gradebook
    from sqlalchemy import URL
    from sqlalchemy.exc import OperationalError

    try:
        # an empty course id: nbgrader looks at the course row only to add a missing one
        with Gradebook(URL.create("sqlite", database=str(folder.gradebook)), "") as gradebook:
            yield Book(gradebook.db, lesson, folder.gradebook)
    except OperationalError as problem:
        raise FileProblem(
            folder.gradebook, f"cannot be used: {problem.orig}. What is in it is whole; try again."
        ) from None


def load_class_record(folder: ClassFolder, lesson: str, roster: Sequence[Student]) -> ClassRecord:
    """Everything that is known of a graded lesson, with the points and comments that persons gave.

    Parameters
    ----------
    folder : ClassFolder
    lesson : str
    roster : students of the class

    Returns
    -------
    ClassRecord
    """
    with open_book(folder, lesson) as book:
        return class_record(book, read_release(folder.notebook(folder.release, lesson)), roster)


def class_record(book: Book, release: Release, roster: Sequence[Student]) -> ClassRecord:
    """Put the ledger and what persons gave together.

    Parameters
    ----------
    book : Book
    release : Release
    roster : students of the class

    Returns
    -------
    ClassRecord
    """
    entries, by_hand = book.entries(), book.by_hand()
    answer_cells = release.answer_cells
    results = tuple(
        with_persons_word(entry.result, by_hand.get(student, {}), answer_cells)
        for student, entry in sorted(entries.items())
    )
    notes = (REDUCED_SENTENCE,) if any(entry.mode == "reduced" for entry in entries.values()) else ()
    return ClassRecord(release.lesson, release.title, tuple(roster), results, notes)


def with_persons_word(
    result: SubmissionResult, given: Mapping[str, ByHand], answer_cells: Mapping[str, str]
) -> SubmissionResult:
    """A person's points always win, and are marked as such; a person's comment joins the sentence.

    Parameters
    ----------
    result : SubmissionResult from the ledger
    given : cell -> what a person gave and wrote there
    answer_cells : graded cell -> the cell where comments to it stand

    Returns
    -------
    SubmissionResult
    """
    questions = tuple(
        _with_comment(
            _with_points(question, given.get(question.grade_id, ByHand())),
            given.get(answer_cells.get(question.grade_id, ""), ByHand()).comment,
        )
        for question in result.questions
    )
    return dataclasses.replace(result, questions=questions)


def _with_points(question: QuestionResult, given: ByHand) -> QuestionResult:
    base = given.score if given.score is not None else question.points
    if base is None or (given.score is None and not given.extra):
        return question
    return dataclasses.replace(question, points=base + given.extra, detail={**question.detail, "points_by_hand": True})


def _with_comment(question: QuestionResult, comment: str) -> QuestionResult:
    if not comment:
        return question
    by_hand = question.outcome == "by hand"
    sentence = comment if by_hand else f"{question.sentence} Your instructor adds: {comment}".strip()
    return dataclasses.replace(question, sentence=sentence)


def _naive_utc(text: str) -> datetime.datetime | None:
    """nbgrader keeps times without a zone, in UTC."""
    if not text:
        return None
    moment = datetime.datetime.fromisoformat(text)
    return moment.astimezone(datetime.UTC).replace(tzinfo=None) if moment.tzinfo else moment
