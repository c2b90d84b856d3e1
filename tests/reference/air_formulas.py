"""How the library answers the published figures about moist air."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from hvacr_lab import moist_air
from hvacr_lab.moist_air import AirState, air_load, air_state, dry_air_flow, mix, passing_by, surface_from_bypass
from hvacr_lab.units import ICE_POINT_K, STANDARD_ATMOSPHERE_PA

from .rows import Row


def air(row: Row) -> AirState:
    """The one air of a row; an adiabatic saturation temperature is a wet bulb."""
    given = row.inputs
    names = {"relative_humidity": "relative_humidity", "humidity_ratio_kg_kg": "humidity_ratio"}
    humidity = {ours: given[theirs] for theirs, ours in names.items() if theirs in given}
    for name in ("wet_bulb_c", "adiabatic_saturation_temperature_c"):
        if name in given:
            humidity["wet_bulb_k"] = row.kelvin(name)
    return air_state(row.kelvin("dry_bulb_c"), given["pressure_pa"], **humidity)


def _entering(row: Row) -> AirState:
    given = row.inputs
    dry_bulb, humidity = (
        ("dry_bulb_in_c", "relative_humidity_in")
        if "dry_bulb_in_c" in given
        else ("inlet_dry_bulb_c", "inlet_relative_humidity")
    )
    return air_state(row.kelvin(dry_bulb), given["pressure_pa"], relative_humidity=given[humidity])


def _heated(row: Row) -> AirState:
    """The entering air, warmed up without water."""
    hot = next(name for name in ("heated_to_c", "dry_bulb_out_c", "outlet_dry_bulb_c") if name in row.inputs)
    return air_state(row.kelvin(hot), row.inputs["pressure_pa"], humidity_ratio=_entering(row).humidity_ratio)


def _flow(row: Row) -> float:
    return dry_air_flow(row.inputs["volume_flow_m3_s"], _entering(row))


def _heating_w(row: Row) -> float:
    return -air_load(_entering(row), _heated(row), _flow(row)).total_w


def _coil(row: Row) -> moist_air.AirLoad:
    given = row.inputs
    leaving = air_state(
        row.kelvin("outlet_dry_bulb_c"), given["pressure_pa"], relative_humidity=given["outlet_relative_humidity"]
    )
    return air_load(_entering(row), leaving, _flow(row), condensate_k=row.kelvin("condensate_temperature_c"))


def _steam_flow(row: Row) -> float:
    final = air_state(
        row.kelvin("final_dry_bulb_c"),
        row.inputs["pressure_pa"],
        relative_humidity=row.inputs["final_relative_humidity"],
    )
    return _flow(row) * (final.humidity_ratio - _entering(row).humidity_ratio)


def _streams(row: Row) -> tuple[AirState, float, AirState, float]:
    """Two streams with their dry-air flows."""
    given = row.inputs
    if "stream1_mass_kg_s" in given:
        return _weighed_streams(row)
    pressure = given["pressure_pa"]
    first_humidity = (
        {"wet_bulb_k": row.kelvin("stream1_wet_bulb_c")}
        if "stream1_wet_bulb_c" in given
        else {"humidity_ratio": given["stream1_humidity_ratio_kg_kg"]}
    )
    first = air_state(row.kelvin("stream1_dry_bulb_c"), pressure, **first_humidity)
    second = air_state(row.kelvin("stream2_dry_bulb_c"), pressure, relative_humidity=given["stream2_relative_humidity"])
    flows = [
        dry_air_flow(given[f"stream{number}_volume_flow_m3_s"], state) for number, state in ((1, first), (2, second))
    ]
    return first, flows[0], second, flows[1]


def _weighed_streams(row: Row) -> tuple[AirState, float, AirState, float]:
    """Streams of which the source gives only what it needs: 20 C and the same dryness stand for the rest."""
    given = row.inputs
    states = [
        air_state(
            given.get(f"stream{number}_dry_bulb_c", 20.0) + ICE_POINT_K,
            STANDARD_ATMOSPHERE_PA,
            humidity_ratio=given.get(f"stream{number}_humidity_ratio_kg_kg", 0.005),
        )
        for number in (1, 2)
    ]
    return states[0], given["stream1_mass_kg_s"], states[1], given["stream2_mass_kg_s"]


def _dry_air_fraction(row: Row) -> float:
    _, first, _, second = _streams(row)
    return second / (first + second)


def _dry_air_in_room_kg(row: Row) -> float:
    return float(row.inputs["volume_m3"] / air(row).volume_m3_per_kg)


def _infiltration_w(row: Row) -> float:
    """Outdoor air against room air of a percentage saturation, which is W / Ws."""
    given, indoor_k = row.inputs, row.kelvin("indoor_dry_bulb_c")
    held = moist_air.saturation_humidity_ratio(indoor_k, STANDARD_ATMOSPHERE_PA)
    indoor = air_state(indoor_k, STANDARD_ATMOSPHERE_PA, humidity_ratio=given["indoor_percentage_saturation"] * held)
    outdoor = air_state(
        row.kelvin("outdoor_dry_bulb_c"), STANDARD_ATMOSPHERE_PA, wet_bulb_k=row.kelvin("outdoor_wet_bulb_c")
    )
    return air_load(outdoor, indoor, given["mass_flow_kg_s"]).total_w


def _humidity_ratio(row: Row) -> float:
    if "vapour_pressure_pa" in row.inputs:
        return moist_air.humidity_ratio_of_vapour(row.inputs["vapour_pressure_pa"], row.inputs["pressure_pa"])
    return air(row).humidity_ratio


def _vapour_pressure_pa(row: Row) -> float:
    state = air(row)
    return moist_air.vapour_pressure(state.humidity_ratio, state.pressure_pa)


def _dew_point_c(row: Row) -> float:
    dew_point_k = air(row).dew_point_k
    assert dew_point_k is not None, row.id
    return dew_point_k - ICE_POINT_K


def _saturation_pressure_pa(row: Row) -> float:
    return moist_air.saturation_pressure(row.kelvin("temperature_c"))


FORMULAS: dict[tuple[str, str], Callable[[Row], Any]] = {
    ("moist_air", "adiabatic_washer_outlet_dry_bulb"): lambda row: passing_by(
        row.inputs["inlet_dry_bulb_c"], row.inputs["water_temperature_c"], 1.0 - row.inputs["saturation_efficiency"]
    ),
    ("moist_air", "coil_outlet_dry_bulb"): lambda row: passing_by(
        row.inputs["inlet_dry_bulb_c"], row.inputs["apparatus_dew_point_c"], 1.0 - row.inputs["contact_factor"]
    ),
    ("moist_air", "coil_outlet_enthalpy"): lambda row: passing_by(
        row.inputs["inlet_enthalpy_j_kg"], row.inputs["adp_enthalpy_j_kg"], 1.0 - row.inputs["contact_factor"]
    ),
    ("moist_air", "condensate_per_kg_dry_air"): lambda row: _coil(row).condensate_kg_per_s / _flow(row),
    ("moist_air", "cooling_coil_load"): lambda row: _coil(row).coil_w,
    ("moist_air", "dew_point"): _dew_point_c,
    ("moist_air", "dry_air_fraction_stream2"): _dry_air_fraction,
    ("moist_air", "dry_air_mass_flow"): _flow,
    ("moist_air", "dry_air_mass_in_room"): _dry_air_in_room_kg,
    ("moist_air", "heating_coil_load"): _heating_w,
    ("moist_air", "heating_coil_surface_temperature"): lambda row: surface_from_bypass(
        row.inputs["air_in_c"], row.inputs["air_out_c"], row.inputs["bypass_factor"]
    ),
    ("moist_air", "humidifier_steam_flow"): _steam_flow,
    ("moist_air", "humidity_ratio"): _humidity_ratio,
    ("moist_air", "humidity_ratio_from_wet_bulb"): _humidity_ratio,
    ("moist_air", "humidity_ratio_saturated"): _humidity_ratio,
    ("moist_air", "infiltration_total_heat"): _infiltration_w,
    ("moist_air", "mixture_dry_bulb"): lambda row: mix(*_streams(row)).dry_bulb_k - ICE_POINT_K,
    ("moist_air", "mixture_humidity_ratio"): lambda row: mix(*_streams(row)).humidity_ratio,
    ("moist_air", "mixture_wet_bulb"): lambda row: mix(*_streams(row)).wet_bulb_k - ICE_POINT_K,
    ("moist_air", "moisture_removal_rate"): lambda row: _coil(row).condensate_kg_per_s,
    ("moist_air", "relative_humidity"): lambda row: air(row).relative_humidity,
    ("moist_air", "relative_humidity_after_heating"): lambda row: _heated(row).relative_humidity,
    ("moist_air", "room_sensible_heat_factor"): lambda row: moist_air.sensible_heat_ratio(
        row.inputs["room_sensible_w"], row.inputs["room_latent_w"]
    ),
    ("moist_air", "specific_enthalpy"): lambda row: air(row).enthalpy_j_per_kg,
    ("moist_air", "specific_enthalpy_saturated"): lambda row: air(row).enthalpy_j_per_kg,
    ("moist_air", "specific_enthalpy_us_units"): lambda row: air(row).enthalpy_j_per_kg,
    ("moist_air", "specific_volume"): lambda row: air(row).volume_m3_per_kg,
    ("moist_air", "specific_volume_saturated"): lambda row: air(row).volume_m3_per_kg,
    ("moist_air", "vapour_partial_pressure"): _vapour_pressure_pa,
    ("moist_air", "water_saturation_pressure"): _saturation_pressure_pa,
    ("units", "water_saturation_pressure_from_us_units"): _saturation_pressure_pa,
}
