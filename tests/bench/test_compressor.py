"""The compressor against textbook examples and published ten-coefficient curves; what it must never do."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from component_hardware import COMPRESSOR, REFRIGERANTS, at_dew, fluid_of
from reference.rows import Row, published_rows

from hvacr_lab.bench.compressor import (
    compressor_flow,
    isentropic_efficiency,
    motor_current_a,
    volumetric_efficiency,
)
from hvacr_lab.bench.compressor_map import RatedMap, mapped_flow, ten_coefficients

LOSS_FREE = replace(
    COMPRESSOR,
    clearance=0.0,
    filling=1.0,
    isentropic_peak=1.0,
    ratio_at_peak=1.0,
    isentropic_falloff=0.0,
    shell_loss=0.0,
    suction_heat_j_per_kg=0.0,
    idle_w=0.0,
)
# own value: every loss switched off
STANDARD_ORDER = ("c0", "x", "y", "x2", "xy", "y2", "x3", "x2y", "xy2", "y3")
# AHRI 540: 1, S, D, S2, SD, D2, S3, DS2, SD2, D3


def _rows(*quantities: str) -> list[Row]:
    return [row for row in published_rows() if row.topic == "compressor" and row.quantity in quantities]


def _coefficients(row: Row) -> tuple[float, ...]:
    by_name = dict(zip(row.inputs["coefficient_order"], row.inputs["coefficients_w"], strict=True))
    return tuple(by_name[name] for name in STANDARD_ORDER)


def _flow(fluid, evaporating_c: float, condensing_c: float, superheat_k: float = 10.0, **changes: float):
    suction, discharge = at_dew(fluid, evaporating_c), at_dew(fluid, condensing_c)
    enthalpy = fluid.enthalpy_of_temperature(suction, suction.dew_k + superheat_k)
    return compressor_flow(replace(COMPRESSOR, **changes), fluid, suction, enthalpy, discharge)


@pytest.mark.parametrize("row", _rows("clearance_volumetric_efficiency"), ids=lambda row: row.id)
def test_published_clearance_efficiency(row: Row) -> None:
    inputs = row.inputs
    ours = replace(LOSS_FREE, clearance=inputs["clearance_fraction"], polytropic_exponent=inputs["polytropic_exponent"])
    found = volumetric_efficiency(ours, inputs["pressure_ratio"])
    assert found == pytest.approx(row.expected, rel=row.tolerance_rel)


@pytest.mark.parametrize(
    "row", _rows("capacity_from_10_coefficients", "power_from_10_coefficients"), ids=lambda row: row.id
)
def test_published_ten_coefficient_curves(row: Row) -> None:
    found = ten_coefficients(_coefficients(row), row.inputs["saturated_suction_c"], row.inputs["saturated_discharge_c"])
    assert found == pytest.approx(row.expected, rel=row.tolerance_rel, abs=row.tolerance_abs)


def test_loss_free_compression_is_the_isentropic_one_of_the_library() -> None:
    from hvacr_lab.refrigerants import refrigerant

    fluid, library = fluid_of("R-134a"), refrigerant("R-134a")
    suction, discharge = at_dew(fluid, -10.0), at_dew(fluid, 40.0)
    enthalpy = fluid.enthalpy_of_temperature(suction, 273.15)
    result = compressor_flow(LOSS_FREE, fluid, suction, enthalpy, discharge)
    entropy = library.entropy_ph(suction.pressure_pa, enthalpy)
    assert result.enthalpy_j_per_kg == pytest.approx(library.enthalpy_ps(discharge.pressure_pa, entropy), rel=1e-9)
    swept = LOSS_FREE.displacement_m3_per_s / library.volume_ph(suction.pressure_pa, enthalpy)
    assert result.mass_flow_kg_per_s == pytest.approx(swept, rel=1e-6)
    assert result.power_w == pytest.approx(result.mass_flow_kg_per_s * (result.enthalpy_j_per_kg - enthalpy), rel=1e-9)


MEDIUM_R134A = _rows("capacity_from_10_coefficients")[2], _rows("power_from_10_coefficients")[2]
# curve 151 of the open set: the one for R-134a


@pytest.mark.parametrize(
    ("evaporating_c", "condensing_c"), [(-12.0, 40.0), (-6.7, 35.0), (0.0, 43.3), (-6.7, 43.3), (7.2, 54.4)]
)
def test_shape_of_a_published_curve(evaporating_c: float, condensing_c: float) -> None:
    """Capacity and power relative to one point, as an open R-134a curve has them.

    The published machine is a larger one with better valves (bench-size: idle power, suction heat), so shapes only:
    8 % in capacity and 12 % in power (own bands).
    """
    capacity, power = MEDIUM_R134A
    fluid = fluid_of("R-134a")

    def ours(at: tuple[float, float]) -> tuple[float, float]:
        result = _flow(fluid, *at, superheat_k=18.3 - at[0], idle_w=0.0)
        suction = at_dew(fluid, at[0])
        cooling = fluid.enthalpy_of_temperature(suction, 291.45) - at_dew(fluid, at[1]).bubble_j_per_kg
        return result.mass_flow_kg_per_s * cooling, result.power_w

    at, base = (evaporating_c, condensing_c), (-6.7, 40.0)
    for published, found, reference, band in zip((capacity, power), ours(at), ours(base), (0.08, 0.12), strict=True):
        theirs = ten_coefficients(_coefficients(published), *at) / ten_coefficients(_coefficients(published), *base)
        assert found / reference == pytest.approx(theirs, rel=band)


def test_efficiency_has_its_peak_where_the_record_says() -> None:
    ratios = [1.0 + 0.01 * i for i in range(1500)]
    efficiencies = [isentropic_efficiency(COMPRESSOR, ratio) for ratio in ratios]
    best = max(range(len(ratios)), key=efficiencies.__getitem__)
    assert ratios[best] == pytest.approx(COMPRESSOR.ratio_at_peak, abs=0.02)
    assert efficiencies[best] == pytest.approx(COMPRESSOR.isentropic_peak, rel=1e-4)
    assert min(isentropic_efficiency(COMPRESSOR, ratio) for ratio in (0.01, 50.0, 1e4)) > 0.0


def test_efficiencies_have_no_corner() -> None:
    """A corner at the peak or where the clearance gas fills the cylinder would bend by 2e-5 in a step (own value)."""
    for function in (isentropic_efficiency, volumetric_efficiency):
        values = [function(COMPRESSOR, 1.0 + 1e-3 * i) for i in range(60_000)]
        slopes = [later - earlier for earlier, later in pairwise(values)]
        assert max(abs(later - earlier) for earlier, later in pairwise(slopes)) < 1e-6


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_second_law_and_first_law(name: str) -> None:
    fluid = fluid_of(name)
    for evaporating_c in (-30.0, -10.0, 5.0):
        for condensing_c in (20.0, 40.0, 55.0):
            for superheat_k in (0.0, 5.0, 20.0):
                suction, discharge = at_dew(fluid, evaporating_c), at_dew(fluid, condensing_c)
                enthalpy = fluid.enthalpy_of_temperature(suction, suction.dew_k + superheat_k)
                result = compressor_flow(COMPRESSOR, fluid, suction, enthalpy, discharge)
                gained = result.mass_flow_kg_per_s * (result.enthalpy_j_per_kg - enthalpy)
                assert gained + result.shell_heat_w == pytest.approx(result.power_w, rel=1e-12)
                before, after = fluid.state(suction, enthalpy), fluid.state(discharge, result.enthalpy_j_per_kg)
                made = result.mass_flow_kg_per_s * (after.entropy_j_per_kg_k - before.entropy_j_per_kg_k)
                assert made + result.shell_heat_w / 298.15 > 0.0


def test_idle_power_leaves_through_the_shell() -> None:
    """At no flow the discharge temperature stays finite."""
    fluid = fluid_of("R-134a")
    suction, discharge = fluid.lines(3e4), fluid.lines(3e6)
    result = compressor_flow(COMPRESSOR, fluid, suction, suction.dew_j_per_kg, discharge)
    assert result.mass_flow_kg_per_s < 1e-5
    assert result.power_w == pytest.approx(COMPRESSOR.idle_w, rel=0.05)
    assert math.isfinite(result.enthalpy_j_per_kg)
    assert result.enthalpy_j_per_kg < suction.dew_j_per_kg + 2e6


def test_wear_lowers_flow_and_power_and_none_changes_nothing() -> None:
    fluid = fluid_of("R-134a")
    suction, discharge = at_dew(fluid, -10.0), at_dew(fluid, 40.0)
    flows = [
        compressor_flow(COMPRESSOR, fluid, suction, suction.dew_j_per_kg, discharge, wear) for wear in (0.0, 0.5, 1.0)
    ]
    assert flows[0] == compressor_flow(COMPRESSOR, fluid, suction, suction.dew_j_per_kg, discharge)
    for better, worse in pairwise(flows):
        assert worse.mass_flow_kg_per_s < better.mass_flow_kg_per_s
        assert worse.power_w < better.power_w


def test_wet_suction_gas_is_heavier_and_leaves_cooler() -> None:
    fluid = fluid_of("R-134a")
    suction, discharge = at_dew(fluid, -10.0), at_dew(fluid, 40.0)
    dry, wet = (
        compressor_flow(COMPRESSOR, fluid, suction, suction.dew_j_per_kg - less, discharge) for less in (0.0, 2e4)
    )
    assert wet.mass_flow_kg_per_s > dry.mass_flow_kg_per_s
    assert wet.enthalpy_j_per_kg < dry.enthalpy_j_per_kg


def test_motor_current() -> None:
    """230 V, 276 W in phase and 0.9 A across it: 1.5 A; never more than with the rotor locked (own values)."""
    assert motor_current_a(COMPRESSOR, 276.0) == pytest.approx(1.5, rel=1e-3)
    assert motor_current_a(COMPRESSOR, 1e5) == COMPRESSOR.locked_rotor_a


def _rating(fluid) -> RatedMap:
    """The published capacity and power of the R-134a curve, as mass flow at its own rating conditions."""
    capacity, power = MEDIUM_R134A
    suction, discharge = at_dew(fluid, 7.22), at_dew(fluid, 54.44)
    cooling = fluid.enthalpy_of_temperature(suction, 291.45) - discharge.bubble_j_per_kg
    share = 0.05 / cooling  # a twentieth of that machine, the size of the test bench
    flow = tuple(share * factor for factor in _coefficients(capacity))
    watts = tuple(0.05 * factor for factor in _coefficients(power))
    return RatedMap(flow, watts, (258.15, 283.15), (303.15, 333.15), 291.45)


def test_within_its_range_a_rated_compressor_gives_the_rating() -> None:
    fluid = fluid_of("R-134a")
    rating = _rating(fluid)
    for at in ((-12.0, 35.0), (0.0, 45.0), (7.22, 54.44)):
        suction, discharge = at_dew(fluid, at[0]), at_dew(fluid, at[1])
        gas = fluid.enthalpy_of_temperature(suction, rating.return_gas_k)
        result = mapped_flow(rating, COMPRESSOR, fluid, suction, gas, discharge)
        assert result.mass_flow_kg_per_s == pytest.approx(ten_coefficients(rating.flow_kg_per_s, *at), rel=1e-9)
        assert result.power_w == pytest.approx(ten_coefficients(rating.power_w, *at), rel=1e-9)


def test_outside_its_range_flow_keeps_rising_with_suction_pressure() -> None:
    fluid = fluid_of("R-134a")
    rating, discharge = _rating(fluid), at_dew(fluid, 70.0)
    flows = []
    for tenth in range(-500, 301, 2):
        suction = at_dew(fluid, 0.1 * tenth)
        gas = fluid.enthalpy_of_temperature(suction, suction.dew_k + 10.0)
        flows.append(mapped_flow(rating, COMPRESSOR, fluid, suction, gas, discharge).mass_flow_kg_per_s)
    steps = [later - earlier for earlier, later in pairwise(flows)]
    assert min(steps) > 0.0
    assert max(steps) < 0.02 * flows[-1]
