"""Hand-ins come in every shape: whatever was copied, deleted, edited or damaged, what the student wrote is found."""

from __future__ import annotations

import copy
import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_class import LESSON, Notebook, cell_of, hand_in, released, source_of, with_answers

from hvacr_lab.errors import FileProblem
from hvacr_lab.grading.autograded import harmless, harmless_text, with_outputs
from hvacr_lab.grading.claims import CellRun, RunOutcome
from hvacr_lab.grading.folders import ClassFolder
from hvacr_lab.grading.released import Release, code_cells, grade_id, read_release
from hvacr_lab.grading.submission import Submission, file_digest, read_submission

STUDENT = "ada.amber"
ANSWERS = {"difference_k": "38.6", "twice_k": "70.0"}


def read(folder: ClassFolder, content: Notebook | bytes) -> Submission:
    path = hand_in(folder, STUDENT, content)
    return read_submission(path.parent, the_release(folder), STUDENT)


def the_release(folder: ClassFolder) -> Release:
    return read_release(folder.notebook(folder.release, LESSON))


def answered(folder: ClassFolder) -> Notebook:
    return with_answers(released(folder), ANSWERS, text="Heat goes into the air.")


def text_of(submission: Submission, name: str) -> str:
    return source_of(cell_of(submission.notebook, name))


def test_an_ordinary_hand_in_is_taken_as_it_is(small_class: ClassFolder) -> None:
    submission = read(small_class, answered(small_class))
    assert submission.readable
    assert submission.reasons == submission.suspicions == ()
    assert text_of(submission, "q1-pipes-answer").startswith("difference_k = 38.6")
    assert text_of(submission, "q9-explain") == "Heat goes into the air."
    assert submission.unchanged == {"q3-pipes-answer", "q4-warmer-answer"}
    assert submission.submitted_at == "2027-01-15T16:59:59+00:00"
    assert submission.digest == file_digest(small_class.submitted / STUDENT / LESSON, LESSON)


def test_untouched_release_has_no_answers(small_class: ClassFolder) -> None:
    submission = read(small_class, released(small_class))
    names = {"q1-pipes-answer", "q2-pipes-answer", "q3-pipes-answer", "q4-warmer-answer", "q9-explain"}
    assert submission.unchanged == names


def _copy_of_an_answer_first(notebook: Notebook) -> None:
    earlier = copy.deepcopy(cell_of(notebook, "q1-pipes-answer"))
    earlier["source"] = "difference_k = 1.0"
    notebook["cells"].insert(notebook["cells"].index(cell_of(notebook, "q1-pipes-answer")), earlier)


def _check_deleted(notebook: Notebook) -> None:
    notebook["cells"].remove(cell_of(notebook, "q2-pipes"))


def _answer_deleted(notebook: Notebook) -> None:
    notebook["cells"].remove(cell_of(notebook, "q2-pipes-answer"))


def _marks_stripped(notebook: Notebook) -> None:
    del cell_of(notebook, "q1-pipes")["metadata"]["nbgrader"]


def _check_edited(notebook: Notebook) -> None:
    cell_of(notebook, "q1-pipes")["source"] = "2.0"


def _readings_edited(notebook: Notebook) -> None:
    cell_of(notebook, "q1-pipes-readings")["source"] = "q1 = None"


def _points_raised(notebook: Notebook) -> None:
    cell_of(notebook, "q1-pipes")["metadata"]["nbgrader"]["points"] = 1000


def _check_unlocked(notebook: Notebook) -> None:
    cell_of(notebook, "q1-pipes")["metadata"]["nbgrader"] |= {"solution": True, "locked": False}


def _last_cell_first(notebook: Notebook) -> None:
    notebook["cells"].insert(0, notebook["cells"].pop())


def _answer_made_text(notebook: Notebook) -> None:
    cell_of(notebook, "q1-pipes-answer")["cell_type"] = "markdown"


def _foreign_id(notebook: Notebook) -> None:
    stray = copy.deepcopy(cell_of(notebook, "q1-pipes"))
    stray["metadata"]["nbgrader"]["grade_id"] = "q99-free-points"
    notebook["cells"].append(stray)


TAMPERED: dict[Callable[[Notebook], None], tuple[str, str]] = {
    _copy_of_an_answer_first: ("q1-pipes-answer stands more than once", ""),
    _check_deleted: ("q2-pipes was missing", ""),
    _answer_deleted: ("q2-pipes-answer was missing", ""),
    _marks_stripped: ("q1-pipes was missing", ""),
    _check_edited: ("The check q1-pipes had been changed", "The check q1-pipes had been changed"),
    _readings_edited: ("The locked cell q1-pipes-readings had been changed", "q1-pipes-readings had been changed"),
    _points_raised: ("", "The points of q1-pipes had been set to 1000 instead of 2"),
    _check_unlocked: ("", "The settings of the cell q1-pipes had been changed (solution, locked)"),
    _last_cell_first: ("put back in order", ""),
    _answer_made_text: ("", ""),
    _foreign_id: ("", ""),
}


@pytest.mark.parametrize("tamper", TAMPERED, ids=lambda tamper: tamper.__name__.strip("_"))
def test_tampered_notebook_gets_the_form_of_the_release_back(
    small_class: ClassFolder, tamper: Callable[[Notebook], None]
) -> None:
    notebook = answered(small_class)
    tamper(notebook)
    submission = read(small_class, notebook)
    reason, suspicion = TAMPERED[tamper]
    assert (reason in " ".join(submission.reasons)) and (bool(reason) == bool(submission.reasons))
    assert (suspicion in " ".join(submission.suspicions)) and (bool(suspicion) == bool(submission.suspicions))
    known = [cell for cell in submission.notebook["cells"] if grade_id(cell)]
    release = the_release(small_class)
    assert [grade_id(cell) for cell in known] == list(release.cells)
    for cell in known:
        original = release.cells[grade_id(cell)]
        assert cell["metadata"] == original["metadata"]
        assert cell["cell_type"] == original["cell_type"]
        if original["metadata"]["nbgrader"]["locked"]:
            assert cell["source"] == original["source"]
    assert text_of(submission, "q1-pipes-answer").startswith("difference_k = 38.6"), "the last copy counts"


def test_a_scratch_cell_stays_behind_the_cell_it_follows(small_class: ClassFolder) -> None:
    notebook = answered(small_class)
    place = notebook["cells"].index(cell_of(notebook, "q1-pipes-answer"))
    scratch = {"cell_type": "code", "metadata": {}, "source": "difference_k = 1.5 * 2", "outputs": []}
    notebook["cells"].insert(place + 1, scratch)
    sources = [cell.source for cell in code_cells(read(small_class, notebook).notebook)]
    place = sources.index("difference_k = 1.5 * 2")
    assert sources[place - 1].startswith("difference_k = 38.6")
    assert sources[place + 1].startswith("check_form(")


UNREADABLE = {
    "invalid JSON": (b'{"cells": [', "cannot be read as a notebook"),
    "200,000 brackets": (b"[" * 200_000, "cannot be read as a notebook"),
    "90,000 brackets": (b"[" * 90_000, "cannot be read as a notebook"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + bytes(100), "cannot be read as a notebook"),
    "an empty file": (b"", "cannot be read as a notebook"),
    "a list": (b"[1, 2]", "cannot be read as a notebook"),
    "an old notebook": (b'{"nbformat": 3, "worksheets": []}', "cannot be read as a notebook"),
    "a huge number": (b'{"cells": ' + b"9" * 5000 + b"}", "cannot be read as a notebook"),
    "a huge file": (b" " * 10_000_001, "larger than 10 MB"),
    "thousands of cells": (b'{"cells": [' + b"{}," * 2000 + b"{}]}", "more than 1000 cells"),
}


@pytest.mark.parametrize("content", UNREADABLE.values(), ids=UNREADABLE)
def test_what_cannot_be_read_gets_a_sentence(small_class: ClassFolder, content: tuple[bytes, str]) -> None:
    submission = read(small_class, content[0])
    assert not submission.readable
    assert content[1] in submission.reasons[0]
    assert "ask your instructor" in submission.reasons[0]
    assert [grade_id(cell) for cell in submission.notebook["cells"]] == list(the_release(small_class).cells)


def test_links_and_pipes_are_not_followed(small_class: ClassFolder) -> None:
    folder = small_class.submitted / STUDENT / LESSON
    folder.mkdir(parents=True)
    path = folder / f"{LESSON}.ipynb"
    path.symlink_to(small_class.notebook(small_class.source, LESSON))
    assert "link" in read_submission(folder, the_release(small_class), STUDENT).reasons[0]
    path.unlink()
    os.mkfifo(path)
    assert "not an ordinary file" in read_submission(folder, the_release(small_class), STUDENT).reasons[0]
    path.unlink()
    assert (
        "There is no notebook 01-pipes.ipynb" in read_submission(folder, the_release(small_class), STUDENT).reasons[0]
    )


def test_a_renamed_notebook_is_taken(small_class: ClassFolder) -> None:
    path = hand_in(small_class, STUDENT, answered(small_class))
    path.rename(path.with_name("my notebook (1).ipynb"))
    submission = read_submission(path.parent, the_release(small_class), STUDENT)
    assert submission.readable
    assert "was not named 01-pipes.ipynb" in submission.reasons[0]


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)


@settings(max_examples=50, deadline=None)
@given(value=json_values, where=st.sampled_from(["cells", "cell", "metadata", "nbgrader", "source", "attachments"]))
def test_no_file_stops_the_reading(
    pristine_class: ClassFolder, tmp_path_factory: pytest.TempPathFactory, value: object, where: str
) -> None:
    notebook = released(pristine_class)
    cell = cell_of(notebook, "q9-explain")
    targets: dict[str, tuple[Notebook, str]] = {
        "cells": (notebook, "cells"),
        "metadata": (cell, "metadata"),
        "nbgrader": (cell["metadata"], "nbgrader"),
        "source": (cell, "source"),
        "attachments": (cell, "attachments"),
    }
    if where == "cell":
        notebook["cells"][3] = value
    else:
        target, name = targets[where]
        target[name] = value
    folder = tmp_path_factory.mktemp("odd")
    (folder / f"{LESSON}.ipynb").write_text(json.dumps(notebook))
    submission = read_submission(folder, the_release(pristine_class), STUDENT)
    json.dumps(harmless(with_outputs(submission.notebook, None))).encode()


def test_a_missing_release_is_said(tmp_path: Path) -> None:
    with pytest.raises(FileProblem, match="has not been released"):
        read_release(tmp_path / "01-pipes.ipynb")


def test_the_lesson_says_its_title_and_its_imports(small_class: ClassFolder) -> None:
    release = the_release(small_class)
    assert release.title == "Two pipes"
    assert "import matplotlib.pyplot as plt" in release.imports
    assert release.answer_cells["q2-pipes"] == "q2-pipes-answer"
    assert release.answer_cells["q9-explain"] == "q9-explain"


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>",
        "<img src=x onerror=alert(1)>",
        "<!-- x --><svg/onload=alert(1)>",
        "[look](javascript:alert(1))",
        "<javascript:alert(1)>",
        "$\\href{javascript:alert(1)}{x}$",
        "<style>*{display:none}</style>",
    ],
)
def test_markdown_of_a_student_cannot_act_in_the_readers_browser(text: str) -> None:
    from nbconvert.filters import markdown2html

    page = markdown2html(harmless_text(text))
    for part in ("<script", "<img", "<svg", "<style", "<!--", 'href="javascript:', "\\href"):
        assert part not in page


def test_outputs_that_could_act_are_left_out(small_class: ClassFolder) -> None:
    notebook = read(small_class, answered(small_class)).notebook
    shown = {
        "text/plain": "8.3",
        "text/html": "<script>",
        "image/svg+xml": "<svg>",
        "application/javascript": "x",
        "image/png": "aGk=",
    }
    run = CellRun("ok", ({"output_type": "display_data", "data": shown, "metadata": {}},), 1)
    outcome = RunOutcome("graded", (), (run,))
    first = next(cell for cell in harmless(with_outputs(notebook, outcome))["cells"] if cell["cell_type"] == "code")
    assert first["outputs"][0]["data"] == {"text/plain": "8.3", "image/png": "aGk="}
    assert first["execution_count"] == 1
