"""Valves: the orifice equation, restrictions in series, what each valve follows, no corner and no dead end."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from component_hardware import CONSTANT_PRESSURE, REFRIGERANTS, THERMOSTATIC, TUBE, at_dew, fluid_of

from hvacr_lab.bench.lines import pipe, pressure_drop_pa, resistance_of_area
from hvacr_lab.bench.valves import (
    BLEED,
    Sensed,
    constant_pressure_opening,
    metering_flow,
    orifice_flow,
    series_area,
    smooth_opening,
    thermostatic_opening,
)

FEELS = Sensed(bulb_k=273.15, saturation_k=265.15)


def test_orifice_equation() -> None:
    """K = 1e-6 m2, water-like 1000 kg/m3, 2 bar: 1e-6 sqrt(2 x 1000 x 2e5) = 0.02 kg/s (own value)."""
    assert orifice_flow(1e-6, 1000.0, 2e5) == pytest.approx(0.02, rel=1e-3)
    assert orifice_flow(1e-6, 1000.0, 0.0) == 0.0
    assert orifice_flow(1e-6, 1000.0, -1e5) == 0.0


def test_pressure_drop_and_orifice_are_one_law() -> None:
    flow = orifice_flow(1e-6, 1000.0, 2e5)
    assert pressure_drop_pa(resistance_of_area(1e-6), flow, 1e-3) == pytest.approx(2e5, rel=1e-3)


def test_two_restrictions_in_series_add_their_pressure_drops() -> None:
    both = orifice_flow(series_area(3e-7, 5e-7), 1000.0, 5e5)
    drops = [pressure_drop_pa(resistance_of_area(area), both, 1e-3) for area in (3e-7, 5e-7)]
    assert sum(drops) == pytest.approx(5e5, rel=1e-3)


def test_flash_gas_starves_a_valve() -> None:
    fluid = fluid_of("R-134a")
    inlet = at_dew(fluid, 40.0)
    flows = [
        metering_flow(
            THERMOSTATIC, fluid, inlet, inlet.bubble_j_per_kg + quality * inlet.latent_j_per_kg, 2e5, FEELS
        ).mass_flow_kg_per_s
        for quality in (-0.1, 0.0, 0.05, 0.2)
    ]
    assert flows[0] > flows[1] > 1.4 * flows[2] > 1.4 * 1.4 * flows[3]


def test_thermostatic_valve_opens_with_superheat_from_its_static_superheat() -> None:
    """Static superheat 4 K and 5 K more to full stroke: the values of the record."""
    openings = {
        superheat: thermostatic_opening(THERMOSTATIC, 2e5, Sensed(265.15 + superheat, 265.15))
        for superheat in (0.0, 4.0, 6.5, 9.0, 20.0)
    }
    assert openings[0.0] < 0.01
    assert openings[4.0] < 0.03
    assert openings[6.5] == pytest.approx(0.5, abs=0.01)
    assert openings[9.0] > 0.97
    assert openings[20.0] == pytest.approx(1.0, abs=1e-3)


def test_thermostatic_valve_closes_above_its_maximum_operating_pressure() -> None:
    limit = THERMOSTATIC.maximum_operating_pressure_pa
    sensed = Sensed(280.0, 271.5)  # 8.5 K: nearly wide open
    below, above = (thermostatic_opening(THERMOSTATIC, share * limit, sensed) for share in (0.9, 1.13))
    assert below > 0.85
    assert above < 0.02


@pytest.mark.parametrize("lost", [0.0, 0.5, 1.0])
def test_lost_bulb_charge_leaves_only_the_bleed(lost: float) -> None:
    full = thermostatic_opening(THERMOSTATIC, 2e5, Sensed(285.0, 265.0))
    found = thermostatic_opening(THERMOSTATIC, 2e5, Sensed(285.0, 265.0, charge_lost=lost))
    assert found == pytest.approx(BLEED + (1.0 - lost) * (full - BLEED))


@pytest.mark.parametrize("stuck", [0.0, 0.3, 1.0])
def test_stuck_valve_follows_nothing(stuck: float) -> None:
    for bulb_k in (250.0, 290.0):
        sensed = Sensed(bulb_k, 265.0, stuck_at=stuck)
        assert thermostatic_opening(THERMOSTATIC, 2e5, sensed) == pytest.approx(BLEED + (1.0 - BLEED) * stuck)
        assert constant_pressure_opening(CONSTANT_PRESSURE, 2e5, sensed) == pytest.approx(BLEED + (1.0 - BLEED) * stuck)


def test_constant_pressure_valve_opens_below_its_setting() -> None:
    """Setting 2.4 bar, wide open 0.5 bar below: the values of the record."""
    openings = [constant_pressure_opening(CONSTANT_PRESSURE, bar * 1e5, FEELS) for bar in (1.5, 2.15, 2.6)]
    assert openings == pytest.approx([1.0, 0.5, BLEED], abs=0.01)


def test_opening_has_no_corner_and_no_flat_part_near_its_stops() -> None:
    strokes = [-0.2 + 1e-3 * i for i in range(1401)]
    openings = [smooth_opening(stroke) for stroke in strokes]
    slopes = [(later - earlier) / 1e-3 for earlier, later in pairwise(openings)]
    assert min(slopes) > 1e-4
    bends = [abs(later - earlier) for earlier, later in pairwise(slopes)]
    assert max(bends) < 0.03


@pytest.mark.parametrize("name", REFRIGERANTS)
@pytest.mark.parametrize("device", [TUBE, THERMOSTATIC, CONSTANT_PRESSURE], ids=lambda device: device.id)
def test_throttling_makes_entropy_and_never_flows_backwards(name: str, device) -> None:
    fluid = fluid_of(name)
    inlet, outlet = at_dew(fluid, 40.0), at_dew(fluid, -10.0)
    for quality in (-0.2, -0.05, 0.0, 0.1, 0.9, 1.1):
        enthalpy = inlet.bubble_j_per_kg + quality * inlet.latent_j_per_kg
        result = metering_flow(device, fluid, inlet, enthalpy, outlet.pressure_pa, FEELS)
        assert result.mass_flow_kg_per_s > 0.0
        made = fluid.state(outlet, enthalpy).entropy_j_per_kg_k - fluid.state(inlet, enthalpy).entropy_j_per_kg_k
        assert made >= 0.0
        assert metering_flow(device, fluid, outlet, enthalpy, inlet.pressure_pa, FEELS).mass_flow_kg_per_s == 0.0


@pytest.mark.parametrize("device", [TUBE, THERMOSTATIC, CONSTANT_PRESSURE], ids=lambda device: device.id)
def test_hand_valve_in_series_throttles_from_open_to_shut_without_a_step(device) -> None:
    fluid = fluid_of("R-134a")
    inlet = at_dew(fluid, 40.0)
    enthalpy = inlet.bubble_j_per_kg - 5e3
    flows = [
        metering_flow(device, fluid, inlet, enthalpy, 2e5, FEELS, 3e-6 * (i / 1000) ** 2).mass_flow_kg_per_s
        for i in range(1001)
    ]
    steps = [later - earlier for earlier, later in pairwise(flows)]
    assert flows[0] == 0.0
    assert min(steps) >= 0.0
    assert max(steps) < 0.02 * flows[-1]


def test_a_pipe_warms_its_gas_but_never_past_the_ambient() -> None:
    fluid = fluid_of("R-134a")
    lines = fluid.lines(2e5)
    for flow in (1e-6, 1e-3, 1e-1):
        result = pipe(fluid, lines, lines.dew_j_per_kg, flow, 0.5, 298.15, 1e-4)
        assert lines.dew_k <= result.temperature_k <= 298.15 + 1e-9
        assert result.heat_w == pytest.approx(flow * (result.enthalpy_j_per_kg - lines.dew_j_per_kg))
    insulated = pipe(fluid, lines, lines.dew_j_per_kg, 1e-3, 0.0, 298.15, 1e-4)
    assert insulated.enthalpy_j_per_kg == lines.dew_j_per_kg
    assert math.isclose(insulated.charge_kg, 1e-4 / lines.dew_m3_per_kg)
