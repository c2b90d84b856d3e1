"""Expansion valves and hand valves: orifices whose opening follows what they feel. Tubes are in `capillary`."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NamedTuple

from hvacr_lab.bench.capillary import capillary_flow
from hvacr_lab.bench.fluid import Fluid
from hvacr_lab.bench.fluid_surfaces import Lines
from hvacr_lab.bench.parts import Capillary, ConstantPressureValve, Metering, ThermostaticValve

BLEED = 0.005
# opening that is left when a valve is shut: keeps a search from losing its way (own value)
MAXIMUM_PRESSURE_BAND = 0.12
# share of the maximum operating pressure above it within which the valve closes fully (own value)
_CLIP_WIDTH = 0.02
_SMOOTH_PA = 100.0
# below this pressure difference the flow is proportional to it: no endless slope at zero
WIDE_OPEN_M2 = math.inf
"""Area of a hand valve that is not there."""


class Sensed(NamedTuple):
    """What a thermostatic valve feels, and what is wrong with it; other devices ignore it."""

    bulb_k: float = 273.15
    saturation_k: float = 273.15
    # dew temperature of the pressure under the diaphragm: at the bulb if externally equalised, else at the valve outlet
    charge_lost: float = 0.0
    stuck_at: float | None = None


class MeteringResult(NamedTuple):
    """Flow through a metering device and how far it is open (1 for a capillary tube)."""

    mass_flow_kg_per_s: float
    opening: float


def orifice_flow(area_m2: float, density_kg_per_m3: float, difference_pa: float) -> float:
    """Mass flow through an orifice; flash gas at its inlet starves it by its density.

    Parameters
    ----------
    area_m2 : float [m2], discharge coefficient in it
    density_kg_per_m3 : float [kg/m3], at the inlet
    difference_pa : float [Pa], nothing flows backwards

    Returns
    -------
    float [kg/s]

    Source
    ------
    Orifice equation m = K sqrt(2 rho dp), any textbook on fluid mechanics; below 100 Pa made proportional.

    Examples
    --------
    >>> round(orifice_flow(1.6e-7, 1200.0, 7e5) * 3600, 1)
    23.6
    """
    if difference_pa <= 0.0:
        return 0.0
    return area_m2 * math.sqrt(2.0 * density_kg_per_m3) * difference_pa / math.sqrt(difference_pa + _SMOOTH_PA)


def series_area(first_m2: float, second_m2: float) -> float:
    """Area of two restrictions one after the other.

    Parameters
    ----------
    first_m2, second_m2 : float [m2]; WIDE_OPEN_M2 where there is none

    Returns
    -------
    float [m2]

    Source
    ------
    Pressure drops add: 1/K2 is the sum of both; any textbook on fluid mechanics.

    Examples
    --------
    >>> round(series_area(3e-6, 4e-6) * 1e6, 2), series_area(3e-6, WIDE_OPEN_M2), series_area(3e-6, 0.0)
    (2.4, 3e-06, 0.0)
    """
    if first_m2 <= 0.0 or second_m2 <= 0.0:
        return 0.0
    return 1.0 / math.sqrt(1.0 / (first_m2 * first_m2) + 1.0 / (second_m2 * second_m2))


def smooth_opening(stroke: float) -> float:
    """Opening of a valve from the stroke it is told: 0 ... 1 without corners, never quite shut.

    Parameters
    ----------
    stroke : float, any number

    Returns
    -------
    float, BLEED ... 1

    Source
    ------
    Own formula.

    Examples
    --------
    >>> [round(smooth_opening(stroke), 3) for stroke in (-5.0, 0.0, 0.5, 1.0, 6.0)]
    [0.005, 0.015, 0.502, 0.99, 1.0]
    """
    width = _CLIP_WIDTH * _CLIP_WIDTH
    short = stroke - 1.0
    share = 0.5 + 0.5 * (math.sqrt(stroke * stroke + width) - math.sqrt(short * short + width))
    return BLEED + (1.0 - BLEED) * share


def thermostatic_opening(valve: ThermostaticValve, outlet_pa: float, sensed: Sensed) -> float:
    """Opening of a thermostatic valve.

    Parameters
    ----------
    valve : ThermostaticValve
    outlet_pa : float [Pa absolute], evaporator side; decides whether the maximum operating pressure closes it
    sensed : Sensed

    Returns
    -------
    float, BLEED ... 1

    Source
    ------
    Static superheat, then opening in proportion to superheat; maximum operating pressure: the definitions of valve
    catalogues (common practice).
    """
    if sensed.stuck_at is not None:
        return BLEED + (1.0 - BLEED) * sensed.stuck_at
    superheat = sensed.bulb_k - sensed.saturation_k
    stroke = (superheat - valve.static_superheat_k) / valve.opening_superheat_k
    limit = valve.maximum_operating_pressure_pa
    over = (outlet_pa - limit) / (MAXIMUM_PRESSURE_BAND * limit)
    closing = 0.5 * (over + math.sqrt(over * over + _CLIP_WIDTH * _CLIP_WIDTH))
    opening = smooth_opening(stroke - closing)
    return BLEED + (opening - BLEED) * (1.0 - sensed.charge_lost)


def constant_pressure_opening(valve: ConstantPressureValve, outlet_pa: float, sensed: Sensed) -> float:
    """Opening of a constant-pressure valve.

    Parameters
    ----------
    valve : ConstantPressureValve
    outlet_pa : float [Pa absolute]
    sensed : Sensed, only for a valve that is stuck

    Returns
    -------
    float, BLEED ... 1

    Source
    ------
    Opens in proportion as its outlet pressure falls below the setting (common practice).
    """
    if sensed.stuck_at is not None:
        return BLEED + (1.0 - BLEED) * sensed.stuck_at
    return smooth_opening((valve.setting_pa - outlet_pa) / valve.opening_pa)


def metering_flow(
    device: Metering,
    fluid: Fluid,
    inlet: Lines,
    enthalpy_j_per_kg: float,
    outlet_pa: float,
    sensed: Sensed,
    hand_area_m2: float = WIDE_OPEN_M2,
) -> MeteringResult:
    """Flow through a metering device behind a hand valve.

    Parameters
    ----------
    device : Capillary, ThermostaticValve or ConstantPressureValve
    fluid : Fluid
    inlet : Lines, of the pressure before the hand valve
    enthalpy_j_per_kg : float [J/kg], before it
    outlet_pa : float [Pa absolute], after the device
    sensed : Sensed
    hand_area_m2 : float [m2], of everything in series with it: area times opening, discharge coefficient in it

    Returns
    -------
    MeteringResult
    """
    return _METERING[type(device)](device, fluid, inlet, enthalpy_j_per_kg, outlet_pa, sensed, hand_area_m2)


def _through_capillary(
    device: Any, fluid: Fluid, inlet: Lines, enthalpy: float, outlet_pa: float, sensed: Sensed, hand_area_m2: float
) -> MeteringResult:
    return MeteringResult(
        capillary_flow(device, fluid, inlet, enthalpy, outlet_pa, hand_area_m2).mass_flow_kg_per_s, 1.0
    )


def _through_valve(opening_of: Callable[[Any, float, Sensed], float]) -> Callable[..., MeteringResult]:
    def through(
        device: Any, fluid: Fluid, inlet: Lines, enthalpy: float, outlet_pa: float, sensed: Sensed, hand_area_m2: float
    ) -> MeteringResult:
        opening = opening_of(device, outlet_pa, sensed)
        area = series_area(device.flow_area_m2 * opening, hand_area_m2)
        density = 1.0 / fluid.volume(inlet, enthalpy)
        return MeteringResult(orifice_flow(area, density, inlet.pressure_pa - outlet_pa), opening)

    return through


_METERING: dict[type, Callable[..., MeteringResult]] = {
    Capillary: _through_capillary,
    ThermostaticValve: _through_valve(thermostatic_opening),
    ConstantPressureValve: _through_valve(constant_pressure_opening),
}
