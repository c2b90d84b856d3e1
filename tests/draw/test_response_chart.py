"""Response curves: gaps where nothing runs, every curve named and told apart without colour."""

from __future__ import annotations

import itertools

import picture_boxes as boxes
import pytest

from hvacr_lab.draw.response_chart import Curve, Panel, response_chart
from hvacr_lab.errors import NotUsable

PLACES = [0.0, 0.25, 0.5, 0.75, 1.0]
PRESSURES = Panel("pressure, bar(g)", [Curve("head", [None, None, 11.0, 9.5, 9.0]), Curve("suction", [1.3] * 5)])
SUPERHEAT = Panel("superheat, K", [Curve("superheat", [2.0, None, 4.0, None, 6.0])])
DRAWING = response_chart(
    "condenser fan, share of full speed",
    PLACES,
    [PRESSURES, SUPERHEAT],
    title="What a slow condenser fan does",
    note="below 0.4 the high-pressure control opens",
)
SVG = DRAWING.svg()


def test_curves_and_axes_carry_their_names() -> None:
    expected = {"head", "suction", "pressure, bar(g)", "superheat, K", "What a slow condenser fan does"}
    assert expected <= set(boxes.words(SVG))
    assert "below 0.4 the high-pressure control opens" in " ".join(boxes.words(SVG))


def test_curves_of_a_panel_differ_without_colour() -> None:
    assert SVG.count("stroke-dasharray") >= 1


def test_a_lone_value_between_gaps_is_a_dot() -> None:
    """2.0, 4.0 and 6.0 K each stand alone."""
    without = response_chart("x", PLACES, [Panel("K", [Curve("a", [2.0, 3.0, 4.0, 5.0, 6.0])])], title="t").svg()
    alone = response_chart("x", PLACES, [Panel("K", [Curve("a", [2.0, None, 4.0, None, 6.0])])], title="t").svg()
    uses = [svg.count("<use") for svg in (without, alone)]
    assert uses[1] - uses[0] >= 2


def test_text_is_large_enough_inside_and_apart() -> None:
    width, height = boxes.size(SVG)
    for text in boxes.text_boxes(SVG):
        assert text.size_px >= 14 and text.inside(width, height), text
    for one, other in itertools.combinations(boxes.text_boxes(SVG), 2):
        assert not one.hits(other, gap_x=1, gap_y=-1), (one, other)


def test_screen_reader_hears_where_each_curve_starts_and_ends() -> None:
    assert "head, pressure, bar(g): from 11 to 9" in DRAWING.description
    assert "condenser fan, share of full speed from 0 to 1." in DRAWING.description


def test_refuses_what_cannot_be_drawn() -> None:
    with pytest.raises(NotUsable, match="two places"):
        response_chart("x", [1.0], [SUPERHEAT], title="t")
    with pytest.raises(NotUsable, match="5 values for 3 places"):
        response_chart("x", [1.0, 2.0, 3.0], [SUPERHEAT], title="t")
    with pytest.raises(NotUsable, match="told apart"):
        response_chart("x", PLACES, [Panel("K", [Curve(str(n), [1.0] * 5) for n in range(5)])], title="t")
