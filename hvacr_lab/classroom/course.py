"""One class: what the instructor wrote into course.toml and roster.csv, checked line by line."""

from __future__ import annotations

import datetime
import difflib
import os
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hvacr_lab.classroom.roster import read_roster
from hvacr_lab.errors import FileProblem, LabError, UnknownName
from hvacr_lab.grading.folders import ClassFolder
from hvacr_lab.grading.records import Student

SETTINGS_FILE, ROSTER_FILE, NBGRADER_FILE = "course.toml", "roster.csv", "nbgrader_config.py"
COURSE_VARIABLE = "HVACR_LAB_COURSE"


@dataclass(frozen=True, slots=True)
class LessonPlan:
    """A lesson that the class gets.

    Parameters
    ----------
    name : str, folder in source_notebooks/
    due : datetime with time zone, or None
    """

    name: str
    due: datetime.datetime | None = None

    def is_over(self, now: datetime.datetime | None = None) -> bool:
        """True once the due date has passed; then feedback may show the worked way."""
        return self.due is not None and (now or datetime.datetime.now(datetime.UTC)) >= self.due


@dataclass(frozen=True, slots=True)
class Course:
    """A class with its settings, lessons and students.

    Parameters
    ----------
    folder : ClassFolder, where it keeps its work
    title, school : str
    course_id : str, short name in folder names
    units : "SI" or "US"
    altitude_m : float, height of the school above the sea [m]
    salt : str, from which each student's own numbers are drawn
    lessons : in the order of course.toml
    roster : students in the order of roster.csv
    cell_seconds : float, time limit of one cell of a hand-in [s]
    source_notebooks : Path of the folder in which lessons are edited
    """

    folder: ClassFolder
    title: str
    school: str
    course_id: str
    units: str
    altitude_m: float
    salt: str
    lessons: tuple[LessonPlan, ...]
    roster: tuple[Student, ...]
    cell_seconds: float
    source_notebooks: Path

    def lesson(self, typed: str) -> LessonPlan:
        """Find a lesson by its name or the beginning of it ("02")."""
        fitting = [plan for plan in self.lessons if plan.name == typed] or [
            plan for plan in self.lessons if plan.name.startswith(typed)
        ]
        if len(fitting) == 1:
            return fitting[0]
        names = [plan.name for plan in fitting or self.lessons]
        hint = "Write more of the name." if fitting else f"Lessons stand in {self.folder.root / SETTINGS_FILE}."
        raise UnknownName("lesson", typed, names, hint=hint)


@dataclass(frozen=True, slots=True)
class _Setting:
    """What a key of course.toml may hold: ``fits`` says yes or no, ``limit`` says it to the instructor."""

    fits: Callable[[Any], bool]
    limit: str
    default: Any = None
    guess: Callable[[Any], str] = lambda value: ""


def _is_number(value: Any, low: float, high: float) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high


def _is_text(value: Any, shortest: int, longest: int) -> bool:
    return isinstance(value, str) and shortest <= len(value.strip()) <= longest and value.isprintable()


def _matches(pattern: str) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, str) and re.fullmatch(pattern, value) is not None


def _likelier_altitude(value: Any) -> str:
    """A slipped sign or a zero too many is the usual reason."""
    sizes = (abs(value) / 10, abs(value)) if isinstance(value, int | float) else ()
    fitting = [f"{size:g}" for size in sizes if _is_number(size, 0, 5000)]
    return f" Did you mean {' or '.join(fitting)}?" if fitting else ""


def _likelier_units(value: Any) -> str:
    known = {"si": "SI", "metric": "SI", "us": "US", "ip": "US", "imperial": "US"}
    close = known.get(str(value).strip().lower())
    return f' Did you mean "{close}"?' if close else ""


_COURSE = {
    "title": _Setting(lambda value: _is_text(value, 1, 120), 'A title is text of 1 to 120 characters, in "quotes".'),
    "school": _Setting(
        lambda value: _is_text(value, 1, 120), 'The name of the school is text of 1 to 120 characters, in "quotes".'
    ),
    "course_id": _Setting(
        _matches(r"[a-z0-9][a-z0-9-]{0,39}"),
        "The short name has 1 to 40 small letters, digits and hyphens, and begins with a letter or digit.",
    ),
    "units": _Setting(lambda value: value in ("SI", "US"), 'Units are "SI" or "US".', guess=_likelier_units),
    "altitude_m": _Setting(
        lambda value: _is_number(value, -430, 5000),
        "Altitude must be between -430 and 5,000 m (the lowest and highest places where people live).",
        guess=_likelier_altitude,
    ),
    "salt": _Setting(lambda value: _is_text(value, 6, 64), 'The salt is text of 6 to 64 characters, in "quotes".'),
    "source_notebooks": _Setting(
        lambda value: value is None or _is_text(value, 1, 400),
        'This is the folder of the lessons, in quotes, from this file on: source_notebooks = "../source_notebooks".',
    ),
    "grading": _Setting(lambda value: isinstance(value, dict), "[grading] is a block of its own.", default={}),
    "lessons": _Setting(
        lambda value: isinstance(value, list) and bool(value) and all(isinstance(block, dict) for block in value),
        "A class has at least one [[lessons]] block.",
    ),
}
_GRADING = {
    "cell_seconds": _Setting(
        lambda value: _is_number(value, 1, 120), "The time limit of a cell is between 1 and 120 seconds.", default=10
    ),
}
_LESSON = {
    "name": _Setting(
        _matches(r"[0-9a-zA-Z][0-9a-zA-Z_-]{0,59}"), "A lesson is named as its folder in source_notebooks/ is."
    ),
    "due": _Setting(
        lambda value: value is None or isinstance(value, datetime.datetime),
        "A due date is written without quotes, with the time: 2027-01-15 17:00:00.",
    ),
}
_OPTIONAL = {"due", "source_notebooks"}


class _SettingsFile:
    """course.toml as text and as values, so that a wrong value can be shown with its line."""

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            self.text = path.read_text(encoding="utf-8-sig")
            self.values: Mapping[str, Any] = tomllib.loads(self.text)
        except OSError as problem:
            raise FileProblem(path, f"cannot be read ({problem.strerror})") from None
        except UnicodeDecodeError:
            raise FileProblem(path, "is not UTF-8 text. Save it as UTF-8.") from None
        except tomllib.TOMLDecodeError as problem:
            place = re.search(r"\(at line (\d+)", str(problem))
            what = re.sub(r" \(at .*\)$", "", str(problem))
            hint = 'Text stands in "quotes", a number without; every line is: key = value.'
            raise FileProblem(path, f"{what}. {hint}", line=int(place[1]) if place else None) from None

    def line_of(self, key: str, heading: str = "", nth: int = 0) -> int | None:
        """Line of ``key = ...`` below the nth heading of that name (top of the file for "")."""
        current, seen = "", -1
        for number, line in enumerate(self.text.splitlines(), start=1):
            found = re.match(r"\s*\[{1,2}\s*([\w.-]+)\s*\]", line)
            if found:
                current, seen = found[1], seen + (found[1] == heading)
            elif (
                current == heading and seen == (nth if heading else -1) and re.match(rf"\s*{re.escape(key)}\s*=", line)
            ):
                return number
        return None

    def written(self, line: int | None, key: str, value: Any) -> str:
        """The setting as it stands in the file, without its comment; as it was understood where it has no line."""
        if line is None:
            return f"{key} = {value!r}"
        return re.sub(r"\s+#[^\"']*$", "", self.text.splitlines()[line - 1]).strip()

    def check(
        self, found: Mapping[str, Any], settings: Mapping[str, _Setting], heading: str = "", nth: int = 0
    ) -> dict[str, Any]:
        """Values of one block, defaults filled in; the first one that does not fit is refused with its line."""
        for key in found:
            if key not in settings:
                closest = difflib.get_close_matches(key, settings, n=1)
                offer = f"Did you mean {closest[0]}?" if closest else f"Known: {', '.join(settings)}."
                raise FileProblem(
                    self.path, f"`{key}` is not a setting here. {offer}", line=self.line_of(key, heading, nth)
                )
        values = {}
        for key, setting in settings.items():
            value = found.get(key, setting.default)
            if not setting.fits(value):
                raise self.refusal(key, value, setting, heading, nth)
            values[key] = value
        return values

    def refusal(self, key: str, value: Any, setting: _Setting, heading: str, nth: int) -> FileProblem:
        """The sentence for a value that does not fit, or for one that is missing."""
        if value is None and key not in _OPTIONAL:
            where = f" in block {nth + 1} of [[{heading}]]" if heading else ""
            return FileProblem(self.path, f"`{key}` is missing{where}. {setting.limit}")
        line = self.line_of(key, heading, nth)
        return FileProblem(
            self.path, f"`{self.written(line, key, value)}`. {setting.limit}{setting.guess(value)}", line=line
        )


def load_course(root: Path) -> Course:
    """Read the class in a folder.

    Parameters
    ----------
    root : Path of the folder that holds course.toml and roster.csv

    Returns
    -------
    Course

    Raises
    ------
    FileProblem : a file is missing or a line in it cannot be used
    """
    root = Path(root).resolve()
    file = _SettingsFile(root / SETTINGS_FILE)
    settings = file.check(file.values, _COURSE)
    grading = file.check(settings.pop("grading"), _GRADING, "grading")
    lessons = _lessons(file, settings.pop("lessons"))
    settings["altitude_m"] = float(settings["altitude_m"])
    elsewhere = settings.pop("source_notebooks")
    return Course(
        folder=ClassFolder(root),
        lessons=lessons,
        roster=read_roster(root / ROSTER_FILE),
        cell_seconds=float(grading["cell_seconds"]),
        source_notebooks=(root / elsewhere).resolve() if elsewhere else repository() / "source_notebooks",
        **settings,
    )


def _lessons(file: _SettingsFile, blocks: list[dict[str, Any]]) -> tuple[LessonPlan, ...]:
    """The [[lessons]] blocks, each name once."""
    plans: dict[str, LessonPlan] = {}
    for nth, block in enumerate(blocks):
        values = file.check(block, _LESSON, "lessons", nth)
        name, due = values["name"], values["due"]
        if name in plans:
            line = file.line_of("name", "lessons", nth)
            raise FileProblem(file.path, f'`name = "{name}"` stands there twice. Remove one block.', line=line)
        plans[name] = LessonPlan(name, due.astimezone() if due else None)  # without a zone: this machine's own
    return tuple(plans.values())


def repository() -> Path:
    """The checkout that this package was installed from: it holds the source notebooks and the sample class.

    Returns
    -------
    Path of the folder with source_notebooks/ in it

    Raises
    ------
    LabError : the package was installed without its repository
    """
    root = Path(__file__).resolve().parents[2]
    if not (root / "source_notebooks").is_dir():
        raise LabError(
            f"The source notebooks are not beside the package ({root}). "
            "Install it from its repository: python3 lab.py demo."
        )
    return root


def find_course(typed: Path | None = None, *, start: Path | None = None) -> Path:
    """The folder of the class that a command is about.

    In this order: what was typed; the variable HVACR_LAB_COURSE; course.toml or course/course.toml in the current
    folder or one above it; the sample class of the repository.

    Parameters
    ----------
    typed : Path given with --course: the folder or its course.toml
    start : Path to look upward from, the current folder unless given

    Returns
    -------
    Path of the folder that holds course.toml

    Raises
    ------
    LabError : there is no class in any of these places
    """
    for place, name in ((typed, "--course"), (os.environ.get(COURSE_VARIABLE), COURSE_VARIABLE)):
        if place:
            folder = Path(place).parent if Path(place).name == SETTINGS_FILE else Path(place)
            if (folder / SETTINGS_FILE).is_file():
                return folder.resolve()
            raise LabError(f"{name}: there is no {SETTINGS_FILE} in {folder}. Give the folder of a class.")
    here = (start or Path.cwd()).resolve()
    places = [folder for above in (here, *here.parents) for folder in (above, above / "course")]
    for folder in (*places, Path(__file__).resolve().parents[2] / "course"):
        if (folder / SETTINGS_FILE).is_file():
            return folder
    raise LabError(
        f"No class found. Looked for --course FOLDER, the variable {COURSE_VARIABLE}, {SETTINGS_FILE} or "
        f"course/{SETTINGS_FILE} from {here} upward, and the course/ folder beside the package."
    )
