"""Cycles on the pressure-enthalpy and temperature-entropy chart: what is drawn, where, and what is said."""

from __future__ import annotations

import functools
import itertools
import re

import picture_boxes as boxes
import pytest

from hvacr_lab.draw.cycle_charts import Corner, Loop, pressure_enthalpy_cycle, temperature_entropy_cycle
from hvacr_lab.draw.drawing import Drawing
from hvacr_lab.errors import NotUsable, UnknownName
from hvacr_lab.refrigerants import refrigerant


def loop(fluid_name: str, low_pa: float, high_pa: float, label: str) -> Loop:
    """A cycle of our own: 6 K of superheat, 5 K of subcooling, 30 K of discharge superheat."""
    fluid = refrigerant(fluid_name)

    def at(pressure_pa: float, temperature_k: float) -> float:
        return fluid.state(pressure_pa=pressure_pa, temperature_k=temperature_k).enthalpy_j_per_kg

    suction = at(low_pa, fluid.dew_temperature(low_pa) + 6.0)
    discharge = at(high_pa, fluid.dew_temperature(high_pa) + 30.0)
    liquid = at(high_pa, fluid.bubble_temperature(high_pa) - 5.0)
    corners = [
        Corner("compressor inlet", low_pa, suction),
        Corner("compressor outlet", high_pa, discharge),
        Corner("condenser outlet", high_pa, liquid),
        Corner("before the metering device", 0.99 * high_pa, liquid),
        Corner("evaporator inlet", 1.02 * low_pa, liquid),
    ]
    return Loop(label, corners)


CHARTS = {
    "R-134a": ("R-134a", 2.2e5, 9.5e5),
    "R-454B, glide": ("R-454B", 7.0e5, 24.0e5),
    "R-290": ("R-290", 3.3e5, 13.0e5),
}


@functools.cache
def drawn(kind: str, name: str, number: int, units: str) -> Drawing:
    fluid, low_pa, high_pa = CHARTS[name]
    loops = [loop(fluid, low_pa, high_pa, "before"), loop(fluid, 0.8 * low_pa, 1.2 * high_pa, "after")]
    draw = {"p-h": pressure_enthalpy_cycle, "t-s": temperature_entropy_cycle}[kind]
    return draw(fluid, loops[:number], units=units)


@pytest.fixture(
    params=[
        ("p-h", "R-134a", 2, "SI"),
        ("p-h", "R-454B, glide", 1, "US"),
        ("t-s", "R-134a", 1, "US"),
        ("t-s", "R-454B, glide", 2, "SI"),
        ("t-s", "R-290", 2, "US"),
    ],
    ids=str,
)
def svg(request: pytest.FixtureRequest) -> str:
    return drawn(*request.param).svg()


def test_every_number_of_the_key_stands_at_a_point(svg: str) -> None:
    words = boxes.words(svg)
    named = {match.group(1) for word in words if (match := re.match(r"(\d) [a-z]", word))}
    at_points = {number for word in words if re.fullmatch(r"\d(, \d)*", word) for number in word.split(", ")}
    assert named == {"1", "2", "3", "4", "5"}
    assert named <= at_points


def test_text_is_large_enough_and_inside(svg: str) -> None:
    width, height = boxes.size(svg)
    for text in boxes.text_boxes(svg):
        assert text.size_px >= 14, text
        assert text.inside(width, height), text


def test_no_text_lies_on_another(svg: str) -> None:
    for one, other in itertools.combinations(boxes.text_boxes(svg), 2):
        assert not one.hits(other, gap_x=1, gap_y=-1), (one, other)


def test_before_and_after_differ_without_colour() -> None:
    both, alone = drawn("p-h", "R-134a", 2, "SI").svg(), drawn("p-h", "R-454B, glide", 1, "US").svg()
    assert {"before", "after"} <= set(boxes.words(both)) and "stroke-dasharray" in both
    assert "before" not in boxes.words(alone)


def test_axes_say_unit_and_absolute() -> None:
    assert "pressure, bar(a), logarithmic" in boxes.words(drawn("p-h", "R-134a", 2, "SI").svg())
    assert {"entropy, Btu/(lb F)", "temperature, °F"} <= set(boxes.words(drawn("t-s", "R-134a", 1, "US").svg()))


def test_temperature_runs_level_where_a_single_fluid_condenses_and_slopes_where_a_blend_does() -> None:
    from hvacr_lab.draw.cycle_charts import _path
    from hvacr_lab.draw.property_charts import edge_of

    for name, glide_k in (("R-134a", 0.0), ("R-454B, glide", refrigerant("R-454B").glide(24e5))):
        fluid = refrigerant(CHARTS[name][0])
        _, temperatures = _path(fluid, loop(*CHARTS[name], "here"), edge_of("SI"))
        condensing = temperatures[24:48]
        dew, bubble = (
            fluid.dew_temperature(CHARTS[name][2]) - 273.15,
            fluid.bubble_temperature(CHARTS[name][2]) - 273.15,
        )
        inside = [t for t in condensing if bubble - 1e-6 <= t <= dew + 1e-6]
        assert len(inside) >= 8 and max(inside) - min(inside) <= glide_k + 1e-6
        assert max(temperatures) == pytest.approx(dew + 30.0, abs=0.1)


def test_screen_reader_hears_both_cycles() -> None:
    heard = drawn("p-h", "R-134a", 2, "SI").description
    assert heard.startswith("before: compressor inlet 2.20 bar(a), ")
    assert "after: compressor inlet 1.76 bar(a), " in heard


def test_small_and_the_same_every_time(svg: str) -> None:
    assert len(svg) < 30_000
    assert drawn("p-h", "R-134a", 2, "SI").svg() == drawn("p-h", "R-134a", 2, "SI").svg()


def test_notebook_shows_it_and_png_is_sharp() -> None:
    drawing = drawn("p-h", "R-134a", 2, "SI")
    assert drawing._repr_svg_() == drawing.svg()
    png = drawing.png()
    assert png.startswith(b"\x89PNG")
    assert int.from_bytes(png[16:20], "big") == 2 * int(float(boxes.root(drawing.svg()).get("width", "0")))


def test_refuses_what_cannot_be_drawn() -> None:
    one = loop(*CHARTS["R-134a"], "one")
    for loops in ([], [one, one, one], [Loop("two corners", one.corners[:2])]):
        with pytest.raises(NotUsable, match="one or two"):
            pressure_enthalpy_cycle("R-134a", loops)
        with pytest.raises(NotUsable, match="one or two"):
            temperature_entropy_cycle("R-134a", loops)
    with pytest.raises(UnknownName, match="US"):
        pressure_enthalpy_cycle("R-134a", [one], units="metric")
