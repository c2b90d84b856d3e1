"""The bench solved: every configuration runs, everything closes, and the way to the answer does not matter."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest

from hvacr_lab.bench import Bench, bench_names, load_bench
from hvacr_lab.bench.chain import chain_of
from hvacr_lab.bench.continuation import FOUND, follow, guesses
from hvacr_lab.bench.description import as_configured
from hvacr_lab.bench.fluid import fluid_of
from hvacr_lab.bench.line_up import trace
from hvacr_lab.bench.operating_point import RUNNING, OperatingPoint
from hvacr_lab.bench.residuals import Loop, decoded
from hvacr_lab.bench.settings import NOTHING_WRONG, Settings, default_settings
from hvacr_lab.bench.steady import curve, solve
from hvacr_lab.bench.still_refrigerant import density_behind_valve
from hvacr_lab.cycle import single_stage
from hvacr_lab.errors import NotUsable, OutOfRange, UnknownName

DEMO = load_bench("demo")
EVERY = [(name, configuration) for name in bench_names() for configuration in load_bench(name).configurations]


def solved(bench: Bench, configuration: str, **changes: object) -> OperatingPoint:
    return solve(bench, replace(default_settings(bench, configuration), **changes))


def loop_of(bench: Bench, settings: Settings) -> Loop:
    configured = as_configured(bench, settings.configuration)
    line_up = trace(bench, settings.valves, settings.reversing)
    return Loop(chain_of(configured, settings, line_up, NOTHING_WRONG))


@pytest.mark.parametrize(("name", "configuration"), EVERY)
class TestEveryConfiguration:
    def test_runs_at_its_design_point(self, name: str, configuration: str) -> None:
        point = solved(load_bench(name), configuration)
        assert point.outcome == RUNNING
        assert point.stopped_by == ""
        assert point.converged

    def test_loses_neither_mass_nor_energy(self, name: str, configuration: str) -> None:
        """Limits of the project: 1e-6 of the charge, 1e-4 of the power."""
        bench = load_bench(name)
        settings = default_settings(bench, configuration)
        point = solve(bench, settings)
        assert point.charge_kg == pytest.approx(settings.charge_kg, rel=1e-6)
        assert abs(point.residuals["energy"]) < 1e-4
        assert abs(point.residuals["flow"]) < 1e-4
        assert sum(point.flow_by_lane_kg_per_s.values()) == pytest.approx(point.mass_flow_kg_per_s, rel=1e-4)

    def test_heat_flows_from_warm_to_cold(self, name: str, configuration: str) -> None:
        point = solved(load_bench(name), configuration)
        gives, takes = sorted(point.air.values(), key=lambda air: air.heat_w)
        assert point.cooling_w == pytest.approx(point.sensible_w + point.latent_w)
        assert takes.outlet_k < takes.inlet_k
        assert gives.outlet_k > gives.inlet_k
        assert takes.surface_k < takes.inlet_k

    def test_another_start_gives_the_same_point(self, name: str, configuration: str) -> None:
        bench = load_bench(name)
        settings = default_settings(bench, configuration)
        cold = solve(bench, settings)
        near = solve(bench, replace(settings, charge_kg=0.7 * settings.charge_kg))
        far = replace(cold, unknowns=(math.log(15e5), math.log(1.5e5), 4.2, -0.5))
        for start in (near, far, cold):
            again = solve(bench, settings, start=start)
            assert again.unknowns == pytest.approx(cold.unknowns, abs=1e-5)

    def test_following_the_curve_gives_the_same_point(self, name: str, configuration: str) -> None:
        bench = load_bench(name)
        settings = default_settings(bench, configuration)
        loop = loop_of(bench, settings)
        end = follow(loop, next(guesses(loop.chain)))
        assert end.kind == FOUND
        assert end.x == pytest.approx(solve(bench, settings).unknowns, abs=1e-5)


def test_without_losses_it_is_the_cycle_of_the_textbook() -> None:
    """Against hvacr_lab.cycle: same pressures, superheat and subcooling give the same capacity and power."""
    bench = without_losses(DEMO)
    point = solved(bench, "refrigerator-capillary")
    cycle = single_stage(
        "R-134a",
        evaporating_pressure_pa=point.suction_pressure_pa,
        condensing_pressure_pa=point.discharge_pressure_pa,
        superheat_k=point.total_superheat_k,
        subcooling_k=point.subcooling_k,
        mass_flow_kg_per_s=point.mass_flow_kg_per_s,
    )
    assert point.superheat_k > 1.0
    assert point.subcooling_k > 1.0
    assert point.cooling_w == pytest.approx(cycle.capacity_w, rel=1e-6)
    assert point.compressor_power_w == pytest.approx(cycle.power_w, rel=1e-6)
    assert point.discharge_temperature_k == pytest.approx(cycle.discharge_temperature_k, abs=1e-4)
    assert point.heating_w == pytest.approx(point.cooling_w + point.compressor_power_w, rel=1e-6)


def without_losses(bench: Bench) -> Bench:
    assert bench.reversing_valve is not None
    assert bench.bridge is not None
    lanes = {pipe.valve for pipe in bench.pipes if pipe.end.split(".")[0] in bench.metering}
    return replace(
        bench,
        compressor=replace(
            bench.compressor,
            isentropic_peak=1.0,
            ratio_at_peak=0.5,
            isentropic_falloff=0.0,
            shell_loss=0.0,
            suction_heat_j_per_kg=0.0,
            idle_w=0.0,
        ),
        pipes=tuple(replace(pipe, resistance_per_m4=0.0, ua_ambient_w_per_k=0.0) for pipe in bench.pipes),
        valves={
            name: valve if name in lanes else replace(valve, flow_area_m2=1.0) for name, valve in bench.valves.items()
        },
        reversing_valve=replace(bench.reversing_valve, resistance_per_m4=0.0),
        bridge=replace(bench.bridge, resistance_per_m4=0.0),
    )


class TestReceiver:
    def test_ten_percent_of_charge_changes_nothing_but_its_level(self) -> None:
        """Common practice: as long as liquid stands in the receiver the charge does not matter."""
        charge_kg = default_settings(DEMO, "refrigerator").charge_kg
        few, many = (solved(DEMO, "refrigerator", charge_kg=share * charge_kg) for share in (0.9, 1.1))
        assert 0.0 < few.receiver_level < many.receiver_level < 1.0
        assert many.discharge_pressure_pa == pytest.approx(few.discharge_pressure_pa, rel=1e-6)
        assert many.superheat_k == pytest.approx(few.superheat_k, abs=1e-4)
        assert few.subcooling_k == pytest.approx(0.0, abs=1e-6)

    def test_empty_it_lets_bubbles_through(self) -> None:
        """Common practice: bubbles in the liquid line's sight glass mean too little refrigerant."""
        point = solved(DEMO, "refrigerator", charge_kg=0.12)
        assert point.receiver_level == 0.0
        assert point.metering_inlet_quality > 0.0
        assert point.glasses["G3"] == "bubbles"
        assert any("receiver is empty" in warning for warning in point.warnings)

    def test_full_it_is_said_to_be(self) -> None:
        point = solved(DEMO, "refrigerator", charge_kg=1.6)
        if point.outcome == RUNNING:
            assert point.receiver_level == 1.0
            assert any("receiver is full" in warning for warning in point.warnings)


def test_a_control_that_would_open_is_named_and_the_numbers_are_kept() -> None:
    point = solved(DEMO, "freezer", temperatures_k={"yard": 298.15, "room": 298.15, "cabinet": 233.15})
    assert point.outcome == RUNNING
    assert point.stopped_by in {"low-pressure control", "thermostat"}
    assert not point.is_running
    assert point.suction_pressure_pa > 0.0


def test_states_are_given_at_every_port_of_the_bench() -> None:
    point = solved(DEMO, "refrigerator-capillary")
    assert {port.at for port in DEMO.ports.values()} <= set(point.points)
    assert point.points["compressor.out"].pressure_pa == pytest.approx(point.discharge_pressure_pa)
    assert point.points["compressor.in"].pressure_pa == pytest.approx(point.suction_pressure_pa)


@pytest.mark.parametrize("configuration", ["refrigerator", "heat-pump-heating"])
def test_pressure_falls_along_the_flow(configuration: str) -> None:
    point = solved(DEMO, configuration)
    line_up = trace(DEMO, default_settings(DEMO, configuration).valves, DEMO.configurations[configuration].reversing)
    for way in (line_up.high, line_up.low):
        pressures = [point.points[name].pressure_pa for name in way if name in point.points]
        assert pressures == sorted(pressures, reverse=True)


def test_air_in_the_system_shows_on_the_gauge_but_not_in_the_temperature() -> None:
    """Dalton: the gauge shows refrigerant and air together (common practice)."""
    point = solved(DEMO, "refrigerator", faults={"air-in-system": 0.5})
    clean = solved(DEMO, "refrigerator")
    assert point.discharge_pressure_pa - point.condensing_pressure_pa > 1.5e5
    assert point.discharge_pressure_pa > 1.1 * clean.discharge_pressure_pa


class TestSpaceInBalance:
    def test_the_box_settles_where_heat_in_is_heat_out(self) -> None:
        point = solved(DEMO, "refrigerator", box_balance=True)
        box = DEMO.spaces["cabinet"]
        box_k, room_k = point.space_temperatures_k["cabinet"], point.space_temperatures_k["yard"]
        fan_w = point.air["indoor"].fan_w
        assert box.ua_w_per_k * (room_k - box_k) + box.load_w + fan_w == pytest.approx(point.cooling_w, abs=0.01)

    def test_a_warmer_day_leaves_it_warmer(self) -> None:
        warm = {"yard": 308.15, "room": 308.15, "cabinet": 278.15}
        usual, hot = (
            solved(DEMO, "refrigerator", box_balance=True),
            solved(DEMO, "refrigerator", box_balance=True, temperatures_k=warm),
        )
        assert hot.space_temperatures_k["cabinet"] > usual.space_temperatures_k["cabinet"] + 1.0

    def test_a_heated_room_settles_too(self) -> None:
        point = solved(DEMO, "heat-pump-heating", box_balance=True)
        assert abs(point.residuals["space"]) < 0.01
        assert point.space_temperatures_k["room"] > point.space_temperatures_k["yard"]


class TestCurve:
    def test_is_the_same_as_point_by_point(self) -> None:
        settings = default_settings(DEMO, "air-conditioner")
        speeds = [0.4, 0.6, 0.8, 1.0]
        points = curve(DEMO, settings, [{"fans": {"outdoor": speed}} for speed in speeds])
        for speed, point in zip(speeds, points, strict=True):
            alone = solve(DEMO, replace(settings, fans={**settings.fans, "outdoor": speed}))
            assert point.discharge_pressure_pa == pytest.approx(alone.discharge_pressure_pa, rel=1e-5)

    def test_more_air_over_the_condenser_means_less_head(self) -> None:
        """Common practice."""
        changes = [{"fans": {"outdoor": 0.2 + 0.1 * step}} for step in range(9)]
        heads = [point.discharge_pressure_pa for point in curve(DEMO, default_settings(DEMO, "refrigerator"), changes)]
        assert heads == sorted(heads, reverse=True)

    def test_no_jump_while_the_charge_runs_from_a_fifth_to_one_and_a_half(self) -> None:
        settings = default_settings(DEMO, "refrigerator-capillary")
        shares = [0.2 + 0.01 * step for step in range(141)]
        points = curve(DEMO, settings, [{"charge_kg": share * settings.charge_kg} for share in shares])
        heads = [math.log(point.discharge_pressure_pa) for point in points]
        assert all(point.outcome == RUNNING for point in points)
        assert max(abs(after - before) for before, after in itertools.pairwise(heads)) < 0.05

    def test_something_that_is_no_setting_is_refused(self) -> None:
        with pytest.raises(UnknownName, match="temperatures_k"):
            curve(DEMO, default_settings(DEMO, "refrigerator"), [{"temperature_k": 300.0}])


class TestRefusals:
    SETTINGS = default_settings(DEMO, "refrigerator")

    @pytest.mark.parametrize(
        ("changes", "error", "said"),
        [
            ({"charge_kg": -0.1}, OutOfRange, "charge -0.1 kg"),
            ({"charge_kg": math.nan}, NotUsable, "charge"),
            ({"fans": {"outdoor": 1.5}}, OutOfRange, "fan of outdoor 1.5"),
            ({"fans": {"outside": 1.0}}, UnknownName, "outdoor"),
            ({"valves": {"V99": 1.0}}, UnknownName, "valve"),
            ({"valves": {"V1": 2.0}}, OutOfRange, "V1"),
            ({"temperatures_k": {"yard": 25.0, "room": 298.0, "cabinet": 278.0}}, OutOfRange, "yard 25"),
            ({"temperatures_k": {"yard": 298.0}}, NotUsable, "missing"),
            ({"relative_humidity": {"room": 50.0}}, OutOfRange, "room 50"),
            ({"faults": {"gremlins": 0.5}}, UnknownName, "gremlins"),
            ({"trapped_kg": {"receiver": 9.0}}, NotUsable, "more than the whole charge"),
        ],
    )
    def test_say_what_is_wrong(self, changes: dict[str, object], error: type[Exception], said: str) -> None:
        with pytest.raises(error, match=said):
            solve(DEMO, replace(self.SETTINGS, **changes))

    def test_an_unknown_configuration_is_answered_with_the_known_ones(self) -> None:
        with pytest.raises(UnknownName, match="refrigerator"):
            default_settings(DEMO, "refrigerater")


class TestCoordinateOfTheCondenserOutlet:
    def test_runs_through_gas_receiver_and_subcooled_liquid_without_a_jump(self) -> None:
        assert decoded(-1.2, True, 0.0) == (1.2, 0.0)
        assert decoded(0.0, True, 0.0) == (0.0, 0.0)
        assert decoded(0.4, True, 0.0) == (0.0, 0.4)
        assert decoded(1.0, True, 0.0) == (0.0, 1.0)
        assert decoded(1.3, True, 0.0) == (pytest.approx(-0.3), 1.0)
        assert decoded(0.3, False, 0.0) == (-0.3, 0.0)

    def test_a_leaking_dip_tube_draws_gas(self) -> None:
        assert decoded(0.4, True, 0.1) == (0.1, 0.4)


def test_what_hangs_off_the_loop_fills_where_its_wall_is_colder_than_the_dew_point() -> None:
    fluid = fluid_of("R-134a")
    lines = fluid.lines(9e5)
    walls = [lines.dew_k + 0.01 * step for step in range(-60, 61)]
    densities = [density_behind_valve(fluid, lines, wall_k) for wall_k in walls]
    assert densities == sorted(densities, reverse=True)
    assert densities[0] > 1000.0
    assert densities[-1] < 60.0
    assert max(a - b for a, b in itertools.pairwise(densities)) < 40.0
