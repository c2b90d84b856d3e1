"""Coils against textbook formulas, an independent library and a march in small steps; what a coil must never do."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from component_hardware import COIL, REFRIGERANTS, at_dew, fluid_of
from hypothesis import given, settings
from hypothesis import strategies as st
from reference.rows import Row, published_rows

from hvacr_lab.bench.coils import Conductances, coil, conductances
from hvacr_lab.bench.fans import AirStream, air_stream, fan_power_w, flow_share
from hvacr_lab.bench.void_fraction import void_fraction
from hvacr_lab.refrigerants import refrigerant

STREAM = air_stream(COIL, 1.0)
BOTH = conductances(COIL, STREAM)


def _heat_rows(quantity: str) -> list[Row]:
    return [row for row in published_rows() if row.topic == "heat_transfer" and row.quantity == quantity]


def _row(name: str) -> Row:
    return next(row for row in published_rows() if row.id == name)


def _boiling_heat_w(conductance_w_per_k: float, difference_k: float) -> float:
    """Heat of a coil in which a pure refrigerant boils all the way."""
    fluid = fluid_of("R-134a")
    lines = at_dew(fluid, -10.0)
    every = Conductances(*([conductance_w_per_k] * 4))
    result = coil(fluid, lines, lines.bubble_j_per_kg, 10.0, every, lines.dew_k + difference_k, 1e-3)
    assert result.wet_share == pytest.approx(1.0)
    return result.heat_w


def _surface_w_per_k(ua_w_per_k: float, capacity_w_per_k: float) -> float:
    """Conductance to the inlet air when all resistance lies outside."""
    plate = replace(COIL, ua_refrigerant_w_per_k=1e12)
    contact = -math.expm1(-ua_w_per_k / capacity_w_per_k)
    return conductances(plate, AirStream(1.0, capacity_w_per_k, ua_w_per_k, contact)).wet_w_per_k


def test_published_log_mean_difference_of_a_water_chiller() -> None:
    """A stream cooled by a boiling refrigerant: the coil's heat over its UA is the published log-mean difference."""
    row, inputs = _row("HTR-001"), _row("HTR-001").inputs
    entering = inputs["water_in_c"] - inputs["refrigerant_temperature_c"]
    leaving = inputs["water_out_c"] - inputs["refrigerant_temperature_c"]
    ua = 1000.0
    capacity = ua / math.log(entering / leaving)
    heat = _boiling_heat_w(_surface_w_per_k(ua, capacity), entering)
    assert heat / ua == pytest.approx(row.expected, rel=row.tolerance_rel, abs=row.tolerance_abs)


def test_published_heat_flow_of_a_water_chiller() -> None:
    row, inputs = _row("HTR-002"), _row("HTR-002").inputs
    entering = inputs["water_in_c"] - inputs["refrigerant_temperature_c"]
    leaving = inputs["water_out_c"] - inputs["refrigerant_temperature_c"]
    ua = inputs["u_w_m2k"] * inputs["area_m2"]
    heat = _boiling_heat_w(_surface_w_per_k(ua, ua / math.log(entering / leaving)), entering)
    assert heat == pytest.approx(row.expected, rel=row.tolerance_rel, abs=row.tolerance_abs)


def test_published_log_mean_difference_of_an_air_cooler() -> None:
    """Rated 3.8 kW per kelvin of entering difference: the UA behind it gives the published 4.5 K."""
    row, inputs = _row("HTR-003"), _row("HTR-003").inputs
    entering = inputs["entering_air_c"] - inputs["refrigerant_temperature_c"]
    capacity = inputs["air_mass_flow_kg_s"] * inputs["air_cp_j_kgk"]
    ua = -capacity * math.log(1.0 - inputs["rating_w_per_k"] / capacity)
    assert _surface_w_per_k(ua, capacity) == pytest.approx(inputs["rating_w_per_k"], rel=1e-6)
    heat = _boiling_heat_w(_surface_w_per_k(ua, capacity), entering)
    assert heat / ua == pytest.approx(row.expected, rel=row.tolerance_rel, abs=row.tolerance_abs)


def _superheated_effectiveness(ntu: float, ratio: float) -> tuple[float, float]:
    """Effectiveness of a coil full of vapour, and that of the textbook, for C_air / C_refrigerant = ratio.

    Cross flow, refrigerant mixed along its path, air unmixed: T. L. Bergman et al., Fundamentals of Heat and Mass
    Transfer, table 11.3 (from memory).
    """
    fluid = fluid_of("R-134a")
    lines = at_dew(fluid, 0.0)
    start, air_k, flow = lines.dew_j_per_kg + 1e3, 313.15, 0.01
    entering_k = air_k - fluid.temperature(lines, start)
    heat_capacity = flow * (fluid.enthalpy_of_temperature(lines, air_k) - start) / entering_k
    air = ratio * heat_capacity
    smaller = min(air, heat_capacity)
    surface = _surface_w_per_k(ntu * smaller, air)
    result = coil(fluid, lines, start, flow, Conductances(surface, surface, surface, surface), air_k, 1e-3)
    ours = result.heat_w / (smaller * entering_k)
    if air <= heat_capacity:
        return ours, -math.expm1(ratio * math.expm1(-ntu)) / ratio
    return ours, -math.expm1(ratio * math.expm1(-ntu / ratio))


@pytest.mark.parametrize("ntu", [0.2, 1.0, 5.0])
@pytest.mark.parametrize("ratio", [0.1, 0.7, 1.0, 4.0])
def test_single_phase_effectiveness_of_the_textbook(ntu: float, ratio: float) -> None:
    ours, textbook = _superheated_effectiveness(ntu, ratio)
    assert ours == pytest.approx(textbook, rel=1e-6)


@pytest.mark.reference
@pytest.mark.parametrize("ntu", [0.2, 1.0, 5.0])
@pytest.mark.parametrize("ratio", [0.1, 0.7, 4.0])
def test_single_phase_effectiveness_of_an_independent_library(ntu: float, ratio: float) -> None:
    exchangers = pytest.importorskip("ht.hx", reason="could not import 'ht'")
    ours, _ = _superheated_effectiveness(ntu, ratio)
    kind = "crossflow, mixed Cmax" if ratio <= 1.0 else "crossflow, mixed Cmin"
    theirs = exchangers.effectiveness_from_NTU(NTU=ntu, Cr=min(ratio, 1.0 / ratio), subtype=kind)
    assert ours == pytest.approx(theirs, rel=1e-6)


def _marched(name: str, pressure_pa: float, enthalpy: float, flow: float, air_k: float) -> tuple[float, float]:
    """Outlet enthalpy and charge by small equal steps along the coil, on the checked library: the independent way."""
    library, cells = refrigerant(name), 3000
    bubble, dew = (library.state(pressure_pa=pressure_pa, quality=x) for x in (0.0, 1.0))
    latent = dew.enthalpy_j_per_kg - bubble.enthalpy_j_per_kg
    charge = 0.0
    for _ in range(cells):
        quality = (
            library.quality_ph(pressure_pa, enthalpy)
            if bubble.enthalpy_j_per_kg < enthalpy < dew.enthalpy_j_per_kg
            else (enthalpy - bubble.enthalpy_j_per_kg) / latent
        )
        zone = 0 if quality > 1.0 else 1 if quality > 0.0 else 2
        # the end of a zone inside a step is blurred over that step: 1/3000 of the coil
        temperature = library.temperature_ph(pressure_pa, enthalpy)
        enthalpy += BOTH[zone] * (air_k - temperature) / cells / flow
        if zone == 1:
            void = void_fraction(min(max(quality, 0.0), 1.0), bubble.volume_m3_per_kg / dew.volume_m3_per_kg)
            charge += ((1.0 - void) / bubble.volume_m3_per_kg + void / dew.volume_m3_per_kg) / cells
        else:
            charge += 1.0 / library.volume_ph(pressure_pa, enthalpy) / cells
    return enthalpy, charge * COIL.volume_m3


@pytest.mark.parametrize("name", ["R-134a", "R-454B"])
@pytest.mark.parametrize(
    ("saturated_c", "start", "flow", "air_c"),
    [(40.0, 1.2, 0.003, 25.0), (40.0, 1.2, 0.006, 25.0), (-8.0, 0.25, 0.003, 5.0), (-8.0, 0.25, 0.008, 5.0)],
    ids=["subcooled condenser", "wet condenser", "superheated evaporator", "flooded evaporator"],
)
def test_agrees_with_a_march_in_small_steps(
    name: str, saturated_c: float, start: float, flow: float, air_c: float
) -> None:
    fluid = fluid_of(name)
    lines = at_dew(fluid, saturated_c)
    enthalpy = lines.bubble_j_per_kg + start * lines.latent_j_per_kg
    ours = coil(fluid, lines, enthalpy, flow, BOTH, air_c + 273.15, COIL.volume_m3)
    outlet, charge = _marched(name, lines.pressure_pa, enthalpy, flow, air_c + 273.15)
    band = 0.012 if fluid.glides else 5e-3
    # the closed form takes each half of the glide of a blend as a straight line in enthalpy
    assert ours.enthalpy_j_per_kg - enthalpy == pytest.approx(outlet - enthalpy, rel=band)
    assert ours.charge_kg == pytest.approx(charge, rel=band)


@pytest.mark.parametrize("name", REFRIGERANTS)
@settings(max_examples=50, deadline=None)
@given(
    saturated_c=st.floats(-40.0, 55.0),
    start=st.floats(-0.4, 1.5),
    log_flow=st.floats(-7.0, -1.0),
    air_c=st.floats(-30.0, 55.0),
)
def test_never_past_the_air_and_the_second_law_holds(
    name: str, saturated_c: float, start: float, log_flow: float, air_c: float
) -> None:
    fluid, air_k, flow = fluid_of(name), air_c + 273.15, 10.0**log_flow
    lines = at_dew(fluid, saturated_c)
    enthalpy = lines.bubble_j_per_kg + start * lines.latent_j_per_kg
    result = coil(fluid, lines, enthalpy, flow, BOTH, air_k, COIL.volume_m3)
    before = fluid.state(lines, enthalpy)
    assert (air_k - before.temperature_k) * (air_k - result.temperature_k) >= -1e-6
    assert result.vapour_share + result.wet_share + result.liquid_share == pytest.approx(1.0)
    assert result.heat_w == pytest.approx(flow * (result.enthalpy_j_per_kg - enthalpy), abs=1e-9)
    after = fluid.state(lines, result.enthalpy_j_per_kg)
    made = flow * (after.entropy_j_per_kg_k - before.entropy_j_per_kg_k) - result.heat_w / air_k
    assert made >= -1e-7 * abs(result.heat_w) / air_k - 1e-12
    densest_m3_per_kg = min(before.volume_m3_per_kg, after.volume_m3_per_kg, lines.bubble_m3_per_kg)
    assert 0.0 < result.charge_kg <= COIL.volume_m3 / densest_m3_per_kg * (1.0 + 1e-6)


def _has_no_step(function: Callable[[float], float], low: float, high: float) -> None:
    """Halving the widest gaps of a scan again and again leaves no gap: a step would stay."""
    places = [low + (high - low) * i / 1000 for i in range(1001)]
    values = [function(place) for place in places]
    whole = max(values) - min(values)
    gaps = sorted(range(1000), key=lambda i: abs(values[i + 1] - values[i]), reverse=True)
    for i in gaps[:3]:
        (a, at_a), (b, at_b) = (places[i], values[i]), (places[i + 1], values[i + 1])
        for _ in range(45):
            middle = 0.5 * (a + b)
            at_middle = function(middle)
            if abs(at_middle - at_a) > abs(at_b - at_middle):
                b, at_b = middle, at_middle
            else:
                a, at_a = middle, at_middle
        assert abs(at_b - at_a) < 1e-4 * whole


@pytest.mark.parametrize("name", ["R-134a", "R-410A", "R-454B"])
@pytest.mark.parametrize("flow", [1e-5, 1e-3, 5e-3])
@pytest.mark.parametrize("past", [False, True], ids=["as it is", "draining into a receiver"])
@pytest.mark.parametrize("field", ["enthalpy_j_per_kg", "charge_kg"])
def test_condenser_has_no_step_as_its_pressure_rises(name: str, flow: float, past: bool, field: str) -> None:
    """From below the temperature of the air (heat flow turned round) through all regimes of the outlet."""
    fluid = fluid_of(name)
    start = at_dew(fluid, 40.0).dew_j_per_kg + 3e4

    def value(log_pressure: float) -> float:
        lines = fluid.lines(math.exp(log_pressure))
        result = coil(fluid, lines, start, flow, BOTH, 298.15, COIL.volume_m3, past)
        return float(getattr(result, field))

    _has_no_step(value, math.log(fluid.dew_pressure(288.15)), math.log(fluid.dew_pressure(325.15)))


@pytest.mark.parametrize("name", ["R-134a", "R-454B"])
@pytest.mark.parametrize("air_c", [5.0, -8.0, -15.0])
@pytest.mark.parametrize("field", ["enthalpy_j_per_kg", "charge_kg"])
def test_evaporator_has_no_step_as_its_inlet_goes_from_liquid_to_vapour(name: str, air_c: float, field: str) -> None:
    fluid = fluid_of(name)
    lines = at_dew(fluid, -8.3)

    def value(quality: float) -> float:
        start = lines.bubble_j_per_kg + quality * lines.latent_j_per_kg
        return float(getattr(coil(fluid, lines, start, 3e-3, BOTH, air_c + 273.15, COIL.volume_m3), field))

    _has_no_step(value, -0.2, 1.3)


def test_draining_into_a_receiver_there_is_no_kink_at_the_bubble_line() -> None:
    """One slope on both sides of the bubble point; without the continuation two."""
    fluid = fluid_of("R-134a")
    start = at_dew(fluid, 40.0).dew_j_per_kg + 3e4
    middle = 298.6

    def outlet(kelvin: float, flow: float, past: bool) -> float:
        lines = fluid.lines(fluid.dew_pressure(kelvin))
        result = coil(fluid, lines, start, flow, BOTH, 298.15, COIL.volume_m3, past)
        return (result.enthalpy_j_per_kg - lines.bubble_j_per_kg) / lines.latent_j_per_kg

    low, high = 1e-6, 2e-2
    for _ in range(60):
        flow = 0.5 * (low + high)
        low, high = (flow, high) if outlet(middle, flow, True) < 0.0 else (low, flow)
    below, above = (abs(outlet(middle + step, flow, True)) for step in (-1e-3, 1e-3))
    assert below == pytest.approx(above, rel=0.01)
    below, above = (abs(outlet(middle + step, flow, False)) for step in (-1e-3, 1e-3))
    assert below > 1.3 * above


@pytest.mark.parametrize("name", ["R-32", "R-454B"])
def test_charge_has_no_step_where_the_condenser_reaches_the_air_temperature(name: str) -> None:
    """More transfer units than the flow can use: with arithmetic mean states the charge jumps here."""
    fluid = fluid_of(name)
    pinched = Conductances(2000.0, 4000.0, 2000.0, 4000.0)
    start = at_dew(fluid, 40.0).dew_j_per_kg + 3e4

    def charge(kelvin: float) -> float:
        return coil(fluid, fluid.lines(fluid.bubble_pressure(kelvin)), start, 2e-3, pinched, 298.15, 1e-3).charge_kg

    _has_no_step(charge, 297.75, 298.55)


def test_fan_laws() -> None:
    """Half the speed: half the flow (but for the draught) and an eighth of the power (common practice)."""
    assert flow_share(0.5, 0.0) == pytest.approx(0.5)
    assert fan_power_w(COIL, 0.5) == pytest.approx(COIL.fan_w / 8.0)
    assert flow_share(0.0, COIL.draught) == COIL.draught
    assert flow_share(1.0, COIL.draught) == pytest.approx(1.0)
    assert air_stream(COIL, 1.0).flow_kg_per_s == pytest.approx(COIL.air_flow_kg_per_s)


def test_dirt_and_oil_lower_the_conductance_and_none_changes_nothing() -> None:
    clean = conductances(COIL, air_stream(COIL, 1.0, 0.0), 0.0)
    assert clean == BOTH
    dirty = conductances(COIL, air_stream(COIL, 1.0, 1.0))
    oily = conductances(COIL, STREAM, 1.0)
    assert all(worse < better for worse, better in zip(dirty[:3], clean[:3], strict=True))
    assert all(worse < better for worse, better in zip(oily, clean, strict=True))
