"""JupyterLab really starts on a class, and formgrader works in it."""

from __future__ import annotations

import json
import socket
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from classroom.small_class import LESSON
from hvacr_lab.classroom.workplace import Workplace, open_workplace
from hvacr_lab.errors import LabError, OutOfRange

OPENER = urllib.request.build_opener(urllib.request.ProxyHandler({}))


@pytest.fixture
def workplace(released_class: Path) -> Iterator[Workplace]:
    with open_workplace(released_class, browser=False) as running:
        yield running


def get(workplace: Workplace, page: str) -> tuple[int, str]:
    with OPENER.open(workplace.address(page), timeout=30) as answer:
        return answer.status, answer.read().decode()


def get_json(workplace: Workplace, page: str) -> Any:
    return json.loads(get(workplace, page)[1])


def test_formgrader_shows_the_lesson_and_only_who_has_the_token_gets_in(workplace: Workplace) -> None:
    assert get(workplace, "lab")[0] == get(workplace, "formgrader")[0] == 200
    assert get_json(workplace, "formgrader/api/status") == {"status": True}
    [assignment] = get_json(workplace, "formgrader/api/assignments")
    assert (assignment["name"], assignment["max_score"], assignment["status"]) == (LESSON, 5.0, "released")
    students = get_json(workplace, "formgrader/api/students")
    assert [student["id"] for student in students] == ["tbraskin", "mfernlow", "yolindar"]
    with pytest.raises(urllib.error.HTTPError, match="403"):
        OPENER.open(f"http://127.0.0.1:{workplace.port}/api/contents", timeout=30)
    with socket.socket() as other, pytest.raises(OSError):  # this machine only: no other address answers
        other.settimeout(2)
        other.connect(("127.0.0.2", workplace.port))
    assert "apputils-extension:announcements" in get(workplace, "lab")[1].partition('"disabledExtensions"')[2][:200]


def test_a_taken_port_is_named(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(LabError, match=f"Port {port} is taken"), open_workplace(tmp_path, port=port):
            pass


def test_a_port_is_a_port(tmp_path: Path) -> None:
    with pytest.raises(OutOfRange, match=r"port 70000 is outside 1 \.\.\. 65535"), open_workplace(tmp_path, port=70000):
        pass


def test_why_it_does_not_start_is_said(released_class: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONPATH", str(released_class))
    (released_class / "jupyterlab.py").write_text("raise SystemExit('broken on purpose')", encoding="utf-8")
    with pytest.raises(LabError, match="does not start: broken on purpose"), open_workplace(released_class):
        pass
    assert (released_class / ".jupyter" / "jupyterlab.log").exists()
