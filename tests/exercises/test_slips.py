"""The library of slips speaks as the course does: never the number, no red pen, and each slip has its own sentence."""

from __future__ import annotations

import re

import pytest

from hvacr_lab.errors import UnknownName
from hvacr_lab.exercises.slips import SLIPS, known_slip

# the ids that lessons and reports count on, from one lesson to the next
OF_THE_COURSE = """
gauge-as-absolute sea-level-barometer wrong-side dew-for-bubble bubble-for-dew mean-for-end sign offset-in-difference
fahrenheit-for-celsius wrong-point saturation-not-subtracted per-kilogram kilo minute-hour ton-kilowatt
isentropic-for-real efficiency-inverted cop-inverted heating-for-cooling effect-from-saturated-liquid
flash-gas-left-out ratio-in-gauge celsius-in-ratio sensible-only total-for-sensible relative-for-humidity-ratio
dry-for-wet wet-for-dry dry-air-density cooling-mode-valve look-alike-fault neighbour
"""


def test_no_slip_of_the_course_is_missing() -> None:
    assert set(OF_THE_COURSE.split()) <= set(SLIPS)


@pytest.mark.parametrize("slip", SLIPS)
def test_what_is_said_about_a_slip(slip: str) -> None:
    label, sentence = known_slip(slip)
    assert not re.search(r"!|incorrect|assert|wrong answer", sentence, re.IGNORECASE)
    assert sentence[-1] in ".?"
    assert 4 <= len(sentence.split()) <= 45
    assert len(label.split()) <= 9
    assert label[-1] not in ".?"
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", slip)


def test_every_slip_has_words_of_its_own() -> None:
    assert (
        len({entry.sentence for entry in SLIPS.values()})
        == len({entry.label for entry in SLIPS.values()})
        == len(SLIPS)
    )


def test_an_unknown_slip_is_told_its_neighbours() -> None:
    with pytest.raises(UnknownName, match="gauge-as-absolute"):
        known_slip("gage-as-absolute")
