"""The house's colours hold what they promise: readable on paper, told apart without colour."""

from __future__ import annotations

import pytest

from hvacr_lab.draw import style


def luminance(colour: str) -> float:
    """Relative luminance, 0 black to 1 white (WCAG 2.1, definition of relative luminance; from memory)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def test_contrast_of_black_and_white_is_21() -> None:
    # WCAG 2.1: the largest contrast there is
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)


@pytest.mark.parametrize("role", ["INK", "QUIET"])
def test_text_stands_out(role: str) -> None:
    # WCAG 2.1, success criterion 1.4.3: 4.5:1
    assert contrast(getattr(style, role), style.PAPER) >= 4.5


@pytest.mark.parametrize("role", ["HIGH_SIDE", "LOW_SIDE", "LIQUID_FILL", "DATA", "POINT"])
def test_lines_and_fills_stand_out(role: str) -> None:
    # WCAG 2.1, success criterion 1.4.11: 3:1
    assert contrast(getattr(style, role), style.PAPER) >= 3.0


def test_grey_copies_keep_the_difference() -> None:
    """What has only a fill to tell it apart must differ in brightness; pipes differ in width."""
    assert contrast(style.LIQUID_FILL, style.FROTH_FILL) >= 3.0
    assert contrast(style.DATA, style.SECOND_DATA) >= 3.0
    assert style.HIGH_SIDE_PX >= 1.5 * style.LOW_SIDE_PX
    assert len(set(style.DASHES.values())) == len(style.DASHES)


def test_text_is_never_small() -> None:
    assert min(style.TITLE_PX, style.TEXT_PX, style.SMALL_PX) >= 14
