"""From a source notebook to what students get: the class's own numbers and units, no keys, into the exchange."""

from __future__ import annotations

import ast
import contextlib
import hashlib
import json
import re
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from hvacr_lab import __version__
from hvacr_lab.classroom.course import NBGRADER_FILE, Course, LessonPlan
from hvacr_lab.classroom.frame import class_config, enter_in_gradebook, generate, hand_out, private_settings
from hvacr_lab.classroom.leak_scan import SUFFIXES, scan
from hvacr_lab.errors import FileProblem
from hvacr_lab.grading.keys import load_key

US_FILE = "us.toml"
_SETUP_LINE = re.compile(r"^(?P<start>\w+ = open_sheet\()(?P<arguments>.*)\)(?P<end>[^)\n]*)$", flags=re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Released:
    """A lesson that students can fetch.

    Parameters
    ----------
    lesson : str
    notebook : Path of the student edition in the class folder
    exchange : Path from which students fetch it
    changed : bool, False when it was there already, the same to the last letter
    files : names of the files handed out
    """

    lesson: str
    notebook: Path
    exchange: Path
    changed: bool
    files: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Edition:
    """What stands in the set-up line of an edition.

    Parameters
    ----------
    units : "SI" or "US"
    salt, altitude_m : None to leave them as the source has them
    """

    units: str
    salt: str | None = None
    altitude_m: float | None = None


def release_lesson(course: Course, plan: LessonPlan) -> Released:
    """Make the student edition of a lesson, prove that it holds no keys, hand it out.

    A second call with nothing changed does nothing.

    Parameters
    ----------
    course : Course
    plan : one of its lessons

    Returns
    -------
    Released

    Raises
    ------
    FileProblem : the source notebook is missing, or the student edition would show a key
    LabError : nbgrader refuses the notebook
    """
    folder, lesson = course.folder, plan.name
    config = class_config(folder.root)
    exchange = Path(config.Exchange.root) / course.course_id / "outbound" / lesson
    release, made_from = folder.release / lesson, _made_from(course, plan)
    changed = not (folder.gradebook.is_file() and _is_fresh(course, lesson, made_from, exchange))
    if changed:
        with private_settings():
            with _as_it_was_on_failure(folder.source / lesson, release):
                load_key(write_source(course, lesson))  # a lesson that cannot be graded is not handed out
                generate(config, lesson)
                refuse_leaks(folder.source / lesson, release)
            enter_in_gradebook(course, plan, config)
            hand_out(config, lesson)
        _write_manifest(course, lesson, made_from)
    return Released(lesson, folder.notebook(folder.release, lesson), exchange, changed, tuple(_hashes(release)))


@contextlib.contextmanager
def _as_it_was_on_failure(*folders: Path) -> Iterator[None]:
    """Put folders back when something goes wrong in between: what is out already can still be graded."""
    with tempfile.TemporaryDirectory(prefix="hvacr-lab-") as box:
        copies = [Path(box) / str(number) for number in range(len(folders))]
        for folder, copy in zip(folders, copies, strict=True):
            if folder.is_dir():
                shutil.copytree(folder, copy)
        try:
            yield
        except BaseException:
            for folder, copy in zip(folders, copies, strict=True):
                shutil.rmtree(folder, ignore_errors=True)
                if copy.is_dir():
                    shutil.copytree(copy, folder)
            raise


def write_source(course: Course, lesson: str) -> Path:
    """Put the class's own source of a lesson into source/LESSON: keys in it, never shown to a student.

    Parameters
    ----------
    course : Course
    lesson : str, folder name

    Returns
    -------
    Path of the notebook
    """
    target = course.folder.source / lesson
    course.folder.source.mkdir(mode=0o700, exist_ok=True)
    _write_edition(source_folder(course, lesson), target, Edition(course.units, course.salt, course.altitude_m))
    return target / f"{lesson}.ipynb"


def write_editions(notebooks: Path, config_folder: Path, target: Path) -> tuple[Path, ...]:
    """Make the student editions of the repository anew, SI and US, each proven free of keys.

    Parameters
    ----------
    notebooks : Path of source_notebooks/
    config_folder : Path of a folder with course.toml and nbgrader_config.py
    target : Path; editions go to TARGET/si/LESSON and TARGET/us/LESSON

    Returns
    -------
    tuple of Path, the folders written
    """
    config = class_config(config_folder)
    config.SaveCells.enabled, config.GenerateAssignment.no_database = False, True
    lessons = sorted(path.parent for path in notebooks.glob("*/*.ipynb") if path.stem == path.parent.name)
    written = []
    for lesson in lessons:
        for units in ("SI", "US"):
            with private_settings(), tempfile.TemporaryDirectory(prefix="hvacr-lab-edition-") as box:
                config.CourseDirectory.root = box
                source, release = Path(box) / "source" / lesson.name, Path(box) / "release" / lesson.name
                _write_edition(lesson, source, Edition(units))
                generate(config, lesson.name)
                refuse_leaks(source, release)
                written.append(_replace_folder(release, target / units.lower() / lesson.name))
    return tuple(written)


def source_folder(course: Course, lesson: str) -> Path:
    """Where a lesson is edited.

    Parameters
    ----------
    course : Course
    lesson : str, folder name

    Returns
    -------
    Path of the folder with the source notebook

    Raises
    ------
    FileProblem : there is no notebook of that name
    """
    folder = course.source_notebooks / lesson
    if not (folder / f"{lesson}.ipynb").is_file():
        raise FileProblem(folder / f"{lesson}.ipynb", "there is no such notebook. Is the lesson's name right?")
    return folder


def refuse_leaks(source: Path, release: Path) -> None:
    """Remove a student edition that would show a key, and say where.

    Parameters
    ----------
    source, release : Path of the lesson's folders

    Raises
    ------
    FileProblem : something was found
    """
    leaks = scan(source, release)
    if leaks:
        shutil.rmtree(release)
        listed = "".join(f"\n  - {leak}" for leak in leaks[:12])
        more = f"\n  - and {len(leaks) - 12} more places" if len(leaks) > 12 else ""
        raise FileProblem(source, f"nothing was handed out: the student edition would show a key.{listed}{more}")


def with_settings(notebook: Mapping[str, Any], edition: Edition, name: str) -> dict[str, Any]:
    """The notebook with salt, units and altitude of an edition in its set-up line.

    Parameters
    ----------
    notebook : dict as in the .ipynb file
    edition : Edition
    name : str, shown when the line cannot be found

    Returns
    -------
    dict, a copy

    Raises
    ------
    FileProblem : the notebook has no set-up line, or more than one
    """
    copy: dict[str, Any] = json.loads(json.dumps(notebook))
    found = 0
    for cell in copy["cells"]:
        if cell["cell_type"] == "code":
            text = "".join(cell["source"])
            new, count = _SETUP_LINE.subn(lambda match: _setup_line(match, edition, name), text)
            if count:
                cell["source"] = new.splitlines(keepends=True) if isinstance(cell["source"], list) else new
            found += count
    if found != 1:
        form = 'sheet = open_sheet("LESSON", salt="...", units="SI", altitude_m=430.0)'
        raise FileProblem(name, f"{found} set-up lines instead of one. It stands on a line of its own: {form}")
    return copy


def _setup_line(match: re.Match[str], edition: Edition, name: str) -> str:
    """One set-up line with other values; the lesson's name and the order of the values stay."""
    try:
        call = cast(ast.Call, ast.parse(f"f({match['arguments']})", mode="eval").body)
        lesson = ast.literal_eval(call.args[0])
        values = {str(keyword.arg): ast.literal_eval(keyword.value) for keyword in call.keywords}
    except (SyntaxError, ValueError, IndexError):
        raise FileProblem(name, f"the set-up line cannot be read: {match[0].strip()}") from None
    values["units"] = edition.units
    if edition.salt is not None:
        values["salt"] = edition.salt
    if edition.altitude_m is not None:
        values["altitude_m"] = edition.altitude_m
    written = ", ".join([_quoted(lesson), *(f"{key}={_quoted(value)}" for key, value in values.items())])
    return f"{match['start']}{written}){match['end']}"


def _quoted(value: Any) -> str:
    """A value as Python text, in double quotes."""
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else repr(value)


def _write_edition(origin: Path, target: Path, edition: Edition) -> None:
    """Write a lesson's notebook and its side files with an edition's settings."""
    lesson = origin.name
    path = origin / f"{lesson}.ipynb"
    try:
        notebook = json.loads(path.read_text(encoding="utf-8"))
    except ValueError as problem:
        raise FileProblem(path, f"cannot be read as a notebook ({problem})") from None
    if edition.units == "US":
        from hvacr_lab.exercises.editions import us_edition

        notebook = us_edition(notebook, origin / US_FILE)
    notebook = with_settings(notebook, edition, str(path))
    target.mkdir(parents=True, exist_ok=True)
    for side_file in sorted(origin.iterdir()):
        if side_file.suffix.lower() in SUFFIXES and side_file != path and not side_file.is_symlink():
            shutil.copyfile(side_file, target / side_file.name)
    _write_text(target / f"{lesson}.ipynb", json.dumps(notebook, ensure_ascii=False, indent=1) + "\n")


def _write_text(path: Path, text: str) -> None:
    """Whole or not at all."""
    fresh = path.with_name(f".{path.name}.new")
    fresh.write_text(text, encoding="utf-8")
    fresh.replace(path)


def _replace_folder(source: Path, target: Path) -> Path:
    """Put a generated folder in the place of an older one."""
    if target.exists():
        shutil.rmtree(target)
    target.parent.mkdir(parents=True, exist_ok=True)
    return Path(shutil.copytree(source, target))


def _manifest_path(course: Course, lesson: str) -> Path:
    return course.folder.root / "manifests" / f"{lesson}.json"


def _hashes(folder: Path) -> dict[str, str]:
    """SHA-256 of each file below a folder, by name."""
    paths = sorted(path for path in folder.rglob("*") if path.is_file()) if folder.is_dir() else []
    return {path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() for path in paths}


def _made_from(course: Course, plan: LessonPlan) -> str:
    """One hash over everything that a release depends on; what students do is not among it."""
    due = plan.due.isoformat() if plan.due else ""
    settings = (__version__, course.course_id, course.units, course.altitude_m, course.salt, due, course.roster)
    files = _hashes(source_folder(course, plan.name))
    config = (course.folder.root / NBGRADER_FILE).read_bytes()
    return hashlib.sha256(repr((settings, files, config)).encode()).hexdigest()


def _is_fresh(course: Course, lesson: str, made_from: str, exchange: Path) -> bool:
    """True when the release on record came from the same material, and release/ and exchange still hold it."""
    try:
        manifest = json.loads(_manifest_path(course, lesson).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    there = (_hashes(course.folder.release / lesson), _hashes(exchange))
    return bool(manifest.get("made_from") == made_from and all(files == manifest.get("files") for files in there))


def _write_manifest(course: Course, lesson: str, made_from: str) -> None:
    """Record what was handed out; written last, so that an interrupted release is done again."""
    path = _manifest_path(course, lesson)
    path.parent.mkdir(exist_ok=True)
    files = _hashes(course.folder.release / lesson)
    _write_text(path, json.dumps({"lesson": lesson, "made_from": made_from, "files": files}, indent=1) + "\n")
