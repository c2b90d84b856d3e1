"""Capillary tubes: liquid, flashing, wet or gas at the inlet, choked or not, in one explicit formula.

Adiabatic homogeneous flow along an isenthalp. From the flash point on, the volume is written as v = A + B/p, fitted
through the flash point and 45 % of its pressure; then friction and acceleration integrate in closed form. The flow
chokes where a lower exit pressure would no longer raise it: there it stays, with no corner.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

from hvacr_lab.bench.fluid import Fluid
from hvacr_lab.bench.fluid_surfaces import Lines
from hvacr_lab.bench.parts import Capillary

_SECOND_POINT = 0.45
# pressure over flash pressure at which v = A + B/p meets the isenthalp (own value)
_FRICTION, _FRICTION_FLOOR = 0.25, 0.004
# f = 0.25 Re^-0.25 + 0.004: Blasius' law lowered by a fifth, and a constant for roughness; fitted (own values)
_FIRST_FRICTION = 0.02
_PASSES = 3
_ROUNDS = 30
_CLOSE = 1e-11
_LOWEST = 0.02
# exit pressure over flash pressure below which no choking point is looked for (own value)
_FLAT = 1e-3
_VAPOUR_VISCOSITY_PA_S = 1.2e-5
# [Pa s], of refrigerant vapours at room temperature, 1.0e-5 ... 1.4e-5 (from memory)
_SMOOTH_PA = 100.0
# below this pressure difference the flow is proportional to it, as in `valves.orifice_flow`


class CapillaryResult(NamedTuple):
    """Flow through a capillary tube, where the liquid begins to boil, and the pressure with which it leaves."""

    mass_flow_kg_per_s: float
    flash_pa: float
    exit_pa: float
    choked: bool


class _Isenthalp(NamedTuple):
    """Volume along the tube: liquid_volume down to the flash pressure, then a + b/p; the drive of the liquid part."""

    flash_pa: float
    volume: float
    a: float
    b: float
    liquid_drive: float


def capillary_flow(
    capillary: Capillary,
    fluid: Fluid,
    inlet: Lines,
    enthalpy_j_per_kg: float,
    outlet_pa: float,
    series_area_m2: float = math.inf,
) -> CapillaryResult:
    """Flow through a capillary tube behind a hand valve.

    Parameters
    ----------
    capillary : Capillary
    fluid : Fluid
    inlet : Lines, of the pressure before the hand valve
    enthalpy_j_per_kg : float [J/kg], before it
    outlet_pa : float [Pa absolute], after the tube
    series_area_m2 : float [m2], of a hand valve or kink before the tube, discharge coefficient in it

    Returns
    -------
    CapillaryResult

    Source
    ------
    Momentum equation of homogeneous equilibrium flow; one equation of the same class: C. J. L. Hermes, C. Melo and
    F. T. Knabben, Applied Thermal Engineering 30 (2010) 449-457. Choking as the largest flow over the exit pressure.
    """
    pressure_pa = inlet.pressure_pa
    difference_pa = pressure_pa - outlet_pa
    if difference_pa <= 0.0 or series_area_m2 <= 0.0:
        return CapillaryResult(0.0, pressure_pa, pressure_pa, False)
    way = _isenthalp(fluid, inlet, enthalpy_j_per_kg)
    bore_m2 = 0.25 * math.pi * capillary.diameter_m**2
    reynolds_per_flow = capillary.diameter_m / (bore_m2 * _inlet_viscosity(fluid, inlet, enthalpy_j_per_kg))
    per_friction = capillary.length_m / (2.0 * capillary.diameter_m)
    valve = 0.5 * (bore_m2 / series_area_m2) ** 2
    friction, choke_pa, flow = _FIRST_FRICTION, _SECOND_POINT * way.flash_pa, 0.0
    exit_pa = outlet_pa
    for _ in range(_PASSES):
        drag = friction * per_friction + valve
        exit_pa = outlet_pa
        if outlet_pa < way.flash_pa:
            choke_pa = _choke(way, drag, choke_pa)
            exit_pa = max(choke_pa, outlet_pa)
        flow = bore_m2 * math.sqrt(_drive(way, exit_pa) / (drag + _acceleration(way, exit_pa)))
        friction = _FRICTION * (flow * reynolds_per_flow) ** -0.25 + _FRICTION_FLOOR
    gentle = math.sqrt(difference_pa / (difference_pa + _SMOOTH_PA))
    return CapillaryResult(flow * gentle, way.flash_pa, exit_pa, exit_pa > outlet_pa)


def _isenthalp(fluid: Fluid, inlet: Lines, enthalpy: float) -> _Isenthalp:
    pressure_pa = inlet.pressure_pa
    volume = fluid.volume(inlet, enthalpy)
    flash_pa = pressure_pa
    if enthalpy < inlet.bubble_j_per_kg:
        flash_pa = min(fluid.pressure_of_bubble_enthalpy(enthalpy, pressure_pa), pressure_pa)
    second_pa = _SECOND_POINT * flash_pa
    second = fluid.volume(fluid.lines(second_pa), enthalpy)
    b = max(second - volume, 1e-3 * volume) / (1.0 / second_pa - 1.0 / flash_pa)
    return _Isenthalp(flash_pa, volume, volume - b / flash_pa, b, (pressure_pa - flash_pa) / volume)


def _drive(way: _Isenthalp, exit_pa: float) -> float:
    """Integral of dp/v from the inlet to the exit."""
    first, a, b = way.flash_pa, way.a, way.b
    if exit_pa >= first:
        return way.liquid_drive - (exit_pa - first) / way.volume
    if abs(a) * first < _FLAT * b:
        squares, cubes = first**2 - exit_pa**2, first**3 - exit_pa**3
        fourths = first**4 - exit_pa**4
        return way.liquid_drive + squares / (2.0 * b) - a * cubes / (3.0 * b * b) + a * a * fourths / (4.0 * b**3)
    bend = b / (a * a) * math.log((a * first + b) / (a * exit_pa + b))
    return way.liquid_drive + (first - exit_pa) / a - bend


def _acceleration(way: _Isenthalp, exit_pa: float) -> float:
    if exit_pa >= way.flash_pa:
        return 0.0
    return math.log((way.a + way.b / exit_pa) / way.volume)


def _choke(way: _Isenthalp, drag: float, start_pa: float) -> float:
    """Exit pressure of the largest flow: Newton's method on a rising concave function, whose slope is simple."""
    lowest = _LOWEST * way.flash_pa
    pressure = start_pa
    for _ in range(_ROUNDS):
        drive_by_b = _drive(way, pressure) * way.b
        miss = (drag + _acceleration(way, pressure)) * pressure * pressure / drive_by_b - 1.0 if drive_by_b else 1.0
        better = min(max(pressure * (1.0 - 0.5 * miss), 0.5 * pressure, lowest), way.flash_pa)
        if abs(better - pressure) < _CLOSE * pressure:
            return better
        pressure = better
    return pressure


def _inlet_viscosity(fluid: Fluid, inlet: Lines, enthalpy: float) -> float:
    """Of the liquid, or of the wet vapour as one fluid (McAdams, 1942: fluidities add by mass)."""
    if enthalpy <= inlet.bubble_j_per_kg:
        return liquid_viscosity_pa_s(fluid, fluid.temperature(inlet, enthalpy))
    quality = min((enthalpy - inlet.bubble_j_per_kg) / inlet.latent_j_per_kg, 1.0)
    liquid = liquid_viscosity_pa_s(fluid, inlet.bubble_k)
    return 1.0 / (quality / _VAPOUR_VISCOSITY_PA_S + (1.0 - quality) / liquid)


def liquid_viscosity_pa_s(fluid: Fluid, temperature_k: float) -> float:
    """Viscosity of boiling liquid, estimated from critical point, molar mass and vapour pressure.

    Parameters
    ----------
    fluid : Fluid
    temperature_k : float [K]

    Returns
    -------
    float [Pa s], within about a fifth; its fourth root enters the friction

    Source
    ------
    A. Letsou and L. I. Stiel, AIChE Journal 19 (1973) 409-411, in the SI form of the open library chemicals;
    tests/bench compares it with that library and with published viscosities.

    Examples
    --------
    >>> from hvacr_lab.bench.fluid import fluid_of
    >>> round(liquid_viscosity_pa_s(fluid_of("R-134a"), 313.15) * 1e6)
    144
    """
    scale, acentric = _viscosity_scale(fluid)
    t = min(max(temperature_k / fluid.critical_temperature_k, 0.5), 0.98)
    simple = 1.5174 - 2.135 * t + 0.75 * t * t
    departure = 4.2552 - 7.674 * t + 3.4 * t * t
    return scale * (simple + acentric * departure)


@lru_cache(maxsize=64)
def _viscosity_scale(fluid: Fluid) -> tuple[float, float]:
    """Viscosity that corresponding states are counted in, and the acentric factor."""
    molar_mass_g = 1e3 * fluid.molar_mass_kg_per_mol
    sixth_root = math.pow(fluid.critical_temperature_k, 1.0 / 6.0)
    inverse = 2173.424 * sixth_root / (math.sqrt(molar_mass_g) * math.pow(fluid.critical_pressure_pa, 2.0 / 3.0))
    acentric = -math.log10(fluid.dew_pressure(0.7 * fluid.critical_temperature_k) / fluid.critical_pressure_pa) - 1.0
    return 1e-5 / inverse, acentric
