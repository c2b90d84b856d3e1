"""Cycles: the energy adds up, machines behave as technicians know them, nonsense is refused in plain words."""

from __future__ import annotations

import dataclasses
import pickle
from typing import Any

import numpy as np
import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from hvacr_lab.cycle import (
    Cycle,
    carnot_cop,
    cascade,
    clearance_volumetric_efficiency,
    measured_cycle,
    single_stage,
    subcooling,
    superheat,
    total_superheat,
    two_stage,
)
from hvacr_lab.errors import LabError, NotUsable, OutOfRange, UnknownName
from hvacr_lab.refrigerants import refrigerant

C = 273.15
PURE = ("R-134a", "R-32", "R-290", "R-717", "R-1234yf")
BLENDS = ("R-407C", "R-410A", "R-454B", "R-455A")
REFRIGERATOR = {"evaporating_temperature_k": C - 10.0, "condensing_temperature_k": C + 40.0}

designs = st.fixed_dictionaries(
    {
        "refrigerant": st.sampled_from(PURE + BLENDS),
        "evaporating_temperature_k": st.floats(C - 30.0, C + 10.0),
        "condensing_temperature_k": st.floats(C + 25.0, C + 50.0),
        "superheat_k": st.just(0.0) | st.floats(0.1, 15.0),
        "subcooling_k": st.just(0.0) | st.floats(0.1, 10.0),
        "isentropic_efficiency": st.floats(0.5, 1.0),
        "temperature_convention": st.sampled_from(["dew", "dew-bubble", "mean"]),
    }
)
lines = st.fixed_dictionaries(
    {
        "suction_line_temperature_rise_k": st.just(0.0) | st.floats(0.1, 15.0),
        "suction_line_pressure_drop_pa": st.floats(0.0, 5e3),
        "discharge_line_pressure_drop_pa": st.floats(0.0, 5e4),
        "liquid_line_pressure_drop_pa": st.floats(0.0, 5e4),
        "compressor_heat_loss_j_per_kg": st.floats(0.0, 3e3),
    }
)
quickly = settings(max_examples=50, deadline=None)


def refrigerator(**changes: Any) -> Cycle:
    """An R-134a machine at -10/40 C with 6 K of superheat and 4 K of subcooling, efficiency 0.7 (own values)."""
    design = {**REFRIGERATOR, "superheat_k": 6.0, "subcooling_k": 4.0, "isentropic_efficiency": 0.7}
    return single_stage("R-134a", **{**design, **changes})


def designed(design: dict[str, Any], **line: float) -> Cycle:
    """The cycle of a drawn design; another is drawn where the gas would leave the compressor too hot."""
    try:
        return single_stage(**design, **line)
    except LabError as problem:
        assert "hotter than" in str(problem)
        reject()


# what adds up


@quickly
@given(designs, lines)
def test_what_goes_in_comes_out(design: dict[str, Any], line: dict[str, float]) -> None:
    cycle = designed(design, **line)
    taken_up = cycle.refrigeration_effect_j_per_kg + cycle.suction_line_heat_gain_j_per_kg
    given_off = cycle.heat_of_rejection_j_per_kg + cycle.compressor_heat_loss_j_per_kg
    assert given_off == pytest.approx(taken_up + cycle.specific_work_j_per_kg, abs=1e-3)


@quickly
@given(designs)
def test_heating_cop_is_cooling_cop_and_one_where_no_line_gains_heat(design: dict[str, Any]) -> None:
    cycle = designed(design)
    assert cycle.cop_heating == pytest.approx(cycle.cop_cooling + 1.0, rel=1e-9)


@quickly
@given(designs, lines)
def test_the_cycle_has_what_was_designed(design: dict[str, Any], line: dict[str, float]) -> None:
    cycle = designed(design, **line)
    assert cycle.superheat_k == pytest.approx(design["superheat_k"], abs=1e-5)
    assert cycle.subcooling_k == pytest.approx(design["subcooling_k"], abs=1e-5)
    assert cycle.isentropic_efficiency == pytest.approx(design["isentropic_efficiency"], rel=1e-6)
    for name in ("suction", "discharge", "liquid"):
        drop = f"{name}_line_pressure_drop_pa"
        assert getattr(cycle, drop) == pytest.approx(line[drop], abs=1e-6)


@quickly
@given(designs)
def test_no_cycle_beats_carnot(design: dict[str, Any]) -> None:
    design = {**design, "temperature_convention": "dew", "refrigerant": "R-134a"}
    cycle = single_stage(**design)
    assert cycle.cop_cooling < carnot_cop(design["evaporating_temperature_k"], design["condensing_temperature_k"])


@quickly
@given(designs)
def test_measuring_a_designed_machine_gives_its_cycle_back(design: dict[str, Any]) -> None:
    # far enough from the dew line that the gas stays dry all the way
    cycle = designed({**design, "superheat_k": design["superheat_k"] + 8.0})
    measured = measured_cycle(
        design["refrigerant"],
        suction_pressure_pa=cycle.compressor_inlet.pressure_pa,
        suction_temperature_k=cycle.compressor_inlet.temperature_k,
        discharge_pressure_pa=cycle.compressor_outlet.pressure_pa,
        discharge_temperature_k=cycle.compressor_outlet.temperature_k,
        liquid_temperature_k=cycle.expansion_inlet.temperature_k,
    )
    assert measured.cop_cooling == pytest.approx(cycle.cop_cooling, rel=1e-4)
    assert measured.isentropic_efficiency == pytest.approx(cycle.isentropic_efficiency, rel=1e-4)
    assert measured.total_superheat_k == pytest.approx(cycle.superheat_k, abs=1e-4)


# what every technician knows (common practice)


@pytest.mark.parametrize(
    ("change", "figure", "direction"),
    [
        ({"subcooling_k": 8.0}, "refrigeration_effect_j_per_kg", +1),
        ({"subcooling_k": 8.0}, "flash_gas_fraction", -1),
        ({"subcooling_k": 8.0}, "cop_cooling", +1),
        ({"condensing_temperature_k": C + 50.0}, "cop_cooling", -1),
        ({"condensing_temperature_k": C + 50.0}, "compression_ratio", +1),
        ({"condensing_temperature_k": C + 50.0}, "discharge_temperature_k", +1),
        ({"evaporating_temperature_k": C - 25.0}, "cop_cooling", -1),
        ({"evaporating_temperature_k": C - 25.0}, "compression_ratio", +1),
        ({"evaporating_temperature_k": C - 25.0}, "volumetric_cooling_capacity_j_per_m3", -1),
        ({"isentropic_efficiency": 0.6}, "discharge_temperature_k", +1),
        ({"isentropic_efficiency": 0.6}, "heat_of_rejection_j_per_kg", +1),
        ({"superheat_k": 15.0}, "discharge_temperature_k", +1),
        ({"suction_line_temperature_rise_k": 10.0}, "volumetric_cooling_capacity_j_per_m3", -1),
        ({"suction_line_temperature_rise_k": 10.0}, "total_superheat_k", +1),
        ({"suction_line_pressure_drop_pa": 20e3}, "compression_ratio", +1),
        ({"suction_line_pressure_drop_pa": 20e3}, "cop_cooling", -1),
        ({"discharge_line_pressure_drop_pa": 50e3}, "cop_cooling", -1),
        ({"compressor_heat_loss_j_per_kg": 5e3}, "discharge_temperature_k", -1),
    ],
)
def test_a_change_moves_the_figure_the_way_the_trade_knows(change: dict[str, Any], figure: str, direction: int) -> None:
    before, after = getattr(refrigerator(), figure), getattr(refrigerator(**change), figure)
    assert (after - before) * direction > 0.0


def test_a_line_loses_pressure_but_no_heat() -> None:
    cycle = refrigerator(liquid_line_pressure_drop_pa=50e3, discharge_line_pressure_drop_pa=50e3)
    assert cycle.expansion_inlet.enthalpy_j_per_kg == cycle.condenser_outlet.enthalpy_j_per_kg
    assert cycle.condenser_inlet.enthalpy_j_per_kg == cycle.compressor_outlet.enthalpy_j_per_kg
    assert cycle.evaporator_inlet.enthalpy_j_per_kg == cycle.expansion_inlet.enthalpy_j_per_kg


def test_a_long_liquid_line_makes_bubbles_before_the_expansion_device() -> None:
    cycle = refrigerator(liquid_line_pressure_drop_pa=150e3)
    assert cycle.subcooling_k == pytest.approx(4.0, abs=1e-6)
    assert cycle.subcooling_at_expansion_k <= 0.0
    assert cycle.expansion_inlet.phase == "two-phase"
    assert any("bubbles" in note for note in cycle.notes)


def test_liquid_at_the_evaporator_outlet_reaches_the_compressor() -> None:
    cycle = refrigerator(superheat_k=0.0, outlet_quality=0.9)
    assert cycle.compressor_inlet.phase == "two-phase"
    assert cycle.superheat_k == cycle.total_superheat_k == 0.0
    assert cycle.refrigeration_effect_j_per_kg < refrigerator(superheat_k=0.0).refrigeration_effect_j_per_kg
    assert cycle.discharge_temperature_k < refrigerator(superheat_k=0.0).discharge_temperature_k
    assert cycle.notes[0] == "Liquid enters the compressor: 10.0% of the mass is liquid."


# blends


def test_conventions_of_a_blend_differ_by_its_glide() -> None:
    by_convention = {
        name: single_stage("R-407C", **REFRIGERATOR, temperature_convention=name)
        for name in ("dew", "mean", "dew-bubble")
    }
    condensing = [cycle.condensing_pressure_pa for cycle in by_convention.values()]
    assert condensing == sorted(condensing)
    assert by_convention["dew"].condensing_dew_temperature_k == pytest.approx(C + 40.0, abs=1e-5)
    assert by_convention["dew-bubble"].condensing_bubble_temperature_k == pytest.approx(C + 40.0, abs=1e-5)
    mean = by_convention["mean"]
    ends = mean.condensing_dew_temperature_k + mean.condensing_bubble_temperature_k
    assert ends / 2.0 == pytest.approx(C + 40.0, abs=1e-5)
    evaporator = mean.evaporator_inlet.temperature_k + mean.evaporating_dew_temperature_k
    assert evaporator / 2.0 == pytest.approx(C - 10.0, abs=1e-4)


def test_conventions_of_a_pure_refrigerant_are_one() -> None:
    cops = [
        single_stage("R-290", **REFRIGERATOR, temperature_convention=name).cop_cooling
        for name in ("dew", "mean", "dew-bubble")
    ]
    assert cops == pytest.approx([cops[0]] * 3, rel=1e-9)


def test_superheat_counts_from_the_dew_line_and_subcooling_from_the_bubble_line() -> None:
    r407c = refrigerant("R-407C")
    pressure = 1.0e6
    dew, bubble = r407c.dew_temperature(pressure), r407c.bubble_temperature(pressure)
    assert dew - bubble > 5.0  # it glides by about 5 to 7 K; ASHRAE Fundamentals 2021, ch. 29, Table 2: 7.1 K at 1 atm
    assert superheat("R-407C", pressure, dew + 8.0) == pytest.approx(8.0, abs=1e-6)
    assert subcooling("R-407C", pressure, bubble - 3.0) == pytest.approx(3.0, abs=1e-6)


def test_between_the_lines_there_is_neither_superheat_nor_subcooling() -> None:
    between = refrigerant("R-407C").bubble_temperature(1.0e6) + 2.0
    with pytest.raises(OutOfRange, match="colder, there is liquid in it"):
        superheat("R-407C", 1.0e6, between)
    with pytest.raises(OutOfRange, match="dew column"):
        subcooling("R-407C", 1.0e6, between)


# single measurements


def test_superheat_of_a_saturated_gas_is_zero_within_half_a_digit_of_the_thermometer() -> None:
    dew = refrigerant("R-134a").dew_temperature(200e3)
    assert superheat("R-134a", 200e3, dew) == 0.0
    assert superheat("R-134a", 200e3, dew - 0.04) == 0.0
    with pytest.raises(OutOfRange):
        superheat("R-134a", 200e3, dew - 0.06)


def test_total_superheat_speaks_of_the_compressor() -> None:
    assert total_superheat("R-134a", 190e3, C + 10.0) > superheat("R-134a", 200e3, C - 2.0)
    with pytest.raises(OutOfRange, match="gas at the compressor"):
        total_superheat("R-134a", 190e3, C - 20.0)


# flow


def test_capacity_gives_the_flow_and_everything_that_follows() -> None:
    cycle = refrigerator(capacity_w=1000.0)
    assert cycle.capacity_w == pytest.approx(1000.0)
    assert cycle.mass_flow_kg_per_s * cycle.refrigeration_effect_j_per_kg == pytest.approx(1000.0)
    assert cycle.heat_rejected_w == pytest.approx(cycle.capacity_w + cycle.power_w)
    assert cycle.capacity_w / cycle.power_w == pytest.approx(cycle.cop_cooling)
    assert cycle.eer_btu_per_wh == pytest.approx(3.412 * cycle.cop_cooling, rel=1e-4)  # 1 kW = 3412.14 Btu/h, Borgnakke


def test_flow_displacement_and_volumetric_efficiency_any_two_give_the_third() -> None:
    known = refrigerator(mass_flow_kg_per_s=0.01, displacement_m3_per_s=1.3e-3)
    by_efficiency = refrigerator(displacement_m3_per_s=1.3e-3, volumetric_efficiency=known.volumetric_efficiency)
    sized = refrigerator(mass_flow_kg_per_s=0.01, volumetric_efficiency=known.volumetric_efficiency)
    assert by_efficiency.mass_flow_kg_per_s == pytest.approx(0.01)
    assert sized.displacement_m3_per_s == pytest.approx(1.3e-3)


def test_without_a_flow_the_cycle_is_for_one_kilogram() -> None:
    with pytest.raises(LabError, match=r"mass flow of this cycle is not known\. Give mass_flow_kg_per_s or capacity_w"):
        _ = refrigerator().power_w
    with pytest.raises(LabError, match="displacement"):
        _ = refrigerator(capacity_w=1e3).volumetric_efficiency


@pytest.mark.parametrize(
    ("flow", "words"),
    [
        ({"mass_flow_kg_per_s": 0.01, "capacity_w": 1e3}, "capacity is given as well"),
        ({"volumetric_efficiency": 0.8}, "alone it gives no flow"),
        (
            {"mass_flow_kg_per_s": 0.01, "displacement_m3_per_s": 1e-3, "volumetric_efficiency": 0.8},
            "it follows from mass flow",
        ),
    ],
)
def test_flow_given_twice_or_not_at_all_is_refused(flow: dict[str, float], words: str) -> None:
    with pytest.raises(NotUsable, match=words):
        refrigerator(**flow)


def test_dead_space_costs_more_at_a_high_compression_ratio() -> None:
    low, high = (clearance_volumetric_efficiency(0.04, ratio, 1.1) for ratio in (3.0, 9.0))
    assert high < low < 1.0
    with pytest.raises(OutOfRange, match="draws nothing in"):
        clearance_volumetric_efficiency(0.2, 20.0, 1.1)


# refused, in plain words


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"evaporating_temperature_k": C + 41.0}, "evaporate at 41.0 °C. Were the two sides mixed up"),
        ({"evaporating_pressure_pa": 2e5}, "both temperature and pressure are given"),
        ({"condensing_pressure_pa": 1e6}, "both temperature and pressure are given"),
        ({"evaporating_temperature_k": None}, "Neither evaporating temperature nor"),
        ({"condensing_temperature_k": None}, "Neither condensing temperature nor"),
        ({"evaporating_temperature_k": None, "evaporating_pressure_pa": 2e6}, "two sides mixed up"),
        ({"evaporating_temperature_k": float("nan")}, "NaN"),
        ({"condensing_temperature_k": "40 C"}, "a number is needed"),
        ({"superheat_k": -2.0}, "superheat -2 K is outside 0 ... 150 K"),
        ({"superheat_k": None}, "superheat None"),
        ({"subcooling_k": -1.0}, "subcooling -1 K"),
        ({"isentropic_efficiency": 70.0}, "70 % is written 0.7"),
        ({"isentropic_efficiency": 0.0}, "isentropic efficiency 0 is outside"),
        ({"outlet_quality": 0.9}, "a superheat of 6.0 K is given"),
        ({"superheat_k": 0.0, "outlet_quality": 0.9, "suction_line_temperature_rise_k": 5.0}, "without getting warmer"),
        ({"liquid_line_pressure_drop_pa": 2e6}, "pressure drop in the liquid line"),
        ({"liquid_line_pressure_drop_pa": 9e5}, "pressure before the expansion device"),
        ({"suction_line_pressure_drop_pa": -100.0}, "pressure drop in the suction line"),
        ({"temperature_convention": "middle"}, "not a known temperature convention"),
        ({"condensing_temperature_k": C + 110.0}, "R-134a"),
        ({"evaporating_temperature_k": -10.0}, "R-134a"),
        ({"capacity_w": 0.0}, "capacity 0"),
        ({"isentropic_efficiency": 0.2}, "hotter than"),
    ],
)
def test_a_design_that_cannot_be_is_refused(change: dict[str, Any], words: str) -> None:
    with pytest.raises(LabError) as problem:
        refrigerator(**change)
    assert words in str(problem.value)


@pytest.mark.parametrize("several", [[2e5, 3e5], (), np.array([2e5])])
def test_a_cycle_takes_one_number_at_a_time(several: Any) -> None:
    with pytest.raises(NotUsable, match="one number is needed"):
        superheat("R-134a", several, C)
    with pytest.raises(NotUsable, match="one number is needed"):
        refrigerator(subcooling_k=several)
    with pytest.raises(NotUsable, match="one number is needed"):
        refrigerator(evaporating_temperature_k=None, evaporating_pressure_pa=several)


def test_unknown_refrigerants_are_refused_with_the_closest_names() -> None:
    with pytest.raises(UnknownName, match="R-134a"):
        single_stage("R-134b", **REFRIGERATOR)
    with pytest.raises(UnknownName):
        superheat("water vapour", 2e5, 300.0)


PLANT = {
    "suction_pressure_pa": 200e3,
    "suction_temperature_k": C,
    "discharge_pressure_pa": 1000e3,
    "discharge_temperature_k": C + 65.0,
    "liquid_temperature_k": C + 35.0,
}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"suction_temperature_k": C - 12.0}, "gas at the compressor inlet"),
        ({"discharge_temperature_k": C + 30.0}, "gas at the compressor outlet"),
        ({"liquid_temperature_k": C + 45.0}, "liquid before the expansion device"),
        ({"liquid_pressure_pa": 8e5}, "gauge instead of absolute"),
        ({"suction_pressure_pa": 1e6, "discharge_pressure_pa": 2e5, "suction_temperature_k": C + 60.0}, "two gauges"),
        (
            {"suction_pressure_pa": 9.9e5, "suction_temperature_k": C + 65.0, "discharge_temperature_k": C + 45.0},
            "thermom",
        ),
        ({"condenser_outlet_temperature_k": C + 45.0}, "liquid at the condenser outlet"),
        ({"evaporator_outlet_temperature_k": C - 15.0}, "gas at the evaporator outlet"),
        ({"suction_pressure_pa": float("nan")}, "NaN"),
        ({"suction_pressure_pa": -5.0}, "-5"),
        ({"suction_pressure_pa": 2.0}, "R-134a"),
    ],
)
def test_readings_that_cannot_be_are_refused(change: dict[str, Any], words: str) -> None:
    with pytest.raises(LabError) as problem:
        measured_cycle("R-134a", **{**PLANT, **change})
    assert words in str(problem.value)


def test_measured_plant_with_points_along_its_lines() -> None:
    cycle = measured_cycle(
        "R-134a",
        **PLANT,
        evaporator_outlet_pressure_pa=210e3,
        evaporator_outlet_temperature_k=C - 4.0,
        condenser_inlet_pressure_pa=990e3,
        condenser_outlet_pressure_pa=980e3,
        condenser_outlet_temperature_k=C + 34.0,
        liquid_pressure_pa=960e3,
    )
    assert cycle.suction_line_pressure_drop_pa == pytest.approx(10e3)
    assert cycle.discharge_line_pressure_drop_pa == pytest.approx(10e3)
    assert cycle.liquid_line_pressure_drop_pa == pytest.approx(20e3)
    assert cycle.suction_line_heat_gain_j_per_kg > 0.0
    assert cycle.total_superheat_k > cycle.superheat_k


# notes


@pytest.mark.parametrize(
    ("cycle", "words"),
    [
        (lambda: refrigerator(superheat_k=1.0), "only 1.0 K of superheat"),
        (lambda: single_stage("R-717", **REFRIGERATOR, superheat_k=6.0, isentropic_efficiency=0.8), "is very hot"),
        (lambda: refrigerator(evaporating_temperature_k=C - 35.0), "compression ratio is high"),
        (lambda: refrigerator(evaporating_temperature_k=C - 30.0), "below the atmosphere"),
        (lambda: measured_cycle("R-134a", **{**PLANT, "discharge_temperature_k": C + 48.0}), "above 1"),
        (lambda: measured_cycle("R-134a", **PLANT, evaporator_outlet_pressure_pa=190e3), "compare the gauges"),
        (lambda: measured_cycle("R-134a", **{**PLANT, "suction_pressure_pa": 95e3}), "Was it a gauge pressure?"),
    ],
)
def test_worrying_numbers_come_with_a_note(cycle: Any, words: str) -> None:
    assert any(words in note for note in cycle().notes), cycle().notes


def test_a_machine_in_order_comes_without_notes() -> None:
    assert refrigerator().notes == ()
    assert measured_cycle("R-134a", **PLANT).notes == ()


# two stages and cascade


def test_two_stages_need_less_power_and_keep_the_gas_cooler() -> None:
    outer = {"evaporating_temperature_k": C - 35.0, "condensing_temperature_k": C + 35.0}
    one, two = single_stage("R-717", **outer), two_stage("R-717", **outer, capacity_w=100e3)
    assert two.cop_cooling > 1.1 * one.cop_cooling
    assert two.high.discharge_temperature_k < one.discharge_temperature_k
    assert two.low.condensing_pressure_pa**2 == pytest.approx(one.evaporating_pressure_pa * one.condensing_pressure_pa)
    assert two.mass_flow_ratio > 1.0
    assert two.temperature_difference_k == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("flow", [{"capacity_w": 50e3}, {"mass_flow_kg_per_s": 0.3}])
def test_heat_of_two_stages_adds_up(flow: dict[str, float]) -> None:
    both = two_stage(
        "R-134a",
        evaporating_temperature_k=C - 30.0,
        intermediate_temperature_k=C,
        condensing_temperature_k=C + 40.0,
        superheat_k=5.0,
        subcooling_k=3.0,
        low_stage_isentropic_efficiency=0.7,
        high_stage_isentropic_efficiency=0.75,
        **flow,
    )
    assert both.heat_rejected_w == pytest.approx(both.capacity_w + both.power_w, rel=1e-9)
    assert both.capacity_w / both.power_w == pytest.approx(both.cop_cooling, rel=1e-9)
    assert both.cop_heating == pytest.approx(both.cop_cooling + 1.0, rel=1e-9)


def test_a_flash_tank_splits_a_blend_and_says_so() -> None:
    outer = {"evaporating_temperature_k": C - 30.0, "condensing_temperature_k": C + 35.0}
    assert "differ in composition" in two_stage("R-407C", **outer).notes[0]


def test_a_cascade_of_two_refrigerants_adds_up() -> None:
    low = single_stage(
        "R-744", evaporating_temperature_k=C - 35.0, condensing_temperature_k=C - 5.0, superheat_k=5.0, capacity_w=5e3
    )
    high = single_stage(
        "R-134a", evaporating_temperature_k=C - 10.0, condensing_temperature_k=C + 40.0, superheat_k=5.0
    )
    both = cascade(low, high)
    assert both.temperature_difference_k == pytest.approx(5.0, abs=1e-4)
    assert both.heat_rejected_w == pytest.approx(both.capacity_w + both.power_w, rel=1e-9)
    assert both.high.capacity_w == pytest.approx(both.low.heat_rejected_w, rel=1e-9)


def test_stages_out_of_order_are_refused() -> None:
    outer = {"evaporating_temperature_k": C - 30.0, "condensing_temperature_k": C + 35.0}
    with pytest.raises(OutOfRange, match="intermediate pressure"):
        two_stage("R-134a", **outer, intermediate_temperature_k=C - 40.0)
    with pytest.raises(NotUsable, match="intermediate side"):
        two_stage("R-134a", **outer, intermediate_temperature_k=C, intermediate_pressure_pa=3e5)
    with pytest.raises(OutOfRange, match="heat flows only from warm to cold"):
        cascade(refrigerator(), refrigerator(evaporating_temperature_k=C + 45.0, condensing_temperature_k=C + 70.0))
    with pytest.raises(NotUsable, match="one follows from the other"):
        cascade(
            refrigerator(condensing_temperature_k=C + 20.0, capacity_w=1e3),
            refrigerator(evaporating_temperature_k=C + 10.0, condensing_temperature_k=C + 50.0, capacity_w=1e3),
        )


def test_carnot_refuses_cold_above_hot() -> None:
    with pytest.raises(OutOfRange, match="mixed up"):
        carnot_cop(300.0, 280.0)


# the object itself


def test_a_cycle_cannot_be_changed_but_can_travel_between_processes() -> None:
    cycle = refrigerator(capacity_w=1e3)
    with pytest.raises(dataclasses.FrozenInstanceError):
        cycle.notes = ()  # type: ignore[misc]
    assert pickle.loads(pickle.dumps(cycle)).cop_cooling == cycle.cop_cooling


def test_the_points_stand_in_the_order_of_flow() -> None:
    assert list(refrigerator().points) == [
        "evaporator_inlet",
        "evaporator_outlet",
        "compressor_inlet",
        "compressor_outlet",
        "condenser_inlet",
        "condenser_outlet",
        "expansion_inlet",
    ]


def test_a_refrigerant_serves_as_well_as_its_name() -> None:
    assert single_stage(refrigerant("R-290"), **REFRIGERATOR) == single_stage("r290", **REFRIGERATOR)
