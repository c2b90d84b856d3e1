"""The psychrometric chart: points where they belong, lines that mean what they say, at any barometer."""

from __future__ import annotations

import itertools

import picture_boxes as boxes
import psychrolib
import pytest

from hvacr_lab.draw.psychrometric_chart import AirPoint, _wet_bulb_line, psychrometric_chart
from hvacr_lab.errors import NotUsable, OutOfRange, UnknownName
from hvacr_lab.moist_air import air_state

HERE_PA = 96_300.0


def point(label: str, celsius: float, humidity: float, barometer_pa: float = HERE_PA) -> AirPoint:
    state = air_state(celsius + 273.15, barometer_pa, relative_humidity=humidity)
    return AirPoint(label, state.dry_bulb_k, state.humidity_ratio)


COIL = [point("entering the coil", 26.7, 0.5), point("leaving", 14.0, 0.93)]
CHARTS = {
    "air conditioner": lambda: psychrometric_chart([COIL, [point("outdoors", 35.0, 0.35)]], barometer_pa=HERE_PA),
    "freezer": lambda: psychrometric_chart(
        [[point("box", -20.0, 0.8), point("leaving", -26.0, 0.95)]], barometer_pa=HERE_PA
    ),
    "high town, US": lambda: psychrometric_chart([COIL], barometer_pa=75_000.0, units="US", title="In the mountains"),
    "empty": lambda: psychrometric_chart([], barometer_pa=HERE_PA),
}


@pytest.fixture(params=CHARTS)
def svg(request: pytest.FixtureRequest) -> str:
    return CHARTS[request.param]().svg()


def test_text_is_large_enough_inside_and_apart(svg: str) -> None:
    width, height = boxes.size(svg)
    for text in boxes.text_boxes(svg):
        assert text.size_px >= 14 and text.inside(width, height), text
    for one, other in itertools.combinations(boxes.text_boxes(svg), 2):
        assert not one.hits(other, gap_x=1, gap_y=-1), (one, other)


def test_axes_and_points_carry_their_names() -> None:
    words = set(boxes.words(CHARTS["air conditioner"]().svg()))
    assert {"dry bulb, °C", "entering the coil", "leaving", "outdoors", "100 %", "20 %"} <= words
    assert "humidity ratio, g of water for each kg of dry air" in words
    assert "humidity ratio, gr/lb dry air" in boxes.words(CHARTS["high town, US"]().svg())
    assert "Air at a barometer of 963 hPa" in words


def test_screen_reader_hears_the_air() -> None:
    # 26.7 degC, 50 %, 963 hPa: 11.5 g/kg (psychrolib)
    psychrolib.SetUnitSystem(psychrolib.SI)
    grams = 1000 * psychrolib.GetHumRatioFromRelHum(26.7, 0.5, HERE_PA)
    assert f"entering the coil: 26.7 °C, {grams:.1f} g/kg" in CHARTS["air conditioner"]().description


def test_lines_of_wet_bulb_are_straight_within_a_line_width() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    for wet_bulb_c in (5.0, 15.0, 25.0):
        (start_k, end_k), (start, end) = _wet_bulb_line(wet_bulb_c + 273.15, 313.15, HERE_PA)
        middle_c = (start_k + end_k) / 2 - 273.15
        expected = psychrolib.GetHumRatioFromTWetBulb(middle_c, wet_bulb_c, HERE_PA)
        assert (start + end) / 2 == pytest.approx(expected, abs=1.5e-4)


def test_refuses_what_the_chart_cannot_hold() -> None:
    with pytest.raises(NotUsable, match="60 degrees"):
        psychrometric_chart([[AirPoint("oven", 400.0, 0.01)]], barometer_pa=HERE_PA)
    with pytest.raises(OutOfRange, match="barometer"):
        psychrometric_chart([], barometer_pa=963.0)
    with pytest.raises(UnknownName, match="US"):
        psychrometric_chart([], barometer_pa=HERE_PA, units="metric")
