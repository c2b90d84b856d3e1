"""The bench as data: what stands in the records of the shipped benches, and what a configuration changes."""

from __future__ import annotations

import pickle

import pytest

from hvacr_lab.bench import bench_names, load_bench, with_refrigerant
from hvacr_lab.bench.capillary import capillary_flow
from hvacr_lab.bench.description import (
    Capillary,
    ConstantPressureValve,
    Metering,
    as_configured,
    passages,
    with_vessel,
)
from hvacr_lab.bench.fluid import fluid_of
from hvacr_lab.refrigerants import refrigerant

DEMO, PROPANE = load_bench("demo"), load_bench("propane")
REFRIGERANTS = ("R-404A", "R-410A", "R-32", "R-290", "R-454B", "R-1234yf")


def ways(bench, part, mode):
    return [(way.start, way.end) for way in passages(bench, mode) if way.part == part]


def test_the_two_benches_have_nothing_but_the_trade_in_common() -> None:
    assert bench_names() == ("demo", "propane")
    assert len(DEMO.valves) - len(PROPANE.valves) == 2
    assert {vessel.kind for vessel in DEMO.vessels.values()} == {"receiver", "accumulator"}
    assert {vessel.kind for vessel in PROPANE.vessels.values()} == {"accumulator"}
    own = [
        {*bench.parts(), *bench.valves, *bench.spaces, *bench.ports, *bench.configurations} for bench in (DEMO, PROPANE)
    ]
    assert own[0] & own[1] == {"compressor"}
    assert not {pipe.id for pipe in DEMO.pipes} & {pipe.id for pipe in PROPANE.pipes}


def test_the_demo_bench_is_each_machine_with_each_kind_of_metering_device() -> None:
    machines = {(one.kind, one.reversing, type(DEMO.metering[one.metering])) for one in DEMO.configurations.values()}
    assert len(machines) == 5 * 3  # refrigerator, freezer, air conditioner, heat pump cooling and heating
    assert len(DEMO.sight_glasses) == 5
    assert 10 <= len(DEMO.valves) <= 13


def test_a_bench_travels_between_processes_and_cannot_be_changed() -> None:
    assert pickle.loads(pickle.dumps(DEMO)) == DEMO
    with pytest.raises(AttributeError):
        DEMO.title = "another"  # type: ignore[misc]


def test_the_reversing_valve_turns_the_coils_and_the_bridge_keeps_the_liquid_line() -> None:
    assert ways(DEMO, "four_way", "cooling") == [
        ("four_way.discharge", "four_way.a"),
        ("four_way.b", "four_way.suction"),
    ]
    assert ways(DEMO, "outdoor", "cooling") == [("outdoor.in", "outdoor.out")]
    assert ways(DEMO, "outdoor", "heating") == [("outdoor.out", "outdoor.in")]
    assert ways(DEMO, "bridge", "cooling") == [("bridge.a", "bridge.liquid"), ("bridge.return", "bridge.b")]
    assert ways(DEMO, "bridge", "heating") == [("bridge.b", "bridge.liquid"), ("bridge.return", "bridge.a")]
    assert ways(DEMO, "receiver", "heating") == [("receiver.in", "receiver.out")]


def test_a_configuration_sets_controls_valve_and_air() -> None:
    freezer = as_configured(DEMO, "freezer-constant-pressure")
    assert freezer.controls.low_cut_out_pa == pytest.approx(0.5e5)
    assert freezer.controls.high_cut_out_pa == DEMO.controls.high_cut_out_pa
    assert freezer.metering["axv"].setting_pa == pytest.approx(1.0e5)
    assert freezer.coils["indoor"].space == "cabinet"
    assert freezer.coils["outdoor"] == DEMO.coils["outdoor"]


def test_nothing_to_set_leaves_the_very_same_bench() -> None:
    assert as_configured(DEMO, "") is DEMO
    assert as_configured(PROPANE, "fridge-t") is PROPANE


def test_a_vessel_put_in_line_opens_its_valves_and_shuts_the_bypass() -> None:
    capillary = DEMO.configurations["refrigerator-capillary"]
    both = with_vessel(DEMO, capillary, "receiver", in_line=True)
    assert (both.valves["V2"], both.valves["V3"], both.valves["V4"]) == (1.0, 1.0, 0.0)
    assert both.charge_kg is None  # to be computed for the new line-up
    assert with_vessel(DEMO, both, "receiver", in_line=True) is both
    assert with_vessel(DEMO, both, "receiver", in_line=False).valves == capillary.valves


def test_the_same_refrigerant_is_the_very_same_bench() -> None:
    assert with_refrigerant(DEMO, "r134a") is DEMO


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_another_refrigerant_keeps_the_temperatures_of_controls_and_settings(name: str) -> None:
    scaled, new, old = with_refrigerant(DEMO, name), refrigerant(name), refrigerant("R-134a")
    pairs = [
        (scaled.controls.high_cut_out_pa, DEMO.controls.high_cut_out_pa),
        (scaled.controls.low_cut_out_pa, DEMO.controls.low_cut_out_pa),
        (scaled.metering["axv"].setting_pa, DEMO.metering["axv"].setting_pa),
        (scaled.metering["txv"].maximum_operating_pressure_pa, DEMO.metering["txv"].maximum_operating_pressure_pa),
        (scaled.configurations["freezer"].controls.low_cut_out_pa, 0.5e5),
    ]
    for after_pa, before_pa in pairs:
        assert new.dew_temperature(after_pa) == pytest.approx(old.dew_temperature(before_pa), abs=1e-3)
    assert all(one.charge_kg is None for one in scaled.configurations.values())
    assert scaled.coils == DEMO.coils
    assert scaled.pipes == DEMO.pipes


def flow(device: Metering, name: str) -> float:
    """Flow at -8/38 C, 5 K subcooled [kg/s]; an expansion valve wide open."""
    fluid, fixed = fluid_of(name), refrigerant(name)
    high_pa, low_pa = fixed.bubble_pressure(311.15), fixed.dew_pressure(265.15)
    state = fixed.state(pressure_pa=high_pa, temperature_k=306.15)
    if isinstance(device, Capillary):
        lines = fluid.lines(high_pa)
        return capillary_flow(device, fluid, lines, state.enthalpy_j_per_kg, low_pa).mass_flow_kg_per_s
    return device.flow_area_m2 * (2.0 * (high_pa - low_pa) / state.volume_m3_per_kg) ** 0.5


def effect(name: str) -> float:
    """Cooling of one kilogram between 6 K superheat at -8 C and 5 K subcooling at 38 C [J/kg]."""
    fixed = refrigerant(name)
    gas = fixed.state(pressure_pa=fixed.dew_pressure(265.15), temperature_k=271.15)
    liquid = fixed.state(pressure_pa=fixed.bubble_pressure(311.15), temperature_k=306.15)
    return float(gas.enthalpy_j_per_kg - liquid.enthalpy_j_per_kg)


@pytest.mark.parametrize("name", REFRIGERANTS)
def test_another_refrigerant_keeps_the_capacity_of_every_device(name: str) -> None:
    scaled = with_refrigerant(DEMO, name)
    for key, device in DEMO.metering.items():
        before, after = flow(device, "R-134a") * effect("R-134a"), flow(scaled.metering[key], name) * effect(name)
        assert after == pytest.approx(before, rel=1e-5), key


def test_there_and_back_is_the_same_hardware() -> None:
    back = with_refrigerant(with_refrigerant(DEMO, "R-290"), "R-134a")
    assert back.compressor.displacement_m3_per_s == pytest.approx(DEMO.compressor.displacement_m3_per_s, rel=1e-9)
    for key, device in DEMO.metering.items():
        again = back.metering[key]
        if isinstance(device, Capillary):
            assert again.diameter_m == pytest.approx(device.diameter_m, rel=1e-6)
        else:
            assert again.flow_area_m2 == pytest.approx(device.flow_area_m2, rel=1e-9)
        if isinstance(device, ConstantPressureValve):
            assert again.opening_pa == pytest.approx(device.opening_pa, rel=1e-4)


def test_published_displacement_ratios() -> None:
    """Volumetric capacity against R-134a: R-290 about 1.4, R-410A and R-32 more than twice (common practice)."""
    before = DEMO.compressor.displacement_m3_per_s
    ratio = {name: before / with_refrigerant(DEMO, name).compressor.displacement_m3_per_s for name in REFRIGERANTS}
    assert 1.3 < ratio["R-290"] < 1.55
    assert 2.1 < ratio["R-410A"] < ratio["R-32"] < 2.9
    assert 0.9 < ratio["R-1234yf"] < 1.1
