"""Coils colder than the dew point of the air: water or frost on the fins adds to the heat, and the air leaves drier.

The air in contact with the surface leaves it saturated at the temperature of the surface, the rest bypasses. Enthalpy
takes the place of temperature on the air side. A dry coil is the case in which the surface is above the dew point.
"""

from __future__ import annotations

from typing import NamedTuple

from hvacr_lab.bench.coils import CoilResult, Conductances
from hvacr_lab.bench.fans import AirStream
from hvacr_lab.bench.fluid_surfaces import Lines
from hvacr_lab.moist_air.psychrometry import (
    DRY_AIR_HEAT_J_PER_KG_K,
    VAPOUR_ENTHALPY_J_PER_KG,
    VAPOUR_HEAT_J_PER_KG_K,
    WATER_TO_AIR,
)
from hvacr_lab.moist_air.saturation import saturation_and_slope
from hvacr_lab.units import ICE_POINT_K, STANDARD_ATMOSPHERE_PA

_COLDEST_K, _WARMEST_K = 173.15, 363.15
# range in which the saturation curve of water is read; the ends stand for what lies beyond (own value)
_LARGEST_SHARE = 0.8
# vapour pressure over barometer at which the humidity ratio is held (own value)
_ROUNDS = 20
_CLOSE_K = 1e-10


class Air(NamedTuple):
    """Air at the inlet of a coil."""

    temperature_k: float
    humidity_ratio: float
    pressure_pa: float = STANDARD_ATMOSPHERE_PA


class AirResult(NamedTuple):
    """What a coil did to the air; heat positive where the air gives it up."""

    temperature_k: float
    humidity_ratio: float
    sensible_w: float
    latent_w: float
    condensate_kg_per_s: float
    surface_k: float


def humid_enthalpy(temperature_k: float, humidity_ratio: float) -> float:
    """Enthalpy of moist air, zero for dry air and liquid water at 0 degC.

    Parameters
    ----------
    temperature_k : float [K]
    humidity_ratio : float [kg/kg dry air]

    Returns
    -------
    float [J/kg dry air]

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eq. 30.
    """
    celsius = temperature_k - ICE_POINT_K
    vapour = VAPOUR_ENTHALPY_J_PER_KG + VAPOUR_HEAT_J_PER_KG_K * celsius
    return DRY_AIR_HEAT_J_PER_KG_K * celsius + humidity_ratio * vapour


def saturated(temperature_k: float, pressure_pa: float) -> tuple[float, float]:
    """Humidity ratio of saturated air and its slope, without checks; over ice below 0.01 degC.

    Parameters
    ----------
    temperature_k : float [K]
    pressure_pa : float [Pa], barometer

    Returns
    -------
    (humidity ratio, slope) [kg/kg dry air, 1/K]

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, eqs. 5, 6 and 20.
    """
    inside = min(max(temperature_k, _COLDEST_K), _WARMEST_K)
    vapour_pa, growth = saturation_and_slope(inside)
    vapour_pa = min(vapour_pa, _LARGEST_SHARE * pressure_pa)
    rest = pressure_pa - vapour_pa
    ratio = WATER_TO_AIR * vapour_pa / rest
    return ratio, ratio * growth * pressure_pa / rest


def wet_surface_k(inside_w_per_k: float, refrigerant_k: float, stream: AirStream, air: Air) -> float:
    """Temperature of a wetted surface between refrigerant and air.

    Parameters
    ----------
    inside_w_per_k : float [W/K], refrigerant to surface
    refrigerant_k : float [K], below the air
    stream : AirStream
    air : Air

    Returns
    -------
    float [K]

    Source
    ------
    Enthalpy potential with a bypass factor (J. L. Threlkeld, Thermal Environmental Engineering; wet coil analysis of
    J. E. Braun, as in the documentation of the open heat pump model ACHP): what reaches the refrigerant equals what
    the air in contact loses on its way to saturation at the surface. Newton's method from above on a convex function.
    """
    contact_kg_per_s = stream.flow_kg_per_s * stream.contact
    surface_k = air.temperature_k
    for _ in range(_ROUNDS):
        drop, slope = _drop(stream, air, surface_k)
        miss = inside_w_per_k * (surface_k - refrigerant_k) - contact_kg_per_s * drop
        step = miss / (inside_w_per_k + contact_kg_per_s * slope)
        surface_k = min(max(surface_k - step, refrigerant_k), air.temperature_k)
        if -_CLOSE_K < step < _CLOSE_K:
            break
    return surface_k


def _drop(stream: AirStream, air: Air, surface_k: float) -> tuple[float, float]:
    """Enthalpy that air loses on its way to saturation at the surface, and how that falls as the surface warms.

    Sensible heat by the capacity of the stream, so that wet and dry meet where the surface has the dew point.
    """
    ratio, growth = saturated(surface_k, air.pressure_pa)
    heat_j_per_kg_k = stream.capacity_w_per_k / stream.flow_kg_per_s
    vapour = VAPOUR_ENTHALPY_J_PER_KG + VAPOUR_HEAT_J_PER_KG_K * (surface_k - ICE_POINT_K)
    drop = heat_j_per_kg_k * (air.temperature_k - surface_k) + (air.humidity_ratio - ratio) * vapour
    slope = heat_j_per_kg_k + growth * vapour - (air.humidity_ratio - ratio) * VAPOUR_HEAT_J_PER_KG_K
    return drop, slope


def wetted(dry: Conductances, stream: AirStream, air: Air, lines: Lines, inlet_k: float) -> tuple[Conductances, float]:
    """Conductances of a cooling coil once water condenses or freezes on it, and the temperature of its surface.

    Parameters
    ----------
    dry : Conductances
    stream : AirStream
    air : Air
    lines : Lines, of the pressure in the coil
    inlet_k : float [K], refrigerant at the inlet; its mean with the dew point stands for the wet zone

    Returns
    -------
    (Conductances, surface temperature [K]); the dry ones as they are where the surface stays above the dew point

    Source
    ------
    As `wet_surface_k`; the larger of wet and dry conductance, which are equal where the surface has the dew point.
    """
    refrigerant_k = 0.5 * (min(max(inlet_k, lines.bubble_k), lines.dew_k) + lines.dew_k)
    warmer = air.temperature_k - refrigerant_k
    if warmer <= 0.0:
        return dry, air.temperature_k
    surface_k = refrigerant_k + dry.wet_w_per_k * warmer / dry.wet_inside_w_per_k
    if saturated(surface_k, air.pressure_pa)[0] >= air.humidity_ratio:
        return dry, surface_k
    surface_k = wet_surface_k(dry.wet_inside_w_per_k, refrigerant_k, stream, air)
    wet = dry.wet_inside_w_per_k * (surface_k - refrigerant_k) / warmer
    return dry._replace(wet_w_per_k=max(wet, dry.wet_w_per_k)), surface_k


def air_leaving(result: CoilResult, stream: AirStream, air: Air, surface_k: float) -> AirResult:
    """Air after a coil: the slices along the wet zone dried on the line to saturation at the surface, then mixed.

    Parameters
    ----------
    result : CoilResult
    stream : AirStream
    air : Air
    surface_k : float [K], from `wetted`

    Returns
    -------
    AirResult; the heat of the condensate, about one percent of the total, is left in the air

    Source
    ------
    Straight line on the psychrometric chart towards the state of the surface (bypass factor, common practice);
    latent heat at the dry bulb of the entering air as in ASHRAE Fundamentals 2017, ch. 1.
    """
    flow = stream.flow_kg_per_s
    entering = humid_enthalpy(air.temperature_k, air.humidity_ratio)
    dried = _dried(result, stream, air, surface_k)
    enthalpy = entering - result.heat_w / flow
    humidity = air.humidity_ratio - dried
    heat_of_vapour = VAPOUR_ENTHALPY_J_PER_KG + VAPOUR_HEAT_J_PER_KG_K * (air.temperature_k - ICE_POINT_K)
    latent_w = flow * dried * heat_of_vapour
    capacity = DRY_AIR_HEAT_J_PER_KG_K + humidity * VAPOUR_HEAT_J_PER_KG_K
    celsius = (enthalpy - humidity * VAPOUR_ENTHALPY_J_PER_KG) / capacity
    return AirResult(celsius + ICE_POINT_K, humidity, result.heat_w - latent_w, latent_w, flow * dried, surface_k)


def _dried(result: CoilResult, stream: AirStream, air: Air, surface_k: float) -> float:
    """Water that leaves each kilogram of dry air."""
    on_surface = saturated(surface_k, air.pressure_pa)[0]
    if on_surface >= air.humidity_ratio or result.wet_heat_w <= 0.0:
        return 0.0
    drop, _ = _drop(stream, air, surface_k)
    if drop <= 0.0:
        return 0.0
    share = min(result.wet_heat_w / (stream.flow_kg_per_s * drop), result.wet_share)
    # of all air, the part that has reached the state of the surface; not more than passes the wet zone
    return share * (air.humidity_ratio - on_surface)
