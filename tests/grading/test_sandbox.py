"""Where the walls stand: what a student's code can see on any installation, and what grading says elsewhere."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import venv
from pathlib import Path

import pytest

import hvacr_lab
from hvacr_lab.errors import LabError, UnknownName
from hvacr_lab.grading import sandbox
from hvacr_lab.grading.claims import CodeCell
from hvacr_lab.grading.execution import Executor

PACKAGE = Path(hvacr_lab.__file__).parent
LOOK_AROUND = """
import json, os, sys
from hvacr_lab.exercises import check_form
import hvacr_lab.grading.records
repository = os.path.dirname(os.path.dirname(hvacr_lab.__file__))
seen = [hvacr_lab.__file__, sorted(os.listdir(repository)), sorted(os.listdir("/"))]
environment = dict(os.environ)
rights = [os.getuid(), os.getpid(), os.getcwd(), sorted(os.listdir("."))]
"""


def test_students_code_sees_the_library_and_nothing_around_it(executor: Executor) -> None:
    names = ("seen", "environment", "rights")
    outcome = executor.run([CodeCell(LOOK_AROUND, "q1")], student="ada.amber", captures={"q1": names})
    seen, environment, rights = (outcome.answers["q1"][name] for name in names)
    assert isinstance(seen, list)
    assert seen[0] == hvacr_lab.__file__
    assert "hvacr_lab" in seen[1]
    assert not {"source_notebooks", "course", "tests", "release", ".git"} & set(seen[1])
    assert not {"proc", "sys", "run", "var"} & set(seen[2])
    assert isinstance(environment, dict)
    assert environment["JUPYTERHUB_USER"] == "ada.amber"
    assert set(environment) <= {
        *("HOME", "IPYTHONDIR", "JUPYTERHUB_USER", "LANG", "MPLBACKEND", "MPLCONFIGDIR"),
        *("PATH", "PYTHONDONTWRITEBYTECODE", "TMPDIR", "USER"),
    }
    assert isinstance(rights, list)
    assert rights[0] != 0
    assert rights[1:] == [1, "/box/work", []]


SCRIPT = """
import json, sys
from hvacr_lab.grading.execution import CodeCell, Executor
with Executor() as executor:
    cells = [CodeCell(sys.argv[1], "q1"), CodeCell("import matplotlib.pyplot as plt; plt.plot([1, 2]); plt.show()")]
    outcome = executor.run(cells, student="a", captures={"q1": ("seen",)})
    shown = outcome.cells[1].outputs[0]["output_type"] if outcome.cells[1].outputs else outcome.cells[1].status
    print(json.dumps([outcome.reasons, outcome.answers["q1"].get("seen"), shown]))
"""


def test_a_clone_with_a_blank_in_its_name_below_the_temporary_folder(tmp_path: Path) -> None:
    """As CI and first users have it: the environment lies inside the clone, the package is installed from there."""
    clone = tmp_path / "first run 1" / "clone"
    shutil.copytree(PACKAGE, clone / "hvacr_lab", ignore=shutil.ignore_patterns("__pycache__"))
    (clone / "source_notebooks").mkdir()
    (clone / "source_notebooks" / "keys.ipynb").write_text("secret")
    environment = clone / ".lab" / "py3"
    venv.EnvBuilder(with_pip=False, symlinks=True).create(environment)
    libraries = next(environment.glob("lib/python3*/site-packages"))
    ours = [str(clone), *(entry for entry in sandbox.library_folders())]
    (libraries / "editable.pth").write_text("\n".join(ours) + "\n")
    command = [str(environment / "bin" / "python"), "-c", SCRIPT, LOOK_AROUND]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    reasons, seen, shown = json.loads(done.stdout)
    assert reasons == []
    assert seen[0] == str(clone / "hvacr_lab" / "__init__.py")
    assert seen[1] == [".lab", "hvacr_lab"]
    assert shown == "display_data"


def test_bound_paths_are_not_inside_one_another() -> None:
    paths = sandbox.readable_paths()
    assert not [(one, other) for one in paths for other in paths if one.startswith(other + "/")]
    assert str(PACKAGE.parent) not in paths


@pytest.mark.parametrize("system", ["darwin", "win32"])
def test_grading_off_linux_is_refused_with_a_sentence(system: str) -> None:
    with pytest.raises(LabError, match=r"Grading runs on Linux only.*Students may work on any machine"):
        sandbox.refuse_off_linux(system)


def test_a_template_that_cannot_start_says_so_and_nothing_is_run(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", "/bin/false")
    with Executor() as executor, pytest.raises(LabError, match="does not start, so nothing was run"):
        executor.run([CodeCell("x = 1")], student="a")


def test_an_unknown_kind_of_sandbox_is_none() -> None:
    with pytest.raises(UnknownName, match=r"'rooot' is not a known kind of sandbox. Closest: root"):
        Executor(mode="rooot")


def test_a_template_that_died_is_replaced(executor: Executor) -> None:
    with Executor() as own:
        assert own.run([CodeCell("x = 1")], student="a").status == "graded"
        own._template._process.kill()  # type: ignore[union-attr]
        own._template._process.wait()  # type: ignore[union-attr]
        assert own.run([CodeCell("x = 1", "q")], student="a", captures={"q": ("x",)}).answers == {"q": {"x": 1}}


def test_python_of_this_test_is_the_python_of_the_students(executor: Executor) -> None:
    cell = CodeCell("import sys; version = list(sys.version_info[:3])", "q")
    outcome = executor.run([cell], student="a", captures={"q": ("version",)})
    assert outcome.answers["q"]["version"] == list(sys.version_info[:3])
