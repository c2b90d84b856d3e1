"""The fast look-ups give the numbers of the library, have no steps, and never refuse a pressure."""

from __future__ import annotations

import math
import pickle
import random

import pytest
from component_hardware import REFRIGERANTS, fluid_of

from hvacr_lab.refrigerants import refrigerant

CLOSE = 1e-9


def _random_states(name: str, count: int = 150):
    fluid, dice = fluid_of(name), random.Random(name)
    low, high = math.log(1.001 * fluid.p_low_pa), math.log(0.999 * fluid.p_high_pa)
    for _ in range(count):
        pressure = math.exp(dice.uniform(low, high))
        lines = fluid.lines(pressure)
        coldest = lines.bubble_j_per_kg + 0.9 * lines.liquid_span
        yield fluid, lines, dice.uniform(coldest, lines.dew_j_per_kg + 0.9 * lines.vapour_span)


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_same_numbers_as_the_library(name: str) -> None:
    library = refrigerant(name)
    for fluid, lines, enthalpy in _random_states(name):
        pressure, state = lines.pressure_pa, fluid.state(lines, enthalpy)
        assert state.temperature_k == pytest.approx(library.temperature_ph(pressure, enthalpy), rel=CLOSE)
        assert state.volume_m3_per_kg == pytest.approx(library.volume_ph(pressure, enthalpy), rel=CLOSE)
        assert state.entropy_j_per_kg_k == pytest.approx(library.entropy_ph(pressure, enthalpy), rel=CLOSE)
        assert state.quality == pytest.approx(library.quality_ph(pressure, enthalpy), abs=CLOSE)
        assert fluid.temperature(lines, enthalpy) == pytest.approx(state.temperature_k, rel=1e-14)
        assert fluid.volume(lines, enthalpy) == pytest.approx(state.volume_m3_per_kg, rel=1e-14)


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_same_lines_as_the_library(name: str) -> None:
    library = refrigerant(name)
    for fluid, lines, _ in _random_states(name, 60):
        saturation = library.saturation(lines.pressure_pa)
        assert lines.dew_k == pytest.approx(saturation.dew_temperature_k, rel=CLOSE)
        assert lines.bubble_k == pytest.approx(saturation.bubble_temperature_k, rel=CLOSE)
        assert lines.dew_m3_per_kg == pytest.approx(saturation.dew_volume_m3_per_kg, rel=CLOSE)
        assert lines.bubble_j_per_kg == pytest.approx(saturation.bubble_enthalpy_j_per_kg, rel=CLOSE)
        assert fluid.dew_pressure(lines.dew_k) == pytest.approx(library.dew_pressure(lines.dew_k), rel=CLOSE)
        assert fluid.bubble_pressure(lines.bubble_k) == pytest.approx(
            library.bubble_pressure(lines.bubble_k), rel=CLOSE
        )


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_ways_back_arrive_where_they_came_from(name: str) -> None:
    for fluid, lines, enthalpy in _random_states(name):
        state = fluid.state(lines, enthalpy)
        assert fluid.isentropic_enthalpy(lines, state.entropy_j_per_kg_k) == pytest.approx(enthalpy, rel=1e-8)
        if state.quality in (0.0, 1.0) or lines.dew_k - lines.bubble_k > 0.5:
            assert fluid.enthalpy_of_temperature(lines, state.temperature_k) == pytest.approx(enthalpy, rel=1e-8)
        if state.quality == 0.0:
            flash = fluid.pressure_of_bubble_enthalpy(enthalpy, lines.pressure_pa)
            if flash > 1.001 * fluid.p_low_pa:
                assert fluid.lines(flash).bubble_j_per_kg == pytest.approx(enthalpy, rel=1e-8)


@pytest.mark.parametrize("name", REFRIGERANTS)
@pytest.mark.parametrize("pressure_bar", [1.0, 6.0, 20.0])
def test_no_step_at_the_lines(name: str, pressure_bar: float) -> None:
    fluid = fluid_of(name)
    lines = fluid.lines(pressure_bar * 1e5)
    for edge in (lines.bubble_j_per_kg, lines.dew_j_per_kg):
        below, above = fluid.state(lines, edge - 1e-3), fluid.state(lines, edge + 1e-3)
        for one, other in zip(below, above, strict=True):
            assert one == pytest.approx(other, rel=1e-6, abs=1e-7)


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_answers_beyond_the_table_and_goes_on_without_a_step(name: str) -> None:
    fluid = fluid_of(name)
    for edge in (fluid.p_low_pa, fluid.p_high_pa):
        inside, outside = fluid.lines(edge * (1.0 - 1e-9)), fluid.lines(edge * (1.0 + 1e-9))
        for one, other in zip(inside[1:12], outside[1:12], strict=True):
            assert one == pytest.approx(other, rel=1e-6)
    for pressure in (1.0, 1e3, 0.5 * fluid.p_low_pa, 1.5 * fluid.p_high_pa, 1e9):
        lines = fluid.lines(pressure)
        assert lines.latent_j_per_kg > 0.0
        for enthalpy in (-1e6, 0.0, 2e5, 4e5, 1e6, 3e6):
            assert all(math.isfinite(value) for value in fluid.state(lines, enthalpy))


def test_thin_vapour_is_an_ideal_gas() -> None:
    fluid = fluid_of("R-134a")
    thin, thinner = (fluid.lines(share * fluid.p_low_pa) for share in (0.5, 0.25))
    assert thinner.dew_m3_per_kg == pytest.approx(2.0 * thin.dew_m3_per_kg, rel=1e-12)
    gas_constant = 8.31446261815324 / fluid.molar_mass_kg_per_mol
    assert thinner.dew_j_per_kg_k - thin.dew_j_per_kg_k == pytest.approx(gas_constant * math.log(2.0), rel=1e-12)


def test_hotter_than_the_table_goes_on_along_the_slope() -> None:
    fluid = fluid_of("R-134a")
    lines = fluid.lines(3e5)
    end = lines.dew_j_per_kg + lines.vapour_span
    before, at, after = (fluid.temperature(lines, end + step) for step in (-50.0, 0.0, 50.0))
    assert after - at == pytest.approx(at - before, rel=1e-3)
    assert fluid.enthalpy_of_temperature(lines, 500.0) > end


def test_survives_a_pickle_by_name() -> None:
    assert pickle.loads(pickle.dumps(fluid_of("R-32"))) is fluid_of("R-32")
