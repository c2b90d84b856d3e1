"""Readings as instruments show them: division, unit, gauge and absolute. Conversions: NIST Special Publication 811."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hvacr_lab.errors import NotUsable, UnknownName
from hvacr_lab.exercises.instruments import PLACES, READINGS, quantity_of, reading, show, unit_of_edition, with_places

BAROMETER_PA = 96_300.0


@settings(max_examples=50, deadline=None)
@given(pressure_pa=st.floats(1.1e5, 30e5), edition=st.sampled_from(["SI", "US"]))
def test_formulas_get_what_the_gauge_shows_not_what_is_there(pressure_pa: float, edition: str) -> None:
    for name in ("suction_pressure", "hot_gas_pressure"):
        instrument = READINGS[name].instrument
        shown = show(pressure_pa, instrument, edition, BAROMETER_PA)
        again = show(shown.si, instrument, edition, BAROMETER_PA)
        assert again.text == shown.text
        step_pa = {"SI": 1e5, "US": 6894.757}[edition] * instrument.scales[edition].step
        assert abs(shown.si - pressure_pa) <= 0.5001 * step_pa


@pytest.mark.parametrize(
    ("name", "value_si", "edition", "text"),
    [
        ("suction_pressure", 206_400.0, "SI", "1.10 bar(g)"),
        ("suction_pressure", 206_400.0, "US", "16.0 psig"),
        ("hot_gas_pressure", 1_017_000.0, "SI", "9.20 bar(g)"),
        ("hot_gas_pressure", 1_017_000.0, "US", "133.5 psig"),
        ("suction_pipe", 273.15, "SI", "0.0 degC"),
        ("suction_pipe", 273.15, "US", "32.0 degF"),
        ("suction_pipe", 273.12, "SI", "0.0 degC"),  # not "-0.0"
        ("total_superheat", 10.0, "US", "18.0 degF"),
        ("liquid_enthalpy", 250_000.0, "SI", "250.0 kJ/kg"),
    ],
)
def test_readings_as_shown(name: str, value_si: float, edition: str, text: str) -> None:
    assert show(value_si, READINGS[name].instrument, edition, BAROMETER_PA).text == text


def test_a_place_stands_for_gauge_and_pipe() -> None:
    assert with_places("suction") == ("suction_pressure", "suction_pipe")
    assert with_places(["suction", "liquid_pipe"]) == ("suction_pressure", "suction_pipe", "liquid_pipe")


def test_glasses_are_numbered_in_the_order_of_the_flow() -> None:
    numbers = [words.split(",")[0] for words in PLACES.values() if words.startswith("glass")]
    assert numbers == [f"glass {n}" for n in range(1, 6)]


@pytest.mark.parametrize(
    ("unit", "quantity"),
    [
        ("K", "temperature difference"),
        ("degC", "temperature"),
        ("bar(a)", "pressure"),
        ("psig", "pressure"),
        ("%", "ratio"),
        ("kJ/kg", "specific enthalpy"),
    ],
)
def test_a_unit_tells_its_quantity(unit: str, quantity: str) -> None:
    assert quantity_of(unit) == quantity


def test_degrees_fahrenheit_may_be_a_temperature_or_a_difference() -> None:
    with pytest.raises(NotUsable, match="temperature or temperature difference"):
        quantity_of("degF")
    assert quantity_of("degF", "temperature difference") == "temperature difference"


def test_unknown_names_are_told_their_neighbours() -> None:
    with pytest.raises(UnknownName, match="suction_pressure"):
        reading("suction_presure")
    with pytest.raises(UnknownName):
        quantity_of("bar", "temperature")
    with pytest.raises(UnknownName):
        unit_of_edition("length", "SI")
