"""Moist air: round trips between the instruments, an independent library, printed examples, coils and mixtures.

The printed tables and examples of the handbooks are in tests/reference; here are the relations and the refusals.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from hvacr_lab import moist_air as air
from hvacr_lab.errors import NotUsable, OutOfRange
from hvacr_lab.moist_air.saturation import TRIPLE_POINT_K, saturation_and_slope

SEA_LEVEL_PA = 101_325.0
ZERO_C = 273.15

dry_bulbs = st.floats(ZERO_C - 40.0, ZERO_C + 60.0)
barometers = st.floats(60_000.0, 110_000.0)
humidities = st.floats(0.01, 1.0)
quick = settings(max_examples=50, deadline=None)


# round trips


@given(dry_bulb=dry_bulbs, share=humidities, barometer=barometers)
@quick
def test_each_instrument_leads_back_to_the_same_air(dry_bulb: float, share: float, barometer: float) -> None:
    state = air.air_state(dry_bulb, barometer, relative_humidity=share)
    assume(state.dew_point_k is not None)
    for other in ({"humidity_ratio": state.humidity_ratio}, {"dew_point_k": state.dew_point_k}):
        again = air.air_state(dry_bulb, barometer, **other)  # type: ignore[arg-type]
        assert again.relative_humidity == pytest.approx(share, rel=1e-6)
        assert again.enthalpy_j_per_kg == pytest.approx(state.enthalpy_j_per_kg, abs=0.1)
    again = air.air_state(dry_bulb, barometer, wet_bulb_k=min(state.wet_bulb_k, dry_bulb))
    assert again.humidity_ratio == pytest.approx(state.humidity_ratio, abs=1e-10)


@given(dry_bulb=dry_bulbs, ratio=st.floats(0.0, 0.03))
@quick
def test_enthalpy_leads_back_to_the_dry_bulb(dry_bulb: float, ratio: float) -> None:
    assert air.dry_bulb_of_enthalpy(air.enthalpy(dry_bulb, ratio), ratio) == pytest.approx(dry_bulb, abs=1e-9)


@given(temperature=st.floats(173.2, 473.1))
@quick
def test_saturation_there_and_back(temperature: float) -> None:
    assume(abs(temperature - TRIPLE_POINT_K) > 1e-6)
    assert air.saturation_temperature(air.saturation_pressure(temperature)) == pytest.approx(temperature, abs=1e-7)


@given(dry_bulb=dry_bulbs, share=humidities, barometer=barometers)
@quick
def test_dew_point_below_wet_bulb_below_dry_bulb(dry_bulb: float, share: float, barometer: float) -> None:
    state = air.air_state(dry_bulb, barometer, relative_humidity=share)
    assert state.wet_bulb_k <= state.dry_bulb_k
    if state.dew_point_k is not None:
        assert state.dew_point_k <= state.wet_bulb_k + 1e-6


@given(dry_bulb=dry_bulbs, barometer=barometers)
@quick
def test_moister_air_has_higher_bulbs_more_energy_and_more_volume(dry_bulb: float, barometer: float) -> None:
    ratio = air.humidity_ratio(dry_bulb, barometer, relative_humidity=np.linspace(0.05, 1.0, 30))
    wet_bulb = air.wet_bulb(dry_bulb, ratio, barometer)
    # where the wick freezes the wet bulb steps from ice to water: it may only step upwards
    for rising in (ratio, wet_bulb, air.enthalpy(dry_bulb, ratio), air.specific_volume(dry_bulb, ratio, barometer)):
        assert np.all(np.diff(rising) > 0.0)


def test_saturated_air_has_one_temperature() -> None:
    fog = air.air_state(288.15, SEA_LEVEL_PA, relative_humidity=1.0)
    assert fog.wet_bulb_k == pytest.approx(288.15, abs=1e-6)
    assert fog.dew_point_k == pytest.approx(288.15, abs=1e-6)


def test_the_curves_over_ice_and_over_water_meet_at_the_triple_point() -> None:
    # 611.657 Pa at 0.01 degC: IAPWS R14-08(2011)
    assert air.saturation_pressure(TRIPLE_POINT_K) == pytest.approx(611.657, rel=1e-6)
    assert air.saturation_pressure(TRIPLE_POINT_K + 1e-9) == pytest.approx(611.657, rel=1e-6)


@pytest.mark.parametrize("temperature", [200.0, 260.0, 280.0, 370.0])
def test_the_slope_of_saturation_is_its_derivative(temperature: float) -> None:
    above, below = air.saturation_pressure(temperature + 0.01), air.saturation_pressure(temperature - 0.01)
    assert saturation_and_slope(temperature)[1] == pytest.approx(math.log(above / below) / 0.02, rel=1e-6)


def test_a_wick_just_above_freezing_is_wet() -> None:
    # dry air at 8 degC: water gives +0.07 degC, ice -0.51 degC; both are solutions, the module gives the water
    state = air.air_state(ZERO_C + 8.0, 110_000.0, relative_humidity=0.05)
    assert state.wet_bulb_k == pytest.approx(ZERO_C + 0.0734, abs=1e-3)
    icy = air.humidity_ratio(ZERO_C + 8.0, 110_000.0, wet_bulb_k=ZERO_C - 0.5113)
    assert icy == pytest.approx(state.humidity_ratio, rel=2e-3)


# independent library


@pytest.mark.parametrize("barometer", [60_000.0, 84_556.0, SEA_LEVEL_PA, 110_000.0])
def test_as_an_independent_library_has_it(barometer: float) -> None:
    psychrolib = pytest.importorskip("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.SI)
    for celsius in np.arange(-39.5, 60.0, 4.5):
        for share in (0.05, 0.2, 0.5, 0.8, 1.0):
            dry_bulb = float(celsius) + ZERO_C
            state = air.air_state(dry_bulb, barometer, relative_humidity=share)
            ratio = psychrolib.GetHumRatioFromRelHum(celsius, share, barometer)
            dew_point = psychrolib.GetTDewPointFromHumRatio(celsius, ratio, barometer)
            wet_bulb = psychrolib.GetTWetBulbFromHumRatio(celsius, ratio, barometer)
            assert state.humidity_ratio == pytest.approx(ratio, rel=1e-12)
            assert state.enthalpy_j_per_kg == pytest.approx(psychrolib.GetMoistAirEnthalpy(celsius, ratio), abs=1e-6)
            assert state.dew_point_k - ZERO_C == pytest.approx(dew_point, abs=0.001)
            # psychrolib rounds 1 / 0.621945 to 1.607858
            volume = psychrolib.GetMoistAirVolume(celsius, ratio, barometer)
            assert state.volume_m3_per_kg == pytest.approx(volume, rel=5e-7)
            # psychrolib halves its interval down to 0.001 K; near 0 degC ice and water both solve the equation
            if abs(state.wet_bulb_k - ZERO_C) > 3.0:
                assert state.wet_bulb_k - ZERO_C == pytest.approx(wet_bulb, abs=0.001)


def test_against_real_moist_air() -> None:
    # CoolProp's real-gas moist air (ASHRAE RP-1485). Humidity ratio 0.4-0.7 % low: no enhancement factor (see there)
    humid = pytest.importorskip("CoolProp.HumidAirProp")
    for celsius in (-30.0, -10.0, 10.0, 25.0, 40.0, 55.0):
        for share in (0.2, 0.5, 0.9):
            state = air.air_state(celsius + ZERO_C, SEA_LEVEL_PA, relative_humidity=share)
            pair = ("T", celsius + ZERO_C, "P", SEA_LEVEL_PA, "R", share)
            assert state.humidity_ratio == pytest.approx(humid.HAPropsSI("W", *pair), rel=0.007)
            assert state.volume_m3_per_kg == pytest.approx(humid.HAPropsSI("V", *pair), rel=0.0015)
            assert state.wet_bulb_k == pytest.approx(humid.HAPropsSI("B", *pair), abs=0.03)
            assert state.dew_point_k == pytest.approx(humid.HAPropsSI("D", *pair), abs=0.03)


# arrays


ONE_AT_A_TIME: dict[str, Callable[..., object]] = {
    "relative_humidity": lambda t, w, p: air.relative_humidity(t, w, p),
    "wet_bulb": lambda t, w, p: air.wet_bulb(t, w, p),
    "specific_volume": lambda t, w, p: air.specific_volume(t, w, p),
    "dew_point": lambda t, w, p: air.dew_point(w, p),
    "from_wet_bulb": lambda t, w, p: air.humidity_ratio(t, p, wet_bulb_k=t - 1.0),
    "from_dew_point": lambda t, w, p: air.humidity_ratio(t, p, dew_point_k=t - 5.0),
    "saturation": lambda t, w, p: air.saturation_humidity_ratio(t, p),
}


@pytest.mark.parametrize("name", ONE_AT_A_TIME)
def test_an_array_is_many_single_numbers(name: str) -> None:
    function = ONE_AT_A_TIME[name]
    dry_bulb = np.array([[258.15, 272.65], [283.15, 313.15]])
    ratio = 0.4 * air.saturation_humidity_ratio(dry_bulb, SEA_LEVEL_PA)
    together = function(dry_bulb, ratio, SEA_LEVEL_PA)
    singly = [function(float(t), float(w), SEA_LEVEL_PA) for t, w in zip(dry_bulb.flat, ratio.flat, strict=True)]
    assert np.shape(together) == (2, 2)
    assert all(isinstance(value, float) for value in singly)
    assert np.ravel(together) == pytest.approx(singly, rel=1e-12)


def test_no_air_gives_no_answers() -> None:
    assert air.wet_bulb(np.array([]), np.array([]), SEA_LEVEL_PA).size == 0


# mixing


@given(share=st.floats(0.0, 1.0), warm=st.floats(15.0, 45.0), cold=st.floats(-20.0, 14.0), humid=humidities)
@quick
def test_mixing_loses_neither_water_nor_energy(share: float, warm: float, cold: float, humid: float) -> None:
    first = air.air_state(warm + ZERO_C, SEA_LEVEL_PA, relative_humidity=humid)
    second = air.air_state(cold + ZERO_C, SEA_LEVEL_PA, relative_humidity=humid)
    mixed = air.mix(first, share, second, 1.0 - share)
    water = share * first.humidity_ratio + (1.0 - share) * second.humidity_ratio
    energy = share * first.enthalpy_j_per_kg + (1.0 - share) * second.enthalpy_j_per_kg
    fog = water - mixed.humidity_ratio
    assert fog >= -1e-12
    assert bool(mixed.notes) == (fog > 1e-12)
    held = mixed.enthalpy_j_per_kg + fog * air.condensed_enthalpy(mixed.dry_bulb_k)
    assert held == pytest.approx(energy, abs=0.5 if abs(mixed.dry_bulb_k - TRIPLE_POINT_K) > 1e-3 else 5000.0)


def test_breath_in_frost_makes_fog() -> None:
    # from memory: warm moist air meeting frosty air shows as a cloud
    breath = air.air_state(ZERO_C + 34.0, SEA_LEVEL_PA, relative_humidity=0.95)
    winter = air.air_state(ZERO_C - 10.0, SEA_LEVEL_PA, relative_humidity=0.8)
    assert "is fog" in air.mix(breath, 0.3, winter, 0.7).notes[0]


def test_two_barometers_do_not_mix() -> None:
    low = air.air_state(293.15, 90_000.0, relative_humidity=0.5)
    high = air.air_state(293.15, SEA_LEVEL_PA, relative_humidity=0.5)
    with pytest.raises(NotUsable, match="same one"):
        air.mix(low, 1.0, high, 1.0)
    with pytest.raises(NotUsable, match="neither stream flows"):
        air.mix(high, 0.0, high, 0.0)


# coils


def coil() -> tuple[air.AirState, air.AirState]:
    """Own example of a room unit: 27 degC / 19 degC wet bulb in (rating point from memory), 14 / 13 out."""
    entering = air.air_state(ZERO_C + 27.0, SEA_LEVEL_PA, wet_bulb_k=ZERO_C + 19.0)
    leaving = air.air_state(ZERO_C + 14.0, SEA_LEVEL_PA, wet_bulb_k=ZERO_C + 13.0)
    return entering, leaving


def test_sensible_and_latent_make_the_total() -> None:
    entering, leaving = coil()
    load = air.air_load(entering, leaving, 0.4)
    assert load.total_w == pytest.approx(0.4 * (entering.enthalpy_j_per_kg - leaving.enthalpy_j_per_kg))
    assert load.sensible_w + load.latent_w == pytest.approx(load.total_w)
    # chain of elementary steps: 1.006 kJ/(kg K) and 2501 kJ/kg with 1.86 kJ/(kg K) for the vapour
    sensible = 0.4 * (1006.0 + 1860.0 * leaving.humidity_ratio) * 13.0
    latent = 0.4 * (entering.humidity_ratio - leaving.humidity_ratio) * (2_501_000.0 + 1860.0 * 27.0)
    assert load.sensible_w == pytest.approx(sensible)
    assert load.latent_w == pytest.approx(latent)
    assert load.sensible_heat_ratio == pytest.approx(air.sensible_heat_ratio(sensible, latent))
    assert load.condensate_w == pytest.approx(load.condensate_kg_per_s * 4186.0 * 14.0)
    assert load.coil_w == pytest.approx(load.total_w - load.condensate_w)
    assert load.notes == ()


def test_humidifying_has_no_condensate_and_says_so() -> None:
    entering, leaving = coil()
    load = air.air_load(leaving, entering, 0.4)
    assert load.total_w < 0.0
    assert load.condensate_w == 0.0
    assert "takes up water" in load.notes[0]


def test_water_that_vanishes_above_the_dew_point_is_doubted() -> None:
    entering = air.air_state(303.15, SEA_LEVEL_PA, relative_humidity=0.3)
    leaving = air.air_state(295.15, SEA_LEVEL_PA, relative_humidity=0.3)
    assert "above its dew point" in air.air_load(entering, leaving, 0.4).notes[0]


@given(surface=st.floats(2.0, 14.0), bypass=st.floats(0.02, 0.5), humid=st.floats(0.35, 0.6))
@quick
def test_bypass_factor_and_apparatus_dew_point_lead_back_to_each_other(
    surface: float, bypass: float, humid: float
) -> None:
    surface_k = ZERO_C + surface
    entering = air.air_state(ZERO_C + 27.0, SEA_LEVEL_PA, relative_humidity=humid)
    held, warmer = air.saturation_humidity_ratio(np.array([surface_k, surface_k + 1.0]), SEA_LEVEL_PA)
    slope = (entering.humidity_ratio - held) / (27.0 - surface)
    assume(0.0 < slope < 0.9 * (warmer - held))  # a steeper line meets saturation before it reaches this surface
    leaving = air.air_state(
        air.passing_by(entering.dry_bulb_k, surface_k, bypass),
        SEA_LEVEL_PA,
        humidity_ratio=air.passing_by(entering.humidity_ratio, float(held), bypass),
    )
    found = air.apparatus_dew_point(entering, leaving)
    assert found.surface.dry_bulb_k == pytest.approx(surface_k, abs=0.001)
    assert found.bypass_factor == pytest.approx(bypass, abs=0.0001)
    assert found.surface.relative_humidity == pytest.approx(1.0)
    # mixing keeps the enthalpy; the dry bulb is then off the straight line by less than 0.1 K
    assert air.leaving_air(entering, surface_k, bypass).dry_bulb_k == pytest.approx(leaving.dry_bulb_k, abs=0.1)


def test_a_dry_coil_keeps_the_humidity() -> None:
    entering = air.air_state(ZERO_C + 27.0, SEA_LEVEL_PA, relative_humidity=0.3)
    leaving = air.leaving_air(entering, ZERO_C + 15.0, 0.2)
    assert leaving.humidity_ratio == pytest.approx(entering.humidity_ratio, rel=1e-12)
    assert air.apparatus_dew_point(entering, leaving).surface.dry_bulb_k == pytest.approx(
        entering.dew_point_k, abs=0.02
    )


def test_a_line_that_misses_saturation_is_refused() -> None:
    entering = air.air_state(ZERO_C + 27.0, SEA_LEVEL_PA, relative_humidity=0.9)
    leaving = air.air_state(ZERO_C + 26.0, SEA_LEVEL_PA, relative_humidity=0.3)
    with pytest.raises(NotUsable, match="does not meet saturation"):
        air.apparatus_dew_point(entering, leaving)
    with pytest.raises(OutOfRange, match="swapped"):
        air.apparatus_dew_point(leaving, entering)


@given(entering=st.floats(10.0, 40.0), surface=st.floats(-10.0, 9.0), bypass=st.floats(0.0, 0.9))
@quick
def test_surface_from_bypass_undoes_passing_by(entering: float, surface: float, bypass: float) -> None:
    leaving = air.passing_by(entering, surface, bypass)
    assert air.surface_from_bypass(entering, leaving, bypass) == pytest.approx(surface, abs=1e-9)


def test_altitude_thins_the_air() -> None:
    # common practice: at 1500 m a fan of the same volume moves about 17 % less air
    low = air.air_state(293.15, SEA_LEVEL_PA, relative_humidity=0.5)
    high = air.air_state(293.15, 84_556.0, relative_humidity=0.5)
    assert air.dry_air_flow(0.5, high) / air.dry_air_flow(0.5, low) == pytest.approx(0.83, abs=0.01)
    assert high.density_kg_per_m3 < low.density_kg_per_m3


# bad input


@pytest.mark.parametrize(
    ("dry_bulb", "barometer", "other", "says"),
    [
        (25.0, SEA_LEVEL_PA, {"relative_humidity": 0.5}, "Temperatures are in K"),
        (400.0, SEA_LEVEL_PA, {"relative_humidity": 0.5}, "233.15 ... 333.15 K"),
        (298.15, 1013.25, {"relative_humidity": 0.5}, "1013 hPa is 101300 Pa"),
        (298.15, 54_000.0, {"relative_humidity": 0.5}, "60000 ... 110000 Pa"),
        (298.15, SEA_LEVEL_PA, {"relative_humidity": 50.0}, "45 % is 0.45"),
        (298.15, SEA_LEVEL_PA, {"wet_bulb_k": 299.15}, "Are the two swapped?"),
        (298.15, SEA_LEVEL_PA, {"dew_point_k": 299.15}, "No dew point is above the dry bulb"),
        (298.15, SEA_LEVEL_PA, {"wet_bulb_k": 275.15}, "Even air without vapour"),
        (298.15, SEA_LEVEL_PA, {"humidity_ratio": 10.0}, "10 g/kg is 0.010 kg/kg"),
        (298.15, SEA_LEVEL_PA, {"humidity_ratio": 0.03}, "fog or a wet surface"),
        (math.nan, SEA_LEVEL_PA, {"relative_humidity": 0.5}, "not a number"),
        (298.15, SEA_LEVEL_PA, {}, "exactly one value is needed"),
        (298.15, SEA_LEVEL_PA, {"relative_humidity": 0.5, "wet_bulb_k": 290.0}, "exactly one value is needed"),
        (298.15, SEA_LEVEL_PA, {"humidity_ratio": 0.005, "wet_bulb_k": 290.0}, "exactly one value is needed"),
    ],
)
def test_impossible_air_is_refused_with_its_limit(
    dry_bulb: float, barometer: float, other: dict[str, float], says: str
) -> None:
    with pytest.raises((OutOfRange, NotUsable)) as refused:
        air.air_state(dry_bulb, barometer, **other)  # type: ignore[arg-type]
    assert says in str(refused.value)


def test_the_limit_of_the_wet_bulb_is_the_wet_bulb_of_dry_air() -> None:
    with pytest.raises(OutOfRange) as refused:
        air.humidity_ratio(298.15, SEA_LEVEL_PA, wet_bulb_k=275.15)
    assert refused.value.low == pytest.approx(air.wet_bulb(298.15, 0.0, SEA_LEVEL_PA))


def test_air_without_vapour_has_no_dew_point() -> None:
    assert air.air_state(298.15, SEA_LEVEL_PA, humidity_ratio=0.0).dew_point_k is None
    with pytest.raises(OutOfRange, match="no dew point"):
        air.dew_point(0.0, SEA_LEVEL_PA)


def test_one_impossible_element_of_an_array_is_named() -> None:
    with pytest.raises(OutOfRange, match=r"wet bulb 299\.15 K is above the limit of 298\.15 K"):
        air.humidity_ratio(np.array([300.0, 298.15]), SEA_LEVEL_PA, wet_bulb_k=np.array([290.0, 299.15]))
