"""Coils, condensing or evaporating: up to three zones (vapour, wet, liquid) in pure cross flow, in closed form.

The air flows in parallel slices across the path of the refrigerant, so each slice meets air of the inlet temperature.
With the refrigerant's temperature linear in its enthalpy inside a zone, the way to the next zone, the outlet and the
mean density follow without iteration. Superheated, dry, flooded, subcooled, and a heat flow that has turned round are
one piece of code. Nothing leaves hotter or colder than the air that heats or cools it.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from hvacr_lab.bench.fans import AirStream
from hvacr_lab.bench.fluid import Fluid
from hvacr_lab.bench.fluid_surfaces import Lines
from hvacr_lab.bench.parts import Coil
from hvacr_lab.bench.void_fraction import mean_wet_density

VAPOUR, WET, LIQUID = 0, 1, 2
OIL_LOSS = 0.4
# share of the inner conductance that a full oil film takes away (own value)
_SMALL_FLOW_KG_PER_S = 1e-12
_NEARLY_EVEN = 1e-5


class Conductances(NamedTuple):
    """Refrigerant to inlet air, were the whole coil one zone [W/K]; and the inner conductance of the wet zone."""

    vapour_w_per_k: float
    wet_w_per_k: float
    liquid_w_per_k: float
    wet_inside_w_per_k: float


class CoilResult(NamedTuple):
    """What leaves a coil, the heat it took up (negative: gave off), the refrigerant in it, the length of its zones."""

    enthalpy_j_per_kg: float
    temperature_k: float
    heat_w: float
    charge_kg: float
    vapour_share: float
    wet_share: float
    liquid_share: float
    wet_heat_w: float


class _Step(NamedTuple):
    """One zone: its share of the coil, the enthalpy at its end, log of leaving over entering temperature difference."""

    share: float
    enthalpy: float
    log_ratio: float


def conductances(coil: Coil, air: AirStream, oil_film: float = 0.0) -> Conductances:
    """Conductances of a coil in an air stream.

    Parameters
    ----------
    coil : Coil
    air : AirStream
    oil_film : float [0 ... 1], oil that clings to the inner wall

    Returns
    -------
    Conductances

    Source
    ------
    Resistances in series; air side C (1 - exp(-UA/C)), the effectiveness of a surface of constant temperature.
    """
    outside = air.capacity_w_per_k * air.contact
    inside = coil.ua_refrigerant_w_per_k * (1.0 - OIL_LOSS * oil_film)
    vapour, liquid = inside * coil.vapour_share, inside * coil.liquid_share
    return Conductances(
        vapour * outside / (vapour + outside),
        inside * outside / (inside + outside),
        liquid * outside / (liquid + outside),
        inside,
    )


def coil(
    fluid: Fluid,
    lines: Lines,
    enthalpy_in_j_per_kg: float,
    mass_flow_kg_per_s: float,
    conductance: Conductances,
    air_k: float,
    volume_m3: float,
    past_bubble_line: bool = False,
) -> CoilResult:
    """Refrigerant on its way through a coil.

    Parameters
    ----------
    fluid : Fluid
    lines : Lines, of the pressure in the coil
    enthalpy_in_j_per_kg : float [J/kg]
    mass_flow_kg_per_s : float [kg/s], zero or positive
    conductance : Conductances
    air_k : float [K], air at the inlet of the coil
    volume_m3 : float [m3]
    past_bubble_line : bool, true in a condenser that drains into a partly full receiver: the wet zone goes on below
        the bubble line with the same slope at first, so that a search sees no kink where its answer lies

    Returns
    -------
    CoilResult

    Source
    ------
    Zone by zone effectiveness of a surface in cross flow with one stream unmixed and locally constant, as in the
    documentation of the open heat pump model ACHP; mean density at the log-mean state, own derivation.
    """
    flow = mass_flow_kg_per_s if mass_flow_kg_per_s > _SMALL_FLOW_KG_PER_S else _SMALL_FLOW_KG_PER_S
    enthalpy, temperature = enthalpy_in_j_per_kg, fluid.temperature(lines, enthalpy_in_j_per_kg)
    heating = air_k > temperature
    left, charge, wet_heat = 1.0, 0.0, 0.0
    shares = [0.0, 0.0, 0.0]
    middle = _middle_of_glide(fluid, lines)
    while True:
        zone, edge, edge_k = _zone(lines, enthalpy, heating, middle)
        step = _step(fluid, lines, (enthalpy, temperature), (edge, edge_k), zone, flow, conductance[zone], air_k, left)
        charge += step.share * _mean_density(fluid, lines, zone, enthalpy, step)
        shares[zone] += step.share
        left -= step.share
        if zone == WET:
            wet_heat += flow * (step.enthalpy - enthalpy)
        enthalpy = step.enthalpy
        if left <= 0.0 or edge is None or enthalpy != edge:
            break
        temperature = edge_k
        if past_bubble_line and edge == lines.bubble_j_per_kg and not heating:
            enthalpy, density = _past_bubble_line(lines, conductance[WET] * (edge_k - air_k) * left / flow)
            charge += left * density
            shares[WET] += left
            break
    return CoilResult(
        enthalpy,
        fluid.temperature(lines, enthalpy),
        mass_flow_kg_per_s * (enthalpy - enthalpy_in_j_per_kg),
        charge * volume_m3,
        shares[VAPOUR],
        shares[WET],
        shares[LIQUID],
        wet_heat,
    )


def _middle_of_glide(fluid: Fluid, lines: Lines) -> tuple[float, float] | None:
    """Where a wet zone is divided: the glide of a blend is not straight in enthalpy, its two halves nearly are."""
    if not fluid.glides_far:
        return None
    enthalpy = fluid.enthalpy_of_quality(lines, 0.5)
    return enthalpy, fluid.temperature_of_quality(lines, 0.5)


def _zone(
    lines: Lines, enthalpy: float, heating: bool, middle: tuple[float, float] | None
) -> tuple[int, float | None, float]:
    """Zone in which a state begins, the enthalpy at the end of that zone (None: open), the temperature there."""
    if heating:
        if enthalpy < lines.bubble_j_per_kg:
            return LIQUID, lines.bubble_j_per_kg, lines.bubble_k
        if middle is not None and enthalpy < middle[0]:
            return WET, *middle
        if enthalpy < lines.dew_j_per_kg:
            return WET, lines.dew_j_per_kg, lines.dew_k
        return VAPOUR, None, 0.0
    if enthalpy > lines.dew_j_per_kg:
        return VAPOUR, lines.dew_j_per_kg, lines.dew_k
    if middle is not None and enthalpy > middle[0]:
        return WET, *middle
    if enthalpy > lines.bubble_j_per_kg:
        return WET, lines.bubble_j_per_kg, lines.bubble_k
    return LIQUID, None, 0.0


def _step(
    fluid: Fluid,
    lines: Lines,
    start: tuple[float, float],
    end: tuple[float | None, float],
    zone: int,
    flow: float,
    conductance: float,
    air_k: float,
    left: float,
) -> _Step:
    """The way through a zone: to its end if the coil is long enough, else as far as the coil goes."""
    (enthalpy, temperature), (edge, edge_k) = start, end
    difference = air_k - temperature
    if edge is not None and difference * (air_k - edge_k) > 0.0:
        log_ratio = math.log((air_k - edge_k) / difference)
        needed = flow * abs((edge - enthalpy) / (conductance * difference * _mean_over_first(log_ratio)))
        if needed <= left:
            return _Step(needed, edge, log_ratio)
        part = left / needed
        way = part * _mean_over_first(log_ratio * part) / _mean_over_first(log_ratio)
        return _Step(left, enthalpy + (edge - enthalpy) * way, log_ratio * part)
    if difference == 0.0:
        return _Step(left, enthalpy, 0.0)
    goal = _within_zone(lines, zone, fluid.enthalpy_of_temperature(lines, air_k)) - enthalpy
    heat_capacity = goal / difference
    if heat_capacity <= 0.0:
        return _Step(left, enthalpy, 0.0)
    log_ratio = -conductance * left / (flow * heat_capacity)
    return _Step(left, enthalpy - goal * math.expm1(log_ratio), log_ratio)


def _past_bubble_line(lines: Lines, fall: float) -> tuple[float, float]:
    """Enthalpy and mean density of a wet zone that goes on below the bubble line, by at most one latent heat."""
    fall /= 1.0 + fall / lines.latent_j_per_kg
    return lines.bubble_j_per_kg - fall, mean_wet_density(lines, 0.0, -fall / lines.latent_j_per_kg)


def _within_zone(lines: Lines, zone: int, enthalpy: float) -> float:
    if zone == VAPOUR:
        return max(enthalpy, lines.dew_j_per_kg)
    if zone == LIQUID:
        return min(enthalpy, lines.bubble_j_per_kg)
    return min(max(enthalpy, lines.bubble_j_per_kg), lines.dew_j_per_kg)


def _mean_over_first(log_ratio: float) -> float:
    """Log-mean of a temperature difference over its first value, where the last over the first is exp(log_ratio)."""
    if -_NEARLY_EVEN < log_ratio < _NEARLY_EVEN:
        return 1.0 + log_ratio * (0.5 + log_ratio / 6.0)
    return math.expm1(log_ratio) / log_ratio


def _mean_density(fluid: Fluid, lines: Lines, zone: int, enthalpy: float, step: _Step) -> float:
    log_ratio = step.log_ratio
    if zone == WET:
        ends = fluid.quality(lines, enthalpy), fluid.quality(lines, step.enthalpy)
        return mean_wet_density(lines, *ends, log_ratio)
    if -_NEARLY_EVEN < log_ratio < _NEARLY_EVEN:
        way = 0.5 - log_ratio / 12.0
    else:
        way = (_mean_over_first(log_ratio) - 1.0) / math.expm1(log_ratio)
    return 1.0 / fluid.volume(lines, enthalpy + (step.enthalpy - enthalpy) * way)
