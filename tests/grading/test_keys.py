"""Keys: each student is marked on the own numbers, in the grader only; a block that is wrong says what is wrong."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from small_class import LESSON, NUMBERS, ROSTER, Notebook, cell_of, source_notebook, source_of

from hvacr_lab.errors import FileProblem
from hvacr_lab.grading.keys import AnswerKey, load_key


def written(tmp_path: Path, notebook: Notebook) -> Path:
    path = tmp_path / f"{LESSON}.ipynb"
    path.write_text(json.dumps(notebook))
    return path


@pytest.fixture
def key(tmp_path: Path) -> AnswerKey:
    return load_key(written(tmp_path, source_notebook()))


def test_a_key_knows_what_to_take_from_the_students_run(key: AnswerKey) -> None:
    assert key.title == "Two pipes"
    assert key.captures == {
        "q1-pipes": ("difference_k",),
        "q2-pipes": ("twice_k",),
        "q3-pipes": ("thrice_k",),
        "q4-warmer": ("warmer",),
    }
    assert key.points == {"q1-pipes": 2.0, "q2-pipes": 2.0, "q3-pipes": 2.0, "q4-warmer": 1.0, "q9-explain": 3.0}
    assert key.manual["q9-explain"].title == "Say why"
    assert key.manual["q9-explain"].points == 3.0


def test_each_student_is_marked_on_the_own_numbers(key: AnswerKey) -> None:
    for student in (person.id for person in ROSTER):
        asked = key.asked(student)
        readings = asked["q2-pipes"].readings
        assert readings.student == student
        right = 2 * (readings.liquid_pipe_k - readings.suction_pipe_k)  # the elementary step, not the key's formula
        marks = key.mark(student, {"q2-pipes": {"twice_k": round(right, 1)}})
        assert (marks["q2-pipes"].outcome, marks["q2-pipes"].points) == ("right", 2.0)
        assert marks["q1-pipes"].outcome == "not answered"
    assert len({key.asked(person.id)["q1-pipes"].readings.liquid_pipe_k for person in ROSTER}) > len(ROSTER) / 2


def test_a_slip_is_named_and_earns_its_share(key: AnswerKey) -> None:
    asked = key.asked("ada.amber")["q1-pipes"]
    slip = asked.question.slip_answers(asked.readings)["sign"]
    mark = key.mark("ada.amber", {"q1-pipes": slip})["q1-pipes"]
    assert (mark.outcome, mark.slip, mark.points) == ("slip", "sign", 0.5)


def test_names_of_variables_outside_the_block_are_no_answers(key: AnswerKey) -> None:
    everything = dict.fromkeys([name for name, _ in NUMBERS.values()], 1.0)
    assert key.mark("ada.amber", {"q4-warmer": everything})["q1-pipes"].outcome == "not answered"


def test_the_digest_changes_with_the_key_and_not_with_the_words(tmp_path: Path, key: AnswerKey) -> None:
    notebook = source_notebook()
    cell_of(notebook, "q1-pipes-answer")["source"] = "difference_k = ..."
    notebook["cells"][0]["source"] = "# Two pipes\nTouch both with care."
    assert load_key(written(tmp_path, notebook)).digest == key.digest
    cell_of(notebook, "q1-pipes")["source"] = source_of(cell_of(notebook, "q1-pipes")).replace(
        "within=0.3", "within=0.5"
    )
    assert load_key(written(tmp_path, notebook)).digest != key.digest


BROKEN = {
    "1 + 1": "has to end with",
    "Number('x').mark(globals())": "has to end with",
    "Number('x', (": "was never closed",
    "Number('x').mark(globals(), q1)": "cell q1-pipes stops with TypeError",
    "no_such_name.mark(globals(), q1)": "cell q1-pipes stops with NameError",
}


@pytest.mark.parametrize("block", BROKEN)
def test_a_block_that_cannot_be_used_is_named_by_its_cell(tmp_path: Path, block: str) -> None:
    notebook = source_notebook()
    cell_of(notebook, "q1-pipes")["source"] = f"### BEGIN HIDDEN TESTS\n{block}\n### END HIDDEN TESTS"
    with pytest.raises(FileProblem, match="cell q1-pipes") as problem:
        load_key(written(tmp_path, notebook))
    assert BROKEN[block] in str(problem.value)
