"""nbgrader underneath: its steps called through its own classes, with the class's settings and nobody else's."""

from __future__ import annotations

import contextlib
import os
import re
import sys
import tempfile
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from hvacr_lab.classroom.course import NBGRADER_FILE, Course, LessonPlan, repository
from hvacr_lab.errors import FileProblem, LabError

# a user's own settings or start-up files decide nothing here
_PRIVATE = ("HOME", "IPYTHONDIR", "JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR", "MPLCONFIGDIR")

_REMEDIES = {  # words in what nbgrader says -> what to do
    "Cannot add or remove cells": "Give the changed lesson a name of its own; the old one keeps its marks.",
    "No end solution": "Each ### BEGIN SOLUTION needs its ### END SOLUTION.",
    "No end hidden tests": "Each ### BEGIN HIDDEN TESTS needs its ### END HIDDEN TESTS.",
}


@contextlib.contextmanager
def private_settings() -> Iterator[Path]:
    """Empty homes for Jupyter, IPython and matplotlib, and this interpreter's programs first, until the block ends.

    Yields
    ------
    Path of the temporary folder that holds them
    """
    changed = {name: os.environ.get(name) for name in (*_PRIVATE, "PATH")}
    with tempfile.TemporaryDirectory(prefix="hvacr-lab-") as folder, warnings.catch_warnings():
        # nbgrader 0.9 adds objects to sessions in an order that SQLAlchemy 2.1 remarks on; nothing is lost by it
        warnings.filterwarnings("ignore", module="nbgrader")
        warnings.filterwarnings("ignore", message=r".*(not in session|will not proceed).*")
        for name in _PRIVATE:
            home = Path(folder) / name.lower()
            home.mkdir()
            os.environ[name] = str(home)
        os.environ["PATH"] = str(Path(sys.executable).parent) + os.pathsep + os.environ.get("PATH", os.defpath)
        try:
            yield Path(folder)
        finally:
            for name, value in changed.items():
                os.environ.pop(name, None) if value is None else os.environ.update({name: value})


def class_config(root: Path) -> Any:
    """The nbgrader settings of a class.

    Parameters
    ----------
    root : Path of the class folder, with nbgrader_config.py in it

    Returns
    -------
    traitlets Config

    Raises
    ------
    FileProblem : there is no such file, or it stops with an error
    """
    from traitlets.config import PyFileConfigLoader

    path = root / NBGRADER_FILE
    if not path.is_file():
        raise FileProblem(path, f"there is none. Copy {repository() / 'course' / NBGRADER_FILE} there.")
    try:
        return PyFileConfigLoader(NBGRADER_FILE, path=str(root)).load_config()
    except Exception as problem:  # the file is a program: anything can go wrong in it
        raise FileProblem(path, f"stops with {type(problem).__name__}: {problem}") from None


def generate(config: Any, lesson: str) -> None:
    """nbgrader's generate_assignment: source/LESSON -> release/LESSON.

    Parameters
    ----------
    config : settings from :func:`class_config`
    lesson : str, folder name

    Raises
    ------
    LabError : nbgrader refuses the notebook; its reason is in the sentence
    """
    from nbgrader.converters import GenerateAssignment

    step = GenerateAssignment(coursedir=_course_directory(config, lesson), config=config, force=True)
    _run(step, f"nbgrader cannot make a student edition of {lesson}")


def hand_out(config: Any, lesson: str) -> Path:
    """nbgrader's release_assignment: release/LESSON -> the exchange, over an older version.

    Parameters
    ----------
    config : settings from :func:`class_config`
    lesson : str, folder name

    Returns
    -------
    Path from which students fetch the lesson
    """
    from nbgrader.exchange.default import ExchangeReleaseAssignment

    root = Path(config.Exchange.root)
    if not root.is_dir():  # else nbgrader makes it 0777, and anyone may rename what others put there
        root.mkdir(parents=True)
        root.chmod(0o1777)
    step = ExchangeReleaseAssignment(coursedir=_course_directory(config, lesson), config=config, force=True)
    _run(step, f"nbgrader cannot put {lesson} into the exchange")
    return Path(step.dest_path)


def hand_in(config: Any, lesson: str, student: str, work: Path) -> None:
    """nbgrader's submit, as the student's own account would call it.

    Parameters
    ----------
    config : settings from :func:`class_config`
    lesson : str, folder name
    student : str, id
    work : Path of the student's folder with LESSON/ in it
    """
    from nbgrader.auth import Authenticator
    from nbgrader.exchange.default import ExchangeSubmit

    directory = _course_directory(config, lesson)
    directory.student_id = student
    step = ExchangeSubmit(
        coursedir=directory, authenticator=Authenticator(config=config), config=config, assignment_dir=str(work)
    )
    _run(step, f"nbgrader cannot hand in {lesson} of {student}")


def enter_in_gradebook(course: Course, plan: LessonPlan, config: Any) -> None:
    """Due date and roster into nbgrader's gradebook, so that formgrader shows both.

    Parameters
    ----------
    course, plan : the class and one of its lessons
    config : settings from :func:`class_config`
    """
    import datetime

    from nbgrader.api import Gradebook

    due = plan.due.astimezone(datetime.UTC).replace(tzinfo=None) if plan.due else None
    with Gradebook(config.CourseDirectory.db_url, course.course_id) as gradebook:
        gradebook.update_or_create_assignment(plan.name, duedate=due)
        known = {student.id: student for student in gradebook.students}
        for student in course.roster:
            names = (student.first_name, student.last_name)
            if student.id not in known or (known[student.id].first_name, known[student.id].last_name) != names:
                gradebook.update_or_create_student(student.id, first_name=names[0], last_name=names[1])


def _course_directory(config: Any, lesson: str) -> Any:
    from nbgrader.coursedir import CourseDirectory

    return CourseDirectory(config=config, assignment_id=lesson)


def _run(step: Any, failure: str) -> None:
    """Run a step of nbgrader quietly; what it says about a failure becomes one sentence."""
    from nbgrader.utils import capture_log

    outcome = capture_log(step)
    if outcome["success"]:
        return
    lines = outcome.get("log", "").splitlines() + outcome["error"].strip().splitlines()[-1:]
    said = [line.strip() for line in lines]
    complaints = [line.removeprefix("[ERROR] ") for line in said if line.startswith("[ERROR]")]
    reasons = [line for line in complaints if not line.startswith(("There was an error", "Please see", "Traceback"))]
    raised = [line.partition(": ")[2] for line in said if re.match(r"[\w.]+(Error|Exception): ", line)]
    why = (reasons or raised or said)[0].rstrip(".")
    remedy = next((advice for words, advice in _REMEDIES.items() if words in why), "")
    raise LabError(f"{failure}: {why}. {remedy}".rstrip())
