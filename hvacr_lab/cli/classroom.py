"""Commands around a class: demo, start, release, grade, report, export, editions."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from hvacr_lab.classroom.course import Course, LessonPlan, find_course, load_course, repository

_SETTINGS = {"help_option_names": ["-h", "--help"], "max_content_width": 100}

_course_option = click.option(
    "--course", "course_folder", type=click.Path(path_type=Path), help="Folder of the class; else it is looked for."
)
_json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON object, for scripts.")


@click.command(context_settings=_SETTINGS)
@click.option("--folder", type=click.Path(path_type=Path), default=Path("demo-class"), show_default=True)
@_json_option
def demo(folder: Path, as_json: bool) -> None:
    """Build a class of 24 invented students: release, hand in, grade, report.

    Given again for the same folder it keeps what is there: points given by hand, changed hand-ins.

    \b
    Examples:
      hvacr-lab demo
      hvacr-lab demo --folder ~/my-demo --json
    """
    from hvacr_lab.classroom.demo import build_demo, demo_lines

    with _Progress() as progress:
        built = build_demo(folder, progress=progress)
    if as_json:
        _print_json(built.as_dict())
        return
    for line in demo_lines(built):
        _say(line)
    _places({"report": built.report, "feedback": built.feedback, "marks": built.table, "class": built.folder})
    _say("Open the report in a browser. Next:")
    _commands(
        {
            f"start --course {_quoted(built.folder)}": "marks by hand (formgrader), the hand-ins",
            f"grade 02 --course {_quoted(built.folder)} --worked": "feedback as after the due date",
        }
    )


@click.command(context_settings=_SETTINGS)
@_course_option
@click.option("--port", type=int, help="Port on this machine; else the first free one from 8888 on.")
@click.option("--no-browser", is_flag=True, help="Only print the address.")
def start(course_folder: Path | None, port: int | None, no_browser: bool) -> None:
    """Open JupyterLab on a class, with nbgrader's formgrader for the points that a person gives.

    \b
    Examples:
      hvacr-lab start
      hvacr-lab start --course demo-class --port 9000 --no-browser
    """
    from hvacr_lab.classroom.workplace import open_workplace

    course = load_course(find_course(course_folder))
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # a request to end closes JupyterLab as Ctrl-C does
    # a request to end may come at any moment from here on, even before the first line is out
    with (
        contextlib.suppress(KeyboardInterrupt),
        open_workplace(course.folder.root, port=port, browser=not no_browser) as workplace,
    ):
        _say(f"JupyterLab is open on {_short(course.folder.root)} ({course.title}).")
        _say(f"  lessons       {workplace.address()}")
        _say(f"  marks by hand {workplace.address('formgrader')}")
        _say("It can be reached from this machine only. Ctrl-C ends it.")
        if hasattr(os, "geteuid") and os.geteuid() == 0:
            _say("You are root: notebooks that you run here may do anything on this machine.")
        workplace.process.wait()
    _say("JupyterLab is closed.")


@click.command(context_settings=_SETTINGS)
@click.argument("lesson")
@_course_option
@_json_option
def release(lesson: str, course_folder: Path | None, as_json: bool) -> None:
    """Make the student edition of LESSON, prove that it holds no key, hand it out.

    \b
    Examples:
      hvacr-lab release 02
      hvacr-lab release 02-refrigerant-states --course ~/classes/autumn --json
    """
    from hvacr_lab.classroom.release import release_lesson

    course, plan = _class_and_lesson(course_folder, lesson)
    released = release_lesson(course, plan)
    if as_json:
        _print_json(
            {
                "lesson": released.lesson,
                "changed": released.changed,
                "student_edition": str(released.notebook),
                "exchange": str(released.exchange),
                "files": list(released.files),
            }
        )
        return
    done = "made, proven free of keys, handed out" if released.changed else "handed out already; nothing has changed"
    _say(f"{released.lesson}: {done}.")
    _places({"student edition": released.notebook, "students fetch": released.exchange})
    _commands({f"grade {lesson}{_same_course(course_folder)}": "when they have handed in"})


@click.command(context_settings=_SETTINGS)
@click.argument("lesson")
@_course_option
@click.option("--only", metavar="STUDENT", multiple=True, help="Only this student; may be given several times.")
@click.option("--worked", is_flag=True, help="Show the worked way in the feedback although the due date is to come.")
@_json_option
def grade(lesson: str, course_folder: Path | None, only: tuple[str, ...], worked: bool, as_json: bool) -> None:
    """Collect LESSON from the exchange, grade what is new, write a feedback page for each student.

    Points given by hand are never touched. A run that was stopped is taken up where it ended.

    \b
    Examples:
      hvacr-lab grade 02
      hvacr-lab grade 02 --only mfernlow --course demo-class
    """
    from hvacr_lab.classroom.grade import collect_and_grade, summary_lines

    course, plan = _class_and_lesson(course_folder, lesson)
    with _Progress() as progress:
        outcome = collect_and_grade(course, plan, only=only, worked=worked, progress=progress)
    if as_json:
        _print_json(outcome.as_dict())
        return
    for line in summary_lines(outcome):
        _say(line)
    _places({"feedback": course.folder.feedback, "graded": course.folder.autograded})
    _commands({f"report {lesson}{_same_course(course_folder)}": "the class report"})


@click.command(context_settings=_SETTINGS)
@click.argument("lesson")
@_course_option
@_json_option
def report(lesson: str, course_folder: Path | None, as_json: bool) -> None:
    """Write the class report of LESSON: which mistakes how often and by whom, what to teach again.

    \b
    Examples:
      hvacr-lab report 02
      hvacr-lab report 02 --course demo-class --json
    """
    from hvacr_lab.classroom.grade import write_report

    course, plan = _class_and_lesson(course_folder, lesson)
    page, table, record = write_report(course, plan)
    if as_json:
        _print_json({"lesson": plan.name, "report": str(page), "table": str(table), "graded": len(record.results)})
        return
    _say(f"{plan.name}: {len(record.results)} of {len(record.roster)} hand-ins are in the report.")
    _places({"report": page, "table": table})


@click.command(context_settings=_SETTINGS)
@click.argument("lesson")
@_course_option
@_json_option
def export(lesson: str, course_folder: Path | None, as_json: bool) -> None:
    """Write the marks of LESSON as a table (CSV), one row for each student of the roster.

    Columns: student, first_name, last_name, status (not handed in, graded, stopped, unreadable, waits for a person),
    submitted_at (ISO 8601), points, max_points; one column for each question, named by its id; flags.

    \b
    Examples:
      hvacr-lab export 02
      hvacr-lab export 02 --course demo-class --json
    """
    from hvacr_lab.classroom.export import marks_table, write_marks
    from hvacr_lab.classroom.grade import read_record

    course, plan = _class_and_lesson(course_folder, lesson)
    record = read_record(course, plan)
    path = write_marks(record, course.folder.exports)
    if as_json:
        heading, *cells = marks_table(record)
        rows = [dict(zip(heading, row, strict=True)) for row in cells]
        _print_json({"lesson": plan.name, "table": str(path), "rows": rows})
        return
    _say(f"{plan.name}: marks of {len(record.roster)} students, {len(record.not_submitted)} of them not handed in.")
    _places({"table": path})


@click.command(context_settings=_SETTINGS)
@click.option("--target", type=click.Path(path_type=Path), help="Folder to write to; else release/ of the repository.")
@_json_option
def editions(target: Path | None, as_json: bool) -> None:
    """Make the student editions in release/ anew, SI and US, each proven free of keys.

    \b
    Examples:
      hvacr-lab editions
      hvacr-lab editions --target ~/editions
    """
    from hvacr_lab.classroom.release import write_editions

    root = repository()
    written = write_editions(root / "source_notebooks", root / "course", target or root / "release")
    if as_json:
        _print_json({"editions": [str(path) for path in written]})
        return
    _say(f"{len(written)} student editions made, no key found in them.")
    for path in written:
        _say(f"  {_short(path)}")


def _class_and_lesson(course_folder: Path | None, lesson: str) -> tuple[Course, LessonPlan]:
    course = load_course(find_course(course_folder))
    return course, course.lesson(lesson)


class _Progress:
    """One line on standard error: what is done, how much, how long it may still take.

    On a terminal the line is written over; elsewhere a new one comes every few seconds.
    """

    _every_seconds = 5.0

    def __init__(self) -> None:
        self._live = sys.stderr.isatty()
        self._step, self._step_began, self._shown = "", 0.0, 0.0

    def __enter__(self) -> Callable[[str, int, int], None]:
        return self.show

    def __exit__(self, *problem: object) -> None:
        if self._live and self._shown:
            click.echo("\r\033[K", nl=False, err=True)

    def show(self, step: str, done: int, of: int) -> None:
        """Say where a step is."""
        now = time.monotonic()
        new = step != self._step
        if new:
            self._step, self._step_began = step, now
        if not (new or self._live or now - self._shown > self._every_seconds):
            return
        self._shown = now
        line = f"{step} {done} of {of}{self._left(now - self._step_began, done, of)}" if of else step
        if self._live:
            click.echo(f"\r\033[K{line[:79]}", nl=False, err=True)
        else:
            click.echo(line, err=True)

    @staticmethod
    def _left(spent: float, done: int, of: int) -> str:
        """Time left, from the third item on and only when it is worth a word."""
        left = spent / done * (of - done) if done >= 3 else 0.0
        return f", about {left:.0f} s left" if left >= 2 else ""


def _say(line: str) -> None:
    click.echo(line)


def _places(places: Mapping[str, Path]) -> None:
    """Where the results are, one line each."""
    width = max(map(len, places))
    for name, path in places.items():
        _say(f"  {name.ljust(width)}  {_short(path)}")


def _commands(commands: Mapping[str, str]) -> None:
    """Commands to go on with, written as this one was called."""
    for words, purpose in commands.items():
        _say(f"  {_program()} {words}\n      {purpose}")


def _same_course(typed: Path | None) -> str:
    return f" --course {_quoted(typed)}" if typed else ""


def _program() -> str:
    """How the user calls this program: through lab.py or by its own name."""
    launcher = Path(__file__).resolve().parents[2] / "lab.py"
    if Path(sys.argv[0]).name == "__main__.py" and launcher.is_file():
        return f"python3 {_quoted(_short(launcher))}"
    return "hvacr-lab"


def _short(path: Path) -> str:
    """A path from the current folder on, when it lies there."""
    try:
        return str(path.resolve().relative_to(Path.cwd().resolve()))
    except ValueError:
        return str(path)


def _quoted(path: Path | str) -> str:
    text = _short(path) if isinstance(path, Path) else path
    return f'"{text}"' if " " in text else text


def _print_json(values: Mapping[str, Any] | Sequence[Any]) -> None:
    click.echo(json.dumps(values, ensure_ascii=False, indent=1))
