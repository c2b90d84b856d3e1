"""A whole class in one command: released, handed in, graded, reported; made again, it keeps what is there."""

from __future__ import annotations

import csv
import datetime
import io
import json
import shutil
import tempfile
import time
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any

from hvacr_lab.classroom.course import NBGRADER_FILE, ROSTER_FILE, SETTINGS_FILE, Course, load_course, repository
from hvacr_lab.classroom.demo_cast import Member, class_answers, read_cast
from hvacr_lab.classroom.demo_notebooks import with_answers, with_edited_check, with_endless_loop
from hvacr_lab.classroom.export import write_marks
from hvacr_lab.classroom.frame import class_config, hand_in, private_settings
from hvacr_lab.classroom.grade import Graded, Progress, collect_and_grade, note_lines, write_report
from hvacr_lab.classroom.release import release_lesson
from hvacr_lab.errors import LabError

LESSON = "02-refrigerant-states"
_README, _DAYS = "README.txt", 7


@dataclass(frozen=True, slots=True)
class Demo:
    """The demo class as it now is.

    Parameters
    ----------
    folder : Path of the class
    report, table : Path of the class report and of the table of marks
    feedback : Path of the folder with the feedback pages
    graded : Graded
    seconds : float, wall time
    """

    folder: Path
    report: Path
    table: Path
    feedback: Path
    graded: Graded
    seconds: float

    @property
    def mean_percent(self) -> float:
        """Average share of the points that a machine can give."""
        shares = []
        for result in self.graded.record.results:
            marked = [question for question in result.questions if question.outcome != "by hand"]
            possible = sum(question.max_points for question in marked)
            shares.append(sum(question.points or 0.0 for question in marked) / possible if possible else 0.0)
        return 100.0 * sum(shares) / len(shares) if shares else 0.0

    def as_dict(self) -> dict[str, Any]:
        """Plain values, for ``--json``."""
        return {
            "folder": str(self.folder),
            "report": str(self.report),
            "table": str(self.table),
            "feedback": str(self.feedback),
            "students": len(self.graded.record.roster),
            "handed_in": len(self.graded.record.results),
            "mean_percent": round(self.mean_percent, 1),
            **{key: value for key, value in self.graded.as_dict().items() if key != "seconds"},
            "seconds": round(self.seconds, 1),
        }


def demo_lines(built: Demo) -> list[str]:
    """What the demo says at its end.

    Parameters
    ----------
    built : Demo

    Returns
    -------
    list of str
    """
    record, graded = built.graded.record, built.graded
    return [
        f"{record.title}: {len(record.results)} of {len(record.roster)} invented students have handed in.",
        f"On average they have {built.mean_percent:.0f} % of the points that a machine gives.",
        *note_lines(graded),
    ]


def build_demo(folder: Path, *, progress: Progress = lambda step, done, of: None) -> Demo:
    """Build the demo class, or bring the one that is there up to date.

    Parameters
    ----------
    folder : Path, empty, not there yet, or made by an earlier run
    progress : called with step, number done, number in all

    Returns
    -------
    Demo

    Raises
    ------
    LabError : the folder holds something else
    """
    began = time.monotonic()
    folder, cast = folder.resolve(), read_cast()
    prepare_folder(folder, cast)
    course = load_course(folder)
    plan = course.lesson(LESSON)
    progress("releasing the lesson", 0, 0)
    release_lesson(course, plan)
    hand_in_missing(course, cast, progress)
    graded = collect_and_grade(course, plan, progress=progress)
    progress("writing the report", 0, 0)
    report, _, record = write_report(course, plan)
    table = write_marks(record, course.folder.exports)
    return Demo(folder, report, table, course.folder.feedback, graded, time.monotonic() - began)


def prepare_folder(folder: Path, cast: tuple[Member, ...]) -> None:
    """Write what an instructor would write: settings, roster; nothing that is there is changed.

    Parameters
    ----------
    folder : Path of the class
    cast : tuple of Member, for the roster

    Raises
    ------
    LabError : the folder holds something that no earlier run made
    """
    ours = resources.files("hvacr_lab.classroom") / "demo_class"
    readme = (ours / _README).read_text(encoding="utf-8")
    if folder.exists() and not folder.is_dir():
        raise LabError(f"{folder} is a file. Give another place: hvacr-lab demo --folder DIR")
    if folder.is_dir() and any(folder.iterdir()) and not _is_demo(folder, readme):
        raise LabError(
            f"{folder} holds something else, which the demo does not touch. Give another place: "
            "hvacr-lab demo --folder DIR"
        )
    folder.mkdir(parents=True, exist_ok=True)
    due = datetime.datetime.combine(datetime.date.today() + datetime.timedelta(days=_DAYS), datetime.time(17))
    settings = (ours / SETTINGS_FILE).read_text(encoding="utf-8").replace("{due}", str(due))
    files = {_README: readme, SETTINGS_FILE: settings, ROSTER_FILE: _roster(cast)}
    files[NBGRADER_FILE] = (repository() / "course" / NBGRADER_FILE).read_text(encoding="utf-8")
    for name, text in files.items():
        if not (folder / name).exists():
            (folder / name).write_text(text, encoding="utf-8")


def _is_demo(folder: Path, readme: str) -> bool:
    """True when an earlier run made this folder: its README begins as ours does."""
    try:
        return (folder / _README).read_text(encoding="utf-8").splitlines()[:1] == readme.splitlines()[:1]
    except (OSError, ValueError):
        return False


def _roster(cast: tuple[Member, ...]) -> str:
    text = io.StringIO()
    rows = [("id", "first name", "last name")]
    rows += [(member.student.id, member.student.first_name, member.student.last_name) for member in cast]
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue()


def hand_in_missing(course: Course, cast: tuple[Member, ...], progress: Progress) -> int:
    """Let every student who has not handed in yet work through the lesson and hand in; some never do.

    Parameters
    ----------
    course : Course of the demo
    cast : tuple of Member
    progress : called with step, number done, number in all

    Returns
    -------
    int, number of hand-ins made now
    """
    from hvacr_lab.grading.keys import load_key

    config = class_config(course.folder.root)
    inbound = Path(config.Exchange.root) / course.course_id / "inbound"
    missing = [member for member in cast if member.part != "absent" and not _has_handed_in(course, inbound, member)]
    if not missing:
        return 0
    progress("reading keys", 0, 0)
    key = load_key(course.folder.notebook(course.folder.source, LESSON))
    answers = class_answers(cast, key.asked)
    notebooks = _worked_through(course, missing, answers, progress)
    with private_settings(), tempfile.TemporaryDirectory(prefix="hvacr-lab-demo-") as box:
        for done, (student, notebook) in enumerate(notebooks.items()):
            progress("handing in", done, len(notebooks))
            _submit(config, Path(box), student, notebook)
    return len(missing)


def _has_handed_in(course: Course, inbound: Path, member: Member) -> bool:
    student = member.student.id
    collected = course.folder.notebook(course.folder.submitted, LESSON, student)
    return collected.exists() or any(inbound.glob(f"{student}+{LESSON}+*"))


def _worked_through(
    course: Course, members: list[Member], answers: Mapping[str, Mapping[str, object]], progress: Progress
) -> dict[str, dict[str, Any]]:
    """The notebook of each student, run from the top; the one with the endless loop was saved while it hung."""
    from hvacr_lab.grading.autograded import with_outputs
    from hvacr_lab.grading.execution import Executor
    from hvacr_lab.grading.released import code_cells, read_release

    release = read_release(course.folder.notebook(course.folder.release, LESSON))
    notebooks = {
        member.student.id: with_answers(release.notebook, answers[member.student.id], _explanation(member))
        for member in members
    }
    with Executor(workers=2, imports=release.imports) as executor:
        runs = {
            student: executor.submit(code_cells(notebook), student=student, captures={})
            for student, notebook in notebooks.items()
        }
        for done, (student, run) in enumerate(runs.items()):
            progress("students at work", done, len(runs))
            notebooks[student] = with_outputs(notebooks[student], run.result())
    for member in members:
        notebooks[member.student.id] = _PARTS.get(member.part, lambda same: same)(notebooks[member.student.id])
    return notebooks


_PARTS = {"endless loop": with_endless_loop, "edited check": with_edited_check}


def _explanation(member: Member) -> str:
    """What the student writes where a person marks; better with skill, nothing on a blank sheet."""
    lines = (resources.files("hvacr_lab.classroom") / "demo_class" / "explanations.txt").read_text(encoding="utf-8")
    texts = lines.strip().split("\n\n")
    if member.part == "blank":
        return ""
    return texts[min(int(member.skill * len(texts)), len(texts) - 1)].replace("\n", " ")


def _submit(config: Any, box: Path, student: str, notebook: Mapping[str, Any]) -> None:
    """Hand in through nbgrader, from a folder as the student would have it."""
    work = box / student
    (work / LESSON).mkdir(parents=True)
    text = json.dumps(notebook, ensure_ascii=False, indent=1) + "\n"
    (work / LESSON / f"{LESSON}.ipynb").write_text(text, encoding="utf-8")
    hand_in(config, LESSON, student, work)
    shutil.rmtree(work)
