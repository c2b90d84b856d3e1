"""Receiver and accumulator: what they hold, and that they fill and empty without a step."""

from __future__ import annotations

from itertools import pairwise

import pytest
from component_hardware import fluid_of

from hvacr_lab.bench.vessels import (
    accumulator_charge_kg,
    accumulator_fill,
    accumulator_outlet_quality,
    receiver_charge_kg,
    volume_charge_kg,
)


def test_receiver_holds_liquid_below_its_level_and_vapour_above() -> None:
    """0.8 l, R-134a at 40 degC: liquid 1147 kg/m3, vapour 50 kg/m3 (CoolProp 8.0.0): half full 0.479 kg."""
    fluid = fluid_of("R-134a")
    lines = fluid.lines(fluid.dew_pressure(313.15))
    charges = [receiver_charge_kg(lines, 0.8e-3, level) for level in (0.0, 0.5, 1.0)]
    assert charges == pytest.approx([0.0400, 0.479, 0.917], rel=2e-3)


def test_accumulator_fills_with_wetter_gas_and_never_overflows() -> None:
    fills = [accumulator_fill(1.0 - 1e-3 * i, 0.05) for i in range(1001)]
    assert fills[0] == 0.0
    steps = [later - earlier for earlier, later in pairwise(fills)]
    assert min(steps) >= 0.0
    assert max(steps) < 0.025
    assert fills[-1] <= 1.0


def test_blocked_bleed_hole_stores_more() -> None:
    fills = [accumulator_fill(0.99, 0.05, blocked) for blocked in (0.0, 0.5, 1.0)]
    assert fills[0] < fills[1] < fills[2] == 1.0


@pytest.mark.parametrize("quality", [1.0, 0.98, 0.9, 0.8])
def test_outlet_quality_is_the_way_back(quality: float) -> None:
    assert accumulator_outlet_quality(accumulator_fill(quality, 0.05), 0.05) == pytest.approx(quality, abs=1e-6)


def test_accumulator_charge_has_no_step_at_the_dew_line() -> None:
    fluid = fluid_of("R-454B")
    lines = fluid.lines(6e5)

    def charge(enthalpy: float) -> float:
        fill = accumulator_fill(fluid.quality(lines, enthalpy), 0.05)
        return accumulator_charge_kg(fluid, lines, enthalpy, 0.5e-3, fill)

    assert charge(lines.dew_j_per_kg - 1e-3) == pytest.approx(charge(lines.dew_j_per_kg + 1e-3), rel=1e-4)
    assert charge(lines.bubble_j_per_kg) == pytest.approx(0.5e-3 / lines.bubble_m3_per_kg, rel=1e-3)


def test_plain_volume_holds_its_density() -> None:
    fluid = fluid_of("R-134a")
    lines = fluid.lines(9e5)
    liquid = volume_charge_kg(fluid, lines, lines.bubble_j_per_kg - 1e4, 1e-4)
    assert liquid == pytest.approx(1e-4 / fluid.volume(lines, lines.bubble_j_per_kg - 1e4))
