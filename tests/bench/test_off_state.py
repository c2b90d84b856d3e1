"""The bench at rest, and what shut valves lead to."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hvacr_lab.bench import load_bench
from hvacr_lab.bench.fluid import fluid_of
from hvacr_lab.bench.off_state import Volume, equalised
from hvacr_lab.bench.operating_point import (
    DEAD_HEADED,
    EQUALISED,
    LIQUID_FULL,
    OUTCOMES,
    PUMPED_DOWN,
    SHORT_CIRCUIT,
    SUCTION_ISOLATED,
    OperatingPoint,
)
from hvacr_lab.bench.settings import default_settings
from hvacr_lab.bench.steady import solve
from hvacr_lab.refrigerants import refrigerant

FLUID = fluid_of("R-134a")
R134A = refrigerant("R-134a")
COLD_K, MILD_K, WARM_K = 263.15, 283.15, 298.15
THREE = [Volume("coil", 0.4e-3, COLD_K), Volume("receiver", 0.8e-3, MILD_K), Volume("shell", 1.2e-3, WARM_K)]
DEMO = load_bench("demo")


def mass(volumes: list[Volume], pressure_pa: float, filled: dict[str, float]) -> float:
    """Counted with the property library: liquid and gas at the wall's temperature."""
    total = 0.0
    for volume in volumes:
        share = filled[volume.id]
        if share:
            boiling = R134A.state(temperature_k=volume.wall_k, quality=0.0)
            total += share * volume.volume_m3 * boiling.density_kg_per_m3
        dew_k = float(R134A.dew_temperature(pressure_pa))
        if volume.wall_k > dew_k + 1e-3:
            gas = R134A.state(pressure_pa=pressure_pa, temperature_k=volume.wall_k)
        else:
            gas = R134A.state(pressure_pa=pressure_pa, quality=1.0)
        total += (1.0 - share) * volume.volume_m3 * gas.density_kg_per_m3
    return total


class TestEqualised:
    def test_liquid_gathers_where_it_is_coldest_and_sets_the_pressure(self) -> None:
        """Common practice: the gauges of a resting system show the vapour pressure at its coldest place."""
        rest = equalised(FLUID, THREE, 0.2)
        assert rest.pressure_pa == pytest.approx(R134A.dew_pressure(COLD_K), rel=1e-6)
        assert 0.0 < rest.filled["coil"] < 1.0
        assert rest.filled["receiver"] == rest.filled["shell"] == 0.0

    def test_too_little_for_liquid_leaves_gas_below_that_pressure(self) -> None:
        rest = equalised(FLUID, THREE, 0.01)
        assert rest.pressure_pa < R134A.dew_pressure(COLD_K)
        assert not any(rest.filled.values())

    def test_when_the_coldest_place_is_full_the_pressure_climbs_towards_the_next(self) -> None:
        full_kg = mass(THREE, R134A.dew_pressure(COLD_K), {"coil": 1.0, "receiver": 0.0, "shell": 0.0})
        rest = equalised(FLUID, THREE, full_kg + 0.003)
        assert R134A.dew_pressure(COLD_K) < rest.pressure_pa < R134A.dew_pressure(MILD_K)
        assert rest.filled["coil"] == 1.0

    @pytest.mark.parametrize("charge_kg", [0.005, 0.02, 0.1, 0.4, 0.55, 0.9, 1.4, 2.5])
    def test_no_refrigerant_is_lost(self, charge_kg: float) -> None:
        rest = equalised(FLUID, THREE, charge_kg)
        assert mass(THREE, rest.pressure_pa, dict(rest.filled)) == pytest.approx(charge_kg, rel=1e-4)

    def test_more_refrigerant_never_means_less_pressure(self) -> None:
        pressures = [equalised(FLUID, THREE, 0.01 * step).pressure_pa for step in range(1, 250)]
        assert pressures == sorted(pressures)

    def test_more_than_fits_is_a_hydraulic_hazard(self) -> None:
        assert equalised(FLUID, THREE, 3.5).is_full

    def test_places_of_one_temperature_share_the_liquid(self) -> None:
        alike = [Volume("one", 1e-3, MILD_K), Volume("two", 1e-3, MILD_K)]
        rest = equalised(FLUID, alike, 0.5)
        assert rest.filled["one"] == rest.filled["two"] > 0.0


def at_rest(configuration: str = "refrigerator", **changes: object) -> OperatingPoint:
    return solve(DEMO, replace(default_settings(DEMO, configuration), compressor_on=False, **changes))


class TestSwitchedOff:
    def test_both_gauges_show_the_same(self) -> None:
        point = at_rest()
        assert point.outcome == EQUALISED
        assert point.discharge_pressure_pa == point.suction_pressure_pa
        assert point.charge_kg == pytest.approx(default_settings(DEMO, "refrigerator").charge_kg, rel=1e-6)

    def test_the_pressure_is_that_of_the_cold_cabinet(self) -> None:
        assert at_rest("refrigerator-capillary").suction_pressure_pa == pytest.approx(
            R134A.dew_pressure(278.15), rel=1e-6
        )

    def test_far_too_much_refrigerant_fills_everything(self) -> None:
        assert at_rest(charge_kg=8.0).outcome == LIQUID_FULL

    def test_refrigerant_left_in_a_vessel_keeps_its_own_pressure(self) -> None:
        settings = default_settings(DEMO, "refrigerator-capillary")
        point = at_rest("refrigerator-capillary", trapped_kg={"receiver": 0.3}, charge_kg=settings.charge_kg + 0.3)
        assert point.charge_by_part["receiver"] == 0.3
        assert point.equalised_pressures_pa["receiver"] == pytest.approx(R134A.dew_pressure(298.15), rel=1e-6)
        assert point.equalised_pressures_pa["receiver"] > point.suction_pressure_pa


def with_valves(**valves: float) -> OperatingPoint:
    settings = default_settings(DEMO, "refrigerator")
    return solve(DEMO, replace(settings, valves={**settings.valves, **valves}))


class TestShutValves:
    @pytest.mark.parametrize(
        ("valves", "outcome", "stopped_by"),
        [
            ({"V8": 0.0}, PUMPED_DOWN, "low-pressure control"),
            ({"V3": 0.0}, PUMPED_DOWN, "low-pressure control"),
            ({"V1": 0.0}, DEAD_HEADED, "high-pressure control"),
            ({"V13": 0.0}, SUCTION_ISOLATED, "low-pressure control"),
        ],
    )
    def test_lead_to_a_named_condition(self, valves: dict[str, float], outcome: str, stopped_by: str) -> None:
        point = with_valves(**valves)
        assert (point.outcome, point.stopped_by) == (outcome, stopped_by)
        assert point.converged
        assert point.why
        assert point.outcome in OUTCOMES

    @pytest.mark.parametrize("valve", ["V1", "V3", "V8", "V13"])
    def test_lose_no_refrigerant(self, valve: str) -> None:
        point = with_valves(**{valve: 0.0})
        assert point.charge_kg == pytest.approx(default_settings(DEMO, "refrigerator").charge_kg, rel=1e-6)

    def test_pumped_down_the_liquid_is_in_the_high_side(self) -> None:
        """Common practice: pumping down stores the charge in receiver and condenser."""
        point = with_valves(V3=0.0)
        assert point.suction_pressure_pa == pytest.approx(DEMO.controls.low_cut_out_pa)
        assert point.charge_by_part["receiver"] + point.charge_by_part["outdoor"] > 0.9 * point.charge_kg
        assert point.discharge_pressure_pa == pytest.approx(R134A.dew_pressure(298.15), rel=1e-6)

    def test_an_ice_plug_that_lets_nothing_pass_pumps_down(self) -> None:
        settings = replace(default_settings(DEMO, "refrigerator"), faults={"blocked-metering-inlet": 1.0})
        assert solve(DEMO, settings).outcome == PUMPED_DOWN

    def test_an_empty_bench_ends_at_the_floor(self) -> None:
        settings = replace(default_settings(DEMO, "refrigerator"), charge_kg=0.0)
        assert solve(DEMO, settings).suction_pressure_pa < DEMO.controls.low_cut_out_pa


def test_every_line_up_outcome_is_answered() -> None:
    from hvacr_lab.bench.line_up import COMPLETE
    from hvacr_lab.bench.line_up import OUTCOMES as LINE_UPS
    from hvacr_lab.bench.off_state import CONDITIONS

    assert set(CONDITIONS) == set(LINE_UPS) - {COMPLETE}
    assert SHORT_CIRCUIT in OUTCOMES
