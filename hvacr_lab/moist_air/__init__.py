"""Moist air, SI only, at the local barometer: plain-number functions, states, mixing, and what a coil does to air."""

from hvacr_lab.moist_air.air import AirState, air_state, condensed_enthalpy, dry_air_flow, mix
from hvacr_lab.moist_air.coil import (
    AirLoad,
    ApparatusDewPoint,
    air_load,
    apparatus_dew_point,
    leaving_air,
    passing_by,
    sensible_heat_ratio,
    surface_from_bypass,
)
from hvacr_lab.moist_air.psychrometry import (
    DRY_BULB_LIMITS_K,
    PRESSURE_LIMITS_PA,
    dew_point,
    dry_bulb_of_enthalpy,
    enthalpy,
    humidity_ratio,
    humidity_ratio_of_vapour,
    relative_humidity,
    saturation_humidity_ratio,
    specific_volume,
    vapour_pressure,
    wet_bulb,
)
from hvacr_lab.moist_air.saturation import saturation_pressure, saturation_temperature

__all__ = [
    "DRY_BULB_LIMITS_K",
    "PRESSURE_LIMITS_PA",
    "AirLoad",
    "AirState",
    "ApparatusDewPoint",
    "air_load",
    "air_state",
    "apparatus_dew_point",
    "condensed_enthalpy",
    "dew_point",
    "dry_air_flow",
    "dry_bulb_of_enthalpy",
    "enthalpy",
    "humidity_ratio",
    "humidity_ratio_of_vapour",
    "leaving_air",
    "mix",
    "passing_by",
    "relative_humidity",
    "saturation_humidity_ratio",
    "saturation_pressure",
    "saturation_temperature",
    "sensible_heat_ratio",
    "specific_volume",
    "surface_from_bypass",
    "vapour_pressure",
    "wet_bulb",
]
