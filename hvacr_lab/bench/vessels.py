"""Receiver, accumulator and plain volumes: what they hold and what they let through."""

from __future__ import annotations

import math

from hvacr_lab.bench.fluid import Fluid
from hvacr_lab.bench.fluid_surfaces import Lines
from hvacr_lab.bench.void_fraction import density

_NEVER = 1e-9


def receiver_charge_kg(lines: Lines, volume_m3: float, level: float) -> float:
    """Refrigerant in a receiver.

    Wet vapour that enters an empty receiver leaves through the dip tube as it came, and the vessel stays full of
    vapour: level 0. Subcooled liquid fills it: level 1.

    Parameters
    ----------
    lines : Lines, of the pressure in it
    volume_m3 : float [m3]
    level : float [0 ... 1], liquid volume over volume

    Returns
    -------
    float [kg]

    Source
    ------
    Definition: boiling liquid below a free surface, dry vapour above it.

    Examples
    --------
    >>> from hvacr_lab.bench.fluid import fluid_of
    >>> round(receiver_charge_kg(fluid_of("R-134a").lines(9e5), 0.8e-3, 0.25), 3)
    0.26
    """
    return volume_m3 * (level / lines.bubble_m3_per_kg + (1.0 - level) / lines.dew_m3_per_kg)


def accumulator_fill(quality: float, bleed_quality: float, bleed_blocked: float = 0.0) -> float:
    """Liquid in a suction accumulator that passes wet gas on as it comes: in the steady state the outlet is the inlet.

    Parameters
    ----------
    quality : float [0 ... 1], of the gas that enters; 1 when superheated
    bleed_quality : float, 1 - quality that the bleed hole can carry with the vessel half-way filled
    bleed_blocked : float [0 ... 1], part of the bleed hole that is closed

    Returns
    -------
    float [0 ... 1], liquid volume over volume

    Source
    ------
    Own formula: in proportion to the liquid at first, then running into a full vessel without a corner.

    Examples
    --------
    >>> [round(accumulator_fill(quality, 0.05), 2) for quality in (1.0, 0.99, 0.95, 0.8)]
    [0.0, 0.2, 0.84, 1.0]
    """
    wet = (1.0 - quality) / max(bleed_quality * (1.0 - bleed_blocked), _NEVER)
    return wet / math.pow(1.0 + wet**4, 0.25) if wet < 1e3 else 1.0


def accumulator_outlet_quality(fill: float, bleed_quality: float, bleed_blocked: float = 0.0) -> float:
    """Quality that leaves an accumulator filled so far: the inverse of `accumulator_fill`.

    Parameters
    ----------
    fill : float [0 ... 1], liquid volume over volume
    bleed_quality : float, as there
    bleed_blocked : float [0 ... 1], as there

    Returns
    -------
    float [0 ... 1]

    Source
    ------
    As `accumulator_fill`.

    Examples
    --------
    >>> round(accumulator_outlet_quality(accumulator_fill(0.96, 0.05), 0.05), 12)
    0.96
    """
    if fill >= 1.0:
        return 0.0
    wet = fill / math.pow(1.0 - fill**4, 0.25)
    return max(1.0 - wet * bleed_quality * (1.0 - bleed_blocked), 0.0)


def accumulator_charge_kg(fluid: Fluid, lines: Lines, enthalpy_j_per_kg: float, volume_m3: float, fill: float) -> float:
    """Refrigerant in an accumulator.

    Parameters
    ----------
    fluid : Fluid
    lines : Lines, of the pressure in it
    enthalpy_j_per_kg : float [J/kg], of the gas that enters
    volume_m3 : float [m3]
    fill : float [0 ... 1], from `accumulator_fill`

    Returns
    -------
    float [kg]

    Source
    ------
    Definition; gas space at the state of the gas that enters, dry where that is wet.
    """
    gas_m3_per_kg = fluid.volume(lines, max(enthalpy_j_per_kg, lines.dew_j_per_kg))
    return volume_m3 * (fill / lines.bubble_m3_per_kg + (1.0 - fill) / gas_m3_per_kg)


def volume_charge_kg(fluid: Fluid, lines: Lines, enthalpy_j_per_kg: float, volume_m3: float) -> float:
    """Refrigerant in a plain volume through which one state flows: shell, line, filter drier.

    Parameters
    ----------
    fluid : Fluid
    lines : Lines, of the pressure in it
    enthalpy_j_per_kg : float [J/kg]
    volume_m3 : float [m3]

    Returns
    -------
    float [kg]

    Source
    ------
    Density with slip, as in coils.
    """
    return volume_m3 * density(fluid, lines, enthalpy_j_per_kg)
