"""Refrigerant that stands still against a wall: gas, or liquid where the wall is colder than the dew point."""

from __future__ import annotations

from hvacr_lab.bench.fluid import Fluid
from hvacr_lab.bench.fluid_surfaces import Lines

_WALL_K = 0.25
# [K], half width over which a dead end goes from gas to liquid


def density_behind_valve(fluid: Fluid, lines: Lines, wall_k: float) -> float:
    """Density in a dead end open to one pressure: gas, or liquid where the wall is colder than its dew point.

    Parameters
    ----------
    fluid : Fluid
    lines : Lines, of the pressure it is open to
    wall_k : float [K]

    Returns
    -------
    float [kg/m3], passing from gas to liquid within half a kelvin, so that a search finds where it fills
    """
    above = wall_k - lines.dew_k
    gas = 1.0 / fluid.volume(lines, gas_enthalpy(fluid, lines, wall_k))
    if above >= _WALL_K:
        return gas
    liquid = 1.0 / fluid.volume(lines, liquid_enthalpy(fluid, lines, wall_k))
    share = min(0.5 - 0.5 * above / _WALL_K, 1.0)
    share *= share * (3.0 - 2.0 * share)
    return share * liquid + (1.0 - share) * gas


def gas_enthalpy(fluid: Fluid, lines: Lines, wall_k: float) -> float:
    """Enthalpy of gas at the temperature of a wall, or at the dew point where the wall is colder.

    Parameters
    ----------
    fluid : Fluid
    lines : Lines
    wall_k : float [K]

    Returns
    -------
    float [J/kg]
    """
    return fluid.enthalpy_of_temperature(lines, wall_k) if wall_k > lines.dew_k else lines.dew_j_per_kg


def liquid_enthalpy(fluid: Fluid, lines: Lines, wall_k: float) -> float:
    """Enthalpy of liquid at the temperature of a wall, or at the bubble point where the wall is warmer.

    Parameters
    ----------
    fluid : Fluid
    lines : Lines
    wall_k : float [K]

    Returns
    -------
    float [J/kg]
    """
    return fluid.enthalpy_of_temperature(lines, wall_k) if wall_k < lines.bubble_k else lines.bubble_j_per_kg
