"""Fixtures of the classroom's tests."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from classroom.small_class import released_once, write_class


@pytest.fixture
def make_class(tmp_path: Path) -> Callable[..., Path]:
    """Make a class folder below this test's own; keyword arguments give other files."""
    return lambda name="a class", **files: write_class(tmp_path / name, **files)


@pytest.fixture
def released_class(tmp_path: Path) -> Path:
    """A class whose lesson is handed out."""
    return Path(shutil.copytree(released_once(), tmp_path / "another class"))
