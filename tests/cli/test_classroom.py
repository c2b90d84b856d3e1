"""The commands around a class, as they are typed."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from classroom.small_class import COURSE, LESSON, released_once, write_class
from click.testing import CliRunner

from hvacr_lab.cli import classroom

COMMANDS = ("demo", "start", "release", "grade", "report", "export", "editions")


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return Path(shutil.copytree(released_once(), tmp_path / "a class"))


def typed(*words: object, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "hvacr_lab", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, cwd=cwd, check=False, timeout=120)


def called(name: str, *words: object) -> str:
    outcome = CliRunner().invoke(getattr(classroom, name), [str(word) for word in words], catch_exceptions=False)
    assert outcome.exit_code == 0
    return str(outcome.stdout)


@pytest.mark.parametrize("name", COMMANDS)
def test_help_fits_the_screen_and_shows_two_examples(name: str) -> None:
    text = called(name, "--help")
    assert len(re.findall(rf"^ +hvacr-lab {name}\b", text, flags=re.MULTILINE)) == 2
    assert max(map(len, text.splitlines())) <= 100


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("release", "91", "--course", "/nowhere"), "hvacr-lab: --course: there is no course.toml in /nowhere"),
        (("grade", "03", "--course", "CLASS"), "hvacr-lab: '03' is not a known lesson. Known: 91-gauges."),
        (("report", "91", "--course", "CLASS"), "hvacr-lab: Nothing is graded in"),
        (("export", "91", "--course", "CLASS"), "hvacr-lab: Nothing is graded in"),
        (("demo", "--folder", "CLASS"), "holds something else, which the demo does not touch"),
        (("start", "--course", "CLASS", "--port", "99999"), "hvacr-lab: port 99999 is outside 1 ... 65535"),
    ],
)
def test_a_users_mistake_is_one_sentence(tmp_path: Path, words: tuple[str, ...], said: str) -> None:
    folder = write_class(tmp_path / "class")
    outcome = typed(*(str(folder) if word == "CLASS" else word for word in words))
    assert outcome.returncode == 1
    assert outcome.stderr.count("\n") == 1
    assert said in outcome.stderr
    assert outcome.stdout == ""


def test_a_slip_in_the_settings_is_named_with_file_and_line(tmp_path: Path) -> None:
    write_class(tmp_path / "class", course=COURSE.replace("430", "-4300"))
    outcome = typed("release", "91", cwd=tmp_path / "class")
    assert (outcome.returncode, outcome.stdout) == (1, "")
    assert "course.toml, line 5: `altitude_m = -4300`." in outcome.stderr


def test_too_few_words_is_exit_code_two() -> None:
    assert typed("release").returncode == 2


def test_release_says_where_the_lesson_is(root: Path) -> None:
    text = called("release", "91", "--course", root)
    assert "91-gauges: handed out already; nothing has changed." in text
    assert str(root / "exchange" / "gauges" / "outbound" / LESSON) in text
    (root / "course.toml").write_text(COURSE.replace("430", "900"), encoding="utf-8")
    assert "91-gauges: made, proven free of keys, handed out." in called("release", "91", "--course", root)
    values = json.loads(called("release", "91", "--course", root, "--json"))
    assert (values["changed"], values["files"]) == (False, [f"{LESSON}.ipynb"])
    assert Path(values["student_edition"]).is_file()


def test_grade_report_and_export_follow_each_other(root: Path) -> None:
    submitted = root / "submitted" / "mfernlow" / LESSON
    shutil.copytree(root / "release" / LESSON, submitted)
    graded = json.loads(called("grade", "91", "--course", root, "--json"))
    assert (graded["graded"], graded["not_handed_in"]) == (1, ["tbraskin", "yolindar"])
    text = called("grade", "91", "--course", root, "--worked")
    assert "0 new hand-ins, 1 graded in all" in text
    assert "report 91" in text
    assert "After the due date" not in (root / "feedback" / "mfernlow" / LESSON / f"{LESSON}.html").read_text("utf-8")
    assert "1 of 3 hand-ins" in called("report", "91", "--course", root)
    assert Path(json.loads(called("report", "91", "--course", root, "--json"))["report"]).is_file()
    assert "2 of them not handed in" in called("export", "91", "--course", root)
    rows = json.loads(called("export", "91", "--course", root, "--json"))["rows"]
    assert [(row["student"], row["points"]) for row in rows] == [("mfernlow", "0"), ("tbraskin", ""), ("yolindar", "")]


def test_start_prints_an_address_that_works_and_ends_on_request(root: Path) -> None:
    command = [sys.executable, "-m", "hvacr_lab", "start", "--course", str(root), "--no-browser"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert process.stdout is not None
    said = [process.stdout.readline() for _ in range(4 + (os.geteuid() == 0))]
    assert re.search(r"lessons +http://127\.0\.0\.1:\d+/lab\?token=\S{20,}", said[1])
    process.send_signal(signal.SIGTERM)
    rest, problems = process.communicate(timeout=60)
    assert (process.returncode, rest, problems) == (0, "JupyterLab is closed.\n", "")
