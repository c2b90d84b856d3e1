"""The house itself: cheap to import, parsed by old Pythons where it must be, one way of saying things."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
HEAVY = (
    "numpy",
    "CoolProp",
    "scipy",
    "matplotlib",
    "IPython",
    "nbgrader",
    "sqlalchemy",
    "rich",
    "ipywidgets",
    "pandas",
)


def _loaded_by(statement: str) -> set[str]:
    code = f"import sys; {statement}; print(*sorted({{m.split('.')[0] for m in sys.modules}}))"
    return set(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split())


def test_importing_the_package_loads_nothing_heavy() -> None:
    assert _loaded_by("import hvacr_lab").isdisjoint(HEAVY)


def test_the_list_of_commands_loads_nothing_heavy() -> None:
    assert _loaded_by("import hvacr_lab.cli").isdisjoint(HEAVY)


def test_a_state_needs_no_equation_of_state_in_memory() -> None:
    loaded = _loaded_by("import hvacr_lab; hvacr_lab.refrigerant('R-134a').dew_pressure(273.15)")
    assert loaded.isdisjoint({"CoolProp", "scipy", "matplotlib", "IPython", "nbgrader"})


def test_lab_py_can_be_parsed_by_old_pythons_so_that_they_can_say_what_is_missing() -> None:
    ast.parse((ROOT / "lab.py").read_text(encoding="utf-8"), feature_version=(3, 5))


def test_each_name_of_the_face_is_at_home_where_it_says() -> None:
    import hvacr_lab

    for name in hvacr_lab.__all__:
        assert getattr(hvacr_lab, name).__name__ == name
    with pytest.raises(AttributeError, match="it offers"):
        hvacr_lab.no_such_name  # noqa: B018


@pytest.mark.parametrize("path", sorted((ROOT / "hvacr_lab").rglob("*.py")), ids=lambda path: path.stem)
def test_modules_can_be_read_in_one_sitting(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").count("\n")
    assert lines <= 600, f"{path.name} has {lines} lines; split it"


def test_only_one_room_knows_the_equations_of_state() -> None:
    files = [path for path in (ROOT / "hvacr_lab").rglob("*.py") if "CoolProp.CoolProp" in path.read_text("utf-8")]
    assert {path.parent.name for path in files} == {"exact_properties"}
