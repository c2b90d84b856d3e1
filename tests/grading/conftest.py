"""A small class, made once with nbgrader and copied for each test that grades in it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from small_class import make_class

from hvacr_lab.grading.execution import Executor
from hvacr_lab.grading.folders import ClassFolder


@pytest.fixture(scope="session")
def pristine_class(tmp_path_factory: pytest.TempPathFactory) -> ClassFolder:
    return make_class(tmp_path_factory.mktemp("a class"))


@pytest.fixture
def small_class(pristine_class: ClassFolder, tmp_path: Path) -> ClassFolder:
    """A class with the lesson released and nothing handed in; its folder has a blank in its name."""
    root = tmp_path / "evening class"
    shutil.copytree(pristine_class.root, root)
    return ClassFolder(root)


@pytest.fixture(scope="session")
def executor() -> Iterator[Executor]:
    with Executor(workers=2) as running:
        yield running
