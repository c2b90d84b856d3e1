"""The six ways in which nbgrader lets keys out without a word, and some more: each is caught, a clean one passes."""

from __future__ import annotations

import base64
import gzip
import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from classroom.small_class import CHECK, HIDDEN, LESSON, cell, small_notebook, write_notebook
from hvacr_lab.classroom.leak_scan import Leak, scan, secrets_of

KEY = "expected=lambda r: r.suction_pressure_pa,\n       within=0.002, slips"  # a part of the hidden block
TEXT, ANSWER, TEST, EXPLAIN = 3, 4, 5, 6  # places in the small notebook


def student_edition() -> dict[str, Any]:
    """What a faultless release of the small notebook looks like."""
    notebook = small_notebook()
    cells = notebook["cells"]
    cells[ANSWER]["source"] = "pressure_bar = ...  # bar\n# Write your answer in place of the three dots."
    cells[TEST]["source"] = CHECK
    cells[EXPLAIN]["source"] = "Write your answer here."
    return notebook


@pytest.fixture
def folders(tmp_path: Path) -> tuple[Path, Path]:
    source, release = tmp_path / "source", tmp_path / "release"
    write_notebook(source / f"{LESSON}.ipynb", small_notebook())
    write_notebook(release / f"{LESSON}.ipynb", student_edition())
    return source, release


def edit(release: Path, change: Callable[[dict[str, Any]], None]) -> None:
    path = release / f"{LESSON}.ipynb"
    notebook = json.loads(path.read_text("utf-8"))
    change(notebook)
    write_notebook(path, notebook)


def said(leaks: tuple[Leak, ...]) -> str:
    return "\n".join(map(str, leaks))


def test_a_faultless_edition_passes(folders: tuple[Path, Path]) -> None:
    assert scan(*folders) == ()


def test_the_source_itself_is_full_of_leaks(folders: tuple[Path, Path]) -> None:
    source, _ = folders
    found = said(scan(source, source))
    assert "canary" in found
    assert "marker" in found
    assert "question's key" in found


def test_what_is_secret_is_only_what_stands_nowhere_else(folders: tuple[Path, Path]) -> None:
    secrets = secrets_of(folders[0])
    assert secrets.canaries == {"5f0c19ab"}
    assert any("suction_gauge_pa" in run for run in secrets.shingles)
    assert not any({"open_sheet", "salt"} <= set(run) for run in secrets.shingles)


@pytest.mark.parametrize(
    "marker",
    [
        "### begin hidden tests",
        "### BEGIN HIDEN TESTS",
        "# END SOLUTON",
        "### BEGIN_SOLUTION",
        "<!-- Begin Mark Scheme -->",
    ],
)
def test_leak_1_and_2_a_marker_left_or_misspelt(folders: tuple[Path, Path], marker: str) -> None:
    edit(folders[1], lambda notebook: notebook["cells"][TEXT].update(source=f"A question.\n{marker}\nx"))
    assert "cell 4: a marker is left" in said(scan(*folders))


def test_leak_3_in_the_notebooks_metadata(folders: tuple[Path, Path]) -> None:
    edit(folders[1], lambda notebook: notebook["metadata"].update(keys={"q1": KEY}))
    found = said(scan(*folders))
    assert "metadata holds 'keys'" in found
    assert "metadata > keys > q1: text of a hidden block" in found


def test_leak_4_in_a_cells_metadata(folders: tuple[Path, Path]) -> None:
    edit(folders[1], lambda notebook: notebook["cells"][TEST]["metadata"].update(answer="5f0c19ab"))
    edit(folders[1], lambda notebook: notebook["cells"][ANSWER]["metadata"]["nbgrader"].update(answer=1.05))
    found = said(scan(*folders))
    assert "cell 6: its metadata holds 'answer'" in found
    assert "cell 5: its metadata holds 'answer'" in found
    assert "cell 6, metadata: a key is in it" in found


def test_leak_5_in_an_attachment(folders: tuple[Path, Path]) -> None:
    picture = base64.b64encode(HIDDEN.encode()).decode()
    edit(folders[1], lambda notebook: notebook["cells"][TEXT].update(attachments={"x.png": {"image/png": picture}}))
    found = said(scan(*folders))
    assert "cell 4: it has attachments" in found
    assert "(base64): a key is in it" in found


def test_leak_6_in_a_file_beside_the_notebook(folders: tuple[Path, Path]) -> None:
    (folders[1] / "keys.yml").write_text("q1: 1.05\n", encoding="utf-8")
    assert "keys.yml: files of this kind are not handed out" in said(scan(*folders))


def test_text_of_a_key_is_found_by_itself(folders: tuple[Path, Path]) -> None:
    edit(folders[1], lambda notebook: notebook["cells"][TEXT].update(source=f"Note to self: {KEY.replace(',', ' , ')}"))
    assert "cell 4: text of a hidden block or a solution is in it" in said(scan(*folders))


def test_a_solution_is_found_by_itself(folders: tuple[Path, Path]) -> None:
    edit(
        folders[1],
        lambda notebook: notebook["cells"][ANSWER].update(source="pressure_bar = q1.suction_pressure_pa / 1e5"),
    )
    assert "cell 5: text of a hidden block or a solution is in it" in said(scan(*folders))


def test_a_model_answer_of_a_question_for_a_person_is_a_solution(folders: tuple[Path, Path]) -> None:
    answer = small_notebook()["cells"][EXPLAIN]["source"]
    edit(folders[1], lambda notebook: notebook["cells"][EXPLAIN].update(source=answer))
    assert "cell 7: text of a hidden block or a solution is in it" in said(scan(*folders))


def test_a_hidden_block_without_any_marker_is_known_by_its_words(folders: tuple[Path, Path]) -> None:
    source, release = folders
    bare = "\n".join(line for line in HIDDEN.splitlines() if "###" not in line and "canary" not in line)
    for folder in folders:
        edit(
            folder,
            lambda notebook: notebook["cells"].append(cell("code", bare, "q9", grade=True, locked=True, points=1)),
        )
    assert "cell 8: a question's key is in it" in said(scan(source, release))


def test_outputs_are_refused(folders: tuple[Path, Path]) -> None:
    output = {"output_type": "stream", "name": "stdout", "text": "1.05\n"}
    edit(folders[1], lambda notebook: notebook["cells"][TEST].update(outputs=[output]))
    assert "cell 6: it has outputs" in said(scan(*folders))


def packed(kind: str) -> bytes:
    if kind == "gzip":
        return gzip.compress(HIDDEN.encode())
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("inner.txt", base64.b64encode(HIDDEN.encode()))
    return archive.getvalue()


@pytest.mark.parametrize("kind", ["zip", "gzip"])
def test_keys_are_found_in_packed_files(folders: tuple[Path, Path], kind: str) -> None:
    (folders[1] / "picture.png").write_bytes(packed(kind))
    found = said(scan(*folders))
    assert "picture.png (" in found
    assert "a key is in it" in found


def test_keys_are_found_in_base64_inside_a_cell_broken_over_lines(folders: tuple[Path, Path]) -> None:
    text = base64.encodebytes(packed("zip")).decode()
    edit(folders[1], lambda notebook: notebook["cells"][TEXT].update(source=f"data = '''\n{text}'''"))
    assert "(base64)" in said(scan(*folders))


def test_a_link_is_no_file_to_hand_out(folders: tuple[Path, Path]) -> None:
    (folders[1] / "data.csv").symlink_to(folders[0] / f"{LESSON}.ipynb")
    assert "data.csv: this is a link" in said(scan(*folders))


def test_a_file_that_is_no_notebook_is_refused(folders: tuple[Path, Path]) -> None:
    (folders[1] / "other.ipynb").write_text("[[[", encoding="utf-8")
    assert "other.ipynb: this is no notebook" in said(scan(*folders))


def test_ordinary_prose_is_not_taken_for_a_marker(folders: tuple[Path, Path]) -> None:
    prose = "End of the line: mark it.\nBegin with the gauge.\nIn the end the mark is yours.\n- begins to boil"
    edit(folders[1], lambda notebook: notebook["cells"][TEXT].update(source=prose))
    assert scan(*folders) == ()
