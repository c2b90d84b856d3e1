"""The hermetic compressor: re-expansion of the clearance gas, an efficiency that peaks at one pressure ratio.

Everything that a solver must be able to cross is smooth: the volumetric efficiency reaches zero without a corner, the
efficiency never does. The power at no flow is lost through the shell, not put into the gas, so that the discharge
temperature stays finite when no gas flows.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from hvacr_lab.bench.fluid import Fluid
from hvacr_lab.bench.fluid_surfaces import Lines
from hvacr_lab.bench.parts import Compressor

WORN_FILLING_LOSS = 0.35
# volumetric efficiency lost at full wear of the valves (own value)
WORN_LOSS_PER_RATIO = 0.04
# the same per unit of pressure ratio above one (own value)
WORN_EFFICIENCY_LOSS = 0.3
# share of the isentropic efficiency lost at full wear (own value)
_FALL_BELOW_PEAK = 1.6
# share of the peak efficiency lost below it, by the square of the distance over the ratio at the peak (own value)
_ROUND_TOP = 0.5
# pressure ratio over which the top is rounded before the efficiency falls in a straight line (own value)
_LEAST_EFFICIENCY = 0.1
# share of the peak towards which the efficiency falls at last (own value)
_CORNER = 1e-6


class CompressorResult(NamedTuple):
    """What a compressor does between two pressures."""

    mass_flow_kg_per_s: float
    enthalpy_j_per_kg: float
    power_w: float
    shell_heat_w: float
    inlet_enthalpy_j_per_kg: float
    # after the heat of motor and shell, where the gas enters the cylinder
    volumetric_efficiency: float
    isentropic_efficiency: float


def compressor_flow(
    compressor: Compressor,
    fluid: Fluid,
    suction: Lines,
    enthalpy_j_per_kg: float,
    discharge: Lines,
    wear: float = 0.0,
    speed_share: float = 1.0,
    extra_idle_w: float = 0.0,
) -> CompressorResult:
    """Flow, power and discharge enthalpy of a running compressor.

    Parameters
    ----------
    compressor : Compressor
    fluid : Fluid
    suction, discharge : Lines, of the pressures at its ports
    enthalpy_j_per_kg : float [J/kg], at the suction port; wet gas needs no special case
    wear : float [0 ... 1], of valves and rings
    speed_share : float, speed over nominal speed
    extra_idle_w : float [W], lost in worn bearings

    Returns
    -------
    CompressorResult

    Source
    ------
    Clearance volumetric efficiency and isentropic efficiency as in any textbook on refrigeration (ASHRAE Handbook HVAC
    Systems and Equipment, compressors; from memory).
    """
    ratio = discharge.pressure_pa / suction.pressure_pa
    filling = volumetric_efficiency(compressor, ratio, wear)
    efficiency = isentropic_efficiency(compressor, ratio, wear)
    warmed = enthalpy_j_per_kg + compressor.suction_heat_j_per_kg
    inlet = fluid.state(suction, warmed)
    flow = filling * compressor.displacement_m3_per_s * speed_share / inlet.volume_m3_per_kg
    rise = max(fluid.isentropic_enthalpy(discharge, inlet.entropy_j_per_kg_k) - warmed, 0.0)
    work = rise / efficiency + compressor.suction_heat_j_per_kg
    idle_w = compressor.idle_w + extra_idle_w
    outlet = enthalpy_j_per_kg + (1.0 - compressor.shell_loss) * work
    shell_w = compressor.shell_loss * flow * work + idle_w
    return CompressorResult(flow, outlet, flow * work + idle_w, shell_w, warmed, filling, efficiency)


def volumetric_efficiency(compressor: Compressor, ratio: float, wear: float = 0.0) -> float:
    """Volume drawn in over volume swept.

    Parameters
    ----------
    compressor : Compressor
    ratio : float, discharge over suction pressure
    wear : float [0 ... 1], of valves and rings

    Returns
    -------
    float, above zero, without a corner where the clearance gas fills the cylinder

    Source
    ------
    1 + C - C r^(1/n), clearance C, polytropic exponent n; any textbook on refrigeration.
    """
    clearance = compressor.clearance
    filled = 1.0 + clearance - clearance * math.pow(ratio, 1.0 / compressor.polytropic_exponent)
    filled -= wear * (WORN_FILLING_LOSS + WORN_LOSS_PER_RATIO * (ratio - 1.0))
    return compressor.filling * 0.5 * (filled + math.sqrt(filled * filled + _CORNER))


def isentropic_efficiency(compressor: Compressor, ratio: float, wear: float = 0.0) -> float:
    """Work of a loss-free compression over electrical work, without the idle power.

    Parameters
    ----------
    compressor : Compressor
    ratio : float, discharge over suction pressure
    wear : float [0 ... 1], of valves and rings

    Returns
    -------
    float, highest at the ratio of the peak, never zero

    Source
    ------
    Own shape: a parabola below the peak, a straight fall above it; both the peak near a ratio of 2.5 and the fall are
    what the published heat pump and compressor curves ask for (tests/bench).
    """
    above = ratio - compressor.ratio_at_peak
    if above > 0.0:
        share = 1.0 - compressor.isentropic_falloff * (math.sqrt(above * above + _ROUND_TOP**2) - _ROUND_TOP)
    else:
        share = 1.0 - _FALL_BELOW_PEAK * (above / compressor.ratio_at_peak) ** 2
    least = _LEAST_EFFICIENCY
    if share < 2.0 * least:
        share = least + least * math.exp(max(share / least - 2.0, -700.0))
    return compressor.isentropic_peak * (1.0 - WORN_EFFICIENCY_LOSS * wear) * share


def motor_current_a(compressor: Compressor, power_w: float) -> float:
    """Current of the running motor.

    Parameters
    ----------
    compressor : Compressor
    power_w : float [W], electrical

    Returns
    -------
    float [A], not more than with the rotor locked

    Source
    ------
    Single phase: the magnetising current stands at right angles to the current that carries the power; any textbook
    on electric motors.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> motor = SimpleNamespace(no_load_a=0.9, voltage_v=230.0, locked_rotor_a=12.0)
    >>> round(motor_current_a(motor, 276.0), 2)
    1.5
    """
    return min(math.hypot(compressor.no_load_a, power_w / compressor.voltage_v), compressor.locked_rotor_a)
