"""Seconds for each graded hand-in, beside stock `nbgrader autograde` on the same hand-ins in the same run.

Both are whole commands in a process of their own, imports and start included; ours also writes the feedback pages.
Stock runs code and keys in one process, so it is a measure of time only. Number of hand-ins: HVACR_LAB_HAND_INS (6).
"""

from __future__ import annotations

import importlib.util
import json
import os
import platform
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
LESSON = "02-refrigerant-states"
HAND_INS = int(os.environ.get("HVACR_LAB_HAND_INS", "6"))
OURS = """
import sys
from pathlib import Path
from hvacr_lab.grading.folders import ClassFolder
from hvacr_lab.grading.run import grade_lesson
record = grade_lesson(ClassFolder(Path(sys.argv[1])), sys.argv[2], roster=())
assert {result.status for result in record.results} == {"graded"}, record
"""
STOCK_SETTINGS = """
c = get_config()
c.CourseDirectory.course_id = "small"
c.ClearSolutions.enforce_metadata = False
c.ExecutePreprocessor.timeout = 120
"""

_spec = importlib.util.spec_from_file_location("small_class", ROOT / "tests" / "grading" / "small_class.py")
assert _spec
assert _spec.loader
small_class = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(small_class)


def seconds(folder: Path, *command: str) -> float:
    started = time.perf_counter()
    done = subprocess.run([sys.executable, *command], cwd=folder, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    return time.perf_counter() - started


def test_grading_speed(tmp_path: Path) -> None:
    source = json.loads((ROOT / "source_notebooks" / LESSON / f"{LESSON}.ipynb").read_text())
    folder = small_class.make_class(tmp_path, source, LESSON)
    (tmp_path / "nbgrader_config.py").write_text(STOCK_SETTINGS)
    for number in range(HAND_INS):
        small_class.hand_in(folder, f"student.{number:03d}", small_class.solved(folder, LESSON), LESSON)
    first = seconds(tmp_path, "-c", OURS, str(tmp_path), LESSON)
    again = seconds(tmp_path, "-c", OURS, str(tmp_path), LESSON)
    stock = seconds(tmp_path, "-m", "nbgrader", "autograde", LESSON, "--force")
    figures = sum(path.read_text().count('"image/png"') for path in folder.autograded.rglob("*.ipynb")) / HAND_INS
    print(
        f"\n{HAND_INS} hand-ins of {LESSON} ({figures:.0f} figures in each), Python {platform.python_version()}, "
        f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}\n"
        f"  stock nbgrader autograde  {stock:6.2f} s  {stock / HAND_INS:6.3f} s each\n"
        f"  hvacr-lab, with feedback  {first:6.2f} s  {first / HAND_INS:6.3f} s each, {stock / first:.0f} x\n"
        f"  of it start and end       {again:6.2f} s  (nothing to grade); "
        f"each further hand-in {max(first - again, 0.0) / HAND_INS:.3f} s"
    )
    assert first < stock
