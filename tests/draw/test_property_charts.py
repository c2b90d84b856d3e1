"""Charts of a refrigerant, measured on the page: where lines lie, how long a superheat is, what is written."""

from __future__ import annotations

import functools
import itertools
import math
import re

import picture_boxes as boxes
import pytest

from hvacr_lab.draw import style
from hvacr_lab.draw.property_charts import pressure_enthalpy_chart, saturation_chart
from hvacr_lab.errors import UnknownName

# R-134a at 0 degC: 2.928 bar, vapour 398.6 kJ/kg (ASHRAE Handbook Fundamentals, refrigerant tables; from memory)
SATURATED_AT_0_C = (2.928e5, 273.15)
VAPOUR_AT_0_C = (2.928e5, 398.6e3)
# a cycle of our own: evaporating at -10 degC, condensing at 38 degC
CYCLE = (("1", 2.0e5, 398e3), ("2", 9.6e5, 437e3), ("3", 9.6e5, 247e3), ("4", 2.0e5, 247e3))
CHARTS = {
    "single fluid": lambda: saturation_chart(
        "R-134a", [("suction pipe", 2e5, 268.15), ("condenser outlet", 9.6e5, 306.0)]
    ),
    "blend": lambda: saturation_chart("R-407C", [("suction pipe", 4e5, 278.15)], units="US"),
    "carbon dioxide": lambda: saturation_chart("R-744"),
    "cycle": lambda: pressure_enthalpy_chart("R-134a", CYCLE),
    "one point": lambda: pressure_enthalpy_chart(
        "R-454B", [("after the valve", 8e5, 260e3)], units="US", title="Where am I?"
    ),
    "dome": lambda: pressure_enthalpy_chart("R-744"),
}


@functools.cache
def drawn(name: str) -> str:
    return CHARTS[name]()


@pytest.fixture(params=CHARTS)
def chart(request: pytest.FixtureRequest) -> str:
    return drawn(request.param)


def ticks(svg: str, axis: str) -> dict[float, float]:
    """Place in pixels of each number along the axis "x" or "y"."""
    numbers = [box for box in boxes.text_boxes(svg) if re.fullmatch("[\N{MINUS SIGN}-]?[0-9.]+", box.what)]
    lowest = max(box.bottom for box in numbers)
    below = {box.what: (box.left + box.right) / 2 for box in numbers if box.bottom > lowest - 3}
    beside = {box.what: box.bottom - 0.485 * (box.bottom - box.top) for box in numbers if box.bottom <= lowest - 3}
    places = below if axis == "x" else beside
    return {float(text.replace("\N{MINUS SIGN}", "-")): place for text, place in places.items()}


def pixels_per_unit(svg: str) -> float:
    places = ticks(svg, "x")
    return (places[max(places)] - places[min(places)]) / (max(places) - min(places))


def paths_in(svg: str, colour: str) -> list[list[tuple[float, float]]]:
    """Corners of every line of that colour."""
    found = []
    for path in boxes.root(svg).iter(f"{boxes.SVG}path"):
        if f"stroke: {colour.lower()}" in path.get("style", "") and "fill: none" in path.get("style", ""):
            numbers = [float(n) for n in re.findall(r"-?[\d.]+", path.get("d", ""))]
            found.append(list(zip(numbers[0::2], numbers[1::2], strict=True)))
    return found


def drawn_difference(kelvin: float, units: str = "SI") -> float:
    """Length of the thin line of a point that is so far from saturation at 0 degC, in the degrees of the axis."""
    pressure_pa, temperature_k = SATURATED_AT_0_C
    svg = saturation_chart("R-134a", [("here", pressure_pa, temperature_k + kelvin)], units=units)
    (start, end) = paths_in(svg, style.POINT)[0]
    return (end[0] - start[0]) / pixels_per_unit(svg)


@pytest.mark.parametrize("kelvin", [12.0, 5.0, -8.0])
def test_thin_line_is_as_long_as_the_superheat_or_the_subcooling(kelvin: float) -> None:
    assert drawn_difference(kelvin) == pytest.approx(kelvin, abs=0.2)


def test_american_chart_counts_in_fahrenheit() -> None:
    assert drawn_difference(10.0, units="US") == pytest.approx(18.0, abs=0.4)


def test_saturated_vapour_lies_on_the_dome() -> None:
    svg = pressure_enthalpy_chart("R-134a", [("here", *VAPOUR_AT_0_C)], joined=False)
    point = next(box for box in boxes.text_boxes(svg) if box.what == "here")
    x = ticks(svg, "x")[400] - 1.4 * pixels_per_unit(svg)
    assert point.left - 11 == pytest.approx(x, abs=2), "the label starts 11 pixels beside its point"
    dome = (
        paths_in(svg, style.INK)[0] if len(paths_in(svg, style.INK)[0]) > 50 else max(paths_in(svg, style.INK), key=len)
    )
    assert min(abs(px - x) for px, _ in dome[len(dome) // 2 :]) < 12


def test_single_fluid_has_one_line_and_a_blend_two() -> None:
    assert "boils and condenses" in boxes.words(drawn("single fluid"))
    assert {"bubble line", "dew line"} <= set(boxes.words(drawn("blend")))
    assert "stroke-dasharray" in drawn("blend") and "stroke-dasharray" not in drawn("single fluid")


def test_cycle_is_drawn_round_and_every_point_named() -> None:
    loop = max(paths_in(drawn("cycle"), style.POINT), key=len)
    assert len(loop) == 5
    assert loop[0] == loop[-1]
    named = [word for word in boxes.words(drawn("cycle")) if word in {"1", "2", "3", "4"}]
    assert {"1", "2", "3", "4"} <= set(named)


def test_pressure_axis_is_logarithmic_and_in_plain_figures() -> None:
    places = ticks(drawn("one point"), "y")
    twice, two_and_a_half_times = places[100.0] - places[200.0], places[200.0] - places[500.0]
    assert twice / two_and_a_half_times == pytest.approx(math.log(2) / math.log(2.5), rel=0.01)


def test_regions_carry_their_names() -> None:
    assert {"liquid", "liquid and vapour", "vapour"} <= set(boxes.words(drawn("dome")))
    assert {"liquid", "vapour"} <= set(boxes.words(drawn("single fluid")))


def test_axes_say_unit_and_absolute() -> None:
    assert {"temperature, °C", "pressure, bar(a)"} <= set(boxes.words(drawn("single fluid")))
    assert {"temperature, °F", "pressure, psia"} <= set(boxes.words(drawn("blend")))
    assert {"enthalpy, Btu/lb", "pressure, psia, logarithmic"} <= set(boxes.words(drawn("one point")))


def test_screen_reader_hears_the_points() -> None:
    heard = boxes.root(drawn("single fluid")).findtext(f"{boxes.SVG}desc")
    assert heard == "suction pipe: 2.00 bar(a), -5.0 °C; condenser outlet: 9.60 bar(a), 32.9 °C."


@pytest.mark.parametrize("name", ["R-410A", "R-507A", "R-600a", "R-717"])
def test_range_stays_inside_the_limits_of_the_refrigerant(name: str) -> None:
    """Low critical temperature, azeotrope, low and high pressure: neither chart may ask beyond the tables."""
    assert boxes.words(saturation_chart(name)) and boxes.words(pressure_enthalpy_chart(name))


def test_text_is_large_enough_and_inside(chart: str) -> None:
    width, height = boxes.size(chart)
    for text in boxes.text_boxes(chart):
        assert text.size_px >= 14, text
        assert text.inside(width, height), text


def test_no_text_lies_on_another(chart: str) -> None:
    for one, other in itertools.combinations(boxes.text_boxes(chart), 2):
        assert not one.hits(other, gap_x=1, gap_y=-1), (one, other)


def test_small_and_the_same_every_time(chart: str) -> None:
    assert len(chart) < 20_000
    assert drawn("dome") == pressure_enthalpy_chart("R-744")


def test_refuses_units_that_nobody_knows() -> None:
    with pytest.raises(UnknownName, match="SI"):
        saturation_chart("R-134a", units="metric")
    with pytest.raises(UnknownName, match="US"):
        pressure_enthalpy_chart("R-134a", units="IP")


def test_refuses_a_refrigerant_that_nobody_knows() -> None:
    with pytest.raises(UnknownName, match="R-134a"):
        saturation_chart("R-134b")
