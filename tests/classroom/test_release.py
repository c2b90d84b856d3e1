"""From source to student edition to exchange, with nbgrader really running."""

from __future__ import annotations

import datetime
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from classroom.small_class import COURSE, LESSON, ROOT, small_notebook, write_notebook
from hvacr_lab.classroom.course import Course, load_course
from hvacr_lab.classroom.frame import private_settings
from hvacr_lab.classroom.leak_scan import scan
from hvacr_lab.classroom.release import Edition, Released, release_lesson, with_settings, write_editions, write_source
from hvacr_lab.errors import FileProblem, LabError
from hvacr_lab.grading.keys import load_key

MakeClass = Callable[..., Path]


def release(root: Path) -> tuple[Course, Released]:
    course = load_course(root)
    return course, release_lesson(course, course.lesson(LESSON))


def source(root: Path) -> Path:
    return root / "lessons" / LESSON / f"{LESSON}.ipynb"


def edit(root: Path, change: Callable[[dict[str, Any]], None]) -> None:
    notebook = json.loads(source(root).read_text("utf-8"))
    change(notebook)
    write_notebook(source(root), notebook)


def test_the_student_edition_has_the_classs_own_numbers_and_no_keys(released_class: Path) -> None:
    course, result = release(released_class)
    text = result.notebook.read_text("utf-8")
    assert r"salt=\"a salt of the tests\", units=\"SI\", altitude_m=430.0)" in text
    assert "# Write your answer in place of the three dots." in text
    assert "5f0c19ab" not in text
    assert scan(course.folder.source / LESSON, course.folder.release / LESSON) == ()


def test_students_find_it_in_the_exchange(released_class: Path) -> None:
    course, result = release(released_class)
    assert result.files == (f"{LESSON}.ipynb",)
    assert (result.exchange / f"{LESSON}.ipynb").read_bytes() == result.notebook.read_bytes()
    exchange = course.folder.exchange
    assert exchange.stat().st_mode & 0o7777 == 0o1777  # nobody may rename what others put there
    assert (exchange / course.course_id / "inbound").stat().st_mode & 0o777 == 0o733
    assert course.folder.source.stat().st_mode & 0o077 == 0


def test_the_gradebook_knows_due_date_and_roster(released_class: Path) -> None:
    from nbgrader.api import Gradebook

    course = load_course(released_class)
    due = course.lesson(LESSON).due
    with private_settings(), Gradebook(f"sqlite:///{course.folder.gradebook}", course.course_id) as gradebook:
        assignment = gradebook.find_assignment(LESSON)
        assert due is not None
        assert assignment.duedate == due.astimezone(datetime.UTC).replace(tzinfo=None)  # nbgrader keeps UTC
        assert {student.id for student in gradebook.students} == {student.id for student in course.roster}
        assert assignment.max_score == 5


def test_a_second_release_changes_nothing_until_something_changes(released_class: Path) -> None:
    assert not release(released_class)[1].changed
    (released_class / "course.toml").write_text(COURSE.replace("altitude_m = 430", "altitude_m = 900"), "utf-8")
    _, again = release(released_class)
    assert again.changed
    assert "altitude_m=900.0" in (again.exchange / f"{LESSON}.ipynb").read_text("utf-8")
    again.notebook.write_text("{}", encoding="utf-8")  # somebody edits the student edition by hand
    assert release(released_class)[1].changed


def test_a_leak_stops_the_release_and_what_was_handed_out_stays(released_class: Path) -> None:
    _, first = release(released_class)
    before = first.exchange.joinpath(f"{LESSON}.ipynb").read_bytes()
    edit(released_class, lambda notebook: notebook["cells"][3].update(source="Hint\n### begin solution\n1.05 bar"))
    with pytest.raises(FileProblem, match=r"nothing was handed out.*\n  - .*cell 4: a marker is left"):
        release(released_class)
    assert first.notebook.read_bytes() == before  # formgrader's own button finds only what was proven
    assert first.exchange.joinpath(f"{LESSON}.ipynb").read_bytes() == before


def test_the_first_release_leaves_nothing_behind_when_it_leaks(make_class: MakeClass) -> None:
    root = make_class()
    edit(root, lambda notebook: notebook["metadata"].update(key="5f0c19ab"))
    with pytest.raises(FileProblem, match="metadata > key: a key is in it"):
        release(root)
    assert not (root / "release" / LESSON).exists()
    assert not (root / "exchange").exists()


def test_a_lesson_with_marks_keeps_its_cells_and_its_release(released_class: Path) -> None:
    from nbgrader.api import Gradebook

    _, first = release(released_class)
    with private_settings(), Gradebook(f"sqlite:///{released_class / 'gradebook.db'}", "gauges") as gradebook:
        gradebook.add_submission(LESSON, "mfernlow")
    before = {path: path.read_bytes() for path in released_class.glob("[sr]*/*/*.ipynb")}
    edit(released_class, lambda notebook: notebook["cells"].pop())
    with pytest.raises(LabError, match="Cannot add or remove cells for notebook '91-gauges' because there are submis"):
        release(released_class)
    assert {path: path.read_bytes() for path in released_class.glob("[sr]*/*/*.ipynb")} == before
    assert first.notebook in before


def test_side_files_go_out_when_their_kind_is_allowed(released_class: Path) -> None:
    lesson = released_class / "lessons" / LESSON
    (lesson / "readings.csv").write_text("a,b\n", encoding="utf-8")
    (lesson / "notes.md").write_text("for the instructor", encoding="utf-8")
    assert release(released_class)[1].files == (f"{LESSON}.ipynb", "readings.csv")


def test_a_file_put_beside_the_class_source_by_hand_is_refused(released_class: Path) -> None:
    (released_class / "source" / LESSON / "keys.yml").write_text("q1: 1.05\n", encoding="utf-8")
    (released_class / "manifests" / f"{LESSON}.json").unlink()
    with pytest.raises(FileProblem, match=r"keys\.yml: files of this kind are not handed out"):
        release(released_class)


def test_a_lesson_that_cannot_be_graded_is_not_handed_out(make_class: MakeClass) -> None:
    root = make_class()
    edit(root, lambda notebook: notebook["cells"][2].update(source="q1 = sheet.readings('q1', no_such_machine)"))
    with pytest.raises(FileProblem, match=r"q1-pressure-readings stops with NameError"):
        release(root)


def test_nbgraders_refusal_is_one_sentence(released_class: Path) -> None:
    root = released_class
    edit(root, lambda notebook: notebook["cells"][4].update(source="x = ...\n### BEGIN SOLUTION\nx = 1"))
    with pytest.raises(
        LabError, match="nbgrader cannot make a student edition of 91-gauges: No end solution"
    ) as caught:
        release(root)
    assert "Traceback" not in str(caught.value)


def test_a_lesson_without_a_notebook_is_named(make_class: MakeClass) -> None:
    root = make_class()
    source(root).unlink()
    with pytest.raises(FileProblem, match="there is no such notebook"):
        release(root)


def test_a_class_without_nbgraders_settings_is_told_where_they_are(make_class: MakeClass) -> None:
    root = make_class()
    (root / "nbgrader_config.py").unlink()
    with pytest.raises(FileProblem, match=r"there is none\. Copy .*course/nbgrader_config\.py"):
        release(root)


def test_the_set_up_line_is_rewritten_and_nothing_else() -> None:
    notebook = small_notebook()
    changed = with_settings(notebook, Edition("US", 'say "hi"', 12.5), "x")
    assert (
        r'sheet = open_sheet("91-gauges", salt="say \"hi\"", units="US", altitude_m=12.5)'
        in changed["cells"][1]["source"]
    )
    changed["cells"][1] = notebook["cells"][1]
    assert changed == notebook


def test_an_edition_may_leave_salt_and_altitude_as_they_are() -> None:
    changed = with_settings(small_notebook(), Edition("US"), "x")
    assert 'open_sheet("91-gauges", salt="as written", units="US", altitude_m=0.0)' in changed["cells"][1]["source"]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("x = 1", "0 set-up lines instead of one"),
        ('a = open_sheet("x", salt="")\nb = open_sheet("x", salt="")', "2 set-up lines instead of one"),
        ("sheet = open_sheet(LESSON, salt=SALT)", "the set-up line cannot be read"),
    ],
)
def test_a_set_up_line_must_be_readable(line: str, said: str) -> None:
    notebook = small_notebook()
    notebook["cells"][1]["source"] = line
    with pytest.raises(FileProblem, match=said):
        with_settings(notebook, Edition("SI"), "x")


def test_editions_are_the_same_every_time(make_class: MakeClass, tmp_path: Path) -> None:
    root = make_class()
    replacements = "[replace]\n'\"bar(a)\"' = '\"psia\"'\n'in bar?' = 'in psi?'\n'units=\"SI\"' = 'units=\"US\"'\n"
    (source(root).parent / "us.toml").write_text(replacements, encoding="utf-8")
    for target in ("one", "two"):
        written = write_editions(root / "lessons", root, tmp_path / target)
        assert written == tuple(tmp_path / target / units / LESSON for units in ("si", "us"))
    for units, word in (("si", "in bar?"), ("us", "in psi?")):
        one, two = (tmp_path / target / units / LESSON / f"{LESSON}.ipynb" for target in ("one", "two"))
        assert one.read_bytes() == two.read_bytes()
        assert word in one.read_text("utf-8")
        assert [path.name for path in one.parent.iterdir()] == [one.name]
    assert not (root / "gradebook.db").exists()


def test_a_class_in_us_units_gets_the_us_edition_of_the_pilot_lesson(make_class: MakeClass) -> None:
    lesson = "02-refrigerant-states"
    text = COURSE.replace('units = "SI"', 'units = "US"').replace(LESSON, lesson)
    course = load_course(make_class(course=text.replace('"lessons"', f'"{ROOT / "source_notebooks"}"')))
    source = write_source(course, lesson)
    words = source.read_text("utf-8")
    assert r"units=\"US\", altitude_m=430.0)" in words
    assert "superheat_f = " in words
    assert "superheat_k = " not in words
    key = load_key(source)
    asked = key.asked("mfernlow")["q2-superheat"]
    assert asked.question.mark(asked.question.right_answers(asked.readings), asked.readings).outcome == "right"
