"""The keys: question blocks between nbgrader's hidden-test marks of a source notebook, evaluated in the grader only.

For a student the set-up and the readings are run again under the student's id, so that the question meets the same own
numbers; then each question marks the plain values that came back from the sandbox.
"""

from __future__ import annotations

import ast
import functools
import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import CodeType
from typing import TYPE_CHECKING, Any

from hvacr_lab import __version__
from hvacr_lab.errors import FileProblem
from hvacr_lab.grading.released import Release, grade_id, is_locked, read_release

if TYPE_CHECKING:
    from hvacr_lab.exercises.questions import Mark, Question

_HIDDEN = re.compile(r"^### BEGIN HIDDEN TESTS\s*$(.*?)^### END HIDDEN TESTS\s*$", flags=re.MULTILINE | re.DOTALL)
_NOBODY = "nobody"  # questions have the same names and points for everyone


@dataclass(frozen=True, slots=True)
class ManualQuestion:
    """A question that a person marks.

    Parameters
    ----------
    title : str
    points : float
    """

    title: str
    points: float


@dataclass(frozen=True, slots=True)
class Asked:
    """A question as one student met it.

    Parameters
    ----------
    question : Question
    readings : what the student's own sheet showed
    """

    question: Question
    readings: Any


@dataclass(frozen=True, slots=True)
class _Step:
    """A locked cell of the source: code to run, and for a check the expressions for its question and its readings."""

    name: str
    code: CodeType
    question: CodeType | None = None
    readings: CodeType | None = None


class AnswerKey:
    """The key of one lesson. It stays in the grader: no sandbox, file or log ever gets it.

    Parameters
    ----------
    source : Release read from the *source* notebook
    """

    def __init__(self, source: Release, path: Path) -> None:
        self.lesson, self.title = source.lesson, source.title
        self._path = path
        self._steps = _steps(source, path)
        self._asked_of = functools.lru_cache(maxsize=512)(self._ask)
        asked = self.asked(_NOBODY)
        self.captures = {name: tuple(entry.question.answers) for name, entry in asked.items()}
        self.manual = _manual_questions(source)
        self.titles = {name: entry.question.title for name, entry in asked.items()}
        self.titles |= {name: question.title for name, question in self.manual.items()}
        points = {name: float(entry.question.points) for name, entry in asked.items()}
        points |= {name: question.points for name, question in self.manual.items()}
        self.points = {name: points[name] for name in source.cells if name in points}
        self.digest = _digest(source)

    def asked(self, student: str) -> Mapping[str, Asked]:
        """The questions with the student's own readings, grade_id -> Asked."""
        return self._asked_of(student)

    def mark(self, student: str, answers: Mapping[str, Mapping[str, object]]) -> dict[str, Mark]:
        """Mark the answers of one student, grade_id -> Mark."""
        return {name: self.mark_one(student, name, answers.get(name, {})) for name in self.captures}

    def mark_one(self, student: str, name: str, values: Mapping[str, object]) -> Mark:
        """Mark the answer to one question."""
        entry = self.asked(student)[name]
        return entry.question.mark(values, entry.readings)

    def _ask(self, student: str) -> dict[str, Asked]:
        from hvacr_lab.exercises.sheet import working_as

        namespace: dict[str, Any] = {"__name__": "key"}
        asked = {}
        with working_as(student):
            for step in self._steps:
                try:
                    exec(step.code, namespace)
                    if step.question and step.readings:
                        asked[step.name] = Asked(eval(step.question, namespace), eval(step.readings, namespace))
                except Exception as problem:
                    kind = type(problem).__name__
                    raise FileProblem(
                        self._path, f"cell {step.name} stops with {kind}: {problem} (numbers of {student})"
                    ) from problem
        return asked


def load_key(source_notebook: Path) -> AnswerKey:
    """Read the key of a lesson from its source notebook.

    Parameters
    ----------
    source_notebook : Path of source/LESSON/LESSON.ipynb

    Returns
    -------
    AnswerKey

    Raises
    ------
    FileProblem : the notebook is missing, or a hidden block is not written as it must be
    """
    return AnswerKey(read_release(source_notebook), source_notebook)


def _steps(source: Release, path: Path) -> tuple[_Step, ...]:
    locked = [cell for cell in source.cells.values() if cell["cell_type"] == "code" and is_locked(cell)]
    return tuple(_step(cell, path) for cell in locked)


def _step(cell: Mapping[str, Any], path: Path) -> _Step:
    name, source = grade_id(cell), cell["source"]
    hidden = _HIDDEN.search(source)
    where = f"{path.name}, cell {name}"
    try:
        tree = ast.parse(hidden[1] if hidden else source)
    except SyntaxError as problem:
        raise FileProblem(path, f"cell {name}: {problem.msg} in line {problem.lineno}") from None
    if not hidden:
        # what a cell only shows, a picture or the readings, is of no use to the key
        tree.body = [statement for statement in tree.body if not isinstance(statement, ast.Expr)]
        return _Step(name, compile(tree, where, "exec"))
    match tree.body[-1:]:
        case [ast.Expr(value=ast.Call(func=ast.Attribute(value=question, attr="mark"), args=[_, readings]))]:
            tree.body.pop()
            parts = [compile(ast.Expression(part), where, "eval") for part in (question, readings)]
            return _Step(name, compile(tree, where, "exec"), *parts)
    raise FileProblem(path, f"cell {name}: the hidden block has to end with  Question(...).mark(globals(), readings)")


def _manual_questions(source: Release) -> dict[str, ManualQuestion]:
    return {
        name: ManualQuestion(_title(source, name), float(cell["metadata"]["nbgrader"].get("points") or 0.0))
        for name, cell in source.cells.items()
        if cell["metadata"]["nbgrader"].get("grade") and not is_locked(cell)
    }


def _title(source: Release, name: str) -> str:
    """The last heading above a cell, or what its id says: "q9-explain" -> "explain"."""
    title = ""
    for cell in source.notebook["cells"]:
        if grade_id(cell) == name:
            break
        headings = re.findall(r"^#+\s+(.+)$", cell["source"], flags=re.MULTILINE)
        if cell["cell_type"] == "markdown" and headings:
            title = headings[-1].strip()
    return title or name.partition("-")[2].replace("-", " ") or name


def _digest(source: Release) -> str:
    """SHA-256 over all that decides a mark; another wording of the lesson's text changes nothing."""
    locked: Iterable[Any] = (
        (name, cell["source"] if is_locked(cell) else "", cell["metadata"]["nbgrader"].get("points"))
        for name, cell in source.cells.items()
    )
    return hashlib.sha256(json.dumps([__version__, *locked], ensure_ascii=False).encode()).hexdigest()
