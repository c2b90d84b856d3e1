"""The US edition: every replacement is made, none twice, none in vain."""

from __future__ import annotations

import copy
import re
from pathlib import Path
from typing import Any

import pytest

from hvacr_lab.errors import FileProblem
from hvacr_lab.exercises.editions import us_edition

NOTEBOOK: dict[str, Any] = {
    "cells": [
        {"cell_type": "markdown", "source": ["Within 0.5 K.\n", "Now 20 K.\n"]},
        {"cell_type": "code", "source": "superheat_k = ...  # K"},
    ]
}


def edition(tmp_path: Path, table: str) -> dict[str, Any]:
    path = tmp_path / "us.toml"
    path.write_text(table, encoding="utf-8")
    return us_edition(NOTEBOOK, path)


def test_texts_are_replaced_in_lists_and_strings(tmp_path: Path) -> None:
    before = copy.deepcopy(NOTEBOOK)
    cells = edition(
        tmp_path,
        "[replace]\n'0.5 K' = '0.9 degF'\n'20 K' = '36 degF'\n'superheat_k' = 'superheat_f'\n'# K' = '# degF'\n",
    )["cells"]
    assert cells[0]["source"] == ["Within 0.9 degF.\n", "Now 36 degF.\n"]
    assert cells[1]["source"] == "superheat_f = ...  # degF"
    assert before == NOTEBOOK


def test_the_longest_text_wins_and_nothing_is_replaced_twice(tmp_path: Path) -> None:
    cells = edition(tmp_path, "[replace]\n'20 K' = '0.5 K'\n'0.5 K' = '0.9 degF'\n' K' = ' degF'\n")["cells"]
    assert cells[0]["source"] == ["Within 0.9 degF.\n", "Now 0.5 K.\n"]


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ("[replace]\n'bar(g)' = 'psig'\n", "not found in the notebook: 'bar(g)'"),
        ("[replace\n", "cannot be read"),
        ("[other]\n'a' = 'b'\n", "no table"),
        ("[replace]\n'0.5 K' = 0.9\n", "needs a text"),
    ],
)
def test_a_list_that_does_not_fit_is_refused(tmp_path: Path, table: str, words: str) -> None:
    with pytest.raises(FileProblem, match=re.escape(words)):
        edition(tmp_path, table)


def test_a_missing_list_is_named(tmp_path: Path) -> None:
    with pytest.raises(FileProblem, match=r"us\.toml"):
        us_edition(NOTEBOOK, tmp_path / "us.toml")
