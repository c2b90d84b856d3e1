"""The evening after class: collect, grade, feedback, report."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hvacr_lab.classroom.collect import Collected, collect, one_owner
from hvacr_lab.classroom.course import Course, LessonPlan
from hvacr_lab.classroom.frame import class_config, private_settings
from hvacr_lab.errors import LabError, UnknownName
from hvacr_lab.grading.records import ClassRecord, SubmissionResult
from hvacr_lab.grading.wording import counted

Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True)
class Graded:
    """What an evening's run did.

    Parameters
    ----------
    lesson : str
    collected : what became of each hand-in in the exchange; empty when the class does not use one
    record : ClassRecord, all that is graded now
    seconds : float, wall time
    """

    lesson: str
    collected: tuple[Collected, ...]
    record: ClassRecord
    seconds: float

    @property
    def by_hand(self) -> tuple[SubmissionResult, ...]:
        """Hand-ins in which a question waits for a person."""
        return tuple(result for result in self.record.results if result.waits_for_a_person)

    @property
    def to_look_at(self) -> tuple[SubmissionResult, ...]:
        """Hand-ins that were stopped, cut, put right, could not be read or look suspicious."""
        return tuple(result for result in self.record.results if result.reasons or result.suspicions)

    def as_dict(self) -> dict[str, Any]:
        """Plain values, for ``--json``."""
        return {
            "lesson": self.lesson,
            "collected": dict(Counter(entry.outcome for entry in self.collected)),
            "refused": {entry.student: list(entry.notes) for entry in self.collected if entry.outcome == "refused"},
            "graded": len(self.record.results),
            "waiting_for_a_person": [result.student for result in self.by_hand],
            "to_look_at": {result.student: [*result.reasons, *result.suspicions] for result in self.to_look_at},
            "not_handed_in": [student.id for student in self.record.not_submitted],
            "notes": list(self.record.notes),
            "seconds": round(self.seconds, 1),
        }


def collect_and_grade(
    course: Course,
    plan: LessonPlan,
    *,
    only: Sequence[str] = (),
    worked: bool = False,
    progress: Progress = lambda step, done, of: None,
) -> Graded:
    """Bring hand-ins in from the exchange, grade what is new, write feedback pages.

    Parameters
    ----------
    course, plan : the class and one of its lessons
    only : ids of students, everybody when empty
    worked : bool, show the worked way although the due date is to come
    progress : called with step, number done, number in all

    Returns
    -------
    Graded
    """
    from hvacr_lab.grading.run import grade_lesson

    began = time.monotonic()
    students = tuple(_of_roster(course, typed) for typed in only)
    progress("collecting", 0, 0)
    with private_settings():
        config = class_config(course.folder.root)
        inbound = Path(config.Exchange.root) / course.course_id / "inbound"
        collected = collect(course.folder, inbound, plan.name, course.roster) if inbound.is_dir() else ()
        progress("reading keys", 0, 0)
        record = grade_lesson(
            course.folder,
            plan.name,
            roster=course.roster,
            only=students or None,
            progress=lambda step: progress("grading", step.done, step.total),
            after_due_date=worked or plan.is_over(),
            limits=_limits(course.cell_seconds),
        )
    return Graded(plan.name, collected, record, time.monotonic() - began)


def summary_lines(graded: Graded) -> list[str]:
    """What the instructor reads at the end of a run.

    Parameters
    ----------
    graded : Graded

    Returns
    -------
    list of str, lines of at most 80 columns where names allow it
    """
    record, arrived = graded.record, Counter(entry.outcome for entry in graded.collected)
    came = counted(arrived["new"] + arrived["newer"], "new hand-in")
    return [
        f"{graded.lesson}: {came}, {len(record.results)} graded in all, {graded.seconds:.0f} s.",
        *note_lines(graded),
    ]


def note_lines(graded: Graded) -> list[str]:
    """Who has not handed in, what waits, what to look at.

    Parameters
    ----------
    graded : Graded

    Returns
    -------
    list of str
    """
    record, lines = graded.record, []
    names = {student.id: student.name for student in record.roster}
    if record.not_submitted:
        lines.append(_listed("not handed in", [student.name for student in record.not_submitted]))
    if graded.by_hand:
        lines.append(f"  by hand        {counted(len(graded.by_hand), 'hand-in')} with a text for you to mark")
    if graded.to_look_at:
        lines.append(_listed("look at", [names.get(result.student, result.student) for result in graded.to_look_at]))
    lines += [f"  {entry.student}: {' '.join(entry.notes)}" for entry in graded.collected if entry.notes]
    lines += [f"  {note}" for note in record.notes]
    owner = one_owner(graded.collected)
    if owner:
        lines.append(f"  All came from one account ({owner}); that does not say who did the work.")
    return lines


def write_report(course: Course, plan: LessonPlan) -> tuple[Path, Path, ClassRecord]:
    """Write the class report of a lesson: a page and a table.

    Parameters
    ----------
    course, plan : the class and one of its lessons

    Returns
    -------
    page : Path of the HTML file
    table : Path of the CSV file
    record : ClassRecord it was made from
    """
    from hvacr_lab.grading.class_report import analyse, report_csv, report_html

    record = read_record(course, plan)
    report = analyse(record)
    course.folder.reports.mkdir(parents=True, exist_ok=True)
    page, table = (course.folder.reports / f"{plan.name}{suffix}" for suffix in (".html", ".csv"))
    page.write_text(report_html(report), encoding="utf-8")
    table.write_text(report_csv(report), encoding="utf-8-sig")
    return page, table, record


def read_record(course: Course, plan: LessonPlan) -> ClassRecord:
    """What is graded of a lesson, points given by hand included.

    Parameters
    ----------
    course, plan : the class and one of its lessons

    Returns
    -------
    ClassRecord

    Raises
    ------
    LabError : nothing has been graded yet
    """
    from hvacr_lab.grading.gradebook import load_class_record

    if not course.folder.gradebook.is_file():
        raise LabError(f"Nothing is graded in {course.folder.root} yet: hvacr-lab grade {plan.name}")
    with private_settings():
        return load_class_record(course.folder, plan.name, course.roster)


def _limits(cell_seconds: float) -> Any:
    """Limits of one hand-in: a cell as course.toml says, the whole enough for several such cells."""
    from hvacr_lab.grading.execution import Limits

    usual = Limits()
    return Limits(
        cell_seconds=cell_seconds,
        cpu_seconds=max(usual.cpu_seconds, int(3 * cell_seconds)),
        wall_seconds=max(usual.wall_seconds, 6 * cell_seconds),
    )


def _of_roster(course: Course, typed: str) -> str:
    """An id as the roster writes it."""
    for student in course.roster:
        if student.id.lower() == typed.lower():
            return student.id
    raise UnknownName("student of the roster", typed, [student.id for student in course.roster])


def _listed(what: str, names: Sequence[str], width: int = 80) -> str:
    """Names in one line, the rest counted."""
    line = f"  {what.ljust(14)} "
    for number, name in enumerate(names):
        more = f" and {len(names) - number} more"
        if len(line) + len(name) + 2 + len(more) > width:
            return line.rstrip(", ") + more
        line += name + ", "
    return line.rstrip(", ")
