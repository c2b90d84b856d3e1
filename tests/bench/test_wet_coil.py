"""Wet coils against published examples and the library's moist air; balances; no step between dry, wet and frosted."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from component_hardware import COIL, at_dew, fluid_of
from hypothesis import given, settings
from hypothesis import strategies as st
from reference.rows import Row, published_rows

from hvacr_lab import moist_air
from hvacr_lab.bench.coils import CoilResult, coil, conductances
from hvacr_lab.bench.fans import AirStream, air_stream
from hvacr_lab.bench.wet_coil import Air, air_leaving, humid_enthalpy, saturated, wet_surface_k, wetted

ATMOSPHERE_PA = 101_325.0


def _row(name: str) -> Row:
    return next(row for row in published_rows() if row.id == name)


def _all_wet(heat_w: float) -> CoilResult:
    """A coil that is wet from end to end and takes this heat; the refrigerant does not matter here."""
    return CoilResult(0.0, 273.15, heat_w, 0.0, 0.0, 1.0, 0.0, heat_w)


def _touched(air: Air, surface_k: float, contact: float, flow: float = 1.0) -> tuple[float, AirStream]:
    """Heat that the air in contact gives up on its way to saturation at the surface."""
    on_surface = saturated(surface_k, air.pressure_pa)[0]
    drop = humid_enthalpy(air.temperature_k, air.humidity_ratio) - humid_enthalpy(surface_k, on_surface)
    return contact * flow * drop, AirStream(flow, (1006.0 + 1860.0 * air.humidity_ratio) * flow, 0.0, contact)


def test_published_outlet_of_a_coil_with_contact_factor() -> None:
    """Air at 24 degC and 45.85 kJ/kg on a surface of 7 degC, contact factor 0.78."""
    bulb, enthalpy = _row("AIR-058"), _row("AIR-059")
    inlet_k, surface_k = bulb.kelvin("inlet_dry_bulb_c"), bulb.kelvin("apparatus_dew_point_c")
    dry = humid_enthalpy(inlet_k, 0.0)
    air = Air(inlet_k, (enthalpy.inputs["inlet_enthalpy_j_kg"] - dry) / (humid_enthalpy(inlet_k, 1.0) - dry))
    heat_w, stream = _touched(air, surface_k, bulb.inputs["contact_factor"])
    leaving = air_leaving(_all_wet(heat_w), stream, air, surface_k)
    assert leaving.temperature_k - 273.15 == pytest.approx(bulb.expected, abs=bulb.tolerance_abs + 0.05)
    # their line is straight in dry bulb, ours in enthalpy and humidity: 0.03 K
    found = humid_enthalpy(leaving.temperature_k, leaving.humidity_ratio)
    assert found == pytest.approx(enthalpy.expected, rel=2e-3)


@pytest.mark.parametrize("name", ["AIR-072", "AIR-081"])
def test_published_load_of_a_coil_that_saturates_the_air(name: str) -> None:
    """Our coil leaves the heat of the condensate in the air, the published load does not: it is taken off here."""
    row, inputs = _row(name), _row(name).inputs
    inlet = moist_air.air_state(
        row.kelvin("inlet_dry_bulb_c"), inputs["pressure_pa"], relative_humidity=inputs["inlet_relative_humidity"]
    )
    flow = inputs["volume_flow_m3_s"] / inlet.volume_m3_per_kg
    air = Air(inlet.dry_bulb_k, inlet.humidity_ratio, inputs["pressure_pa"])
    surface_k = row.kelvin("outlet_dry_bulb_c")
    heat_w, stream = _touched(air, surface_k, 1.0, flow)
    leaving = air_leaving(_all_wet(heat_w), stream, air, surface_k)
    assert leaving.temperature_k == pytest.approx(surface_k, abs=1e-6)
    drained_w = leaving.condensate_kg_per_s * moist_air.condensed_enthalpy(row.kelvin("condensate_temperature_c"))
    assert heat_w - drained_w == pytest.approx(row.expected, rel=row.tolerance_rel, abs=row.tolerance_abs)


def test_same_air_as_the_library() -> None:
    for celsius in (-25.0, -5.0, 0.0, 5.0, 25.0, 40.0):
        kelvin = celsius + 273.15
        ratio, slope = saturated(kelvin, ATMOSPHERE_PA)
        assert ratio == pytest.approx(moist_air.saturation_humidity_ratio(kelvin, ATMOSPHERE_PA), rel=1e-12)
        assert humid_enthalpy(kelvin, ratio) == pytest.approx(moist_air.enthalpy(kelvin, ratio), rel=1e-12, abs=1e-6)
        step = 1e-4
        by_difference = (saturated(kelvin + step, ATMOSPHERE_PA)[0] - ratio) / step
        assert slope == pytest.approx(by_difference, rel=1e-3)


@pytest.mark.parametrize("relative_humidity", [0.3, 0.6, 0.95])
@pytest.mark.parametrize(("air_c", "refrigerant_c"), [(27.0, 7.0), (5.0, -8.0), (-18.0, -30.0)])
def test_surface_balances_inside_and_outside(relative_humidity: float, air_c: float, refrigerant_c: float) -> None:
    """Halving the interval on the library's moist air finds the same surface."""
    kelvin = air_c + 273.15
    state = moist_air.air_state(kelvin, ATMOSPHERE_PA, relative_humidity=relative_humidity)
    air = Air(kelvin, state.humidity_ratio)
    inside, stream = 220.0, air_stream(COIL, 1.0, humidity_ratio=air.humidity_ratio)
    contact = stream.flow_kg_per_s * stream.contact
    found = wet_surface_k(inside, refrigerant_c + 273.15, stream, air)
    low, high = refrigerant_c + 273.15, kelvin
    for _ in range(60):
        middle = 0.5 * (low + high)
        on_surface = moist_air.enthalpy(middle, moist_air.saturation_humidity_ratio(middle, ATMOSPHERE_PA))
        too_warm = inside * (middle - refrigerant_c - 273.15) > contact * (state.enthalpy_j_per_kg - on_surface)
        low, high = (low, middle) if too_warm else (middle, high)
    assert found == pytest.approx(low, abs=1e-7)


def _cooled(humidity_ratio: float, air_k: float = 300.15, evaporating_c: float = 7.0, flow: float = 4e-3):
    fluid, stream = fluid_of("R-134a"), air_stream(COIL, 1.0, humidity_ratio=humidity_ratio)
    lines, air = at_dew(fluid, evaporating_c), Air(air_k, humidity_ratio)
    dry = conductances(COIL, stream)
    both, surface_k = wetted(dry, stream, air, lines, lines.bubble_k)
    start = lines.bubble_j_per_kg + 0.25 * lines.latent_j_per_kg
    result = coil(fluid, lines, start, flow, both, air_k, COIL.volume_m3)
    return result, air_leaving(result, stream, air, surface_k), stream, air, (dry, both)


@settings(max_examples=50, deadline=None)
@given(
    air_c=st.floats(-25.0, 40.0),
    relative_humidity=st.floats(0.0, 1.0),
    colder_k=st.floats(-5.0, 30.0),
    flow=st.floats(1e-4, 2e-2),
)
def test_balances_of_energy_and_water(air_c: float, relative_humidity: float, colder_k: float, flow: float) -> None:
    kelvin = air_c + 273.15
    humidity_ratio = relative_humidity * saturated(kelvin, ATMOSPHERE_PA)[0]
    result, leaving, stream, air, _ = _cooled(humidity_ratio, kelvin, air_c - colder_k, flow)
    assert leaving.sensible_w + leaving.latent_w == pytest.approx(result.heat_w, abs=1e-9)
    lost = humid_enthalpy(kelvin, humidity_ratio) - humid_enthalpy(leaving.temperature_k, leaving.humidity_ratio)
    assert stream.flow_kg_per_s * lost == pytest.approx(result.heat_w, rel=1e-9, abs=1e-6)
    water = stream.flow_kg_per_s * (air.humidity_ratio - leaving.humidity_ratio)
    assert leaving.condensate_kg_per_s == pytest.approx(water, abs=1e-12)
    assert leaving.condensate_kg_per_s >= 0.0
    assert leaving.humidity_ratio >= 0.0
    if leaving.condensate_kg_per_s > 0.0:
        assert leaving.humidity_ratio >= saturated(leaving.surface_k, ATMOSPHERE_PA)[0]


def test_dry_air_leaves_the_coil_as_it_is() -> None:
    _, leaving, _, _, (dry, both) = _cooled(0.003)
    assert both == dry
    assert leaving.condensate_kg_per_s == 0.0
    assert leaving.latent_w == 0.0


def test_more_humid_air_gives_more_heat_and_a_smaller_sensible_share() -> None:
    shares, heats = [], []
    for humidity_ratio in (0.008, 0.011, 0.014, 0.018):
        result, leaving, *_ = _cooled(humidity_ratio, flow=1.2e-2)
        heats.append(result.heat_w)
        shares.append(leaving.sensible_w / result.heat_w)
    assert heats == sorted(heats)
    assert shares == sorted(shares, reverse=True)
    assert 0.2 < shares[-1] < shares[0] <= 1.0


@pytest.mark.parametrize("evaporating_c", [7.0, -0.5, -10.0])
def test_no_step_where_the_first_drop_falls(evaporating_c: float) -> None:
    """Heat and condensate against the humidity of the air, dry to foggy."""
    heats, waters = [], []
    for i in range(2001):
        result, leaving, *_ = _cooled(1e-5 * i * 0.6, 288.15, evaporating_c)
        heats.append(result.heat_w)
        waters.append(leaving.condensate_kg_per_s)
    for values in (heats, waters):
        steps = [later - earlier for earlier, later in pairwise(values)]
        assert min(steps) >= -1e-12
        assert max(steps) < 5e-3 * max(values)


def test_no_step_at_freezing() -> None:
    heats = [_cooled(0.0045, 278.15, -8.0 + 0.01 * i)[0].heat_w for i in range(1301)]
    steps = [later - earlier for earlier, later in pairwise(heats)]
    assert max(abs(step) for step in steps) < 5e-3 * max(heats)


def test_refrigerant_warmer_than_the_air_leaves_the_coil_dry() -> None:
    result, leaving, *_ = _cooled(0.01, 288.15, 20.0)
    assert result.heat_w < 0.0
    assert leaving.condensate_kg_per_s == 0.0
    assert leaving.temperature_k > 288.15


def test_never_refuses() -> None:
    for kelvin in (150.0, 250.0, 350.0, 400.0):
        assert all(math.isfinite(value) for value in saturated(kelvin, ATMOSPHERE_PA))
