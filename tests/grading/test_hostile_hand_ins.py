"""A class in which many hand-ins are hostile: each gets a grade and a reason, the honest ones get all their points."""

from __future__ import annotations

import copy
from collections.abc import Callable
from pathlib import Path

import pytest
from small_class import (
    LESSON,
    ROSTER,
    Notebook,
    cell_of,
    hand_in,
    honest,
    released,
    source_of,
    with_answers,
)
from test_grade_lesson import files_of, points, result_of

from hvacr_lab.grading.folders import ClassFolder
from hvacr_lab.grading.records import ClassRecord
from hvacr_lab.grading.run import grade_lesson
from hvacr_lab.grading.sandbox import Limits

ATTACKS = Path(__file__).parent.parent / "submissions"
HOSTILE_CELLS = (
    *("endless_loop", "leaves_by_os_exit", "leaves_by_sys_exit", "flood_of_prints", "two_gigabytes", "fork_bomb"),
    *(
        "reads_the_gradebook",
        "reads_the_source",
        "reads_a_neighbours_work",
        "forges_its_result",
        "network",
        "kills_everyone",
    ),
    *("breaks_the_library_for_all", "sends_a_bomb_of_brackets"),
)
EQUAL_TO_ALL = """
class Right(float):
    def __eq__(self, other): return True
    def __sub__(self, other): return 0.0
    __rsub__ = __sub__
    def __abs__(self): return 0.0
    def __le__(self, other): return True
difference_k = Right(0.0)"""


def with_attack(folder: ClassFolder, student: str, name: str) -> Notebook:
    """Right answers everywhere, and the attack below the second one."""
    notebook = honest(folder, student)
    text = (ATTACKS / f"{name}.cell").read_text().replace("CLASS_FOLDER", str(folder.root))
    cell = cell_of(notebook, "q2-pipes-answer")
    cell["source"] = f"{source_of(cell)}\n{text}"
    return notebook


def check_edited(folder: ClassFolder, student: str) -> Notebook:
    notebook = with_answers(released(folder), {"difference_k": "1.0"})
    cell_of(notebook, "q1-pipes")["source"] = "2.0"
    return notebook


def points_raised(folder: ClassFolder, student: str) -> Notebook:
    notebook = honest(folder, student)
    for cell in notebook["cells"]:
        if "points" in cell["metadata"].get("nbgrader", {}):
            cell["metadata"]["nbgrader"]["points"] = 1000
    return notebook


def answers_twice(folder: ClassFolder, student: str) -> Notebook:
    notebook = honest(folder, student)
    earlier = copy.deepcopy(cell_of(notebook, "q1-pipes-answer"))
    earlier["source"] = "difference_k = 0.0"
    notebook["cells"].insert(2, earlier)
    return notebook


def checks_deleted(folder: ClassFolder, student: str) -> Notebook:
    notebook = honest(folder, student)
    kept = [cell for cell in notebook["cells"] if not cell["metadata"].get("nbgrader", {}).get("locked")]
    return notebook | {"cells": kept}


def equal_to_all(folder: ClassFolder, student: str) -> Notebook:
    notebook = released(folder)
    cell_of(notebook, "q1-pipes-answer")["source"] = EQUAL_TO_ALL
    return notebook


def broken_file(folder: ClassFolder, student: str) -> bytes:
    return b'{"cells": ['


def bomb_of_brackets(folder: ClassFolder, student: str) -> bytes:
    return b"[" * 200_000


NOTEBOOKS: tuple[Callable[[ClassFolder, str], Notebook | bytes], ...] = (
    *(check_edited, points_raised, answers_twice, checks_deleted, equal_to_all, broken_file, bomb_of_brackets),
)
HONEST = [student.id for student in ROSTER]


@pytest.fixture(scope="module")
def attacked(pristine_class: ClassFolder, tmp_path_factory: pytest.TempPathFactory) -> tuple[ClassFolder, ClassRecord]:
    """One class, one run: every attack beside every honest hand-in."""
    import shutil

    folder = ClassFolder(tmp_path_factory.mktemp("attacked") / "class")
    shutil.copytree(pristine_class.root, folder.root)
    for name in HOSTILE_CELLS:
        hand_in(folder, f"m.{name}", with_attack(folder, f"m.{name}", name))
    for make in NOTEBOOKS:
        hand_in(folder, f"m.{make.__name__}", make(folder, f"m.{make.__name__}"))
    for student in HONEST:
        hand_in(folder, student, honest(folder, student))
    before = files_of(folder, but=("autograded", "feedback", "gradebook.db", ".grading.lock"))
    record = grade_lesson(folder, LESSON, roster=ROSTER, limits=Limits(cell_seconds=3.0))
    assert files_of(folder, but=("autograded", "feedback", "gradebook.db", ".grading.lock")) == before
    return folder, record


def test_everyone_has_a_grade(attacked: tuple[ClassFolder, ClassRecord]) -> None:
    _, record = attacked
    assert len(record.results) == len(HOSTILE_CELLS) + len(NOTEBOOKS) + len(HONEST)
    assert all(result.score <= 7.0 for result in record.results), "nobody has more than the machine can give"


@pytest.mark.parametrize("student", HONEST)
def test_honest_work_is_not_affected(attacked: tuple[ClassFolder, ClassRecord], student: str) -> None:
    result = result_of(attacked[1], student)
    assert (result.status, result.score, result.reasons, result.suspicions) == ("graded", 7.0, (), ())


STOPPED = {
    "leaves_by_os_exit": "ended the Python process itself",
    "breaks_the_library_for_all": "ended",
    "sends_a_bomb_of_brackets": "no result",
    "forges_its_result": "no result",
}


@pytest.mark.parametrize("name", HOSTILE_CELLS)
def test_a_hostile_cell_costs_only_its_author(attacked: tuple[ClassFolder, ClassRecord], name: str) -> None:
    result = result_of(attacked[1], f"m.{name}")
    given = points(result)
    assert given["q1-pipes"] == 2.0, "what came before counts"
    if name in STOPPED:
        assert result.status == "stopped"
        assert STOPPED[name] in result.reasons[-1]
        assert given["q3-pipes"] == 0.0
    else:
        assert result.status == "graded"
        assert given["q3-pipes"] == 2.0


def test_limits_are_told_to_the_student(attacked: tuple[ClassFolder, ClassRecord]) -> None:
    _, record = attacked
    reasons = {name: " ".join(result_of(record, f"m.{name}").reasons) for name in HOSTILE_CELLS}
    assert "(q2-pipes-answer) ran longer than 3 s and was stopped" in reasons["endless_loop"]
    assert "the rest of its output was cut" in reasons["flood_of_prints"]
    assert "asked for more memory" in reasons["two_gigabytes"]


def test_tampered_notebooks_get_what_their_answers_are_worth(attacked: tuple[ClassFolder, ClassRecord]) -> None:
    _, record = attacked
    edited = result_of(record, "m.check_edited")
    assert points(edited)["q1-pipes"] == 0.0
    assert "The check q1-pipes had been changed." in edited.suspicions
    raised = result_of(record, "m.points_raised")
    assert (raised.score, raised.max_score) == (7.0, 10.0)
    assert "had been set to 1000 instead of 2" in raised.suspicions[0]
    assert result_of(record, "m.answers_twice").score == 7.0
    assert "stands more than once" in result_of(record, "m.answers_twice").reasons[0]
    assert result_of(record, "m.checks_deleted").score == 7.0
    equal = result_of(record, "m.equal_to_all").questions[0]
    assert (equal.outcome, equal.points) == ("form", 0.0)
    assert "plain number" in equal.sentence


@pytest.mark.parametrize("make", [broken_file, bomb_of_brackets], ids=lambda make: make.__name__)
def test_a_file_that_cannot_be_read_gets_nothing_and_a_sentence(
    attacked: tuple[ClassFolder, ClassRecord], make: Callable[..., bytes]
) -> None:
    folder, record = attacked
    result = result_of(record, f"m.{make.__name__}")
    assert (result.status, result.score, result.max_score) == ("unreadable", 0.0, 10.0)
    assert "cannot be read as a notebook" in result.reasons[0]
    assert "cannot be read as a notebook" in folder.notebook(folder.autograded, LESSON, result.student).read_text()


def test_no_page_shows_a_key(attacked: tuple[ClassFolder, ClassRecord]) -> None:
    folder, _ = attacked
    pages = [*folder.autograded.rglob("*.ipynb"), *folder.feedback.rglob("*.html")]
    assert len(pages) == 2 * (len(HOSTILE_CELLS) + len(NOTEBOOKS) + len(HONEST))
    for path in pages:
        content = path.read_text()
        assert "0f0f0f" not in content
        assert "HIDDEN TESTS" not in content
        assert len(content) < 300_000
