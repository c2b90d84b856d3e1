"""What a coil takes out of the air: sensible and latent load, condensate, apparatus dew point, bypass factor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hvacr_lab.errors import NotUsable, OutOfRange
from hvacr_lab.moist_air import psychrometry
from hvacr_lab.moist_air.air import AirState, air_state, condensed_enthalpy, mix
from hvacr_lab.moist_air.psychrometry import DRY_BULB_LIMITS_K
from hvacr_lab.units import FloatOrArray, checked_number, within


@dataclass(frozen=True, slots=True)
class AirLoad:
    """Heat and water that a stream of air gives up on its way; negative where it takes them up.

    Parameters
    ----------
    sensible_w : float [W], by the fall of the dry bulb
    latent_w : float [W], by the vapour that leaves
    total_w : float [W], sensible and latent
    condensate_kg_per_s : float [kg/s], water that leaves the air
    condensate_w : float [W], heat that the condensate carries away (of the total)
    coil_w : float [W], heat that the coil itself takes up: total less condensate
    sensible_heat_ratio : float or None where there is no load
    notes : tuple of str
    """

    sensible_w: float
    latent_w: float
    total_w: float
    condensate_kg_per_s: float
    condensate_w: float
    coil_w: float
    sensible_heat_ratio: float | None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ApparatusDewPoint:
    """Surface that a coil seems to have: the air that touches it leaves saturated, the rest passes by.

    Parameters
    ----------
    surface : AirState, saturated, at the apparatus dew point
    bypass_factor : float [0 ... 1], share of the air that passes by
    """

    surface: AirState
    bypass_factor: float


def air_load(
    entering: AirState, leaving: AirState, dry_air_kg_per_s: float, *, condensate_k: float | None = None
) -> AirLoad:
    """Sensible and latent load between two states of a stream of air.

    Sensible is counted at the humidity of the leaving air, latent at the dry bulb of the entering air.

    Parameters
    ----------
    entering, leaving : AirState
    dry_air_kg_per_s : float [kg/s dry air], zero or positive
    condensate_k : float [K], temperature at which the water drains; None: the dry bulb of the leaving air

    Returns
    -------
    AirLoad

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    ASHRAE Fundamentals 2017, ch. 1, section on moist-air cooling and dehumidification (energy balance of the coil).

    Examples
    --------
    >>> entering = air_state(303.15, 101_325.0, relative_humidity=0.8)
    >>> leaving = air_state(287.15, 101_325.0, relative_humidity=1.0)
    >>> load = air_load(entering, leaving, 0.1875)
    >>> round(load.total_w), round(load.sensible_heat_ratio, 2), round(load.condensate_kg_per_s * 3600, 1)
    (8636, 0.36, 7.8)
    """
    flow = within("air flow", checked_number(dry_air_kg_per_s, "air flow"), "kg/s", (0.0, None))
    corner_j_per_kg = psychrometry.enthalpy(entering.dry_bulb_k, leaving.humidity_ratio)
    sensible_w = flow * (corner_j_per_kg - leaving.enthalpy_j_per_kg)
    latent_w = flow * (entering.enthalpy_j_per_kg - corner_j_per_kg)
    water_kg_per_s = flow * (entering.humidity_ratio - leaving.humidity_ratio)
    drain_k = leaving.dry_bulb_k if condensate_k is None else condensate_k
    condensate_w = max(water_kg_per_s, 0.0) * condensed_enthalpy(drain_k)
    total_w = sensible_w + latent_w
    return AirLoad(
        sensible_w=sensible_w,
        latent_w=latent_w,
        total_w=total_w,
        condensate_kg_per_s=water_kg_per_s,
        condensate_w=condensate_w,
        coil_w=total_w - condensate_w,
        sensible_heat_ratio=sensible_w / total_w if total_w != 0.0 else None,
        notes=_load_notes(entering, water_kg_per_s, drain_k),
    )


def sensible_heat_ratio(sensible_w: float, latent_w: float) -> float:
    """Share of the load that changes the dry bulb.

    Parameters
    ----------
    sensible_w, latent_w : float [W]

    Returns
    -------
    float

    Raises
    ------
    NotUsable : not a number; no load at all

    Source
    ------
    Definition.

    Examples
    --------
    >>> sensible_heat_ratio(7500.0, 2500.0)
    0.75
    """
    sensible, latent = checked_number(sensible_w, "sensible load"), checked_number(latent_w, "latent load")
    if sensible + latent == 0.0:
        raise NotUsable("load", 0.0, "without a load there is no sensible heat ratio")
    return sensible / (sensible + latent)


def apparatus_dew_point(entering: AirState, leaving: AirState) -> ApparatusDewPoint:
    """Extend the line from entering to leaving air until it meets saturation.

    Parameters
    ----------
    entering, leaving : AirState, of a cooling coil: the leaving air is colder and not moister

    Returns
    -------
    ApparatusDewPoint

    Raises
    ------
    OutOfRange : the leaving air is not colder
    NotUsable : the line does not meet saturation above -40 degC

    Source
    ------
    Definition of the bypass factor (common practice), on a straight line of humidity ratio against dry bulb.

    Examples
    --------
    >>> entering = air_state(299.15, 101_325.0, wet_bulb_k=292.15)
    >>> leaving = air_state(287.15, 101_325.0, wet_bulb_k=286.15)
    >>> found = apparatus_dew_point(entering, leaving)
    >>> round(found.surface.dry_bulb_k - 273.15, 1), round(found.bypass_factor, 2)
    (11.7, 0.16)
    """
    hint = "A bypass factor belongs to a cooling coil. Are entering and leaving air swapped?"
    fall_k = entering.dry_bulb_k - leaving.dry_bulb_k
    if fall_k <= 0.0:
        raise OutOfRange("leaving air", leaving.dry_bulb_k, "K", high=entering.dry_bulb_k, hint=hint)
    slope = (entering.humidity_ratio - leaving.humidity_ratio) / fall_k
    surface_k = _meets_saturation(leaving, slope)
    if surface_k is None:
        why = "the line from entering to leaving air does not meet saturation above -40 degC"
        raise NotUsable("leaving air", f"{leaving.dry_bulb_k:.2f} K", why, hint="Check the wet bulbs.")
    surface = air_state(surface_k, entering.pressure_pa, relative_humidity=1.0)
    return ApparatusDewPoint(surface, (leaving.dry_bulb_k - surface_k) / (entering.dry_bulb_k - surface_k))


def leaving_air(entering: AirState, surface_k: float, bypass_factor: float) -> AirState:
    """Air behind a coil of which surface and bypass factor are known.

    Parameters
    ----------
    entering : AirState
    surface_k : float [K], apparatus dew point; above the dew point of the entering air the coil stays dry
    bypass_factor : float [0 ... 1]

    Returns
    -------
    AirState

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    Definition of the bypass factor (common practice).

    Examples
    --------
    >>> entering = air_state(299.15, 101_325.0, wet_bulb_k=292.15)
    >>> round(leaving_air(entering, 284.95, 0.15).dry_bulb_k - 273.15, 1)
    13.9
    """
    bypass = within("bypass factor", checked_number(bypass_factor, "bypass factor"), "", (0.0, 1.0))
    held = psychrometry.saturation_humidity_ratio(surface_k, entering.pressure_pa)
    surface = air_state(surface_k, entering.pressure_pa, humidity_ratio=min(held, entering.humidity_ratio))
    return mix(entering, bypass, surface, 1.0 - bypass)


def passing_by(entering: FloatOrArray, at_surface: FloatOrArray, bypass_factor: float) -> FloatOrArray:
    """Dry bulb, humidity ratio or enthalpy behind a coil: part as at the surface, part as it entered.

    Parameters
    ----------
    entering : float or array, any of the three
    at_surface : float or array, the same quantity at the surface of the coil
    bypass_factor : float [0 ... 1]

    Returns
    -------
    float or array, in the unit of the input

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    Definition of the bypass factor (common practice); contact factor = 1 - bypass factor.

    Examples
    --------
    >>> round(passing_by(24.0, 7.0, 0.22), 2)
    10.74
    """
    bypass = within("bypass factor", checked_number(bypass_factor, "bypass factor"), "", (0.0, 1.0))
    return bypass * checked_number(entering, "entering air") + (1.0 - bypass) * checked_number(at_surface, "surface")


def surface_from_bypass(entering: FloatOrArray, leaving: FloatOrArray, bypass_factor: float) -> FloatOrArray:
    """Dry bulb, humidity ratio or enthalpy at the surface of a coil, from the air on both sides.

    Parameters
    ----------
    entering, leaving : float or array, any of the three
    bypass_factor : float [0 ... below 1]

    Returns
    -------
    float or array, in the unit of the input

    Raises
    ------
    NotUsable, OutOfRange

    Source
    ------
    Definition of the bypass factor (common practice).

    Examples
    --------
    >>> round(surface_from_bypass(10.0, 27.0, 0.32), 1)
    35.0
    """
    bypass = within("bypass factor", checked_number(bypass_factor, "bypass factor"), "", (0.0, 0.999))
    return (checked_number(leaving, "leaving air") - bypass * checked_number(entering, "entering air")) / (1.0 - bypass)


def _meets_saturation(leaving: AirState, slope_per_k: float) -> float | None:
    """Warmest temperature up to the leaving air at which the line lies on the saturation curve."""
    temperatures = np.linspace(leaving.dry_bulb_k, DRY_BULB_LIMITS_K[0], 2001)
    for _ in range(2):
        line = leaving.humidity_ratio + slope_per_k * (temperatures - leaving.dry_bulb_k)
        above = line - psychrometry.saturation_humidity_ratio(temperatures, leaving.pressure_pa)
        met = np.flatnonzero(above >= -1e-12)
        if met.size == 0:
            return None
        warm, cold = temperatures[max(met[0] - 1, 0)], temperatures[met[0]]
        temperatures = np.linspace(warm, cold, 2001)
    return float(cold)


def _load_notes(entering: AirState, water_kg_per_s: float, drain_k: float) -> tuple[str, ...]:
    if water_kg_per_s < 0.0:
        return ("The air takes up water on its way: there is no condensate.",)
    if water_kg_per_s > 0.0 and entering.dew_point_k is not None and drain_k > entering.dew_point_k:
        return ("Water left the air although it stayed above its dew point. Check the wet bulbs.",)
    return ()
