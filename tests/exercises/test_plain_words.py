"""How a lesson is read: what counts as text, and how hard it is."""

from __future__ import annotations

from typing import Any

import pytest

from hvacr_lab.exercises.plain_words import reading_grade, reading_report, sentences_of


def notebook(*cells: tuple[str, str, bool]) -> dict[str, Any]:
    return {
        "cells": [
            {
                "cell_type": kind,
                "source": source.splitlines(keepends=True),
                "metadata": {"nbgrader": {"solution": solution}},
            }
            for kind, source, solution in cells
        ]
    }


BOOK = notebook(
    ("markdown", "# Title\n\nRead **the** gauge. Now `code`.\n\n- one\n- two\n\n<!-- not read -->", False),
    ("markdown", "The model answer is not read.", True),
    ("code", '# Look here.\nr = sheet.readings("q", ask="How warm? Say it.", items={"a": "It is."}, show="x")', False),
    ("code", "x = ...\n### BEGIN SOLUTION\n# secret\nx = 1\n### END SOLUTION", True),
    ("code", "check()\n### BEGIN HIDDEN TESTS\n# hidden words\n### END HIDDEN TESTS", False),
)


def test_what_students_read() -> None:
    assert list(sentences_of(BOOK)) == [
        "Title", "Read the gauge.", "Now code.", "one", "two", "Look here.", "How warm?", "Say it.", "It is.",
    ]  # fmt: skip


def test_the_report() -> None:
    report = reading_report(BOOK, longest_sentence=2)
    assert (report.words, report.cells, report.code_cells, report.longest_code_cell) == (16, 5, 3, 2)
    assert report.long_sentences == ("Read the gauge.",)


def test_hard_text_has_a_higher_grade_than_easy_text() -> None:
    """Flesch-Kincaid by hand: 4 words, 1 sentence, 4 syllables: 0.39 x 4 + 11.8 x 1 - 15.59 = -2.23."""
    assert reading_grade(["The pipe is cold."]) == pytest.approx(-2.23, abs=0.01)
    hard = (
        "Superheat is defined as the difference between the actual temperature of the vapour and its saturation value."
    )
    assert reading_grade([hard]) > 10
    assert reading_grade([]) == 0.0
