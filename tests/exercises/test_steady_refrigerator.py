"""The refrigerator of the first lessons: balances, published states, and what each glass shows."""

from __future__ import annotations

from typing import Any

import pytest

from hvacr_lab.errors import LabError
from hvacr_lab.exercises import refrigerator, state_at
from hvacr_lab.exercises.instruments import PLACES
from hvacr_lab.refrigerants import refrigerant

R134A: dict[str, Any] = {"refrigerant": "R-134a", "evaporating_c": -10.0, "condensing_c": 40.0}
NO_DROPS = dict.fromkeys(("suction_drop_k", "evaporator_drop_k", "liquid_drop_k", "condenser_drop_k"), 0.0)


@pytest.mark.parametrize("name", ["R-134a", "R-448A", "R-290", "R-1234ze(E)"])
def test_each_setting_comes_back_as_a_reading(name: str) -> None:
    machine = refrigerator(
        **R134A | {"refrigerant": name}, superheat_k=6.0, suction_gain_k=9.0, suction_drop_k=1.5, subcooling_k=5.0,
        liquid_drop_k=1.0,
    )  # fmt: skip
    fluid = refrigerant(name)
    assert machine["evaporator_outlet_pressure_pa"] == pytest.approx(fluid.dew_pressure(263.15))
    assert machine["condenser_outlet_pressure_pa"] == pytest.approx(fluid.bubble_pressure(313.15))
    assert machine["evaporator_outlet_superheat_k"] == pytest.approx(6.0, abs=0.01)
    assert machine["total_superheat_k"] == pytest.approx(6.0 + 9.0 + 1.5, abs=0.01)
    assert machine["condenser_outlet_subcooling_k"] == pytest.approx(5.0, abs=0.01)
    assert machine["liquid_subcooling_k"] == pytest.approx(4.0, abs=0.05)


def test_the_theoretical_cycle_of_a_printed_table() -> None:
    """ASHRAE Fundamentals 2021, ch. 29, table 8: 228 kPa at -6.7 degC, 770 kPa at 30 degC (SAT-012, SAT-025)."""
    machine = refrigerator(refrigerant="R-134a", evaporating_c=-6.6667, condensing_c=30.0, **NO_DROPS)
    assert machine["suction_pressure_pa"] == pytest.approx(228_000.0, rel=0.005, abs=500.0)
    assert machine["hot_gas_pressure_pa"] == pytest.approx(770_000.0, rel=0.005, abs=500.0)


def test_a_perfect_compressor_keeps_the_entropy_and_a_real_one_adds_heat() -> None:
    fluid = refrigerant("R-134a")
    perfect = refrigerator(**R134A, isentropic_efficiency=1.0)
    real = refrigerator(**R134A, isentropic_efficiency=0.7)

    def at(machine: dict[str, Any], place: str) -> Any:
        return fluid.state(pressure_pa=machine[f"{place}_pressure_pa"], temperature_k=machine[f"{place}_pipe_k"])

    suction = at(perfect, "suction")
    assert at(perfect, "hot_gas").entropy_j_per_kg_k == pytest.approx(suction.entropy_j_per_kg_k, abs=0.5)
    ideal_j = at(perfect, "hot_gas").enthalpy_j_per_kg - suction.enthalpy_j_per_kg
    assert at(real, "hot_gas").enthalpy_j_per_kg - suction.enthalpy_j_per_kg == pytest.approx(ideal_j / 0.7, rel=0.005)


def test_nothing_is_lost_in_the_expansion_device() -> None:
    """Enthalpy before and behind: liquid before, a mixture behind (energy balance without heat and work)."""
    machine, fluid = refrigerator(**R134A), refrigerant("R-134a")
    before = fluid.enthalpy_pt(machine["liquid_pressure_pa"], machine["liquid_pipe_k"])
    lines = fluid.saturation(machine["evaporator_inlet_pressure_pa"])
    share = (before - lines.bubble_enthalpy_j_per_kg) / (lines.dew_enthalpy_j_per_kg - lines.bubble_enthalpy_j_per_kg)
    assert 0.2 < share < 0.4  # R-134a between -10 and 40 degC (common practice: about a third flashes)
    assert machine["evaporator_inlet_glass"] == "bubbles"
    assert machine["evaporator_inlet_pipe_k"] == pytest.approx(fluid.dew_temperature(lines.pressure_pa))


def test_a_clogged_drier_keeps_the_heat_and_loses_the_pressure() -> None:
    clean, clogged = refrigerator(**R134A), refrigerator(**R134A, liquid_drop_k=12.0)
    assert clogged["liquid_enthalpy_j_per_kg"] == clean["liquid_enthalpy_j_per_kg"]
    assert (clean["liquid_glass"], clogged["liquid_glass"]) == ("liquid", "bubbles")
    boiling_k = refrigerant("R-134a").bubble_temperature(clogged["liquid_pressure_pa"])
    assert clogged["liquid_pipe_k"] == pytest.approx(boiling_k) == pytest.approx(313.15 - 12.0)
    assert clogged["liquid_subcooling_k"] == 0.0


def test_a_bare_pipe_adds_heat_and_leaves_the_pressure() -> None:
    insulated, bare = refrigerator(**R134A, suction_gain_k=4.0), refrigerator(**R134A, suction_gain_k=22.0)
    assert bare["suction_pressure_pa"] == insulated["suction_pressure_pa"]
    assert bare["evaporator_outlet_superheat_k"] == insulated["evaporator_outlet_superheat_k"]
    assert bare["total_superheat_k"] - insulated["total_superheat_k"] == pytest.approx(18.0, abs=0.01)


def test_liquid_that_leaves_the_evaporator_is_seen_at_the_compressor() -> None:
    wet = refrigerator(**R134A, liquid_leaving_percent=10.0)
    assert (wet["evaporator_outlet_glass"], wet["suction_glass"]) == ("bubbles", "bubbles")
    assert wet["total_superheat_k"] == wet["evaporator_outlet_superheat_k"] == 0.0
    dried = refrigerator(**R134A, liquid_leaving_percent=1.0, suction_gain_k=15.0)
    assert dried["suction_glass"] == "vapour"  # the warm room boils the last drops


@pytest.mark.parametrize("name", ["R-134a", "R-448A"])
def test_gauge_and_thermometer_tell_what_the_glass_shows(name: str) -> None:
    for settings in ({}, {"liquid_drop_k": 12.0}, {"liquid_leaving_percent": 8.0}):
        machine = refrigerator(**R134A | {"refrigerant": name}, **settings)
        for place in PLACES:
            told = state_at(name, machine[f"{place}_pressure_pa"], machine[f"{place}_pipe_k"])
            assert told == machine[f"{place}_glass"], place


def test_in_a_blend_the_pipe_may_be_above_the_bubble_line_and_still_be_wet() -> None:
    """R-448A glides by about 6 K; half way through it boils."""
    fluid = refrigerant("R-448A")
    middle_k = (fluid.bubble_temperature(3e5) + fluid.dew_temperature(3e5)) / 2
    assert state_at(fluid, 3e5, middle_k) == "bubbles"


@pytest.mark.parametrize(
    "change",
    [
        {"refrigerant": "R-999"},
        {"condensing_c": -20.0},
        {"condensing_c": 120.0},
        {"superheat_k": -1.0},
        {"subcooling_k": -1.0},
        {"liquid_leaving_percent": 120.0},
        {"isentropic_efficiency": 70.0},
        {"evaporating_c": "cold"},
    ],
)
def test_a_machine_that_cannot_be_is_refused(change: dict[str, Any]) -> None:
    with pytest.raises(LabError):
        refrigerator(**R134A | change)
